"""What each candidate of a rocking wire does, and what each limit makes of it, by a second model in plain arithmetic.

It takes of a candidate only arm hole, wire, swing and depth. Travel is that of a straight line through the pivot, or of
an element beam where the wire is clamped; everything that may be off is tried at both its ends, all together.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import fields, replace
from functools import cache

import numpy as np
import pytest
from beam_elements import wire as beam_of
from requests_for_drives import bracket_limits, profile, request

from mounts.drive.choices import Axes
from mounts.drive.limits import survivors
from mounts.drive.rocking_wire.closing import Linkage
from mounts.drive.rocking_wire.elastic_line import ElasticLine
from mounts.drive.rocking_wire.field import field
from mounts.drive.rocking_wire.judge import board_hole_mm, judge
from mounts.drive.rocking_wire.shifts import shifted, trimmed
from mounts.drive.rocking_wire.solve import costs, examined
from mounts.drive.rocking_wire.study import linkage, pin_mm, study
from mounts.drive.tolerances import Shifts
from mounts.inputs.servo import Servo

FLUSH = profile(Servo, "micro-9g").model_copy(update={"horn_screw_proud_mm": 0.0})
CASES = {
    "turning": ({}, {"pivot_slack_mm": 0.3}),
    "away": ({"servo": FLUSH, "board_mm": 18.0, "scale": "O"}, {"pad_mm": 3.0, "min_pivot_to_shaft_mm": 8.0}),
    "clamped": ({"wire_held": "clamped", "max_depth_mm": 190.0, "force_n": (0.1, 1.5), "laid": True}, {}),
    "over-travel": ({"overtravel_mm": 0.7, "scale": "N"}, {"pivot_slack_mm": 0.1}),
    "wide bracket": ({"scale": "N", "depth_mm": 24.0}, {"below_shaft_mm": 30.0, "pivot_drop_mm": 0.9}),
}


@cache
def case(name: str):
    """A field, judged, and what it was judged by."""
    asked, left = CASES[name]
    spec = request(**asked)
    limits = bracket_limits(spec, **left)
    candidates = field(spec, limits)
    return spec, limits, candidates, judge(candidates, spec, limits)


def sampled(name: str, count: int = 16) -> list[int]:
    """Candidates that have a depth, spread over the field, arms of both directions."""
    _, _, candidates, judged = case(name)
    towards, known = np.asarray(candidates.link.horn_towards_pivot), np.isfinite(judged.depth_mm)
    found = [np.flatnonzero(known & way) for way in (towards, ~towards)]
    return [int(n) for some in found if some.size for n in some[:: max(1, some.size // count)]]


class Hand:
    """One candidate, in floats; or what it is with things off, in arrays."""

    def __init__(self, name: str, n: int) -> None:
        self.spec, self.limits, candidates, _ = case(name)
        link, servo = candidates.link, self.spec.servo
        self.r, self.d, self.theta = (float(values[n]) for values in candidates.arrays())
        self.w, self.modulus = float(np.asarray(link.wire_mm)[n]), float(np.asarray(link.modulus_mpa)[n])
        self.s = 1.0 if np.asarray(link.horn_towards_pivot)[n] else -1.0
        self.h, self.throw, self.servo = self.limits.pivot_to_pin_mm, self.spec.throw_mm, servo
        drill = max(servo.horn_hole_mm, self.w + 0.2)  # opened for a wire that needs it (inputs/fits)
        self.drill, self.slack = (
            drill,
            (self.limits.pivot_slack_mm, drill - self.w, max(self.spec.tie_bar_hole_mm - self.w, 0.0)),
        )
        self.siting = 1.0 if self.spec.laid else 0.5
        self.clamped = self.spec.wire_held == "clamped"

    def pin(self, theta):
        """Of the free wire."""
        if not self.clamped:
            return self.h * self.r * np.sin(theta) / (self.d + self.s * self.r * (1 - np.cos(theta)))
        span = self.d + self.s * self.r * (1 - math.cos(theta))
        beam, pivot, tip = beam_of(span, self.h, 1.0)
        held = {0: -self.r * math.sin(theta), 1: -self.s * theta, 2 * pivot: 0.0}
        return float(beam.solve(held, {})[0][2 * tip])

    def slope(self, theta):
        """Way of the free pin over the arm's turn."""
        return (self.pin(theta + 1e-6) - self.pin(theta - 1e-6)) / 2e-6

    def rate(self) -> float:
        """Force at the pin for a mm, by the element beam of mid swing."""
        stiffness = self.modulus * math.pi * self.w**4 / 64
        beam, pivot, tip = beam_of(self.d, self.h, stiffness)
        held = {0: 0.0, 2 * pivot: 0.0} | ({1: 0.0} if self.clamped else {})
        return 1.0 / float(beam.solve(held, {2 * tip: 1.0})[0][2 * tip])

    def lost(self) -> float:
        """Slack of pivot, arm hole and tie bar, at its lever."""
        pivot, arm, pin = self.slack
        lever = self.h / self.d
        return pivot * (1 + 1.5 * lever) + pin if self.clamped else pivot * (1 + lever) + arm * lever + pin

    def turning_back(self) -> float:
        """Where the pin stands still, or an arm that points away is level with the pivot."""
        if self.s > 0:
            return math.acos(self.r / (self.d + self.r))
        return math.acos(max(-self.r / (self.d - self.r), 1 - self.d / self.r))


