"""What frame and shell of an on-board housing agree on."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from mounts.design import Plan

Span = tuple[float, float]


class HousingPlan(Plan):
    """Dimensions of a housing before it is mirrored, mount frame, mm. The housing stands on the +y side.

    The frame (base plate and posts) carries the servo and is screwed to the board; the shell is the scenery
    that is lowered over it.
    """

    pose: Literal["hang", "side"] = Field(description="hang: shaft down; side: shaft along the track")
    sunk_mm: float = Field(ge=0, description="how far the servo is let into the board")
    sunk_least_mm: float = Field(description="how deep it must be sunk here")
    sunk_most_mm: float = Field(description="how deep it may be sunk here")
    cut_out: tuple[tuple[float, float], ...] = Field((), description="outline to cut in the board, x and y")
    cut_out_depth_mm: float = 0.0
    base_x: Span
    base_y: Span
    base_mm: float = Field(description="thickness of the frame's base plate, on the board")
    lip_mm: float = Field(description="height of the rim round the base that the shell sits round")
    room_x: Span = Field(description="what must stay free inside the shell: frame, servo, arm, cable, with air")
    room_y: Span
    room_top_z: float
    slot_x: Span = Field(description="opening in the shell's track side for the rod, open at the bottom")
    slot_top_z: float
    cable_x: Span = Field(description="opening for cable and plug in the far side, open at the bottom")
    cable_top_z: float
