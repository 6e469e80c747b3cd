"""The servo on its side behind a wall, its shaft along the track and its arm pointing down: low and long.

Seen from the end where the arm is:

                    ┌──────────────────┐
              ear ┌─┤  ⊙     case      ├─┐ ear     the wall behind the ears is a U, open at the top,
                  │ │  ║               │ │         where the servo drops in          z ↑   → y
        rod       └─┤  ╹ arm           ├─┘
      ──────────────┼──╸───────────────┼─          rod hooked into the arm's hole
              ┌─────┴──────────────────┴──┐
        board ▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓▓
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mounts.design import CutOut, Datums, Span
from mounts.drive.bends import z_bend_mm
from mounts.drive.push_rod.model import PushRodDrive
from mounts.drive.ranking import COMFORTABLE_SWING_DEG
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.styles import _housing_cable, _housing_screws, _mounting, _pilots
from mounts.styles import _housing_options as shared
from mounts.styles._housing_options import AIR_MM, ROD_AIR_MM, Options
from mounts.styles._housing_plan import HousingPlan, SideFrame
from mounts.styles._mounting import EAR_MARGIN_MM, ON_ITS_SIDE, PLUG_SIDE_MM, WIRE_TAIL_MM

if TYPE_CHECKING:
    from cadquery import Shape, Solid

STEEPEST_DEG = 10.0  # the rod turns in the arm's hole, so its slope only costs height; common practice, no source
CASE_AIR_MM = 0.6  # case and ears over the base plate and the heads of its screws; common practice, no source
HEAD_RIM_MM = 1.4  # plate round a countersink; common practice, no source
PUSH_AIR_MM = 0.5  # before the arm while it is pushed on; common practice, no source
CABLE_BEND_MM = 5.0  # stiff stub of the cable outside the case, as ``scene.CABLE_STUB_MM``; common practice, no source


def wall_mm(spec: MountSpec) -> float:
    """Thick enough for 2.5 diameters of the servo's screw."""
    return _pilots.wall_mm(spec.servo)


def front_mm(spec: MountSpec, swing_deg: float) -> float:
    """Shaft to the edge of the base plate on the track side: near ear, cable stub or the swinging arm."""
    servo = spec.servo
    rim = shared.rim_mm(spec)
    sweep = shared.arm_sweep_mm(spec, swing_deg, servo.horn_length_mm)
    wall = servo.shaft_offset_mm + servo.ear_mm + EAR_MARGIN_MM
    return shared.off_a_post_mm(spec, max(_beyond_mm(spec, "near") + servo.shaft_offset_mm, sweep + AIR_MM + rim), wall)


def _beyond_mm(spec: MountSpec, end: str) -> float:
    """Case end to the edge of the base plate."""
    slip = fits.POCKET.air_mm(spec.printer)
    ear = spec.servo.ear_mm + max(EAR_MARGIN_MM, slip + shared.rim_mm(spec))
    cable = CABLE_BEND_MM + slip if spec.servo.cable_end == end else 0.0
    return shared.off_a_post_mm(spec, max(ear, cable), spec.servo.ear_mm + EAR_MARGIN_MM)


def _behind_mm(spec: MountSpec, options: Options) -> float:
    """Seat to the edge of the base plate behind case, screws and cable, and the slot where that goes down."""
    servo, rim = spec.servo, shared.rim_mm(spec)
    cable = max(0.0, servo.cable_width_mm / 2 - servo.cable_height_mm) + servo.cable_thickness_mm + AIR_MM
    if options.cable == "down":
        cable = max(cable, fits.PLUG_SLOT.own_mm + _housing_cable.cable_slot_mm(servo)[1] + _housing_cable.SLOT_LAND_MM)
    screw = wall_mm(spec) + shared.beside_mm(spec) + shared.head_margin_mm(spec)
    return max(servo.flange_underside_height_mm + cable + rim, screw)


def reach_x(spec: MountSpec, options: Options) -> float:
    """Farthest edge of the base plate along the track from the tie bar: behind the case and its cable."""
    return spec.servo.horn_plane_height_mm + shared.widest_wire_mm(spec) / 2 + _behind_mm(spec, options)


def short_side_mm(spec: MountSpec, options: Options) -> float:
    """About what the base plate measures on its shorter side, before the drive is known."""
    servo, half_wire = spec.servo, shared.widest_wire_mm(spec) / 2
    before = max(half_wire, servo.horn_screw_proud_mm - half_wire) + AIR_MM + shared.rim_mm(spec)
    across = front_mm(spec, COMFORTABLE_SWING_DEG) + servo.case_ends_mm()[1]
    return min(reach_x(spec, options) + before, across + _beyond_mm(spec, "far"))


