"""The limits of a rocking wire, by name, over a whole field of candidates."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.drive.candidates import Limit
from mounts.drive.closing import Closing, closing
from mounts.drive.field import Field
from mounts.drive.model import RockingWireLimits
from mounts.drive.pulse import dead_band_mm, largest_swing_deg
from mounts.drive.rocking_wire import pin_rate_mm_per_rad
from mounts.drive.spring import SMALL_DEFLECTION
from mounts.drive.tolerances import shifted, tolerances
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

LEAST_TORQUE_MARGIN = 3.0
"""Stall torque over torque asked (brief.md, 3.5)."""

LARGEST_DEAD_BAND_SHARE = 0.10
"""Dead band at the pin over throw. Common practice, no source: the spring wire evens out a tenth."""

ARM_TIP_SKIN_MM = 0.8
"""Plastic left beside an arm hole, a side: two lines of a moulded arm, common practice, no source."""

TILT_MARGIN_DEG = 2.0
"""Added to the wire's lean when the pivot's land is sized, so that it never binds."""

TAIL_GAP_MM = 0.5
"""Kept between the tail of the Z-bend and the arm's hub."""


@dataclass(frozen=True)
class Judged:
    """A field with what each candidate does and every limit it was held against; arrays are (n,)."""

    closed: Closing
    low: Closing  # the corner of all tolerances that closes least
    low_force_n: Array
    high_force_n: Array
    depth_mm: Array
    land_mm: Array
    board_hole_mm: Array
    dead_band_mm: Array
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
    radius, span, theta = candidates.arrays()
    wire = np.asarray(link.wire_mm)
    towards = np.asarray(link.horn_towards_pivot)
    closed = closing(link)
    low, low_force, high_force = worst_cases(candidates, spec)
    shaft = span + np.where(towards, radius, -radius)
    # an arm that points away is itself the lowest thing, 1 mm kept below its tip
    below_away = np.maximum(limits.below_shaft_mm, servo.horn_length_mm + 1.0)
    depth = limits.pivot_drop_mm + shaft + np.where(towards, limits.below_shaft_mm, below_away)
    arm_gap = span - np.where(towards, servo.horn_length_mm - radius, radius + servo.horn_hub_mm / 2.0)
    land = land_mm(closed.tilt_rad, limits)
    hole = board_hole_mm(closed.tilt_rad, wire, spec, limits)
    beside = np.minimum(servo.horn_tip_width_mm / 2.0, servo.horn_length_mm - radius)
    skin = beside - candidates.drill_mm / 2.0
    rate = pin_rate_mm_per_rad(
        0.0,
        horn_radius_mm=radius,
        pivot_to_horn_mm=span,
        pivot_to_pin_mm=link.pivot_to_pin_mm,
        horn_towards_pivot=towards,
    )
    dead_band = rate * dead_band_mm(1.0, servo)
    swing_deg = np.degrees(theta)
    stress_share = np.maximum(closed.stress_pivot_mpa, closed.stress_horn_mpa) / candidates.tensile_mpa
    torque_margin = servo.stall_torque_nmm / np.maximum(closed.torque_nmm, 1e-9)
    with np.errstate(invalid="ignore"):
        bend_share = np.abs(closed.overtravel_mm) / np.asarray(link.pivot_to_pin_mm)
    rows = (
        Limit(
            "travel",
            np.where(np.isnan(span), np.inf, 0.0),
            np.array(0.0),
            "at most",
            "mm",
            "beyond what any pivot depth gives",
            "another throw",
        ),
        Limit(
            "depth",
            depth,
            np.array(limits.max_depth_mm),
            "at most",
            "mm",
            "below the board",
            "allow {value} mm of depth",
        ),
        Limit(
            "room for the case",
            shaft,
            np.array(limits.min_pivot_to_shaft_mm),
            "at least",
            "mm",
            "from pivot to shaft",
            "a servo with a narrower case",
        ),
        Limit(
            "arm clear of the pivot",
            arm_gap,
            np.array(limits.min_arm_tip_to_pivot_mm),
            "at least",
            "mm",
            "between arm and pivot",
            "a shorter arm, cut behind its hole",
        ),
        Limit(
            "arm hole",
            skin,
            np.array(ARM_TIP_SKIN_MM),
            "at least",
            "mm",
            "of plastic beside the arm hole",
            "a wider arm",
        ),
        Limit(
            "Z-bend clear of the hub",
            radius - limits.wire_tail_mm - TAIL_GAP_MM,
            np.array(servo.horn_hub_mm / 2.0),
            "at least",
            "mm",
            "from shaft to the wire's tail",
            "an arm with holes further out",
        ),
        Limit(
            "tie-bar hole",
            wire,
            np.array(spec.scale.tie_bar_hole_mm),
            "at most",
            "mm",
            "of hole in the tie bar",
            "drill the tie bar {value} mm",
        ),
        Limit(
            "force",
            closed.force_after_slack_n,
            np.array(spec.force_n[0]),
            "at least",
            "N",
            "at the blades with the slack taken up",
            "ask for {value} N at least",
        ),
        Limit(
            "force without slack",
            closed.force_n,
            np.array(spec.force_n[1]),
            "at most",
            "N",
            "at the blades without slack",
            "allow {value} N",
        ),
        Limit(
            "closes in the worst case",
            low.overtravel_mm - low.lost_motion_mm / 2.0,
            np.array(0.0),
            "at least",
            "mm",
            "of over-travel in the worst case",
            "a tighter pivot, arm hole or tie-bar hole",
        ),
        Limit(
            "bending",
            bend_share,
            np.array(SMALL_DEFLECTION),
            "at most",
            "",
            "of bend over length",
            "a thicker wire or less force",
        ),
        Limit(
            "stress",
            stress_share * 100.0,
            np.array(spec.wire.stress_limit * 100.0),
            "at most",
            "%",
            "of the wire's tensile strength",
            "a stronger wire or less force",
        ),
        Limit(
            "torque",
            torque_margin,
            np.array(LEAST_TORQUE_MARGIN),
            "at least",
            "×",
            "the torque it takes",
            "a stronger servo or less force",
        ),
        Limit(
            "lean",
            np.degrees(closed.tilt_rad),
            np.array(limits.max_pivot_tilt_deg),
            "at most",
            "°",
            "of lean at the pivot",
            "a smaller throw",
        ),
        Limit(
            "pivot land",
            land,
            np.array(limits.min_pivot_land_mm),
            "at least",
            "mm",
            "of land in the pivot",
            "a smaller throw, or more slack in the pivot",
        ),
        Limit(
            "board hole",
            hole,
            np.array(limits.max_board_hole_mm),
            "at most",
            "mm",
            "of hole in the board",
            "a smaller throw or a thinner board",
        ),
        Limit(
            "pulses",
            swing_deg,
            np.array(largest_swing_deg(servo)),
            "at most",
            "°",
            "of half swing",
            "a servo with a wider pulse range",
        ),
        Limit(
            "resolution",
            dead_band / spec.throw_mm * 100.0,
            np.array(LARGEST_DEAD_BAND_SHARE * 100.0),
            "at most",
            "%",
            "of the throw for the dead band",
            "a servo with a narrower dead band",
        ),
    )
    return Judged(closed, low, low_force, high_force, depth, land, hole, dead_band, rows)
