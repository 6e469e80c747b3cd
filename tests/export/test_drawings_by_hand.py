"""Every line of a template and of a wire's drawing by hand: a design without solids, a box for what is printed."""

from __future__ import annotations

import importlib
from functools import cache

import numpy as np
import pytest
from shapely import MultiPoint, Polygon

from mounts import scene
from mounts.checks.neighbours import outlines
from mounts.export import template as parts
from mounts.export.paper import Circle, Line, Paper, Shape, Text
from mounts.export.template import AXIS, BED, CUT, GREY, LIGHT, ROD, ROOM, template
from mounts.export.wire_drawing import wire
from mounts.inputs.library import Library
from mounts.inputs.request import read_request
from mounts.inputs.resolve import resolve
from mounts.mesh import PartMesh
from mounts.pipeline import design_mount
from mounts.scene_lift import marks, used_mm
from mounts.scene_marks import rod_marks
from mounts.scene_rocking_wire import bent_wire
from mounts.scene_site import lane, near_rail
from mounts.scene_wire import wire_cut_mm
from mounts.units import number

AWAY = (1.0, -2.0, 3.0)  # of the print frame from the mount frame
PLATE = [(-31.0, -17.0), (12.0, -17.0), (12.0, 26.0), (-31.0, 26.0)]
LOOK = "Look for wires and framing on the other side before drilling."


@cache
def made(style="under-bracket", board="18 mm", scale="HO", beside=None, rods=None, **asked):
    """A design, numbers only."""
    options = {key: value for key, value in (("beside_mm", beside), ("rods", rods)) if value}
    told = {"id": "A1", "style": style, "servo": "micro-9g", "board": board, "scale": scale, "set": options, **asked}
    return design_mount(resolve(read_request(told), Library())).design


def grown(corners, share):
    """About their middle."""
    middle = np.mean(corners, axis=0)
    return [tuple(middle + share * (np.array(corner) - middle)) for corner in corners]


def box(name, corners, low, high, grow=0.0, up=0):
    """A prism between two heights of the mount frame, its upper face drawn out by so much; in a print frame.

    The face that lies on the board, the upper one (1) or the lower (−1), has a chamfer of 0.9 mm, and 1.1 mm from it
    the prism is wider by a tenth: neither is an edge of that face.
    """
    points = [
        (*grown(corners, 1 + grow * top)[at], z) for at in range(len(corners)) for top, z in ((0, low), (1, high))
    ]
    if up:
        face = high if up > 0 else low
        points = [
            (*corner, face - up * away)
            for share, away in ((0.97, 0.0), (1.0, 0.9), (1.1, 1.1))
            for corner in grown(corners, share)
        ] + [(*corner, low if up > 0 else high) for corner in corners]
    to_mount = [[1.0, 0.0, 0.0, AWAY[0]], [0.0, 1.0, 0.0, AWAY[1]], [0.0, 0.0, 1.0, AWAY[2]], [0.0, 0.0, 0.0, 1.0]]
    return PartMesh(name, np.array(points) - AWAY, np.zeros((0, 3)), tuple(map(tuple, to_mount)), 0.0, (0, 0, 0), 0)


def drawn(paper: Paper) -> list[Shape]:
    return paper.shapes[: paper.drawn]


def same(one: Shape, other: Shape):
    """Points to a hair, all else as it is."""
    assert type(one) is type(other)
    if isinstance(one, Line):
        assert np.array(one.points) == pytest.approx(np.array(other.points), abs=1e-6)
        keys = ("wide_mm", "dash", "closed", "fill", "ink")
    else:
        assert one.at == pytest.approx(other.at, abs=1e-6)
        keys = ("diameter_mm",) if isinstance(one, Circle) else ("words", "size_mm", "middle")
    assert [getattr(one, key) for key in keys] == [getattr(other, key) for key in keys]


