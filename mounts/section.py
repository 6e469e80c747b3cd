"""Area moments of flat outlines: how a section stands against being tipped or bent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Section:
    """A flat section, holes counted.

    Attributes:
        outline: (k, 2) corners of all its contours, mm.
        area_mm2: without the holes.
        centre_mm: (2,) centroid.
        second_mm4: (2, 2) second moments about the centroid, ∫ x xᵀ dA.
    """

    outline: Array
    area_mm2: float
    centre_mm: Array
    second_mm4: Array

    def modulus_mm3(self) -> float:
        """Least section modulus, whichever way it is tipped: torque over the greatest stress it causes.

        Bending in two planes: a torque tipping along the unit vector u causes σ(x) = uᵀ·S⁻¹·x at a place x
        from the centroid, S the second moments; over all u the worst is |S⁻¹·x|.

        Source:
            Shigley, bending in two planes; on a square it is 1/√2 of a³/6, over the diagonal.
        """
        stress = np.linalg.solve(self.second_mm4, (self.outline - self.centre_mm).T)
        return float(1 / np.linalg.norm(stress, axis=0).max())


def section(rings: Sequence[Array]) -> Section | None:
    """The section inside contours (k, 2), counter-clockwise, holes clockwise; None where there is no area.

    Source:
        Moments of polygons by Green's theorem: Shigley gives the sections, the sums are own derivation;
        tests/checks/test_stability.py compares rectangles and rings with the handbook forms.
    """
    area, first, second = 0.0, np.zeros(2), np.zeros((2, 2))
    for ring in rings:
        following = np.roll(ring, -1, axis=0)
        cross = ring[:, 0] * following[:, 1] - ring[:, 1] * following[:, 0]
        both = ring + following
        area += float(cross.sum()) / 2
        first += (cross[:, None] * both).sum(axis=0) / 6
        for corner in (ring, following, both):
            second += np.einsum("k,ki,kj->ij", cross, corner, corner) / 24
    if area <= 0:
        return None
    centre = first / area
    return Section(np.concatenate(rings), area, centre, second - area * np.outer(centre, centre))
