"""The loop against its drawn line, a frame in space for what folds it up, and the curved-beam section."""

from __future__ import annotations

import math

import numpy as np
import pytest
from frame_elements import folding_load
from hypothesis import given
from hypothesis import strategies as st

from mounts.drive.bends import curvature_factor, z_bend_mm
from mounts.drive.push_rod.loop import (
    Loop,
    folding_force_n,
    loop_force_n,
    loop_rate_n_per_mm,
    loop_stress_mpa,
    slant_rad,
)
from mounts.drive.push_rod.loop import given as bent_by
from mounts.drive.push_rod.path import rod_path
from mounts.drive.spring import second_moment_mm4


def centre_line(half_gap: float, crown: float, leg: float, points: int = 8001) -> np.ndarray:
    """Half the loop as a fine polyline (n, 2), its feet square: the tangent from the foot to the crown's circle.

    The circle's centre lies where the tangent from (−a, 0) is as long as the leg: √(R² + t²) from the foot.
    """
    centre_y = math.sqrt(crown**2 + leg**2 - half_gap**2)
    foot, centre = np.array([-half_gap, 0.0]), np.array([0.0, centre_y])
    to_centre = math.atan2(centre_y, half_gap)
    heading = to_centre + math.atan2(crown, leg)  # the tangent on the outside
    touch = foot + leg * np.array([math.cos(heading), math.sin(heading)])
    start = math.atan2(*(touch - centre)[::-1])
    arc = np.linspace(start % (2 * math.pi), math.pi / 2, points)
    crown_line = centre + crown * np.column_stack([np.cos(arc), np.sin(arc)])
    return np.vstack([foot + np.linspace(0, 1, points)[:, None] * (touch - foot), crown_line[1:]])


SHAPES = [(3.0, 3.0, 8.0), (2.0, 2.0, 15.0), (2.2, 4.0, 8.0), (3.0, 6.0, 6.0)]


def loop_of(half_gap, crown, leg, *, before=18.0, after=14.0, stiffness=600.0) -> Loop:
    """A loop between straights."""
    return Loop(half_gap, crown, leg, before, after, stiffness)


@given(half_gap=st.floats(1, 6), wider=st.floats(1, 2.5), leg=st.floats(0.5, 15))
def test_moments_slant_and_height_are_those_of_the_drawn_loop(half_gap, wider, leg):
    """∫ds, ∫y ds and ∫y² ds summed along the line, the leg's slant and the top of it."""
    line = centre_line(half_gap, half_gap * wider, leg)
    steps, y = np.hypot(*np.diff(line, axis=0).T), (line[1:, 1] + line[:-1, 1]) / 2
    loop = loop_of(half_gap, half_gap * wider, leg)

    drawn = [2 * float((y**power * steps).sum()) for power in (0, 1, 2)]
    assert drawn == pytest.approx([float(value) for value in loop.moments_mm], rel=1e-5)
    assert float(line[:, 1].max()) == pytest.approx(float(loop.height_mm), rel=1e-6)
    (x0, y0), (x1, y1) = line[0], line[1]
    slant = float(slant_rad(half_gap_mm=half_gap, crown_mm=half_gap * wider, leg_mm=leg))
    assert math.atan2(x0 - x1, y1 - y0) == pytest.approx(slant, abs=1e-9)


def test_parallel_legs_have_the_rate_of_castiglianos_integral():
    """E·I over 2h³/3 + π·R·h² + 4·R²·h + π·R³/2 (brief.md, 3.2), for R = 3, h = 8."""
    expected = 600.0 / (2 * 8**3 / 3 + math.pi * 3 * 64 + 4 * 9 * 8 + math.pi * 27 / 2)

    assert expected == pytest.approx(float(loop_rate_n_per_mm(loop_of(3.0, 3.0, 8.0))))


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("shortening", [-2.0, -0.5, 0.5, 2.0])
def test_force_is_the_inverse_of_what_is_given(shape, shortening):
    """The load found for a shortening shortens by it."""
    loop = loop_of(*shape)

    assert shortening == pytest.approx(float(bent_by(loop, loop_force_n(loop, shortening)).shortening_mm), abs=1e-6)


