"""What each candidate of a lift does: angles, force at a stop, buckling, stress, holes; arrays are (n,)."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.drive.bends import curvature_factor
from mounts.drive.lift import kinematics
from mounts.drive.lift.field import BEND_AIR_MM, Field, passing
from mounts.drive.lift.rules import LEAST_STALL_MARGIN, LEAST_STOP_MARGIN
from mounts.drive.lift.spring import BENT_MM, folding_n, leg_for_mm, shape_mm3
from mounts.drive.pulse import room_us
from mounts.drive.spring import second_moment_mm4
from mounts.inputs import fits

Array = NDArray[np.float64]

LEAST_LEG_MM = 2.0  # of the spring bend; common practice, no source
STEP_US = 10.0
"""By which an end is found: the arm goes past the touch by at most that, half a dead band, and what is not seen."""

SEEN_MM = 0.1
"""± to which the eye sees that a part touches its stop. Common practice, no source."""

WEAKEST_N = 0.15
"""The spring bend is never softer than that a mm: friction and weight would bend it. Common practice, no source."""

UNSET_MM = 0.3
"""Of a second rod, that follows the first's pulses: the eye at the end where it is set, and at the other what both
cranks and arm holes differ by, each a twentieth, over 3 mm of lift. Common practice, no source."""

OFF_MM = 0.5
"""± of the rod's length as bent and fitted, trimmed away by the pulses. Common practice, no source."""


@dataclass(frozen=True)
class Done:
    """What each candidate does; arrays (n,)."""

    swing_deg: Array
    rate_mm_per_rad: Array  # of the rod's end, where it is fastest
    crank_deg_per_mm: Array  # where it is most, infinite at a dead point; 0 without a crank
    transmission_deg: Array  # NaN without a crank
    arm_transmission_deg: Array
    leg: Array
    rate: Array
    overrun: Array
    stop: Array
    fault: Array
    folding: Array
    before: Array
    after: Array
    stress_mpa: Array
    side_mpa: Array
    lean_deg: Array
    guide: Array
    board_hole: Array
    gap_left: Array
    apart: Array
    torque: Array
    travel: Array


