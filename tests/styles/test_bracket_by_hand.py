"""Brackets under the board by arithmetic, for a 9 g servo, wood screws of 3 mm and a 0.4 mm nozzle: no kernel.

Case 22.6 × 12.2 mm, its ends 6.05 and 16.55 mm from the shaft, ears 4.8 mm, their holes 27.5 mm apart; heads of 5.6 mm;
0.2 mm of slip fit, upright holes close by 0.2 mm.
"""

from __future__ import annotations

import math
import sys
from types import SimpleNamespace

import numpy as np
import pytest
from plain import designed
from requests_for_drives import board, profile, request
from shapely import LineString, Polygon

from mounts.drive.rocking_wire.model import RockingWireDrive
from mounts.errors import NoDesign, NoFixing
from mounts.inputs.fixing import Fixing
from mounts.styles import _bracket, _bracket_across, _bracket_down
from mounts.styles._bracket import Options
from mounts.styles._mounting import ON_ITS_SIDE

FRONT_Y = 12.0 / 2 + 1.5 * 3.0  # clear of the largest hole by 1.5 shanks
MARGIN = 5.6 / 2 + 1.6  # half a head and a rim
SIDE = FRONT_Y + MARGIN + 0.8  # and an index notch


def lines(count: int) -> float:
    """So many lines of a 0.4 mm nozzle side by side, 0.45 wide, round edges of 0.2 mm in one another."""
    return 0.45 + (count - 1) * (0.45 - 0.2 * (1 - math.pi / 4))


def drive(**figures: float) -> RockingWireDrive:
    told = {
        "wire_mm": 0.8, "horn_radius_mm": 9.0, "pivot_to_horn_mm": 40.0, "pivot_bore_mm": 1.1, "pivot_land_mm": 1.6,
        "tilt_deg": 5.0, "horn_towards_pivot": True,
    }  # fmt: skip
    return RockingWireDrive.model_construct(**(told | figures))


def test_the_wires_limits_are_those_of_a_pivot_in_the_middle_of_the_plate() -> None:
    """Board and pin over half a plate; so far from there to shaft and arm, with 1 mm of air; two layers of land."""
    spec = request(board_mm=12.0).model_copy(update={"pad_mm": 6.5})

    found = _bracket.wire_limits(spec, Options(plate_mm=5.0), below_shaft_mm=8.0, above_shaft_mm=9.0)
    assert found.pivot_to_pin_mm == pytest.approx(spec.pin_height_mm + 12.0 + 2.5)
    assert (found.pivot_drop_mm, found.below_shaft_mm, found.min_pivot_to_shaft_mm) == (2.5, 8.0, 11.5)
    assert (found.min_arm_tip_to_pivot_mm, found.max_board_hole_mm, found.min_pivot_land_mm) == (3.5, 12.0, 0.4)
    assert (found.pad_mm, found.max_depth_mm, found.wire_tail_mm) == (6.5, spec.max_depth_mm, 2.5)
    assert (found.pivot_slack_mm, found.max_pivot_tilt_deg) == (spec.printer.moving_fit_mm, 35.0)


@pytest.mark.parametrize(
    ("figures", "slot"),
    [({}, (2.0, 1.3, 15.0)), ({"pivot_bore_mm": 2.4}, (2.4, 2.6, 15.0)), ({"tilt_deg": 13.0}, (2.0, 1.3, 18.0))],
)
def test_the_pivots_slot_is_the_bore_and_what_closes_up(figures: dict[str, float], slot: tuple[float, ...]) -> None:
    """2 mm along the track at least, as a hole that is clean; its faces lean 5° more than the wire, 15° at least."""
    found = _bracket.pivot_plan(request(board_mm=12.0), drive(**figures), Options(plate_mm=5.0))

    assert (found["board_face_z"], found["plate_mm"], found["pivot_z"]) == (-12.0, 5.0, -14.5)
    assert (found["slot_x_mm"], found["slot_y_mm"], found["flare_deg"]) == pytest.approx(slot)
    assert found["land_mm"] == 1.6
    rough = request().model_copy(update={"printer": request().printer.model_copy(update={"smallest_hole_mm": 3.0})})
    assert _bracket.pivot_plan(rough, drive(), Options())["slot_x_mm"] == rough.printer.clean_hole_mm > 3.0


