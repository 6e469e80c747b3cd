"""A push rod with its points closed: travel, what slack takes, force, crown stress and torque at full swing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.drive.loop import loop_rate_n_per_mm, loop_stress_mpa
from mounts.drive.push_rod import rod_lean_rad, rod_pin_offset_mm, rod_rate_mm_per_rad

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Rod:
    """One push rod with its loop, or many at once: fields are scalars or arrays that broadcast. mm, rad, MPa."""

    theta_rad: ArrayLike  # half swing, > 0
    throw_mm: ArrayLike
    horn_radius_mm: ArrayLike
    rod_length_mm: ArrayLike
    offset_mm: ArrayLike
    leg_mm: ArrayLike
    loop_radius_mm: ArrayLike
    wire_mm: ArrayLike
    modulus_mpa: ArrayLike
    arm_slack_mm: ArrayLike
    pin_slack_mm: ArrayLike


class RodClosing(NamedTuple):
    """At full swing; every field broadcasts over the fields of the rod."""

    travel_mm: Array  # pin, end to end, loop unloaded, no slack
    lost_motion_mm: Array  # of the whole travel, all slack taken up
    overtravel_mm: Array  # a side, no slack; negative: the points do not close
    rate_n_per_mm: Array
    force_n: Array  # no slack
    force_after_slack_n: Array
    stress_mpa: Array
    torque_nmm: Array
    middle_mm: Array  # pin half way between its ends, less the pin at θ = 0
    lean_rad: Array  # largest of mid and ends, unsigned


def ends_mm(rod: Rod) -> tuple[Array, Array]:
    """The unloaded pin at −θ and +θ, from where it is at mid swing, mm."""
    linkage = {
        "horn_radius_mm": rod.horn_radius_mm,
        "rod_length_mm": rod.rod_length_mm,
        "offset_mm": rod.offset_mm,
    }
    theta = np.asarray(rod.theta_rad, dtype=np.float64)
    return rod_pin_offset_mm(-theta, **linkage), rod_pin_offset_mm(theta, **linkage)


def rod_closing(rod: Rod) -> RodClosing:
    """The points held closed at the half swing θ.

    travel = y(θ) − y(−θ); δ = (travel − throw)/2 a side, mid throw being put half way; F = k·δ of the loop.
    A clearance of arm or tie-bar hole is lost once over the whole travel. The servo holds F·|dy/dθ|, the
    larger of both ends.

    Raises:
        ValueError: the rod does not reach the slide line.

    Source:
        brief.md, 3.2; loop of ``mounts.drive.loop``; torque by virtual work.
    """
    near, far = ends_mm(rod)
    rate = loop_rate_n_per_mm(
        leg_mm=rod.leg_mm, radius_mm=rod.loop_radius_mm, wire_mm=rod.wire_mm, modulus_mpa=rod.modulus_mpa
    )
    overtravel = (far - near - np.asarray(rod.throw_mm)) / 2.0
    lost = np.asarray(rod.arm_slack_mm) + np.asarray(rod.pin_slack_mm)
    force = rate * overtravel
    theta = np.asarray(rod.theta_rad, dtype=np.float64)
    linkage = {
        "horn_radius_mm": rod.horn_radius_mm,
        "rod_length_mm": rod.rod_length_mm,
        "offset_mm": rod.offset_mm,
    }
    levers = [np.abs(rod_rate_mm_per_rad(angle, **linkage)) for angle in (-theta, theta)]
    leans = [np.abs(rod_lean_rad(angle, **linkage)) for angle in (0.0, theta)]
    return RodClosing(
        travel_mm=far - near,
        lost_motion_mm=np.asarray(lost, dtype=np.float64),
        overtravel_mm=overtravel,
        rate_n_per_mm=rate,
        force_n=force,
        force_after_slack_n=rate * (overtravel - lost / 2.0),
        stress_mpa=np.abs(loop_stress_mpa(force, leg_mm=rod.leg_mm, radius_mm=rod.loop_radius_mm, wire_mm=rod.wire_mm)),
        torque_nmm=np.abs(force) * np.maximum(*levers),
        middle_mm=(near + far) / 2.0,
        lean_rad=np.asarray(np.maximum(*leans)),
    )
