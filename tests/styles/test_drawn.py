"""What styles ask the kernel to draw, recorded in its place: outlines, planes and heights by hand. No kernel."""

from __future__ import annotations

import sys
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from plain import designed
from requests_for_drives import request
from shapely import Polygon

from mounts.styles import _bracket_across, _housing_hang, _housing_side, _mounting, _openings, _shell
from mounts.styles._openings import Opening

SEAT = ((1.0, 2.0), (3.0, 4.0))


@pytest.fixture(autouse=True)
def kernel(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """Prisms and the rest as what was asked of them; what is cut from a body is kept in it."""
    asked: list[Any] = []

    class Body(SimpleNamespace):
        def cut(self, *others: Any) -> Body:
            self.without = others
            return self

    def prism(plane, outline, far, holes=(), bores=()):
        asked.append(Body(plane=plane, outline=outline, far=far, holes=list(holes), without=()))
        return asked[-1]

    def vector(*at: Any) -> tuple[float, ...]:
        return tuple(float(one) for one in at)

    holes = SimpleNamespace(
        circle=lambda at, wide: ("circle", at, wide),
        teardrop=lambda at, wide, point: ("teardrop", at, wide, point),
        dimple=lambda at, way: ("dimple", at, way),
    )
    relief = SimpleNamespace(
        pad=lambda plane, face, **size: ("pad", plane, face, size),
        pocket=lambda plane, face, **size: ("pocket", plane, face, size),
        foot_opening=lambda plane, sides, top, **size: ("opening", plane, sides, top, size),
        lintel_rise_mm=lambda wide, flat: (wide - min(wide, flat)) / 2,
    )
    polyhedron = SimpleNamespace(rectangle=lambda x, y, z: (x, y, z), stacked=lambda rings, step: rings)
    monkeypatch.setitem(sys.modules, "cadquery", SimpleNamespace(Plane=SimpleNamespace, Vector=vector))
    monkeypatch.setitem(sys.modules, "mounts.solid.plates", SimpleNamespace(prism=prism))
    monkeypatch.setitem(sys.modules, "mounts.solid.holes", holes)
    hole = lambda plane, rings, blind=False: SimpleNamespace(plane=plane, rings=rings, blind=blind)  # noqa: E731
    faces = SimpleNamespace(Hole=hole, pierced=lambda *given: given)
    monkeypatch.setitem(sys.modules, "mounts.solid.faces", faces)
    monkeypatch.setitem(sys.modules, "mounts.solid.relief", relief)
    monkeypatch.setitem(sys.modules, "mounts.solid.polyhedron", polyhedron)
    return asked


def plane_of(body: Any) -> tuple[Any, ...]:
    return body.plane.origin, body.plane.xDir, body.plane.normal


def test_a_seats_wall_lies_behind_its_face() -> None:
    """As thick as asked."""
    outline = [(0.0, 0.0), (9.0, 0.0), (9.0, 5.0)]
    body = _mounting.seat_wall(-10.0, outline, 5.0)

    assert plane_of(body) == ((-10.0, 0, 0), (0, 1, 0), (1, 0, 0))
    assert (body.outline, body.far) == (outline, -5.0)


@pytest.mark.parametrize("up", [None, (0.0, -1.0)])
def test_a_seat_has_holes_for_its_screws(up) -> None:
    """Round where they stand in print, with a roof where they lie, right through the wall; marks on the face where they
    are drilled."""
    body = _mounting.seat_wall(-10.0, [(0.0, 0.0), (9.0, 0.0), (9.0, 5.0)], 5.0)

    (of, holes, _) = _mounting.with_pilots(body, -10.0, 5.0, SEAT, 1.9, up=up)
    drawn = [("circle", at, 1.9) if up is None else ("teardrop", at, 1.9, up) for at in SEAT]
    assert of is body
    seats = [(one.plane.origin, one.plane.xDir, one.plane.normal) for one in holes]
    assert seats == [((-10.0, 0, 0), (0, 1, 0), (1, 0, 0))] * 2
    assert [one.rings for one in holes if not one.blind] == [[(one, 0.0), (one, 5.0)] for one in drawn]
    marked = _mounting.with_pilots(body, -10.0, 5.0, SEAT, None, up=up)
    assert marked.without == tuple(("dimple", (-10.0, *at), (-1.0, 0.0, 0.0)) for at in SEAT)


def test_a_profile_is_drawn_out_across_the_track(kernel: list[Any]) -> None:
    """From the first y to the second."""
    body = _bracket_across._upright([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)], 3.0, 7.5)

    assert plane_of(body) == ((0, 3.0, 0), (1, 0, 0), (0, -1, 0))
    assert body.far == -4.5


