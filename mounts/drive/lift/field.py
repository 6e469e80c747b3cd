"""Every candidate of a lift with its linkage closed; arrays are (n,), or (n, k) where k places or angles are meant."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.drive.bends import BEND_RADIUS_WIRES
from mounts.drive.choices import drill_mm, radii_of, stock_of
from mounts.drive.lift import kinematics
from mounts.drive.lift.asked import Asked, as_taken, asked_of
from mounts.drive.lift.model import LiftDrive, LiftLimits
from mounts.drive.ranking import ARM_TIP_SKIN_MM
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

CROWNS_MM = (1.5, 2.0, 2.5, 3.0)
"""Of the spring bend, tried: shanks of drills, less the wire. Common practice, no source."""

BEND_AIR_MM = 0.3  # straight between two bends, so that a drill's shank finds its place; common practice, no source
ALIKE_US = 3.0  # between both ends; less than a servo's dead band
_BETWEEN = 9  # of the swing, where lean and angles are looked at
_ROUNDS = 4  # until the rod stands in the middle of its guide to micrometres


@dataclass(frozen=True)
class Field:
    """All candidates; arrays are (n,), or (n, k) where k places or angles are meant."""

    spec: MountSpec
    limits: LiftLimits
    asked: Asked
    radius: Array
    wire: Array
    modulus: Array
    tensile: Array
    crown: Array
    mid: Array
    drop: Array  # guide's lower end to shaft
    shaft_y: Array
    shaft_z: Array
    rod: Array
    pivot_y: Array
    arm: Array  # (n, k) at the places
    pulses: Array  # (n, k) whole µs
    towards: int
    leg: Array | None = None  # of the spring bend; None: as short as the stop allows
    follows: bool = False  # its ends are where another rod's pulses take it

    @property
    def shaft(self) -> tuple[Array, Array]:
        """y and z."""
        return self.shaft_y, self.shaft_z

    @property
    def foot(self) -> Array:
        """Radius of all bends but the crown."""
        return BEND_RADIUS_WIRES * self.wire

    @property
    def drill(self) -> Array:
        """Of the arm's hole."""
        return drill_mm(self.wire, self.spec)

    @property
    def play(self) -> Array:
        """Of arm hole and crank hole together."""
        return np.asarray(self.drill - self.wire + fits.CRANK_HOLE.own_mm)

    def set_arm(self) -> Array:
        """(n, k) arm angles that the whole pulses give, rad."""
        servo = self.spec.servo
        sense = lifting_sense(self.spec, self.limits)
        return np.asarray(
            self.mid[:, None] + sense * np.radians((self.pulses - servo.pulse_centre_us) * servo.degrees_per_us)
        )

    def end(self, arm: Array) -> tuple[Array, Array]:
        """The rod's upper end at arm angles (n, k)."""
        linkage = columns(self)
        if self.asked.crank_mm is None:
            return np.zeros_like(arm), kinematics.slide_z(arm, **linkage)
        return kinematics.crank_end(
            self.crank_angle(arm), crank_mm=self.asked.crank_mm, pivot=self.pivot, towards=self.towards
        )

    def crank_angle(self, arm: Array) -> Array:
        """The crank's angle at arm angles (n, k), rad."""
        return kinematics.crank_rad(
            arm, **columns(self), crank_mm=self.asked.crank_mm or 1.0, pivot=self.pivot, towards=self.towards
        )

    def off(self) -> Array:
        """(n, k) each place as it comes out less what was asked, degrees of the crank or mm."""
        wanted = np.array([place.at for place in self.asked.places])
        if self.asked.crank_mm is None:
            half_way = self.limits.guide_z[0] - (wanted.max() + wanted.min()) / 2.0
            return np.asarray(self.end(self.arm)[1] - half_way - wanted)
        return np.asarray(np.degrees(self.crank_angle(self.arm)) - wanted)

    @property
    def pivot(self) -> tuple[Array, float]:
        """Of the crank, as a column."""
        return self.pivot_y[:, None], self.asked.pivot_z

    def hole(self, arm: Array) -> tuple[Array, Array]:
        """The arm's hole at arm angles (n, k)."""
        r = self.radius[:, None]
        return self.shaft_y[:, None] + r * np.cos(arm), self.shaft_z[:, None] + r * np.sin(arm)

    def between(self) -> Array:
        """(n, 9) arm angles from one end to the other."""
        share = np.linspace(0.0, 1.0, _BETWEEN)
        low, high = self.arm.min(axis=1)[:, None], self.arm.max(axis=1)[:, None]
        return np.asarray(low + (high - low) * share)


