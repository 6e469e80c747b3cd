"""The tolerance study: Monte Carlo inside the worst case, both around the drive's figures."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from requests_for_drives import SERVOS, board, bracket_limits, profile, request

from mounts.drive.closing import closing
from mounts.drive.model import RockingWireDrive
from mounts.drive.rocking_wire import pin_offset_mm
from mounts.drive.solve import solve
from mounts.drive.spread import linkage, spread
from mounts.drive.tolerances import shifted, tolerances
from mounts.inputs.printer import Printer
from mounts.inputs.servo import Servo

QUANTITIES = ("travel_mm", "overtravel_mm", "force_n")


def solved(**changes):
    """Spec, limits and drive of a request."""
    spec = request(**changes)
    limits = bracket_limits(spec)
    return spec, limits, solve(spec, limits)


@settings(max_examples=12)
@given(servo=st.sampled_from(SERVOS), scale=st.sampled_from(["N", "HO", "O"]), board_mm=st.floats(6, 25))
def test_every_sample_lies_inside_the_worst_case(servo, scale, board_mm):
    """Percentiles, and the draws themselves, lie between the worst cases, the nominal too."""
    case = solved(servo=servo, scale=scale, board_mm=board_mm)
    study = spread(*case, samples=1500)

    for name in QUANTITIES:
        seen = getattr(study, name)
        assert seen.low < seen.percentile_5 < seen.percentile_95 < seen.high
        assert seen.low < seen.nominal <= seen.high


def test_same_seed_same_study_other_seed_other_draws():
    """The study repeats to the last digit, and a seed matters."""
    case = solved()

    assert spread(*case) == spread(*case)
    assert spread(*case).force_n.percentile_5 != spread(*case, seed=2).force_n.percentile_5
    assert spread(*case).force_n.low == spread(*case, seed=2).force_n.low


def test_nominal_is_the_drives_own():
    """The middle figures are those of the drive."""
    case = solved()
    study, drive = spread(*case), case[2]

    assert drive.travel_mm == pytest.approx(study.travel_mm.nominal)
    assert drive.overtravel_mm == pytest.approx(study.overtravel_mm.nominal)
    assert drive.force_n == pytest.approx(study.force_n.nominal)


def test_worst_travel_is_the_corner_worked_by_hand():
    """Least travel: thin board, shaft low, short arm, swing short by the dead band (arm towards the pivot)."""
    spec, _, drive = case = solved()
    accuracy, servo_tol = spec.printer.accuracy_mm, spec.servo.tolerance_mm
    shaft = drive.pivot_to_horn_mm + drive.horn_radius_mm + accuracy + servo_tol / 2
    radius = drive.horn_radius_mm - servo_tol
    theta = np.radians(drive.swing_deg - spec.servo.dead_band_us * spec.servo.degrees_per_us)

    least = 2 * pin_offset_mm(
        theta,
        horn_radius_mm=radius,
        pivot_to_horn_mm=shaft - radius,
        pivot_to_pin_mm=drive.pivot_to_pin_mm - spec.board.under_mm,
    )

    assert float(least) == pytest.approx(spread(*case).travel_mm.low)


def test_worst_force_is_not_beaten_by_a_dense_search():
    """Forty thousand random points of the whole box stay inside the worst case."""
    spec, limits, drive = case = solved(board=board(18.0, over_mm=0.7, under_mm=0.9))
    study, tol = spread(*case), tolerances(spec)
    rng = np.random.default_rng(5)
    draws = rng.uniform(-1.0, 1.0, size=(5, 40_000))
    link = shifted(
        linkage(spec, limits, drive),
        board_mm=np.where(draws[0] < 0, draws[0] * tol.board_under_mm, draws[0] * tol.board_over_mm),
        shaft_mm=draws[1] * tol.shaft_mm,
        radius_mm=draws[2] * tol.horn_radius_mm,
        theta_rad=draws[3] * tol.theta_rad,
        slack_mm=draws[4] * tol.pivot_slack_mm,
    )
    closed = closing(link)

    assert study.force_n.low <= closed.force_after_slack_n.min()
    assert closed.force_n.max() <= study.force_n.high


def test_no_tolerance_leaves_only_the_slack():
    """A perfect board, printer and servo: travel has no spread, the force only what slack takes."""
    spec, limits, drive = solved()
    exact = spec.model_copy(
        update={
            "board": board(12.0, over_mm=0.0, under_mm=0.0),
            "printer": profile(Printer, "fdm-0.4").model_copy(update={"accuracy_mm": 0.0}),
            "servo": profile(Servo, "micro-9g").model_copy(update={"tolerance_mm": 0.0, "dead_band_us": 0.0}),
        }
    )
    study = spread(exact, limits, drive)

    assert isinstance(drive, RockingWireDrive)
    assert study.travel_mm.low == study.travel_mm.high == pytest.approx(drive.travel_mm)
    assert study.force_n.low == pytest.approx(drive.force_after_slack_n)
    assert study.force_n.high == pytest.approx(drive.force_n)


def test_a_thicker_board_than_said_moves_the_pin_further():
    """More board, more lever: the travel grows with the board alone."""
    spec, limits, drive = solved()
    none = {"shaft_mm": 0.0, "radius_mm": 0.0, "theta_rad": 0.0, "slack_mm": 0.0}
    link = linkage(spec, limits, drive)

    thin, thick = (float(closing(shifted(link, board_mm=b, **none)).travel_mm) for b in (-0.5, 0.5))

    assert thick / thin == pytest.approx((drive.pivot_to_pin_mm + 0.5) / (drive.pivot_to_pin_mm - 0.5))
