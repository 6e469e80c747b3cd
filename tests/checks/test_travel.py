"""The travel is where the pulses take the pin of the mount as it is placed, by none of the solver's formulas."""

from __future__ import annotations

import math

import pytest
from plain import designed

from mounts.checks.travel import check_travel
from mounts.pipeline import design_mount
from mounts.scene import pressed_path
from mounts.units import number


def _bracket():
    return designed(style="under-bracket", board="18 mm", scale="HO").design


def _travel(design):
    (check,) = check_travel(design)
    return check


def _with_drive(design, **figures):
    return design.model_copy(update={"drive": design.drive.model_copy(update=figures)})


def _with_servo(design, **figures):
    servo = design.spec.servo.model_copy(update=figures)
    return design.model_copy(update={"spec": design.spec.model_copy(update={"servo": servo})})


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("style", ["under-bracket", "hut", "bank"])
def test_every_style_s_pulses_close_both_blades(style, mirror):
    """Half the travel that the drive promises, either side, whichever way the mount is built."""
    spec = _bracket().spec.model_copy(update={"style": style, "mirror": mirror, "options": {}, "laid": False})
    design = design_mount(spec).design

    check = _travel(design)

    assert check.verdict == "pass"
    assert check.value == pytest.approx(design.drive.travel_mm / 2, abs=0.02)


def test_exchanged_pulses_take_the_pin_to_the_wrong_side():
    """Normal for reverse: the pin goes away from the blade that it is to close."""
    design = _bracket()
    pulse = design.drive.pulse_us
    exchanged = pulse.model_copy(update={"normal": pulse.reverse, "reverse": pulse.normal})

    check = _travel(_with_drive(design, pulse_us=exchanged))

    assert check.verdict == "fail"
    assert check.value < 0
    assert "more --swing" in check.message


def test_a_servo_that_turns_the_other_way_fails_and_one_that_turns_less_just_closes():
    """The pulses are those of the servo: its sense and its gain count."""
    design = _bracket()
    touch, goes = _travel(design).limit, _travel(design).value
    gain = design.spec.servo.degrees_per_us

    assert _travel(_with_servo(design, pulse_turns="cw")).verdict == "fail"
    assert _travel(_with_servo(design, degrees_per_us=gain * 1.02 * touch / goes)).verdict == "pass"
    assert _travel(_with_servo(design, degrees_per_us=gain * 0.85 * touch / goes)).verdict == "fail"


def test_slack_is_gone_through_before_the_blades_touch():
    """The pin must go half the throw and half of what is lost: a hole in which more is lost asks for as much more."""
    design = _bracket()
    drive, throw, goes = design.drive, design.spec.throw_mm, _travel(design).value

    assert _travel(design).limit == pytest.approx((throw + drive.lost_motion_mm) / 2)
    for more, verdict in ((-0.02, "pass"), (0.02, "fail")):
        check = _travel(_with_drive(design, lost_motion_mm=2 * goes - throw + more))
        assert (check.verdict, check.limit) == (verdict, pytest.approx(goes + more / 2))
    assert f"touch at {round(goes + 0.01, 2):g}" in check.message
    assert f"take the pin {round(goes, 2):g}" in check.message


def test_a_servo_beside_its_place_is_found_out():
    """The pin's datum 2 mm to reverse takes 2 mm off the way to that side."""
    design = _bracket()
    x, y, z = design.datums.pin
    aside = design.model_copy(update={"datums": design.datums.model_copy(update={"pin": (x, y + 2.0, z)})})

    assert _travel(aside).value == pytest.approx(_travel(design).value - 2.0)


def test_pressed_wire_passes_its_supports_and_stops_at_half_the_throw():
    """Through arm hole and pivot, the pin at half the throw and half its slack; free, where the straight line goes."""
    design = _bracket()
    theta = 0.9 * design.drive.swing_deg * 3.141592653589793 / 180
    path, free = (pressed_path(design, theta, stopped=stopped) for stopped in (True, False))
    slack = design.spec.tie_bar_hole_mm - design.drive.wire_mm

    assert abs(path[-2][1]) == pytest.approx((design.spec.throw_mm + slack) / 2)
    assert abs(free[-2][1]) > abs(path[-2][1])
    for line in (path, free):
        assert min(abs(line - design.datums.pivot).max(axis=1)) < 1e-9


def test_the_row_tells_both_ways_and_where_the_blades_touch():
    """To a hundredth of a millimetre; a pin's datum aside is taken off one way and added to the other."""
    design = _bracket()
    x, y, z = design.datums.pin
    for aside in (0.0, 0.1234, -0.1234):
        moved = design.model_copy(update={"datums": design.datums.model_copy(update={"pin": (x, y + aside, z)})})
        ends = [
            pressed_path(design, sense * math.radians(design.drive.swing_deg), stopped=False)[-2][1]
            for sense in (1, -1)
        ]
        (to_normal, to_reverse), touch = (-min(ends) + aside, max(ends) - aside), _travel(design).limit
        for one in (moved, _with_drive(moved, lost_motion_mm=9.0123)):
            row = _travel(one)
            pulse = design.drive.pulse_us
            told = f"{pulse.normal:.0f} and {pulse.reverse:.0f} µs take the pin {number(to_normal, 2)} and "
            assert row.message.startswith(told + f"{number(to_reverse, 2)} mm to normal and reverse")
            assert row.value == pytest.approx(min(to_normal, to_reverse), abs=1e-6)
            end = "" if row.verdict == "pass" else " mm: more --swing"
            assert row.message.endswith(f"the blades touch at {number(row.limit, 2)}{end}")
        assert _travel(moved).limit == touch
