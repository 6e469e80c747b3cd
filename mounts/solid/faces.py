"""Holes and letters drawn into the flat faces of a body, with no boolean: that takes ten times as long."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import cadquery as cq
import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Builder
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepClass import BRepClass_FaceClassifier
from OCP.Geom import Geom_Plane
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.gp import gp_Ax1, gp_Pln
from OCP.TopAbs import TopAbs_State
from OCP.TopoDS import TopoDS_Face, TopoDS_Wire
from shapely.geometry import MultiLineString, MultiPoint, MultiPolygon, Polygon
from shapely.geometry.polygon import orient

from mounts.errors import BuildError
from mounts.frames import Array, crossed
from mounts.solid.guard import one_body
from mounts.solid.polyhedron import FLAT_MM, Drawn, Point2, closed, placed, stacked

_APART_MM = 1e-3  # what is drawn on a face from that face's edges
_PARALLEL_RAD = 1e-6  # of two planes: a micrometre in a metre
_ARC_POINTS = 25  # of a round edge, to see how near it comes
_OVER_MM = 0.1  # that a tool stands out before and behind, for a clean cut
_Ring = list[int]


@dataclass(frozen=True)
class Hole:
    """From one flat face right through to the one behind it, or to a floor.

    Attributes:
        plane: of the face before, its normal out of the body.
        rings: of as many corners each, x and y in the plane, counter-clockwise, edges parallel from ring to ring; and
            how deep below the plane each lies. The first is 0 deep, the last in the face behind or round the floor.
        blind: it has a floor.
    """

    plane: cq.Plane
    rings: Sequence[tuple[Sequence[Point2], float]]
    blind: bool = False

    def corners(self) -> Array:
        """Of all rings, one after another, in the plane's own axes (n, 3), mm."""
        return np.array([(x, y, -deep) for ring, deep in self.rings for x, y in ring])

    def tool(self, step: str) -> cq.Solid:
        """What a boolean would cut."""
        corners = placed(self.plane, self.corners()).reshape(len(self.rings), -1, 3)
        out = np.array(self.plane.zDir.toTuple()) * _OVER_MM
        behind = () if self.blind else (corners[-1] - out,)
        return stacked([*behind, *corners[::-1], corners[0] + out], step)


def pierced(body: cq.Shape, holes: Sequence[Hole], step: str) -> cq.Shape:
    """A body with holes; those that meet an edge, another hollow or each other are cut.

    Args:
        body: one solid.
        holes: in any order.
        step: what is drawn, for the message.

    Raises:
        BuildError: it is not one body.
    """
    redrawn = _Redrawn(one_body(body, step))
    met = [hole for hole in holes if not redrawn.pierce(hole)]
    done = redrawn.body()
    return done.cut(*(hole.tool(step) for hole in met)) if met else done


def written(body: cq.Shape, plane: cq.Plane, letters: MultiPolygon, height_mm: float, step: str) -> cq.Shape:
    """A body with letters on a flat face of it: raised, or sunk where the height is negative.

    Args:
        body: one solid.
        plane: of the face, its normal out of the body.
        letters: in the plane's x and y, apart from the edges of the face.
        height_mm: over the face.
        step: what is written, for the message.

    Raises:
        BuildError: it is not one body, or has no flat face with room for all letters.
    """
    redrawn = _Redrawn(one_body(body, step))
    if not redrawn.write(plane, letters, height_mm):
        raise BuildError(f"could not {step}; it has no room on one flat face")
    return redrawn.body()


