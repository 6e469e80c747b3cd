"""What may be off in board, print and servo, and a linkage shifted by it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from mounts.drive.closing import Linkage
from mounts.drive.rod_closing import Rod
from mounts.inputs.spec import MountSpec


@dataclass(frozen=True)
class Tolerances:
    """Half widths, symmetric unless two are named.

    The servo's map of µs to degrees is taken as calibrated: a gain that is off by some per cent is put
    right with the two end pulses, which the dead band then scatters.
    """

    board_under_mm: float
    board_over_mm: float
    shaft_mm: float  # pivot to shaft: print and case
    horn_radius_mm: float  # shaft to arm hole, as measured
    theta_rad: float  # the dead band, as arm angle
    pivot_slack_mm: float  # bore as printed


def tolerances(spec: MountSpec) -> Tolerances:
    """Those of the profiles: board over and under, printer accuracy, servo tolerance and dead band."""
    servo, accuracy_mm = spec.servo, spec.printer.accuracy_mm
    return Tolerances(
        board_under_mm=spec.board.under_mm,
        board_over_mm=spec.board.over_mm,
        shaft_mm=accuracy_mm + servo.tolerance_mm / 2.0,  # a case too wide shifts the shaft by half of it
        horn_radius_mm=servo.tolerance_mm,
        theta_rad=math.radians(servo.dead_band_us * servo.degrees_per_us),
        pivot_slack_mm=accuracy_mm,
    )


def shifted(
    link: Linkage,
    *,
    board_mm: ArrayLike,
    shaft_mm: ArrayLike,
    radius_mm: ArrayLike,
    theta_rad: ArrayLike,
    slack_mm: ArrayLike,
) -> Linkage:
    """The linkage as it comes out: signed shifts of board, shaft, arm hole, arm angle and pivot bore.

    The mount fixes the distance from pivot to shaft, D = d + s·r, so a longer arm shortens d (arm towards
    the pivot). A bore never gets tighter than the wire.
    """
    sign = np.where(link.horn_towards_pivot, 1.0, -1.0)
    return replace(
        link,
        theta_rad=np.asarray(link.theta_rad) + theta_rad,
        horn_radius_mm=np.asarray(link.horn_radius_mm) + radius_mm,
        pivot_to_horn_mm=np.asarray(link.pivot_to_horn_mm) + shaft_mm - sign * np.asarray(radius_mm),
        pivot_to_pin_mm=np.asarray(link.pivot_to_pin_mm) + board_mm,
        pivot_slack_mm=np.maximum(np.asarray(link.pivot_slack_mm) + slack_mm, 0.0),
    )


HAND_BENT_MM = 0.3
"""± of a leg or crown bent by hand round a former. Common practice, no source."""


@dataclass(frozen=True)
class RodTolerances:
    """Half widths for a push rod. Its length is trimmed with the centre pulse and does not count."""

    horn_radius_mm: float
    theta_rad: float
    leg_mm: float
    crown_mm: float  # its radius, and half the gap of the feet


def rod_tolerances(spec: MountSpec) -> RodTolerances:
    """Those of the servo, and of a loop bent by hand."""
    servo = spec.servo
    dead_band_rad = math.radians(servo.dead_band_us * servo.degrees_per_us)
    return RodTolerances(servo.tolerance_mm, dead_band_rad, HAND_BENT_MM, HAND_BENT_MM)


def shifted_rod(rod: Rod, *, radius_mm: ArrayLike, theta_rad: ArrayLike, leg_mm: ArrayLike, crown_mm: ArrayLike) -> Rod:
    """The push rod as it comes out: signed shifts of arm hole, arm angle, loop legs, and crown with its feet."""
    return replace(
        rod,
        horn_radius_mm=np.asarray(rod.horn_radius_mm) + radius_mm,
        theta_rad=np.asarray(rod.theta_rad) + theta_rad,
        leg_mm=np.maximum(np.asarray(rod.leg_mm) + leg_mm, 0.0),
        loop_radius_mm=np.asarray(rod.loop_radius_mm) + crown_mm,
        half_gap_mm=np.asarray(rod.half_gap_mm) + crown_mm,
    )
