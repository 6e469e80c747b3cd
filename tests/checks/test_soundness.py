"""Closedness, bodies, volume and genus against trimesh and against closed forms."""

from __future__ import annotations

from dataclasses import replace

import manifold3d as m3
import numpy as np
import pytest
import trimesh
from meshes import arrays, box, bracket, checks, footed, part, part_mesh

from mounts.checks.facets import Facets, place_text
from mounts.checks.soundness import check_body, check_closed
from mounts.mesh import PartMesh


def _both(first: m3.Manifold, second: m3.Manifold) -> PartMesh:
    """Two bodies in one mesh, nothing united."""
    (v0, f0), (v1, f1) = arrays(first), arrays(second)
    return part_mesh(np.concatenate([v0, v1]), np.concatenate([f0, f1 + len(v0)]))


def test_missing_face_is_three_bad_edges() -> None:
    """A cuboid without one triangle has three open edges, and the message names the middle of one."""
    vertices, faces = arrays(box(10, 10, 10))

    for missing, corners in enumerate(vertices[faces]):
        left = np.delete(faces, missing, axis=0)
        check = check_closed(mesh := part_mesh(vertices, left), Facets.of(mesh))
        middles = [(corners[n] + corners[n - 1]) / 2 for n in range(3)]
        assert (check.verdict, check.value) == ("fail", 3.0)
        assert tuple(check.at_mm or ()) in {tuple(middle) for middle in middles}
        at = place_text(np.array(check.at_mm))
        assert check.message.startswith(f"3 edges do not join two faces turned the same way, one at {at}")
    assert not trimesh.Trimesh(vertices, left, process=False).is_watertight


def test_a_corner_that_is_no_number_is_no_solid() -> None:
    """Every edge joins two faces, and yet no solid can be read from it: told as such, by what the reader says."""
    vertices, faces = arrays(box(10, 10, 10))
    vertices[3, 1] = np.nan

    check = check_closed(mesh := part_mesh(vertices, faces), Facets.of(mesh))
    assert (check.verdict, check.value, check.at_mm) == ("fail", 1.0, None)
    assert check.message.startswith("the mesh cannot be read as a solid (NonFiniteVertex); report")


def test_flipped_face_is_three_bad_edges() -> None:
    """A cuboid with one triangle turned over has three edges walked twice the same way."""
    vertices, faces = arrays(box(10, 10, 10))
    faces[0] = faces[0][::-1].copy()

    check = checks(part_mesh(vertices, faces))["closed"]

    assert (check.verdict, check.value) == ("fail", 3.0)
    assert not trimesh.Trimesh(vertices, faces, process=False).is_winding_consistent


def test_doubled_face_is_not_closed() -> None:
    """A triangle there twice puts three faces on its edges."""
    vertices, faces = arrays(box(10, 10, 10))

    assert checks(part_mesh(vertices, np.concatenate([faces, faces[:1]])))["closed"].verdict == "fail"


def test_nothing_is_measured_on_an_open_mesh() -> None:
    """Of an open mesh only the bed and the opening itself are told."""
    vertices, faces = arrays(box(10, 10, 10))

    assert list(checks(part_mesh(vertices, faces[1:]))) == ["on-bed", "bed", "closed"]


@pytest.mark.parametrize("shift", [5.0, 30.0])
def test_two_bodies_are_counted_whether_they_overlap_or_not(shift: float) -> None:
    """Two cuboids in one mesh are two bodies, also where they overlap; trimesh's split agrees."""
    mesh = _both(box(10, 10, 10), box(10, 10, 10).translate((shift, 0, 0)))

    check = checks(mesh)["one-body"]

    assert (check.verdict, check.value) == ("fail", 2.0)
    assert len(trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False).split()) == 2
    assert trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False).is_volume  # which sees nothing


@pytest.mark.parametrize("side", [0.8, 4.0])
def test_cavity_and_crumb_are_named_and_placed(side: float) -> None:
    """A void shut in on all sides is a second body, called a cavity, at its middle; one beside the part is loose."""
    body, small = box(20, 20, 20), box(side, side, side).translate((3, 0, 8))
    for made, says in ((part(body - small), "closed cavity"), (_both(body, small), "loose or overlapping body")):
        check = next(check_body(made, Facets.of(made)))
        assert f"a {says} round (3.0, 0.0, {8 + side / 2:.1f})" in check.message


def test_volume_is_told_in_percent_of_the_solid() -> None:
    """1000 mm³ of mesh for 1250 of solid are 20 % off."""
    mesh = part(box(10, 10, 10), volume_mm3=1250.0)

    row = {check.name: check for check in check_body(mesh, Facets.of(mesh))}["volume"]
    assert (row.value, row.verdict) == (pytest.approx(20.0), "fail")
    assert row.message.startswith("mesh 1000.0 mm³, solid 1250.0 mm³; the mesh is not the solid")


def test_bodies_that_touch_along_an_edge_are_not_closed() -> None:
    """Two cuboids that share an edge, merged as an STL is read back, have four faces on it."""
    two = _both(box(10, 10, 10), box(10, 10, 10).translate((10, 10, 0)))
    vertices, back = np.unique(two.vertices_mm, axis=0, return_inverse=True)

    assert checks(replace(two, vertices_mm=vertices, faces=back[two.faces]))["closed"].verdict == "fail"


@pytest.mark.parametrize("holes", [0, 1, 2, 5])
def test_genus_is_the_number_of_holes_drilled(holes: int) -> None:
    """n separate holes through a plate make a body of genus n; manifold3d's genus agrees."""
    body = footed(80, 20, 4)
    for i in range(holes):
        body -= m3.Manifold.cylinder(20, 2, 2, 24, True).translate((-30 + 12 * i, 0, 0))

    check = checks(part(body, through_holes=holes))["through-holes"]

    assert ("pass", float(holes)) == (check.verdict, check.value)
    assert holes == body.genus()


def test_blocked_hole_is_missed() -> None:
    """A hole drilled short of the far side fails where one was drawn."""
    body = footed(20, 20, 4) - m3.Manifold.cylinder(20, 2, 2, 24).translate((0, 0, 1))

    assert checks(part(body, through_holes=1))["through-holes"].verdict == "fail"


def test_volume_and_neighbours_agree_with_trimesh() -> None:
    """Areas, normals and neighbouring faces of the bracket are those trimesh finds."""
    mesh = part(bracket())
    facets, other = Facets.of(mesh), trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)

    pairs = {tuple(sorted((face, int(across)))) for face, row in enumerate(facets.neighbours) for across in row}

    assert pairs == {(int(a), int(b)) for a, b in np.sort(other.face_adjacency, axis=1)}
    assert facets.areas_mm2 == pytest.approx(other.area_faces)
    real = ~facets.is_line
    assert facets.normals[real] == pytest.approx(other.face_normals[real], abs=1e-6)
