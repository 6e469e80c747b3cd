"""The bent rod against a corotational frame of beam elements."""

from __future__ import annotations

import math

import numpy as np
import pytest
from frame_elements import pressed

from mounts.drive.push_rod.judge import FORMULA_OFF
from mounts.drive.push_rod.loop import MOST_GIVE_SHARE, MOST_STEP_SHARE, Loop, given, loop_force_n
from mounts.drive.push_rod.path import leg_gap_mm, rod_path
from mounts.drive.push_rod.rules import FORMULA_SHARE
from mounts.drive.push_rod.shape import bent_rod
from mounts.errors import NoDesign

CASES = [
    # half gap, crown, leg, before, after, wire, over-travel
    (2.0, 2.0, 15.0, 18.0, 14.0, 0.5, 2.3),
    (2.2, 4.0, 8.0, 18.0, 14.0, 0.5, 2.3),
    (3.0, 6.0, 6.0, 12.0, 30.0, 0.8, 3.0),
    (4.5, 4.5, 9.6, 16.0, 9.0, 0.6, 2.1),
]
IN_DOMAIN = [CASES[0], (*CASES[1][:-1], 1.4), (*CASES[2][:-1], 1.6), CASES[3]]


def rod(case):
    """Path, loop and E·I of a case."""
    half_gap, crown, leg, before, after, wire, _ = case
    stiffness = 206_000.0 * math.pi * wire**4 / 64
    path = rod_path(
        rod_length_mm=before + 2 * half_gap + after,
        before_mm=before,
        half_gap_mm=half_gap,
        crown_mm=crown,
        leg_mm=leg,
        foot_radius_mm=2 * wire,
    )
    return path, Loop(half_gap, crown, leg, before, after, stiffness), stiffness


@pytest.mark.parametrize("side", [-1, 1])
@pytest.mark.parametrize("case", CASES)
def test_force_and_line_are_those_of_a_corotational_frame(case, side):
    """Over the whole over-travel, both ways: load within 1 %, the loop's middle within 0.05 mm."""
    path, _, stiffness = rod(case)

    for share in (0.5, 1.0):
        shape = bent_rod(path.line, stiffness, side * share * case[-1])
        load, line = pressed(path.line, stiffness, side * share * case[-1], steps=4)

        assert load == pytest.approx(shape.force_n, rel=0.01)
        assert shape.line[0].tolist() == [0.0, 0.0]
        assert shape.line[-1] == pytest.approx((path.line[-1, 0] - side * share * case[-1], 0.0), abs=1e-6)
        assert shape.moment_nmm == pytest.approx(shape.force_n * shape.line[:, 1])
        kept = shape.line, shape.moment_nmm  # for who asks again
        assert not any(array.flags.writeable for array in kept)
        assert float(line[:, 1].max()) == pytest.approx(float(shape.line[:, 1].max()), abs=0.05)


@pytest.mark.parametrize("side", [-1, 1])
@pytest.mark.parametrize("case", IN_DOMAIN)
def test_second_order_theory_holds_in_its_domain(case, side):
    """Load within its share and step within 0.15 mm of the exact line while step and give are inside theirs."""
    path, loop, stiffness = rod(case)
    shape = bent_rod(path.line, stiffness, side * case[-1])
    load = float(loop_force_n(loop, side * case[-1]))
    step = float(given(loop, load).step_mm)

    assert case[-1] < MOST_GIVE_SHARE * float(loop.height_mm)
    assert abs(step) < MOST_STEP_SHARE * float(loop.height_mm)
    share = FORMULA_OFF * abs(step) * case[-1] / float(loop.height_mm) ** 2
    assert share < FORMULA_SHARE
    assert load == pytest.approx(shape.force_n, rel=FORMULA_SHARE)
    # the foot's corner is rounded away: the straight is drawn on to where it would be
    start = path.loop.start
    before, last = shape.line[start - 1], shape.line[start]
    beyond = case[3] - path.line[start, 0]
    corner_y = last[1] + beyond * (last - before)[1] / math.hypot(*(last - before))
    assert step == pytest.approx(float(corner_y), abs=0.15)


