"""What both poses of an on-board housing share: options and what the scale leaves room for."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from mounts import gauge
from mounts.design import CutOut, Datums, Span, Stature
from mounts.drive.kinds import driven
from mounts.drive.model import Drive
from mounts.drive.push_rod.model import PushRodDrive
from mounts.errors import NoDesign
from mounts.frames import Array, Vector
from mounts.inputs import fits
from mounts.inputs.model import Mm, Model
from mounts.inputs.spec import MountSpec
from mounts.styles import _mounting
from mounts.styles._housing_plan import least_lip_mm, sound_mm
from mounts.styles._mounting import bed_chamfer_mm, flip

AIR_MM = 1.0  # round the arm, its screw and the servo's case; common practice, no source
DRIVER_RADIUS_MM = 3.0  # shank of a cross-point screwdriver for the fixings, with room for a hand
LEAST_LEG_MM = 0.8  # bends of the thinnest wire; with the pin as high as the rails it stands above them
FLOOR_MM = 3.0  # board left under a cut-out, or it goes through; common practice, no source
ROD_AIR_MM = 0.3  # rod over roadbed, board and base plate; common practice, no source
LOOP_AIR_MM = 1.0  # between the loop and sleepers or shell, whichever way the pin stands; common practice, no source
GAUGE_AIR_MM = 1.0  # between shell and structure gauge; common practice, no source
# common practice, no source:
LEAST_BASE_MM, MOST_BASE_MM = 2.4, 5.0  # two walls that carry, to what still looks like a plate
CRACK_MM = 0.6  # what is narrower fuses; at a distance that was given the edge is off by a hair
SURE_MM = 0.05  # of that hair
PIN_LEG_MM = 3.0  # wire standing above the tie bar's middle, where rails are high enough; common practice, no source
REACH_GAUGES = 0.7  # pin 0.2 gauges outside the rail: 3.3 mm in HO; common practice, no source
LOW_BUILDING = Stature(low_m=2.0, high_m=3.5, most_m=7.0)  # one storey; two under a roof. From memory
LEAST_LOOP_MM = 20.0  # room along the track for the rod's loop, in any scale; common practice, no source
LOOP_GAUGES = 0.8  # and in the large ones: farther out it catches fingers; no source


class Options(Model):
    """What ``--set`` takes for every on-board housing."""

    pose: Literal["auto", "hang", "side"] = Field(
        "auto",
        description="hang: shaft down, tall and slim; side: shaft along the track, low and wide; auto: the nearer to "
        "what the style measures in reality",
    )
    height_mm: Mm | None = Field(
        None, ge=8, le=200, description="room above the ground that the scene leaves to servo and frame"
    )
    sunk_mm: Mm | None = Field(
        None,
        ge=0,
        le=20,
        description="how far the servo is let down towards the board; by default only where it would stand too high",
    )
    tie_bar_reach_mm: Mm | None = Field(
        None,
        ge=2,
        le=80,
        description="centre line of the track to the tie bar's pin; default 0.7 × gauge, or beside the near rail",
    )
    base_mm: Mm | None = Field(
        None, ge=LEAST_BASE_MM, le=MOST_BASE_MM, description="base plate; default as thin as a stock screw allows"
    )
    cable: Literal["down", "back"] = Field(
        "down", description="down: through frame and board; back: out at the far side on the ground"
    )
    trim_arm: bool = Field(
        True, description="pose side: cut the arm off behind the hole in use rather than let it into the board"
    )
    vehicles: gauge.Group = Field("auto", description="NEM 103 group of the stock on a curve")
    curve: gauge.Side = Field("either", description="side of the curve it stands on")


@dataclass(frozen=True)
class Shell:
    """How much the scenery adds to the frame.

    Attributes:
        front_mm: its outermost point on the track side, from the edge of the frame's base plate.
        over_mm: its highest point, from the top of the room inside.
        foot_mm: what of ``front_mm`` there is at the height of the rod and below it; None: all of it.
        end_share: how much farther it stands out along the track for each mm of its height.
        gauge_mm: what of ``front_mm`` there is at rail top and above it; None: all of it.
        end_mm: how far it stands out along the track where it is highest; None: as ``front_mm``.
        stature: what it measures in reality.
        instead: what may be as high as it, where it is too high for its kind.
        lying: where both poses suit it as well, the servo lies on its side.
        least_room_mm: height of the room inside below which it would have no room for what makes it one.
        rise: from the top of the room to its highest point, both above the board, with the room's shorter side;
            None: by ``over_mm``, whatever the room.
    """

    front_mm: float = 2.5
    over_mm: float = 3.0
    foot_mm: float | None = None
    end_share: float = 0.0
    gauge_mm: float | None = None
    end_mm: float | None = None
    stature: Stature = LOW_BUILDING
    instead: tuple[str, ...] = ("a bank looks right at any height",)
    lying: bool = False
    least_room_mm: float = 0.0
    rise: Callable[[float, float], float] | None = None

    def room_top_mm(self, needed_mm: float, allowed_mm: float | None) -> float:
        """Height of the room: what servo and frame need, or what the scenery does where that is allowed."""
        return max(needed_mm, min(self.least_room_mm, math.inf if allowed_mm is None else allowed_mm))

    def top_mm(self, room_top_mm: float, short_mm: float) -> float:
        """Its highest point above the board."""
        return room_top_mm + self.over_mm if self.rise is None else self.rise(room_top_mm, short_mm)

    def at_rod_mm(self) -> float:
        """How far the shell stands out where the rod's loop and the roadbed are."""
        return self.front_mm if self.foot_mm is None else self.foot_mm

    def at_gauge_mm(self) -> float:
        """How far it stands out where the trains need room."""
        return self.front_mm if self.gauge_mm is None else self.gauge_mm

    def at_ends_mm(self, height_mm: float) -> float:
        """How far a shell of that height stands out along the track."""
        return (self.front_mm if self.end_mm is None else self.end_mm) + self.end_share * height_mm


