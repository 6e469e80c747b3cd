"""What templates are made of, without a mount: rails, sleepers, travel, screws, notches and the legend's samples."""

from __future__ import annotations

import numpy as np
import pytest
from requests_for_drives import profile, request

from mounts.design import Beside, Datums, Design, IndexMark, Plan
from mounts.export import template
from mounts.export.paper import Circle, Line, Paper, Text
from mounts.inputs.fixing import Fixing


def design(track_y: float | None = None, fixings=(), **asked) -> Design:
    """A request and where its track is: no more of a design is asked."""
    beside = None if track_y is None else Beside.model_construct(track_y=track_y)
    return Design.model_construct(
        spec=request(**asked),
        plan=Plan.model_construct(beside=beside),
        datums=Datums.model_construct(fixings=fixings),
    )


def boxes(paper: Paper) -> np.ndarray:
    """Left, bottom, right and top (n, 4) of all lines."""
    corners = [np.array(shape.points) for shape in paper.shapes if isinstance(shape, Line)]
    return np.array([[*c.min(axis=0), *c.max(axis=0)] for c in corners])


def plain(point):
    return point[0], point[1]


@pytest.mark.parametrize("ink", [template.INK, template.GREY])
@pytest.mark.parametrize(("scale", "track_y"), [("HO", None), ("N", -17.5)])
@pytest.mark.parametrize("ends", [(-55.0, 55.0), (-20.0, 61.0), (-70.5, 12.0)])
def test_sleepers_lie_either_side_of_the_tie_bar_and_rails_on_them(scale, track_y, ends, ink):
    """Half a gap from the tie bar the first, a gap and a width from each to the next, every one that lies between the
    ends whole; rails with their inner faces the gauge apart; the bar no wider than 3 mm, and out to the pin."""
    made = design(track_y, scale=scale)
    paper, rails, middle = Paper(), made.spec.scale, track_y or 0.0

    template.track(paper, made, plain, ends, ink=ink)

    found, pitch = boxes(paper), rails.sleeper_gap_mm + rails.sleeper_width_mm
    lefts = [rails.sleeper_gap_mm / 2 + k * pitch for k in range(-60, 60)]  # k < 0: those behind the bar
    wanted = sorted(x for x in lefts if ends[0] <= x and x + rails.sleeper_width_mm <= ends[1])
    sleepers = found[:-3]
    assert sorted(sleepers[:, 0]) == pytest.approx(wanted)
    assert np.ptp(sleepers[:, ::2], axis=1) == pytest.approx(rails.sleeper_width_mm)
    assert sleepers[:, 1] == pytest.approx(middle - rails.sleeper_mm / 2)
    assert sleepers[:, 3] == pytest.approx(middle + rails.sleeper_mm / 2)
    gauge, head = rails.track_gauge_mm, rails.rail_head_mm
    assert found[-3:-1] == pytest.approx(np.array([
        (ends[0], middle - gauge / 2 - head, ends[1], middle - gauge / 2),
        (ends[0], middle + gauge / 2, ends[1], middle + gauge / 2 + head),
    ]))  # fmt: skip
    half = min(rails.sleeper_gap_mm / 2, 3.0) / 2
    far = max(middle + gauge / 2, made.spec.throw_mm / 2 + made.spec.tie_bar_hole_mm)
    assert found[-1] == pytest.approx([-half, middle - gauge / 2, half, far])
    assert {shape.ink for shape in paper.shapes} == {ink}
    assert {shape.fill for shape in paper.shapes[-3:-1]} == {"white" if ink == template.GREY else template.GREY}


def test_the_pin_s_way_is_as_long_as_the_throw():
    """A bar of 2.4 mm at either end, half the throw from the middle, and a line from one to the other."""
    paper = Paper()

    template.travel(paper, design(throw_mm=3.0), plain)

    assert boxes(paper).tolist() == [[-1.2, -1.5, 1.2, -1.5], [-1.2, 1.5, 1.2, 1.5], [0.0, -1.5, 0.0, 1.5]]
    assert {shape.wide_mm for shape in paper.shapes} == {0.3}


@pytest.mark.parametrize("count", [1, 3])
def test_screws_have_a_hole_of_their_pilot_and_a_cross(count):
    """Where the fixings are, seen as the paper is; a screw is told as one, three as three."""
    at = ((4.0, 9.0, -12.0), (-7.0, 2.0, -12.0), (11.0, -6.0, -12.0))[:count]
    paper, made = Paper(), design(fixings=at)

    ((_, words),) = template.fixings(paper, made, lambda point: (point[0], -point[1]))

    circles = [shape for shape in paper.shapes if isinstance(shape, Circle)]
    assert [(shape.at, shape.diameter_mm) for shape in circles] == [
        ((x, -y), made.spec.fixing.pilot_mm) for x, y, _ in at
    ]
    assert len(paper.shapes) == 3 * count
    for (x, y, _), across, up in zip(at, paper.shapes[1::3], paper.shapes[2::3], strict=True):
        assert sorted(across.points) == [(x - 2.5, -y), (x + 2.5, -y)]
        assert sorted(up.points) == [(x, -y - 2.5), (x, -y + 2.5)]
    assert words.startswith("the screw: pilots of" if count == 1 else "3 screws: pilots of")


