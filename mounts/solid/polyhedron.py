"""Bodies of flat faces, built face by face: no boolean, so a thousand faces take a fraction of a second."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import cadquery as cq
import numpy as np
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeVertex,
    BRepBuilderAPI_MakeWire,
)
from OCP.gp import gp_Dir, gp_Pln, gp_Pnt
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shell, TopoDS_Solid, TopoDS_Wire

from mounts.errors import BuildError
from mounts.frames import Array

Point2 = tuple[float, float]

DECIMALS = 9  # of mm: corners that agree in them are one
FLAT_MM = 1e-6
"""How far a corner may stand off its face's plane: ten times what the kernel takes for one point."""


def polyhedron(vertices: Array, faces: Sequence[Sequence[int]], step: str) -> cq.Solid:
    """A closed body from its corners and flat faces.

    Checked by arithmetic here, since the kernel takes longer to look at a thousand flat faces than to make them; of
    what is built of it the kernel looks at those that are new, or at all (``guard.one_solid``).

    Args:
        vertices: (n, 3), mm.
        faces: corner indices of each face, counter-clockwise from outside; every edge in exactly two faces.
        step: what is drawn, for the message.

    Raises:
        BuildError: it is not one closed body of flat faces that are seen from outside.
    """
    normals = _normals(vertices, faces, step)
    drawn, shell = Drawn(vertices), []
    for face, normal in zip(faces, normals.tolist(), strict=True):
        shell.append(drawn.face([face], normal))
    return closed(shell)


class Drawn:
    """Flat faces between corners (n, 3), mm; two faces along the same corners share their edge."""

    def __init__(self, vertices: Array) -> None:
        self._points = [gp_Pnt(*corner) for corner in vertices.tolist()]
        self._corners = [BRepBuilderAPI_MakeVertex(point).Vertex() for point in self._points]
        self._edges: dict[tuple[int, int], TopoDS_Edge] = {}

    def wire(self, ring: Sequence[int]) -> TopoDS_Wire:
        """Round corners, closed."""
        wire = BRepBuilderAPI_MakeWire()
        for start, end in zip(ring, [*ring[1:], ring[0]], strict=True):
            key = (start, end) if start < end else (end, start)
            if key not in self._edges:
                self._edges[key] = BRepBuilderAPI_MakeEdge(self._corners[key[0]], self._corners[key[1]]).Edge()
            edge = self._edges[key]
            wire.Add(edge if start < end else TopoDS.Edge_s(edge.Reversed()))
        return wire.Wire()

    def face(self, rings: Sequence[Sequence[int]], normal: Sequence[float]) -> TopoDS_Face:
        """Inside its first ring, counter-clockwise seen against the normal, and outside the others, clockwise."""
        plane = gp_Pln(self._points[rings[0][0]], gp_Dir(*normal))
        made = BRepBuilderAPI_MakeFace(plane, self.wire(rings[0]), True)
        for hole in rings[1:]:
            made.Add(self.wire(hole))
        return made.Face()


def closed(faces: Iterable[TopoDS_Face]) -> cq.Solid:
    """The body inside faces that share their edges; nothing is checked."""
    builder, shell, solid = BRep_Builder(), TopoDS_Shell(), TopoDS_Solid()
    builder.MakeShell(shell)
    for face in faces:
        builder.Add(shell, face)
    shell.Closed(True)
    builder.MakeSolid(solid)
    builder.Add(solid, shell)
    return cq.Solid(solid)


def _normals(vertices: Array, faces: Sequence[Sequence[int]], step: str) -> Array:
    """Newell's normals (n, 3) of the faces, unit length; all at once.

    Raises:
        BuildError: an edge is not in two faces that go along it both ways, a face has no size or is not flat, or
            the volume (the divergence theorem's sum over the faces) is not positive.
    """
    sizes = np.array([len(face) for face in faces])
    of_face, ends = np.repeat(np.arange(len(faces)), sizes), np.cumsum(sizes)
    starts = ends - sizes
    now = np.concatenate(faces)
    following = np.roll(now, -1)
    following[ends - 1] = now[starts]
    ways = set(zip(now.tolist(), following.tolist(), strict=True))
    if len(ways) != len(now) or any((end, start) not in ways for start, end in ways):
        raise BuildError(f"could not {step}; the faces do not close")
    first = vertices[now[starts]]
    arms = vertices[now] - first[of_face]
    area = np.add.reduceat(np.cross(arms, vertices[following] - first[of_face]), starts)
    doubled = np.linalg.norm(area, axis=1, keepdims=True)
    if not (doubled > FLAT_MM**2).all():
        raise BuildError(f"could not {step}; a face has no size")
    normals = area / doubled
    if np.abs(np.einsum("ij,ij->i", arms, normals[of_face])).max() > FLAT_MM:
        raise BuildError(f"could not {step}; a face is not flat")
    if not np.einsum("ij,ij->", first, area) > 0:
        raise BuildError(f"could not {step}; the faces are seen from inside")
    return np.asarray(normals)


