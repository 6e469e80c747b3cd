"""Bricks that fall on a hard floor: explicit finite elements, for tests and benches; numpy and scipy only."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from cube_elements import Bricks
from scipy.sparse import diags
from scipy.sparse.linalg import eigsh

GRAVITY_MM_PER_S2 = 9806.65
_STEP_SHARE = 0.9  # of the longest step that doesn't blow up
_LOOKED_S = 20e-6  # stress builds up and fades in some hundred
_NEAR_MM = 6.0  # nothing is dented deeper


@dataclass(frozen=True)
class Dropped:
    """What a fall did.

    Attributes:
        touched_s: how long it pushed, from the first moment to the last.
        leaves_mm_per_s: (3,) mean velocity at the end, by mass.
        linear_mpa: (3,) the largest stress along each axis at any time, as ``Strained.linear_mpa``, beyond what the
            floor dents.
    """

    touched_s: float
    leaves_mm_per_s: np.ndarray
    linear_mpa: np.ndarray


def dropped(
    body: Bricks,
    masses_t: np.ndarray,
    floor_n_per_mm: float,
    way: np.ndarray,
    height_mm: float,
    *,
    seconds: float,
    dented_mm: float,
) -> Dropped:
    """A body falls freely, without turning, on a floor that does not give, without friction.

    Central differences, mass in the corners, no damping: nothing is lost but what stays in the body as vibration.
    Domain: elastic; what turns by a few degrees while it touches.

    Args:
        body: the bricks.
        masses_t: (nodes,) of each corner and what is fixed to it, tonnes.
        floor_n_per_mm: at each corner; as stiff as a brick, it gives no more than one.
        way: (3,) unit vector down.
        height_mm: that it falls.
        seconds: how long it is followed from the first touch.
        dented_mm: bricks as near the floor as that are not looked at, since stress at a touched corner has no bounds.
    """
    mass = np.repeat(masses_t, 3)
    by_root = diags(1 / np.sqrt(mass))
    (fastest,) = eigsh(
        by_root @ body.stiffness @ by_root, k=1, tol=0.01, v0=np.ones(len(mass)), return_eigenvectors=False
    )
    step_s = _STEP_SHARE * 2.0 / np.sqrt(fastest + floor_n_per_mm / masses_t.min())
    above = (body.places_mm @ way).max() - body.places_mm @ way
    near = np.flatnonzero(above < _NEAR_MM)
    seen = above[body.nodes].min(axis=1) > dented_mm
    speeds = np.tile(way * np.sqrt(2 * GRAVITY_MM_PER_S2 * height_mm), len(masses_t))
    shifts, forces = np.zeros_like(speeds), np.zeros_like(speeds)
    touched, most_mpa = [], np.zeros(3)
    for count in range(round(seconds / step_s)):
        pushes = floor_n_per_mm * np.maximum(shifts.reshape(-1, 3)[near] @ way - above[near], 0.0)
        forces = -(body.stiffness @ shifts)
        forces.reshape(-1, 3)[near] -= pushes[:, None] * way
        speeds += forces / mass * step_s
        shifts += speeds * step_s
        if pushes.any():
            touched = [*touched[:1], count * step_s]
        if count % round(_LOOKED_S / step_s) == 0:
            most_mpa = np.maximum(most_mpa, body.strained(shifts, seen).linear_mpa())
    leaves = (mass * speeds).reshape(-1, 3).sum(axis=0) / masses_t.sum()
    return Dropped(touched[-1] - touched[0], leaves, most_mpa)
