"""Sheets of a PDF in millimetres, y upwards from the lower left corner; the only module that knows the PDF library."""

from __future__ import annotations

import io
import struct
from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from typing import Any, Literal, NamedTuple

from mounts.export.font import font_file
from mounts.export.paper import Point
from mounts.units import HELD, MM_PER_IN, held

PaperName = Literal["a4", "letter"]
Align = Literal["left", "middle", "right"]
Rgb = tuple[float, float, float]

BLACK: Rgb = (0.0, 0.0, 0.0)  # 0 to 1 each
GREY: Rgb = (0.45, 0.45, 0.45)  # still read at arm's length; by eye
LIGHT: Rgb = (0.9, 0.9, 0.9)  # words on it are read; by eye
TEXT_MM = 3.3  # height of the font: 9.4 points, to be read at arm's length
LEADING = 1.32  # from line to line over the height of the font; by eye
BARS = ((100.0, "100 mm"), (4 * MM_PER_IN, "4 in"))  # lengths that rules have
_PT_PER_MM = 72.0 / MM_PER_IN  # points of PDF (ISO 32000-1, 8.3.2.3)
# ISO 216; ANSI/ASME Y14.1
_SIZES: dict[PaperName, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (8.5 * MM_PER_IN, 11 * MM_PER_IN)}
_REGULAR, _BOLD = "DejaVuSans", "DejaVuSans-Bold"
_MISSING = "\u25a1"
_WORDS_KEPT = 4096  # widths of words remembered: a book repeats some hundreds
_PNG_HEAD = 8  # bytes of the signature (PNG, 5.2)


class Box(NamedTuple):
    """A rectangle, mm."""

    left: float
    bottom: float
    right: float
    top: float


