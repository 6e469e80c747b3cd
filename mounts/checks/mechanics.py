"""Force, stress, torque, resolution and slack, worked out anew from the drive."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from mounts.checks.loop import check_loop
from mounts.checks.model import Check
from mounts.design import Design
from mounts.drive.closing import Closing, Linkage, closing, free_rate_mm_per_rad
from mounts.drive.judge import TURNING_ROOM_DEG, bending_ratio, horn_stress_mpa
from mounts.drive.loop import curvature_factor
from mounts.drive.model import Drive, Limits, PushRodDrive, PushRodLimits, RockingWireDrive, RockingWireLimits
from mounts.drive.pulse import dead_band_mm, trim_room_us
from mounts.drive.push_rod import dead_points_rad, rod_rate_mm_per_rad
from mounts.drive.rocking_wire import turning_back_rad
from mounts.drive.rod_closed import RodClosed, path_of, rod_closed
from mounts.drive.rod_judge import LEAST_FOLDING_MARGIN
from mounts.drive.spread import Spread, linkage, push_rod
from mounts.drive.spring import SMALL_DEFLECTION
from mounts.drive.tolerances import siting_mm, turning_room_rad
from mounts.drive.trial import (
    LARGEST_DEAD_BAND_SHARE,
    LEAST_TORQUE_MARGIN,
    LOST_MOTION_SHARES,
)
from mounts.inputs.spec import MountSpec

Closed = Closing | RodClosed


def check_mechanics(design: Design, spread: Spread, limits: Limits) -> Iterator[Check]:
    """Every check of the mechanics.

    The linkage is computed again from the drive's dimensions (arm hole, depth or rod, swing, wire, loop),
    never taken from its own figures. The travel is judged where everything stands (``mounts.checks.travel``).

    Args:
        design: spec and drive.
        spread: tolerance study of the same drive.
        limits: what the style allowed, of the drive's kind.

    Raises:
        TypeError: limits and drive are of different kinds.
    """
    spec, drive = design.spec, design.drive
    if isinstance(drive, PushRodDrive) and isinstance(limits, PushRodLimits):
        rod = push_rod(spec, drive)
        closed = rod_closed(rod, path_of(rod, drive.foot_radius_mm))
        yield from _motion(spec, drive, closed, spread)
        yield from _crown(spec, drive, closed)
        yield from _servo(spec, drive, closed, _rod_end_rates(drive))
        yield from _push_rod(drive, closed, limits)
        yield from check_loop(spec, drive)
    elif isinstance(drive, RockingWireDrive) and isinstance(limits, RockingWireLimits):
        link = linkage(spec, limits, drive)
        wire = closing(link)
        yield from _motion(spec, drive, wire, spread)
        yield from _wire(spec, drive, link, wire)
        yield from _servo(spec, drive, wire, (float(free_rate_mm_per_rad(link)),))
        yield from _rocking_wire(spec, drive, link, wire, limits)
    else:
        raise TypeError("limits and drive are of different kinds")


def _motion(spec: MountSpec, drive: Drive, closed: Closed, spread: Spread) -> Iterable[Check]:
    yield _lost_motion(closed)
    yield from _force(spec, closed, spread)
    yield Check.told(
        "stress-before-trimming",
        spread.untrimmed_stress_share * drive.wire_tensile_mpa,
        "at most",
        spec.wire.stress_limit * drive.wire_tensile_mpa,
        "MPa",
        "at most {value} MPa in the wire on the way to end pulses that are not trimmed yet",
        "it may take a set; a thinner or stronger wire, or less force",
        places=0,
    )


def _lost_motion(closed: Closed) -> Check:
    travel, lost = float(closed.travel_mm), float(closed.lost_motion_mm)
    return Check.told(
        "lost-motion",
        lost,
        "at most",
        LOST_MOTION_SHARES[1] * travel,
        "mm",
        f"slack takes {{value}} mm of {travel:.2f} mm of travel",
        "a thicker wire, or tighter holes in arm, pivot and tie bar",
        warn=LOST_MOTION_SHARES[0] * travel,
    )


def _force(spec: MountSpec, closed: Closed, spread: Spread) -> Iterable[Check]:
    low, high = spec.force_n
    felt = float(closed.force_after_slack_n)
    yield Check.told(
        "force",
        felt,
        "at least",
        low,
        "N",
        "the blades are held with {value} N once the slack is taken up",
        "more over-travel, a thicker wire, or ask for less force",
    )
    yield Check.told(
        "force-high",
        float(closed.stronger_force_n),
        "at most",
        high,
        "N",
        "the blades are held with {value} N once the slack is taken up",
        "less over-travel, a thinner wire, or allow more force",
    )
    worst = spread.overtravel_mm.low
    yield Check.told(
        "closes-in-the-worst-case",
        worst,
        "at least",
        0.0,
        "mm",
        "trimmed, {value} mm of over-travel past the touch with every tolerance against it",
        "the points may stay open; a thinner wire, so that more of it is needed",
    )
    yield Check.told(
        "force-with-tolerances",
        spread.force_n.percentile_5,
        "at least",
        low,
        "N",
        "trimmed, at least {value} N in 19 of 20 mounts, each thing off at random",
        "weaker than wanted; measure board and servo, or ask for a wider --force",
        otherwise="warn",
    )
    yield Check.told(
        "force-with-tolerances-high",
        spread.force_n.percentile_95,
        "at most",
        high,
        "N",
        "trimmed, at most {value} N in 19 of 20 mounts, each thing off at random",
        "stronger than wanted; measure board and servo, or ask for a wider --force",
        otherwise="warn",
    )


def _wire(spec: MountSpec, drive: RockingWireDrive, link: Linkage, closed: Closing) -> Iterable[Check]:
    place = "arm" if drive.wire_held == "turning" else "inside of the Z-bend in the arm"
    yield _stress(spec, drive, "stress-at-pivot", "pivot", float(closed.stress_pivot_mpa))
    yield _stress(spec, drive, "stress-at-horn", place, float(horn_stress_mpa(closed, link)))


def _crown(spec: MountSpec, drive: PushRodDrive, closed: RodClosed) -> Iterable[Check]:
    inside = float(closed.stress_mpa * curvature_factor(drive.loop_radius_mm, drive.wire_mm))
    yield _stress(spec, drive, "stress-at-crown", "inside of the loop's crown", inside)


def _stress(spec: MountSpec, drive: Drive, name: str, place: str, stress: float) -> Check:
    tensile = drive.wire_tensile_mpa
    return Check.told(
        name,
        stress,
        "at most",
        spec.wire.stress_limit * tensile,
        "MPa",
        f"the wire is bent to {{value}} MPa at the {place}, {stress / tensile:.0%} of its tensile strength",
        "less over-travel, a thinner or stronger wire, or one that turns in the arm",
        warn=spec.wire.stress_warn * tensile,
        places=0,
    )


def _servo(
    spec: MountSpec, drive: Drive, closed: Closed, end_rates_mm_per_rad: tuple[float, ...]
) -> Iterable[Check]:
    """Torque and signals; the pin's rates are those of the ends of the swing."""
    servo, torque = spec.servo, float(closed.torque_nmm)
    margin = servo.stall_torque_nmm / torque if torque > 0 else math.inf
    yield Check.told(
        "torque-margin",
        min(margin, 1e6),
        "at least",
        LEAST_TORQUE_MARGIN,
        "",
        f"the servo holds {torque:.1f} N·mm and stalls at {servo.stall_torque_nmm:.0f}, {{value}} times that",
        "a stronger servo, a hole nearer the shaft, or less force",
        places=1,
    )
    pulses = (drive.pulse_us.normal, drive.pulse_us.centre, drive.pulse_us.reverse)
    room = min(servo.pulse_max_us - max(pulses), min(pulses) - servo.pulse_min_us)
    yield Check.told(
        "pulse-range",
        room,
        "at least",
        float(trim_room_us(min(end_rates_mm_per_rad), siting_mm(spec), servo)),
        "µs",
        f"{{value}} µs free beyond the end pulses, for half a spline tooth and {siting_mm(spec):g} mm off at the pin",
        "less swing, or a servo with a wider pulse range",
        places=0,
    )
    dead_band = dead_band_mm(max(end_rates_mm_per_rad), servo)
    yield Check.told(
        "resolution",
        dead_band,
        "at most",
        LARGEST_DEAD_BAND_SHARE * spec.throw_mm,
        "mm",
        f"the dead band of {servo.dead_band_us:g} µs moves the pin {{value}} mm at the end of the swing",
        "more swing with a hole nearer the shaft, or a servo with a narrower dead band",
        places=3,
    )


