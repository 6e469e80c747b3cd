"""A push rod's bends in words: which way the wire goes on after each, and what it is bent round."""

from __future__ import annotations

import math

import numpy as np

from mounts import scene
from mounts.design import Design
from mounts.drive.kinds import driven
from mounts.drive.push_rod.model import PushRodDrive
from mounts.frames import Array
from mounts.scene_push_rod import pin_y_mm
from mounts.scene_wire import Mark
from mounts.units import number

_LEANING_DEG = 3.0  # less is not told
_WAYS = {"right": (0, -1, 0), "left": (0, 1, 0), "away from you": (1, 0, 0), "towards you": (-1, 0, 0),
         "up": (0, 0, 1), "down": (0, 0, -1)}  # fmt: skip


def rod_marks(design: Design) -> tuple[Mark, ...]:
    """The bends in order from the arm's end, as the wire lies before a person with its arm's end at the left.

    That is the view from above of its drawing: the tie bar at the right, mount frame +x away from the person. A bend
    is told by where the wire goes on after it.

    Args:
        design: of a push rod.

    Raises:
        TypeError: not a push rod.

    Source:
        Directions of the drawn line's straights; tests/test_scene_marks.py turns a wire bend by bend instead.
    """
    drive = driven(design.drive, PushRodDrive)
    return tuple(
        Mark(
            bend.what,
            bend.at_mm,
            bend.angle_deg,
            bend.inside_radius_mm,
            _told(heading),
            round(2 * bend.inside_radius_mm, 1),
        )
        for bend, heading in zip(drive.bends, _headings(design, drive), strict=True)
    )


def _headings(design: Design, drive: PushRodDrive) -> tuple[Array, ...]:
    """Unit vectors along the wire after each bend, mount frame: through the arm, rod, legs, rod, and up."""
    plan = design.plan
    if plan.loop_towards is None:
        raise TypeError("the plan of a push rod says which way its loop stands")
    _, axis = scene.shaft_axis(design)
    hole, pin_z = scene.horn_hole(design, 0.0) + axis * drive.wire_mm / 2, design.datums.pin[2]
    along = np.array([0.0, pin_y_mm(hole, axis, drive, pin_z), pin_z]) - hole
    along = along / np.linalg.norm(along)
    out = np.array(plan.loop_towards) - along * float(np.dot(plan.loop_towards, along))
    out = out / np.linalg.norm(out)
    slant = math.radians(drive.loop_slant_deg)
    aside, back = out * math.cos(slant), along * math.sin(slant)
    return axis, along, aside - back, -aside - back, along, np.array([0.0, 0.0, 1.0])


def _told(heading: Array) -> str:
    """``towards you, leaning 12° to the left``."""
    share = {way: float(np.dot(heading, axis)) for way, axis in _WAYS.items()}
    first, second = sorted(share, key=lambda way: -share[way])[:2]
    lean_deg = math.degrees(math.atan2(share[second], share[first]))
    to = "to the " if second in ("left", "right") else ""
    leaning = f", leaning {number(lean_deg, 0)}° {to}{second}" if lean_deg > _LEANING_DEG else ""
    return ("to the " if first in ("left", "right") else "") + first + leaning
