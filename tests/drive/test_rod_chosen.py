"""A push rod from candidate to drive and back: every figure of it by hand, costs, objections, tolerances, its study."""

from __future__ import annotations

import math
from dataclasses import fields, replace
from functools import cache

import numpy as np
import pytest
from requests_for_drives import housing_limits, request

from mounts.drive.choices import Axes
from mounts.drive.push_rod import solve
from mounts.drive.push_rod.closed import OffTheory, path_of, rod_closed
from mounts.drive.push_rod.closing import Rod, ends_mm, rod_closing
from mounts.drive.push_rod.field import rod_field
from mounts.drive.push_rod.judge import judge_rods
from mounts.drive.push_rod.kinematics import rod_pin_offset_mm, slide_mm
from mounts.drive.push_rod.loop import Loop, given, loop_force_n
from mounts.drive.push_rod.shifts import shifted_rod, trimmed_rod, worst_rod
from mounts.drive.push_rod.study import pin_mm, push_rod, study
from mounts.drive.tolerances import NAMES, Shifts, signed, tolerances
from mounts.errors import NoDesign

CASES = {
    "square": ({"scale": "HO"}, {}),
    "let down": (
        {"scale": "O"},
        {"let_down_mm": 3.0, "rod_length_mm": (60.0, 80.0), "ccw_moves_pin_to_reverse": False},
    ),
}


@cache
def case(name: str):
    """A field of four swings, the sound ones of it, and what they come to."""
    asked, left = CASES[name]
    spec = request(style="hut", **asked)
    limits = housing_limits(spec, **left)
    axes = Axes(pulses_us=(260.0, 320.0, 380.0))
    candidates = rod_field(spec, limits, axes=axes)
    judged = judge_rods(candidates, spec, limits)
    found = solve.examined(spec, limits, axes)
    return spec, limits, candidates, judged, found


def some(name: str) -> list[int]:
    """Of the sound ones one with parallel legs and one with slanted ones, where there is one."""
    *_, candidates, _, found = case(name)
    sound = np.flatnonzero(found.alive())
    slanted = np.asarray(candidates.rod.half_gap_mm) < np.asarray(candidates.rod.loop_radius_mm) - 1e-6
    return [int(kind[0]) for kind in (sound[slanted[sound]], sound[~slanted[sound]]) if kind.size]


def one(candidates, index: int) -> Rod:
    """A candidate's rod, of plain numbers."""
    size = candidates.foot_radius_mm.shape
    return Rod(**{
        each.name: float(np.broadcast_to(getattr(candidates.rod, each.name), size)[index]) for each in fields(Rod)
    })  # fmt: skip


def slant(rod: Rod) -> float:
    """Of legs from feet a apart that touch the crown's circle: by bisection of a + t·sin ψ = R·cos ψ."""
    low, high = 0.0, 1.2
    for _ in range(60):
        mid = (low + high) / 2
        inside = rod.half_gap_mm + rod.leg_mm * math.sin(mid) < rod.loop_radius_mm * math.cos(mid)
        low, high = (mid, high) if inside else (low, mid)
    return low


