"""Bends in words against a wire that is bent by them, one after the other, as hands do it."""

from __future__ import annotations

import math

import numpy as np
import pytest
from made import kept

from mounts.report.steps import steps
from mounts.scene_marks import rod_marks

WAYS = {
    "to the right": (1, 0, 0), "to the left": (-1, 0, 0), "away from you": (0, 1, 0), "towards you": (0, -1, 0),
    "up": (0, 0, 1), "down": (0, 0, -1),
}  # fmt: skip


def design_of(pose, *, mirror=False, scale="HO"):
    """A hut's design; its loop has parallel legs here."""
    found = kept({"pose": pose}, style="hut", scale=scale, board="12 mm", mirror=mirror).design
    assert found.drive.loop_slant_deg == pytest.approx(0.0, abs=1e-6)
    return found


def bent(marks, drive):
    """Ends of the straights, (n, 3), as a person sees them from above: x to the right, y away, z up."""
    first = np.array(WAYS[marks[0].turns], dtype=float)
    arm = np.array(WAYS[marks[1].turns], dtype=float)
    heading, at, along, corners = -arm if first @ arm == 0 else first, np.zeros(3), 0.0, []
    for mark in marks:
        radius, to = mark.inside_radius_mm + drive.wire_mm / 2, np.array(WAYS[mark.turns], dtype=float)
        at = at + heading * (mark.at_mm - along)
        if mark.angle_deg > 170:
            at = at + arm * 2 * radius  # half a circle, on along the rod
        else:
            corners.append(at + heading * radius)
            at = at + (heading + to) * radius
        along, heading = mark.at_mm + math.radians(mark.angle_deg) * radius, to
    return np.array(corners), at + heading * (drive.cut_length_mm - along)


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("pose", ["hang", "side"])
def test_bent_as_told_the_wire_runs_from_arm_to_tie_bar(pose, mirror):
    """From the arm's corner to the pin's it is the rod's length to the right, level; its end stands up."""
    design = design_of(pose, mirror=mirror)
    marks = rod_marks(design)
    corners, end = bent(marks, design.drive)

    assert corners[-1] - corners[1] == pytest.approx([design.drive.rod_length_mm, 0.0, 0.0], abs=0.01)
    assert end - corners[-1] == pytest.approx([0.0, 0.0, design.plan.pin_leg_mm], abs=0.01)
    loop = marks[2].turns
    assert loop == ("away from you" if mirror else "towards you")


@pytest.mark.parametrize("pose", ["hang", "side"])
def test_the_tail_goes_through_the_arm_towards_the_case(pose):
    """A hanging arm is passed from above, where its case is; one on its side along the track, from the case."""
    assert rod_marks(design_of(pose))[0].turns == ("down" if pose == "hang" else "away from you")


def test_steps_name_a_former_and_a_way_for_every_bend():
    """Each bend of the sheet has its mark, its drill and where the rest goes."""
    design = design_of("hang")
    told = next(step for step in steps(design) if "From zero" in step)

    for mark in rod_marks(design):
        assert mark.what in told
        assert f"so that the rest goes {mark.turns}" in told