def alike(found: list[Shape], wanted: list[Shape]):
    assert len(found) == len(wanted)
    for one, other in zip(found, wanted, strict=True):
        same(one, other)


def outlined(line: Shape, corners, **look):
    """A closed line round just these corners' convex hull, to what is simplified away."""
    assert line == Line(line.points, **{"closed": True, **look})
    hull = MultiPoint([tuple(map(float, corner)) for corner in corners]).convex_hull
    assert Polygon(line.points).symmetric_difference(hull).area < 0.05 * hull.length


def cross(x, y, size):
    return [Line(((x - size, y), (x + size, y))), Line(((x, y - size), (x, y + size)))]


def drawn_by(draw) -> list[Shape]:
    """What one of the parts that test_template_parts.py measures draws."""
    paper = Paper()
    draw(paper)
    return paper.shapes


def below(point):
    return point[0], -point[1]


def plain(point):
    return point[0], point[1]


def axes(reach, across=None):
    return [Line(((-reach, 0.0), (reach, 0.0)), dash=AXIS),
            Line(((0.0, -(across or reach)), (0.0, across or reach)), dash=AXIS)]  # fmt: skip


def arrow_and_side(shapes, plate, words, up, seen, paper):
    """The last four: the arrow's line and head, its word, and which side is up above all."""
    shaft, head, word, side = shapes
    tip, at = max(y for _, y in plate), min(x for x, _ in plate) - 4.0
    same(shaft, Line((seen((at, tip - 14.0)), seen((at, tip))), 0.6))
    assert head.points[0] == pytest.approx(seen((at, tip)))
    assert word.words == words
    assert side == Text((0.0, side.at[1]), up, middle=True)


def legend(paper, heading, lines, samples):
    """Heading, paragraphs and what each sample stands for."""
    assert (paper.legend.heading, list(paper.legend.lines)) == (heading, lines)
    assert [told for _, told in paper.legend.samples] == [told for _, told in samples]
    for (shapes, _), (look, _) in zip(paper.legend.samples, samples, strict=True):
        if isinstance(look, dict):
            alike(list(shapes), [Line(((0.0, 0.0), (12.0, 0.0)), **look)])
        elif look is not None:  # a ring
            away = np.hypot(*(np.array(shapes[0].points) - (6.0, 0.0)).T)
            assert away == pytest.approx(look / 2)


def screws(design, seen):
    if design.spec.bonded:
        return []
    wanted = []
    for x, y, _ in design.datums.fixings:
        at = seen((x, y))
        wanted += [Circle(at, design.spec.fixing.pilot_mm), *cross(*at, 2.5)]
    return wanted


def underside(design, meshes, shapes, hole_mm, plate=PLATE):
    """Room, plate, notches, screws, pad and holes; returns what comes behind."""
    bodies = [corner for outline in outlines(design, meshes) for corner in outline.corners]
    outlined(shapes[0], [below(corner) for corner in bodies], dash=ROOM)
    outlined(shapes[1], [below(corner) for corner in plate], wide_mm=0.4)
    notches = [
        shape
        for mark in design.plan.index_marks
        for shape in drawn_by(lambda paper, mark=mark: parts.notched(paper, mark, below))
    ]
    wanted = [*notches, *screws(design, below)]
    if pad := design.plan.pad_xy:
        wanted.append(Line(tuple(below(corner) for corner in pad), dash=CUT, closed=True))
    wanted += [Circle((0.0, -y), hole_mm) for y in ([0.0] if hole_mm is not None else [])]
    alike(shapes[2 : 2 + len(wanted)], wanted)
    return shapes[2 + len(wanted) :], bodies


def bracket(design):
    """A plate with a narrower post under it."""
    top = -design.spec.board.thickness_mm
    post = [(-9.0, -7.0), (9.0, -7.0), (9.0, 8.0), (-9.0, 8.0)]
    return [box("", PLATE, top - 4.0, top, up=1), box("", post, top - 50.0, top - 4.0)]


