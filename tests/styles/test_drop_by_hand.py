"""The drop-in by arithmetic, for a 9 g servo, wood screws of 3 mm and a 0.4 mm nozzle: no kernel.

Case 22.6 × 12.2 mm, its ends 6.05 and 16.55 mm from the shaft, 15.75 behind the ears; ears over all 32.2, holes 27.5 mm
apart; arm's tip 15 mm from the shaft; plug 7.7 × 2.6; heads of 5.6 mm at 90°.
"""

from __future__ import annotations

import math
import sys
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from plain import designed
from requests_for_drives import board, profile, request
from shapely import Point, Polygon

from mounts.errors import NoDesign, NoFixing
from mounts.inputs import fits
from mounts.inputs.fixing import Fixing
from mounts.styles import _drop_body, _drop_options
from mounts.styles._drop_options import Options

MARGIN, WOOD = 2.8 + 1.6, 4.5 + 0.1
SPEC = request(scale="N", board_mm=12.0)


def test_a_flange_is_as_thin_as_its_screws_allow() -> None:
    """2 mm, or the countersink and 0.5: 2.8 + 0.2 less half the bore, at 45° or as steep as the head is; so much more
    that a stock screw ends 2 mm inside the board, of those that grip it; what is asked."""
    spec = SPEC.model_copy(update={"fixing": profile(Fixing, "wood-3").model_copy(update={"lengths_mm": (10.0, 12.0)})})
    # 10 mm of screw, 2 of flange: 8 of 9.7
    assert _drop_options.flange_mm(spec, Options()) == pytest.approx(2.0)
    assert _drop_options.flange_mm(spec, Options(flange_mm=3.3)) == 3.3
    wide = spec.fixing.model_copy(update={"head_mm": 9.0})
    cone = 4.5 + 0.2 - (wide.clearance_mm + spec.printer.hole_upright_mm) / 2
    found = _drop_options.flange_mm(spec.model_copy(update={"fixing": wide}), Options())
    assert found == pytest.approx(max(cone + 0.5, 2.0))
    only = spec.fixing.model_copy(update={"lengths_mm": (13.0,)})
    assert _drop_options.flange_mm(spec.model_copy(update={"fixing": only}), Options()) == pytest.approx(13.0 - 9.7)
    short = spec.fixing.model_copy(update={"lengths_mm": (7.0, 13.0)})  # 7 mm would hold by less than two shanks
    assert _drop_options.flange_mm(spec.model_copy(update={"fixing": short}), Options()) == pytest.approx(13.0 - 9.7)
    steep = wide.model_copy(update={"head_mm": 6.8, "head_angle_deg": 60.0, "lengths_mm": (10.0,)})
    found = _drop_options.flange_mm(spec.model_copy(update={"fixing": steep}), Options())
    assert found == pytest.approx((cone - 1.1) * math.sqrt(3) + 0.5)
    long = spec.fixing.model_copy(update={"lengths_mm": (40.0,)})
    assert _drop_options.flange_mm(spec.model_copy(update={"fixing": long}), Options()) == 5.0


def test_screws_go_down_as_deep_as_is_safe_or_not_at_all() -> None:
    """The longest that stays 2 mm inside; where there is none it says what to leave free."""
    (screw,) = _drop_options.screws(SPEC, Options(flange_mm=2.5), ((3.0, 4.0),))
    assert (screw.head, screw.direction, screw.length_mm) == ((3.0, 4.0, 2.5), (0.0, 0.0, -1.0), 12.0)
    assert _drop_options.deep_mm(SPEC, Options(flange_mm=2.5)) == pytest.approx(9.5)
    thin = SPEC.model_copy(update={"board": board(4.0)})
    assert _drop_options.deep_mm(thin, Options()) is None
    with pytest.raises(NoFixing, match=r"no wood-3 screw .* 4 mm board and .* up to 12 mm .* leave --screw free"):
        _drop_options.screws(thin, Options(), ((0.0, 0.0),))
    free = thin.model_copy(update={"fixing_stock": (thin.fixing,)})
    with pytest.raises(NoDesign, match=r"no stock screw grips the 4 mm board through a 3 mm flange .* flange_mm free"):
        _drop_options.screws(free, Options(flange_mm=3.0), ((0.0, 0.0),))