@pytest.mark.parametrize(("towards", "shaft_z", "up"), [(True, -14.5 - 40 - 9, 1.0), (False, -14.5 - 40 + 9, -1.0)])
@pytest.mark.parametrize("mirror", [False, True])
def test_the_servo_stands_where_its_arm_holds_the_wire(towards: bool, shaft_z: float, up: float, mirror: bool) -> None:
    """The wire lies on the arm's outer face, 15.4 mm over the ears; the hole is 9 mm above the shaft, or below it."""
    spec, wire = request(mirror=mirror), drive(horn_towards_pivot=towards)

    assert _bracket.seat(spec, wire, -14.5) == pytest.approx((-0.4 - 15.4, shaft_z))
    plan = _bracket.BracketPlan.model_construct(
        pivot_z=-14.5, wall_face_x=-15.8, heads_xy=((1.0, 2.0), (3.0, 4.0)), board_face_z=-12.0
    )
    found, side = _bracket.datums(spec, wire, plan, ON_ITS_SIDE, shaft_z), -1.0 if mirror else 1.0
    assert (found.pin, found.pivot) == ((0.0, 0.0, spec.pin_height_mm), (0.0, 0.0, -14.5))
    assert np.array(found.servo)[:3, 3].tolist() == [side * -15.8, 0.0, shaft_z]
    assert found.fixings == ((side * 1.0, 2.0, -12.0), (side * 3.0, 4.0, -12.0))
    assert found.horn_at_mid == (0.0, 0.0, up)


@pytest.mark.parametrize("mirror", [False, True])
def test_the_plates_edges_have_notches_on_both_axes(mirror: bool) -> None:
    """One where the track's line leaves it, three on the side of reverse; none at a far edge that is hidden."""
    spec, side = request(mirror=mirror, board_mm=12.0), -1.0 if mirror else 1.0

    seen = _bracket.index_marks(spec, (-9.0, 5.0), (-7.0, 8.0), back=True)
    assert [(mark.axis, mark.at, mark.notches) for mark in seen] == [
        ("tie-bar", (0.0, -7.0, -12.0), 1), ("tie-bar", (0.0, 8.0, -12.0), 3),
        ("track", (side * 5.0, 0.0, -12.0), 1), ("track", (side * -9.0, 0.0, -12.0), 1),
    ]  # fmt: skip
    assert _bracket.index_marks(spec, (-9.0, 5.0), (-7.0, 8.0), back=False) == seen[:3]
    inwards = [way for _, _, way, _ in _bracket.index_edges((-9.0, 5.0), (-7.0, 8.0), back=True)]
    assert inwards == [(0.0, 1.0), (0.0, -1.0), (-1.0, 0.0), (1.0, 0.0)]


def test_margins_of_the_plate() -> None:
    """Screws clear of the largest hole; edges past heads, rims, three notches and a corner."""
    spec = request()

    assert _bracket.front_y_mm(spec) == pytest.approx(FRONT_Y)
    assert _bracket.side_edge_mm(spec) == pytest.approx(SIDE)
    assert _bracket.front_edge_mm(spec, 3.0) == pytest.approx(2.5 + 0.9 + 3.0)
    wide = spec.model_copy(update={"fixing": spec.fixing.model_copy(update={"head_mm": 12.0})})
    assert _bracket.front_edge_mm(wide, 1.0) == pytest.approx(6.0 + 1.6)


@pytest.mark.parametrize("mirror", [False, True])
def test_a_pad_reaches_10_mm_beyond_the_plate(mirror: bool) -> None:
    """Its corners go round, mirrored with the mount; none without one."""
    spec, side = request(mirror=mirror), -1.0 if mirror else 1.0

    assert _bracket.pad_xy(spec, (-9.0, 5.0), (-7.0, 8.0)) == ()
    padded = _bracket.pad_xy(spec.model_copy(update={"pad_mm": 6.5}), (-9.0, 5.0), (-7.0, 8.0))
    assert padded == ((side * -19.0, -17.0), (side * 15.0, -17.0), (side * 15.0, 18.0), (side * -19.0, 18.0))


def test_ribs_and_webs_are_whole_lines() -> None:
    """The fewest that make 1.6 mm, four of a 0.4 mm nozzle, and for a web one more after the other up to the wall."""
    spec = request()
    four = next(lines(count) for count in range(1, 9) if lines(count) >= 1.6)
    pitch = lines(2) - lines(1)

    assert _bracket.rib_mm(spec, Options()) == pytest.approx(four, abs=1e-6)
    assert _bracket.rib_mm(spec, Options(rib_mm=3.0)) == 3.0
    webs = _bracket.webs_mm(spec, Options(wall_mm=5.0))
    assert webs[0] == pytest.approx(four, abs=1e-6)
    assert np.diff(webs) == pytest.approx(pitch)
    assert webs[-2] < 5.0 <= webs[-1]
    assert _bracket.webs_mm(spec, Options(web_mm=2.5)) == (2.5,)
    thick = spec.model_copy(update={"printer": spec.printer.model_copy(update={"nozzle_mm": 2.0})})
    assert len(_bracket.webs_mm(thick, Options(wall_mm=4.0))) >= 2


