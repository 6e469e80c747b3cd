"""Layers, islands, slivers and upright holes against other ways to find them."""

from __future__ import annotations

from math import cos, pi, sqrt

import manifold3d as m3
import numpy as np
import pytest
import shapely
import trimesh
from meshes import box, bracket, checks, footed, not_passed, part, printer, prism

from mounts.checks.bores import check_holes
from mounts.checks.duty import Duty
from mounts.checks.facets import Facets
from mounts.checks.layers import check_islands, check_two_lines, cut, is_hole
from mounts.checks.model import Check
from mounts.mesh import PartMesh


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


def test_a_layer_repeats_the_one_below_where_no_level_face_lies_between() -> None:
    """A step 2.2 mm high, cut at 0.1, 0.3, 0.5 …: only the layer at 2.3 differs, and one that a face runs through; a
    part no higher than half the first layer is cut once, in its middle."""
    step = cut(Facets.of(part(box(10, 10, 2.2) + box(6, 10, 4.0))), printer())
    assert step.heights_mm[:2].tolist() == pytest.approx([0.1, 0.3])
    assert [height for height, same in zip(step.heights_mm, step.repeats, strict=True) if not same] == pytest.approx(
        [0.1, 2.3]
    )
    assert [section.area() for section in step.sections] == pytest.approx([100.0] * 11 + [60.0] * 9)
    through = cut(Facets.of(part(box(10, 10, 2.3) + box(6, 10, 4.0))), printer())
    assert through.repeats.count(False) >= 2
    assert through.repeats[13:] == (True,) * 7
    assert cut(Facets.of(part(box(10, 10, 0.15))), printer()).heights_mm.tolist() == pytest.approx([0.075])
    assert not any(cut(Facets.of(part(prism([(-10, 0), (10, 0), (0, 10)], 5))), printer()).repeats[1:])
    in_face = cut(Facets.of(part(box(10, 10, 2.375) + box(6, 10, 4.0))), printer(first_layer_mm=0.25, layer_mm=0.25))
    assert [height for height, same in zip(in_face.heights_mm, in_face.repeats, strict=True) if not same] == [
        0.125, 2.375, 2.625
    ]  # fmt: skip


@pytest.mark.parametrize("turn", [0, 1, 2])
def test_a_ring_that_runs_clockwise_is_a_hole(turn: int) -> None:
    """Triangles with a corner wherever, far from the middle of the axes too."""
    for corners in ([(0, 0), (1, 1), (1, 0)], [(0, 0), (0, 1), (1, 0)], [(5, 9), (4, 9), (5, 12)]):
        ring = np.roll(np.add(corners, (7.0, -3.0)), turn, axis=0)
        assert is_hole(ring)
        assert not is_hole(ring[::-1])


@pytest.mark.parametrize(("side", "places"), [(0.7, 1), (0.1, 1), (0.02, 0)])
def test_an_island_may_be_small_but_not_a_speck(side: float, places: int) -> None:
    """A peg 0.1 mm thick under an arm starts in the air; one of 0.0004 mm² is nothing that a nozzle puts down."""
    arm = prism([(-10, 0), (0, 0), (0, 12), (20, 12), (20, 15), (-10, 15)], 20)
    mesh = part(arm + box(side, side, 7).translate((6, 0, 6)))

    assert check_islands(mesh, cut(Facets.of(mesh), printer())).value == places


def test_island_is_found_and_placed() -> None:
    """A peg that hangs from an arm starts in mid-air at its lower end."""
    gallows = prism([(-10, 0), (0, 0), (0, 12), (6, 12), (6, 6), (10, 6), (10, 15), (-10, 15)], 20)

    found = checks(part(gallows))

    assert found["island"].value == 1.0
    assert "mid-air at (8.0, 0.0, 6.1)" in found["island"].message
    assert found["island"].at_mm == pytest.approx((8.0, 0.0, 6.1), abs=0.05)
    assert "with nothing to hold it" in found["overhang"].message


def test_two_islands_are_counted() -> None:
    """Two pegs under one arm are two places; the lower one, printed first, is told."""
    arm = prism([(-10, 0), (0, 0), (0, 12), (20, 12), (20, 15), (-10, 15)], 20)
    pegs = box(3, 3, 7).translate((6, 2, 7)) + box(3, 3, 7).translate((15, 0, 6))

    check = checks(part(arm + pegs))["island"]
    assert check.value == 2.0
    assert "mid-air at (15.0, 0.0, 6.1)" in check.message
    assert check.at_mm == pytest.approx((15.0, 0.0, 6.1), abs=0.01)