@pytest.mark.parametrize(("scale", "foot"), [("N", 4.0), ("HO", 4.5), ("O", 8.0), ("I", 11.0)])
def test_a_posts_foot_is_0_35_m_in_reality_and_4_mm_at_least(scale: str, foot: float) -> None:
    """Rounded up to half millimetres: 4.02 at 1:87, 7.8 at 1:45, 10.9 at 1:32; or what is asked."""
    assert _drop_options.post_mm(request(scale=scale), Options()) == foot
    assert _drop_options.post_mm(request(scale=scale), Options(post_mm=3.0)) == 3.0


def test_walls_round_a_seat_carry() -> None:
    """1.6 mm, or three lines of a wide nozzle and a tenth."""
    wide = SPEC.model_copy(update={"printer": SPEC.printer.model_copy(update={"nozzle_mm": 0.8})})
    assert _drop_options.seat_wall_mm(SPEC) == 1.6
    assert _drop_options.seat_wall_mm(wide) == pytest.approx(2.5)


@pytest.mark.parametrize("post", ["round", "square"])
def test_a_post_stands_round_the_rod_or_clear_of_it(post: str) -> None:
    """Half of it, half a hole that is clean, 1.6 of wall and a millimetre; of a square one across its faces."""
    clear = 2.0 + SPEC.printer.clean_hole_mm / 2 + 1.6 + 1.0

    def inside(x: float, y: float) -> bool:
        return _drop_options.rod_in_post(SPEC, Options(post=post, post_mm=4.0, post_x_mm=x, post_y_mm=y))

    assert inside(0.0, 0.0)
    assert not inside(0.0, clear)
    assert not inside(-clear, 0.0)
    with pytest.raises(
        NoDesign, match=rf"{clear - 0.01:.3g} mm from the rod, {math.ceil(clear * 10) / 10:g} mm at least"
    ):
        inside(0.0, clear - 0.01)
    corner = clear * 0.75
    if post == "round":  # 1.06 of it over the corner
        assert not inside(corner, corner)
    else:
        with pytest.raises(NoDesign, match="or none with the rod inside it"):
            inside(corner, corner)


@pytest.mark.parametrize("inside", [True, False])
def test_a_seat_is_roofed_in_print_over_its_guide(inside: bool) -> None:
    """3 mm deep in a flange of 2; a roof of 1.2 to 1 up to 0.3 mm where the rod is inside, or to a hole's half and 0.1;
    2 mm of guide below it, and below the board's top."""
    seat = _drop_options.seat_of(SPEC, Options(flange_mm=2.0, post_mm=4.0, post_y_mm=0.0 if inside else 9.0))
    room = fits.POST.air_mm(SPEC.printer) + fits.POST.closes_mm(SPEC.printer)
    half = (4.0 + room) / 2
    tip = 0.3 if inside else SPEC.printer.clean_hole_mm / 2 + 0.1

    assert (seat.half_mm, seat.floor_z, seat.tip_mm) == pytest.approx((half, 2.0 - 3.0, tip))
    assert seat.roof_z == pytest.approx(-1.0 - 1.2 * (half - tip))
    assert seat.guide_low_z == pytest.approx(seat.roof_z - 2.0)
    flat = _drop_options.seat_of(SPEC, Options(flange_mm=5.0, post_mm=4.0, seat_mm=1.5))
    assert flat.guide_low_z == -2.0
    narrow = _drop_options.seat_of(SPEC, Options(flange_mm=2.0, post_mm=1.0, post_y_mm=9.0))
    assert narrow.tip_mm == pytest.approx(narrow.half_mm - 0.01)