@pytest.mark.parametrize(
    "asked", [{}, {"laid": True, "board": "4 mm", "scale": "N"}, {"mirror": True}], ids=["new", "laid", "mirrored"]
)
def test_a_rocking_wires_template_line_by_line(asked):
    """Grey track 55 mm either way, what every underside has, both axes 6 mm past it, two second pilots of 2 mm at 50,
    the pin's way, and the arrow; then what each line means."""
    design = made(**asked)
    meshes = bracket(design)
    paper = template(design, meshes)
    shapes, spec, hole = drawn(paper), design.spec, design.drive.board_hole_mm

    track = drawn_by(lambda to: parts.track(to, design, below, (-55.0, 55.0), ink=GREY))
    alike(shapes[: len(track)], track)
    rest, bodies = underside(design, meshes, shapes[len(track) :], hole)
    reach = max(abs(y) for _, y in (*bodies, *PLATE)) + 6.0
    way = drawn_by(lambda to: parts.travel(to, design, below))
    alike(rest[:-4], [*axes(55.0, reach), Circle((-50.0, 0.0), 2.0), Circle((50.0, 0.0), 2.0), *way])
    up = "UNDERSIDE: held against the board from below, print towards you"
    arrow_and_side(rest[-4:], PLATE, "reverse", up, below, paper)
    through = "open it up from below" if spec.laid else "straight through"
    pad = [({"dash": CUT}, f"plywood pad, {number(spec.pad_mm)} mm, glued under the board")] if spec.pad_mm else []
    legend(
        paper,
        "A1: drilling template, seen from below",
        [
            "It is the mirror image of what is seen from above.",
            f"Reverse pushes the tie bar the arrow's way, where the three notches are. {LOOK}",
        ],
        [
            ({"wide_mm": 0.4}, "plate of the mount: the notches in its edge lie on both axes"),
            ({"dash": ROOM}, "room that mount and servo take below the board"),
            ({"ink": GREY}, f"above the board: {spec.scale.name} track, tie bar's hole between its rails"),
            ({"dash": AXIS}, "track and, square to it, middle of the tie bar"),
            (4.0, f"in the middle: wire's hole, {number(hole)} mm, {through}"),
            (2.0, "second pilot, 50 mm along the track: one of both"),
            (1.5, f"4 screws: pilots of {number(spec.fixing.pilot_mm)} mm"),
            *pad,
            (None, f"travel of the tie bar's hole, {number(spec.throw_mm)} mm"),
        ],
    )
    assert bool(pad) == ("board" in asked)


def test_a_way_that_a_mount_takes_below_the_board_may_be_its_servos():
    """Where the printed part is small the servo's outline is the room, and the axes reach past it."""
    design = made()
    top = -design.spec.board.thickness_mm
    small = [(-2.0, -2.0), (2.0, -2.0), (2.0, 2.0), (-2.0, 2.0)]
    meshes = [box("", small, top - 4.0, top)]
    shapes = drawn(template(design, meshes))

    servo = max(abs(y) for outline in outlines(design, meshes) for _, y in outline.corners)
    assert servo > 5.0
    across = [shape for shape in shapes if isinstance(shape, Line) and shape.dash == AXIS][1]
    assert across.points == pytest.approx(np.array([(0.0, -servo - 6.0), (0.0, servo + 6.0)]))


HOUSINGS = {
    "hut": {"style": "hut", "scale": "N", "board": "12 mm"},
    "mirrored": {"style": "hut", "scale": "HO", "board": "12 mm", "mirror": True, "ground": "2 mm"},
    "side": {"style": "cabin", "scale": "N", "board": "12 mm", "roadbed": "0", "pin_height": "1"},
    "bonded": {"style": "cabin", "scale": "HO", "board": "xps-30"},
}