@pytest.mark.parametrize("case", CASES)
def test_the_formula_s_gap_is_never_wider_than_the_legs_(case):
    """Where the rod pushes, feet that come together by the formula leave no more than the bent line's legs have."""
    path, loop, stiffness = rod(case)
    shape = bent_rod(path.line, stiffness, case[-1])
    feet = float(given(loop, loop_force_n(loop, case[-1])).feet_mm)

    assert 2 * case[0] - case[5] - feet <= leg_gap_mm(path, shape.line, case[5]) + 0.02


def test_how_the_step_grows_with_the_load_is_the_exact_line_s():
    """Between long straights, which bend as much as the loop does: pressed and pulled by a hundredth of a millimetre,
    the step is A·F·(1 + c·F), and c is the exact line's."""
    case = (1.5, 1.5, 6.0, 60.0, 60.0, 0.5, 0.01)
    path, loop, stiffness = rod(case)
    shapes = [bent_rod(path.line, stiffness, side * case[-1]) for side in (1, -1)]
    loads = [shape.force_n for shape in shapes]

    def grows(steps):
        pressed_, pulled = (step / load for step, load in zip(steps, loads, strict=True))
        return (pressed_ - pulled) / (pulled * loads[0] - pressed_ * loads[1])

    exact = grows([float(shape.line[path.loop.start, 1]) for shape in shapes])
    assert grows([float(given(loop, load).step_mm) for load in loads]) == pytest.approx(exact, rel=0.03)


def test_a_rod_that_can_not_be_pressed_so_far_says_so():
    """A shortening beyond the rod's length has no line."""
    path, _, stiffness = rod(CASES[0])

    with pytest.raises(NoDesign, match="fold up"):
        bent_rod(path.line, stiffness, 400.0)


@pytest.mark.parametrize("side", [-1, 1])
def test_a_coil_that_is_curved_from_end_to_end_is_bent_as_a_frame_is(side):
    """Its heading goes from 20° over 180° to 340°, so that neither end lies along the line of the ends."""
    share = (np.arange(80) + 0.5) / 80
    headings = np.radians(180.0 - 160.0 * np.cos(np.pi * share))
    line = np.vstack([(0.0, 0.0), np.cumsum(60.0 / 80 * np.column_stack([np.cos(headings), np.sin(headings)]), axis=0)])
    line[-1, 1] = 0.0  # but for rounding

    shape = bent_rod(line, 600.0, side * 3.0)
    load, frame = pressed(line, 600.0, side * 3.0)

    assert shape.force_n == pytest.approx(load, rel=0.01)
    assert shape.line == pytest.approx(frame, abs=0.05)


def test_a_loop_closed_by_two_thirds_of_the_rod_is_the_one_it_came_to_step_by_step():
    """The wire could also be coiled to the same length, under twenty times the load; a frame is the source."""
    path, _, stiffness = rod(CASES[1])
    shortening = 0.7 * float(path.line[-1, 0])

    load, _ = pressed(path.line, stiffness, shortening, steps=12)

    assert bent_rod(path.line, stiffness, shortening).force_n == pytest.approx(load, rel=0.01)


@pytest.mark.parametrize("stiffness", [0.09375, 937.5, 9.375e6])
def test_two_straight_sides_12_5_mm_long_give_as_much_as_castigliano_says(stiffness):
    """Of a roof 20 mm wide and 7.5 mm high ∫y² ds = 2 · 12.5 · 7.5²/3 = 468.75 mm³: the load is s·EI/468.75.

    Unmoved it carries nothing; a tenth of a millimetre beyond its two sides' 25 mm it can't be drawn.
    """
    x = np.linspace(0.0, 20.0, 101)
    roof = np.column_stack([x, 7.5 - 0.75 * np.abs(x - 10.0)])

    for shortening in (-1e-4, 0.0, 1e-4, 1e-3):
        expected = shortening * stiffness / 468.75
        assert bent_rod(roof, stiffness, shortening).force_n == pytest.approx(expected, rel=1e-3, abs=1e-15 * stiffness)
    with pytest.raises(NoDesign, match="fold up"):
        bent_rod(roof, stiffness, -5.1)
