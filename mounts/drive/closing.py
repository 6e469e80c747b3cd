"""A rocking wire with its points closed: travel, what slack takes, force, stress and torque at full swing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.drive.rocking_wire import pin_offset_mm
from mounts.drive.spring import Held, arm_torque_nmm, free_offset_mm, wire_loads, wire_rate_n_per_mm

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Linkage:
    """One linkage, or many at once: fields are scalars or arrays that broadcast. mm, rad, MPa."""

    theta_rad: ArrayLike  # half swing, > 0
    throw_mm: ArrayLike
    horn_radius_mm: ArrayLike
    pivot_to_horn_mm: ArrayLike  # d, at mid swing
    pivot_to_pin_mm: ArrayLike  # h
    horn_towards_pivot: ArrayLike
    wire_mm: ArrayLike
    modulus_mpa: ArrayLike
    pivot_slack_mm: ArrayLike
    arm_slack_mm: ArrayLike
    pin_slack_mm: ArrayLike
    held: Held


class Closing(NamedTuple):
    """At full swing; every field broadcasts over the fields of the linkage."""

    travel_mm: Array  # pin, end to end, wire free, no slack
    lost_motion_mm: Array  # of the whole travel, all slack taken up
    overtravel_mm: Array  # a side, no slack; negative: the points do not close
    rate_n_per_mm: Array
    force_n: Array  # no slack
    force_after_slack_n: Array  # what is left at the blades with all slack taken up; may be negative
    stress_pivot_mpa: Array
    stress_horn_mpa: Array
    torque_nmm: Array
    tilt_rad: Array  # lean of the unloaded wire at the pivot, over-travel included


def lost_motion_mm(link: Linkage) -> Array:
    """What the slack of pivot, arm hole and tie-bar hole takes off the whole travel, mm.

    Under load the wire lies against one side of each hole and changes sides between the two ends. Turning:
    a shift of the pivot counts 1 + a/L times at the pin, of the arm hole a/L, of the tie bar's once.
    Clamped: 1 + 1.5·a/L, nothing at the arm, once.

    Source:
        Lever of the straight wire, and the free-tip ratios of standards.md, 6; own derivation.
    """
    lever = np.asarray(link.pivot_to_pin_mm, dtype=np.float64) / np.asarray(link.pivot_to_horn_mm)
    pivot, pin = np.asarray(link.pivot_slack_mm), np.asarray(link.pin_slack_mm)
    if link.held == "clamped":
        return np.asarray(pivot * (1.0 + 1.5 * lever) + pin)
    return np.asarray(pivot * (1.0 + lever) + np.asarray(link.arm_slack_mm) * lever + pin)


def free_pin_mm(link: Linkage) -> Array:
    """Pin offset of the unloaded wire at +θ, mm: exact if turning, small-deflection if clamped."""
    if link.held == "turning":
        return pin_offset_mm(
            link.theta_rad,
            horn_radius_mm=link.horn_radius_mm,
            pivot_to_horn_mm=link.pivot_to_horn_mm,
            pivot_to_pin_mm=link.pivot_to_pin_mm,
            horn_towards_pivot=link.horn_towards_pivot,
        )
    theta = np.asarray(link.theta_rad, dtype=np.float64)
    return free_offset_mm(
        np.asarray(link.horn_radius_mm) * np.sin(theta),
        arm_slope_rad=np.where(link.horn_towards_pivot, theta, -theta),
        span_mm=link.pivot_to_horn_mm,
        overhang_mm=link.pivot_to_pin_mm,
        held=link.held,
    )


def closing(link: Linkage) -> Closing:
    """The points held closed at the half swing θ.

    travel = 2·y(θ); over-travel δ = (travel − throw)/2; F = k·δ. Slack takes half the lost motion off δ at
    either end. Stress and torque are those without slack, the larger ones.

    Raises:
        ValueError: an angle at or beyond the turning-back angle of a turning wire.

    Source:
        brief.md, 3.1; beams of ``mounts.drive.spring``.
    """
    offset, lost = free_pin_mm(link), lost_motion_mm(link)
    overtravel = offset - np.asarray(link.throw_mm) / 2.0
    span, overhang = link.pivot_to_horn_mm, link.pivot_to_pin_mm
    rate = wire_rate_n_per_mm(
        wire_mm=link.wire_mm, modulus_mpa=link.modulus_mpa, span_mm=span, overhang_mm=overhang, held=link.held
    )
    theta = np.asarray(link.theta_rad, dtype=np.float64)
    loads = wire_loads(
        rate * overtravel,
        horn_offset_mm=np.asarray(link.horn_radius_mm) * np.sin(theta),
        arm_slope_rad=np.where(link.horn_towards_pivot, theta, -theta),
        wire_mm=link.wire_mm,
        modulus_mpa=link.modulus_mpa,
        span_mm=span,
        overhang_mm=overhang,
        held=link.held,
    )
    return Closing(
        travel_mm=2.0 * offset,
        lost_motion_mm=lost,
        overtravel_mm=overtravel,
        rate_n_per_mm=rate,
        force_n=loads.force_n,
        force_after_slack_n=rate * (overtravel - lost / 2.0),
        stress_pivot_mpa=loads.stress_pivot_mpa,
        stress_horn_mpa=loads.stress_horn_mpa,
        torque_nmm=arm_torque_nmm(
            loads, horn_radius_mm=link.horn_radius_mm, horn_towards_pivot=link.horn_towards_pivot
        ),
        tilt_rad=np.arctan2(offset, overhang),
    )