@pytest.mark.parametrize("name", HOUSINGS)
def test_a_housings_template_line_by_line(name):
    """The lane, the track 10 mm past all, foot of the roadbed, middle of the track, the near rail's outer edge to cut
    at, shell and frame, screws, cut-out, rod, the frame's distance from the rail with an arrow, which way reverse is,
    and the cable's hole."""
    design = made(**HOUSINGS[name])
    plan, beside, spec = design.plan, design.beside_track(), design.spec
    (fx0, fx1), (fy0, fy1) = (-24.0, 21.0) if name != "mirrored" else (-1.5, 1.0), beside.frame_y
    frame = [(fx0, fy0), (fx1, fy0), (fx1, fy1), (fx0, fy1)]
    shell = [(fx0 - 2, fy0 - 1), (fx1 + 2, fy0 - 1), (fx1 + 2, fy1 + 2), (fx0 - 2, fy1 + 2)]
    meshes = [box("frame", frame, 0.0, 6.0, up=-1), box(plan.lift_off[0], shell, 0.0, 30.0)]
    paper = template(design, meshes)
    shapes, rail, free = drawn(paper), near_rail(design), lane(design)

    seen = [corner for each in (grown(frame, 1.1), shell) for corner in each]  # but not the servo's
    left, right = min(free.x[0], *(x for x, _ in seen)) - 10.0, max(free.x[1], *(x for x, _ in seen)) + 10.0
    track = drawn_by(lambda to: parts.track(to, design, plain, (left, right)))
    lanes = Line(((free.x[0], free.y[0]), (free.x[1], free.y[0]), (free.x[1], free.y[1]), (free.x[0], free.y[1])),
                 dash=ROD, closed=True, fill=LIGHT)  # fmt: skip
    across = [
        (beside.roadbed_edge_y, {"dash": BED}),
        (beside.track_y, {"dash": AXIS}),
        (rail.outer_y, {"wide_mm": 0.5}),
    ]
    wanted = [lanes, *track, *(Line(((left, y), (right, y)), **look) for y, look in across)]
    alike(shapes[: len(wanted)], wanted)
    room, face, *rest = shapes[len(wanted) :]
    outlined(room, seen, dash=ROOM)
    outlined(face, frame, wide_mm=0.4)
    hole, cable = plan.board_cut_out, plan.cable_hole
    path = scene.wire_path(design, 0.0)[:-1, :2]
    middle = [Line(((0.0, rail.outer_y - 2.0), (0.0, fy0)), dash=AXIS), Line(tuple(map(tuple, path)), dash=ROD)]
    wanted = [
        *screws(design, plain),
        *([Line(tuple(hole.outline), dash=CUT, closed=True)] if hole else []),
        *middle,
        *drawn_by(lambda to: parts.travel(to, design, plain)),
        *drawn_by(lambda to: to.arrow((left + 4.0, rail.outer_y), (left + 4.0, fy0), both=True)),
        Line(((left + 2.0, fy0), (fx0, fy0))),
        Text((left + 5.5, (rail.outer_y + fy0) / 2 - 1.0), number(fy0 - rail.outer_y, 1)),
        *drawn_by(lambda to: to.arrow((right - 3.0, fy0 - 10.0), (right - 3.0, fy0), wide_mm=0.6)),
        Text((right - 3.0, fy0 + 1.5), "reverse", middle=True),
    ]
    if cable:
        wanted += [Circle(cable.at, cable.drill_mm), *cross(*cable.at, 2.5)]
    alike(rest[: len(wanted)], wanted)
    (up,) = rest[len(wanted) :]
    high = max(y for shape in shapes[:-1] for _, y in shape.points)
    same(up, Text(((left + right) / 2, high + 3.0), "TOP: lies on the board, print upwards", middle=True))
    away = number(fy0 - rail.outer_y, 1)
    side = "left" if cable and cable.at[0] < 0 else "right"
    legend(
        paper,
        "A1: drilling template, seen from above",
        [
            ("It stands on ground 2 mm above the board. " if spec.ground_mm else "")
            + f"Reverse pulls the tie bar towards the {spec.style}. {LOOK}"
        ],
        [
            ({"wide_mm": 0.5}, "near rail, outer edge: cut the paper here and lay it against the rail"),
            ({"wide_mm": 0.4}, f"frame; its edge is {away} mm from that line"),
            ({"dash": ROOM}, f"outline of the {spec.style}: it must have room"),
            *([({"dash": CUT}, f"cut the board out, {hole.depth_told()}")] if hole else []),
            ({"dash": ROD}, "rod and loop; grey: their lane, kept free of ballast and glue"),
            ({"dash": BED}, "foot of the roadbed"),
            ({"dash": AXIS}, f"middle of the tie bar; middle of the track, {number(-beside.track_y, 1)} mm off"),
            *([(1.5, f"{len(design.datums.fixings)} screws: pilots of {number(spec.fixing.pilot_mm)} mm")]
              if not spec.bonded else []),
            (None, f"travel of the tie bar's hole, {number(spec.throw_mm)} mm"),
            *([(
                5.0,
                f"cable's hole: {number(cable.drill_mm)} mm, straight through, {number(cable.at[1] - rail.outer_y, 1)} "
                f"mm from the rail's line, {number(abs(cable.at[0]), 1)} mm {side} of the tie bar's middle",
            )] if cable else []),
        ],
    )  # fmt: skip