@pytest.mark.parametrize("name", CASES)
def test_what_a_candidate_does_by_hand(name):
    """Travel, slack, force, dead band, room to trim, and every limit of the linkage with its bound."""
    spec, limits, _, judged = case(name)
    found = {limit.name: limit for limit in judged.limits}
    servo, trial = spec.servo, judged.trial
    for n in sampled(name):
        one = Hand(name, n)
        y, lost = float(one.pin(one.theta)), one.lost()
        over = y - one.throw / 2
        assert float(trial.travel_mm[n]) == pytest.approx(2 * y, rel=1e-6)
        assert float(trial.lost_motion_mm[n]) == pytest.approx(lost)
        assert float(trial.force_n[n]) == pytest.approx(one.rate() * over, rel=1e-6, abs=1e-9)
        assert float(trial.drill_mm[n]) == pytest.approx(one.drill)
        per_us = math.radians(servo.degrees_per_us)
        dead = servo.dead_band_us * per_us
        straight = one.h * one.r / one.d  # at mid swing
        assert float(trial.dead_band_mm[n]) == pytest.approx(straight * dead)
        end = float(one.slope(one.theta))
        assert float(trial.end_dead_band_mm[n]) == pytest.approx(end * dead, rel=1e-5)
        tooth_us = 180.0 / servo.spline_teeth / servo.degrees_per_us
        assert float(trial.trim_us[n]) == pytest.approx(tooth_us + one.siting / (end * per_us), rel=1e-5)
        lean = math.atan2(y, one.h)
        land = min(limits.pivot_slack_mm / math.tan(lean + math.radians(2.0)), limits.pivot_drop_mm)
        shaft = one.d + one.s * one.r
        below = limits.below_shaft_mm if one.s > 0 else max(limits.below_shaft_mm, servo.horn_length_mm + 1.0)
        beside = servo.horn_length_mm - one.r if one.s > 0 else one.r + servo.horn_hub_mm / 2
        room = math.degrees(one.turning_back() - one.theta - one.siting / end)
        aside = one.r * math.sin(one.theta) / one.d
        bent = max(aside, abs(over) / one.h)
        if one.clamped:  # its end turns with the arm, and it leans at the pivot as a propped cantilever does
            bent = max(bent, one.theta, abs(3 * aside + one.s * one.theta) / 2)
        assert float(trial.beyond_theory[n]) == pytest.approx(bent / 0.25 - 1, abs=1e-6)
        hand = {
            "travel": ("at most", 0.0, 0.0),
            "depth": ("at most", limits.max_depth_mm, limits.pad_mm + limits.pivot_drop_mm + shaft + below),
            "room for the case": ("at least", limits.min_pivot_to_shaft_mm, shaft),
            "arm clear of the pivot": ("at least", limits.min_arm_tip_to_pivot_mm, one.d - beside),
            "bending": ("at most", 0.25, abs(over) / one.h),
            "turning back": ("at least", 5.0, room),
            "lean": ("at most", limits.max_pivot_tilt_deg, math.degrees(lean)),
            "pivot land": ("at least", limits.min_pivot_land_mm, land),
        }
        for key, (sense, bound, value) in hand.items():
            assert found[key].sense == sense
            assert float(found[key].bound) == pytest.approx(bound), key
            assert float(found[key].value[n]) == pytest.approx(value, rel=1e-5, abs=1e-6), key
    assert float(found["board hole"].bound) == limits.max_board_hole_mm
    assert found["board hole"].sense == "at most"


