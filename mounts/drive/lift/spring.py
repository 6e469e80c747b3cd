"""The spring bend of a lift's rod: legs h square to the rod and a half circle of radius R, loaded along the rod.

Its rate is E·I/(2h³/3 + π·R·h² + 4·R²·h + π·R³/2) and its moment peaks at the crown, F·(h + R).

Domain: bending only, small give against h, feet that stay in line (the guide above, the arm's hole below); pushed, its
feet come together by the give, so that 2·R less wire and bending tolerance stays open (limit ``bend open``).
Buckling of rod and bend together: rigid straights and a hinge that is as stiff as the bend's wire is long, beside Euler
of the straight rod, joined as Dunkerley does, which errs low.

Arguments may be arrays that broadcast; results are float64.

Source: Castigliano, brief.md 3.2; tests/drive/test_lift.py integrates M² and a column of stiff links instead.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

BENT_MM = 0.3  # ± of a crown bent by hand; common practice, no source
_TWIST = 1.3  # E·I over G·J of a round wire, 1 + ν of steel: legs twist where the bend turns out of its plane
_HALVINGS = 60  # to less than a nanometre
_LONGEST_MM = 60.0  # leg that is looked for; longer than any room for it


def shape_mm3(leg_mm: ArrayLike, crown_mm: ArrayLike) -> Array:
    """∫ y² ds of the bend over the rod's line, mm³."""
    h, r = np.asarray(leg_mm, dtype=np.float64), np.asarray(crown_mm, dtype=np.float64)
    return np.asarray(2.0 * h**3 / 3.0 + np.pi * r * h**2 + 4.0 * r**2 * h + np.pi * r**3 / 2.0)


def leg_for_mm(
    rate_n_per_mm: ArrayLike, *, stiffness_nmm2: ArrayLike, crown_mm: ArrayLike, least_mm: ArrayLike
) -> Array:
    """The leg with which a bend is as soft as that, mm, by halving.

    Args:
        rate_n_per_mm: the bend's, wanted.
        stiffness_nmm2: E·I of the wire.
        crown_mm: radius of its crown.
        least_mm: shortest leg.
    """
    wanted = np.asarray(stiffness_nmm2) / np.asarray(rate_n_per_mm)
    low = np.broadcast_to(np.asarray(least_mm, dtype=np.float64), np.broadcast(wanted, crown_mm).shape).copy()
    high = np.full_like(low, _LONGEST_MM)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        soft = shape_mm3(middle, crown_mm) >= wanted
        low, high = np.where(soft, low, middle), np.where(soft, middle, high)
    return high


def folding_n(
    *, stiffness_nmm2: ArrayLike, leg_mm: ArrayLike, crown_mm: ArrayLike, before_mm: ArrayLike, after_mm: ArrayLike
) -> Array:
    """Load that folds up rod and bend between the arm's hole and the guide, N.

    Args:
        stiffness_nmm2: E·I of the wire.
        leg_mm: of the bend.
        crown_mm: radius of its crown.
        before_mm: arm's hole to the bend's middle.
        after_mm: from there to the guide.
    """
    stiffness, before, after = (np.asarray(value, dtype=np.float64) for value in (stiffness_nmm2, before_mm, after_mm))
    hinge = stiffness / (_TWIST * (2.0 * np.asarray(leg_mm) + np.pi * np.asarray(crown_mm)))
    kinked = hinge * (1.0 / before + 1.0 / after)
    return np.asarray(1.0 / (1.0 / kinked + 1.0 / euler_n(stiffness, before + after)))


def euler_n(stiffness_nmm2: ArrayLike, length_mm: ArrayLike) -> Array:
    """π²·E·I/L² of a straight rod with hinged ends, N (standards, 6)."""
    return np.asarray(np.pi**2 * np.asarray(stiffness_nmm2) / np.asarray(length_mm) ** 2)
