"""The servo upside down between two posts, its arm just above the board: tall and slim.

Seen from the track:

              ┌───────────────┐
              │     case      │
        ear ┌─┴───────────────┴─┐ ear
            ├─┐               ┌─┤            z ↑   → x along the track
      near  │ │   └─⊙─┘       │ │  far
      post  │ │     ╹         / │  post
            │ │   ══╪════════╡ ││            arm: hole at x = 0, the rod runs towards the eye
        ┌───┴─┴───────────────┴─┴───┐        base plate, a screw in each corner
        board ▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from mounts.design import Datums
from mounts.drive.push_rod.model import PushRodDrive
from mounts.drive.ranking import COMFORTABLE_SWING_DEG
from mounts.errors import NoDesign
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.styles import _housing_cable, _housing_screws, _mounting
from mounts.styles import _housing_options as shared
from mounts.styles._housing_options import AIR_MM, ROD_AIR_MM, Options
from mounts.styles._housing_plan import HangFrame, HousingPlan, cable_drill_mm, sound_mm
from mounts.styles._mounting import EAR_MARGIN_MM, PLUG_SIDE_MM, flip
from mounts.styles._pilots import length_mm, pilots

if TYPE_CHECKING:
    from cadquery import Solid

STEEPEST_DEG = 5.0  # the rod lies across the arm: steeper, and it levers the Z-bend out of its hole
BACK_STRIP_MM = 8.0  # base plate behind an opening, which joins both posts and bears the name
LEAST_FOOT_MM = 4.0  # of a post, along the track
POST_TOP_MM = 3.0  # of a post left above a corbel


def front_mm(spec: MountSpec, swing_deg: float) -> float:
    """Shaft to the edge of the base plate on the track side: room for the swinging arm, case and screws."""
    servo = spec.servo
    rim = shared.rim_mm(spec)
    screws = shared.head_margin_mm(spec) + 1.5 * spec.fixing.shank_mm
    sweep = shared.arm_sweep_mm(spec, swing_deg, servo.horn_length_mm)
    return _off_the_posts_mm(spec, max(servo.case_width_mm / 2 + AIR_MM, sweep + AIR_MM + rim, screws))


def _off_the_posts_mm(spec: MountSpec, edge_mm: float) -> float:
    """Shaft to an edge of the base plate, no crack between its rim and the posts."""
    return shared.off_a_post_mm(spec, edge_mm, spec.servo.case_width_mm / 2)


def reach_x(spec: MountSpec) -> float:
    """Farthest edge of the base plate along the track from the tie bar, with whichever arm hole."""
    servo, holes = spec.servo, spec.servo.horn_radii_mm
    ear = servo.ear_mm + EAR_MARGIN_MM
    strip = shared.beside_mm(spec) + shared.head_margin_mm(spec)
    near = max(holes) + servo.shaft_offset_mm + ear
    far = max(servo.case_ends_mm()[1] + ear, servo.horn_length_mm + AIR_MM + LEAST_FOOT_MM)
    return max(near, far - min(holes)) + strip


def short_side_mm(spec: MountSpec) -> float:
    """About what the base plate measures across the track, before the drive is known."""
    return 2 * front_mm(spec, COMFORTABLE_SWING_DEG)


def top_z(spec: MountSpec, wire_mm: float, sunk_mm: float) -> float:
    """Height of the case, the highest there is."""
    return _flange_z(spec, wire_mm, sunk_mm) + spec.servo.flange_underside_height_mm


def _flange_z(spec: MountSpec, wire_mm: float, sunk_mm: float) -> float:
    """The rod lies against the arm's outer face, so its axis is half a wire below it."""
    return spec.pin_height_mm - sunk_mm + wire_mm / 2 + spec.servo.horn_plane_height_mm


