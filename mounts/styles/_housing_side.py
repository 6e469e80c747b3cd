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
from typing import TYPE_CHECKING

from mounts.design import Datums
from mounts.drive.push_rod.model import PushRodDrive
from mounts.drive.ranking import COMFORTABLE_SWING_DEG
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.styles import _housing_options as shared
from mounts.styles import _housing_screws, _mounting, _pilots
from mounts.styles._housing_options import AIR_MM, ROD_AIR_MM, Options
from mounts.styles._housing_plan import HousingPlan, SideFrame
from mounts.styles._mounting import EAR_MARGIN_MM, ON_ITS_SIDE, PLUG_SIDE_MM, WIRE_TAIL_MM

if TYPE_CHECKING:
    from cadquery import Solid

STEEPEST_DEG = 10.0  # the rod turns in the arm's hole, so its slope only costs height
CASE_AIR_MM = 0.6  # case and ears over the base plate and the heads of its screws
HEAD_RIM_MM = 1.4  # plate round a countersink
PUSH_AIR_MM = 0.5  # before the arm while it is pushed on
CABLE_BEND_MM = 5.0  # stiff stub of the cable outside the case, as ``scene.CABLE_STUB_MM``


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
        cable = max(cable, fits.PLUG_SLOT.own_mm + shared.cable_slot_mm(servo)[1] + shared.SLOT_LAND_MM)
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
    """Where everything stands; arguments as in ``_housing_hang.place``.

    Raises:
        NoDesign: no stock screw suits the board.
    """
    servo, slip = spec.servo, fits.POCKET.air_mm(spec.printer)
    wire, half_wire = drive.wire_mm, drive.wire_mm / 2
    base, rim, margin = _housing_screws.base_mm(spec, options), shared.rim_mm(spec), shared.head_margin_mm(spec)
    seat_x, shaft_y = -half_wire - servo.horn_plane_height_mm, drive.shaft_to_pin_mm
    shaft_z = spec.pin_height_mm + drive.offset_mm
    case_y = servo.case_ends_mm(shaft_y)
    case_end_x = seat_x - servo.flange_underside_height_mm
    ear = servo.ear_mm
    half = servo.case_width_mm / 2
    wall_x = (seat_x - wall_mm(spec), seat_x)
    base_y = (shaft_y - front, case_y[1] + _beyond_mm(spec, "far"))

    arm_mm = _arm_mm(spec, drive, options, shaft_z, base)
    length = arm_mm or servo.horn_length_mm
    lowest_z = _lowest_z(spec, shaft_z, length, drive.swing_deg)
    sweep = shared.arm_sweep_mm(spec, drive.swing_deg, length)
    hole_z = shaft_z - drive.horn_radius_mm
    rises = drive.horn_radius_mm * (1 - math.cos(math.radians(drive.swing_deg)))
    pushed_on_x = -half_wire + servo.arm_slide_mm + PUSH_AIR_MM
    arm_x = (-half_wire - servo.horn_thickness_mm - wire - AIR_MM, max(half_wire + AIR_MM, pushed_on_x))
    proud_x = servo.horn_screw_proud_mm - half_wire
    base_x = (
        seat_x - _behind_mm(spec, options),
        max(half_wire, proud_x) + AIR_MM + rim,
    )
    opening = None
    if lowest_z - AIR_MM < base or min(hole_z, spec.pin_height_mm) - half_wire - ROD_AIR_MM < base:
        opening = ((arm_x[0], base_x[1] + 1.0), (base_y[0] - 1.0, shaft_y + sweep + AIR_MM))
    cut_depth = shared.cut_depth_mm(spec, lowest_z)
    cut_y = (shaft_y - sweep - AIR_MM, shaft_y + sweep + AIR_MM)

    behind_x = max((case_end_x + wall_x[0]) / 2, base_x[0] + margin)
    behind_x = min(behind_x, wall_x[0] - shared.beside_mm(spec))
    front_x = seat_x + shared.beside_mm(spec)
    near_y, far_y = base_y[0] + margin, base_y[1] - margin
    front_y, around_head = near_y, spec.fixing.head_mm / 2 + HEAD_RIM_MM
    in_wood = shared.in_wood_mm(spec)
    if opening is not None and opening[0][0] < front_x + around_head:
        front_y = max(front_y, opening[1][1] + around_head)  # no room for it between wall and opening
    if cut_depth and arm_x[0] < front_x + in_wood:
        front_y = max(front_y, cut_y[1] + in_wood)
    heads = ((behind_x, near_y), (behind_x, far_y), (front_x, front_y), (front_x, far_y))

    plug_x, plug_z = wall_x[0] - servo.connector_width_mm / 2 - PLUG_SIDE_MM, shared.plug_z(spec, base)
    slot_long, slot_short = shared.cable_slot_mm(servo)
    slot_x, slot_y = base_x[0] + rim + shared.SLOT_LAND_MM, sum(base_y) / 2
    cable_slot = (
        ((slot_x, slot_x + slot_short), (slot_y - slot_long / 2, slot_y + slot_long / 2))
        if options.cable == "down"
        else None
    )
    wall_y = (case_y[0] - ear - EAR_MARGIN_MM, case_y[1] + ear + EAR_MARGIN_MM)
    notch_y = (case_y[0] - slip, case_y[1] + slip)
    found = _pilots.pilots(servo, spec.printer, fits.PILOT_LYING, _mounting.web_mm(spec))
    frame = SideFrame(
        heads_xy=heads,
        rim_mm=rim,
        opening=opening,
        mark_x=((cable_slot[0][1] if cable_slot else base_x[0] + rim) + 0.8, wall_x[0] - 0.8),
        mark_y=(heads[0][1] + spec.fixing.head_mm / 2 + 1.0, heads[1][1] - spec.fixing.head_mm / 2 - 1.0),
        pilot_mm=found.printed_mm,
        wall_x=wall_x,
        wall_y=wall_y,
        wall_top_z=top_z(spec, drive.offset_mm),
        notch_y=notch_y,
        notch_z=shaft_z - half - fits.POCKET_LEVEL.air_mm(spec.printer),
        pilots_yz=tuple((sum(case_y) / 2 + along, shaft_z + across) for along, across in servo.ear_screws_mm),
    )
    plan = HousingPlan.model_validate(
        {
            **common,
            **_housing_screws.base_plan(spec, base, base_x, base_y, heads),
            **_mounting.servo_screws(spec, found),
            "way_out": (0.0, 0.0, 1.0),
            **shared.cable_way(spec, cable_slot, (plug_x, (sum(case_y) / 2, base_y[1] + 20.0), plug_z)),
            "plug_wide": (0.0, 1.0, 0.0) if cable_slot else (1.0, 0.0, 0.0),
            "seat_n_per_mm": _mounting.posts_n_per_mm(
                spec, wall_mm(spec), (notch_y[0] - wall_y[0], wall_y[1] - notch_y[1]), shaft_z - base
            ),
            "arm_length_mm": arm_mm,
            "board_cut_out": shared.cut_out(spec, arm_x, cut_y, cut_depth),
            "room_top_z": top_z(spec, drive.offset_mm) + AIR_MM,
            "slot_x": shared.slot_x(drive, front + outside_mm),
            "slot_top_z": max(spec.pin_height_mm, hole_z + rises) + half_wire + fits.ROD_SLOT.own_mm,
            "frame": frame,
        }
    )
    return shared.datums(spec, ON_ITS_SIDE, (seat_x, shaft_y, shaft_z), heads, (0.0, 0.0, -1.0)), plan


def wall(plan: HousingPlan, frame: SideFrame) -> Solid:
    """The wall with its notch and pilot holes, mount frame, rooted in the base plate."""
    root, top, low = plan.base_mm - 0.5, frame.wall_top_z, max(frame.notch_z, plan.base_mm)
    (y0, y1), (n0, n1), (x0, x1) = frame.wall_y, frame.notch_y, frame.wall_x
    return _mounting.seat_wall(
        x1,
        [(y0, root), (y1, root), (y1, top), (n1, top), (n1, low), (n0, low), (n0, top), (y0, top)],
        x1 - x0,
        frame.pilots_yz,
        frame.pilot_mm,
        up=(0, 1),
    )
