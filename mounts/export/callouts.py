"""Names beside a picture: text in the left and right margins, a thin line from each to its point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from typing import TYPE_CHECKING

from mounts.frames import Array, Vector

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageFont import FreeTypeFont, ImageFont

# of labels beside a picture, by eye
_TEXT_PX = 24
_ROW_PX = 36
_GAP_PX = 8
_EDGE_PX = 16
_DOT_PX = 3.5
_FINER = 2  # lines and dots are drawn so many times as large, each way, and laid over the picture
_INK = (38, 42, 48)
_DRAWABLE = frozenset(map(chr, range(32, 127))) | {"°", "±"}  # what the font that comes with Pillow has

Px = tuple[float, float]


@dataclass(frozen=True)
class Label:
    """A name for a place.

    Attributes:
        point: where the line ends, frame of the picture's bodies, mm.
        text: one line of ASCII, ° and ±.
    """

    point: Vector
    text: str


def margin_px(labels: Sequence[Label]) -> int:
    """How much of the picture's width the names of one side need."""
    if not labels:
        return 0
    font = _font()
    return int(max(font.getlength(label.text) for label in labels)) + _EDGE_PX + 2 * _GAP_PX


def draw_labels(picture: Image, sides: Sequence[tuple[Sequence[Label], Array]]) -> None:
    """Writes names in the left margin and in the right one, each on the row from which its line crosses no other.

    Args:
        picture: RGB, drawn on in place.
        sides: for the left and the right margin what to write, and (n, 2) the points in pixels of the picture.

    Raises:
        ValueError: a text has a character that the font lacks.
    """
    from PIL import Image, ImageDraw

    if not any(labels for labels, _ in sides):
        return
    wide, high = picture.size
    masks = [Image.new("L", (wide * _FINER, high * _FINER)) for _ in range(2)]
    halo, line = (ImageDraw.Draw(mask) for mask in masks)
    draw, font = ImageDraw.Draw(picture), _font()
    for (labels, points_px), at_left in zip(sides, (True, False), strict=True):
        inner = margin_px(labels) - _GAP_PX
        column = float(inner if at_left else wide - inner)
        points = [(float(x), float(y)) for x, y in points_px]
        heights = uncrossed(column, _rows(sorted(y for _, y in points), _ROW_PX, high), points)
        for label, point, y in zip(labels, points, heights, strict=True):
            if not _DRAWABLE.issuperset(label.text):
                raise ValueError(f"the picture's font cannot write {label.text!r}")
            length = font.getlength(label.text)
            left = _EDGE_PX if at_left else wide - _EDGE_PX - length
            start = left + length + _GAP_PX if at_left else left - _GAP_PX
            way = [(x * _FINER, y * _FINER) for x, y in ((start, y), (column, y), point)]
            for drawn, wider in ((halo, 3.0), (line, 1.0)):
                drawn.line(way, fill=255, width=round(wider * _FINER), joint="curve")
                drawn.circle(way[-1], (_DOT_PX + (wider - 1) / 2) * _FINER, fill=255)
            draw.text((left, y), label.text, font=font, fill=_INK, anchor="lm")
    for mask, colour in zip(masks, ((255, 255, 255), _INK), strict=True):
        picture.paste(colour, (0, 0, wide, high), mask.reduce(_FINER))


def uncrossed(column: float, rows: Sequence[float], points: Sequence[Px]) -> list[float]:
    """A row for each point such that the straight lines to them from one column do not cross.

    Two lines that cross are longer than the two with their rows exchanged, so exchanging comes to an end.

    Args:
        column: x where every line begins.
        rows: heights, as many as points.
        points: where they end, all on one side of the column.
    """
    given = sorted(range(len(points)), key=lambda at: (points[at][1], points[at][0]))
    row_of = [0.0] * len(points)
    for at, row in zip(given, rows, strict=True):
        row_of[at] = row
    crossing = True
    while crossing:
        crossing = False
        for a, b in combinations(range(len(points)), 2):
            if cross((column, row_of[a]), points[a], (column, row_of[b]), points[b]):
                row_of[a], row_of[b] = row_of[b], row_of[a]
                crossing = True
    return row_of


def cross(a: Px, b: Px, c: Px, d: Px) -> bool:
    """Whether two straight lines pass through each other between their ends.

    Args:
        a: where the one begins.
        b: where it ends.
        c: where the other begins.
        d: where it ends.
    """

    def side(p: Px, q: Px, r: Px) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def _rows(wanted: Sequence[float], distance: float, height: float) -> list[float]:
    """Heights as near to the wanted ones, given from top to bottom, as the distance between rows allows."""
    rows: list[float] = []
    for y in wanted:
        rows.append(max(y, rows[-1] + distance if rows else distance))
    lowest = height - distance
    for i in range(len(rows) - 1, -1, -1):
        rows[i] = min(rows[i], lowest)
        lowest = rows[i] - distance
    return rows


@cache
def _font() -> FreeTypeFont | ImageFont:
    from PIL import ImageFont

    return ImageFont.load_default(size=_TEXT_PX)