class Sheets:
    """Pages drawn one after the other. Lengths are mm, widths of text those of its glyphs.

    Args:
        paper: size of every page.
        title: of the document.
    """

    def __init__(self, paper: PaperName, title: str) -> None:
        from reportlab import rl_config
        from reportlab.pdfgen.canvas import Canvas

        rl_config.useA85 = 0  # streams as they are: as text (ISO 32000-1, 7.4.3) they are a quarter longer
        _fonts()
        self.wide, self.high = _SIZES[paper]
        self._out = io.BytesIO()
        size = (self.wide * _PT_PER_MM, self.high * _PT_PER_MM)
        self._canvas: Any = Canvas(self._out, pagesize=size, invariant=1, pageCompression=1)
        self._canvas.setTitle(title)
        self._canvas.setCreator("turnout-mounts")
        self._canvas.setProducer("turnout-mounts")
        self._canvas.setViewerPreference("PrintScaling", "None")
        self._images = 0
        self._level = -1
        self.count = 1
        self.begun = False

    def turn(self) -> None:
        """Begins the next page."""
        self._canvas.showPage()
        self.count += 1

    def done(self) -> bytes:
        """The document; nothing can be drawn any more."""
        self._canvas.showPage()
        self._canvas.save()
        return self._out.getvalue()

    def bookmark(self, key: str, name: str, level: int) -> None:
        """A place that links lead to, and an entry of the outline that does."""
        self._canvas.bookmarkPage(key)
        self._level = min(level, self._level + 1)
        self._canvas.addOutlineEntry(name, key, self._level, closed=level > 0)

    def link(self, box: Box, key: str) -> None:
        """A rectangle that leads to a bookmark."""
        rect = (box.left * _PT_PER_MM, box.bottom * _PT_PER_MM, box.right * _PT_PER_MM, box.top * _PT_PER_MM)
        self._canvas.linkRect("", key, rect, thickness=0)

    def text(
        self,
        at: Point,
        words: str,
        *,
        size_mm: float = TEXT_MM,
        bold: bool = False,
        align: Align = "left",
        ink: Rgb = BLACK,
    ) -> None:
        """One line, from, about or up to a point of its base line.

        Args:
            at: that point, mm.
            words: the line.
            size_mm: of the font.
            bold: in the bold one.
            align: where the point is of it.
            ink: its colour.
        """
        words = writable(words)
        x = at[0] - {"left": 0.0, "middle": 0.5, "right": 1.0}[align] * width_mm(words, size_mm, bold=bold)
        self._canvas.setFillColorRGB(*ink)
        self._canvas.setFont(_BOLD if bold else _REGULAR, size_mm * _PT_PER_MM)
        self._canvas.drawString(x * _PT_PER_MM, at[1] * _PT_PER_MM, words)

    def line(
        self,
        points: Sequence[Point],
        *,
        wide_mm: float = 0.2,
        dash: Sequence[float] = (),
        closed: bool = False,
        ink: Rgb | None = BLACK,
        fill: Rgb | None = None,
    ) -> None:
        """A polyline, or a polygon.

        Args:
            points: corners, mm.
            wide_mm: width of the line.
            dash: lengths of dashes and gaps, mm; none: a full line.
            closed: from the last corner to the first too.
            ink: colour of the line; None: there is none.
            fill: colour of the inside; None: it is clear.
        """
        path = self._canvas.beginPath()
        (x, y), *others = points
        path.moveTo(x * _PT_PER_MM, y * _PT_PER_MM)
        for x, y in others:
            path.lineTo(x * _PT_PER_MM, y * _PT_PER_MM)
        if closed:
            path.close()
        self._pen(wide_mm, dash, ink, fill)
        self._canvas.drawPath(path, stroke=int(ink is not None), fill=int(fill is not None))

    def circle(
        self, at: Point, diameter_mm: float, *, wide_mm: float = 0.2, ink: Rgb | None = BLACK, fill: Rgb | None = None
    ) -> None:
        """A circle.

        Args:
            at: its middle, mm.
            diameter_mm: of the middle of its line.
            wide_mm: width of the line.
            ink: colour of the line; None: there is none.
            fill: colour of the inside; None: it is clear.
        """
        self._pen(wide_mm, (), ink, fill)
        x, y, radius = (value * _PT_PER_MM for value in (*at, diameter_mm / 2))
        self._canvas.circle(x, y, radius, stroke=int(ink is not None), fill=int(fill is not None))

    def picture(self, png: bytes, box: Box) -> None:
        """An opaque RGB PNG, filling a box; its packed rows go into the document as they are."""
        from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName, PDFStream

        wide, high, rows = _png_rows(png)
        how = PDFDictionary({"Predictor": 15, "Colors": 3, "BitsPerComponent": 8, "Columns": wide})
        kind = {
            "Type": PDFName("XObject"), "Subtype": PDFName("Image"), "Width": wide, "Height": high,
            "ColorSpace": PDFName("DeviceRGB"), "BitsPerComponent": 8, "Filter": PDFArray([PDFName("FlateDecode")]),
            "DecodeParms": PDFArray([how]),
        }  # fmt: skip
        name = f"picture{self._images}"
        self._images += 1
        self._canvas._doc.addForm(name, PDFStream(PDFDictionary(kind), rows))
        self._canvas.saveState()
        self._canvas.translate(box.left * _PT_PER_MM, box.bottom * _PT_PER_MM)
        self._canvas.scale((box.right - box.left) * _PT_PER_MM, (box.top - box.bottom) * _PT_PER_MM)
        self._canvas.doForm(name)
        self._canvas.restoreState()

    def clip(self, box: Box) -> None:
        """Shows nothing outside of a box until ``unclip``."""
        self._canvas.saveState()
        path = self._canvas.beginPath()
        path.rect(
            box.left * _PT_PER_MM, box.bottom * _PT_PER_MM, (box.right - box.left) * _PT_PER_MM,
            (box.top - box.bottom) * _PT_PER_MM,
        )  # fmt: skip
        self._canvas.clipPath(path, stroke=0, fill=0)

    def unclip(self) -> None:
        """Ends ``clip``."""
        self._canvas.restoreState()

    def _pen(self, wide_mm: float, dash: Sequence[float], ink: Rgb | None, fill: Rgb | None) -> None:
        self._canvas.setLineWidth(wide_mm * _PT_PER_MM)
        self._canvas.setLineCap(1)
        self._canvas.setLineJoin(1)
        self._canvas.setDash([part * _PT_PER_MM for part in dash])
        if ink is not None:
            self._canvas.setStrokeColorRGB(*ink)
        if fill is not None:
            self._canvas.setFillColorRGB(*fill)


