"""Where the controller's pulses take the pin, with servo, arm, pivot and pin where the mount puts them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from mounts import scene
from mounts.checks.model import Check
from mounts.design import Design
from mounts.drive.model import PointsDrive
from mounts.drive.pulse import arm_angle_deg
from mounts.scene_kinds import wiring
from mounts.units import number


def check_travel(design: Design) -> Iterator[Check]:
    """``travel``: how far the unloaded pin goes from mid throw to the side a pulse is for, the lesser of both, mm.

    Arm angles come from the pulses by the servo's own map and sense, the arm hole from the servo's place, the pin
    from the line through arm hole and pivot, or from the rod's length: nothing of it was solved for. The blade
    closes where the pin gets half the throw and half the slack further. Nothing is said where no points are thrown.
    """
    if not isinstance(design.drive, PointsDrive):
        return
    drive, pulse = design.drive, design.drive.pulse_us
    to_normal, to_reverse = -_pin_y(design, pulse.normal), _pin_y(design, pulse.reverse)
    least, closes = min(to_normal, to_reverse), (design.spec.throw_mm + drive.lost_motion_mm) / 2
    ways = f"{number(to_normal, 2)} and {number(to_reverse, 2)} mm to normal and reverse"
    goes = f"{pulse.normal:.0f} and {pulse.reverse:.0f} µs take the pin {ways}"
    fine = f"{goes}; the blades touch at {number(closes, 2)}"
    broken = f"{goes}, and the blades touch at {number(closes, 2)} mm: more --swing"
    yield Check.of("travel", least, "at least", closes, "mm", fine, broken)


def _pin_y(design: Design, pulse_us: float) -> float:
    """The pin from mid throw, + towards reverse, mm."""
    theta = scene.turning_sense(design) * math.radians(arm_angle_deg(pulse_us, design.spec.servo))
    path = scene.pressed_path(design, theta, stopped=False)
    return float(path[wiring(design).pin_at][1]) - design.datums.pin[1]
