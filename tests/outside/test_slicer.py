"""Our verdicts against those of prusa-slicer on the same STL files: where does it want support, what is closed?"""

from __future__ import annotations

from collections.abc import Callable
from math import radians, tan
from pathlib import Path

import manifold3d as m3
import numpy as np
import pytest
from meshes import arrays, box, bracket, checks, footed, lying, part, part_mesh, prism, teardrop
from slicer import info, needs_slicer, support_mm

from mounts.mesh import PartMesh
from mounts.stl import write_stl

pytestmark = [pytest.mark.slicer, needs_slicer]


def _file(folder: Path, mesh: PartMesh) -> Path:
    path = folder / "part.stl"
    path.write_bytes(write_stl(mesh.vertices_mm, mesh.faces))
    return path


def _arm(lean_deg: float) -> m3.Manifold:
    up = 6 / tan(radians(lean_deg))
    return prism([(-10, 0), (0, 0), (0, 5), (6, 5 + up), (6, 8 + up), (-10, 8 + up)], 20)


def _shelf(reach: float) -> m3.Manifold:
    return prism([(-10, 0), (0, 0), (0, 10), (reach, 10), (reach, 14), (-10, 14)], 20)


def _lying(section: m3.CrossSection) -> m3.Manifold:
    return box(20, 12, 24) - lying(section, 30).translate((0, 0, 10))


def _gallows() -> m3.Manifold:
    return prism([(-10, 0), (0, 0), (0, 12), (6, 12), (6, 6), (10, 6), (10, 15), (-10, 15)], 20)


# The slicer's threshold of 40° from level is 50° from vertical: between it and our 45° we are the stricter.
SHAPES: list[tuple[str, Callable[[], m3.Manifold], bool]] = [
    ("slope of 30°", lambda: _arm(30), False),
    ("slope of 45°", lambda: _arm(45), False),
    ("slope of 52°", lambda: _arm(52), True),
    ("slope of 60°", lambda: _arm(60), True),
    ("shelf of 8 mm", lambda: _shelf(8), True),
    ("bridge of 8 mm", lambda: _shelf(8) + box(10, 20, 14).translate((13, 0, 0)), False),
    ("lip of 0.2 mm", lambda: _shelf(0.2), False),
    ("lip of 0.3 mm", lambda: _shelf(0.3), True),
    ("pocket 8 × 8 mm", lambda: box(20, 20, 14) - box(8, 8, 10), False),
    ("peg in mid-air", _gallows, True),
    ("round lying hole of 1 mm", lambda: _lying(m3.CrossSection.circle(0.5, 48)), False),
    ("round lying hole of 3 mm", lambda: _lying(m3.CrossSection.circle(1.5, 48)), True),
    ("round lying hole of 8 mm", lambda: _lying(m3.CrossSection.circle(4, 48)), True),
    ("teardrop of 1 mm", lambda: _lying(teardrop(1)), False),
    ("teardrop of 4 mm", lambda: _lying(teardrop(4)), False),
    ("teardrop of 10 mm", lambda: _lying(teardrop(10)), False),
    ("flat-topped hole of 6 mm", lambda: _lying(
        teardrop(6) ^ m3.CrossSection.square((20, 20)).translate((-10, 3 - 20))
    ), False),
    ("bracket", bracket, False),
]  # fmt: skip


@pytest.mark.parametrize(("name", "build", "hangs"), SHAPES, ids=[shape[0] for shape in SHAPES])
def test_slicer_wants_support_where_we_say_so(
    name: str, build: Callable[[], m3.Manifold], hangs: bool, tmp_path: Path
) -> None:
    """The slicer's own support generator agrees with overhang and island, and both with the expected."""
    mesh = part(build())

    found = checks(mesh)
    refused = "fail" in (found["overhang"].verdict, found["island"].verdict)

    assert (support_mm(_file(tmp_path, mesh)) > 0) == hangs, name
    assert refused == hangs, found["overhang"].message


def test_slicer_finds_the_bracket_whole(tmp_path: Path) -> None:
    """Manifold, one part, size and volume as ours."""
    mesh = part(bracket())

    told = info(_file(tmp_path, mesh))

    assert told["manifold"] == "yes"
    assert told["number_of_parts"] == "1"
    assert float(told["volume"]) == pytest.approx(mesh.solid_volume_mm3, rel=1e-4)
    assert [float(told[f"size_{axis}"]) for axis in "xyz"] == pytest.approx(mesh.size_mm, abs=1e-3)


def test_slicer_sees_the_same_hole_in_a_mesh(tmp_path: Path) -> None:
    """A mesh that lacks a square is not manifold to the slicer, with as many open edges as we count.

    A single triangle it would mend without a word.
    """
    vertices, faces = arrays(footed(20, 20, 10))
    mesh = part_mesh(vertices, faces[2:])

    told = info(_file(tmp_path, mesh))

    assert told["manifold"] == "no"
    assert float(told["open_edges"]) == checks(mesh)["closed"].value


def test_slicer_turns_back_the_face_we_refuse(tmp_path: Path) -> None:
    """Of a mesh with one face turned over, which we refuse, the slicer says that it reversed some."""
    vertices, faces = arrays(footed(20, 20, 10))
    faces[0] = faces[0][::-1].copy()
    mesh = part_mesh(vertices, faces)

    told = info(_file(tmp_path, mesh))

    assert float(told["facets_reversed"]) > 0
    assert checks(mesh)["closed"].verdict == "fail"


def test_slicer_counts_overlapping_bodies_as_we_do(tmp_path: Path) -> None:
    """Two cuboids that overlap in one file are two parts."""
    (v0, f0), (v1, f1) = arrays(box(10, 10, 10)), arrays(box(10, 10, 10).translate((5, 0, 0)))
    mesh = part_mesh(np.concatenate([v0, v1]), np.concatenate([f0, f1 + len(v0)]))

    told = info(_file(tmp_path, mesh))

    assert float(told["number_of_parts"]) == checks(mesh)["one-body"].value
