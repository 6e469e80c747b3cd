"""The field of candidate rocking wires: every discrete choice, with the pivot depth solved for each."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.drive.closing import Linkage, closing
from mounts.drive.model import RockingWireLimits
from mounts.drive.tolerances import tolerances
from mounts.errors import InputError
from mounts.inputs.spec import MountSpec
from mounts.inputs.wire import StockWire

Array = NDArray[np.float64]

SWINGS_DEG = (10.0, 50.0)
"""Half swings tried, unless pinned. Common practice, no source: less is coarse, more leans the wire."""

SWING_STEP_US = 10.0
"""Half swings are whole multiples of this pulse, so that the controller's settings are round numbers."""

TURNING_MARGIN_RAD = math.radians(8.0)
"""Kept between full swing and the angle where the travel turns back."""

SHORTEST_SPAN_MM = 3.0
"""Nothing shorter between pivot and arm hole is looked at; the room for the case asks for more anyway."""

LONGEST_SPAN_MM = 500.0

_TARGETS = 7


@dataclass(frozen=True)
class Field:
    """Candidates as arrays (n,); the linkage's pivot depth is NaN where the throw cannot be met."""

    link: Linkage
    tensile_mpa: Array
    drill_mm: Array  # arm hole, as bought or opened

    def arrays(self) -> tuple[Array, Array, Array]:
        """Horn radius, pivot depth and half swing, each (n,), mm mm rad."""
        return (
            np.asarray(self.link.horn_radius_mm),
            np.asarray(self.link.pivot_to_horn_mm),
            np.asarray(self.link.theta_rad),
        )


def stock_of(spec: MountSpec) -> tuple[StockWire, ...]:
    """The wires to try: all in stock, or the pinned one."""
    if spec.wire_mm is None:
        return spec.wire.stock
    chosen = tuple(w for w in spec.wire.stock if math.isclose(w.diameter_mm, spec.wire_mm, abs_tol=1e-6))
    if not chosen:
        known = " ".join(f"{w.diameter_mm:g}" for w in spec.wire.stock)
        raise InputError(f"{spec.id}: wire_mm = {spec.wire_mm:g}: must be one of {known} mm (stock)")
    return chosen


def radii_of(spec: MountSpec) -> tuple[float, ...]:
    """The arm holes to try: all of the servo's arm, or the pinned one."""
    if spec.arm_hole_mm is None:
        return spec.servo.horn_radii_mm
    chosen = tuple(r for r in spec.servo.horn_radii_mm if math.isclose(r, spec.arm_hole_mm, abs_tol=1e-6))
    if not chosen:
        known = " ".join(f"{r:g}" for r in spec.servo.horn_radii_mm)
        raise InputError(f"{spec.id}: arm_hole_mm = {spec.arm_hole_mm:g}: must be one of {known} mm")
    return chosen


def swings_rad(spec: MountSpec, *, step_us: float = SWING_STEP_US) -> Array:
    """Half swings to try, rad: the pinned one, or round pulses between ``SWINGS_DEG``."""
    if spec.swing_deg is not None:
        return np.array([math.radians(spec.swing_deg)])
    low, high = (edge / spec.servo.degrees_per_us / step_us for edge in SWINGS_DEG)
    steps = np.arange(math.ceil(low - 1e-9), math.floor(high + 1e-9) + 1)
    return np.asarray(np.radians(steps * step_us * spec.servo.degrees_per_us))


