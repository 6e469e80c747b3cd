"""The wire's drawing read back: its length, its bends, and its radii."""

import xml.etree.ElementTree as ET  # our own bytes

import numpy as np
import pytest
from made import kept

from mounts.export.wire_drawing import render_wire
from mounts.scene_rocking_wire import bent_wire
from mounts.scene_wire import wire_cut_mm

pytestmark = pytest.mark.solid

SVG = "{http://www.w3.org/2000/svg}"


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
    design = kept({}, style="hut", scale="N", board="12 mm").design
    lines = _lines(_root(design))

    drive = design.drive
    straight = next(line for line in lines if np.ptp(line[:, 0]) == pytest.approx(drive.cut_length_mm, abs=2e-3))
    assert sorted(_marks(lines, straight)) == pytest.approx([bend.at_mm for bend in drive.bends], abs=2e-3)
    across, above = (sum(np.hypot(*np.diff(line, axis=0).T)) for line in lines[:2])
    assert max(across, above) <= drive.cut_length_mm + 1e-3
    assert above > drive.rod_length_mm + 2 * drive.loop_leg_mm


def test_a_rocking_wires_drawing_is_as_long_as_what_is_told():
    """Bent and straight are one length, that of the list less what is held and spare; a mark for each end and bend."""
    design = kept({}).design
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
    design = kept({}).design
    root = _root(design)
    steps = np.diff(_lines(root)[0], axis=0)

    turns = np.degrees(np.abs(np.diff(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0])))))
    assert turns.max() <= 6.0
    assert turns.sum() == pytest.approx(180, abs=6)  # but for the chord in which both bends meet
    words = _words(root)
    assert f"{3 * design.drive.wire_mm:.1f} mm drill" in words
    assert "a Z" in words
