"""The field of candidate push rods: every discrete choice, with the loop's legs solved for each."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.drive.choices import FREE, SWING_STEP_US, Axes, drill_mm, radii_of, stock_of, swings_rad
from mounts.drive.loop import loop_rate_n_per_mm
from mounts.drive.model import PushRodLimits
from mounts.drive.rod_closing import Rod, ends_mm
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

BEND_RADIUS_WIRES = 2.0
"""Least centre-line bend radius in wire diameters: 1.5 inside (standards.md, 5) and half the wire."""

LONGEST_LEG_MM = 80.0

STEEPEST_LEAN_SINE = 0.5
"""Sine of 30°: a rod that leans more, or is shorter than arm and offset together, is no push rod."""

_TARGETS = 5
_CROWN_SHARES = (0.0, 0.2, 0.45, 1.0)  # from the tightest crown to the widest that the width allows


@dataclass(frozen=True)
class RodField:
    """Candidates as arrays (n,); the rod's length is NaN where it can't reach, the leg where no loop fits."""

    rod: Rod
    foot_radius_mm: Array
    tensile_mpa: Array
    drill_mm: Array
    aimed: Array  # the force the legs were solved for

    def width_mm(self) -> Array:
        """Loop along the rod, rounded feet included, (n,)."""
        return np.asarray(2.0 * (np.asarray(self.rod.loop_radius_mm) + self.foot_radius_mm))


def rod_field(spec: MountSpec, limits: PushRodLimits, *, axes: Axes = FREE, stride: int = 1) -> RodField:
    """All candidates: arm holes × wires × swings × crowns × forces, each with the loop's legs.

    The rod is the shortest allowed that holds the loop between its straights. An over-travel that is asked
    for is met by the swing alone, so that every µs is tried.

    Args:
        spec: the request.
        limits: for the rod's length and offset, and the loop's width.
        axes: swings of a matching family; its over-travels have no axis here.
        stride: takes every stride-th swing and force only, a part of the whole field.

    Raises:
        InputError: a pinned wire or arm hole that does not exist.
    """
    stock = stock_of(spec)
    step_us = 2.0 * SWING_STEP_US if spec.overtravel_mm is None else 1.0
    swings = swings_rad(spec, axes, step_us=step_us)[::stride]
    targets = np.geomspace(*spec.force_n, _TARGETS)[:: 2 if stride > 1 else 1]
    all_axes = (np.array(radii_of(spec)), np.arange(len(stock)), swings, np.array(_CROWN_SHARES), targets)
    radius, number, theta, share, target = (axis.ravel() for axis in np.meshgrid(*all_axes, indexing="ij"))
    wire, modulus, tensile = (
        np.array([getattr(kept, key) for kept in stock])[number]
        for key in ("diameter_mm", "modulus_mpa", "tensile_mpa")
    )
    foot = BEND_RADIUS_WIRES * wire
    crown = foot + share * np.maximum(limits.max_loop_width_mm / 2.0 - 2.0 * foot, 0.0)
    before = before_loop_mm(limits, horn_radius_mm=radius, theta_rad=theta)
    needed = before + 2.0 * (crown + foot) + limits.after_loop_mm
    drill = drill_mm(wire, spec)
    offset = radius - limits.let_down_mm
    length = np.clip(needed, *limits.rod_length_mm)
    beyond = np.maximum(np.abs(radius - offset), np.abs(radius * np.cos(theta) - offset))
    reaches = (beyond < STEEPEST_LEAN_SINE * length) & (radius + np.abs(offset) < length)
    rod = Rod(
        theta_rad=theta,
        throw_mm=spec.throw_mm,
        horn_radius_mm=radius,
        rod_length_mm=np.where(reaches, length, np.nan),
        offset_mm=offset,
        leg_mm=np.full_like(radius, np.nan),
        loop_radius_mm=crown,
        wire_mm=wire,
        modulus_mpa=modulus,
        arm_slack_mm=drill - wire,
        pin_slack_mm=np.maximum(spec.tie_bar_hole_mm - wire, 0.0),
    )
    return RodField(replace(rod, leg_mm=_solved_leg_mm(rod, target)), foot, tensile, drill, target)


def before_loop_mm(limits: PushRodLimits, *, horn_radius_mm: ArrayLike, theta_rad: ArrayLike) -> Array:
    """Straight rod from the arm hole to the loop's near foot, mm, broadcast: room for the arm, and r·sin θ of way."""
    radius, swing = np.broadcast_arrays(np.asarray(horn_radius_mm, dtype=np.float64), np.sin(theta_rad))
    if limits.arm_sweep_mm is None:
        return np.full_like(radius, limits.before_loop_mm)
    length, more = limits.arm_sweep_mm
    shell = np.maximum(limits.before_loop_mm, length * swing + more)
    return np.asarray(shell + radius * swing)


def _solved_leg_mm(rod: Rod, target_n: Array) -> Array:
    """Leg with which the blades are pressed with the target force, slack taken up, to 0.1 mm.

    The loop's rate falls with its leg: unique. NaN where the points do not close, or where even a bare
    semicircle is too soft or the longest leg too stiff.
    """
    from scipy.optimize import elementwise

    near, far = ends_mm(rod)
    left = (far - near - np.asarray(rod.throw_mm) - rod.arm_slack_mm - rod.pin_slack_mm) / 2.0
    wanted = target_n / np.where(left > 0.0, left, np.nan)

    def surplus(leg: Array, crown: Array, wire: Array, modulus: Array, rate: Array) -> Array:
        return loop_rate_n_per_mm(leg_mm=leg, radius_mm=crown, wire_mm=wire, modulus_mpa=modulus) / rate - 1.0

    found = elementwise.find_root(
        surplus,
        (np.zeros_like(wanted), np.full_like(wanted, LONGEST_LEG_MM)),
        args=(rod.loop_radius_mm, rod.wire_mm, rod.modulus_mpa, wanted),
        tolerances={"xatol": 1e-3, "xrtol": 0.0, "fatol": 0.0, "frtol": 0.0},
    )
    return np.asarray(np.where(found.success, np.round(found.x, 1), np.nan))