@dataclass(frozen=True)
class Lane:
    """What lies along the rod between pin (y = 0) and housing, mm.

    Attributes:
        track_y: centre line of the track.
        sleeper_end_y: end of the sleepers.
        roadbed_edge_y: foot of the roadbed, shoulder at 45°; where the ground is higher, the top of the slope to it.
    """

    track_y: float
    sleeper_end_y: float
    roadbed_edge_y: float


def lane(spec: MountSpec, options: Options) -> Lane:
    """Track and roadbed beside the housing."""
    reach = options.tie_bar_reach_mm or usual_reach_mm(spec)
    sleeper = spec.scale.sleeper_mm / 2 - reach
    return Lane(-reach, sleeper, sleeper + abs(spec.roadbed.thickness_mm))


def usual_reach_mm(spec: MountSpec) -> float:
    """Centre line of the track to the tie bar's pin, where none is given, mm.

    ``REACH_GAUGES``, or so far that the pin's hole stays outside the near rail's head with the points thrown.
    """
    scale = spec.scale
    beside_rail = scale.track_gauge_mm / 2 + scale.rail_head_mm + (spec.throw_mm + spec.tie_bar_hole_mm) / 2
    return round(max(REACH_GAUGES * scale.track_gauge_mm, math.ceil(beside_rail * 10 - 1e-9) / 10), 2)


