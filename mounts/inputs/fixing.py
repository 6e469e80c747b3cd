"""Screws that fix the mount to the board."""

from __future__ import annotations

from itertools import pairwise
from typing import Literal, Self

from pydantic import Field, model_validator

from mounts.inputs.model import Mm, Profile, agree
from mounts.units import number


class Fixing(Profile):
    """A countersunk screw and the lengths it is sold in."""

    kind: Literal["wood", "machine", "bolt"] = Field(
        description="machine: into a threaded insert set in the board; bolt: through the board, with washer and nut"
    )
    shank_mm: Mm = Field(ge=1.2, le=6, description="outside diameter")
    root_mm: Mm = Field(ge=0.8, le=5, description="diameter at the bottom of the thread")
    head_mm: Mm = Field(ge=2, le=14, description="largest head diameter")
    head_angle_deg: float = Field(ge=60, le=120)
    clearance_mm: Mm = Field(ge=1.3, le=8, description="passes freely, ISO 273 medium or shank + 10 %")
    pilot_mm: Mm = Field(
        ge=0.5, le=5, description="drill in the board, for a machine screw that of its insert, for a bolt right through"
    )
    nut_mm: Mm = Field(default=0.0, ge=0, le=6, description="height of a bolt's nut")
    washer_mm: Mm = Field(default=0.0, ge=0, le=20, description="outside diameter of a bolt's washer")
    washer_thickness_mm: Mm = Field(default=0.0, ge=0, le=3)
    lengths_mm: tuple[Mm, ...] = Field(min_length=1, description="from the head's top, rising")

    @model_validator(mode="after")
    def _can_be_a_screw(self) -> Self:
        shank = f"shank_mm = {number(self.shank_mm)}"
        agree(
            self,
            (
                (self.root_mm < self.shank_mm, "root_mm", f"be less than {shank}"),
                (
                    self.head_mm > self.clearance_mm,
                    "head_mm",
                    f"exceed clearance_mm = {number(self.clearance_mm)}",
                ),
                (self.clearance_mm > self.shank_mm, "clearance_mm", f"exceed {shank}"),
                (
                    self.kind != "wood" or self.pilot_mm < self.shank_mm,
                    "pilot_mm",
                    f"be less than {shank}",
                ),
                (self.kind != "bolt" or self.pilot_mm > self.shank_mm, "pilot_mm", f"exceed {shank}"),
                (
                    self.kind != "bolt" or self.washer_mm > self.clearance_mm,
                    "washer_mm",
                    f"exceed clearance_mm = {number(self.clearance_mm)}",
                ),
                (self.kind != "bolt" or self.nut_mm > 0, "nut_mm", "exceed 0 for a bolt"),
                (
                    all(short < long for short, long in pairwise((self.shank_mm, *self.lengths_mm))),
                    "lengths_mm",
                    f"rise, the first above {shank}",
                ),
            ),
        )
        return self
