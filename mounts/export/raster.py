"""What an eye sees of closed triangle meshes: a face and its depth for every pixel, and the edges not hidden."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.frames import Array

Faces = NDArray[np.int64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

_CREASE = np.cos(np.radians(25))  # facets of a curved face meet at 12° at most, chamfers and walls at more
_EDGE_ON = 1e-6  # cosine to the eye below which a face is not seen
_FLAT_MM = 1e-3  # a triangle lower than this has no normal to speak of
_BEHIND_PX = 3.0  # an edge may lie so many pixels' width behind what is drawn beside it and still show
_STEPS_PER_MM = 10_000  # of depth: finer than what float32 STL keeps
_FACE_BITS = 24  # of a key below the depth: 16 million faces
_NOTHING = np.iinfo(np.int64).max


@dataclass(frozen=True)
class Camera:
    """A parallel projection.

    Attributes:
        axes: (3, 3), rows are unit vectors: right, up, and back from the scene to the eye.
        centre: (3,) point shown in the middle of the picture, mm.
        mm_per_px: size of a pixel.
        size_px: width, height.
    """

    axes: Array
    centre: Array
    mm_per_px: float
    size_px: tuple[int, int]

    def project(self, points: Array) -> Array:
        """Points (n, 3), mm, as (n, 3): pixels from the picture's upper left corner, y down; depth from the eye, mm."""
        seen = (np.asarray(points) - self.centre) @ self.axes.T
        flat = seen[:, :2] / self.mm_per_px * [1, -1] + np.array(self.size_px) / 2
        return np.column_stack([flat, -seen[:, 2]])


@dataclass(frozen=True)
class Meshes:
    """Closed bodies in one list of faces, as a camera sees them.

    Attributes:
        points: (n, 3) vertices as the camera projects them.
        faces: (m, 3) into the points.
        body: (m,) index of the body that each face is of.
        normals: (m, 3) outward, camera axes; unit vectors, 0 for a face that is a line.
        front: (m,) whether the face looks at the eye.
    """

    points: Array
    faces: Faces
    body: Ints
    normals: Array
    front: Bools

    @classmethod
    def of(cls, meshes: Sequence[tuple[Array, Faces]], camera: Camera) -> Meshes:
        """Of vertices (n, 3) in mm and faces (m, 3), outward, of each body; no vertex of a body twice."""
        shifts = np.cumsum([0, *(len(vertices) for vertices, _ in meshes)])[:-1]
        vertices = np.concatenate([np.asarray(vertices) for vertices, _ in meshes])
        faces = np.concatenate([faces + shift for (_, faces), shift in zip(meshes, shifts, strict=True)])
        body = np.repeat(np.arange(len(meshes)), [len(faces) for _, faces in meshes])
        corners = (vertices @ camera.axes.T)[faces]
        sides = corners[:, 1:] - corners[:, :1]
        normals = np.cross(sides[:, 0], sides[:, 1])
        twice_area = np.linalg.norm(normals, axis=1)
        longest = np.sqrt(
            np.maximum((sides**2).sum(axis=2).max(axis=1), ((sides[:, 0] - sides[:, 1]) ** 2).sum(axis=1))
        )
        solid = twice_area > _FLAT_MM * longest
        normals = np.where(solid[:, None], normals / np.maximum(twice_area, 1e-12)[:, None], 0.0)
        return cls(camera.project(vertices), faces, body, normals, normals[:, 2] > _EDGE_ON)


@dataclass(frozen=True)
class Seen:
    """The first surface behind each pixel; arrays of shape (height, width).

    Attributes:
        face: index of the face, −1 where there is none.
        depth_mm: from the camera's centre, growing away from the eye; infinite where there is none.
    """

    face: Ints
    depth_mm: Array


def seen(meshes: Meshes, size_px: tuple[int, int]) -> Seen:
    """Every front face filled line by line; where several fall on a pixel's middle the nearest stays.

    Args:
        meshes: what there is to see.
        size_px: width and height; what falls outside is left out.
    """
    wide, high = size_px
    buffer = np.full(wide * high, _NOTHING)
    fronts = np.flatnonzero(meshes.front)
    corners = meshes.points[meshes.faces[fronts]]
    least = corners[..., 2].min(initial=0.0)
    face, row, first, last = _spans(corners, size_px)
    counts = last - first + 1
    starts = np.cumsum(counts) - counts
    slope_x, slope_y = _slopes(corners)
    at_left = (
        corners[face, 0, 2] - least + slope_x[face] * (first + 0.5 - corners[face, 0, 0])
        + slope_y[face] * (row + 0.5 - corners[face, 0, 1])
    )  # fmt: skip
    along = np.arange(int(counts.sum()))
    pixel = np.repeat(row * wide + first - starts, counts) + along
    depth = np.repeat(at_left - slope_x[face] * starts, counts) + np.repeat(slope_x[face], counts) * along
    key = (np.rint(depth * _STEPS_PER_MM).astype(np.int64) << _FACE_BITS) | np.repeat(fronts[face], counts)
    np.minimum.at(buffer, pixel, key)
    there = buffer != _NOTHING
    found = np.where(there, buffer & ((1 << _FACE_BITS) - 1), -1).reshape(high, wide)
    depth_mm = np.where(there, (buffer >> _FACE_BITS) / _STEPS_PER_MM + least, np.inf).reshape(high, wide)
    return Seen(found, depth_mm)


