"""What is particular to the cabin: flat roof, walls and roof in one."""

import numpy as np
import pytest
from shells import TOUCH_MM3, housing, lifted_cut_mm3

from mounts import scene
from mounts.frames import apply

pytestmark = pytest.mark.solid


def _part(name):
    """Triangle corners (n, 3, 3) of a part in the mount frame."""
    mesh = next(mesh for mesh in housing("cabin").meshes if mesh.name == name)
    return apply(mesh.print_to_mount, mesh.vertices_mm)[mesh.faces]


def test_it_lifts_straight_off_and_fits_with_the_printers_clearance():
    """Nothing meets frame, servo or arm on the way up; in place the gap round the frame is the slip fit."""
    mount = housing("cabin")
    plan = mount.design.plan
    frame = scene.mount_body(mount.meshes, without=plan.lift_off)
    shell = scene.mount_body([mesh for mesh in mount.meshes if mesh.name in plan.lift_off])

    assert lifted_cut_mm3(mount) < TOUCH_MM3
    assert frame.min_gap(shell, 3.0) == pytest.approx(mount.design.spec.printer.slip_fit_mm, abs=0.02)


def test_the_roof_is_flat_and_printed_on_the_bed():
    """The top is one level; in print the roof's outside lies on z = 0 over nearly all of the outline."""
    mesh = next(mesh for mesh in housing("cabin").meshes if mesh.name == "shell")
    corners = mesh.vertices_mm[mesh.faces]
    on_bed = np.abs(corners[:, :, 2]).max(axis=1) < 1e-6
    areas = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) / 2

    assert areas[on_bed].sum() > 0.9 * mesh.size_mm[0] * mesh.size_mm[1]


def test_the_eaves_stand_out():
    """The roof is wider than the walls half-way down, on every side."""
    points = _part("shell").reshape(-1, 3)
    top = points[points[:, 2] > points[:, 2].max() - 0.5]
    walls = points[points[:, 2] < points[:, 2].max() / 2]

    assert (top[:, :2].min(axis=0) < walls[:, :2].min(axis=0) - 0.3).all()
    assert (top[:, :2].max(axis=0) > walls[:, :2].max(axis=0) + 0.3).all()