def test_of_the_housings_some_have_a_cut_out_and_cables_on_both_sides():
    """What the lines above are asked of; one has no screws."""
    assert made(**HOUSINGS["bonded"]).spec.bonded
    plans = [made(**asked).plan for asked in HOUSINGS.values()]
    assert {plan.board_cut_out is None for plan in plans} == {True, False}
    assert {plan.cable_hole.at[0] < 0 for plan in plans if plan.cable_hole} == {True, False}
    drilled = {plan.cable_hole.drill_mm for plan in plans if plan.cable_hole}
    assert drilled == {9.0}  # a plug of 7.7 x 2.6 mm is 8.13 over its corners


LIFTS = {
    "rod": {},
    "crank": {"moves": "semaphore"},
    "partner": {"beside": 20},
    "two rods": {"rods": 2},
    "two cranks": {"moves": "boom", "rods": 2},
}


@pytest.mark.parametrize("name", LIFTS)
def test_a_lifts_template_from_below_line_by_line(name):
    """What every underside has, a second rod's hole, the mirror image that stands against it, axes 6 mm past all, and
    spindles of cranks across; where the second rod and the partner are seen from below, −y up."""
    design = made("lift-bracket", **LIFTS[name])
    meshes, drive, apart = bracket(design), design.drive, design.plan.partner_mm
    paper = template(design, meshes)
    shapes = drawn(paper)
    rest, bodies = underside(design, meshes, shapes, drive.board_hole_mm)
    wanted, stands = [], [(4.0, f"in the middle: rod's hole, {number(drive.board_hole_mm)} mm, straight through")]
    other = [] if apart is None else [(x, apart - y) for x, y in PLATE]
    if drive.second:
        wanted.append(Circle((0.0, -drive.second.y_mm), drive.board_hole_mm))
    if other:
        outlined(rest[0], [below(corner) for corner in other], dash="6 1 1 1 1 1")
        rest = rest[1:]
        wanted.append(Circle((0.0, -apart), drive.board_hole_mm))
        told = f"second mount, its mirror image; its rod's hole {number(apart)} mm from this one, as wide"
        stands.append(({"dash": "6 1 1 1 1 1"}, told))
    reach = max(abs(value) for corner in (*bodies, *PLATE, *other) for value in corner) + 6.0
    wanted += axes(reach)
    if drive.second:
        wanted += cross(0.0, -drive.second.y_mm, 2.5)
        stands.append((4.0, f"second rod's hole, as wide, {number(-drive.second.y_mm, 1)} mm from the first"))
    if drive.crank_pivot:
        spindle = drive.crank_pivot[0]
        if drive.second:
            second = drive.second.crank_pivot[0]
            wanted.append(Line(((-reach, -second), (reach, -second)), dash=ROOM))
            told = f"spindles of both cranks, the first's {number(abs(spindle), 1)} mm from its rod"
        else:
            told = f"spindle of the crank, {number(abs(spindle), 1)} mm from the rod"
        wanted.append(Line(((-reach, -spindle), (reach, -spindle)), dash=ROOM))
        stands.append(({"dash": ROOM}, told))
    alike(rest[:-4], wanted)
    up = "UNDERSIDE: held against the board from below, print towards you"
    arrow_and_side(rest[-4:], PLATE, "arm points here", up, below, paper)
    legend(
        paper,
        "A1: drilling template, seen from below",
        [
            "It is the mirror image of what is seen from above.",
            f"The signal's arm turns in the plane of the arrow. {LOOK}",
        ],
        [
            ({"wide_mm": 0.4}, "plate of the mount: the notches in its edge lie on both axes"),
            ({"dash": ROOM}, "room that mount, servo and rod take below the board"),
            ({"dash": AXIS}, "both axes through the rod"),
            *stands,
            (1.5, f"4 screws: pilots of {number(design.spec.fixing.pilot_mm)} mm"),
        ],
    )


