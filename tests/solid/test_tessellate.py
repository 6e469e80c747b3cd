"""The exported mesh is closed, true to the solid, lies on the bed, and comes from the STL bytes."""

import io
import math
import re
import subprocess

import cadquery as cq
import numpy as np
import pytest
import trimesh

from mounts.frames import apply, matrix
from mounts.inputs.printer import Printer
from mounts.solid.part import Part
from mounts.solid.tessellate import export_mesh, extent_mm, mesh_tolerance_mm

pytestmark = pytest.mark.solid

PRINTER = Printer.model_construct(accuracy_mm=0.2, nozzle_mm=0.4)
UPRIGHT = matrix(np.eye(3), np.zeros(3))
ON_ITS_SIDE = matrix(np.array([[1.0, 0, 0], [0, 0, 1], [0, -1, 0]]), np.array([0.0, 0, 10]))


def bracket() -> cq.Solid:
    """A plate with a wall, countersunk and lying holes: crossing cylinders, cones and chamfers."""
    plate = cq.Workplane().box(60, 40, 5, centered=(True, True, False)).edges("|Z").fillet(3)
    plate = plate.faces(">Z").workplane().rect(48, 28, forConstruction=True).vertices().cskHole(4, 8, 90)
    wall = cq.Workplane("XZ").rect(20, 30, centered=(True, False)).extrude(4)
    bored = plate.union(wall).cut(cq.Workplane("XZ").center(0, 17).circle(6).extrude(4))
    crossed = bored.cut(cq.Workplane("YZ").center(-2, 12).circle(1.3).extrude(50, both=True))
    return crossed.faces("<Z").edges().chamfer(0.4).val().Solids()[0]


def laid(solid: cq.Solid, angle_rad: float) -> Part:
    """The solid turned about y and set down on the bed."""
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    mount_to_print = np.array([[c, 0, -s], [0, 1, 0], [s, 0, c]])
    turned = solid.rotate(cq.Vector(), cq.Vector(0, 1, 0), -math.degrees(angle_rad))
    lowest = extent_mm(cq.Solid(turned.wrapped))[0][2]
    return Part("", solid, matrix(mount_to_print.T, mount_to_print.T @ np.array([0, 0, lowest])), 0)


@pytest.mark.parametrize("angle_rad", [0.0, 0.3, 1.0471, math.pi / 2, 2.5])
@pytest.mark.parametrize("mirrored", [False, True])
def test_export_mesh_is_closed_in_every_pose(angle_rad, mirrored):
    """Each edge is in two triangles, once each way (trimesh), whatever the pose rounds the corners to."""
    solid = bracket().mirror("YZ") if mirrored else bracket()

    mesh, _ = export_mesh(laid(solid.Solids()[0], angle_rad), PRINTER)

    closed = trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)
    assert closed.is_watertight
    assert closed.is_winding_consistent
    assert closed.volume == pytest.approx(mesh.solid_volume_mm3, rel=1e-3)
    assert mesh.vertices_mm[:, 2].min() >= 0


