"""A board of the layout seen from above, reduced: outline, framing, tracks' headings, mounts with their numbers."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from mounts.book.flow import Flow
from mounts.book.sheets import BLACK, GREY, LIGHT, Box, Sheets, width_mm
from mounts.checks.neighbours import Outline
from mounts.export.paper import Point
from mounts.frames import Array
from mounts.inputs.layout import BoardTable, Site
from mounts.units import number

# usual of plans, 1 to so many
_REDUCTIONS = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500)
_HIGHEST_MM = 120.0  # on paper
_EDGE_MM = 6.0  # round a plan on paper
_TRACK_MM = 9.0  # of track drawn on either side of a pin, on paper
_NUMBER_MM = 3.2  # height of the numbers; by eye
_BAR_MM = 10.0  # shortest bar on paper
_AROUND = [(math.cos(turn), math.sin(turn)) for turn in np.linspace(0, 2 * math.pi, 16, endpoint=False)]


@dataclass(frozen=True)
class Stands:
    """A mount on the plan: its number in the book, where it stands, and its bodies seen from above."""

    number: int
    key: str
    site: Site
    outlines: tuple[Outline, ...]


def draw_plan(flow: Flow, name: str, board: BoardTable, mounts: Sequence[Stands]) -> None:
    """The board's plan under a heading with its reduction; a number leads to its mount's chapter.

    Args:
        flow: drawn on from here.
        name: of the board.
        board: its outline and framing.
        mounts: what stands on it.
    """
    outline = [(float(x), float(y)) for x, y in board.outline or ()]
    bodies = {stands.number: [placed(stands.site, each.corners) for each in stands.outlines] for stands in mounts}
    timbers = [beam(piece.start, piece.end, piece.width) for piece in board.framing]
    points = np.vstack([*(each for of in bodies.values() for each in of), *timbers, np.array(outline).reshape(-1, 2)])
    low, high = points.min(axis=0), points.max(axis=0)
    room = (flow.wide - 2 * _EDGE_MM, min(_HIGHEST_MM, flow.top - flow.bottom - 20.0) - 2 * _EDGE_MM)
    reduced = next(
        (by for by in _REDUCTIONS if all((high - low) / by <= room)), math.ceil(float(max((high - low) / room)))
    )
    tall = float((high - low)[1]) / reduced + 2 * _EDGE_MM
    flow.heading(f"Board {name}, 1 : {reduced}", keep_mm=tall + 8.0)
    left, top = flow.left + _EDGE_MM, flow.y - _EDGE_MM

    def at(point: Sequence[float]) -> Point:
        return left + (float(point[0]) - low[0]) / reduced, top - (high[1] - float(point[1])) / reduced

    sheets = flow.sheets
    for timber in timbers:
        sheets.line([at(point) for point in timber], closed=True, fill=LIGHT, ink=GREY, wide_mm=0.15)
    if outline:
        sheets.line([at(point) for point in outline], closed=True, wide_mm=0.4)
    for stands in mounts:
        _mount(sheets, stands.site, [[at(point) for point in body] for body in bodies[stands.number]], at)
    taken = [_around(at((stands.site.x_mm, stands.site.y_mm)), 1.0) for stands in mounts]
    for stands in mounts:
        _numbered(sheets, stands, at((stands.site.x_mm, stands.site.y_mm)), taken)
    flow.gap(tall)
    _bar(flow, reduced)


def _mount(
    sheets: Sheets, site: Site, bodies: Sequence[Sequence[Point]], at: Callable[[Sequence[float]], Point]
) -> None:
    """Track, bodies and pin."""
    x, y = at((site.x_mm, site.y_mm))
    turn = math.radians(site.heading_deg)
    along = (math.cos(turn) * _TRACK_MM, math.sin(turn) * _TRACK_MM)
    sheets.line([(x - along[0], y - along[1]), (x + along[0], y + along[1])], wide_mm=0.6, ink=GREY)
    for body in bodies:
        sheets.line(body, closed=True, wide_mm=0.15)
    sheets.circle((x, y), 1.2, fill=BLACK)


def _numbered(sheets: Sheets, stands: Stands, pin: Point, taken: list[Box]) -> None:
    """The number beside its pin, at the first place round it that is free."""
    words = str(stands.number)
    wide, tall = width_mm(words, _NUMBER_MM, bold=True) + 1.6, _NUMBER_MM + 1.2
    places = [(pin[0] + away * x, pin[1] + away * y) for away in np.arange(4.0, 40.0, 2.0) for x, y in _AROUND]
    boxes = [Box(x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2) for x, y in places]
    free = next((box for box in boxes if not any(_meet(box, other) for other in taken)), boxes[0])
    taken.append(free)
    middle = ((free.left + free.right) / 2, (free.bottom + free.top) / 2)
    sheets.line([pin, middle], wide_mm=0.15)
    corners = [(free.left, free.bottom), (free.right, free.bottom), (free.right, free.top), (free.left, free.top)]
    sheets.line(corners, closed=True, wide_mm=0.25, fill=(1.0, 1.0, 1.0))
    sheets.text((middle[0], middle[1] - 0.36 * _NUMBER_MM), words, size_mm=_NUMBER_MM, bold=True, align="middle")
    sheets.link(free, stands.key)


def _bar(flow: Flow, reduced: int) -> None:
    """A bar of a round length on the layout."""
    real = next(step * 10**power for power in range(6) for step in (1, 2, 5) if step * 10**power / reduced >= _BAR_MM)
    y, right = flow.y - 2.0, flow.left + _EDGE_MM + real / reduced
    flow.sheets.line([(flow.left + _EDGE_MM, y), (right, y)], wide_mm=0.3)
    for x in (flow.left + _EDGE_MM, right):
        flow.sheets.line([(x, y - 1.0), (x, y + 1.0)], wide_mm=0.3)
    flow.sheets.text((right + 2.0, y - 1.0), f"{number(float(real))} mm on the layout", size_mm=2.8)
    flow.gap(6.0)


def placed(site: Site, corners: Sequence[Point]) -> Array:
    """Corners of the mount frame on the board (n, 2), mm."""
    turn = math.radians(site.heading_deg)
    rotation = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    return np.asarray(np.array(corners) @ rotation.T + (site.x_mm, site.y_mm))


def beam(start: Sequence[float], end: Sequence[float], wide: float) -> Array:
    """Corners of a straight timber (4, 2)."""
    a, b = np.array(start, dtype=float), np.array(end, dtype=float)
    along = (b - a) / np.linalg.norm(b - a)
    aside = np.array([-along[1], along[0]]) * wide / 2
    return np.array([a + aside, b + aside, b - aside, a - aside])


def _around(point: Point, half: float) -> Box:
    return Box(point[0] - half, point[1] - half, point[0] + half, point[1] + half)


def _meet(one: Box, other: Box) -> bool:
    return one.left < other.right and other.left < one.right and one.bottom < other.top and other.bottom < one.top
