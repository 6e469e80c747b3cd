"""A lift's own checks: each figure by hand from what the drive says of itself, each row's words."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from plain import designed, with_drive, with_servo

from mounts.checks.lift import JUDGING
from mounts.checks.mechanics import check_mechanics
from mounts.checks.model import Check
from mounts.design import Design
from mounts.drive.pulse import trim_room_us
from mounts.drive.spread import spread_of
from mounts.pipeline import Designed

WIRE = {"style": "lift-bracket", "travel": 4.0, "positions": 3}
CRANK = {
    "style": "lift-bracket",
    "board": "18 mm",
    "scale": "HO",
    "crank": 3.0,
    "crank_pivot": "60",
    "positions": "0, 45",
}
BOOM = {"style": "lift-bracket", "scale": "O", "moves": "boom", "arm_hole": 9, "set": {"rods": 2}}
DROPPED = {"style": "drop-in", "travel": "4 mm"}
ALL = [WIRE, CRANK, BOOM, {**BOOM, "mirror": True}, {**WIRE, "mirror": True}, DROPPED]

PLACES = {
    "positions": 2, "positions-with-tolerances": 1, "transmission-at-arm": 1, "transmission": 1, "backlash": 1,
    "lean-of-rod": 1, "stop-force": 2, "buckling-at-stop": 1, "buckling-at-stall": 1, "guides": 0, "stress": 0,
    "bent-aside": 0, "spring-bend": 1, "torque-margin": 1, "pulse-range": 0,
}  # fmt: skip


def rows(one: Designed, design: Design | None = None) -> dict[str, Check]:
    design = design or one.design
    return {
        row.name: row for row in check_mechanics(design, spread_of(design.spec, one.limits, design.drive), one.limits)
    }


@pytest.mark.parametrize("asked", ALL)
def test_as_designed_every_row_passes_and_tells_its_figure(asked) -> None:
    """Rounded to what it is worth, and not one decimal more: N and mm to a hundredth, MPa and µs whole, degrees, ratios
    and the bend's reach to a tenth."""
    found = rows(designed(**asked))

    assert {row.verdict for row in found.values()} == {"pass"}
    assert {name for name in PLACES if name not in found} <= {
        "positions-with-tolerances", "transmission", "backlash", "lean-of-rod", "bent-aside", "stress", "guides",
    }  # fmt: skip
    for name, row in found.items():
        places = PLACES.get(name.removeprefix("second-"))
        shown = re.findall(r"-?\d+(?:\.\d+)?", row.message)
        if places is not None:
            assert f"{row.value:.{places}f}" in shown, (name, row.message)


@pytest.mark.parametrize("asked", [WIRE, {**WIRE, "mirror": True}, DROPPED])
@pytest.mark.parametrize("more", [-30.0, 12.0, 45.0])
def test_a_sliding_rods_places_are_where_its_pulses_take_it(asked, more: float) -> None:
    """With the last pulse off by so many µs: the arm's hole at r·sin θ, the rod up to a point over the pin, by
    Pythagoras; heights over the lowest, which all are then."""
    one = designed(**asked)
    drive, servo = one.design.drive, one.design.spec.servo
    *others, last = drive.positions
    off = with_drive(one.design, positions=(*others, last.model_copy(update={"pulse_us": last.pulse_us + more})))

    def height(pulse_us: float) -> float:
        theta = math.radians(servo.degrees_per_us) * (pulse_us - servo.pulse_centre_us)
        sense = math.copysign(1.0, others[0].arm_deg - last.arm_deg) * math.copysign(
            1.0, others[0].pulse_us - last.pulse_us
        )
        y, z = drive.shaft[0] + drive.horn_radius_mm * math.cos(theta), drive.horn_radius_mm * math.sin(sense * theta)
        if drive.shaft[0] > 0:
            y = drive.shaft[0] - drive.horn_radius_mm * math.cos(theta)
        return z + math.sqrt(drive.rod_length_mm**2 - y**2)

    heights = [height(place.pulse_us) for place in off.drive.positions]
    wrong = max(
        abs(high - min(heights) - place.asked_mm) for high, place in zip(heights, off.drive.positions, strict=True)
    )
    row = rows(one, off)["positions"]
    assert row.value == pytest.approx(wrong, abs=1e-6)
    assert row.verdict == ("pass" if wrong <= row.limit else "fail")
    assert ", ".join(f"{place.pulse_us:.0f}" for place in off.drive.positions) in row.message


