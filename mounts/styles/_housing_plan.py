"""What frame and shell of an on-board housing agree on."""

from __future__ import annotations

import math
from typing import Literal

from pydantic import Field

from mounts.design import Plan, Span
from mounts.inputs import fits
from mounts.inputs.model import Model
from mounts.inputs.printer import FRICTION
from mounts.inputs.servo import Servo
from mounts.inputs.spec import MountSpec


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
    frame: HangFrame | SideFrame = Field(discriminator="kind")


def cable_drill_mm(servo: Servo) -> float:
    """Drill for a hole that the plug passes, whole mm: the diagonal of its face and half a millimetre."""
    diagonal = math.hypot(servo.connector_width_mm, servo.connector_thickness_mm)
    return float(math.ceil(diagonal + fits.CABLE_HOLE.own_mm))


STRUCTURAL_LINES = 3  # a wall under its relief
LEAST_WALL_MM = 1.2  # structural: three lines of a 0.4 mm nozzle, print-service guides


def sound_mm(spec: MountSpec) -> float:
    """Thickness that carries."""
    return max(LEAST_WALL_MM, STRUCTURAL_LINES * spec.printer.nozzle_mm) + spec.sturdier_mm


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