@pytest.mark.parametrize("printed", [True, False])
def test_two_posts_stand_in_the_plate_with_the_ears_on_top(printed: bool) -> None:
    """Half a millimetre in the plate, one upright, one that leans in at 45° over the arm; pilots into their tops."""
    plan = designed(style="cabin", track_distance="32 mm", set={"pose": "hang"}).design.plan
    frame = plan.frame.model_copy(update={"pilot_mm": 1.9 if printed else None})
    root, top, (n0, n1), (f0, f1) = plan.base_mm - 0.5, frame.seat_z, frame.near_x, frame.far_x

    near, far = _housing_hang.posts(plan, frame)
    wide = frame.post_y[1] - frame.post_y[0]
    for post in (near, far):
        assert plane_of(post) == ((0, frame.post_y[0], 0), (1, 0, 0), (0, -1, 0))
        assert post.far == pytest.approx(-wide)
    assert Polygon(near.outline).equals(Polygon([(n0, root), (n1, root), (n1, top), (n0, top)]))
    foot, lean = frame.far_foot_x, frame.corbel_z
    leaning = [(foot, root), (f1, root), (f1, top), (f0, top), (f0, lean + foot - f0), (foot, lean)]
    assert Polygon(far.outline).equals(Polygon(leaning))
    upright = _housing_hang.posts(plan, frame.model_copy(update={"far_foot_x": f0}))[1]
    assert Polygon(upright.outline).equals(Polygon([(f0, root), (f1, root), (f1, top), (f0, top)]))
    drilled = _housing_hang.with_pilots(near, frame)
    if printed:
        (of, holes, _) = drilled
        assert of is near
        assert [(one.plane.origin, one.plane.xDir, one.plane.normal) for one in holes] == [
            ((0, 0, top), (1, 0, 0), (0, 0, 1))
        ] * len(frame.pilots_xy)
        rings = [[(("circle", at, 1.9), 0.0), (("circle", at, 1.9), 6.5)] for at in frame.pilots_xy]
        assert [(one.rings, one.blind) for one in holes] == [(each, True) for each in rings]
    else:
        assert drilled.without == tuple(("dimple", (*at, top), (0.0, 0.0, -1.0)) for at in frame.pilots_xy)


@pytest.mark.parametrize("down", [0.0, 9.0])
def test_a_wall_has_its_notch_open_above(monkeypatch: pytest.MonkeyPatch, down: float) -> None:
    """From half a millimetre in the plate to its top, the notch down to the case or the plate; its holes lie."""
    plan = designed(style="cabin", track_distance="32 mm", set={"pose": "side"}).design.plan
    frame = plan.frame.model_copy(update={"notch_z": plan.frame.notch_z - down})
    told: list[Any] = []
    monkeypatch.setattr(_housing_side._mounting, "seat_wall", lambda *given: told.extend(given))
    monkeypatch.setattr(_housing_side._mounting, "with_pilots", lambda *given, up: told.extend((*given, up)))

    _housing_side.wall(plan, frame)
    _housing_side.with_pilots("frame", frame)
    face, outline, thick, body, drilled, through, pilots, pilot, up = told
    assert (face, thick) == (frame.wall_x[1], pytest.approx(frame.wall_x[1] - frame.wall_x[0]))
    assert (body, drilled, through) == ("frame", face, thick)
    assert (pilots, pilot, up) == (frame.pilots_yz, frame.pilot_mm, (0, 1))
    (y0, y1), (n0, n1), root, top = frame.wall_y, frame.notch_y, plan.base_mm - 0.5, frame.wall_top_z
    low = max(frame.notch_z, plan.base_mm)
    whole = Polygon([(y0, root), (y1, root), (y1, top), (y0, top)])
    notch = Polygon([(n0, low), (n1, low), (n1, top), (n0, top)])
    assert Polygon(outline).symmetric_difference(whole.difference(notch)).area == pytest.approx(0.0, abs=1e-9)


