"""A whip: a wire held fast in the arm, which points up through the board straight at the tie bar. No pivot, no loop."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from typing import Any, Literal

import numpy as np
from pydantic import Field

from mounts.drive.choices import Axes, drill_mm, radii_of, stock_of
from mounts.drive.kinds import Kind
from mounts.drive.limits import at_most
from mounts.drive.model import Limits, PointsDrive
from mounts.drive.pulse import dead_band_mm, pulse_widths, trim_room_us
from mounts.drive.ranking import Examined, Trial, shared_costs, shared_limits
from mounts.drive.spring import second_moment_mm4
from mounts.drive.tolerances import NAMES, TRIMMED_AWAY, Closed, Shifts, Study, signed, siting_mm, tolerances
from mounts.inputs.spec import MountSpec


class WhipLimits(Limits):
    """What a style leaves to a whip."""

    kind: Literal["whip"] = "whip"
    shaft_to_pin_mm: float = Field(gt=0, description="straight up from the shaft")
    max_board_hole_mm: float


class WhipDrive(PointsDrive):
    """A whip, chosen."""

    kind: Literal["whip"] = "whip"
    shaft_to_pin_mm: float
    board_hole_mm: float


@dataclass(frozen=True)
class Whip:
    """One whip, or many; the pin is at h·tan θ, and the wire a cantilever of a = h − r with its end stopped there."""

    theta_rad: Any
    throw_mm: Any
    horn_radius_mm: Any
    shaft_to_pin_mm: Any
    wire_mm: Any
    modulus_mpa: Any
    lost_motion_mm: Any

    @property
    def travel_mm(self) -> Any:
        """End to end, unloaded."""
        return 2.0 * self.shaft_to_pin_mm * np.tan(self.theta_rad)

    @property
    def overtravel_mm(self) -> Any:
        """A side."""
        return (self.travel_mm - self.throw_mm) / 2.0

    @property
    def rate_n_per_mm(self) -> Any:
        """3·E·I/a³, any handbook."""
        return 3.0 * self.modulus_mpa * second_moment_mm4(self.wire_mm) / self._free_mm() ** 3

    @property
    def force_n(self) -> Any:
        """No slack."""
        return self.rate_n_per_mm * self.overtravel_mm

    @property
    def force_after_slack_n(self) -> Any:
        """The lost motion taken up."""
        return self.rate_n_per_mm * (self.overtravel_mm - self.lost_motion_mm / 2.0)

    stronger_force_n = force_after_slack_n

    @property
    def stress_mpa(self) -> Any:
        """At the arm: F·a·(d/2)/I."""
        return np.abs(self.force_n) * self._free_mm() * self.wire_mm / 2.0 / second_moment_mm4(self.wire_mm)

    @property
    def torque_nmm(self) -> Any:
        """The pin's force at its height."""
        return np.abs(self.force_n) * self.shaft_to_pin_mm

    def rate_mm_per_rad(self) -> Any:
        """Of the pin, at the end of the swing."""
        return self.shaft_to_pin_mm / np.cos(self.theta_rad) ** 2

    def _free_mm(self) -> Any:
        return self.shaft_to_pin_mm - self.horn_radius_mm


def whip(spec: MountSpec, drive: WhipDrive) -> Whip:
    """A drive worked out anew."""
    return Whip(
        theta_rad=math.radians(drive.swing_deg),
        throw_mm=spec.throw_mm,
        horn_radius_mm=drive.horn_radius_mm,
        shaft_to_pin_mm=drive.shaft_to_pin_mm,
        wire_mm=drive.wire_mm,
        modulus_mpa=drive.wire_modulus_mpa,
        lost_motion_mm=spec.tie_bar_hole_mm - drive.wire_mm,
    )


def shifted(one: Whip, off: Shifts) -> Whip:
    """As it comes out with the pulses of the report."""
    return replace(
        one,
        theta_rad=one.theta_rad * (1.0 + off.gain) + off.tooth_rad + off.dead_rad,
        throw_mm=one.throw_mm + 2.0 * off.siting_mm,
        horn_radius_mm=one.horn_radius_mm + off.radius_mm,
        shaft_to_pin_mm=one.shaft_to_pin_mm + off.board_mm + off.roadbed_mm + off.pin_mm,
        wire_mm=one.wire_mm + off.wire_mm,
        lost_motion_mm=np.maximum(one.lost_motion_mm + off.hole_mm - off.wire_mm, 0.0),
    )


def trimmed(one: Whip, off: Shifts) -> Whip:
    """Each end pulse moved until the blade touches, and as far past it as meant."""
    out = shifted(one, replace(off, tooth_rad=0.0, gain=0.0, dead_rad=0.0))
    meant_rad = (one.overtravel_mm - one.lost_motion_mm / 2.0) / one.rate_mm_per_rad()
    left_mm = out.rate_mm_per_rad() * (meant_rad + off.dead_rad) + off.touch_mm
    return replace(out, throw_mm=out.travel_mm - 2.0 * left_mm - out.lost_motion_mm)


def study(spec: MountSpec, limits: WhipLimits, drive: WhipDrive) -> Study:
    """It is subject to all that has no part in a loop or a pivot."""
    one = whip(spec, drive)

    def closed(at: Whip) -> Closed:
        left = at.overtravel_mm - at.lost_motion_mm / 2.0
        share = at.stress_mpa / drive.wire_tensile_mpa
        return Closed(*np.broadcast_arrays(at.travel_mm, left, at.force_after_slack_n, at.stronger_force_n, share))

    return Study(
        counted=frozenset(NAMES) - {"leg_mm", "crown_mm", "bore_mm", "shaft_mm"},
        as_set=lambda off: closed(shifted(one, off)),
        trimmed=lambda off: closed(trimmed(one, off)),
    )


