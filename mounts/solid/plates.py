"""Flat bodies: a plate with a chamfered bed edge, and prisms of any outline."""

from __future__ import annotations

from collections.abc import Sequence

import cadquery as cq

Point2 = tuple[float, float]


def rounded_rectangle(x: Point2, y: Point2, z: float, corner_mm: float) -> cq.Wire:
    """A rectangle x[0]..x[1], y[0]..y[1] at height z with rounded corners, as a closed wire.

    Args:
        x: low and high edge, mm.
        y: the same.
        z: height, mm.
        corner_mm: radius of the corners.
    """
    sketch = cq.Workplane(cq.Plane((sum(x) / 2, sum(y) / 2, z))).rect(x[1] - x[0], y[1] - y[0])
    return sketch.val().fillet2D(corner_mm, sketch.val().Vertices())  # type: ignore[no-any-return, union-attr]


def chamfered_plate(
    x: Point2,
    y: Point2,
    *,
    top_z: float,
    thickness_mm: float,
    corner_mm: float,
    chamfer_mm: float,
    holes: Sequence[tuple[float, float, float]],
) -> cq.Shape:
    """A plate with rounded corners whose top edge, the one that lies on the bed, is chamfered.

    Args:
        x: first and last x, mm.
        y: first and last y, mm.
        top_z: height of the chamfered face; the plate hangs below it.
        thickness_mm: plate thickness.
        corner_mm: radius of the upright edges.
        chamfer_mm: of the outer top edge, against elephant's foot.
        holes: x, y, diameter of plain upright holes, mm.
    """
    circles = [
        cq.Wire.makeCircle(diameter / 2, cq.Vector(cx, cy, top_z), cq.Vector(0, 0, 1)) for cx, cy, diameter in holes
    ]
    body = cq.Solid.extrudeLinear(rounded_rectangle(x, y, top_z, corner_mm), circles, cq.Vector(0, 0, -thickness_mm))
    return chamfered(body, ">Z", chamfer_mm)


def chamfered(body: cq.Shape, face: str, chamfer_mm: float) -> cq.Shape:
    """The body with the outer rim of a face chamfered; the face named by a selector, ``">Z"``."""
    rim = max(body.faces(face).Wires(), key=lambda wire: wire.Length())
    solid = body if isinstance(body, cq.Solid) else body.Solids()[0]
    return cq.Shape.cast(solid.chamfer(chamfer_mm, None, rim.Edges()).wrapped)


def prism(
    plane: cq.Plane,
    outline: Sequence[Point2],
    height_mm: float,
    holes: Sequence[Sequence[Point2]] = (),
    bores: Sequence[tuple[Point2, float]] = (),
) -> cq.Solid:
    """A polygon of the plane extruded along its normal (a negative height: against it), with holes.

    Args:
        plane: that the polygons lie in.
        outline: corners, mm, in the plane's own axes.
        height_mm: along the normal.
        holes: polygons as the outline, cut right through.
        bores: axis and diameter of round ones: a countersink cut into facets takes the kernel ten times as long.
    """

    def wire(points: Sequence[Point2]) -> cq.Wire:
        return cq.Wire.makePolygon([plane.toWorldCoords(point) for point in points], close=True)

    round_ones = [cq.Wire.makeCircle(wide / 2, plane.toWorldCoords(at), plane.zDir) for at, wide in bores]
    within = [*(wire(hole) for hole in holes), *round_ones]
    return cq.Solid.extrudeLinear(wire(outline), within, plane.zDir * height_mm)
