"""Travel, force, stress, torque, resolution and slack, worked out anew from the drive."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from mounts.checks.loop import check_loop
from mounts.checks.model import Check, Verdict
from mounts.design import Design
from mounts.drive.closing import Closing, closing
from mounts.drive.figures import fixed, told_apart
from mounts.drive.loop import curvature_factor
from mounts.drive.model import Drive, Limits, PushRodDrive, PushRodLimits, RockingWireDrive, RockingWireLimits
from mounts.drive.pulse import dead_band_mm, trim_us
from mounts.drive.push_rod import dead_points_rad, rod_rate_mm_per_rad
from mounts.drive.rocking_wire import pin_rate_mm_per_rad, turning_back_rad
from mounts.drive.rod_closed import RodClosed, path_of, rod_closed
from mounts.drive.rod_judge import LEAST_FOLDING_MARGIN
from mounts.drive.spread import Spread, linkage, push_rod
from mounts.drive.spring import SMALL_DEFLECTION, deflection_ratio
from mounts.drive.trial import LARGEST_DEAD_BAND_SHARE, LEAST_TORQUE_MARGIN
from mounts.inputs.spec import MountSpec

DEAD_BAND_WARN_SHARE = 0.05
"""Dead band at the pin over throw, warned above. Common practice, no source."""

LOST_MOTION_SHARES = (0.35, 0.5)
"""Slack's share of the travel, warned and failed above. Common practice, no source: with half the travel
lost the force at the blades is anyone's guess."""

TURNING_ROOM_DEG = 5.0
"""Least angle between full swing and where the travel turns back."""

ROUNDING = 1e-6

Closed = Closing | RodClosed


