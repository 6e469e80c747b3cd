"""The drilling template read back as any SVG program would: at 1:1, the right way round, with what lies round it."""

import re
import xml.etree.ElementTree as ET  # our own bytes

import numpy as np
import pytest
from made import kept

from mounts import scene
from mounts.export.template import render_template, template
from mounts.frames import apply
from mounts.scene_site import lane

pytestmark = pytest.mark.solid

SVG = "{http://www.w3.org/2000/svg}"
HUT = {"style": "hut", "scale": "N", "board": "12 mm"}
SIDE = {"style": "cabin", "scale": "N", "board": "12 mm", "roadbed": "0", "pin_height": "1"}


def _made(options=None, **asked):
    mount = kept(options or {}, **asked)
    return mount.design, mount.meshes


def _root(design, meshes):
    return ET.fromstring(render_template(template(design, meshes), design))  # noqa: S314, our own bytes


def _circles(root):
    """Centres (n, 2) with y upwards, and diameters (n,)."""
    found = [[float(circle.get(key)) for key in ("cx", "cy", "r")] for circle in root.iter(f"{SVG}circle")]
    values = np.array(found)
    return values[:, :2] * (1, -1), 2 * values[:, 2]


def _lines(root):
    return [
        np.array([[float(value) for value in pair.split(",")] for pair in line.get("points").split()]) * (1, -1)
        for tag in ("polyline", "polygon")
        for line in root.iter(f"{SVG}{tag}")
    ]


def _words(root):
    return " ".join(text.text for text in root.iter(f"{SVG}text"))


@pytest.mark.parametrize("mirror", [False, True])
def test_a_millimetre_is_a_millimetre(mirror):
    """Width and height in mm are those of the view box (SVG 2, 8.6); bars of 100 mm and of 4 in (101.6 mm)."""
    root = _root(*_made(mirror=mirror))

    _, _, wide, high = (float(value) for value in root.get("viewBox").split())
    assert (root.get("width"), root.get("height")) == (f"{wide:.3f}mm", f"{high:.3f}mm")
    for length in (100.0, 4 * 25.4):
        assert any(np.ptp(line[:, 0]) == pytest.approx(length) and np.ptp(line[:, 1]) == 0 for line in _lines(root))


@pytest.mark.parametrize("asked", [{}, {"scale": "N", "laid": True}, {"scale": "O", "max_depth": "110"}, HUT, SIDE])
def test_a_page_fits_a_printer_and_tells_its_box(asked):
    """The box round everything is drawn as large as is told, and goes on A4 (210 × 297 mm) less 10 mm all round."""
    root = _root(*_made({"pose": "side"} if asked is SIDE else {}, **asked))

    size = max((np.ptp(line, axis=0) for line in _lines(root) if len(line) == 4), key=lambda s: s[0] * s[1])
    told = re.search(r"this box: ([\d.]+) × ([\d.]+) mm", _words(root))
    assert [float(side) for side in told.groups()] == pytest.approx(size.tolist(), abs=0.051)
    assert size[0] <= 190
    assert size[1] <= 277


@pytest.mark.parametrize("mirror", [False, True])
def test_a_brackets_template_is_seen_from_below(mirror):
    """Held against the underside, x to the right, y runs away from the reader's top: the mirror image of the plan."""
    design, meshes = _made(mirror=mirror)
    root = _root(design, meshes)
    centres, diameters = _circles(root)

    fixings = np.array(design.datums.fixings)[:, :2] * (1, -1)
    assert centres[: len(fixings)] == pytest.approx(fixings, abs=1e-3)
    assert centres[len(fixings) :] == pytest.approx(np.array([(0, 0), (-50, 0), (50, 0)]))
    drilled = [design.spec.fixing.pilot_mm] * len(fixings) + [design.drive.board_hole_mm]
    assert diameters[: len(drilled)] == pytest.approx(drilled, abs=2e-3)
    assert "UNDERSIDE" in _words(root)
    assert "mirror image" in _words(root)
    plate = apply(meshes[0].print_to_mount, meshes[0].vertices_mm)
    plate = plate[plate[:, 2] > plate[:, 2].max() - 0.9][:, :2] * (1, -1)
    assert any(
        line.min(axis=0) == pytest.approx(plate.min(axis=0), abs=0.1)
        and line.max(axis=0) == pytest.approx(plate.max(axis=0), abs=0.1)
        for line in _lines(root)
    )


def test_the_arrow_on_a_brackets_template_points_where_reverse_is():
    """At reverse the wire's end is at +y, which is down on a paper that is seen from below."""
    design, meshes = _made()
    assert scene.wire_path(design, np.radians(design.drive.swing_deg))[-1, 1] > 0

    root = _root(design, meshes)
    heads = [line for line in _lines(root) if len(line) == 3]
    (head,) = [head for head in heads if np.ptp(head[:, 1]) > 2]
    assert head[0, 1] == head[:, 1].min()  # its tip
    (word,) = [text for text in root.iter(f"{SVG}text") if text.text == "reverse"]
    assert -float(word.get("y")) < head[0, 1]


def test_a_housings_template_is_seen_from_above_and_shows_the_cut_out():
    """Pilots where the fixings are, and the cut-out's corners under the arm, which it gives a millimetre all round."""
    design, meshes = _made({"pose": "side"}, **SIDE)
    root = _root(design, meshes)

    fixings = np.array(design.datums.fixings)[:, :2]
    assert _circles(root)[0][: len(fixings)] == pytest.approx(fixings, abs=1e-3)
    assert "TOP" in _words(root)
    arms = [scene.arm_blade(design, float(theta)).bounding_box() for theta in scene.arm_angles_rad(design)]
    low = np.min([arm[:2] for arm in arms], axis=0)
    high = np.max([arm[3:5] for arm in arms], axis=0)
    assert any(
        len(line) == 4
        and (line.min(axis=0) <= low - 0.99).all()
        and (line.max(axis=0) >= high + 0.99).all()
        and np.ptp(line, axis=0).max() < 40
        for line in _lines(root)
    )


def test_rails_shell_and_lane_show_on_paper_whether_it_fits():
    """Rails at N's gauge of 9 mm (NEM 010) about the track, the shell's hull, and the lane that the steps tell."""
    design, meshes = _made(**HUT)
    lines = _lines(_root(design, meshes))
    middle = design.beside_track().track_y

    faces = [middle - 4.5, middle + 4.5]
    long = [line for line in lines if len(line) == 4 and np.ptp(line[:, 0]) > 40 and 0.2 < np.ptp(line[:, 1]) < 1.0]
    rails = sorted((line for line in long), key=lambda line: line[0, 1])
    assert rails[0][:, 1].max() == pytest.approx(faces[0], abs=2e-3)
    assert rails[1][:, 1].min() == pytest.approx(faces[1], abs=2e-3)
    points = np.vstack([apply(mesh.print_to_mount, mesh.vertices_mm) for mesh in meshes])[:, :2]
    assert any(
        line.min(axis=0) == pytest.approx(points.min(axis=0), abs=0.12)
        and line.max(axis=0) == pytest.approx(points.max(axis=0), abs=0.12)
        for line in lines
    )
    (x0, x1), (y0, y1) = lane(design)
    assert any(
        len(line) == 4
        and line.min(axis=0) == pytest.approx((x0, y0), abs=2e-3)
        and line.max(axis=0) == pytest.approx((x1, y1), abs=2e-3)
        for line in lines
    )