@pytest.mark.parametrize("board", ["18 mm", "xps-30", "6 mm"])
def test_a_lift_that_is_let_down_line_by_line(board):
    """Flange, cut-out, screws, plywood let into foam or glued under a thin board, both axes 6 mm past the flange."""
    design = made("drop-in", board=board)
    hole, down = design.plan.board_cut_out, design.plan.drop_in
    body = [(-9.0, -7.0), (9.0, -7.0), (9.0, 8.0), (-9.0, 8.0)]
    meshes = [box("", PLATE, 0.0, 3.0, grow=0.1), box("", body, -40.0, 0.0)]
    paper = template(design, meshes)
    flange, cut, *rest = drawn(paper)

    outlined(flange, PLATE, wide_mm=0.4)
    same(cut, Line(tuple(hole.outline), dash=CUT, closed=True))
    wood, told = [], []
    if backing := down.backing:
        wood = [Line(tuple(piece), dash=BED, closed=True) for piece in backing.pieces]
        along, across = (np.ptp(side) for side in zip(*backing.pieces[0], strict=True))
        size = f"6.5 mm plywood, {along:.0f} × {across:.0f} mm"
        what = f"frame of {size}, let into the foam" if board == "xps-30" else f"two strips of {size}, under the board"
        told = [({"dash": BED}, what)]
    assert len(wood) == {"18 mm": 0, "xps-30": 1, "6 mm": 2}[board]
    alike(rest[:-4], [*screws(design, plain), *wood, *cross(0.0, 0.0, 2.5), *axes(31.0 + 6.0)])
    arrow_and_side(rest[-4:], PLATE, "arm points here", "TOP: lies on the board, print upwards", plain, paper)
    legend(
        paper,
        "A1: template of cut-out and screws, seen from above",
        [f"The signal's arm turns in the plane of the arrow. {LOOK}"],
        [
            ({"dash": CUT}, f"cut the board out: {hole.told()}"),
            ({"wide_mm": 0.4}, "edge of the flange, which lies on the board"),
            ({"dash": AXIS}, "both axes through the rod, which they cross in"),
            (1.5, f"{len(design.datums.fixings)} screws: pilots of {number(design.spec.fixing.pilot_mm)} mm"),
            *told,
        ],
    )


def seen_at(line, top):
    """A view: its left end at 0, its top 10.5 mm (three and a half lines of 3) under where it may begin."""
    line = np.asarray(line, dtype=float)
    return line - (line[:, 0].min(), line[:, 1].max() - top + 10.5)