def done(field: Field) -> Done:
    """Everything that follows from a field."""
    spec, limits, asked = field.spec, field.limits, field.asked
    servo, arm = spec.servo, field.between()
    (hole_y, hole_z), (end_y, end_z) = field.hole(arm), field.end(arm)
    shaft = field.shaft_y[:, None], field.shaft_z[:, None]
    arm_angle = np.degrees(kinematics.between_rad(shaft, (hole_y, hole_z), (end_y, end_z))).min(axis=1)
    step = 1e-5
    ahead = field.end(arm + step), field.end(arm - step)
    way = np.hypot(ahead[0][0] - ahead[1][0], ahead[0][1] - ahead[1][1]) / (2.0 * step)
    rate_mm = way.max(axis=1)
    if asked.crank_mm is None:
        transmission, per_mm = np.full(field.radius.size, np.nan), np.zeros(field.radius.size)
    else:
        angle = kinematics.between_rad((hole_y, hole_z), (end_y, end_z), field.pivot)
        transmission = np.degrees(angle).min(axis=1)
        with np.errstate(divide="ignore"):  # without bound at a dead point
            per_mm = np.degrees(1.0 / (asked.crank_mm * np.sin(np.radians(transmission))))
    stiffness = field.modulus * second_moment_mm4(field.wire)
    per_us = math.radians(servo.degrees_per_us) * rate_mm
    overrun = per_us * (STEP_US + servo.dead_band_us / 2.0) + SEEN_MM + (_missed_mm(field) if field.follows else 0.0)
    softest = np.maximum(0.9 * asked.stop_n / overrun, WEAKEST_N)
    leg = field.leg
    if leg is None:
        leg = leg_for_mm(
            softest,
            stiffness_nmm2=stiffness,
            crown_mm=field.crown,
            least_mm=np.maximum(LEAST_LEG_MM, field.foot + BEND_AIR_MM),
        )
    rate = stiffness / shape_mm3(leg, field.crown)
    stop = rate * overrun
    fault, gap_left = _at_fault(field, rate)
    high = hole_z.max(axis=1)
    before = 2.0 * field.foot + BEND_AIR_MM + field.crown
    after = limits.guide_z[0] - hole_z.min(axis=1) - before
    folding = folding_n(
        stiffness_nmm2=stiffness, leg_mm=leg, crown_mm=field.crown, before_mm=before, after_mm=np.maximum(after, 0.1)
    )
    moment = (stop + asked.weight_n) * (leg + field.crown)
    modulus = np.pi * field.wire**3 / 32.0
    stress = curvature_factor(field.crown, field.wire) * moment / modulus
    free = limits.guide_z[0] - high
    aside = np.abs(hole_y).max(axis=1)
    slid = asked.crank_mm is None
    side = 3.0 * field.modulus * (field.wire / 2.0) * aside / free**2 if slid else np.zeros_like(free)
    lean = np.degrees(np.arctan2(np.abs(end_y - hole_y), end_z - hole_z)).max(axis=1)
    widest = [np.maximum(*np.abs(passing(field, z))) for z in limits.guide_z]
    guide = field.wire + 2.0 * np.maximum(*widest) + fits.PIVOT.air_mm(spec.printer)
    in_board = [np.maximum(*np.abs(passing(field, z))) for z in (-spec.board.thickness_mm, spec.roadbed.thickness_mm)]
    beside = fits.BOARD_HOLE.own_mm + OFF_MM
    hole = np.ceil(2.0 * (field.wire + 2.0 * (np.maximum(*in_board) + beside) + 2.0 * fits.PIVOT.air_mm(spec.printer)))
    apart = np.pi * np.sqrt(
        stiffness / np.maximum(LEAST_STALL_MARGIN * fault, LEAST_STOP_MARGIN * (stop + asked.weight_n))
    )
    travel = end_z.max(axis=1) - end_z.min(axis=1)
    return Done(
        swing_deg=np.degrees(np.abs(field.arm - field.mid[:, None]).max(axis=1)), rate_mm_per_rad=rate_mm,
        crank_deg_per_mm=per_mm, transmission_deg=transmission, arm_transmission_deg=arm_angle, leg=leg, rate=rate,
        overrun=overrun, stop=stop, fault=fault, folding=folding, before=before, after=after, stress_mpa=stress,
        side_mpa=side, lean_deg=lean, guide=guide, board_hole=hole / 2.0, gap_left=gap_left, apart=apart,
        torque=(stop + asked.weight_n) * rate_mm, travel=travel,
    )  # fmt: skip


def _missed_mm(field: Field) -> Array:
    """How far a rod that follows another may be from its place where that is at its own, (n,)."""
    off = np.abs(field.off()).max(axis=1)
    return np.asarray(UNSET_MM + (off if field.asked.crank_mm is None else field.asked.crank_mm * np.radians(off)))


def _at_fault(field: Field, rate: Array) -> tuple[Array, Array]:
    """What reaches the rod when a pulse sends the arm to the servo's end against a stop, N; and the bend's gap then.

    The bend gives with its rate, up or down; where its feet meet on the way up, the servo stalls on the rod.
    """
    servo = field.spec.servo
    room = math.radians(room_us(servo) * servo.degrees_per_us)
    sine = np.sin(field.arm)
    up = field.radius * (np.sin(np.minimum(field.mid + room, math.pi / 2)) - sine.max(axis=1))
    down = field.radius * (sine.min(axis=1) - np.sin(np.maximum(field.mid - room, -math.pi / 2)))
    gap = 2.0 * field.crown - field.wire - BENT_MM - np.maximum(up, 0.0)
    stalled = servo.stall_torque_nmm / field.radius
    pushed = np.where(gap > 0.0, np.minimum(rate * np.maximum(up, 0.0), stalled), stalled)
    return np.maximum(pushed, np.minimum(rate * np.maximum(down, 0.0), stalled)), gap