@pytest.mark.parametrize(("wall", "ok"), [(9.1, True), (9.2, False)])
def test_a_wall_ends_before_the_cable(wall: float, ok: bool) -> None:
    """It leaves the case 15.75 − 4.5 mm behind the ears, half of its 3.8 mm either way, and 0.2 mm of air."""
    spec = request()
    if ok:
        assert _bracket.wall_thickness_mm(spec, Options(wall_mm=wall)) == wall
        return
    with pytest.raises(NoDesign, match=r"its case 9\.3 mm behind the ears .*; use --set wall_mm=9\.1"):
        _bracket.wall_thickness_mm(spec, Options(wall_mm=wall))


@pytest.mark.parametrize(
    ("thick", "plate", "lengths", "length"),
    [
        # 12 − 0.3 − 2 are left for the point: 9.7 of 13.2 through 3.5 of plate
        (12.0, 3.5, (10.0, 12.0, 13.1, 13.3, 16.0), 13.1), (12.0, 6.0, (10.0, 12.0, 15.6, 15.8), 15.6),
        # none leaves 2 mm: 1.5 do
        (12.0, 3.5, (13.3, 13.6), 13.6), (12.0, 3.5, (13.75,), None),
        # 1.5 shanks of thread at least
        (12.0, 3.5, (8.0,), 8.0), (12.0, 3.5, (7.9,), None),
    ],
)  # fmt: skip
def test_the_longest_screw_that_stays_in_the_board_is_taken(
    thick: float, plate: float, lengths: tuple[float, ...], length: float | None
) -> None:
    """2 mm short of its top, where it is thinnest; of a plastic that tells no strength, which any head may load."""
    fixing = profile(Fixing, "wood-3").model_copy(update={"lengths_mm": lengths})
    plastic = request().filament.model_copy(update={"tensile_mpa": None, "tensile_z_mpa": None})
    spec = request().model_copy(update={"fixing": fixing, "board": board(thick), "filament": plastic})

    if length is None:
        with pytest.raises(NoDesign, match=r"no wood-3 .* the 12 mm board through a 3\.5 mm plate.* up to 12 mm"):
            _bracket.screws(spec, Options(plate_mm=plate), ((1.0, 2.0),))
        return
    (screw,) = _bracket.screws(spec, Options(plate_mm=plate), ((1.0, 2.0),))
    assert screw.length_mm == length
    assert (screw.head, screw.direction) == ((1.0, 2.0, -thick - plate), (0.0, 0.0, 1.0))


def test_through_foam_the_shortest_that_reaches_the_top_is_taken() -> None:
    """30 mm of foam on 10 of wood: past the wood's far side, 10.3 at its thickest, and no longer; else the longest."""
    foam = board(40.0).model_copy(update={"screw_depth_mm": 10.0})
    fixing = profile(Fixing, "wood-3")
    spec = request().model_copy(update={"board": foam})

    def taken(*lengths: float) -> float:
        own = spec.model_copy(update={"fixing": fixing.model_copy(update={"lengths_mm": lengths})})
        return _bracket.screws(own, Options(), ((0.0, 0.0),))[0].length_mm

    assert taken(10.0, 13.7, 13.9, 20.0) == 13.9
    assert taken(10.0, 12.0, 13.7) == 13.7


