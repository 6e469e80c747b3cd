"""What each candidate push rod is and does, and what each limit makes of it, by a second model in plain arithmetic.

It takes of a candidate arm hole, wire, swing, crown and leg, and finds the rest by triangles and drawn lines; the load
of its loop is that of ``loop`` (tests/drive/test_loop.py, test_rod_shape.py hold that to a frame of beam elements).
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from requests_for_drives import housing_limits, request

from mounts.drive.choices import Axes
from mounts.drive.limits import survivors
from mounts.drive.push_rod.closing import rod_closing
from mounts.drive.push_rod.field import rod_field
from mounts.drive.push_rod.judge import judge_rods
from mounts.drive.push_rod.loop import given

CASES = {
    "square": ({"style": "hut"}, {}),
    "let down": (
        {"style": "hut", "scale": "O", "laid": True},
        {"let_down_mm": 3.0, "arm_sweep_mm": (17.0, 2.0), "arm_hole_mm": (8.0, 12.0), "rod_length_mm": (62.0, 80.0)},
    ),
    # 29 mm let down: a rod of 58 or less would lean by 30° and more
    "deep": (
        {"style": "hut", "throw_mm": 6.0},
        {"let_down_mm": 29.0, "after_loop_mm": 35.0, "rod_length_mm": (55.0, 80.0)},
    ),
    "short legs": (
        {"style": "hut", "scale": "N"},
        {"rod_length_mm": (30.0, 44.0), "max_lean_deg": 1.0, "pin_leg_mm": 12.0},
    ),
}
ROUND = np.array([(1.0, 0), (1.3, 0), (1.7, 0), (2.3, 0), (3.2, 0), (1.3, 1), (1.7, 1), (2.3, 1)])


@cache
def case(name: str):
    """A field, judged, and what it was judged by."""
    asked, left = CASES[name]
    spec = request(**asked)
    limits = housing_limits(spec, **left)
    candidates = rod_field(spec, limits, axes=Axes(pulses_us=(200.0, 260.0, 320.0, 420.0)))
    return spec, limits, candidates, judge_rods(candidates, spec, limits)


def arrays(candidates):
    """Arm hole, rod, slide line, wire, swing, crown, leg and half gap."""
    rod = candidates.rod
    names = ("horn_radius_mm", "rod_length_mm", "offset_mm", "wire_mm", "theta_rad", "loop_radius_mm", "leg_mm")
    return [np.asarray(getattr(rod, name)) for name in (*names, "half_gap_mm")]


def slide(theta, r, rod, offset):
    """Shaft to pin along the slide line."""
    return r * np.sin(theta) + np.sqrt(rod**2 - (r * np.cos(theta) - offset) ** 2)


def wire_off(wire):
    """EN 10270-1, from memory."""
    return np.select([wire < 0.37, wire < 0.65, wire < 0.8, wire < 1.01, wire < 1.78],
                     [0.006, 0.008, 0.010, 0.015, 0.020], 0.025)  # fmt: skip


def alike(found, by_hand, rel=1e-6):
    """Arrays, to a share or a hair."""
    np.testing.assert_allclose(found, by_hand, rtol=rel, atol=1e-6)


@pytest.mark.parametrize("name", CASES)
def test_where_loop_and_straights_of_a_candidate_are_by_hand(name):
    """Feet as far apart as the pushed loop takes, eight crowns over that, a rod as short as holds it all, the loop at
    that end of its room where it steps aside less, and no rod that leans by 30°."""
    spec, limits, candidates, _ = case(name)
    r, rod, offset, wire, theta, crown, leg, half_gap = arrays(candidates)
    servo = spec.servo
    dead = math.radians(servo.dead_band_us * servo.degrees_per_us) / 2
    together = np.maximum((r + servo.tolerance_mm) * np.sin(theta + dead) - spec.throw_mm / 2 + 0.1, 0.0)
    feet = (wire + 1.05 * together + 0.3) / 2 + 0.3  # a twentieth for the lean, 0.3 of air and of hand
    tightest = np.maximum(2 * wire, feet)
    times, waisted = np.tile(np.repeat(ROUND, 4, axis=0), (r.size // (4 * len(ROUND)), 1)).T
    alike(crown, times * tightest)
    alike(half_gap, np.where(waisted > 0, feet, crown))
    turn = np.where(waisted > 0, math.radians(90.0 + 25.0), math.pi / 2)
    half_width = np.maximum(half_gap + 2 * wire * np.tan(turn / 2), crown + wire / 2)
    alike(candidates.half_width_mm, half_width)
    alike(candidates.foot_radius_mm, 2 * wire)
    alike(candidates.drill_mm, np.maximum(servo.horn_hole_mm, wire + 0.2))
    down = limits.let_down_mm
    alike(offset, r - down)
    before = np.full_like(r, limits.before_loop_mm)
    if limits.arm_sweep_mm:
        long, more = limits.arm_sweep_mm
        before = np.maximum(before, long * np.sin(theta) + more) + r * np.sin(theta)
    needed = before + 2 * half_width + limits.after_loop_mm
    length = np.clip(needed, *limits.rod_length_mm)
    beside = np.maximum(abs(down), np.abs(r * np.cos(theta) - offset))
    sound = (beside < length / 2) & (r + np.abs(offset) < length) & (before + 2 * half_width < length)
    assert (np.isfinite(rod) == sound).all()
    assert (name == "deep") == (beside >= length / 2).any()
    alike(rod[sound], length[sound])
    near, far = before + half_width - half_gap, length - limits.after_loop_mm - half_width - half_gap
    aside = [at * (length - 2 * half_gap - at) for at in (near, far)]  # of the kinked line, by the triangle
    at_far = (far >= near) & (aside[1] < 0.9 * aside[0])
    alike(np.asarray(candidates.rod.before_mm)[sound], np.where(at_far, far, near)[sound])
    alike(np.asarray(candidates.rod.pin_slack_mm), np.maximum(spec.tie_bar_hole_mm - wire, 0.0))
    alike(np.asarray(candidates.rod.arm_slack_mm), np.maximum(servo.horn_hole_mm, wire + 0.2) - wire)
    known = np.flatnonzero(np.isfinite(leg))
    assert known.size > 300
    # pushed with the force aimed at, slack taken up, it is as short as from hole to stopped pin, to 0.05 mm of leg
    ends = [slide(side * theta, r, rod, offset) for side in (-1, 1)]
    stop = (ends[0] + ends[1] + spec.throw_mm) / 2
    chord = np.hypot(stop - r * np.sin(theta), r * np.cos(theta) - offset)
    lean = np.arctan2(np.abs(r * np.cos(theta) - offset), stop - r * np.sin(theta))
    slack = np.asarray(candidates.rod.arm_slack_mm) + np.asarray(candidates.rod.pin_slack_mm)
    wanted, load = rod - chord - slack / 2, np.broadcast_to(candidates.aimed, r.shape) / np.cos(lean)
    gives = [given(replace(candidates.rod, leg_mm=leg + off).loop(), load).shortening_mm for off in (-0.052, 0.052)]
    long = known[leg[known] > 0.0]
    assert (gives[0][long] < wanted[long]).all()
    assert (gives[1][known] > wanted[known]).all()
    alike(leg[known], np.round(leg[known], 1))
    assert set(np.round(candidates.aimed, 9)) == set(np.round(np.geomspace(*spec.force_n, 5)[:-1], 9))


@pytest.mark.parametrize("name", CASES)
def test_each_limit_is_what_a_candidate_has_by_hand(name):
    """Value, bound and side of every limit of the linkage, over the whole field."""
    spec, limits, candidates, judged = case(name)
    r, rod, offset, _, theta, crown, leg, half_gap = arrays(candidates)
    wire, servo = np.asarray(candidates.rod.wire_mm), spec.servo
    found = {limit.name: limit for limit in judged.limits}
    trial, closed = judged.trial, judged.closed
    known = np.isfinite(leg) & np.isfinite(closed.folding_n)
    per_us = math.radians(servo.degrees_per_us)
    rates = []
    for at in (0.0, -theta, theta):
        rates.append((slide(at + 1e-6, r, rod, offset) - slide(at - 1e-6, r, rod, offset)) / 2e-6)
    low, high = np.minimum(rates[1], rates[2]), np.maximum(rates[1], rates[2])
    siting = 1.0 if spec.laid else 0.5
    tooth_us = 180.0 / servo.spline_teeth / servo.degrees_per_us
    alike(trial.dead_band_mm[known], (rates[0] * servo.dead_band_us * per_us)[known], rel=1e-5)
    alike(trial.end_dead_band_mm[known], (high * servo.dead_band_us * per_us)[known], rel=1e-5)
    alike(trial.trim_us[known], (tooth_us + siting / (low * per_us))[known], rel=1e-5)
    assert trial.formula_share == 0.06
    assert (trial.beyond_theory[known] <= 0.0).all()
    index = 2 * crown / wire
    wahl = (4 * index**2 - index - 1) / (4 * index * (index - 1))
    share = closed.stress_mpa * wahl / candidates.tensile_mpa
    alike(trial.stress_share[known], share[known])
    leans = [np.abs(np.arcsin((r * np.cos(at) - offset) / rod)) for at in (0.0, theta)]
    with np.errstate(invalid="ignore"):
        stretched, folded = np.arccos(offset / (rod + r)), np.arccos(-offset / (rod - r))
        slant = np.arccos(np.minimum(half_gap / np.hypot(crown, leg), 1.0)) - np.arctan2(leg, crown)
    slant = np.maximum(slant, 0.0)
    height = leg * np.cos(slant) + crown * (1 + np.sin(slant))
    before = np.full_like(r, limits.before_loop_mm)
    if limits.arm_sweep_mm:
        before = np.maximum(before, limits.arm_sweep_mm[0] * np.sin(theta) + limits.arm_sweep_mm[1])
        before = before + r * np.sin(theta)
    width = 2 * candidates.half_width_mm
    nearest, farthest = limits.arm_hole_mm or (0.0, servo.horn_length_mm)
    hand = {
        "arm hole": ("at least", nearest, r), "arm hole too far": ("at most", farthest, r),
        "loop": ("at most", 0.0, np.zeros_like(r)),
        "loop height": ("at most", limits.max_loop_height_mm, height + wire / 2),
        "loop width": ("at most", limits.max_loop_width_mm, width),
        "rod length": ("at most", limits.rod_length_mm[1], before + width + limits.after_loop_mm),
        "lean": ("at most", limits.max_lean_deg, np.degrees(np.maximum(*leans))),
        "dead point": ("at least", 8.0, np.degrees(np.minimum(stretched, folded) - theta)),
        "loop's give": ("at most", 30.0, 100 * closed.give_mm / height),
        "loop's step": ("at most", 15.0, 100 * closed.step_mm / height),
        "loop's formula": ("at most", 6.0, 100 * 3.0 * closed.give_mm * closed.step_mm / height**2),
        "buckling": ("at least", 3.0, closed.folding_n / np.maximum(closed.push_n, 1e-9)),
        "slant of the legs": ("at most", 25.0, np.degrees(slant)),
    }  # fmt: skip
    own = [limit.name for limit in judged.limits]
    for key, (sense, bound, value) in hand.items():
        limit = judged.limits[own.index(key)]  # the first of that name: "arm hole" is one of the shared too
        assert (limit.sense, float(limit.bound)) == (sense, pytest.approx(bound)), key
        alike(limit.value[known], value[known])
    turn = math.pi / 2 + slant[known]
    feet = half_gap[known] + 2 * wire[known] * np.tan(turn / 2)
    alike(candidates.width_mm()[known], 2 * np.maximum(feet, crown[known] + wire[known] / 2))
    straights = np.minimum(np.asarray(candidates.rod.before_mm), np.asarray(candidates.rod.loop().after_mm))[known]
    shorten = 2 * wire[known] * np.tan(turn / 2)
    between = np.array([straights - shorten - 2 * wire[known], leg[known] - shorten,
                        limits.pin_leg_mm - 2 * wire[known]])  # fmt: skip
    alike(found["bends"].value[known], between.min(axis=0))
    assert float(found["bends"].bound) == 0.0
    assert found["bends"].sense == "at least"
    assert np.isinf(found["loop"].value[np.isfinite(rod) & np.isnan(leg)]).all()
    assert np.isinf(found["lean"].value[np.isnan(rod)]).all()
    assert float(found["loop stays open"].bound) == pytest.approx(0.3)
    margin = closed.folding_n / np.maximum(closed.push_n, 1e-9)
    alike(judged.folding_margin[known], margin[known])
    alike(judged.height_mm[known], (height + wire / 2)[known])


@pytest.mark.parametrize("name", ["square", "let down"])
def test_the_worst_of_all_corners_is_what_the_solver_counts_with(name):
    """Arm, wire, leg, crown, dead band and eye at either end, the arm turned until the blade touches.

    The touch is found by halving at either end; the solver's quick step is within 3 % of the over-travel as chosen and
    6 % of the force.
    """
    spec, _, candidates, judged = case(name)
    servo = spec.servo
    alive = np.flatnonzero(survivors(judged.limits))
    assert alive.size
    for n in alive[:: max(1, alive.size // 6)]:
        r, rod, offset, wire, theta, crown, leg, half_gap = (float(values[n]) for values in arrays(candidates))
        slack = np.asarray(candidates.rod.arm_slack_mm)[n], np.asarray(candidates.rod.pin_slack_mm)[n]
        dead_rad = math.radians(servo.dead_band_us * servo.degrees_per_us) / 2
        ends = (servo.tolerance_mm, float(wire_off(np.array(wire))), 0.3, 0.3, dead_rad, 0.1)
        arm, thick, long, wide, dead, eye = (
            np.array(list(itertools.product((-1.0, 1.0), repeat=6))).T * np.c_[list(ends)]
        )

        def touches(r, lost, rod=rod, offset=offset):
            low, high = np.zeros_like(r), np.full_like(r, 1.1)
            for _ in range(60):
                mid = (low + high) / 2
                travel = slide(mid, r, rod, offset) - slide(-mid, r, rod, offset)
                there = travel >= spec.throw_mm + lost
                low, high = np.where(there, low, mid), np.where(there, mid, high)
            return low

        past = theta - touches(np.array([r]), np.array([sum(slack)]))[0]
        lost = sum(np.maximum(one - thick, 0.0) for one in slack)
        turned = touches(r + arm, lost) + past + dead
        travel = slide(turned, r + arm, rod, offset) - slide(-turned, r + arm, rod, offset)
        left = (travel - spec.throw_mm - lost) / 2 + eye
        off = rod_closing(replace(
            candidates.rod, theta_rad=turned, throw_mm=travel - 2 * left - lost, horn_radius_mm=r + arm,
            rod_length_mm=rod, offset_mm=offset, before_mm=np.asarray(candidates.rod.before_mm)[n],
            half_gap_mm=half_gap + wide, loop_radius_mm=crown + wide, leg_mm=np.maximum(leg + long, 0.0),
            wire_mm=wire + thick, modulus_mpa=np.asarray(candidates.rod.modulus_mpa)[n],
            arm_slack_mm=np.maximum(slack[0] - thick, 0.0), pin_slack_mm=np.maximum(slack[1] - thick, 0.0),
        ))  # fmt: skip
        nominal = float(judged.trial.travel_mm[n] - spec.throw_mm - judged.trial.lost_motion_mm[n]) / 2
        assert float(judged.trial.least_overtravel_mm[n]) == pytest.approx(left.min(), abs=0.03 * nominal)
        assert float(judged.trial.least_force_n[n]) == pytest.approx(off.force_after_slack_n.min(), rel=0.06)
        assert float(judged.trial.most_force_n[n]) == pytest.approx(off.stronger_force_n.max(), rel=0.06)
        # before trimming: the gain, the siting and the slack as well
        share, siting = servo.degrees_per_us_spread / servo.degrees_per_us, 1.0 if spec.laid else 0.5
        early = rod_closing(replace(
            candidates.rod, theta_rad=theta * (1 + share) + dead, throw_mm=spec.throw_mm - 2 * siting,
            horn_radius_mm=r + arm, rod_length_mm=rod, offset_mm=offset,
            before_mm=np.asarray(candidates.rod.before_mm)[n], half_gap_mm=half_gap + wide, loop_radius_mm=crown + wide,
            leg_mm=np.maximum(leg + long, 0.0), wire_mm=wire + thick,
            modulus_mpa=np.asarray(candidates.rod.modulus_mpa)[n], arm_slack_mm=0.0, pin_slack_mm=0.0,
        ))  # fmt: skip
        index = 2 * (crown + wide) / (wire + thick)
        wahl = (4 * index**2 - index - 1) / (4 * index * (index - 1))
        stressed = early.stress_mpa * wahl / candidates.tensile_mpa[n]
        assert float(judged.trial.untrimmed_stress_share[n]) == pytest.approx(stressed.max(), rel=1e-3)
        gap = judged.limits[[limit.name for limit in judged.limits].index("loop stays open")].value[n]
        assert float(gap) == pytest.approx(off.gap_mm.min(), abs=0.03)


@pytest.mark.parametrize(("overtravel_mm", "step_us"), [(None, 20), (0.4, 1)])
def test_swings_are_round_pulses_but_where_the_swing_alone_meets_an_over_travel(overtravel_mm, step_us):
    """Every 20 µs between 10° and 50°, or every µs."""
    spec = request(style="hut", arm_hole_mm=9.0, wire_mm=0.6, overtravel_mm=overtravel_mm)

    tried = np.degrees(rod_field(spec, housing_limits(spec)).rod.theta_rad) / spec.servo.degrees_per_us

    low, high = (edge / spec.servo.degrees_per_us for edge in (10.0, 50.0))
    wanted = [us for us in range(0, 1000, step_us) if low <= us <= high]
    assert sorted(set(np.round(tried, 6))) == wanted
