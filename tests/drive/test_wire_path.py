"""Bend marks against the wire unrolled numerically from its drawn centre line."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mounts.drive.push_rod.wire_path import bends, push_rod_corners

SHAPE = {
    "wire_mm": 0.7,
    "horn_thickness_mm": 1.6,
    "wire_tail_mm": 2.5,
    "rod_length_mm": 40.0,
    "before_mm": 9.0,
    "loop_feet_mm": 6.0,
    "loop_leg_mm": 10.0,
    "loop_radius_mm": 3.0,
    "slant_rad": 0.0,
    "foot_radius_mm": 1.4,
    "pin_leg_mm": 6.0,
}
TURNS = (-1, 1, 1, -1, 1, -1)  # left or right of each bend in the drawing plane; only lengths matter here


def drawn(marked, cut, radii, turns=TURNS, step=0.05):
    """Walks the wire, straight but for its bends, in the plane; end point and heading at every bend's start."""
    at, heading, along, stations = np.zeros(2), 0.0, 0.0, []
    for bend, radius, turn in zip(marked, radii, turns, strict=True):
        at = at + (bend.at_mm - along) * np.array([math.cos(heading), math.sin(heading)])
        stations.append(at)
        angle = math.radians(bend.angle_deg)
        n = math.ceil(radius * angle / step)
        for _ in range(n):  # chords of the arc, heading at mid step
            heading += turn * angle / n / 2
            chord = 2 * radius * math.sin(angle / n / 2)
            at = at + chord * np.array([math.cos(heading), math.sin(heading)])
            heading += turn * angle / n / 2
        along = bend.at_mm + radius * angle
    return at + (cut - along) * np.array([math.cos(heading), math.sin(heading)]), stations


def marked_rod(**changes):
    """Bends, cut length and centre-line radii of a rod."""
    shape = {**SHAPE, **changes}
    corners, last = push_rod_corners(**shape)
    marks, cut = bends(corners, last, wire_mm=shape["wire_mm"])
    return marks, cut, [corner.radius_mm for corner in corners]


@given(
    rod=st.floats(35, 80), leg=st.floats(3, 15), crown=st.floats(1.4, 5), at=st.floats(8, 14), lean=st.floats(0, 0.3)
)
def test_bent_at_its_marks_the_wire_has_the_rods_shape(rod, leg, crown, at, lean):
    """Bent where marked, arm hole to pin measures the rod; both legs, slanted or not, and the tail their lengths."""
    slant = math.asin(min(lean, 0.9 * crown / math.hypot(crown, leg)))
    feet = 2 * (crown * math.cos(slant) - leg * math.sin(slant))  # what leaves such legs touching the crown
    changes = {
        "rod_length_mm": rod,
        "loop_leg_mm": leg,
        "loop_radius_mm": crown,
        "before_mm": at,
        "loop_feet_mm": feet,
        "slant_rad": slant,
    }
    marks, cut, radii = marked_rod(**changes)
    # tail down, through the arm right, rod: turn the Z so that the rod runs along the drawing's first axis
    end, _ = drawn(marks, cut, radii, turns=(1, -1, 1, -1, 1, -1))

    # after tail (along x), up through the arm, the rod runs along x again; loop up; pin leg down
    through = max(1.6 + 0.7 + 0.3, 2 * 1.4)
    assert end[0] == pytest.approx(2.5 + rod, abs=2e-3)
    assert end[1] == pytest.approx(through - 6.0, abs=2e-3)


def test_marks_rise_and_leave_straights_between_them():
    """No bend begins before the one before it has ended."""
    marks, cut, radii = marked_rod()
    ends = [m.at_mm + r * math.radians(m.angle_deg) for m, r in zip(marks, radii, strict=True)]

    assert marks[0].at_mm > 0
    assert all(end < following.at_mm for end, following in zip(ends, marks[1:], strict=False))
    assert ends[-1] < cut


def test_inside_radius_is_the_formers():
    """What is bent round is the centre-line radius less half the wire: 1.5 d at the feet."""
    marks, _, _ = marked_rod()

    assert marks[2].inside_radius_mm == pytest.approx(1.5 * 0.7)
    assert marks[3].inside_radius_mm == pytest.approx(3.0 - 0.35)
