"""What a ruler finds on the layout round a mount: rails, tie bar, and the lane a push rod moves in. Seen from above."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from mounts import scene
from mounts.design import Design
from mounts.scene_kinds import wiring

LANE_AIR_MM = 1.5  # beside rod and loop, for hands that place ballast; common practice, no source


class Rail(NamedTuple):
    """The rail between track and mount, mount frame, mm."""

    face_y: float  # gauge face, where flanges run
    outer_y: float  # outer edge of its head


class Lane(NamedTuple):
    """What stays free of ballast and glue, mount frame, mm."""

    x: tuple[float, float]
    y: tuple[float, float]


def track_y(design: Design) -> float:
    """Centre line of the track, mount frame, mm; a bracket's pin is taken to be midway between the rails."""
    return design.plan.beside.track_y if design.plan.beside else 0.0


def near_rail(design: Design) -> Rail:
    """The rail nearest to a mount on the board."""
    scale = design.spec.scale
    face = track_y(design) + scale.track_gauge_mm / 2
    return Rail(face, face + scale.rail_head_mm)


def pin_between_rails(design: Design) -> bool:
    """Whether wheels pass over the wire's end in the tie bar; a rod then goes under the near rail."""
    return near_rail(design).face_y > 0.0


def lane(design: Design) -> Lane:
    """Where rod and loop move between tie bar and frame, free and held closed, with air, outwards to half millimetres.

    Raises:
        TypeError: not on the board.
    """
    edge_y = design.beside_track().frame_y[0]
    points = np.vstack(wiring(design).ways(design, scene.arm_angles_rad(design, 5))[0])
    seen = points[points[:, 1] < edge_y]
    half = design.drive.wire_mm / 2 + LANE_AIR_MM
    low, high = seen[:, 0].min() - half, seen[:, 0].max() + half
    y0 = seen[:, 1].min() - half
    if not pin_between_rails(design):
        y0 = max(y0, near_rail(design).outer_y)
    return Lane((math.floor(low * 2) / 2, math.ceil(high * 2) / 2), (float(y0), edge_y))
