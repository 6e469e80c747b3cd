"""The wire as it is cut, whatever kind of drive it is for, and what marks a bend on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from mounts.design import Design
from mounts.frames import Array
from mounts.scene_kinds import wiring

HANDLE_MM = 10.0  # in front of the arm's end, to hold it by while it is bent; common practice, no source
CHORD_RAD = math.radians(15.0)  # a bend of radius R is drawn to within R/500 of its length
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


def rounded(corners: Sequence[Array], radius_mm: float) -> Array:
    """The polyline (n, 3) with each inner corner replaced by an arc; corners are (3,)."""
    points = [corners[0]]
    for before, corner, after in zip(corners, corners[1:], corners[2:], strict=False):
        back, ahead = ((other - corner) / np.linalg.norm(other - corner) for other in (before, after))
        half = math.acos(max(-1.0, min(1.0, float(back @ ahead)))) / 2
        centre = corner + (back + ahead) / np.linalg.norm(back + ahead) * radius_mm / math.sin(half)
        start = corner + back * radius_mm / math.tan(half)
        arm = start - centre
        turn = math.pi - 2 * half
        steps = max(2, round(turn / CHORD_RAD))
        points += [
            centre + arm * math.cos(angle) - back * radius_mm * math.sin(angle)
            for angle in np.linspace(0.0, turn, steps + 1)
        ]
    return np.array([*points, corners[-1]])
