"""The drawn rod against its dimensions, measured on the line."""

from __future__ import annotations

import math

import numpy as np
import pytest

from mounts.drive.push_rod.path import leg_gap_mm, rod_path

# the last: all of its leg goes into the foot's bend
SHAPES = [(3.0, 3.0, 8.0), (2.0, 2.0, 14.5), (2.2, 4.0, 8.0), (5.0, 5.0, 1.5), (5.0, 5.0, math.tan(math.pi / 4))]


def path_of(half_gap, crown, leg):
    """A rod of 60 mm with its loop 18 mm from the arm hole."""
    return rod_path(
        rod_length_mm=60.0, before_mm=18.0, half_gap_mm=half_gap, crown_mm=crown, leg_mm=leg, foot_radius_mm=1.0
    )


@pytest.mark.parametrize("shape", SHAPES)
def test_the_line_runs_from_hole_to_pin_with_bends_in_quarter_millimetres(shape):
    """Ends at (0, 0) and (60, 0), level there; points no farther apart than 0.25 mm wherever it turns."""
    path = path_of(*shape)
    line = path.line
    steps = np.diff(line, axis=0)
    lengths, headings = np.hypot(*steps.T), np.arctan2(steps[:, 1], steps[:, 0])
    turning = np.abs(np.diff(np.unwrap(headings))) > 1e-6

    assert line[0].tolist() == [0.0, 0.0]
    assert line[-1] == pytest.approx([60.0, 0.0])
    # a chord between two straights may be the straight itself: of the two beside a turn the shorter is the bend's
    assert np.minimum(lengths[1:], lengths[:-1])[turning].max() <= 0.2501
    assert float(np.unwrap(headings)[-1] - headings[0]) == pytest.approx(0.0, abs=1e-9)
    half_gap, crown, leg = shape
    slant = math.acos(half_gap / math.hypot(crown, leg)) - math.atan2(leg, crown)  # 0 of parallel legs
    whole = 2 * leg + crown * (math.pi + 2 * slant) + 60.0 - 2 * half_gap
    saved = 2 * (2 * math.tan(math.pi / 4 + slant / 2) - math.pi / 2 - slant)  # by two feet of 1 mm
    assert float(lengths.sum()) == pytest.approx(whole - saved, abs=0.02)
    # in as few equal parts as that takes, on straights 2 mm at most: what bends the line walks along each
    tangent, turn = math.tan(math.pi / 4 + slant / 2), math.pi / 2 + slant
    half = math.ceil(turn / 0.25) + math.ceil(round(leg - tangent, 9) / 2) + math.ceil(crown * turn / 0.25)
    beside = math.ceil((18.0 - tangent) / 2) + math.ceil((60.0 - 18.0 - 2 * half_gap - tangent) / 2)
    assert len(lengths) == 2 * half + beside
    assert lengths.max() <= 2.0
    # the legs end where the crown's arc is widest; it begins where the slanted leg touches it
    loop, middle = line[path.loop], 18.0 + half_gap
    begins = middle - half_gap - leg * math.sin(slant), leg * math.cos(slant)
    assert float(np.hypot(*(loop - begins).T).min()) == pytest.approx(0.0, abs=1e-9)
    centre_y = leg * math.cos(slant) + crown * math.sin(slant)
    below, above = loop[path.legs - 1 : path.legs + 1]
    assert below[1] <= centre_y + 1e-9 < above[1]


@pytest.mark.parametrize("shape", SHAPES)
def test_crown_and_feet_are_arcs_of_their_radii(shape):
    """A circle through three neighbouring points of the crown has its radius, of a foot the foot's."""
    half_gap, crown, _ = shape
    path = path_of(*shape)
    loop = path.line[path.loop]
    middle = len(loop) // 2

    assert _radius(loop[middle - 1 : middle + 2]) == pytest.approx(crown, rel=1e-6)
    assert _radius(loop[:3]) == pytest.approx(1.0, rel=1e-6)
    assert float(loop[middle, 0]) == pytest.approx(18.0 + half_gap)
    assert loop == pytest.approx(loop[::-1] * (-1.0, 1.0) + (2 * (18.0 + half_gap), 0.0))


def test_gap_of_parallel_legs_is_that_between_the_wires():
    """2·3 mm less a wire of 0.6, at rest."""
    path = path_of(3.0, 3.0, 8.0)

    assert leg_gap_mm(path, path.line, 0.6) == pytest.approx(5.4)


def test_gap_is_measured_up_to_where_the_crown_is_widest():
    """Feet brought together to 1 mm count; the crown's top, where the wire meets itself, does not."""
    path = path_of(2.2, 4.0, 8.0)
    closed = path.line.copy()
    middle = 18.0 + 2.2
    closed[:, 0] = middle + (closed[:, 0] - middle) * 0.2

    legs = path.line[path.loop][: path.legs]
    waist = 2 * float(np.abs(legs[:, 0] - middle).min())
    assert leg_gap_mm(path, path.line, 0.5) == pytest.approx(waist - 0.5)
    assert leg_gap_mm(path, closed, 0.5) == pytest.approx(0.2 * waist - 0.5)


def _radius(three):
    a, b, c = (math.dist(three[i], three[j]) for i, j in ((0, 1), (1, 2), (2, 0)))
    s = (a + b + c) / 2
    return a * b * c / 4 / math.sqrt(s * (s - a) * (s - b) * (s - c))
