"""Where the pin is for each pulse, with the throw, what goes past it, and where the force is as wanted."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from mounts.book.sheets import BLACK, GREY, Box, Rgb, Sheets, width_mm
from mounts.design import Design
from mounts.drive.kinds import kind_of
from mounts.drive.model import PointsDrive
from mounts.export.paper import Point
from mounts.report.kinds import telling
from mounts.units import number

HIGH_MM = 76.0  # of the chart on paper; by eye
_THROW: Rgb = (0.92, 0.92, 0.92)  # light enough to read through; by eye
_BAND: Rgb = (0.72, 0.72, 0.72)  # told from the throw in black and white; by eye
_WORDS_MM = 2.6  # height of its font; by eye
_TICKS = ((12, 1), (30, 2), (60, 5), (120, 10))  # of the left axis, by how much it spans; by eye
_STEPS = 96  # of the polyline: straight to the eye
_PIN = "pin, mm from mid throw; + is reverse"
_PAST = 1.12  # of the swing is drawn on either side


def draw_curve(sheets: Sheets, box: Box, design: Design) -> None:
    """A chart in a box.

    The lower axis is the pulse, the left one the pin from mid throw, free. Light: the throw, between the stock rails.
    Dark: where the blade is pressed with the force asked for, the slack taken up, as the rate at the pin has it.
    """
    drive, spec = design.drive, design.spec
    throws = isinstance(drive, PointsDrive)
    positions = [*telling(drive).positions(drive)]
    points = curve(design)
    marks = sorted({drive.pulse_us.centre, *(us for _, us in positions)})
    xs = [us for us, _ in points]
    ys = [mm for _, mm in points]
    half = spec.throw_mm / 2 if throws else 0.0
    left, bottom, right, top = box.left + 13.0, box.bottom + 10.0, box.right - 3.0, box.top - 9.0
    low_y, high_y = min(*ys, -half) * 1.08, max(*ys, half) * 1.08

    def at(us: float, mm: float) -> Point:
        x = left + (us - min(xs)) / (max(xs) - min(xs)) * (right - left)
        return x, bottom + (mm - low_y) / (high_y - low_y) * (top - bottom)

    def band(low: float, high: float, fill: Rgb) -> None:
        low, high = max(low, low_y), min(high, high_y)
        if low < high:
            (x0, y0), (x1, y1) = at(min(xs), low), at(max(xs), high)
            sheets.line([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], closed=True, ink=None, fill=fill)

    band(-half, half, _THROW)
    for ends in wanted_mm(design):
        band(*ends, _BAND)
    _axes(sheets, at, (min(xs), max(xs)), (low_y, high_y), _PIN if throws else "")
    sheets.line([at(us, mm) for us, mm in points], wide_mm=0.5)
    named = {us: name for name, us in positions}
    rows: list[float] = []  # how far right each row of words reaches
    for us in marks:
        _, mm = min(points, key=lambda point: abs(point[0] - us))
        x, y = at(us, mm)
        sheets.line([(x, bottom), (x, y)], wide_mm=0.3, dash=(1.0, 1.0))
        sheets.circle((x, y), 1.6, fill=BLACK)
        words = f"{named.get(us, 'centre')} {number(us, 0)} µs"
        wide = width_mm(words, _WORDS_MM)
        start = min(max(x - wide / 2, left), right - wide)
        row = next((row for row, end in enumerate(rows) if end < start), len(rows))
        rows[row : row + 1] = [start + wide + 2.0]
        sheets.text((start, top + 1.5 + 3.6 * row), words, size_mm=_WORDS_MM)


def touch_mm(design: Design) -> float:
    """How far from mid throw the pin is where a blade begins to be pressed, the slack taken up."""
    return design.spec.throw_mm / 2 + design.drive.lost_motion_mm / 2


def wanted_mm(design: Design) -> Sequence[tuple[float, float]]:
    """Between which places of the free pin, from mid throw, the blades are pressed with the force asked for."""
    drive = design.drive
    if not isinstance(drive, PointsDrive) or drive.rate_n_per_mm <= 0:
        return ()
    low, high = (touch_mm(design) + force / drive.rate_n_per_mm for force in design.spec.force_n)
    return (low, high), (-high, -low)


def curve(design: Design) -> Sequence[Point]:
    """Pulse, µs, and pin, mm, a little past either end of the swing and inside the servo's range.

    A drive that throws no points lists what it does itself.
    """
    drive, servo = design.drive, design.spec.servo
    way, pulses = kind_of(drive).pin_mm, drive.pulse_us
    if way is None:
        return [*telling(drive).curve(drive)]
    pin_mm = way(drive)
    swing = math.radians(drive.swing_deg)
    us_per_rad = (pulses.reverse - pulses.normal) / (2 * swing)
    middle = (pulses.reverse + pulses.normal) / 2
    found = []
    for step in range(_STEPS + 1):
        theta = swing * _PAST * (2 * step / _STEPS - 1)
        us = middle + theta * us_per_rad
        if servo.pulse_min_us <= us <= servo.pulse_max_us:
            found.append((us, float(pin_mm(theta))))
    return sorted(found)


def _axes(
    sheets: Sheets,
    place: Callable[[float, float], Point],
    xs: tuple[float, float],
    ys: tuple[float, float],
    told: str,
) -> None:
    """Frame, figures and what they are; ``told`` is what the left axis has, where nothing over the chart says it."""
    (left, bottom), (right, top) = place(xs[0], ys[0]), place(xs[1], ys[1])
    sheets.line([(left, bottom), (right, bottom), (right, top), (left, top)], closed=True, ink=GREY)
    for us in range(math.ceil(xs[0] / 100) * 100, math.floor(xs[1] / 100) * 100 + 1, 100):
        x, _ = place(us, ys[0])
        sheets.line([(x, bottom), (x, bottom - 1.2)], ink=GREY)
        sheets.text((x, bottom - 4.2), f"{us}", size_mm=_WORDS_MM, align="middle")
    sheets.text((right, bottom - 8.2), "pulse, µs", size_mm=_WORDS_MM, align="right")
    step = next((step for most, step in _TICKS if ys[1] - ys[0] <= most), 20)
    for mm in range(math.ceil(ys[0] / step) * step, math.floor(ys[1]) + 1, step):
        _, y = place(xs[0], mm)
        sheets.line([(left - 1.2, y), (left, y)], ink=GREY)
        sheets.text((left - 2.0, y - 0.9), number(mm).replace("-", "−"), size_mm=_WORDS_MM, align="right")
    sheets.text((left - 12.0, bottom - 8.2), told, size_mm=_WORDS_MM)
