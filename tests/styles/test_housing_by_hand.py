"""Frames beside a track in N by arithmetic, for a 9 g servo, wood screws of 3 mm and a 0.4 mm nozzle: no kernel.

Case 22.6 × 12.2 mm, its ends 6.05 and 16.55 mm from the shaft, ears 4.8 mm, their holes 27.5 mm apart; arm 17 mm, its
tip 4 mm wide, 1.6 thick, its hub 7, its outer face 15.4 mm over the ears; plug 7.7 × 2.6 mm. Rim 1.2 mm, air 1 mm; from
a screw's axis 4.4 mm to the plate's edge and 3.3 to what stands beside it.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from plain import designed

from mounts.design import Design
from mounts.styles import _housing_base

RIM, AIR, MARGIN, BESIDE = 1.2, 1.0, 2.8 + 1.6, 2.8 + 0.5
SLOT, EDGE = (7.7 + 0.8, 2.6 + 0.8), RIM + 0.6  # for the plug, 0.4 mm round it; land and rim beside it
HOLE = 9.0  # drill for plug and cable: its diagonal 8.13 and half a millimetre, whole
LOW = {"roadbed": "0", "pin_height": "1"}
HIGH: dict[str, str] = {}


def made(pose: str, where: dict[str, str], **options: object) -> Design:
    mirror = bool(options.pop("mirror", False))
    asked = {"style": "cabin", "track_distance": "32 mm", "mirror": mirror, "set": {"pose": pose, **options}}
    return designed(**asked, **where).design


def at(design: Design) -> tuple[float, float, float, float, float]:
    """Hole's radius, half the wire, shaft's y, half swing, and pin's height."""
    drive = design.drive
    return (
        drive.horn_radius_mm, drive.wire_mm / 2, drive.shaft_to_pin_mm, math.radians(drive.swing_deg),
        design.spec.pin_height_mm,
    )  # fmt: skip


def close(found: object, expected: object) -> None:
    """Spans, points and tuples of them to a millionth."""
    assert np.array(found, dtype=float).ravel() == pytest.approx(np.array(expected, dtype=float).ravel(), abs=1e-6)