@pytest.mark.parametrize(
    ("solid", "euler"),
    [(cq.Solid.makeBox(10, 20, 5), 2), (cq.Solid.makeTorus(20, 3).translate(cq.Vector(0, 0, 3)), 0)],
    ids=["box", "torus"],
)
def test_export_mesh_keeps_the_genus(solid, euler):
    """V − E + F = 2 − 2g (Euler–Poincaré): a box has genus 0, a torus 1."""
    mesh, _ = export_mesh(Part("", solid, UPRIGHT, (2 - euler) // 2), PRINTER)

    edges = {tuple(sorted(pair)) for a, b, c in mesh.faces.tolist() for pair in ((a, b), (b, c), (c, a))}
    assert len(mesh.vertices_mm) - len(edges) + len(mesh.faces) == euler


def off_cylinder(points: np.ndarray) -> np.ndarray:
    return np.hypot(points[:, 0], points[:, 1]) - 15


def off_cone(points: np.ndarray) -> np.ndarray:
    return (np.hypot(points[:, 0], points[:, 1]) - (5 - points[:, 2] / 2)) / math.hypot(1, 0.5)


def off_torus(points: np.ndarray) -> np.ndarray:
    return np.hypot(np.hypot(points[:, 0], points[:, 1]) - 20, points[:, 2] - 3) - 3


def off_ball(points: np.ndarray) -> np.ndarray:
    return np.linalg.norm(points - [0, 0, 6], axis=1) - 6


@pytest.mark.parametrize("accuracy_mm", [0.08, 0.2])
@pytest.mark.parametrize(
    ("solid", "off_face", "times"),
    [
        (cq.Solid.makeCylinder(15, 8), off_cylinder, 1.0),
        (cq.Solid.makeCone(5, 1, 8), off_cone, 1.0),
        (cq.Solid.makeTorus(20, 3).translate(cq.Vector(0, 0, 3)), off_torus, 1.0),
        (cq.Solid.makeSphere(6, angleDegrees1=-90).translate(cq.Vector(0, 0, 6)), off_ball, 2.1),
    ],
    ids=["cylinder", "cone", "torus", "ball"],
)
def test_export_mesh_strays_no_further_than_the_tolerance(solid, off_face, times, accuracy_mm):
    """Against the faces' equations, corners are on the solid and triangles within the stated distance."""
    printer = Printer.model_construct(accuracy_mm=accuracy_mm, nozzle_mm=0.4)

    mesh, _ = export_mesh(Part("", solid, UPRIGHT, 0), printer)

    triangles = mesh.vertices_mm[mesh.faces]
    sides = triangles[np.ptp(triangles[:, :, 2], axis=1) > 1e-6]  # not the flat ends
    within = np.random.default_rng(0).dirichlet([1, 1, 1], 40) @ sides
    assert off_face(sides.reshape(-1, 3)) == pytest.approx(0, abs=1e-5)
    assert np.abs(off_face(within.reshape(-1, 3))).max() <= times * mesh_tolerance_mm(printer)


def test_export_mesh_measures_are_exact():
    """Volume and box are the closed form of a cylinder, not those of its facets."""
    mesh, _ = export_mesh(Part("", cq.Solid.makeCylinder(7.3, 11), UPRIGHT, 0), PRINTER)

    assert mesh.solid_volume_mm3 == pytest.approx(math.pi * 7.3**2 * 11, rel=1e-9)
    assert mesh.size_mm == pytest.approx((14.6, 14.6, 11), abs=1e-6)


def test_export_mesh_does_not_depend_on_what_was_done_to_the_solid():
    """A solid meshed finely before, or exported twice, gives the same bytes, and stays unmeshed itself."""
    fresh, used = bracket(), bracket()
    used.mesh(0.001, 0.05)

    _, first = export_mesh(Part("", fresh, UPRIGHT, 5), PRINTER)
    _, again = export_mesh(Part("", fresh, UPRIGHT, 5), PRINTER)
    _, after_use = export_mesh(Part("", used, UPRIGHT, 5), PRINTER)

    assert first == again == after_use


def test_print_to_mount_maps_the_mesh_onto_the_solid():
    """Corners of a box printed on its side, taken back, are the box's corners in the mount frame."""
    solid = cq.Solid.makeBox(10, 20, 30).translate(cq.Vector(3, -10, -20))
    mesh, _ = export_mesh(Part("", solid.translate(cq.Vector(0, 10, 0)), ON_ITS_SIDE, 0), PRINTER)

    back = apply(mesh.print_to_mount, mesh.vertices_mm)
    corners = {(x, y, z) for x in (3, 13) for y in (0, 20) for z in (-20, 10)}
    assert {tuple(np.round(vertex, 5)) for vertex in back} == corners
    assert mesh.size_mm == pytest.approx((10, 30, 20))


def test_export_mesh_refuses_a_part_off_the_bed_or_mirrored():
    """A pose that floats, or that would print the mirror image, is a mistake of the style."""
    box = cq.Solid.makeBox(1, 1, 1).translate(cq.Vector(0, 0, 2))

    with pytest.raises(ValueError, match=r"print pose starts at z = 2\.0000 mm"):
        export_mesh(Part("", box, UPRIGHT, 0), PRINTER)
    with pytest.raises(ValueError, match="mirror"):
        export_mesh(Part("", box, matrix(np.diag([1.0, 1, -1]), np.array([0, 0, 3.0])), 0), PRINTER)


def test_stl_bytes_are_read_alike_by_another_reader():
    """trimesh's STL reader finds the vertices and triangles that the mesh has."""
    mesh, stl = export_mesh(Part("", bracket(), UPRIGHT, 5), PRINTER)

    other = trimesh.load(io.BytesIO(stl), file_type="stl", process=True)

    assert len(other.faces) == len(mesh.faces)
    assert len(other.vertices) == len(mesh.vertices_mm)
    assert other.volume == pytest.approx(trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False).volume)


@pytest.mark.slicer
def test_stl_is_manifold_to_a_slicer(tmp_path):
    """prusa-slicer calls the file manifold, of one part, of the solid's volume and size in mm."""
    mesh, stl = export_mesh(Part("", bracket(), UPRIGHT, 5), PRINTER)
    path = tmp_path / "bracket.stl"
    path.write_bytes(stl)

    command = ["prusa-slicer", "--info", str(path)]
    told = subprocess.run(command, capture_output=True, text=True, check=True).stdout

    found = dict(re.findall(r"(\w+) = +(\S+)", told))
    assert found["manifold"] == "yes"
    assert found["number_of_parts"] == "1"
    assert float(found["volume"]) == pytest.approx(mesh.solid_volume_mm3, rel=1e-3)
    assert [float(found[f"size_{axis}"]) for axis in "xyz"] == pytest.approx(mesh.size_mm, abs=1e-3)
