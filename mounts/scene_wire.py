"""The wire as it is cut, bent and cut off: the one place that knows its length."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from mounts.design import Design
from mounts.drive.model import PushRodDrive, RockingWireDrive
from mounts.drive.wire_path import z_bend_mm
from mounts.frames import Array
from mounts.inputs.spec import MountSpec

INSIDE_RADII = 1.5  # of a bend, in wire diameters; tighter bends crack spring wire (common practice)
HANDLE_MM = 10.0  # in front of the arm's end, to hold it by while it is bent; common practice, no source
SPARE_MM = 10.0  # behind the tie bar's end, which is cut off last; common practice, no source
MOST_ABOVE_PIN_MM = 3.0  # so that it can't drop out of the tie bar; common practice, no source
LEAST_ABOVE_PIN_MM = 0.8  # half of a thin tie bar; where rails are lower than that the wire stands above them
BELOW_RAIL_TOP_MM = 0.3  # air under the wheels' flanges; common practice, no source
_CHORD_RAD = math.radians(5.0)


class Mark(NamedTuple):
    """A bend of a rocking wire, marked on the straight wire."""

    what: str
    at_mm: float  # where the bend begins, from the arm's end
    angle_deg: float  # + to the left, going along the wire from the arm's end
    inside_radius_mm: float
    turns: str  # as it lies on the drawing
    former_mm: float  # drill whose shank it is bent round


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
    drive = design.drive
    if not isinstance(drive, RockingWireDrive):
        raise TypeError("a rocking wire is asked for")
    inside = INSIDE_RADII * drive.wire_mm
    radius = inside + drive.wire_mm / 2
    through = float(
        z_bend_mm(
            horn_thickness_mm=design.spec.servo.horn_thickness_mm, wire_mm=drive.wire_mm, foot_radius_mm=radius
        )
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
            "through the arm", second, -90.0, inside,
            "back, the long part going on the way it went: a Z" if back > 0
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


def wire_used_mm(design: Design) -> float:
    """Developed length of the wire as it stays, mm, without a spare end."""
    if isinstance(design.drive, PushRodDrive):
        return design.drive.cut_length_mm
    return bent_wire(design).used_mm


def wire_cut_mm(design: Design) -> float:
    """Straight length of wire to cut, mm, rounded up to a whole millimetre, with what is held and what is spare."""
    return float(math.ceil(HANDLE_MM + wire_used_mm(design) + SPARE_MM))
