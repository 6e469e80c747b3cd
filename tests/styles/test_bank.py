"""What is particular to the bank: a flat top, slopes that run out to the ground, one thin skin."""

import math

import numpy as np
import pytest
import trimesh
from made import kept
from shells import TOUCH_MM3, housing, lifted_cut_mm3
from slicer import needs_slicer, support_mm

from mounts import scene
from mounts.checks.print_mesh import check_print
from mounts.errors import NoDesign
from mounts.frames import apply
from mounts.pipeline import design_mount

pytestmark = pytest.mark.solid

GRID_MM = 0.05


def _shell(mount):
    """The bank in the mount frame."""
    mesh = next(mesh for mesh in mount.meshes if mesh.name == "shell")
    return trimesh.Trimesh(apply(mesh.print_to_mount, mesh.vertices_mm), mesh.faces, process=False)


def _heights(shell, start, end):
    """Distance (n,) from the start and height (n,) of what is seen from above on a line in plan; 0 beside it."""
    start, end = np.array(start), np.array(end)
    along = np.arange(0.0, np.linalg.norm(end - start), GRID_MM)
    points = start + along[:, None] * (end - start) / np.linalg.norm(end - start)
    rays = np.column_stack([points, np.full(len(along), 200.0)])
    places, indices, _ = shell.ray.intersects_location(rays, np.tile((0.0, 0.0, -1.0), (len(along), 1)))
    heights = np.zeros(len(along))
    np.maximum.at(heights, indices, places[:, 2])
    return along, heights


def _sections(mount):
    """Heights from outside towards the middle of the frame; at the front beside the rod's slot."""
    shell, plan = _shell(mount), mount.design.plan
    sign = -1.0 if mount.design.spec.mirror else 1.0
    middle = np.array([sign * sum(plan.base_x) / 2, sum(plan.base_y) / 2])
    beside = np.array([sign * (plan.base_x[0] + 4.0), middle[1]])  # the rod is at x = 0
    ways = {"back": (0, 1), "right": (1, 0), "left": (-1, 0), "front": (0, -1)}
    return {
        name: _heights(shell, end + 150.0 * np.array(way), end)
        for name, way in ways.items()
        for end in (beside if name == "front" else middle,)
    }


def _slope_deg(along, heights):
    """From the foot to the shoulder, between a tenth and nine tenths of the height."""
    top = heights.max()
    rising = (heights > 0.1 * top) & (heights < 0.9 * top)
    return math.degrees(math.atan(np.polyfit(along[rising], heights[rising], 1)[0]))


@pytest.mark.parametrize("pose", ["hang", "side"])
def test_the_top_is_flat_and_longer_than_deep(pose):
    """Over the whole room, and over a length of 1.3 times its depth, all is level to 0.01 mm."""
    mount = housing("bank", pose=pose)
    plan, shell = mount.design.plan, _shell(mount)
    top = shell.bounds[1, 2]

    level = shell.triangles[(shell.face_normals[:, 2] > 0.999) & (shell.triangles_center[:, 2] > top - 0.01)]
    low, high = level.reshape(-1, 3).min(axis=0), level.reshape(-1, 3).max(axis=0)
    assert (low[:2] <= (plan.base_x[0], plan.base_y[0])).all()
    assert (high[:2] >= (plan.base_x[1], plan.base_y[1])).all()
    assert high[0] - low[0] >= 1.3 * (plan.base_y[1] - plan.base_y[0])
    corners = [(x, y) for x in plan.base_x for y in plan.base_y]
    for start, end in (corners[:2], corners[2:], corners[::3]):
        assert _heights(shell, start, end)[1] == pytest.approx(top, abs=0.01)


@pytest.mark.parametrize("pose", ["hang", "side"])
def test_the_slopes_are_those_of_an_earth_bank_and_meet_the_ground(pose):
    """Back and ends rise by 45 to 50°, the face to the track by 60 to 80°, without ridges or a step at the foot."""
    for name, (along, heights) in _sections(housing("bank", pose=pose)).items():
        slope = _slope_deg(along, heights)
        assert (60 <= slope <= 80) if name == "front" else (44.9 <= slope <= 50), name
        assert (np.diff(heights) > -0.01).all(), name
        first = heights[heights > 0][0]
        assert first <= GRID_MM * math.tan(math.radians(slope)) + 0.02, name


def test_it_is_a_skin():
    """On the slopes 1.2 to 1.7 mm thick, square to them; all of it weighs less than a sixth of the solid mound."""
    mount = housing("bank")
    shell = _shell(mount)
    up = shell.face_normals[:, 2]
    slopes = np.flatnonzero((up > 0.3) & (up < 0.95) & (shell.area_faces > 5))
    outside = [
        k
        for k in slopes
        if not shell.ray.intersects_any([shell.triangles_center[k] + (0, 0, 0.01)], [(0.0, 0.0, 1.0)])[0]
    ]
    starts = shell.triangles_center[outside] - 1e-3 * shell.face_normals[outside]
    places, indices, _ = shell.ray.intersects_location(starts, -shell.face_normals[outside], multiple_hits=False)
    thick = np.linalg.norm(places - starts[indices], axis=1)

    assert len(thick) > 20
    assert np.quantile(thick, 0.1) > 1.2
    assert np.median(thick) < 1.7
    assert shell.volume < shell.convex_hull.volume / 6


