"""Where the callipers go on a servo, all measurements on one sheet, as SVG to print; not to scale."""

from __future__ import annotations

from mounts.export.paper import TEXT_MM, Paper, Point
from mounts.inputs.callipers import QUESTIONS
from mounts.inputs.servo import Servo

LARGER = 2.5  # than the servo, so that lines and words have room
_GREY = "#888888"


def render_calliper_sheet(servo: Servo) -> bytes:
    """Side and top of a servo with a line for each measurement, and the questions below.

    Args:
        servo: of a class, whose proportions are drawn.
    """
    paper = Paper()
    _side(paper, servo)
    _top(paper, servo)
    asked = [f"{number + 1}  {question.key}: {question.asks}; such as {question.example}"
             for number, question in enumerate(QUESTIONS)]  # fmt: skip
    paper.below(["Where the callipers go, drawn larger than it is: mounts profiles new servo NAME", *asked])
    return paper.svg("where the callipers go")


def _box(paper: Paper, x: Point, y: Point) -> None:
    paper.box((x[0] * LARGER, y[0] * LARGER), (x[1] * LARGER, y[1] * LARGER))


def _span(paper: Paper, start: Point, end: Point, name: str) -> None:
    """A measurement: a line between two ticks, and its letter."""
    (x0, y0), (x1, y1) = ((x * LARGER, y * LARGER) for x, y in (start, end))
    flat = abs(y1 - y0) < 1e-9
    tick = (0.0, 1.2) if flat else (1.2, 0.0)
    paper.line([(x0, y0), (x1, y1)], ink=_GREY)
    for x, y in ((x0, y0), (x1, y1)):
        paper.line([(x - tick[0], y - tick[1]), (x + tick[0], y + tick[1])], ink=_GREY)
    at = ((x0 + x1) / 2 - TEXT_MM / 3, y0 + 1.0) if flat else (x0 + 1.0, (y0 + y1) / 2 - TEXT_MM / 3)
    paper.text(at, name)


def _side(paper: Paper, servo: Servo) -> None:
    near, far = servo.case_ends_mm()
    bottom, top = -servo.flange_underside_height_mm, servo.case_top_height_mm
    ear0, ear1 = near - servo.ear_mm, far + servo.ear_mm
    boss, arm = servo.boss_mm / 2, servo.horn_plane_height_mm
    _box(paper, (near, far), (bottom, top))
    _box(paper, (ear0, near), (0, servo.flange_thickness_mm))
    _box(paper, (far, ear1), (0, servo.flange_thickness_mm))
    _box(paper, (-boss, boss), (top, servo.boss_top_height_mm))
    _box(paper, (-servo.spline_mm / 2, servo.spline_mm / 2), (servo.boss_top_height_mm, servo.arm_inner_height_mm))
    _box(paper, (-servo.horn_hub_mm / 2, servo.horn_length_mm), (servo.arm_inner_height_mm, arm))
    leaves = (near - 6.0, near) if servo.cable_end == "near" else (far, far + 6.0)
    cable, half = bottom + servo.cable_height_mm, servo.cable_thickness_mm / 2
    _box(paper, leaves, (cable - half, cable + half))
    _span(paper, (near, bottom - 3), (far, bottom - 3), "a")
    _span(paper, (far + 3, bottom), (far + 3, top), "c")
    _span(paper, (ear0 - 3, bottom), (ear0 - 3, 0), "f")
    _span(paper, (near, top + 1.5), (0, top + 1.5), "g")
    _span(paper, (-boss, servo.boss_top_height_mm + 1.5), (boss, servo.boss_top_height_mm + 1.5), "h")
    _span(paper, (boss + 2, top), (boss + 2, servo.boss_top_height_mm), "k")
    _span(paper, (ear1 + 3, 0), (ear1 + 3, arm), "m")
    _span(paper, (near + 2, bottom), (near + 2, bottom + servo.cable_height_mm), "p")


def _top(paper: Paper, servo: Servo) -> None:
    near, far = servo.case_ends_mm()
    down = -servo.flange_underside_height_mm - 14.0 - servo.case_width_mm
    half = servo.case_width_mm / 2
    ear0, ear1 = near - servo.ear_mm, far + servo.ear_mm
    _box(paper, (near, far), (down - half, down + half))
    _box(paper, (ear0, near), (down - half, down + half))
    _box(paper, (far, ear1), (down - half, down + half))
    middle, hole = (near + far) / 2, servo.flange_hole_mm * LARGER
    for along, across in servo.ear_screws_mm:
        paper.circle(((middle + along) * LARGER, (down + across) * LARGER), hole)
    paper.circle((0.0, down * LARGER), servo.boss_mm * LARGER)
    for radius in servo.horn_radii_mm:
        paper.circle((radius * LARGER, down * LARGER), servo.horn_hole_mm * LARGER)
    first = servo.horn_radii_mm[0]
    _span(paper, (0, down - half - 2), (first, down - half - 2), "n1")
    _span(paper, (0, down - half - 5), (servo.horn_radii_mm[1 % len(servo.horn_radii_mm)], down - half - 5), "n2")
    spacing = servo.flange_hole_spacing_mm / 2
    _span(paper, (middle - spacing, down + half + 2), (middle + spacing, down + half + 2), "e")
    _span(paper, (ear0, down + half + 5), (ear1, down + half + 5), "d")
    _span(paper, (ear1 + 3, down - half), (ear1 + 3, down + half), "b")
