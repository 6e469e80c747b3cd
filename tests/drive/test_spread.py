"""The tolerance study: Monte Carlo inside the worst case, both around the drive's figures."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from requests_for_drives import SERVOS, board, bracket_limits, request

from mounts.drive.rocking_wire.closing import closing
from mounts.drive.rocking_wire.kinematics import pin_offset_mm
from mounts.drive.rocking_wire.shifts import shifted, trimmed
from mounts.drive.rocking_wire.study import linkage
from mounts.drive.solve import solve
from mounts.drive.spread import spread
from mounts.drive.tolerances import NAMES, TRIMMED_AWAY, Closed, Shifts, Study, siting_mm, tolerances

QUANTITIES = ("travel_mm", "overtravel_mm", "force_n", "untrimmed_overtravel_mm", "untrimmed_force_n")


def solved(**changes):
    """Spec, limits and drive of a request."""
    spec = request(**changes)
    limits = bracket_limits(spec)
    return spec, limits, solve(spec, limits)


@settings(max_examples=12)
@given(servo=st.sampled_from(SERVOS), scale=st.sampled_from(["N", "HO", "O"]), board_mm=st.floats(6, 25))
def test_every_sample_lies_inside_the_worst_case(servo, scale, board_mm):
    """Percentiles lie between the worst cases and about the nominal, which no slack flatters."""
    case = solved(servo=servo, scale=scale, board_mm=board_mm)
    study = spread(*case, samples=1500)

    for name in QUANTITIES:
        seen = getattr(study, name)
        assert seen.low < seen.percentile_5 < seen.percentile_95 < seen.high
        assert seen.percentile_5 < seen.nominal < seen.percentile_95, name


def test_same_seed_same_study_other_seed_other_draws():
    """The study repeats to the last digit, and a seed matters."""
    case = solved()

    assert spread(*case) == spread(*case)
    assert spread(*case).force_n.percentile_5 != spread(*case, seed=2).force_n.percentile_5
    assert spread(*case).force_n.low == spread(*case, seed=2).force_n.low


def test_nominal_is_what_people_are_told():
    """The middle figures are the drive's travel, and over-travel and force with all slack taken up."""
    case = solved()
    study, drive = spread(*case), case[2]

    left = drive.overtravel_mm - drive.lost_motion_mm / 2
    assert drive.travel_mm == pytest.approx(study.travel_mm.nominal)
    assert left == pytest.approx(study.overtravel_mm.nominal) == pytest.approx(study.untrimmed_overtravel_mm.nominal)
    assert drive.force_after_slack_n == pytest.approx(study.force_n.nominal)
    assert study.force_n.nominal == study.untrimmed_force_n.nominal


def test_nominal_is_the_mode_of_the_study():
    """Half of the draws press harder than it, half less, within a few per cent; trimming narrows them."""
    study = spread(*solved())

    for seen in (study.force_n, study.untrimmed_force_n):
        assert (seen.percentile_5 + seen.percentile_95) / 2 == pytest.approx(seen.nominal, rel=0.05)
    width, before = (seen.high - seen.low for seen in (study.force_n, study.untrimmed_force_n))
    assert width < 0.5 * before


def test_worst_travel_is_the_corner_worked_by_hand():
    """Least travel: thin board, roadbed and tie bar, shaft low, short arm, a slow servo, half a dead band short."""
    spec, _, drive = case = solved()
    accuracy, servo_tol = spec.printer.accuracy_mm, spec.servo.tolerance_mm
    shaft = drive.pivot_to_horn_mm + drive.horn_radius_mm + accuracy + servo_tol / 2
    radius = drive.horn_radius_mm - servo_tol
    slow = 1 - spec.servo.degrees_per_us_spread / spec.servo.degrees_per_us
    theta = np.radians(drive.swing_deg * slow - spec.servo.dead_band_us * spec.servo.degrees_per_us / 2)
    thin = spec.board.under_mm + 0.05 * spec.roadbed.thickness_mm + 0.2 * spec.scale.pin_above_roadbed_mm

    least = 2 * pin_offset_mm(
        theta,
        horn_radius_mm=radius,
        pivot_to_horn_mm=shaft - radius,
        pivot_to_pin_mm=drive.pivot_to_pin_mm - thin,
    )

    assert float(least) == pytest.approx(spread(*case).travel_mm.low)


