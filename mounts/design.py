"""A mount as numbers: what was asked, the drive chosen, where everything stands. No geometry yet."""

from __future__ import annotations

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
    name_mark: str = Field(description="what is written on the mount")


class Design(Model):
    """Everything that determines the solid."""

    spec: MountSpec
    drive: Drive
    datums: Datums
    plan: SerializeAsAny[Plan]
