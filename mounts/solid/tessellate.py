"""From the exact solid to the mesh that is printed: measured first, meshed once, in the print pose."""

from __future__ import annotations

import cadquery as cq
import numpy as np
from numpy.typing import NDArray
from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Tool
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.gp import gp_Trsf
from OCP.TopAbs import TopAbs_Orientation
from OCP.TopLoc import TopLoc_Location

from mounts.errors import BuildError
from mounts.frames import Vector, inverse
from mounts.inputs.printer import Printer
from mounts.mesh import PartMesh
from mounts.solid.guard import kernel_step
from mounts.solid.part import Part
from mounts.stl import read_stl, write_stl

_COARSEST_MM = 0.05  # so that a flat on a curve is not seen, whatever the printer; common practice, no source
_ANGLE_RAD = 0.2  # a full circle in 32 chords or more: a 1.5 mm bore is round to 0.004 mm
_ON_BED_MM = 1e-4  # what rounding leaves; more is a wrong pose
_DECIMALS = 6  # a nanometre: the bed face lies on z = 0 exactly, and what differs by rounding is one vertex


def mesh_tolerance_mm(printer: Printer) -> float:
    """How far the mesh may stray from the solid: a quarter of what the printer can show, 0.05 mm at most.

    The kernel keeps it on edges, cylinders, cones and tori; on a ball it strays up to 2.1 times as far
    (measured on radii of 6 and 20 mm).
    """
    return min(printer.accuracy_mm / 4, printer.nozzle_mm / 4, _COARSEST_MM)


def export_mesh(part: Part, printer: Printer) -> tuple[PartMesh, bytes]:
    """The part's mesh in the print frame, and the STL bytes it was read back from.

    The part's own solid is not touched: a copy in the print pose is measured, then meshed, once. A
    finer mesh is never coarsened by the kernel and a meshed solid measures wrong, so the order matters.

    Raises:
        BuildError: the kernel could not mesh a face.
        ValueError: the pose is a mirror, or its lowest point is not on z = 0.
    """
    printed = _in_print_pose(part)
    low, high = extent_mm(printed)
    volume_mm3 = printed.Volume()
    if abs(low[2]) > _ON_BED_MM:
        raise ValueError(f"part '{part.name}': print pose starts at z = {low[2]:.4f} mm")
    vertices, faces = _triangles(printed, mesh_tolerance_mm(printer))
    stl = write_stl(vertices, faces)
    read_vertices, read_faces = read_stl(stl)
    size = np.subtract(high, low)
    mesh = PartMesh(
        name=part.name,
        vertices_mm=read_vertices,
        faces=read_faces,
        print_to_mount=part.print_to_mount,
        solid_volume_mm3=volume_mm3,
        size_mm=(float(size[0]), float(size[1]), float(size[2])),
        through_holes=part.through_holes,
        role=part.role,
    )
    return mesh, stl


def extent_mm(solid: cq.Solid) -> tuple[Vector, Vector]:
    """Least and greatest x, y, z, from the geometry alone, a mesh that hangs on the solid left aside."""
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(solid.wrapped, box, False, False)  # no triangulation, no tolerances
    box.SetGap(0.0)
    low, high = box.CornerMin(), box.CornerMax()
    return (low.X(), low.Y(), low.Z()), (high.X(), high.Y(), high.Z())


def _in_print_pose(part: Part) -> cq.Solid:
    """A copy of the solid in the print frame, geometry duplicated, without any mesh."""
    mount_to_print = np.array(inverse(part.print_to_mount))
    if np.linalg.det(mount_to_print[:3, :3]) < 0:
        raise ValueError(f"part '{part.name}': print_to_mount is a mirror; the solid itself must be mirrored")
    motion = gp_Trsf()
    motion.SetValues(*(float(v) for v in mount_to_print[:3].ravel()))
    return cq.Solid(BRepBuilderAPI_Transform(part.solid.wrapped, motion, True, False).Shape())


def _triangles(solid: cq.Solid, tolerance_mm: float) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Vertices and faces, a vertex for each face it is in; one thread, so always in the same order."""
    with kernel_step("mesh the part", hint="report the design as a bug"):
        BRepMesh_IncrementalMesh(solid.wrapped, tolerance_mm, False, _ANGLE_RAD, False)
    vertices: list[tuple[float, float, float]] = []
    faces: list[tuple[int, int, int]] = []
    for face in solid.Faces():
        location = TopLoc_Location()
        patch = BRep_Tool.Triangulation_s(face.wrapped, location)
        if patch is None:
            raise BuildError("could not mesh the part; a face stayed empty")
        first = len(vertices) - 1  # the kernel counts from 1
        nodes = [patch.Node(i) for i in range(1, patch.NbNodes() + 1)]
        if not location.IsIdentity():
            nodes = [node.Transformed(location.Transformation()) for node in nodes]
        vertices.extend(node.Coord() for node in nodes)
        turned = face.wrapped.Orientation() == TopAbs_Orientation.TopAbs_REVERSED
        for i in range(1, patch.NbTriangles() + 1):
            a, b, c = patch.Triangle(i).Get()
            faces.append((first + a, first + c, first + b) if turned else (first + a, first + b, first + c))
    return np.round(np.array(vertices), _DECIMALS), np.array(faces, dtype=np.int64)