@pytest.mark.parametrize("asked", [CRANK, {**CRANK, "mirror": True}, BOOM])
@pytest.mark.parametrize("more", [-25.0, 25.0])
def test_a_cranks_angles_are_where_four_links_close(asked, more: float) -> None:
    """With the last pulse off: the crank's end is as far from the arm's hole as the rod is long and as far from its
    spindle as the crank, found by halving the crank's angle near where it was to be."""
    one = designed(**asked)
    drive, servo = one.design.drive, one.design.spec.servo
    *others, last = drive.positions
    off = with_drive(one.design, positions=(*others, last.model_copy(update={"pulse_us": last.pulse_us + more})))
    mid = np.array(one.design.datums.horn_at_mid)[1:]
    first_sense = (last.arm_deg - others[0].arm_deg) * (last.pulse_us - others[0].pulse_us)
    sign = math.copysign(1.0, first_sense)

    def crank_deg(place) -> float:
        turned = sign * servo.degrees_per_us * (place.pulse_us - servo.pulse_centre_us)
        lifted = math.copysign(1.0, mid[0])  # a hole at +y rises where the arm turns from y to z
        theta = math.radians(turned) * lifted
        c, s = math.cos(theta), math.sin(theta)
        hole = np.array(drive.shaft) + drive.horn_radius_mm * np.array(
            [c * mid[0] - s * mid[1], s * mid[0] + c * mid[1]]
        )

        def short(angle: float) -> float:
            end = np.array(drive.crank_pivot) + drive.crank_mm * np.array(
                [drive.crank_towards * math.cos(angle), math.sin(angle)]
            )
            return math.dist(end, hole) - drive.rod_length_mm

        low, high = (math.radians(place.asked_deg + by) for by in (-12.0, 12.0))
        assert short(low) * short(high) < 0
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if short(low) * short(middle) > 0 else (low, middle)
        return math.degrees(low)

    wrong = max(abs(crank_deg(place) - place.asked_deg) for place in off.drive.positions)
    assert rows(one, off)["positions"].value == pytest.approx(wrong, abs=1e-4)
    assert "° of what was asked" in rows(one, off)["positions"].message


@pytest.mark.parametrize(("share", "verdict"), [(0.99, "pass"), (1.01, "fail")])
def test_the_servo_holds_three_times_what_it_must(share: float, verdict: str) -> None:
    """Stall over held, by a servo that is just strong enough; nothing held is a million times."""
    one = designed(**CRANK)
    before = rows(one)["torque-margin"]
    least = before.limit * share / before.value

    weak = with_servo(
        one.design, stall_torque_nmm=one.design.spec.servo.stall_torque_nmm * before.limit / before.value / share
    )
    row = rows(one, weak)["torque-margin"]
    assert least > 0
    assert (row.value, row.verdict) == (pytest.approx(before.limit / share), verdict)