def gauge_front_y(spec: MountSpec, options: Options, top_z: float, reach_x: float) -> float:
    """Nearest y of a shell of that height that leaves the structure gauge, and a little air, free.

    Where no gauge was published, three gauges from the centre line: what NEM 102 asks of the others, rounded up.
    Inside a curve the track bends towards the shell's ends: a corner x along the track clears a circle of
    R − half where (R − y)² + x² ≤ (R − half)².

    Args:
        spec: scale and track.
        options: side of the curve and stock.
        top_z: of the shell.
        reach_x: its farthest point along the track from the tie bar.

    Raises:
        NoDesign: no place inside the curve is far enough from the track at both ends.
    """
    scale = spec.scale
    if scale.structure_gauge is None:
        return 3.0 * scale.track_gauge_mm / 2 + GAUGE_AIR_MM + lane(spec, options).track_y
    wider = gauge.widening(scale, spec.track_radius_mm, options.vehicles).each_side_mm
    above = top_z - spec.rail_top_z
    low, wide, _ = gauge.bands(scale.structure_gauge, wider)
    away = (low.half_low if above <= low.high else max(low.half_low, wide.half_low)) + GAUGE_AIR_MM
    if spec.track_radius_mm is not None and options.curve != "outside":
        inner = spec.track_radius_mm - away
        if inner <= reach_x:
            raise NoDesign(
                f"inside a curve of R {spec.track_radius_mm:g} mm there is no place for this housing that leaves the "
                "structure gauge free; use --set curve=outside where it stands outside, or a larger --track-radius"
            )
        away = spec.track_radius_mm - math.sqrt(inner**2 - reach_x**2)
    return away + lane(spec, options).track_y


def rod_drop(spec: MountSpec, options: Options, *, shaft_y: float, steepest_deg: float) -> tuple[float, str]:
    """How far the arm hole may lie below the pin, mm, and what happens deeper, with what would allow it.

    Domain: a rod that is straight from arm hole to pin, seen along the track; its loop lies level. The slope is held to
    ``steepest_deg``; the lowest point over the roadbed's edge is found by similar triangles, exact at any slope.

    Args:
        spec: pin, roadbed and wire.
        options: of the housing.
        shaft_y: pin to shaft across the track, mm.
        steepest_deg: that the rod may slope.
    """
    wire = widest_wire_mm(spec)
    limits = [
        (
            math.tan(math.radians(steepest_deg)) * shaft_y,
            f"the rod slopes by more than {steepest_deg:g}°: use a greater --track-distance",
        ),
        (spec.pin_height_mm - wire / 2 - ROD_AIR_MM, "the rod meets the ground: raise --pin-height"),
    ]
    edge = lane(spec, options).roadbed_edge_y
    if spec.roadbed.thickness_mm > 0 and edge > 0:
        over = spec.pin_height_mm - spec.roadbed.thickness_mm - wire / 2 - ROD_AIR_MM
        limits.append(
            (over * shaft_y / edge, "the rod meets the roadbed: raise --pin-height or use a greater --track-distance")
        )
    most, words = min(limits)
    return max(0.0, most), words


def widest_wire_mm(spec: MountSpec) -> float:
    """The thickest wire the solver may take."""
    return spec.wire_mm or max(wire.diameter_mm for wire in spec.wire.stock)


def pin_leg_mm(spec: MountSpec) -> float:
    """Wire above the pin's height: not so much that it reaches rail top, where the trains' gauge begins."""
    room = spec.rail_top_z - spec.pin_height_mm
    return min(PIN_LEG_MM, max(room - 0.3, LEAST_LEG_MM))


def largest_loop_mm(spec: MountSpec) -> float:
    """How far the rod's loop may stand out along the track."""
    return max(LEAST_LOOP_MM, LOOP_GAUGES * spec.scale.track_gauge_mm)


def slot_x(drive: PushRodDrive, at_mm: float, *, stray_mm: float = 0.0) -> tuple[float, float]:
    """Opening for the rod in the shell's front wall, before the mirror, mm: the wire and air either side.

    The rod turns about the arm hole as its loop, which stands towards −x, steps sideways; what of the step there is at
    the wall grows with the distance.

    Args:
        drive: the rod.
        at_mm: arm hole to the outside of the wall, mid swing.
        stray_mm: how far the arm hole wanders to −x.
    """
    to_foot = drive.loop_at_mm - drive.loop_feet_mm / 2
    share = min(1.0, (at_mm + drive.horn_radius_mm * math.sin(math.radians(drive.swing_deg))) / to_foot)
    pulled, pushed = (share * step for step in drive.loop_step_mm)
    half = drive.wire_mm / 2 + fits.ROD_SLOT.own_mm
    return -half - stray_mm - max(pushed, 0.0), half + max(-pulled, 0.0)


def pushing(drive: Drive) -> PushRodDrive:
    """The drive as the push rod it must be here."""
    return driven(drive, PushRodDrive)