WALLS = _shell.Walls((-10.0, 10.0), (0.0, 20.0), (-11.2, 11.2), (-1.2, 21.2), 1.2)


def test_frames_stand_out_and_panes_are_cut_down_to_the_wall() -> None:
    """A frame of two lines, 0.8 mm, round a window on all sides, round a door down to the shell's chamfered edge;
    as deep as it stands out."""
    spec = request(scale="N")
    window, door = Opening("-y", "window", (-2.0, 3.0), (6.0, 12.0)), Opening("+x", "door", (5.0, 10.0), (0.0, 12.5))

    pads, pockets = _openings.openings_bodies(WALLS, (window, door), spec, proud_mm=0.4)
    size = {"proud_mm": 0.4, "root_mm": 0.1}
    assert [(pad[0], pad[3]) for pad in pads] == [("pad", size)] * 2
    assert np.array(pads[0][2]) == pytest.approx(np.array([(-2.8, 3.8), (5.2, 12.8)]))
    assert np.array(pads[1][2]) == pytest.approx(np.array([(4.2, 10.8), (0.4 + 0.1 + 0.18, 13.3)]))
    assert pads[0][1].normal == (0, -1.0, 0)
    assert pads[1][1].normal == (1.0, 0, 0)
    panes = _openings.panes(window, spec, depth_mm=0.4)
    assert [pocket[2] for pocket in pockets[: len(panes)]] == [tuple(pane) for pane in panes]
    assert {tuple(sorted(pocket[3].items())) for pocket in pockets} == {(("depth_mm", 0.4), ("from_mm", 0.4))}
    ((along, (sill, top)),) = (pocket[2] for pocket in pockets[len(panes) :])
    assert (*along, sill, top) == pytest.approx((5.0, 10.0, 0.4 + 0.18, 12.5))


def test_rod_and_cable_have_a_frame_round_their_opening_too() -> None:
    """Over its pointed lintel as well; the opening itself from 1 mm before the wall through it."""
    plan = SimpleNamespace(slot_x=(-3.0, 4.0), slot_top_z=6.0, cable_x=(-4.0, 2.0), cable_top_z=5.0)
    spec = request(scale="N")

    rod, cable = _openings.foot_frames(plan, WALLS, spec, proud_mm=0.4)
    assert np.array(rod[2]) == pytest.approx(np.array([(-3.8, 4.8), (0.68, 6.0 + 3.5 + 0.8)]))
    assert np.array(cable[2]) == pytest.approx(np.array([(-2.8, 4.8), (0.68, 5.0 + 3.0 + 0.8)]))
    for upright in (True, False):
        made = _shell.cut_openings(plan, spec.printer, WALLS, depth_mm=1.7, before_mm=0.6, upright=upright)
        assert [one[2:4] for one in made] == [((-3.0, 4.0), 6.0), ((-2.0, 4.0), 5.0)]
        flat = {0.0} if upright else {np.inf}
        assert {one[4]["flat_mm"] for one in made} == flat
        assert {(one[4]["depth_mm"], one[4]["before_mm"], one[4]["foot_mm"]) for one in made} == {(1.7, 0.6, 0.18)}


def test_the_inside_of_a_shell_widens_at_its_foot() -> None:
    """0.35 mm at 45°, from 0.1 mm below the ground."""
    low, foot, top = _shell.cavity(WALLS, 30.0)

    assert np.array([*low[0], *low[1], low[2]]) == pytest.approx([-10.45, 10.45, -0.45, 20.45, -0.1])
    assert np.array([*foot[0], *foot[1], foot[2]]) == pytest.approx([-10.0, 10.0, 0.0, 20.0, 0.35])
    assert top == ((-10.0, 10.0), (0.0, 20.0), 30.0)
