"""Every clearance check is seen to fail: a bracket built for one servo, asked about another, or put elsewhere."""

import numpy as np
import pytest
from made import kept

from mounts.checks.clearance import check_clearance
from mounts.design import Design
from mounts.frames import matrix

pytestmark = pytest.mark.solid


def _with_servo(design: Design, **measures: float) -> Design:
    """The same mount for a servo that measures differently."""
    servo = design.spec.servo.model_copy(update=measures)
    return design.model_copy(update={"spec": design.spec.model_copy(update={"servo": servo})})


def _with_drive(design: Design, **figures: float) -> Design:
    return design.model_copy(update={"drive": design.drive.model_copy(update=figures)})


def _with_plan(design: Design, **figures: object) -> Design:
    return design.model_copy(update={"plan": design.plan.model_copy(update=figures)})


def _thicker_wire(design: Design, more: float) -> Design:
    """A wire thicker than the pivot was made for."""
    return _with_drive(design, wire_mm=design.drive.wire_mm + more)


def _shifted(design: Design, x: float) -> Design:
    """The servo, and only it, moved along the track."""
    rows = [list(row) for row in design.datums.servo]
    rows[0][3] += x
    placed = np.array(rows)
    servo = matrix(placed[:3, :3], placed[:3, 3])
    return design.model_copy(update={"datums": design.datums.model_copy(update={"servo": servo})})


def _checks(design):
    return {check.name: check for check in check_clearance(design, kept().meshes)}


def test_the_mount_as_designed_passes():
    """Nothing fails, and the fit round the case is the printer's slip fit."""
    checks = _checks(kept().design)

    assert {"pass"} == {check.verdict for check in checks.values()}
    assert checks["servo-fit"].value == pytest.approx(kept().design.spec.printer.slip_fit_mm, abs=1e-3)


WRONG = {
    "servo-clear": (lambda d: _with_servo(d, case_length_mm=d.spec.servo.case_length_mm + 1), "cuts into the mount"),
    "servo-fit": (lambda d: _with_servo(d, case_width_mm=d.spec.servo.case_width_mm + 0.2), "closer to the mount"),
    "flange-seat": (lambda d: _shifted(d, 0.5), "do not touch their seat"),
    "arm-swing": (lambda d: _with_servo(d, horn_length_mm=d.drive.pivot_to_horn_mm + 7), "arm comes too near"),
    "wire-mount": (lambda d: _thicker_wire(d, 0.35), "binds in the pivot"),
    "wire-servo": (lambda d: _with_plan(d, wire_tail_mm=d.drive.horn_radius_mm - 3), "wire meets the servo"),
    "wire-board": (lambda d: _with_drive(d, board_hole_mm=d.drive.board_hole_mm - 3), "drill it larger"),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_mount_that_is_wrong_on_this_count_fails_it(name):
    """The check fails, its message says what to do, and its value is past its limit."""
    spoil, says = WRONG[name]

    check = _checks(spoil(kept().design))[name]
    assert check.verdict == "fail"
    assert says in check.message
    past = (
        check.value > check.limit
        if name in ("servo-clear", "wire-mount", "flange-seat")
        else (check.value < check.limit)
    )
    assert past


def test_the_pivot_takes_just_the_wire_it_was_made_for():
    """A wire thicker by the pivot's slack still fits between the lands; thicker by a tenth more it binds."""
    slack = kept().design.spec.printer.moving_fit_mm

    assert _checks(_thicker_wire(kept().design, 0.0))["wire-mount"].verdict == "pass"
    assert _checks(_thicker_wire(kept().design, slack + 0.1))["wire-mount"].verdict == "fail"


def test_a_servo_just_within_the_fit_passes():
    """0.02 mm is what the mesh may stray; a case 0.03 wider a side is refused, 0.01 is not."""
    width = kept().design.spec.servo.case_width_mm

    assert _checks(_with_servo(kept().design, case_width_mm=width + 0.02))["servo-fit"].verdict == "pass"
    assert _checks(_with_servo(kept().design, case_width_mm=width + 0.06))["servo-fit"].verdict == "fail"
