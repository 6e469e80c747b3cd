"""What is asked of a drop-in, and what follows before its drive is chosen: flange, and the seat of the post."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from mounts.design import Screw
from mounts.errors import NoDesign, NoFixing
from mounts.inputs import fits
from mounts.inputs.model import Mm, Model
from mounts.inputs.spec import MountSpec
from mounts.styles import _housing_screws, _mounting
from mounts.styles._fixings import PADS_MM
from mounts.styles._mounting import POINT_MM, Point2, bore_mm

RIB_MM = 2.4  # of skirt and ribs; common practice, no source
HEADS = 4  # fixing screws
LEAST_FLANGE_MM, MOST_FLANGE_MM = 2.0, 5.0  # where left free; half a sleeper in H0 to a paving; common practice
UNDER_HEAD_MM = 0.5  # of flange under a countersink; common practice, no source
POST_M, LEAST_POST_MM = 0.35, 4.0  # foot of a post in reality, and what kits stand on; common practice, no source
GUIDE_LAND_MM = 2.0  # of the guide below the seat's roof; common practice, no source
# common practice, no source:
ROOF, TIP_MM = 1.2, 0.3  # rise over run of the seat's roof, and half width where it ends, in print
LEAD_IN_MM = 0.4  # chamfer of the seat on the bed; common practice, no source


class Options(Model):
    """What ``--set`` takes for a drop-in."""

    flange_mm: Mm | None = Field(
        None, ge=1.6, le=MOST_FLANGE_MM, description="flange thickness; default as thin as the screws allow, 2 at least"
    )
    rim_mm: Mm = Field(4.0, ge=3.0, le=20.0, description="flange on the board where no screws are")
    post: Literal["round", "square"] = Field("round", description="foot of the post, or of a boom's stand")
    post_mm: Mm | None = Field(
        None, ge=1.0, le=20.0, description="its diameter or side; default 0.35 m in the scale, 4 mm at least"
    )
    post_x_mm: Mm = Field(0.0, ge=-15.0, le=15.0, description="middle of the post from the rod, along the track")
    post_y_mm: Mm = Field(
        0.0, ge=-15.0, le=15.0, description="the same across it, to the arm's side; 0 and 0: the rod is in the post"
    )
    seat_mm: Mm = Field(3.0, ge=1.5, le=8.0, description="depth of the post's seat")
    wall_mm: Mm | None = Field(
        None, ge=4.0, le=10.0, description="wall that carries the servo; default 2.5 × the servo's screw, at least 5"
    )
    rib_mm: Mm | None = Field(None, ge=1.6, le=6.0, description=f"thickness of skirt and ribs; {RIB_MM:g} by default")


def flange_mm(spec: MountSpec, options: Options) -> float:
    """As thin as lets a countersunk stock screw grip the board and stay inside it."""
    if options.flange_mm is not None:
        return options.flange_mm
    fixing = spec.fixing
    slope = math.tan(math.radians(fixing.head_angle_deg / 2))
    cone = (fixing.head_mm / 2 + fits.SCREW_HEAD.own_mm - bore_mm(spec, fits.FIXING_UPRIGHT) / 2) / slope
    least = max(LEAST_FLANGE_MM, cone + UNDER_HEAD_MM)
    inside, grip = _housing_screws.inside_mm(spec), _housing_screws.grip_mm(spec)
    fitting = [length - inside for length in fixing.lengths_mm if length >= least + grip]
    return min(max(least, min(fitting, default=least)), MOST_FLANGE_MM)


def deep_mm(spec: MountSpec, options: Options) -> float | None:
    """How far the longest screw that is safe goes into the board; None where there is none."""
    flange = flange_mm(spec, options)
    length = _housing_screws.screw_mm(spec, flange)
    return None if length is None else length - flange


def screws(spec: MountSpec, options: Options, heads_xy: tuple[Point2, ...]) -> tuple[Screw, ...]:
    """The fixing screws, driven from above, of the stock length that suits the board.

    Raises:
        NoDesign: no stock screw grips the board without coming too near its underside.
    """
    flange = flange_mm(spec, options)
    length = _housing_screws.screw_mm(spec, flange)
    if length is None:
        raise (NoDesign if spec.fixing_stock else NoFixing)(_no_screw(spec, options))
    return _mounting.screws(spec, heads_xy, flange, up=False, length_mm=length)


def _no_screw(spec: MountSpec, options: Options) -> str:
    """Which limit no screw keeps, and what to leave free."""
    said = f"no {spec.fixing.name if not spec.fixing_stock else 'stock'} screw"
    pinned = "" if options.flange_mm is None else f" through a {options.flange_mm:g} mm flange"
    return (
        f"{said} grips the {spec.board.thickness_mm:g} mm board{pinned} and stays {POINT_MM:g} mm inside it, alone or "
        f"with up to {PADS_MM[-1]:g} mm of plywood; leave {'flange_mm' if spec.fixing_stock else '--screw'} free"
    )


def post_mm(spec: MountSpec, options: Options) -> float:
    """Diameter or side of the post's foot."""
    if options.post_mm is not None:
        return options.post_mm
    return max(LEAST_POST_MM, math.ceil(2000 * POST_M / spec.scale.ratio) / 2)


def seat_wall_mm(spec: MountSpec) -> float:
    """Plastic round seat and guide: walls that carry, three lines at least (standards, 8)."""
    return max(1.6, 3 * spec.printer.nozzle_mm + 0.1)


def rod_in_post(spec: MountSpec, options: Options) -> bool:
    """Whether the rod goes up inside the post, a hollow one; otherwise beside it.

    Raises:
        NoDesign: it would go through its wall.
    """
    off = math.hypot(options.post_x_mm, options.post_y_mm)
    if off == 0.0:
        return True
    across = max(abs(options.post_x_mm), abs(options.post_y_mm)) if options.post == "square" else off
    clear = post_mm(spec, options) / 2 + spec.printer.clean_hole_mm / 2 + seat_wall_mm(spec) + 1.0
    if across < clear - 1e-9:
        enough = math.ceil(10 * clear - 1e-6) / 10
        raise NoDesign(
            f"the post stands {across:.3g} mm from the rod, {enough:g} mm at least are needed beside a "
            f"{post_mm(spec, options):g} mm post, or none with the rod inside it; use --set post_y_mm={enough:g}"
        )
    return False


@dataclass(frozen=True)
class Seat:
    """The hole that takes the post, drawn. Heights from the board's top, mm."""

    half_mm: float  # radius, or half a side
    floor_z: float  # where it ends and its roof in print begins
    roof_z: float  # where that ends
    tip_mm: float  # half width it ends with: the guide takes it up, or no nozzle closes it
    guide_low_z: float


def seat_of(spec: MountSpec, options: Options) -> Seat:
    """How deep the seat goes, and the guide below it."""
    room = fits.POST.air_mm(spec.printer) + fits.POST.closes_mm(spec.printer)
    half = (post_mm(spec, options) + room) / 2
    floor = flange_mm(spec, options) - options.seat_mm
    tip = TIP_MM if rod_in_post(spec, options) else min(spec.printer.clean_hole_mm / 2 + 0.1, half - 0.01)
    roof = floor - ROOF * (half - tip)
    return Seat(half, floor, roof, tip, min(roof - GUIDE_LAND_MM, -GUIDE_LAND_MM))
