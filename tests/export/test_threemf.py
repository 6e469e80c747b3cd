"""The 3MF is read by the reference reader and by a slicer: names, places, millimetres."""

import re
import subprocess
import zipfile
from io import BytesIO

import lib3mf
import numpy as np
import pytest
from slicer import needs_slicer

from mounts.export.threemf import PlacedObject, render_3mf
from mounts.frames import apply, matrix
from mounts.mesh import PartMesh

NOWHERE = matrix(np.eye(3), np.zeros(3))


def wedge(x_mm: float, y_mm: float, z_mm: float) -> PartMesh:
    """Half a box, cut along the diagonal of its side: tells x, y and z, and left and right, apart."""
    unit = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [1, 1, 0], [0, 0, 1], [0, 1, 1]])
    vertices = (unit * [x_mm, y_mm, z_mm]).astype(np.float32).astype(np.float64)
    faces = [[0, 2, 1], [1, 2, 3], [0, 1, 4], [2, 5, 3], [0, 4, 2], [2, 4, 5], [1, 3, 4], [3, 5, 4]]
    return PartMesh("", vertices, np.array(faces), NOWHERE, x_mm * y_mm * z_mm / 2, (x_mm, y_mm, z_mm), 0)


def turned(quarters: int, x_mm: float, y_mm: float) -> tuple:
    """A quarter turn or more about z, then a shift."""
    c, s = [(1, 0), (0, 1), (-1, 0), (0, -1)][quarters]
    return matrix(np.array([[c, -s, 0], [s, c, 0], [0, 0, 1.0]]), np.array([x_mm, y_mm, 0]))


def plate() -> list[PlacedObject]:
    """Three bodies, the last two alike, with a name that needs escaping."""
    return [
        PlacedObject("east-1", wedge(30, 20, 10.1), turned(0, 5, 5)),
        PlacedObject('east <"2"> & käppchen', wedge(8, 6, 4), turned(1, 60, 5)),
        PlacedObject("east-3 (2 of 2)", wedge(8, 6, 4), turned(2, 100, 40)),
    ]


def every(iterator) -> list:
    """What a lib3mf iterator walks over: mesh objects or build items."""
    current = getattr(iterator, "GetCurrentMeshObject", None) or iterator.GetCurrent
    return [current() for _ in iter(iterator.MoveNext, False)]


def read_strictly(package: bytes) -> lib3mf.Model:
    model = lib3mf.Wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(package)
    assert [reader.GetWarning(i) for i in range(reader.GetWarningCount())] == []
    return model


def test_3mf_is_read_without_a_warning_by_the_reference_reader():
    """lib3mf in strict mode finds millimetres, valid closed objects, and ids that start at 1."""
    model = read_strictly(render_3mf(plate(), "plate-01"))

    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    objects = every(model.GetMeshObjects())
    assert [each.GetModelResourceID() for each in objects] == [1, 2, 3]
    assert all(each.IsManifoldAndOriented() for each in objects)


def test_3mf_names_each_object_and_copy():
    """Names come back as they were given, markup and umlaut included, copies under their own."""
    model = read_strictly(render_3mf(plate(), "plate-01"))

    assert [each.GetName() for each in every(model.GetMeshObjects())] == [placed.name for placed in plate()]


def test_3mf_puts_bodies_where_they_are_placed():
    """The build items' motions, multiplied as the specification says, give our placed vertices."""
    model = read_strictly(render_3mf(plate(), "plate-01"))

    items = every(model.GetBuildItems())
    assert len(items) == 3
    for item, placed in zip(items, plate(), strict=True):
        fields = np.array([list(row) for row in item.GetObjectTransform().Fields])
        mesh = model.GetMeshObjectByID(item.GetObjectResourceID())
        read = np.array([list(vertex.Coordinates) for vertex in mesh.GetVertices()])
        rows = np.column_stack([read, np.ones(len(read))]) @ fields  # row vectors, core specification 3.3
        assert rows == pytest.approx(apply(placed.print_to_plate, placed.mesh.vertices_mm), abs=1e-4)


def test_3mf_bytes_are_the_same_and_carry_no_date():
    """Two renderings are equal; the entries are dated 1980 and the model has no date of its own."""
    package = render_3mf(plate(), "plate-01")

    assert package == render_3mf(plate(), "plate-01")
    entries = zipfile.ZipFile(BytesIO(package))
    assert {entry.date_time for entry in entries.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    assert b"Date" not in entries.read("3D/3dmodel.model")


def test_3mf_keeps_the_float32_values_of_the_mesh():
    """Coordinates are written so that they read back as the same float32."""
    mesh = wedge(30.1, 1 / 3, 1e-5)

    model = read_strictly(render_3mf([PlacedObject("a", mesh, NOWHERE)], "one"))

    read = [list(vertex.Coordinates) for vertex in every(model.GetMeshObjects())[0].GetVertices()]
    assert np.array(read).tolist() == mesh.vertices_mm.tolist()


@pytest.mark.parametrize("bent", [np.diag([1.0, 1, -1]), 2 * np.eye(3)], ids=["mirror", "scale"])
def test_3mf_refuses_a_placement_that_is_no_motion(bent):
    """A mirrored or scaled placement would print another part than the one that was checked."""
    with pytest.raises(ValueError, match="object 'a': print_to_plate is not a rigid motion"):
        render_3mf([PlacedObject("a", wedge(1, 1, 1), matrix(bent, np.zeros(3)))], "one")


@pytest.mark.slicer
@needs_slicer
def test_3mf_is_manifold_and_named_to_a_slicer(tmp_path):
    """prusa-slicer calls every object manifold and labels the G-code with each copy's own name."""
    path = tmp_path / "plate-01.3mf"
    path.write_bytes(render_3mf(plate(), "plate-01"))

    def slicer(*arguments: str) -> str:
        command = ["prusa-slicer", *arguments, str(path), "--datadir", str(tmp_path / "settings")]
        return subprocess.run(command, capture_output=True, text=True, check=True).stdout

    told = slicer("--info")
    assert re.findall(r"manifold = (\w+)", told) == ["yes"] * 3
    assert re.findall(r"size_z = +([\d.]+)", told) == ["10.100000", "4.000000", "4.000000"]
    sliced = tmp_path / "out.gcode"
    slicer("-g", "--dont-arrange", "--gcode-label-objects", "-o", str(sliced))
    labels = re.findall(r"^; printing object (.+) id:", sliced.read_text("utf-8"), re.MULTILINE)
    assert set(labels) == {placed.name for placed in plate()}
