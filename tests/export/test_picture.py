"""Pictures show what geometry says must be seen, without a display, the same bytes each time."""

import hashlib
import inspect
import io
import math
import os
import subprocess
import sys
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
import trimesh
from PIL import Image
from shapely import LineString

from mounts.export.callouts import Label, uncrossed
from mounts.export.picture import Body, _cropped, points_shown, render_picture
from mounts.export.raster import Camera, Meshes, Seen, Strokes, seen, strokes

FROM_ABOVE = np.array([[1.0, 0, 0], [0, 1, 0], [0, 0, 1]])
ASKEW = np.linalg.qr(np.array([[1.0, 2, 0.3], [-0.4, 1, 2], [1, -0.2, 0.5]]))[0]
RED, GREEN = (200, 40, 40), (40, 180, 60)


def box(size: tuple, centre: tuple) -> tuple[np.ndarray, np.ndarray]:
    """A box of trimesh's, as vertices and outward faces."""
    made = trimesh.creation.box(size)
    return np.asarray(made.vertices) + centre, np.asarray(made.faces)


def ball(radius: float) -> tuple[np.ndarray, np.ndarray]:
    made = trimesh.creation.icosphere(subdivisions=5, radius=radius)
    return np.asarray(made.vertices), np.asarray(made.faces)


def opened(png: bytes) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)


def looked_at(meshes: list, camera: Camera) -> tuple[Meshes, Seen]:
    """The bodies as the camera sees them, and what is seen of them."""
    found = Meshes.of(meshes, camera)
    return found, seen(found, camera.size_px)


def normals(meshes: Meshes, what: Seen) -> np.ndarray:
    return np.where((what.face >= 0)[..., None], meshes.normals[what.face], 0.0)


@pytest.mark.parametrize("axes", [FROM_ABOVE, ASKEW * np.linalg.det(ASKEW)], ids=["from-above", "askew"])
def test_seen_ball_is_a_disc_of_its_area_depth_and_normals(axes):
    """A ball shows πr² from everywhere, its nearest point is r before its middle, its normals are radial."""
    camera = Camera(axes, np.zeros(3), 0.1, (200, 160))

    meshes, found = looked_at([ball(6.0)], camera)

    there = found.face >= 0
    assert there.sum() * camera.mm_per_px**2 == pytest.approx(math.pi * 6**2, rel=0.005)
    rows, columns = np.nonzero(there)
    right, up = (columns - 99.5) * 0.1, (79.5 - rows) * 0.1
    back = np.sqrt(np.maximum(36 - right**2 - up**2, 0))
    inner = back > 2
    assert found.depth_mm[there][inner] == pytest.approx(-back[inner], abs=0.02)
    radial = (np.column_stack([right, up, back]) / 6)[inner]
    assert normals(meshes, found)[there][inner] == pytest.approx(radial, abs=0.04)  # a facet spans 2°
    assert np.isinf(found.depth_mm[~there]).all()


def test_seen_gives_the_nearer_body():
    """Of two boxes in line the upper one is seen from above, the lower one where it stands out."""
    camera = Camera(FROM_ABOVE, np.zeros(3), 0.5, (60, 60))

    meshes, found = looked_at([box((20, 20, 2), (0, 0, -5)), box((10, 10, 2), (0, 0, 5))], camera)

    body = np.where(found.face >= 0, meshes.body[found.face], -1)
    assert (body == 1).sum() * 0.25 == pytest.approx(100)
    assert (body == 0).sum() * 0.25 == pytest.approx(400 - 100)
    assert found.depth_mm[body == 0].min() - found.depth_mm[body == 1].max() == pytest.approx(10)


def test_seen_agrees_with_rays():
    """Every pixel of two bodies that pass through each other has the body and the depth that trimesh's rays find."""
    meshes = [box((9, 7, 5), (2, 1, 0)), ball(4.0)]
    camera = Camera(ASKEW * np.linalg.det(ASKEW), np.zeros(3), 0.25, (80, 60))
    whole = trimesh.util.concatenate([trimesh.Trimesh(*mesh, process=False) for mesh in meshes])
    rows, columns = (places.ravel() for places in np.indices((60, 80)))
    flat = np.column_stack([(columns - 39.5) * 0.25, (29.5 - rows) * 0.25, np.full(4800, 50.0)])

    which, ray, places = whole.ray.intersects_id(
        flat @ camera.axes, np.tile(-camera.axes[2], (4800, 1)), multiple_hits=False, return_locations=True
    )
    looked, found = looked_at(meshes, camera)

    body = np.where(found.face >= 0, looked.body[found.face], -1).ravel()
    expected = np.full(4800, -1)
    expected[ray] = which >= len(meshes[0][1])
    assert np.mean(body != expected) < 2e-3, "but for pixels right on an edge"
    same = (body == expected)[ray]
    depth = -(places @ camera.axes[2])
    assert found.depth_mm.ravel()[ray][same] == pytest.approx(depth[same], abs=1e-3)


def drawn(meshes: list, camera: Camera) -> Strokes:
    looked, found = looked_at(meshes, camera)
    return strokes(looked, found, camera.mm_per_px)


