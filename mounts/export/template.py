"""The paper to drill through, at 1:1: the mount between rails, sleepers and tie bar.

A bracket's is held against the underside and seen from below, so it is the mirror image of the plan; a housing's
lies on the board and is seen from above.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from mounts import scene
from mounts.checks.neighbours import outlines
from mounts.design import Design, IndexMark
from mounts.drive.model import RockingWireDrive
from mounts.export.paper import Paper, Point
from mounts.frames import Array, apply
from mounts.mesh import PartMesh
from mounts.scene_site import lane, near_rail, track_y
from mounts.units import number

SECOND_PILOT_MM = 50.0  # along the track from the tie bar; steps for track that is laid say so
_DRAWN_MM = 10.0  # rails past what is drawn between them
_BAR_MM = 3.0  # widest tie bar drawn
_NOTCH_MM, _NOTCH_STEP_MM = 1.0, 2.5  # half a line, and from one to the next
_FACE_MM = 1.0  # of height that counts as the face on the board, its chamfer included
_INK, _GREY, _LIGHT = "black", "#a8a8a8", "#ececec"
_AXIS, _ROOM, _CUT, _ROD, _BED = "4 1 1 1", "1.5 1.5", "2.5 1", "0.5 1", "6 2"
_BEFORE_DRILLING = "Look for wires and framing on the other side before drilling."

Samples = list[tuple[Callable[[float, float], None], str]]


def render_template(design: Design, meshes: Sequence[PartMesh]) -> bytes:
    """Fixings, hole or cut-out, outlines and what lies round them.

    Args:
        design: where everything stands.
        meshes: the parts as exported.
    """
    paper, name = Paper(), f"{design.spec.id}: drilling template"
    if isinstance(design.drive, RockingWireDrive):
        _under(paper, design, meshes)
    else:
        _beside(paper, design, meshes)
    return paper.svg(name)


def _under(paper: Paper, design: Design, meshes: Sequence[PartMesh]) -> None:
    drive, spec = design.drive, design.spec
    if not isinstance(drive, RockingWireDrive):
        raise TypeError("a bracket has a rocking wire")

    def seen(point: Sequence[float]) -> Point:
        return (point[0], -point[1])

    far = SECOND_PILOT_MM + 5.0
    _track(paper, design, seen, (-far, far), ink=_GREY)
    room = _hull(np.vstack([np.array(outline.corners) for outline in outlines(design, meshes)]))
    paper.line([seen(corner) for corner in room], dash=_ROOM, closed=True)
    plate = _face(design, meshes, top=True)
    paper.line([seen(corner) for corner in plate], wide_mm=0.4, closed=True)
    for mark in design.plan.index_marks:
        _notched(paper, mark, seen)
    fixings = _fixings(paper, design, seen)
    if pad := design.plan.pad_xy:
        paper.line([seen(corner) for corner in pad], dash=_CUT, closed=True)
        fixings.append((_sample(paper, dash=_CUT), f"plywood pad, {number(spec.pad_mm)} mm, glued under the board"))
    paper.circle((0.0, 0.0), drive.board_hole_mm)
    reach = max(abs(y) for _, y in (*plate, *room)) + 6.0
    paper.line([(-far, 0.0), (far, 0.0)], dash=_AXIS)
    paper.line([(0.0, -reach), (0.0, reach)], dash=_AXIS)
    for side in (-1.0, 1.0):
        paper.circle((side * SECOND_PILOT_MM, 0.0), 2.0)
    _travel(paper, design, seen)
    tip = max(y for _, y in plate)
    at = min(x for x, _ in plate) - 4.0
    paper.arrow(seen((at, tip - 14.0)), seen((at, tip)), wide_mm=0.6)
    paper.text((at, seen((at, tip))[1] - 5.0), "reverse", middle=True)
    up = "UNDERSIDE: held against the board from below, print towards you"
    paper.text((0.0, paper.high[1] + 3.0), up, middle=True)
    through = "open it up from below" if spec.laid else "straight through"
    paper.below(
        [
            f"{spec.id}: drilling template, seen from below",
            "It is the mirror image of what is seen from above.",
            f"Reverse pushes the tie bar the arrow's way, where the three notches are. {_BEFORE_DRILLING}",
        ],
        [
            (_sample(paper, wide_mm=0.4), "plate of the mount: the notches in its edge lie on both axes"),
            (_sample(paper, dash=_ROOM), "room that mount and servo take below the board"),
            (_sample(paper, ink=_GREY), f"above the board: {spec.scale.name} track, tie bar's hole between its rails"),
            (_sample(paper, dash=_AXIS), "track and, square to it, middle of the tie bar"),
            (_ring(paper, 4.0), f"in the middle: wire's hole, {number(drive.board_hole_mm)} mm, {through}"),
            (_ring(paper, 2.0), f"second pilot, {number(SECOND_PILOT_MM)} mm along the track: one of both"),
            *fixings,
            (_travelled(paper), f"travel of the tie bar's hole, {number(spec.throw_mm)} mm"),
        ],
    )


def _beside(paper: Paper, design: Design, meshes: Sequence[PartMesh]) -> None:
    beside, spec = design.on_board(), design.spec

    def seen(point: Sequence[float]) -> Point:
        return (point[0], point[1])

    free, rail = lane(design), near_rail(design)
    shells = [np.array(o.corners) for o in outlines(design, meshes) if o.body != "servo"]
    room = _hull(np.vstack(shells))
    ends = (min(free.x[0], min(x for x, _ in room)) - _DRAWN_MM, max(free.x[1], max(x for x, _ in room)) + _DRAWN_MM)
    paper.box((free.x[0], free.y[0]), (free.x[1], free.y[1]), fill=_LIGHT, dash=_ROD)
    _track(paper, design, seen, ends)
    paper.line([(ends[0], beside.roadbed_edge_y), (ends[1], beside.roadbed_edge_y)], dash=_BED)
    paper.line([(ends[0], beside.track_y), (ends[1], beside.track_y)], dash=_AXIS)
    paper.line([(ends[0], rail.outer_y), (ends[1], rail.outer_y)], wide_mm=0.5)
    paper.line([seen(corner) for corner in room], dash=_ROOM, closed=True)
    frame = _face(design, meshes, top=False)
    paper.line([seen(corner) for corner in frame], wide_mm=0.4, closed=True)
    fixings = _fixings(paper, design, seen)
    hole = design.plan.cut_out
    if hole:
        paper.line([seen(corner) for corner in hole.outline], dash=_CUT, closed=True)
    paper.line([(0.0, rail.outer_y - 2.0), (0.0, beside.frame_y[0])], dash=_AXIS)
    path = scene.wire_path(design, 0.0)
    paper.line([(float(x), float(y)) for x, y, _ in path[:-1]], dash=_ROD)
    _travel(paper, design, seen)
    edge, at = min(y for _, y in frame), ends[0] + 4.0
    paper.arrow((at, rail.outer_y), (at, edge), both=True)
    paper.line([(at - 2.0, edge), (min(x for x, _ in frame), edge)])
    paper.text((at + 1.5, (rail.outer_y + edge) / 2 - 1.0), number(edge - rail.outer_y, 1))
    name = spec.style
    paper.arrow((ends[1] - 3.0, edge - 10.0), (ends[1] - 3.0, edge), wide_mm=0.6)
    paper.text((ends[1] - 3.0, edge + 1.5), "reverse", middle=True)
    samples: Samples = [
        (_sample(paper, wide_mm=0.5), "near rail, outer edge: cut the paper here and lay it against the rail"),
        (_sample(paper, wide_mm=0.4), f"frame; its edge is {number(edge - rail.outer_y, 1)} mm from that line"),
        (_sample(paper, dash=_ROOM), f"outline of the {name}: it must have room"),
        (_sample(paper, dash=_ROD), "rod and loop; grey: their lane, kept free of ballast and glue"),
        (_sample(paper, dash=_BED), "foot of the roadbed"),
        (
            _sample(paper, dash=_AXIS),
            f"middle of the tie bar; middle of the track, {number(-beside.track_y, 1)} mm off",
        ),
        *fixings,
        (_travelled(paper), f"travel of the tie bar's hole, {number(spec.throw_mm)} mm"),
    ]
    cable = design.plan.cable_hole
    if cable:
        paper.circle(seen(cable.at), cable.drill_mm)
        paper.cross(seen(cable.at), 2.5)
        away = f"{number(cable.at[1] - rail.outer_y, 1)} mm from the rail's line"
        side = f"{number(abs(cable.at[0]), 1)} mm {'left' if cable.at[0] < 0 else 'right'} of the tie bar's middle"
        samples.append((
            _ring(paper, 5.0), f"cable's hole: {number(cable.drill_mm)} mm, straight through, {away}, {side}"
        ))
    if hole:
        samples.insert(3, (_sample(paper, dash=_CUT), f"cut the board out, {hole.depth_told()}"))
    paper.text(
        ((ends[0] + ends[1]) / 2, paper.high[1] + 3.0), "TOP: lies on the board, print upwards", middle=True
    )
    ground = f"It stands on ground {number(spec.ground_mm)} mm above the board. " if spec.ground_mm else ""
    paper.below(
        [
            f"{spec.id}: drilling template, seen from above",
            f"{ground}Reverse pulls the tie bar towards the {name}. {_BEFORE_DRILLING}",
        ],
        samples,
    )


def _track(
    paper: Paper, design: Design, seen: Callable[[Sequence[float]], Point], ends: tuple[float, float], *,
    ink: str = _INK,
) -> None:
    """Rails, sleepers and tie bar between two places along the track."""
    spec, scale, middle = design.spec, design.spec.scale, track_y(design)
    pitch, half = scale.sleeper_gap_mm + scale.sleeper_width_mm, scale.sleeper_mm / 2
    first = scale.sleeper_gap_mm / 2
    starts = [first + k * pitch for k in range(int((max(-ends[0], ends[1]) - first) // pitch) + 1)]
    for x in (*starts, *(-x - scale.sleeper_width_mm for x in starts)):
        if ends[0] <= x and x + scale.sleeper_width_mm <= ends[1]:
            paper.box(seen((x, middle - half)), seen((x + scale.sleeper_width_mm, middle + half)), ink=ink)
    face, head = scale.track_gauge_mm / 2, scale.rail_head_mm
    for side in (-1.0, 1.0):
        near, far = sorted((middle + side * face, middle + side * (face + head)))
        paper.box(seen((ends[0], near)), seen((ends[1], far)), ink=ink, fill="white" if ink == _GREY else _GREY)
    bar = min(scale.sleeper_gap_mm / 2, _BAR_MM) / 2
    far = max(middle + face, spec.throw_mm / 2 + spec.tie_bar_hole_mm)
    paper.box(seen((-bar, middle - face)), seen((bar, far)), ink=ink)


def _travel(paper: Paper, design: Design, seen: Callable[[Sequence[float]], Point]) -> None:
    """The pin at both ends of its way and at mid throw."""
    half = design.spec.throw_mm / 2
    for y in (-half, half):
        paper.line([seen((-1.2, y)), seen((1.2, y))], wide_mm=0.3)
    paper.line([seen((0.0, -half)), seen((0.0, half))], wide_mm=0.3)


def _notched(paper: Paper, mark: IndexMark, seen: Callable[[Sequence[float]], Point]) -> None:
    """Short lines where the notches in the plate's edge are: on an axis, three on the side of reverse."""
    (x, y, _), along_x = mark.at, mark.axis == "tie-bar"
    for place in range(mark.notches):
        aside = (place - (mark.notches - 1) / 2) * _NOTCH_STEP_MM
        ends = [(x + aside, y + d) if along_x else (x + d, y + aside) for d in (-_NOTCH_MM, _NOTCH_MM)]
        paper.line([seen(end) for end in ends], wide_mm=0.4)


