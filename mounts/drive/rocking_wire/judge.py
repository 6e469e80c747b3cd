"""The limits of a rocking wire, by name, over a whole field of candidates.

Results are float64 of the shape that linkage and arguments broadcast to: (n,) for a field.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.drive.bends import BEND_RADIUS_WIRES, curvature_factor
from mounts.drive.limits import Limit, at_least, at_most
from mounts.drive.pulse import dead_band_mm, trim_room_us
from mounts.drive.ranking import Trial, shared_limits
from mounts.drive.rocking_wire.closing import (
    Closing,
    Linkage,
    arm_slope_rad,
    closing,
    elastic_line,
    free_pin_mm,
    free_rate_mm_per_rad,
    lost_motion_mm,
)
from mounts.drive.rocking_wire.field import Field
from mounts.drive.rocking_wire.kinematics import pin_rate_mm_per_rad
from mounts.drive.rocking_wire.model import RockingWireLimits
from mounts.drive.rocking_wire.shifts import shifted, trimmed, turning_room_rad
from mounts.drive.rules import TURNING_BACK
from mounts.drive.spring import SMALL_DEFLECTION, deflection_ratio
from mounts.drive.tolerances import TOGETHER, TRIMMED_AWAY, TRIMMED_FROM_THE_CENTRE, signed, siting_mm, tolerances
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

LEAN_MARGIN_DEG = 2.0
"""Added to the wire's lean when the pivot's land is sized, so that it never binds. Common practice, no source."""

_HEIGHTS = 17  # between the board's underside and the roadbed's top; the line is a cubic


@dataclass(frozen=True)
class Judged:
    """A field, what each candidate does and every limit it was held against; arrays are (n,)."""

    closed: Closing
    trial: Trial
    depth_mm: Array
    land_mm: Array
    board_hole_mm: Array
    limits: tuple[Limit, ...]


def land_mm(lean_rad: Array, limits: RockingWireLimits) -> Array:
    """Longest land of the pivot in which the wire can lean that far, mm, at most the pivot's drop.

    t = (D − w)/tan(lean + margin); the land lies half above and half below the pivot, so that more than
    the drop would leave no cone on the board's side.
    """
    longest = limits.pivot_slack_mm / np.tan(lean_rad + np.radians(LEAN_MARGIN_DEG))
    return np.asarray(np.minimum(longest, limits.pivot_drop_mm))


def board_hole_mm(link: Linkage, spec: MountSpec, limits: RockingWireLimits) -> Array:
    """Drill for the hole through board and roadbed, mm, up to the next half.

    The wire as it lies between arm, pivot and a pin that is stopped at half the throw and half its own slack, at
    every height between the board's underside and the roadbed's top, the thickest board assumed. It is furthest
    out with the points closed, for both the arm and the pin only take it inwards from there. To that come the
    siting error of pivot, hole and tie bar, half the slack of the pivot, and air. A wire that is being threaded,
    or that has lost its pin, leans more: it rests against the side of the hole and bends a little there.

    Source:
        ``mounts.drive.rocking_wire.elastic_line``; tests/drive/test_board_hole.py bends an element beam instead.
    """
    board, roadbed = spec.board, spec.roadbed
    thick = replace(link, pivot_to_pin_mm=np.asarray(link.pivot_to_pin_mm) + board.over_mm)
    heights = limits.pivot_drop_mm + np.linspace(
        0.0, board.thickness_mm + board.over_mm + roadbed.thickness_mm, _HEIGHTS
    )
    bent = elastic_line(thick, link.pin_slack_mm)
    sweep = np.max([bent.line_mm(height) for height in heights], axis=0)
    beside = sweep + siting_mm(spec) + np.asarray(link.pivot_slack_mm) / 2.0 + limits.board_hole_clearance_mm
    return np.asarray(np.ceil((2.0 * beside + np.asarray(link.wire_mm)) * 2.0 - 1e-9) / 2.0)


def arm_stress_mpa(closed: Closing, link: Linkage) -> Array:
    """Stress at the arm: of a clamped wire inside its Z-bend, which is bent as tight as wire may be."""
    if link.held == "turning":
        return closed.stress_horn_mpa
    return np.asarray(closed.stress_horn_mpa * curvature_factor(BEND_RADIUS_WIRES, 1.0))


def bending_ratio(link: Linkage, closed: Closing) -> Array:
    """``deflection_ratio`` of a linkage that is closed."""
    return deflection_ratio(
        np.asarray(link.horn_radius_mm) * np.sin(link.theta_rad),
        closed.overtravel_mm,
        arm_slope_rad=arm_slope_rad(link),
        span_mm=link.pivot_to_horn_mm,
        overhang_mm=link.pivot_to_pin_mm,
        held=link.held,
    )


def worst_cases(candidates: Field, spec: MountSpec) -> tuple[Array, Array, Array]:
    """Least over-travel past the touch, least and largest force, the end pulses trimmed, all tolerances at their ends.

    A thicker board takes the pin further and makes the wire softer: both ends are asked, all else acts one way.
    """
    least, most = tolerances(spec, candidates.link.wire_mm)
    overtravels: list[Array] = []
    low: list[Array] = []
    high: list[Array] = []
    for side, found in ((-1.0, low), (1.0, high)):
        for height in (-1.0, 1.0):
            signs = dict.fromkeys(TOGETHER[0], height) | dict.fromkeys(TRIMMED_AWAY, 0.0) | {"shaft_mm": -side}
            link = trimmed(candidates.link, signed(least, most, signs, otherwise=side))
            found.append(elastic_line(link, lost_motion_mm(link)).force_n())
            overtravels.append(free_pin_mm(link) - (np.asarray(link.throw_mm) + lost_motion_mm(link)) / 2.0)
    return np.min(overtravels, axis=0), np.min(low, axis=0), np.max(high, axis=0)


def untrimmed_stress_share(candidates: Field, spec: MountSpec) -> Array:
    """Largest stress with the pulses of the report and every tolerance for it, as a share of tensile."""
    least, most = tolerances(spec, candidates.link.wire_mm)
    shares = []
    for height in (-1.0, 1.0):
        less = {"siting_mm": -1.0, "shaft_mm": -1.0, "bore_mm": -1.0, "hole_mm": -1.0}
        less |= dict.fromkeys(TRIMMED_FROM_THE_CENTRE, 0.0)
        signs = dict.fromkeys(TOGETHER[0], height) | less
        link = shifted(candidates.link, signed(least, most, signs, otherwise=1.0))
        # slack is taken up under load, whatever else is off
        link = replace(link, throw_mm=np.asarray(link.throw_mm) + lost_motion_mm(link))
        shares.append(stress_share(closing(link), link, candidates.tensile_mpa))
    return np.asarray(np.maximum(*shares))


def stress_share(closed: Closing, link: Linkage, tensile_mpa: ArrayLike) -> Array:
    """The larger stress of pivot and arm, as a share of tensile."""
    return np.asarray(np.maximum(closed.stress_pivot_mpa, arm_stress_mpa(closed, link)) / tensile_mpa)


def judge(candidates: Field, spec: MountSpec, limits: RockingWireLimits) -> Judged:
    """Every candidate held against every limit."""
    servo, link = spec.servo, candidates.link
    radius, span, _ = candidates.arrays()
    towards = np.asarray(link.horn_towards_pivot)
    closed = closing(link)
    shaft = span + np.where(towards, radius, -radius)
    # an arm that points away is itself the lowest thing, 1 mm kept below its tip
    below_away = np.maximum(limits.below_shaft_mm, servo.horn_length_mm + 1.0)
    depth = limits.pad_mm + limits.pivot_drop_mm + shaft + np.where(towards, limits.below_shaft_mm, below_away)
    arm_gap = span - np.where(towards, servo.horn_length_mm - radius, radius + servo.horn_hub_mm / 2.0)
    land = land_mm(closed.lean_rad, limits)
    hole = board_hole_mm(link, spec, limits)
    trial = _trial(candidates, closed, spec)
    unsolved = np.where(np.isnan(span), np.inf, 0.0)
    bend_share = np.abs(closed.overtravel_mm) / np.asarray(link.pivot_to_pin_mm)
    own = (
        at_most("travel", unsolved, 0.0, "mm beyond what any pivot depth gives", "another throw"),
        at_most("depth", depth, limits.max_depth_mm, "mm below the board", "--max-depth {value}"),
        at_least("room for the case", shaft, limits.min_pivot_to_shaft_mm, "mm from pivot to shaft",
                 "a servo with a narrower case"),
        at_least("arm clear of the pivot", arm_gap, limits.min_arm_tip_to_pivot_mm, "mm between arm and pivot",
                 "a shorter arm, cut behind its hole"),
        at_most("bending", bend_share, SMALL_DEFLECTION, "of bend over length", "a thicker wire or less force"),
        TURNING_BACK.limit(np.degrees(turning_room_rad(link, siting_mm(spec)))),
        at_most("lean", np.degrees(closed.lean_rad), limits.max_pivot_tilt_deg, "° of lean at the pivot",
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
    overtravel, least, most = worst_cases(candidates, spec)
    rate = pin_rate_mm_per_rad(
        0.0,
        horn_radius_mm=radius,
        pivot_to_horn_mm=span,
        pivot_to_pin_mm=link.pivot_to_pin_mm,
        horn_towards_pivot=link.horn_towards_pivot,
    )
    end_rate = free_rate_mm_per_rad(link)
    return Trial(
        radius_mm=radius,
        theta_rad=theta,
        wire_mm=np.asarray(link.wire_mm),
        drill_mm=candidates.drill_mm,
        stress_share=stress_share(closed, link, candidates.tensile_mpa),
        untrimmed_stress_share=untrimmed_stress_share(candidates, spec),
        force_n=closed.force_n,
        force_after_slack_n=closed.force_after_slack_n,
        stronger_force_n=closed.stronger_force_n,
        travel_mm=closed.travel_mm,
        lost_motion_mm=closed.lost_motion_mm,
        torque_nmm=closed.torque_nmm,
        dead_band_mm=rate * dead_band_mm(1.0, spec.servo),
        end_dead_band_mm=end_rate * dead_band_mm(1.0, spec.servo),
        trim_us=trim_room_us(end_rate, siting_mm(spec), spec.servo),
        least_overtravel_mm=overtravel,
        least_force_n=least,
        most_force_n=most,
        beyond_theory=bending_ratio(link, closed) / SMALL_DEFLECTION - 1.0,
    )
