"""The wire to bend, drawn at 1:1, as SVG in millimetres."""

from __future__ import annotations

import numpy as np

from mounts.design import Design
from mounts.export.kinds import drawing
from mounts.export.paper import TEXT_MM, Paper
from mounts.frames import Array
from mounts.units import number

ENDS = "arm at the left, tie bar at the right"
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
