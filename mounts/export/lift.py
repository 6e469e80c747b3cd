"""A lift on paper: its rod seen across the track and along it, and the template of a mount under the board."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mounts import scene
from mounts.design import Design
from mounts.drive.kinds import driven
from mounts.drive.lift.model import LiftDrive
from mounts.export.kinds import Drawing
from mounts.export.paper import Paper, Point
from mounts.export.template import AXIS, BED, BEFORE_DRILLING, CUT, ROOM, Samples, face, fixings, pointed, ring, sample
from mounts.export.underside import UNDERSIDE, from_below, underside
from mounts.export.wire_drawing import FROM_ZERO, straight, view
from mounts.mesh import PartMesh
from mounts.scene_lift import marks, seen_in_mirror, used_mm
from mounts.scene_wire import wire_cut_mm
from mounts.units import number

_ENDS = "arm at the left, signal at the right"
_ARROW = "arm points here"
PARTNER = "6 1 1 1 1 1"  # plate of a second mount


def _wire(paper: Paper, design: Design) -> list[str]:
    """The bent rod, under it the straight one with its marks; what each bend is, in words."""
    drive, found = driven(design.drive, LiftDrive), marks(design)
    path, wire_mm, cut_mm = scene.wire_path(design, 0.0), design.drive.wire_mm, wire_cut_mm(design)
    _, axis = scene.shaft_axis(design)
    aside = path @ axis
    lower = view(paper, np.column_stack([path[:, 2], aside]), 0.0, wire_mm, f"seen across the track; {_ENDS}")
    lower = view(paper, path[:, [2, 1]], lower, wire_mm, f"seen along the track; {_ENDS}")
    straight(paper, lower, wire_mm, cut_mm, [bend.at_mm for bend in found])
    ends = "the end in the crank" if drive.crank_mm else "where it is coupled to the signal's wire, with 5 mm to spare"
    return [
        FROM_ZERO,
        *(
            f"{count}: begins at {number(bend.at_mm, 1)} mm, {bend.what}, {number(abs(bend.angle_deg), 0)}° round a "
            f"{number(bend.former_mm)} mm drill; the rest goes {bend.turns}"
            for count, bend in enumerate(found, start=1)
        ),
        f"It ends at {number(used_mm(design), 1)} mm, {ends}. Cut the wire {number(cut_mm)} mm long.",
        *("Make two, mirror images: the second's tail goes to the other side." for _ in seen_in_mirror(design)),
    ]


def _template(paper: Paper, design: Design, meshes: Sequence[PartMesh]) -> None:
    drive, spec = driven(design.drive, LiftDrive), design.spec
    if drive.board_hole_mm is None:
        _from_above(paper, design, meshes)
        return

    room, plate, screws = underside(paper, design, meshes, drive.board_hole_mm)
    stands, partner = _partner(paper, design, plate)
    reach = max(abs(value) for corner in (*plate, *room, *partner) for value in corner) + 6.0
    paper.line([(-reach, 0.0), (reach, 0.0)], dash=AXIS)
    paper.line([(0.0, -reach), (0.0, reach)], dash=AXIS)
    middle = (ring(paper, 4.0), f"in the middle: rod's hole, {number(drive.board_hole_mm)} mm, straight through")
    stands = [middle, *stands]
    if drive.second is not None:
        paper.cross(from_below((0.0, drive.second.y_mm)), 2.5)
        told = f"second rod's hole, as wide, {number(-drive.second.y_mm, 1)} mm from the first"
        stands.append((ring(paper, 4.0), told))
    if drive.crank_pivot is not None:
        spindle, other = drive.crank_pivot[0], drive.second.crank_pivot if drive.second else None
        told = f"spindle of the crank, {number(abs(spindle), 1)} mm from the rod"
        if other is not None:
            told = f"spindles of both cranks, the first's {number(abs(spindle), 1)} mm from its rod"
            paper.line([from_below((-reach, other[0])), from_below((reach, other[0]))], dash=ROOM)
        paper.line([from_below((-reach, spindle)), from_below((reach, spindle))], dash=ROOM)
        stands.append((sample(paper, dash=ROOM), told))
    pointed(paper, plate, _ARROW, UNDERSIDE, from_below)
    paper.below(
        [
            f"{spec.id}: drilling template, seen from below",
            "It is the mirror image of what is seen from above.",
            f"The signal's arm turns in the plane of the arrow. {BEFORE_DRILLING}",
        ],
        [
            (sample(paper, wide_mm=0.4), "plate of the mount: the notches in its edge lie on both axes"),
            (sample(paper, dash=ROOM), "room that mount, servo and rod take below the board"),
            (sample(paper, dash=AXIS), "both axes through the rod"),
            *stands,
            *screws,
        ],
    )


def _partner(paper: Paper, design: Design, plate: Sequence[Point]) -> tuple[Samples, list[Point]]:
    """Rod's hole and plate of the mirror image that stands against a mount; corners in the mount frame, mm."""
    apart, hole_mm = design.plan.partner_mm, driven(design.drive, LiftDrive).board_hole_mm
    if apart is None or hole_mm is None:
        return [], []
    other = [(x, apart - y) for x, y in plate]
    paper.line([from_below(corner) for corner in other], dash=PARTNER, closed=True)
    paper.circle(from_below((0.0, apart)), hole_mm)
    told = f"second mount, its mirror image; its rod's hole {number(apart)} mm from this one, as wide"
    return [(sample(paper, dash=PARTNER), told)], other


def _from_above(paper: Paper, design: Design, meshes: Sequence[PartMesh]) -> None:
    """Of a mount that is let down: cut-out, flange and screws, seen as the board is."""
    spec, hole = design.spec, design.plan.board_cut_out
    if hole is None:
        raise TypeError("a lift without a hole in the board has a cut-out")

    def seen(point: Sequence[float]) -> Point:
        return (point[0], point[1])

    flange = face(design, meshes, top=False, level_z=0.0)
    paper.line([seen(corner) for corner in flange], wide_mm=0.4, closed=True)
    paper.line([seen(corner) for corner in hole.outline], dash=CUT, closed=True)
    screws = fixings(paper, design, seen)
    if (down := design.plan.drop_in) and (backing := down.backing):
        for piece in backing.pieces:
            paper.line([seen(corner) for corner in piece], dash=BED, closed=True)
        along, across = (number(side, 0) for side in backing.sizes_mm())
        size = f"{number(backing.thick_mm)} mm plywood, {along} × {across} mm"
        told = f"frame of {size}, let into the foam" if backing.let_in else f"two strips of {size}, under the board"
        screws.append((sample(paper, dash=BED), told))
    paper.cross((0.0, 0.0), 2.5)
    reach = max(abs(value) for corner in flange for value in corner) + 6.0
    paper.line([(-reach, 0.0), (reach, 0.0)], dash=AXIS)
    paper.line([(0.0, -reach), (0.0, reach)], dash=AXIS)
    pointed(paper, flange, _ARROW, "TOP: lies on the board, print upwards", seen)
    paper.below(
        [
            f"{spec.id}: template of cut-out and screws, seen from above",
            f"The signal's arm turns in the plane of the arrow. {BEFORE_DRILLING}",
        ],
        [
            (sample(paper, dash=CUT), f"cut the board out: {hole.told()}"),
            (sample(paper, wide_mm=0.4), "edge of the flange, which lies on the board"),
            (sample(paper, dash=AXIS), "both axes through the rod, which they cross in"),
            *screws,
        ],
    )


DRAWING = Drawing(wire=_wire, template=_template)