@pytest.mark.parametrize("high", [0.0, 0.2, 4.0])
def test_blade_has_no_room_for_two_lines(high: float) -> None:
    """A blade of 0.7 mm and 12 mm length is reported with that length and where it begins: by itself, on a plate of one
    layer, on a plate beside which something ends half-way up."""
    blade = box(12, 0.7, 5 + high).translate((3, 1, 0))
    plate = box(30, 20, high) if high else m3.Manifold()
    check = _two_lines(part(blade + plate + (box(4, 4, 6).translate((-12, 0, 0)) if high > 1 else m3.Manifold())))

    assert check.verdict == "warn"
    assert check.value == pytest.approx(sqrt(12**2 + 0.7**2), abs=0.05)
    assert f"a sliver at (3.0, 1.0, {high + 0.1:.1f})" in check.message
    assert check.at_mm == pytest.approx((3.0, 1.0, high + 0.1), abs=0.02)


@pytest.mark.parametrize(
    ("long", "wide", "value"),
    [
        # up to 1.5 mm long it is the tip of a corner
        (1.3, 0.5, 1.393), (1.6, 0.5, 1.676),
        # chords take up to 0.03 mm off two lines of 0.4 mm
        (12, 0.775, 0.0), (12, 0.76, 12.024),
    ],
)  # fmt: skip
def test_a_sliver_is_told_by_its_length(long: float, wide: float, value: float) -> None:
    """Corner to corner of it; where there is none, there is no place."""
    check = _two_lines(part(box(long, wide, 5)))

    assert check.value == pytest.approx(value, abs=0.03 if value else 0.0)
    assert check.verdict == ("warn" if value > 1.5 else "pass")
    assert (check.at_mm is None) == (value == 0.0)


def test_a_dent_of_a_tenth_leaves_a_sliver_between() -> None:
    """A wall of 0.85 mm, 12 mm long, is 0.75 mm over 4 of them."""
    check = _two_lines(part(box(12, 0.85, 5) - box(4, 0.2, 9).translate((1, 0.425, -1))))

    assert check.value == pytest.approx(sqrt(4**2 + 0.75**2), abs=0.2)
    assert check.at_mm == pytest.approx((1.0, 0.0, 0.1), abs=0.1)


@pytest.mark.parametrize(("high", "told"), [(0.75, False), (1.05, True)])
def test_what_is_narrow_in_few_layers_is_no_matter(high: float, told: bool) -> None:
    """Through 1 mm, five layers, it is a sliver; the tips of square corners are none."""
    blade = box(12, 0.5, high + 1).translate((0, 0, 3))

    assert (_two_lines(part(footed(30, 20, 4) + blade)).value > 1.5) == told
    assert _two_lines(part(box(20, 20, 5))).value == 0.0


def _two_lines(mesh: PartMesh) -> Check:
    return check_two_lines(mesh, cut(Facets.of(mesh), printer()), printer())


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


@pytest.mark.parametrize("turned_deg", [0, 30, 90, 120])
def test_wire_slot_counts_by_its_length(turned_deg: int) -> None:
    """A slot of 1.2 × 2.2 mm, as a wire's pivot, is no hole of 1.2 mm, whichever way it lies."""
    check = checks(part(footed(20, 20, 4) - box(1.2, 2.2, 9).rotate((0, 0, turned_deg)).translate((0, 0, -1))))["hole"]

    assert check.verdict == "pass"
    assert check.value == pytest.approx(2.2, abs=1e-3)


def test_counter_of_a_letter_is_no_hole() -> None:
    """The eye of a raised letter, 0.6 mm deep, may close."""
    ring = m3.Manifold.cylinder(0.8, 1.3, 1.3, 32) - m3.Manifold.cylinder(2, 0.5, 0.5, 32, True)

    found = checks(part(footed(20, 20, 4) + ring.translate((0, 0, 3.8))))

    assert "hole" not in found
    assert not_passed(found) == {}


def _gate(*more: m3.Manifold) -> m3.Manifold:
    """Two feet 10 mm high under a beam of 3."""
    feet = box(5, 10, 10).translate((-10, 0, 0)) + box(5, 10, 10).translate((10, 0, 0))
    return feet + box(25, 10, 3).translate((0, 0, 9.9)) + sum(more, m3.Manifold())


@pytest.mark.parametrize(
    ("body", "starts"),
    [
        # a tower over one foot: the other has none above it, and rests on the bed all the same
        (_gate(box(5, 10, 9).translate((-10, 0, 12))), 0),
        # a peg from the beam that ends one layer above the bed
        (_gate(box(3, 3, 10.0).translate((0, 0, 0.25))), 1),
        # a peg on a shelf of one layer that stands out of the beam
        (_gate(box(6, 10, 0.2).translate((14, 0, 12.7)), box(2, 2, 5).translate((15.5, 0, 12.8))), 0),
    ],
)
def test_a_layer_rests_on_the_one_right_below_it(body: m3.Manifold, starts: int) -> None:
    """Not on the last, nor on the one before; the first on the bed."""
    mesh = part(body)

    assert check_islands(mesh, cut(Facets.of(mesh), printer())).value == starts


