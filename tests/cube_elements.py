"""Solid finite elements, bricks of eight nodes with Wilson's incompatible modes, for tests: numpy and scipy only."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix, csr_matrix
from scipy.sparse.linalg import splu
from trimesh import Trimesh

_CORNERS = np.array([(i, j, k) for i in (0, 1) for j in (0, 1) for k in (0, 1)])
_MOST_ROUNDS = 8  # to find out what presses on what it lies on
Chosen = Callable[[np.ndarray], np.ndarray]


@dataclass(frozen=True)
class Pulled:
    """A body pulled with 1 N.

    Attributes:
        n_per_mm: how stiff it is where it is pulled.
        middles_mm: (n, 3) of the bricks that are not at what is held or tied, where stress has no bounds.
        tensors_mpa: (n, 8, 3, 3) stresses at the corners of those.
    """

    n_per_mm: float
    middles_mm: np.ndarray
    tensors_mpa: np.ndarray

    @property
    def stress_mpa(self) -> np.ndarray:
        """(n, 8, 3) principal stresses, ascending."""
        return np.linalg.eigvalsh(self.tensors_mpa)

    def linear_mpa(self) -> float:
        """Membrane and bending stress in the section of the largest stress, at its surface.

        A straight line through the stresses along that one's nearest axis, in the middles of the bricks that lie behind
        each other from there on, the way that gives more; without the peak in the corner itself, which grows with ever
        smaller bricks. Source: stress linearisation, ASME BPVC VIII-2, annex 5-A, from memory.
        """
        values, ways = np.linalg.eigh(self.tensors_mpa)
        brick, corner, which = np.unravel_index(np.abs(values).argmax(), values.shape)
        axis = int(np.abs(ways[brick, corner, :, which]).argmax())
        means = self.tensors_mpa[:, :, axis, axis].mean(axis=1)
        found = []
        for deep in {0, 1, 2} - {axis}:
            off = np.abs(self.middles_mm - self.middles_mm[brick])
            off[:, deep] = 0.0
            line = np.flatnonzero((off < 1e-6).all(axis=1))
            line = line[np.argsort(self.middles_mm[line, deep])]
            at, size = self.middles_mm[line, deep], np.diff(self.middles_mm[line, deep]).min(initial=np.inf)
            pieces = np.split(np.arange(len(line)), np.flatnonzero(np.diff(at) > 1.5 * size) + 1)
            (own,) = (piece for piece in pieces if brick in line[piece])
            if len(own) > 2:
                slope, level = np.polyfit(at[own], means[line[own]], 1)
                found.append(
                    max(abs(level + slope * (at[own[end]] + side * size / 2)) for end, side in ((0, -1), (-1, 1)))
                )
        return max(found)


def _elastic(modulus_mpa: float, poisson: float) -> np.ndarray:
    """Hooke's law (6, 6), shear strains as angles."""
    shear = modulus_mpa / (2 * (1 + poisson))
    elastic = np.diag([2 * shear] * 3 + [shear] * 3)
    elastic[:3, :3] += 2 * shear * poisson / (1 - 2 * poisson)
    return elastic


def _strain(edge_mm: np.ndarray, place: np.ndarray) -> np.ndarray:
    """Strains (6, 33) at a place, -1 to 1, of the corners' and the inner modes' displacements."""
    signs, slopes = 2 * _CORNERS - 1, np.zeros((11, 3))
    factors = 1 + signs * place
    for axis in range(3):
        one, two = (other for other in range(3) if other != axis)
        slopes[:8, axis] = signs[:, axis] * factors[:, one] * factors[:, two] / 8
        slopes[8 + axis, axis] = -2 * place[axis]
    strain = np.zeros((6, 33))
    for node, (x, y, z) in enumerate(slopes * 2 / edge_mm):
        strain[:, 3 * node : 3 * node + 3] = [[x, 0, 0], [0, y, 0], [0, 0, z], [y, x, 0], [0, z, y], [z, 0, x]]
    return strain


def _element(edge_mm: np.ndarray, modulus_mpa: float, poisson: float) -> tuple[np.ndarray, np.ndarray]:
    """Stiffness of a brick (24, 24), the modes within it, which let it bend, condensed out; those by the others."""
    elastic, stiff = _elastic(modulus_mpa, poisson), np.zeros((33, 33))
    for place in (2 * _CORNERS - 1) / np.sqrt(3):
        strain = _strain(edge_mm, place)
        stiff += strain.T @ elastic @ strain * edge_mm.prod() / 8
    inner = -np.linalg.solve(stiff[24:, 24:], stiff[24:, :24])
    return stiff[:24, :24] + stiff[:24, 24:] @ inner, inner


