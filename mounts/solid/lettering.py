"""Letters drawn with a round pen of one width, so that every stroke is as wide as the printer can draw."""

from __future__ import annotations

import unicodedata
from functools import lru_cache

import cadquery as cq
from HersheyFonts import HersheyFonts
from shapely import affinity
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.ops import unary_union

_CAPITALS = 0.75  # of the font's cell
_OFF_SHARE = 0.07  # of the pen, that an outline may be off: no printer shows it, and each corner is a face of the solid


@lru_cache(maxsize=1)
def _font() -> HersheyFonts:
    """The plainest of the public-domain Hershey fonts (National Bureau of Standards, 1967)."""
    font = HersheyFonts()
    font.load_default_font("futural")
    return font


def outline(text: str, *, capital_mm: float, pen_mm: float, room_mm: tuple[float, float]) -> MultiPolygon:
    """The written text as polygons, centred on the origin, reading along +x.

    Where the text is higher than the room it is drawn smaller; where it is then wider it is drawn narrower,
    down to half the width, and if that is not enough its front is left off: numbers at the end are what
    tells mounts apart.

    Args:
        text: accents are left off, characters the font lacks are skipped.
        capital_mm: height of a capital, pen included.
        pen_mm: width of a stroke.
        room_mm: width and height it must stay within.

    Returns:
        The polygons; empty when nothing of the text can be drawn in the room.
    """
    width, height = room_mm
    plain = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    font = _font()
    font.normalize_rendering((capital_mm - pen_mm) / _CAPITALS)
    for start in range(len(plain)):
        lines = [LineString(stroke) for stroke in font.strokes_for_text(plain[start:]) if len(stroke) > 1]
        if not lines:
            continue
        drawn = unary_union(lines)
        left, low, right, high = drawn.bounds
        lower = min(1.0, (height - pen_mm) / (high - low)) if high > low else 1.0
        narrower = min(lower, (width - pen_mm) / (right - left)) if right > left else lower
        if narrower < 0.5 * lower or lower <= 0:
            continue
        pen = affinity.scale(drawn, narrower, lower).buffer(pen_mm / 2, quad_segs=2)
        # strokes that nearly touch fuse in print; closing them here keeps slivers out of the mesh
        closed = pen.buffer(0.12, quad_segs=2).buffer(-0.12, quad_segs=2).simplify(_OFF_SHARE * pen_mm)
        left, low, right, high = closed.bounds
        centred = affinity.translate(closed, -(left + right) / 2, -(low + high) / 2)
        return MultiPolygon([centred] if isinstance(centred, Polygon) else list(centred.geoms))
    return MultiPolygon()


def standing(plane: cq.Plane, letters: MultiPolygon, height_mm: float) -> list[cq.Solid]:
    """Letters as solids that stand on a plane, to be cut where they may meet an edge of the face."""

    def wire(ring: list[tuple[float, float]]) -> cq.Wire:
        return cq.Wire.makePolygon([plane.toWorldCoords(point) for point in ring[:-1]], close=True)

    return [
        cq.Solid.extrudeLinear(
            wire(list(letter.exterior.coords)),
            [wire(list(hole.coords)) for hole in letter.interiors],
            plane.zDir * height_mm,
        )
        for letter in letters.geoms
    ]
