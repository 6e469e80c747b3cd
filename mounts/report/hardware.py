"""What to have on the bench: bought parts, wire length and drills."""

from __future__ import annotations

from collections import Counter

from pydantic import Field

from mounts.design import Design
from mounts.drive.model import RockingWireDrive
from mounts.inputs.model import Model
from mounts.scene_wire import wire_cut_mm
from mounts.units import number


class HardwareItem(Model):
    """Something to buy or to have at hand."""

    item: str
    size: str
    quantity: int = Field(ge=1)


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
