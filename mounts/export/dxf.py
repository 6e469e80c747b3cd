"""A drawing as DXF in millimetres, for those who cut or drill by machine."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager

from mounts.export.paper import Line, Paper, Point, Shape, Text
from mounts.export.template import AXIS, BED, CUT, GREY, ROD, ROOM

DRILL, WORDS, OUTLINE, LEGEND = "drill", "words", "outline", "legend"
_BY_DASH = {AXIS: "axis", ROOM: "room", CUT: "cut", ROD: "rod", BED: "roadbed"}
_COLOURS = {  # of the index that every CAD program knows
    DRILL: 1, "cut": 2, OUTLINE: 7, "axis": 3, "room": 4, "rod": 6, "roadbed": 8, "track": 8, WORDS: 7, LEGEND: 9,
}  # fmt: skip
_CAPITAL = 0.7  # height of a capital over the size of its font
_MM = 4  # of $INSUNITS


def render_dxf(paper: Paper) -> bytes:
    """The drawing on layers by meaning: ``drill`` has circles and ``cut`` closed lines; what explains is on ``legend``.

    AutoCAD 2000 DXF, y upwards, the same origin as the SVG.
    """
    from ezdxf.enums import TextEntityAlignment
    from ezdxf.filemanagement import new

    with _timeless():
        doc = new("R2000", units=_MM)
        for layer, colour in _COLOURS.items():
            doc.layers.add(layer, color=colour)
        space = doc.modelspace()
        for shape, layer in _layered(paper):
            how = {"layer": layer}
            if isinstance(shape, Text):
                align = TextEntityAlignment.CENTER if shape.middle else TextEntityAlignment.LEFT
                text = space.add_text(shape.words, height=_CAPITAL * shape.size_mm, dxfattribs=how)
                text.set_placement(shape.at, align=align)
            elif isinstance(shape, Line):
                space.add_lwpolyline([_rounded(point) for point in shape.points], close=shape.closed, dxfattribs=how)
            else:
                space.add_circle(_rounded(shape.at), shape.diameter_mm / 2, dxfattribs=how)
        out = io.StringIO()
        doc.write(out)
    return out.getvalue().encode()


def _layered(paper: Paper) -> Iterator[tuple[Shape, str]]:
    for count, shape in enumerate(paper.shapes):
        if count >= paper.drawn:
            yield shape, LEGEND
        elif isinstance(shape, Text):
            yield shape, WORDS
        elif isinstance(shape, Line):
            yield shape, "track" if shape.ink == GREY or shape.fill == GREY else _BY_DASH.get(shape.dash, OUTLINE)
        else:
            yield shape, DRILL


def _rounded(point: Point) -> Point:
    return round(point[0], 6) + 0.0, round(point[1], 6) + 0.0


@contextmanager
def _timeless() -> Iterator[None]:
    """Documents without the times and the random ids that DXF asks for."""
    from ezdxf import options  # type: ignore[attr-defined]

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
