"""The test piece: what is on it, what it measures, and what the profile that comes of it changes."""

from __future__ import annotations

import io
import itertools
import math
from functools import cache

import numpy as np
import pytest
import trimesh
from made import build
from shapely import LineString
from shapely.ops import polygonize
from slicer import estimate, needs_slicer

from mounts.checks.print_mesh import check_print
from mounts.cli import main
from mounts.coupon.build import pieces
from mounts.coupon.make import make_coupon
from mounts.coupon.plan import STEPS, Coupon, Specimen, coupon, rises_deg
from mounts.coupon.record import recorded
from mounts.errors import InputError
from mounts.inputs import fits
from mounts.inputs.library import Library
from mounts.mesh import PartMesh
from mounts.solid.tessellate import export_mesh

LIBRARY = Library()
BORES = ("pilot-upright", "fixing-upright", "post", "pilot-lying", "fixing-lying")


def _planned(printer: str = "fdm-0.4", servo: str = "micro-9g") -> Coupon:
    return coupon(LIBRARY.printer(printer), LIBRARY.servo(servo), LIBRARY.fixing("no-4"), 0.8)


@cache
def _meshes() -> dict[str, PartMesh]:
    return {part.name: export_mesh(part, LIBRARY.printer("fdm-0.4"))[0] for part, _ in pieces(_planned())}


def _tri(name: str) -> trimesh.Trimesh:
    mesh = _meshes()[name]
    return trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)


def _rings(mesh: trimesh.Trimesh, at: list[float], normal: list[float]) -> list[np.ndarray]:
    """Closed outlines of a section, corners (k, 3), first and last the same: segments by trimesh, joined by shapely."""
    segments = np.round(trimesh.intersections.mesh_plane(mesh, normal, at), 5)
    off = int(np.abs(normal).argmax())
    keep = [axis for axis in range(3) if axis != off]
    lines = [LineString(pair[:, keep]) for pair in segments if np.any(pair[0] != pair[1])]
    # a hole is a piece of its own, beside being an inner ring of the piece round it
    return [np.insert(np.array(piece.exterior.coords), off, at[off], axis=1) for piece in polygonize(lines)]


def _specimen(key: str) -> Specimen:
    found = _planned().of(key)
    assert found is not None
    return found


def test_every_pair_that_a_printer_governs_is_on_it():
    """Every row of the list of fits with a figure of the printer has a specimen, the rod's slot excepted, which is air
    and drawn as it is; and each letter and each key is there once."""
    on_it = {specimen.key for specimen in _planned().specimens}
    governed = {fit.key for fit in fits.FITS if fit.figures}

    assert governed - on_it == {fits.ROD_SLOT.key}
    letters = [specimen.letter for specimen in _planned().specimens]
    assert len(set(letters)) == len(letters)
    assert all(len(specimen.figures) == len(specimen.drawn) == STEPS for specimen in _planned().specimens)


@pytest.mark.solid
@pytest.mark.parametrize("key", BORES)
def test_each_bore_is_as_wide_as_its_mark_says(key):
    """In a section half way through, the circle that just goes in has the diameter of the step, to 0.01 mm: its radius
    is the least distance of the outline from the middle of the round part, by numpy on the mesh's section."""
    lying, specimen = key.endswith("-lying"), _specimen(key)
    mesh = _tri("holes")
    high = mesh.bounds[1]
    place = [0.0, high[1] - 1.2, 0.0] if lying else [0.0, 0.0, 1.2]
    axes = (0, 2) if lying else (0, 1)
    rings = [ring[:, axes] for ring in _rings(mesh, place, [0, 1, 0] if lying else [0, 0, 1])]
    found = []
    for ring in rings:
        width = np.ptp(ring[:, 0])
        if not 1.5 < width < 4.5 or np.ptp(ring[:, 1]) < 1.5:
            continue
        middle = np.array([(ring[:, 0].max() + ring[:, 0].min()) / 2, ring[:, 1].min() + width / 2])
        edges = np.stack([ring[:-1], ring[1:]], axis=1)
        along = edges[:, 1] - edges[:, 0]
        share = np.clip(((middle - edges[:, 0]) * along).sum(1) / np.maximum((along**2).sum(1), 1e-12), 0, 1)
        nearest = np.linalg.norm(edges[:, 0] + share[:, None] * along - middle, axis=1).min()
        found.append((round(float(middle[1]), 1), float(middle[0]), 2 * nearest))
    rows: dict[float, list[tuple[float, float]]] = {}
    for row, x, size in found:
        near = next((at for at in rows if abs(at - row) < 0.4), row)
        rows.setdefault(near, []).append((x, size))
    measured = [[size for _, size in sorted(row)] for row in rows.values() if len(row) == STEPS]

    assert any(np.allclose(row, specimen.drawn, atol=0.01) for row in measured), measured


