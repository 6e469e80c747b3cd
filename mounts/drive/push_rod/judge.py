"""The limits of a push rod, by name, over a whole field of candidates."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from mounts.drive.bends import curvature_factor, z_bend_mm
from mounts.drive.limits import Limit, at_least, at_most
from mounts.drive.pulse import dead_band_mm, trim_room_us
from mounts.drive.push_rod.closing import Rod, RodClosing, rod_closing
from mounts.drive.push_rod.field import STEEPEST_SLANT_RAD, RodField, before_loop_mm
from mounts.drive.push_rod.kinematics import dead_points_rad, rod_rate_mm_per_rad
from mounts.drive.push_rod.model import PushRodLimits
from mounts.drive.push_rod.rules import BUCKLING, FORMULA_SHARE, LOOP_FORMULA, LOOP_GIVE, LOOP_OPEN, LOOP_STEP, leaning
from mounts.drive.push_rod.shifts import shifted_rod, trimmed_rod, worst_rod
from mounts.drive.ranking import Z_BEND_AIR_MM, Trial, shared_limits
from mounts.drive.tolerances import TRIMMED_AWAY, TRIMMED_FROM_THE_CENTRE, siting_mm, tolerances
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

FORMULA_OFF = 3.0
"""By how much the theory's load is off, as a share, over give times step, shares of the loop's height. Fitted to the
exact line of some hundred loops, 2.5 on average; what is chosen is asked of the exact line again."""

OVERTRAVEL_MM = 0.025
"""How near a push rod comes to an over-travel that was asked for: whole µs give no finer steps on a long arm."""

DEAD_POINT_MARGIN_DEG = 8.0
"""Kept between full swing and the angle where arm and rod lie in one line."""


@dataclass(frozen=True)
class RodJudged:
    """A field, what each candidate does and every limit it was held against; arrays are (n,)."""

    closed: RodClosing
    trial: Trial
    height_mm: Array
    folding_margin: Array
    limits: tuple[Limit, ...]


def judge_rods(candidates: RodField, spec: MountSpec, limits: PushRodLimits) -> RodJudged:
    """Every candidate held against every limit."""
    rod = candidates.rod
    radius, length, wire, leg, theta = (
        np.asarray(values) for values in (rod.horn_radius_mm, rod.rod_length_mm, rod.wire_mm, rod.leg_mm, rod.theta_rad)
    )
    closed = _closing(rod)
    trial, least_gap = _trial(candidates, closed, spec)
    loop = rod.loop()
    height, width = loop.height_mm + wire / 2.0, 2.0 * candidates.half_width_mm
    margin = closed.folding_n / np.maximum(closed.push_n, 1e-9)
    unsolved = np.where(np.isnan(leg) & ~np.isnan(length), np.inf, 0.0)
    lean = np.where(np.isnan(length), np.inf, np.degrees(closed.lean_rad))
    inner, outer = dead_points_rad(horn_radius_mm=radius, rod_length_mm=length, offset_mm=rod.offset_mm)
    room = np.degrees(np.minimum(-inner, outer) - theta)
    needed = before_loop_mm(limits, horn_radius_mm=radius, theta_rad=theta) + width + limits.after_loop_mm
    tangent, foot = candidates.foot_tangent_mm(), candidates.foot_radius_mm
    after = np.asarray(loop.after_mm)
    beside = np.minimum(np.asarray(rod.before_mm), after) - tangent - foot
    straight = np.minimum.reduce([beside, leg - tangent, limits.pin_leg_mm - foot])
    slant = np.degrees(loop.slant_rad)
    nearest, farthest = limits.arm_hole_mm or (0.0, spec.servo.horn_length_mm)
    nearer, farther = limits.arm_hole_ways
    own = (
        at_least("arm hole", radius, nearest, "mm from shaft to arm hole", nearer),
        at_most("arm hole too far", radius, farthest, "mm from shaft to arm hole", farther),
        *_asked_overtravel(closed, spec),
        at_least("Z-bend clear of the servo", _behind_arm_mm(candidates, spec, limits), Z_BEND_AIR_MM,
                 "mm between the wire's tail and the servo", "a farther arm hole or a thinner wire"),
        at_most("loop", unsolved, 0.0, "mm beyond what any loop gives", "another throw or force"),
        at_most("loop height", height, limits.max_loop_height_mm, "mm of loop height",
                "a thinner --wire or more --force"),
        at_most("loop width", width, limits.max_loop_width_mm, "mm of loop width", "a greater --track-distance"),
        at_most("rod length", needed, limits.rod_length_mm[1], "mm of rod", "a greater --track-distance"),
        leaning(limits).limit(lean),
        at_least("dead point", room, DEAD_POINT_MARGIN_DEG, "° to the dead point", "a greater --track-distance"),
        LOOP_OPEN.limit(least_gap),
        LOOP_GIVE.limit(closed.give_mm / loop.height_mm),
        LOOP_STEP.limit(closed.step_mm / loop.height_mm),
        LOOP_FORMULA.limit(FORMULA_OFF * closed.give_mm * closed.step_mm / loop.height_mm**2),
        BUCKLING.limit(margin),
        at_most("slant of the legs", slant, math.degrees(STEEPEST_SLANT_RAD), "° of slant of the loop's legs",
                "a thinner --wire or more --force"),
        at_least("bends", straight, 0.0, "mm of straight wire between two bends", "a lower --pin-height"),
    )  # fmt: skip
    shared = shared_limits(trial, spec, wire_tail_mm=limits.wire_tail_mm)
    return RodJudged(closed, trial, height, margin, (*own, *shared))


def _closing(rod: Rod) -> RodClosing:
    """``rod_closing`` of the rods that have a loop, in full arrays: NaN for the others, which are most."""
    sound = np.flatnonzero(~np.isnan(np.asarray(rod.leg_mm)))
    size = np.asarray(rod.leg_mm).size
    some = {f.name: np.broadcast_to(np.asarray(getattr(rod, f.name)), size)[sound] for f in fields(rod)}
    found = rod_closing(replace(rod, **some))
    full = []
    for values in found:
        whole = np.full(size, np.nan)
        whole[sound] = values
        full.append(whole)
    return RodClosing(*full)


def _asked_overtravel(closed: RodClosing, spec: MountSpec) -> tuple[Limit, ...]:
    if spec.overtravel_mm is None:
        return ()
    off = np.abs(closed.overtravel_mm - spec.overtravel_mm)
    noun = "mm off the over-travel asked for"
    return (at_most("over-travel", off, OVERTRAVEL_MM, noun, "leave --swing or --overtravel free"),)


def _behind_arm_mm(candidates: RodField, spec: MountSpec, limits: PushRodLimits) -> Array:
    """Air between the Z-bend's tail behind the arm and the gear boss, or the case where the tail ends outside it."""
    servo, wire = spec.servo, np.asarray(candidates.rod.wire_mm)
    through = z_bend_mm(
        horn_thickness_mm=servo.horn_thickness_mm, wire_mm=wire, foot_radius_mm=candidates.foot_radius_mm
    )
    inner = np.asarray(candidates.rod.horn_radius_mm) - limits.wire_tail_mm - wire / 2.0
    over_boss = inner < servo.boss_mm / 2.0 + Z_BEND_AIR_MM
    top = np.where(over_boss, servo.boss_top_height_mm, servo.case_top_height_mm)
    return np.asarray(servo.horn_plane_height_mm - through - top)


