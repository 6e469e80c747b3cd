"""Drawings at 1:1 on sheets, over several that are laid edge on edge where one is too small."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from mounts.book.flow import Flow
from mounts.book.sheets import BLACK, GREY, LEADING, TEXT_MM, Box, Rgb, Sheets, folded, width_mm
from mounts.export.paper import Circle, Legend, Line, Paper, Point, Shape, Text, moved

_SAMPLE_MM = 15.0  # from a sample of the legend to its words, as the SVG has them
_OVERLAP_MM = 15.0  # of parts of a drawing: room for a cross and for tape; common practice, no source
_CROSS_MM = 3.0  # half of a cross
_EDGE_MM = 1.0  # round a part
_NOTE_MM = 5.0  # over each part of a drawing that is spread over sheets


def draw_to_scale(flow: Flow, paper: Paper) -> None:
    """The drawing at 1:1 and what explains it, from here on; on pages of its own where there is no room.

    Args:
        flow: its pages have the bars.
        paper: with a legend.

    Raises:
        ValueError: it has no legend.
    """
    if paper.legend is None:
        raise ValueError("a drawing has a legend")
    shapes = paper.shapes[: paper.drawn]
    box = _box(shapes)
    wide, high = box.right - box.left, box.top - box.bottom
    if wide <= flow.wide and high <= flow.top - flow.bottom:
        flow.need(high + 2.0)
        shift = (flow.left + (flow.wide - wide) / 2 - box.left, flow.y - 1.0 - box.top)
        draw_shapes(flow.sheets, [moved(shape, shift) for shape in shapes])
        flow.gap(high + 3.0)
    else:
        _spread(flow, shapes, box)
    _explain(flow, paper.legend)


def high_mm(paper: Paper) -> float:
    """How high a drawing is without what explains it."""
    box = _box(paper.shapes[: paper.drawn])
    return box.top - box.bottom


def draw_shapes(sheets: Sheets, shapes: Sequence[Shape]) -> None:
    """Shapes where they are, mm of the sheet."""
    for shape in shapes:
        if isinstance(shape, Text):
            sheets.text(shape.at, shape.words, size_mm=shape.size_mm, align="middle" if shape.middle else "left")
        elif isinstance(shape, Circle):
            sheets.circle(shape.at, shape.diameter_mm)
        else:
            sheets.line(
                shape.points, wide_mm=shape.wide_mm, dash=[float(part) for part in shape.dash.split()],
                closed=shape.closed, ink=_rgb(shape.ink), fill=_rgb(shape.fill),
            )  # fmt: skip


def _explain(flow: Flow, legend: Legend) -> None:
    """Samples and paragraphs."""
    for shapes, meaning in legend.samples:
        lines = [*folded(meaning, flow.wide - _SAMPLE_MM, TEXT_MM)]
        high = max(len(lines) * TEXT_MM * LEADING + 0.8, 2.0 * max((-_box(shapes).bottom, _box(shapes).top, 1.0)))
        flow.need(high)
        draw_shapes(
            flow.sheets,
            [moved(shape, (flow.left, flow.y - high / 2 if len(lines) == 1 else flow.y - 3.3)) for shape in shapes],
        )
        y = flow.y - (high - TEXT_MM) / 2 - TEXT_MM + 0.6 if len(lines) == 1 else flow.y - TEXT_MM * LEADING
        for line in lines:
            flow.sheets.text((flow.left + _SAMPLE_MM, y), line)
            y -= TEXT_MM * LEADING
        flow.gap(high)
    flow.gap(1.5)
    for words in legend.lines:
        flow.paragraph(words)


def _spread(flow: Flow, shapes: Sequence[Shape], box: Box) -> None:
    """A drawing over several pages whose edges overlap; crosses lie on crosses."""
    flow.need(min(flow.top - flow.bottom, box.top - box.bottom) - 20.0)
    room = (flow.wide - 2 * _EDGE_MM, flow.y - flow.bottom - _NOTE_MM - 2 * _EDGE_MM)
    columns, rows = (
        max(1, math.ceil((size - _OVERLAP_MM) / (side - _OVERLAP_MM)))
        for size, side in zip((box.right - box.left, box.top - box.bottom), room, strict=True)
    )
    steps = [side - _OVERLAP_MM for side in room]
    for row in range(rows):
        for column in range(columns):
            if row or column:
                flow.page()
            left, top = box.left + column * steps[0], box.top - row * steps[1]
            tile = Box(left, max(top - room[1], box.bottom), min(left + room[0], box.right), top)
            note = f"part {row * columns + column + 1} of {rows * columns}: row {row + 1}, column {column + 1}; "
            note += "lay its crosses on those of its neighbours, against a window, and tape them together"
            flow.sheets.text((flow.left, flow.y - 3.5), next(folded(note, flow.wide, 2.8)), size_mm=2.8)
            shift = (flow.left + _EDGE_MM - tile.left, flow.y - _NOTE_MM - _EDGE_MM - tile.top)
            inside = [moved(shape, shift) for shape in _within(shapes, tile)]
            draw_shapes(flow.sheets, inside)
            for x, y in _crosses(tile, columns, rows, column, row):
                x, y = x + shift[0], y + shift[1]
                flow.sheets.line([(x - _CROSS_MM, y), (x + _CROSS_MM, y)], wide_mm=0.4)
                flow.sheets.line([(x, y - _CROSS_MM), (x, y + _CROSS_MM)], wide_mm=0.4)
            flow.gap(tile.top - tile.bottom + _NOTE_MM + 2 * _EDGE_MM)


def _crosses(tile: Box, columns: int, rows: int, column: int, row: int) -> Iterator[Point]:
    """In the middle of each strip that a tile shares with a neighbour, two along it."""
    half = _OVERLAP_MM / 2
    ends_y, ends_x = (tile.bottom + half, tile.top - half), (tile.left + half, tile.right - half)
    for there, x in ((column > 0, tile.left + half), (column < columns - 1, tile.right - half)):
        yield from ((x, y) for y in ends_y if there)
    for there, y in ((row > 0, tile.top - half), (row < rows - 1, tile.bottom + half)):
        yield from ((x, y) for x in ends_x if there)


def _within(shapes: Sequence[Shape], tile: Box) -> Iterator[Shape]:
    """What of a drawing lies in a rectangle: lines cut off at its edges, words moved in where they begin in it."""
    from shapely import LineString, Polygon, box

    frame = box(*tile)
    for shape in shapes:
        own = _box([shape])
        if own.right < tile.left or own.left > tile.right or own.top < tile.bottom or own.bottom > tile.top:
            continue
        if tile.left <= own.left and own.right <= tile.right and tile.bottom <= own.bottom and own.top <= tile.top:
            yield shape
        elif isinstance(shape, Text):
            middle = (own.left + own.right) / 2
            if tile.left <= middle <= tile.right and tile.bottom <= own.bottom and own.top <= tile.top:
                yield moved(shape, (min(tile.right - own.right, 0.0) + max(tile.left - own.left, 0.0), 0.0))
        elif isinstance(shape, Line):
            if shape.closed and shape.fill != "none":
                for points in _lines(Polygon(shape.points).intersection(frame)):
                    yield replace(shape, points=points, ink="none")
            ring = (*shape.points, shape.points[0]) if shape.closed else shape.points
            if shape.ink != "none":
                for points in _lines(LineString(ring).intersection(frame)):
                    yield replace(shape, points=points, closed=False, fill="none")
        else:
            turns = [2 * math.pi * at / 72 for at in range(73)]
            radius = shape.diameter_mm / 2
            rim = [(shape.at[0] + radius * math.cos(turn), shape.at[1] + radius * math.sin(turn)) for turn in turns]
            yield from (Line(points) for points in _lines(LineString(rim).intersection(frame)))


def _lines(found: Any) -> Iterator[tuple[Point, ...]]:
    """The pieces of an intersection as corners."""
    for piece in getattr(found, "geoms", [found]):
        if piece.is_empty or piece.geom_type == "Point":
            continue
        ring = piece.exterior if piece.geom_type == "Polygon" else piece
        yield tuple((float(x), float(y)) for x, y in ring.coords)


def _box(shapes: Sequence[Shape]) -> Box:
    """Round all shapes, words as wide as this font writes them, lines with half their width."""
    corners: list[Point] = []
    for shape in shapes:
        if isinstance(shape, Text):
            wide = width_mm(shape.words, shape.size_mm)
            left = shape.at[0] - (wide / 2 if shape.middle else 0.0)
            corners += [(left, shape.at[1] - 0.25 * shape.size_mm), (left + wide, shape.at[1] + shape.size_mm)]
        else:
            half = shape.wide_mm / 2 if isinstance(shape, Line) else 0.1
            corners += [(x + side * half, y + side * half) for x, y in shape.points for side in (-1, 1)]
    xs, ys = zip(*corners, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def _rgb(colour: str) -> Rgb | None:
    """Of a name or #rrggbb as SVG writes it."""
    if colour == "none":
        return None
    if colour.startswith("#"):
        red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
        return (red, green, blue)
    return {"black": BLACK, "white": (1.0, 1.0, 1.0)}.get(colour, GREY)
