"""Pulses for another servo in a printed mount, by both servos' maps."""

from __future__ import annotations

import pytest
from requests_for_drives import bracket_limits, request

from mounts.drive.repulse import repulsed, repulsed_by_hand
from mounts.drive.solve import solve
from mounts.errors import NoDesign


@pytest.mark.parametrize("turns", ["ccw", "cw"])
@pytest.mark.parametrize("mirror", [False, True])
def test_pulses_pins_and_room_of_another_servo(mirror, turns):
    """The same angles by the new gain about the new centre; the pin at either end of its travel, normal at −y; what is
    left to the nearer end of the new range, less than nothing where the servo has too little."""
    spec = request(mirror=mirror)
    old, drive = spec.servo, solve(spec, bracket_limits(spec))
    for low, high in ((900.0, 2300.0), (700.0, 2050.0), (1400.0, 1600.0)):
        new = old.model_copy(update={
            "degrees_per_us": 0.08, "pulse_centre_us": 1520.0, "pulse_turns": turns, "pulse_min_us": low,
            "pulse_max_us": high,
        })  # fmt: skip
        found = repulsed(drive, old, new)

        angles = [(us - 1500.0) * old.degrees_per_us for us in (drive.pulse_us.normal, drive.pulse_us.reverse)]
        pulses = [1520.0 + (1 if turns == "ccw" else -1) * angle / 0.08 for angle in angles]
        assert found.arm_deg == pytest.approx(angles)
        assert [found.pulse_us.normal, found.pulse_us.reverse] == pytest.approx(pulses)
        assert found.pulse_us.centre == 1520.0
        assert found.pin_mm == pytest.approx((-drive.travel_mm / 2, drive.travel_mm / 2))
        assert found.swing_deg == pytest.approx(max(map(abs, angles)))
        assert found.room_us == pytest.approx(min(high - max(pulses), min(pulses) - low))
        assert (found.room_us < 0) == (high == 1600.0)
        by_hand = repulsed_by_hand(
            drive, old, new, arm_hole_mm=drive.horn_radius_mm, distance_mm=drive.pivot_to_horn_mm, stands_deg=0.0
        )
        assert [by_hand.pulse_us.normal, by_hand.pulse_us.reverse] == pytest.approx(pulses)


def test_an_arm_that_brings_the_pin_nowhere_near_says_how_far_it_goes():
    """To the hundredth, and what is needed: an arm hole of 1 mm far from the pivot goes 1/(90 + 1 − cos) of the way,
    at a pin so high that a hundredth is less than a fifth of a degree."""
    spec = request()
    drive = solve(spec, bracket_limits(spec)).model_copy(update={"travel_mm": 84.5678, "pivot_to_pin_mm": 3000.0})
    most = 3000.0 * 0.984808 / (90.0 + 1 - 0.173648)  # at 80 degrees, the farthest that is looked at

    with pytest.raises(
        NoDesign, match=f"the pin {most:.2f} mm from mid throw at most, 42.28 mm are needed: an outer arm"
    ):
        repulsed_by_hand(drive, spec.servo, spec.servo, arm_hole_mm=1.0, distance_mm=90.0, stands_deg=0.0)