ACROSS = {"style": "under-bracket", "board": "18 mm", "set": {"lie": "across"}}
DOWN = {"style": "under-bracket", "board": "18 mm", "max_depth": 80, "set": {"lie": "down"}}


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("plate", [3.5, 6.0])
def test_across_the_track_everything_stands_by_the_case(plate: float, mirror: bool) -> None:
    """Notch 0.2 mm off the case, ribs 0.4; the web past the ears by 0.5; rear screws a driver's 3.5 mm behind the web
    with a line to spare, and inside the ribs; the plug beside the end where the cable is, 0.5 mm off."""
    design = designed(**{**ACROSS, "mirror": mirror, "set": {"lie": "across", "plate_mm": plate}}).design
    plan, seat, servo = design.plan, design.plan.wall_face_x, design.spec.servo
    shaft_z = np.array(design.datums.servo)[2, 3]
    rib, pitch = plan.rib_mm, lines(2) - lines(1)
    bottom = -18.0 - plate

    assert plan.notch_y == pytest.approx((-6.25, 16.75))
    assert plan.inside_y == pytest.approx((-6.45, 16.95))
    assert plan.notch_top_z == pytest.approx(shaft_z + 6.3)
    assert plan.wall_y == pytest.approx((5.25 - 16.6, 5.25 + 16.6))
    assert plan.pilots_yz == (pytest.approx((-8.5, shaft_z)), pytest.approx((19.0, shaft_z)))
    rear = seat - max(plan.web_mm, lines(4) + pitch) - 3.5
    heads = [(0.0, -FRONT_Y), (0.0, FRONT_Y), (rear, -6.45 + 3.5), (rear, 16.95 - 3.5)]
    assert [tuple(head) for head in plan.heads_xy] == [pytest.approx(head, abs=1e-6) for head in heads]
    assert plan.plate_x == pytest.approx((rear - MARGIN, max(4.4, plan.slot_x_mm / 2 + 0.8 + 1.6)))
    assert plan.pin_y == pytest.approx((-SIDE, SIDE))
    assert plan.rib_reach_mm == pytest.approx(seat - plan.plate_x[0] - 1.0)
    assert plan.rib_drop_mm == pytest.approx(bottom - plan.boss_top_z)
    assert plan.thinned_z == pytest.approx(plan.boss_top_z + 1.1 * (plan.wall_mm - plan.web_mm))
    flares = (bottom - plan.thinned_z) / 1.5
    foot = max(-11.35, min(-6.45 - rib, -11.35 + flares)), min(21.85, max(16.95 + rib, 21.85 - flares))
    assert plan.foot_y == pytest.approx(foot)
    assert plan.knee_z == pytest.approx(min(shaft_z + 7.5, bottom - 1.0))
    side, plug_x = -1.0 if mirror else 1.0, seat - plan.wall_mm - servo.connector_width_mm / 2 - 0.5
    plug_y = -6.05 - servo.connector_thickness_mm / 2 - 0.5
    assert plan.plug_path == (
        pytest.approx((side * plug_x, plug_y, shaft_z)), pytest.approx((side * plug_x, plug_y, shaft_z - 32.2)),
    )  # fmt: skip
    assert (plan.way_out, plan.plug_wide, plan.board_face_z) == ((0.0, 0.0, -1.0), (1.0, 0.0, 0.0), -18.0)
    assert plan.mark_x == pytest.approx((seat + 1.0, -5.6 / 2 - 0.8))
    _assert_outline_holds(plan)


def _assert_outline_holds(plan) -> None:
    """Every head with its rim, the web's foot, and both edges at the pin are within the plate, which is no larger."""
    from shapely import Point, box

    outline = Polygon(plan.outline_xy)
    assert outline.is_valid
    for at in plan.heads_xy:
        assert outline.buffer(1e-6).contains(Point(at).buffer(MARGIN - 1.1))
    assert outline.bounds[::2] == pytest.approx(plan.plate_x)
    assert outline.bounds[1::2] == pytest.approx(plan.plate_y)
    y0, y1 = plan.pin_y
    for way in (-3.4, 0.0, 3.3):  # three notches and a half stand on the edge at the pin
        assert outline.exterior.distance(Point(way, y0)) < 1e-6
        assert outline.exterior.distance(Point(way, y1)) < 1e-6
    if hasattr(plan, "foot_y"):
        foot = box(plan.wall_face_x - plan.web_mm, plan.foot_y[0], plan.wall_face_x, plan.foot_y[1])
        assert outline.buffer(1e-6).contains(foot)