@pytest.mark.parametrize("low", [True, False])
def test_room_for_trimming_is_that_of_the_end_with_less(low: bool) -> None:
    """Of a servo whose range ends 40 µs beyond the lowest pulse, or above the highest; half a spline tooth and half a
    millimetre of the rod are wanted."""
    one = designed(**WIRE)
    pulses = [place.pulse_us for place in one.design.drive.positions]
    ends = {
        "pulse_min_us": min(pulses) - (40.0 if low else 90.0),
        "pulse_max_us": max(pulses) + (90.0 if low else 40.0),
    }

    row = rows(one, with_servo(one.design, **ends))["pulse-range"]
    drive = one.design.drive
    rate = drive.horn_radius_mm * math.cos(math.radians(drive.swing_deg))
    assert row.value == pytest.approx(40.0)
    assert row.limit == pytest.approx(float(trim_room_us(rate, 0.5, one.design.spec.servo)), rel=0.1)


def test_what_the_rod_passes_at_the_board() -> None:
    """Its own hole, with half a millimetre that it may be off; of a drop-in the cut-out."""
    hole = JUDGING.board(designed(**WIRE).design)
    edge = JUDGING.board(designed(**DROPPED).design)

    assert (hole.air_mm, edge.air_mm) == (pytest.approx(0.7), pytest.approx(0.2))
    assert "hole in the board" in hole.passes
    assert edge.passes == "the cut-out in the board"


@pytest.mark.parametrize(("pull", "edge", "moment"), [(9.0, -12.0, 12.0), (9.0, 20.0, 20.0), (0.5, 20.0, 10.0)])
def test_a_rod_that_jams_tips_by_its_own_line(pull: float, edge: float, moment: float) -> None:
    """The servo's pull, or the 1 N that the bend lets through, on a line at y = 0."""
    drive = with_drive(designed(**WIRE).design, fault_force_n=1.0).drive

    assert JUDGING.tips_nmm(drive, pull, edge) == pytest.approx(moment)


def test_dead_bands_are_told_where_they_are_felt() -> None:
    """Of a sliding rod in mm, of a crank in degrees: the arm's hole by the dead band, over the crank."""
    slides, turns = rows(designed(**WIRE)), rows(designed(**CRANK))
    drive, servo = designed(**WIRE).design.drive, designed(**WIRE).design.spec.servo
    dead = servo.dead_band_us * math.radians(servo.degrees_per_us)

    (mm,) = (row for row in slides.values() if "moves the rod" in row.message)
    assert mm.value == pytest.approx(dead * drive.horn_radius_mm, rel=0.02)
    assert f"{mm.value:.3f} mm" in mm.message
    (deg,) = (row for row in turns.values() if "turns the crank" in row.message)
    crank = designed(**CRANK).design.drive
    assert deg.value >= math.degrees(dead * crank.horn_radius_mm * math.cos(math.radians(crank.swing_deg)) / 3.0)
    assert f"{deg.value:.1f}°" in deg.message


@pytest.mark.parametrize(("asked", "rod"), [(CRANK, ""), (BOOM, ""), (BOOM, "second-")])
def test_play_turns_a_crank_by_what_it_is_at_its_least_angle(asked, rod: str) -> None:
    """The rod's end, free by so much along the rod, goes round the spindle by as much over the crank's length and the
    sine of the angle between both, which is that of the row before."""
    one = designed(**asked)
    found = rows(one)
    play = float(re.match(r"([\d.]+) mm of play in both holes", found[f"{rod}backlash"].message)[1])

    angle = math.radians(found[f"{rod}transmission"].value)
    turned = math.degrees(play / (one.design.drive.crank_mm * math.sin(angle)))
    assert found[f"{rod}backlash"].value == pytest.approx(turned, rel=0.03)  # as told, to 0.01 mm


