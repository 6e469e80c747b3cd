"""Doors and windows of the shells: which of them the wall has room for, and what is drawn of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from mounts.design import Span
from mounts.inputs.printer import Printer
from mounts.inputs.spec import MountSpec
from mounts.styles import _shell
from mounts.styles._housing_plan import HousingPlan, sound_mm
from mounts.styles._shell import EDGE_MM, Side, Walls, scaled_mm

if TYPE_CHECKING:
    import cadquery as cq

DOOR_M = (0.8, 2.0)  # width and height of a leaf; common practice, no source
WINDOW_M = (0.9, 1.0)  # common practice, no source
LEAST_WIDE_M = {"door": 0.6, "window": 0.4}  # where the wall is narrow; common practice, no source
LEAST_WINDOW_M = 0.5  # height where the wall is low; common practice, no source
SILL_M, STOREY_M = 1.0, 2.7  # sill over the floor, floor to floor; common practice, no source
BAR_M = 0.05  # glazing bar; common practice, no source
BAR_LINES = 2.0  # nozzles; a narrower bar or frame is left out by a slicer
ROOT_MM = 0.1  # of a frame in its wall: faces that only touch make a boolean slow
LEAST_PANE_LINES = 3.0  # nozzles; a narrower pane closes up; common practice, no source

Kind = Literal["door", "window"]
Rectangle = tuple[Span, Span]


@dataclass(frozen=True)
class Opening:
    """A door leaf or a window, along its wall and up, in the coordinates of the wall's plane, mm."""

    side: Side
    kind: Kind
    along: Span
    up: Span


def openings_on(
    spec: MountSpec,
    plan: HousingPlan,
    walls: Walls,
    wanted: Mapping[Side, tuple[Kind, int]],
    *,
    top_z: float,
    proud_mm: float,
) -> tuple[tuple[Opening, ...], tuple[str, ...]]:
    """What goes into the walls, windows on every storey; and what does not, with the reason.

    Args:
        spec: scale and printer.
        plan: where rod and cable pass.
        walls: the walls.
        wanted: what stands in the middle of each wall, and how many columns it has; the others are windows.
        top_z: height that frames must stay below.
        proud_mm: how far their frames stand out.
    """
    found: list[Opening] = []
    left: list[str] = []
    edge = edge_mm(spec, proud_mm)
    holes = _shell.openings(plan)
    for side, (kind, columns) in wanted.items():
        low, high = walls.along(side)
        width = (high - low) / columns
        corner = max(edge, sound_mm(spec))  # what stands between the openings of two walls carries
        room = width - 2 * (corner if columns > 1 else edge + walls.wall_mm)
        whys = []
        for column in range(columns):
            middle = low + (column + 0.5) * width
            standing = kind if column == columns // 2 else "window"
            for opening in _column(spec, side, standing, middle, room, top_z - edge):
                why = _no_room(opening, top_z - edge, room, holes.get(side), edge)
                found += [] if why else [opening]
                whys += [f"no {opening.kind} in the wall at {side}: {why}"] if why and opening.kind == kind else []
        if not any(opening.side == side and opening.kind == kind for opening in found):
            left += whys[:1]
    return tuple(found), tuple(left)


def edge_mm(spec: MountSpec, proud_mm: float) -> float:
    """What is kept between an opening and another, or the end of its wall: its frame with the flank."""
    return strip_mm(spec.printer) + proud_mm


def room_for_door_mm(spec: MountSpec, proud_mm: float) -> float:
    """How high a wall must be to have a door."""
    return scaled_mm(spec, DOOR_M[1]) + edge_mm(spec, proud_mm) + 0.1


def _column(spec: MountSpec, side: Side, kind: Kind, middle: float, room: float, top_z: float) -> list[Opening]:
    """A column of openings, one a storey, as wide as usual or as the room; the one on the ground has it or not."""

    def half_mm(what: Kind) -> float:
        usual = scaled_mm(spec, (DOOR_M if what == "door" else WINDOW_M)[0])
        return max(scaled_mm(spec, LEAST_WIDE_M[what]), min(usual, room)) / 2

    half = half_mm(kind)
    column = []
    if kind == "door":
        column.append(Opening(side, "door", (middle - half, middle + half), (0.0, scaled_mm(spec, DOOR_M[1]))))
        half = half_mm("window")
    for storey in range(len(column), 100):
        sill = scaled_mm(spec, SILL_M + storey * STOREY_M)
        least, usual = (sill + scaled_mm(spec, height) for height in (LEAST_WINDOW_M, WINDOW_M[1]))
        if storey and least > top_z:
            break
        column.append(Opening(side, "window", (middle - half, middle + half), (sill, max(least, min(usual, top_z)))))
    return column


