"""Solid finite elements, cubes of eight nodes with Wilson's incompatible modes, for tests: numpy and scipy only."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve

_CORNERS = np.array([(i, j, k) for i in (0, 1) for j in (0, 1) for k in (0, 1)])
Chosen = Callable[[np.ndarray], np.ndarray]


def _element(edge_mm: float, modulus_mpa: float, poisson: float) -> np.ndarray:
    """Stiffness of a cube (24, 24); the modes within it, which let it bend, condensed out."""
    shear = modulus_mpa / (2 * (1 + poisson))
    elastic = np.diag([2 * shear] * 3 + [shear] * 3)
    elastic[:3, :3] += 2 * shear * poisson / (1 - 2 * poisson)
    signs, at, stiff = 2 * _CORNERS - 1, 1 / np.sqrt(3), np.zeros((33, 33))
    for place in at * signs:
        slopes, factors = np.zeros((11, 3)), 1 + signs * place
        for axis in range(3):
            one, two = (other for other in range(3) if other != axis)
            slopes[:8, axis] = signs[:, axis] * factors[:, one] * factors[:, two] / 8
            slopes[8 + axis, axis] = -2 * place[axis]
        strain = np.zeros((6, 33))
        for node, (x, y, z) in enumerate(slopes * 2 / edge_mm):
            strain[:, 3 * node : 3 * node + 3] = [[x, 0, 0], [0, y, 0], [0, 0, z], [y, x, 0], [0, z, y], [z, 0, x]]
        stiff += strain.T @ elastic @ strain * (edge_mm / 2) ** 3
    return stiff[:24, :24] - stiff[:24, 24:] @ np.linalg.solve(stiff[24:, 24:], stiff[24:, :24])


def rigidly_n_per_mm(
    filled: np.ndarray,
    edge_mm: float,
    elastic: tuple[float, float],
    clamped: Chosen,
    tied: Chosen,
    at_mm: np.ndarray,
    along: np.ndarray,
) -> float:
    """Stiffness of a body of cubes at a point of a stiff thing that is fixed to it.

    Args:
        filled: (nx, ny, nz) which cubes are there; the first begins at the origin.
        edge_mm: of a cube.
        elastic: Young's modulus, MPa, and Poisson's ratio.
        clamped: which of some places (n, 3) are held.
        tied: which are fixed to the stiff thing.
        at_mm: where it is pulled.
        along: unit vector, which way.
    """
    cells, shape = np.argwhere(filled), np.array(filled.shape) + 1
    nodes = np.ravel_multi_index(tuple((cells[:, None] + _CORNERS).transpose(2, 0, 1)), tuple(shape))
    used, nodes = np.unique(nodes, return_inverse=True)
    places = np.array(np.unravel_index(used, tuple(shape))).T * edge_mm
    held, moved = clamped(places), tied(places)
    free = np.flatnonzero(~held & ~moved)
    stiff_at = np.flatnonzero(moved & ~held)
    size = 3 * len(free) + 6
    rows = [(3 * free[:, None] + np.arange(3)).ravel()]
    columns, values = [np.arange(3 * len(free))], [np.ones(3 * len(free))]
    for node, (x, y, z) in zip(stiff_at, places[stiff_at] - at_mm, strict=True):
        turns = np.hstack([np.eye(3), [[0, z, -y], [-z, 0, x], [y, -x, 0]]])
        rows.append(np.repeat(3 * node + np.arange(3), 6))
        columns.append(np.tile(np.arange(size - 6, size), 3))
        values.append(turns.ravel())
    to_all = coo_matrix(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), shape=(3 * len(used), size)
    ).tocsr()
    dofs = (3 * nodes.reshape(len(cells), 8)[:, :, None] + np.arange(3)).reshape(len(cells), 24)
    every = np.tile(_element(edge_mm, *elastic).ravel(), len(cells))
    whole = coo_matrix((every, (np.repeat(dofs, 24, axis=1).ravel(), np.tile(dofs, (1, 24)).ravel())))
    load = np.zeros(size)
    load[-6:-3] = along
    return 1.0 / float(load @ spsolve((to_all.T @ whole.tocsr() @ to_all).tocsc(), load))
