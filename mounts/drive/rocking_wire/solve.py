"""Chooses arm hole, wire, swing and pivot depth of a rocking wire."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from mounts.drive.choices import FREE, Axes
from mounts.drive.pulse import pulse_widths
from mounts.drive.ranking import Examined, shared_costs
from mounts.drive.rocking_wire.field import Field, field
from mounts.drive.rocking_wire.judge import Judged, judge
from mounts.drive.rocking_wire.model import RockingWireDrive, RockingWireLimits
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]


def examined(spec: MountSpec, limits: RockingWireLimits, axes: Axes = FREE) -> Examined:
    """Every candidate, what it does, what it breaks and what it costs."""
    candidates = field(spec, limits, axes=axes)
    judged = judge(candidates, spec, limits)
    span = np.asarray(candidates.link.pivot_to_horn_mm)
    return Examined(
        spec=spec,
        trial=judged.trial,
        limits=judged.limits,
        cost=costs(judged, spec),
        aimed=candidates.aimed,
        towards=np.asarray(candidates.link.horn_towards_pivot, dtype=np.bool_),
        dimensions=lambda index: f"{span[index]:.2f} mm from pivot to hole",
        drive=lambda index: _drive(spec, limits, candidates, judged, index),
    )


def costs(judged: Judged, spec: MountSpec) -> dict[str, Array]:
    """``shared_costs``, and depth, (n,) each: per 20 mm, for a deep bracket is slow to print and limber."""
    return {**shared_costs(judged.trial, spec), "depth": judged.depth_mm / 20.0}


def _drive(
    spec: MountSpec,
    limits: RockingWireLimits,
    candidates: Field,
    judged: Judged,
    best: int,
) -> RockingWireDrive:
    at = {key: float(np.asarray(value)[best]) for key, value in judged.closed._asdict().items()}
    radius, span, theta = (float(values[best]) for values in candidates.arrays())
    wire_mm = float(np.asarray(candidates.link.wire_mm)[best])
    modulus_mpa = float(np.asarray(candidates.link.modulus_mpa)[best])
    towards = bool(np.asarray(candidates.link.horn_towards_pivot)[best])
    dead_band = float(judged.trial.dead_band_mm[best])
    swing_deg = math.degrees(theta)
    return RockingWireDrive(
        horn_radius_mm=radius,
        pivot_to_horn_mm=span,
        pivot_to_pin_mm=limits.pivot_to_pin_mm,
        horn_towards_pivot=towards,
        wire_mm=wire_mm,
        wire_held=spec.wire_held,
        wire_tensile_mpa=float(candidates.tensile_mpa[best]),
        wire_modulus_mpa=modulus_mpa,
        arm_hole_drill_mm=float(candidates.drill_mm[best]),
        swing_deg=swing_deg,
        travel_mm=at["travel_mm"],
        overtravel_mm=at["overtravel_mm"],
        lost_motion_mm=at["lost_motion_mm"],
        rate_n_per_mm=at["rate_n_per_mm"],
        force_n=at["force_n"],
        force_after_slack_n=at["force_after_slack_n"],
        stress_mpa=max(at["stress_pivot_mpa"], at["stress_horn_mpa"]),
        stress_pivot_mpa=at["stress_pivot_mpa"],
        stress_horn_mpa=at["stress_horn_mpa"],
        servo_torque_nmm=at["torque_nmm"],
        torque_margin=spec.servo.stall_torque_nmm / at["torque_nmm"],
        # un-mirrored, the shaft points along +x: counter-clockwise takes an arm that points up to −y
        pulse_us=pulse_widths(swing_deg, spec.servo, ccw_moves_pin_to_reverse=towards != spec.mirror),
        pin_mm_per_us=dead_band / spec.servo.dead_band_us,
        deadband_mm=dead_band,
        tilt_deg=math.degrees(at["lean_rad"]),
        pivot_bore_mm=wire_mm + limits.pivot_slack_mm,
        pivot_land_mm=float(judged.land_mm[best]),
        board_hole_mm=float(judged.board_hole_mm[best]),
        explanation="",
    )
