"""The arm at a pulse: where it stands, where that puts the pin, how hard the blades are pressed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mounts.book.curve import curve, touch_mm, wanted_mm
from mounts.design import Design
from mounts.drive.kinds import kind_of
from mounts.drive.model import PointsDrive
from mounts.report.kinds import outcome, telling
from mounts.units import number

_PAST_US = 60.0  # beyond the end pulses that the slider goes, as trimming may; inside the servo's range


@dataclass(frozen=True)
class At:
    """A drive at one pulse.

    Attributes:
        us: the pulse.
        theta_rad: of the arm from mid swing, + towards reverse.
        free: where the wire puts the pin unloaded, from mid throw, mm; or what the drive lists of itself.
        pin_mm: where the blades let it go.
        force_n: at the blade; None where no points are thrown.
        wanted: whether that is the force asked for; None likewise.
        what: what ``free`` is, in words, of a drive that throws no points.
    """

    us: float
    theta_rad: float
    free: float
    pin_mm: float
    force_n: float | None
    wanted: bool | None
    what: str = ""

    def told(self) -> str:
        """In words, for who does not see the picture."""
        turned = f"{number(self.us, 0)} µs: arm {number(math.degrees(self.theta_rad), 1)}° from the middle"
        if self.force_n is None:
            return f"{turned}, {self.what}: {number(self.free, 2)}"
        pressed = f"blade pressed with {number(self.force_n, 2)} N" if self.force_n else "blade not pressed"
        return f"{turned}, pin {number(self.pin_mm, 2)} mm from mid throw, {pressed}"


class Swing:
    """A drive's whole swing.

    Args:
        design: the mount.
    """

    def __init__(self, design: Design) -> None:
        self.design = design
        drive, servo = design.drive, design.spec.servo
        pulses = drive.pulse_us
        self.points: Sequence[tuple[float, float]] = [(float(us), float(at)) for us, at in curve(design)]
        self.bands = wanted_mm(design)
        self.stops: Sequence[tuple[str, float]] = [*telling(drive).positions(drive)]
        if all(abs(us - pulses.centre) > 1.0 for _, us in self.stops):
            self.stops = [self.stops[0], ("centre", pulses.centre), *self.stops[1:]]
        ends = [us for _, us in self.stops]
        self.low_us = max(servo.pulse_min_us, min(ends) - _PAST_US)
        self.high_us = min(servo.pulse_max_us, max(ends) + _PAST_US)
        self.told = outcome(drive).curve_of(drive)
        self.throw_mm = design.spec.throw_mm if isinstance(drive, PointsDrive) else 0.0
        self._us_per_rad = (pulses.reverse - pulses.normal) / (2 * math.radians(drive.swing_deg))
        self._middle_us = (pulses.reverse + pulses.normal) / 2

    def theta_rad(self, us: float) -> float:
        """Arm angle from mid swing at a pulse, + towards reverse."""
        return (us - self._middle_us) / self._us_per_rad

    def at(self, us: float) -> At:
        """The drive at a pulse, which is kept inside what the slider has."""
        us = min(max(us, self.low_us), self.high_us)
        drive, theta = self.design.drive, self.theta_rad(us)
        way = kind_of(drive).pin_mm
        if way is None:
            pulses, places = np.array(sorted(self.points)).T
            free = float(np.interp(us, pulses, places))
            what = self.told.rpartition(" against")[0].rstrip(",")
            return At(us, theta, free, free, None, None, what[:1].lower() + what[1:])
        free = float(way(drive)(theta))
        half = self.throw_mm / 2
        past = max(abs(free) - touch_mm(self.design), 0.0)
        force = past * drive.rate_n_per_mm
        low, high = self.design.spec.force_n
        return At(us, theta, free, min(max(free, -half), half), force, low <= force <= high)
