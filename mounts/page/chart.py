"""The pin against the pulse as a picture in the page: throw, wanted force, where the arm is now."""

from __future__ import annotations

import math
from html import escape

from mounts.page.lengths import in_unit
from mounts.page.swing import At, Swing
from mounts.units import number

_WIDE, _TALL = 560.0, 250.0  # of the drawing; it is scaled to the page
_LEFT, _RIGHT, _TOP, _BOTTOM = 46.0, 12.0, 26.0, 40.0  # margins for words; by eye
_STEPS = (
    (3.0, 0.5),
    (8.0, 1.0),
    (20.0, 2.0),
    (60.0, 10.0),
    (200.0, 30.0),
)  # of the upright axis by its span; by eye


def chart_svg(swing: Swing, now: At, unit: str) -> str:
    """The chart, with a sentence that says the same to who does not see it."""
    xs, ys = [us for us, _ in swing.points], [mm for _, mm in swing.points]
    half = swing.throw_mm / 2
    low_x, high_x = min(*xs, swing.low_us), max(*xs, swing.high_us)
    low_y, high_y = min(*ys, -half), max(*ys, half)
    pad = 0.06 * (high_y - low_y)
    low_y, high_y = low_y - pad, high_y + pad

    def x(us: float) -> float:
        return _LEFT + (us - low_x) / (high_x - low_x) * (_WIDE - _LEFT - _RIGHT)

    def y(mm: float) -> float:
        return _TALL - _BOTTOM - (mm - low_y) / (high_y - low_y) * (_TALL - _TOP - _BOTTOM)

    def band(low: float, high: float, name: str) -> str:
        low, high = max(low, low_y), min(high, high_y)
        if low >= high:
            return ""
        return (f'<rect class="{name}" x="{_LEFT}" y="{y(high):.1f}" width="{_WIDE - _LEFT - _RIGHT:.1f}" '
                f'height="{y(low) - y(high):.1f}"/>')  # fmt: skip

    drawn = [band(-half, half, "throw")] if half else []
    drawn += [band(low, high, "wanted") for low, high in swing.bands]
    step = next((step for most, step in _STEPS if high_y - low_y <= most), 50.0)
    for count in range(math.ceil(low_y / step), math.floor(high_y / step) + 1):
        at = float(count * step)
        drawn.append(f'<line class="grid" x1="{_LEFT}" x2="{_WIDE - _RIGHT}" y1="{y(at):.1f}" y2="{y(at):.1f}"/>')
        drawn.append(f'<text x="{_LEFT - 6}" y="{y(at) + 4:.1f}" text-anchor="end">{number(at)}</text>')
    for tick in range(math.ceil(low_x / 100) * 100, math.floor(high_x / 100) * 100 + 1, 100):
        drawn.append(f'<text x="{x(tick):.1f}" y="{_TALL - 22}" text-anchor="middle">{tick}</text>')
    for name, us in swing.stops:
        drawn.append(f'<line class="stop" x1="{x(us):.1f}" x2="{x(us):.1f}" y1="{_TOP}" y2="{_TALL - _BOTTOM}"/>')
        drawn.append(f'<text x="{x(us):.1f}" y="{_TOP - 9}" text-anchor="middle">{escape(name)}</text>')
    path = " ".join(f"{x(us):.1f},{y(mm):.1f}" for us, mm in swing.points)
    drawn.append(f'<polyline class="curve" points="{path}"/>')
    drawn.append(f'<circle class="now" cx="{x(now.us):.1f}" cy="{y(now.free):.1f}" r="6"/>')
    drawn.append(f'<text x="{_WIDE - _RIGHT}" y="{_TALL - 6}" text-anchor="end">pulse, µs</text>')
    said = in_unit(f"{swing.told}. {now.told()}", unit)
    return (
        f'<svg class="chart" viewBox="0 0 {_WIDE:g} {_TALL:g}" role="img" aria-label="{escape(said)}">'
        f"{''.join(drawn)}</svg>"
    )
