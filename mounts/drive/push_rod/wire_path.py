"""Where to bend a push rod's wire, marked while it is straight."""

from __future__ import annotations

import math
from dataclasses import dataclass

from mounts.drive.bends import z_bend_mm
from mounts.drive.push_rod.model import Bend


@dataclass(frozen=True)
class Corner:
    """One bend of the wire's centre line: how far it is to the next, and how it turns.

    Attributes:
        what: what it makes.
        angle_rad: turn.
        radius_mm: of the centre line.
        before_mm: from the previous corner (or the cut end) to this one, along the sharp-cornered line;
            to an arc's start where one of both turns by a half circle or more.
    """

    what: str
    angle_rad: float
    radius_mm: float
    before_mm: float

    def tangent_mm(self) -> float:
        """What rounding takes off the straight either side; an arc of a half circle or more is drawn as it is."""
        return 0.0 if self.angle_rad >= math.pi else self.radius_mm * math.tan(self.angle_rad / 2.0)


def push_rod_corners(
    *,
    wire_mm: float,
    horn_thickness_mm: float,
    wire_tail_mm: float,
    rod_length_mm: float,
    before_mm: float,
    loop_feet_mm: float,
    loop_leg_mm: float,
    loop_radius_mm: float,
    slant_rad: float,
    foot_radius_mm: float,
    pin_leg_mm: float,
) -> tuple[tuple[Corner, ...], float]:
    """Corners from the arm's end to the pin's, and the straight after the last, mm.

    Z-bend into the arm (tail, through the arm, rod), the loop's two feet and crown, the leg for the tie
    bar. Through the arm the wire needs the arm's thickness, its own and some play, and two bend radii.

    Args:
        wire_mm: diameter.
        horn_thickness_mm: of the arm, which the Z-bend goes through.
        wire_tail_mm: straight beyond the Z-bend.
        rod_length_mm: arm hole to pin.
        before_mm: arm hole to the loop's near foot.
        loop_feet_mm: from foot to foot.
        loop_leg_mm: straight leg, foot to crown.
        loop_radius_mm: of the crown, to the wire's centre.
        slant_rad: of the legs, rad; 0 where they are parallel.
        foot_radius_mm: of every other bend, to the wire's centre.
        pin_leg_mm: leg that stands in the tie bar.
    """
    square = math.pi / 2.0
    through = float(z_bend_mm(horn_thickness_mm=horn_thickness_mm, wire_mm=wire_mm, foot_radius_mm=foot_radius_mm))
    from_foot = rod_length_mm - before_mm - loop_feet_mm
    corners = (
        Corner("tail of the Z-bend", square, foot_radius_mm, wire_tail_mm),
        Corner("Z-bend at the arm", square, foot_radius_mm, through),
        Corner("near foot of the loop", square + slant_rad, foot_radius_mm, before_mm),
        Corner("crown of the loop", math.pi + 2.0 * slant_rad, loop_radius_mm, loop_leg_mm),
        Corner("far foot of the loop", square + slant_rad, foot_radius_mm, loop_leg_mm),
        Corner("leg for the tie bar", square, foot_radius_mm, from_foot),
    )
    return corners, pin_leg_mm


def bends(corners: tuple[Corner, ...], last_mm: float, *, wire_mm: float) -> tuple[tuple[Bend, ...], float]:
    """Bends at their places along the straight wire, and the length to cut, mm.

    Centre-line lengths: straights shortened by each bend's tangent, arcs r·angle. Spring wire's springback
    is not counted: overbend until the drawing fits.

    Source:
        Plane geometry; neutral line in the middle of the wire, as for bends of 1.5 d and more
        (common practice, no source).
    """
    along, marked, taken = 0.0, [], 0.0
    for corner in corners:
        along += corner.before_mm - taken - corner.tangent_mm()
        marked.append(
            Bend(
                what=corner.what,
                at_mm=along,
                angle_deg=math.degrees(corner.angle_rad),
                inside_radius_mm=corner.radius_mm - wire_mm / 2.0,
            )
        )
        along += corner.radius_mm * corner.angle_rad
        taken = corner.tangent_mm()
    return tuple(marked), along + last_mm - taken
