"""The template as DXF, read back by ezdxf: millimetres, the circles of the SVG, the same bytes twice."""

import io
import re

import ezdxf
import numpy as np
import pytest
from made import kept

from mounts.export.dxf import render_dxf
from mounts.export.template import render_template, template

pytestmark = pytest.mark.solid
STYLES = ({}, {"style": "hut", "scale": "N", "board": "12 mm"}, {"style": "bank", "board": "6 mm", "mirror": True})


def opened(paper):
    doc = ezdxf.read(io.StringIO(render_dxf(paper).decode()))
    assert not doc.audit().errors
    return doc


@pytest.mark.parametrize("asked", STYLES)
def test_circles_and_closed_lines_are_those_of_the_svg_in_mm(asked):
    """Each hole at its place and of its size on layer ``drill``, a cut-out's corners closed on layer ``cut``."""
    mount = kept(**asked)
    paper = template(mount.design, mount.meshes)
    svg = render_template(paper, mount.design).decode()

    doc = opened(paper)

    assert doc.header["$INSUNITS"] == 4, "mm, DXF reference, $INSUNITS"
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


def test_what_explains_is_kept_from_what_is_cut():
    """Legend, bars and words are on layers of their own: the others hold no text, and no sample of the legend."""
    mount = kept()
    paper = template(mount.design, mount.meshes)

    space = opened(paper).modelspace()

    assert {text.dxf.layer for text in space.query("TEXT")} == {"words", "legend"}
    low = min(min(y for _, y in shape.points) for shape in paper.shapes[: paper.drawn])
    for line in space.query("LWPOLYLINE[layer!='legend']"):
        assert min(y for _, y in line.get_points("xy")) >= low - 1e-6


def test_the_same_bytes_twice():
    """DXF asks for dates and ids: they are fixed."""
    mount = kept()

    first, second = (render_dxf(template(mount.design, mount.meshes)) for _ in range(2))

    assert first == second