class _Redrawn:
    """The faces of a body, some of them with holes that lead to other faces."""

    def __init__(self, body: cq.Solid) -> None:
        self._faces = body.Faces()
        self._planes: dict[int, gp_Pln] = {}
        self._wires: dict[int, list[TopoDS_Wire]] = {}
        self._more: list[TopoDS_Face] = []
        self._taken: list[tuple[Array, Array]] = []  # boxes round what was pierced

    def body(self) -> cq.Solid:
        """As it is now."""
        same = [face.wrapped for n, face in enumerate(self._faces) if n not in self._planes]
        return closed([*same, *map(self._ground, self._planes), *self._more])

    def pierce(self, hole: Hole) -> bool:
        """Draws a hole, if nothing is in its way."""
        plane, (first, _), (last, deep) = hole.plane, hole.rings[0], hole.rings[-1]
        behind = cq.Plane(plane.origin - plane.zDir * deep, plane.xDir, plane.zDir)
        near, corners = self._at(plane, first), placed(plane, hole.corners())
        far = None if hole.blind else self._at(behind, last)
        if near is None or (far is None and not hole.blind) or self._blocked(hole, corners, (near, far)):
            return False
        self._taken.append((corners.min(axis=0), corners.max(axis=0)))
        flat, count = Drawn(corners), len(first)
        rings = [list(range(start, start + count)) for start in range(0, len(corners), count)]
        self._open(near, plane, flat.wire(rings[0][::-1]))
        if far is None:
            self._more.append(flat.face([rings[-1]], plane.zDir.toTuple()))
        else:
            self._open(far, cq.Plane(behind.origin, plane.xDir, -plane.zDir), flat.wire(rings[-1]))
        for foot, edge in pairwise(rings):
            self._more += _sides(flat, corners, foot, edge)
        return True

    def write(self, plane: cq.Plane, letters: MultiPolygon, height_mm: float) -> bool:
        """Draws letters, if one face holds them."""
        at = self._at(plane, letters)
        if at is None:
            return False
        corners: list[tuple[float, float, float]] = []
        rings: list[tuple[list[_Ring], list[_Ring]]] = []  # of each letter, on the face and over it
        for letter in map(orient, letters.geoms):
            lines = [list(ring.coords)[:-1] for ring in (letter.exterior, *letter.interiors)]
            both = []
            for height in (0.0, height_mm):
                starts = np.cumsum([len(corners), *map(len, lines)]).tolist()
                both.append([list(range(start, end)) for start, end in pairwise(starts)])
                corners += [(x, y, height) for line in lines for x, y in line]
            rings.append((both[0], both[1]))
        points, out = placed(plane, np.array(corners)), plane.zDir.toTuple()
        flat = Drawn(points)
        for low, high in rings:
            self._open(at, plane, flat.wire(low[0][::-1]))
            self._more += [flat.face([counter[::-1]], out) for counter in low[1:]]
            self._more.append(flat.face(high, out))
            for foot, edge in zip(low, high, strict=True):
                self._more += _sides(flat, points, foot, edge)
        return True

    def _open(self, at: int, plane: cq.Plane, wire: TopoDS_Wire) -> None:
        self._planes[at] = gp_Pln(plane.origin.toPnt(), plane.zDir.toDir())
        self._wires.setdefault(at, []).append(wire)

    def _ground(self, at: int) -> TopoDS_Face:
        """A face with its new holes."""
        face, builder = TopoDS_Face(), BRep_Builder()
        builder.MakeFace(face, Geom_Plane(self._planes[at]), FLAT_MM)
        for wire in (*(wire.wrapped for wire in self._faces[at].Wires()), *self._wires.get(at, ())):
            builder.Add(face, wire)
        return face

    def _at(self, plane: cq.Plane, drawn: MultiPolygon | Sequence[Point2]) -> int | None:
        """The flat face in a plane that holds all that is drawn there, or a ring, apart from its edges."""
        drawn = drawn if isinstance(drawn, MultiPolygon) else MultiPolygon([Polygon(drawn)])
        return next((n for n, face in enumerate(self._faces) if _holds(face, plane, drawn)), None)

    def _blocked(self, hole: Hole, corners: Array, ends: tuple[int, int | None]) -> bool:
        """Whether another hole or face comes into the way of a hole with such corners (n, 3): a flat or round face is
        inside the hull of its edges, from wherever it is seen."""
        low, high = corners.min(axis=0) + FLAT_MM, corners.max(axis=0) - FLAT_MM
        if any((lows < high).all() and (highs > low).all() for lows, highs in self._taken):
            return True
        way = MultiPoint([point for ring, _ in hole.rings for point in ring]).convex_hull
        for n, face in enumerate(self._faces):
            box = Bnd_Box()
            BRepBndLib.Add_s(face.wrapped, box)
            box.SetGap(0.0)
            lows, highs = np.split(np.array(box.Get()), 2)
            if n in ends or (lows >= high).any() or (highs <= low).any():
                continue
            if MultiPoint(np.concatenate(_edges(face, hole.plane))).convex_hull.distance(way) < _APART_MM:
                return True
        return False


def _edges(face: cq.Face, plane: cq.Plane) -> list[Array]:
    """Points (n, 2) along each edge of a face, in a plane's x and y, mm."""
    to_plane = np.array([axis.toTuple() for axis in (plane.xDir, plane.yDir)]).T
    lines = []
    for edge in face.Edges():
        along = (0.0, 1.0) if edge.geomType() == "LINE" else np.linspace(0.0, 1.0, _ARC_POINTS).tolist()
        points = np.array([point.toTuple() for point in edge.positions(along)])
        lines.append((points - plane.origin.toTuple()) @ to_plane)
    return lines


def _sides(flat: Drawn, points: Array, foot: _Ring, edge: _Ring) -> Iterator[TopoDS_Face]:
    """The flat faces from a ring of corners to one of as many."""
    for a, b, c, d in zip(foot, [*foot[1:], foot[0]], [*edge[1:], edge[0]], edge, strict=True):
        yield flat.face([[a, b, c, d]], crossed(points[b] - points[a], points[d] - points[a]).tolist())


def _holds(face: cq.Face, plane: cq.Plane, drawn: MultiPolygon) -> bool:
    surface = BRepAdaptor_Surface(face.wrapped)
    if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_Plane:
        return False
    own, here = surface.Plane(), plane.origin.toPnt()
    if not own.Axis().IsParallel(gp_Ax1(here, plane.zDir.toDir()), _PARALLEL_RAD) or own.Distance(here) > FLAT_MM:
        return False
    if MultiLineString(_edges(face, plane)).distance(drawn) < _APART_MM:
        return False
    inside = BRepClass_FaceClassifier()
    for piece in drawn.geoms:
        inside.Perform(face.wrapped, plane.toWorldCoords(piece.exterior.coords[0]).toPnt(), FLAT_MM)
        if inside.State() != TopAbs_State.TopAbs_IN:
            return False
    return True
