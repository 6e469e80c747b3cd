"""A page read back as an SVG program reads it: user units are those of the view box (SVG 2, 8.2), y downwards."""

import xml.etree.ElementTree as ET  # our own bytes

import numpy as np
import pytest

from mounts.export.paper import Line, Paper, Text, moved

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
    """Its tip is the end, 2.5 mm long and two thirds of that wide, and one at the start only where asked."""
    paper = Paper()
    paper.arrow((0.0, 0.0), (0.0, 30.0), both=both)

    heads = [line for line in _read(paper)[1] if len(line) == 3]

    tips = [30.0, 0.0] if both else [30.0]
    assert len(heads) == len(tips)
    for head, tip in zip(sorted(heads, key=lambda line: -line.mean(axis=0)[1]), tips, strict=True):
        assert head[0].tolist() == [0.0, tip]
        inwards = (15.0 - tip) / 15.0
        assert (head[1:, 1] - tip) * inwards == pytest.approx(2.5)
        assert sorted(head[1:, 0]) == pytest.approx([-2.5 / 3, 2.5 / 3], abs=1e-3)


def test_a_short_arrow_that_leans_has_a_head_of_half_its_length():
    """3-4-5: 4 mm long, so 2 mm of head along (0.6, 0.8), a third of that to either side of it."""
    paper = Paper()
    paper.arrow((1.0, 1.0), (3.4, 4.2), wide_mm=0.6)

    shaft, head = paper.shapes
    assert (shaft.points, shaft.wide_mm) == (((1.0, 1.0), (3.4, 4.2)), 0.6)
    assert (head.closed, head.fill, head.wide_mm) == (True, "black", 0.1)
    back = np.array([3.4 - 2.0 * 0.6, 4.2 - 2.0 * 0.8])
    aside = np.array([-0.8, 0.6]) * 2.0 / 3
    assert np.array(head.points) == pytest.approx(np.array([(3.4, 4.2), back + aside, back - aside]))


def test_a_line_s_dashes_and_colours_and_a_word_s_middle_are_written():
    """As SVG 2 has them (13.5.6, 11.10.2.1): a pattern and a middle only where asked for, and letters escaped."""
    paper = Paper()
    paper.line([(0.0, 0.0), (9.0, 4.0)], dash="2 1", wide_mm=0.35, ink="red")
    paper.line([(0.0, 0.0), (9.0, 4.0), (9.0, 0.0)], closed=True, fill="white")
    paper.text((1.0, 2.0), "a < b", size_mm=4.0, middle=True)
    paper.text((1.0, 2.0), "plain")

    full = ET.fromstring(paper.svg("t"))  # noqa: S314, our own bytes
    line, area, first, last = list(full)[1:5]

    assert [line.get(key) for key in ("stroke-dasharray", "stroke-width", "stroke", "fill")] == [
        "2 1", "0.35", "red", "none",
    ]  # fmt: skip
    assert [area.get(key) for key in ("stroke-dasharray", "fill", "points")] == [
        None, "white", "0.000,0.000 9.000,-4.000 9.000,0.000",
    ]  # fmt: skip
    assert (area.tag, line.tag) == (f"{SVG}polygon", f"{SVG}polyline")
    assert [(text.text, text.get("text-anchor"), text.get("font-size")) for text in (first, last)] == [
        ("a < b", "middle", "4"), ("plain", None, "3"),
    ]  # fmt: skip


def test_a_word_s_room_is_about_its_middle_where_that_was_asked():
    """Half of it either side of the point, or all of it to the right, and as high as the letters."""
    begun, middle = Paper(), Paper()
    begun.text((10.0, 5.0), "twelve words", size_mm=4.0)
    middle.text((10.0, 5.0), "twelve words", size_mm=4.0, middle=True)
    wide = begun.high[0] - 10.0

    assert 0.5 * 4.0 * 12 <= wide <= 0.65 * 4.0 * 12  # a wide font's letters
    assert begun.low == [10.0, 5.0]
    assert (begun.high[1], middle.high[1]) == (9.0, 9.0)
    assert (middle.low[0], middle.high[0]) == pytest.approx((10.0 - wide / 2, 10.0 + wide / 2))