@pytest.mark.solid
def test_each_slot_is_as_wide_as_its_mark_says():
    """At the height of its land each slot's faces stand apart by what its step says, to 0.01 mm."""
    rings = _rings(_tri("holes"), [0, 0, 1.2], [0, 0, 1])
    flat = sorted(
        (ring[:, 0].mean(), float(np.ptp(ring[:, 1]))) for ring in rings
        if np.ptp(ring[:, 1]) < 1.7 and abs(np.ptp(ring[:, 0]) - 2.0) < 0.01
    )  # fmt: skip

    assert [size for _, size in flat] == pytest.approx(_specimen("pivot").drawn, abs=0.01)


@pytest.mark.solid
@pytest.mark.parametrize("key", ["pocket", "shell-on-frame", "roof-on-shell", "pocket-level"])
def test_each_channel_is_as_wide_as_its_mark_says(key):
    """A ray across each channel, or up and down the tunnel, in the middle of each step meets its two faces as far
    apart as the step says, to 0.01 mm; the widest is at the mouth."""
    mesh, specimen = _tri("slides"), _specimen(key)
    run = 3.3
    order = [each for each in _planned().specimens if each.shape in ("channel", "tunnel")]
    low = 0.0
    for each in order:
        widest = each.drawn[-1] if each.shape == "channel" else 6.8
        middle = low + 1.2 + widest / 2
        if each.key == key:
            break
        low += widest + 1.2
    measured = []
    for step in range(STEPS):
        x = (step + 0.2) * run  # beside the number
        at = np.array([x, middle, 2.4 if specimen.shape == "channel" else 2.0])
        ways = [[0, 1, 0], [0, -1, 0]] if specimen.shape == "channel" else [[0, 0, 1], [0, 0, -1]]
        hits = []
        for way in ways:
            places, _, _ = mesh.ray.intersects_location([at], [way])
            hits.append(min(float(np.linalg.norm(place - at)) for place in places))
        measured.append(sum(hits))

    assert measured[::-1] == pytest.approx(specimen.drawn, abs=0.01)


@pytest.mark.solid
def test_fins_leans_and_bridges_are_what_their_marks_say():
    """Thickness and span of each by sections, to 0.01 mm; the lean of each by the normals of the faces, to 0.1°."""
    mesh = _tri("ladders")
    above = _rings(mesh, [0, 0, 1.6], [0, 0, 1])
    fins = sorted(
        (ring[:, 0].mean(), np.ptp(ring[:, 0])) for ring in above if abs(np.ptp(ring[:, 1]) - 6.0) < 0.01
    )  # fmt: skip
    posts = sorted(
        (ring[:, 0].min(), ring[:, 0].max()) for ring in above
        if abs(np.ptp(ring[:, 1]) - 3.0) < 0.01 and ring[:, 1].max() < 4
    )  # fmt: skip
    spans = [right[0] - left[1] for left, right in itertools.pairwise(posts)]
    down = (mesh.face_normals[:, 2] < -0.3) & (mesh.face_normals[:, 2] > -0.99) & (mesh.triangles_center[:, 2] > 1.25)
    leans = sorted({round(math.degrees(math.asin(-z)), 1) for z in mesh.face_normals[down][:, 2]})

    assert [size for _, size in fins] == pytest.approx(_specimen("thinnest-wall").drawn, abs=0.01)
    assert spans == pytest.approx(_specimen("bridge").drawn, abs=0.01)
    assert leans == pytest.approx(_specimen("overhang").drawn, abs=0.1)


@pytest.mark.solid
def test_the_arms_tip_touches_the_protractor_at_its_angles():
    """A disc as wide as the arm's tip, put where the tip is when the arm stands at the angle, touches the post's face
    to 0.02 mm: distances of the mesh's section from the disc's middle."""
    servo, half = LIBRARY.servo("micro-9g"), math.radians(rises_deg(LIBRARY.servo("micro-9g")))
    mesh = _tri("protractor")
    ring_low = mesh.bounds[1][2] - 1.0
    rings = [ring[:, :2] for ring in _rings(mesh, [0, 0, ring_low], [0, 0, 1])]
    # the ring's middle in the mesh is the middle of its round hole on the bed
    hole = min((ring for ring in _rings(mesh, [0, 0, 0.6], [0, 0, 1])), key=lambda ring: np.ptp(ring[:, 1]))[:, :2]
    shaft = (hole.min(axis=0) + hole.max(axis=0)) / 2

    assert np.ptp(hole[:, 1]) == pytest.approx((servo.boss_mm + 0.4) / math.cos(math.pi / 32), abs=0.01)
    for side in (-1, 1):
        tip = shaft + servo.arm_tip_mm * np.array([math.cos(half), side * math.sin(half)])
        edges = np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings])
        along = edges[:, 1] - edges[:, 0]
        share = np.clip(((tip - edges[:, 0]) * along).sum(1) / np.maximum((along**2).sum(1), 1e-12), 0, 1)
        away = np.linalg.norm(edges[:, 0] + share[:, None] * along - tip, axis=1).min()
        assert away == pytest.approx(servo.horn_tip_width_mm / 2, abs=0.02)