@pytest.mark.parametrize("name", CASES)
def test_every_figure_of_a_chosen_rod_is_its_candidates(name):
    """Lengths by the triangles of arm, rod and loop, forces of the bent line, settings by the servo's gain.

    The cut: tail, the way through the arm, the drawn rod, the tie bar's leg, and what three square bends save of it,
    (2 − π/2)·R each.
    """
    spec, limits, candidates, _, found = case(name)
    servo = spec.servo
    for index in some(name):
        rod, drive = one(candidates, index), found.drive(index)
        lean, foot = slant(rod), 2 * rod.wire_mm
        closed = rod_closed(rod, path_of(rod, foot))
        ends = [float(slide_mm(side * rod.theta_rad, **rod.linkage())) for side in (-1, 1)]
        rate = float(np.diff(slide_mm([-1e-6, 1e-6], **rod.linkage()))[0] / 2e-6)
        per_us = rate * math.radians(servo.degrees_per_us)
        swing, side = math.degrees(rod.theta_rad), 1 if limits.ccw_moves_pin_to_reverse else -1
        us = side * swing / servo.degrees_per_us * (1 if servo.pulse_turns == "ccw" else -1)
        feet = foot * math.tan(math.pi / 4 + lean / 2)
        stock = next(each for each in spec.wire.stock if each.diameter_mm == rod.wire_mm)
        by_hand = {
            "horn_radius_mm": rod.horn_radius_mm, "rod_length_mm": rod.rod_length_mm, "offset_mm": rod.offset_mm,
            "shaft_to_pin_mm": sum(ends) / 2, "loop_feet_mm": 2 * rod.half_gap_mm, "loop_leg_mm": rod.leg_mm,
            "loop_slant_deg": math.degrees(lean), "loop_radius_mm": rod.loop_radius_mm, "foot_radius_mm": foot,
            "loop_width_mm": 2 * max(rod.half_gap_mm + feet, rod.loop_radius_mm + rod.wire_mm / 2),
            "loop_height_mm": rod.leg_mm * math.cos(lean) + rod.loop_radius_mm * (1 + math.sin(lean)) + rod.wire_mm / 2,
            "loop_at_mm": rod.before_mm + rod.half_gap_mm, "wire_mm": rod.wire_mm,
            "wire_tensile_mpa": stock.tensile_mpa, "wire_modulus_mpa": stock.modulus_mpa,
            "arm_hole_drill_mm": max(servo.horn_hole_mm, rod.wire_mm + 0.2), "swing_deg": swing,
            "travel_mm": ends[1] - ends[0], "overtravel_mm": (ends[1] - ends[0] - spec.throw_mm) / 2,
            "lost_motion_mm": rod.arm_slack_mm + rod.pin_slack_mm, "rate_n_per_mm": closed.rate_n_per_mm,
            "force_n": closed.force_n, "force_after_slack_n": closed.force_after_slack_n,
            "loop_gap_closed_mm": closed.gap_mm, "stress_mpa": closed.stress_mpa,
            "servo_torque_nmm": closed.torque_nmm, "torque_margin": servo.stall_torque_nmm / closed.torque_nmm,
            "pin_mm_per_us": per_us, "deadband_mm": per_us * servo.dead_band_us,
            "buckling_margin": closed.folding_margin, "lean_deg": math.degrees(closed.lean_rad),
        }  # fmt: skip
        told = drive.model_dump()
        assert {key: told[key] for key in by_hand} == pytest.approx(by_hand, rel=1e-6, abs=1e-6)
        assert drive.loop_step_mm == pytest.approx(closed.steps_mm)
        assert [*drive.pulse_us.model_dump().values()] == pytest.approx([1500.0 - us, 1500.0, 1500.0 + us])
        line = np.array(drive.rod_path_mm)
        assert line == pytest.approx(path_of(rod, foot).line, abs=6e-6)
        assert all(round(value, 5) == value for point in drive.rod_path_mm for value in point)
        through = max(servo.horn_thickness_mm + rod.wire_mm + 0.3, 2 * foot)
        whole = limits.wire_tail_mm + through + float(np.hypot(*np.diff(line, axis=0).T).sum()) + limits.pin_leg_mm
        assert drive.cut_length_mm == pytest.approx(whole - 3 * (2 - math.pi / 2) * foot, abs=0.06)
        turns = [90.0, 90.0, 90 + math.degrees(lean), 180 + 2 * math.degrees(lean), 90 + math.degrees(lean), 90.0]
        assert [bend.angle_deg for bend in drive.bends] == pytest.approx(turns, abs=1e-6)
        assert drive.explanation == ""
        assert drive.horn_radius_mm - drive.offset_mm == pytest.approx({"square": 0.0, "let down": 3.0}[name])
        # and back again, as the study takes it
        back = push_rod(spec, drive)
        for each in fields(Rod):
            assert float(getattr(back, each.name)) == pytest.approx(getattr(rod, each.name)), each.name


@pytest.mark.parametrize("name", CASES)
def test_what_speaks_against_a_push_rod(name):
    """(height/20)² + (width/40)², 0.05 where feet are bent by more than a right angle, length/40; beside what counts
    for every drive."""
    _, _, candidates, judged, found = case(name)
    known = np.flatnonzero(np.isfinite(candidates.rod.leg_mm))[::7]
    bent = set()
    for index in known.tolist():
        rod = one(candidates, index)
        lean = slant(rod)
        height = rod.leg_mm * math.cos(lean) + rod.loop_radius_mm * (1 + math.sin(lean)) + rod.wire_mm / 2
        feet = rod.half_gap_mm + 2 * rod.wire_mm * math.tan(math.pi / 4 + lean / 2)
        width = 2 * max(feet, rod.loop_radius_mm + rod.wire_mm / 2)
        cost = {key: float(found.cost[key][index]) for key in ("loop", "bending", "rod")}
        assert cost == pytest.approx({
            "loop": (height / 20) ** 2 + (width / 40) ** 2, "bending": 0.05 if lean > 1e-6 else 0.0,
            "rod": rod.rod_length_mm / 40,
        }, abs=1e-6)  # fmt: skip
        bent.add(cost["bending"])
    assert bent == {0.0, 0.05}
    assert {"swing", "force", "stress", "slack", "torque"} <= found.cost.keys()
    sizes = found.dimensions(int(known[0])), judged.height_mm[known[0]], candidates.width_mm()[known[0]]
    length = np.asarray(candidates.rod.rod_length_mm)[known[0]]
    assert sizes[0] == f"a {length:.1f} mm rod and a loop {sizes[2]:.1f} mm wide and {sizes[1]:.1f} mm high"


