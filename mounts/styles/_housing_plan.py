"""What frame and shell of an on-board housing agree on."""

from __future__ import annotations

import math
from typing import Literal

from pydantic import Field

from mounts.design import Design, Plan
from mounts.inputs import fits
from mounts.inputs.model import Model
from mounts.inputs.printer import Printer
from mounts.inputs.servo import Servo
from mounts.units import number

Span = tuple[float, float]


class Stature(Model):
    """How high such a thing stands in reality, m, at its highest point."""

    low_m: float = Field(description="usual, from")
    high_m: float = Field(description="usual, to")
    most_m: float = Field(description="what still looks like one of its kind beside a track; higher is a tower")

    def off(self, real_m: float) -> float:
        """How far outside what is usual, as a ratio less one; 0 inside."""
        return max(self.low_m / real_m, real_m / self.high_m, 1.0) - 1.0


class BaseFrame(Model):
    """The base plate of either pose, before the mirror, mount frame, mm."""

    heads_xy: tuple[tuple[float, float], ...] = Field(description="fixing screws")
    rim_mm: float = Field(description="thickness of the rim")
    opening: tuple[Span, Span] | None = Field(None, description="x and y left out of the plate, under arm and rod")
    mark_x: Span = Field(description="flat for the name")
    mark_y: Span
    pilot_mm: float | None = Field(description="servo screws, diameter as modelled; None: marked, to be drilled")


class HangFrame(BaseFrame):
    """Two posts at the ends of the case, the ears on top of them."""

    kind: Literal["hang"] = "hang"
    near_x: Span = Field(description="post at the shaft's end of the case")
    far_x: Span = Field(description="the other post where the ear lies on it")
    far_foot_x: float = Field(description="its inner face at the height of the arm, farther out")
    corbel_z: float = Field(description="where it begins to lean in, at 45°")
    post_y: Span
    seat_z: float = Field(description="top of both posts")
    pilots_xy: tuple[tuple[float, float], ...]
    pilot_depth_mm: float


class SideFrame(BaseFrame):
    """A wall with a notch that is open at the top; the ears on its face."""

    kind: Literal["side"] = "side"
    wall_x: Span
    wall_y: Span
    wall_top_z: float
    notch_y: Span
    notch_z: float = Field(description="bottom of the notch")
    pilots_yz: tuple[tuple[float, float], ...]


class HousingPlan(Plan):
    """Dimensions of a housing before it is mirrored, mm; mount frame, but with heights from the ground it stands on.

    The housing stands on the +y side. Fields that ``Plan`` has too are wholly in the mount frame.

    The frame (base plate and posts) carries the servo and is screwed to the board; the shell is the scenery
    that is lowered over it. The shell stands on the ground, its inner faces a slip fit outside ``base_x`` and
    ``base_y`` all the way up: the room lies inside them. Only the rim holds it, so the rim must be as high as
    ``least_lip_mm`` says.
    """

    track_y: float = Field(lt=0, description="centre line of the track the mount serves: −(reach of its tie bar)")
    vehicles: Literal["auto", "A", "B", "C"] = Field("auto", description="NEM 103 group of the stock on a curve")
    curve: Literal["either", "inside", "outside"] = Field("either", description="side of the curve it stands on")
    left_out: tuple[str, ...] = Field((), description="relief that can't be printed in this scale, and why")

    stature: Stature = Field(description="how high what the shell shows is in reality")
    pose: Literal["hang", "side"] = Field(description="hang: shaft down; side: shaft along the track")
    sunk_mm: float = Field(ge=0, description="how far the servo is let into the board")
    sunk_least_mm: float = Field(description="how deep it must be sunk here")
    sunk_most_mm: float = Field(description="how deep it may be sunk here")
    track_distance_mm: float = Field(description="centre line of the track to the nearest point of the shell")
    top_mm: float = Field(description="highest point of the shell above the ground")
    cut_out: tuple[tuple[float, float], ...] = Field((), description="outline to cut in the board, x and y")
    cut_out_depth_mm: float = Field(0.0, description="from the top of the ground")
    base_x: Span
    base_y: Span
    base_mm: float = Field(description="thickness of the frame's base plate, on the ground")
    lip_mm: float = Field(description="top of the rim round the base that the shell sits round")
    room_x: Span = Field(description="what must stay free inside the shell: frame, servo, arm, cable, with air")
    room_y: Span
    room_top_z: float
    slot_x: Span = Field(description="opening in the shell's track side for the rod, open at the bottom")
    slot_top_z: float
    cable_x: Span | None = Field(
        None, description="opening for cable and plug in the far side, open at the bottom; None: they go down"
    )
    cable_top_z: float = 0.0
    cable_slot: tuple[Span, Span] | None = Field(
        None, description="x and y of the slot in the base plate where they go down; the board's hole is round it"
    )
    sleeper_end_y: float = Field(description="where the sleepers of the track end")
    roadbed_edge_y: float = Field(description="where its roadbed, or the slope from the track to the ground, ends")
    frame: HangFrame | SideFrame = Field(discriminator="kind")


