"""Pulses, angles and their sense."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from requests_for_drives import profile

from mounts.drive.pulse import (
    arm_angle_deg,
    dead_band_mm,
    largest_swing_deg,
    pin_mm_per_us,
    pulse_us,
    pulse_widths,
    room_us,
    trim_room_us,
    trim_us,
)
from mounts.inputs.servo import Servo

MICRO = profile(Servo, "micro-9g")


def turning(sense: str, **changes) -> Servo:
    """The micro servo with another sense or map."""
    return MICRO.model_copy(update={"pulse_turns": sense, **changes})


@given(angle=st.floats(-60, 60), sense=st.sampled_from(["ccw", "cw"]), gain=st.floats(0.085, 0.115))
def test_pulse_and_angle_undo_each_other(angle, sense, gain):
    """The angle of an angle's pulse is that angle."""
    servo = turning(sense, degrees_per_us=gain)

    assert angle == pytest.approx(arm_angle_deg(pulse_us(angle, servo), servo), abs=1e-9)


def test_data_sheet_gain_of_the_standard_class():
    """45° per 400 µs (standards.md, 2, data sheet of the standard class): 1100 and 1900 µs are ∓45°."""
    servo = turning("ccw", degrees_per_us=0.1125)

    assert pulse_us(45.0, servo) == pytest.approx(1900.0)
    assert arm_angle_deg(1100.0, servo) == pytest.approx(-45.0)


@pytest.mark.parametrize(
    ("sense", "ccw_to_reverse", "reverse"),
    [("ccw", True, 1800.0), ("ccw", False, 1200.0), ("cw", True, 1200.0), ("cw", False, 1800.0)],
)
def test_sense_of_the_settings(sense, ccw_to_reverse, reverse):
    """Each of servo and mount turned over exchanges normal and reverse."""
    widths = pulse_widths(27.75, turning(sense), ccw_moves_pin_to_reverse=ccw_to_reverse)

    assert (3000.0 - reverse, 1500.0, reverse) == (widths.normal, widths.centre, widths.reverse)


def test_half_a_spline_tooth_is_left_at_both_ends():
    """21 teeth: a tooth is 17.1° (standards.md, 2), half of it 93 µs at 0.0925 °/µs, kept off ± 500 µs."""
    assert trim_us(MICRO) == pytest.approx(92.7, abs=0.05)
    assert largest_swing_deg(MICRO) == pytest.approx(46.25 - 8.57, abs=0.01)
    lopsided = turning("ccw", pulse_max_us=1900.0)
    assert largest_swing_deg(lopsided) == pytest.approx(37.0 - 8.57, abs=0.01)


def test_room_to_trim_is_half_a_tooth_and_the_siting_at_the_pin():
    """A pin that moves 0.02 mm a µs finds 0.5 mm with 25 µs more."""
    rate = 0.02 / math.radians(MICRO.degrees_per_us)

    assert float(trim_room_us(rate, 0.5, MICRO)) == pytest.approx(trim_us(MICRO) + 25.0)
    assert room_us(turning("ccw", pulse_max_us=1900.0)) == 400.0
    assert room_us(turning("ccw", pulse_min_us=1150.0)) == 350.0


def test_dead_band_at_the_pin():
    """7 µs at 0.0925 °/µs is 0.65°, and the pin moves the arc of that."""
    assert dead_band_mm(10.0, MICRO) == pytest.approx(10.0 * math.radians(0.6475))
    assert pin_mm_per_us(10.0, MICRO) == pytest.approx(dead_band_mm(10.0, MICRO) / 7.0)
