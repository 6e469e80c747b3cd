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
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mounts.design import CutOut, Datums, Span
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
from mounts.styles._pilots import Pilots, boss_mm, length_mm, pilots

if TYPE_CHECKING:
    from cadquery import Shape, Solid

# common practice, no source:
STEEPEST_DEG = 5.0  # the rod lies across the arm: steeper, and it levers the Z-bend out of its hole
# common practice, no source:
BACK_STRIP_MM = 8.0  # base plate behind an opening, which joins both posts and bears the name
LEAST_FOOT_MM = 4.0  # of a post, along the track; common practice, no source
POST_TOP_MM = 3.0  # of a post left above a corbel; common practice, no source
POST_SHARE = 2 / 3  # of the width of the case, across the track; common practice, no source


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
    return _ears_z(spec, wire_mm, sunk_mm) + spec.servo.flange_underside_height_mm


def _ears_z(spec: MountSpec, wire_mm: float, sunk_mm: float) -> float:
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
    servo, stand = spec.servo, _stand(spec, drive, sunk_mm)
    floor = _floor(spec, drive, options, stand, front)
    frame, found = _frame(spec, stand, floor)
    # the plug goes out between the posts before the servo comes in; later the cable lies there, off the arm's sweep
    plug_x = stand.near_x[1] + servo.connector_width_mm / 2 + PLUG_SIDE_MM
    plug = (plug_x, (stand.shaft_y, floor.y[1] + 20.0), _housing_cable.plug_z(spec, floor.base_mm))
    stray = drive.horn_radius_mm * (1 - math.cos(math.radians(drive.swing_deg)))
    narrowest_mm = min(stand.near_x[1] - stand.near_x[0], stand.far_x[1] - stand.foot_x)
    posts = narrowest_mm, (_post_mm(spec, found.printed_mm),) * 2, stand.seat_z - floor.base_mm
    plan = HousingPlan.model_validate(
        {
            **common,
            **_housing_screws.base_plan(spec, floor.base_mm, floor.x, floor.y, floor.heads_xy),
            **_mounting.servo_screws(spec, found),
            "way_out": (0.0, 0.0, 1.0),
            **_housing_cable.cable_way(spec, floor.cable_slot, plug),
            "plug_wide": (1.0, 0.0, 0.0),
            "seat_n_per_mm": _mounting.posts_n_per_mm(spec, *posts),
            "seat_mpa_per_n": _mounting.posts_mpa_per_n(*posts),
            "arm_in_deg": stand.arm_in_deg,
            "ears_rest_on": "upper",
            "board_cut_out": floor.cut_out,
            "room_top_z": stand.ears_z + servo.flange_underside_height_mm + AIR_MM,
            "slot_x": shared.slot_x(drive, front + outside_mm, stray_mm=stray),
            "slot_top_z": spec.pin_height_mm + drive.wire_mm / 2 + fits.ROD_SLOT.own_mm,
            "frame": frame,
        }
    )
    rotation = np.diag([1.0, -1.0, -1.0])  # case along x, shaft down
    arm, shaft = flip((1.0, 0.0, 0.0), spec.mirror), (stand.shaft_x, stand.shaft_y, stand.ears_z)
    return shared.datums(spec, rotation, shaft, floor.heads_xy, arm), plan


@dataclass(frozen=True)
class _Stand:
    """Servo, arm and the posts that carry it, before the mirror; mm.

    Attributes:
        shaft_x: of the shaft.
        shaft_y: of the shaft.
        ears_z: underside of the ears in the servo's own frame, which is upside down here.
        lowest_z: of the arm's screw.
        rod_low_z: underside of the rod.
        near_x: the post beside the shaft.
        far_x: the post beyond the arm, the ear's seat included.
        foot_x: where that one begins on the base plate, clear of the arm.
        corbel_z: where it begins to lean over the arm.
        seat_z: where the ears lie.
        arm_in_deg: how far the arm is turned away from the track while it goes down.
        arm_in_mm: how far back it reaches then.
    """

    shaft_x: float
    shaft_y: float
    ears_z: float
    lowest_z: float
    rod_low_z: float
    near_x: Span
    far_x: Span
    foot_x: float
    corbel_z: float
    seat_z: float
    arm_in_deg: float
    arm_in_mm: float