def test_a_far_cable_has_its_plug_at_the_far_end() -> None:
    """16.55 mm from the shaft, and out downwards all the same; of one that points down, below the case."""
    servo = {"extends": "micro-9g", "cable_end": "far"}
    spec = designed(**ACROSS).design.spec
    far = spec.model_copy(update={"servo": spec.servo.model_copy(update={"cable_end": servo["cable_end"]})})
    from mounts.pipeline import design_mount

    plan = design_mount(far).design.plan
    assert plan.plug_path[0][1] == pytest.approx(16.55 + spec.servo.connector_thickness_mm / 2 + 0.5)
    down = designed(**DOWN).design
    below = down.spec.model_copy(update={"servo": far.servo})
    z = np.array(down.datums.servo)[2, 3]
    assert down.plan.plug_path[0][2] == pytest.approx(z + 6.05 + spec.servo.connector_thickness_mm / 2 + 0.5)
    other = design_mount(below).design
    assert other.plan.plug_path[0][2] == pytest.approx(
        np.array(other.datums.servo)[2, 3] - 16.55 - spec.servo.connector_thickness_mm / 2 - 0.5
    )


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("plate", [3.5, 6.0])
def test_down_everything_stands_by_the_post(plate: float, mirror: bool) -> None:
    """The case's opening with 0.2 mm round it, the post at its side; arms 1.5 screws beyond the holes at least; a rear
    screw before the post past rib and driver; 8 mm of rib, or as far as the front screws let it."""
    design = designed(**{**DOWN, "mirror": mirror, "set": {"lie": "down", "plate_mm": plate}}).design
    plan, seat = design.plan, design.plan.wall_face_x
    shaft_z, bottom = np.array(design.datums.servo)[2, 3], -18.0 - plate

    assert plan.opening_z == pytest.approx((shaft_z - 16.75, shaft_z + 6.25))
    assert plan.case_side_y == pytest.approx(-6.3)
    assert plan.pilots_yz == (
        pytest.approx((0.0, shaft_z - 5.25 - 13.75)),
        pytest.approx((0.0, shaft_z - 5.25 + 13.75)),
    )
    post = plan.case_side_y - plan.wall_y[0]
    assert post > 7.5 - 1e-9
    assert plan.wall_y[1] == pytest.approx(1.6 * 2.0)
    assert plan.low_y == pytest.approx(-6.3 - min(post, max(6.0, 0.7 * post)))
    rear = (seat + 3.5 + 0.5, max(-6.3 - 7.5 + plan.rib_mm + 3.5 + 0.5, -0.4 * FRONT_Y))
    heads = [(0.0, -FRONT_Y), (0.0, FRONT_Y), rear]
    assert [tuple(head) for head in plan.heads_xy] == [pytest.approx(head) for head in heads]
    roof = math.sqrt(2) * (2.8 + 0.2) + 0.2
    slot = plan.slot_x_mm / 2 + plan.slot_y_mm / 2 + 0.2 + 0.8
    slot += (plate - plan.land_mm) / 2 * math.tan(math.radians(plan.flare_deg))
    assert plan.plate_x == pytest.approx((seat - plan.wall_mm, max(2.5 + 0.9 + 3.0, max(roof, slot) + 1.6)))
    assert plan.plate_y == pytest.approx((min(plan.wall_y[0], -SIDE), SIDE))
    boss = plan.pilots_yz[0][1] - plan.wall_bottom_z
    assert boss >= 1.5 * 2.0
    arm_top = plan.pilots_yz[1][1] + boss
    assert plan.arm_top_z == (pytest.approx(arm_top) if bottom - arm_top > 5.0 else None)
    reach = Polygon(plan.outline_xy).intersection(LineString([(plan.plate_x[0], -99), (plan.plate_x[0], 99)])).bounds
    wide_x = -(2.5 + 0.9 + 0.4)
    steep = SIDE - (wide_x - plan.plate_x[0] - 1.0) / 1.15
    assert reach[1::2] == pytest.approx((-max(-plan.wall_y[0], steep), max(rear[1] + MARGIN, steep)))
    assert plan.rib_reach_mm == pytest.approx(min(8.0, -seat - MARGIN))
    assert plan.rib_drop_mm == pytest.approx(min(0.75 * (bottom - shaft_z + 16.55), bottom - plan.opening_z[1]))
    side, plug_x = -1.0 if mirror else 1.0, seat - plan.wall_mm - design.spec.servo.connector_width_mm / 2 - 0.5
    assert [point[:2] for point in plan.plug_path] == [
        pytest.approx((side * plug_x, 0.0)), pytest.approx((side * plug_x, 32.2)),
    ]  # fmt: skip
    assert (plan.way_out, [mark.axis for mark in plan.index_marks]) == (
        (0.0, 1.0, 0.0),
        ["tie-bar", "tie-bar", "track"],
    )
    _assert_outline_holds(plan)


@pytest.mark.parametrize("lie", [ACROSS, DOWN])
def test_the_shaft_is_where_the_wire_asks_and_the_depth_is_what_is_told(lie) -> None:
    """Pivot in the plate's middle, arm's hole so far below it, shaft the arm hole's radius further."""
    design = designed(**lie).design
    placed, drive_ = np.array(design.datums.servo), design.drive
    up = 1.0 if drive_.horn_towards_pivot else -1.0

    assert placed[:3, 3] == pytest.approx(
        [-drive_.wire_mm / 2 - 15.4, 0.0, -18.0 - 1.75 - drive_.pivot_to_horn_mm - up * drive_.horn_radius_mm]
    )
    assert placed[:3, 2].tolist() == [1.0, 0.0, 0.0]
    case = placed[:3, 0]
    assert case.tolist() == ([0.0, 1.0, 0.0] if lie is ACROSS else [0.0, 0.0, -1.0])


