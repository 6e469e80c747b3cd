"""Chooses arm hole, wire, swing and spring loop of a push rod."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from mounts.drive.candidates import survivors
from mounts.drive.choices import FREE, Axes
from mounts.drive.examined import Examined
from mounts.drive.model import PushRodDrive, PushRodLimits
from mounts.drive.pulse import pulse_widths
from mounts.drive.push_rod import slide_mm
from mounts.drive.rod_field import RodField, before_loop_mm, rod_field
from mounts.drive.rod_judge import RodJudged, judge_rods
from mounts.drive.trial import shared_costs
from mounts.drive.wire_path import bends, push_rod_corners
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]


def examined_push_rod(spec: MountSpec, limits: PushRodLimits, axes: Axes = FREE) -> Examined:
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
        drive=lambda index, text: _drive(spec, limits, candidates, judged, index, text),
    )


def possible_push_rod(spec: MountSpec, limits: PushRodLimits) -> bool:
    """Whether a part of the field holds a drive: quick, and a yes is certain."""
    return bool(survivors(judge_rods(rod_field(spec, limits, stride=3), spec, limits).limits).any())


def costs(candidates: RodField, judged: RodJudged, spec: MountSpec) -> dict[str, Array]:
    """``shared_costs`` and those of the push rod.

    * loop: height per 40 mm and width per 40 mm, for it must hide in the scenery.
    * rod: length per 100 mm.
    """
    return {
        **shared_costs(judged.trial, spec),
        "loop": (judged.height_mm + candidates.width_mm()) / 40.0,
        "rod": np.asarray(candidates.rod.rod_length_mm) / 100.0,
    }


def _drive(
    spec: MountSpec,
    limits: PushRodLimits,
    candidates: RodField,
    judged: RodJudged,
    best: int,
    explanation: str,
) -> PushRodDrive:
    def at(values: object) -> float:
        return float(np.broadcast_to(np.asarray(values, dtype=np.float64), judged.height_mm.shape)[best])

    rod, closed = candidates.rod, judged.closed
    radius, length, offset = at(rod.horn_radius_mm), at(rod.rod_length_mm), at(rod.offset_mm)
    crown, leg, foot, wire = at(rod.loop_radius_mm), at(rod.leg_mm), at(candidates.foot_radius_mm), at(rod.wire_mm)
    width, swing_deg, dead_band = (
        at(candidates.width_mm()),
        math.degrees(at(rod.theta_rad)),
        at(judged.trial.dead_band_mm),
    )
    before = before_loop_mm(limits, horn_radius_mm=radius, theta_rad=at(rod.theta_rad))
    loop_at = float(before) + width / 2.0
    corners, last = push_rod_corners(
        wire_mm=wire,
        horn_thickness_mm=spec.servo.horn_thickness_mm,
        wire_tail_mm=limits.wire_tail_mm,
        rod_length_mm=length,
        loop_at_mm=loop_at,
        loop_leg_mm=leg,
        loop_radius_mm=crown,
        foot_radius_mm=foot,
        pin_leg_mm=limits.pin_leg_mm,
    )
    marked, cut_length = bends(corners, last, wire_mm=wire)
    at_mid = float(slide_mm(0.0, horn_radius_mm=radius, rod_length_mm=length, offset_mm=offset))
    return PushRodDrive(
        horn_radius_mm=radius,
        rod_length_mm=length,
        offset_mm=offset,
        shaft_to_pin_mm=at_mid + at(closed.middle_mm),
        loop_leg_mm=leg,
        loop_radius_mm=crown,
        foot_radius_mm=foot,
        loop_width_mm=width,
        loop_height_mm=at(judged.height_mm),
        loop_at_mm=loop_at,
        wire_mm=wire,
        wire_tensile_mpa=at(candidates.tensile_mpa),
        wire_modulus_mpa=at(rod.modulus_mpa),
        arm_hole_drill_mm=at(candidates.drill_mm),
        swing_deg=swing_deg,
        travel_mm=at(closed.travel_mm),
        overtravel_mm=at(closed.overtravel_mm),
        lost_motion_mm=at(closed.lost_motion_mm),
        rate_n_per_mm=at(closed.rate_n_per_mm),
        force_n=at(closed.force_n),
        force_after_slack_n=at(closed.force_after_slack_n),
        stress_mpa=at(closed.stress_mpa),
        servo_torque_nmm=at(closed.torque_nmm),
        torque_margin=spec.servo.stall_torque_nmm / at(closed.torque_nmm),
        pulse_us=pulse_widths(swing_deg, spec.servo, ccw_moves_pin_to_reverse=limits.ccw_moves_pin_to_reverse),
        pin_mm_per_us=dead_band / spec.servo.dead_band_us,
        deadband_mm=dead_band,
        buckling_margin=at(judged.buckling_margin),
        lean_deg=math.degrees(at(closed.lean_rad)),
        cut_length_mm=cut_length,
        bends=marked,
        explanation=explanation,
    )