def test_what_a_second_rod_has_otherwise_is_told_of_it_alone() -> None:
    """Longer by 0.3 mm than the first, it stands otherwise to its arm and crank, and the first as before."""
    one = designed(**BOOM)
    second = one.design.drive.second
    longer = with_drive(one.design, second=second.model_copy(update={"rod_length_mm": second.rod_length_mm + 0.3}))

    before, after = rows(one), rows(one, longer)
    told = ("transmission", "transmission-at-arm", "backlash", "lean-of-rod", "pulse-range")
    for name in told:
        assert after[name].value == before[name].value
        assert after[name].limit == before[name].limit
    (finely,) = (name for name, row in before.items() if "turns the crank" in row.message)
    assert after[finely].value == before[finely].value
    for name in told[:4]:
        assert after[f"second-{name}"].value != pytest.approx(before[f"second-{name}"].value, rel=1e-3)
    angle = math.radians(after["second-transmission"].value)
    play = float(after["second-backlash"].message.split(" mm of play")[0])
    turned = math.degrees(play / (one.design.drive.crank_mm * math.sin(angle)))
    assert after["second-backlash"].value == pytest.approx(turned, rel=0.03)


@pytest.mark.parametrize("asked", [WIRE, CRANK])
def test_a_rod_folds_up_at_one_load_whatever_presses_it(asked) -> None:
    """What a jam puts on it times the margin over that; its stop and 0.1 N of weight go into it as often as is told."""
    one = designed(**asked)
    found = rows(one)

    folds = found["buckling-at-stall"].value * one.design.drive.fault_force_n
    pressed = found["stop-force"].value + 0.1
    assert found["buckling-at-stop"].value == pytest.approx(folds / pressed, rel=1e-3)
    held = float(re.search(r"holds ([\d.]+) N·mm", found["torque-margin"].message)[1])
    assert found["torque-margin"].value == pytest.approx(one.design.spec.servo.stall_torque_nmm / held, rel=0.05)
    assert ("bent-aside" in found) == (asked is WIRE)


def test_a_bend_stands_out_by_its_leg_and_its_crown() -> None:
    """The crown's middle is a radius past the legs' end, and half the wire outside of it; of two rods the second
    alone is off by what the first is set to."""
    for asked in (WIRE, CRANK, BOOM):
        drive = designed(**asked).design.drive
        reach = drive.loop_leg_mm + drive.loop_radius_mm + drive.wire_mm / 2
        assert rows(designed(**asked))["spring-bend"].value == pytest.approx(reach, abs=1e-6)
    found = rows(designed(**BOOM))
    assert "where the first is set" not in found["stop-force"].message
    assert "where the first is set" in found["second-stop-force"].message


@pytest.mark.parametrize(("low", "high", "verdict"), [(-2.95, 1.0, "pass"), (-1.0, 3.05, "fail"), (-3.05, 1.0, "fail")])
def test_what_is_left_of_a_cranks_places_is_told(low: float, high: float, verdict: str) -> None:
    """The worst of either way, 3° at most; of a wire that slides nothing is said in degrees."""
    one = designed(**CRANK)
    spread = spread_of(one.design.spec, one.limits, one.design.drive)
    first = spread.positions[0].model_copy(update={"low": low, "high": high})
    rest = tuple(place.model_copy(update={"low": -0.5, "high": 0.5}) for place in spread.positions[1:])
    found = check_mechanics(one.design, spread.model_copy(update={"positions": (first, *rest)}), one.limits)

    row = {each.name: each for each in found}["positions-with-tolerances"]
    assert (row.value, row.verdict) == (pytest.approx(max(-low, high)), verdict)
    assert "positions-with-tolerances" not in rows(designed(**WIRE))


@pytest.mark.parametrize(("apart", "verdict"), [(14.9, "pass"), (15.1, "warn")])
def test_a_second_crank_set_at_one_end_may_be_15_degrees_off(monkeypatch, apart: float, verdict: str) -> None:
    """Where a pair has cranks at all."""
    monkeypatch.setattr("mounts.checks.lift.second_off_deg", lambda *_: apart)

    row = rows(designed(**BOOM))["second-positions-with-tolerances"]
    assert (row.value, row.verdict) == (apart, verdict)
    slides = {"style": "lift-bracket", "travel": 4.0, "positions": 3, "set": {"rods": 2}}
    assert "second-positions-with-tolerances" not in rows(designed(**slides))
