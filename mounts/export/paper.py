"""A page of lines and words at 1:1, written as SVG in millimetres."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from xml.sax.saxutils import escape

from mounts.units import MM_PER_IN, number, wrapped

Point = tuple[float, float]

LINE_MM = 0.2  # between 0.18 and 0.25 of ISO 128; from memory
TEXT_MM = 3.0  # capitals 2 mm high, read at arm's length; common practice, no source
_TO_BOX_MM, _TO_EDGE_MM = 4.0, 3.0  # air from what is drawn to the frame, and from that to the edge of the paper
_BARS = ((100.0, "100 mm"), (4 * MM_PER_IN, "4 in"))  # long enough that 1 % of scale is a millimetre on a rule
_SAMPLE_MM = 12.0  # long enough for the dashes of a line to show; by eye
_COLUMNS = 96  # letters of TEXT_MM, 158 mm of an upright A4
_TRUE = "Print at 100 %, not to fit: lay a rule on both bars."


@dataclass(frozen=True)
class Line:
    """A polyline, or a polygon that may be filled."""

    points: tuple[Point, ...]
    wide_mm: float = LINE_MM
    dash: str = ""
    closed: bool = False
    fill: str = "none"
    ink: str = "black"

    def svg(self) -> str:
        """The element, y downwards."""
        tag, dashes = (
            "polygon" if self.closed else "polyline",
            f' stroke-dasharray="{self.dash}"' if self.dash else "",
        )
        corners = " ".join(f"{x:.3f},{-y + 0.0:.3f}" for x, y in self.points)
        return (
            f'<{tag} points="{corners}" fill="{self.fill}" stroke="{self.ink}" stroke-width="{self.wide_mm:g}" '
            f'stroke-linejoin="round" stroke-linecap="round"{dashes}/>'
        )


@dataclass(frozen=True)
class Circle:
    """A hole to drill."""

    at: Point
    diameter_mm: float

    @property
    def points(self) -> tuple[Point, ...]:
        """Opposite corners of its box."""
        (x, y), half = self.at, self.diameter_mm / 2
        return (x - half, y - half), (x + half, y + half)

    def svg(self) -> str:
        """The element, y downwards."""
        x, y = self.at
        return (
            f'<circle cx="{x:.3f}" cy="{-y + 0.0:.3f}" r="{self.diameter_mm / 2:.3f}" fill="none" stroke="black" '
            f'stroke-width="{LINE_MM:g}"/>'
        )


@dataclass(frozen=True)
class Text:
    """One line of text that begins, or has its middle, at a point of its base line."""

    at: Point
    words: str
    size_mm: float = TEXT_MM
    middle: bool = False

    @property
    def points(self) -> tuple[Point, ...]:
        """Opposite corners of its box, at the width of a wide font."""
        x, y = self.at
        wide = 0.55 * self.size_mm * len(self.words)
        left = x - wide / 2 if self.middle else x
        return (left, y), (left + wide, y + self.size_mm)

    def svg(self) -> str:
        """The element, y downwards."""
        x, y = self.at
        anchor = ' text-anchor="middle"' if self.middle else ""
        return (
            f'<text x="{x:.3f}" y="{-y + 0.0:.3f}" font-family="sans-serif" font-size="{self.size_mm:g}"{anchor}>'
            f"{escape(self.words)}</text>"
        )


Shape = Line | Circle | Text


@dataclass(frozen=True)
class Legend:
    """What stands under a drawing.

    Attributes:
        heading: first line.
        samples: what is drawn to show what is meant, from the point (0, 0) on; and what it stands for.
        lines: a paragraph each.
    """

    heading: str
    samples: tuple[tuple[tuple[Shape, ...], str], ...]
    lines: tuple[str, ...]


@dataclass
class Paper:
    """Shapes with y upwards, mm, and the box round them.

    Attributes:
        shapes: in the order drawn, the legend's after the drawing's.
        low: left and bottom of what is drawn.
        high: right and top.
        legend: what was written under the drawing; None before.
        drawn: how many of the shapes are the drawing itself.
    """

    shapes: list[Shape] = field(default_factory=list)
    low: list[float] = field(default_factory=lambda: [math.inf, math.inf])
    high: list[float] = field(default_factory=lambda: [-math.inf, -math.inf])
    legend: Legend | None = None
    drawn: int = 0

    def line(
        self,
        points: Sequence[Point],
        *,
        wide_mm: float = LINE_MM,
        dash: str = "",
        closed: bool = False,
        fill: str = "none",
        ink: str = "black",
    ) -> None:
        """A polyline, or a polygon that may be filled.

        Args:
            points: corners, mm, y upwards.
            wide_mm: width of the line.
            dash: lengths of dash and gap as SVG writes them, mm; empty for a full line.
            closed: from the last corner to the first too.
            fill: SVG colour of the inside.
            ink: SVG colour of the line.
        """
        self._add(Line(tuple(points), wide_mm, dash, closed, fill, ink))

    def box(self, low: Point, high: Point, *, dash: str = "", fill: str = "none", ink: str = "black") -> None:
        """A rectangle between two corners.

        Args:
            low: lower left corner, mm.
            high: upper right corner, mm.
            dash: lengths of dash and gap as SVG writes them, mm; empty for a full line.
            fill: SVG colour of the inside.
            ink: SVG colour of the line.
        """
        (x0, y0), (x1, y1) = low, high
        self.line([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], dash=dash, closed=True, fill=fill, ink=ink)

    def circle(self, at: Point, diameter_mm: float) -> None:
        """A circle."""
        self._add(Circle(at, diameter_mm))

    def cross(self, at: Point, size_mm: float) -> None:
        """An upright cross, as long to each side."""
        x, y = at
        self.line([(x - size_mm, y), (x + size_mm, y)])
        self.line([(x, y - size_mm), (x, y + size_mm)])

    def arrow(self, start: Point, end: Point, *, wide_mm: float = LINE_MM, both: bool = False) -> None:
        """A line with a head at its end, or at both.

        Args:
            start: where it begins, mm.
            end: where its head is, mm.
            wide_mm: width of the line.
            both: a head at the start too.
        """
        self.line([start, end], wide_mm=wide_mm)
        for tail, tip in ((start, end), (end, start))[: 2 if both else 1]:
            length = math.dist(tail, tip)
            back = min(2.5, length / 2)
            ux, uy = ((a - b) / length for a, b in zip(tip, tail, strict=True))
            x, y = tip[0] - back * ux, tip[1] - back * uy
            self.line(
                [tip, (x - back / 3 * uy, y + back / 3 * ux), (x + back / 3 * uy, y - back / 3 * ux)],
                closed=True,
                fill="black",
                wide_mm=0.1,
            )

    def text(self, at: Point, words: str, *, size_mm: float = TEXT_MM, middle: bool = False) -> None:
        """One line of text that begins, or has its middle, at a point of its base line.

        Args:
            at: mm, y upwards.
            words: one line.
            size_mm: of the letters.
            middle: the point is under the middle of the line, not its beginning.
        """
        self._add(Text(at, words, size_mm, middle))

    def below(self, lines: Sequence[str], samples: Sequence[tuple[Callable[[float, float], None], str]] = ()) -> None:
        """Legend, words and both bars under everything drawn so far, words wrapped.

        Args:
            lines: a paragraph each, the first one as a heading.
            samples: what draws a sample beginning at a point (x, y), mm, and what it stands for.
        """
        left, y = self.low[0], self.low[1] - TEXT_MM
        heading, *others = lines
        self.drawn, shown = len(self.shapes), []
        y = self._words((left, y), heading, size_mm=4.0)
        for sample, meaning in samples:
            first, at = len(self.shapes), (left, y - 1.6 * TEXT_MM + 1.0)
            sample(*at)
            shown.append((tuple(moved(shape, (-at[0], -at[1])) for shape in self.shapes[first:]), meaning))
            y = self._words((left + _SAMPLE_MM + 2, y), meaning)
        self.legend = Legend(heading, tuple(shown), tuple(others))
        for words in (*others, _TRUE):
            y = self._words((left, y), words)
        for length, name in _BARS:
            y -= 2.6 * TEXT_MM
            self.line([(left, y), (left + length, y)], wide_mm=0.3)
            for end in (left, left + length):
                self.line([(end, y - 1.5), (end, y + 1.5)], wide_mm=0.3)
            self.text((left + length + 2, y - 1.0), name)

    def svg(self, title: str) -> bytes:
        """The page: a box round what is on it, its size told, and a little more."""
        left, bottom = (low - _TO_BOX_MM for low in self.low)
        bottom -= 1.5 * TEXT_MM
        right, top = (high + _TO_BOX_MM for high in self.high)
        self.box((left, bottom), (right, top))
        told = f"this box: {number(right - left, 1)} × {number(top - bottom, 1)} mm"
        self.text((left + 2, bottom + 1.5), told)
        wide, high = right - left + 2 * _TO_EDGE_MM, top - bottom + 2 * _TO_EDGE_MM
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{high:.3f}mm" '
            f'viewBox="{left - _TO_EDGE_MM:.3f} {-top - _TO_EDGE_MM:.3f} {wide:.3f} {high:.3f}">'
        )
        return "\n".join(
            [head, f"<title>{escape(title)}</title>", *(shape.svg() for shape in self.shapes), "</svg>\n"]
        ).encode()

    def _words(self, at: Point, words: str, *, size_mm: float = TEXT_MM) -> float:
        """A paragraph under a height, wrapped; returns where it ends."""
        x, y = at
        for part in wrapped(words, int(_COLUMNS * TEXT_MM / size_mm)):
            y -= 1.6 * size_mm
            self.text((x, y), part, size_mm=size_mm)
        return y

    def _add(self, shape: Shape) -> None:
        self.shapes.append(shape)
        for x, y in shape.points:
            self.low = [min(self.low[0], x), min(self.low[1], y)]
            self.high = [max(self.high[0], x), max(self.high[1], y)]


def moved(shape: Shape, by: Point) -> Shape:
    """A shape somewhere else."""
    if isinstance(shape, Line):
        return replace(shape, points=tuple((x + by[0], y + by[1]) for x, y in shape.points))
    return replace(shape, at=(shape.at[0] + by[0], shape.at[1] + by[1]))