def _fixings(paper: Paper, design: Design, seen: Callable[[Sequence[float]], Point]) -> Samples:
    """Crosses where screws go, none where the mount is bonded; what they are in words."""
    spec, fixings = design.spec, design.datums.fixings
    if spec.bonded:
        return []
    for at in fixings:
        paper.circle(seen(at), spec.fixing.pilot_mm)
        paper.cross(seen(at), 2.5)
    many = f"{len(fixings)} screws" if len(fixings) != 1 else "the screw"
    what = "right through," if spec.fixing.kind == "bolt" else "pilots of"
    return [(_crossed(paper), f"{many}: {what} {number(spec.fixing.pilot_mm)} mm")]


def _face(design: Design, meshes: Sequence[PartMesh], *, top: bool) -> list[Point]:
    """Outline of the face that lies against the board, convex, of the parts that are screwed on."""
    points = np.vstack([
        apply(mesh.print_to_mount, mesh.vertices_mm) for mesh in meshes if mesh.name not in design.plan.lift_off
    ])
    level = points[:, 2].max() if top else points[:, 2].min()
    return _hull(points[np.abs(points[:, 2] - level) <= _FACE_MM][:, :2])


def _hull(points: Array) -> list[Point]:
    from shapely import MultiPoint, Polygon

    hull = MultiPoint(points).convex_hull
    if not isinstance(hull, Polygon):
        raise TypeError("an outline has an area")
    return [(float(x), float(y)) for x, y in hull.simplify(0.05).exterior.coords[:-1]]