def test_a_bolt_goes_right_through():
    """And is told so."""
    bolt = profile(Fixing, "bolt-m3")

    ((_, words),) = template.fixings(Paper(), design(fixings=((0.0, 0.0, 0.0),), fixing=bolt), plain)

    assert words.startswith("the screw: right through, ")


@pytest.mark.parametrize(("axis", "count"), [("tie-bar", 3), ("tie-bar", 1), ("track", 1), ("track", 3)])
def test_notches_stand_beside_each_other_along_the_edge(axis, count):
    """Lines of 2 mm square to the edge, 2.5 mm from one to the next, the middle one on the axis."""
    paper = Paper()

    template.notched(paper, IndexMark.model_construct(at=(3.0, 20.0, -12.0), axis=axis, notches=count), plain)

    found = boxes(paper)
    along, across = (0, 1) if axis == "tie-bar" else (1, 0)
    middle = (3.0, 20.0)
    places = [middle[along] + 2.5 * place for place in range(-(count // 2), count // 2 + 1)]
    assert sorted(found[:, along]) == sorted(found[:, along + 2]) == pytest.approx(places)
    assert found[:, across] == pytest.approx(middle[across] - 1.0)
    assert found[:, across + 2] == pytest.approx(middle[across] + 1.0)
    assert {shape.wide_mm for shape in paper.shapes} == {0.4}


@pytest.mark.parametrize("down", [False, True])
def test_the_arrow_beside_the_plate_points_to_reverse(down):
    """14 mm long, 4 mm left of the plate, its tip level with the plate's far edge, the word beyond the tip, and above
    all which side is up."""
    plate, paper = [(-12.0, -9.0), (15.0, -9.0), (15.0, 22.0), (-12.0, 22.0)], Paper()
    side = -1.0 if down else 1.0
    paper.line(plate)

    template.pointed(paper, plate, "reverse", "TOP", lambda point: (point[0], side * point[1]))

    shaft, head = paper.shapes[1:3]
    assert shaft.points == ((-16.0, side * 8.0), (-16.0, side * 22.0))
    assert head.points[0] == (-16.0, side * 22.0)
    word, up = (shape for shape in paper.shapes if isinstance(shape, Text))
    assert (word.at, word.words, word.middle) == ((-16.0, -27.0 if down else 23.5), "reverse", True)
    assert (up.at[0], up.words, up.middle) == (0.0, "TOP", True)
    tops = [max(y for _, y in shape.points) for shape in paper.shapes[:-1]]
    assert up.at[1] == pytest.approx(max(tops) + 3.0)


def test_a_hull_has_the_corners_that_nothing_is_outside_of():
    """Of a square with points inside and on its sides: its four corners; points on a line have none."""
    points = np.array([(0, 0), (4, 0), (4, 4), (0, 4), (2, 2), (4, 2), (1, 0)], dtype=float)

    assert sorted(template.hull(points)) == [(0.0, 0.0), (0.0, 4.0), (4.0, 0.0), (4.0, 4.0)]
    with pytest.raises(TypeError, match="has an area"):
        template.hull(np.array([(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)]))


def test_samples_of_the_legend_show_what_is_drawn():
    """Twelve millimetres of a line; rings of their size and a crossed one of 1.5 mm in the middle of them; the pin's
    way, bars of 2 mm with a line of 4 between."""
    paper = Paper()
    template.sample(paper, wide_mm=0.5, dash="1 2", ink="red")(10.0, 5.0)
    template.ring(paper, 4.0)(10.0, -5.0)
    template.crossed(paper)(10.0, -15.0)
    template.travelled(paper)(10.0, -25.0)
    line, ring, hole, across, up, *way = paper.shapes

    assert line == Line(((10.0, 5.0), (22.0, 5.0)), 0.5, "1 2", ink="red")
    assert {shape.wide_mm for shape in way} == {0.3}
    for shape, middle, size in ((ring, (16.0, -5.0), 4.0), (hole, (16.0, -15.0), 1.5)):
        assert shape.closed
        away = np.hypot(*(np.array(shape.points) - middle).T)
        assert away == pytest.approx(size / 2)
        assert len(set(shape.points)) == 24
        assert np.array(shape.points).mean(axis=0) == pytest.approx(middle)
    assert np.array([across.points, up.points]).tolist() == [
        [[14.2, -15.0], [17.8, -15.0]], [[16.0, -16.8], [16.0, -13.2]],
    ]  # fmt: skip
    assert [shape.points for shape in way] == [
        ((14.0, -26.0), (14.0, -24.0)), ((18.0, -26.0), (18.0, -24.0)), ((14.0, -25.0), (18.0, -25.0)),
    ]  # fmt: skip