ASKED = {"style": "drop-in", "travel": "4 mm"}


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("options", [{}, {"post_mm": 4.0, "post_y_mm": 9.0, "post_x_mm": -3.0, "flange_mm": 3.0}])
def test_what_hangs_is_framed_by_skirt_cut_out_and_flange(options: dict[str, float], mirror: bool) -> None:
    """Case, plug, ears, arm's tip, spring bend and block with a millimetre, a skirt of 2.4 round them, 0.75 mm of air
    to the hole, 4 of flange beyond it; screws a shank and a half and 0.1 beside the hole, heads within the flange."""
    design = designed(**ASKED, mirror=mirror, set=options).design
    plan, drive, sign = design.plan, design.drive, -1.0 if mirror else 1.0
    seat, (y, z), rib = -drive.wire_mm / 2 - 15.4, drive.shaft, 2.4
    flange = options.get("flange_mm", 2.0)
    wall, half = 1.6, plan.post_half_mm
    px, py = options.get("post_x_mm", 0.0), options.get("post_y_mm", 0.0)
    slot = max(2.0, design.spec.printer.clean_hole_mm, drive.guide_mm), drive.guide_mm + 0.2

    assert (plan.slot_x_mm, plan.slot_y_mm, plan.flange_mm) == pytest.approx((*slot, flange))
    block_x = min(seat - 0.5, px - half - wall), max(px + half + wall, slot[0] / 2 + wall)
    block_y = min(py - half - wall, -slot[1] / 2 - wall), max(py + half + wall, slot[1] / 2 + wall)
    assert (plan.block_x, plan.block_y) == (pytest.approx(block_x), pytest.approx(block_y))
    plug_x = seat - plan.wall_mm - 3.85 - 0.5
    cable = max(2.6 + 2 * 0.5, 5.0 + 1.0)
    hung_y = (
        min(y + 5.25 - 16.1 - 1.0, y - 6.05 - cable, block_y[0]) - rib,
        max(y + 5.25 + 16.1 + 1.0, y + 16.55 + 1.0, y + 15.0 + 1.0, block_y[1]) + rib,
    )
    bend = drive.loop_leg_mm + drive.loop_radius_mm + drive.wire_mm
    hung_x = (
        min(seat - 15.75, plug_x - 3.85, block_x[0]) - 1.0 - rib,
        max(bend, 0.8 - drive.wire_mm / 2, block_x[1]) + 1.0 + rib,
    )
    assert (plan.hung_x, plan.hung_y) == (pytest.approx(hung_x), pytest.approx(hung_y))
    hole = [(low - 0.75, high + 0.75) for low, high in (hung_x, hung_y)]
    assert [plan.hole_x, plan.hole_y] == [pytest.approx(span) for span in hole]
    beyond = max(WOOD + MARGIN, 4.0)
    assert plan.flange_x == pytest.approx((hole[0][0] - 4.0, hole[0][1] + 4.0))
    assert plan.flange_y == pytest.approx((hole[1][0] - beyond, hole[1][1] + beyond))
    heads = [
        (x, at)
        for at in (hole[1][0] - WOOD, hole[1][1] + WOOD)
        for x in (hole[0][0] - 4 + MARGIN, hole[0][1] + 4 - MARGIN)
    ]
    assert [tuple(at) for at in plan.heads_xy] == [pytest.approx(at) for at in heads]
    corners = np.array(plan.board_cut_out.outline)
    ends = sorted(sign * edge for edge in hole[0])
    assert (*corners.min(axis=0), *corners.max(axis=0)) == pytest.approx((ends[0], hole[1][0], ends[1], hole[1][1]))
    a, b = corners - np.roll(corners, 1, axis=0), np.roll(corners, -1, axis=0) - corners
    assert (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0] > 0).all()  # anticlockwise, mirrored or not
    assert (plan.board_cut_out.depth_mm, plan.board_cut_out.through) == (12.0, True)
    assert (plan.way_out, plan.plug_wide, plan.name_mark) == ((0.0, 0.0, -1.0), (1.0, 0.0, 0.0), "A1")
    assert len(plan.screws) == _drop_options.HEADS
    assert plan.notch_y == pytest.approx((y - 6.25, y + 16.75))
    assert plan.notch_top_z == pytest.approx(z + 6.1 + 0.2)
    assert plan.wall_bottom_z == pytest.approx(z - 6.1 - 1.5)
    assert [tuple(at) for at in plan.pilots_yz] == [pytest.approx((y + 5.25 + by, z)) for by in (-13.75, 13.75)]
    plug_y = y - 6.05 - 1.3 - 0.5
    assert plan.plug_path == (
        pytest.approx((sign * plug_x, plug_y, z - 3.0)), pytest.approx((sign * plug_x, plug_y, -32.0))
    )  # fmt: skip
    assert -16.0 <= plan.skirt_z <= -6.0 or plan.skirt_z == pytest.approx(z + 2.0)
    assert np.array(design.datums.servo)[:3, 3] == pytest.approx([sign * seat, y, z])
    assert {at[2] for at in design.datums.fixings} == {0.0}


