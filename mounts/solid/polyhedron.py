"""Bodies of flat faces, built face by face: no boolean, so a thousand faces take a fraction of a second."""

from __future__ import annotations

from collections.abc import Sequence

import cadquery as cq
import numpy as np
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
from OCP.BRepLib import BRepLib
from OCP.gp import gp_Dir, gp_Pln, gp_Pnt
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Shell, TopoDS_Solid

from mounts.frames import Array
from mounts.solid.guard import one_solid

Point2 = tuple[float, float]


def polyhedron(vertices: Array, faces: Sequence[Sequence[int]], step: str) -> cq.Solid:
    """A closed body from its corners and flat faces.

    Args:
        vertices: (n, 3), mm.
        faces: corner indices of each face, counter-clockwise from outside; every edge in exactly two faces.
        step: what is drawn, for the message.

    Raises:
        BuildError: it is not one closed valid solid.
    """
    points = [gp_Pnt(*(float(v) for v in corner)) for corner in vertices]
    edges: dict[tuple[int, int], TopoDS_Edge] = {}
    builder, shell, solid = BRep_Builder(), TopoDS_Shell(), TopoDS_Solid()
    corners = [cq.Vertex.makeVertex(*(float(v) for v in corner)).wrapped for corner in vertices]
    builder.MakeShell(shell)
    for face in faces:
        wire = BRepBuilderAPI_MakeWire()
        for start, end in zip(face, [*face[1:], face[0]], strict=True):
            key = (min(start, end), max(start, end))
            if key not in edges:
                edges[key] = BRepBuilderAPI_MakeEdge(corners[key[0]], corners[key[1]]).Edge()
            edge = edges[key]
            wire.Add(edge if start < end else TopoDS.Edge_s(edge.Reversed()))
        normal = _normal(vertices[list(face)])
        plane = gp_Pln(points[face[0]], gp_Dir(*(float(v) for v in normal)))
        builder.Add(shell, BRepBuilderAPI_MakeFace(plane, wire.Wire(), True).Face())
    shell.Closed(True)
    builder.MakeSolid(solid)
    builder.Add(solid, shell)
    BRepLib.OrientClosedSolid_s(solid)
    return one_solid(cq.Solid(solid), step)


def _normal(corners: Array) -> Array:
    """Newell's normal of a flat polygon (k, 3), unit length."""
    following = np.roll(corners, -1, axis=0)
    area = np.cross(corners - corners[0], following - corners[0]).sum(axis=0)
    return np.asarray(area / np.linalg.norm(area))


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
    return stacked([_placed(plane, ring) for ring in rings], step)


def _placed(plane: cq.Plane, points: Array) -> Array:
    return np.array([plane.toWorldCoords(tuple(float(v) for v in point)).toTuple() for point in points])


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
    return stacked([_placed(plane, ring) for ring in rings], step)


def inset(outline: Array, by_mm: float) -> Array:
    """A counter-clockwise polygon (k, 2) with every edge moved inwards; as many corners as before."""
    along = np.roll(outline, -1, axis=0) - outline
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    inwards = np.column_stack([-along[:, 1], along[:, 0]])
    before = np.roll(inwards, 1, axis=0)
    bisector = inwards + before
    return np.asarray(outline + by_mm * bisector / (1 + np.einsum("ij,ij->i", inwards, before))[:, None])
