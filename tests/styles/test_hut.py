"""What is particular to the hut: pitched roof on four walls."""

import numpy as np
import pytest
from made import kept
from requests_for_drives import request
from scipy.spatial import ConvexHull
from shells import TOUCH_MM3, housing, lifted_cut_mm3

from mounts import scene
from mounts.checks.print_mesh import check_print
from mounts.frames import apply
from mounts.styles import _shell

pytestmark = pytest.mark.solid


def _part(name, **options):
    """Triangle corners (n, 3, 3) of a part in the mount frame."""
    mesh = next(mesh for mesh in housing("hut", **options).meshes if mesh.name == name)
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
    """The feet of the courses lie on two planes that lean by the pitch asked for (45°, tiles; common practice): of the
    roof's convex hull seen along the ridge the two longest edges on top."""
    points = _part("roof", pitch_deg=45.0).reshape(-1, 3)[:, 1:]
    hull = points[ConvexHull(points).vertices]
    edges = np.roll(hull, -1, axis=0) - hull  # counter-clockwise: what is on top runs to -y
    long = edges[edges[:, 0] < 0][np.argsort(-np.linalg.norm(edges[edges[:, 0] < 0], axis=1))[:2]]

    assert sorted(np.degrees(np.arctan(long[:, 1] / long[:, 0]))) == pytest.approx([-45.0, 45.0], abs=0.1)


def test_the_roof_reaches_over_the_eaves_and_lies_between_the_gables():
    """Eaves on both long sides; along the ridge a slip fit between the gables, which rise over it."""
    roof, walls = _part("roof").reshape(-1, 3), _part("shell").reshape(-1, 3)
    plan, slip = housing("hut").design.plan, housing("hut").design.spec.printer.slip_fit_mm

    assert roof[:, 1].min() < walls[:, 1].min() - 0.5
    assert roof[:, 1].max() > walls[:, 1].max() + 0.5
    gables = (plan.base_x[0] - slip, plan.base_x[1] + slip)
    assert (roof[:, 0].min(), roof[:, 0].max()) == pytest.approx((gables[0] + slip, gables[1] - slip), abs=0.01)
    assert walls[:, 2].max() > roof[:, 2].max()


@pytest.mark.parametrize(("scale", "height_mm"), [("N", 2000 / 160), ("TT", 2000 / 120)])
def test_the_door_is_two_metres_in_its_scale(scale, height_mm):
    """A leaf of 2.0 × 0.8 m (common practice) divided by the ratio of NEM 010, let in behind its frame's face."""
    mount = kept(style="hut", scale=scale, board="12 mm")
    mesh = next(mesh for mesh in mount.meshes if mesh.name == "shell")
    points = apply(mesh.print_to_mount, mesh.vertices_mm)

    face = points[np.isclose(points[:, 0], points[:, 0].max(), atol=1e-3)]
    ground = face[face[:, 2] < height_mm + 2.0]
    half = 800 / 2 * height_mm / 2000
    jambs = np.abs(ground[:, 1] - sum(mount.design.plan.base_y) / 2)
    assert jambs.min() == pytest.approx(half, abs=0.01)
    inner = ground[np.isclose(jambs, half, atol=0.01)]
    assert inner[:, 2].max() == pytest.approx(height_mm, abs=0.01)


def test_boards_too_fine_to_print_are_drawn_as_fine_as_prints():
    """At 1:220 a 0.2 m board is 0.91 mm, less than two strokes of 0.6 mm of a 0.4 mm nozzle (standards, 8): 1.2 mm."""
    spec = request(style="hut", scale="Z")

    assert _shell.pieces(spec, 24.0, (0.15, 0.20), 1.2) == 20
    assert _shell.pieces(spec, 24.0, (0.15, 0.20), 2.5 * 0.91 + 0.01) is None


def test_a_flat_roof_is_not_knocked_off_the_bed():
    """The default hut in N has the least pitch; standing on its end it holds against a knock of 1 N."""
    mount = housing("hut")
    mesh = next(mesh for mesh in mount.meshes if mesh.name == "roof")
    rows = check_print(mesh, mount.design.spec.printer, mount.design.spec.filament)

    assert next(row for row in rows if row.name == "knock").verdict == "pass"