def _trial(candidates: RodField, closed: RodClosing, spec: MountSpec) -> tuple[Trial, Array]:
    """What each candidate does, and the gap left between its legs in the worst case."""
    rod = candidates.rod
    box = tolerances(spec, rod.wire_mm)
    weak, strong = (_closing(trimmed_rod(rod, worst_rod(box, side, without=TRIMMED_AWAY))) for side in (-1.0, 1.0))
    untrimmed = shifted_rod(rod, worst_rod(box, 1.0, without=TRIMMED_FROM_THE_CENTRE))
    rate = rod_rate_mm_per_rad(0.0, **rod.linkage())
    end_rates = [rod_rate_mm_per_rad(side * np.asarray(rod.theta_rad), **rod.linkage()) for side in (-1.0, 1.0)]
    trial = Trial(
        radius_mm=np.asarray(rod.horn_radius_mm),
        theta_rad=np.asarray(rod.theta_rad),
        wire_mm=np.asarray(rod.wire_mm),
        drill_mm=candidates.drill_mm,
        stress_share=_inside_crown_mpa(rod, closed) / candidates.tensile_mpa,
        untrimmed_stress_share=_inside_crown_mpa(untrimmed, _closing(untrimmed)) / candidates.tensile_mpa,
        force_n=closed.force_n,
        force_after_slack_n=closed.force_after_slack_n,
        stronger_force_n=closed.stronger_force_n,
        travel_mm=closed.travel_mm,
        lost_motion_mm=closed.lost_motion_mm,
        torque_nmm=closed.torque_nmm,
        dead_band_mm=rate * dead_band_mm(1.0, spec.servo),
        end_dead_band_mm=np.maximum(*end_rates) * dead_band_mm(1.0, spec.servo),
        trim_us=trim_room_us(np.minimum(*end_rates), siting_mm(spec), spec.servo),
        least_overtravel_mm=weak.overtravel_mm - weak.lost_motion_mm / 2.0,
        least_force_n=weak.force_after_slack_n,
        most_force_n=strong.stronger_force_n,
        beyond_theory=np.full_like(closed.force_n, -1.0),
        formula_share=FORMULA_SHARE,
    )
    return trial, strong.gap_mm


def _inside_crown_mpa(rod: Rod, closed: RodClosing) -> Array:
    """The inside of the crown is judged with its curvature, which the reported stress leaves out."""
    return np.asarray(closed.stress_mpa * curvature_factor(rod.loop_radius_mm, rod.wire_mm))