@pytest.mark.parametrize(
    ("off", "refused"),
    [
        ((0.06, 0.30, 0.15), False), ((0.061, 0.30, 0.15), True), ((0.06, 0.301, 0.15), True),
        ((0.06, 0.30, 0.151), True),
    ],
)  # fmt: skip
def test_a_rod_that_its_theory_does_not_hold_for_is_objected_to(monkeypatch, off, refused):
    """A load 6 % off, a give of 30 % and a step of 15 % are allowed, one beyond is not, and all are told."""
    monkeypatch.setattr(solve, "off_theory", lambda rod, path: OffTheory(*off))
    said = case("square")[-1].objection(some("square")[0])

    assert said == (
        (
            f"its loop bends too far for its formula: a load {off[0]:.0%} off, at most 6%, a give of {off[1]:.0%} of "
            f"its height, at most 30%, and a step of {off[2]:.0%}, at most 15%"
        )
        if refused
        else ""
    )


def test_a_rod_that_folds_up_is_objected_to(monkeypatch):
    """And says so."""

    def folds(rod, path):
        raise NoDesign("folds")

    monkeypatch.setattr(solve, "off_theory", folds)
    assert case("square")[-1].objection(some("square")[0]) == "its rod folds up"


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_a_trimmed_rod_is_what_turning_the_arm_until_the_blade_touches_gives(name, side):
    """All off the one way or the other: over-travel and force to 0.4 % of the arm turned in steps, then as far past the
    touch as the true rod is, and half the dead band."""
    spec, *_, found = case(name)
    index = some(name)[0]
    rod = push_rod(spec, found.drive(index))
    off = signed(*tolerances(spec, rod.wire_mm), {"touch_mm": 0.0}, otherwise=side)

    def touches(rod):
        low, high = 0.0, 1.2
        for _ in range(60):
            mid = (low + high) / 2
            near, far = ends_mm(replace(rod, theta_rad=mid))
            there = float(far - near) >= rod.throw_mm + float(rod.arm_slack_mm + rod.pin_slack_mm)
            low, high = (low, mid) if there else (mid, high)
        return low

    out = shifted_rod(rod, replace(off, gain=0.0, tooth_rad=0.0, dead_rad=0.0))
    past = float(rod.theta_rad) - touches(rod)
    exact = rod_closing(replace(out, theta_rad=touches(out) + past + off.dead_rad))
    quick = rod_closing(trimmed_rod(rod, off))

    left = [float(at.overtravel_mm - at.lost_motion_mm / 2) for at in (exact, quick)]
    assert left[1] == pytest.approx(left[0], rel=4e-3)
    assert float(quick.force_after_slack_n) == pytest.approx(float(exact.force_after_slack_n), rel=4e-3)
    late = rod_closing(trimmed_rod(rod, replace(off, touch_mm=0.1)))
    assert float(late.overtravel_mm - quick.overtravel_mm) == pytest.approx(0.1)


def test_slack_is_never_less_than_none_nor_a_leg():
    """A wire thicker than its holes and legs bent to nothing."""
    rod = replace(one(case("square")[2], some("square")[0]), arm_slack_mm=0.005, pin_slack_mm=0.0, leg_mm=0.2)

    out = shifted_rod(rod, Shifts(wire_mm=0.01, leg_mm=-0.3))

    assert (float(out.arm_slack_mm), float(out.pin_slack_mm), float(out.leg_mm)) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_the_worst_rod_presses_most_or_least(side):
    """Leg, crown, siting and the tie bar's hole the one way, all else the other; what is left out is not off."""
    low, high = (Shifts(**dict.fromkeys(NAMES, value)) for value in (-1.0, 2.0))

    out = worst_rod((low, high), side, without=frozenset({"gain"}))

    most, least = (2.0, -1.0) if side > 0 else (-1.0, 2.0)
    against = {"leg_mm", "crown_mm", "siting_mm", "hole_mm"}
    for name in NAMES:
        wanted = 0.0 if name == "gain" else least if name in against else most
        assert float(getattr(out, name)) == wanted, name


