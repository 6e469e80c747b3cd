"""The skin of a bank before its openings: four slopes round a flat top, one thickness everywhere."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from mounts.design import Span
from mounts.frames import Array

CORNER_POINTS = 11  # a quarter turn; odd, so that a square corner has its point
BEVEL_MM = 0.3  # of the top's edge, which lies on the bed: elephant's foot (standards, 8)
GRAIN_MM = 7.0  # along a side
LEVELS = (0.0, 0.5)  # shares of the height at which the skin is laid out, besides its top
WAVES_MM = (41.0, 23.0)  # how long the waves of the slopes are


@dataclass(frozen=True)
class Slope:
    """One of the four sides.

    Attributes:
        beside_mm: inner face to the room, under the top.
        run_mm: how much farther out it is on the ground, horizontally.
        rough_mm: how far its foot may lie inside its line.
    """

    beside_mm: float
    run_mm: float
    rough_mm: float

    def runs_mm(self, x: float, y: float) -> float:
        """How far it runs out beside a place on the room's edge."""
        return max(0.0, self.run_mm - self.rough_mm * _wave(x, y))

    def inner_mm(self, up: float, x: float, y: float) -> float:
        """Room to inner face at a share of the room's height, beside a place on the room's edge."""
        return self.beside_mm + self.runs_mm(x, y) * (1 - up)


@dataclass(frozen=True)
class Mound:
    """The skin round the room before its openings; mount frame, mm, from the ground up.

    Attributes:
        x: edges of the top's inner face along the track, drawn in by what it stands beside the room.
        y: the same across it.
        ceiling_z: height of that face.
        skin_mm: thickness, square to top and slopes.
        slopes: front, right (+x), back and left.
    """

    x: Span
    y: Span
    ceiling_z: float
    skin_mm: float
    slopes: tuple[Slope, Slope, Slope, Slope]

    def skins_mm(self, side: int) -> float:
        """Thickness of a slope, horizontally."""
        return slanted_mm(self.skin_mm, self.slopes[side].run_mm, self.ceiling_z)

    def foot_mm(self, side: int) -> float:
        """Room to the foot of a slope."""
        slope = self.slopes[side]
        return slope.beside_mm + slope.run_mm + self.skins_mm(side)

    def ring(self, z: float, *, outer: bool, bevel_mm: float = 0.0) -> Array:
        """Points (n, 3) round one of its faces at a height, counter-clockwise from above; n is always the same.

        Args:
            z: height.
            outer: which face.
            bevel_mm: how far it is drawn in.
        """
        corners = [(self.x[0], self.y[0]), (self.x[1], self.y[0]), (self.x[1], self.y[1]), (self.x[0], self.y[1])]
        points = []
        for k, (corner, following) in enumerate(zip(corners, corners[1:] + corners[:1], strict=True)):
            first = -math.pi + k * math.pi / 2
            turns = [first + turn for turn in np.linspace(0, math.pi / 2, CORNER_POINTS)]
            here, last = self.slopes[k], self.slopes[k - 1]
            along_x, along_y = (last, here) if k % 2 == 0 else (here, last)
            places = [(corner, turn, along_x, along_y) for turn in turns]
            count = max(1, round(math.dist(corner, following) / GRAIN_MM))
            for share in np.arange(1, count) / count:
                x, y = (a + share * (b - a) for a, b in zip(corner, following, strict=True))
                places.append(((x, y), turns[-1], here, here))
            for place, turn, one, other in places:
                out = self._out(place, turn, one, other, z, thick=float(outer), bevel_mm=bevel_mm)
                points.append((*(place + out), z))
        return np.array(points)

    def _out(
        self,
        place: tuple[float, float],
        turn: float,
        along_x: Slope,
        along_y: Slope,
        z: float,
        *,
        thick: float,
        bevel_mm: float,
    ) -> Array:
        """From a place on the room's edge to the skin (2,), at a height and a turn from +x.

        At a corner a quarter of an ellipse, a half axis from either slope; square to it the skin is as thick as the
        corner leans there. Beside a slope that stands upright the corner is square.
        """
        slopes = (along_x, along_y)
        inner = np.array([slope.inner_mm(z / self.ceiling_z, *place) for slope in slopes])
        leans = np.array([slope.runs_mm(*place) for slope in slopes]) / self.ceiling_z
        way = np.array([math.cos(turn), math.sin(turn)])
        if not along_x.run_mm or not along_y.run_mm:
            square = np.clip(math.sqrt(2.0) * way, -1.0, 1.0)
            return np.asarray(square * (inner + thick * self.skin_mm * np.hypot(1.0, leans) - bevel_mm))
        normal = way * inner[::-1]
        normal /= np.linalg.norm(normal)
        lean = float(normal @ (way * leans))
        return np.asarray(way * inner + (thick * self.skin_mm * math.hypot(1.0, lean) - bevel_mm) * normal)

    def faces(self) -> tuple[Array, list[list[int]]]:
        """Corners (n, 3), mm, and faces of the skin as one closed body."""
        top_z = self.ceiling_z + self.skin_mm
        top = self.ring(top_z - BEVEL_MM, outer=True, bevel_mm=BEVEL_MM)
        top[:, 2] = top_z
        within = [self.ring(share * self.ceiling_z, outer=False) for share in (*LEVELS, 1.0)]
        outside = [self.ring(share * (top_z - BEVEL_MM), outer=True) for share in (*LEVELS, 1.0)]
        rings = [*within[::-1], *outside, top]
        count = len(top)
        faces = [list(range(count))[::-1], list(range(len(rings) * count - count, len(rings) * count))]
        around = [(i, (i + 1) % count) for i in range(count)]
        for low in range(0, (len(rings) - 1) * count, count):
            over = low + count
            if low == len(LEVELS) * count:  # on the ground
                faces += [[low + i, low + j, over + j, over + i] for i, j in around]
            elif low < len(LEVELS) * count:  # inside, going down
                for i, j in around:
                    faces += [[over + j, low + i, low + j], [over + j, over + i, low + i]]
            else:
                for i, j in around:
                    faces += [[low + i, low + j, over + i], [low + j, over + j, over + i]]
        return np.concatenate(rings), faces


def _wave(x: float, y: float) -> float:
    """Between 0 and 1, the same in the same place every time."""
    long, short = (2 * math.pi / wave for wave in WAVES_MM)
    return 0.5 + 0.3 * math.sin(long * (x + y)) + 0.2 * math.sin(short * (x - y))


def slanted_mm(skin_mm: float, run_mm: float, rise_mm: float) -> float:
    """Thickness of a slope measured horizontally."""
    return skin_mm * math.hypot(run_mm, rise_mm) / rise_mm
