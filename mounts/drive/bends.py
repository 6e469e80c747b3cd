"""Bends of a wire, whatever drive it is for: how tight, how much they stress, how it goes through the arm.

Arguments may be arrays that broadcast; results are float64 of their common shape.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

BEND_RADIUS_WIRES = 2.0
"""Least centre-line bend radius in wire diameters: 1.5 inside (standards.md, 5) and half the wire."""

Z_BEND_PLAY_MM = 0.3
"""Free space beside the arm in the Z-bend. Common practice, no source."""


def curvature_factor(radius_mm: ArrayLike, wire_mm: ArrayLike) -> Array:
    """By how much the inside of a bend is stressed more than a straight wire, > 1.

        K = (4C² − C − 1) / (4C·(C − 1)),  C = 2R/d

    Domain:
        C above 2; bends are made with 4 and more.

    Source:
        Wahl's factor for round wire in bending, as torsion springs use it (Shigley, eq. 10-43; formula
        from memory); tests/drive/test_loop.py integrates the curved-beam section instead.
    """
    index = 2.0 * np.asarray(radius_mm, dtype=np.float64) / np.asarray(wire_mm)
    return np.asarray((4.0 * index**2 - index - 1.0) / (4.0 * index * (index - 1.0)))


def z_bend_mm(*, horn_thickness_mm: float, wire_mm: ArrayLike, foot_radius_mm: ArrayLike) -> Array:
    """Rod to tail, centre to centre, mm: arm, wire and play, and never less than two bend radii."""
    through = horn_thickness_mm + np.asarray(wire_mm, dtype=np.float64) + Z_BEND_PLAY_MM
    return np.asarray(np.maximum(through, 2.0 * np.asarray(foot_radius_mm)))
