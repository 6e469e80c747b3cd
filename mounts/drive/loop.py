"""The Ω loop that makes a push rod springy, and the straight rod that must not buckle.

R = bend radius on the centre line      ___
h = leg, foot to the semicircle        /   \\      ┐ R
                                      |     |     ┤
                                      |     |     │ h
——— rod ———————————————————————————————     ————— ┘ ——— rod ———   loaded along the rod
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.drive.spring import second_moment_mm4

Array = NDArray[np.float64]


def loop_rate_n_per_mm(*, leg_mm: ArrayLike, radius_mm: ArrayLike, wire_mm: ArrayLike, modulus_mpa: ArrayLike) -> Array:
    """Force along the rod per mm of opening of the feet, N/mm.

        1/k = (2h³/3 + π·R·h² + 4·R²·h + π·R³/2) / (E·I)

    Source:
        Castigliano, bending only, feet free to turn; tests/drive/test_loop.py integrates M² numerically.
    """
    h, r = np.asarray(leg_mm, dtype=np.float64), np.asarray(radius_mm, dtype=np.float64)
    shape = 2.0 * h**3 / 3.0 + np.pi * r * h**2 + 4.0 * r**2 * h + np.pi * r**3 / 2.0
    return np.asarray(np.asarray(modulus_mpa) * second_moment_mm4(wire_mm) / shape)


def loop_stress_mpa(force_n: ArrayLike, *, leg_mm: ArrayLike, radius_mm: ArrayLike, wire_mm: ArrayLike) -> Array:
    """Bending stress at the crown, MPa: F·(h + R)·(d/2)/I, straight-beam theory."""
    moment = np.asarray(force_n) * (np.asarray(leg_mm, dtype=np.float64) + np.asarray(radius_mm))
    return np.asarray(moment * np.asarray(wire_mm) / 2.0 / second_moment_mm4(wire_mm))


def curvature_factor(radius_mm: ArrayLike, wire_mm: ArrayLike) -> Array:
    """By how much the inside of a bend is stressed more than a straight wire, > 1.

        K = (4C² − C − 1) / (4C·(C − 1)),  C = 2R/d

    Source:
        Wahl's factor for round wire in bending, as torsion springs use it (Shigley, eq. 10-43; formula
        from memory); tests/drive/test_loop.py integrates the curved-beam section instead.
    """
    index = 2.0 * np.asarray(radius_mm, dtype=np.float64) / np.asarray(wire_mm)
    return np.asarray((4.0 * index**2 - index - 1.0) / (4.0 * index * (index - 1.0)))


def loop_developed_mm(*, leg_mm: float, radius_mm: float, foot_radius_mm: float) -> float:
    """Wire from foot corner to foot corner along the centre line, mm.

    2h + πR with sharp feet; each foot rounded to a radius ρ saves 2ρ − πρ/2.
    """
    return 2.0 * leg_mm + np.pi * radius_mm - 2.0 * foot_radius_mm * (2.0 - np.pi / 2.0)


def buckling_force_n(*, length_mm: ArrayLike, wire_mm: ArrayLike, modulus_mpa: ArrayLike) -> Array:
    """Euler load of a straight rod with pinned ends, π²·E·I/ℓ², N."""
    length = np.asarray(length_mm, dtype=np.float64)
    return np.asarray(np.pi**2 * np.asarray(modulus_mpa) * second_moment_mm4(wire_mm) / length**2)
