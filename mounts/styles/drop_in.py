"""One piece let down through a cut-out from above: flange on the board, post in its seat, servo and rod below.

For boards that can't be reached from below. Everything is fitted at the bench: what hangs keeps inside an upright
shaft of the cut-out's outline (``_drop_plan``), so it goes down and comes out again in a straight line.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mounts.design import Datums, Design
from mounts.drive.kinds import driven
from mounts.drive.lift.model import LiftDrive, LiftLimits
from mounts.drive.model import Drive
from mounts.errors import NoDesign, NoFixing
from mounts.frames import Vector
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.styles import Style, _bracket, _drop_body, _drop_plan, _fixings, _lifting, _mounting
from mounts.styles._drop_options import HEADS, MOST_RIM_MM, Options, deep_mm, flange_mm, post_mm, rod_in_post, seat_of
from mounts.styles._drop_plan import DropPlan

if TYPE_CHECKING:
    from mounts.solid.part import Part

BEND_OUT_MM = 30.0
"""Room for the spring bend, for which the cut-out is made. Common practice, no source."""

MOST_GUIDE_MM = 5.0
"""Widest guide beside a post. Common practice, no source."""

GLUE_SURE = 1.1
"""Chamfers and holes take some of the flange's face; the check measures it."""


def limits(spec: MountSpec, options: Options) -> LiftLimits:
    """What flange, seat and servo leave to the rod.

    Raises:
        NoDesign: the post stands neither round the rod nor clear of it.
    """
    top = flange_mm(spec, options)
    low = seat_of(spec, options).guide_low_z
    half, slip = spec.servo.case_width_mm / 2, fits.POCKET.air_mm(spec.printer)
    inside = rod_in_post(spec, options)
    return LiftLimits(
        wire_tail_mm=_mounting.WIRE_TAIL_MM,
        guide_z=(low, top),
        shaft_below_guide_mm=max(half + slip + 0.2, low + _drop_plan.WALL_OVER_NOTCH_MM + half + slip),
        below_shaft_mm=half + _mounting.EAR_MARGIN_MM,
        max_depth_mm=spec.max_depth_mm,
        depth_over_guide_mm=-low - spec.board.thickness_mm,
        arm_air_mm=_bracket.ARM_AIR_MM,
        max_board_hole_mm=None,
        max_guide_mm=min(MOST_GUIDE_MM, post_mm(spec, options) - 1.0) if inside else MOST_GUIDE_MM,
        max_bend_out_mm=BEND_OUT_MM,
        ccw_lifts=not spec.mirror,
    )


def fixed(spec: MountSpec, options: Options) -> MountSpec:
    """The request with what fixes the flange to its board, where that was left free; a signal stands off the roadbed.

    Raises:
        NoFixing: a bolt was asked for.
    """
    if spec.fixing.kind == "bolt" and not spec.fixing_stock:
        raise NoFixing(
            f"{spec.fixing.name} goes through the board, and nobody reaches its nut from above; leave --screw free"
        )
    stock = tuple(fixing for fixing in spec.fixing_stock if fixing.kind != "bolt")
    bare = spec.model_copy(
        update={"roadbed": spec.roadbed.model_copy(update={"thickness_mm": 0.0}), "fixing_stock": stock}
    )
    return _fixings.from_above(bare, lambda tried: deep_mm(tried, options), HEADS)


def place(spec: MountSpec, drive: Drive, options: Options) -> tuple[Datums, DropPlan]:
    """Where everything stands.

    Raises:
        NoDesign: no stock screw or glue suits the board, or the cable would leave its case inside the wall.
    """
    lift = driven(drive, LiftDrive)
    top = flange_mm(spec, options)
    shaft = (-lift.wire_mm / 2 - spec.servo.horn_plane_height_mm, *lift.shaft)
    plan = _drop_plan.planned(spec, lift, options, shaft)
    if spec.bonded and _bond(spec, lift, plan) < GLUE_SURE * _fixings.HOLD_RATIO:
        raise NoDesign(_parts(spec, lift, options, shaft))
    mid = math.radians(lift.mid_deg)
    return Datums(
        pin=(0.0, *_lifting.end_at_mid(lift, spec.pin_height_mm, top)),
        pivot=None,
        servo=_mounting.servo_matrix(spec, _mounting.ON_ITS_SIDE, shaft),
        fixings=_mounting.fixings(spec, plan.heads_xy, 0.0),
        horn_at_mid=(0.0, math.cos(mid), math.sin(mid)),
    ), plan


def _bond(spec: MountSpec, drive: LiftDrive, plan: DropPlan) -> float:
    """What the glue under the flange bears over the servo's stall."""
    (x0, x1), (y0, y1) = plan.flange_x, plan.flange_y
    (h0, h1), (g0, g1) = plan.hole_x, plan.hole_y
    area = (x1 - x0) * (y1 - y0) - (h1 - h0) * (g1 - g0)
    pull = _fixings.stall_n(spec, drive.horn_radius_mm)
    return _fixings.bond_ratio(spec, area, y1 - y0, pull, pull * max(-y0, y1), from_above=True)


def _parts(spec: MountSpec, drive: LiftDrive, options: Options, shaft: Vector) -> str:
    """Why the glue is too weak, and the narrowest rim, to a millimetre, that is wide enough."""
    least = GLUE_SURE * _fixings.HOLD_RATIO
    found = _bond(spec, drive, _drop_plan.planned(spec, drive, options, shaft))
    why = f"the glue under the flange would bear {found:.1f} times the servo's stall, at least {least:.1f}"
    for rim_mm in range(math.ceil(options.rim_mm), math.floor(MOST_RIM_MM) + 1):
        wider = options.model_copy(update={"rim_mm": float(rim_mm)})
        if _bond(spec, drive, _drop_plan.planned(spec, drive, wider, shaft)) >= least:
            return f"{why}; tried and works: --set rim_mm={rim_mm}"
    return f"{why}, with the widest rim too; use a servo with less torque, or a board with wood on top"


def build(design: Design, options: Options) -> tuple[Part, ...]:
    """The one piece, mount frame."""
    if not isinstance(design.plan, DropPlan):
        raise TypeError("a drop-in is built from its own plan")
    return (_drop_body.build(design, design.plan),)


STYLE = Style(
    drive="lift",
    options=Options,
    limits=limits,
    place=place,
    fixed=fixed,
    build=build,
    cures={
        "servo-screw-grip": "a thicker --set wall_mm",
        "seat-stiffness": "a thicker --set wall_mm",
        "wire-mount": "a smaller --set seat_mm",
        "flange-gives": "a thicker --set flange_mm",
    },
    examples=({}, {"post": "square", "post_mm": 6.0, "flange_mm": 3.0}, {"post_y_mm": 6.0, "post_mm": 4.0}),
)
