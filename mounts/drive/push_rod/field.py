"""The field of candidate push rods: every discrete choice, with the loop's legs solved for each."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.drive.bends import BEND_RADIUS_WIRES
from mounts.drive.choices import FREE, SWING_STEP_US, Axes, drill_mm, radii_of, stock_of, swings_rad
from mounts.drive.push_rod.closing import Rod, chord_mm
from mounts.drive.push_rod.loop import Loop, given, slant_rad
from mounts.drive.push_rod.model import PushRodLimits
from mounts.drive.tolerances import HAND_BENT_MM, TOUCH_MM, tolerances
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

LONGEST_LEG_MM = 80.0  # end of the search; the limit of the loop's height lies far below

STEEPEST_LEAN_SINE = 0.5
"""Sine of 30°: a rod that leans more, or is shorter than arm and offset together, is no push rod."""

LEAST_GAP_MM = 0.3
"""Left between the legs of a loop whose points are held closed, all tolerances against it. Common practice, no
source: legs that touch make the spring solid."""

STEEPEST_SLANT_RAD = np.radians(25.0)
"""Of the legs: feet bent by more than 115° need the wire's end out of the way. Common practice, no source."""

_FOLDED_MM = 1e3  # stands for the endless shortening of a folded loop, which no root-finder takes
_TARGETS = 4  # forces to solve for, from the weak end of the band: a factor of 1.3 apart in 0.5 to 1.5 N
_CROWNS = np.array([(1.0, 0), (1.3, 0), (1.7, 0), (2.3, 0), (3.2, 0), (1.3, 1), (1.7, 1), (2.3, 1)])
"""Crowns as multiples of the tightest that keeps the feet apart, with parallel legs (0), and again with the feet as
near as they may be (1: waisted)."""


@dataclass(frozen=True)
class RodField:
    """Candidates as arrays (n,); the rod's length is NaN where it can't reach, the leg where no loop fits."""

    rod: Rod
    foot_radius_mm: Array
    half_width_mm: Array  # room kept along the rod either side of the loop's middle, rounded feet included
    tensile_mpa: Array
    drill_mm: Array
    aimed: Array  # the force the legs were solved for

    def foot_tangent_mm(self) -> Array:
        """What the rounding of a foot takes off the leg and off the straight rod, (n,)."""
        rod = self.rod
        slant = slant_rad(half_gap_mm=rod.half_gap_mm, crown_mm=rod.loop_radius_mm, leg_mm=rod.leg_mm)
        return np.asarray(self.foot_radius_mm * np.tan(np.pi / 4.0 + slant / 2.0))

    def width_mm(self) -> Array:
        """Loop along the rod, rounded feet and the crown's outside included, (n,)."""
        rod = self.rod
        feet, crown = np.asarray(rod.half_gap_mm) + self.foot_tangent_mm(), np.asarray(rod.loop_radius_mm)
        return np.asarray(2.0 * np.maximum(feet, crown + np.asarray(rod.wire_mm) / 2.0))


def rod_field(spec: MountSpec, limits: PushRodLimits, *, axes: Axes = FREE) -> RodField:
    """All candidates: arm holes × wires × swings × crowns × forces, each with the loop's legs.

    The feet stand so far apart that the pushed loop stays open. The rod is the shortest allowed that holds the loop
    between its straights. An over-travel that is asked for is met by the swing alone, so that every µs is tried.

    Args:
        spec: the request.
        limits: for the rod's length and offset, and the loop's width.
        axes: swings of a matching family; its over-travels have no axis here.

    Raises:
        InputError: a pinned wire or arm hole that does not exist.
    """
    stock = stock_of(spec)
    step_us = 2.0 * SWING_STEP_US if spec.overtravel_mm is None else 1.0
    swings = swings_rad(spec, axes, step_us=step_us)
    targets = np.geomspace(*spec.force_n, _TARGETS + 1)[:-1]
    all_axes = (np.array(radii_of(spec)), np.arange(len(stock)), swings, np.arange(len(_CROWNS)), targets)
    radius, number, theta, crown_number, target = (axis.ravel() for axis in np.meshgrid(*all_axes, indexing="ij"))
    wire, modulus, tensile = (
        np.array([getattr(kept, key) for kept in stock])[number]
        for key in ("diameter_mm", "modulus_mpa", "tensile_mpa")
    )
    times, waisted = _CROWNS[crown_number].T
    foot = BEND_RADIUS_WIRES * wire
    feet = least_half_gap_mm(spec, horn_radius_mm=radius, theta_rad=theta, wire_mm=wire)
    crown = times * np.maximum(foot, feet)
    half_gap = np.where(waisted > 0.0, feet, crown)
    tangent = foot * np.tan(np.pi / 4.0 + np.where(waisted > 0.0, STEEPEST_SLANT_RAD, 0.0) / 2.0)
    half_width = np.maximum(half_gap + tangent, crown + wire / 2.0)
    before = before_loop_mm(limits, horn_radius_mm=radius, theta_rad=theta)
    needed = before + 2.0 * half_width + limits.after_loop_mm
    drill = drill_mm(wire, spec)
    offset = radius - limits.let_down_mm
    length = np.clip(needed, *limits.rod_length_mm)
    beyond = np.maximum(np.abs(radius - offset), np.abs(radius * np.cos(theta) - offset))
    reaches = (beyond < STEEPEST_LEAN_SINE * length) & (radius + np.abs(offset) < length)
    reaches &= before + 2.0 * half_width < length
    # where the rod is longer than it need be the loop stands at that end of its room where it steps sideways less
    near, far = before + half_width - half_gap, length - limits.after_loop_mm - half_width - half_gap
    steps = [at * (length - 2.0 * half_gap - at) for at in (near, far)]
    rod = Rod(
        theta_rad=theta,
        throw_mm=spec.throw_mm,
        horn_radius_mm=radius,
        rod_length_mm=np.where(reaches, length, np.nan),
        offset_mm=offset,
        before_mm=np.where((far >= near) & (steps[1] < 0.9 * steps[0]), far, near),
        half_gap_mm=half_gap,
        loop_radius_mm=crown,
        leg_mm=np.full_like(radius, np.nan),
        wire_mm=wire,
        modulus_mpa=modulus,
        arm_slack_mm=drill - wire,
        pin_slack_mm=np.maximum(spec.tie_bar_hole_mm - wire, 0.0),
    )
    solved = replace(rod, leg_mm=_solved_leg_mm(rod, target))
    return RodField(solved, foot, half_width, tensile, drill, target)


