"""The field of candidate rocking wires: every discrete choice, with the pivot depth solved for each."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.drive.choices import FREE, SWING_STEP_US, Axes, drill_mm, radii_of, stock_of, swings_rad
from mounts.drive.rocking_wire.closing import Linkage, elastic_line, free_pin_mm, lost_motion_mm
from mounts.drive.rocking_wire.model import RockingWireLimits
from mounts.drive.tolerances import tolerances
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

TURNING_MARGIN_RAD = math.radians(8.0)
"""Kept between full swing and the angle where the travel turns back."""

SHORTEST_SPAN_MM = 3.0
"""Nothing shorter between pivot and arm hole is looked at; the room for the case asks for more anyway."""

LONGEST_SPAN_MM = 500.0  # end of the search; ``max_depth_mm`` ends at 200

_TARGETS = 9  # forces over the band asked for, both ends among them


@dataclass(frozen=True)
class Field:
    """Candidates as arrays (n,); the linkage's pivot depth is NaN where the throw cannot be met."""

    link: Linkage
    tensile_mpa: Array
    drill_mm: Array  # arm hole, as bought or opened
    aimed: Array  # the force or over-travel the depth was solved for; NaN where it is pinned

    def arrays(self) -> tuple[Array, Array, Array]:
        """Horn radius, pivot depth and half swing, each (n,), mm mm rad."""
        return (
            np.asarray(self.link.horn_radius_mm),
            np.asarray(self.link.pivot_to_horn_mm),
            np.asarray(self.link.theta_rad),
        )


def field(spec: MountSpec, limits: RockingWireLimits, *, axes: Axes = FREE) -> Field:
    """All candidates: arm holes × wires × arm directions × swings × forces, each with its pivot depth.

    Where over-travels are asked for they take the place of the forces.

    The arm points away from the pivot only where the arm's screw is flush: the straight wire then passes
    over the shaft in the plane of the arm's outer face.

    Args:
        spec: the request.
        limits: for the pivot's place and slack.
        axes: swings and over-travels of a matching family.

    Raises:
        InputError: a pinned wire or arm hole that does not exist.
    """
    stock = stock_of(spec)
    ways = (True,) if spec.servo.horn_screw_proud_mm > 0 else (True, False)  # towards the pivot or not
    pinned = spec.depth_mm
    overtravels = _overtravels_mm(spec, axes)
    targets = np.array([np.nan]) if pinned is not None else overtravels
    if targets is None:
        targets = np.geomspace(*spec.force_n, _TARGETS)
    swings = swings_rad(spec, axes, step_us=SWING_STEP_US if pinned is None else 1.0)
    all_axes = (np.array(radii_of(spec)), np.arange(len(stock)), np.array(ways), swings, targets)
    radius, number, towards, theta, target = (axis.ravel() for axis in np.meshgrid(*all_axes, indexing="ij"))
    wire, modulus, tensile = (
        np.array([getattr(kept, key) for kept in stock])[number]
        for key in ("diameter_mm", "modulus_mpa", "tensile_mpa")
    )
    drill = drill_mm(wire, spec)
    link = Linkage(
        theta_rad=theta,
        throw_mm=spec.throw_mm,
        horn_radius_mm=radius,
        pivot_to_horn_mm=np.full_like(radius, np.nan),
        pivot_to_pin_mm=limits.pivot_to_pin_mm,
        horn_towards_pivot=towards,
        wire_mm=wire,
        modulus_mpa=modulus,
        pivot_slack_mm=limits.pivot_slack_mm,
        arm_slack_mm=drill - wire,
        pin_slack_mm=np.maximum(spec.tie_bar_hole_mm - wire, 0.0),
        held=spec.wire_held,
    )
    _, off = tolerances(spec, wire)
    # so that every tolerance leaves a linkage that works, before it is trimmed too
    most_theta = theta * (1.0 + off.gain) + off.tooth_rad + off.dead_rad
    least = shortest_span_mm(radius + off.radius_mm, most_theta, towards) + off.radius_mm + off.shaft_mm
    if pinned is not None:
        span = np.where(pinned >= least, pinned, np.nan)
    else:
        span = _solved_span_mm(link, target, least, of_overtravel=overtravels is not None)
    return Field(link=replace(link, pivot_to_horn_mm=span), tensile_mpa=tensile, drill_mm=drill, aimed=target)


def shortest_span_mm(radius_mm: Array, theta_rad: Array, horn_towards_pivot: NDArray[np.bool_]) -> Array:
    """Least pivot depth at which the swing stays ``TURNING_MARGIN_RAD`` clear of turning back, mm, (n,).

    Towards: cos(θ + margin) = r/(d + r). Away: the wire must pass the hub, 2r at least, where the travel
    turns back beyond 90° only.
    """
    towards = radius_mm * (1.0 / np.cos(theta_rad + TURNING_MARGIN_RAD) - 1.0)
    return np.asarray(np.maximum(np.where(horn_towards_pivot, towards, 2.0 * radius_mm), SHORTEST_SPAN_MM))


def _overtravels_mm(spec: MountSpec, axes: Axes) -> Array | None:
    if axes.overtravels_mm is not None:
        return np.asarray(axes.overtravels_mm, dtype=np.float64)
    return None if spec.overtravel_mm is None else np.array([spec.overtravel_mm])


def _solved_span_mm(link: Linkage, target: Array, shortest_mm: Array, *, of_overtravel: bool) -> Array:
    """Pivot depth that gives the target, to 0.01 mm: a force at the blades, slack taken up, or an over-travel.

    Force: unique, for travel and rate fall with d. Over-travel: half the travel = half the throw + δ. NaN where
    even the shortest depth moves
    the pin too little, or the longest too much.
    """
    from scipy.optimize import elementwise

    def surplus(span: Array, index: Array) -> Array:
        rows = index.astype(np.int64)
        at = _taken(link, rows, span)
        if of_overtravel:
            return np.asarray(free_pin_mm(at) - np.asarray(at.throw_mm) / 2.0 - target[rows])
        return np.asarray(elastic_line(at, lost_motion_mm(at)).force_n() - target[rows])

    everyone = np.arange(target.size, dtype=np.float64)
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