def _rocking_wire(
    spec: MountSpec, drive: RockingWireDrive, link: Linkage, closed: Closing, limits: RockingWireLimits
) -> Iterable[Check]:
    tilt = math.degrees(float(closed.tilt_rad))
    free = math.degrees(math.atan2(limits.pivot_slack_mm, drive.pivot_land_mm))
    yield Check.told(
        "lean-in-pivot",
        tilt,
        "at most",
        free,
        "°",
        "the wire leans {value}° in its pivot at full swing",
        "it binds; a shorter land, more slack, or a deeper pivot",
        places=1,
    )
    turning = math.degrees(
        float(turning_back_rad(drive.horn_radius_mm, drive.pivot_to_horn_mm, drive.horn_towards_pivot))
    )
    yield Check.told(
        "turning-back",
        math.degrees(float(turning_room_rad(link, siting_mm(spec)))),
        "at least",
        TURNING_ROOM_DEG,
        "°",
        f"the travel turns back at {turning:.1f}°, {{value}}° beyond an end trimmed by {siting_mm(spec):g} mm",
        "less swing or a deeper pivot",
        places=1,
    )
    turns = "" if drive.wire_held == "turning" else ", its turn in the arm included"
    yield Check.told(
        "small-deflection",
        float(bending_ratio(link, closed)),
        "at most",
        SMALL_DEFLECTION,
        "",
        f"the wire leans or moves sideways by {{value}} of its length{turns}",
        "force and stress are estimates here; a deeper pivot, less swing or a smaller throw",
        otherwise="warn",
    )