@pytest.mark.parametrize("beside", [9.0, 12.0])
def test_beside_a_partner_nothing_stands_beyond_its_half(beside: float) -> None:
    """1 mm short of the middle, 2 mm being kept; one screw before the hole, one beside the servo, the case away."""
    design = designed(style="lift-bracket", travel="4 mm", set={"beside_mm": beside}).design
    plan, half = design.plan, (beside - 2.0) / 2
    shaft_y = np.array(design.datums.servo)[1, 3]

    assert plan.pin_y == pytest.approx((min(plan.wall_y[0], -SIDE), min(half, SIDE)))
    assert max(y for _, y in plan.outline_xy) <= half + 1e-9
    assert plan.notch_y == pytest.approx((shaft_y - 16.75, shaft_y + 6.25))
    heads = [(FRONT_Y, plan.pin_y[1] - max(MARGIN, 4.5)), (0.0, plan.pin_y[0] + MARGIN)]
    assert [tuple(head) for head in plan.heads_xy[:2]] == [pytest.approx(head) for head in heads]
    assert plan.plate_x[1] == pytest.approx(FRONT_Y + MARGIN + 0.8)
    connector = design.spec.servo.connector_thickness_mm / 2 + 0.5
    assert plan.plug_path[0][1] == pytest.approx(shaft_y + 6.05 + connector)
    assert plan.partner_mm == beside


def test_with_two_rods_the_plate_goes_on_to_the_second() -> None:
    """A screw midway between both, as far ahead as it must be clear of both holes; slot, flare and notch past the
    second."""
    design = designed(style="lift-bracket", scale="O", moves="boom", arm_hole=9, set={"rods": 2}).design
    plan, second = design.plan, design.drive.second.y_mm
    middle = math.floor(second / 2)

    assert plan.second_y == second < 0
    assert tuple(plan.heads_xy[0]) == pytest.approx((math.sqrt(max(0.0, FRONT_Y**2 - middle**2)), middle))
    flare = (plan.plate_mm - plan.land_mm) / 2 * math.tan(math.radians(plan.flare_deg))
    edge = max(MARGIN, plan.slot_y_mm / 2 + flare + 1.6) + 0.8
    assert plan.pin_y == pytest.approx((second - edge, SIDE))
    assert plan.plate_x[1] == pytest.approx(max(4.4, plan.heads_xy[0][0] + MARGIN + 0.8))
    assert _bracket.through_holes(plan) == len(plan.heads_xy) + 2 + len(plan.pilots_yz)


def test_a_bracket_reaches_past_both_ends_of_the_servo() -> None:
    """Lying across: half the case and 1.5 mm below the shaft, the bridge of 3 mm, half the case and 0.2 mm above it;
    pointing down: the far end with ear and 1.5 mm below, the near one with ear and 1 mm of air above."""
    half = 1.75
    across, down = designed(**ACROSS).limits, designed(**DOWN).limits

    assert (across.below_shaft_mm, down.below_shaft_mm) == pytest.approx((6.1 + 1.5, 16.55 + 4.8 + 1.5))
    assert across.min_pivot_to_shaft_mm == pytest.approx(half + 3.0 + 6.1 + 0.2)
    assert down.min_pivot_to_shaft_mm == pytest.approx(half + 6.05 + 4.8 + 1.0)


def _twist_mm4(a: float, b: float) -> float:
    """Roark's J of a rectangle."""
    t, wide = sorted((a, b))
    return wide * t**3 * (1 / 3 - 0.21 * t / wide * (1 - t**4 / (12 * wide**4)))


def test_a_post_bends_and_twists() -> None:
    """At the arm's hole: a cantilever that bends and shears (E 2000, ν 0.36), and turns under the wire that pulls
    before it, a²·L/(G·J), beside the case as the narrower post that is there; stress at the plate of both together, the
    greatest of a bar in bending and torsion (Shigley, from memory)."""
    design = designed(**DOWN).design
    plan, z = design.plan, np.array(design.datums.servo)[2, 3]
    modulus, shear = 2000.0, 2000.0 / 2.72
    wide, wall = plan.case_side_y - plan.wall_y[0], plan.wall_mm
    long, beside = -21.5 - z, plan.opening_z[1] - z
    lever = -plan.wall_face_x + wall / 2
    bends = long**3 / (3 * modulus * wall * wide**3 / 12) + 1.2 * long / (shear * wall * wide)
    low = plan.case_side_y - plan.low_y
    turns = (long - beside) / (shear * _twist_mm4(wall, wide)) + beside / (shear * _twist_mm4(wall, low))
    assert plan.seat_n_per_mm == pytest.approx(1 / (bends + lever**2 * turns))
    t, b = sorted((wall, wide))
    bent, sheared = 6 * long / (wall * wide**2), lever * (3 + 1.8 * t / b) / (b * t**2)
    assert plan.seat_mpa_per_n == pytest.approx(bent / 2 + math.hypot(bent / 2, sheared))
    assert plan.seat_mpa_per_n * 156.9 / design.drive.horn_radius_mm <= 0.85 * 44.0


