"""A rocking wire with things off: as it comes out with the pulses of the report, and trimmed.

Results have the shape that linkage and shifts broadcast to.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from mounts.drive.rocking_wire.closing import (
    Linkage,
    free_pin_mm,
    free_rate_mm_per_rad,
    lost_motion_mm,
    past_touch_rad,
    turned,
)
from mounts.drive.rocking_wire.kinematics import turning_back_rad
from mounts.drive.tolerances import NAMES, Shifts

Array = NDArray[np.float64]

COUNTED = frozenset(NAMES) - {"leg_mm", "crown_mm"}
"""What a rocking wire is subject to: it has no loop."""


def shifted(link: Linkage, shifts: Shifts) -> Linkage:
    """The linkage as it comes out with the pulses of the report, before anything is trimmed.

    The mount fixes the distance from pivot to shaft, D = d + s·r, so a longer arm shortens d (arm towards
    the pivot). A hole never gets tighter than the wire. A siting error takes as much off one end as it adds
    to the other: the pin of the end looked at stops at throw/2 and the error.
    """
    sign, wire = np.where(link.horn_towards_pivot, 1.0, -1.0), np.asarray(shifts.wire_mm)
    theta = np.asarray(link.theta_rad) * (1.0 + np.asarray(shifts.gain))
    return replace(
        link,
        theta_rad=theta + shifts.tooth_rad + shifts.dead_rad,
        throw_mm=np.asarray(link.throw_mm) + 2.0 * np.asarray(shifts.siting_mm),
        horn_radius_mm=np.asarray(link.horn_radius_mm) + shifts.radius_mm,
        pivot_to_horn_mm=np.asarray(link.pivot_to_horn_mm) + shifts.shaft_mm - sign * np.asarray(shifts.radius_mm),
        pivot_to_pin_mm=np.asarray(link.pivot_to_pin_mm) + shifts.board_mm + shifts.roadbed_mm + shifts.pin_mm,
        wire_mm=np.asarray(link.wire_mm) + wire,
        pivot_slack_mm=np.maximum(np.asarray(link.pivot_slack_mm) + shifts.bore_mm - wire, 0.0),
        arm_slack_mm=np.maximum(np.asarray(link.arm_slack_mm) - wire, 0.0),
        pin_slack_mm=np.maximum(np.asarray(link.pin_slack_mm) + shifts.hole_mm - wire, 0.0),
    )


def trimmed(link: Linkage, shifts: Shifts) -> Linkage:
    """The linkage as it comes out, its end pulse moved until the blade touches and then as far on as meant.

    The touch finds half the throw, the siting error, the tooth and all slack; the way between the touches of both
    ends shows the gain (``mounts.drive.trim``, ``past_share``). The rest of the way is an arm angle, Δθ of the nominal
    linkage, and the pin follows at the rate that the linkage has there. What the eye misreads, and what the dead band
    scatters, is added to it. A trimmed end stands siting/rate further round than the nominal one. The throw that is
    returned leaves just that over-travel.

    Domain:
        The pin's rate is taken in the middle of Δθ, which errs by the third power of it: less than 2.5 % of the
        over-travel; tests/drive/test_rocking_by_hand.py turns the arm until the blade touches instead, with everything
        at either end. NaN where the travel turns back before that (the limit and the check ``turning-back``).
    """
    past = past_touch_rad(link)
    siting = np.asarray(shifts.siting_mm) / free_rate_mm_per_rad(link)
    out = turned(shifted(link, shifts), np.asarray(link.theta_rad) + siting)
    half_way = free_rate_mm_per_rad(turned(out, np.asarray(out.theta_rad) - past / 2.0))
    left = half_way * (past + shifts.dead_rad) + shifts.touch_mm
    return replace(out, throw_mm=2.0 * (free_pin_mm(out) - left) - lost_motion_mm(out))


def turning_room_rad(link: Linkage, siting_mm: float) -> Array:
    """Between where the travel turns back and an end that was trimmed by a siting error, rad."""
    turning = turning_back_rad(link.horn_radius_mm, link.pivot_to_horn_mm, link.horn_towards_pivot)
    return np.asarray(turning - np.asarray(link.theta_rad) - siting_mm / free_rate_mm_per_rad(link))
