"""Facets by hand: areas, normals and needles, neighbours, rays, samples, and how a place is told."""

from __future__ import annotations

from dataclasses import FrozenInstanceError
from types import SimpleNamespace

import numpy as np
import pytest
from meshes import arrays, box

from mounts.checks.facets import MISS, Facets, place_text

TRIANGLE = np.array([[0.0, 0.0, 0.0], [4.0, 0.0, 0.0], [0.0, 3.0, 0.0]])
ONE = np.array([[0, 1, 2]])


def test_a_right_triangle_of_3_and_4_has_6_mm2_and_looks_up() -> None:
    """Anticlockwise from above; turned over it looks down."""
    up, down = Facets(TRIANGLE, ONE), Facets(TRIANGLE, ONE[:, ::-1])

    assert up.areas_mm2 == pytest.approx([6.0])
    assert up.normals.tolist() == [[0.0, 0.0, 1.0]]
    assert down.normals.tolist() == [[0.0, 0.0, -1.0]]
    with pytest.raises(FrozenInstanceError):  # what was worked out would be that of others
        up.faces = down.faces


@pytest.mark.parametrize(("high", "line"), [(0.0, True), (0.9e-6, True), (1.1e-6, False)])
@pytest.mark.parametrize("turn", [0, 1, 2])
def test_a_triangle_less_than_a_millionth_high_is_a_line(high: float, line: bool, turn: int) -> None:
    """Over its longest side, whichever that is; a line has no normal, one that is just none is a unit long."""
    corners = np.array([[0.0, 0.0, 5.0], [8.0, 0.0, 5.0], [3.0, high, 5.0]])
    found = Facets(corners, np.roll(ONE, turn, axis=1))

    assert found.is_line.tolist() == [line]
    assert np.linalg.norm(found.normals, axis=1).tolist() == pytest.approx([0.0 if line else 1.0])


def test_a_ray_is_as_long_as_the_way_to_the_face() -> None:
    """Through a cuboid of 6 × 4 × 2 from outside and from inside, square and aslant; past it there is nothing."""
    facets = Facets(*arrays(box(6, 4, 2)))
    aslant = np.array([3.0, 0.0, -4.0]) / 5
    origins = np.array([[1.3, 0.7, 5.0], [0.2, 0.1, 0.4], [0.2, 0.1, 1.0], [9.0, 0.0, 1.0], [-1.1, 0.3, 4.0]])
    ways = np.array([[0.0, 0.0, -1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0], aslant])

    met, away = facets.first_hits(origins, ways)
    assert away == pytest.approx([3.0, 1.9, 3.2, np.inf, 2.5])
    assert facets.normals[met[:3]] == pytest.approx(np.array([[0, 0, 1], [0, 1, 0], [-1, 0, 0]]))
    assert met[3] == MISS
    for each in facets.first_hits(np.zeros((0, 3)), np.zeros((0, 3))):
        assert each.shape == (0,)


@pytest.mark.parametrize(("slant", "seen"), [(0.0, False), (1e-10, False), (-1e-10, False), (1e-6, True)])
def test_a_face_that_is_seen_edge_on_stops_no_ray(slant: float, seen: bool) -> None:
    """Whatever the tracer says of it: its plane is met nowhere."""
    facets = Facets(TRIANGLE, ONE)
    facets.__dict__["trimesh"] = SimpleNamespace(ray=SimpleNamespace(intersects_first=lambda *_: [0]))

    met, away = facets.first_hits(np.array([[0.0, 0.0, -1e-6]]), np.array([[1.0, 0.0, slant]]))
    assert met.tolist() == [0 if seen else MISS]
    assert away == pytest.approx([1.0 if seen else np.inf])


def test_samples_are_spread_over_the_faces_by_their_area() -> None:
    """A centroid a face and so many a mm² more, all within it and evenly: their mean is near the middle, a quarter of
    them in each quarter; a needle has none."""
    corners = np.concatenate([TRIANGLE * 10, [[70.0, 0.0, 0.0], [70.0, 6.0, 0.0], [74.0, 0.0, 0.0], [72.0, 0.0, 0.0]]])
    facets = Facets(corners, np.array([[0, 1, 2], [3, 5, 4], [3, 6, 5]]))

    face, points = facets.samples(0.5)
    assert np.bincount(face, minlength=3).tolist() == [1 + 300, 1 + 6, 0]
    assert points[:2] == pytest.approx(np.array([[40 / 3, 10.0, 0.0], [214 / 3, 2.0, 0.0]]))
    x, y = points[face == 0, 0] / 40, points[face == 0, 1] / 30
    assert ((x >= 0) & (y >= 0) & (x + y <= 1)).all()
    assert (x.mean(), y.mean()) == pytest.approx((1 / 3, 1 / 3), abs=0.01)
    quarters = [(x > 0.5).mean(), (y > 0.5).mean(), (x + y < 0.5).mean()]
    assert quarters == pytest.approx([0.25] * 3, abs=0.02)
    again = facets.samples(0.5)
    assert (again[0] == face).all() and (again[1] == points).all()  # noqa: PT018


def test_samples_follow_the_plastic_number() -> None:
    """Multiples of 1/g and 1/g² from the middle on, less what is whole, g the root of x³ = x + 1, worked out by hand;
    what falls outside the triangle is turned back into it (Roberts, 2018, from memory)."""
    unit = Facets(np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]), ONE)

    _, points = unit.samples(10.0)
    by_hand = [(1 / 3, 1 / 3), (0.5, 0.5), (0.254878, 0.069840), (0.009755, 0.639681), (0.764633, 0.209521)]
    assert points[:, :2] == pytest.approx(np.array([*by_hand, (0.480489, 0.220639)]), abs=2e-6)


def test_rays_and_graphs_see_the_mesh_as_it_is() -> None:
    """A corner that is there twice, and a triangle that is a line, keep their place and number."""
    corners = np.concatenate([TRIANGLE, TRIANGLE])
    faces = np.array([[0, 1, 2], [3, 5, 4], [0, 1, 3]])

    made = Facets(corners, faces).trimesh
    assert made.faces.tolist() == faces.tolist()
    assert made.vertices.tolist() == corners.tolist()


def test_a_place_is_told_to_a_tenth_and_never_as_minus_nothing() -> None:
    """Half a tenth is dropped."""
    assert place_text(np.array([12.04, -3.46, -0.04])) == "(12.0, -3.5, 0.0)"
