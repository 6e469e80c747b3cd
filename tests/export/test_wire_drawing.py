"""The wire's drawing read back: its length, its bends, and its radii."""

import re
import xml.etree.ElementTree as ET  # our own bytes
from functools import cache

import numpy as np
import pytest

from mounts.design import Design
from mounts.export.wire_drawing import render_wire
from mounts.inputs.library import Library
from mounts.inputs.request import read_request
from mounts.inputs.resolve import resolve
from mounts.pipeline import design_mount
from mounts.scene_rocking_wire import bent_wire
from mounts.scene_wire import wire_cut_mm

SVG = "{http://www.w3.org/2000/svg}"
WAYS = {"up": (0, 0, 1), "to the right": (1, 0, 0), "away from you": (0, 1, 0), "towards you": (0, -1, 0)}
"""Right on paper, up on paper where it is seen from above, and up from the board."""


@cache
def _design(style: str = "under-bracket", scale: str = "HO", board: str = "18 mm") -> Design:
    asked = {"id": "A1", "style": style, "servo": "micro-9g", "board": board, "scale": scale}
    return design_mount(resolve(read_request(asked), Library())).design


def _bent(start, first, bends, wire_mm, end_mm):
    """Corners (n, 3) of a wire bent by what is printed: straight to where each bend begins, round a drill, and on.

    ``bends``: where it begins, its angle, the drill, the way that the rest goes, and for half a turn the side.
    """
    at, way, gone = np.array(start, dtype=float), np.array(first, dtype=float), 0.0
    line = [at]
    for begins, angle, drill, rest, side in bends:
        at = at + way * (begins - gone)
        line.append(at)
        inward = np.array(rest if side is None else side, dtype=float)
        radius, turn = drill / 2 + wire_mm / 2, np.radians(angle)
        for share in np.linspace(0.0, 1.0, 37)[1:]:
            line.append(at + radius * (np.sin(share * turn) * way + (1 - np.cos(share * turn)) * inward))
        at, way, gone = line[-1], np.array(rest, dtype=float), begins + radius * turn
    return np.array([*line, at + way * (end_mm - gone)])


def _root(design):
    return ET.fromstring(render_wire(design))  # noqa: S314, our own bytes


def _lines(root):
    return [
        np.array([[float(value) for value in pair.split(",")] for pair in line.get("points").split()]) * (1, -1)
        for line in root.iter(f"{SVG}polyline")
    ]


def _words(root):
    return " ".join(text.text for text in root.iter(f"{SVG}text"))


def _marks(lines, straight):
    return [
        line[0, 0] - straight[0, 0]
        for line in lines
        if np.ptp(line[:, 0]) == 0 and np.ptp(line[:, 1]) == pytest.approx(4.0)
    ]


def test_a_rods_drawing_has_its_length_and_its_bends():
    """The straight wire is as long as what is used, with a mark for each bend, and the bent one no longer than it."""
    design = _design("hut", "N", "12 mm")
    lines = _lines(_root(design))

    drive = design.drive
    straight = next(line for line in lines if np.ptp(line[:, 0]) == pytest.approx(drive.cut_length_mm, abs=2e-3))
    assert sorted(_marks(lines, straight)) == pytest.approx([bend.at_mm for bend in drive.bends], abs=2e-3)
    across, above = (sum(np.hypot(*np.diff(line, axis=0).T)) for line in lines[:2])
    assert max(across, above) <= drive.cut_length_mm + 1e-3
    assert above > drive.rod_length_mm + 2 * drive.loop_leg_mm


def test_a_rocking_wires_drawing_is_as_long_as_what_is_told():
    """Bent and straight are one length, that of the list less what is held and spare; a mark for each end and bend."""
    design = _design()
    root = _root(design)
    lines, bent = _lines(root), bent_wire(design)

    drawn = sum(np.hypot(*np.diff(lines[0], axis=0).T))
    assert drawn == pytest.approx(bent.used_mm, abs=0.02)
    straight = next(line for line in lines if np.ptp(line[:, 0]) == pytest.approx(wire_cut_mm(design), abs=2e-3))
    marks = sorted(_marks(lines, straight))
    at = [0.0, *(bend.at_mm for bend in bent.bends), bent.used_mm]
    assert marks == pytest.approx([10.0 + mark for mark in at], abs=2e-3)  # ten to hold it by
    assert f"Cut the wire {wire_cut_mm(design):g} mm" in _words(root).replace("  ", " ")


