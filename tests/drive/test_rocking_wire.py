"""The rocking wire against lines drawn and cut with shapely, and against finite differences."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, affinity

from mounts.drive.rocking_wire.kinematics import lean_rad, pin_offset_mm, pin_rate_mm_per_rad, turning_back_rad

lengths = {
    "horn_radius_mm": st.floats(3, 20),
    "pivot_to_horn_mm": st.floats(41, 80),
    "pivot_to_pin_mm": st.floats(5, 90),
}


def drawn_offset_mm(theta_rad: float, r: float, d: float, h: float, towards: bool) -> float:
    """Where the line hole–pivot, drawn on, cuts the tie bar's line; the arm is turned as a drawing is."""
    shaft_z = -(d + r) if towards else -(d - r)
    arm = LineString([(0.0, shaft_z), (0.0, -d)])
    # towards: +θ takes the hole to −y, counter-clockwise; away: clockwise takes it there
    turned = affinity.rotate(arm, theta_rad if towards else -theta_rad, origin=(0.0, shaft_z), use_radians=True)
    hole = np.array(turned.coords[1])
    wire = LineString([hole, hole * (1.0 - 1000.0)])  # through the pivot, the origin
    return float(wire.intersection(LineString([(-900.0, h), (900.0, h)])).x)


@given(theta=st.floats(-0.85, 0.85), towards=st.booleans(), **lengths)
def test_pin_offset_is_where_the_drawn_wire_cuts_the_tie_bar(theta, towards, **lengths):
    """The formula agrees with a line drawn through hole and pivot, to 1e-9 mm, for both arm directions."""
    expected = drawn_offset_mm(theta, *lengths.values(), towards)

    actual = float(pin_offset_mm(theta, **lengths, horn_towards_pivot=towards))

    assert expected == pytest.approx(actual, abs=1e-9)


@given(theta=st.floats(-0.8, 0.8), towards=st.booleans(), **lengths)
def test_slope_is_the_derivative(theta, towards, **lengths):
    """The slope agrees with a central difference of the travel."""
    step = 1e-5
    ends = pin_offset_mm([theta - step, theta + step], **lengths, horn_towards_pivot=towards)

    actual = float(pin_rate_mm_per_rad(theta, **lengths, horn_towards_pivot=towards))

    assert (ends[1] - ends[0]) / (2 * step) == pytest.approx(actual, rel=1e-6, abs=1e-6)


@given(towards=st.booleans(), **lengths)
def test_travel_turns_back_at_the_angle_given(towards, **lengths):
    """A fine scan of the drawn wire finds its largest offset at the turning-back angle."""
    r, d, _ = lengths.values()
    expected = float(turning_back_rad(r, d, towards))
    thetas = np.linspace(0.0, math.pi - 1e-6, 20001)
    along = d + (r if towards else -r) * (1.0 - np.cos(thetas))

    peak = thetas[np.argmax(r * np.sin(thetas) / along)]

    assert expected == pytest.approx(peak, abs=3e-4)
    assert float(turning_back_rad(r, d)) == float(turning_back_rad(r, d, True))  # what is not said points there


def test_an_arm_away_with_a_short_wire_runs_away_where_the_hole_reaches_the_pivot():
    """With d < 2r and the arm away the limit is the hole drawing level with the pivot."""
    theta = float(turning_back_rad(10.0, 15.0, False))

    assert 15.0 - 10.0 * (1.0 - math.cos(theta)) == pytest.approx(0.0, abs=1e-9)


def test_lean_is_the_slope_of_the_wire():
    """The pin's offset over its height above the pivot is the tangent of the lean."""
    offset = pin_offset_mm(0.5, horn_radius_mm=9, pivot_to_horn_mm=25, pivot_to_pin_mm=22)

    assert math.atan2(float(offset), 22.0) == pytest.approx(float(lean_rad(0.5, 9, 25, True)), abs=1e-12)


def test_travel_is_odd_and_zero_at_mid():
    """The pin moves as far to either side."""
    offsets = pin_offset_mm([-0.4, 0.0, 0.4], horn_radius_mm=9, pivot_to_horn_mm=25, pivot_to_pin_mm=22)

    assert offsets[1] == 0.0
    assert offsets[0] == -offsets[2]


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"theta_rad": 1.3}, "turns back"),
        ({"pivot_to_pin_mm": 0.0}, "pivot_to_pin_mm"),
        ({"pivot_to_horn_mm": -1.0}, "positive"),
        ({"pivot_to_horn_mm": 0.0}, "positive"),
        ({"horn_towards_pivot": False, "pivot_to_horn_mm": 8.0}, "away"),
        ({"horn_radius_mm": 0.0}, "positive"),
        ({"horn_towards_pivot": False, "pivot_to_horn_mm": 7.0}, "away"),
    ],
)
def test_impossible_dimensions_are_a_programmers_mistake(change, word):
    """A length that is not positive, or an angle beyond turning back, raises ValueError and names it."""
    good = {"theta_rad": 0.3, "horn_radius_mm": 8.0, "pivot_to_horn_mm": 20.0, "pivot_to_pin_mm": 40.0}

    with pytest.raises(ValueError, match=word):
        pin_offset_mm(**{**good, **change})
    hundredth = {**good, "horn_radius_mm": 0.08, "pivot_to_horn_mm": 0.2, "pivot_to_pin_mm": 0.4}
    assert float(pin_offset_mm(**hundredth)) == pytest.approx(float(pin_offset_mm(**good)) / 100)
