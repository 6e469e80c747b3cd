"""A closed push rod against plane geometry, virtual work and a frame of beam elements."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from frame_elements import pressed

from mounts.drive.push_rod.closed import held, off_theory, path_of, rod_closed
from mounts.drive.push_rod.closing import Rod, chord_mm, rod_closing
from mounts.drive.push_rod.kinematics import slide_mm
from mounts.drive.push_rod.loop import folding_force_n, loop_force_n
from mounts.drive.spring import second_moment_mm4

ROD = Rod(
    theta_rad=0.5,
    throw_mm=2.4,
    horn_radius_mm=7.0,
    rod_length_mm=40.0,
    offset_mm=3.0,
    before_mm=14.0,
    half_gap_mm=3.0,
    loop_radius_mm=3.0,
    leg_mm=10.0,
    wire_mm=0.6,
    modulus_mpa=206_000.0,
    arm_slack_mm=0.2,
    pin_slack_mm=0.5,
)
LINKAGE = {"horn_radius_mm": 7.0, "rod_length_mm": 40.0, "offset_mm": 3.0}
FOOT = 1.2
EI = 206_000.0 * math.pi * 0.6**4 / 64


def chord(theta: float, side: int) -> float:
    """Arm hole to the stopped pin: the pin half the throw from half way between the ends of the free one."""
    ends = [float(slide_mm(s * 0.5, **LINKAGE)) for s in (-1, 1)]
    pin = sum(ends) / 2 + side * 1.2
    return math.dist((7.0 * math.sin(theta), 7.0 * math.cos(theta) - 3.0), (pin, 0.0))


def test_travel_is_between_the_two_ends():
    """The travel is the difference of the slide at both ends of the swing."""
    closed = rod_closing(ROD)

    assert float(slide_mm(0.5, **LINKAGE) - slide_mm(-0.5, **LINKAGE)) == pytest.approx(float(closed.travel_mm))
    middle = float(slide_mm(0.5, **LINKAGE) + slide_mm(-0.5, **LINKAGE)) / 2 - float(slide_mm(0.0, **LINKAGE))
    assert middle == pytest.approx(float(closed.middle_mm))


@pytest.mark.parametrize("side", [-1, 1])
def test_chord_and_lever_are_the_triangle_s(side):
    """The distance of two points, and its derivative by the arm's angle."""
    length, _, lever = (float(value) for value in chord_mm(ROD, side))
    slope = (chord(side * 0.5 + 1e-6, side) - chord(side * 0.5 - 1e-6, side)) / 2e-6

    assert chord(side * 0.5, side) == pytest.approx(length)
    assert abs(slope) == pytest.approx(lever, rel=1e-6)


@pytest.mark.parametrize("side", [-1, 1])
def test_a_frame_of_beams_gives_force_and_torque_at_either_end(side):
    """Pressed to the chord's length the frame's load, times the lean's cosine and the lever, is force and torque."""
    path = path_of(ROD, FOOT)
    load, _ = pressed(path.line, EI, 40.0 - chord(side * 0.5, side), steps=4)
    shape, lean, lever = held(ROD, path, side)

    assert load == pytest.approx(shape.force_n, rel=0.01)
    closed = rod_closed(ROD, path)
    assert abs(load) * lever <= closed.torque_nmm * 1.01
    assert abs(load) * math.cos(lean) <= closed.force_n * 1.01


def test_pulling_is_stiffer_than_pushing_and_both_are_told():
    """The force told is the pulled end's, the force after slack the pushed end's, 0.35 mm of give less."""
    path = path_of(ROD, FOOT)
    closed = rod_closed(ROD, path)
    pulled, _ = pressed(path.line, EI, 40.0 - chord(-0.5, -1), steps=4)
    pushed, _ = pressed(path.line, EI, 40.0 - chord(0.5, 1) - 0.35, steps=4)

    assert -pulled == pytest.approx(closed.force_n, rel=0.02)
    assert pushed == pytest.approx(closed.force_after_slack_n, rel=0.02)
    linear = closed.rate_n_per_mm * closed.overtravel_mm
    assert closed.force_after_slack_n < linear - 0.35 * closed.rate_n_per_mm < linear < closed.force_n


