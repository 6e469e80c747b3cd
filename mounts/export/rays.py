"""What an eye sees of triangle meshes: for every pixel the body, the depth and the surface normal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.frames import Array

Floats = NDArray[np.float32]
Faces = NDArray[np.int64]

_CREASE_RAD = np.radians(25)  # facets of a curved face meet at 12° at most, chamfers and walls at more
_STEP_PX = 3.0  # a jump in depth of more than so many pixels' width is an edge
_RAYS_AT_ONCE = 1 << 19  # keeps the work arrays below 100 MB


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
        """Points (n, 3), mm, as (n, 2) pixels from the picture's upper left corner, y down."""
        flat = (np.asarray(points) - self.centre) @ self.axes[:2].T / self.mm_per_px
        return np.asarray(flat * [1, -1] + np.array(self.size_px) / 2, dtype=np.float64)


@dataclass(frozen=True)
class Seen:
    """The first surface behind each pixel; arrays of shape (height, width).

    Attributes:
        body: index of the body, −1 where there is none.
        depth_mm: along the view from the camera's centre, growing away from the eye; infinite where none.
        normal: (height, width, 3) unit vectors in camera axes, smooth over curved faces; 0 where none.
    """

    body: NDArray[np.int32]
    depth_mm: Floats
    normal: Floats

    @classmethod
    def empty(cls, height: int, width: int) -> Seen:
        """Nothing behind any pixel."""
        return cls(
            np.full((height, width), -1, dtype=np.int32),
            np.full((height, width), np.inf, dtype=np.float32),
            np.zeros((height, width, 3), dtype=np.float32),
        )


