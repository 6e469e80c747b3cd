"""Chooses arm hole, wire, swing and pivot depth of a rocking wire."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from mounts.drive.candidates import deadliest, explain, survivors
from mounts.drive.field import Field, field
from mounts.drive.judge import Judged, judge
from mounts.drive.model import RockingWireDrive, RockingWireLimits
from mounts.drive.pulse import pulse_widths
from mounts.drive.spring import SMALL_DEFLECTION, deflection_ratio
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

COMFORTABLE_SWING_DEG = 32.0
"""Where a half swing costs nothing: fine steps at the pin, little side load. Common practice, no source."""


def attempt_rocking_wire(spec: MountSpec, limits: RockingWireLimits) -> RockingWireDrive | str:
    """The best drive; or, where no candidate survives, the line that says why (``candidates.explain``)."""
    candidates = field(spec, limits)
    judged = judge(candidates, spec, limits)
    alive = np.flatnonzero(survivors(judged.limits))
    if not alive.size:
        return explain(judged.limits, lambda index: _words(candidates, index))
    cost = costs(candidates, judged, spec, limits)
    total = np.sum(list(cost.values()), axis=0)[alive]
    order = alive[np.argsort(total, kind="stable")]
    return _drive(spec, limits, candidates, judged, order, cost)


def possible_rocking_wire(spec: MountSpec, limits: RockingWireLimits) -> bool:
    """Whether a part of the field, a ninth, holds a drive: quick, and a yes is certain."""
    return bool(survivors(judge(field(spec, limits, stride=3), spec, limits).limits).any())


def costs(candidates: Field, judged: Judged, spec: MountSpec, limits: RockingWireLimits) -> dict[str, Array]:
    """What speaks against each candidate, by name, each (n,) and about 0 to 1; the least sum wins.

    * swing: (θ − 32°)/20° squared.
    * force: distance of the force, between slack and no slack, from the middle of the wanted band, in
      half bands (logarithmic), squared.
    * spread: worst-case force outside the band, either side, as a share of that edge.
    * stress: share of the limit, squared, and once more what is above the warning.
    * depth: per 40 mm, for a deep bracket is slow to print and limber.
    * lost motion: share of the throw.
    * lean: what small-deflection theory flags, tenfold.
    * torque: 3/margin, a quarter of it.
    * drilling: 0.1 where the arm's hole must be opened.
    """
    closed, link = judged.closed, candidates.link
    radius, span, theta = candidates.arrays()
    low, high = spec.force_n
    with np.errstate(invalid="ignore", divide="ignore"):
        felt = np.sqrt(np.maximum(closed.force_n * closed.force_after_slack_n, 1e-12))
        stress = np.maximum(closed.stress_pivot_mpa, closed.stress_horn_mpa) / candidates.tensile_mpa
        bent = deflection_ratio(
            radius * np.sin(theta), closed.overtravel_mm, span_mm=span, overhang_mm=link.pivot_to_pin_mm
        )
        return {
            "swing": ((np.degrees(theta) - COMFORTABLE_SWING_DEG) / 20.0) ** 2,
            "force": (np.log(felt / math.sqrt(low * high)) / max(math.log(high / low) / 2.0, 0.05)) ** 2,
            "spread": np.maximum(judged.high_force_n / high - 1.0, 0.0)
            + np.maximum(1.0 - judged.low_force_n / low, 0.0),
            "stress": (stress / spec.wire.stress_limit) ** 2 + np.maximum(stress / spec.wire.stress_warn - 1.0, 0.0),
            "depth": judged.depth_mm / 40.0,
            "lost motion": closed.lost_motion_mm / spec.throw_mm,
            "lean": 10.0 * np.maximum(bent - SMALL_DEFLECTION, 0.0),
            "torque": 3.0 * closed.torque_nmm / spec.servo.stall_torque_nmm / 4.0,
            "drilling": np.where(candidates.drill_mm > spec.servo.horn_hole_mm + 1e-9, 0.1, 0.0),
        }


def _words(candidates: Field, index: int) -> str:
    radius, _, _ = candidates.arrays()
    return f"the {np.asarray(candidates.link.wire_mm)[index]:g} mm wire in the {radius[index]:g} mm arm hole"


def _explanation(
    spec: MountSpec, candidates: Field, judged: Judged, order: NDArray[np.int64], cost: dict[str, Array]
) -> str:
    best, closed = int(order[0]), judged.closed
    radius, span, theta = candidates.arrays()
    name, count, total = deadliest(judged.limits)
    text = (
        f"{_words(candidates, best).capitalize()} with {span[best]:.2f} mm from pivot to hole presses "
        f"the blades with {closed.force_after_slack_n[best]:.2f} to {closed.force_n[best]:.2f} N at a half "
        f"swing of {math.degrees(theta[best]):.1f}°, of {spec.force_n[0]:g} to {spec.force_n[1]:g} N wanted. "
        f"{order.size} of {total} candidates were sound; the limit '{name}' removed most, {count}."
    )
    wire = np.asarray(candidates.link.wire_mm)
    others = [int(i) for i in order if (radius[i], wire[i]) != (radius[best], wire[best])]
    if others:
        second = others[0]
        reason = max(cost, key=lambda term: float(cost[term][second] - cost[term][best]))
        text += f" Next best was {_words(candidates, second)}, behind in {reason}."
    return text


def _drive(
    spec: MountSpec,
    limits: RockingWireLimits,
    candidates: Field,
    judged: Judged,
    order: NDArray[np.int64],
    cost: dict[str, Array],
) -> RockingWireDrive:
    best = int(order[0])
    at = {key: float(np.asarray(value)[best]) for key, value in judged.closed._asdict().items()}
    radius, span, theta = (float(values[best]) for values in candidates.arrays())
    wire_mm = float(np.asarray(candidates.link.wire_mm)[best])
    modulus_mpa = float(np.asarray(candidates.link.modulus_mpa)[best])
    towards = bool(np.asarray(candidates.link.horn_towards_pivot)[best])
    dead_band = float(judged.dead_band_mm[best])
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
        tilt_deg=math.degrees(at["tilt_rad"]),
        pivot_bore_mm=wire_mm + limits.pivot_slack_mm,
        pivot_land_mm=float(judged.land_mm[best]),
        board_hole_mm=float(judged.board_hole_mm[best]),
        explanation=_explanation(spec, candidates, judged, order, cost),
    )
