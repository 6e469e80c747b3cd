"""Force, stress, torque, resolution and slack, worked out anew from the drive."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Protocol, SupportsFloat

from mounts.checks.kinds import judging
from mounts.checks.model import Check, Verdict
from mounts.design import Design
from mounts.drive.figures import fixed, told_apart
from mounts.drive.kinds import kind_of_both
from mounts.drive.model import Drive, Limits
from mounts.drive.pulse import dead_band_mm, trim_room_us
from mounts.drive.ranking import LARGEST_DEAD_BAND_SHARE, LEAST_TORQUE_MARGIN, LOST_MOTION_SHARES
from mounts.drive.spread import Spread
from mounts.drive.tolerances import siting_mm
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec

ROUNDING = 1e-6


class Closed(Protocol):
    """A drive with its points closed, as every kind works it out; scalars."""

    @property
    def travel_mm(self) -> SupportsFloat:
        """Of the pin, end to end, unloaded, no slack."""

    @property
    def lost_motion_mm(self) -> SupportsFloat:
        """Off the whole travel."""

    @property
    def force_after_slack_n(self) -> SupportsFloat:
        """At the weaker end."""

    @property
    def stronger_force_n(self) -> SupportsFloat:
        """At the stronger one, all slack taken up."""

    @property
    def torque_nmm(self) -> SupportsFloat:
        """What the servo holds."""


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
    kind_of_both(limits, design.drive)
    yield from judging(design).mechanics(design, spread, limits)


def motion(spec: MountSpec, drive: Drive, closed: Closed, spread: Spread) -> Iterable[Check]:
    """Slack, force at the blades, and stress on the way to end pulses that are not trimmed yet.

    Args:
        spec: the force and throw asked for.
        drive: for its wire's tensile strength.
        closed: the drive worked out anew.
        spread: its tolerance study.
    """
    yield _lost_motion(closed)
    yield least(
        "tie-bar-hole",
        spec.tie_bar_hole_mm - drive.wire_mm,
        fits.TIE_BAR.own_mm,
        "mm",
        f"the {drive.wire_mm:g} mm wire has {{value}} mm of air in the tie bar's {spec.tie_bar_hole_mm:g} mm hole",
        f"open the hole to {drive.wire_mm + fits.TIE_BAR.own_mm:g} mm and say --tie-bar-hole, or a thinner wire",
    )
    yield from _force(spec, closed, spread)
    yield most(
        "stress-before-trimming",
        spread.untrimmed_stress_share * drive.wire_tensile_mpa,
        spec.wire.stress_limit * drive.wire_tensile_mpa,
        "MPa",
        "at most {value} MPa in the wire on the way to end pulses that are not trimmed yet",
        "it may take a set; a thinner or stronger wire, or less force",
        places=0,
    )


def _lost_motion(closed: Closed) -> Check:
    travel, lost = float(closed.travel_mm), float(closed.lost_motion_mm)
    return most(
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
    felt = float(closed.force_after_slack_n)
    yield least(
        "force",
        felt,
        low,
        "N",
        "the blades are held with {value} N once the slack is taken up",
        "more over-travel, a thicker wire, or ask for less force",
    )
    yield most(
        "force-high",
        float(closed.stronger_force_n),
        high,
        "N",
        "the blades are held with {value} N once the slack is taken up",
        "less over-travel, a thinner wire, or allow more force",
    )
    worst = spread.overtravel_mm.low
    yield least(
        "closes-in-the-worst-case",
        worst,
        0.0,
        "mm",
        "trimmed, {value} mm of over-travel past the touch with every tolerance against it",
        "the points may stay open; a thinner wire, so that more of it is needed",
    )
    yield least(
        "force-with-tolerances",
        spread.force_n.percentile_5,
        low,
        "N",
        "trimmed, at least {value} N in 19 of 20 mounts, each thing off at random",
        "weaker than wanted; measure board and servo, or ask for a wider --force",
        otherwise="warn",
    )
    yield most(
        "force-with-tolerances-high",
        spread.force_n.percentile_95,
        high,
        "N",
        "trimmed, at most {value} N in 19 of 20 mounts, each thing off at random",
        "stronger than wanted; measure board and servo, or ask for a wider --force",
        otherwise="warn",
    )


def stress(spec: MountSpec, drive: Drive, name: str, place: str, bent_mpa: float) -> Check:
    """The wire's stress at one place.

    Args:
        spec: for what the wire may bear.
        drive: for its tensile strength.
        name: of the check.
        place: where, to follow "at the".
        bent_mpa: bending stress there, MPa.
    """
    tensile = drive.wire_tensile_mpa
    return most(
        name,
        bent_mpa,
        spec.wire.stress_limit * tensile,
        "MPa",
        f"the wire is bent to {{value}} MPa at the {place}, {bent_mpa / tensile:.0%} of its tensile strength",
        "less over-travel, a thinner or stronger wire, or one that turns in the arm",
        warn_above=spec.wire.stress_warn * tensile,
        places=0,
    )


def servo_holds(
    spec: MountSpec, drive: Drive, closed: Closed, end_rates_mm_per_rad: tuple[float, ...]
) -> Iterable[Check]:
    """Torque and signals.

    Args:
        spec: servo, throw and siting.
        drive: for its pulses.
        closed: the drive worked out anew.
        end_rates_mm_per_rad: of the pin by the arm's angle, at the ends of the swing.
    """
    servo, torque = spec.servo, float(closed.torque_nmm)
    margin = servo.stall_torque_nmm / torque if torque > 0 else math.inf
    yield least(
        "torque-margin",
        min(margin, 1e6),
        LEAST_TORQUE_MARGIN,
        "",
        f"the servo holds {torque:.1f} N·mm and stalls at {servo.stall_torque_nmm:.0f} with "
        f"{servo.stall_voltage_v:g} V, {{value}} times that",
        "a stronger servo, a hole nearer the shaft, or less force",
        places=1,
    )
    pulses = (drive.pulse_us.normal, drive.pulse_us.centre, drive.pulse_us.reverse)
    room = min(servo.pulse_max_us - max(pulses), min(pulses) - servo.pulse_min_us)
    yield least(
        "pulse-range",
        room,
        float(trim_room_us(min(end_rates_mm_per_rad), siting_mm(spec), servo)),
        "µs",
        f"{{value}} µs free beyond the end pulses, for half a spline tooth and {siting_mm(spec):g} mm off at the pin",
        "less swing, or a servo with a wider pulse range",
        places=0,
    )
    dead_band = dead_band_mm(max(end_rates_mm_per_rad), servo)
    yield most(
        "resolution",
        dead_band,
        LARGEST_DEAD_BAND_SHARE * spec.throw_mm,
        "mm",
        f"the dead band of {servo.dead_band_us:g} µs moves the pin {{value}} mm at the end of the swing",
        "more swing with a hole nearer the shaft, or a servo with a narrower dead band",
        places=3,
    )


def least(
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
    """A check that passes when value ≥ limit, to ``ROUNDING``.

    Args:
        name: of the check.
        value: what was measured.
        limit: what is asked.
        unit: of both, as told.
        measured: a clause with ``{value}``.
        advice: what to change, told behind the limit.
        otherwise: the verdict where the limit is broken.
        places: decimals of both, more where they look alike.
    """
    verdict: Verdict = "pass" if value >= limit - ROUNDING else otherwise
    text = _told(verdict, value, limit, unit, measured, f"less than {{limit}}: {advice}", places)
    return Check(name=name, part=None, verdict=verdict, value=value, limit=limit, unit=unit, message=text)


def most(
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
    """A check that passes when value ≤ limit, to ``ROUNDING``.

    Args:
        name: of the check.
        value: what was measured.
        limit: what is asked.
        unit: of both, as told.
        measured: a clause with ``{value}``.
        advice: what to change, told behind the limit.
        warn_above: a lower limit that is only warned of.
        otherwise: the verdict where the limit is broken.
        places: decimals of both, more where they look alike.
    """
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