def seen(meshes: Sequence[tuple[Array, Faces]], camera: Camera, finer: int) -> Seen:
    """Rays through a grid ``finer`` times as fine as the camera's pixels, each way.

    All of them are cast only in and beside pixels that hold an edge. Within a smooth surface one ray
    a pixel is enough, and its neighbours in the finer grid are read off the tangent plane.

    Args:
        meshes: vertices (n, 3) in mm and faces (m, 3), outward, of each body.
        camera: where from.
        finer: at least 1.

    Returns:
        Arrays of the finer grid, (height × finer, width × finer).
    """
    from scipy.ndimage import binary_dilation

    width, height = camera.size_px
    fine = Seen.empty(height * finer, width * finer)
    if not meshes:
        return fine
    fine_px = camera.mm_per_px / finer
    cast = _Caster(meshes, replace(camera, mm_per_px=fine_px, size_px=(width * finer, height * finer)))
    first = np.zeros((finer, finer), dtype=bool)
    first[finer // 2, finer // 2] = True
    cast(fine, np.tile(first, (height, width)))
    firsts = (slice(finer // 2, None, finer),) * 2
    coarse = Seen(fine.body[firsts].copy(), fine.depth_mm[firsts].copy(), fine.normal[firsts].copy())
    outlines, creases = edges(coarse, camera.mm_per_px)
    _spread(fine, coarse, fine_px, finer)
    cast(fine, np.kron(binary_dilation(outlines | creases, np.ones((3, 3))), ~first))
    return fine


def edges(layer: Seen, mm_per_px: float) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Pixels (height, width) beside another body or nothing; those at a crease or a step that no slope explains."""
    outlines, creases = np.zeros((2, *layer.body.shape), dtype=bool)
    slopes = _slopes(layer)
    for axis, sign in ((0, -1), (1, 1)):  # rows run against the camera's up, columns along its right
        here = (slice(None, -1), slice(None)) if axis == 0 else (slice(None), slice(None, -1))
        there = (slice(1, None), slice(None)) if axis == 0 else (slice(None), slice(1, None))
        other_body = layer.body[here] != layer.body[there]
        with np.errstate(invalid="ignore"):  # infinity less infinity, where nothing is
            step = layer.depth_mm[there] - layer.depth_mm[here]
        along = slopes[1 - axis] * np.float32(sign * mm_per_px)
        unexplained = np.minimum(np.abs(step - along[here]), np.abs(step - along[there]))
        level = np.einsum("...i,...i->...", layer.normal[here], layer.normal[there])
        crease = (level < np.cos(_CREASE_RAD)) | (unexplained > _STEP_PX * mm_per_px)
        crease &= ~other_body & (layer.body[here] >= 0)
        for side in (here, there):
            outlines[side] |= other_body
            creases[side] |= crease
    return outlines, creases


def _slopes(layer: Seen) -> Floats:
    """Depth gained for each mm to the right and each mm up on the tangent plane, (2, h, w); at most 20."""
    facing = np.maximum(layer.normal[..., 2], 0.05)
    return np.stack([layer.normal[..., 0] / facing, layer.normal[..., 1] / facing])


def _spread(fine: Seen, coarse: Seen, mm_per_px: float, finer: int) -> None:
    """Fills every pixel's part of the finer grid from its one ray, in place."""
    slopes = _slopes(coarse) * np.float32(mm_per_px)
    for row in range(finer):
        for column in range(finer):
            part = (slice(row, None, finer), slice(column, None, finer))
            fine.body[part] = coarse.body
            fine.normal[part] = coarse.normal
            right, up = np.float32(column - finer // 2), np.float32(finer // 2 - row)
            fine.depth_mm[part] = coarse.depth_mm + slopes[0] * right + slopes[1] * up


class _Caster:
    """Meshes and a camera, ready to look through chosen pixels."""

    def __init__(self, meshes: Sequence[tuple[Array, Faces]], camera: Camera) -> None:
        triangles = [vertices[faces] for vertices, faces in meshes]
        self._scene = _embree_scene(triangles)
        self._camera = camera
        self._first_face = np.cumsum([0, *(len(each) for each in triangles)])
        corner_normals = np.concatenate([_corner_normals(*mesh) for mesh in meshes])
        self._corner_normals = corner_normals @ camera.axes.T.astype(np.float32)
        self._start = 1 + max(float(((each - camera.centre) @ camera.axes[2]).max()) for each in triangles)

    def __call__(self, layer: Seen, wanted: NDArray[np.bool_]) -> None:
        """Casts a ray for each wanted pixel, shape (height, width), and writes what it meets into the layer."""
        camera = self._camera
        pixels = np.flatnonzero(wanted)
        middle = np.array(camera.size_px) / 2 - 0.5
        for some in np.array_split(pixels, max(1, len(pixels) // _RAYS_AT_ONCE)):
            row, column = np.divmod(some, camera.size_px[0])
            right, up = (column - middle[0]) * camera.mm_per_px, (middle[1] - row) * camera.mm_per_px
            flat = np.column_stack([right, up, np.full(len(some), self._start)])
            origins = (flat @ camera.axes + camera.centre).astype(np.float32)
            away = np.tile(-camera.axes[2].astype(np.float32), (len(some), 1))
            found = self._scene.run(origins, away, output=True)
            met = found["primID"] >= 0
            which, u, v = found["geomID"][met], found["u"][met, None], found["v"][met, None]
            corners = self._corner_normals[self._first_face[which] + found["primID"][met]]
            smooth = corners[:, 0] * (1 - u - v) + corners[:, 1] * u + corners[:, 2] * v
            layer.body.ravel()[some] = np.where(met, found["geomID"], -1)
            layer.depth_mm.ravel()[some] = np.where(met, found["tfar"] - self._start, np.inf)
            normals = layer.normal.reshape(-1, 3)
            normals[some] = 0
            normals[some[met]] = smooth / np.linalg.norm(smooth, axis=1, keepdims=True)


def _embree_scene(triangles: Sequence[Array]) -> Any:
    from embreex.mesh_construction import TriangleMesh
    from embreex.rtcore_scene import EmbreeScene

    scene = EmbreeScene()
    for each in triangles:
        TriangleMesh(scene, np.ascontiguousarray(each, dtype=np.float32))
    return scene


def _corner_normals(vertices: Array, faces: Faces) -> Floats:
    """(m, 3, 3): at each corner the area-weighted normal of the faces that meet there without a crease."""
    _, vertex_of = np.unique(vertices, axis=0, return_inverse=True)
    corner_vertex = vertex_of.ravel()[faces].ravel()
    corners = vertices[faces]
    areas = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(areas, axis=1, keepdims=True)
    units = np.divide(areas, lengths, out=np.zeros_like(areas), where=lengths > 0)

    order = np.argsort(corner_vertex, kind="stable")  # corners of one vertex stand together
    sizes = np.bincount(corner_vertex)
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    partners = sizes[corner_vertex]
    one = np.repeat(np.arange(len(corner_vertex)), partners)
    place = np.arange(len(one)) - np.repeat(np.cumsum(partners) - partners, partners)
    face_one, face_other = one // 3, order[starts[corner_vertex[one]] + place] // 3
    level = np.einsum("ij,ij->i", units[face_one], units[face_other]) > np.cos(_CREASE_RAD)
    summed = np.column_stack(
        [np.bincount(one[level], areas[face_other[level], axis], len(corner_vertex)) for axis in range(3)]
    )
    lengths = np.linalg.norm(summed, axis=1, keepdims=True)
    smooth = np.divide(summed, lengths, out=np.repeat(units, 3, axis=0), where=lengths > 0)
    return np.asarray(smooth.reshape(-1, 3, 3), dtype=np.float32)