def _slot(design: Design, at_mm: float, *, stray: float) -> tuple[float, float]:
    """For the rod in a wall so far from the arm's hole: half a wire and a millimetre, its share of the loop's step."""
    drive = design.drive
    reach = drive.horn_radius_mm * math.sin(math.radians(drive.swing_deg))
    share = min(1.0, (at_mm + reach) / (drive.loop_at_mm - drive.loop_feet_mm / 2))
    pulled, pushed = drive.loop_step_mm
    half = drive.wire_mm / 2 + 1.0
    return -half - stray - share * max(pushed, 0.0), half + share * max(-pulled, 0.0)


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("where", [HIGH, LOW])
def test_hanging_the_servo_stands_over_its_rod_between_two_posts(where: dict[str, str], mirror: bool) -> None:
    """Arm's outer face on the wire; posts 0.2 mm off the case, or the arm's air; ears on top, a corbel 1 mm over the
    arm; a screw in each corner."""
    design = made("hang", where, mirror=mirror)
    plan, frame, side = design.plan, design.plan.frame, -1.0 if mirror else 1.0
    r, half, y, swing, pin = at(design)
    ears = pin - plan.beside.let_down.sunk_mm + half + 15.4

    close(np.array(design.datums.servo)[:3, 3], (side * -r, y, ears))
    assert np.array(design.datums.servo)[:3, :3].tolist() == np.diag([side, -side, -1.0]).tolist()
    assert (plan.way_out, plan.plug_wide, plan.ears_rest_on) == ((0.0, 0.0, 1.0), (1.0, 0.0, 0.0), "upper")
    assert design.datums.horn_at_mid == (side, 0.0, 0.0)
    assert (design.datums.pin, design.datums.pivot) == ((0.0, 0.0, pin), None)
    close(frame.near_x, (-r - 6.05 - 4.8 - 1.5, -r - 6.05 - 0.2))
    foot = -r + 17.0 + AIR
    close(frame.far_x, (-r + 16.55 + 0.2, max(-r + 16.55 + 4.8 + 1.5, foot + 4.0)))
    close((frame.far_foot_x, frame.seat_z), (foot, ears - 2.5))
    close(frame.corbel_z, ears - 15.4 + 1.6 + AIR)
    strip = BESIDE + MARGIN
    close(plan.base_x, (frame.near_x[0] - strip, frame.far_x[1] + strip))
    close(plan.room_top_z, ears + 15.75 + AIR)
    close(plan.slot_top_z, pin + half + 1.0)
    assert design.drive.loop_step_mm[1] >= 0
    outside = y - plan.base_y[0] + 0.2 + 1.2 + 0.4  # slip, wall and relief of a cabin
    close(plan.slot_x, _slot(design, outside, stray=r * (1 - math.cos(swing))))
    assert plan.arm_in_deg == 20.0  # cos⁻¹ of (16.75 − 0.3 − 2)/15 is 15.6°, in steps of 5
    turned = 15.0 * math.sin(math.radians(20.0)) + 2.0
    sweep = 15.0 * math.sin(swing) + 2.0
    behind, low = max(sweep, turned) + AIR, ears - 15.4 - 0.8
    depth = max(0.0, math.ceil((AIR - low) * 2 - 1e-6) / 2)
    back = behind + 8.0 if not depth else max(behind + 8.0, behind + 2.0 + HOLE / 2 + SLOT[1] / 2 + EDGE)
    close(plan.base_y[1], y + back)
    assert plan.beside.track_distance_mm == pytest.approx(32.0)
    close(frame.opening, ((-r - 3.5 - AIR, foot), (plan.base_y[0] - 1.0, y + behind)))
    (x0, x1), (y0, y1) = plan.base_x, plan.base_y
    close(frame.heads_xy, [(x, z) for x in (x0 + MARGIN, x1 - MARGIN) for z in (y0 + MARGIN, y1 - MARGIN)])
    close(plan.cable_slot[1], (y1 - EDGE - SLOT[1], y1 - EDGE))
    middle = x0 + MARGIN + HOLE / 2 + 4.5 + 0.1
    close(plan.cable_slot[0], (middle - SLOT[0] / 2, middle + SLOT[0] / 2))
    down = (side * middle, y1 - EDGE - SLOT[1] / 2)
    close((*plan.cable_hole.at, plan.cable_hole.drill_mm), (*down, HOLE))
    close(plan.plug_path, [(*down, 20.0), (*down, -27.0)])
    close(frame.mark_x, (max(frame.near_x[1], plan.cable_slot[0][1]) + 0.8, foot - 0.8))
    close(frame.mark_y, (frame.opening[1][1] + 0.8, y1 - RIM - 0.8))
    close(frame.pilots_xy, ((-r + 5.25 - 13.75, y), (-r + 5.25 + 13.75, y)))
    close(frame.post_y, (y - 12.2 / 3, y + 12.2 / 3))
    close(frame.pilot_depth_mm, 8.0 - 2.5 + 1.0)
    if not depth:
        assert plan.board_cut_out is None
        return
    x = sorted((side * (-r - 3.5 - AIR), side * (-r + 17.0 + AIR)))
    corners = np.array(plan.board_cut_out.outline)
    close((*corners.min(axis=0), *corners.max(axis=0)), (x[0], y - sweep - AIR, x[1], y + behind))
    assert (plan.board_cut_out.depth_mm, plan.board_cut_out.through) == (depth, False)


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("where", [HIGH, LOW])
def test_on_its_side_the_servo_stands_behind_its_wall(where: dict[str, str], mirror: bool) -> None:
    """Its shaft along the track, the arm's hole on the rod; the arm cut off as far behind its hole as its tip is wide;
    two screws behind the wall, two before it."""
    design = made("side", where, mirror=mirror)
    plan, frame, side = design.plan, design.plan.frame, -1.0 if mirror else 1.0
    r, half, y, swing, pin = at(design)
    seat, z = -half - 15.4, pin + design.drive.offset_mm

    close(np.array(design.datums.servo)[:3, 3], (side * seat, y, z))
    assert design.datums.horn_at_mid == (0.0, 0.0, -1.0)
    assert plan.arm_length_mm == pytest.approx(r + 2.0)
    assert (plan.way_out, plan.plug_wide, plan.ears_rest_on) == ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0), "underside")
    wall = frame.wall_x[1] - frame.wall_x[0]
    close(frame.wall_x[1], seat)
    near, far = y - 6.05, y + 16.55
    close(frame.wall_y, (near - 4.8 - 1.5, far + 4.8 + 1.5))
    close(frame.notch_y, (near - 0.2, far + 0.2))
    close((frame.notch_z, plan.room_top_z), (z - 6.1 - 0.2, z + 6.1 + 1.5 + AIR))
    close(frame.pilots_yz, ((y + 5.25 - 13.75, z), (y + 5.25 + 13.75, z)))
    assert z + 1.6 < frame.wall_top_z <= z + 6.1 + 1.5
    close(plan.slot_top_z, max(pin, z - r + r * (1 - math.cos(swing))) + half + 1.0)
    behind = max(15.75 + max(1.3 + AIR, 0.4 + SLOT[1] + 0.6) + RIM, wall + BESIDE + MARGIN)
    close(plan.base_x, (seat - behind, max(half, 0.8 - half) + AIR + RIM))
    close(plan.base_y[1], far + 4.8 + max(1.5, 0.2 + RIM))
    (x0, _), (y0, y1) = plan.base_x, plan.base_y
    x_behind = min(max((seat - 15.75 + seat - wall) / 2, x0 + MARGIN), seat - wall - BESIDE)
    low_y, high_y = y0 + MARGIN, y1 - MARGIN
    close(frame.heads_xy, ((x_behind, low_y), (x_behind, high_y), (seat + BESIDE, low_y), (seat + BESIDE, high_y)))
    close(
        plan.cable_slot, ((x0 + EDGE, x0 + EDGE + SLOT[1]), (sum(plan.base_y) / 2 - 4.25, sum(plan.base_y) / 2 + 4.25))
    )
    close(frame.mark_x, (plan.cable_slot[0][1] + 0.8, seat - wall - 0.8))
    close(frame.mark_y, (low_y + 2.8 + 1.0, high_y - 2.8 - 1.0))
    length = r + 2.0
    sweep = min(15.0 * math.sin(swing) + 2.0, length * math.sin(swing) + 3.5 * math.cos(swing))
    arm_x = -half - 1.6 - 2 * half - AIR, max(half + AIR, -half + 2.8 + 0.5)
    close(frame.opening, ((arm_x[0], plan.base_x[1] + 1.0), (y0 - 1.0, y + sweep + AIR)))
    wide = 2.0 + 1.5 * (1 - length / 15.0)
    corner = min(swing, math.atan2(wide, length))
    lowest = z - length * math.cos(corner) - wide * math.sin(corner)
    depth = max(0.0, math.ceil((AIR - lowest) * 2 - 1e-6) / 2)
    assert (plan.board_cut_out is None) == (depth == 0)
    if depth:
        corners = np.array(plan.board_cut_out.outline)
        x = sorted(side * each for each in arm_x)
        close((*corners.min(axis=0), *corners.max(axis=0)), (x[0], y - sweep - AIR, x[1], y + sweep + AIR))
        assert plan.board_cut_out.depth_mm == depth


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("pose", ["hang", "side"])
def test_a_cable_that_goes_out_at_the_back_lies_on_the_plate(pose: str, mirror: bool) -> None:
    """Beside post or wall by 0.5 mm, a plug's half and 0.5 over the plate; its gate is 0.6 mm wider and higher."""
    design = made(pose, HIGH, cable="back", mirror=mirror)
    plan, frame, y = design.plan, design.plan.frame, design.drive.shaft_to_pin_mm
    x = frame.near_x[1] + 3.85 + 0.5 if pose == "hang" else frame.wall_x[0] - 3.85 - 0.5
    start = y if pose == "hang" else y + 5.25
    z, side = plan.base_mm + 1.3 + 0.5, -1.0 if mirror else 1.0

    assert (plan.cable_slot, plan.cable_hole) == (None, None)
    close(plan.plug_path, [(side * x, start, z), (side * x, plan.base_y[1] + 20.0, z)])
    close((*plan.cable_x, plan.cable_top_z), (x - 3.85 - 0.6, x + 3.85 + 0.6, z + 1.3 + 0.6))
    assert plan.plug_wide == (1.0, 0.0, 0.0)


