"""What is particular to the hut: pitched roof on four walls."""

import numpy as np
import pytest
from shells import TOUCH_MM3, housing, lifted_cut_mm3

from mounts import scene
from mounts.frames import apply

pytestmark = pytest.mark.solid


def _part(name):
    """Triangle corners (n, 3, 3) of a part in the mount frame."""
    mesh = next(mesh for mesh in housing("hut").meshes if mesh.name == name)
    return apply(mesh.print_to_mount, mesh.vertices_mm)[mesh.faces]


def test_it_lifts_straight_off_and_fits_with_the_printers_clearance():
    """Nothing meets frame, servo or arm on the way up; in place the gap round the frame is the slip fit."""
    mount = housing("hut")
    plan = mount.design.plan
    frame = scene.mount_body(mount.meshes, without=plan.lift_off)
    shell = scene.mount_body([mesh for mesh in mount.meshes if mesh.name in plan.lift_off])

    assert lifted_cut_mm3(mount) < TOUCH_MM3
    assert frame.min_gap(shell, 3.0) == pytest.approx(mount.design.spec.printer.slip_fit_mm, abs=0.02)


def test_the_roof_has_its_pitch():
    """Underneath, the two slopes lean by the pitch asked for (45°, tiles; common practice): most of the roof's area."""
    corners = _part("roof")
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    areas = np.linalg.norm(normals, axis=1) / 2
    down = np.degrees(np.arccos(normals[:, 2] / (2 * areas))) - 90

    slopes = (down > 20) & (down < 80)
    assert areas[slopes].sum() > 0.3 * areas.sum()
    assert np.average(down[slopes], weights=areas[slopes]) == pytest.approx(45.0, abs=1.0)


def test_the_roof_reaches_over_the_walls():
    """Eaves on both long sides and verges at both gables."""
    roof, walls = _part("roof").reshape(-1, 3), _part("shell").reshape(-1, 3)

    assert (roof[:, :2].min(axis=0) < walls[:, :2].min(axis=0) - 0.5).all()
    assert (roof[:, :2].max(axis=0) > walls[:, :2].max(axis=0) + 0.5).all()
