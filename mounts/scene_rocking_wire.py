"""A rocking wire in space, and as it is bent and cut off: the one place that knows its length."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from mounts import scene
from mounts.design import Design
from mounts.drive.bends import z_bend_mm
from mounts.drive.kinds import driven
from mounts.drive.rocking_wire.model import RockingWireDrive
from mounts.frames import Array, crossed
from mounts.inputs.spec import MountSpec
from mounts.scene_kinds import Wiring
from mounts.scene_wire import Mark

WIRE_ABOVE_PIN_MM = 2.0  # left standing above the tie bar; common practice, no source
INSIDE_RADII = 1.5  # of a bend, in wire diameters; tighter bends crack spring wire (common practice)
MOST_ABOVE_PIN_MM = 3.0  # so that it can't drop out of the tie bar; common practice, no source
LEAST_ABOVE_PIN_MM = 0.8  # half of a thin tie bar; where rails are lower than that the wire stands above them
BELOW_RAIL_TOP_MM = 0.3  # air under the wheels' flanges; common practice, no source
_CHORD_RAD = math.radians(5.0)  # an arc of R 4 mm sags 0.004 mm between its chords


class BentWire(NamedTuple):
    """A rocking wire to be bent.

    Attributes:
        bends: in order from the arm's end.
        used_mm: developed length from the arm's end to the end that stays above the tie bar.
        line_mm: (n, 2) its centre line as drawn, the long part towards +x at y = 0, rounded bends in chords.
    """

    bends: tuple[Mark, ...]
    used_mm: float
    line_mm: Array


def _path(design: Design, theta_rad: float) -> Array:
    """Tail, through the arm, straight through the pivot to the pin's height and 2 mm on, (n, 3), mm.

    Raises:
        TypeError: the mount has no pivot.
    """
    drive, servo, plan = design.drive, design.spec.servo, design.plan
    _, axis = scene.shaft_axis(design)
    hole = scene.horn_hole(design, theta_rad) + axis * drive.wire_mm / 2
    towards_hub = -scene.arm_direction(design, theta_rad)
    if design.datums.pivot is None:
        raise TypeError("a rocking wire passes a pivot")
    pivot = np.array(design.datums.pivot)
    up = (pivot - hole) / (pivot[2] - hole[2])
    top = pivot + up * (design.datums.pin[2] + WIRE_ABOVE_PIN_MM - pivot[2])
    behind = hole - axis * (servo.horn_thickness_mm + drive.wire_mm)
    return np.array([behind + towards_hub * plan.wire_tail_mm, behind, hole, top])


def _pressed(design: Design, theta_rad: float, stopped: bool) -> Array:
    """Axis of the wire at an arm angle as arm, pivot and tie bar bend it, (n, 3), mm.

    A thin beam between supports is a cubic spline through them: natural at an end that turns, with the arm's slope
    at one that is clamped. The pin goes where the unloaded wire takes it, as far as blades and its own slack let it.

    Args:
        design: the mount.
        theta_rad: arm angle from mid swing.
        stopped: False for a wire that has not reached its tie bar yet, or lost it.
    """
    from scipy.interpolate import CubicSpline

    drive, straight = _rocking(design), _path(design, theta_rad)
    hole, pivot, pin_z = straight[2], np.array(design.datums.pivot), design.datums.pin[2]
    arm_end = (2, 0.0) if drive.wire_held == "turning" else (1, _clamped_slope(design, theta_rad))
    span = CubicSpline([hole[2], pivot[2]], [hole[1], pivot[1]], bc_type=(arm_end, (2, 0.0)))
    free_y = float(pivot[1] + span(pivot[2], 1) * (pin_z - pivot[2]))
    stop = design.spec.throw_mm / 2 + max(design.spec.tie_bar_hole_mm - drive.wire_mm, 0.0) / 2
    pin_y = min(max(free_y, -stop), stop) if stopped else free_y
    supports = np.array([[hole[2], hole[1]], [pivot[2], pivot[1]], [pin_z, pin_y]])
    line = CubicSpline(supports[:, 0], supports[:, 1], bc_type=(arm_end, (2, 0.0)))
    z = np.concatenate([np.linspace(hole[2], pivot[2], 7), np.linspace(pivot[2], pin_z, 13)[1:]])
    bent = np.column_stack([np.interp(z, [hole[2], pivot[2]], [hole[0], pivot[0]]), line(z), z])
    end = bent[-1] + WIRE_ABOVE_PIN_MM * np.array([0.0, float(line(pin_z, 1)), 1.0])
    return np.concatenate([straight[:2], bent, [end]])


def _clamped_slope(design: Design, theta_rad: float) -> float:
    """dy/dz of a wire that stands upright at mid swing and turns with the arm."""
    _, axis = scene.shaft_axis(design)
    up, angle = np.array([0.0, 0.0, 1.0]), scene.turning_sense(design) * theta_rad
    turned = up * math.cos(angle) + crossed(axis, up) * math.sin(angle)
    return float(turned[1] / turned[2])


def above_pin_mm(spec: MountSpec) -> float:
    """How far a rocking wire may stand above the middle of the tie bar with the points closed, mm."""
    room = spec.rail_top_z - spec.pin_height_mm - BELOW_RAIL_TOP_MM
    return max(min(MOST_ABOVE_PIN_MM, room), LEAST_ABOVE_PIN_MM)


def fall_mm(drive: RockingWireDrive) -> float:
    """How far the wire's end sinks from mid swing to either end of it, mm; negative: it rises.

    The arm pulls the wire down through the pivot as it swings aside. With u the distance from pivot to arm
    hole at the end of the swing and c its part along the wire's middle position, the length from arm hole to
    tie bar is u·(1 + h/c).

        c = d + s·r(1 − cos θ)      u = √(c² + (r·sin θ)²)      fall = u·(1 + h/c) − (d + h)

    Domain: a straight wire, free to slide in the pivot. The wire that the closed points bend leans less above
    the pivot: its end sinks by up to h·(1/cos(lean) − 1) less.

    Source: own derivation; tests/test_scene_wire.py checks it against distances between points.
    """
    d, h, r = drive.pivot_to_horn_mm, drive.pivot_to_pin_mm, drive.horn_radius_mm
    swing_rad = math.radians(drive.swing_deg)
    c = d + (1 if drive.horn_towards_pivot else -1) * r * (1 - math.cos(swing_rad))
    return math.hypot(c, r * math.sin(swing_rad)) * (1 + h / c) - (d + h)


def bent_wire(design: Design) -> BentWire:
    """A rocking wire's bends, length and line.

    Two quarter bends of radius ρ = 1.5 wire + wire/2 on the centre line lead it through the arm: tail, bend,
    through, bend, and the straight d + h to the tie bar, with what it sinks by and what stays above.

        at₁ = tail − ρ      at₂ = at₁ + πρ/2 + through − 2ρ      used = at₂ + πρ/2 + d + h + fall + above − ρ

    Raises:
        TypeError: not a rocking wire.

    Source: plane geometry, neutral line in the middle of the wire; tests/test_scene_wire.py adds up the line.
    """
    drive = _rocking(design)
    inside = INSIDE_RADII * drive.wire_mm
    radius = inside + drive.wire_mm / 2
    through = float(
        z_bend_mm(horn_thickness_mm=design.spec.servo.horn_thickness_mm, wire_mm=drive.wire_mm, foot_radius_mm=radius)
    )
    quarter, tail = radius * math.pi / 2, design.plan.wire_tail_mm
    straight = drive.pivot_to_horn_mm + drive.pivot_to_pin_mm + fall_mm(drive) + above_pin_mm(design.spec)
    first = tail - radius
    second = first + quarter + through - 2 * radius
    back = 1.0 if drive.horn_towards_pivot else -1.0  # the tail points to the hub: away from the wire, or along it
    former = round(2 * inside, 1)
    bends = (
        Mark("tail behind the arm", first, 90.0 * back, inside, "up", former),
        Mark(
            "through the arm",
            second,
            -90.0,
            inside,
            "back, the long part going on the way it went: a Z"
            if back > 0
            else "on round, the long part lying beside the tail: a hook",
            former,
        ),
    )
    line = [
        np.array([-back * tail, -through]),
        *_arc((-back * radius, radius - through), (0.0, -radius), (back * radius, 0.0)),
        *_arc((radius, -radius), (-radius, 0.0), (0.0, radius))[0 if through > 2 * radius else 1 :],
    ]
    line.append(np.array([straight, 0.0]))
    return BentWire(bends, second + quarter + straight - radius, np.array(line))


def _arc(centre: Sequence[float], start: Sequence[float], end: Sequence[float]) -> list[Array]:
    """A quarter circle about a centre from one arm (2,) to another, square to it, in chords."""
    angles = np.linspace(0.0, math.pi / 2, round(math.pi / 2 / _CHORD_RAD) + 1)
    middle, first, last = (np.array(point) for point in (centre, start, end))
    return [middle + first * math.cos(angle) + last * math.sin(angle) for angle in angles]


def _rocking(design: Design) -> RockingWireDrive:
    return driven(design.drive, RockingWireDrive)


def _ways(design: Design, angles_rad: Array) -> tuple[list[Array], list[Array]]:
    """Stopped by the blades, and free as well: a wire that is being threaded, or that lost its tie bar."""
    stopped, free = ([_pressed(design, float(theta), held) for theta in angles_rad] for held in (True, False))
    return stopped, [*stopped, *free]


WIRING = Wiring(
    path=_path,
    pressed=_pressed,
    ways=_ways,
    pin_at=-2,
    above_pin_mm=lambda design: above_pin_mm(design.spec),
    used_mm=lambda design: bent_wire(design).used_mm,
)
