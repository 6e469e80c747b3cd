"""A push rod on paper: the wire seen along the track and from above, and a housing's template seen from above."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mounts import scene
from mounts.checks.neighbours import outlines
from mounts.design import Design
from mounts.drive.kinds import driven
from mounts.drive.push_rod.model import PushRodDrive
from mounts.export.kinds import Drawing
from mounts.export.paper import TEXT_MM, Paper, Point
from mounts.export.template import (
    AXIS,
    BED,
    BEFORE_DRILLING,
    CUT,
    LIGHT,
    ROD,
    ROOM,
    Samples,
    face,
    fixings,
    hull,
    ring,
    sample,
    track,
    travel,
    travelled,
)
from mounts.export.wire_drawing import ENDS, view
from mounts.mesh import PartMesh
from mounts.scene_marks import rod_marks
from mounts.scene_site import lane, near_rail
from mounts.units import number

DRAWN_MM = 10.0  # rails past what is drawn between them


def _wire(paper: Paper, design: Design) -> list[str]:
    """Each of the bends shows in one of both views; the straight wire has the place of each."""
    drive, notes = driven(design.drive, PushRodDrive), []
    path = scene.wire_path(design, 0.0)
    lower = view(paper, path[:, [1, 2]] * (-1.0, 1.0), 0.0, drive.wire_mm, f"seen along the track; {ENDS}")
    lower = view(paper, path[:, [1, 0]] * (-1.0, 1.0), lower, drive.wire_mm, f"seen from above; {ENDS}")
    y = lower - 5 * TEXT_MM
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
    paper.text((left, y + 7), f"straight, each bend begins at its mark; {ENDS}")
    return notes


def _template(paper: Paper, design: Design, meshes: Sequence[PartMesh]) -> None:
    plan, beside, spec = design.plan, design.beside_track(), design.spec

    def seen(point: Sequence[float]) -> Point:
        return (point[0], point[1])

    free, rail = lane(design), near_rail(design)
    shells = [np.array(o.corners) for o in outlines(design, meshes) if o.body != "servo"]
    room = hull(np.vstack(shells))
    ends = (min(free.x[0], min(x for x, _ in room)) - DRAWN_MM, max(free.x[1], max(x for x, _ in room)) + DRAWN_MM)
    paper.box((free.x[0], free.y[0]), (free.x[1], free.y[1]), fill=LIGHT, dash=ROD)
    track(paper, design, seen, ends)
    paper.line([(ends[0], beside.roadbed_edge_y), (ends[1], beside.roadbed_edge_y)], dash=BED)
    paper.line([(ends[0], beside.track_y), (ends[1], beside.track_y)], dash=AXIS)
    paper.line([(ends[0], rail.outer_y), (ends[1], rail.outer_y)], wide_mm=0.5)
    paper.line([seen(corner) for corner in room], dash=ROOM, closed=True)
    frame = face(design, meshes, top=False)
    paper.line([seen(corner) for corner in frame], wide_mm=0.4, closed=True)
    screws = fixings(paper, design, seen)
    hole = plan.board_cut_out
    if hole:
        paper.line([seen(corner) for corner in hole.outline], dash=CUT, closed=True)
    paper.line([(0.0, rail.outer_y - 2.0), (0.0, beside.frame_y[0])], dash=AXIS)
    path = scene.wire_path(design, 0.0)
    paper.line([(float(x), float(y)) for x, y, _ in path[:-1]], dash=ROD)
    travel(paper, design, seen)
    edge, at = min(y for _, y in frame), ends[0] + 4.0
    paper.arrow((at, rail.outer_y), (at, edge), both=True)
    paper.line([(at - 2.0, edge), (min(x for x, _ in frame), edge)])
    paper.text((at + 1.5, (rail.outer_y + edge) / 2 - 1.0), number(edge - rail.outer_y, 1))
    name = spec.style
    paper.arrow((ends[1] - 3.0, edge - 10.0), (ends[1] - 3.0, edge), wide_mm=0.6)
    paper.text((ends[1] - 3.0, edge + 1.5), "reverse", middle=True)
    samples: Samples = [
        (sample(paper, wide_mm=0.5), "near rail, outer edge: cut the paper here and lay it against the rail"),
        (sample(paper, wide_mm=0.4), f"frame; its edge is {number(edge - rail.outer_y, 1)} mm from that line"),
        (sample(paper, dash=ROOM), f"outline of the {name}: it must have room"),
        (sample(paper, dash=ROD), "rod and loop; grey: their lane, kept free of ballast and glue"),
        (sample(paper, dash=BED), "foot of the roadbed"),
        (sample(paper, dash=AXIS), f"middle of the tie bar; middle of the track, {number(-beside.track_y, 1)} mm off"),
        *screws,
        (travelled(paper), f"travel of the tie bar's hole, {number(spec.throw_mm)} mm"),
    ]
    cable = plan.cable_hole
    if cable:
        paper.circle(seen(cable.at), cable.drill_mm)
        paper.cross(seen(cable.at), 2.5)
        away = f"{number(cable.at[1] - rail.outer_y, 1)} mm from the rail's line"
        side = f"{number(abs(cable.at[0]), 1)} mm {'left' if cable.at[0] < 0 else 'right'} of the tie bar's middle"
        samples.append(
            (ring(paper, 5.0), f"cable's hole: {number(cable.drill_mm)} mm, straight through, {away}, {side}")
        )
    if hole:
        samples.insert(3, (sample(paper, dash=CUT), f"cut the board out, {hole.depth_told()}"))
    paper.text(((ends[0] + ends[1]) / 2, paper.high[1] + 3.0), "TOP: lies on the board, print upwards", middle=True)
    ground = f"It stands on ground {number(spec.ground_mm)} mm above the board. " if spec.ground_mm else ""
    paper.below(
        [
            f"{spec.id}: drilling template, seen from above",
            f"{ground}Reverse pulls the tie bar towards the {name}. {BEFORE_DRILLING}",
        ],
        samples,
    )


DRAWING = Drawing(wire=_wire, template=_template)
