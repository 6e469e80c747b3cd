"""Another drive for a mount that exists, of either kind."""

import pytest
from requests_for_drives import bracket_limits, housing_limits, profile, request

from mounts.drive.adapt import adapt, half_swing_us
from mounts.drive.solve import solve
from mounts.inputs.servo import Servo


def test_board_is_nothing_to_a_push_rod():
    """A housing on a thicker board has the very drive it had, its explanation aside."""
    spec = request(style="hut")
    before = solve(spec, housing_limits(spec))
    thicker = request(style="hut", board_mm=18.0)

    found = adapt(thicker, before, spec.servo, housing_limits(thicker))

    assert found.kept == ("arm hole", "wire", "pulses")
    assert found.lost == ""
    assert found.drive.model_dump(exclude={"explanation"}) == before.model_dump(exclude={"explanation"})


def test_longer_rod_keeps_hole_wire_and_pulses():
    """A housing farther from the track has a longer rod, and the same arm hole, wire and pulses."""
    spec = request(style="hut")
    before = solve(spec, housing_limits(spec))

    found = adapt(spec, before, spec.servo, housing_limits(spec, rod_length_mm=(60.0, 90.0))).drive

    assert found.rod_length_mm > before.rod_length_mm
    assert (found.horn_radius_mm, found.wire_mm, found.pulse_us) == (
        before.horn_radius_mm,
        before.wire_mm,
        before.pulse_us,
    )


def test_exchanged_pulses_are_not_kept_pulses():
    """A housing whose arm turns the other way keeps arm hole and wire, and says why the pulses do not stay."""
    spec = request(style="hut")
    before = solve(spec, housing_limits(spec))

    found = adapt(spec, before, spec.servo, housing_limits(spec, ccw_moves_pin_to_reverse=False))

    assert found.kept == ("arm hole", "wire")
    assert found.lost == "pulses: no drive but with normal and reverse exchanged"


@pytest.mark.parametrize("board_mm", [9.0, 18.0, 25.0])
def test_arm_keeps_its_direction(board_mm):
    """With a flush horn screw the arm may point either way; kept pulses keep the way it points."""
    flush = profile(Servo, "micro-9g").model_copy(update={"horn_screw_proud_mm": 0.0})
    spec = request(servo=flush)
    before = solve(spec, bracket_limits(spec))
    other = request(servo=flush, board_mm=board_mm)

    found = adapt(other, before, flush, bracket_limits(other))

    assert "pulses" in found.kept
    assert found.drive.horn_towards_pivot == before.horn_towards_pivot
    assert found.drive.pulse_us.reverse == pytest.approx(before.pulse_us.reverse)


def test_kept_pulses_are_microseconds_whatever_the_gain():
    """A servo of another gain gets the same µs and another swing."""
    spec = request()
    before = solve(spec, bracket_limits(spec))
    fast = profile(Servo, "micro-9g").model_copy(update={"degrees_per_us": 0.0945})
    other = request(servo=fast)

    found = adapt(other, before, spec.servo, bracket_limits(other)).drive

    assert half_swing_us(found) == pytest.approx(half_swing_us(before))
    assert found.swing_deg == pytest.approx(0.0945 / 0.0925 * before.swing_deg)