def least_half_gap_mm(spec: MountSpec, *, horn_radius_mm: Array, theta_rad: Array, wire_mm: Array) -> Array:
    """Half the distance between the feet at which the pushed loop stays open, to the wire's centres, mm, (n,).

    The feet come together by the over-travel r·sin θ − throw/2 and what its tolerances add, a twentieth more for a rod
    that leans; they are bent by hand, and ``LEAST_GAP_MM`` is left.

    Args:
        spec: throw, and what may be off.
        horn_radius_mm: (n,) r, mm.
        theta_rad: (n,) half swing θ, rad.
        wire_mm: (n,) diameter, mm.
    """
    _, off = tolerances(spec, wire_mm)
    swing = theta_rad + off.dead_rad
    most = (horn_radius_mm + off.radius_mm) * np.sin(swing) - spec.throw_mm / 2.0 + TOUCH_MM
    return np.asarray((wire_mm + 1.05 * np.maximum(most, 0.0) + LEAST_GAP_MM) / 2.0 + HAND_BENT_MM)


def before_loop_mm(limits: PushRodLimits, *, horn_radius_mm: ArrayLike, theta_rad: ArrayLike) -> Array:
    """Straight rod from the arm hole to the loop, mm: room for the arm, and r·sin θ of way; both broadcast, (n,)."""
    radius, swing = np.broadcast_arrays(np.asarray(horn_radius_mm, dtype=np.float64), np.sin(theta_rad))
    if limits.arm_sweep_mm is None:
        return np.full_like(radius, limits.before_loop_mm)
    length, more = limits.arm_sweep_mm
    shell = np.maximum(limits.before_loop_mm, length * swing + more)
    return np.asarray(shell + radius * swing)


def _solved_leg_mm(rod: Rod, target_n: Array) -> Array:
    """Leg with which the blades are pushed with the target force, slack taken up, to 0.1 mm.

    The loop gives more with a longer leg: unique. NaN where the points do not close, or where even a bare
    crown is too soft or the longest leg too stiff.
    """
    from scipy.optimize import elementwise

    chord, lean, _ = chord_mm(rod, 1)
    left = np.asarray(rod.rod_length_mm) - chord - (np.asarray(rod.arm_slack_mm) + np.asarray(rod.pin_slack_mm)) / 2.0
    wanted = np.where(left > 0.0, left, np.nan)
    load = target_n / np.cos(lean)
    loop = rod.loop()
    stiff = np.broadcast_to(np.asarray(loop.stiffness_nmm2), wanted.shape)

    def surplus(leg: Array, *of: Array) -> Array:
        gap, crown, before, after, stiffness, pressed, give = of
        bent = given(Loop(gap, crown, leg, before, after, stiffness), pressed)
        return np.asarray(np.minimum(bent.shortening_mm, _FOLDED_MM) / give - 1.0)

    found = elementwise.find_root(
        surplus,
        (np.zeros_like(wanted), np.full_like(wanted, LONGEST_LEG_MM)),
        args=(loop.half_gap_mm, loop.crown_mm, loop.before_mm, loop.after_mm, stiff, load, wanted),
        tolerances={"xatol": 1e-3, "xrtol": 0.0, "fatol": 0.0, "frtol": 0.0},
    )
    return np.asarray(np.where(found.success, np.round(found.x, 1), np.nan))
