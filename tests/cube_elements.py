"""Solid finite elements, bricks of eight nodes with Wilson's incompatible modes, for tests: numpy and scipy only."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import permutations

import numpy as np
from scipy.sparse import coo_matrix, csr_matrix
from scipy.sparse.linalg import splu
from trimesh import Trimesh

_CORNERS = np.array([(i, j, k) for i in (0, 1) for j in (0, 1) for k in (0, 1)])
_MOST_ROUNDS = 8  # to find out what presses on what it lies on
Chosen = Callable[[np.ndarray], np.ndarray]


@dataclass(frozen=True)
class Strained:
    """Bricks under stress.

    Attributes:
        middles_mm: (n, 3) of the bricks.
        tensors_mpa: (n, 8, 3, 3) stresses at their corners.
    """

    middles_mm: np.ndarray
    tensors_mpa: np.ndarray

    @property
    def stress_mpa(self) -> np.ndarray:
        """(n, 8, 3) principal stresses, ascending."""
        return np.linalg.eigvalsh(self.tensors_mpa)

    def linear_mpa(self) -> np.ndarray:
        """(3,) the largest membrane and bending stress along each axis in any section, at its surface.

        A section is three bricks or more that lie behind each other, square to that axis; a straight line is laid
        through the stress in their middles. So there is no peak in a sharp corner, which grows with ever smaller
        bricks. Source: stress linearisation, ASME BPVC VIII-2, annex 5-A, from memory.
        """
        largest = np.zeros(3)
        for axis, deep in permutations(range(3), 2):
            at, beside = self.middles_mm[:, deep].round(6), np.delete(self.middles_mm, deep, axis=1).round(6)
            order = np.lexsort((at, *beside.T))
            at, beside = at[order], beside[order]
            size = np.diff(np.unique(at)).min()
            apart = np.diff(beside, axis=0).any(axis=1) | (np.diff(at) > 1.5 * size)
            starts = np.concatenate([[0], np.flatnonzero(apart) + 1])
            counts = np.diff([*starts, len(at)])
            steps = np.arange(len(at)) - np.repeat(starts + (counts - 1) / 2, counts)  # from the section's middle
            stress = self.tensors_mpa[order, :, axis, axis].mean(axis=1)
            level = np.add.reduceat(stress, starts) / counts
            bent = np.add.reduceat(stress * steps, starts) / np.maximum(np.add.reduceat(steps**2, starts), 0.5)
            surface = np.abs(level) + np.abs(bent) * counts / 2
            largest[axis] = max(largest[axis], surface[counts > 2].max(initial=0.0))
        return largest


@dataclass(frozen=True)
class Pulled(Strained):
    """A body pulled with 1 N, without the bricks at what is held or tied, where stress has no bounds.

    Attributes:
        n_per_mm: how stiff it is where it is pulled.
    """

    n_per_mm: float


class Bricks:
    """A body of bricks, put together."""

    def __init__(self, there: np.ndarray, edge_mm: float | np.ndarray, elastic: tuple[float, float]) -> None:
        """Puts them together.

        Args:
            there: (nx, ny, nz) which bricks are there; the first begins at the origin.
            edge_mm: of a brick, or of a cube.
            elastic: Young's modulus, MPa, and Poisson's ratio.
        """
        self._edge, self._elastic = np.broadcast_to(edge_mm, 3), elastic
        cells, shape = np.argwhere(there), tuple(np.array(there.shape) + 1)
        nodes = np.ravel_multi_index(tuple((cells[:, None] + _CORNERS).transpose(2, 0, 1)), shape)
        used, nodes = np.unique(nodes, return_inverse=True)
        element, self._inner = _element(self._edge, *elastic)
        every = np.tile(element.ravel(), len(cells))
        self.nodes = nodes.reshape(len(cells), 8)
        self.places_mm = np.array(np.unravel_index(used, shape)).T * self._edge
        self.middles_mm = (cells + 0.5) * self._edge
        self._dofs = (3 * self.nodes[:, :, None] + np.arange(3)).reshape(len(cells), 24)
        self.stiffness = coo_matrix(
            (every, (np.repeat(self._dofs, 24, axis=1).ravel(), np.tile(self._dofs, (1, 24)).ravel()))
        ).tocsr()

    def masses_t(self, density_t_per_mm3: float) -> np.ndarray:
        """(nodes,) an eighth of each brick at each of its corners, tonnes."""
        return np.bincount(self.nodes.ravel()) * density_t_per_mm3 * self._edge.prod() / 8

    def strained(self, shifts_mm: np.ndarray, which: np.ndarray) -> Strained:
        """Stress where all nodes are shifted, (3 · nodes,), in some of the bricks."""
        law, corners = _elastic(*self._elastic), shifts_mm[self._dofs[which]]
        within = np.vstack([np.eye(24), self._inner])
        laws = [law @ _strain(self._edge, place) @ within for place in 2 * _CORNERS - 1]
        x, y, z, xy, yz, zx = np.moveaxis(np.stack([corners @ one.T for one in laws], axis=1), 2, 0)
        tensors = np.stack([x, xy, zx, xy, y, yz, zx, yz, z], axis=-1).reshape(-1, 8, 3, 3)
        return Strained(self.middles_mm[which], tensors)


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


def solved(stiffness: csr_matrix, load: np.ndarray) -> np.ndarray:
    """Displacements under a load, of a symmetric stiffness."""
    solver = splu(stiffness.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    return solver.solve(load)


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
    body = Bricks(there, edge_mm, elastic)
    whole, places = body.stiffness, body.places_mm
    held, moved = clamped(places), tied(places)
    may_press = np.flatnonzero(rests(places) & ~held & ~moved) if rests else np.array([], dtype=int)
    pressed = np.zeros(len(may_press), dtype=bool)
    for _ in range(_MOST_ROUNDS):
        to_all = _to_all(places - at_mm, held, moved, 3 * may_press[pressed] + 2)
        load = np.zeros(to_all.shape[1])
        load[-6:-3] = along
        reduced = to_all.T @ whole @ to_all
        moves = solved(reduced, load)
        shifts = to_all @ moves
        pushes = (whole @ shifts)[3 * may_press + 2] * -into  # of what it rests on
        now = np.where(pressed, pushes > 0, shifts[3 * may_press + 2] * into > 0)
        if (now == pressed).all():
            break
        pressed = now
    found = body.strained(shifts, ~(held | moved)[body.nodes].any(axis=1))
    return Pulled(found.middles_mm, found.tensors_mpa, 1.0 / float(load @ moves))


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
