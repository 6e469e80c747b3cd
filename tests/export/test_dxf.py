"""The template as DXF, read back by ezdxf: millimetres, the circles of the SVG, the same bytes twice."""

import io
import re

import ezdxf
import numpy as np
import pytest
from made import kept

from mounts.export.dxf import render_dxf
from mounts.export.paper import Paper
from mounts.export.template import AXIS, BED, CUT, GREY, ROD, ROOM, render_template, template

STYLES = ({}, {"style": "hut", "scale": "N", "board": "12 mm"}, {"style": "bank", "board": "6 mm", "mirror": True})


def opened(paper):
    doc = ezdxf.read(io.StringIO(render_dxf(paper).decode()))
    assert not doc.audit().errors
    return doc


@pytest.mark.solid
@pytest.mark.parametrize("asked", STYLES)
def test_circles_and_closed_lines_are_those_of_the_svg_in_mm(asked):
    """Each hole at its place and of its size on layer ``drill``, a cut-out's corners closed on layer ``cut``."""
    mount = kept(**asked)
    paper = template(mount.design, mount.meshes)
    svg = render_template(paper, mount.design).decode()

    doc = opened(paper)

    circles = re.findall(r'<circle cx="([-.\d]+)" cy="([-.\d]+)" r="([-.\d]+)"', svg)
    expected = np.array([[float(x), -float(y), float(r)] for x, y, r in circles])
    found = np.array(
        [[c.dxf.center.x, c.dxf.center.y, c.dxf.radius] for c in doc.modelspace().query("CIRCLE[layer=='drill']")]
    )
    assert found == pytest.approx(expected, abs=1e-3)
    hole = mount.design.plan.board_cut_out
    cuts = [line for line in doc.modelspace().query("LWPOLYLINE[layer=='cut']") if line.closed]
    if hole is not None:
        assert any(len(line) == len(hole.outline) and np.allclose(line.get_points("xy"), hole.outline) for line in cuts)


@pytest.mark.solid
def test_what_explains_is_kept_from_what_is_cut():
    """Legend, bars and words are on layers of their own: the others hold no text, and no sample of the legend."""
    mount = kept()
    paper = template(mount.design, mount.meshes)

    space = opened(paper).modelspace()

    assert {text.dxf.layer for text in space.query("TEXT")} == {"words", "legend"}
    low = min(min(y for _, y in shape.points) for shape in paper.shapes[: paper.drawn])
    for line in space.query("LWPOLYLINE[layer!='legend']"):
        assert min(y for _, y in line.get_points("xy")) >= low - 1e-6


@pytest.mark.solid
def test_the_same_bytes_twice():
    """DXF asks for dates and ids: they are fixed."""
    mount = kept()

    first, second = (render_dxf(template(mount.design, mount.meshes)) for _ in range(2))

    assert first == second


LAYERS = {
    "drill": 1, "cut": 2, "outline": 7, "axis": 3, "room": 4, "rod": 6, "roadbed": 8, "track": 8, "words": 7,
    "legend": 9,
}  # fmt: skip


def test_each_line_is_on_the_layer_of_what_it_means():
    """By its dashes, grey ones and those filled with grey as track; letters 0.7 of their font high, to the right of
    their place or about it; all that comes below the drawing on ``legend``; colours are those of the index."""
    paper = Paper()
    for place, dash in enumerate(("", AXIS, ROOM, CUT, ROD, BED)):
        paper.line([(0.0, float(place)), (9.123456789, float(place))], dash=dash)
    paper.line([(0.0, 8.0), (9.0, 8.0)], ink=GREY)
    paper.box((0.0, 10.0), (9.0, 11.0), fill=GREY)
    paper.circle((3.0, -4.0), 2.5)
    paper.text((1.0, 2.0), "left", size_mm=4.0)
    paper.text((5.0, 6.0), "about", middle=True)
    paper.below(["Heading", "and more"])
    doc = opened(paper)
    space = doc.modelspace()

    assert doc.header["$INSUNITS"] == 4, "mm, DXF reference, $INSUNITS"
    lines = [line for line in space.query("LWPOLYLINE") if line.dxf.layer != "legend"]
    assert [(line.dxf.layer, line.closed) for line in lines] == [
        ("outline", False), ("axis", False), ("room", False), ("cut", False), ("rod", False), ("roadbed", False),
        ("track", False), ("track", True),
    ]  # fmt: skip
    assert lines[0].get_points("xy")[1] == (9.123457, 0.0)  # a nanometre
    (hole,) = space.query("CIRCLE")
    assert (hole.dxf.layer, tuple(hole.dxf.center)[:2], hole.dxf.radius) == ("drill", (3.0, -4.0), 1.25)
    words = {text.dxf.text: text for text in space.query("TEXT")}
    left, about = words["left"], words["about"]
    assert (left.dxf.layer, left.dxf.height, left.dxf.halign) == ("words", pytest.approx(2.8), 0)
    assert tuple(left.dxf.insert)[:2] == (1.0, 2.0)
    assert (about.dxf.height, about.dxf.halign) == (pytest.approx(2.1), 1)  # DXF reference, TEXT, 72: 1 is centre
    assert tuple(about.dxf.align_point)[:2] == (5.0, 6.0)
    assert {words["Heading"].dxf.layer, words["and more"].dxf.layer} == {"legend"}
    assert {layer.dxf.name: layer.color for layer in doc.layers if layer.dxf.name in LAYERS} == LAYERS