def _push_rod(drive: PushRodDrive, closed: RodClosed, limits: PushRodLimits) -> Iterable[Check]:
    lean = math.degrees(float(closed.lean_rad))
    yield Check.told(
        "lean-of-rod",
        lean,
        "at most",
        limits.max_lean_deg,
        "°",
        "the rod leans {value}° against its way",
        "it rubs in its slot; a greater --track-distance, or a hole nearer the shaft",
        places=1,
    )
    inner, outer = dead_points_rad(
        horn_radius_mm=drive.horn_radius_mm, rod_length_mm=drive.rod_length_mm, offset_mm=drive.offset_mm
    )
    dead = math.degrees(min(-float(inner), float(outer)))
    yield Check.told(
        "turning-back",
        dead - drive.swing_deg,
        "at least",
        TURNING_ROOM_DEG,
        "°",
        f"arm and rod lie in one line at {dead:.1f}°, {{value}}° beyond full swing",
        "less swing or a greater --track-distance",
        places=1,
    )
    yield Check.told(
        "buckling",
        min(closed.folding_margin, 1e6),
        "at least",
        LEAST_FOLDING_MARGIN,
        "",
        "rod and loop fold up at {value} times the load that presses them",
        "a smaller --track-distance or a thicker wire",
        places=1,
    )


def _rod_end_rates(drive: PushRodDrive) -> tuple[float, ...]:
    swing = math.radians(drive.swing_deg)
    linkage = {
        "horn_radius_mm": drive.horn_radius_mm,
        "rod_length_mm": drive.rod_length_mm,
        "offset_mm": drive.offset_mm,
    }
    return tuple(float(rod_rate_mm_per_rad(angle, **linkage)) for angle in (-swing, swing))
