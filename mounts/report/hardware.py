"""What to have on the bench: bought parts, wire length and drills."""

from __future__ import annotations

import math
from collections import Counter

from pydantic import Field

from mounts.design import Design
from mounts.drive.model import RockingWireDrive
from mounts.inputs.model import Model
from mounts.units import number

_ABOVE_TIE_BAR_MM = 3.0  # common practice, no source: stands proud at the end of the swing, so it can't drop out
_SPARE_MM = 10.0  # common practice, no source: held in the pliers while bending, cut off at the end
_BEND_RADII = 1.5  # inside radius in wire diameters; tighter bends crack spring wire (common practice)


class HardwareItem(Model):
    """Something to buy or to have at hand."""

    item: str
    size: str
    quantity: int = Field(ge=1)


def wire_cut_mm(design: Design) -> float:
    """Straight length of wire to cut, mm, rounded up to a whole millimetre, a spare end included."""
    drive = design.drive
    used_mm = _rocking_wire_mm(design, drive) if isinstance(drive, RockingWireDrive) else drive.cut_length_mm
    return float(math.ceil(used_mm + _SPARE_MM))


def _rocking_wire_mm(design: Design, drive: RockingWireDrive) -> float:
    """Wire of a rocking wire without a spare end, mm.

    The straight run from arm hole to tie bar at mid swing (d + h), the fall of the top end at the end of
    the swing (the wire slides down through the pivot as the arm swings aside), what stands above the tie
    bar, and the Z-bend: two quarter bends of radius ρ = 1.5 wire + wire/2 on the centre line, the step
    through the arm, the tail. With u the distance from pivot to arm hole at the end of the swing and c its
    part along the wire's middle position, the length from arm hole to tie bar is u·(1 + h/c).

        c = d + s·r(1 − cos θ)      u = √(c² + (r·sin θ)²)      fall = u·(1 + h/c) − (d + h)

    Source: own derivation; tests/report checks it against distances between points.
    """
    d, h, r = drive.pivot_to_horn_mm, drive.pivot_to_pin_mm, drive.horn_radius_mm
    swing_rad = math.radians(drive.swing_deg)
    sense = 1 if drive.horn_towards_pivot else -1
    c = d + sense * r * (1 - math.cos(swing_rad))
    fall = math.hypot(c, r * math.sin(swing_rad)) * (1 + h / c) - (d + h)
    bends = math.pi * (_BEND_RADII + 0.5) * drive.wire_mm
    z_bend = bends + design.spec.servo.horn_thickness_mm + design.plan.wire_tail_mm
    return d + h + max(fall, 0.0) + _ABOVE_TIE_BAR_MM + z_bend


def hardware(design: Design) -> tuple[HardwareItem, ...]:
    """Servo, its screws, wire, fixing screws and drills, in the order they are used."""
    spec, drive = design.spec, design.drive
    servo, fixing = spec.servo, spec.fixing
    ear_screws = 4 if servo.flange_hole_pitch_mm > 0 else 2
    screw_mm = servo_screw_length_mm(design)
    own = screw_mm == servo.screw_length_mm
    found = [
        HardwareItem(item="servo, with arm and arm screw", size=servo.name, quantity=1),
        HardwareItem(
            item="servo's own screw" if own else "self-tapping screw in place of the servo's own, which are short",
            size=f"{number(servo.screw_mm)} × {number(screw_mm)} mm", quantity=ear_screws,
        ),
        HardwareItem(
            item=f"wire, {spec.wire.name}",
            size=f"{number(drive.wire_mm)} mm, cut {number(wire_cut_mm(design))} mm", quantity=1,
        ),
        *_fixings(design),
    ]
    if isinstance(drive, RockingWireDrive):
        found.append(
            HardwareItem(item="drill, wire's hole in the board", size=f"{number(drive.board_hole_mm)} mm", quantity=1)
        )
    if spec.board.screw_depth_mm:
        found.append(
            HardwareItem(item="drill, pilot for the fixing screws", size=f"{number(fixing.pilot_mm)} mm", quantity=1)
        )
    if design.plan.pilot_drill_mm is not None:
        found.append(
            HardwareItem(
                item="drill, holes for the servo's screws", size=f"{number(design.plan.pilot_drill_mm)} mm", quantity=1
            )
        )
    if arm_hole_needs_drill(design):
        found.append(
            HardwareItem(item="drill, arm hole", size=f"{number(drive.arm_hole_drill_mm)} mm", quantity=1)
        )
    return tuple(found)


def _fixings(design: Design) -> tuple[HardwareItem, ...]:
    """Screws by their length; glue for a board of foam, which holds none."""
    fixing = design.spec.fixing
    if not design.spec.board.screw_depth_mm:
        return (HardwareItem(item="adhesive that the foam stands", size=design.spec.board.name, quantity=1),)
    return tuple(
        HardwareItem(
            item=f"{fixing.kind} screw, countersunk",
            size=f"{number(fixing.shank_mm)} × {number(length_mm)} mm", quantity=quantity,
        )
        for length_mm, quantity in sorted(Counter(screw.length_mm for screw in design.plan.screws).items())
    )


def servo_screw_length_mm(design: Design) -> float:
    """Length of the servo's screws under the head, mm: its own, or longer ones where those would not hold."""
    return design.plan.servo_screw_length_mm or design.spec.servo.screw_length_mm


def arm_hole_needs_drill(design: Design) -> bool:
    """The arm's hole as bought is smaller than the wire needs."""
    return design.drive.arm_hole_drill_mm > design.spec.servo.horn_hole_mm + 1e-9
