"""A bed-load seen from above: which part lies where."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from mounts.book.sheets import GREY, LIGHT, Box, Sheets, width_mm
from mounts.export.paper import Point
from mounts.export.plates import Bed, Place, Plate
from mounts.mesh import PartMesh
from mounts.report.layout import PlateRow

Rings = tuple[tuple[Point, ...], ...]

_NUMBER_MM = 3.0  # height of the figures on parts; by eye


@dataclass(frozen=True)
class Load:
    """One plate: its row of the report, the bed, and what lies on it."""

    row: PlateRow
    bed: Bed
    plate: Plate


def silhouette(mesh: PartMesh) -> Rings:
    """Outline of a part as it lies in print, its box's corner at the origin, mm; simplified to a tenth."""
    from manifold3d import Manifold, Mesh64

    solid = Manifold(Mesh64(mesh.vertices_mm, mesh.faces.astype(np.uint64)))
    x, y, _ = mesh.vertices_mm.min(axis=0)
    rings = solid.project().simplify(0.1).translate((-x, -y)).to_polygons()
    return tuple(tuple((float(x), float(y)) for x, y in ring) for ring in rings)


def draw_bed(sheets: Sheets, box: Box, load: Load, outlines: Mapping[tuple[str, str], Rings]) -> None:
    """The bed from above, its front edge below, as large as the box; parts have the numbers of the list beside it.

    Args:
        sheets: drawn on.
        box: to stay in.
        load: the plate.
        outlines: of each part by mount and name.
    """
    bed = load.bed
    scale = min((box.right - box.left) / bed.x_mm, (box.top - box.bottom) / bed.y_mm)
    left, bottom = box.left, box.top - bed.y_mm * scale

    def at(x: float, y: float) -> Point:
        return left + x * scale, bottom + y * scale

    corners = [at(0, 0), at(bed.x_mm, 0), at(bed.x_mm, bed.y_mm), at(0, bed.y_mm)]
    sheets.line(corners, closed=True, wide_mm=0.4)
    for count, place in enumerate(load.plate, start=1):
        for ring in _lying(place, outlines[place.piece.mount, place.piece.part]):
            hole = _area(ring) < 0
            sheets.line([at(x, y) for x, y in ring], closed=True, wide_mm=0.2, fill=(1.0, 1.0, 1.0) if hole else LIGHT)
        x0, y0, x1, y1 = place.box_mm
        x, y = at((x0 + x1) / 2, (y0 + y1) / 2)
        half = width_mm(str(count), _NUMBER_MM, bold=True) / 2 + 0.6
        tall = _NUMBER_MM / 2 + 0.4
        sheets.line(
            [(x - half, y - tall), (x + half, y - tall), (x + half, y + tall), (x - half, y + tall)],
            closed=True, ink=GREY, wide_mm=0.1, fill=(1.0, 1.0, 1.0),
        )  # fmt: skip
        sheets.text((x, y - 0.36 * _NUMBER_MM), str(count), size_mm=_NUMBER_MM, bold=True, align="middle")


def _lying(place: Place, rings: Rings) -> Rings:
    """Outline of a piece on its bed; turned pieces by a quarter to the left."""
    if not place.turned:
        return tuple(tuple((x + place.x_mm, y + place.y_mm) for x, y in ring) for ring in rings)
    wide = place.piece.size_mm[1]
    return tuple(tuple((wide - y + place.x_mm, x + place.y_mm) for x, y in ring) for ring in rings)


def _area(ring: tuple[Point, ...]) -> float:
    """Twice the area, + where it goes round to the left."""
    return math.fsum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))