class CutOut(Model):
    """What is cut from the board under a housing, mount frame, mm."""

    outline: tuple[tuple[float, float], ...] = Field(description="corners in order, x along the track, y across it")
    depth_mm: float = Field(description="from the top of the ground it stands on")
    through: bool = Field(description="it leaves no floor")

    def told(self) -> str:
        """How large and how deep: ``5 mm along the track and 19.2 mm across it, 4.5 mm deep``."""
        along, across = (number(max(side) - min(side), 1) for side in zip(*self.outline, strict=True))
        return f"{along} mm along the track and {across} mm across it, {self.depth_told()}"

    def depth_told(self) -> str:
        """How deep, in words."""
        return "through the board" if self.through else f"{number(self.depth_mm, 1)} mm deep"


def cut_out(design: Design) -> CutOut | None:
    """The hole in the board under a housing, mirrored where its mount is; None where there is none."""
    plan = design.plan
    if not isinstance(plan, HousingPlan) or not plan.cut_out_depth_mm:
        return None
    sign = -1.0 if design.spec.mirror else 1.0
    return CutOut(
        outline=tuple((sign * x + 0.0, y) for x, y in plan.cut_out), depth_mm=plan.cut_out_depth_mm,
        through=plan.cut_out_depth_mm >= design.spec.from_ground().board.thickness_mm,
    )


class CableHole(Model):
    """What is drilled under a housing for its cable, straight through, mount frame, mm."""

    at: tuple[float, float]
    drill_mm: float


def cable_hole(design: Design) -> CableHole | None:
    """The hole for cable and plug, mirrored where its mount is; None where they go out at the back."""
    plan = design.plan
    if not isinstance(plan, HousingPlan) or plan.cable_slot is None:
        return None
    x, y = (sum(span) / 2 for span in plan.cable_slot)
    return CableHole(at=(-x if design.spec.mirror else x, y), drill_mm=cable_drill_mm(design.spec.servo))


def cable_drill_mm(servo: Servo) -> float:
    """Drill for a hole that the plug passes, whole mm: the diagonal of its face and half a millimetre."""
    return float(math.ceil(math.hypot(servo.connector_width_mm, servo.connector_thickness_mm) + fits.CABLE_HOLE.own_mm))


STRUCTURAL_LINES = 3  # a wall under its relief
LEAST_WALL_MM = 1.2


def sound_mm(printer: Printer) -> float:
    """Thickness that carries."""
    return max(LEAST_WALL_MM, STRUCTURAL_LINES * printer.nozzle_mm)


FRICTION = 0.2
"""Plastic on plastic, low end; from memory, tables give 0.2 to 0.4."""


def least_lip_mm(gap_mm: float, chamfer_mm: float) -> float:
    """The rim's least height, mm, that keeps a shell on when the model is turned by 90°, with a third to spare.

    A shell with the play c = 2 × gap on a rim engaged over L hangs askew by atan(c/L); below the angle
    of friction, atan µ, it can't slide off, however it is loaded.

    Args:
        gap_mm: between rim and shell, a side.
        chamfer_mm: height lost to the chamfers of rim and shell.

    Domain: rigid parts; a rim at least 3 mm high, so that play and chamfers are small against it. ``shell-holds``
    measures the angle again, on the meshes.

    Source:
        Statics of a body on an incline, any handbook.
    """
    return max(3.0, 4 / 3 * 2 * gap_mm / FRICTION + chamfer_mm)
