"""Drawings read back as any SVG program would: at 1:1, the right way round."""

import xml.etree.ElementTree as ET  # our own bytes

import numpy as np
import pytest
from made import kept

from mounts import scene
from mounts.export.drawing import render_template, render_wire

pytestmark = pytest.mark.solid

SVG = "{http://www.w3.org/2000/svg}"


def _root(data):
    return ET.fromstring(data)  # noqa: S314, our own bytes


def _circles(root):
    """Centres (n, 2) with y upwards, and diameters (n,)."""
    found = [[float(circle.get(key)) for key in ("cx", "cy", "r")] for circle in root.iter(f"{SVG}circle")]
    values = np.array(found)
    return values[:, :2] * (1, -1), 2 * values[:, 2]


def _lines(root):
    return [
        np.array([[float(value) for value in pair.split(",")] for pair in line.get("points").split()]) * (1, -1)
        for tag in ("polyline", "polygon") for line in root.iter(f"{SVG}{tag}")
    ]


@pytest.mark.parametrize("mirror", [False, True])
def test_a_millimetre_is_a_millimetre(mirror):
    """Width and height in mm are those of the view box (SVG 2, 8.6), so one unit of the drawing is one mm of paper."""
    root = _root(render_template(*_made(mirror=mirror)))

    _, _, wide, high = (float(value) for value in root.get("viewBox").split())
    assert (root.get("width"), root.get("height")) == (f"{wide:.3f}mm", f"{high:.3f}mm")
    assert any(np.ptp(line[:, 0]) == pytest.approx(50.0) and np.ptp(line[:, 1]) == 0 for line in _lines(root))


def _made(options=None, **asked):
    mount = kept(options or {}, **asked)
    return mount.design, mount.meshes


@pytest.mark.parametrize("mirror", [False, True])
def test_a_brackets_template_is_seen_from_below(mirror):
    """Held against the underside, x to the right, y runs away from the reader's top: the mirror image of the plan."""
    design, meshes = _made(mirror=mirror)
    centres, diameters = _circles(_root(render_template(design, meshes)))

    fixings = np.array(design.datums.fixings)[:, :2] * (1, -1)
    assert centres[:-1] == pytest.approx(fixings, abs=1e-3)
    assert centres[-1] == pytest.approx((0, 0))
    drilled = [design.spec.fixing.pilot_mm] * len(fixings) + [design.drive.board_hole_mm]
    assert diameters == pytest.approx(drilled, abs=2e-3)


def test_a_housings_template_is_seen_from_above_and_shows_the_cut_out():
    """Pilots where the fixings are, and the cut-out's corners under the arm, which it gives a millimetre all round."""
    design, meshes = _made({"pose": "side"}, style="cabin", scale="N", board="12 mm", roadbed="0", pin_height="1")
    root = _root(render_template(design, meshes))

    assert _circles(root)[0] == pytest.approx(np.array(design.datums.fixings)[:, :2], abs=1e-3)
    arms = [scene.arm_blade(design, float(theta)).bounding_box() for theta in scene.arm_angles_rad(design)]
    low = np.min([arm[:2] for arm in arms], axis=0)
    high = np.max([arm[3:5] for arm in arms], axis=0)
    assert any(
        len(line) == 4 and (line.min(axis=0) <= low - 0.99).all() and (line.max(axis=0) >= high + 0.99).all()
        and np.ptp(line, axis=0).max() < 40 for line in _lines(root)
    )


def test_the_wires_drawing_has_its_length_and_its_bends():
    """The straight wire is as long as what is cut, with a mark for each bend, and the bent one no longer than it."""
    design, _ = _made(style="hut", scale="N", board="12 mm")
    lines = _lines(_root(render_wire(design)))

    drive = design.drive
    straight = next(line for line in lines if np.ptp(line[:, 0]) == pytest.approx(drive.cut_length_mm, abs=2e-3))
    marks = [
        line[0, 0] - straight[0, 0] for line in lines
        if np.ptp(line[:, 0]) == 0 and np.ptp(line[:, 1]) == pytest.approx(4.0)
    ]
    assert sorted(marks) == pytest.approx([bend.at_mm for bend in drive.bends], abs=2e-3)
    across, above = (sum(np.hypot(*np.diff(line, axis=0).T)) for line in lines[:2])
    assert max(across, above) <= drive.cut_length_mm + 1e-3
    assert above > drive.rod_length_mm + 2 * drive.loop_leg_mm