def field(spec: MountSpec, limits: RockingWireLimits, *, stride: int = 1) -> Field:
    """All candidates: arm holes × wires × arm directions × swings × forces, each with its pivot depth.

    The arm points away from the pivot only where the horn screw is flush: the straight wire then passes
    over the shaft in the plane of the arm's outer face.

    Args:
        spec: the request.
        limits: for the pivot's place and slack.
        stride: takes every stride-th swing and force only, a part of the whole field.

    Raises:
        InputError: a pinned wire or arm hole that does not exist.
    """
    stock = stock_of(spec)
    directions = (1.0,) if spec.servo.horn_screw_proud_mm > 0 else (1.0, -1.0)
    pinned = spec.depth_mm
    targets = np.geomspace(*spec.force_n, _TARGETS)[::stride] if pinned is None else np.array([np.nan])
    swings = swings_rad(spec, step_us=SWING_STEP_US if pinned is None else 1.0)[::stride]
    axes = (np.array(radii_of(spec)), np.arange(len(stock)), np.array(directions), swings, targets)
    radius, number, direction, theta, target = (axis.ravel() for axis in np.meshgrid(*axes, indexing="ij"))
    wire, modulus, tensile = (
        np.array([getattr(kept, key) for kept in stock])[number]
        for key in ("diameter_mm", "modulus_mpa", "tensile_mpa")
    )
    drill = np.maximum(spec.servo.horn_hole_mm, wire + 0.2)  # turns freely; common practice, no source
    link = Linkage(
        theta_rad=theta,
        throw_mm=spec.throw_mm,
        horn_radius_mm=radius,
        pivot_to_horn_mm=np.full_like(radius, np.nan if pinned is None else pinned),
        pivot_to_pin_mm=limits.pivot_to_pin_mm,
        horn_towards_pivot=direction > 0,
        wire_mm=wire,
        modulus_mpa=modulus,
        pivot_slack_mm=limits.pivot_slack_mm,
        arm_slack_mm=drill - wire,
        pin_slack_mm=np.maximum(spec.scale.tie_bar_hole_mm - wire, 0.0),
        held=spec.wire_held,
    )
    tol = tolerances(spec)
    least = shortest_span_mm(radius + tol.horn_radius_mm, theta + tol.theta_rad, direction)
    least += tol.horn_radius_mm + tol.shaft_mm  # so that every tolerance leaves a linkage that works
    span = _solved_span_mm(link, target, least) if pinned is None else np.where(pinned >= least, pinned, np.nan)
    return Field(link=replace(link, pivot_to_horn_mm=span), tensile_mpa=tensile, drill_mm=drill)


def shortest_span_mm(radius_mm: Array, theta_rad: Array, direction: Array) -> Array:
    """Least pivot depth at which the swing stays ``TURNING_MARGIN_RAD`` clear of turning back, mm.

    Towards: cos(θ + margin) = r/(d + r). Away: the wire must pass the hub, 2r at least, where the travel
    turns back beyond 90° only.
    """
    towards = radius_mm * (1.0 / np.cos(theta_rad + TURNING_MARGIN_RAD) - 1.0)
    return np.asarray(np.maximum(np.where(direction > 0, towards, 2.0 * radius_mm), SHORTEST_SPAN_MM))


def _solved_span_mm(link: Linkage, target_n: Array, shortest_mm: Array) -> Array:
    """Pivot depth where the blades are pressed with the target force, slack taken up, to 0.01 mm.

    Half the travel = half the throw + half the lost motion + F/k(d); unique, for travel falls and F/k
    rises with d. NaN where even the shortest depth moves the pin too little, or the longest too much.
    """
    from scipy.optimize import elementwise

    def surplus(span: Array, index: Array) -> Array:
        rows = index.astype(np.int64)
        at = closing(_taken(link, rows, span))
        return np.asarray(at.overtravel_mm - at.lost_motion_mm / 2.0 - target_n[rows] / at.rate_n_per_mm)

    everyone = np.arange(target_n.size, dtype=np.float64)
    found = elementwise.find_root(
        surplus,
        (shortest_mm, np.full_like(shortest_mm, LONGEST_SPAN_MM)),
        args=(everyone,),
        tolerances={"xatol": 1e-4, "xrtol": 0.0, "fatol": 0.0, "frtol": 0.0},
    )
    return np.asarray(np.where(found.success, np.round(found.x, 2), np.nan))


def _taken(link: Linkage, index: NDArray[np.int64], span: Array) -> Linkage:
    """The candidates of an index, at another pivot depth; scalars stay."""
    picked: dict[str, Any] = {
        f.name: getattr(link, f.name)[index] for f in fields(link) if isinstance(getattr(link, f.name), np.ndarray)
    }
    return replace(link, **{**picked, "pivot_to_horn_mm": span})
