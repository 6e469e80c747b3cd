"""A push rod with its points held closed, by a frame of beam elements that has only the drawn path and E·I."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from frame_elements import pressed

from mounts.drive.push_rod.model import PushRodDrive


class Held(NamedTuple):
    """One end of the swing."""

    blade_n: float  # along the slide line
    clear_mm: float  # between the wires of both legs


def held(drive: PushRodDrive, throw_mm: float, side: int, *, less_mm: float = 0.0) -> Held:
    """The rod where it pushes (side 1) or pulls (−1), the pin stopped half the throw from mid, some give left out.

    Arm, pin and chord are drawn here from the drive's own dimensions.
    """
    path, theta = np.array(drive.rod_path_mm), math.radians(drive.swing_deg)
    stiffness = drive.wire_modulus_mpa * math.pi * drive.wire_mm**4 / 64
    pin = drive.shaft_to_pin_mm + side * throw_mm / 2
    hole = (side * drive.horn_radius_mm * math.sin(theta), drive.horn_radius_mm * math.cos(theta) - drive.offset_mm)
    chord = math.dist(hole, (pin, 0.0))
    load, line = pressed(path, stiffness, drive.rod_length_mm - chord - side * less_mm, steps=3)
    return Held(side * load * (pin - hole[0]) / chord, _apart_mm(path, line) - drive.wire_mm)


def _apart_mm(path: np.ndarray, line: np.ndarray) -> float:
    """Least distance of any point of one side of the loop to any of the other, below where its crown is widest."""
    top = int(np.argmax(path[:, 1]))
    middle = path[top, 0]
    loop = path[:, 1] > 1e-6
    high = loop & (path[:, 1] > 0.3 * path[top, 1])
    widest_y = path[high, 1][int(np.argmax(np.abs(path[high, 0] - middle)))]
    low = loop & (path[:, 1] <= widest_y + 1e-6)
    near, far = line[:top][low[:top]], line[top + 1 :][low[top + 1 :]]
    return float(np.hypot(*(near[:, None] - far[None, :]).transpose(2, 0, 1)).min())