@pytest.mark.parametrize("web", [None, 5.0])
def test_the_web_is_as_thick_as_the_seat_needs(web: float | None) -> None:
    """The fewest lines with which it is stiff enough and bears the stall, or what is asked."""
    options = {"lie": "across"} | ({} if web is None else {"web_mm": web})
    plan = designed(**{**ACROSS, "set": options}).design.plan

    assert plan.web_mm == pytest.approx(web or plan.web_mm)
    if web is None:
        pitch = lines(2) - lines(1)
        count = (plan.web_mm - lines(1)) / pitch
        assert count == pytest.approx(round(count), abs=1e-6)


def test_index_notches_of_one_slot_or_two_leave_so_many_holes() -> None:
    """Screws, slots, and the servo's screws where their holes are printed."""
    one = designed(**ACROSS).design.plan

    assert _bracket.through_holes(one) == 4 + 1 + 2
    assert _bracket.through_holes(one.model_copy(update={"pilot_mm": None})) == 4 + 1
    assert _bracket.through_holes(one.model_copy(update={"second_y": -9.0})) == 4 + 2 + 2


def test_the_plate_has_a_bay_between_its_rear_screws_where_it_is_deep_enough() -> None:
    """0.6 of its depth behind the seat, a millimetre before the web at most, corners cut by 1 mm; under 4 mm there is
    none; a notch at the rear edge keeps 2 mm beside it. The front edges run to the notches at the pin."""
    given = {"plate_x": (-30.0, 5.0), "web_x": (-12.0, -10.0), "foot_y": (-9.0, 12.0), "pin_y": (-15.0, 16.0)}

    outline = _bracket_across._outline(**given, bay_y=(-1.0, 8.0))
    deep = 0.6 * (-9.5 + 30.0)
    assert outline[-4:] == (
        (-30.0, 8.0), pytest.approx((-30.0 + deep, 7.0)), pytest.approx((-30.0 + deep, 0.9 + 2.0 + 1.0)), (-30.0, 2.9)
    )  # fmt: skip
    low = _bracket_across._outline(**given, bay_y=(-8.0, 1.0))
    assert (low[-4], low[-1]) == ((-30.0, -2.9), (-30.0, -8.0))
    near = _bracket_across._outline(**{**given, "web_x": (-20.0, -10.0)}, bay_y=(-1.0, 8.0))
    assert near[-3][0] == pytest.approx(-20.0 - 1.0)
    assert len(_bracket_across._outline(**given, bay_y=(-1.0, 6.8))) == 12  # 3.9 mm wide
    assert len(_bracket_across._outline(**given, bay_y=(-1.0, 7.0))) == 16
    wide = -(2.5 + 0.9 + 0.4)
    assert outline[:12] == (
        (-30.0, -8.0), (-29.0, -9.0), (-9.5, -9.0), (wide, -15.0), (4.0, -15.0), (5.0, -14.0),
        (5.0, 15.0), (4.0, 16.0), (wide, 16.0), (-9.5, 12.0), (-29.0, 12.0), (-30.0, 11.0),
    )  # fmt: skip
    narrow = _bracket_across._outline(**{**given, "foot_y": (-1.0, 1.0)}, bay_y=(-1.0, 8.0))
    assert (narrow[2][1], narrow[9][1]) == pytest.approx((-2.9, 2.9))  # the notch in the rear edge and both corners


def _leg(**figures: float) -> _bracket_across.AcrossPlan:
    told = {
        "wall_face_x": -10.0, "web_mm": 2.0, "wall_mm": 5.0, "wall_bottom_z": -60.0, "board_face_z": -12.0,
        "plate_mm": 3.5, "thinned_z": -40.0, "boss_top_z": -45.0, "rib_reach_mm": 9.0, "rib_drop_mm": 29.5,
        "knee_z": -35.0,
    }  # fmt: skip
    return _bracket_across.AcrossPlan.model_construct(**(told | figures))


def test_a_leg_thins_out_above_its_boss() -> None:
    """As thick as the wall round its screw, as the web where it is thinned; close under the plate it stays thick."""
    assert _bracket_across._boss(_leg(), -15.0) == [(-10, -40), (-10, -60), (-15, -60), (-15, -45), (-12, -40)]
    assert _bracket_across._boss(_leg(thinned_z=-15.9), -15.0) == [(-10, -15), (-10, -60), (-15, -60), (-15, -15)]
    assert len(_bracket_across._boss(_leg(thinned_z=-16.1), -15.0)) == 5