def check_mechanics(design: Design, spread: Spread, limits: Limits) -> Iterator[Check]:
    """Every check of the mechanics.

    The linkage is computed again from the drive's dimensions (arm hole, depth or rod, swing, wire, loop);
    its own travel, force and stress figures are only compared with.

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
        yield from _servo(spec, drive, closed, _rod_rate(drive))
        yield from _push_rod(drive, closed, limits)
        yield from check_loop(spec, drive)
    elif isinstance(drive, RockingWireDrive) and isinstance(limits, RockingWireLimits):
        wire = closing(linkage(spec, limits, drive))
        yield from _motion(spec, drive, wire, spread)
        yield from _wire(spec, drive, wire)
        yield from _servo(spec, drive, wire, _wire_rate(drive))
        yield from _rocking_wire(drive, wire, limits)
    else:
        raise TypeError("limits and drive are of different kinds")


def _motion(spec: MountSpec, drive: Drive, closed: Closed, spread: Spread) -> Iterable[Check]:
    yield from _travel(spec, drive, closed)
    yield from _force(spec, closed, spread)


def _travel(spec: MountSpec, drive: Drive, closed: Closed) -> Iterable[Check]:
    travel, lost = float(closed.travel_mm), float(closed.lost_motion_mm)
    asked = spec.throw_mm + 2.0 * drive.overtravel_mm
    yield _least(
        "throw",
        spec.throw_mm,
        spec.scale.smallest_throw_mm,
        "mm",
        "the tie bar moves {value} mm",
        "the open blade is too near the stock rail; ask for more throw",
    )
    yield _least(
        "travel",
        travel,
        asked,
        "mm",
        f"the pin travels {{value}} mm at a half swing of {drive.swing_deg:.1f}°",
        "more swing, or a hole further out on the arm",
    )
    yield _most(
        "lost-motion",
        lost,
        LOST_MOTION_SHARES[1] * travel,
        "mm",
        f"slack takes {{value}} mm of {travel:.2f} mm of travel",
        "a thicker wire, or tighter holes in arm, pivot and tie bar",
        warn_above=LOST_MOTION_SHARES[0] * travel,
    )


def _force(spec: MountSpec, closed: Closed, spread: Spread) -> Iterable[Check]:
    low, high = spec.force_n
    felt, most = float(closed.force_after_slack_n), float(closed.force_n)
    yield _least(
        "force",
        felt,
        low,
        "N",
        "the blades are held with {value} N once the slack is taken up",
        "more over-travel, a thicker wire, or ask for less force",
    )
    yield _most(
        "force-without-slack",
        most,
        high,
        "N",
        "the blades are held with {value} N if nothing has slack",
        "less over-travel, a thinner wire, or allow more force",
    )
    worst = spread.overtravel_mm.low
    yield _least(
        "closes-in-the-worst-case",
        worst,
        0.0,
        "mm",
        "{value} mm of over-travel left with every tolerance against it",
        "the points may stay open; more over-travel, or tighter holes",
    )
    yield _least(
        "force-in-the-worst-case",
        spread.force_n.low,
        low,
        "N",
        "at least {value} N with every tolerance against it",
        "weaker than wanted; trim the end pulses, or measure board and servo",
        otherwise="warn",
    )
    yield _most(
        "force-in-the-worst-case-high",
        spread.force_n.high,
        high,
        "N",
        "at most {value} N with every tolerance for it",
        "stronger than wanted; trim the end pulses, or measure board and servo",
        otherwise="warn",
    )


def _wire(spec: MountSpec, drive: RockingWireDrive, closed: Closing) -> Iterable[Check]:
    for name, place, stress in (
        ("stress-at-pivot", "pivot", float(closed.stress_pivot_mpa)),
        ("stress-at-horn", "arm", float(closed.stress_horn_mpa)),
    ):
        yield _stress(spec, drive, name, place, stress)


def _crown(spec: MountSpec, drive: PushRodDrive, closed: RodClosed) -> Iterable[Check]:
    inside = float(closed.stress_mpa * curvature_factor(drive.loop_radius_mm, drive.wire_mm))
    yield _stress(spec, drive, "stress-at-crown", "inside of the loop's crown", inside)


def _stress(spec: MountSpec, drive: Drive, name: str, place: str, stress: float) -> Check:
    tensile = drive.wire_tensile_mpa
    return _most(
        name,
        stress,
        spec.wire.stress_limit * tensile,
        "MPa",
        f"the wire is bent to {{value}} MPa at the {place}, {stress / tensile:.0%} of its tensile strength",
        "less over-travel, a thinner or stronger wire, or one that turns in the arm",
        warn_above=spec.wire.stress_warn * tensile,
        places=0,
    )


def _servo(spec: MountSpec, drive: Drive, closed: Closed, rate_mm_per_rad: float) -> Iterable[Check]:
    servo, torque = spec.servo, float(closed.torque_nmm)
    margin = servo.stall_torque_nmm / torque if torque > 0 else math.inf
    yield _least(
        "torque-margin",
        min(margin, 1e6),
        LEAST_TORQUE_MARGIN,
        "",
        f"the servo holds {torque:.1f} N·mm and stalls at {servo.stall_torque_nmm:.0f}, {{value}} times that",
        "a stronger servo, a hole nearer the shaft, or less force",
        places=1,
    )
    pulses = (drive.pulse_us.normal, drive.pulse_us.centre, drive.pulse_us.reverse)
    room = min(servo.pulse_max_us - max(pulses), min(pulses) - servo.pulse_min_us)
    yield _least(
        "pulse-range",
        room,
        trim_us(servo),
        "µs",
        "{value} µs free beyond the end pulses, for a trim of half a spline tooth",
        "less swing, or a servo with a wider pulse range",
        places=0,
    )
    dead_band = dead_band_mm(rate_mm_per_rad, servo)
    yield _most(
        "resolution",
        dead_band,
        LARGEST_DEAD_BAND_SHARE * spec.throw_mm,
        "mm",
        f"the dead band of {servo.dead_band_us:g} µs moves the pin {{value}} mm",
        "more swing with a hole nearer the shaft, or a servo with a narrower dead band",
        warn_above=DEAD_BAND_WARN_SHARE * spec.throw_mm,
        places=3,
    )


def _rocking_wire(drive: RockingWireDrive, closed: Closing, limits: RockingWireLimits) -> Iterable[Check]:
    tilt = math.degrees(float(closed.tilt_rad))
    free = math.degrees(math.atan2(limits.pivot_slack_mm, drive.pivot_land_mm))
    yield _most(
        "lean-in-pivot",
        tilt,
        free,
        "°",
        "the wire leans {value}° in its pivot at full swing",
        "it binds; a shorter land, more slack, or a deeper pivot",
        places=1,
    )
    turning = math.degrees(
        float(turning_back_rad(drive.horn_radius_mm, drive.pivot_to_horn_mm, drive.horn_towards_pivot))
    )
    yield _least(
        "turning-back",
        turning - drive.swing_deg,
        TURNING_ROOM_DEG,
        "°",
        f"the travel turns back at {turning:.1f}°, {{value}}° beyond full swing",
        "less swing or a deeper pivot",
        places=1,
    )
    sideways = drive.horn_radius_mm * math.sin(math.radians(drive.swing_deg))
    ratio = float(
        deflection_ratio(
            sideways,
            closed.overtravel_mm,
            span_mm=drive.pivot_to_horn_mm,
            overhang_mm=drive.pivot_to_pin_mm,
        )
    )
    yield _most(
        "small-deflection",
        ratio,
        SMALL_DEFLECTION,
        "",
        "the wire moves sideways by {value} of its length",
        "force and stress are estimates here; a deeper pivot or a smaller throw",
        otherwise="warn",
    )


def _push_rod(drive: PushRodDrive, closed: RodClosed, limits: PushRodLimits) -> Iterable[Check]:
    lean = math.degrees(float(closed.lean_rad))
    yield _most(
        "lean-of-rod",
        lean,
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
    yield _least(
        "turning-back",
        dead - drive.swing_deg,
        TURNING_ROOM_DEG,
        "°",
        f"arm and rod lie in one line at {dead:.1f}°, {{value}}° beyond full swing",
        "less swing or a greater --track-distance",
        places=1,
    )
    yield _least(
        "buckling",
        min(closed.folding_margin, 1e6),
        LEAST_FOLDING_MARGIN,
        "",
        "rod and loop fold up at {value} times the load that presses them",
        "a smaller --track-distance or a thicker wire",
        places=1,
    )


def _wire_rate(drive: RockingWireDrive) -> float:
    return float(
        pin_rate_mm_per_rad(
            0.0,
            horn_radius_mm=drive.horn_radius_mm,
            pivot_to_horn_mm=drive.pivot_to_horn_mm,
            pivot_to_pin_mm=drive.pivot_to_pin_mm,
            horn_towards_pivot=drive.horn_towards_pivot,
        )
    )


def _rod_rate(drive: PushRodDrive) -> float:
    return float(
        rod_rate_mm_per_rad(
            0.0,
            horn_radius_mm=drive.horn_radius_mm,
            rod_length_mm=drive.rod_length_mm,
            offset_mm=drive.offset_mm,
        )
    )


def _least(
    name: str,
    value: float,
    limit: float,
    unit: str,
    measured: str,
    advice: str,
    *,
    otherwise: Verdict = "fail",
    places: int = 2,
) -> Check:
    verdict: Verdict = "pass" if value >= limit - ROUNDING else otherwise
    text = _told(verdict, value, limit, unit, measured, f"less than {{limit}}: {advice}", places)
    return Check(name=name, part=None, verdict=verdict, value=value, limit=limit, unit=unit, message=text)


def _most(
    name: str,
    value: float,
    limit: float,
    unit: str,
    measured: str,
    advice: str,
    *,
    warn_above: float = math.inf,
    otherwise: Verdict = "fail",
    places: int = 2,
) -> Check:
    verdict: Verdict = "pass"
    if value > limit + ROUNDING:
        verdict = otherwise
    elif value > warn_above + ROUNDING:
        verdict, limit = "warn", warn_above
    text = _told(verdict, value, limit, unit, measured, f"more than {{limit}}: {advice}", places)
    return Check(name=name, part=None, verdict=verdict, value=value, limit=limit, unit=unit, message=text)


def _told(verdict: Verdict, value: float, limit: float, unit: str, measured: str, broken: str, places: int) -> str:
    """What was measured and, where that is not well, the limit with as many decimals; ``{value}`` and ``{limit}``."""
    if verdict == "pass":
        return measured.format(value=fixed(value, places))
    shown, bound = told_apart(value, limit, places)
    return f"{measured.format(value=shown)}, {broken.format(limit=bound + _spaced(unit))}"


def _spaced(unit: str) -> str:
    return unit if unit in ("", "°") else f" {unit}"
