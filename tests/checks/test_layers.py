"""Layers, islands, slivers and upright holes against other ways to find them."""

from __future__ import annotations

from math import cos, pi, sqrt

import manifold3d as m3
import numpy as np
import pytest
import shapely
import trimesh
from meshes import box, bracket, checks, footed, not_passed, part, printer, prism

from mounts.checks.facets import Facets
from mounts.checks.layers import check_islands, cut


def test_layers_lie_at_half_height_like_a_slicers() -> None:
    """A 4.1 mm part in 0.2 mm layers over a first of 0.3 is cut at 0.15, 0.4, 0.6 … 4.0."""
    layers = cut(Facets.of(part(box(10, 10, 4.1))), printer(first_layer_mm=0.3))

    assert layers.heights_mm[:3] == pytest.approx([0.15, 0.4, 0.6])
    assert layers.heights_mm[-1] == pytest.approx(4.0)


def test_reused_sections_have_the_area_trimesh_cuts() -> None:
    """Every layer of the bracket, cut or carried over, has the area of trimesh's own section."""
    mesh = part(bracket())
    layers = cut(Facets.of(mesh), printer())
    other = trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)

    assert sum(layers.repeats) > 20
    for height, section in zip(layers.heights_mm[::6], layers.sections[::6], strict=True):
        lines = trimesh.intersections.mesh_plane(other, plane_normal=[0, 0, 1], plane_origin=[0, 0, height])
        area = shapely.build_area(shapely.set_precision(shapely.MultiLineString(list(lines[:, :, :2])), 1e-6))
        assert section.area() == pytest.approx(area.area, rel=1e-6)


def test_island_is_found_and_placed() -> None:
    """A peg that hangs from an arm starts in mid-air at its lower end."""
    gallows = prism([(-10, 0), (0, 0), (0, 12), (6, 12), (6, 6), (10, 6), (10, 15), (-10, 15)], 20)

    found = checks(part(gallows))

    assert found["island"].value == 1.0
    assert "mid-air at (8.0, 0.0, 6.1)" in found["island"].message
    assert found["island"].at_mm == pytest.approx((8.0, 0.0, 6.1), abs=0.05)
    assert "with nothing to hold it" in found["overhang"].message


def test_two_islands_are_counted() -> None:
    """Two pegs under one arm are two places."""
    arm = prism([(-10, 0), (0, 0), (0, 12), (20, 12), (20, 15), (-10, 15)], 20)
    pegs = box(3, 3, 7).translate((6, 0, 6)) + box(3, 3, 7).translate((15, 0, 6))

    assert checks(part(arm + pegs))["island"].value == 2.0


def test_blade_has_no_room_for_two_lines() -> None:
    """A blade of 0.7 mm and 12 mm length is reported with that length."""
    check = checks(part(footed(30, 20, 4) + box(12, 0.7, 5).translate((0, 0, 3.9))))["two-lines"]

    assert check.verdict == "warn"
    assert check.value == pytest.approx(sqrt(12**2 + 0.7**2), abs=0.05)


def test_ridge_of_a_roof_is_no_sliver() -> None:
    """The last layers of a 45° roof are narrower than two lines, and nobody minds."""
    roof = prism([(-10, 0), (10, 0), (0, 10)], 30)

    assert "two-lines" not in not_passed(checks(part(roof + footed(24, 34, 1).translate((0, 0, -0.9)))))


@pytest.mark.parametrize("wide", [1.6, 2.4, 5.0])
def test_round_hole_reads_its_diameter(wide: float) -> None:
    """An upright hole reads its diameter to the sag of its facets, wherever its facets lie."""
    hole = m3.Manifold.cylinder(20, wide / 2, wide / 2, 32, True).rotate((0, 0, 7))

    assert wide * cos(pi / 32) - 1e-4 < checks(part(footed(20, 20, 6) - hole))["hole"].value < wide + 1e-4


def test_waist_of_an_hourglass_is_the_hole() -> None:
    """Of a hole between two cones the waist counts, and the place is its height."""
    low = m3.Manifold.cylinder(3.01, 2.0, 0.6, 48)
    high = m3.Manifold.cylinder(3, 0.6, 2.0, 48).translate((0, 0, 3))

    check = checks(part(footed(20, 20, 6) - low - high))["hole"]

    assert check.verdict == "fail"
    assert check.value == pytest.approx(1.25, abs=0.1)
    assert float(check.message.split(")")[0].split(",")[2]) == pytest.approx(3.0, abs=0.15)


def test_wire_slot_counts_by_its_length() -> None:
    """A slot of 1.2 × 2.2 mm, as a wire's pivot, is no hole of 1.2 mm."""
    check = checks(part(footed(20, 20, 4) - box(1.2, 2.2, 9).rotate((0, 0, 30)).translate((0, 0, -1))))["hole"]

    assert check.verdict == "pass"
    assert check.value == pytest.approx(2.2, abs=1e-3)


def test_counter_of_a_letter_is_no_hole() -> None:
    """The eye of a raised letter, 0.6 mm deep, may close."""
    ring = m3.Manifold.cylinder(0.8, 1.3, 1.3, 32) - m3.Manifold.cylinder(2, 0.5, 0.5, 32, True)

    found = checks(part(footed(20, 20, 4) + ring.translate((0, 0, 3.8))))

    assert "hole" not in found
    assert not_passed(found) == {}


def test_islands_agree_with_a_flood_of_voxels() -> None:
    """On random heaps of boxes the starts in mid-air are those a flood fill of a voxel grid finds."""
    from scipy.ndimage import label

    rng = np.random.default_rng(5)
    seen = 0
    for _ in range(12):
        grid = np.zeros((12, 12, 12), dtype=bool)  # cells of 2 mm, x y z
        grid[:, :, 0] = True
        for _ in range(8):
            x, y, z = rng.integers(0, 9, 3)
            dx, dy, dz = rng.integers(2, 4, 3)
            grid[x : x + dx, y : y + dy, 1 + z : 1 + z + dz] = True
        starts = 0
        for z in range(1, 12):
            pieces, count = label(grid[:, :, z])
            starts += sum(not grid[:, :, z - 1][pieces == i].any() for i in range(1, count + 1))
        cells = [m3.Manifold.cube((2, 2, 2)).translate(tuple(2.0 * c for c in cell)) for cell in np.argwhere(grid)]
        heap = m3.Manifold.batch_boolean(cells, m3.OpType.Add)
        layers = cut(Facets.of(part(heap)), printer())

        assert starts == check_islands(part(heap), layers).value
        seen += starts
    assert seen > 5