def test_a_rib_narrows_to_its_knee_and_ends_over_the_bosses() -> None:
    """From the middle of the web back along the plate, 0.8 mm upright at its end, then in to the wall's back."""
    rib = _bracket_across._rib(_leg(), -15.0)
    assert rib == [(-11, -15), (-19, -15), (-19, -16.3), (-15, -35), (-15, -45), (-11, -45)]
    short = _bracket_across._rib(_leg(rib_drop_mm=10.0), -15.0)
    assert short[3:] == [(-15, -25.5), (-15, -25.5), (-11, -25.5)]
    thick = _bracket_across._rib(_leg(wall_mm=2.0), -15.0)
    assert thick[3][0] == pytest.approx(-12.1)


@pytest.mark.parametrize(
    ("rear", "reach"), [((-9.0, 8.0), (9.0, 8.0)), ((-40.0, 2.0), (40.0, 6.0)), ((-1.0, 30.0), (6.0, 30.0))]
)
def test_a_standing_plate_leans_no_more_than_prints(rear: tuple[float, float], reach: tuple[float, float]) -> None:
    """1.15 mm of rise to one of run from a millimetre off the bed up to the notches at the pin, and so wide there at
    least; front corners cut by 3 mm."""
    outline = _bracket_down._outline((-16.0, 6.0), rear, 15.7)
    wide_x = -3.8
    least = 15.7 - (wide_x + 16.0 - 1.0) / 1.15
    assert least == pytest.approx(5.96, abs=0.01)
    low, high = (max(one, least) for one in (-rear[0], rear[1]))

    assert [max(round(low), 6), max(round(high), 6)] == [round(one) for one in reach]
    assert outline[0] == pytest.approx((-16.0, -low))
    assert outline[-1] == pytest.approx((-16.0, high))
    assert outline[1] == pytest.approx((wide_x - 1.15 * max(0.0, 15.7 - low), -low))
    assert outline[-2] == pytest.approx((wide_x - 1.15 * max(0.0, 15.7 - high), high))
    assert (outline[2], outline[-3]) == ((wide_x, -15.7), (wide_x, 15.7))
    assert outline[3:7] == ((3.0, -15.7), (6.0, pytest.approx(-12.7)), (6.0, 12.7), (3.0, 15.7))


def test_notches_are_cut_where_they_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """One where a mark is 1, three 2.5 mm apart along the edge where it is 3; 0.8 deep and 1.8 wide. The kernel's part
    is recorded."""
    holes = SimpleNamespace(index_notch=lambda at, inwards, **size: (at, inwards, size))
    monkeypatch.setitem(sys.modules, "mounts.solid.holes", holes)
    plan = _bracket.BracketPlan.model_construct(plate_x=(-9.0, 5.0), pin_y=(-7.0, 8.0))

    cut = _bracket.index_notches(plan, back=True)
    assert [(at, way) for at, way, _ in cut] == [
        ((0.0, -7.0), (0.0, 1.0)), ((-2.5, 8.0), (0.0, -1.0)), ((0.0, 8.0), (0.0, -1.0)), ((2.5, 8.0), (0.0, -1.0)),
        ((5.0, 0.0), (-1.0, 0.0)), ((-9.0, 0.0), (1.0, 0.0)),
    ]  # fmt: skip
    assert all(size == {"deep_mm": 0.8, "half_mm": 0.9} for _, _, size in cut)
    assert len(_bracket.index_notches(plan, back=False)) == 5


def test_a_lying_countersink_has_a_roof() -> None:
    """At 45° over half the head and its play, and 0.2 mm."""
    assert _bracket_down._roof_mm(request()) == pytest.approx(math.sqrt(2) * (2.8 + 0.2) + 0.2)


@pytest.mark.parametrize(("wide", "low"), [(7.0, 6.0), (5.0, 5.0), (10.0, 7.0), (20.0, 14.0)])
def test_beside_the_case_a_post_is_narrower(wide: float, low: float) -> None:
    """0.7 of it, 6 mm at least where it is as wide as that."""
    assert _bracket_down._low_mm(wide) == pytest.approx(low)


def test_a_bolt_that_was_asked_for_is_refused_and_one_in_stock_is_passed_over() -> None:
    """Its nut would lie under the track; a wood screw that was asked for stays."""
    bolt = profile(Fixing, "bolt-m3")
    wood = request()

    with pytest.raises(NoFixing, match="its nut would lie under the track"):
        _bracket.fixed(wood.model_copy(update={"fixing": bolt, "fixing_stock": ()}), Options(), lambda _: 4)
    stock = wood.model_copy(update={"fixing": bolt, "fixing_stock": (bolt, wood.fixing)})
    assert _bracket.fixed(stock, Options(), lambda _: 4).fixing.kind == "wood"
    assert _bracket.fixed(wood.model_copy(update={"fixing_stock": ()}), Options(), lambda _: 4).fixing == wood.fixing
