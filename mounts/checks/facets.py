"""Triangles of a part with their normals, neighbours and rays: what the print checks measure on."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from mounts.mesh import PartMesh

if TYPE_CHECKING:
    from manifold3d import Manifold
    from trimesh import Trimesh

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SAG_MM = 0.03
"""What flats may take off a round thing before it counts as too small: 32 chords on 6 mm sag 0.029."""
MISS = -1  # no face has that index
_PLASTIC = 1.324717957244746  # the real root of x³ = x + 1
_THIN_MM = 1e-6  # height of a triangle that is a line: float32 corners of an STL


@dataclass(frozen=True)
class Facets:
    """A mesh as arrays, print frame, mm; what is derived is worked out on first use.

    Attributes:
        vertices_mm: (n, 3).
        faces: (m, 3) indices, outward by the right-hand rule.
    """

    vertices_mm: Floats
    faces: Ints

    @staticmethod
    def of(mesh: PartMesh) -> Facets:
        """The facets of a part as exported."""
        return Facets(mesh.vertices_mm, mesh.faces)

    @cached_property
    def corners_mm(self) -> Floats:
        """(m, 3 corners, 3)."""
        return self.vertices_mm[self.faces]

    @cached_property
    def _cross(self) -> Floats:
        corners = self.corners_mm
        return np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])

    @cached_property
    def areas_mm2(self) -> Floats:
        """(m,)."""
        return np.asarray(np.linalg.norm(self._cross, axis=1) / 2)

    @cached_property
    def normals(self) -> Floats:
        """(m, 3) unit vectors, outward; zero for a triangle that is a line."""
        lengths = 2 * self.areas_mm2[:, None]
        return np.divide(self._cross, lengths, out=np.zeros_like(self._cross), where=~self.is_line[:, None])

    @cached_property
    def is_line(self) -> NDArray[np.bool_]:
        """(m,) the triangle's three corners lie on one line: closed meshes may hold such triangles."""
        sides = np.linalg.norm(self.corners_mm - np.roll(self.corners_mm, -1, axis=1), axis=2)
        return np.asarray(2 * self.areas_mm2 <= _THIN_MM * sides.max(axis=1))

    @cached_property
    def neighbours(self) -> Ints:
        """(m, 3) the face across the edge from corner i to corner i + 1; the mesh must be closed."""
        count = len(self.vertices_mm)
        start, end = self.faces, np.roll(self.faces, -1, axis=1)
        there, back = (start * count + end).ravel(), (end * count + start).ravel()
        order = np.argsort(there)
        return (order[np.searchsorted(there[order], back)] // 3).reshape(-1, 3)

    @cached_property
    def solid(self) -> Manifold:
        """The same mesh for slicing; its status tells whether it can be."""
        from manifold3d import Manifold, Mesh64

        return Manifold(
            Mesh64(
                np.ascontiguousarray(self.vertices_mm, dtype=np.float64),
                np.ascontiguousarray(self.faces, dtype=np.uint64),
            )
        )

    @cached_property
    def trimesh(self) -> Trimesh:
        """The same mesh for rays and graphs, as it is, nothing merged or mended."""
        from trimesh import Trimesh

        return Trimesh(self.vertices_mm, self.faces, process=False)

    def first_hits(self, origins_mm: Floats, directions: Floats) -> tuple[Ints, Floats]:
        """Face met first by each ray, or MISS, and how far away: inf where it meets none.

        The distance is to the face's plane in double precision, not the ray tracer's single.

        Args:
            origins_mm: (k, 3).
            directions: (k, 3) unit vectors.

        Returns:
            (k,) face indices and (k,) mm.
        """
        distances = np.full(len(origins_mm), np.inf)
        if not len(origins_mm):
            return np.zeros(0, dtype=np.int64), distances
        met = np.asarray(self.trimesh.ray.intersects_first(origins_mm, directions), dtype=np.int64)
        hit = met != MISS
        normals = self.normals[met[hit]]
        slant = np.einsum("ij,ij->i", normals, directions[hit])
        away = np.einsum("ij,ij->i", normals, self.corners_mm[met[hit], 0] - origins_mm[hit])
        seen = np.abs(slant) > 1e-9  # a face seen edge-on stops no ray
        distances[np.flatnonzero(hit)[seen]] = away[seen] / slant[seen]
        met[np.flatnonzero(hit)[~seen]] = MISS
        return met, distances

    def samples(self, per_mm2: float) -> tuple[Ints, Floats]:
        """Points spread over the surface: every centroid, and more on large faces; always the same ones.

        Args:
            per_mm2: points per mm² beside the centroids.

        Returns:
            (k,) face of each point and (k, 3) points, mm.

        Source:
            Points of a triangle by the R2 sequence (plastic number, M. Roberts, 2018; from memory).
        """
        real = np.flatnonzero(~self.is_line)
        more = np.floor(self.areas_mm2[real] * per_mm2).astype(np.int64)
        index = np.arange(int(more.sum()))
        along, across = ((0.5 + _PLASTIC**power * index) % 1 for power in (-1, -2))
        fold = along + across > 1
        along, across = np.where(fold, 1 - along, along), np.where(fold, 1 - across, across)
        face = np.concatenate([real, np.repeat(real, more)])
        third = np.full(len(real), 1 / 3)
        u, v = np.concatenate([third, along]), np.concatenate([third, across])
        a, b, c = (self.corners_mm[face, i] for i in range(3))
        return face, a + u[:, None] * (b - a) + v[:, None] * (c - a)


def place_text(point_mm: Floats) -> str:
    """A place (3,) in the print frame, mm, as people read it: ``(12.0, -3.5, 4.0)``."""
    return "(" + ", ".join(f"{round(float(v), 1) + 0.0:.1f}" for v in point_mm) + ")"