def place(
    spec: MountSpec,
    drive: PushRodDrive,
    options: Options,
    front: float,
    common: dict[str, object],
    *,
    outside_mm: float,
    sunk_mm: float,
) -> tuple[Datums, HousingPlan]:
    """Where everything stands.

    Args:
        spec: the request.
        drive: the rod.
        options: of the housing.
        front: shaft to the edge of the base plate on the track side, mm, at least ``front_mm``.
        common: fields of the plan that do not depend on the frame.
        outside_mm: edge of the base plate to the outside of the shell, where the rod passes it.
        sunk_mm: how far the servo is let down.

    Raises:
        NoDesign: no stock screw suits the board, or a post can't be made.
    """
    servo, slip = spec.servo, fits.POCKET.air_mm(spec.printer)
    shaft_x, shaft_y = -drive.horn_radius_mm, drive.shaft_to_pin_mm
    flange_z = _flange_z(spec, drive.wire_mm, sunk_mm)
    base, rim = _housing_screws.base_mm(spec, options), shared.rim_mm(spec)
    arm_z = flange_z - servo.horn_plane_height_mm
    lowest_z = arm_z - servo.horn_screw_proud_mm
    sweep = shared.arm_sweep_mm(spec, drive.swing_deg, servo.horn_length_mm)
    ear, case_x = servo.ear_mm, servo.case_ends_mm(shaft_x)

    boss = servo.boss_mm / 2 + fits.BOSS.own_mm
    near_in = shaft_x - max(servo.shaft_offset_mm + slip, boss, servo.horn_hub_mm / 2 + AIR_MM)
    near_x = (case_x[0] - ear - EAR_MARGIN_MM, near_in)
    far_in = max(case_x[1] + slip, shaft_x + boss)
    foot_x = max(far_in, shaft_x + servo.horn_length_mm + AIR_MM)
    far_x = (far_in, max(case_x[1] + ear + EAR_MARGIN_MM, foot_x + LEAST_FOOT_MM))
    seat_z = flange_z - servo.flange_thickness_mm
    corbel_z = arm_z + servo.horn_thickness_mm + AIR_MM
    if seat_z - corbel_z - (foot_x - far_in) < POST_TOP_MM:
        raise NoDesign(
            f"the arm, {servo.horn_length_mm:g} mm long, reaches so far under the ear that no post fits beside it "
            f"({foot_x - far_in:.1f} mm of corbel in {seat_z - corbel_z:.1f} mm): cut the arm off behind its hole and "
            "give its length in the servo profile, or set pose=side"
        )

    arm_in_deg, arm_in_mm = _arm_in(spec, far_in - shaft_x)
    back = _off_the_posts_mm(
        spec,
        max(
            front_mm(spec, drive.swing_deg),
            servo.case_width_mm / 2 + servo.cable_thickness_mm + AIR_MM + rim,
            arm_in_mm + AIR_MM + rim,
        ),
    )
    # where the arm goes down turned, plate and board give way there too
    behind = max(sweep, arm_in_mm) + AIR_MM
    rod_low_z = spec.pin_height_mm - sunk_mm - drive.wire_mm / 2
    opening = None
    if lowest_z - AIR_MM < base or rod_low_z - ROD_AIR_MM < base:
        back = max(back, behind + BACK_STRIP_MM)
        opening = ((shaft_x - servo.horn_hub_mm / 2 - AIR_MM, foot_x), (shaft_y - front - 1.0, shaft_y + behind))
    margin = shared.head_margin_mm(spec)
    strip = shared.beside_mm(spec) + margin
    cut_depth = shared.cut_depth_mm(spec, lowest_z)
    down, (slot_long, slot_short) = options.cable == "down", _housing_cable.cable_slot_mm(servo)
    slot_edge = rim + _housing_cable.SLOT_LAND_MM  # the slot for the plug is behind the near post
    if down:
        slot_y = servo.case_width_mm / 2 + fits.PLUG_SLOT.own_mm
        back = max(back, _off_the_posts_mm(spec, slot_y + slot_short + slot_edge))
    if down and cut_depth:
        hole_y = behind + _housing_cable.HOLE_WOOD_MM + cable_drill_mm(servo) / 2
        back = max(back, hole_y + slot_short / 2 + slot_edge)
    base_x = (near_x[0] - strip, far_x[1] + strip)
    base_y = (shaft_y - front, shaft_y + back)
    ends, sides = ((span[0] + margin, span[1] - margin) for span in (base_x, base_y))
    heads = tuple((x, y) for x in ends for y in sides)
    cut_x = (shaft_x - servo.horn_hub_mm / 2 - AIR_MM, shaft_x + servo.horn_length_mm + AIR_MM)
    cut_y = (shaft_y - sweep - AIR_MM, shaft_y + behind)

    slot_x = base_x[0] + margin + _housing_cable.off_screw_mm(spec)
    cable_slot = (
        ((slot_x - slot_long / 2, slot_x + slot_long / 2), (base_y[1] - slot_edge - slot_short, base_y[1] - slot_edge))
        if down
        else None
    )
    # the plug goes out between the posts before the servo comes in; later the cable lies there, off the arm's sweep
    plug_x, plug_z = near_in + servo.connector_width_mm / 2 + PLUG_SIDE_MM, _housing_cable.plug_z(spec, base)
    stray = drive.horn_radius_mm * (1 - math.cos(math.radians(drive.swing_deg)))
    middle_x, spacing = sum(case_x) / 2, servo.flange_hole_spacing_mm / 2
    beside_mm = min(middle_x - spacing - near_x[0], near_in - middle_x + spacing, middle_x + spacing - far_in)
    found = pilots(servo, spec.printer, fits.PILOT_UPRIGHT, beside_mm)
    pilot_mm = found.printed_mm
    screw_in = length_mm(servo) - servo.flange_thickness_mm
    # the corbel must stay below the far pilot's hole
    skin_x = middle_x + spacing - (pilot_mm or servo.screw_mm) / 2 - math.sqrt(2) * sound_mm(spec.printer)
    leans_to_z = corbel_z + foot_x - max(skin_x, far_in) if foot_x > far_in else base
    frame = HangFrame(
        heads_xy=heads,
        rim_mm=rim,
        opening=opening,
        mark_x=(max(near_in, cable_slot[0][1] if cable_slot else near_in) + 0.8, foot_x - 0.8),
        mark_y=(base_y[0] + rim + 0.8, base_y[1] - rim - 0.8)
        if opening is None
        else (opening[1][1] + 0.8, base_y[1] - rim - 0.8),
        pilot_mm=pilot_mm,
        near_x=near_x,
        far_x=far_x,
        far_foot_x=foot_x,
        corbel_z=corbel_z,
        post_y=(shaft_y - servo.case_width_mm / 2, shaft_y + servo.case_width_mm / 2),
        seat_z=seat_z,
        pilots_xy=tuple((middle_x + along, shaft_y + across) for along, across in servo.ear_screws_mm),
        pilot_depth_mm=min(screw_in + 1.0, seat_z - max(leans_to_z, base)),
    )
    plan = HousingPlan.model_validate(
        {
            **common,
            **_housing_screws.base_plan(spec, base, base_x, base_y, heads),
            **_mounting.servo_screws(spec, found),
            "way_out": (0.0, 0.0, 1.0),
            **_housing_cable.cable_way(spec, cable_slot, (plug_x, (shaft_y, base_y[1] + 20.0), plug_z)),
            "plug_wide": (1.0, 0.0, 0.0),
            "seat_n_per_mm": _mounting.posts_n_per_mm(
                spec, min(near_x[1] - near_x[0], far_x[1] - foot_x), (servo.case_width_mm,) * 2, seat_z - base
            ),
            "arm_in_deg": arm_in_deg,
            "ears_rest_on": "upper",
            "board_cut_out": shared.cut_out(spec, cut_x, cut_y, cut_depth),
            "room_top_z": flange_z + servo.flange_underside_height_mm + AIR_MM,
            "slot_x": shared.slot_x(drive, front + outside_mm, stray_mm=stray),
            "slot_top_z": spec.pin_height_mm + drive.wire_mm / 2 + fits.ROD_SLOT.own_mm,
            "frame": frame,
        }
    )
    rotation = np.diag([1.0, -1.0, -1.0])  # case along x, shaft down
    arm = flip((1.0, 0.0, 0.0), spec.mirror)
    return shared.datums(spec, rotation, (shaft_x, shaft_y, flange_z), heads, arm), plan


