"""A rocking wire with its points closed: travel, what slack takes, force, stress and torque at full swing.

Results are float64 of the shape that the fields of the linkage broadcast to.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.drive.rocking_wire.elastic_line import ElasticLine
from mounts.drive.rocking_wire.kinematics import pin_offset_mm, pin_rate_mm_per_rad, turning_back_rad
from mounts.drive.spring import Held, free_offset_mm, wire_loads, wire_rate_n_per_mm

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
    force_n: Array  # no slack: rate × over-travel
    force_after_slack_n: Array  # at the blades with all slack taken up, the lean counted; may be negative
    stress_pivot_mpa: Array
    stress_horn_mpa: Array  # without the curvature of a clamped wire's Z-bend
    torque_nmm: Array
    lean_rad: Array  # lean of the unloaded wire at the pivot, over-travel included

    @property
    def stronger_force_n(self) -> Array:
        """At the end that is pressed more: both alike."""
        return self.force_after_slack_n


def lost_motion_mm(link: Linkage) -> Array:
    """What the slack of pivot, arm hole and tie-bar hole takes off the whole travel, mm.

    Domain: the lever of mid swing, d; at the end of the swing it differs by r·(1 − cos θ), some per cent of the
    lever. ``mounts.drive.ranking`` and the check ``lost-motion`` hold it to a share of the travel.

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
    return free_offset_mm(
        _arm_offset_mm(link),
        arm_slope_rad=arm_slope_rad(link),
        span_mm=elastic_line(link, 0.0).span_mm(link.theta_rad),
        overhang_mm=link.pivot_to_pin_mm,
        held=link.held,
    )


def free_rate_mm_per_rad(link: Linkage) -> Array:
    """Way of the unloaded pin over that of the arm at +θ, mm per rad; the derivative of ``free_pin_mm``."""
    straight = pin_rate_mm_per_rad(
        link.theta_rad,
        horn_radius_mm=link.horn_radius_mm,
        pivot_to_horn_mm=link.pivot_to_horn_mm,
        pivot_to_pin_mm=link.pivot_to_pin_mm,
        horn_towards_pivot=link.horn_towards_pivot,
    )
    if link.held == "turning":
        return straight
    sense = np.where(link.horn_towards_pivot, 1.0, -1.0)
    return np.asarray((3.0 * straight + sense * np.asarray(link.pivot_to_pin_mm)) / 2.0)


def past_touch_rad(link: Linkage) -> Array:
    """How far the arm turns on from where the blade touches, all slack taken up, to full swing, rad.

    Two steps of Newton's from the end; they leave less than 0.001°. Negative where the blade is not touched; NaN
    where it could not be before the travel turns back.
    """
    touch = (np.asarray(link.throw_mm) + lost_motion_mm(link)) / 2.0
    at = link
    for _ in range(2):
        at = turned(at, np.asarray(at.theta_rad) - (free_pin_mm(at) - touch) / free_rate_mm_per_rad(at))
    return np.asarray(np.asarray(link.theta_rad) - at.theta_rad)


def turned(link: Linkage, theta_rad: ArrayLike) -> Linkage:
    """The linkage at another arm angle; NaN where the travel has turned back there."""
    turning = turning_back_rad(link.horn_radius_mm, link.pivot_to_horn_mm, link.horn_towards_pivot)
    return replace(link, theta_rad=np.where(np.abs(theta_rad) < turning, theta_rad, np.nan))


def arm_slope_rad(link: Linkage) -> Array:
    """Turn of a clamped end at +θ, positive where it adds to the chord's slope."""
    theta = np.asarray(link.theta_rad, dtype=np.float64)
    return np.where(link.horn_towards_pivot, theta, -theta)


def _arm_offset_mm(link: Linkage) -> Array:
    return np.asarray(np.asarray(link.horn_radius_mm) * np.sin(link.theta_rad))


def elastic_line(link: Linkage, slack_mm: ArrayLike) -> ElasticLine:
    """The wire at +θ, its pin stopped at half the throw and half of that slack."""
    return ElasticLine(
        theta_rad=link.theta_rad,
        stop_mm=(np.asarray(link.throw_mm, dtype=np.float64) + np.asarray(slack_mm)) / 2.0,
        horn_radius_mm=link.horn_radius_mm,
        pivot_to_horn_mm=link.pivot_to_horn_mm,
        pivot_to_pin_mm=link.pivot_to_pin_mm,
        horn_towards_pivot=link.horn_towards_pivot,
        wire_mm=link.wire_mm,
        modulus_mpa=link.modulus_mpa,
        held=link.held,
    )


def closing(link: Linkage) -> Closing:
    """The points held closed at the half swing θ.

    travel = 2·y(θ); over-travel δ = (travel − throw)/2; F = k·δ, the handbook's. Slack takes half the lost motion
    off δ at either end; what is then left at the blades is that of ``elastic_line``. Stress and torque are those
    without slack, the larger ones.

    Raises:
        ValueError: an angle at or beyond the turning-back angle of a turning wire.

    Source:
        brief.md, 3.1; beams of ``mounts.drive.spring`` and ``mounts.drive.rocking_wire.elastic_line``.
    """
    offset, lost = free_pin_mm(link), lost_motion_mm(link)
    overtravel = offset - np.asarray(link.throw_mm) / 2.0
    span, overhang = link.pivot_to_horn_mm, link.pivot_to_pin_mm
    rate = wire_rate_n_per_mm(
        wire_mm=link.wire_mm, modulus_mpa=link.modulus_mpa, span_mm=span, overhang_mm=overhang, held=link.held
    )
    loads = wire_loads(
        rate * overtravel,
        arm_offset_mm=_arm_offset_mm(link),
        arm_slope_rad=arm_slope_rad(link),
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
        force_after_slack_n=elastic_line(link, lost).force_n(),
        stress_pivot_mpa=loads.stress_pivot_mpa,
        stress_horn_mpa=loads.stress_horn_mpa,
        torque_nmm=elastic_line(link, 0.0).torque_nmm(),
        lean_rad=np.arctan2(offset, overhang),
    )