def least_offset_mm(spec: MountSpec, base_mm: float) -> float:
    """Least height of the shaft above the pin: the case keeps clear of the base plate."""
    return base_mm + CASE_AIR_MM + spec.servo.case_width_mm / 2 - spec.pin_height_mm


def top_z(spec: MountSpec, offset_mm: float) -> float:
    """Height of the case, the highest there is, ears' margin included."""
    return spec.pin_height_mm + offset_mm + spec.servo.case_width_mm / 2 + EAR_MARGIN_MM


def nearest_hole_mm(spec: MountSpec) -> float:
    """Nearest arm hole whose Z-bend's tail stays off the hub."""
    return spec.servo.horn_hub_mm / 2 + WIRE_TAIL_MM + 0.5


def _arm_mm(spec: MountSpec, drive: PushRodDrive, options: Options, shaft_z: float, base: float) -> float | None:
    """Where the arm is cut off: as much plastic behind the hole as at its tip; None where it may stay."""
    servo = spec.servo
    stays = shaft_z - servo.horn_length_mm - AIR_MM >= base
    cut = drive.horn_radius_mm + servo.horn_tip_width_mm / 2
    return None if stays or not options.trim_arm or cut >= servo.horn_length_mm - 0.1 else cut


def _lowest_z(spec: MountSpec, shaft_z: float, length_mm: float, swing_deg: float) -> float:
    """Lowest point of the arm over its swing; a cut arm has square corners."""
    servo = spec.servo
    half = servo.horn_tip_width_mm / 2
    if length_mm < servo.horn_length_mm:
        half += (servo.horn_hub_mm / 2 - half) * max(0.0, 1.0 - length_mm / servo.arm_tip_mm)
        corner = min(math.radians(swing_deg), math.atan2(half, length_mm))
        return shaft_z - length_mm * math.cos(corner) - half * math.sin(corner)
    return shaft_z - length_mm


def place(
    spec: MountSpec,
    drive: PushRodDrive,
    options: Options,
    front: float,
    common: dict[str, object],
    *,
    outside_mm: float,
) -> tuple[Datums, HousingPlan]:
    """Where everything stands.

    Args:
        spec: the request.
        drive: the rod.
        options: of the housing.
        front: shaft to the edge of the base plate on the track side, mm.
        common: fields of the plan that do not depend on the frame.
        outside_mm: edge of the base plate to the outside of the shell, where the rod passes it.

    Raises:
        NoDesign: no stock screw suits the board.
    """
    servo, stand = spec.servo, _stand(spec, drive, options)
    floor = _floor(spec, drive, options, stand, front)
    frame, found = _frame(spec, drive, stand, floor)
    plug_x = stand.wall_x[0] - servo.connector_width_mm / 2 - PLUG_SIDE_MM
    plug = (plug_x, (sum(stand.case_y) / 2, floor.y[1] + 20.0), _housing_cable.plug_z(spec, stand.base_mm))
    widths = (frame.notch_y[0] - frame.wall_y[0], frame.wall_y[1] - frame.notch_y[1])
    posts = wall_mm(spec), widths, stand.shaft_z - stand.base_mm
    rises = drive.horn_radius_mm * (1 - math.cos(math.radians(drive.swing_deg)))
    rod_high_z = max(spec.pin_height_mm, stand.hole_z + rises) + drive.wire_mm / 2
    plan = HousingPlan.model_validate(
        {
            **common,
            **_housing_screws.base_plan(spec, stand.base_mm, floor.x, floor.y, floor.heads_xy),
            **_mounting.servo_screws(spec, found),
            "way_out": (0.0, 0.0, 1.0),
            **_housing_cable.cable_way(spec, floor.cable_slot, plug),
            "plug_wide": (0.0, 1.0, 0.0) if floor.cable_slot else (1.0, 0.0, 0.0),
            "seat_n_per_mm": _mounting.posts_n_per_mm(spec, *posts),
            "seat_mpa_per_n": _mounting.posts_mpa_per_n(
                *posts, (servo.horn_plane_height_mm, frame.notch_y[1] - frame.notch_y[0])
            ),
            "arm_length_mm": stand.cut_mm,
            "board_cut_out": floor.cut_out,
            "room_top_z": top_z(spec, drive.offset_mm) + AIR_MM,
            "slot_x": shared.slot_x(drive, front + outside_mm),
            "slot_top_z": rod_high_z + fits.ROD_SLOT.own_mm,
            "frame": frame,
        }
    )
    shaft = (stand.wall_x[1], stand.shaft_y, stand.shaft_z)
    return shared.datums(spec, ON_ITS_SIDE, shaft, floor.heads_xy, (0.0, 0.0, -1.0)), plan