def _no_room(opening: Opening, top_z: float, wide: float, hole: tuple[Span, float] | None, edge: float) -> str:
    """Why an opening is left out, or nothing."""
    if opening.up[1] > top_z + 1e-9:
        return f"its top would be at {opening.up[1]:.1f} mm, the wall has room to {top_z:.1f}"
    if _length(opening.along) > wide + 1e-9:
        return f"it is {_length(opening.along):.1f} mm wide, there is room for {wide:.1f}"
    free = 2 * edge  # its own frame and that of the hole
    if (
        hole
        and hole[1] + free > opening.up[0]
        and hole[0][0] < opening.along[1] + free
        and (opening.along[0] < hole[0][1] + free)
    ):
        return "the opening for rod or cable is in its place"
    return ""


def strip_mm(printer: Printer) -> float:
    """Narrowest bar or frame that prints."""
    return BAR_LINES * printer.nozzle_mm


def panes(opening: Opening, spec: MountSpec, *, depth_mm: float) -> tuple[Rectangle, ...]:
    """The panes of an opening at the wall's face: two by two where they can be printed, a leaf as one."""
    bar = max(scaled_mm(spec, BAR_M), strip_mm(spec.printer))
    least = LEAST_PANE_LINES * spec.printer.nozzle_mm
    columns = rows = 1
    if opening.kind == "window":
        columns = 2 if (_length(opening.along) - bar) / 2 >= least else 1
        rows = 2 if (_length(opening.up) - bar) / 2 - 2 * depth_mm >= least else 1
    return tuple(
        (along, up) for along in _divided(opening.along, columns, bar) for up in _divided(opening.up, rows, bar)
    )


def _length(span: Span) -> float:
    return span[1] - span[0]


def _divided(span: Span, count: int, bar: float) -> list[Span]:
    one = (_length(span) - (count - 1) * bar) / count
    return [(span[0] + k * (one + bar), span[0] + k * (one + bar) + one) for k in range(count)]


def openings_bodies(
    walls: Walls, openings: tuple[Opening, ...], spec: MountSpec, *, proud_mm: float
) -> tuple[list[cq.Shape], list[cq.Shape]]:
    """Frames to join to the walls and panes to cut into them, down to the walls' faces.

    Args:
        walls: that the openings are in.
        openings: doors and windows.
        spec: printer and scale.
        proud_mm: how far the frames stand out.
    """
    from mounts.solid.relief import pad, pocket

    strip = strip_mm(spec.printer)
    pads: list[cq.Shape] = []
    pockets: list[cq.Shape] = []
    for opening in openings:
        plane = walls.plane(opening.side)
        low = proud_mm + ROOT_MM + EDGE_MM if opening.kind == "door" else opening.up[0] - strip
        sides = (opening.along[0] - strip, opening.along[1] + strip)
        pads.append(pad(plane, (sides, (low, opening.up[1] + strip)), proud_mm=proud_mm, root_mm=ROOT_MM))
        for along, up in panes(opening, spec, depth_mm=proud_mm):
            sill = proud_mm + EDGE_MM if opening.kind == "door" else up[0]
            pockets.append(pocket(plane, (along, (sill, up[1])), depth_mm=proud_mm, from_mm=proud_mm))
    return pads, pockets


def foot_frames(plan: HousingPlan, walls: Walls, spec: MountSpec, *, proud_mm: float) -> list[cq.Shape]:
    """Frames round the openings for rod and cable.

    Args:
        plan: where they are.
        walls: that they are in.
        spec: printer and scale.
        proud_mm: how far the frames stand out.
    """
    from mounts.solid.relief import lintel_rise_mm, pad

    strip, low = strip_mm(spec.printer), proud_mm + ROOT_MM + EDGE_MM
    frames: list[cq.Shape] = []
    for side, ((left, right), top_z) in _shell.openings(plan).items():
        rise = lintel_rise_mm(right - left, _shell.lintel_mm(spec.printer, right - left))
        face = ((left - strip, right + strip), (low, top_z + rise + strip))
        frames.append(pad(walls.plane(side), face, proud_mm=proud_mm, root_mm=ROOT_MM))
    return frames