def _stand(spec: MountSpec, drive: PushRodDrive, sunk_mm: float) -> _Stand:
    """The servo over the rod, and posts beside it that arm, hub and boss pass."""
    servo, slip = spec.servo, fits.POCKET.air_mm(spec.printer)
    shaft_x, ears_z = -drive.horn_radius_mm, _ears_z(spec, drive.wire_mm, sunk_mm)
    arm_z = ears_z - servo.horn_plane_height_mm
    ear, case_x = servo.ear_mm, servo.case_ends_mm(shaft_x)
    boss = servo.boss_mm / 2 + fits.BOSS.own_mm
    near_in = shaft_x - max(servo.shaft_offset_mm + slip, boss, servo.horn_hub_mm / 2 + AIR_MM)
    far_in = max(case_x[1] + slip, shaft_x + boss)
    foot_x = max(far_in, shaft_x + servo.horn_length_mm + AIR_MM)
    seat_z = ears_z - servo.flange_thickness_mm
    corbel_z = arm_z + servo.horn_thickness_mm + AIR_MM
    if seat_z - corbel_z - (foot_x - far_in) < POST_TOP_MM:
        raise NoDesign(
            f"the arm, {servo.horn_length_mm:g} mm long, reaches so far under the ear that no post fits beside it "
            f"({foot_x - far_in:.1f} mm of corbel in {seat_z - corbel_z:.1f} mm): cut the arm off behind its hole and "
            "give its length in the servo profile, or set pose=side"
        )
    arm_in_deg, arm_in_mm = _arm_in(spec, far_in - shaft_x)
    return _Stand(
        shaft_x=shaft_x,
        shaft_y=drive.shaft_to_pin_mm,
        ears_z=ears_z,
        lowest_z=arm_z - servo.horn_screw_proud_mm,
        rod_low_z=spec.pin_height_mm - sunk_mm - drive.wire_mm / 2,
        near_x=(case_x[0] - ear - EAR_MARGIN_MM, near_in),
        far_x=(far_in, max(case_x[1] + ear + EAR_MARGIN_MM, foot_x + LEAST_FOOT_MM)),
        foot_x=foot_x,
        corbel_z=corbel_z,
        seat_z=seat_z,
        arm_in_deg=arm_in_deg,
        arm_in_mm=arm_in_mm,
    )


@dataclass(frozen=True)
class _Floor:
    """The base plate and what gives way in it and in the board, before the mirror; mm.

    Attributes:
        base_mm: its thickness.
        x: its edges along the track.
        y: its edges across it.
        heads_xy: the fixing screws.
        opening: x and y in it, for arm and rod, where they are low.
        cable_slot: x and y in it, where the cable goes down.
        cut_out: in the board, where the arm is lower than its top.
    """

    base_mm: float
    x: Span
    y: Span
    heads_xy: tuple[tuple[float, float], ...]
    opening: tuple[Span, Span] | None
    cable_slot: tuple[Span, Span] | None
    cut_out: CutOut | None


def _floor(spec: MountSpec, drive: PushRodDrive, options: Options, stand: _Stand, front: float) -> _Floor:
    """As far back as case, cable, arm, opening and the plug's way down ask for, whichever asks most."""
    servo, shaft_x, shaft_y = spec.servo, stand.shaft_x, stand.shaft_y
    base, rim, margin = _housing_screws.base_mm(spec, options), shared.rim_mm(spec), shared.head_margin_mm(spec)
    sweep = shared.arm_sweep_mm(spec, drive.swing_deg, servo.horn_length_mm)
    back = _off_the_posts_mm(
        spec,
        max(
            front_mm(spec, drive.swing_deg),
            servo.case_width_mm / 2 + servo.cable_thickness_mm + AIR_MM + rim,
            stand.arm_in_mm + AIR_MM + rim,
        ),
    )
    # where the arm goes down turned, plate and board give way there too
    behind = max(sweep, stand.arm_in_mm) + AIR_MM
    opening = None
    if stand.lowest_z - AIR_MM < base or stand.rod_low_z - ROD_AIR_MM < base:
        back = max(back, behind + BACK_STRIP_MM)
        opening = ((shaft_x - servo.horn_hub_mm / 2 - AIR_MM, stand.foot_x), (shaft_y - front - 1.0, shaft_y + behind))
    cut_depth = shared.cut_depth_mm(spec, stand.lowest_z)
    down, (slot_long, slot_short) = options.cable == "down", _housing_cable.cable_slot_mm(servo)
    slot_edge = rim + _housing_cable.SLOT_LAND_MM  # the slot for the plug is behind the near post
    if down:
        slot_y = servo.case_width_mm / 2 + fits.PLUG_SLOT.own_mm
        back = max(back, _off_the_posts_mm(spec, slot_y + slot_short + slot_edge))
    if down and cut_depth:
        hole_y = behind + _housing_cable.HOLE_WOOD_MM + cable_drill_mm(servo) / 2
        back = max(back, hole_y + slot_short / 2 + slot_edge)
    strip = shared.beside_mm(spec) + margin
    x, y = (stand.near_x[0] - strip, stand.far_x[1] + strip), (shaft_y - front, shaft_y + back)
    ends, sides = ((span[0] + margin, span[1] - margin) for span in (x, y))
    slot_x = x[0] + margin + _housing_cable.off_screw_mm(spec)
    slot = ((slot_x - slot_long / 2, slot_x + slot_long / 2), (y[1] - slot_edge - slot_short, y[1] - slot_edge))
    cut_x = (shaft_x - servo.horn_hub_mm / 2 - AIR_MM, shaft_x + servo.horn_length_mm + AIR_MM)
    return _Floor(
        base_mm=base,
        x=x,
        y=y,
        heads_xy=tuple((x, y) for x in ends for y in sides),
        opening=opening,
        cable_slot=slot if down else None,
        cut_out=shared.cut_out(spec, cut_x, (shaft_y - sweep - AIR_MM, shaft_y + behind), cut_depth),
    )