@dataclass(frozen=True)
class _Stand:
    """Servo, arm and the wall that carries it, before the mirror; mm.

    Attributes:
        base_mm: thickness of the base plate, which the case and the arm keep clear of.
        wall_x: the wall; the ears lie on its second face.
        shaft_y: of the shaft.
        shaft_z: of the shaft.
        case_y: ends of the case.
        hole_z: arm hole at mid swing.
        cut_mm: shaft to where the arm is cut off; None where it may stay.
        sweep_mm: how far the arm reaches to either side of the shaft.
        lowest_z: of the arm over its swing.
        arm_x: what rod and arm pass, and the arm while it is pushed on.
    """

    base_mm: float
    wall_x: Span
    shaft_y: float
    shaft_z: float
    case_y: Span
    hole_z: float
    cut_mm: float | None
    sweep_mm: float
    lowest_z: float
    arm_x: Span


def _stand(spec: MountSpec, drive: PushRodDrive, options: Options) -> _Stand:
    """The servo beside the rod, its shaft along the track."""
    servo, half_wire, base = spec.servo, drive.wire_mm / 2, _housing_screws.base_mm(spec, options)
    seat_x, shaft_z = -half_wire - servo.horn_plane_height_mm, spec.pin_height_mm + drive.offset_mm
    cut_mm = _arm_mm(spec, drive, options, shaft_z, base)
    length = cut_mm or servo.horn_length_mm
    pushed_on_x = -half_wire + servo.arm_slide_mm + PUSH_AIR_MM
    tail_x = float(
        z_bend_mm(horn_thickness_mm=servo.horn_thickness_mm, wire_mm=drive.wire_mm, foot_radius_mm=drive.foot_radius_mm)
    )
    return _Stand(
        base_mm=base,
        wall_x=(seat_x - wall_mm(spec), seat_x),
        shaft_y=drive.shaft_to_pin_mm,
        shaft_z=shaft_z,
        case_y=servo.case_ends_mm(drive.shaft_to_pin_mm),
        hole_z=shaft_z - drive.horn_radius_mm,
        cut_mm=cut_mm,
        sweep_mm=shared.arm_sweep_mm(spec, drive.swing_deg, length),
        lowest_z=_lowest_z(spec, shaft_z, length, drive.swing_deg),
        arm_x=(
            min(-half_wire - servo.horn_thickness_mm - drive.wire_mm - AIR_MM, -tail_x - half_wire - ROD_AIR_MM),
            max(half_wire + AIR_MM, pushed_on_x),
        ),
    )


@dataclass(frozen=True)
class _Floor:
    """The base plate and what gives way in it and in the board, before the mirror; mm.

    Attributes:
        x: its edges along the track.
        y: its edges across it.
        heads_xy: the fixing screws: two behind the wall, two before it.
        opening: x and y in it, for arm and rod, where they are low.
        cable_slot: x and y in it, where the cable goes down.
        cut_out: in the board, where the arm is lower than its top.
    """

    x: Span
    y: Span
    heads_xy: tuple[tuple[float, float], ...]
    opening: tuple[Span, Span] | None
    cable_slot: tuple[Span, Span] | None
    cut_out: CutOut | None