def test_a_rocking_wire_is_drawn_with_the_radii_that_are_bent():
    """No corner turns by more than a chord of 5°: what is laid on the paper is a bend of 1.5 diameters inside."""
    design = _design()
    root = _root(design)
    steps = np.diff(_lines(root)[0], axis=0)

    turns = np.degrees(np.abs(np.diff(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0])))))
    assert turns.max() <= 6.0
    assert turns.sum() == pytest.approx(180, abs=6)  # but for the chord in which both bends meet
    words = _words(root)
    assert f"{3 * design.drive.wire_mm:g} mm drill" in words
    assert "a Z" in words


def test_a_wire_bent_by_the_words_is_the_wire_that_is_drawn():
    """A rocking wire: up round the first drill from its end, back round the second, and straight on to E; with places
    to a tenth it lies on the drawing to 0.2 mm, its end too."""
    design = _design()
    root = _root(design)
    words = " ".join(_words(root).split())

    found = re.findall(
        r"\d: begins at ([\d.]+) mm, (\d+)° .*? of a ([\d.]+) mm drill, inside radius ([\d.]+) mm", words
    )
    (end,) = re.findall(r"E: ([\d.]+) mm", words)
    (first, second), wire_mm = [tuple(map(float, bend)) for bend in found], design.drive.wire_mm
    assert first[3] == pytest.approx(first[2] / 2)
    bends = [(*first[:3], (0, 1, 0), None), (*second[:3], (1, 0, 0), None)]
    made = _bent((0, 0, 0), (1, 0, 0), bends, wire_mm, float(end))[:, :2]
    drawn = _lines(root)[0]
    assert made.max(axis=0) - made.min(axis=0) == pytest.approx(np.ptp(drawn, axis=0), abs=0.2)
    assert made[-1] - made[0] == pytest.approx(drawn[-1] - drawn[0], abs=0.2)
    assert float(end) == pytest.approx(sum(np.hypot(*np.diff(drawn, axis=0).T)), abs=0.06)


@pytest.mark.parametrize(("scale", "board"), [("N", "12 mm"), ("HO", "18 mm")])
def test_a_rod_bent_by_the_words_is_the_rod_that_is_drawn(scale, board):
    """From the tail behind the arm, in space: seen along the track and from above it lies as both views are drawn, to
    what seven places told to a tenth make of it; and it ends where the straight one does."""
    design = _design("hut", scale, board)
    root = _root(design)
    words = " ".join(_words(root).split())
    lines, wire_mm = _lines(root), design.drive.wire_mm

    told = re.findall(
        r"\d: ([\d.]+) mm, ([^:]*?), (\d+)° round a ([\d.]+) mm drill; seen from above the rest goes"
        r" (up|to the right|away from you|towards you)",
        words,
    )
    assert [what for _, what, *_ in told] == [
        "tail of the Z-bend", "Z-bend at the arm", "near foot of the loop", "crown of the loop",
        "far foot of the loop", "leg for the tie bar",
    ]  # fmt: skip
    bends = [
        (float(begins), float(angle), float(drill), WAYS[way], WAYS["to the right"] if angle == "180" else None)
        for begins, _, angle, drill, way in told
    ]
    along, above = lines[:2]
    up = np.sign((along[1] - along[0])[1])
    made = _bent((0, 0, 0), (0, 0, up), bends, wire_mm, design.drive.cut_length_mm)
    for seen, drawn in ((made[:, [0, 2]], along), (made[:, :2], above)):
        assert np.ptp(seen, axis=0) == pytest.approx(np.ptp(drawn, axis=0), abs=0.35)
        assert seen[-1] - seen[0] == pytest.approx(drawn[-1] - drawn[0], abs=0.35)