@pytest.mark.parametrize("swap", [1, -1])
def test_of_both_ends_the_larger_and_the_weaker_are_told_whichever_they_are(monkeypatch, swap: int) -> None:
    """3 N at one end and 2 at the other, 2.5 and 1 with all slack taken up, leans with cosines 0.8 and 0.6, levers of
    5 and 9 mm: at the blades 2.4 and 1.2 N, 2.0 and 0.6 with slack, at the shaft 15 and 18 N·mm."""
    path = path_of(ROD, FOOT)
    flat = path.line * (1.0, 0.0)

    def stand_in(rod, path, side, *, slack_mm=0.0):
        strong = side == -swap
        force = (2.5 if slack_mm else 3.0) if strong else (1.0 if slack_mm else 2.0)
        shape = SimpleNamespace(force_n=side * force, line=flat, moment_nmm=np.full(len(flat), -4.0 if strong else 2.0))
        return shape, math.acos(0.8 if strong else 0.6), 5.0 if strong else 9.0

    monkeypatch.setattr("mounts.drive.push_rod.closed.held", stand_in)
    closed = rod_closed(ROD, path)
    assert (closed.force_n, closed.force_after_slack_n) == (pytest.approx(2.4), pytest.approx(0.6))
    assert (closed.stronger_force_n, closed.torque_nmm) == (pytest.approx(2.0), pytest.approx(18.0))
    assert closed.stress_mpa == pytest.approx(32 * 4.0 / (math.pi * 0.6**3))  # any handbook
    assert closed.folding_margin == pytest.approx(float(folding_force_n(ROD.loop())) / (2.0 if swap == 1 else 3.0))


def test_both_models_of_a_closed_rod_agree_inside_their_domain():
    """Second-order theory is within 5 % of the bent line in force, stress and torque, its gap never the wider."""
    formula, exact = rod_closing(ROD), rod_closed(ROD, path_of(ROD, FOOT))

    for field in ("force_n", "force_after_slack_n", "stress_mpa", "torque_nmm"):
        assert getattr(exact, field) == pytest.approx(float(getattr(formula, field)), rel=0.05)
    assert float(formula.gap_mm) <= exact.gap_mm
    assert float(formula.step_mm) == pytest.approx(max(abs(step) for step in exact.steps_mm), abs=0.3)


def test_stress_is_the_largest_moment_s():
    """32·M/(π·d³) of the load at the crown of the frame's own bent line."""
    path = path_of(ROD, FOOT)
    load, line = pressed(path.line, EI, 40.0 - chord(-0.5, -1), steps=4)
    pushed, closed_line = pressed(path.line, EI, 40.0 - chord(0.5, 1), steps=4)
    moment = max(abs(load) * float(line[:, 1].max()), pushed * float(closed_line[:, 1].max()))

    assert 32 * moment / (math.pi * 0.6**3) == pytest.approx(rod_closed(ROD, path).stress_mpa, rel=0.02)
    assert float(second_moment_mm4(0.6)) == pytest.approx(math.pi * 0.6**4 / 64)


def test_lean_is_the_worst_of_mid_and_ends():
    """With the slide line half way up the arm the rod leans most at mid, with a high one at the ends."""
    at_mid = math.asin((7.0 - 3.0) / 40.0)

    assert float(rod_closing(ROD).lean_rad) == pytest.approx(at_mid)
    high = rod_closing(replace(ROD, offset_mm=7.0))
    assert float(high.lean_rad) == pytest.approx(math.asin((7.0 - 7.0 * math.cos(0.5)) / 40.0))