@pytest.mark.parametrize("pose", ["hang", "side"])
def test_what_is_left_to_the_rod(pose: str) -> None:
    """Its length is given by the distance; before the loop shell and air, behind it sleepers, half the throw and air;
    the loop has the rest, 20 mm high."""
    design, limits = made(pose, HIGH), designed(style="cabin", track_distance="32 mm", set={"pose": pose}).limits
    beside, spec = design.plan.beside, design.spec

    assert limits.rod_length_mm[0] == limits.rod_length_mm[1]
    assert limits.after_loop_mm == pytest.approx(beside.sleeper_end_y + spec.throw_mm / 2 + 1.0)
    assert limits.max_loop_width_mm == pytest.approx(
        limits.rod_length_mm[0] - limits.before_loop_mm - limits.after_loop_mm
    )
    assert limits.before_loop_mm > design.drive.shaft_to_pin_mm - design.plan.base_y[0] + 1.0
    assert (limits.max_loop_height_mm, limits.max_lean_deg, limits.wire_tail_mm) == (20.0, 20.0, 2.5)
    close(limits.arm_sweep_mm[0], 15.0)
    assert limits.ccw_moves_pin_to_reverse == (pose == "side")
    turned = designed(style="cabin", track_distance="32 mm", mirror=True, set={"pose": pose}).limits
    assert turned.ccw_moves_pin_to_reverse == (pose == "hang")


