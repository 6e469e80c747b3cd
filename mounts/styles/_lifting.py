"""What every mount of a lift places the same: the rod's upper end."""

from __future__ import annotations

import math

from mounts.drive.lift import kinematics
from mounts.drive.lift.model import LiftDrive

OVER_MM = 3.0
"""Of a slid wire's coupling over what it stands on, at its lowest. Common practice, no source."""


def end_at_mid(drive: LiftDrive, pin_height_mm: float, top_z: float) -> tuple[float, float]:
    """The rod's upper end with the arm at mid, y and z: the crank's hole, or where a signal's wire is coupled.

    Args:
        drive: the lift.
        pin_height_mm: least height of a coupling.
        top_z: of board or flange, which a coupling must clear.
    """
    if drive.crank_mm is None or drive.crank_pivot is None or drive.crank_towards is None:
        return 0.0, max(pin_height_mm, top_z + OVER_MM + drive.travel_mm)
    turned = kinematics.crank_rad(
        math.radians(drive.mid_deg),
        radius_mm=drive.horn_radius_mm,
        rod_mm=drive.rod_length_mm,
        shaft=drive.shaft,
        crank_mm=drive.crank_mm,
        pivot=drive.crank_pivot,
        towards=drive.crank_towards,
    )
    y, z = kinematics.crank_end(turned, crank_mm=drive.crank_mm, pivot=drive.crank_pivot, towards=drive.crank_towards)
    return float(y), float(z)
