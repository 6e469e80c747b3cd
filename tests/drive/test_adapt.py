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


def without(spec, *gone):
    """A request whose servo has another arm or centre, or whose coils lack a wire."""
    hole, wire, centre = (name in gone for name in ("arm hole", "wire", "pulses"))
    before = solve(request(), bracket_limits(request()))
    servo = spec.servo.model_copy(update={
        "horn_radii_mm": tuple(r for r in spec.servo.horn_radii_mm if not (hole and r == before.horn_radius_mm)),
        "pulse_centre_us": 1520.0 if centre else spec.servo.pulse_centre_us,
    })  # fmt: skip
    stock = tuple(one for one in spec.wire.stock if not (wire and one.diameter_mm == before.wire_mm))
    return spec.model_copy(update={"servo": servo, "wire": spec.wire.model_copy(update={"stock": stock})})


@pytest.mark.parametrize(
    ("gone", "kept", "why"),
    [
        ((), ("arm hole", "wire", "pulses", "over-travel"), ""),
        (("arm hole",), ("wire", "pulses"), "arm hole: the arm of micro-9g has no hole {hole:g} mm from the shaft"),
        (("wire",), ("arm hole", "pulses"), "wire: spring-wire-sm has no {wire:g} mm wire"),
        (("pulses",), ("arm hole", "wire", "over-travel"), "pulses: micro-9g has its centre at 1520 µs"),
    ],
)
def test_what_is_gone_is_not_kept_and_all_else_is(gone, kept, why):
    """An arm without the hole, a coil used up, another centre: each by itself, with the reason; the rest to the last
    bit, and nothing that is told to be kept is anything else."""
    spec = request()
    before, new = solve(spec, bracket_limits(spec)), without(spec, *gone)

    found = adapt(new, before, spec.servo, bracket_limits(new))
    drive = found.drive
    assert found.kept == kept
    assert found.lost == why.format(hole=before.horn_radius_mm, wire=before.wire_mm)
    same = {
        "arm hole": drive.horn_radius_mm == before.horn_radius_mm, "wire": drive.wire_mm == before.wire_mm,
        "pulses": drive.pulse_us == before.pulse_us,
        "over-travel": drive.overtravel_mm == pytest.approx(before.overtravel_mm, abs=1e-3),
    }  # fmt: skip
    assert {name for name, kept_so in same.items() if kept_so} == set(kept)
