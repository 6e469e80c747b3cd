"""A push rod with things off: as it comes out with the pulses of the report, and trimmed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from mounts.drive.push_rod.closing import Rod, ends_mm
from mounts.drive.push_rod.kinematics import rod_rate_mm_per_rad
from mounts.drive.tolerances import NAMES, Shifts, signed

Array = NDArray[np.float64]

COUNTED = frozenset(NAMES) - {"board_mm", "roadbed_mm", "pin_mm", "shaft_mm", "bore_mm"}
"""What a push rod is subject to: its length is set with its siting."""

_LEAST_RATE_MM = 1e-3
"""Per rad; a rod at its dead point moves nothing, and is refused for that."""


def worst_rod(box: tuple[Shifts, Shifts], side: float, *, without: frozenset[str] = frozenset()) -> Shifts:
    """Everything off so that the blades are pressed most (+1) or least (−1): a stiffer, narrower loop, a longer way.

    Args:
        box: ``tolerances``.
        side: +1 or −1.
        without: what is not off, such as ``TRIMMED_AWAY``.
    """
    against = dict.fromkeys(("leg_mm", "crown_mm", "siting_mm", "hole_mm"), -side)
    return signed(*box, {**against, **dict.fromkeys(without, 0.0)}, otherwise=side)


def shifted_rod(rod: Rod, shifts: Shifts) -> Rod:
    """The push rod as it comes out with the pulses of the report, before anything is trimmed."""
    wire = np.asarray(shifts.wire_mm)
    theta = np.asarray(rod.theta_rad) * (1.0 + np.asarray(shifts.gain))
    return replace(
        rod,
        theta_rad=theta + shifts.tooth_rad + shifts.dead_rad,
        throw_mm=np.asarray(rod.throw_mm) + 2.0 * np.asarray(shifts.siting_mm),
        horn_radius_mm=np.asarray(rod.horn_radius_mm) + shifts.radius_mm,
        leg_mm=np.maximum(np.asarray(rod.leg_mm) + shifts.leg_mm, 0.0),
        loop_radius_mm=np.asarray(rod.loop_radius_mm) + shifts.crown_mm,
        half_gap_mm=np.asarray(rod.half_gap_mm) + shifts.crown_mm,
        wire_mm=np.asarray(rod.wire_mm) + wire,
        arm_slack_mm=np.maximum(np.asarray(rod.arm_slack_mm) - wire, 0.0),
        pin_slack_mm=np.maximum(np.asarray(rod.pin_slack_mm) + shifts.hole_mm - wire, 0.0),
    )


def trimmed_rod(rod: Rod, shifts: Shifts) -> Rod:
    """The push rod as it comes out, its end pulses trimmed as in ``mounts.drive.rocking_wire.shifts``."""
    near, far = ends_mm(rod)
    lost = np.asarray(rod.arm_slack_mm) + np.asarray(rod.pin_slack_mm)
    end = np.maximum(_rod_rate(rod), _LEAST_RATE_MM)
    left = (far - near - np.asarray(rod.throw_mm) - lost) / 2.0
    past = left / np.maximum(
        _rod_rate(replace(rod, theta_rad=np.asarray(rod.theta_rad) - left / end / 2.0)), _LEAST_RATE_MM
    )
    siting = np.asarray(shifts.siting_mm) / end
    out = replace(shifted_rod(rod, shifts), theta_rad=np.asarray(rod.theta_rad) + siting)
    half_way = _rod_rate(replace(out, theta_rad=np.asarray(out.theta_rad) - past / 2.0))
    further = half_way * (past + shifts.dead_rad) + shifts.touch_mm
    near, far = ends_mm(out)
    lost = np.asarray(out.arm_slack_mm) + np.asarray(out.pin_slack_mm)
    return replace(out, throw_mm=far - near - lost - 2.0 * further)


def _rod_rate(rod: Rod) -> Array:
    """Way of the pin over that of the arm at full swing, the mean of both ends, mm per rad."""
    theta = np.asarray(rod.theta_rad, dtype=np.float64)
    rates = [rod_rate_mm_per_rad(angle, **rod.linkage()) for angle in (-theta, theta)]
    return np.asarray(np.abs(rates[0] + rates[1]) / 2.0)
