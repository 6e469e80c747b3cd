"""Walls of courses, each cut into pieces by upright grooves, as the flat faces of one closed body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from mounts.design import Span
from mounts.frames import Array

Place = tuple[float, float, float]
"""Along a side, before the wall, and up, mm."""


@dataclass(frozen=True)
class Course:
    """One course of a wall: upright from its foot, its upper edge sloped back to the wall.

    Args:
        low_z: its foot, mm.
        shoulder_z: where it begins to slope back, mm.
        high_z: its top, mm.
        out_mm: how far it stands out before the wall.
        cut: into pieces, by grooves down to the wall.
        rim_z: where the grooves end, between foot and shoulder; None: they run out with the slope.
    """

    low_z: float
    shoulder_z: float
    high_z: float
    out_mm: float
    cut: bool
    rim_z: float | None = None


@dataclass(frozen=True)
class _Side:
    along: Array  # (3,), to the right as seen from outside
    outwards: Array  # (3,)
    span: Span  # of the wall, along it
    face_mm: float  # of the wall, outwards
    grooves: tuple[Span, ...]  # along it, rising

    def polygon(self, places: Sequence[Place]) -> Array:
        """Places on this side as points (k, 3), mm."""
        s, out, z = np.array(places).T[:, :, None]
        return np.asarray(s * self.along + (self.face_mm + out) * self.outwards + z * np.array([0.0, 0.0, 1.0]))

    def line(self, out: float, z: float, *, cut: bool) -> list[Place]:
        """The side at one height from left to right; grooves that reach it have their edges there."""
        edges = [edge for groove in self.grooves for edge in groove] if cut else []
        return [(s, out, z) for s in (self.span[0] - out, *edges, self.span[1] + out)]

    def notched(self, out: float, z: float) -> list[Place]:
        """The line of a course that is cut, into its grooves and out again."""
        line = self.line(out, z, cut=True)
        inside = [(s, 0.0, z) for s, _, _ in line]
        pairs = range(1, len(line) - 1, 2)
        return [line[0], *(at for k in pairs for at in (line[k], inside[k], inside[k + 1], line[k + 1])), line[-1]]


def coursed(x: Span, y: Span, courses: Sequence[Course], pieces: tuple[int, int], groove_mm: float) -> list[Array]:
    """The faces of a box of courses, polygons (k, 3) in mm, counter-clockwise from outside.

    Args:
        x: faces of the walls that the courses stand before.
        y: the same.
        courses: from the ground up, each on the one before.
        pieces: in each course that is cut, along x and along y.
        groove_mm: width of the grooves between pieces.
    """
    first, last = courses[0], courses[-1]
    faces: list[Array] = []
    foot: list[Array] = []
    top: list[Array] = []
    for along, span, face_mm, count in (
        ((1.0, 0.0, 0.0), x, -y[0], pieces[0]),
        ((0.0, 1.0, 0.0), y, x[1], pieces[1]),
        ((-1.0, 0.0, 0.0), (-x[1], -x[0]), y[1], pieces[0]),
        ((0.0, -1.0, 0.0), (-y[1], -y[0]), -x[0], pieces[1]),
    ):
        grooves = tuple((at - groove_mm / 2, at + groove_mm / 2) for at in np.linspace(*span, count + 1)[1:-1].tolist())
        side = _Side(np.array(along), np.array([along[1], -along[0], 0.0]), span, face_mm, grooves)
        faces += [side.polygon(places) for places in _faces(side, courses)]
        ground = (
            side.notched(first.out_mm, first.low_z) if first.cut else side.line(first.out_mm, first.low_z, cut=False)
        )
        foot.append(side.polygon(ground[:-1]))
        top.append(side.polygon(side.line(0.0, last.high_z, cut=_reaches_top(last))[:-1]))
    return [*faces, np.concatenate(foot)[::-1], np.concatenate(top)]


def _faces(side: _Side, courses: Sequence[Course]) -> list[list[Place]]:
    """All of a side but foot and top."""
    faces: list[list[Place]] = []
    for below, course, above in zip((None, *courses[:-1]), courses, (*courses[1:], None), strict=True):
        out, runs_out = course.out_mm, course.cut and course.rim_z is None
        lines = [
            side.line(0.0, course.low_z, cut=course.cut or _reaches_top(below)),
            side.line(out, course.low_z, cut=course.cut),
            *([] if course.rim_z is None else [side.line(out, course.rim_z, cut=course.cut)]),
            side.line(out, course.shoulder_z, cut=runs_out),
            side.line(0.0, course.high_z, cut=runs_out or (above is not None and above.cut)),
        ][below is None :]
        for low, high in pairwise(lines):
            if course.cut and (course.rim_z is None or low[0][2] < course.rim_z):
                faces += [[*low[k : k + 2], *high[k : k + 2][::-1]] for k in range(0, len(low), 2)]
            else:
                faces.append([*low, *high[::-1]])
        if course.cut:
            faces += [face for groove in side.grooves for face in _groove(groove, course)]
    return faces


def _reaches_top(course: Course | None) -> bool:
    return course is not None and course.cut and course.rim_z is None


def _groove(groove: Span, course: Course) -> list[list[Place]]:
    """Floor, flanks and, where it does not run out, lid of one groove in one course."""
    out, low_z = course.out_mm, course.low_z
    end_z = course.high_z if course.rim_z is None else course.rim_z
    profile = [(0.0, low_z), (out, low_z), (out, min(course.shoulder_z, end_z)), (0.0, end_z)]
    left, right = ([(s, *step) for step in profile] for s in groove)
    lid = [] if course.rim_z is None else [[left[-1], right[-1], right[-2], left[-2]]]
    return [[left[0], right[0], right[-1], left[-1]], left[::-1], right, *lid]
