"""The wire to bend, drawn at 1:1, as SVG in millimetres."""

from __future__ import annotations

import numpy as np

from mounts import scene
from mounts.design import Design
from mounts.drive.model import PushRodDrive
from mounts.export.paper import TEXT_MM as _TEXT_MM
from mounts.export.paper import Paper
from mounts.frames import Array
from mounts.scene_marks import rod_marks
from mounts.scene_wire import HANDLE_MM, bent_wire, wire_cut_mm
from mounts.units import number

_ENDS = "arm at the left, tie bar at the right"
_BEFORE_CUTTING = "Wear eye protection when cutting: the ends fly. Spring wire springs back: bend past the line."


def render_wire(design: Design) -> bytes:
    """The wire to bend, as it lies at mid swing.

    A rocking wire is seen across the track. A push rod is seen along the track and from above, for each of its
    bends shows in one of both. Either is drawn straight too, with the place of every bend.
    """
    drive = design.drive
    paper = Paper()
    notes: list[str] = []
    if not isinstance(drive, PushRodDrive):
        notes = _rocking(paper, design)
    else:
        path = scene.wire_path(design, 0.0)
        lower = _view(paper, path[:, [1, 2]] * (-1.0, 1.0), 0.0, drive.wire_mm, f"seen along the track; {_ENDS}")
        lower = _view(paper, path[:, [1, 0]] * (-1.0, 1.0), lower, drive.wire_mm, f"seen from above; {_ENDS}")
        y = lower - 5 * _TEXT_MM
        left = paper.low[0]
        paper.line([(left, y), (left + drive.cut_length_mm, y)], wide_mm=drive.wire_mm)
        for count, bend in enumerate(rod_marks(design), start=1):
            at = left + bend.at_mm
            paper.line([(at, y - 2), (at, y + 2)])
            paper.text((at - 0.8, y + 3), str(count))
            notes.append(
                f"{count}: {number(bend.at_mm, 1)} mm, {bend.what}, {number(bend.angle_deg, 0)}° round a "
                f"{number(bend.former_mm)} mm drill; seen from above the rest goes {bend.turns}"
            )
        paper.text((left, y + 7), f"straight, each bend begins at its mark; {_ENDS}")
    paper.below([f"{design.spec.id}: wire {number(drive.wire_mm)} mm, to bend on.", *notes, _BEFORE_CUTTING])
    return paper.svg(f"{design.spec.id}: wire")


def _rocking(paper: Paper, design: Design) -> list[str]:
    """The bent wire, under it the straight one with its marks; what each bend is, in words."""
    wire_mm, bent, cut_mm = design.drive.wire_mm, bent_wire(design), wire_cut_mm(design)
    lower = _view(paper, bent.line_mm, 0.0, wire_mm, f"bent, the spare end cut off; {_ENDS}")
    y = lower - 5 * _TEXT_MM
    paper.line([(-HANDLE_MM, y), (cut_mm - HANDLE_MM, y)], wide_mm=wire_mm)
    paper.line([(0.0, y - 2), (0.0, y + 2)])
    paper.text((-2.6, y + 2.6), "0")
    for count, bend in enumerate(bent.bends, start=1):
        paper.line([(bend.at_mm, y - 2), (bend.at_mm, y + 2)])
        paper.text((bend.at_mm - 0.8, y + 2.6), str(count))
    paper.line([(bent.used_mm, y - 2), (bent.used_mm, y + 2)], dash="1 1")
    paper.text((bent.used_mm - 0.8, y + 2.6), "E")
    paper.text((-HANDLE_MM, y + 7), "straight; each bend begins at its mark")
    return [
        f"0: the arm's end, {number(HANDLE_MM)} mm from the end of the wire, which hold it while it is bent; cut them "
        "off then.",
        *(
            f"{count}: begins at {number(bend.at_mm, 1)} mm, {number(abs(bend.angle_deg), 0)}° {bend.turns}; round the "
            f"shank of a {number(bend.former_mm)} mm drill, inside radius {number(bend.inside_radius_mm, 2)} mm"
            for count, bend in enumerate(bent.bends, start=1)
        ),
        f"E: {number(bent.used_mm, 1)} mm, the end above the tie bar; cut off there once the points are trimmed.",
        f"Cut the wire {number(cut_mm)} mm long.",
    ]


def _view(paper: Paper, line: Array, top: float, wire_mm: float, name: str) -> float:
    """Draws a line (n, 2) under a height, its left end at 0, and returns how low it reaches."""
    moved = line - np.array([line[:, 0].min(), line[:, 1].max() - top + 3.5 * _TEXT_MM])
    paper.text((0.0, top - 2 * _TEXT_MM), name)
    paper.line([(float(x), float(y)) for x, y in moved], wide_mm=wire_mm)
    return float(moved[:, 1].min())
