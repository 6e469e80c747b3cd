"""Every picture of a layout on one sheet, small, with the name under each."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence

from mounts.export.font import font_file

_WIDE_PX = 400  # of each small picture; by eye
_GAP_PX, _TEXT_PX = 16, 20  # between pictures, and height of the names; by eye
_MOST_COLUMNS = 6  # the sheet stays below 2,600 px
_INK = (38, 42, 48)  # as in callouts.py
_PACKED = 4  # of PNG, 0 to 9


def contact_sheet(pictures: Sequence[tuple[str, bytes]]) -> bytes:
    """A PNG, wider than high.

    Args:
        pictures: name and PNG of each, at least one.
    """
    from PIL import Image, ImageDraw, ImageFont

    small = []
    for _, png in pictures:
        picture = Image.open(io.BytesIO(png)).convert("RGB")
        factor = picture.width / _WIDE_PX
        small.append(picture.resize((_WIDE_PX, round(picture.height / factor)), Image.Resampling.BOX, reducing_gap=2.0))
    columns = min(_MOST_COLUMNS, math.ceil(math.sqrt(len(small) * 1.3)))
    high = max(picture.height for picture in small) + _TEXT_PX + _GAP_PX
    rows = math.ceil(len(small) / columns)
    sheet = Image.new("RGB", (columns * (_WIDE_PX + _GAP_PX) + _GAP_PX, rows * (high + _GAP_PX) + _GAP_PX), "white")
    draw, font = ImageDraw.Draw(sheet), ImageFont.truetype(font_file(), _TEXT_PX)
    for at, (picture, (name, _)) in enumerate(zip(small, pictures, strict=True)):
        x, y = _GAP_PX + at % columns * (_WIDE_PX + _GAP_PX), _GAP_PX + at // columns * (high + _GAP_PX)
        sheet.paste(picture, (x, y))
        text = name
        while font.getlength(text) > _WIDE_PX:
            text = text[:-2] + "…"
        draw.text((x + _WIDE_PX / 2, y + high - _TEXT_PX), text, font=font, fill=_INK, anchor="mt")
    out = io.BytesIO()
    sheet.save(out, "PNG", compress_level=_PACKED)
    return out.getvalue()
