"""What the mount is screwed to, and what lies on it."""

from __future__ import annotations

from typing import Self

from pydantic import Field, model_validator

from mounts.inputs.model import Mm, Profile, agree
from mounts.units import number


class Board(Profile):
    """A baseboard sheet or stack, actual thickness, not the nominal it is sold by."""

    thickness_mm: Mm = Field(ge=3, le=60)
    over_mm: Mm = Field(default=0.3, ge=0, le=5, description="how much thicker it may be")
    under_mm: Mm = Field(default=0.3, ge=0, le=5, description="how much thinner it may be")
    screw_depth_mm: Mm = Field(
        ge=0, le=60, description="part of the thickness, from below, that holds a screw; 0: glue only"
    )
    withdrawal_n_per_mm2: float = Field(
        ge=0, le=20, description="allowable pull on a screw, per mm of thread and mm of diameter"
    )

    @model_validator(mode="after")
    def _can_be_a_board(self) -> Self:
        thickness = f"thickness_mm = {number(self.thickness_mm)}"
        agree(
            self,
            (
                (self.under_mm < self.thickness_mm / 2, "under_mm", f"be less than half of {thickness}"),
                (self.screw_depth_mm <= self.thickness_mm, "screw_depth_mm", f"not exceed {thickness}"),
                (
                    (self.screw_depth_mm > 0) == (self.withdrawal_n_per_mm2 > 0),
                    "withdrawal_n_per_mm2",
                    f"be above 0 where a screw holds and 0 where none does"
                    f" (screw_depth_mm = {number(self.screw_depth_mm)})",
                ),
            ),
        )
        return self


class Roadbed(Profile):
    """What carries the track above the board."""

    thickness_mm: Mm = Field(ge=0, le=25)