def rim_mm(spec: MountSpec) -> float:
    """Thickness of the rim: as much as carries."""
    return sound_mm(spec)


def off_a_post_mm(spec: MountSpec, edge_mm: float, post_mm: float) -> float:
    """An edge of the base plate, moved out where its rim would leave only a crack beside a post or wall.

    Args:
        spec: its printer.
        edge_mm: distance of the edge.
        post_mm: distance of the face that looks at it, from the same place.
    """
    touching = post_mm + rim_mm(spec)
    return touching + CRACK_MM if touching - SURE_MM < edge_mm < touching + CRACK_MM else edge_mm


def lip_mm(spec: MountSpec, base_mm: float) -> float:
    """Top of the rim above the ground."""
    return max(base_mm + 1.2, least_lip_mm(fits.SHELL.air_mm(spec.printer), 2 * bed_chamfer_mm(spec.printer)))


def head_margin_mm(spec: MountSpec) -> float:
    """Plate between a fixing screw's axis and the edge: the head with its rim, and the driver inside the housing's."""
    return max(_mounting.head_margin_mm(spec), DRIVER_RADIUS_MM + rim_mm(spec))


def beside_mm(spec: MountSpec) -> float:
    """Axis of a fixing screw to what stands beside it: the driver or the head, whichever is thicker."""
    return max(DRIVER_RADIUS_MM, spec.fixing.head_mm / 2 + 0.5)


def cut_depth_mm(spec: MountSpec, lowest_z: float) -> float:
    """Depth of the cut-out that gives air below a height; through the board where too little would be left."""
    depth = math.ceil((AIR_MM - lowest_z) * 2 - 1e-6) / 2  # to the half millimetre: nobody routs finer
    if depth <= 0:
        return 0.0
    return depth if depth <= spec.board.thickness_mm - FLOOR_MM else spec.board.thickness_mm


def cut_out(spec: MountSpec, x: Span, y: Span, depth_mm: float) -> CutOut | None:
    """A cut-out between x and y, before the mirror, that is so deep; None where that is 0.

    Args:
        spec: board and mirror.
        x: low and high edge along the track, mm.
        y: the same across it.
        depth_mm: from the top of the board; the board's thickness and more goes through.
    """
    if not depth_mm:
        return None
    corners = ((x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1]))
    return CutOut(
        outline=tuple(flip((*corner, 0.0), spec.mirror)[:2] for corner in corners),
        depth_mm=depth_mm,
        through=depth_mm >= spec.board.thickness_mm,
    )


def datums(
    spec: MountSpec, rotation: Array, shaft: Vector, heads_xy: tuple[tuple[float, float], ...], horn_at_mid: Vector
) -> Datums:
    """Where everything of a housing stands, mirrored where it is; heights from the ground.

    Args:
        spec: the request.
        rotation: servo frame to mount frame before the mirror, (3, 3).
        shaft: origin of the servo frame before it, mm.
        heads_xy: fixing screws.
        horn_at_mid: unit vector from shaft to arm hole, after the mirror.
    """
    return Datums(
        pin=(0.0, 0.0, spec.pin_height_mm),
        pivot=None,
        servo=_mounting.servo_matrix(spec, rotation, shaft),
        fixings=_mounting.fixings(spec, heads_xy, 0.0),
        horn_at_mid=horn_at_mid,
    )


def arm_sweep_mm(spec: MountSpec, swing_deg: float, length_mm: float) -> float:
    """How far the arm, cut to a length, reaches sideways at full swing, hub included.

    Domain: half swings below 90°, where the tip is the farthest point; the solver's end at 50° or at what was pinned,
    60° at most.
    """
    servo, swing = spec.servo, math.radians(swing_deg)
    whole = servo.arm_tip_mm * math.sin(swing) + servo.horn_tip_width_mm / 2
    cut = length_mm * math.sin(swing) + servo.horn_hub_mm / 2 * math.cos(swing)
    return max(servo.horn_hub_mm / 2, whole if length_mm >= servo.horn_length_mm else min(whole, cut))