@pytest.mark.parametrize("name", ["turning", "away", "over-travel"])
def test_the_worst_of_all_corners_is_what_the_solver_counts_with(name):
    """Board, roadbed, pin, shaft, arm, wire, dead band and eye at either end, the arm turned until the blade touches.

    The touch is found by halving, and the arm then turned on by as much as the sound linkage was past its own; the
    solver's quick step is within 2.5 % of the over-travel as chosen and 4 % of the force.
    """
    spec, _, _, judged = case(name)
    servo, accuracy = spec.servo, spec.printer.accuracy_mm
    alive = np.flatnonzero(survivors(judged.limits))
    assert alive.size
    sound = alive[:: max(1, alive.size // 8)].tolist()
    for n in sound:
        one = Hand(name, n)
        wire_off = 0.006 if one.w < 0.37 else 0.008 if one.w < 0.65 else 0.010 if one.w < 0.8 else 0.015
        if one.w >= 1.01:
            wire_off = 0.020 if one.w < 1.78 else 0.025
        ends = [
            (-spec.board.under_mm, spec.board.over_mm),
            (-0.05 * spec.roadbed.thickness_mm, 0.05 * spec.roadbed.thickness_mm),
            (-0.2 * spec.scale.pin_above_roadbed_mm, 0.2 * spec.scale.pin_above_roadbed_mm),
            (-accuracy - servo.tolerance_mm / 2, accuracy + servo.tolerance_mm / 2),
            (-servo.tolerance_mm, servo.tolerance_mm), (-wire_off, wire_off),
            tuple(side * math.radians(servo.dead_band_us * servo.degrees_per_us) / 2 for side in (-1, 1)), (-0.1, 0.1),
        ]  # fmt: skip
        board, roadbed, pin, shaft, arm, wire, dead, eye = np.array(list(itertools.product(*ends))).T

        def touches(r, d, h, lost, s=one.s, throw=one.throw):
            low, high = np.zeros_like(r), np.full_like(r, 1.0)
            for _ in range(60):
                mid = (low + high) / 2
                there = h * r * np.sin(mid) / (d + s * r * (1 - np.cos(mid))) >= (throw + lost) / 2
                low, high = np.where(there, low, mid), np.where(there, mid, high)
            return low

        plain = (np.array([value]) for value in (one.r, one.d, one.h, one.lost()))
        past = one.theta - float(touches(*plain)[0])
        nominal = float(one.pin(one.theta)) - (one.throw + one.lost()) / 2
        r, h, w = one.r + arm, one.h + board + roadbed + pin, one.w + wire
        d = one.d + shaft - one.s * arm
        pivot, in_arm, in_bar = (np.maximum(slack - wire, 0.0) for slack in one.slack)
        lost = pivot * (1 + h / d) + in_arm * h / d + in_bar
        touch = touches(r, d, h, lost)
        theta = touch + past + dead
        left = h * r * np.sin(theta) / (d + one.s * r * (1 - np.cos(theta))) - (one.throw + lost) / 2 + eye
        stop = h * r * np.sin(theta) / (d + one.s * r * (1 - np.cos(theta))) - left
        force = ElasticLine(theta, stop, r, d, h, one.s > 0, w, one.modulus, "turning").force_n()

        assert float(judged.trial.least_overtravel_mm[n]) == pytest.approx(left.min(), abs=0.025 * nominal)
        assert float(judged.trial.least_force_n[n]) == pytest.approx(force.min(), rel=0.04, abs=0.004)
        assert float(judged.trial.most_force_n[n]) == pytest.approx(force.max(), rel=0.04)

        # before trimming: the gain and the siting as well, and all slack taken up under load
        share = servo.degrees_per_us_spread / servo.degrees_per_us
        at_end = one.theta * (1 + share) + abs(dead)
        y = h * r * np.sin(at_end) / (d + one.s * r * (1 - np.cos(at_end)))
        tight = np.maximum(one.slack[0] - accuracy - wire, 0.0), in_arm, np.maximum(one.slack[2] - 0.1 - wire, 0.0)
        less = (tight[0] * (1 + h / d) + tight[1] * h / d + tight[2]) / 2
        over = y - one.throw / 2 + one.siting - less
        # 3·E·I/(h²·(d + h)) at the lever h, over I/(w/2)
        stress = 3 * one.modulus * over / (h**2 * (d + h)) * h * w / 2
        tensile = float(case(name)[2].tensile_mpa[n])
        assert float(judged.trial.untrimmed_stress_share[n]) == pytest.approx(stress.max() / tensile, rel=1e-3)


def test_a_candidate_has_the_depth_that_its_target_asks_or_none():
    """Over-travel to the hundredth that the depth is rounded to; the depth that was pinned; one that is too short for
    the swing with all tolerances against it has none."""
    spec, _, candidates, judged = case("over-travel")
    known = np.isfinite(judged.depth_mm)
    off = (judged.trial.travel_mm - spec.throw_mm) / 2 - 0.7
    # a hundredth of a millimetre of depth moves the pin by at most y/d of it
    slack = 0.006 * judged.trial.travel_mm / np.asarray(candidates.link.pivot_to_horn_mm)
    assert known.sum() > 100
    assert (np.abs(off[known]) <= slack[known]).all()

    spec, _, candidates, _ = case("wide bracket")
    depth = np.asarray(candidates.link.pivot_to_horn_mm)
    radius, _, theta = candidates.arrays()
    share = spec.servo.degrees_per_us_spread / spec.servo.degrees_per_us
    most = theta * (1 + share) + math.pi / spec.servo.spline_teeth
    most = most + math.radians(spec.servo.dead_band_us * spec.servo.degrees_per_us) / 2
    off_mm = spec.servo.tolerance_mm
    towards = (radius + off_mm) * (1 / np.cos(most + math.radians(8.0)) - 1)
    least = np.maximum(towards, 3.0) + off_mm + spec.printer.accuracy_mm + off_mm / 2
    assert (np.isfinite(depth) == (least <= 24.0)).all()
    assert set(depth[np.isfinite(depth)]) == {24.0}
    assert 0 < np.isfinite(depth).sum() < depth.size


def test_the_family_s_axes_are_taken_as_they_are():
    """Pulses and over-travels that a family lays down, and none besides."""
    spec = request(scale="N")
    found = field(spec, bracket_limits(spec), axes=Axes(pulses_us=(200.0, 300.0), overtravels_mm=(0.5, 0.9)))

    assert set(np.round(np.degrees(found.arrays()[2]) / spec.servo.degrees_per_us, 6)) == {200.0, 300.0}
    assert set(found.aimed) == {0.5, 0.9}


@pytest.mark.parametrize("name", CASES)
def test_a_deeper_bracket_costs_more(name):
    """A twentieth a millimetre."""
    spec, _, _, judged = case(name)

    assert costs(judged, spec)["depth"] == pytest.approx(judged.depth_mm / 20.0, nan_ok=True)


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("name", CASES)
def test_every_figure_of_a_chosen_wire_is_its_candidates(name, mirror):
    """What was chosen as it is in the field, and what comes of it by lines and an element beam; the pulses by the way
    an arm turns that is seen at the shaft's end: un-mirrored, counter-clockwise takes one that points up to −y, and the
    pin the other way. And back again as a linkage, and as its study takes it with nothing off."""
    spec, limits, candidates, judged = case(name)
    spec = spec.model_copy(update={"mirror": mirror})
    found, servo = examined(spec, limits), spec.servo
    for n in sampled(name, 2):
        one, drive = Hand(name, n), found.drive(n)
        y, inertia = float(one.pin(one.theta)), math.pi * one.w**4 / 64
        over, stock = y - one.throw / 2, next(each for each in spec.wire.stock if each.diameter_mm == one.w)
        dead = servo.dead_band_us * math.radians(servo.degrees_per_us) * one.h * one.r / one.d
        pressed = one.rate() * over
        closed = {key: float(np.asarray(value)[n]) for key, value in judged.closed._asdict().items()}
        by_hand = {
            "horn_radius_mm": one.r, "pivot_to_horn_mm": one.d, "pivot_to_pin_mm": one.h, "wire_mm": one.w,
            "wire_tensile_mpa": stock.tensile_mpa, "wire_modulus_mpa": stock.modulus_mpa,
            "arm_hole_drill_mm": one.drill, "swing_deg": math.degrees(one.theta), "travel_mm": 2 * y,
            "overtravel_mm": over, "lost_motion_mm": one.lost(), "rate_n_per_mm": one.rate(), "force_n": pressed,
            "force_after_slack_n": closed["force_after_slack_n"], "servo_torque_nmm": closed["torque_nmm"],
            "torque_margin": servo.stall_torque_nmm / closed["torque_nmm"], "pin_mm_per_us": dead / servo.dead_band_us,
            "stress_pivot_mpa": abs(pressed) * one.h * one.w / 2 / inertia,
            "stress_horn_mpa": closed["stress_horn_mpa"],
            "stress_mpa": max(abs(pressed) * one.h * one.w / 2 / inertia, closed["stress_horn_mpa"]),
            "deadband_mm": dead, "tilt_deg": math.degrees(math.atan2(y, one.h)),
            "pivot_bore_mm": one.w + limits.pivot_slack_mm, "pivot_land_mm": float(judged.land_mm[n]),
            "board_hole_mm": float(judged.board_hole_mm[n]),
        }  # fmt: skip
        told = drive.model_dump()
        assert {key: told[key] for key in by_hand} == pytest.approx(by_hand, rel=1e-6, abs=1e-9)
        assert (drive.horn_towards_pivot, drive.wire_held) == (one.s > 0, spec.wire_held)
        assert (drive.lever, drive.felt_n_per_mm) == pytest.approx((one.h / one.d, one.rate() * (one.h / one.d) ** 2))
        assert (drive.stress_horn_mpa > 0) == one.clamped
        ccw_to_reverse = (one.s > 0) != mirror
        us = math.degrees(one.theta) / servo.degrees_per_us * (1 if ccw_to_reverse else -1)
        us *= 1 if servo.pulse_turns == "ccw" else -1
        assert [*drive.pulse_us.model_dump().values()] == pytest.approx([1500.0 - us, 1500.0, 1500.0 + us])
        assert found.dimensions(n) == f"{one.d:.2f} mm from pivot to hole"
        back = linkage(spec, limits, drive)
        for each in fields(Linkage):
            was = getattr(candidates.link, each.name)
            was = was if isinstance(was, str) else np.broadcast_to(was, candidates.drill_mm.shape)[n]
            now = getattr(back, each.name)
            assert now == (was if isinstance(was, str) else pytest.approx(float(was))), each.name
        at, left = study(spec, limits, drive).as_set(Shifts()), over - one.lost() / 2
        assert (float(at.travel_mm), float(at.left_mm)) == pytest.approx((2 * y, left), abs=1e-9)
        assert float(at.force_n) == float(at.stronger_n) == pytest.approx(drive.force_after_slack_n)
        if not one.clamped:
            share = abs(one.rate() * left) * one.h * one.w / 2 / inertia / stock.tensile_mpa
            assert float(at.stress_share) == pytest.approx(share)
        where = pin_mm(drive)
        assert [where(turn * one.theta) for turn in (-1.0, 0.4)] == pytest.approx(
            [-y, float(one.pin(0.4 * one.theta))], rel=1e-6
        )


def test_a_wire_thicker_than_the_tie_bars_hole_has_no_slack_there():
    """It has to be drilled for."""
    spec, limits, *_ = case("turning")
    drive = examined(spec, limits).best()

    tight = spec.model_copy(update={"tie_bar_hole_mm": drive.wire_mm - 0.2})
    assert linkage(tight, limits, drive).pin_slack_mm == 0.0


def test_a_study_trims_what_it_says_it_trims():
    """A bore that came out wide is over-travel less with the pulses of the report, and no less once it is trimmed."""
    spec, limits, *_ = case("turning")
    drive = examined(spec, limits).best()
    found, wide = study(spec, limits, drive), Shifts(bore_mm=0.2)

    less = float(found.as_set(Shifts()).left_mm - found.as_set(wide).left_mm)
    assert less == pytest.approx(0.1 * (1 + drive.pivot_to_pin_mm / drive.pivot_to_horn_mm))
    assert float(found.trimmed(wide).left_mm) == pytest.approx(float(found.trimmed(Shifts()).left_mm), rel=2e-3)


SWINGS_US = tuple(range(110, 541, 10))


@pytest.mark.parametrize(
    "asked", [{}, {"servo": FLUSH}, {"scale": "N", "overtravel_mm": 12.0}], ids=["plain", "flush", "over-travel"]
)
def test_every_candidate_is_laid_out_with_the_depth_that_its_target_asks(asked):
    """Arm holes, wires, arms towards the pivot and, with a flush screw, away from it, swings, and nine forces from the
    weak to the strong end of the band, or one over-travel. Force and travel fall with the depth: half a hundredth
    shallower it has more than was aimed at, half a hundredth deeper less; where the least depth that everything off
    leaves sound has too little there is none."""
    spec = request(arm_hole_mm=9.0, wire="spring-wire-sm", **asked)
    limits = bracket_limits(spec)
    found = field(spec, limits, axes=Axes(pulses_us=SWINGS_US))
    link, servo = found.link, spec.servo
    radius, depth, theta = found.arrays()
    towards, wire = np.asarray(link.horn_towards_pivot), np.asarray(link.wire_mm)

    ways = (True, False) if asked.get("servo") is FLUSH else (True,)
    targets = [12.0] if "overtravel_mm" in asked else np.geomspace(*spec.force_n, 9)
    stock = [(one.diameter_mm, one.modulus_mpa, one.tensile_mpa) for one in spec.wire.stock]
    swings = [math.radians(us * servo.degrees_per_us) for us in SWINGS_US]
    wanted = [(*one, way, turn, target) for one, way, turn, target in itertools.product(stock, ways, swings, targets)]
    columns = wire, np.asarray(link.modulus_mpa), found.tensile_mpa, towards, theta, found.aimed
    np.testing.assert_allclose(np.array(columns, dtype=float).T, np.array(wanted, dtype=float))
    assert set(radius) == {9.0}
    assert found.drill_mm == pytest.approx(np.maximum(servo.horn_hole_mm, wire + 0.2))
    assert np.asarray(link.arm_slack_mm) == pytest.approx(found.drill_mm - wire)
    assert np.asarray(link.pin_slack_mm) == pytest.approx(np.maximum(spec.tie_bar_hole_mm - wire, 0.0))

    most = theta * (1 + servo.degrees_per_us_spread / servo.degrees_per_us) + math.pi / servo.spline_teeth
    most += math.radians(servo.dead_band_us * servo.degrees_per_us) / 2
    long, sense = 9.0 + servo.tolerance_mm, np.where(towards, 1.0, -1.0)
    least = np.where(towards, long / np.cos(most + math.radians(8.0)) - long, 2 * long)
    least = np.maximum(least, 3.0) + servo.tolerance_mm + spec.printer.accuracy_mm + servo.tolerance_mm / 2

    def short(d):
        """By how much it has more than was aimed at."""
        y = limits.pivot_to_pin_mm * 9.0 * np.sin(theta) / (d + sense * 9.0 * (1 - np.cos(theta)))
        if "overtravel_mm" in asked:
            return y - spec.throw_mm / 2 - 12.0
        lever = limits.pivot_to_pin_mm / d
        lost = limits.pivot_slack_mm * (1 + lever) + link.arm_slack_mm * lever + link.pin_slack_mm
        stop = (spec.throw_mm + lost) / 2
        return ElasticLine(
            theta, stop, 9.0, d, limits.pivot_to_pin_mm, towards, wire, link.modulus_mpa, "turning"
        ).force_n() - found.aimed  # fmt: skip

    known = np.isfinite(depth)
    assert 0 < known.sum() < known.size
    assert (known == (short(least) >= 0)).all()
    assert (short(depth - 0.0051)[known] > 0).all()
    assert (short(depth + 0.0051)[known] < 0).all()
    assert depth[known] == pytest.approx(np.round(depth[known], 2), abs=1e-9)
    assert np.ptp(np.round(depth[known] * 100) % 10) > 5  # and no coarser


def test_a_pinned_depth_is_met_by_every_microsecond_of_swing():
    """Nothing else is left to meet the force with; otherwise swings are whole tens of pulses."""
    for asked, step in (({"depth_mm": 24.0}, 1), ({}, 10)):
        spec = request(arm_hole_mm=9.0, wire_mm=0.8, **asked)
        tried = np.degrees(field(spec, bracket_limits(spec)).arrays()[2]) / spec.servo.degrees_per_us
        low, high = 10.0 / spec.servo.degrees_per_us, 50.0 / spec.servo.degrees_per_us
        assert sorted(set(np.round(tried, 6))) == [us for us in range(0, 1000, step) if low <= us <= high]


WIRES = ("pivot_slack_mm", "arm_slack_mm", "pin_slack_mm")
SHIFTED = {
    "board_mm": {"pivot_to_pin_mm": 1}, "roadbed_mm": {"pivot_to_pin_mm": 1}, "pin_mm": {"pivot_to_pin_mm": 1},
    "shaft_mm": {"pivot_to_horn_mm": 1}, "siting_mm": {"throw_mm": 2}, "bore_mm": {"pivot_slack_mm": 1},
    "hole_mm": {"pin_slack_mm": 1}, "tooth_rad": {"theta_rad": 1}, "dead_rad": {"theta_rad": 1},
    "wire_mm": {"wire_mm": 1, **dict.fromkeys(WIRES, -1)},
}  # fmt: skip


@pytest.mark.parametrize("towards", [True, False])
@pytest.mark.parametrize("off", [-0.05, 0.05])
def test_what_a_tolerance_of_a_rocking_wire_moves_by_hand(towards, off):
    """Each thing its own dimensions, so many times and that way; a longer arm that points to the pivot comes as much
    nearer to it, and the gain turns by its share. No hole is tighter than its wire."""
    link = Linkage(0.5, 2.0, 9.0, 25.0, 30.0, towards, 0.8, 206e3, 0.3, 0.2, 0.4, "turning")
    arm = {"radius_mm": {"horn_radius_mm": 1, "pivot_to_horn_mm": -1 if towards else 1}}
    for name, moves in {**SHIFTED, **arm}.items():
        out = shifted(link, Shifts(**{name: off}))
        for each in fields(Linkage):
            was, now = getattr(link, each.name), getattr(out, each.name)
            if isinstance(was, str | bool):
                assert now == was
            else:
                assert float(now) - was == pytest.approx(off * moves.get(each.name, 0)), (name, each.name)
    assert float(shifted(link, Shifts(gain=off)).theta_rad) == pytest.approx(0.5 * (1 + off))
    # a trimmed end stands as much further round as the pin takes to go by the siting error, here by lines
    pin = [
        30.0 * 9.0 * math.sin(at) / (25.0 + (9.0 if towards else -9.0) * (1 - math.cos(at))) for at in (0.499, 0.501)
    ]
    further = float(trimmed(link, Shifts(siting_mm=off)).theta_rad) - 0.5
    assert further == pytest.approx(off / ((pin[1] - pin[0]) / 0.002), rel=1e-4)
    tight = shifted(link, Shifts(wire_mm=0.5))
    assert [float(getattr(tight, name)) for name in WIRES] == [0.0, 0.0, 0.0]


@pytest.mark.parametrize("slack_mm", [0.1, 0.9, 1.7])
def test_the_board_is_drilled_for_where_the_wire_goes(slack_mm):
    """To the next half millimetre: the wire's sweep at any height in board and roadbed, the thickest board assumed, as
    the elastic line has it; siting, half the pivot's slack and the air beside, twice, and the wire itself."""
    spec, _, candidates, _ = case("turning")
    limits = bracket_limits(spec, pivot_slack_mm=slack_mm, board_hole_clearance_mm=0.4)
    link = candidates.link
    radius, depth, theta = candidates.arrays()
    over = spec.board.over_mm
    line = ElasticLine(theta, spec.throw_mm / 2 + np.asarray(link.pin_slack_mm) / 2, radius, depth,
                       limits.pivot_to_pin_mm + over, link.horn_towards_pivot, link.wire_mm, link.modulus_mpa,
                       "turning")  # fmt: skip
    through = spec.board.thickness_mm + over + spec.roadbed.thickness_mm
    sweep = np.max([line.line_mm(limits.pivot_drop_mm + up) for up in np.linspace(0.0, through, 200)], axis=0)
    wide = 2 * (sweep + 0.5 + slack_mm / 2 + 0.4) + np.asarray(link.wire_mm)
    known = np.isfinite(wide) & (np.abs(2 * wide - np.round(2 * wide)) > 0.02)  # off the edge of a drill

    found = board_hole_mm(replace(link, pivot_slack_mm=slack_mm), spec, limits)
    assert found[known] == pytest.approx(np.ceil(2 * wide[known]) / 2)


def test_a_clamped_wire_is_stressed_more_inside_its_bend():
    """C = 2R/d = 4 of the tightest bend: (4·16 − 4 − 1)/(4·4·3) = 59/48, Wahl; a turning one has no moment there."""
    for name, more in (("clamped", 59 / 48), ("turning", 1.0)):
        _, _, candidates, judged = case(name)
        closed = judged.closed
        worst = np.maximum(closed.stress_pivot_mpa, more * np.asarray(closed.stress_horn_mpa)) / candidates.tensile_mpa
        assert judged.trial.stress_share == pytest.approx(worst, nan_ok=True)
    assert (np.nan_to_num(closed.stress_horn_mpa) == 0).all()