def columns(field: Field) -> dict[str, Any]:
    return {
        "radius_mm": field.radius[:, None],
        "rod_mm": field.rod[:, None],
        "shaft": (field.shaft_y[:, None], field.shaft_z[:, None]),
    }


def lifting_sense(spec: MountSpec, limits: LiftLimits) -> float:
    """+1 where a longer pulse lifts the rod."""
    return (1.0 if limits.ccw_lifts else -1.0) * (1.0 if spec.servo.pulse_turns == "ccw" else -1.0)


def laid_out(spec: MountSpec, limits: LiftLimits) -> Field:
    """Every candidate with its linkage closed at mid, and its arm where the places are."""
    asked, servo, stock = asked_of(spec), spec.servo, stock_of(spec)
    axes = np.meshgrid(radii_of(spec), range(len(stock)), CROWNS_MM, np.radians(limits.mids_deg), indexing="ij")
    radius, number_, crown, mid = (axis.ravel() for axis in axes)
    wire, modulus, tensile = (
        np.array([getattr(one, name) for one in stock])[number_.astype(int)]
        for name in ("diameter_mm", "modulus_mpa", "tensile_mpa")
    )
    figures = np.array([place.at for place in asked.places])
    alone = limits.between_rods_mm is None  # otherwise cranks point to the arm's other end, as both booms do
    towards = 1 if (alone if asked.pivot_y is None else asked.pivot_y <= 0.0) else -1
    crank = asked.crank_mm or 0.0
    turned = np.radians(figures)
    lifts = crank * np.sin(turned) if crank else figures
    half = (lifts.max() - lifts.min()) / 2.0
    with np.errstate(invalid="ignore"):
        swing = np.arcsin(half / (radius * np.cos(mid)))
    rise = radius * (np.sin(mid + swing) - np.sin(mid))
    tip = servo.horn_length_mm * np.sin(np.maximum(mid + swing, 0.0)) + servo.horn_tip_width_mm / 2.0
    drop = np.maximum.reduce([
        np.full_like(radius, limits.shaft_below_guide_mm),
        _bend_room(wire, crown) + rise + radius * np.sin(mid),
        tip + limits.arm_air_mm,
    ])  # fmt: skip
    shaft_z = limits.guide_z[0] - drop
    reach = np.cos(np.stack([mid - swing, mid, mid + swing]))
    shaft_y = -radius * (reach.max(axis=0) + reach.min(axis=0)) / 2.0
    upright = -towards * crank * (np.cos(turned).max() + np.cos(turned).min()) / 2.0
    pivot_y = np.full_like(radius, upright if asked.pivot_y is None else asked.pivot_y)
    field = Field(
        spec=spec, limits=limits, asked=asked, radius=radius, wire=wire, modulus=modulus, tensile=tensile, crown=crown,
        mid=mid, drop=drop, shaft_y=shaft_y, shaft_z=shaft_z, rod=np.full_like(radius, np.nan), pivot_y=pivot_y,
        arm=np.full((radius.size, figures.size), np.nan), pulses=np.zeros((radius.size, figures.size)), towards=towards,
    )  # fmt: skip
    for _ in range(_ROUNDS if crank else 0):
        field = _closed(field, figures)
        low, high = passing(field, np.mean(limits.guide_z))
        share = (np.mean(limits.guide_z) - field.shaft_z) / (asked.pivot_z - field.shaft_z)
        field = replace(field, shaft_y=field.shaft_y - (low + high) / 2.0 / (1.0 - share))
    field = _closed(field, figures)
    off = np.degrees(field.arm - field.mid[:, None]) / servo.degrees_per_us
    field = replace(field, pulses=servo.pulse_centre_us + lifting_sense(spec, limits) * _whole(off))
    return replace(field, arm=field.set_arm())  # what whole pulses come to is judged


def _whole(off_us: Array) -> Array:
    """Whole pulses from the centre, alike at both ends where they nearly are: two that mirror each other swap them."""
    low, high = off_us.min(axis=1)[:, None], off_us.max(axis=1)[:, None]
    half = np.round((high - low) / 2.0)
    ends = np.where(off_us == high, half, np.where(off_us == low, -half, np.round(off_us)))
    return np.asarray(np.where(np.abs(high + low) <= ALIKE_US, ends, np.round(off_us)))


