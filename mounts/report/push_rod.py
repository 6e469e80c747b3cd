"""A push rod in words."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.design import Design
from mounts.drive.kinds import driven
from mounts.drive.push_rod.model import PushRodDrive
from mounts.report.kinds import Ends, Figure, Telling
from mounts.report.steps_beside import beside
from mounts.scene_marks import rod_marks
from mounts.units import number


def _tools(design: Design) -> Iterator[tuple[str, str]]:
    yield "steel rule", "mm"
    if (hole := design.plan.cable_hole) is not None:
        yield "drill, cable's hole in the board", f"{number(hole.drill_mm)} mm"
    formers = sorted({mark.former_mm for mark in rod_marks(design)})
    yield "drills, bends of the wire round their shanks", " and ".join(f"{number(size)} mm" for size in formers)
    if design.plan.arm_length_mm is not None:
        yield "saw or cutter", "for the arm"


def _ends(design: Design) -> Ends:
    """By the name of the style that stands beside the track, on the side of +y."""
    name = design.spec.style
    return Ends(f"the rod pushes the tie bar away from the {name}", f"the rod pulls the tie bar towards the {name}")


def _compared(drive: PushRodDrive) -> Iterator[tuple[str, str, float | str]]:
    yield "rod", "mm", drive.rod_length_mm
    yield "loop width", "mm", drive.loop_width_mm
    yield "loop height", "mm", drive.loop_height_mm


def _explained(drive: PushRodDrive) -> Iterator[tuple[str, str]]:
    yield "rod", f"{number(drive.rod_length_mm, 1)} mm from arm hole to pin"
    yield "loop", f"{number(drive.loop_width_mm, 1)} mm wide, {number(drive.loop_height_mm, 1)} mm high"


def _figures(drive: PushRodDrive) -> Iterator[Figure]:
    yield Figure("loop", drive.loop_height_mm, "mm", 3.0, "makes the loop {} mm high", "it is {} mm")


TELLING = Telling(
    steps=lambda design: beside(design, driven(design.drive, PushRodDrive)),
    tools=_tools,
    ends=_ends,
    compared=_compared,
    explained=_explained,
    figures=_figures,
)
