"""How sure a drive is: travel, over-travel and force under the tolerances of board, print and servo."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import astuple

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from mounts.drive.closing import Closing, Linkage, closing
from mounts.drive.model import Drive, Limits, PushRodDrive, RockingWireDrive, RockingWireLimits
from mounts.drive.rod_closing import Rod, RodClosing, rod_closing
from mounts.drive.tolerances import rod_tolerances, shifted, shifted_rod, tolerances
from mounts.inputs.model import Model
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

SAMPLES = 4000
SEED = 1825


class Range(Model):
    """One quantity: its worst cases, and what nine mounts in ten will show."""

    low: float = Field(description="worst case, all tolerances and slack at their ends")
    nominal: float = Field(description="the drive's own figure")
    high: float = Field(description="worst case, no slack")
    percentile_5: float = Field(description="Monte Carlo")
    percentile_95: float = Field(description="Monte Carlo")


class Spread(Model):
    """Tolerance study of a drive. The low ends of over-travel and force have all slack taken up."""

    travel_mm: Range = Field(description="end to end, wire free, no slack")
    overtravel_mm: Range = Field(description="per side")
    force_n: Range = Field(description="at the blades, points closed")
    samples: int
    seed: int


def linkage(spec: MountSpec, limits: RockingWireLimits, drive: RockingWireDrive) -> Linkage:
    """The drive as a linkage, with the slack its holes have as drilled and printed."""
    return Linkage(
        theta_rad=np.radians(drive.swing_deg),
        throw_mm=spec.throw_mm,
        horn_radius_mm=drive.horn_radius_mm,
        pivot_to_horn_mm=drive.pivot_to_horn_mm,
        pivot_to_pin_mm=drive.pivot_to_pin_mm,
        horn_towards_pivot=drive.horn_towards_pivot,
        wire_mm=drive.wire_mm,
        modulus_mpa=drive.wire_modulus_mpa,
        pivot_slack_mm=limits.pivot_slack_mm,
        arm_slack_mm=drive.arm_hole_drill_mm - drive.wire_mm,
        pin_slack_mm=max(spec.tie_bar_hole_mm - drive.wire_mm, 0.0),
        held=drive.wire_held,
    )


def push_rod(spec: MountSpec, drive: PushRodDrive) -> Rod:
    """The drive as a push rod, with the slack its holes have as drilled."""
    return Rod(
        theta_rad=np.radians(drive.swing_deg),
        throw_mm=spec.throw_mm,
        horn_radius_mm=drive.horn_radius_mm,
        rod_length_mm=drive.rod_length_mm,
        offset_mm=drive.offset_mm,
        before_mm=drive.loop_at_mm - drive.loop_feet_mm / 2.0,
        half_gap_mm=drive.loop_feet_mm / 2.0,
        loop_radius_mm=drive.loop_radius_mm,
        leg_mm=drive.loop_leg_mm,
        wire_mm=drive.wire_mm,
        modulus_mpa=drive.wire_modulus_mpa,
        arm_slack_mm=drive.arm_hole_drill_mm - drive.wire_mm,
        pin_slack_mm=max(spec.tie_bar_hole_mm - drive.wire_mm, 0.0),
    )


def spread(spec: MountSpec, limits: Limits, drive: Drive, *, samples: int = SAMPLES, seed: int = SEED) -> Spread:
    """Worst case and Monte Carlo of a drive under ``mounts.drive.tolerances``.

    The worst case tries every combination of low, middle and high of each tolerance (a force need not
    be largest at an end). The Monte Carlo draws each from a triangle over the same width, mode in the
    middle, seeded: the same request gives the same figures.

    Args:
        spec: the request, for throw, board and tolerances.
        limits: of the drive's kind, for the slack of a pivot.
        drive: the drive as solved.
        samples: draws of the Monte Carlo.
        seed: of its generator.

    Raises:
        TypeError: limits and drive are of different kinds.
    """
    if isinstance(drive, PushRodDrive):
        rod, highs = push_rod(spec, drive), np.array(astuple(rod_tolerances(spec)))
        return _study(lambda shifts: _closed_rod(rod, shifts), -highs, highs, samples, seed)
    if not isinstance(limits, RockingWireLimits):
        raise TypeError("limits and drive are of different kinds")
    link = linkage(spec, limits, drive)
    under, *others = astuple(tolerances(spec))
    highs = np.array(others)
    lows = np.array([-under, *-highs[1:]])
    return _study(lambda shifts: _closed_wire(link, shifts), lows, highs, samples, seed)


def _study(
    closed: Callable[[Array], Closing | RodClosing], lows: Array, highs: Array, samples: int, seed: int
) -> Spread:
    """Corners and draws over the box between ``lows`` and ``highs`` (n,), closed by a function of (m, n)."""
    middle = np.zeros_like(highs)
    corners = np.array(list(itertools.product(*np.stack([lows, middle, highs], axis=1))))
    unit = np.random.default_rng(seed).triangular(-1.0, 0.0, 1.0, size=(samples, highs.size))
    drawn = np.where(unit < 0.0, -unit * lows, unit * highs)
    worst, seen, exact = closed(corners), closed(drawn), closed(middle[None, :])
    return Spread(
        travel_mm=_range(worst.travel_mm, worst.travel_mm, seen.travel_mm, exact.travel_mm),
        overtravel_mm=_range(
            worst.overtravel_mm - worst.lost_motion_mm / 2.0,
            worst.overtravel_mm,
            seen.overtravel_mm - seen.lost_motion_mm / 2.0,
            exact.overtravel_mm,
        ),
        force_n=_range(worst.force_after_slack_n, worst.force_n, seen.force_after_slack_n, exact.force_n),
        samples=samples,
        seed=seed,
    )


def _closed_wire(link: Linkage, shifts: Array) -> Closing:
    """Closed points under (m, 5) shifts of board, shaft, arm hole, arm angle and slack."""
    board, shaft, radius, theta, slack = shifts.T
    return closing(shifted(link, board_mm=board, shaft_mm=shaft, radius_mm=radius, theta_rad=theta, slack_mm=slack))


def _closed_rod(rod: Rod, shifts: Array) -> RodClosing:
    """Closed points under (m, 4) shifts of arm hole, arm angle, loop leg and crown."""
    radius, theta, leg, crown = shifts.T
    return rod_closing(shifted_rod(rod, radius_mm=radius, theta_rad=theta, leg_mm=leg, crown_mm=crown))


def _range(least: Array, most: Array, seen: Array, nominal: Array) -> Range:
    low, high = np.percentile(seen, [5.0, 95.0])
    return Range(
        low=float(least.min()),
        nominal=float(nominal[0]),
        high=float(most.max()),
        percentile_5=float(low),
        percentile_95=float(high),
    )