def of_polygons(polygons: Sequence[Array], step: str) -> cq.Solid:
    """A closed body of flat polygons (k, 3) each, mm, counter-clockwise from outside; corners that agree are one.

    Raises:
        BuildError: as of ``polyhedron``.
    """
    corners: dict[tuple[float, ...], int] = {}
    faces = [
        [corners.setdefault(tuple(corner), len(corners)) for corner in polygon.round(DECIMALS).tolist()]
        for polygon in polygons
    ]
    return polyhedron(np.array(list(corners)), faces, step)


def stacked(rings: Sequence[Array], step: str) -> cq.Solid:
    """A body between rings of as many corners each, first and last closed by a flat face.

    Args:
        rings: (k, 3) each, counter-clockwise seen from the last; facing edges of neighbours parallel.
        step: what is drawn, for the message.
    """
    count = len(rings[0])
    faces: list[list[int]] = [list(range(count))[::-1]]
    for low in range(0, (len(rings) - 1) * count, count):
        faces += [[low + i, low + j, low + count + j, low + count + i] for i, j in _around(count)]
    faces.append(list(range((len(rings) - 1) * count, len(rings) * count)))
    return polyhedron(np.concatenate(rings), faces, step)


def _around(count: int) -> list[tuple[int, int]]:
    return [(i, (i + 1) % count) for i in range(count)]


def rectangle(x: Point2, y: Point2, z: float) -> Array:
    """Corners (4, 3) of a level rectangle, counter-clockwise from above."""
    return np.array([(x[0], y[0], z), (x[1], y[0], z), (x[1], y[1], z), (x[0], y[1], z)])


def frustum(
    plane: cq.Plane, low: tuple[Point2, Point2], high: tuple[Point2, Point2], heights: Point2, step: str
) -> cq.Solid:
    """A body between two rectangles square to a plane's normal.

    Args:
        plane: its xDir and yDir span the rectangles.
        low: x and y of the first.
        high: x and y of the second.
        heights: of both over the plane, rising.
        step: what is drawn, for the message.
    """
    rings = [rectangle(*sides, height) for sides, height in zip((low, high), heights, strict=True)]
    return stacked([placed(plane, ring) for ring in rings], step)


def placed(plane: cq.Plane, points: Array) -> Array:
    """Points (n, 3) of a plane's own x, y and height, where the plane is, mm."""
    axes = np.array([axis.toTuple() for axis in (plane.xDir, plane.yDir, plane.zDir)])
    return np.asarray(np.array(plane.origin.toTuple()) + points @ axes)


def chamfered_prism(
    plane: cq.Plane, outline: Sequence[Point2], height_mm: float, chamfer_mm: float, step: str
) -> cq.Solid:
    """A polygon of the plane extruded along its normal, the edge on the plane chamfered by 45°.

    Args:
        plane: the face on the bed.
        outline: counter-clockwise seen against the normal, no edge shorter than the chamfer takes.
        height_mm: above the plane.
        chamfer_mm: of the rim.
        step: what is drawn, for the message.
    """
    outer = np.array(outline)
    inner = inset(outer, chamfer_mm)
    rings = [
        np.column_stack([ring, np.full(len(ring), height)])
        for ring, height in ((inner, 0.0), (outer, chamfer_mm), (outer, height_mm))
    ]
    return stacked([placed(plane, ring) for ring in rings], step)


def inset(outline: Array, by_mm: float) -> Array:
    """A counter-clockwise polygon (k, 2) with every edge moved inwards; as many corners as before."""
    along = np.roll(outline, -1, axis=0) - outline
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    inwards = np.column_stack([-along[:, 1], along[:, 0]])
    before = np.roll(inwards, 1, axis=0)
    bisector = inwards + before
    return np.asarray(outline + by_mm * bisector / (1 + np.einsum("ij,ij->i", inwards, before))[:, None])
