"""Names beside a picture: text in the left and right margins, a thin line from each to its point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mounts.frames import Array, Vector

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageFont import FreeTypeFont, ImageFont

# of labels beside a picture, by eye
_TEXT_PX = 19
_ROW_PX = 30
_GAP_PX = 8
_EDGE_PX = 16
_DOT_PX = 3.5
_INK = (38, 42, 48)
_DRAWABLE = frozenset(map(chr, range(32, 127))) | {"°", "±"}  # what the font that comes with Pillow has


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
    font = _font(1)
    return int(max(font.getlength(label.text) for label in labels)) + _EDGE_PX + 2 * _GAP_PX


def draw_labels(picture: Image, labels: Sequence[Label], points_px: Array, *, at_left: bool, scale: int) -> None:
    """Writes names in one margin, in the order of their points from top to bottom.

    Args:
        picture: RGB, drawn on in place.
        labels: what to write.
        points_px: (n, 2), their points in pixels of the picture.
        at_left: in the left margin, else in the right one.
        scale: pixels of the picture for each one of the final size.

    Raises:
        ValueError: a text has a character that the font lacks.
    """
    from PIL import ImageDraw

    draw = ImageDraw.Draw(picture)
    font = _font(scale)
    width, height = picture.size
    order = sorted(range(len(labels)), key=lambda i: (points_px[i, 1], points_px[i, 0]))
    rows = _rows([float(points_px[i, 1]) for i in order], _ROW_PX * scale, height)
    for i, y in zip(order, rows, strict=True):
        text = labels[i].text
        if not _DRAWABLE.issuperset(text):
            raise ValueError(f"the picture's font cannot write {text!r}")
        length = font.getlength(text)
        left = _EDGE_PX * scale if at_left else width - _EDGE_PX * scale - length
        start = left + length + _GAP_PX * scale if at_left else left - _GAP_PX * scale
        point = (float(points_px[i, 0]), float(points_px[i, 1]))
        draw.line([(start, y), point], fill="white", width=4 * scale)
        draw.line([(start, y), point], fill=_INK, width=scale)
        draw.circle(point, _DOT_PX * scale, fill=_INK, outline="white", width=scale)
        draw.text((left, y), text, font=font, fill=_INK, anchor="lm")


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


def _font(scale: int) -> FreeTypeFont | ImageFont:
    from PIL import ImageFont

    return ImageFont.load_default(size=_TEXT_PX * scale)