def _slopes(corners: Array) -> tuple[Array, Array]:
    """Depth gained for each pixel to the right and down on the plane of triangles (k, 3, 3); 0 where edge-on."""
    (ax, ay, az), (bx, by, bz) = ((corners[:, corner] - corners[:, 0]).T for corner in (1, 2))
    area = ax * by - ay * bx
    flat = np.abs(area) < 1e-9
    area = np.where(flat, 1.0, area)
    return np.where(flat, 0.0, (az * by - bz * ay) / area), np.where(flat, 0.0, (ax * bz - bx * az) / area)


def _spans(corners: Array, size_px: tuple[int, int]) -> tuple[Ints, Ints, Ints, Ints]:
    """Triangles (k, 3, 3) line by line: which triangle, row, first and last column whose pixel's middle is inside."""
    wide, high = size_px
    top = np.clip(np.ceil(corners[..., 1].min(axis=1) - 0.5), 0, high).astype(np.int64)
    bottom = np.clip(np.floor(corners[..., 1].max(axis=1) - 0.5), -1, high - 1).astype(np.int64)
    rows = np.maximum(bottom - top + 1, 0)
    face = np.repeat(np.arange(len(corners)), rows)
    row = np.arange(len(face)) - np.repeat(np.cumsum(rows) - rows - top, rows)
    middle = row + 0.5
    left, right = np.full(len(face), np.inf), np.full(len(face), -np.inf)
    for start, end in ((0, 1), (1, 2), (2, 0)):
        (x0, y0), (x1, y1) = (corners[:, corner, :2].T for corner in (start, end))
        level = y0 == y1
        turn = np.where(level, 0.0, (x1 - x0) / np.where(level, 1.0, y1 - y0))
        low, far = np.minimum(y0, y1), np.maximum(y0, y1)
        x = (x0 - turn * y0)[face] + turn[face] * middle
        crosses = ~level[face] & (low[face] <= middle) & (middle <= far[face])
        left, right = np.where(crosses, np.minimum(left, x), left), np.where(crosses, np.maximum(right, x), right)
    first = np.clip(np.ceil(left - 0.5), 0, wide).astype(np.int64)
    last = np.clip(np.floor(right - 0.5), -1, wide - 1).astype(np.int64)
    inside = last >= first
    return face[inside], row[inside], first[inside], last[inside]


@dataclass(frozen=True)
class Strokes:
    """Straight pieces of edges that show.

    Attributes:
        ends: (k, 2, 2) pixels.
        body: (k,) the body that each is of.
        outline: (k,) whether the body ends there for the eye; else it is a crease.
    """

    ends: Array
    body: Ints
    outline: Bools


def strokes(meshes: Meshes, before: Seen, mm_per_px: float) -> Strokes:
    """Outlines and creases, as far as nothing drawn hides them.

    A place on an edge shows where, a pixel to one side or the other of it, nothing is drawn that is nearer.

    Args:
        meshes: whose edges.
        before: everything that may hide them, they themselves included.
        mm_per_px: of the camera.
    """
    ends, body, outline = _edges(meshes)
    high, wide = before.depth_mm.shape
    way = ends[:, 1, :2] - ends[:, 0, :2]
    length = np.hypot(way[:, 0], way[:, 1])
    long = length > 0.2
    ends, body, outline, way, length = ends[long], body[long], outline[long], way[long], length[long]
    count = np.ceil(length).astype(np.int64) + 1
    edge = np.repeat(np.arange(len(ends)), count)
    starts = np.cumsum(count) - count
    share = (np.arange(len(edge)) - starts[edge]) / (count - 1)[edge]
    place = ends[edge, 0] + share[:, None] * (ends[edge, 1] - ends[edge, 0])
    aside = np.column_stack([-way[:, 1], way[:, 0]]) / length[:, None]
    shows = np.zeros(len(edge), dtype=bool)
    for side in (-1.0, 1.0):
        column, row = np.floor(place[:, :2] + side * aside[edge]).astype(np.int64).T
        outside = (column < 0) | (column >= wide) | (row < 0) | (row >= high)
        depth = before.depth_mm[np.clip(row, 0, high - 1), np.clip(column, 0, wide - 1)]
        shows |= outside | (place[:, 2] <= depth + _BEHIND_PX * mm_per_px)
    begins, stops = shows.copy(), shows.copy()
    begins[1:] &= ~shows[:-1] | (edge[1:] != edge[:-1])
    stops[:-1] &= ~shows[1:] | (edge[1:] != edge[:-1])
    first, last = np.flatnonzero(begins), np.flatnonzero(stops)
    more = last > first
    first, last = first[more], last[more]
    pieces = np.stack([place[first, :2], place[last, :2]], axis=1)
    return Strokes(pieces, body[edge[first]], outline[edge[first]])


def _edges(meshes: Meshes) -> tuple[Array, Ints, Bools]:
    """Edges between a face that is seen and one that is not, or that meet at an angle: ends, body, outline or not."""
    start, end = meshes.faces.ravel(), np.roll(meshes.faces, -1, axis=1).ravel()
    key = np.minimum(start, end) * len(meshes.points) + np.maximum(start, end)
    order = np.argsort(key, kind="stable")
    pair = np.flatnonzero(key[order[1:]] == key[order[:-1]])
    here, there = order[pair], order[pair + 1]
    one, other = here // 3, there // 3
    real: Bools = np.asarray(meshes.normals.any(axis=1))
    both = real[one] & real[other]
    outline: Bools = (meshes.front[one] != meshes.front[other]) & both
    level = np.einsum("ij,ij->i", meshes.normals[one], meshes.normals[other]) > _CREASE
    crease: Bools = ~level & meshes.front[one] & meshes.front[other]
    kept: Bools = outline | crease
    ends = np.stack([meshes.points[start[here[kept]]], meshes.points[end[here[kept]]]], axis=1)
    return ends, meshes.body[one[kept]], outline[kept]
