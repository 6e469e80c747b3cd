"""Screws that fix the mount to the board."""

from __future__ import annotations

from pydantic import Field

from mounts.inputs.model import Mm, Profile


class Fixing(Profile):
    """A countersunk screw and the lengths it is sold in."""

    kind: str = Field(pattern="^(wood|machine)$")
    shank_mm: Mm = Field(ge=1.2, le=6, description="outside diameter")
    root_mm: Mm = Field(ge=0.8, le=5, description="diameter at the bottom of the thread")
    head_mm: Mm = Field(ge=2, le=14, description="largest head diameter")
    head_angle_deg: float = Field(ge=60, le=120)
    clearance_mm: Mm = Field(ge=1.3, le=8, description="hole it passes freely, ISO 273 medium or shank + 10 %")
    pilot_mm: Mm = Field(ge=0.5, le=5, description="drill in the board")
    lengths_mm: tuple[Mm, ...] = Field(min_length=1, description="under the head's top, rising")