@pytest.mark.parametrize("pose", ["hang", "side"])
def test_on_raised_ground_everything_is_told_from_the_board(pose: str) -> None:
    """Screws, servo and plug stand 2 mm higher than the same on a board that is 2 mm thicker and nearer to the pin."""
    design = made(pose, {"ground": "2 mm"})
    plan = design.plan

    assert {point[2] for point in design.datums.fixings} == {2.0}
    assert {screw.head[2] for screw in plan.screws} == {2.0 + plan.base_mm}
    assert [point[2] for point in plan.plug_path] == pytest.approx([22.0, -27.0])
    assert design.datums.pin[2] == design.spec.pin_height_mm
    z = np.array(design.datums.servo)[2, 3]
    over = 15.75 + AIR if pose == "hang" else 6.1 + 1.5 + AIR
    close(plan.room_top_z, z - 2.0 + over)


@pytest.mark.parametrize(("mirror", "x"), [(False, 1.0), (True, -1.0)])
def test_a_housing_tells_its_frame_and_its_track(mirror: bool, x: float) -> None:
    """N: the pin 0.7 gauges from the middle of the track or beside the rail, 6.4 mm; the roadbed's foot 3 mm past the
    sleepers, which are 16.3 mm long (2.6 m at 1:160)."""
    design = made("side", HIGH, mirror=mirror)
    beside, plan = design.plan.beside, design.plan

    close(beside.frame_x, sorted(x * edge for edge in plan.base_x))
    close(beside.frame_y, plan.base_y)
    close((beside.track_y, beside.sleeper_end_y), (-6.4, design.spec.scale.sleeper_mm / 2 - 6.4))
    close(beside.roadbed_edge_y, beside.sleeper_end_y + 3.0)
    assert beside.let_down.pose == "side"
    assert plan.loop_towards == (-x, 0.0, 0.0)


def _free(design: Design) -> np.ndarray:
    """The plate in cells of 0.2 mm: true where nothing has to stay, and no narrower than 6 mm."""
    from scipy.ndimage import distance_transform_edt, maximum_filter

    plan, frame = design.plan, design.plan.frame
    (x0, x1), (y0, y1) = plan.base_x, plan.base_y
    x, y = np.meshgrid(np.arange(x0, x1, 0.2) + 0.1, np.arange(y0, y1, 0.2) + 0.1, indexing="ij")
    free = (np.minimum(x - x0, x1 - x) > RIM + 3.0) & (np.minimum(y - y0, y1 - y) > RIM + 3.0)
    far = (min(frame.far_x[0], frame.far_foot_x), frame.far_x[1]) if frame.kind == "hang" else None
    for low, high in [frame.wall_x] if far is None else [frame.near_x, far]:
        free &= (x < low - 3.0) | (x > high + 3.0)
    for gap in (frame.opening, plan.cable_slot):
        if gap is not None:
            (a, b), (c, d) = gap
            free &= (x < a - 3.0) | (x > b + 3.0) | (y < c - 3.0) | (y > d + 3.0)
    (a, b), (c, d) = frame.mark_x, frame.mark_y
    free &= (x < a) | (x > b) | (y < c) | (y > d)
    head = design.spec.fixing.head_mm / 2 + 1.6
    for at_x, at_y in frame.heads_xy:
        free &= np.hypot(x - at_x, y - at_y) > head * 0.97  # an octagon for a circle
    return maximum_filter(distance_transform_edt(free) * 0.2 > 3.0, 31) & free


