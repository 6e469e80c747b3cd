"""A push rod that was chosen, as rod again: what its tolerances do to it, and where its pin is."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from mounts.drive.bends import curvature_factor
from mounts.drive.push_rod.closing import Rod, rod_closing
from mounts.drive.push_rod.kinematics import rod_pin_offset_mm
from mounts.drive.push_rod.model import PushRodDrive, PushRodLimits
from mounts.drive.push_rod.shifts import COUNTED, shifted_rod, trimmed_rod
from mounts.drive.tolerances import Closed, Study
from mounts.inputs.spec import MountSpec


def push_rod(spec: MountSpec, drive: PushRodDrive) -> Rod:
    """The drive as a push rod, with the slack its holes have as drilled."""
    return Rod(
        theta_rad=np.radians(drive.swing_deg),
        throw_mm=spec.throw_mm,
        horn_radius_mm=drive.horn_radius_mm,
        rod_length_mm=drive.rod_length_mm,
        offset_mm=drive.offset_mm,
        before_mm=drive.loop_at_mm - drive.loop_feet_mm / 2.0,
        half_gap_mm=drive.loop_feet_mm / 2.0,
        loop_radius_mm=drive.loop_radius_mm,
        leg_mm=drive.loop_leg_mm,
        wire_mm=drive.wire_mm,
        modulus_mpa=drive.wire_modulus_mpa,
        arm_slack_mm=drive.arm_hole_drill_mm - drive.wire_mm,
        pin_slack_mm=max(spec.tie_bar_hole_mm - drive.wire_mm, 0.0),
    )


def study(spec: MountSpec, limits: PushRodLimits, drive: PushRodDrive) -> Study:
    """The drive as its tolerances change it."""
    rod, tensile = push_rod(spec, drive), drive.wire_tensile_mpa
    return Study(
        counted=COUNTED,
        as_set=lambda shifts: _closed(shifted_rod(rod, shifts), tensile),
        trimmed=lambda shifts: _closed(trimmed_rod(rod, shifts), tensile),
    )


def _closed(rod: Rod, tensile_mpa: float) -> Closed:
    at = rod_closing(rod)
    inside = at.stress_mpa * curvature_factor(rod.loop_radius_mm, rod.wire_mm) / tensile_mpa
    left = at.overtravel_mm - at.lost_motion_mm / 2.0
    return Closed(at.travel_mm, left, at.force_after_slack_n, at.stronger_force_n, inside)


def pin_mm(drive: PushRodDrive) -> Callable[[float], float]:
    """The unloaded pin from mid throw by the arm's angle, mm and rad, + towards reverse."""
    end = math.radians(drive.swing_deg)

    def from_mid_swing(theta: float) -> float:
        return float(
            rod_pin_offset_mm(
                theta,
                horn_radius_mm=drive.horn_radius_mm,
                rod_length_mm=drive.rod_length_mm,
                offset_mm=drive.offset_mm,
            )
        )

    middle = (from_mid_swing(-end) + from_mid_swing(end)) / 2.0
    return lambda theta: from_mid_swing(theta) - middle