def test_edges_are_drawn_at_creases_and_not_on_curved_faces():
    """A cylinder seen from the side has its outline and no line along its 32 facets; a box has its nine edges."""
    axes = np.array([[0.8, 0.6, 0], [-0.36, 0.48, 0.8], [0.48, -0.64, 0.6]])
    camera = Camera(axes, np.zeros(3), 0.1, (260, 260))
    cylinder = trimesh.creation.cylinder(radius=5, height=10, sections=32)

    on_cylinder = drawn([(np.asarray(cylinder.vertices), np.asarray(cylinder.faces))], camera)
    on_box = drawn([box((10, 10, 10), (0, 0, 0))], camera)

    def length(found: Strokes, which: np.ndarray) -> float:
        return float(np.linalg.norm(np.diff(found.ends[which], axis=1), axis=2).sum()) / 10

    turn = np.linspace(0, 2 * np.pi, 4000)
    rim = np.column_stack([5 * np.cos(turn), 5 * np.sin(turn), np.full(4000, 5.0)]) @ axes[:2].T
    around = np.linalg.norm(np.diff(rim, axis=0), axis=1).sum()
    straight = 2 * 10 * np.hypot(*(axes[:2] @ [0, 0, 1]))
    assert length(on_cylinder, ~on_cylinder.outline) == pytest.approx(around / 2, rel=0.05), "near half of the rim"
    assert length(on_cylinder, on_cylinder.outline) == pytest.approx(straight + around, rel=0.05)
    edges = [np.hypot(*axes[:2, axis]) * 10 for axis in range(3)]
    assert length(on_box, ~on_box.outline) == pytest.approx(sum(edges), rel=0.02), "three meet at the near corner"
    assert length(on_box, on_box.outline) == pytest.approx(2 * sum(edges), rel=0.02), "six go round"


def test_edges_behind_a_body_are_not_drawn():
    """Of a small box behind a large one nothing is drawn; of one half behind it the half that shows."""
    large, camera = box((20, 20, 2), (0, 0, 5)), Camera(FROM_ABOVE, np.zeros(3), 0.1, (400, 400))

    hidden = drawn([large, box((6, 6, 2), (0, 0, 0))], camera)
    half = drawn([large, box((6, 6, 2), (10, 0, 0))], camera)

    assert (hidden.body == 0).all()
    of_small = half.ends[half.body == 1]
    assert np.linalg.norm(np.diff(of_small, axis=1), axis=2).sum() / 10 == pytest.approx(3 + 6 + 3, abs=0.4)


@pytest.mark.parametrize("seed", range(40))
def test_lines_of_labels_never_cross(seed):
    """Forty random margins of up to twelve names: shapely finds no two lines that cross, and every row is used."""
    random = np.random.default_rng(seed)
    points = [(float(x), float(y)) for x, y in random.uniform((100, 0), (900, 700), (random.integers(2, 13), 2))]
    rows = sorted(float(row) for row in random.uniform(0, 700, len(points)))

    given = uncrossed(60.0, rows, points)

    lines = [LineString([(60.0, row), point]) for row, point in zip(given, points, strict=True)]
    assert sorted(given) == rows
    assert not [(a, b) for a, b in combinations(lines, 2) if a.crosses(b)]


def test_a_place_that_shows_is_found_for_each_body_and_none_for_a_hidden_one():
    """The place lies on the body's face that looks at the eye, away from its edges."""
    bodies = [Body(*box((20, 20, 2), (0, 0, 5)), RED), Body(*box((6, 6, 2), (0, 0, 0)), GREEN)]
    aside = Body(*box((8, 8, 4), (30, 0, 0)), GREEN)

    top, none, other = points_shown([*bodies, aside], (0, 0, -1), up=(0, 1, 0))

    assert top == pytest.approx((0, 0, 6), abs=0.4)
    assert none is None
    assert other == pytest.approx((30, 0, 2), abs=0.4)


def test_picture_frames_everything_on_its_background():
    """The bodies stand in the middle, as large as the margins of 40 pixels allow, on the background."""
    png = render_picture([Body(*box((30, 10, 5), (100, 50, -20)), RED)], size=(300, 200), background=(240, 250, 255))

    picture = opened(png)
    assert picture.shape == (200, 300, 3)
    rows, columns = np.nonzero((picture != (240, 250, 255)).any(axis=2))
    free = [columns.min(), 299 - columns.max(), rows.min(), 199 - rows.max()]
    assert min(free) == pytest.approx(40, abs=2)
    assert free[0] == pytest.approx(free[1], abs=2)
    assert free[2] == pytest.approx(free[3], abs=2)


@pytest.mark.parametrize(("opacity", "shows"), [(1.0, False), (0.3, True)])
def test_picture_lets_bodies_shine_through_clear_ones(opacity, shows):
    """Under a red plate a green box shows if, and only if, the plate is clear; the plate tints it."""
    plate, inside = Body(*box((20, 20, 2), (0, 0, 5)), RED, opacity), Body(*box((6, 6, 2), (0, 0, 0)), GREEN)

    view = {"size": (200, 200), "direction": (0, 0, -1), "up": (0, 1, 0)}

    red, green, _ = opened(render_picture([plate, inside], **view))[100, 100]
    alone = opened(render_picture([inside], **view))[100, 100]

    assert (green > red) == shows
    assert red > alone[0]


