"""A servo's map from pulse to angle, from pulses at which its arm was seen to stand at known angles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from mounts.errors import Fault, InputError
from mounts.inputs.servo import Servo
from mounts.units import number

LEAST_APART_US = 200.0  # nearer, the dead band spoils the slope; common practice, no source
OFF_LINE_DEG = 3.0  # a point so far off the line through the others was misread; common practice, no source
READ_DEG = 0.5  # how well an arm is seen to stand at a line; common practice, no source
GAIN = (0.05, 0.2)  # bounds of a servo's profile
CENTRE_US = (1300.0, 1700.0)  # bounds of a servo's profile

Point = tuple[float, float]
"""Pulse, µs, and the arm's angle there, degrees, counter-clockwise looking at the shaft's end."""


@dataclass(frozen=True)
class Calibration:
    """What the points say.

    Attributes:
        degrees_per_us: slope of the line through them, without its sign.
        spread: ± of it.
        centre_us: pulse at 0°; None where only the angle between the points is known.
        turns: sense of a longer pulse; None where that was not seen.
        off_deg: largest distance of a point from the line.
    """

    degrees_per_us: float
    spread: float
    centre_us: float | None
    turns: str | None
    off_deg: float

    def figures(self, servo: Servo, pulses_us: Sequence[float]) -> dict[str, Any]:
        """The fields of the servo's profile, its range widened to where it was seen to stand."""
        found: dict[str, Any] = {
            "degrees_per_us": round(self.degrees_per_us, 6),
            "degrees_per_us_spread": round(self.spread, 6),
            "pulse_min_us": min(servo.pulse_min_us, *pulses_us),
            "pulse_max_us": max(servo.pulse_max_us, *pulses_us),
        }
        if self.centre_us is not None:
            found["pulse_centre_us"] = round(self.centre_us, 1)
        if self.turns is not None:
            found["pulse_turns"] = self.turns
        return found


def calibrated(points: Sequence[Point], servo: Servo, *, between_only: bool = False) -> Calibration:
    """The line through the points by least squares.

    Of two points the slope is off by what a dead band and the eye make of both ends; of more, by the scatter about
    the line where that is more.

    Args:
        points: two or more.
        servo: its dead band.
        between_only: the angles hold between the points only, not from mid swing, and their sense is not known.

    Raises:
        InputError: too few, too near to each other, a point far off the line through the others, or a slope or a
            centre that no servo has.
    """
    pulses = np.array([pulse for pulse, _ in points])
    angles = np.array([angle for _, angle in points])
    if len(points) < 2 or np.ptp(pulses) < LEAST_APART_US:
        raise InputError(Fault(f"must be two pulses or more, {LEAST_APART_US:g} us apart at least", ("at",)))
    slope, at_zero = (float(value) for value in np.polyfit(pulses, angles, 1))
    off = np.abs(slope * pulses + at_zero - angles)
    if off.max() > OFF_LINE_DEG:
        worst = int(off.argmax())
        raise InputError(
            Fault(
                f"{number(angles[worst])}° at {number(pulses[worst])} us lies {number(off[worst], 1)}° off the line "
                "through the points; measure it again",
                ("at",),
            )
        )
    gain = abs(slope)
    if not GAIN[0] <= gain <= GAIN[1]:
        raise InputError(
            Fault(
                f"come to {number(gain, 4)}° a us, must be {GAIN[0]:g} to {GAIN[1]:g}; are the angles degrees, and "
                "the pulses us?",
                ("at",),
            )
        )
    read = (gain * servo.dead_band_us / 2.0 + READ_DEG) * np.sqrt(2.0) / float(np.ptp(pulses))
    scatter = 0.0
    if len(points) > 2:
        about = pulses - pulses.mean()
        scatter = 2.0 * float(np.sqrt((off**2).sum() / (len(points) - 2) / (about**2).sum()))
    centre = None if between_only else -at_zero / slope
    if centre is not None and not CENTRE_US[0] <= centre <= CENTRE_US[1]:
        raise InputError(
            Fault(
                f"put 0° at {number(centre, 0)} us, must be {CENTRE_US[0]:g} to {CENTRE_US[1]:g}; angles are from "
                "where the arm stands at mid swing",
                ("at",),
            )
        )
    turns = None if between_only else ("ccw" if slope > 0 else "cw")
    return Calibration(gain, max(read, scatter), centre, turns, float(off.max()))
