"""Meshes of known answer for the print checks, and the printer they are meant for."""

from __future__ import annotations

from typing import Any

import manifold3d as m3
import numpy as np

from mounts.checks.model import Check
from mounts.checks.print_mesh import check_print
from mounts.inputs.printer import Filament, Printer
from mounts.mesh import PartMesh

_HERE = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
_SOURCE = {"all": {"text": "invented for these tests", "mark": "V"}}


def printer(**changed: Any) -> Printer:
    """A printer with a 0.4 mm nozzle and 0.2 mm layers."""
    figures: dict[str, Any] = {
        "bed_x_mm": 220,
        "bed_y_mm": 200,
        "bed_z_mm": 210,
        "nozzle_mm": 0.4,
        "layer_mm": 0.2,
        "first_layer_mm": 0.2,
        "slip_fit_mm": 0.2,
        "moving_fit_mm": 0.3,
        "hole_upright_mm": 0.2,
        "hole_lying_mm": 0.3,
        "smallest_hole_mm": 1.5,
        "smallest_gap_mm": 0.3,
        "overhang_deg": 45,
        "bridge_warn_mm": 10,
        "bridge_limit_mm": 25,
        "elephant_foot_mm": 0.2,
        "accuracy_mm": 0.15,
    }
    return Printer(name="test-0.4", title="test printer", source=_SOURCE, **{**figures, **changed})


def filament() -> Filament:
    """Something like PLA."""
    return Filament(
        name="test-pla",
        title="test filament",
        source=_SOURCE,
        density_g_per_cm3=1.24,
        modulus_mpa=2300,
        softens_c=55,
    )


def arrays(body: m3.Manifold) -> tuple[np.ndarray, np.ndarray]:
    """Vertices (n, 3) as an STL would hold them and faces (m, 3)."""
    mesh = body.to_mesh64()
    vertices = np.asarray(mesh.vert_properties)[:, :3].astype(np.float32).astype(np.float64)
    return vertices, np.asarray(mesh.tri_verts).astype(np.int64)


def part_mesh(
    vertices: np.ndarray, faces: np.ndarray, *, volume_mm3: float | None = None, through_holes: int = 0
) -> PartMesh:
    """A mesh as a part; its solid's volume is its own unless told otherwise."""
    a, b, c = (vertices[faces[:, i]] for i in range(3))
    own = float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)
    size = np.ptp(vertices, axis=0)
    return PartMesh(
        name="",
        vertices_mm=vertices,
        faces=faces,
        print_to_mount=_HERE,
        solid_volume_mm3=own if volume_mm3 is None else volume_mm3,
        size_mm=(float(size[0]), float(size[1]), float(size[2])),
        through_holes=through_holes,
    )


def part(body: m3.Manifold, *, volume_mm3: float | None = None, through_holes: int | None = None) -> PartMesh:
    """A body as a part, put on z = 0; it has as many through holes as it has unless told otherwise."""
    body = body.translate((0, 0, -body.bounding_box()[2]))
    vertices, faces = arrays(body)
    holes = body.genus() if through_holes is None else through_holes
    return part_mesh(vertices, faces, volume_mm3=volume_mm3, through_holes=holes)


def checks(mesh: PartMesh, **changed: Any) -> dict[str, Check]:
    """The print checks of a part by name, on the test printer with these changes."""
    return {check.name: check for check in check_print(mesh, printer(**changed), filament())}


def not_passed(found: dict[str, Check]) -> dict[str, str]:
    """Verdicts of the checks that warn or fail."""
    return {name: check.verdict for name, check in found.items() if check.verdict != "pass"}


def box(x: float, y: float, z: float) -> m3.Manifold:
    """A cuboid centred on the z axis, standing on z = 0."""
    return m3.Manifold.cube((x, y, z)).translate((-x / 2, -y / 2, 0))


def prism(outline_xz: list[tuple[float, float]], depth_y: float) -> m3.Manifold:
    """An outline in the x-z plane, anticlockwise seen from −y, drawn out along y and centred on y = 0."""
    flat = m3.CrossSection([np.array(outline_xz)])
    return m3.Manifold.extrude(flat, depth_y).rotate((90, 0, 0)).translate((0, depth_y / 2, 0))


def lying(outline: m3.CrossSection, depth_y: float) -> m3.Manifold:
    """A section drawn in x-z and carried along y, centred on y = 0."""
    return m3.Manifold.extrude(outline, depth_y).rotate((90, 0, 0)).translate((0, depth_y / 2, 0))


def teardrop(diameter: float) -> m3.CrossSection:
    """A circle with a 45° roof."""
    r = diameter / 2
    s = r * np.sqrt(0.5)
    roof = m3.CrossSection([np.array([(-s, s), (0, 0), (s, s), (0, 2 * s)])])
    return m3.CrossSection.circle(r, 48) + roof


def footed(x: float, y: float, z: float, foot: float = 0.2) -> m3.Manifold:
    """A cuboid with a 45° chamfer round its foot."""
    low = box(x - 2 * foot, y - 2 * foot, z)
    return m3.Manifold.hull(low + box(x, y, z - foot).translate((0, 0, foot)))


def bracket() -> m3.Manifold:
    """Plate with four countersunk holes and a slot, a wall with a pilot hole and a window, two gussets."""
    body = footed(60, 40, 4)
    wall = box(40, 4, 26).translate((0, 10, 3.9))
    window = box(23, 10, 14).translate((0, 10, 10))
    gusset = prism([(0, 0), (12, 0), (0, 18)], 3).rotate((0, 0, -90)).translate((0, 8.1, 3.9))
    body = body + (wall - window) + gusset.translate((-17, 0, 0)) + gusset.translate((17, 0, 0))
    pilot = lying(m3.CrossSection.circle(0.9, 24), 20).translate((0, 10, 27))
    for x in (-25, 25):
        for y in (-15, 15):
            hole = m3.Manifold.cylinder(10, 1.75, 1.75, 48).translate((x, y, -1))
            sink = m3.Manifold.cylinder(2.01, 1.75, 3.76, 48).translate((x, y, 2))
            foot = m3.Manifold.cylinder(0.31, 2.06, 1.75, 48).translate((x, y, 0))
            body = body - hole - sink - foot
    slot = m3.Manifold.hull(box(2.6, 1.8, 0.01) + box(2.2, 1.2, 0.01).translate((0, 0, 0.3)))
    return body - pilot - slot.translate((0, -5, 0)) - box(2.2, 1.2, 10).translate((0, -5, -1))