@pytest.mark.solid
@pytest.mark.parametrize(
    ("printer", "servo"), [("fdm-0.4", "micro-9g"), ("fdm-0.25", "submicro-4g"), ("fdm-0.6", "standard-40g")]
)
def test_it_passes_the_print_checks_of_a_mount(printer, servo):
    """No part fails a print check, nor does one warn."""
    planned = _planned(printer, servo)
    for part, duty in pieces(planned):
        mesh, _ = export_mesh(part, planned.printer)
        found = {
            check.name: check.message for check in check_print(mesh, planned.printer, LIBRARY.filament("pla"), duty)
            if check.verdict != "pass"
        }  # fmt: skip
        assert found == {}, part.name


@pytest.mark.solid
@pytest.mark.slicer
@needs_slicer
def test_the_slicer_puts_either_half_under_twenty_minutes_and_all_under_eight_grams(tmp_path):
    """prusa-slicer with the settings of the 0.4 mm profile: holes and protractor, slides and ladders, each pair under
    20 minutes; all four under 8 g."""
    made = make_coupon(_planned(), LIBRARY.filament("pla"))
    minutes, grams = {}, 0.0
    for name, stl in made.files.items():
        if name.endswith(".stl"):
            path = tmp_path / name
            path.write_bytes(stl)
            minutes[name.removeprefix("coupon-").removesuffix(".stl")], mass = estimate(
                path, LIBRARY.printer("fdm-0.4"), LIBRARY.filament("pla")
            )
            grams += mass

    assert minutes["holes"] + minutes["protractor"] < 20
    assert minutes["slides"] + minutes["ladders"] < 20
    assert grams < 8


def _own(tmp_path, monkeypatch, name, figures):
    monkeypatch.setenv("MOUNTS_CONFIG_DIR", str(tmp_path))
    folder = tmp_path / "profiles" / "printer"
    folder.mkdir(parents=True, exist_ok=True)
    lines = [f"{key} = {value}" for key, value in figures.items()]
    text = "\n".join(['title = "mine"', 'extends = "fdm-0.4"', "[fits_mm]", *lines])
    (folder / f"{name}.toml").write_text(text + '\n[source.m]\ntext = "test"\nmark = "V"\n')


@pytest.mark.solid
@pytest.mark.parametrize(
    ("key", "options", "asked"),
    [
        *((key, {"lie": "across"}, {}) for key in ("pocket", "pocket-level", "fixing-upright", "pilot-lying", "pivot")),
        ("pocket", {}, {"style": "hut"}),
        ("pocket", {}, {"style": "drop-in", "moves": "semaphore", "board": "12 mm"}),
    ],
)
def test_the_next_step_moves_the_faces_of_its_pair_by_the_difference_and_no_other(
    key, options, asked, tmp_path, monkeypatch
):
    """Mounts with step 2 and step 3 recorded for one pair: the corners that differ are those of that pair, and each
    went by half the difference (a width or a diameter) or the whole of it (a gap a side); all others stay where they
    were, to the float32 of the STL. Mount frames compared vertex by vertex; what is round moves along its radius.
    Shell, roof and post are left out: the wall behind each follows it, and so does what holds it."""
    specimen = _specimen(key)
    step_2, step_3 = specimen.figures[1], specimen.figures[2]
    _own(tmp_path, monkeypatch, "two", {key: step_2})
    _own(tmp_path, monkeypatch, "three", {key: step_3})
    (two, *others), (three, *others_too) = (build(options, **asked, printer=name).meshes for name in ("two", "three"))

    assert [part.vertices_mm.tobytes() for part in others] == [part.vertices_mm.tobytes() for part in others_too]
    moves = specimen.pair.counted == "a side"
    expected = (step_3 - step_2) * (1.0 if moves else 0.5)
    tree = {tuple(np.round(v, 3)) for v in three.vertices_mm}
    gone = np.array([v for v in two.vertices_mm if tuple(np.round(v, 3)) not in tree])
    other = {tuple(np.round(v, 3)) for v in two.vertices_mm}
    come = np.array([v for v in three.vertices_mm if tuple(np.round(v, 3)) not in other])
    assert len(gone)
    assert len(come)
    apart = np.linalg.norm(gone[:, None] - come[None], axis=2).min(axis=1)
    planes = _planes(two), _planes(three)
    lost, won = planes[0] - planes[1], planes[1] - planes[0]
    for axis, at in lost:
        assert any(a == axis and abs(abs(b - at) - expected) < 2e-3 for a, b in won), (axis, at)
    assert apart.max() <= 2.5 * expected + 2e-3
    away = {"pocket": 3 if asked.get("style") == "drop-in" else 2, "pocket-level": 1, "pivot": 2}
    if key in away:
        assert len(lost) == away[key]


