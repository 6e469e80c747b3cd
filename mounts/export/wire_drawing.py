"""The wire to bend, drawn at 1:1, as SVG in millimetres."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mounts.design import Design
from mounts.export.kinds import drawing
from mounts.export.paper import TEXT_MM, Paper
from mounts.frames import Array
from mounts.scene_wire import HANDLE_MM
from mounts.units import number

ENDS = "arm at the left, tie bar at the right"
FROM_ZERO = (
    f"0: the arm's end, {number(HANDLE_MM)} mm from the end of the wire, which hold it while it is bent; cut them off "
    "then."
)
_BEFORE_CUTTING = "Wear eye protection when cutting: the ends fly. Spring wire springs back: bend past the line."


def wire(design: Design) -> Paper:
    """The wire to bend, as it lies at mid swing, and straight, with the place of every bend."""
    paper = Paper()
    notes = drawing(design).wire(paper, design)
    paper.below([f"{design.spec.id}: wire {number(design.drive.wire_mm)} mm, to bend on.", *notes, _BEFORE_CUTTING])
    return paper


def render_wire(design: Design) -> bytes:
    """The wire as SVG."""
    return wire(design).svg(f"{design.spec.id}: wire")


def straight(
    paper: Paper, top: float, wire_mm: float, cut_mm: float, bends_mm: Sequence[float], *, end_mm: float | None = None
) -> None:
    """The wire before it is bent, its zero a handle's length from its end, with a numbered mark for each bend.

    Args:
        paper: to draw on.
        top: height that it stays well under, mm.
        wire_mm: its diameter.
        cut_mm: its length.
        bends_mm: (n,) where each bend begins, from zero.
        end_mm: where it is cut off in the end, marked E; None: where it is cut already.
    """
    y = top - 5 * TEXT_MM
    paper.line([(-HANDLE_MM, y), (cut_mm - HANDLE_MM, y)], wide_mm=wire_mm)
    paper.line([(0.0, y - 2), (0.0, y + 2)])
    paper.text((-2.6, y + 2.6), "0")
    for count, at_mm in enumerate(bends_mm, start=1):
        paper.line([(at_mm, y - 2), (at_mm, y + 2)])
        paper.text((at_mm - 0.8, y + 2.6), str(count))
    if end_mm is not None:
        paper.line([(end_mm, y - 2), (end_mm, y + 2)], dash="1 1")
        paper.text((end_mm - 0.8, y + 2.6), "E")
    paper.text((-HANDLE_MM, y + 7), "straight; each bend begins at its mark")


def view(paper: Paper, line: Array, top: float, wire_mm: float, name: str) -> float:
    """Draws a line with its left end at 0 and returns how low it reaches, mm.

    Args:
        paper: to draw on.
        line: (n, 2) mm.
        top: height that it stays under, mm.
        wire_mm: its width.
        name: written above it.
    """
    moved = line - np.array([line[:, 0].min(), line[:, 1].max() - top + 3.5 * TEXT_MM])
    paper.text((0.0, top - 2 * TEXT_MM), name)
    paper.line([(float(x), float(y)) for x, y in moved], wide_mm=wire_mm)
    return float(moved[:, 1].min())
