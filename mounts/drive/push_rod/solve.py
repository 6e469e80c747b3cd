"""Chooses arm hole, wire, swing and spring loop of a push rod."""

from __future__ import annotations

import math
from dataclasses import fields, replace

import numpy as np
from numpy.typing import NDArray

from mounts.drive.choices import FREE, Axes
from mounts.drive.pulse import pulse_widths
from mounts.drive.push_rod.closed import number, off_theory, path_of, rod_closed
from mounts.drive.push_rod.closing import Rod
from mounts.drive.push_rod.field import RodField, rod_field
from mounts.drive.push_rod.judge import RodJudged, judge_rods
from mounts.drive.push_rod.kinematics import slide_mm
from mounts.drive.push_rod.loop import MOST_GIVE_SHARE, MOST_STEP_SHARE
from mounts.drive.push_rod.model import PushRodDrive, PushRodLimits
from mounts.drive.push_rod.rules import FORMULA_SHARE
from mounts.drive.push_rod.wire_path import bends, push_rod_corners
from mounts.drive.ranking import Examined, shared_costs
from mounts.errors import NoDesign
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]


def examined(spec: MountSpec, limits: PushRodLimits, axes: Axes = FREE) -> Examined:
    """Every candidate, what it does, what it breaks and what it costs."""
    candidates = rod_field(spec, limits, axes=axes)
    judged = judge_rods(candidates, spec, limits)
    length, width = np.asarray(candidates.rod.rod_length_mm), candidates.width_mm()
    return Examined(
        spec=spec,
        trial=judged.trial,
        limits=judged.limits,
        cost=costs(candidates, judged, spec),
        aimed=candidates.aimed,
        towards=np.ones(length.size, dtype=np.bool_),
        dimensions=lambda index: (
            f"a {length[index]:.1f} mm rod and a loop {width[index]:.1f} mm wide and "
            f"{judged.height_mm[index]:.1f} mm high"
        ),
        drive=lambda index: _drive(spec, limits, candidates, judged, index),
        objection=lambda index: _objection(candidates, index),
    )


def costs(candidates: RodField, judged: RodJudged, spec: MountSpec) -> dict[str, Array]:
    """``shared_costs`` and those of the push rod, (n,) each.

    * loop: (height/20 mm)² and (width/40 mm)², for it must hide in the scenery: a squat one sooner than a hairpin.
    * bending: 0.05 where the feet are bent by more than a right angle.
    * rod: length per 40 mm: the housing stands that much farther from the track.
    """
    return {
        **shared_costs(judged.trial, spec),
        "loop": (judged.height_mm / 20.0) ** 2 + (candidates.width_mm() / 40.0) ** 2,
        "bending": np.where(candidates.foot_tangent_mm() > candidates.foot_radius_mm * 1.001, 0.05, 0.0),
        "rod": np.asarray(candidates.rod.rod_length_mm) / 40.0,
    }


def _one(candidates: RodField, index: int) -> tuple[Rod, float]:
    """A candidate's rod and the radius of its loop's feet."""
    size = candidates.foot_radius_mm.shape
    picked = {
        field.name: number(np.broadcast_to(np.asarray(getattr(candidates.rod, field.name)), size)[index])
        for field in fields(candidates.rod)
    }
    return replace(candidates.rod, **picked), float(candidates.foot_radius_mm[index])


def _objection(candidates: RodField, index: int) -> str:
    """Where the bent line disagrees with the theory that chose a candidate."""
    rod, foot_mm = _one(candidates, index)
    try:
        off = off_theory(rod, path_of(rod, foot_mm))
    except NoDesign:
        return "its rod folds up"
    if off.load > FORMULA_SHARE or off.give > MOST_GIVE_SHARE or off.step > MOST_STEP_SHARE:
        return (
            f"its loop bends too far for its formula: a load {off.load:.0%} off, at most {FORMULA_SHARE:.0%}, a give "
            f"of {off.give:.0%} of its height, at most {MOST_GIVE_SHARE:.0%}, and a step of {off.step:.0%}, at most "
            f"{MOST_STEP_SHARE:.0%}"
        )
    return ""


def _drive(
    spec: MountSpec,
    limits: PushRodLimits,
    candidates: RodField,
    judged: RodJudged,
    best: int,
) -> PushRodDrive:
    def at(values: object) -> float:
        return float(np.broadcast_to(np.asarray(values, dtype=np.float64), judged.height_mm.shape)[best])

    rod, foot_mm = _one(candidates, best)
    path = path_of(rod, foot_mm)
    closed = rod_closed(rod, path)
    wire, length = number(rod.wire_mm), number(rod.rod_length_mm)
    slant = float(rod.loop().slant_rad)
    swing_deg, dead_band = math.degrees(number(rod.theta_rad)), at(judged.trial.dead_band_mm)
    corners, last = push_rod_corners(
        wire_mm=wire,
        horn_thickness_mm=spec.servo.horn_thickness_mm,
        wire_tail_mm=limits.wire_tail_mm,
        rod_length_mm=length,
        before_mm=number(rod.before_mm),
        loop_feet_mm=2.0 * number(rod.half_gap_mm),
        loop_leg_mm=number(rod.leg_mm),
        loop_radius_mm=number(rod.loop_radius_mm),
        slant_rad=slant,
        foot_radius_mm=foot_mm,
        pin_leg_mm=limits.pin_leg_mm,
    )
    marked, cut_length = bends(corners, last, wire_mm=wire)
    at_mid = float(slide_mm(0.0, **rod.linkage()))
    return PushRodDrive(
        horn_radius_mm=number(rod.horn_radius_mm),
        rod_length_mm=length,
        offset_mm=number(rod.offset_mm),
        shaft_to_pin_mm=at_mid + float(closed.middle_mm),
        loop_feet_mm=2.0 * number(rod.half_gap_mm),
        loop_leg_mm=number(rod.leg_mm),
        loop_slant_deg=math.degrees(slant),
        loop_radius_mm=number(rod.loop_radius_mm),
        foot_radius_mm=foot_mm,
        loop_width_mm=at(candidates.width_mm()),
        loop_height_mm=at(judged.height_mm),
        loop_at_mm=number(rod.before_mm) + number(rod.half_gap_mm),
        wire_mm=wire,
        wire_tensile_mpa=at(candidates.tensile_mpa),
        wire_modulus_mpa=number(rod.modulus_mpa),
        arm_hole_drill_mm=at(candidates.drill_mm),
        swing_deg=swing_deg,
        travel_mm=closed.travel_mm,
        overtravel_mm=closed.overtravel_mm,
        lost_motion_mm=closed.lost_motion_mm,
        rate_n_per_mm=closed.rate_n_per_mm,
        force_n=closed.force_n,
        force_after_slack_n=closed.force_after_slack_n,
        loop_gap_closed_mm=closed.gap_mm,
        loop_step_mm=closed.steps_mm,
        stress_mpa=closed.stress_mpa,
        servo_torque_nmm=closed.torque_nmm,
        torque_margin=spec.servo.stall_torque_nmm / closed.torque_nmm,
        pulse_us=pulse_widths(swing_deg, spec.servo, ccw_moves_pin_to_reverse=limits.ccw_moves_pin_to_reverse),
        pin_mm_per_us=dead_band / spec.servo.dead_band_us,
        deadband_mm=dead_band,
        buckling_margin=closed.folding_margin,
        lean_deg=math.degrees(closed.lean_rad),
        cut_length_mm=cut_length,
        bends=marked,
        rod_path_mm=tuple((round(float(x), 5), round(float(y), 5) + 0.0) for x, y in path.line),
        explanation="",
    )