@pytest.mark.parametrize(
    ("pose", "more"),
    [("side", {"servo": "standard-40g", "scale": "I"}), ("hang", {"servo": "standard-40g", "scale": "I"})],
)
def test_windows_are_what_the_plate_can_do_without(pose: str, more: dict[str, str]) -> None:
    """3 mm of it stay along rim, openings and what carries the servo, 1.6 round heads, and the name's flat; no window
    is narrower than 6 mm or smaller than 80 mm²: counted in cells."""
    from scipy.ndimage import label
    from shapely import Polygon

    design = designed(style="cabin", set={"pose": pose}, **more).design
    for changed in (design, _without_mark(design)):
        pieces, count = label(_free(changed))
        areas = sorted(area for n in range(1, count + 1) if (area := (pieces == n).sum() * 0.04) >= 80.0)
        found = [Polygon(ring) for ring in _housing_base.windows(changed.spec, changed.plan)]
        assert sorted(window.area for window in found) == pytest.approx(areas, rel=0.06)
        assert [window.bounds[0] for window in found] == sorted(window.bounds[0] for window in found)
    glued = design.model_copy(update={"spec": design.spec.model_copy(update={"bonded": True})})
    assert _housing_base.windows(glued.spec, glued.plan) == []


def _without_mark(design: Design) -> Design:
    """The same with its name in a corner."""
    plan = design.plan
    (x, _), (y, _) = plan.base_x, plan.base_y
    frame = plan.frame.model_copy(update={"mark_x": (x, x + 1.0), "mark_y": (y, y + 1.0)})
    return design.model_copy(update={"plan": plan.model_copy(update={"frame": frame})})


def _cantilevers(wall: float, widths: tuple[float, ...], long: float, modulus: float = 2000.0) -> float:
    """Side by side, bending and shearing, N/mm (any handbook)."""
    shear = modulus / 2.72
    gives = (long**3 / (3 * modulus * wall * wide**3 / 12) + 1.2 * long / (shear * wall * wide) for wide in widths)
    return sum(1 / one for one in gives)


@pytest.mark.parametrize("where", [HIGH, LOW])
def test_a_frame_is_as_stiff_as_its_posts(where: dict[str, str]) -> None:
    """Hanging: two as wide as they are across the track, as thick as the thinner is along it, up to the ears; on its
    side the wall's two, with the arm's pull before them."""
    hang, side = made("hang", where).plan, made("side", where).plan
    frame = hang.frame
    thin = min(frame.near_x[1] - frame.near_x[0], frame.far_x[1] - frame.far_foot_x)
    long, wide = frame.seat_z - hang.base_mm, 12.2 * 2 / 3
    assert hang.seat_n_per_mm == pytest.approx(_cantilevers(thin, (wide, wide), long))
    bends, turned = 6 * long * wide / (thin * 2 * wide**3), 6 * long * 0.0
    assert hang.seat_mpa_per_n == pytest.approx(bends + turned)
    frame = side.frame
    widths = frame.notch_y[0] - frame.wall_y[0], frame.wall_y[1] - frame.notch_y[1]
    wall, long = frame.wall_x[1] - frame.wall_x[0], frame.pilots_yz[0][1] - side.base_mm
    assert side.seat_n_per_mm == pytest.approx(_cantilevers(wall, widths, long))
    bends = 6 * long * max(widths) / (wall * sum(one**3 for one in widths))
    turned = 6 * long * 15.4 / ((frame.notch_y[1] - frame.notch_y[0]) * min(widths) * wall**2)
    assert side.seat_mpa_per_n == pytest.approx(bends + turned)


def test_over_a_high_pin_the_plate_is_whole_and_its_name_begins_at_the_rim() -> None:
    """Nothing of rod or arm comes down to it."""
    plan = made("hang", {"pin_height": "16"}).plan

    assert plan.frame.opening is None
    close(plan.frame.mark_y, (plan.base_y[0] + RIM + 0.8, plan.base_y[1] - RIM - 0.8))