def test_what_the_study_takes_of_a_push_rod():
    """Nothing off: travel, what is left past the touch, the forces of both ends and the crown's inside over tensile."""
    spec, limits, *_, found = case("square")
    drive = found.drive(some("square")[0])
    rod, at = push_rod(spec, drive), study(spec, limits, drive).as_set(Shifts())
    near, index = rod_closing(rod), 2 * drive.loop_radius_mm / drive.wire_mm
    wahl = (4 * index**2 - index - 1) / (4 * index * (index - 1))

    assert tuple(map(float, at)) == pytest.approx((
        drive.travel_mm, drive.overtravel_mm - drive.lost_motion_mm / 2, float(near.force_after_slack_n),
        float(near.stronger_force_n), float(near.stress_mpa) * wahl / drive.wire_tensile_mpa,
    ))  # fmt: skip
    off = Shifts(siting_mm=0.2)
    trimmed = study(spec, limits, drive).trimmed(off)
    assert float(trimmed.force_n) == pytest.approx(float(rod_closing(trimmed_rod(rod, off)).force_after_slack_n))


def test_a_wire_as_thick_as_the_tie_bars_hole_has_no_slack_there():
    """Nor one that is thicker, which has to be drilled for."""
    spec, _, _, _, found = case("square")
    drive = found.drive(some("square")[0])
    for hole in (drive.wire_mm, drive.wire_mm - 0.2):
        tight = spec.model_copy(update={"tie_bar_hole_mm": hole})
        assert push_rod(tight, drive).pin_slack_mm == 0.0


def test_the_pin_is_told_from_mid_throw():
    """Half way between its ends, whatever the rod's lean makes of mid swing."""
    _, _, _, _, found = case("let down")
    drive = found.drive(some("let down")[0])
    swing, at = math.radians(drive.swing_deg), pin_mm(drive)
    rods = {"horn_radius_mm": drive.horn_radius_mm, "rod_length_mm": drive.rod_length_mm, "offset_mm": drive.offset_mm}
    ends = [float(slide_mm(side * swing, **rods)) for side in (-1, 1)]

    for share in (-1.0, -0.3, 0.0, 0.6, 1.0):
        wanted = float(slide_mm(share * swing, **rods)) - sum(ends) / 2
        assert at(share * swing) == pytest.approx(wanted, abs=1e-12)
    assert at(swing) == pytest.approx(-at(-swing))


def test_rods_as_short_as_they_may_be_reach_and_shorter_ones_do_not():
    """Half a millimetre of arm and nine tenths of rod are lengths; an arm of 20 over a slide line 11.5 up leaves 8.5 mm
    that a rod of 8.55 spans, √(8.55² − 8.5²) along, and one of 8.5 does not."""
    short = rod_pin_offset_mm(math.pi / 2, horn_radius_mm=0.5, rod_length_mm=0.9, offset_mm=0.0)
    assert float(short) == pytest.approx(0.5 + 0.9 - math.sqrt(0.81 - 0.25))
    along = slide_mm(0.0, horn_radius_mm=20.0, rod_length_mm=8.55, offset_mm=11.5)
    assert float(along) == pytest.approx(math.sqrt(8.55**2 - 8.5**2))
    with pytest.raises(ValueError, match="does not reach"):
        slide_mm(0.0, horn_radius_mm=20.0, rod_length_mm=8.5, offset_mm=11.5)
    with pytest.raises(ValueError, match="positive"):
        rod_pin_offset_mm(0.0, horn_radius_mm=5.0, rod_length_mm=0.0, offset_mm=5.0)


def test_what_feet_and_kink_take_of_a_shortening():
    """Two straights that step aside by w are shorter by L − √(L² − w²) each; the feet come together by the rest."""
    loop = Loop(3.0, 3.0, 8.0, 18.0, 14.0, 600.0)
    bent = given(loop, loop_force_n(loop, 0.6))
    w = float(bent.step_mm)

    kink = sum(length - math.sqrt(length**2 - w**2) for length in (18.0, 14.0))
    assert kink > 0.01
    assert float(bent.shortening_mm - bent.feet_mm) == pytest.approx(kink, rel=0.01)
