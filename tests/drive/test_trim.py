"""The trimming rule against wires laid to the sides of their holes, lines and circles that are cut."""

from __future__ import annotations

import math

import pytest
from requests_for_drives import bracket_limits, housing_limits, request
from scipy.optimize import brentq
from shapely import LineString

from mounts.drive.lift.model import LiftDrive
from mounts.drive.push_rod.model import PushRodDrive
from mounts.drive.solve import solve
from mounts.drive.trim import trim


def _bracket(**changes):
    spec = request(board_mm=18.0, **changes)
    return spec, solve(spec, bracket_limits(spec))


def _housing(**changes):
    spec = request(**changes)
    return spec, solve(spec, housing_limits(spec))


def _pressed_tie_bar_mm(spec, drive, theta):
    """Where a wire that pushes towards + takes the tie bar: laid against the sides its three holes offer it.

    The tie bar pushes back at the pin, so the wire lies at the − side of the pivot and at the + side of the
    arm's hole (levers of a beam on two supports); a line through both is cut at the pin's height, by shapely.
    """
    sense = 1.0 if drive.horn_towards_pivot else -1.0
    below = drive.pivot_to_horn_mm + sense * drive.horn_radius_mm * (1.0 - math.cos(theta))
    arm, pivot = (hole - drive.wire_mm for hole in (drive.arm_hole_drill_mm, drive.pivot_bore_mm))
    hole = (-drive.horn_radius_mm * math.sin(theta) + arm / 2, -below)
    bore = (-pivot / 2, 0.0)
    way = (bore[0] - hole[0], bore[1] - hole[1])
    wire = LineString([hole, (hole[0] + 9 * way[0], hole[1] + 9 * way[1])])
    at_pin = wire.intersection(LineString([(-99, drive.pivot_to_pin_mm), (99, drive.pivot_to_pin_mm)])).x
    return at_pin - (spec.tie_bar_hole_mm - drive.wire_mm) / 2


def _pressed_by_rod_mm(spec, drive, theta, side):
    """Where a rod takes the tie bar: a circle about the arm hole cut with the slide line, less half of both slacks."""

    def pin(angle):
        hole = (drive.horn_radius_mm * math.sin(angle), drive.horn_radius_mm * math.cos(angle))
        return hole[0] + math.sqrt(drive.rod_length_mm**2 - (drive.offset_mm - hole[1]) ** 2)

    end = math.radians(drive.swing_deg)
    middle = (pin(end) + pin(-end)) / 2
    slack = drive.arm_hole_drill_mm - drive.wire_mm + max(spec.tie_bar_hole_mm - drive.wire_mm, 0.0)
    return side * (pin(theta) - middle) - slack / 2


@pytest.mark.parametrize("scale", ["N", "HO", "O"])
def test_a_rocking_wire_touches_where_its_holes_let_it(scale):
    """The pulse of the touch is, to 3 µs, where the wire laid against its holes has taken the blade to its rail."""
    spec, drive = _bracket(scale=scale)
    found = trim(spec, drive)

    touch = brentq(
        lambda theta: _pressed_tie_bar_mm(spec, drive, theta) - spec.throw_mm / 2, 0.0, math.radians(drive.swing_deg)
    )
    expected_us = (drive.swing_deg - math.degrees(touch)) / spec.servo.degrees_per_us
    for end in (found.normal, found.reverse):
        assert end.past_us == pytest.approx(expected_us, abs=3.0)
        assert end.past_us > 10


@pytest.mark.parametrize("scale", ["N", "HO"])
def test_a_push_rod_touches_where_its_holes_let_it(scale):
    """Each end by itself: the slider-crank's two halves differ, and so do the µs past the touch, to 0.5 µs."""
    spec, drive = _housing(scale=scale)
    assert isinstance(drive, PushRodDrive)
    found = trim(spec, drive)

    for end, side in ((found.normal, -1.0), (found.reverse, 1.0)):
        touch = brentq(
            lambda theta, side=side: _pressed_by_rod_mm(spec, drive, theta, side) - spec.throw_mm / 2,
            0.0,
            side * math.radians(drive.swing_deg),
        )
        expected_us = (drive.swing_deg - abs(math.degrees(touch))) / spec.servo.degrees_per_us
        assert end.past_us == pytest.approx(expected_us, abs=0.5)
    assert found.normal.past_us != pytest.approx(found.reverse.past_us, abs=0.01)


def test_the_way_past_the_touch_is_what_is_left_of_the_over_travel():
    """The pin's way from the touch to the end pulse, times the rate, is the force with the slack taken up.

    The handbook's rate leaves out that the wire leans, and is some per cent more than what presses the blades.
    """
    spec, drive = _bracket()
    end = trim(spec, drive).reverse

    swings = (drive.swing_deg - end.past_us * spec.servo.degrees_per_us, drive.swing_deg)
    slackless = [_pressed_tie_bar_mm(spec, drive, math.radians(swing)) for swing in swings]
    by_handbook = (slackless[1] - slackless[0]) * drive.rate_n_per_mm
    assert drive.force_after_slack_n < by_handbook < 1.08 * drive.force_after_slack_n


