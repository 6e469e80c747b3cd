"""Published linkage values; a loop closure checked with the four-bar row then serves as second method."""

from __future__ import annotations

import cmath
import math

import pytest
from scipy.optimize import brentq

from mounts.drive.push_rod.kinematics import rod_lean_rad, rod_pin_offset_mm, rod_rate_mm_per_rad

CRANK = {"horn_radius_mm": 10.0, "rod_length_mm": 20.0, "offset_mm": 0.0}


def four_bar(
    crank: complex, b: float, c: float, ground: complex, coupler: tuple[float, float]
) -> tuple[float, complex]:
    """Coupler's angle, rad, and joint of coupler and rocker: where the rocker, from its pivot, reaches the coupler.

    Args:
        crank: its end, seen from its own pivot.
        b: coupler.
        c: rocker.
        ground: the rocker's pivot, seen from the crank's.
        coupler: angles that the coupler lies between, rad.
    """

    def gap(angle):
        return abs(crank + b * cmath.exp(1j * angle) - ground) - c

    angle = brentq(gap, *coupler, xtol=1e-15)
    return angle, crank + b * cmath.exp(1j * angle)


def test_push_rod_is_a_four_bar_with_an_endless_rocker():
    """One loop closure gives the textbook's four-bar and, with a rocker of 10 km square to the slide, our travel.

    standards.md, 1, row 7: a 40, b 120, c 80, d 100, θ2 40° (values from memory of a textbook).
    """
    coupler, joint = four_bar(cmath.rect(40.0, math.radians(40.0)), 120.0, 80.0, 100.0, (0.0, 1.0))
    assert math.degrees(coupler) == pytest.approx(20.298, abs=5e-4)
    assert math.degrees(cmath.phase(joint - 100.0)) == pytest.approx(57.325, abs=5e-4)

    a, b, c = 9.0, 45.0, 1e7
    pivot = b - 1j * c  # under the middle of the slide, where the crank, 90° − θ, is square to it

    def slide(theta):
        crank = a * cmath.exp(1j * (math.pi / 2 - theta)) - 1j * a  # offset = radius
        return four_bar(crank, b, c, pivot, (-0.3, 0.3))[1].real

    for theta in (-0.5, 0.2, 0.6):
        expected = slide(theta) - slide(0.0)
        actual = rod_pin_offset_mm(theta, horn_radius_mm=a, rod_length_mm=b, offset_mm=a)
        assert expected == pytest.approx(float(actual), abs=1e-4)


def test_published_slider_crank():
    """standards.md, 1, row 8 (published worksheet): a 10, b 20, θ2 45°: rod 159.295°, slider speed 9.744."""
    theta = math.radians(90.0 - 45.0)  # the worksheet's crank angle is from the slide line

    lean = math.degrees(float(rod_lean_rad(theta, **CRANK)))

    assert 180.0 - lean == pytest.approx(159.295, abs=5e-4)
    assert float(rod_rate_mm_per_rad(theta, **CRANK)) == pytest.approx(9.744, abs=5e-4)


def test_published_rod_speed():
    """Same worksheet: the rod turns at 0.378 rad/s for 1 rad/s of the crank."""
    theta, step = math.radians(45.0), 1e-6
    turned = rod_lean_rad(theta - step, **CRANK) - rod_lean_rad(theta + step, **CRANK)

    assert float(turned) / (2 * step) == pytest.approx(0.378, abs=5e-4)
