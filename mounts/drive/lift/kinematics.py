r"""Exact kinematics of a lift, in the plane of the arm: y across the track, z up.

A four-bar where the rod works a crank, a slider-crank where it works a wire that slides on y = 0:

          P ⊙——— c ———· K        z ↑
                      |            → y
                      | ℓ
          S ⊙——— r ———· H

Angles are rad above level: the arm points to +y, the crank to +y or −y (``towards``). Arguments broadcast; results have
their shape, float64, NaN where the linkage does not close. Domain: rigid links between their dead points; a slid wire
is bent aside below its guide, which shortens it by micrometres where it keeps ``mounts.drive.lift.rules``.

Source: law of cosines in the triangles S-H-K and P-H-K; tests/drive/test_lift.py cuts circles instead.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def slide_z(
    arm_rad: ArrayLike, *, radius_mm: ArrayLike, rod_mm: ArrayLike, shaft: tuple[ArrayLike, ArrayLike]
) -> Array:
    """Height of the rod's upper end on y = 0: z_S + r·sin α + sqrt(ℓ² − (y_S + r·cos α)²).

    Args:
        arm_rad: rad above level.
        radius_mm: r, shaft to arm hole.
        rod_mm: ℓ, arm hole to the rod's upper end.
        shaft: y and z of S.
    """
    y = np.asarray(shaft[0]) + np.asarray(radius_mm) * np.cos(arm_rad)
    with np.errstate(invalid="ignore"):
        up = np.sqrt(np.asarray(rod_mm) ** 2 - y**2)
    return np.asarray(np.asarray(shaft[1]) + np.asarray(radius_mm) * np.sin(arm_rad) + up)


def arm_rad(
    y: ArrayLike, z: ArrayLike, *, radius_mm: ArrayLike, rod_mm: ArrayLike, shaft: tuple[ArrayLike, ArrayLike]
) -> Array:
    """The arm's angle that puts the rod's upper end at (y, z), the arm pointing to +y.

    Args:
        y: of that end.
        z: of that end.
        radius_mm: r, shaft to arm hole.
        rod_mm: ℓ, arm hole to that end.
        shaft: y and z of S.
    """
    dy, dz = np.asarray(y) - np.asarray(shaft[0]), np.asarray(z) - np.asarray(shaft[1])
    return np.asarray(np.arctan2(dz, dy) - _corner(radius_mm, np.hypot(dy, dz), rod_mm))


def crank_rad(
    arm_rad: ArrayLike,
    *,
    radius_mm: ArrayLike,
    rod_mm: ArrayLike,
    shaft: tuple[ArrayLike, ArrayLike],
    crank_mm: ArrayLike,
    pivot: tuple[ArrayLike, ArrayLike],
    towards: int,
) -> Array:
    """The crank's angle above level at an angle of the arm.

    Args:
        arm_rad: rad above level.
        radius_mm: r, shaft to arm hole.
        rod_mm: ℓ, arm hole to the rod's upper end.
        shaft: y and z of S.
        crank_mm: c, spindle to the crank's hole.
        pivot: y and z of P.
        towards: +1 where the crank points to +y, −1 where it points to −y.
    """
    dy = np.asarray(shaft[0]) + np.asarray(radius_mm) * np.cos(arm_rad) - np.asarray(pivot[0])
    dz = np.asarray(shaft[1]) + np.asarray(radius_mm) * np.sin(arm_rad) - np.asarray(pivot[1])
    # seen from the side that the crank points to, it is always to the right of its spindle
    return np.asarray(np.arctan2(dz, towards * dy) + _corner(crank_mm, np.hypot(dy, dz), rod_mm))


def crank_end(
    crank_rad: ArrayLike, *, crank_mm: ArrayLike, pivot: tuple[ArrayLike, ArrayLike], towards: int
) -> tuple[Array, Array]:
    """The crank's hole, y and z.

    Args:
        crank_rad: rad above level.
        crank_mm: c, spindle to the crank's hole.
        pivot: y and z of P.
        towards: +1 where the crank points to +y, −1 where it points to −y.
    """
    y = np.asarray(pivot[0]) + towards * np.asarray(crank_mm) * np.cos(crank_rad)
    return np.asarray(y), np.asarray(np.asarray(pivot[1]) + np.asarray(crank_mm) * np.sin(crank_rad))


def between_rad(
    first: tuple[ArrayLike, ArrayLike], corner: tuple[ArrayLike, ArrayLike], last: tuple[ArrayLike, ArrayLike]
) -> Array:
    """Angle between two lines through a corner, 0 to π/2: the transmission angle of two links."""
    ay, az = (np.asarray(a) - np.asarray(b) for a, b in zip(first, corner, strict=True))
    by, bz = (np.asarray(a) - np.asarray(b) for a, b in zip(last, corner, strict=True))
    return np.asarray(np.arctan2(np.abs(ay * bz - az * by), np.abs(ay * by + az * bz)))


def _corner(side: ArrayLike, other: ArrayLike, opposite: ArrayLike) -> Array:
    """Angle of a triangle between two sides, opposite a third; NaN where it does not close."""
    a, b, c = np.asarray(side), np.asarray(other), np.asarray(opposite)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.arccos((a**2 + b**2 - c**2) / (2.0 * a * b)))
