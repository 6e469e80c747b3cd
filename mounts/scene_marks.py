"""A push rod's bends in words: which way the wire goes on after each, and what it is bent round."""

from __future__ import annotations

import math

import numpy as np

from mounts import scene
from mounts.design import Design
from mounts.drive.model import PushRodDrive
from mounts.frames import Array
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
        Tangents of the drawn line; tests/test_scene_marks.py turns a wire bend by bend instead.
    """
    drive = design.drive
    if not isinstance(drive, PushRodDrive):
        raise TypeError("a push rod is asked for")
    path = scene.wire_path(design, 0.0)
    ends = [bend.at_mm + math.radians(bend.angle_deg) * (bend.inside_radius_mm + drive.wire_mm / 2)
            for bend in drive.bends]  # fmt: skip
    stations = [(end + start) / 2 for end, start in zip(
        ends, [*(bend.at_mm for bend in drive.bends[1:]), drive.cut_length_mm], strict=True
    )]  # fmt: skip
    return tuple(
        Mark(bend.what, bend.at_mm, bend.angle_deg, bend.inside_radius_mm, _told(_heading(path, station, drive)),
             round(2 * bend.inside_radius_mm, 1))
        for bend, station in zip(drive.bends, stations, strict=True)
    )  # fmt: skip


def _heading(path: Array, at_mm: float, drive: PushRodDrive) -> Array:
    """Unit tangent of the drawn line (n, 3) at a length along the wire; chords are a hair shorter than arcs."""
    steps = np.diff(path, axis=0)
    along = np.cumsum(np.linalg.norm(steps, axis=1))
    step = steps[int(np.searchsorted(along, at_mm * along[-1] / drive.cut_length_mm))]
    return np.asarray(step / np.linalg.norm(step))


def _told(heading: Array) -> str:
    """``towards you, leaning 12° to the left``."""
    share = {way: float(np.dot(heading, axis)) for way, axis in _WAYS.items()}
    first, second = sorted(share, key=lambda way: -share[way])[:2]
    lean_deg = math.degrees(math.atan2(share[second], share[first]))
    to = "to the " if second in ("left", "right") else ""
    leaning = f", leaning {number(lean_deg, 0)}° {to}{second}" if lean_deg > _LEANING_DEG else ""
    return ("to the " if first in ("left", "right") else "") + first + leaning