@pytest.mark.parametrize(("board_mm", "let_in"), [("xps-30", True), ("4 mm", False)])
def test_plywood_backs_the_screws(board_mm: str, let_in: bool) -> None:
    """Strips 5 mm beyond the flange, beside the hole; a frame all round it, whole millimetres wider."""
    plan = designed(**{**ASKED, "board": board_mm}).design.plan
    backing, (x0, x1), (y0, y1) = plan.drop_in.backing, plan.flange_x, plan.flange_y

    assert backing.let_in == let_in
    spans = [(np.min(piece, axis=0), np.max(piece, axis=0)) for piece in backing.pieces]
    if let_in:
        ((low, high),) = spans
        beyond = x0 - low[0]
        assert beyond >= 5.0
        assert beyond == pytest.approx(round(beyond))
        assert (*low, *high) == pytest.approx((x0 - beyond, y0 - beyond, x1 + beyond, y1 + beyond))
        return
    (front, back) = spans
    assert (*front[0], *front[1]) == pytest.approx((x0 - 5.0, y0 - 5.0, x1 + 5.0, plan.hole_y[0]))
    assert (*back[0], *back[1]) == pytest.approx((x0 - 5.0, plan.hole_y[1], x1 + 5.0, y1 + 5.0))


@pytest.mark.parametrize("post", ["round", "square"])
def test_a_seats_outline_goes_round_its_post(post: str) -> None:
    """The four corners of a square one; a polygon drawn round the circle of a round one: none of its sides nearer."""
    plan = designed(**ASKED).design.plan.model_copy(update={"post": post, "post_at": (3.0, -2.0)})
    ring = _drop_body._ring(plan, 2.2, 5.0)

    assert set(ring[:, 2]) == {5.0}
    x, y = ring[:, 0], ring[:, 1]
    assert np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) > 0
    if post == "square":
        assert ring[:, :2] == pytest.approx(np.array([[0.8, -4.2], [5.2, -4.2], [5.2, 0.2], [0.8, 0.2]]))
        return
    assert len(ring) == 32
    outline = Polygon(ring[:, :2])
    assert outline.exterior.distance(Point(3.0, -2.0)) == pytest.approx(2.2)
    assert outline.area < math.pi * 2.2**2 * 1.005


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """What the kernel is asked to draw, in place of it: a plane, an outline on it, how far it is drawn out, holes."""
    asked: list[dict[str, Any]] = []

    def prism(plane, outline, far, holes=(), bores=()):
        asked.append({"plane": plane, "outline": outline, "far": far, "holes": list(holes)})
        return asked[-1]

    monkeypatch.setitem(sys.modules, "cadquery", SimpleNamespace(Plane=SimpleNamespace))
    monkeypatch.setitem(sys.modules, "mounts.solid.plates", SimpleNamespace(prism=prism))
    monkeypatch.setitem(sys.modules, "mounts.solid.polyhedron", SimpleNamespace(stacked=lambda rings, _: rings))
    return asked


def _box(one: dict[str, Any]) -> tuple[float, ...]:
    """Ends of what is drawn square to the board: x, y and z."""
    assert (one["plane"].xDir, one["plane"].normal) == ((1, 0, 0), (0, 0, 1))
    assert one["plane"].origin[:2] == (0, 0)
    corners, z = np.array(one["outline"]), one["plane"].origin[2]
    low, high = corners.min(axis=0), corners.max(axis=0)
    return low[0], high[0], low[1], high[1], z, z + one["far"]


