"""A clamped plate in plane stress by finite elements, and the twist of a rectangle, for tests: numpy and scipy only."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_matrix, diags, identity, kron
from scipy.sparse.linalg import spsolve

_AT = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1), (0, -1), (1, 0), (0, 1), (-1, 0)], dtype=float)
_GAUSS = ((-np.sqrt(0.6), 5 / 9), (0.0, 8 / 9), (np.sqrt(0.6), 5 / 9))


def _slopes(s: float, t: float) -> np.ndarray:
    """Derivatives of the eight serendipity functions by s and t, (2, 8)."""
    found = np.zeros((2, 8))
    for k, (a, b) in enumerate(_AT):
        if a and b:
            found[0, k] = a * (1 + b * t) * (2 * a * s + b * t) / 4
            found[1, k] = b * (1 + a * s) * (a * s + 2 * b * t) / 4
        elif a == 0:
            found[:, k] = (-s * (1 + b * t), b * (1 - s * s) / 2)
        else:
            found[:, k] = (a * (1 - t * t) / 2, -t * (1 + a * s))
    return found


def clamped_plate_n_per_mm(
    length_mm: float,
    width_mm: float,
    thick_mm: float,
    modulus_mpa: float,
    poisson: float,
    parts: int = 12,
) -> float:
    """Sideways stiffness of a plate clamped at one end, an even shear load over the other."""
    nx, ny = 2 * parts, parts
    dx, dy = length_mm / nx, width_mm / ny
    elastic = modulus_mpa / (1 - poisson**2) * np.array([[1, poisson, 0], [poisson, 1, 0], [0, 0, (1 - poisson) / 2]])
    stiff = np.zeros((16, 16))
    for s, ws in _GAUSS:
        for t, wt in _GAUSS:
            by = _slopes(s, t) * np.array([[2 / dx], [2 / dy]])
            strain = np.zeros((3, 16))
            strain[0, ::2], strain[1, 1::2] = by[0], by[1]
            strain[2, ::2], strain[2, 1::2] = by[1], by[0]
            stiff += strain.T @ elastic @ strain * ws * wt * dx * dy / 4 * thick_mm
    places: dict[tuple[int, int], int] = {}
    rows, cols, values = [], [], []
    for i in range(nx):
        for j in range(ny):
            nodes = [places.setdefault((2 * i + 1 + int(a), 2 * j + 1 + int(b)), len(places)) for a, b in _AT]
            dofs = [2 * node + axis for node in nodes for axis in (0, 1)]
            rows += np.repeat(dofs, 16).tolist()
            cols += dofs * 16
            values += stiff.ravel().tolist()
    size = 2 * len(places)
    matrix = coo_matrix((values, (rows, cols)), shape=(size, size)).tocsr()
    load = np.zeros(size)
    for j in range(ny):  # Simpson over each end edge
        for step, share in ((0, 1 / 6), (1, 4 / 6), (2, 1 / 6)):
            load[2 * places[2 * nx, 2 * j + step] + 1] += share / ny
    free = np.array([2 * node + axis for (i, _), node in places.items() if i for axis in (0, 1)])
    moved = np.zeros(size)
    moved[free] = spsolve(matrix[free][:, free], load[free])
    return 1.0 / float(load @ moved)


def torsion_mm4(wide_mm: float, thick_mm: float, parts: int = 40) -> float:
    """J of a rectangle by Prandtl's stress function, ∇²φ = −2 with φ = 0 round it and J = 2·∫φ: finite differences."""
    nx, ny = round(parts * max(1.0, wide_mm / thick_mm)), round(parts * max(1.0, thick_mm / wide_mm))
    dx, dy = wide_mm / nx, thick_mm / ny

    def second(n: int, step: float) -> coo_matrix:
        return diags([1.0, -2.0, 1.0], [-1, 0, 1], shape=(n - 1, n - 1)) / step**2

    laplace = kron(second(nx, dx), identity(ny - 1)) + kron(identity(nx - 1), second(ny, dy))
    phi = spsolve(laplace.tocsc(), np.full((nx - 1) * (ny - 1), -2.0))
    return 2.0 * float(phi.sum()) * dx * dy
