"""One piece let down through a cut-out from above: flange on the board, post in its seat, servo and rod below.

For boards that can't be reached from below. Everything is fitted at the bench: what hangs keeps inside an upright
shaft of the cut-out's outline (``_drop_plan``), so it goes down and comes out again in a straight line.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from mounts.design import Backing, Datums, Design, DropIn, Span
from mounts.drive.kinds import driven
from mounts.drive.lift.model import LiftDrive, LiftLimits
from mounts.drive.model import Drive
from mounts.errors import NoDesign, NoFixing
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.styles import Style, _bracket, _drop_body, _drop_plan, _fixings, _lifting, _mounting
from mounts.styles._drop_options import HEADS, Options, deep_mm, flange_mm, post_mm, rod_in_post, seat_of
from mounts.styles._drop_plan import DropPlan

if TYPE_CHECKING:
    from mounts.solid.part import Part

BEND_OUT_MM = 30.0
"""Room for the spring bend, for which the cut-out is made. Common practice, no source."""

MOST_GUIDE_MM = 5.0
"""Widest guide beside a post. Common practice, no source."""

GLUE_SURE = 1.1
"""Of a frame in foam, over what the check asks."""

FRAME_MM, MOST_FRAME_MM = 5.0, 60.0
"""Of such a frame beyond the flange, at least and at most. Common practice, no source."""

STRIP_MM = 5.0
"""Of a strip under the board beyond the flange, which keeps its screws from its ends. Common practice, no source."""


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
        depth_over_guide_mm=-low - spec.board.thickness_mm + spec.pad_mm,
        arm_air_mm=_bracket.ARM_AIR_MM,
        max_board_hole_mm=None,
        max_guide_mm=min(MOST_GUIDE_MM, post_mm(spec, options) - 1.0) if inside else MOST_GUIDE_MM,
        max_bend_out_mm=BEND_OUT_MM,
        ccw_lifts=not spec.mirror,
    )


def fixed(spec: MountSpec, options: Options) -> MountSpec:
    """The request with the screws, and what backs them, that suit its board; a signal stands off the roadbed.

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
    return _fixings.from_above_alone(bare, lambda tried: deep_mm(tried, options), HEADS)


def place(spec: MountSpec, drive: Drive, options: Options) -> tuple[Datums, DropPlan]:
    """Where everything stands.

    Raises:
        NoDesign: no stock screw suits the board, foam does not hold its frame, or the cable would leave its case inside
            the wall.
    """
    lift = driven(drive, LiftDrive)
    top = flange_mm(spec, options)
    shaft = (-lift.wire_mm / 2 - spec.servo.horn_plane_height_mm, *lift.shaft)
    plan = _drop_plan.planned(spec, lift, options, shaft)
    plan = _backed(spec, lift, plan)
    mid = math.radians(lift.mid_deg)
    return Datums(
        pin=(0.0, *_lifting.end_at_mid(lift, spec.pin_height_mm, top)),
        pivot=None,
        servo=_mounting.servo_matrix(spec, _mounting.ON_ITS_SIDE, shaft),
        fixings=_mounting.fixings(spec, plan.heads_xy, 0.0),
        horn_at_mid=(0.0, math.cos(mid), math.sin(mid)),
    ), plan


def _backed(spec: MountSpec, drive: LiftDrive, plan: DropPlan) -> DropPlan:
    """The plan with the plywood that its screws go into, where the board holds none.

    Raises:
        NoDesign: the widest frame would come out of the foam.
    """
    told, hole = plan.drop_in, plan.board_cut_out
    if told is None or hole is None or not (spec.frame_mm or spec.pad_mm):
        return plan
    (x0, x1), (y0, y1) = plan.flange_x, plan.flange_y
    if spec.pad_mm:
        spans = ((y0 - STRIP_MM, plan.hole_y[0]), (plan.hole_y[1], y1 + STRIP_MM))
        backing = _pieces(spec, False, spec.pad_mm, tuple(((x0 - STRIP_MM, x1 + STRIP_MM), span) for span in spans))
        return _with(plan, told, backing)
    pull = _fixings.stall_n(spec, drive.horn_radius_mm)
    found = 0.0
    for beyond in np.arange(FRAME_MM, MOST_FRAME_MM + 1.0):
        wide, deep = (x0 - beyond, x1 + beyond), (y0 - beyond, y1 + beyond)
        backing = _pieces(spec, True, spec.frame_mm, ((wide, deep),))
        tips = min(pull, drive.fault_force_n) * max(-deep[0], deep[1])
        across = deep[1] - deep[0]
        found = _fixings.bond_ratio(spec, backing.area_mm2(hole), across, pull, tips, from_above=True)
        if found >= GLUE_SURE * _fixings.HOLD_RATIO:
            return _with(plan, told, backing)
    raise NoDesign(
        f"the glue of a plywood frame in the foam would bear {found:.1f} times the servo's stall, at least "
        f"{GLUE_SURE * _fixings.HOLD_RATIO:.1f}; use a servo with less torque, or a board with wood on top"
    )


def _pieces(spec: MountSpec, let_in: bool, thick_mm: float, rectangles: tuple[tuple[Span, Span], ...]) -> Backing:
    return Backing(
        let_in=let_in,
        thick_mm=thick_mm,
        pieces=tuple(
            tuple(_mounting.flip((float(x), float(y), 0.0), spec.mirror)[:2] for x, y in corners)
            for (x0, x1), (y0, y1) in rectangles
            for corners in [((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
        ),
    )


def _with(plan: DropPlan, told: DropIn, backing: Backing) -> DropPlan:
    return plan.model_copy(update={"drop_in": told.model_copy(update={"backing": backing})})


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
        "seat-strength": "a thicker --set wall_mm, or another --filament",
        "wire-mount": "a smaller --set seat_mm",
        "flange-gives": "a thicker --set flange_mm",
    },
    examples=({}, {"post": "square", "post_mm": 6.0, "flange_mm": 3.0}, {"post_y_mm": 6.0, "post_mm": 4.0}),
)
