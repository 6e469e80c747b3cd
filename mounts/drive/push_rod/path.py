"""The centre line of rod and loop at rest, in their own plane, and what stands between the loop's legs."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.drive.push_rod.loop import slant_rad

Array = NDArray[np.float64]

BEND_STEP_MM = 0.25  # contract.md: points are no farther apart in bends
STRAIGHT_STEP_MM = 2.0  # a straight bends little: chords need not be as short as round the bends


@dataclass(frozen=True)
class RodPath:
    """The centre line of rod and loop.

    Attributes:
        line: (n, 2) mm, from the arm hole at (0, 0) to the pin at (ℓ, 0), x along the rod, y towards the crown; no
            farther apart than 0.25 mm in bends.
        loop: its points, rounded feet included, as many before the loop's middle as behind it.
        legs: of those, how many lead from the near foot to where the crown is widest.
    """

    line: Array
    loop: slice
    legs: int


def rod_path(
    *,
    rod_length_mm: float,
    before_mm: float,
    half_gap_mm: float,
    crown_mm: float,
    leg_mm: float,
    foot_radius_mm: float,
) -> RodPath:
    """Rod and loop from their dimensions.

    Args:
        rod_length_mm: ℓ.
        before_mm: arm hole to the corner of the near foot.
        half_gap_mm: a, half the distance of the corners.
        crown_mm: R.
        leg_mm: corner to where the crown begins.
        foot_radius_mm: of the rounded corners, to the centre line.

    Source:
        Plane geometry; tests/drive/test_rod_path.py measures legs, radii and tangents on the line.
    """
    slant = float(slant_rad(half_gap_mm=half_gap_mm, crown_mm=crown_mm, leg_mm=leg_mm))
    turn = math.pi / 2.0 + slant
    tangent = foot_radius_mm * math.tan(turn / 2.0)
    up = np.array([-math.sin(slant), math.cos(slant)])  # along the near leg, the loop's middle at x = 0
    corner = np.array([-half_gap_mm, 0.0])
    foot_centre = corner + np.array([-tangent, foot_radius_mm])
    foot_angles = np.linspace(-math.pi / 2.0, -math.pi / 2.0 + turn, _count(foot_radius_mm * turn) + 1)
    foot = foot_centre + foot_radius_mm * np.column_stack([np.cos(foot_angles), np.sin(foot_angles)])
    top = corner + leg_mm * up
    straight = max(leg_mm - tangent, 0.0)
    shares = np.linspace(0.0, 1.0, max(1, math.ceil(straight / STRAIGHT_STEP_MM)) + 1)[1:, None]
    leg = foot[-1] + (top - foot[-1]) * shares if straight > 0.0 else np.empty((0, 2))
    centre_y = leg_mm * math.cos(slant) + crown_mm * math.sin(slant)
    arc = np.linspace(math.pi + slant, math.pi / 2.0, _count(crown_mm * turn) + 1)[1:]
    widest = int(np.count_nonzero(arc >= math.pi))
    crown = np.array([0.0, centre_y]) + crown_mm * np.column_stack([np.cos(arc), np.sin(arc)])
    near = np.concatenate([foot, leg, crown])
    loop = np.concatenate([near, (near * (-1.0, 1.0))[-2::-1]])
    loop[:, 0] += before_mm + half_gap_mm
    first, last = _straight(0.0, float(loop[0, 0]))[:-1], _straight(float(loop[-1, 0]), rod_length_mm)[1:]
    return RodPath(
        line=np.concatenate([first, loop, last]),
        loop=slice(len(first), len(first) + len(loop)),
        legs=len(foot) + len(leg) + widest,
    )


def leg_gap_mm(path: RodPath, line: Array, wire_mm: float) -> float:
    """Least clear distance between the legs of a loop, from its feet to where its crown is widest, mm.

    Points at equal ways from both feet are held against each other; negative where they overlap.

    Args:
        path: at rest.
        line: (n, 2) its points, as bent.
        wire_mm: diameter.
    """
    points = line[path.loop]
    near, far = points[: path.legs], points[: -path.legs - 1 : -1]
    return float(np.hypot(*(near - far).T).min()) - wire_mm


def _count(length_mm: float) -> int:
    return max(2, math.ceil(length_mm / BEND_STEP_MM))


def _straight(start: float, end: float) -> Array:
    count = max(1, math.ceil(abs(end - start) / STRAIGHT_STEP_MM))
    return np.column_stack([np.linspace(start, end, count + 1), np.zeros(count + 1)])