def _floor(spec: MountSpec, drive: PushRodDrive, options: Options, stand: _Stand, front: float) -> _Floor:
    """Behind the wall the case and the cable, before it the arm and its screw."""
    servo, half_wire, base = spec.servo, drive.wire_mm / 2, stand.base_mm
    rim, (arm_x, _), seat_x = shared.rim_mm(spec), stand.arm_x, stand.wall_x[1]
    proud_x = servo.horn_screw_proud_mm - half_wire
    x = (seat_x - _behind_mm(spec, options), max(half_wire, proud_x) + AIR_MM + rim)
    y = (stand.shaft_y - front, stand.case_y[1] + _beyond_mm(spec, "far"))
    swept_y = (stand.shaft_y - stand.sweep_mm - AIR_MM, stand.shaft_y + stand.sweep_mm + AIR_MM)
    opening = None
    meets_rim = stand.arm_x[1] > x[1] - rim and stand.lowest_z - PUSH_AIR_MM < shared.lip_mm(spec, base)
    low_rod = min(stand.hole_z, spec.pin_height_mm) - half_wire - ROD_AIR_MM < base
    if stand.lowest_z - AIR_MM < base or low_rod or meets_rim:
        opening = ((arm_x, x[1] + 1.0), (y[0] - 1.0, swept_y[1]))
    cut_depth = shared.cut_depth_mm(spec, stand.lowest_z)

    margin = shared.head_margin_mm(spec)
    behind_x = max((seat_x - servo.flange_underside_height_mm + stand.wall_x[0]) / 2, x[0] + margin)
    behind_x = min(behind_x, stand.wall_x[0] - shared.beside_mm(spec))
    front_x = seat_x + shared.beside_mm(spec)
    near_y, far_y = y[0] + margin, y[1] - margin
    front_y, around_head = near_y, spec.fixing.head_mm / 2 + HEAD_RIM_MM
    in_wood = _housing_cable.in_wood_mm(spec)
    if opening is not None and arm_x < front_x + around_head:
        front_y = max(front_y, opening[1][1] + around_head)  # no room for it between wall and opening
    if cut_depth and arm_x < front_x + in_wood:
        front_y = max(front_y, swept_y[1] + in_wood)

    slot_long, slot_short = _housing_cable.cable_slot_mm(servo)
    slot_x, slot_y = x[0] + rim + _housing_cable.SLOT_LAND_MM, sum(y) / 2
    slot = ((slot_x, slot_x + slot_short), (slot_y - slot_long / 2, slot_y + slot_long / 2))
    return _Floor(
        x=x,
        y=y,
        heads_xy=((behind_x, near_y), (behind_x, far_y), (front_x, front_y), (front_x, far_y)),
        opening=opening,
        cable_slot=slot if options.cable == "down" else None,
        cut_out=shared.cut_out(spec, stand.arm_x, swept_y, cut_depth),
    )


def _frame(spec: MountSpec, drive: PushRodDrive, stand: _Stand, floor: _Floor) -> tuple[SideFrame, _pilots.Pilots]:
    """What is drawn, and how the holes for the servo's screws are made."""
    servo, rim, slip = spec.servo, shared.rim_mm(spec), fits.POCKET.air_mm(spec.printer)
    (case_near, case_far), ear = stand.case_y, servo.ear_mm
    found = _pilots.pilots(servo, spec.printer, fits.PILOT_LYING, _mounting.web_mm(spec))
    (_, near_y), (_, far_y), *_ = floor.heads_xy
    pilots_yz = tuple((sum(stand.case_y) / 2 + along, stand.shaft_z + across) for along, across in servo.ear_screws_mm)
    _, over = _pilots.boss_mm(servo, spec.printer, found.printed_mm)
    frame = SideFrame(
        heads_xy=floor.heads_xy,
        rim_mm=rim,
        opening=floor.opening,
        mark_x=((floor.cable_slot[0][1] if floor.cable_slot else floor.x[0] + rim) + 0.8, stand.wall_x[0] - 0.8),
        mark_y=(near_y + spec.fixing.head_mm / 2 + 1.0, far_y - spec.fixing.head_mm / 2 - 1.0),
        pilot_mm=found.printed_mm,
        wall_x=stand.wall_x,
        wall_y=(case_near - ear - EAR_MARGIN_MM, case_far + ear + EAR_MARGIN_MM),
        wall_top_z=min(top_z(spec, drive.offset_mm), max(z for _, z in pilots_yz) + over),
        notch_y=(case_near - slip, case_far + slip),
        notch_z=stand.shaft_z - servo.case_width_mm / 2 - fits.POCKET_LEVEL.air_mm(spec.printer),
        pilots_yz=pilots_yz,
    )
    return frame, found


def wall(plan: HousingPlan, frame: SideFrame) -> Solid:
    """The wall with its notch, mount frame, rooted in the base plate."""
    root, top, low = plan.base_mm - 0.5, frame.wall_top_z, max(frame.notch_z, plan.base_mm)
    (y0, y1), (n0, n1), (x0, x1) = frame.wall_y, frame.notch_y, frame.wall_x
    outline = [(y0, root), (y1, root), (y1, top), (n1, top), (n1, low), (n0, low), (n0, top), (y0, top)]
    return _mounting.seat_wall(x1, outline, x1 - x0)


def with_pilots(body: Shape, frame: SideFrame) -> Shape:
    """A frame with the holes for the servo's screws in its wall, mount frame, before the mirror."""
    x0, x1 = frame.wall_x
    return _mounting.with_pilots(body, x1, x1 - x0, frame.pilots_yz, frame.pilot_mm, up=(0, 1))