@pytest.mark.parametrize("options", [{}, {"post_mm": 4.0, "post_y_mm": 9.0}])
def test_skirt_block_and_guide_are_drawn_into_the_flange(
    drawn: list[dict[str, Any]], options: dict[str, float]
) -> None:
    """From their lower ends half a millimetre into it, the skirt hollow and without its corners; the rod's slot right
    through, or up to the seat's floor where it is in the post."""
    plan = designed(**ASKED, set=options).design.plan

    skirt, block, guide = (make(plan) for make in (_drop_body._skirt, _drop_body._block, _drop_body._guide))
    assert _box(skirt) == pytest.approx((*plan.hung_x, *plan.hung_y, plan.skirt_z, 0.5))
    (hole,) = skirt["holes"]
    inside = np.array(hole)
    assert (*inside.min(axis=0), *inside.max(axis=0)) == pytest.approx(
        (plan.hung_x[0] + 2.4, plan.hung_y[0] + 2.4, plan.hung_x[1] - 2.4, plan.hung_y[1] - 2.4)
    )
    wide, deep = plan.hung_x[1] - plan.hung_x[0], plan.hung_y[1] - plan.hung_y[0]
    assert Polygon(skirt["outline"]).area == pytest.approx(wide * deep - 4 * 1.5**2 / 2)
    assert _box(block) == pytest.approx((*plan.block_x, *plan.block_y, plan.block_z, 0.5))
    half_x, half_y = plan.slot_x_mm / 2, plan.slot_y_mm / 2
    top = plan.seat_floor_z if not options else plan.flange_mm + 0.1
    assert _box(guide) == pytest.approx((-half_x, half_x, -half_y, half_y, plan.block_z - 0.1, top))
    assert len(drawn) == 3
    for one in drawn:
        assert Polygon(one["outline"]).is_valid


def test_ribs_stand_behind_the_wall_in_line_with_the_skirt(drawn: list[dict[str, Any]]) -> None:
    """As thick as it, from half a millimetre in the wall back to its corner, down to three quarters of the wall."""
    plan = designed(**ASKED).design.plan

    near, far = _drop_body._ribs(plan)
    back, end = plan.wall_face_x - plan.wall_mm, plan.hung_x[0] + 1.5
    foot = min(0.75 * plan.wall_bottom_z, plan.skirt_z - 1.0)
    for rib, y in ((near, plan.hung_y[0]), (far, plan.hung_y[1] - 2.4)):
        assert rib["plane"].origin == (0, y, 0)
        assert (rib["plane"].xDir, rib["plane"].normal, rib["far"]) == ((1, 0, 0), (0, -1, 0), -2.4)
        assert rib["outline"] == [(back + 0.5, 0.5), (end, 0.5), (end, plan.skirt_z), (back, foot), (back + 0.5, foot)]
    deep = plan.model_copy(update={"skirt_z": -19.0})
    assert _drop_body._ribs(deep)[0]["outline"][3][1] == pytest.approx(-20.0)


def test_the_wall_hangs_with_its_notch_open_below(drawn: list[dict[str, Any]], monkeypatch: pytest.MonkeyPatch) -> None:
    """As wide as what hangs, from the flange to its lower end, the case's notch in it."""
    plan = designed(**ASKED).design.plan
    told: list[Any] = []
    monkeypatch.setattr(_drop_body._mounting, "seat_wall", lambda *given: told.extend(given))

    _drop_body._wall(plan)
    face, outline, wall = told
    assert (face, wall) == (plan.wall_face_x, plan.wall_mm)
    (y0, y1), (n0, n1) = plan.hung_y, plan.notch_y
    whole = Polygon([(y0, 0.5), (y0, plan.wall_bottom_z), (y1, plan.wall_bottom_z), (y1, 0.5)])
    low, high = plan.wall_bottom_z, plan.notch_top_z
    notch = Polygon([(n0, low), (n0, high), (n1, high), (n1, low)])
    assert Polygon(outline).symmetric_difference(whole.difference(notch)).area == pytest.approx(0.0, abs=1e-9)


def test_a_seat_is_drawn_from_its_roof_to_its_lead_in(drawn: list[dict[str, Any]]) -> None:
    """Tip, floor, and 0.4 mm of chamfer at the flange's top, 0.1 mm past it."""
    plan = designed(**ASKED, set={"post": "square"}).design.plan

    rings = _drop_body._seat(plan)
    assert [ring[0, 2] for ring in rings] == pytest.approx([plan.seat_roof_z, plan.seat_floor_z, 1.6, 2.1])
    halves = [(ring[:, 0].max() - ring[:, 0].min()) / 2 for ring in rings]
    assert halves == pytest.approx([plan.seat_tip_mm, plan.post_half_mm, plan.post_half_mm, plan.post_half_mm + 0.5])
    assert drawn == []
