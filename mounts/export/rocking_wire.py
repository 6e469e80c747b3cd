"""A rocking wire on paper: the wire seen across the track, and a bracket's template seen from below."""

from __future__ import annotations

from collections.abc import Sequence

from mounts.design import Design
from mounts.drive.kinds import driven
from mounts.drive.rocking_wire.model import RockingWireDrive
from mounts.export.kinds import Drawing
from mounts.export.paper import Paper
from mounts.export.template import AXIS, BEFORE_DRILLING, GREY, ROOM, pointed, ring, sample, track, travel, travelled
from mounts.export.underside import UNDERSIDE, from_below, underside
from mounts.export.wire_drawing import ENDS, FROM_ZERO, straight, view
from mounts.mesh import PartMesh
from mounts.scene_rocking_wire import bent_wire
from mounts.scene_wire import wire_cut_mm
from mounts.units import number

SECOND_PILOT_MM = 50.0  # along the track from the tie bar; steps for track that is laid say so


def _wire(paper: Paper, design: Design) -> list[str]:
    """The bent wire, under it the straight one with its marks; what each bend is, in words."""
    wire_mm, bent, cut_mm = design.drive.wire_mm, bent_wire(design), wire_cut_mm(design)
    lower = view(paper, bent.line_mm, 0.0, wire_mm, f"bent, the spare end cut off; {ENDS}")
    straight(paper, lower, wire_mm, cut_mm, [bend.at_mm for bend in bent.bends], end_mm=bent.used_mm)
    return [
        FROM_ZERO,
        *(
            f"{count}: begins at {number(bend.at_mm, 1)} mm, {number(abs(bend.angle_deg), 0)}° {bend.turns}; round the "
            f"shank of a {number(bend.former_mm)} mm drill, inside radius {number(bend.inside_radius_mm, 2)} mm"
            for count, bend in enumerate(bent.bends, start=1)
        ),
        f"E: {number(bent.used_mm, 1)} mm, the end above the tie bar; cut off there once the points are trimmed.",
        f"Cut the wire {number(cut_mm)} mm long.",
    ]


def _template(paper: Paper, design: Design, meshes: Sequence[PartMesh]) -> None:
    drive, spec = driven(design.drive, RockingWireDrive), design.spec

    far = SECOND_PILOT_MM + 5.0
    track(paper, design, from_below, (-far, far), ink=GREY)
    room, plate, screws = underside(paper, design, meshes, drive.board_hole_mm)
    reach = max(abs(y) for _, y in (*plate, *room)) + 6.0
    paper.line([(-far, 0.0), (far, 0.0)], dash=AXIS)
    paper.line([(0.0, -reach), (0.0, reach)], dash=AXIS)
    for side in (-1.0, 1.0):
        paper.circle((side * SECOND_PILOT_MM, 0.0), 2.0)
    travel(paper, design, from_below)
    pointed(paper, plate, "reverse", UNDERSIDE, from_below)
    through = "open it up from below" if spec.laid else "straight through"
    paper.below(
        [
            f"{spec.id}: drilling template, seen from below",
            "It is the mirror image of what is seen from above.",
            f"Reverse pushes the tie bar the arrow's way, where the three notches are. {BEFORE_DRILLING}",
        ],
        [
            (sample(paper, wide_mm=0.4), "plate of the mount: the notches in its edge lie on both axes"),
            (sample(paper, dash=ROOM), "room that mount and servo take below the board"),
            (sample(paper, ink=GREY), f"above the board: {spec.scale.name} track, tie bar's hole between its rails"),
            (sample(paper, dash=AXIS), "track and, square to it, middle of the tie bar"),
            (ring(paper, 4.0), f"in the middle: wire's hole, {number(drive.board_hole_mm)} mm, {through}"),
            (ring(paper, 2.0), f"second pilot, {number(SECOND_PILOT_MM)} mm along the track: one of both"),
            *screws,
            (travelled(paper), f"travel of the tie bar's hole, {number(spec.throw_mm)} mm"),
        ],
    )


DRAWING = Drawing(wire=_wire, template=_template)
