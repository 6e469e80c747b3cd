"""A rocking wire that was chosen, as linkage again: what its tolerances do to it, and where its pin is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from mounts.drive.rocking_wire.closing import Linkage, closing, free_pin_mm
from mounts.drive.rocking_wire.judge import stress_share
from mounts.drive.rocking_wire.model import RockingWireDrive, RockingWireLimits
from mounts.drive.rocking_wire.shifts import COUNTED, shifted, trimmed
from mounts.drive.tolerances import Closed, Study
from mounts.inputs.spec import MountSpec


def linkage(spec: MountSpec, limits: RockingWireLimits, drive: RockingWireDrive) -> Linkage:
    """The drive as a linkage, with the slack its holes have as drilled and printed."""
    return Linkage(
        theta_rad=np.radians(drive.swing_deg),
        throw_mm=spec.throw_mm,
        horn_radius_mm=drive.horn_radius_mm,
        pivot_to_horn_mm=drive.pivot_to_horn_mm,
        pivot_to_pin_mm=drive.pivot_to_pin_mm,
        horn_towards_pivot=drive.horn_towards_pivot,
        wire_mm=drive.wire_mm,
        modulus_mpa=drive.wire_modulus_mpa,
        pivot_slack_mm=limits.pivot_slack_mm,
        arm_slack_mm=drive.arm_hole_drill_mm - drive.wire_mm,
        pin_slack_mm=max(spec.tie_bar_hole_mm - drive.wire_mm, 0.0),
        held=drive.wire_held,
    )


def study(spec: MountSpec, limits: RockingWireLimits, drive: RockingWireDrive) -> Study:
    """The drive as its tolerances change it."""
    link, tensile = linkage(spec, limits, drive), drive.wire_tensile_mpa
    return Study(
        counted=COUNTED,
        as_set=lambda shifts: _closed(shifted(link, shifts), tensile),
        trimmed=lambda shifts: _closed(trimmed(link, shifts), tensile),
    )


def _closed(link: Linkage, tensile_mpa: float) -> Closed:
    at = closing(link)
    left = at.overtravel_mm - at.lost_motion_mm / 2.0
    pressed = replace(link, throw_mm=np.asarray(link.throw_mm) + at.lost_motion_mm)
    share = stress_share(closing(pressed), link, tensile_mpa)
    return Closed(at.travel_mm, left, at.force_after_slack_n, at.stronger_force_n, share)


def pin_mm(drive: RockingWireDrive) -> Callable[[float], float]:
    """The unloaded pin from mid throw by the arm's angle, mm and rad, + towards reverse."""
    return lambda theta: float(free_pin_mm(_unloaded(drive, theta)))


def _unloaded(drive: RockingWireDrive, theta_rad: float) -> Linkage:
    """The drive at an arm angle; slack and throw have no part in where the unloaded pin is."""
    return Linkage(
        theta_rad=theta_rad,
        throw_mm=0.0,
        horn_radius_mm=drive.horn_radius_mm,
        pivot_to_horn_mm=drive.pivot_to_horn_mm,
        pivot_to_pin_mm=drive.pivot_to_pin_mm,
        horn_towards_pivot=drive.horn_towards_pivot,
        wire_mm=drive.wire_mm,
        modulus_mpa=drive.wire_modulus_mpa,
        pivot_slack_mm=0.0,
        arm_slack_mm=0.0,
        pin_slack_mm=0.0,
        held=drive.wire_held,
    )
