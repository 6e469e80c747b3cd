"""Servo pulses: µs to arm angle and back, with the servo's own map and sense.

Arguments may be arrays that broadcast; results are float64 of their common shape.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.drive.model import PulseWidths
from mounts.inputs.servo import Servo


def arm_angle_deg(pulse_us: float, servo: Servo) -> float:
    """Arm angle from centre, degrees, positive counter-clockwise looking at the shaft's end."""
    sense = 1.0 if servo.pulse_turns == "ccw" else -1.0
    return sense * (pulse_us - servo.pulse_centre_us) * servo.degrees_per_us


def pulse_us(angle_deg: float, servo: Servo) -> float:
    """Pulse for an arm angle from centre, µs; the inverse of ``arm_angle_deg``, not limited to the range."""
    sense = 1.0 if servo.pulse_turns == "ccw" else -1.0
    return servo.pulse_centre_us + sense * angle_deg / servo.degrees_per_us


def pulse_widths(swing_deg: float, servo: Servo, *, ccw_moves_pin_to_reverse: bool) -> PulseWidths:
    """Controller settings for a half swing: normal with the pin at −y, reverse with it at +y."""
    to_reverse = swing_deg if ccw_moves_pin_to_reverse else -swing_deg
    return PulseWidths(
        normal=pulse_us(-to_reverse, servo), centre=servo.pulse_centre_us, reverse=pulse_us(to_reverse, servo)
    )


def trim_us(servo: Servo) -> float:
    """Half a spline tooth, which the arm may sit off centre, in µs."""
    return 360.0 / servo.spline_teeth / 2.0 / servo.degrees_per_us


def trim_room_us(pin_rate_mm_per_rad: ArrayLike, siting_mm: float, servo: Servo) -> NDArray[np.float64]:
    """What must stay free beyond an end pulse: half a spline tooth and the siting error at the pin's rate there, µs."""
    siting_us = siting_mm / (np.asarray(pin_rate_mm_per_rad) * math.radians(servo.degrees_per_us))
    return np.asarray(trim_us(servo) + siting_us)


def room_us(servo: Servo) -> float:
    """From the centre to the nearer end of the servo's pulses, µs."""
    return min(servo.pulse_max_us - servo.pulse_centre_us, servo.pulse_centre_us - servo.pulse_min_us)


def largest_swing_deg(servo: Servo) -> float:
    """Half swing that half a spline tooth leaves, degrees; siting takes more, by the pin's rate."""
    return (room_us(servo) - trim_us(servo)) * servo.degrees_per_us


def pin_mm_per_us(pin_rate_mm_per_rad: float, servo: Servo) -> float:
    """Pin travel per µs where the pin moves ``pin_rate_mm_per_rad`` per rad of arm."""
    return pin_rate_mm_per_rad * math.radians(servo.degrees_per_us)


def dead_band_mm(pin_rate_mm_per_rad: float, servo: Servo) -> float:
    """The servo's dead band at the pin, mm."""
    return servo.dead_band_us * pin_mm_per_us(pin_rate_mm_per_rad, servo)
