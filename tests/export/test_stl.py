"""STL bytes hold what was written, closed also after rounding to float32."""

import io

import numpy as np
import pytest
import trimesh

from mounts.stl import read_stl, write_stl

TETRAHEDRON = np.array([[0, 0, 0], [10, 0, 0], [0, 10, 0], [0, 0, 10]], dtype=float)
OUTWARD = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]])


def test_stl_round_trip_keeps_triangles_and_their_order():
    """Reading gives the corners that were written, triangle by triangle."""
    vertices, faces = read_stl(write_stl(TETRAHEDRON, OUTWARD))

    assert vertices[faces].tolist() == TETRAHEDRON[OUTWARD].tolist()
    assert len(vertices) == 4


def test_stl_normals_point_outward():
    """trimesh, reading the stored normals, finds them along the faces' own."""
    stl = write_stl(TETRAHEDRON, OUTWARD)

    stored = np.frombuffer(stl, dtype=np.dtype("<f4"), count=3, offset=84)
    own = trimesh.load(io.BytesIO(stl), file_type="stl").face_normals[0]

    assert stored == pytest.approx(own)
    assert own == pytest.approx([0, 0, -1])


def test_stl_stays_closed_when_float32_merges_corners():
    """Two corners a tenth of a float32 step apart become one; the squeezed triangles go, the rest closes."""
    far = 500.0
    split = np.array([[far, 0, 0], [far + 1e-6, 0, 0], [0, 10, 0], [0, 0, 10], [0, 0, 0]])
    faces = np.array([[0, 2, 4], [0, 1, 2], [1, 3, 2], [0, 3, 1], [0, 4, 3], [2, 3, 4]])[:, ::-1]
    before = trimesh.Trimesh(split, faces, process=False)
    assert before.is_watertight
    assert before.is_winding_consistent

    vertices, read = read_stl(write_stl(split, faces))

    after = trimesh.Trimesh(vertices, read, process=False)
    assert len(read) == 4
    assert after.is_watertight
    assert after.is_winding_consistent
    assert after.volume == pytest.approx(before.volume, rel=1e-6)


@pytest.mark.parametrize("broken", [b"", b"solid x", write_stl(TETRAHEDRON, OUTWARD)[:-1]])
def test_read_stl_refuses_a_file_of_the_wrong_length(broken):
    """A cut-off file is not taken for a smaller one."""
    with pytest.raises(ValueError, match="not a binary STL"):
        read_stl(broken)


def test_stl_header_is_not_taken_for_ascii():
    """Readers tell ASCII by a leading 'solid'; our header does not begin so, and carries no date."""
    stl = write_stl(TETRAHEDRON, OUTWARD)

    assert not stl.startswith(b"solid")
    assert not any(chr(byte).isdigit() for byte in stl[:80])
