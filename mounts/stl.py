"""Binary STL, written and read: triangles of float32 corners under a fixed header."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

_HEADER = b"binary STL, millimetres, turnout-mounts".ljust(80)  # 80 bytes that readers skip
_TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])  # 50 bytes


def write_stl(vertices_mm: NDArray[np.float64], faces: NDArray[np.int64]) -> bytes:
    """A closed mesh as binary STL; a triangle that float32 squeezes to a line or a point is left out.

    A squeezed triangle is one with two equal corners: its two other neighbours then meet along one
    edge, so leaving it out keeps the mesh closed. A thin one with three corners is needed and stays.

    Args:
        vertices_mm: (n, 3), any frame, mm.
        faces: (m, 3) indices, outward by the right-hand rule.
    """
    corners = (vertices_mm.astype(np.float32) + np.float32(0))[faces]  # + 0: −0.0 becomes 0.0
    squeezed = np.zeros(len(corners), dtype=bool)
    for i, j in ((0, 1), (1, 2), (2, 0)):
        squeezed |= (corners[:, i] == corners[:, j]).all(axis=1)
    corners = corners[~squeezed]
    wide = corners.astype(np.float64)
    normals = np.cross(wide[:, 1] - wide[:, 0], wide[:, 2] - wide[:, 0])
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    triangles = np.zeros(len(corners), dtype=_TRIANGLE)
    triangles["normal"] = np.divide(normals, lengths, out=np.zeros_like(normals), where=lengths > 0) + 0.0
    triangles["corners"] = corners
    return b"".join((_HEADER, len(triangles).to_bytes(4, "little"), triangles.tobytes()))


def read_stl(stl: bytes) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Vertices (n, 3), mm, and faces (m, 3) of a binary STL; equal corners become one vertex.

    Raises:
        ValueError: the length is not that of a binary STL of as many triangles as it announces.
    """
    count = int.from_bytes(stl[80:84], "little")
    if len(stl) < 84 or len(stl) != 84 + count * _TRIANGLE.itemsize:
        raise ValueError(f"not a binary STL: {len(stl)} bytes for {count} triangles")
    corners = np.frombuffer(stl, dtype=_TRIANGLE, offset=84)["corners"].reshape(-1, 3)
    vertices, faces = np.unique(corners, axis=0, return_inverse=True)
    return vertices.astype(np.float64), faces.reshape(-1, 3).astype(np.int64)