def png_size(png: bytes) -> tuple[int, int]:
    """Width and height of a PNG, pixels."""
    wide, high = struct.unpack(">II", png[_PNG_HEAD + 8 : _PNG_HEAD + 16])
    return wide, high


def _png_rows(png: bytes) -> tuple[int, int, bytes]:
    """Width, height and the packed rows of an opaque RGB PNG of 8 bits, not interlaced.

    Source: PNG specification (W3C), 5 and 11.2; PDF's predictor 15 is PNG's own (ISO 32000-1, 7.4.4.4).

    Raises:
        ValueError: another kind of PNG.
    """
    depth, colour, _, _, interlaced = struct.unpack(">BBBBB", png[_PNG_HEAD + 16 : _PNG_HEAD + 21])
    if (depth, colour, interlaced) != (8, 2, 0):
        raise ValueError("a picture must be RGB with 8 bits a colour, not interlaced")
    at, rows = _PNG_HEAD, b""
    while at < len(png):
        length = int.from_bytes(png[at : at + 4], "big")
        if png[at + 4 : at + 8] == b"IDAT":
            rows += png[at + 8 : at + 8 + length]
        at += 12 + length
    return *png_size(png), rows


@cache
def _fonts() -> tuple[Any, Any]:
    """Regular and bold, registered."""
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    found = TTFont(_REGULAR, str(font_file())), TTFont(_BOLD, str(font_file(bold=True)))
    for font in found:
        registerFont(font)
    return found


def width_mm(words: str, size_mm: float = TEXT_MM, *, bold: bool = False) -> float:
    """How wide a line is."""
    return size_mm * _wide(words, bold)


@lru_cache(maxsize=_WORDS_KEPT)
def _wide(words: str, bold: bool) -> float:
    return sum(_advance(sign, bold) for sign in words)


@cache
def _advance(sign: str, bold: bool) -> float:
    """Width of a sign, of the font's size; lines are not kerned."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(writable(sign), _BOLD if bold else _REGULAR, 1.0))


def writable(words: str) -> str:
    """The words with a box for every sign that the font lacks."""
    known = _fonts()[0].face.charToGlyph
    return "".join(sign if ord(sign) in known else _MISSING for sign in words)


def folded(words: str, room_mm: float, size_mm: float = TEXT_MM, *, bold: bool = False) -> Iterator[str]:
    """Lines that fit a width; a word that does not is cut.

    Args:
        words: a paragraph.
        room_mm: the width.
        size_mm: of the font.
        bold: in the bold one.
    """
    line, used, space = "", 0.0, width_mm(" ", size_mm, bold=bold)
    for word in (part.replace(HELD, " ") for part in held(" ".join(words.split())).split(" ")):
        wide = width_mm(word, size_mm, bold=bold)
        if (used + space if line else 0.0) + wide <= room_mm:
            line, used = (f"{line} {word}", used + space + wide) if line else (word, wide)
            continue
        if line:
            yield line
        line = word
        while width_mm(line, size_mm, bold=bold) > room_mm:
            fits = next(
                n for n in range(len(line) - 1, 0, -1) if n == 1 or width_mm(line[:n], size_mm, bold=bold) <= room_mm
            )
            yield line[:fits]
            line = line[fits:]
        used = width_mm(line, size_mm, bold=bold)
    if line:
        yield line
