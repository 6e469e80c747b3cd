"""Lost motion against a wire drawn pressed to the sides of its holes, both ends."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from beam_elements import wire

from mounts.drive.rocking_wire.closing import Linkage, closing, lost_motion_mm
from mounts.drive.spring import second_moment_mm4

LINK = Linkage(
    theta_rad=0.1,
    throw_mm=0.5,
    horn_radius_mm=8.0,
    pivot_to_horn_mm=25.0,
    pivot_to_pin_mm=20.0,
    horn_towards_pivot=True,
    wire_mm=0.8,
    modulus_mpa=206_000.0,
    pivot_slack_mm=0.2,
    arm_slack_mm=0.3,
    pin_slack_mm=0.4,
    held="turning",
)


def pin_of_pressed_wire(held: str, side: float) -> float:
    """Pin of an unmoved wire lying against the sides of arm hole and pivot, from an element beam, mm.

    A pin pushed to −side leaves the wire against the pivot's and tie bar's −side and the arm's +side; a
    clamped wire has no play in the arm.
    """
    beam, pivot, pin = wire(25.0, 20.0, 206_000.0 * float(second_moment_mm4(0.8)))
    arm = {0: side * 0.15} if held == "turning" else {0: 0.0, 1: 0.0}
    moved, _ = beam.solve({**arm, 2 * pivot: -side * 0.1}, {})
    return float(moved[2 * pin]) - side * 0.2


@pytest.mark.parametrize("held", ["turning", "clamped"])
def test_lost_motion_is_what_a_wire_pressed_to_either_side_loses(held):
    """Between the two ends the pressed wire's pin falls short by the lost motion."""
    expected = pin_of_pressed_wire(held, -1.0) - pin_of_pressed_wire(held, 1.0)

    assert expected == pytest.approx(float(lost_motion_mm(replace(LINK, held=held))))


def test_half_of_it_is_lost_at_each_end():
    """The force left is that of a throw longer by the lost motion, without slack."""
    closed = closing(LINK)
    tight = replace(LINK, pivot_slack_mm=0.0, arm_slack_mm=0.0, pin_slack_mm=0.0)
    longer = closing(replace(tight, throw_mm=LINK.throw_mm + float(closed.lost_motion_mm)))

    assert float(longer.force_after_slack_n) == pytest.approx(float(closed.force_after_slack_n))
    assert float(longer.overtravel_mm) == pytest.approx(float(closed.overtravel_mm - closed.lost_motion_mm / 2))


def test_many_linkages_close_as_each_alone():
    """Arrays give the same figures as one at a time."""
    depths = np.array([20.0, 25.0, 30.0])
    together = closing(replace(LINK, pivot_to_horn_mm=depths))

    for i, depth in enumerate(depths):
        alone = closing(replace(LINK, pivot_to_horn_mm=depth))
        assert float(alone.force_n) == pytest.approx(float(together.force_n[i]))
        assert float(alone.torque_nmm) == pytest.approx(float(together.torque_nmm[i]))
