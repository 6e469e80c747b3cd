"""What the mount is screwed to, and what lies on it."""

from __future__ import annotations

from pydantic import Field

from mounts.inputs.model import Mm, Profile


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


class Roadbed(Profile):
    """What carries the track above the board."""

    thickness_mm: Mm = Field(ge=0, le=25)
