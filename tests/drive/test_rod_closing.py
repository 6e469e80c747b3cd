"""A closed push rod against a numeric loop and virtual work."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from mounts.drive.push_rod import slide_mm
from mounts.drive.rod_closing import Rod, rod_closing

ROD = Rod(
    theta_rad=0.5,
    throw_mm=2.4,
    horn_radius_mm=7.0,
    rod_length_mm=40.0,
    offset_mm=3.0,
    leg_mm=10.0,
    loop_radius_mm=3.0,
    wire_mm=0.7,
    modulus_mpa=206_000.0,
    arm_slack_mm=0.2,
    pin_slack_mm=0.5,
)
LINKAGE = {"horn_radius_mm": 7.0, "rod_length_mm": 40.0, "offset_mm": 3.0}


def test_travel_is_between_the_two_ends():
    """The travel is the difference of the slide at both ends of the swing."""
    closed = rod_closing(ROD)

    assert float(slide_mm(0.5, **LINKAGE) - slide_mm(-0.5, **LINKAGE)) == pytest.approx(float(closed.travel_mm))
    middle = float(slide_mm(0.5, **LINKAGE) + slide_mm(-0.5, **LINKAGE)) / 2 - float(slide_mm(0.0, **LINKAGE))
    assert middle == pytest.approx(float(closed.middle_mm))


def test_slack_takes_half_its_sum_off_each_side():
    """0.7 mm of clearance in two holes leaves 0.35 mm less over-travel a side."""
    closed = rod_closing(ROD)

    left = float(closed.force_after_slack_n / closed.rate_n_per_mm)
    assert float(closed.overtravel_mm) - left == pytest.approx(0.35)


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_torque_covers_the_energy_of_the_loop(side):
    """Swinging further against a stopped pin costs loop energy at no more than the torque, at either end."""
    closed = rod_closing(ROD)
    stop = float(slide_mm(side * 0.5, **LINKAGE)) - side * float(closed.overtravel_mm)

    def energy(theta):
        return float(closed.rate_n_per_mm) * (float(slide_mm(theta, **LINKAGE)) - stop) ** 2 / 2

    step = 1e-6
    torque = abs(energy(side * 0.5 + step) - energy(side * 0.5 - step)) / (2 * step)
    assert torque <= float(closed.torque_nmm) * (1 + 1e-6)
    assert torque >= float(closed.torque_nmm) * 0.8


def test_largest_end_torque_is_the_energys():
    """At the worse end the two agree."""
    closed = rod_closing(ROD)
    levers = [float(slide_mm(s * 0.5 + 1e-6, **LINKAGE) - slide_mm(s * 0.5 - 1e-6, **LINKAGE)) / 2e-6 for s in (-1, 1)]

    assert max(levers) * float(closed.force_n) == pytest.approx(float(closed.torque_nmm), rel=1e-6)


def test_lean_is_the_worst_of_mid_and_ends():
    """With the slide line half way up the arm the rod leans most at mid, with a high one at the ends."""
    at_mid = math.asin((7.0 - 3.0) / 40.0)

    assert float(rod_closing(ROD).lean_rad) == pytest.approx(at_mid)
    high = rod_closing(replace(ROD, offset_mm=7.0))
    assert float(high.lean_rad) == pytest.approx(math.asin((7.0 - 7.0 * math.cos(0.5)) / 40.0))