def ruled(at, y, name, *, dash=""):
    """A mark of 4 mm across the straight wire with what it is called."""
    return [Line(((at, y - 2.0), (at, y + 2.0)), dash=dash), Text((at - (2.6 if name == "0" else 0.8), y + 2.6), name)]


def straightened(y, wire_mm, cut_mm, bends, end=None):
    """10 mm before zero it begins; a mark at zero, at every bend, and dashed where it is cut off."""
    shapes = [Line(((-10.0, y), (cut_mm - 10.0, y)), wire_mm), *ruled(0.0, y, "0")]
    for count, at in enumerate(bends, start=1):
        shapes += ruled(at, y, str(count))
    if end is not None:
        shapes += ruled(end, y, "E", dash="1 1")
    return [*shapes, Text((-10.0, y + 7.0), "straight; each bend begins at its mark")]


def viewed(line, top, wire_mm, name):
    """Name 6 mm under the top, and the line; and how low it reaches."""
    at = seen_at(line, top)
    return [Text((0.0, top - 6.0), name), Line(tuple(map(tuple, at)), wire_mm)], float(at[:, 1].min())


FROM_ZERO = "0: the arm's end, 10 mm from the end of the wire, which hold it while it is bent; cut them off then."
CUTTING = "Wear eye protection when cutting: the ends fly. Spring wire springs back: bend past the line."


def test_a_rocking_wires_drawing_line_by_line():
    """Bent, and 15 mm under it straight; each bend told with its place to 0.1 mm, its drill and the radius inside."""
    design = made()
    bent, cut, thick = bent_wire(design), wire_cut_mm(design), design.drive.wire_mm
    paper = wire(design)

    first, low = viewed(bent.line_mm, 0.0, thick, "bent, the spare end cut off; arm at the left, tie bar at the right")
    straight = straightened(low - 15.0, thick, cut, [bend.at_mm for bend in bent.bends], bent.used_mm)
    alike(drawn(paper), [*first, *straight])
    legend(paper, f"A1: wire {number(thick)} mm, to bend on.", [
        FROM_ZERO,
        *(
            f"{count}: begins at {number(bend.at_mm, 1)} mm, 90° {bend.turns}; round the shank of a "
            f"{number(bend.former_mm)} mm drill, inside radius {number(bend.inside_radius_mm, 2)} mm"
            for count, bend in enumerate(bent.bends, start=1)
        ),
        f"E: {number(bent.used_mm, 1)} mm, the end above the tie bar; cut off there once the points are trimmed.",
        f"Cut the wire {number(cut)} mm long.",
        CUTTING,
    ], [])  # fmt: skip


def test_a_push_rods_drawing_line_by_line():
    """Seen along the track and from above, the tie bar to the right (−y of the mount), 15 mm under both straight."""
    design = made(**HOUSINGS["hut"])
    path, drive, ends = scene.wire_path(design, 0.0), design.drive, "arm at the left, tie bar at the right"
    paper = wire(design)

    flat = np.column_stack([-path[:, 1], path[:, 2]])
    first, low = viewed(flat, 0.0, drive.wire_mm, f"seen along the track; {ends}")
    flat = np.column_stack([-path[:, 1], path[:, 0]])
    second, low = viewed(flat, low, drive.wire_mm, f"seen from above; {ends}")
    y, shapes = low - 15.0, [*first, *second]
    left = 0.0
    shapes.append(Line(((left, y), (left + drive.cut_length_mm, y)), drive.wire_mm))
    for count, bend in enumerate(rod_marks(design), start=1):
        shapes += [Line(((left + bend.at_mm, y - 2.0), (left + bend.at_mm, y + 2.0))),
                   Text((left + bend.at_mm - 0.8, y + 3.0), str(count))]  # fmt: skip
    shapes.append(Text((left, y + 7.0), f"straight, each bend begins at its mark; {ends}"))
    alike(drawn(paper), shapes)
    legend(paper, f"A1: wire {number(drive.wire_mm)} mm, to bend on.", [
        *(
            f"{count}: {number(bend.at_mm, 1)} mm, {bend.what}, {bend.angle_deg:.0f}° round a {number(bend.former_mm)} "
            f"mm drill; seen from above the rest goes {bend.turns}"
            for count, bend in enumerate(rod_marks(design), start=1)
        ),
        CUTTING,
    ], [])  # fmt: skip