def _planes(mesh: PartMesh) -> set[tuple[int, float]]:
    """Axis and place of every flat face square to an axis, larger than 0.3 mm²."""
    tri = trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)
    areas: dict[tuple[int, float], float] = {}
    for normal, centre, area in zip(tri.face_normals, tri.triangles_center, tri.area_faces, strict=True):
        axis = int(np.abs(normal).argmax())
        if abs(normal[axis]) > 0.99999:
            key = (axis, round(float(centre[axis]), 3))
            areas[key] = areas.get(key, 0.0) + float(area)
    return {key for key, area in areas.items() if area > 0.3}


def test_answers_come_to_the_figures_of_their_steps():
    """Step 3 of the pocket and of the lying pilot; a pair that was not answered keeps the shared figure."""
    found = recorded(_planned(), {"pocket": 3, "pilot-lying": 1, "bridge": 2})

    assert found.figures["fits_mm"] == {"pocket": 0.25, "pilot-lying": 0.2}
    assert found.figures["bridge_warn_mm"] == 6.0
    assert found.again == ("pilot-lying",)


@pytest.mark.parametrize(
    ("answers", "said"),
    [({"poket": 2}, "nearest is 'pocket'"), ({"pocket": 7}, "must be a step"), ({"pivot": True}, "must be a step")],
)
def test_what_is_no_answer_is_refused(answers, said):
    """A misspelt key and a number that is no step are a fault each, and nothing is recorded."""
    with pytest.raises(InputError, match=said):
        recorded(_planned(), answers)


@pytest.mark.solid
def test_made_recorded_and_used(tmp_path, monkeypatch, capsys):
    """`mounts coupon` writes parts, key and answers; the answers changed and recorded give a profile whose figures are
    those of the steps, and which every later command knows by its name."""
    monkeypatch.setenv("MOUNTS_CONFIG_DIR", str(tmp_path / "own"))
    assert main(["coupon", "--out", str(tmp_path)]) == 0
    folder = tmp_path / "coupon"
    assert {path.name for path in folder.glob("*.stl")} == {
        f"coupon-{part}.stl" for part in ("holes", "slides", "ladders", "protractor")
    }
    text = (folder / "coupon.txt").read_text()
    assert all(f"{specimen.letter}  {specimen.title}" in text for specimen in _planned().specimens)
    assert max(len(line) for line in text.splitlines()) <= 80
    answers = folder / "answers.toml"
    answers.write_text(answers.read_text().replace("pocket = 2", "pocket = 3").replace("pivot = 2", "pivot = 4"))

    assert main(["coupon", "--record", str(answers), "--name", "mine"]) == 0

    mine = Library().printer("mine")
    assert (fits.POCKET.air_mm(mine), fits.PIVOT.closes_mm(mine), fits.SHELL.air_mm(mine)) == (0.25, 0.4, 0.2)
    assert mine.slip_fit_mm == 0.2
    assert "print the test piece again" in capsys.readouterr().out


def test_asked_one_at_a_time_and_gone_back_to(tmp_path, monkeypatch, capsys):
    """Steps typed in: `b` takes the answer before back, what is no step is asked for again, Enter leaves a pair as it
    is; the profile has what was typed last."""
    monkeypatch.setenv("MOUNTS_CONFIG_DIR", str(tmp_path / "own"))
    lines = ["4", "b", "3", "9", "", *[""] * 20]
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(lines) + "\n"))

    assert main(["coupon", "--record", "--out", str(tmp_path)]) == 0

    assert Library().printer("my-fdm-0.4").fits_mm == {"pilot-upright": 0.3}
    told = capsys.readouterr().err
    assert "must be a step, 1 to 4" in told
    assert all(specimen.asks.split()[0] in told for specimen in _planned().specimens)


def test_a_second_record_keeps_the_first(tmp_path, monkeypatch):
    """One pair recorded, then another into the same profile: both are there; what nobody answers is refused, exit 2,
    and writes nothing."""
    monkeypatch.setenv("MOUNTS_CONFIG_DIR", str(tmp_path / "own"))
    answers = tmp_path / "answers.toml"
    for line in ("pocket = 3", "pivot = 1"):
        answers.write_text(line)
        assert main(["coupon", "--record", str(answers), "--name", "mine", "--quiet"]) == 0
    assert Library().printer("mine").fits_mm == {"pocket": 0.25, "pivot": 0.1}

    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    assert main(["coupon", "--record", "--name", "other", "--out", str(tmp_path)]) == 2
    assert not list((tmp_path / "own").rglob("other.toml"))
