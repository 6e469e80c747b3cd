"""What to have at hand: bought parts, and the tools that the steps ask for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from pydantic import Field

from mounts.design import Design
from mounts.drive.kinds import kind_of
from mounts.inputs.model import Model
from mounts.inputs.spec import MountSpec
from mounts.report.kinds import outcome, telling
from mounts.scene_wire import wire_cut_mm
from mounts.styles._fixings import FOAM_BOND_MPA, bond_mpa
from mounts.units import number

OWN_LEAD_MM = 150, 250  # from memory; measure yours


class HardwareItem(Model):
    """Something to buy or to have at hand."""

    item: str
    size: str
    quantity: int = Field(ge=1)
    tool: bool = Field(False, description="one is enough for any number of mounts")


def hardware(design: Design) -> tuple[HardwareItem, ...]:
    """What to buy, then the tools that the steps ask for, in the order they are used."""
    spec, drive = design.spec, design.drive
    servo = spec.servo
    screw_mm = design.servo_screw_length_mm
    own = screw_mm == servo.screw_length_mm
    wires = len(kind_of(drive).wires_y(drive))
    arm = "arm" if wires == 1 else "double arm"
    return (
        HardwareItem(item=f"servo, with {arm} and arm screw", size=servo.name, quantity=1),
        HardwareItem(
            item="servo's own screw" if own else "self-tapping screw in place of the servo's own, which are short",
            size=f"{number(servo.screw_mm)} × {number(screw_mm)} mm",
            quantity=len(servo.ear_screws_mm),
        ),
        HardwareItem(
            item=f"wire, {spec.wire.name}",
            size=f"{number(drive.wire_mm)} mm, cut {number(wire_cut_mm(design))} mm",
            quantity=wires,
        ),
        *_fixings(design),
        HardwareItem(item="cable clip or tape", size="for the servo's lead", quantity=1),
        HardwareItem(
            item="extension lead, 3 wires, where the servo's own does not reach the controller",
            size=f"the own one is about {OWN_LEAD_MM[0]} to {OWN_LEAD_MM[1]} mm long",
            quantity=1,
        ),
        *(HardwareItem(item=item, size=size, quantity=1, tool=True) for item, size in _tools(design)),
    )


def _tools(design: Design) -> Iterator[tuple[str, str]]:
    """Drills by size, what measures and holds, and what protects."""
    spec, drive, wire = design.spec, design.drive, f"{number(design.drive.wire_mm)} mm"
    yield "controller or servo tester", "shows the pulse in µs"
    yield "eye protection", "for cutting wire and drilling"
    yield "cutter and pliers", f"for spring wire, {wire}"
    yield "file", "fine, for the wire's end"
    if design.plan.pilot_drill_mm is not None:
        yield "drill, holes for the servo's screws", f"{number(design.plan.pilot_drill_mm)} mm"
    if arm_hole_needs_drill(design):
        yield "drill, arm hole", f"{number(drive.arm_hole_drill_mm)} mm"
    yield from outcome(drive).tools(spec)
    yield from telling(drive).tools(design)
    if spec.fixing.kind == "bolt" and not spec.bonded:
        yield "drill, right through the board for the bolts", f"{number(spec.fixing.pilot_mm)} mm"
    elif not spec.bonded:
        yield "drill, pilot for the fixing screws", f"{number(spec.fixing.pilot_mm)} mm"
    yield "tape", "depth stop on the drills"
    yield from outcome(drive).feelers


def _fixings(design: Design) -> tuple[HardwareItem, ...]:
    """Screws by their length, nuts and washers of bolts, a pad under the board, glue."""
    spec, fixing = design.spec, design.spec.fixing
    if spec.bonded:
        return (HardwareItem(item=glue(spec), size=spec.board.name, quantity=1),)
    found = [
        HardwareItem(
            item=f"{'machine' if fixing.kind == 'bolt' else fixing.kind} screw, countersunk",
            size=f"{number(fixing.shank_mm)} × {number(length_mm)} mm",
            quantity=quantity,
        )
        for length_mm, quantity in sorted(Counter(screw.length_mm for screw in design.plan.screws).items())
    ]
    if fixing.kind == "bolt":
        size, count = f"{number(fixing.shank_mm)} mm", len(design.plan.screws)
        found += [HardwareItem(item=item, size=size, quantity=count) for item in ("washer", "nut")]
    if corners := design.plan.pad_xy:
        along, across = (number(max(side) - min(side), 0) for side in zip(*corners, strict=True))
        size = f"{along} × {across} × {number(spec.pad_mm)} mm"
        found.append(HardwareItem(item="plywood pad, glued under the board", size=size, quantity=1))
        found.append(HardwareItem(item=glue(spec), size="for the pad", quantity=1))
    if (down := design.plan.drop_in) and (backing := down.backing):
        along, across = (number(side, 0) for side in backing.sizes_mm())
        item = "plywood frame, let into the foam" if backing.let_in else "plywood strip, glued under the board"
        size = f"{along} × {across} × {number(backing.thick_mm)} mm"
        found.append(HardwareItem(item=item, size=size, quantity=len(backing.pieces)))
        found.append(HardwareItem(item=glue(spec), size="for the plywood", quantity=1))
    return tuple(found)


def glue(spec: MountSpec) -> str:
    """What the mount is bonded with, or the plywood for its screws."""
    foam = spec.bonded or spec.frame_mm or bond_mpa(spec, from_above=False) == FOAM_BOND_MPA
    return "adhesive that the foam stands" if foam else "wood glue"


def arm_hole_needs_drill(design: Design) -> bool:
    """The arm's hole as bought is smaller than the wire needs."""
    return design.drive.arm_hole_drill_mm > design.spec.servo.horn_hole_mm + 1e-9