def filled(part: Trimesh, start: np.ndarray, end: np.ndarray, edge_mm: float | np.ndarray) -> np.ndarray:
    """Which bricks (nx, ny, nz) of a size have their middles in a body.

    Args:
        part: the body.
        start: (3,) corner of the first brick, mm.
        end: (3,) no middle lies beyond, mm.
        edge_mm: of a brick, or of a cube.
    """
    sizes = np.broadcast_to(edge_mm, 3)
    axes = (np.arange(a + size / 2, b, size) for a, b, size in zip(start, end, sizes, strict=True))
    grid = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)
    return part.contains(grid.reshape(-1, 3) + 1e-4).reshape(grid.shape[:3])


def pulled(
    there: np.ndarray,
    edge_mm: float | np.ndarray,
    elastic: tuple[float, float],
    clamped: Chosen,
    tied: Chosen,
    at_mm: np.ndarray,
    along: np.ndarray,
    *,
    rests: Chosen | None = None,
    into: float = -1.0,
) -> Pulled:
    """A body of bricks, pulled with 1 N at a point of a stiff thing that is fixed to it.

    Args:
        there: (nx, ny, nz) which bricks are there; the first begins at the origin.
        edge_mm: of a brick, or of a cube.
        elastic: Young's modulus, MPa, and Poisson's ratio.
        clamped: which of some places (n, 3) are held.
        tied: which are fixed to the stiff thing.
        at_mm: where it is pulled.
        along: unit vector, which way.
        rests: which lie on something stiff, square to z: they may leave it, not go into it.
        into: +1 or -1, the way along z that they can't go.
    """
    edge = np.broadcast_to(edge_mm, 3)
    cells, shape = np.argwhere(there), np.array(there.shape) + 1
    nodes = np.ravel_multi_index(tuple((cells[:, None] + _CORNERS).transpose(2, 0, 1)), tuple(shape))
    used, nodes = np.unique(nodes, return_inverse=True)
    places = np.array(np.unravel_index(used, tuple(shape))).T * edge
    held, moved = clamped(places), tied(places)
    dofs = (3 * nodes.reshape(len(cells), 8)[:, :, None] + np.arange(3)).reshape(len(cells), 24)
    element, inner = _element(edge, *elastic)
    every = np.tile(element.ravel(), len(cells))
    whole = coo_matrix((every, (np.repeat(dofs, 24, axis=1).ravel(), np.tile(dofs, (1, 24)).ravel()))).tocsr()
    may_press = np.flatnonzero(rests(places) & ~held & ~moved) if rests else np.array([], dtype=int)
    pressed = np.zeros(len(may_press), dtype=bool)
    for _ in range(_MOST_ROUNDS):
        to_all = _to_all(places - at_mm, held, moved, 3 * may_press[pressed] + 2)
        load = np.zeros(to_all.shape[1])
        load[-6:-3] = along
        reduced = (to_all.T @ whole @ to_all).tocsc()
        solver = splu(reduced, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
        moves = solver.solve(load)
        shifts = to_all @ moves
        pushes = (whole @ shifts)[3 * may_press + 2] * -into  # of what it rests on
        now = np.where(pressed, pushes > 0, shifts[3 * may_press + 2] * into > 0)
        if (now == pressed).all():
            break
        pressed = now
    plain = ~(held | moved)[nodes.reshape(len(cells), 8)].any(axis=1)
    corners = shifts[dofs[plain]]
    law = _elastic(*elastic)
    laws = [law @ _strain(edge, place) @ np.vstack([np.eye(24), inner]) for place in 2 * _CORNERS - 1]
    x, y, z, xy, yz, zx = np.moveaxis(np.stack([corners @ one.T for one in laws], axis=1), 2, 0)
    tensors = np.stack([x, xy, zx, xy, y, yz, zx, yz, z], axis=-1).reshape(-1, 8, 3, 3)
    return Pulled(1.0 / float(load @ moves), (cells[plain] + 0.5) * edge, tensors)


def _to_all(from_pull_mm: np.ndarray, held: np.ndarray, moved: np.ndarray, fixed: np.ndarray) -> csr_matrix:
    """All displacements from those that are free and, last, three shifts and turns of the stiff thing."""
    free = np.setdiff1d((3 * np.flatnonzero(~held & ~moved)[:, None] + np.arange(3)).ravel(), fixed)
    size = len(free) + 6
    rows, columns, values = [free], [np.arange(len(free))], [np.ones(len(free))]
    for node in np.flatnonzero(moved & ~held):
        x, y, z = from_pull_mm[node]
        rows.append(np.repeat(3 * node + np.arange(3), 6))
        columns.append(np.tile(np.arange(size - 6, size), 3))
        values.append(np.hstack([np.eye(3), [[0, z, -y], [-z, 0, x], [y, -x, 0]]]).ravel())
    return coo_matrix(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), shape=(3 * len(held), size)
    ).tocsr()
