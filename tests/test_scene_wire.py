"""The wire that is cut and bent, against polylines and distances between points."""

import math

import numpy as np
import pytest
from requests_for_drives import bracket_limits, request

from mounts.design import Datums, Design, Plan
from mounts.drive.solve import solve
from mounts.scene_rocking_wire import above_pin_mm, bent_wire, fall_mm
from mounts.scene_wire import wire_cut_mm


def _design(**changes) -> Design:
    spec = request(board_mm=18.0, **changes)
    unit = ((1.0, 0, 0, 0), (0, 1.0, 0, 0), (0, 0, 1.0, 0), (0, 0, 0, 1.0))
    return Design(
        spec=spec,
        drive=solve(spec, bracket_limits(spec)),
        datums=Datums(pin=(0, 0, 0), pivot=(0, 0, 0), servo=unit, fixings=(), horn_at_mid=(0, 0, 1.0)),
        plan=Plan(
            screws=(),
            way_out=(0, 0, 1.0),
            plug_path=(),
            plug_wide=(0, 0, 1.0),
            wire_tail_mm=2.5,
            seat_n_per_mm=1.0,
            name_mark="a",
        ),
    )


def _hook(design: Design) -> Design:
    """The same with an arm that points away from the pivot."""
    return design.model_copy(update={"drive": design.drive.model_copy(update={"horn_towards_pivot": False})})


@pytest.mark.parametrize("bent", [lambda design: design, _hook], ids=["Z", "hook"])
@pytest.mark.parametrize("scale", ["Z", "N", "HO", "O"])
def test_the_line_is_as_long_as_what_is_used(scale, bent):
    """The drawn line, chords added up, is the developed length (chords of 5° are 0.03 % short of their arc)."""
    found = bent_wire(bent(_design(scale=scale)))

    drawn = np.linalg.norm(np.diff(found.line_mm, axis=0), axis=1).sum()
    assert drawn == pytest.approx(found.used_mm, abs=5e-3)


@pytest.mark.parametrize("bent", [lambda design: design, _hook], ids=["Z", "hook"])
def test_each_bend_begins_at_its_mark_and_turns_the_way_told(bent):
    """Walking along the line, its heading turns by a quarter from each mark on, left where the angle is positive."""
    found = bent_wire(bent(_design()))

    steps = np.diff(found.line_mm, axis=0)
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(steps, axis=1))])
    heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    for mark in found.bends:
        arc = (mark.inside_radius_mm + _wire(found)) * math.pi / 2
        inside = (along[:-1] > mark.at_mm + 0.01) & (along[1:] < mark.at_mm + arc - 0.01)
        per_mm = np.diff(heading[inside]) / np.linalg.norm(steps[inside], axis=1)[:-1]
        assert len(per_mm) >= 10
        assert np.degrees(per_mm) * arc == pytest.approx(mark.angle_deg, abs=0.2)
    assert found.bends[0].former_mm == pytest.approx(3 * 2 * _wire(found), abs=0.05)


def _wire(found) -> float:
    """Half the wire, from its bends: they are 1.5 diameters inside."""
    return found.bends[0].inside_radius_mm / 3


@pytest.mark.parametrize("scale", ["N", "HO"])
def test_the_end_stays_in_the_tie_bar_and_below_rail_top(scale):
    """At either end of the swing it stands above the tie bar's middle and, where trains run, below rail top.

    Second method: the distance from arm hole to pivot is measured between points.
    """
    design = _design(scale=scale)
    drive, found = design.drive, bent_wire(design)
    theta = math.radians(drive.swing_deg)
    sense = 1 if drive.horn_towards_pivot else -1
    shaft = np.array([0.0, -(drive.pivot_to_horn_mm + sense * drive.horn_radius_mm)])
    hole = shaft + drive.horn_radius_mm * np.array([math.sin(theta), sense * math.cos(theta)])
    straight = found.line_mm[-1, 0]

    above = straight - np.linalg.norm(hole)
    height = above * -hole[1] / np.linalg.norm(hole)
    stands = height - drive.pivot_to_pin_mm
    assert 0.8 <= stands <= above_pin_mm(design.spec) + 0.01
    assert design.spec.pin_height_mm + stands < design.spec.rail_top_z
    assert fall_mm(drive) == pytest.approx(
        np.linalg.norm(hole) * (1 + drive.pivot_to_pin_mm / -hole[1]) - drive.pivot_to_horn_mm - drive.pivot_to_pin_mm
    )


def test_a_spare_end_is_cut_too():
    """Ten millimetres to hold it by, ten behind the tie bar, and the next whole millimetre."""
    design = _design()

    assert 20.0 <= wire_cut_mm(design) - bent_wire(design).used_mm < 21.0
    assert wire_cut_mm(design) == int(wire_cut_mm(design))
