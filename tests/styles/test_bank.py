"""What is particular to the bank: mound with a rough top."""

import numpy as np
import pytest
from made import kept
from shells import TOUCH_MM3, housing, lifted_cut_mm3

from mounts import scene
from mounts.frames import apply

pytestmark = pytest.mark.solid


def _part(name):
    """Triangle corners (n, 3, 3) of a part in the mount frame."""
    mesh = next(mesh for mesh in housing("bank").meshes if mesh.name == name)
    return apply(mesh.print_to_mount, mesh.vertices_mm)[mesh.faces]


def test_it_lifts_straight_off_and_fits_with_the_printers_clearance():
    """Nothing meets frame, servo or arm on the way up; in place the gap round the frame is the slip fit."""
    mount = housing("bank")
    plan = mount.design.plan
    frame = scene.mount_body(mount.meshes, without=plan.lift_off)
    shell = scene.mount_body([mesh for mesh in mount.meshes if mesh.name in plan.lift_off])

    assert lifted_cut_mm3(mount) < TOUCH_MM3
    assert frame.min_gap(shell, 3.0) == pytest.approx(mount.design.spec.printer.slip_fit_mm, abs=0.02)


def test_the_mound_is_rough():
    """The shoulder's points stand at many heights, one bump each, and rougher bumps stand out further."""
    points = _part("shell").reshape(-1, 3)
    top = points[:, 2].max()
    upper = points[(points[:, 2] > 0.6 * top) & (points[:, 2] < 0.97 * top)]
    smooth, rough = housing("bank", rough_mm=0.3), housing("bank", rough_mm=1.2)

    assert np.unique(np.round(upper[:, 2], 2)).size > 20
    assert rough.meshes[1].solid_volume_mm3 > smooth.meshes[1].solid_volume_mm3


def test_a_steeper_slope_takes_less_room():
    """The mound is shorter along the track when its slope is steeper."""
    def along(mount):
        return next(mesh for mesh in mount.meshes if mesh.name == "shell").size_mm[0]

    assert along(housing("bank", slope_deg=70.0)) < along(housing("bank"))


def test_on_its_side_it_needs_room_for_the_rod():
    """12 mm from an N track the mound takes the room of the rod's loop: refused, with what is missing."""
    from mounts.errors import NoDesign

    with pytest.raises(NoDesign, match=r"mm of rod, allowed .*; a greater --track-distance$"):
        kept({"pose": "side"}, style="bank", scale="N", board="12 mm", track_distance="12 mm")
