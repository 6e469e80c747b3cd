"""Bracket under the board for a signal or a boom: the servo's arm lifts a rod through a guide in its plate.

The plate of the under-board bracket with its wall and ribs (``_bracket_across``), the servo so far aside that its arm's
hole comes under the guide: arm level at the centre pulse, no deeper than servo, spring bend and the arm's sweep ask.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Self

from pydantic import Field, model_validator

from mounts.design import Datums, Design
from mounts.drive.kinds import driven
from mounts.drive.lift import rules
from mounts.drive.lift.model import LiftDrive, LiftLimits
from mounts.drive.model import Drive
from mounts.inputs import fits
from mounts.inputs.model import Mm, Model, agree
from mounts.inputs.spec import MountSpec
from mounts.styles import Style, _bracket, _bracket_across, _lifting, _mounting
from mounts.styles._bracket_across import AcrossPlan

if TYPE_CHECKING:
    from mounts.solid.part import Part

BEND_OUT_MM = 30.0
"""Room for the spring bend before the plate: nothing else is there. Common practice, no source."""

FLARE_DEG = 15.0
"""Of the guide's slot above and below its land, beside what the rod leans."""

PARTNER_MM = 2.0
"""Between two mounts that stand against each other, as between any two of a layout. Common practice, no source."""

BETWEEN_HOLES_MM = 1.0
"""Wood between two rods' holes, so that the second drill does not run into the first. Common practice, no source."""

BESIDE_BORE_MM = 0.8
"""Of the plate between the guide's flare and a notch in its edge. Common practice, no source."""

MOST_GUIDE_MM = 5.0
"""Widest guide, as far as the front screws leave room. Common practice, no source."""


class Options(Model):
    """What ``--set`` takes for the bracket of a lift."""

    plate_mm: Mm = Field(_bracket.PLATE_MM, ge=3.0, le=8.0, description="plate thickness, which guides the rod")
    wall_mm: _mounting.WallMm = None
    rib_mm: _mounting.RibMm = None
    web_mm: Mm | None = Field(
        None,
        ge=1.6,
        le=10.0,
        description="thickness between plate and screws, up to that of the wall; default the fewest lines that carry",
    )
    rods: int = Field(
        1,
        ge=1,
        le=2,
        description="2: one at each end of a double arm, the second goes down as the first goes up: a pair of booms",
    )
    beside_mm: Mm | None = Field(
        None,
        ge=4.0,
        le=60.0,
        description="rod to that of a second mount, its mirror image, which stands against this one across the track",
        examples=[*(half / 2 for half in range(8, 40)), *range(20, 61, 4)],
    )

    @model_validator(mode="after")
    def _no_second_rod_beside_a_mount(self) -> Self:
        apart = self.rods == 1 or self.beside_mm is None
        agree(self, ((apart, "rods", "be 1 beside a second mount; leave rods or beside_mm out"),))
        return self


def _as_bracket(options: Options) -> _bracket.Options:
    return _bracket.Options(lie="across", **options.model_dump(exclude={"beside_mm", "rods"}))


def limits(spec: MountSpec, options: Options) -> LiftLimits:
    """What plate, wall and servo leave to the rod."""
    half, top = spec.servo.case_width_mm / 2, -spec.board.thickness_mm
    servo, beside = spec.servo, options.beside_mm
    end = _bracket_across.beyond_case_mm(spec, _as_bracket(options))
    flare = options.plate_mm / 2 * math.tan(math.radians(FLARE_DEG + 2.0 * rules.MOST_LEAN_DEG))
    hole = _bracket.LARGEST_BOARD_HOLE_MM
    return LiftLimits(
        wire_tail_mm=_mounting.WIRE_TAIL_MM,
        guide_z=(top - options.plate_mm, top),
        shaft_below_guide_mm=_bracket_across.WALL_OVER_NOTCH_MM + half + fits.POCKET.air_mm(spec.printer),
        below_shaft_mm=half + _mounting.EAR_MARGIN_MM,
        max_depth_mm=spec.max_depth_mm,
        depth_over_guide_mm=spec.pad_mm + options.plate_mm,
        arm_air_mm=_bracket.ARM_AIR_MM,
        max_board_hole_mm=hole if beside is None else min(hole, beside - BETWEEN_HOLES_MM),
        max_guide_mm=MOST_GUIDE_MM,
        max_bend_out_mm=BEND_OUT_MM,
        between_rods_mm=BETWEEN_HOLES_MM if options.rods == 2 else None,
        room_beyond_mm=_half_mm(options),
        seat_beyond_shaft_mm=servo.shaft_offset_mm + end,
        beside_bore_mm=flare + _bracket.INDEX_DEEP_MM + BESIDE_BORE_MM,
        ccw_lifts=not spec.mirror,
    )


