"""Drawings at 1:1 as SVG in millimetres: paper to drill through, and the wire to bend."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

import numpy as np

from mounts import scene
from mounts.checks.neighbours import outlines
from mounts.design import Design
from mounts.drive.model import PushRodDrive, RockingWireDrive
from mounts.frames import Array
from mounts.mesh import PartMesh
from mounts.styles._housing_plan import HousingPlan, cut_out
from mounts.units import number

Point = tuple[float, float]

_MARGIN_MM = 8.0
_TEXT_MM = 3.0
_LINE_MM = 0.2
_RULER_MM = 50.0
_CROSS_MM = 4.0
_TRUE = "Print at 100 % and lay a rule on the bar."
_ENDS = "arm at the left, tie bar at the right"
_BEFORE_DRILLING = "Look for wires and framing on the other side before drilling."
_BEFORE_CUTTING = "Wear eye protection when cutting: the ends fly. Spring wire springs back: bend past the line."


@dataclass
class _Sheet:
    """Shapes with y upwards, mm, and the box round them."""

    shapes: list[str] = field(default_factory=list)
    low: list[float] = field(default_factory=lambda: [math.inf, math.inf])
    high: list[float] = field(default_factory=lambda: [-math.inf, -math.inf])

    def line(self, points: Sequence[Point], *, wide_mm: float = _LINE_MM, dash: str = "", closed: bool = False) -> None:
        self._hold(points)
        tag, dashes = "polygon" if closed else "polyline", f' stroke-dasharray="{dash}"' if dash else ""
        corners = " ".join(f"{x:.3f},{-y + 0.0:.3f}" for x, y in points)
        self.shapes.append(
            f'<{tag} points="{corners}" fill="none" stroke="black" stroke-width="{wide_mm:g}" '
            f'stroke-linejoin="round" stroke-linecap="round"{dashes}/>'
        )

    def circle(self, at: Point, diameter_mm: float) -> None:
        x, y = at
        self._hold([(x - diameter_mm / 2, y - diameter_mm / 2), (x + diameter_mm / 2, y + diameter_mm / 2)])
        self.shapes.append(
            f'<circle cx="{x:.3f}" cy="{-y + 0.0:.3f}" r="{diameter_mm / 2:.3f}" fill="none" stroke="black" '
            f'stroke-width="{_LINE_MM:g}"/>'
        )

    def cross(self, at: Point) -> None:
        x, y = at
        self.line([(x - _CROSS_MM, y), (x + _CROSS_MM, y)])
        self.line([(x, y - _CROSS_MM), (x, y + _CROSS_MM)])

    def text(self, at: Point, words: str) -> None:
        x, y = at
        self._hold([(x, y), (x + 0.5 * _TEXT_MM * len(words), y + _TEXT_MM)])
        self.shapes.append(
            f'<text x="{x:.3f}" y="{-y + 0.0:.3f}" font-family="sans-serif" font-size="{_TEXT_MM:g}">'
            f"{escape(words)}</text>"
        )

    def below(self, lines: Sequence[str]) -> None:
        """The ruler and words under everything drawn so far."""
        left, y = self.low[0], self.low[1] - 2 * _TEXT_MM
        self.line([(left, y), (left + _RULER_MM, y)], wide_mm=0.3)
        for end in (left, left + _RULER_MM):
            self.line([(end, y - 1.5), (end, y + 1.5)], wide_mm=0.3)
        self.text((left + _RULER_MM + 2, y - 1.0), f"{number(_RULER_MM)} mm")
        for words in lines:
            y -= 1.6 * _TEXT_MM
            self.text((left, y), words)

    def svg(self, title: str) -> bytes:
        """The page, as large as what is on it."""
        left, bottom = (low - _MARGIN_MM for low in self.low)
        wide, high = (top - low + _MARGIN_MM for low, top in zip((left, bottom), self.high, strict=True))
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{high:.3f}mm" '
            f'viewBox="{left:.3f} {-bottom - high:.3f} {wide:.3f} {high:.3f}">'
        )
        return "\n".join([head, f"<title>{escape(title)}</title>", *self.shapes, "</svg>\n"]).encode()

    def _hold(self, points: Sequence[Point]) -> None:
        for x, y in points:
            self.low = [min(self.low[0], x), min(self.low[1], y)]
            self.high = [max(self.high[0], x), max(self.high[1], y)]


def render_template(design: Design, meshes: Sequence[PartMesh]) -> bytes:
    """The paper to drill through: fixings, hole or cut-out, outline of what is screwed on, and the tie bar's pin.

    A bracket's is drawn as seen from below, where it is held; a housing's as seen from above.

    Args:
        design: where everything stands.
        meshes: the parts as exported.
    """
    spec, drive, plan = design.spec, design.drive, design.plan
    below = isinstance(drive, RockingWireDrive)
    turn = -1.0 if below else 1.0

    def seen(point: Sequence[float]) -> Point:
        return (point[0], turn * point[1])

    sheet = _Sheet()
    for outline in outlines(design, meshes):
        if outline.body not in (*plan.lift_off, "servo"):
            sheet.line([seen(corner) for corner in outline.corners], closed=True)
    for at in design.datums.fixings:
        sheet.circle(seen(at), spec.fixing.pilot_mm)
        sheet.cross(seen(at))
    notes = [f"Crosses in circles: {len(design.datums.fixings)} pilots of {number(spec.fixing.pilot_mm)} mm."]
    pin = seen(design.datums.pin)
    sheet.cross(pin)
    sheet.text((pin[0] + 1.5, pin[1] + 1.5), "tie-bar pin, mid throw")
    along = (min(sheet.low[0], pin[0] - 15), max(sheet.high[0], pin[0] + 15))
    if isinstance(drive, RockingWireDrive):
        sheet.circle(pin, drive.board_hole_mm)
        sheet.line([(along[0], pin[1]), (along[1], pin[1])], dash="4 1 1 1")
        notes.append(f"Hole at the pin: {number(drive.board_hole_mm)} mm, straight through. Dashed: along the track.")
    elif isinstance(plan, HousingPlan):
        if pocket := cut_out(design):
            sheet.line([seen(corner) for corner in pocket.outline], dash="2 1", closed=True)
            notes.append(f"Short dashes: cut the board out, {pocket.depth_told()}.")
        if spec.ground_mm:
            notes.append(f"It stands on ground {number(spec.ground_mm)} mm above the board.")
        sheet.line([(along[0], plan.track_y), (along[1], plan.track_y)], dash="4 1 1 1")
        hole = scene.horn_hole(design, 0.0)
        sheet.line([pin, seen((float(hole[0]), float(hole[1])))], dash="0.5 1")
        notes.append(f"Dash and dot: centre line of the track, {number(-plan.track_y, 1)} mm from the pin.")
        notes.append("Dotted: the rod.")
    name = f"{spec.id}: drilling template, seen from {'below' if below else 'above'}."
    sheet.below([name, *notes, _TRUE, _BEFORE_DRILLING])
    return sheet.svg(f"{spec.id}: drilling template")


def render_wire(design: Design) -> bytes:
    """The wire to bend, as it lies at mid swing.

    A rocking wire is seen across the track, its Z-bend in full. A push rod is seen along the track and from
    above, for each of its bends shows in one of both, and straight with the place of every bend.
    """
    drive = design.drive
    path = scene.wire_path(design, 0.0)
    sheet = _Sheet()
    notes: list[str] = []
    if not isinstance(drive, PushRodDrive):
        _view(sheet, path[:, [0, 2]], 0.0, drive.wire_mm, "seen across the track")
    else:
        lower = _view(sheet, path[:, [1, 2]] * (-1.0, 1.0), 0.0, drive.wire_mm, f"seen along the track; {_ENDS}")
        lower = _view(sheet, path[:, [1, 0]] * (-1.0, 1.0), lower, drive.wire_mm, f"seen from above; {_ENDS}")
        y = lower - 5 * _TEXT_MM
        left = sheet.low[0]
        sheet.line([(left, y), (left + drive.cut_length_mm, y)], wide_mm=drive.wire_mm)
        for count, bend in enumerate(drive.bends, start=1):
            at = left + bend.at_mm
            sheet.line([(at, y - 2), (at, y + 2)])
            sheet.text((at - 0.8, y + 3), str(count))
            notes.append(
                f"{count}: {number(bend.at_mm, 1)} mm, {bend.what}, {number(bend.angle_deg, 0)}°, "
                f"inside radius {number(bend.inside_radius_mm, 1)} mm"
            )
        sheet.text((left, y + 7), f"straight, each bend begins at its mark; {_ENDS}")
    sheet.below([f"{design.spec.id}: wire {number(drive.wire_mm)} mm, to bend on.", *notes, _TRUE, _BEFORE_CUTTING])
    return sheet.svg(f"{design.spec.id}: wire")


def _view(sheet: _Sheet, line: Array, top: float, wire_mm: float, name: str) -> float:
    """Draws a line (n, 2) under a height, its left end at 0, and returns how low it reaches."""
    moved = line - np.array([line[:, 0].min(), line[:, 1].max() - top + 3.5 * _TEXT_MM])
    sheet.text((0.0, top - 2 * _TEXT_MM), name)
    sheet.line([(float(x), float(y)) for x, y in moved], wide_mm=wire_mm)
    return float(moved[:, 1].min())