def _sample(
    paper: Paper, *, wide_mm: float = 0.2, dash: str = "", ink: str = _INK
) -> Callable[[float, float], None]:
    return lambda x, y: paper.line([(x, y), (x + 12.0, y)], wide_mm=wide_mm, dash=dash, ink=ink)


def _ring(paper: Paper, size_mm: float) -> Callable[[float, float], None]:
    return lambda x, y: paper.line(list(_circle((x + 6.0, y), size_mm)), closed=True)


def _crossed(paper: Paper) -> Callable[[float, float], None]:
    def draw(x: float, y: float) -> None:
        paper.line(list(_circle((x + 6.0, y), 1.5)), closed=True)
        paper.cross((x + 6.0, y), 1.8)

    return draw


def _travelled(paper: Paper) -> Callable[[float, float], None]:
    def draw(x: float, y: float) -> None:
        for end in (x + 4.0, x + 8.0):
            paper.line([(end, y - 1.0), (end, y + 1.0)], wide_mm=0.3)
        paper.line([(x + 4.0, y), (x + 8.0, y)], wide_mm=0.3)

    return draw


def _circle(at: Point, diameter_mm: float) -> Iterator[Point]:
    for angle in np.linspace(0.0, 2 * np.pi, 24, endpoint=False):
        yield (at[0] + diameter_mm / 2 * float(np.cos(angle)), at[1] + diameter_mm / 2 * float(np.sin(angle)))