def _bend_room(wire: Array, crown: Array) -> Array:
    """Arm's hole at its highest to the guide: corner at the arm, foot, crown, foot, each with a bit of straight."""
    foot = BEND_RADIUS_WIRES * wire
    return np.asarray(2.0 * foot + BEND_AIR_MM + 2.0 * crown + foot + 2 * BEND_AIR_MM)


def _closed(field: Field, figures: Array) -> Field:
    """The rod as long as it takes with the arm at mid and what it moves half way, and the arm at each place."""
    asked = field.asked
    hole_y, hole_z = (at[:, 0] for at in field.hole(field.mid[:, None]))
    if asked.crank_mm is None:
        end_y, end_z = np.zeros_like(hole_y), np.full_like(hole_y, field.limits.guide_z[0])
        target = (np.zeros_like(figures)[None, :], end_z[:, None] + (figures - (figures.max() + figures.min()) / 2.0))
    else:
        turned = np.radians(figures)
        half_way = np.arcsin((np.sin(turned).max() + np.sin(turned).min()) / 2.0)
        end_y, end_z = kinematics.crank_end(
            half_way, crank_mm=asked.crank_mm, pivot=(field.pivot_y, asked.pivot_z), towards=field.towards
        )
        target = kinematics.crank_end(
            turned[None, :], crank_mm=asked.crank_mm, pivot=field.pivot, towards=field.towards
        )
    field = replace(field, rod=np.hypot(end_y - hole_y, end_z - hole_z))
    return replace(field, arm=kinematics.arm_rad(*target, **columns(field)))


def passing(field: Field, z: float | np.floating[Any]) -> tuple[Array, Array]:
    """Least and most y of the rod's axis at a height over the swing, (n,)."""
    arm = field.between()
    (hole_y, hole_z), (end_y, end_z) = field.hole(arm), field.end(arm)
    if field.asked.crank_mm is None:  # bent to stand upright from the guide on
        y = np.zeros_like(arm)
    else:
        y = hole_y + (end_y - hole_y) * (z - hole_z) / (end_z - hole_z)
    return np.asarray(y.min(axis=1)), np.asarray(y.max(axis=1))


def cut_arm_mm(radius_mm: Array, drill_mm: Array, spec: MountSpec) -> Array:
    """Shaft to the farthest corner of an arm cut off square behind its hole, as short as lets that hold.

    As if it were as wide there as its hub, from which it tapers.
    """
    return np.hypot(radius_mm + drill_mm / 2.0 + ARM_TIP_SKIN_MM, spec.servo.horn_hub_mm / 2.0)


def as_field(spec: MountSpec, limits: LiftLimits, drive: LiftDrive) -> Field:
    """A drive that exists, worked out anew from its dimensions."""
    asked = asked_of(as_taken(spec, drive))
    one: dict[str, Any] = {name: np.array([value]) for name, value in (
        ("radius", drive.horn_radius_mm), ("wire", drive.wire_mm), ("modulus", drive.wire_modulus_mpa),
        ("tensile", drive.wire_tensile_mpa), ("crown", drive.loop_radius_mm), ("mid", math.radians(drive.mid_deg)),
        ("drop", limits.guide_z[0] - drive.shaft[1]), ("shaft_y", drive.shaft[0]), ("shaft_z", drive.shaft[1]),
        ("rod", drive.rod_length_mm), ("leg", drive.loop_leg_mm),
        ("pivot_y", drive.crank_pivot[0] if drive.crank_pivot else 0.0),
    )}  # fmt: skip
    arm = np.radians(np.array([[place.arm_deg for place in drive.positions]]))
    pulses = np.array([[place.pulse_us for place in drive.positions]])
    return Field(spec=spec, limits=limits, asked=asked, **one, arm=arm, pulses=pulses, towards=drive.crank_towards or 1)


def swing_rad(field: Field) -> Array:
    """From the whole pulses, the larger side, (n,)."""
    return np.asarray(np.abs(field.set_arm() - field.mid[:, None]).max(axis=1))


def only(field: Field, index: int) -> Field:
    """One candidate by itself."""
    kept: dict[str, Any] = {
        name: value[index : index + 1] for name, value in vars(field).items() if isinstance(value, np.ndarray)
    }
    return replace(field, **kept)
