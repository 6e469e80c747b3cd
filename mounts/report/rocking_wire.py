"""A rocking wire in words."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.design import Design
from mounts.drive.kinds import driven
from mounts.drive.rocking_wire.model import RockingWireDrive
from mounts.report.boring import fine_drill_mm, first_drill_mm, locator_mm, pilot_reach_mm, strip_mm
from mounts.report.kinds import Ends, Figure, Telling
from mounts.report.steps_under import under
from mounts.scene_rocking_wire import bent_wire
from mounts.units import number


def _rocking(design: Design) -> RockingWireDrive:
    return driven(design.drive, RockingWireDrive)


def _tools(design: Design) -> Iterator[tuple[str, str]]:
    spec, drive = design.spec, _rocking(design)
    yield "drill, bends of the wire round its shank", f"{number(bent_wire(design).bends[0].former_mm)} mm"
    yield "strips to block the blades", f"two, {number(strip_mm(spec), 2)} mm thick"
    reach = f", {number(pilot_reach_mm(spec), 0)} mm out of the chuck" if spec.laid else ""
    yield "drill, pilot at the tie bar", f"{number(fine_drill_mm(spec))} mm{reach}"
    if spec.laid and (first := first_drill_mm(drive)):
        yield "drill, opening up the pilot", f"{number(first)} mm"
    yield "drill, wire's hole in the board", f"{number(drive.board_hole_mm)} mm"
    yield "straight wire or drill as a locator", f"{number(drive.wire_mm)} mm, {number(locator_mm(drive))} mm long"
    yield "small square, straight edge, pencil", "to set the locator and to draw both lines"
    if spec.laid:
        yield "knife or round file", "for the last of the roadbed"


def _ends(design: Design) -> Ends:
    """By the three notches in the plate's edge, on the side of +y."""
    side = "the side where the plate has three notches"
    return Ends(f"the tie bar is pushed away from {side}", f"the tie bar is pushed to {side}")


def _compared(drive: RockingWireDrive) -> Iterator[tuple[str, str, float | str]]:
    yield "pivot to arm hole", "mm", drive.pivot_to_horn_mm
    yield "hole in the board", "mm", drive.board_hole_mm


def _explained(drive: RockingWireDrive) -> Iterator[tuple[str, str]]:
    yield "pivot to arm hole", f"{number(drive.pivot_to_horn_mm, 1)} mm"
    yield "hole in the board", f"{number(drive.board_hole_mm)} mm"


def _figures(drive: RockingWireDrive) -> Iterator[Figure]:
    yield Figure("depth", drive.pivot_to_horn_mm, "mm", 3.0, "takes {} mm from pivot to arm hole", "it takes {} mm")


def _instead(drive: RockingWireDrive, pin: str) -> str:
    return f"{number(drive.pivot_to_horn_mm, 1)} mm from pivot to arm hole" if pin == "depth_mm" else ""


TELLING = Telling(
    steps=lambda design: under(design, _rocking(design)),
    tools=_tools,
    ends=_ends,
    compared=_compared,
    explained=_explained,
    figures=_figures,
    instead=_instead,
)
