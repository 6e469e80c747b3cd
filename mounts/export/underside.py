"""What every template has that is held against the board from below: room, plate, screws and the hole."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from mounts.checks.neighbours import outlines
from mounts.design import Design
from mounts.drive.kinds import kind_of
from mounts.export.paper import Paper, Point
from mounts.export.template import CUT, ROOM, Samples, face, fixings, hull, notched, sample
from mounts.mesh import PartMesh
from mounts.units import number

UNDERSIDE = "UNDERSIDE: held against the board from below, print towards you"


class Underside(NamedTuple):
    """What was drawn: corners in the mount frame, mm, and what stands for the fixings below the drawing."""

    room: list[Point]
    plate: list[Point]
    screws: Samples


def from_below(point: Sequence[float]) -> Point:
    """Mount frame to paper, mm: the mirror image of the plan."""
    return (point[0], -point[1])


def underside(paper: Paper, design: Design, meshes: Sequence[PartMesh], hole_mm: float) -> Underside:
    """Room below the board, plate with its notches, fixings, pad, and the holes, the first in the middle.

    Args:
        paper: to draw on.
        design: where everything stands.
        meshes: the parts as exported.
        hole_mm: diameter drilled through the board.
    """
    room = hull(np.vstack([np.array(outline.corners) for outline in outlines(design, meshes)]))
    paper.line([from_below(corner) for corner in room], dash=ROOM, closed=True)
    plate = face(design, meshes, top=True)
    paper.line([from_below(corner) for corner in plate], wide_mm=0.4, closed=True)
    for mark in design.plan.index_marks:
        notched(paper, mark, from_below)
    screws = fixings(paper, design, from_below)
    if pad := design.plan.pad_xy:
        paper.line([from_below(corner) for corner in pad], dash=CUT, closed=True)
        thick = number(design.spec.pad_mm)
        screws.append((sample(paper, dash=CUT), f"plywood pad, {thick} mm, glued under the board"))
    for y in kind_of(design.drive).wires_y(design.drive):
        paper.circle(from_below((0.0, y)), hole_mm)
    return Underside(room, plate, screws)