def test_what_is_moved_keeps_its_shape():
    """Lines by every corner, holes and words by their place."""
    paper = Paper()
    paper.line([(0.0, 1.0), (2.0, 3.0)], dash="1 1")
    paper.circle((4.0, 5.0), 6.0)
    line, hole = (moved(shape, (10.0, -20.0)) for shape in paper.shapes)

    assert (line.points, line.dash) == (((10.0, -19.0), (12.0, -17.0)), "1 1")
    assert (hole.at, hole.diameter_mm) == ((14.0, -15.0), 6.0)


def test_legend_words_and_bars_stand_under_the_drawing_one_below_the_other():
    """All at its left edge, the heading larger, each line of words under the last by more than its height; samples
    beside what they mean; below all bars of 100 mm and 4 in between ticks of 3 mm."""
    paper = Paper()
    paper.line([(-30.0, -10.0), (40.0, 25.0)])
    long = "a paragraph that is so long that it takes more than one line of the page that it is written on, surely"

    paper.below(["heading", long], [(lambda x, y: paper.line([(x, y), (x + 12.0, y)]), "a sample")])

    words = [shape for shape in paper.shapes if isinstance(shape, Text)]
    lines = [shape for shape in paper.shapes if isinstance(shape, Line)]
    assert [word.words for word in words[:2]] == ["heading", "a sample"]
    assert " ".join(word.words for word in words[2:4]) == long
    assert [word.words for word in words[-2:]] == ["100 mm", "4 in"]
    assert (words[0].size_mm, {word.size_mm for word in words[1:]}) == (4.0, {3.0})
    assert {word.at[0] for word in words[:-2]} == {-30.0, -16.0}
    assert words[0].at[1] == pytest.approx(-10.0 - 3.0 - 1.6 * 4.0)
    steps = -np.diff([word.at[1] for word in words[:5]])
    assert steps == pytest.approx(1.6 * 3.0)
    (sample,) = lines[1:2]
    assert sample.points[0][0] == -30.0
    assert sample.points[0][1] == pytest.approx(words[1].at[1] + 1.0)  # half as high as a capital of its words
    bars = [line for line in lines if line.points[0][1] == line.points[1][1] and line is not sample]
    assert [bar.points[1][0] - bar.points[0][0] for bar in bars] == pytest.approx([100.0, 101.6])
    assert {line.wide_mm for line in lines[2:]} == {0.3}
    for bar, word in zip(bars, words[-2:], strict=True):
        (x0, y), (x1, _) = bar.points
        assert x0 == -30.0
        assert word.at == pytest.approx((x1 + 2.0, y - 1.0))
        for end in (x0, x1):
            assert any(tick.points == ((end, y - 1.5), (end, y + 1.5)) for tick in lines)
    assert bars[0].points[0][1] == pytest.approx(words[4].at[1] - 2.6 * 3.0)
    assert bars[1].points[0][1] == pytest.approx(words[4].at[1] - 2 * 2.6 * 3.0)
    assert paper.drawn == 1
    assert paper.legend.heading == "heading"
    assert paper.legend.lines == (long,)
    ((shapes, meaning),) = paper.legend.samples
    assert (shapes[0].points, meaning) == (((0.0, 0.0), (12.0, 0.0)), "a sample")


def test_the_box_s_size_is_told_in_its_corner():
    """To a tenth, two millimetres in and one and a half up."""
    paper = Paper()
    paper.line([(0.0, 0.0), (60.04, 30.0)])

    paper.svg("t")

    (told,) = [shape for shape in paper.shapes if isinstance(shape, Text)]
    assert told.words == "this box: 68 × 42.5 mm"
    assert told.at == pytest.approx((-2.0, -7.0))