@pytest.mark.parametrize("kind", [_bracket, _housing])
def test_a_tenth_of_a_millimetre_costs_the_pulse_that_is_told(kind):
    """Moving the end pulse by the figure moves the pressed tie bar by 0.10 mm there (secant over 0.1 mm, to 3 %)."""
    spec, drive = kind()
    end = trim(spec, drive).reverse

    def pressed(swing_deg):
        theta = math.radians(swing_deg)
        if isinstance(drive, PushRodDrive):
            return _pressed_by_rod_mm(spec, drive, theta, 1.0)
        return _pressed_tie_bar_mm(spec, drive, theta)

    more = drive.swing_deg + end.us_per_tenth_mm * spec.servo.degrees_per_us
    assert pressed(more) - pressed(drive.swing_deg) == pytest.approx(0.1, rel=0.03)


@pytest.mark.parametrize("mirror", [False, True])
def test_home_is_away_from_the_centre_and_leaves_the_room_told(mirror):
    """Pressing harder moves each end pulse away from the centre; the room is what is left to the servo's range."""
    spec, drive = _housing(mirror=mirror)
    found = trim(spec, drive)

    assert {found.normal.home, found.reverse.home} == {"longer", "shorter"}
    assert (found.normal.pulse_us, found.reverse.pulse_us) == (drive.pulse_us.normal, drive.pulse_us.reverse)
    assert (found.normal.position, found.reverse.position) == ("normal", "reverse")
    for end in (found.normal, found.reverse):
        longer = end.home == "longer"
        assert longer is (end.pulse_us > drive.pulse_us.centre)
        assert end.touch_us == pytest.approx(end.pulse_us + (-1 if longer else 1) * end.past_us)
        edge = found.range_us[1] if longer else found.range_us[0]
        assert end.room_us == pytest.approx(abs(edge - end.pulse_us))


def test_a_kept_spring_snaps_over_when_the_wire_pulls_as_hard_as_it():
    """With the blade held back at the far rail the wire is bent by the spring's force when the pulse says snap."""
    plain, _ = _bracket()
    force_n = (plain.force_n[0] + 0.4, plain.force_n[1] + 0.4)
    spec, drive = _bracket(own_spring_n=0.4, force_n=force_n)
    found = trim(spec, drive)

    assert found.sign == "snap"
    swing_deg = drive.swing_deg - found.reverse.past_us * spec.servo.degrees_per_us
    pressed = _pressed_tie_bar_mm(spec, drive, math.radians(swing_deg))
    assert (pressed + spec.throw_mm / 2) * drive.rate_n_per_mm == pytest.approx(0.4, abs=0.02)


@pytest.mark.parametrize("kind", [_bracket, _housing])
def test_share_of_the_way_between_the_touches_counts_the_gain(kind):
    """A servo that turns a tenth more per µs touches sooner: the share leads to the same angle, the µs do not."""
    spec, drive = kind()
    rule, gain = trim(spec, drive), spec.servo.degrees_per_us

    touches_deg = [abs(end.touch_us - drive.pulse_us.centre) * gain for end in (rule.normal, rule.reverse)]
    real = 1.1 * gain
    between_us = sum(touches_deg) / real
    past_deg = rule.past_share * between_us * real

    assert past_deg == pytest.approx((rule.normal.past_us + rule.reverse.past_us) / 2 * gain)
    known = spec.model_copy(update={"servo": spec.servo.model_copy(update={"degrees_per_us_spread": 0.0})})
    assert trim(known, drive).past_share is None


def test_where_no_over_travel_is_left_nothing_is_past_the_touch():
    """Slack of the whole over-travel and more: each end pulse is the touch."""
    spec, drive = _bracket()
    lost = 2 * drive.overtravel_mm

    for more, past in ((0.01, 0.0), (0.5, 0.0), (-0.05, None)):
        found = trim(spec, drive.model_copy(update={"lost_motion_mm": lost + more}))
        for end in (found.normal, found.reverse):
            if past is None:
                assert end.past_us > 0.5
            else:
                assert (end.past_us, end.touch_us) == (past, end.pulse_us)


@pytest.mark.parametrize(("spread", "known"), [(0.0199, True), (0.0201, False)])
def test_a_gain_counts_as_measured_from_two_per_cent_on(spread, known):
    """Then µs are told, no share; a turnout that snaps shows no touch that a share could be taken of."""
    spec, drive = _bracket()
    servo = spec.servo.model_copy(update={"degrees_per_us_spread": spread * spec.servo.degrees_per_us})
    spec = spec.model_copy(update={"servo": servo})

    assert (trim(spec, drive).past_share is None) == known
    assert trim(spec.model_copy(update={"own_spring_n": 0.2}), drive).past_share is None
    assert trim(spec, drive).sign == "touch"


def test_a_drive_that_throws_nothing_is_not_trimmed():
    """A lift has places."""
    with pytest.raises(TypeError, match="lift throws no points"):
        trim(request(), LiftDrive.model_construct(kind="lift", pulse_us=_bracket()[1].pulse_us))