def _post_mm(spec: MountSpec, pilot_mm: float | None) -> float:
    """Of a post, across the track: what the ears rest on, and a boss round each screw."""
    servo = spec.servo
    beside, _ = boss_mm(servo, spec.printer, pilot_mm)
    screws = max(abs(across) for _, across in servo.ear_screws_mm) + beside
    return min(servo.case_width_mm, max(POST_SHARE * servo.case_width_mm, 2 * screws))


def _frame(spec: MountSpec, stand: _Stand, floor: _Floor) -> tuple[HangFrame, Pilots]:
    """What is drawn, and how the holes for the servo's screws are made."""
    servo, rim = spec.servo, shared.rim_mm(spec)
    (near_x, near_in), (far_in, _) = stand.near_x, stand.far_x
    middle_x, spacing = sum(servo.case_ends_mm(stand.shaft_x)) / 2, servo.flange_hole_spacing_mm / 2
    beside_mm = min(middle_x - spacing - near_x, near_in - middle_x + spacing, middle_x + spacing - far_in)
    found = pilots(servo, spec.printer, fits.PILOT_UPRIGHT, beside_mm)
    screw_in = length_mm(servo) - servo.flange_thickness_mm
    # the corbel must stay below the far pilot's hole
    skin_x = middle_x + spacing - (found.printed_mm or servo.screw_mm) / 2 - math.sqrt(2) * sound_mm(spec)
    leans = stand.foot_x > far_in
    leans_to_z = stand.corbel_z + stand.foot_x - max(skin_x, far_in) if leans else floor.base_mm
    post_mm = _post_mm(spec, found.printed_mm)
    name_from_y = floor.y[0] + rim if floor.opening is None else floor.opening[1][1]
    frame = HangFrame(
        heads_xy=floor.heads_xy,
        rim_mm=rim,
        opening=floor.opening,
        mark_x=(max(near_in, floor.cable_slot[0][1] if floor.cable_slot else near_in) + 0.8, stand.foot_x - 0.8),
        mark_y=(name_from_y + 0.8, floor.y[1] - rim - 0.8),
        pilot_mm=found.printed_mm,
        near_x=stand.near_x,
        far_x=stand.far_x,
        far_foot_x=stand.foot_x,
        corbel_z=stand.corbel_z,
        post_y=(stand.shaft_y - post_mm / 2, stand.shaft_y + post_mm / 2),
        seat_z=stand.seat_z,
        pilots_xy=tuple((middle_x + along, stand.shaft_y + across) for along, across in servo.ear_screws_mm),
        pilot_depth_mm=min(screw_in + 1.0, stand.seat_z - max(leans_to_z, floor.base_mm)),
    )
    return frame, found


def _arm_in(spec: MountSpec, room_x: float) -> tuple[float, float]:
    """Least arm angle, to 5°, at which the arm goes down between the posts, and how far back it reaches then, mm.

    It is turned away from the track; 0° where it may point straight.
    """
    tip, reach = spec.servo.horn_tip_width_mm / 2, spec.servo.arm_tip_mm
    straight = min(1.0, (room_x - 0.3 - tip) / reach)
    angle_deg = 5.0 * math.ceil(math.degrees(math.acos(straight)) / 5 - 1e-9)
    return angle_deg, reach * math.sin(math.radians(angle_deg)) + tip


def posts(plan: HousingPlan, frame: HangFrame) -> list[Solid]:
    """Both posts, mount frame, rooted in the base plate."""
    import cadquery as cq

    from mounts.solid.plates import prism

    root, top = plan.base_mm - 0.5, frame.seat_z
    (n0, n1), (f0, f1), foot, lean_z = frame.near_x, frame.far_x, frame.far_foot_x, frame.corbel_z
    track_side = cq.Plane(origin=(0, frame.post_y[0], 0), xDir=(1, 0, 0), normal=(0, -1, 0))
    depth = frame.post_y[1] - frame.post_y[0]
    near = prism(track_side, [(n0, root), (n1, root), (n1, top), (n0, top)], -depth)
    inner = [(foot, root), (f1, root), (f1, top), (f0, top)]
    if foot > f0:
        inner += [(f0, lean_z + foot - f0), (foot, lean_z)]
    return [near, prism(track_side, inner, -depth)]


def with_pilots(body: Shape, frame: HangFrame) -> Shape:
    """A frame with the holes for the servo's screws in its posts, or marks for them, mount frame, before the mirror."""
    import cadquery as cq

    from mounts.solid.faces import Hole, pierced
    from mounts.solid.holes import circle, dimple

    if frame.pilot_mm is None:
        return body.cut(*(dimple(cq.Vector(*at, frame.seat_z), cq.Vector(0, 0, -1)) for at in frame.pilots_xy))
    seat = cq.Plane(origin=(0, 0, frame.seat_z), xDir=(1, 0, 0), normal=(0, 0, 1))
    outlines = [circle(at, frame.pilot_mm) for at in frame.pilots_xy]
    holes = [Hole(seat, [(outline, 0.0), (outline, frame.pilot_depth_mm)], blind=True) for outline in outlines]
    return pierced(body, holes, "drill for the servo's screws")
