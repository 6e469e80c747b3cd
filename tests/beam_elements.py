"""A plane Euler-Bernoulli beam by finite elements, for tests: an independent second method, numpy only."""

from __future__ import annotations

import numpy as np


class Beam:
    """Elements along z with sideways displacement and slope at each node; length mm, E·I in N·mm²."""

    def __init__(self, nodes_z: np.ndarray, stiffness: float) -> None:
        self.z = nodes_z
        self.k = np.zeros((2 * len(nodes_z), 2 * len(nodes_z)))
        for i, length in enumerate(np.diff(nodes_z)):
            el = (
                stiffness
                / length**3
                * np.array(
                    [
                        [12, 6 * length, -12, 6 * length],
                        [6 * length, 4 * length**2, -6 * length, 2 * length**2],
                        [-12, -6 * length, 12, -6 * length],
                        [6 * length, 2 * length**2, -6 * length, 4 * length**2],
                    ]
                )
            )
            self.k[2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += el

    def solve(self, held: dict[int, float], loads: dict[int, float]) -> tuple[np.ndarray, np.ndarray]:
        """Displacements and forces of all degrees of freedom (2·node sideways, 2·node + 1 slope)."""
        n = len(self.k)
        force, moved = np.zeros(n), np.zeros(n)
        for dof, value in loads.items():
            force[dof] = value
        for dof, value in held.items():
            moved[dof] = value
        free = [dof for dof in range(n) if dof not in held]
        fixed = list(held)
        right = force[free] - self.k[np.ix_(free, fixed)] @ moved[fixed]
        moved[free] = np.linalg.solve(self.k[np.ix_(free, free)], right)
        return moved, self.k @ moved


def wire(span_mm: float, overhang_mm: float, stiffness: float, per_part: int = 6) -> tuple[Beam, int, int]:
    """A wire from horn (node 0) over the pivot to the pin; returns the beam and the two nodes."""
    z = np.concatenate(
        [
            np.linspace(-span_mm, 0.0, per_part + 1),
            np.linspace(0.0, overhang_mm, per_part + 1)[1:],
        ]
    )
    return Beam(z, stiffness), per_part, 2 * per_part