def test_it_lifts_straight_off_and_fits_with_the_printers_clearance():
    """Nothing meets frame, servo or arm on the way up; in place the gap round the frame is the slip fit."""
    mount = housing("bank")
    plan = mount.design.plan
    frame = scene.mount_body(mount.meshes, without=plan.lift_off)
    shell = scene.mount_body([mesh for mesh in mount.meshes if mesh.name in plan.lift_off])

    assert lifted_cut_mm3(mount) < TOUCH_MM3
    assert frame.min_gap(shell, 3.0) == pytest.approx(mount.design.spec.printer.slip_fit_mm, abs=0.02)


def test_a_steeper_slope_takes_less_room():
    """The bank is shorter along the track when its slope is steeper."""
    assert np.ptp(_shell(housing("bank", slope_deg=70.0)).bounds[:, 0]) < np.ptp(_shell(housing("bank")).bounds[:, 0])


def test_its_length_can_be_given():
    """A top of 100 mm is 100 mm between its inner faces, to what they stand off the struts."""
    sections = _sections(housing("bank", length_mm=100.0))
    ends = [sections[side][1] for side in ("left", "right")]
    level = GRID_MM * sum((heights > heights.max() - 0.01).sum() for heights in ends)

    assert 100.0 <= level <= 106.0


@pytest.mark.parametrize(
    ("pose", "cut", "wide"),
    [
        ("hang", "none", {}),
        ("hang", "both ends", {}),
        ("side", "left", {}),
        ("side", "none", {"scale": "I", "printer": "fdm-0.6"}),
    ],
)
def test_it_is_as_thick_at_its_corners_and_does_not_bulge_on_the_bed(pose, cut, wide):
    """Between a steep face and a flat one, or an upright one, no wall warns, and no edge on the bed."""
    mount = kept({"pose": pose, "cut": cut}, **{"style": "bank", "scale": "HO", "board": "12 mm"} | wide)
    checks = {
        check.name: check
        for check in check_print(mount.meshes[1], mount.design.spec.printer, mount.design.spec.filament)
    }

    assert {name: checks[name].verdict for name in ("wall", "elephant-foot", "overhang")} == {
        "wall": "pass",
        "elephant-foot": "pass",
        "overhang": "pass",
    }


@pytest.mark.parametrize("scale", ["N", "HO", "O"])
def test_of_two_poses_that_suit_the_bank_is_the_low_one(scale):
    """Low it is half the print, and nobody can tell 1 m of bank from 3 m."""
    assert kept(style="bank", scale=scale, board="12 mm").design.beside_track().let_down.pose == "side"


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize(("cut", "sides"), [("left", {"left"}), ("both ends", {"left", "right"}), ("back", {"back"})])
def test_a_side_stands_upright_against_other_scenery(cut, sides, mirror):
    """Where it is cut it rises to the top at once, 3 to 4 mm off the frame; left is left also of a mirrored mount."""
    mount = kept({"pose": "side", "cut": cut}, style="bank", scale="N", board="12 mm", mirror=mirror)

    for name, (_, heights) in _sections(mount).items():
        upright = heights[heights > 0][0] > 0.95 * heights.max()
        assert upright == (name in sides), name


@needs_slicer
@pytest.mark.slicer
@pytest.mark.parametrize(
    ("scale", "pose", "servo", "mirror", "cut"),
    [
        ("N", "side", "micro-9g", True, "none"),
        ("TT", "hang", "submicro-4g", False, "left"),
        ("O", "side", "standard-40g", False, "none"),
    ],
)
def test_the_slicer_wants_no_support_under_the_bank(scale, pose, servo, mirror, cut, tmp_path):
    """prusa-slicer puts none under slopes, struts and cheeks."""
    asked = {"style": "bank", "scale": scale, "board": "12 mm", "servo": servo, "mirror": mirror}
    mount = kept({"pose": pose, "cut": cut}, **asked)
    file = tmp_path / "shell.stl"
    file.write_bytes(mount.stl[1])

    assert support_mm(file) == 0


def test_on_its_side_it_needs_room_for_the_rod():
    """12 mm from an N track the bank takes the room of the rod's loop: refused by the loop's width."""
    with pytest.raises(NoDesign, match="loop width"):
        kept({"pose": "side"}, style="bank", scale="N", board="12 mm", track_distance="12 mm")


def test_a_bank_as_large_as_drawn_fits_the_bed_or_is_refused():
    """Told from numbers alone: a bed as wide as the made shell takes it, one a millimetre narrower does not."""
    long, deep, _ = next(mesh for mesh in kept({}, style="bank").meshes if mesh.name == "shell").size_mm
    spec = kept({}, style="bank").design.spec

    def on(more_mm):
        bed = dict.fromkeys(("bed_x_mm", "bed_y_mm"), max(long, deep) + more_mm)
        return spec.model_copy(update={"printer": spec.printer.model_copy(update=bed)})

    assert design_mount(on(1.0)).design.plan
    with pytest.raises(NoDesign, match="on a bed of"):
        design_mount(on(-1.0))
