"""Published linkage values; a loop closure checked with the four-bar row then serves as second method."""

from __future__ import annotations

import cmath
import math

import pytest
from scipy.optimize import brentq, fsolve

from mounts.drive.push_rod.kinematics import rod_lean_rad, rod_pin_offset_mm, rod_rate_mm_per_rad

CRANK = {"horn_radius_mm": 10.0, "rod_length_mm": 20.0, "offset_mm": 0.0}


def four_bar_deg(a: float, b: float, c: float, d: float, crank_deg: float) -> tuple[float, float]:
    """Coupler and rocker angles of the open four-bar, from closing the loop numerically."""
    crank = a * cmath.exp(1j * math.radians(crank_deg))

    def gap(angles):
        open_end = crank + b * cmath.exp(1j * angles[0]) - d - c * cmath.exp(1j * angles[1])
        return open_end.real, open_end.imag

    coupler, rocker = fsolve(gap, (0.3, 1.0), xtol=1e-13)
    return math.degrees(coupler), math.degrees(rocker)


def test_loop_closure_gives_the_textbook_four_bar():
    """standards.md, 1, row 7: a 40, b 120, c 80, d 100, θ2 40° (values from memory of a textbook)."""
    coupler, rocker = four_bar_deg(40.0, 120.0, 80.0, 100.0, 40.0)

    assert coupler == pytest.approx(20.298, abs=5e-4)
    assert rocker == pytest.approx(57.325, abs=5e-4)


def test_push_rod_is_a_four_bar_with_an_endless_rocker():
    """With a rocker of 10 km square to the slide the loop closure of row 7 gives the push rod's travel."""
    a, b, c = 9.0, 45.0, 1e7
    middle = b  # slide position with the crank square to it; crank angle 90° − θ

    def slide(theta):
        # rocker pivot c below the slide line, straight under its middle: d is the ground link to it
        crank = a * cmath.exp(1j * (math.pi / 2 - theta)) - 1j * a  # offset = radius
        pivot = middle - 1j * c

        def gap(lean):
            return abs(crank + b * cmath.exp(1j * lean) - pivot) - c

        end = crank + b * cmath.exp(1j * brentq(gap, -0.3, 0.3, xtol=1e-15))
        return end.real

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