@pytest.mark.parametrize("style", ["under-bracket", "hut", "lift-bracket"])
def test_figures_of_a_bend_are_told_to_what_a_hand_can_do(monkeypatch, style):
    """Places to 0.1 mm, angles to a degree, a drill as it is sold, and the radius inside to 0.01."""
    module = {"under-bracket": "rocking_wire", "hut": "push_rod", "lift-bracket": "lift"}[style]
    name = {"under-bracket": "bent_wire", "hut": "rod_marks", "lift-bracket": "marks"}[style]
    found = getattr(importlib.import_module(f"mounts.export.{module}"), name)

    def odd(design):
        """12.345 mm along, 101.67°, 0.5251 mm inside radius, each."""
        told = found(design)
        bends = told.bends if style == "under-bracket" else told
        bends = tuple(
            bend._replace(at_mm=12.345, angle_deg=-101.67, inside_radius_mm=0.5251, former_mm=1.05) for bend in bends
        )
        return told._replace(bends=bends) if style == "under-bracket" else bends

    monkeypatch.setattr(f"mounts.export.{module}.{name}", odd)
    asked = HOUSINGS["hut"] if style == "hut" else {"style": style}
    _, *_, last = [line for line in wire(made(**asked)).legend.lines if line[0].isdigit() and not line.startswith("0:")]

    assert "12.3 mm" in last
    assert ("-102°" if style == "hut" else ", 102°") in last
    assert ("0.53 mm" in last) == (style == "under-bracket")
    assert "1.05 mm drill" in last


@pytest.mark.parametrize("name", ["rod", "crank", "two rods"])
def test_a_lifts_rods_drawing_line_by_line(name):
    """Seen across the track and along it, the signal's end to the right; the straight one has no cut at its end."""
    design = made("lift-bracket", **LIFTS[name])
    path, thick, cut = scene.wire_path(design, 0.0), design.drive.wire_mm, wire_cut_mm(design)
    _, shaft = scene.shaft_axis(design)
    found, ends = marks(design), "arm at the left, signal at the right"
    paper = wire(design)

    flat = np.column_stack([path[:, 2], path[:, 0] * shaft[0] + path[:, 1] * shaft[1] + path[:, 2] * shaft[2]])
    first, low = viewed(flat, 0.0, thick, f"seen across the track; {ends}")
    second, low = viewed(np.column_stack([path[:, 2], path[:, 1]]), low, thick, f"seen along the track; {ends}")
    alike(drawn(paper), [*first, *second, *straightened(low - 15.0, thick, cut, [bend.at_mm for bend in found])])
    end = (
        "the end in the crank" if name == "crank" else ("where it is coupled to the signal's wire, with 5 mm to spare")
    )
    twice = ["Make two, mirror images: the second's tail goes to the other side."] if name == "two rods" else []
    legend(paper, f"A1: wire {number(thick)} mm, to bend on.", [
        FROM_ZERO,
        *(
            f"{count}: begins at {number(bend.at_mm, 1)} mm, {bend.what}, {abs(bend.angle_deg):.0f}° round a "
            f"{number(bend.former_mm)} mm drill; the rest goes {bend.turns}"
            for count, bend in enumerate(found, start=1)
        ),
        f"It ends at {number(used_mm(design), 1)} mm, {end}. Cut the wire {number(cut)} mm long.",
        *twice,
        CUTTING,
    ], [])  # fmt: skip
