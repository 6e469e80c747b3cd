"""The bent rod against a corotational frame of beam elements."""

from __future__ import annotations

import math

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


def test_a_rod_that_can_not_be_pressed_so_far_says_so():
    """A shortening beyond the rod's length has no line."""
    path, _, stiffness = rod(CASES[0])

    with pytest.raises(NoDesign, match="fold up"):
        bent_rod(path.line, stiffness, 400.0)