def test_force_is_that_inverse_nearly_up_to_where_rod_and_loop_fold_up():
    """Between straights of 60 mm, at half, nine and nineteen twentieths of the load from which the rod gives endlessly;
    that is found by halving."""
    loop, low, high = loop_of(1.5, 1.5, 6.0, before=60.0, after=60.0), 0.0, 10.0
    for _ in range(50):
        mid = (low + high) / 2
        low, high = (mid, high) if math.isfinite(bent_by(loop, mid).shortening_mm) else (low, mid)

    for share in (0.5, 0.9, 0.95):
        shortening = float(bent_by(loop, share * low).shortening_mm)
        assert float(loop_force_n(loop, shortening)) == pytest.approx(share * low, rel=1e-4)


def test_stress_is_that_of_the_load_at_the_crown_s_lever():
    """32·F·(H + w)/(π·d³): the farthest point of the drawn loop, and the step towards it."""
    lever = float(centre_line(2.2, 4.0, 8.0)[:, 1].max()) + 1.5

    stress = float(loop_stress_mpa(loop_of(2.2, 4.0, 8.0), 0.5, 1.5, wire_mm=0.5))

    assert 32.0 * 0.5 * lever / (math.pi * 0.5**3) == pytest.approx(stress, rel=1e-6)


@pytest.mark.parametrize(
    ("shape", "before", "after"),
    [(SHAPES[0], 18.0, 14.0), (SHAPES[1], 25.0, 25.0), (SHAPES[2], 12.0, 30.0), (SHAPES[3], 18.0, 14.0)],
)
def test_rod_and_loop_fold_up_at_the_least_eigenvalue_of_a_frame_in_space(shape, before, after):
    """Within 10 %, whichever plane is the weaker; Euler's load of the straight rod would be three to five times it."""
    half_gap, crown, leg = shape
    path = rod_path(
        rod_length_mm=before + 2 * half_gap + after,
        before_mm=before,
        half_gap_mm=half_gap,
        crown_mm=crown,
        leg_mm=leg,
        foot_radius_mm=1.0,
    )

    load = float(folding_force_n(loop_of(*shape, before=before, after=after)))

    assert folding_load(np.vstack([path.line[:-1:3], path.line[-1:]]), 600.0) == pytest.approx(load, rel=0.10)
    assert load < math.pi**2 * 600.0 / (before + 2 * half_gap + after) ** 2 / 1.3


@pytest.mark.parametrize("shape", SHAPES)
def test_the_hinge_of_what_folds_up_is_as_soft_as_the_drawn_loop(shape):
    """In its plane by the wire's length; out of it the part of the wire that stands up is twisted, 1 + ν as soft as it
    is bent, ν = 0.3 of steel: summed along the drawn line about an axis square to the rod."""
    line = centre_line(*shape)
    steps = np.diff(line, axis=0)
    long = np.hypot(*steps.T)
    up = steps[:, 1] / long
    softest = 2 * max(float(long.sum()), float((long * (1 - up**2 + 1.3 * up**2)).sum()))
    beside, total = 18.0 * 14.0 / 32.0, 32.0

    assert float(folding_force_n(loop_of(*shape))) == pytest.approx(600.0 / (beside * (softest + total / 3)), rel=1e-5)


@pytest.mark.parametrize("index", [4.0, 6.0, 10.0])
def test_curvature_factor_is_that_of_winkler_s_section(index):
    """Winkler's curved-beam theory, integrated over the round section, agrees to 2 % (Wahl's is a fit of it)."""
    radius, wire = index / 2.0, 1.0
    y = np.linspace(-0.5, 0.5, 400001)[1:-1]  # distance from the section's middle, inside negative
    width = 2.0 * np.sqrt(0.25 - y**2)
    area, over_r = np.trapezoid(width, y), np.trapezoid(width / (radius + y), y)
    neutral = area / over_r
    inside = (neutral - (radius - 0.5)) / (area * (radius - neutral) * (radius - 0.5))
    straight = 0.5 / float(second_moment_mm4(wire))

    assert inside / straight == pytest.approx(float(curvature_factor(radius, wire)), rel=0.02)


def test_a_z_bend_goes_through_arm_and_wire_or_takes_two_radii():
    """1.6 mm of arm, 0.6 of wire and 0.3 of play are 2.5; bends of 1.4 mm radius take 2.8."""
    assert float(z_bend_mm(horn_thickness_mm=1.6, wire_mm=0.6, foot_radius_mm=1.2)) == pytest.approx(2.5)
    assert float(z_bend_mm(horn_thickness_mm=1.6, wire_mm=0.7, foot_radius_mm=1.4)) == pytest.approx(2.8)
