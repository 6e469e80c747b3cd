"""Force, stress, torque, resolution and slack, worked out anew from the drive."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Protocol, SupportsFloat

from mounts.checks.kinds import judging
from mounts.checks.model import ENDLESS, Check
from mounts.design import Design
from mounts.drive.kinds import kind_of_both
from mounts.drive.model import Drive, Limits
from mounts.drive.pulse import dead_band_mm, trim_room_us
from mounts.drive.rules import LOST_MOTION_WARNED_SHARE, rules
from mounts.drive.spread import AnySpread, Spread
from mounts.drive.tolerances import siting_mm
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec


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


def check_mechanics(design: Design, spread: AnySpread, limits: Limits) -> Iterator[Check]:
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
    tensile = drive.wire_tensile_mpa
    yield _lost_motion(spec, closed)
    yield Check.told(
        "tie-bar-hole",
        spec.tie_bar_hole_mm - drive.wire_mm,
        "at least",
        fits.TIE_BAR.own_mm,
        "mm",
        f"the {drive.wire_mm:g} mm wire has {{value}} mm of air in the tie bar's {spec.tie_bar_hole_mm:g} mm hole",
        f"open the hole to {drive.wire_mm + fits.TIE_BAR.own_mm:g} mm and say --tie-bar-hole, or a thinner wire",
    )
    yield from _force(spec, closed, spread)
    yield Check.told(
        *rules(spec).untrimmed.row_of(spread.untrimmed_stress_share * tensile, tensile, "MPa"),
        "at most {value} MPa in the wire on the way to end pulses that are not trimmed yet",
        "it may take a set; a thinner or stronger wire, or less force",
        places=0,
    )


def _lost_motion(spec: MountSpec, closed: Closed) -> Check:
    travel, lost = float(closed.travel_mm), float(closed.lost_motion_mm)
    return Check.told(
        *rules(spec).lost_motion.row_of(lost, travel, "mm"),
        f"slack takes {{value}} mm of {travel:.2f} mm of travel",
        "a thicker wire, or tighter holes in arm, pivot and tie bar",
        warn=LOST_MOTION_WARNED_SHARE * travel,
    )


def _force(spec: MountSpec, closed: Closed, spread: Spread) -> Iterable[Check]:
    held, (low, high) = rules(spec), spec.force_n
    yield Check.told(
        *held.force.row(float(closed.force_after_slack_n)),
        "the blades are held with {value} N once the slack is taken up",
        "more over-travel, a thicker wire, or ask for less force",
    )
    yield Check.told(
        *held.force_high.row(float(closed.stronger_force_n)),
        "the blades are held with {value} N once the slack is taken up",
        "less over-travel, a thinner wire, or allow more force",
    )
    yield Check.told(
        *held.closes.row(spread.overtravel_mm.low),
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
    return Check.told(
        name,
        *rules(spec).stress.row_of(bent_mpa, tensile, "MPa")[1:],
        f"the wire is bent to {{value}} MPa at the {place}, {bent_mpa / tensile:.0%} of its tensile strength",
        "less over-travel, a thinner or stronger wire, or one that turns in the arm",
        warn=spec.wire.stress_warn * tensile,
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
    yield Check.told(
        *rules(spec).torque.row(min(margin, ENDLESS)),
        f"the servo holds {torque:.1f} N·mm and stalls at {servo.stall_torque_nmm:.0f} with "
        f"{servo.stall_voltage_v:g} V, {{value}} times that",
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
        *rules(spec).resolution.row_of(dead_band, spec.throw_mm, "mm"),
        f"the dead band of {servo.dead_band_us:g} µs moves the pin {{value}} mm at the end of the swing",
        "more swing with a hole nearer the shaft, or a servo with a narrower dead band",
        places=3,
    )