@pytest.mark.parametrize("small", range(6))
def test_every_hole_of_a_row_is_followed_from_its_first_layer(small: int) -> None:
    """Through seven layers, of which a hole takes more than five: 1.9 mm among those of 2.4 is told wherever it is."""
    plate = box(40, 8, 1.4)
    for n in range(6):
        radius = 0.95 if n == small else 1.2
        plate -= m3.Manifold.cylinder(9, radius, radius, 32, True).translate((6 * n - 15, 0, 0))
    mesh = part(plate)

    row = check_holes(mesh, cut(Facets.of(mesh), printer()), printer())
    assert row is not None
    assert row.value == pytest.approx(1.9, abs=0.02)


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_two_pockets_over_each_other_but_aside_are_no_hole(way: float) -> None:
    """0.9 mm deep from below and from above, in corners across, they are not one hole 1.8 mm deep."""
    low, high = (box(0.8, 0.8, 2).translate((way * side * 4, side * 4, 0)) for side in (-1, 1))
    plate = box(20, 20, 1.8) - low.translate((0, 0, -1.1)) - high.translate((0, 0, 0.9))
    mesh = part(plate)

    assert check_holes(mesh, cut(Facets.of(mesh), printer()), printer()) is None


@pytest.mark.parametrize(("aside", "verdict"), [(0.95, "pass"), (1.05, "warn")])
def test_a_hole_is_a_screws_within_half_its_thread(aside: float, verdict: str) -> None:
    """A 2 mm screw that is drilled through: a rough hole less than 1 mm from its axis is its own."""
    mesh = part(box(20, 20, 5) - m3.Manifold.cylinder(9, 0.85, 0.85, 32, True).translate((3, 2, 0)))
    duty = Duty(0.0, np.array([[[3.0 + aside, 2.0, 9.0], [0.0, 0.0, 1.0]]]), 2.0, drilled=True)

    row = check_holes(mesh, cut(Facets.of(mesh), printer()), printer(), duty)
    assert row is not None
    assert row.verdict == verdict
    assert row.message.startswith(
        "a 1.69 mm hole at (3.0, 2.0, 0.1) prints rough" if verdict == "warn" else "least hole at"
    )


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_of_several_holes_the_one_that_falls_shortest_is_told(side: float) -> None:
    """1.9 mm where 2.0 is clean before 1.6 that is drilled through, which must be 1.5; and of two alike the narrower,
    whichever comes first."""
    rough = m3.Manifold.cylinder(9, 0.8, 0.8, 32, True).translate((side * 5, 2, 0))
    other = m3.Manifold.cylinder(9, 0.95, 0.95, 32, True).translate((side * -5, 1, 0))
    mesh = part(box(20, 20, 5) - rough - other)
    layers = cut(Facets.of(mesh), printer())
    own = Duty(0.0, np.array([[[side * 5, 2.0, 0.0], [0.0, 0.0, 1.0]]]), 2.0, drilled=True)

    told = [check_holes(mesh, layers, printer(), duty) for duty in (own, Duty(0.0, own.axes, 2.0, drilled=False))]
    assert [row and round(row.value, 1) for row in told] == [1.9, 1.6]
    assert [row and row.verdict for row in told] == ["warn", "warn"]


def test_islands_agree_with_a_flood_of_voxels() -> None:
    """On random heaps of boxes the starts in mid-air are those a flood fill of a voxel grid finds."""
    from scipy.ndimage import label

    rng = np.random.default_rng(5)
    seen = 0
    for _ in range(12):
        grid = np.zeros((12, 12, 12), dtype=bool)  # cells of 2 mm, x y z
        grid[:, :, 0] = True
        boxes = [m3.Manifold.cube((24, 24, 2))]
        for _ in range(8):
            x, y, z = (int(n) for n in rng.integers(0, 9, 3))
            dx, dy, dz = (int(n) for n in rng.integers(2, 4, 3))
            grid[x : x + dx, y : y + dy, 1 + z : 1 + z + dz] = True
            high = min(dz, 11 - z)
            boxes.append(m3.Manifold.cube((2 * dx, 2 * dy, 2 * high)).translate((2 * x, 2 * y, 2 + 2 * z)))
        starts = 0
        for z in range(1, 12):
            pieces, count = label(grid[:, :, z])
            starts += sum(not grid[:, :, z - 1][pieces == i].any() for i in range(1, count + 1))
        heap = part(m3.Manifold.batch_boolean(boxes, m3.OpType.Add))

        assert starts == check_islands(heap, cut(Facets.of(heap), printer())).value
        seen += starts
    assert seen > 5
