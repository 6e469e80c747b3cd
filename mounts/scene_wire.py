"""The wire as it is cut, whatever kind of drive it is for, and what marks a bend on it."""

from __future__ import annotations

import math
from typing import NamedTuple

from mounts.design import Design
from mounts.scene_kinds import wiring

HANDLE_MM = 10.0  # in front of the arm's end, to hold it by while it is bent; common practice, no source
SPARE_MM = 10.0  # behind the tie bar's end, which is cut off last; common practice, no source


class Mark(NamedTuple):
    """A bend, marked on the straight wire."""

    what: str
    at_mm: float  # where the bend begins, from the arm's end
    angle_deg: float  # + to the left, going along the wire from the arm's end
    inside_radius_mm: float
    turns: str  # as it lies on the drawing
    former_mm: float  # drill whose shank it is bent round


def wire_cut_mm(design: Design) -> float:
    """Straight length of wire to cut, mm, rounded up to a whole millimetre, with what is held and what is spare."""
    return float(math.ceil(HANDLE_MM + wiring(design).used_mm(design) + SPARE_MM))