def examined(spec: MountSpec, limits: WhipLimits, axes: Axes) -> Examined:
    """Arm holes × wires × forces, the swing solved for each in closed form."""
    stock, height = stock_of(spec), limits.shaft_to_pin_mm
    radius, number, force = (
        axis.ravel() for axis in np.meshgrid(radii_of(spec), range(len(stock)), np.geomspace(*spec.force_n, 9))
    )
    wire, modulus, tensile = (
        np.array([getattr(kept, name) for kept in stock])[number]
        for name in ("diameter_mm", "modulus_mpa", "tensile_mpa")
    )
    one = Whip(0.0, spec.throw_mm, radius, height, wire, modulus, np.maximum(spec.tie_bar_hole_mm - wire, 0.0))
    past = one.lost_motion_mm / 2.0 + force / one.rate_n_per_mm
    one = replace(one, theta_rad=np.arctan((spec.throw_mm / 2.0 + past) / height))
    box = tolerances(spec, wire)
    weak, strong = (
        trimmed(one, signed(*box, dict.fromkeys(TRIMMED_AWAY, 0.0), otherwise=side)) for side in (-1.0, 1.0)
    )
    untrimmed = shifted(one, signed(*box, {"tooth_rad": 0.0, "siting_mm": -1.0, "hole_mm": -1.0}, otherwise=1.0))
    hole = np.ceil(4.0 * (one.travel_mm / 2.0 + siting_mm(spec) + wire)) / 2.0
    trial = Trial(
        radius_mm=radius,
        theta_rad=one.theta_rad,
        wire_mm=wire,
        drill_mm=drill_mm(wire, spec),
        stress_share=one.stress_mpa / tensile,
        untrimmed_stress_share=untrimmed.stress_mpa / tensile,
        force_n=one.force_n,
        force_after_slack_n=one.force_after_slack_n,
        stronger_force_n=one.stronger_force_n,
        travel_mm=one.travel_mm,
        lost_motion_mm=one.lost_motion_mm,
        torque_nmm=one.torque_nmm,
        dead_band_mm=np.full_like(wire, dead_band_mm(height, spec.servo)),
        end_dead_band_mm=dead_band_mm(one.rate_mm_per_rad(), spec.servo),
        trim_us=trim_room_us(one.rate_mm_per_rad(), siting_mm(spec), spec.servo),
        least_overtravel_mm=weak.overtravel_mm - weak.lost_motion_mm / 2.0,
        least_force_n=weak.force_after_slack_n,
        most_force_n=strong.stronger_force_n,
        beyond_theory=np.full_like(wire, -1.0),
    )
    own = at_most("board hole", hole, limits.max_board_hole_mm, "mm of hole in the board", "a smaller throw")

    def drive(index: int) -> WhipDrive:
        picked = {
            field.name: float(np.broadcast_to(getattr(one, field.name), wire.shape)[index]) for field in fields(one)
        }
        at, swing_deg = Whip(**picked), math.degrees(picked["theta_rad"])
        return WhipDrive(
            horn_radius_mm=at.horn_radius_mm,
            wire_mm=at.wire_mm,
            wire_tensile_mpa=float(tensile[index]),
            wire_modulus_mpa=at.modulus_mpa,
            arm_hole_drill_mm=float(trial.drill_mm[index]),
            swing_deg=swing_deg,
            travel_mm=float(at.travel_mm),
            overtravel_mm=float(at.overtravel_mm),
            lost_motion_mm=at.lost_motion_mm,
            rate_n_per_mm=float(at.rate_n_per_mm),
            force_n=float(at.force_n),
            force_after_slack_n=float(at.force_after_slack_n),
            stress_mpa=float(at.stress_mpa),
            servo_torque_nmm=float(at.torque_nmm),
            torque_margin=spec.servo.stall_torque_nmm / float(at.torque_nmm),
            # un-mirrored, the shaft points along +x: counter-clockwise takes an arm that points up to −y
            pulse_us=pulse_widths(swing_deg, spec.servo, ccw_moves_pin_to_reverse=spec.mirror),
            pin_mm_per_us=float(trial.dead_band_mm[index]) / spec.servo.dead_band_us,
            deadband_mm=float(trial.dead_band_mm[index]),
            explanation="",
            shaft_to_pin_mm=height,
            board_hole_mm=float(hole[index]),
        )

    return Examined(
        spec=spec,
        trial=trial,
        limits=(own, *shared_limits(trial, spec, wire_tail_mm=limits.wire_tail_mm)),
        cost=shared_costs(trial, spec),
        aimed=force,
        towards=np.ones(wire.size, dtype=np.bool_),
        dimensions=lambda index: f"{height - radius[index]:.1f} mm of free wire",
        drive=drive,
    )


def pin_mm(drive: WhipDrive) -> Callable[[float], float]:
    """h·tan θ."""
    return lambda theta: drive.shaft_to_pin_mm * math.tan(theta)


KIND = Kind(
    limits=WhipLimits,
    drive=WhipDrive,
    examined=examined,
    study=study,
    pin_mm=pin_mm,
    board_hole_mm=lambda drive: drive.board_hole_mm,
    unused=("it has no pivot, and no track beside it", ("depth", "held", "track_distance")),
    parts={
        "scene": "mounts.drive.whip.seen:WIRING",
        "checks": "mounts.drive.whip.seen:JUDGING",
        "export": "mounts.drive.whip.seen:DRAWING",
        "report": "mounts.drive.whip.seen:TELLING",
    },
)
