"""Where everything of a drop-in stands.

         post
          ║┆            z ↑   → x along the track
══════════╩┆═════════   flange, on the board
 ┃ ▓▓▓  ┃▒▒┆▒▒   ┃      skirt inside the cut-out, block with seat and guide
   case ┃  ┆⊐           wall with the servo's ears; rod with its spring bend
   ▓▓▓▓▓┃▓╍┽            arm
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from mounts import scene
from mounts.design import CutOut, DropIn, Plan, Span
from mounts.drive.lift.model import LiftDrive
from mounts.frames import Vector
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.styles import _bracket, _drop_options, _fixings, _housing_cable, _mounting
from mounts.styles._drop_options import Options, flange_mm, post_mm, rod_in_post, seat_of, seat_wall_mm
from mounts.styles._mounting import PLUG_SIDE_MM, Point2, flip

WALL_OVER_NOTCH_MM = 3.0  # of wall between flange and notch
SKIRT_MM = 6.0  # how far the skirt goes down at least; common practice, no source
MOST_SKIRT_MM, SKIRT_STEP_MM = 16.0, 1.0  # where what spans the cut-out would give otherwise
SAG_MM = 0.15  # kept well inside what check flange-gives allows
BESIDE_MM = 0.75  # cut-out beside what hangs in it, a side: it is sawn by hand; common practice, no source
INSIDE_MM = 1.0  # kept inside the skirt; common practice, no source
BELOW_BOARD_MM = 20.0  # how far the plug's way is looked at
DRIVER_ROOM_MM = 2.0  # round the axis of a servo screw, for its driver; common practice, no source


class DropPlan(Plan):
    """Dimensions of a drop-in before it is mirrored, mount frame, mm."""

    flange_mm: float
    flange_x: Span
    flange_y: Span
    hole_x: Span = Field(description="edges of the cut-out")
    hole_y: Span
    heads_xy: tuple[Point2, ...] = Field(description="fixing screws")
    hung_x: Span = Field(description="outer faces of the skirt")
    hung_y: Span
    skirt_z: float = Field(description="its lower end")
    rib_mm: float
    wall_face_x: float = Field(description="front face of the wall: the seat of the flange")
    wall_mm: float
    wall_bottom_z: float
    pilots_yz: tuple[Point2, ...]
    pilot_mm: float | None = Field(description="diameter as modelled; None: marked, to be drilled")
    notch_y: Span
    notch_top_z: float
    block_x: Span = Field(description="what holds seat and guide")
    block_y: Span
    block_z: float
    post: Literal["round", "square"]
    post_mm: float
    post_at: Point2
    post_half_mm: float = Field(description="radius or half side of the seat as modelled")
    rod_in_post: bool
    seat_floor_z: float
    seat_roof_z: float
    seat_tip_mm: float = Field(description="half width of the seat's roof where it ends")
    slot_x_mm: float
    slot_y_mm: float


def planned(spec: MountSpec, drive: LiftDrive, options: Options, shaft: Vector) -> DropPlan:
    """Flange, skirt, wall and block round servo, arm and rod.

    Args:
        spec: the request.
        drive: the lift.
        options: of the style.
        shaft: where it crosses the ears' seat, before the mirror, mount frame, mm.
    """
    servo, slip = spec.servo, fits.POCKET.air_mm(spec.printer)
    rib = options.rib_mm or _drop_options.RIB_MM + spec.sturdier_mm
    seat_x, shaft_y, shaft_z = shaft
    flange, wall_mm = flange_mm(spec, options), _bracket.wall_thickness_mm(spec, _as_bracket(options))
    seat, half = seat_of(spec, options), servo.case_width_mm / 2
    slot_x = max(2.0, spec.printer.clean_hole_mm, drive.guide_mm)
    slot_y = drive.guide_mm + fits.PIVOT.closes_mm(spec.printer)
    at = (options.post_x_mm, options.post_y_mm)
    wall = seat_wall_mm(spec)
    reach = seat.half_mm + wall
    block_x = (min(seat_x - 0.5, at[0] - reach), max(at[0] + reach, slot_x / 2 + wall))
    block_y = (
        min(at[1] - reach, -slot_y / 2 - wall),
        max(at[1] + reach, slot_y / 2 + wall),
    )

    case_y = servo.case_ends_mm(shaft_y)
    middle_y, plug = sum(case_y) / 2, servo.connector_thickness_mm + 2 * fits.PLUG_GAP.own_mm
    cable = max(plug, scene.CABLE_STUB_MM + INSIDE_MM)
    near, far = (cable, INSIDE_MM) if servo.cable_end == "near" else (INSIDE_MM, cable)
    ears = servo.flange_span_mm / 2 + INSIDE_MM
    tip_y = shaft_y + servo.arm_tip_mm + INSIDE_MM
    hung_y = (
        min(middle_y - ears, case_y[0] - near, block_y[0]) - rib,
        max(middle_y + ears, case_y[1] + far, tip_y, block_y[1]) + rib,
    )
    plug_x = seat_x - wall_mm - servo.connector_width_mm / 2 - PLUG_SIDE_MM
    bend_x = drive.loop_leg_mm + drive.loop_radius_mm + drive.wire_mm
    hub_x = -drive.wire_mm / 2 + servo.horn_screw_proud_mm
    hung_x = (
        min(
            seat_x - servo.flange_underside_height_mm, plug_x - servo.connector_width_mm / 2, block_x[0]
        ) - INSIDE_MM - rib,
        max(bend_x, hub_x, block_x[1]) + INSIDE_MM + rib,
    )  # fmt: skip
    highest = shaft_z + max(across for _, across in servo.ear_screws_mm) + DRIVER_ROOM_MM
    hole_x, hole_y = ((low - BESIDE_MM, high + BESIDE_MM) for low, high in (hung_x, hung_y))
    margin, wood = _mounting.head_margin_mm(spec), _housing_cable.in_wood_mm(spec)
    flange_x = (hole_x[0] - options.rim_mm, hole_x[1] + options.rim_mm)
    flange_y = (hole_y[0] - max(wood + margin, options.rim_mm), hole_y[1] + max(wood + margin, options.rim_mm))
    head_x, head_y = (flange_x[0] + margin, flange_x[1] - margin), (hole_y[0] - wood, hole_y[1] + wood)
    heads = tuple((x, y) for y in head_y for x in head_x)
    notch_y = (case_y[0] - slip, case_y[1] + slip)
    beside = servo.connector_thickness_mm / 2 + fits.PLUG_GAP.own_mm
    plug_y = case_y[0] - beside if servo.cable_end == "near" else case_y[1] + beside
    deep = -spec.board.thickness_mm - BELOW_BOARD_MM
    corners = ((hole_x[0], hole_y[0]), (hole_x[1], hole_y[0]), (hole_x[1], hole_y[1]), (hole_x[0], hole_y[1]))
    turned = corners[::-1] if spec.mirror else corners
    plan = DropPlan(
        screws=_drop_options.screws(spec, options, heads),
        way_out=(0.0, 0.0, -1.0),
        plug_path=tuple(flip((plug_x, plug_y, z), spec.mirror) for z in (shaft_z - 3.0, deep)),
        plug_wide=(1.0, 0.0, 0.0),
        wire_tail_mm=_mounting.WIRE_TAIL_MM,
        name_mark=spec.id,
        seat_n_per_mm=1.0,
        board_cut_out=CutOut(
            outline=tuple(flip((x, y, 0.0), spec.mirror)[:2] for x, y in turned),
            depth_mm=spec.board.thickness_mm,
            through=True,
        ),
        **_bracket.servo_screws(spec, fits.PILOT_LYING),
        flange_mm=flange,
        flange_x=flange_x,
        flange_y=flange_y,
        hole_x=hole_x,
        hole_y=hole_y,
        heads_xy=heads,
        hung_x=hung_x,
        hung_y=hung_y,
        skirt_z=max(-SKIRT_MM, highest),
        rib_mm=rib,
        wall_face_x=seat_x,
        wall_mm=wall_mm,
        wall_bottom_z=shaft_z - half - _mounting.EAR_MARGIN_MM,
        pilots_yz=tuple((middle_y + along, shaft_z + across) for along, across in servo.ear_screws_mm),
        notch_y=notch_y,
        notch_top_z=shaft_z + half + slip,
        block_x=block_x,
        block_y=block_y,
        block_z=seat.guide_low_z,
        post=options.post,
        post_mm=post_mm(spec, options),
        post_at=at,
        post_half_mm=seat.half_mm,
        rod_in_post=rod_in_post(spec, options),
        seat_floor_z=seat.floor_z,
        seat_roof_z=seat.roof_z,
        seat_tip_mm=seat.tip_mm,
        slot_x_mm=slot_x,
        slot_y_mm=slot_y,
    )
    plan = stiffened(spec, drive, plan, max(-MOST_SKIRT_MM, highest))
    return plan.model_copy(
        update={
            "seat_n_per_mm": seat_n_per_mm(spec, plan, shaft_z),
            "seat_mpa_per_n": seat_mpa_per_n(plan, shaft_z),
            "drop_in": DropIn(
                flange_mm=flange,
                post=plan.post,
                post_mm=plan.post_mm,
                rod_in_post=plan.rod_in_post,
                flange_n_per_mm=flange_n_per_mm(spec, plan),
            ),
        }
    )


def stiffened(spec: MountSpec, drive: LiftDrive, plan: DropPlan, lowest_z: float) -> DropPlan:
    """The plan with its skirt so deep that the flange bears the servo's stall, or as deep as drivers leave room.

    Args:
        spec: servo and plastic.
        drive: the lift.
        plan: with the skirt at its least.
        lowest_z: where the skirt must end.
    """
    pull = _fixings.stall_n(spec, drive.horn_radius_mm)
    while pull / flange_n_per_mm(spec, plan) > SAG_MM and plan.skirt_z > lowest_z:
        plan = plan.model_copy(update={"skirt_z": max(plan.skirt_z - SKIRT_STEP_MM, lowest_z)})
    return plan


def _as_bracket(options: Options) -> _bracket.Options:
    return _bracket.Options(wall_mm=options.wall_mm, rib_mm=options.rib_mm)


def _posts_mm(plan: DropPlan) -> tuple[float, float]:
    """Widths of the posts beside the notch."""
    return plan.notch_y[0] - plan.hung_y[0], plan.hung_y[1] - plan.notch_y[1]


def seat_n_per_mm(spec: MountSpec, plan: DropPlan, shaft_z: float) -> float:
    """Stiffness of the servo's seat at the arm's hole, the weaker of sideways and upright, N/mm.

    Sideways the posts beside the notch, as a bracket's. Upright: the rod's pull F at L before the wall bends both posts
    by the moment F·L over their length h, clamped at the notch's top: 1/k = L²·h/(E·I), I = Σb·t³/12.

    Args:
        spec: the plastic.
        plan: wall, notch, flange.
        shaft_z: mm.

    Domain: posts longer than thick; the wall above the notch is held by skirt, ribs and flange on three sides.
    Source: beam under an end moment, any handbook.
    """
    widths = _posts_mm(plan)
    high = plan.notch_top_z - shaft_z
    sideways = _mounting.posts_n_per_mm(spec, plan.wall_mm, widths, high)
    second = sum(widths) * plan.wall_mm**3 / 12
    upright = spec.filament.modulus_mpa * second / (plan.wall_face_x**2 * high)
    return min(sideways, upright)


def seat_mpa_per_n(plan: DropPlan, shaft_z: float) -> float:
    """Largest stress in the posts for each newton at the arm's hole, MPa/N.

    Upright F·L bends both over their thickness; sideways ``posts_mpa_per_n``. Domain, source: as ``seat_n_per_mm``.
    """
    widths = _posts_mm(plan)
    before, high = abs(plan.wall_face_x), plan.notch_top_z - shaft_z
    sideways = _mounting.posts_mpa_per_n(plan.wall_mm, widths, high, (before, plan.notch_y[1] - plan.notch_y[0]))
    return max(sideways, 6 * before / (sum(widths) * plan.wall_mm**2))


def flange_n_per_mm(spec: MountSpec, plan: DropPlan) -> float:
    """Stiffness of what spans the cut-out from screw to screw, loaded in the middle, N/mm.

    A stepped beam on two supports: the bare flange over a from a screw to the skirt, then flange, the skirt's two long
    sides and the wall over its notch, about their common axis; 1/k = (a³/I₁ + ((L/2)³ − a³)/I₂)/(6·E). Block, wall
    beside the notch and the clamping by the screws are left out: a lower bound. Domain: L over three times the skirt's
    depth, where shear adds less than what is left out. Source: M²/(E·I) summed up, Castigliano, any handbook.
    """
    low, high = plan.heads_xy[0][1], plan.heads_xy[2][1]
    bare, half = max(plan.hung_y[0] - low, high - plan.hung_y[1]), (high - low) / 2
    wide, thick, deep = plan.flange_x[1] - plan.flange_x[0], plan.flange_mm, -plan.skirt_z
    over, wall = -plan.notch_top_z, plan.wall_mm
    flange = wide * thick**3 / 12
    pieces = (
        (wide * thick, thick / 2, flange),
        (2 * plan.rib_mm * deep, -deep / 2, plan.rib_mm * deep**3 / 6),
        (wall * over, -over / 2, wall * over**3 / 12),
    )
    axis = sum(area * z for area, z, _ in pieces) / sum(area for area, _, _ in pieces)
    second = sum(own + area * (z - axis) ** 2 for area, z, own in pieces)
    return 6 * spec.filament.modulus_mpa / (bare**3 / flange + (half**3 - bare**3) / second)