@pytest.mark.parametrize("way", [trimmed, shifted])
def test_worst_force_is_not_beaten_by_a_dense_search(way):
    """Forty thousand random points of the whole box stay inside the worst case."""
    spec, limits, drive = case = solved(board=board(18.0, over_mm=0.7, under_mm=0.9))
    study = spread(*case).force_n if way is trimmed else spread(*case).untrimmed_force_n
    rng = np.random.default_rng(5)
    counted = [name for name in NAMES if way is shifted or name not in TRIMMED_AWAY]
    least, most = tolerances(spec, drive.wire_mm)
    drawn = {name: rng.uniform(-1.0, 1.0, 40_000) for name in counted}
    shifts = Shifts(
        **{
            name: np.where(share < 0, -share * getattr(least, name), share * getattr(most, name))
            for name, share in drawn.items()
        }
    )
    force = closing(way(linkage(spec, limits, drive), shifts)).force_after_slack_n

    assert study.low <= force.min()
    assert force.max() <= study.high


def test_no_tolerance_leaves_the_figure_told():
    """A perfect board, printer, servo, wire and eye leave one force: that of the slack taken up."""
    spec, limits, drive = solved()
    link = linkage(spec, limits, drive)

    for way in (trimmed, shifted):
        assert float(closing(way(link, Shifts())).force_after_slack_n) == pytest.approx(
            drive.force_after_slack_n, rel=3e-3
        )


def test_a_thicker_board_than_said_moves_the_pin_further():
    """More board, more lever: the travel grows with the board alone."""
    spec, limits, drive = solved()
    link = linkage(spec, limits, drive)

    thin, thick = (float(closing(shifted(link, Shifts(board_mm=b))).travel_mm) for b in (-0.5, 0.5))

    assert thick / thin == pytest.approx((drive.pivot_to_pin_mm + 0.5) / (drive.pivot_to_pin_mm - 0.5))


def straight(shifts, *, siting=0.0):
    """A drive that gives way to each thing in a straight line, so that its study is known by hand."""
    board = np.asarray(shifts.board_mm)
    return Closed(
        travel_mm=10.0 + board + 1e3 * np.asarray(shifts.tooth_rad),
        left_mm=1.0 + board + siting * np.asarray(shifts.siting_mm),
        force_n=2.0 + board,
        stronger_n=3.0 - board**2,
        stress_share=0.4 + board / 10.0 + np.asarray(shifts.tooth_rad),
    )


def test_both_halves_of_a_study_are_those_of_a_straight_line(monkeypatch):
    """A board 0.3 over and 0.8 under: worst −0.8 and +0.3, and at 5 and 95 in 100 of two triangles with their mode in
    the middle 1 − √0.1 of either. The tooth counts at an end and not on the way to it, siting only untrimmed; forces
    are told by the drive's own, and the most is looked for between the ends too."""
    seen = 1.0 - math.sqrt(0.1)
    spec, limits, drive = solved(board=board(18.0, over_mm=0.3, under_mm=0.8))
    study = Study(
        counted=frozenset({"board_mm", "tooth_rad", "siting_mm", "touch_mm"}),
        as_set=lambda shifts: straight(shifts, siting=1.0),
        trimmed=straight,
    )
    monkeypatch.setattr("mounts.drive.spread.kind_of_both", lambda *_: SimpleNamespace(study=lambda *_: study))
    told = drive.model_copy(update={"force_after_slack_n": 5.0})
    found = spread(spec, limits, told, samples=40_000)

    def is_range(have, low, middle, high):
        assert (have.low, have.nominal, have.high) == pytest.approx((middle - low, middle, middle + high))
        # the 5th percentile of 40,000 stands to 0.1 % of the draws, which is 0.3 % of the width there
        assert have.percentile_5 == pytest.approx(middle - seen * low, abs=0.012 * low)
        assert have.percentile_95 == pytest.approx(middle + seen * high, abs=0.012 * high)

    is_range(found.travel_mm, 0.8, 10.0, 0.3)
    is_range(found.overtravel_mm, 0.8, 1.0, 0.3)
    off = siting_mm(spec)
    assert (found.untrimmed_overtravel_mm.low, found.untrimmed_overtravel_mm.high) == pytest.approx(
        (1.0 - 0.8 - off, 1.0 + 0.3 + off)
    )
    for force in (found.force_n, found.untrimmed_force_n):
        assert (force.low, force.nominal, force.high) == pytest.approx((2.5 * 1.2, 5.0, 2.5 * 3.0))
        assert force.percentile_5 == pytest.approx(2.5 * (2.0 - seen * 0.8), abs=0.04)
        assert 2.5 * (3.0 - 0.02**2) < force.percentile_95 < force.high
    assert found.untrimmed_stress_share == pytest.approx(0.43)
    assert (found.samples, found.seed) == (40_000, 1825)