def _arm_in(spec: MountSpec, room_x: float) -> tuple[float, float]:
    """Least arm angle, to 5°, at which the arm goes down between the posts, and how far back it reaches then, mm.

    It is turned away from the track; 0° where it may point straight.
    """
    tip, reach = spec.servo.horn_tip_width_mm / 2, spec.servo.arm_tip_mm
    straight = min(1.0, (room_x - 0.3 - tip) / reach)
    angle_deg = 5.0 * math.ceil(math.degrees(math.acos(straight)) / 5 - 1e-9)
    return angle_deg, reach * math.sin(math.radians(angle_deg)) + tip


def posts(plan: HousingPlan, frame: HangFrame) -> list[Solid]:
    """Both posts with the servo screws' pilot holes, mount frame, rooted in the base plate."""
    import cadquery as cq

    from mounts.solid.holes import circle, dimple
    from mounts.solid.plates import prism

    root, top = plan.base_mm - 0.5, frame.seat_z
    (n0, n1), (f0, f1), foot, lean_z = frame.near_x, frame.far_x, frame.far_foot_x, frame.corbel_z
    track_side = cq.Plane(origin=(0, frame.post_y[0], 0), xDir=(1, 0, 0), normal=(0, -1, 0))
    depth = frame.post_y[1] - frame.post_y[0]
    near = prism(track_side, [(n0, root), (n1, root), (n1, top), (n0, top)], -depth)
    inner = [(foot, root), (f1, root), (f1, top), (f0, top)]
    if foot > f0:
        inner += [(f0, lean_z + foot - f0), (foot, lean_z)]
    far = prism(track_side, inner, -depth)
    seat = cq.Plane(origin=(0, 0, top + 0.1), xDir=(1, 0, 0), normal=(0, 0, 1))
    if frame.pilot_mm is None:
        holes = [dimple(cq.Vector(*at, top), cq.Vector(0, 0, -1)) for at in frame.pilots_xy]
    else:
        holes = [prism(seat, circle(at, frame.pilot_mm), -frame.pilot_depth_mm - 0.1) for at in frame.pilots_xy]
    return [near.cut(*holes), far.cut(*holes)]  # type: ignore[list-item]
