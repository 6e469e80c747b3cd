"""The slider-crank against a circle cut with a line, its slope and dead points."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point

from mounts.drive.push_rod.kinematics import (
    dead_points_rad,
    rod_lean_rad,
    rod_pin_offset_mm,
    rod_rate_mm_per_rad,
    slide_mm,
)

rods = {
    "horn_radius_mm": st.floats(3, 18),
    "rod_length_mm": st.floats(40, 120),
    "offset_mm": st.floats(-5, 20),
}


def cut_mm(theta: float, r: float, rod: float, e: float) -> float:
    """Where a circle of the rod's length about the arm hole cuts the slide line: quadratic, by numpy."""
    hole = np.array([r * math.sin(theta), r * math.cos(theta)])
    # |(y, e) − hole|² = ℓ²
    roots = np.roots([1.0, -2.0 * hole[0], hole[0] ** 2 + (e - hole[1]) ** 2 - rod**2])
    return float(roots.real.max())


@given(theta=st.floats(-1.2, 1.2), **rods)
def test_pin_is_where_the_rods_circle_cuts_the_slide_line(theta, **rods):
    """The formula is the intersection of the circle about the hole with the slide line, to 1e-9 mm."""
    expected = cut_mm(theta, *rods.values()) - cut_mm(0.0, *rods.values())

    assert expected == pytest.approx(float(rod_pin_offset_mm(theta, **rods)), abs=1e-9)


def test_pin_is_near_the_cut_of_a_drawn_circle():
    """The same with shapely's circle of many chords, to their sagitta."""
    r, rod, e, theta = 9.0, 45.0, 9.0, 0.5
    hole = Point(r * math.sin(theta), r * math.cos(theta))
    circle = hole.buffer(rod, quad_segs=4096).exterior
    cut = circle.intersection(LineString([(0.0, e), (200.0, e)]))

    assert cut.x == pytest.approx(float(slide_mm(theta, horn_radius_mm=r, rod_length_mm=rod, offset_mm=e)), abs=1e-5)


@given(theta=st.floats(-1.2, 1.2), **rods)
def test_slope_is_the_derivative(theta, **rods):
    """The slope agrees with a central difference."""
    step = 1e-5
    ends = rod_pin_offset_mm([theta - step, theta + step], **rods)

    assert (ends[1] - ends[0]) / (2 * step) == pytest.approx(
        float(rod_rate_mm_per_rad(theta, **rods)), rel=1e-6, abs=1e-6
    )


@given(**rods)
def test_pin_turns_back_at_the_dead_points(**rods):
    """A fine scan over a whole turn finds the extremes of the slide at the dead points."""
    inner, outer = (float(v) for v in dead_points_rad(**rods))
    thetas = np.linspace(-math.pi, math.pi, 20001)
    slides = slide_mm(thetas, **rods)

    for dead, found in ((inner, thetas[np.argmin(slides)]), (outer, thetas[np.argmax(slides)])):
        apart = (dead - found + math.pi) % (2 * math.pi) - math.pi
        assert apart == pytest.approx(0.0, abs=5e-4)


def test_lean_is_the_rods_angle():
    """The lean's sine is the hole's height over the slide line by the rod."""
    lean = float(rod_lean_rad(0.6, horn_radius_mm=10, rod_length_mm=40, offset_mm=6))

    assert math.sin(lean) * 40 == pytest.approx(10 * math.cos(0.6) - 6)


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: rod_pin_offset_mm(0.1, horn_radius_mm=0, rod_length_mm=9, offset_mm=0), "positive"),
        (lambda: rod_pin_offset_mm(0.1, horn_radius_mm=9, rod_length_mm=-1, offset_mm=0), "positive"),
        (lambda: slide_mm(0.0, horn_radius_mm=20, rod_length_mm=9, offset_mm=0), "does not reach"),
        (lambda: dead_points_rad(horn_radius_mm=9, rod_length_mm=12, offset_mm=9), "at least"),
    ],
)
def test_impossible_linkages_are_a_programmers_mistake(call, word):
    """Lengths that are not positive and a rod that does not reach raise ValueError."""
    with pytest.raises(ValueError, match=word):
        call()