def test_picture_shows_a_body_before_a_clear_one_untinted():
    """What stands between the eye and the board keeps its colour."""
    board, on_top = Body(*box((20, 20, 2), (0, 0, 0)), RED, 0.3), Body(*box((6, 6, 2), (0, 0, 5)), GREEN)
    view = {"size": (200, 200), "direction": (0, 0, -1), "up": (0, 1, 0)}

    both, alone = opened(render_picture([board, on_top], **view)), opened(render_picture([on_top], **view))

    assert both[100, 100].tolist() == alone[100, 100].tolist()


def test_labels_stand_in_their_margin_and_the_line_reaches_the_point():
    """Names of points at the left are written at the left; the dot's ink is on the point."""
    body = Body(*box((40, 40, 2), (0, 0, 0)), (255, 255, 255))
    labels = [Label((-10, 0, 1), "first"), Label((-10, -1, 1), "second, close by"), Label((15, 5, 1), "30° ± 1")]

    plain, named = (
        opened(render_picture([body], size=(600, 400), direction=(0, 0, -1), up=(0, 1, 0), labels=given))
        for given in ((), labels)
    )

    assert (plain[:, :38] == 255).all()
    dark_rows = np.flatnonzero((named[:, 16:60] < 100).any(axis=(1, 2)))
    gaps = np.flatnonzero(np.diff(dark_rows) > 3)
    assert len(gaps) == 1, "two rows of text, apart"
    assert (named[:, 540:584] < 100).any()
    assert (named[:, :14] == 255).all()
    assert (named[:, 586:] == 255).all()


def test_labels_refuse_characters_the_font_lacks():
    """A box instead of a letter is not printed silently."""
    with pytest.raises(ValueError, match="cannot write 'Ø 4'"):
        render_picture([Body(*box((1, 1, 1), (0, 0, 0)), RED)], size=(200, 200), labels=[Label((0, 0, 0), "Ø 4")])


def demo() -> bytes:
    """A picture with all that there is: an opaque and a clear body and a label."""
    plate = np.array([[0, 0, 0], [9, 0, 0], [0, 7, 0], [0, 0, 5]], dtype=float)
    faces = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]])
    bodies = [Body(plate, faces, (200, 120, 40)), Body(plate - 2, faces, (90, 90, 200), 0.4)]
    return render_picture(bodies, size=(240, 180), labels=[Label((1, 1, 1), "here")])


def test_picture_needs_no_display_and_is_the_same_in_another_process():
    """A process without a display, given no graphics library, renders the same bytes; they carry no metadata."""
    png = demo()
    script = (
        "import hashlib, sys\nimport numpy as np\nfrom mounts.export.callouts import Label\n"
        f"from mounts.export.picture import Body, render_picture\n{inspect.getsource(demo)}\n"
        "print(hashlib.sha256(demo()).hexdigest())\n"
        "print([name for name in sys.modules if name.startswith(('vtk', 'OpenGL', 'OCP', 'cadquery'))])\n"
    )
    environment = {key: value for key, value in os.environ.items() if "DISPLAY" not in key}
    environment["PYTHONPATH"] = str(Path(__file__).parents[2])

    command = [sys.executable, "-c", script]
    told = subprocess.run(command, capture_output=True, text=True, check=True, env=environment).stdout

    assert told == f"{hashlib.sha256(png).hexdigest()}\n[]\n"
    assert Image.open(io.BytesIO(png)).info == {}


def test_what_is_drawn_of_a_picture_is_where_the_whole_camera_sees_it():
    """Cut down to bodies 30 × 20 mm and a few pixels, every point is at the same pixel less that of the corner; one
    that reaches past the picture is cut at its edge."""
    axes = np.linalg.qr(np.random.default_rng(3).normal(size=(3, 3)))[0]
    camera = Camera(axes, np.array([3.0, -5.0, 7.0]), 0.1, (700, 500))
    middle = np.array([10.0, 2.0, 4.0])

    near, corner = _cropped(camera, middle, np.array([30.0, 20.0]))
    points = np.random.default_rng(4).normal(scale=20.0, size=(50, 3))
    whole, cut = camera.project(points), near.project(points)
    np.testing.assert_allclose(cut[:, :2] + corner, whole[:, :2], atol=1e-9)
    np.testing.assert_allclose(np.diff(cut[:, 2]), np.diff(whole[:, 2]), atol=1e-9)
    flat = middle + np.array([[1, 1], [-1, -1]]) * [15.0, 10.0] @ axes[:2]
    assert np.ptp(near.project(flat)[:, :2], axis=0) == pytest.approx([300, 200])
    assert (near.project(flat)[:, :2].min(axis=0) >= 3).all()
    assert (near.project(flat)[:, :2].max(axis=0) <= np.array(near.size_px) - 3).all()

    beyond, corner = _cropped(camera, middle, np.array([300.0, 20.0]))
    assert (corner[0], beyond.size_px[0]) == (0, 700)