def fixed(spec: MountSpec, options: Options) -> MountSpec:
    """The request with the screws, and the pad for them, that suit its board; a signal stands beside the roadbed."""
    bare = spec.roadbed.model_copy(update={"thickness_mm": 0.0})
    return _bracket.fixed(spec.model_copy(update={"roadbed": bare}), _as_bracket(options), lambda tried: 4)


def place(spec: MountSpec, drive: Drive, options: Options) -> tuple[Datums, AcrossPlan]:
    """Where everything of the bracket stands.

    Raises:
        NoDesign: no stock screw suits the board.
    """
    lift, top = driven(drive, LiftDrive), -spec.board.thickness_mm
    leans = max(lift.lean_deg, lift.second.lean_deg if lift.second else 0.0)
    lean = 2.0 * leans if lift.crank_mm is not None else 0.0
    plate = {
        "board_face_z": top,
        "plate_mm": options.plate_mm,
        "pivot_z": top - options.plate_mm / 2,
        "slot_x_mm": max(2.0, spec.printer.clean_hole_mm, lift.guide_mm),
        "slot_y_mm": lift.guide_mm + fits.PIVOT.closes_mm(spec.printer),
        "land_mm": options.plate_mm / 2,
        "flare_deg": FLARE_DEG + lean,
        "second_y": lift.second and lift.second.y_mm,
    }
    shaft = (-lift.wire_mm / 2 - spec.servo.horn_plane_height_mm, *lift.shaft)
    plan = _bracket_across.planned(
        spec, _as_bracket(options), plate, shaft,
        _mounting.seat_wants(spec, drive.rate_n_per_mm, drive.horn_radius_mm, across=True),
        upright=True,
        half_mm=_half_mm(options),
    )  # fmt: skip
    if options.beside_mm is not None:
        plan = _against(spec, lift, options, plan)
    lies = _mounting.ON_ITS_SIDE if options.beside_mm is None else _mounting.TURNED
    mid = math.radians(lift.mid_deg)
    return Datums(
        pin=(0.0, *_lifting.end_at_mid(lift, spec.pin_height_mm, 0.0)),
        pivot=None,
        servo=_mounting.servo_matrix(spec, lies, shaft),
        fixings=_mounting.fixings(spec, plan.heads_xy, plan.board_face_z),
        horn_at_mid=(0.0, math.cos(mid), math.sin(mid)),
    ), plan


def _half_mm(options: Options) -> float | None:
    """From the rod to where a mount ends that has a partner; None without one."""
    return None if options.beside_mm is None else (options.beside_mm - PARTNER_MM) / 2


def _against(spec: MountSpec, drive: LiftDrive, options: Options, plan: AcrossPlan) -> AcrossPlan:
    """The plan of a mount that ends half way to its partner: its pad with it, and its arm cut where that would not."""
    half, beside, servo = _half_mm(options), options.beside_mm, spec.servo
    if half is None:
        return plan
    reach = half - drive.shaft[0]
    cut = math.floor(math.sqrt(reach**2 - (servo.horn_hub_mm / 2) ** 2) * 10) / 10
    return plan.model_copy(update={
        "partner_mm": beside,
        "pad_xy": tuple((x, min(y, max(half, plan.plate_y[1]))) for x, y in plan.pad_xy),
        "arm_length_mm": cut if reach < servo.horn_length_mm else None,
    })  # fmt: skip


def build(design: Design, options: Options) -> tuple[Part, ...]:
    """The bracket, one body, mount frame."""
    if not isinstance(design.plan, AcrossPlan):
        raise TypeError("a bracket is built from a bracket's plan")
    return (_bracket_across.build(design, design.plan),)


STYLE = Style(
    drive="lift",
    options=Options,
    limits=limits,
    place=place,
    fixed=fixed,
    build=build,
    cures={**_bracket.CURES, "partner": "a greater --set beside_mm"},
    examples=({}, {"plate_mm": 6.0}, {"wall_mm": 7.0, "rib_mm": 3.0}, {"beside_mm": 12.0}, {"rods": 2}),
)
