"""A mount as numbers: what was asked, the drive chosen, where everything stands. No geometry yet."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, SerializeAsAny

from mounts.drive.model import Drive
from mounts.frames import Matrix, Vector
from mounts.inputs.model import Model
from mounts.inputs.spec import MountSpec


class Screw(Model):
    """One fixing screw: its head's top in the mount, driven along ``direction``. Mount frame, mm."""

    head: Vector
    direction: Vector = Field(description="unit vector from the head to the point")
    length_mm: float


class IndexMark(Model):
    """Notches in the edge of a bracket's plate, to be seen while it is held against the board. Mount frame, mm."""

    axis: Literal["track", "tie-bar"] = Field(description="line through the pivot that the middle notch lies on")
    at: Vector = Field(description="where that notch meets the board, on the plate's edge")
    notches: int = Field(ge=1, description="side by side: one, or three on the side of 'reverse'")


class Datums(Model):
    """Where the mount puts things, mount frame, mm."""

    pin: Vector
    pivot: Vector | None
    servo: Matrix = Field(description="servo frame to mount frame")
    fixings: tuple[Vector, ...] = Field(description="where each fixing screw meets the mount's board face")
    horn_at_mid: Vector = Field(description="unit vector from the shaft to the arm hole at mid swing")


class Plan(Model):
    """The style's own dimensions, worked out by ``place`` and drawn by ``build``; each style extends it."""

    screws: tuple[Screw, ...]
    way_out: Vector = Field(description="unit vector along which the servo leaves its seat in a straight line")
    plug_path: tuple[Vector, ...] = Field(description="line that the plug's middle follows out of the mount")
    plug_wide: Vector = Field(description="unit vector along the long side of the plug's face on that way")
    lift_off: tuple[str, ...] = Field((), description="parts that are off while servo and screws go in")
    wire_tail_mm: float = Field(description="tail of the Z-bend behind the arm")
    pin_leg_mm: float = Field(2.0, description="wire standing above the pin's height, in the tie bar")
    loop_towards: Vector | None = Field(None, description="unit vector, the way a push rod's loop stands out of it")
    arm_length_mm: float | None = Field(None, description="shaft to where the arm is cut off; None: left as it is")
    arm_in_deg: float | None = Field(
        None, description="arm angle at which the servo goes in with its arm on; None: the arm goes on afterwards"
    )
    ears_rest_on: Literal["underside", "upper"] = Field(
        "underside", description="face of the ears that lies on the seat; upper is the shaft's side"
    )
    index_marks: tuple[IndexMark, ...] = ()
    pad_xy: tuple[tuple[float, float], ...] = Field(
        (), description="corners in order of the plywood pad glued under the board; empty: there is none"
    )
    servo_screw_length_mm: float | None = Field(
        None, description="servo screws to use, under the head; None: the servo's own"
    )
    pilot_drill_mm: float | None = Field(
        None, description="drill for the servo screws' holes once printed; None: they are clean as printed"
    )
    pilots_marked: bool = Field(False, description="those holes are only marked in the print")
    load_wall_mm: float = Field(0.0, description="thinner walls are too weak for what they carry; 0: not asked")
    seat_n_per_mm: float = Field(gt=0, description="stiffness of the servo's seat across the track")
    name_mark: str = Field(description="what is written on the mount")


class Design(Model):
    """Everything that determines the solid."""

    spec: MountSpec
    drive: Drive
    datums: Datums
    plan: SerializeAsAny[Plan]

    @property
    def on_board(self) -> bool:
        """Whether the mount stands on the board, not under it."""
        return self.datums.fixings[0][2] >= 0.0

    @property
    def servo_screw_length_mm(self) -> float:
        """The servo screws to use, under the head."""
        return self.plan.servo_screw_length_mm or self.spec.servo.screw_length_mm