@pytest.mark.parametrize(("offset", "wire"), [(3.0, 0.6), (7.0, 0.6), (-2.0, 0.3)])
def test_either_end_has_its_own_lean_and_its_own_slack(offset, wire):
    """Each end's load times the cosine of its own chord's lean, by two points; the stronger and the weaker are told.

    The two cosines differ in the fourth decimal, and the ends are held to the ninth.
    """
    rod = replace(ROD, offset_mm=offset, wire_mm=wire)
    path, lost = path_of(rod, FOOT), 0.7
    at = {side: slide_mm(side * 0.5, **{**LINKAGE, "offset_mm": offset}) for side in (-1, 1)}
    free, slack, pressed_n = {}, {}, {}
    for side in (-1, 1):
        pin = float(at[-1] + at[1]) / 2 + side * 1.2
        along, across = pin - 7.0 * math.sin(side * 0.5), 7.0 * math.cos(0.5) - offset
        cosine = along / math.hypot(along, across)
        pressed_n[side] = held(rod, path, side)[0].force_n
        free[side] = side * pressed_n[side] * cosine
        slack[side] = side * held(rod, path, side, slack_mm=lost)[0].force_n * cosine
        less = held(rod, path, side, slack_mm=lost)[0]
        taken = abs(40.0 - math.hypot(along, across)) - abs(40.0 - float(less.line[-1, 0]))
        assert taken == pytest.approx(lost / 2, abs=1e-6)  # half of it at either end

    closed = rod_closed(rod, path)
    assert closed.force_n == pytest.approx(max(free.values()), rel=1e-9)
    assert closed.force_after_slack_n == pytest.approx(min(slack.values()), rel=1e-9)
    assert closed.stronger_force_n == pytest.approx(max(slack.values()), rel=1e-9)
    assert closed.folding_margin == pytest.approx(float(folding_force_n(rod.loop())) / pressed_n[1], rel=1e-9)
    assert closed.lost_motion_mm == pytest.approx(lost)


@pytest.mark.parametrize("leg", [10.0, 4.0])
def test_how_far_a_rod_is_off_its_theory_is_the_worse_end_s(leg):
    """The theory's load for what the bent line is shortened by, over the line's own; give and step over the height."""
    rod = replace(ROD, leg_mm=leg)
    path, found = path_of(rod, FOOT), off_theory(replace(ROD, leg_mm=leg), path_of(replace(ROD, leg_mm=leg), FOOT))
    ends = []
    for side in (-1, 1):
        shape = held(rod, path, side)[0]
        shortened = 40.0 - chord(side * 0.5, side)
        ends.append((
            abs(float(loop_force_n(rod.loop(), shortened)) / shape.force_n - 1), abs(shortened),
            abs(shape.line[path.loop.start, 1]),
        ))  # fmt: skip
    load, give, step = np.max(ends, axis=0)

    height = leg + 3.0  # parallel legs: leg and crown
    assert (found.load, found.give, found.step) == pytest.approx((load, give / height, step / height), rel=1e-4)


def test_the_theory_takes_each_end_by_itself():
    """The loop's load for what either chord is shorter or longer than the rod, times its own cosine, half the slack
    less at either end; the straights are what loop and rod leave, and the legs' gap is never wider than the bent line's
    and within 0.3 mm of it."""
    loop, near = ROD.loop(), rod_closing(ROD)
    free, slack = [], []
    for side in (-1, 1):
        length = chord(side * 0.5, side)
        cosine = math.sqrt(1 - ((7.0 * math.cos(0.5) - 3.0) / length) ** 2)
        free.append(side * float(loop_force_n(loop, 40.0 - length)) * cosine)
        slack.append(side * float(loop_force_n(loop, 40.0 - length - side * 0.35)) * cosine)

    assert (float(loop.before_mm), float(loop.after_mm)) == (14.0, 20.0)
    assert float(near.force_n) == pytest.approx(max(free), rel=1e-9)
    assert float(near.force_after_slack_n) == pytest.approx(min(slack), rel=1e-9)
    assert float(near.stronger_force_n) == pytest.approx(max(slack), rel=1e-9)
    exact = rod_closed(ROD, path_of(ROD, FOOT)).gap_mm
    assert exact - 0.3 < float(near.gap_mm) <= exact
