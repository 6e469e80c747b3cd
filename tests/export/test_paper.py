"""A page read back as an SVG program reads it: user units are those of the view box (SVG 2, 8.2), y downwards."""

import xml.etree.ElementTree as ET  # our own bytes

import numpy as np
import pytest

from mounts.export.paper import Paper

SVG = "{http://www.w3.org/2000/svg}"


def _read(paper: Paper) -> tuple[np.ndarray, list[np.ndarray]]:
    """View box as left, bottom, right, top with y upwards; and every line's corners."""
    root = ET.fromstring(paper.svg("t"))  # noqa: S314, our own bytes
    x, y, wide, high = (float(value) for value in root.get("viewBox").split())
    lines = [
        np.array([[float(value) for value in pair.split(",")] for pair in line.get("points").split()]) * (1, -1)
        for tag in ("polyline", "polygon")
        for line in root.iter(f"{SVG}{tag}")
    ]
    return np.array([x, -(y + high), x + wide, -y]), lines


@pytest.mark.parametrize("corner", [(-70.0, -20.0), (15.0, 90.0), (-30.0, 40.0), (200.0, -55.0)])
def test_the_page_is_round_what_is_drawn_wherever_that_is(corner):
    """By hand: 4 mm from a line to the box, 4.5 more below for its words, and 3 to the edge, on every side."""
    paper = Paper()
    (x, y), (wide, high) = corner, (60.0, 25.0)
    paper.line([(x, y), (x + wide, y + high)])

    page, lines = _read(paper)

    box = np.array([x - 4, y - 8.5, x + wide + 4, y + high + 4])
    assert page == pytest.approx(box + np.array([-3, -3, 3, 3]))
    assert any(
        np.allclose([*line.min(axis=0), *line.max(axis=0)], box) and np.unique(line, axis=0).shape == (4, 2)
        for line in lines
    )


@pytest.mark.parametrize("draw", ["hole", "text", "cross"])
def test_everything_drawn_is_on_the_page(draw):
    """A hole by its rim, words by their letters (6 of 3 mm, at least half as wide as high), a cross by its ends."""
    paper = Paper()
    if draw == "hole":
        paper.circle((50.0, 10.0), 30.0)
        needs = (35.0, -5.0, 65.0, 25.0)
    elif draw == "text":
        paper.text((50.0, 10.0), "letter")
        needs = (50.0, 10.0, 59.0, 13.0)
    else:
        paper.cross((50.0, 10.0), 6.0)
        needs = (44.0, 4.0, 56.0, 16.0)

    page, _ = _read(paper)

    assert (page[:2] <= np.array(needs[:2]) - 7.0).all()
    assert (page[2:] >= np.array(needs[2:]) + 7.0).all()


def test_a_cross_has_two_arms_that_halve_each_other():
    """One along x and one along y, equally long both ways from its middle."""
    paper = Paper()
    paper.cross((3.0, -8.0), 2.5)

    along, across = _read(paper)[1][:2]

    assert sorted(along.tolist()) == [[0.5, -8.0], [5.5, -8.0]]
    assert sorted(across.tolist()) == [[3.0, -10.5], [3.0, -5.5]]


@pytest.mark.parametrize("both", [False, True])
def test_an_arrows_head_is_at_its_end(both):
    """Its tip is the end, its back two corners the same way off the shaft, and one at the start only where asked."""
    paper = Paper()
    paper.arrow((0.0, 0.0), (0.0, 30.0), both=both)

    heads = [line for line in _read(paper)[1] if len(line) == 3]

    tips = [30.0, 0.0] if both else [30.0]
    assert len(heads) == len(tips)
    for head, tip in zip(sorted(heads, key=lambda line: -line.mean(axis=0)[1]), tips, strict=True):
        assert head[0].tolist() == [0.0, tip]
        inwards = (15.0 - tip) / 15.0
        assert ((head[1:, 1] - tip) * inwards > 0).all()
        assert head[1, 0] == pytest.approx(-head[2, 0])
        assert abs(head[1, 0]) > 0.2
