"""The limits of a rocking wire, by name, over a whole field of candidates."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.drive.candidates import Limit, at_least, at_most
from mounts.drive.closing import Closing, closing
from mounts.drive.field import Field
from mounts.drive.model import RockingWireLimits
from mounts.drive.pulse import dead_band_mm
from mounts.drive.rocking_wire import pin_rate_mm_per_rad
from mounts.drive.spring import SMALL_DEFLECTION
from mounts.drive.tolerances import shifted, tolerances
from mounts.drive.trial import Trial, shared_limits
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

TILT_MARGIN_DEG = 2.0
"""Added to the wire's lean when the pivot's land is sized, so that it never binds."""


@dataclass(frozen=True)
class Judged:
    """A field, what each candidate does and every limit it was held against; arrays are (n,)."""

    closed: Closing
    trial: Trial
    depth_mm: Array
    land_mm: Array
    board_hole_mm: Array
    limits: tuple[Limit, ...]


def land_mm(tilt_rad: Array, limits: RockingWireLimits) -> Array:
    """Longest land of the pivot in which the wire can lean that far, mm, at most the pivot's drop.

    t = (D − w)/tan(tilt + margin); the land lies half above and half below the pivot, so that more than
    the drop would leave no cone on the board's side.
    """
    longest = limits.pivot_slack_mm / np.tan(tilt_rad + np.radians(TILT_MARGIN_DEG))
    return np.asarray(np.minimum(longest, limits.pivot_drop_mm))


def board_hole_mm(tilt_rad: Array, wire_mm: Array, spec: MountSpec, limits: RockingWireLimits) -> Array:
    """Drill for the hole through board and roadbed, mm, up to the next half.

    The wire leans most while its pin is free; bent by the closed blade it stays inside that straight
    line. It is furthest out where it leaves the roadbed, the thickest board assumed.
    """
    top = limits.pivot_drop_mm + spec.board.thickness_mm + spec.board.over_mm + spec.roadbed.thickness_mm
    hole = 2.0 * top * np.tan(tilt_rad) + wire_mm + 2.0 * limits.board_hole_clearance_mm
    return np.asarray(np.ceil(hole * 2.0 - 1e-9) / 2.0)


def worst_cases(candidates: Field, spec: MountSpec) -> tuple[Closing, Array, Array]:
    """The corner that closes least, and the least and largest force, all tolerances at their ends.

    Every tolerance moves the pin one way, so one corner closes least; the force also depends on the board
    through the wire's rate, so both board ends are asked.
    """
    tol, link = tolerances(spec), candidates.link

    def corner(board_mm: float, sign: float) -> Closing:
        return closing(
            shifted(
                link,
                board_mm=board_mm,
                shaft_mm=-sign * tol.shaft_mm,
                radius_mm=sign * tol.horn_radius_mm,
                theta_rad=sign * tol.theta_rad,
                slack_mm=-sign * tol.pivot_slack_mm,
            )
        )

    thin, thick = -tol.board_under_mm, tol.board_over_mm
    low = corner(thin, -1.0)
    least = np.minimum(low.force_after_slack_n, corner(thick, -1.0).force_after_slack_n)
    most = np.maximum(corner(thin, 1.0).force_n, corner(thick, 1.0).force_n)
    return low, least, most


def judge(candidates: Field, spec: MountSpec, limits: RockingWireLimits) -> Judged:
    """Every candidate held against every limit."""
    servo, link = spec.servo, candidates.link
    radius, span, _ = candidates.arrays()
    wire = np.asarray(link.wire_mm)
    towards = np.asarray(link.horn_towards_pivot)
    closed = closing(link)
    shaft = span + np.where(towards, radius, -radius)
    # an arm that points away is itself the lowest thing, 1 mm kept below its tip
    below_away = np.maximum(limits.below_shaft_mm, servo.horn_length_mm + 1.0)
    depth = limits.pad_mm + limits.pivot_drop_mm + shaft + np.where(towards, limits.below_shaft_mm, below_away)
    arm_gap = span - np.where(towards, servo.horn_length_mm - radius, radius + servo.horn_hub_mm / 2.0)
    land = land_mm(closed.tilt_rad, limits)
    hole = board_hole_mm(closed.tilt_rad, wire, spec, limits)
    trial = _trial(candidates, closed, spec)
    unsolved = np.where(np.isnan(span), np.inf, 0.0)
    bend_share = np.abs(closed.overtravel_mm) / np.asarray(link.pivot_to_pin_mm)
    own = (
        at_most("travel", unsolved, 0.0, "mm beyond what any pivot depth gives", "another throw"),
        at_most("depth", depth, limits.max_depth_mm, "mm below the board", "allow {value} mm of depth"),
        at_least("room for the case", shaft, limits.min_pivot_to_shaft_mm, "mm from pivot to shaft",
                 "a servo with a narrower case"),
        at_least("arm clear of the pivot", arm_gap, limits.min_arm_tip_to_pivot_mm, "mm between arm and pivot",
                 "a shorter arm, cut behind its hole"),
        at_most("bending", bend_share, SMALL_DEFLECTION, "of bend over length", "a thicker wire or less force"),
        at_most("lean", np.degrees(closed.tilt_rad), limits.max_pivot_tilt_deg, "° of lean at the pivot",
                "a smaller throw"),
        at_least("pivot land", land, limits.min_pivot_land_mm, "mm of land in the pivot",
                 "a smaller throw, or more slack in the pivot"),
        at_most("board hole", hole, limits.max_board_hole_mm, "mm of hole in the board",
                "a smaller throw or a thinner board"),
    )  # fmt: skip
    shared = shared_limits(trial, spec, wire_tail_mm=limits.wire_tail_mm)
    return Judged(closed, trial, depth, land, hole, (*own, *shared))


def _trial(candidates: Field, closed: Closing, spec: MountSpec) -> Trial:
    link = candidates.link
    radius, span, theta = candidates.arrays()
    low, least, most = worst_cases(candidates, spec)
    rate = pin_rate_mm_per_rad(
        0.0,
        horn_radius_mm=radius,
        pivot_to_horn_mm=span,
        pivot_to_pin_mm=link.pivot_to_pin_mm,
        horn_towards_pivot=link.horn_towards_pivot,
    )
    return Trial(
        radius_mm=radius,
        theta_rad=theta,
        wire_mm=np.asarray(link.wire_mm),
        drill_mm=candidates.drill_mm,
        stress_share=np.maximum(closed.stress_pivot_mpa, closed.stress_horn_mpa) / candidates.tensile_mpa,
        force_n=closed.force_n,
        force_after_slack_n=closed.force_after_slack_n,
        lost_motion_mm=closed.lost_motion_mm,
        torque_nmm=closed.torque_nmm,
        dead_band_mm=rate * dead_band_mm(1.0, spec.servo),
        least_overtravel_mm=low.overtravel_mm - low.lost_motion_mm / 2.0,
        least_force_n=least,
        most_force_n=most,
    )
