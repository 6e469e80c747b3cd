"""What is particular to the stack: courses of sleepers with grooves between."""

import numpy as np
import pytest
from shells import TOUCH_MM3, housing, lifted_cut_mm3

from mounts import scene
from mounts.frames import apply

pytestmark = pytest.mark.solid


def _part(name):
    """Triangle corners (n, 3, 3) of a part in the mount frame."""
    mesh = next(mesh for mesh in housing("stack").meshes if mesh.name == name)
    return apply(mesh.print_to_mount, mesh.vertices_mm)[mesh.faces]


def test_it_lifts_straight_off_and_fits_with_the_printers_clearance():
    """Nothing meets frame, servo or arm on the way up; in place the gap round the frame is the slip fit."""
    mount = housing("stack")
    plan = mount.design.plan
    frame = scene.mount_body(mount.meshes, without=plan.lift_off)
    shell = scene.mount_body([mesh for mesh in mount.meshes if mesh.name in plan.lift_off])

    assert lifted_cut_mm3(mount) < TOUCH_MM3
    assert frame.min_gap(shell, 3.0) == pytest.approx(mount.design.spec.printer.slip_fit_mm, abs=0.02)


def test_the_grooves_are_v_shaped():
    """Between the courses the faces lean, none is level: it prints the same either way up."""
    corners = _part("shell")
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    areas = np.linalg.norm(normals, axis=1) / 2
    lean = np.degrees(np.arcsin(normals[:, 2] / (2 * areas)))

    assert areas[(lean > 25) & (lean < 60)].sum() > 200


def test_crates_are_another_load():
    """``load=crates`` gives other relief round the same room."""
    sleepers, crates = housing("stack", load="sleepers"), housing("stack", load="crates")

    assert crates.design.plan.room_top_z == pytest.approx(sleepers.design.plan.room_top_z)
    assert crates.stl[1] != sleepers.stl[1]
