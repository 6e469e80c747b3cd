"""What shells share, and the skin of a bank, by hand: sizes in a scale, walls, openings, slopes. No kernel."""

from __future__ import annotations

import math
import sys
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import light_kernel
import numpy as np
import pytest
import trimesh
from requests_for_drives import request

from mounts.inputs.printer import FRICTION
from mounts.styles import _bank_mound, _shell, hut, stack
from mounts.styles._bank_mound import Mound, Slope, slanted_mm

SPEC = request(scale="N")  # 1:160


def printer(**figures: float):
    return SPEC.printer.model_copy(update=figures)


@pytest.mark.parametrize(("nozzle", "relief", "groove"), [(0.2, 0.3, 0.3), (0.4, 0.4, 0.6), (0.6, 0.49, 0.9)])
def test_relief_follows_the_nozzle(nozzle: float, relief: float, groove: float) -> None:
    """As far out as a nozzle is wide, 0.3 to 0.49 mm; a groove is one and a half of it."""
    assert _shell.relief_mm(printer(nozzle_mm=nozzle)) == pytest.approx(relief)
    assert _shell.groove_mm(printer(nozzle_mm=nozzle)) == pytest.approx(groove)


@pytest.mark.parametrize(("layer", "lid"), [(0.1, 0.8), (0.2, 0.8), (0.3, 1.2)])
def test_a_flat_top_is_four_layers_and_0_8_mm(layer: float, lid: float) -> None:
    """At least."""
    assert _shell.lid_mm(printer(layer_mm=layer)) == pytest.approx(lid)


def test_a_wall_stands_out_by_its_play_its_thickness_and_its_relief() -> None:
    """0.2 mm of slip, 1.2 of three lines."""
    spec = SPEC.model_copy(update={"printer": printer(slip_fit_mm=0.2)})
    assert _shell.stands_out_mm(spec) == pytest.approx(1.4)
    assert _shell.stands_out_mm(spec, 0.4) == pytest.approx(1.8)
    assert _shell.scaled_mm(SPEC, 3.2) == pytest.approx(20.0)
    assert _shell.lip_mm(printer()) > 0


@pytest.mark.parametrize(
    ("length", "real", "least", "count"),
    [
        # 0.8 to 1.6 m are 5 to 10 mm: 7.5 each
        (30.0, (0.8, 1.6), 1.0, 4), (33.0, (0.8, 1.6), 1.0, 4), (34.0, (0.8, 1.6), 1.0, 5),
        # coarser than true where those don't print, never finer than prints
        (30.0, (0.16, 0.32), 4.0, 7), (31.9, (0.16, 0.32), 4.0, 7), (32.0, (0.16, 0.32), 4.0, 8),
        (3.0, (0.8, 1.6), 4.0, 1),
        # two and a half times as large as the largest at most
        (30.0, (0.1, 0.16), 2.5, 12), (30.0, (0.1, 0.16), 2.51, None),
    ],
)  # fmt: skip
def test_a_length_is_divided_into_true_pieces_or_coarser_ones(
    length: float, real: tuple[float, float], least: float, count: int | None
) -> None:
    """By the middle of what is usual, to whole pieces."""
    assert _shell.pieces(SPEC, length, real, least) == count


def test_a_pattern_that_is_left_out_says_why() -> None:
    """Its size in the scale, how much coarser it would be drawn, what a nozzle draws: two grooves or what is given."""
    assert _shell.too_fine(SPEC, "boards", 0.16) == (
        "no boards: at 1:160 they are 1.00 mm, drawn 2.5 times as large at most; a 0.4 mm nozzle draws 1.20 and more"
    )
    assert _shell.too_fine(SPEC, "boards", 0.16, 3.0).endswith("draws 3.00 and more")


PLAN = SimpleNamespace(
    base_x=(-10.0, 30.0), base_y=(5.0, 25.0), slot_x=(-3.0, 4.0), slot_top_z=6.0, cable_x=None, cable_top_z=0.0
)


def test_walls_stand_round_the_rim() -> None:
    """0.2 mm off it, 1.2 thick; each side has its face, and its own coordinate along it as seen from outside."""
    walls = _shell.walls(PLAN, SPEC.model_copy(update={"printer": printer(slip_fit_mm=0.2)}))

    assert (walls.inner_x, walls.inner_y) == (pytest.approx((-10.2, 30.2)), pytest.approx((4.8, 25.2)))
    assert (walls.outer_x, walls.outer_y) == (pytest.approx((-11.4, 31.4)), pytest.approx((3.6, 26.4)))
    assert walls.wall_mm == pytest.approx(1.2)
    faces = {side: walls.face(side) for side in ("-x", "+x", "-y", "+y")}
    assert [sign for sign, _ in faces.values()] == [-1.0, 1.0, -1.0, 1.0]
    assert [place for _, place in faces.values()] == pytest.approx([-11.4, 31.4, 3.6, 26.4])
    assert walls.along("-y") == pytest.approx((-11.4, 31.4))
    assert walls.along("+y") == pytest.approx((-31.4, 11.4))
    assert walls.along("+x") == pytest.approx((3.6, 26.4))
    assert walls.along("-x") == pytest.approx((-26.4, -3.6))


@pytest.mark.parametrize("side", ["-x", "+x", "-y", "+y"])
def test_a_walls_plane_looks_outwards_and_stands_upright(monkeypatch: pytest.MonkeyPatch, side: str) -> None:
    """On its outer face at the ground; its y up, its x to the right of who stands before it: along is told so."""
    monkeypatch.setitem(sys.modules, "cadquery", SimpleNamespace(Plane=SimpleNamespace))
    walls = _shell.walls(PLAN, SPEC.model_copy(update={"printer": printer(slip_fit_mm=0.2)}))

    plane, sign, axis = walls.plane(side), 1.0 if side[0] == "+" else -1.0, "xyz".index(side[1])
    out, right = np.array(plane.normal, dtype=float), np.array(plane.xDir, dtype=float)
    assert out.tolist() == [sign * (n == axis) for n in range(3)]
    assert np.cross(out, right).tolist() == [0.0, 0.0, 1.0]
    assert np.linalg.norm(right) == 1.0
    assert plane.origin[axis] == walls.face(side)[1]
    assert [at for n, at in enumerate(plane.origin) if n != axis] == [0.0, 0.0]
    low, high = walls.outer_x if side[1] == "y" else walls.outer_y
    assert sorted(float(right @ (np.eye(3)[1 - axis] * edge)) for edge in (low, high)) == pytest.approx(
        walls.along(side)
    )


def test_rod_and_cable_have_an_opening_each() -> None:
    """The rod's at the track, the cable's, where it goes out there, at the back, turned round as seen from outside."""
    assert _shell.openings(PLAN) == {"-y": ((-3.0, 4.0), 6.0)}
    back = SimpleNamespace(**{**PLAN.__dict__, "cable_x": (-7.0, 2.0), "cable_top_z": 5.0})
    assert _shell.openings(back)["+y"] == ((-2.0, 7.0), 5.0)


@pytest.mark.parametrize(("wide", "level"), [(7.9, 0.0), (8.0, 8.0), (20.0, 8.0)])
def test_a_lintel_over_a_narrow_opening_rises_to_a_point(wide: float, level: float) -> None:
    """Over one of 8 mm and more it is level for 0.8 of the longest good bridge, 10 mm."""
    assert _shell.lintel_mm(printer(bridge_warn_mm=10.0), wide) == pytest.approx(level)


def test_a_plan_keeps_what_the_shell_adds() -> None:
    """Parts that lift off, and what was left out."""
    from plain import designed

    plan = designed(style="cabin").design.plan
    told = _shell.planned(plan, ("no boards",), ("shell", "roof"))
    assert (told.lift_off, told.beside.scenery.left_out) == (("shell", "roof"), ("no boards",))


def test_a_roof_reaches_into_its_shell_by_what_holds_it() -> None:
    """A third more than its play on both sides takes, hanging askew, to slide by friction; 3 mm at least."""
    assert 2 * 0.6 / (0.75 * _shell.lip_mm(printer(slip_fit_mm=0.6))) == pytest.approx(FRICTION)
    assert _shell.lip_mm(printer(slip_fit_mm=0.1)) == 3.0


def test_a_plan_without_scenery_on_the_board_has_no_shell() -> None:
    """Of a bracket, and of what stands on the board bare."""
    for beside in (None, SimpleNamespace(scenery=None)):
        with pytest.raises(TypeError, match="scenery on the board"):
            _shell.planned(SimpleNamespace(beside=beside), (), ())  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="a housing's plan"):
        _shell.housing(SimpleNamespace(plan=None))  # type: ignore[arg-type]


@pytest.mark.parametrize("upright", [True, False])
def test_rod_and_cable_are_cut_out_of_the_wall(monkeypatch: pytest.MonkeyPatch, upright: bool) -> None:
    """Each in its own plane from before the wall through it; level for 8 mm over 9 of width where it is bridged, to a
    point over 7, and level all the way printed upside down."""
    told: list[Any] = []
    monkeypatch.setitem(sys.modules, "cadquery", SimpleNamespace(Plane=SimpleNamespace))
    monkeypatch.setitem(
        sys.modules, "mounts.solid.relief", SimpleNamespace(foot_opening=lambda *at, **size: told.append((at, size)))
    )
    plan: Any = SimpleNamespace(**{**PLAN.__dict__, "cable_x": (-7.0, 2.0), "cable_top_z": 5.0})
    walls = _shell.walls(PLAN, SPEC)
    _shell.cut_openings(plan, printer(bridge_warn_mm=10.0), walls, depth_mm=1.6, upright=upright)

    assert [at for at, _ in told] == [
        (walls.plane("-y"), (-3.0, 4.0), 6.0), (walls.plane("+y"), (-2.0, 7.0), 5.0),
    ]  # fmt: skip
    level = [0.0, 8.0] if upright else [math.inf, math.inf]
    assert [size["flat_mm"] for _, size in told] == pytest.approx(level)
    assert {(size["depth_mm"], size["before_mm"], size["foot_mm"]) for _, size in told} == {(1.6, 1.0, _shell.EDGE_MM)}


def slope(run: float = 10.0, *, beside: float = 0.5, rough: float = 0.0) -> Slope:
    return Slope(beside_mm=beside, run_mm=run, rough_mm=rough)


def mound(*slopes: Slope, skin: float = 1.2) -> Mound:
    four = slopes or (slope(),) * 4
    return Mound(x=(0.0, 40.0), y=(0.0, 30.0), ceiling_z=20.0, skin_mm=skin, slopes=four)


def test_a_slope_runs_out_as_it_goes_down() -> None:
    """From beside the room at the ceiling to so much farther out on the ground, half way half of it; a rough foot lies
    up to so much inside, never inside the room's own."""
    plain, rough, steep = slope(), slope(rough=4.0), slope(2.0, rough=40.0)

    assert [plain.inner_mm(up, 3.0, 4.0) for up in (1.0, 0.5, 0.0)] == pytest.approx([0.5, 5.5, 10.5])
    runs = [rough.runs_mm(x, y) for x in np.arange(0, 90, 3.0) for y in np.arange(0, 60, 3.0)]
    assert 6.0 <= min(runs) < 7.0
    assert 9.0 < max(runs) <= 10.0
    assert min(steep.runs_mm(x, 0.0) for x in np.arange(0, 90, 3.0)) == 0.0
    assert slanted_mm(1.2, 15.0, 20.0) == pytest.approx(1.2 * 25 / 20)


@pytest.mark.parametrize("rough", [0.0, 3.0])
@pytest.mark.parametrize("runs", [(10.0,) * 4, (6.0, 0.0, 12.0, 0.0), (5.0, 9.0, 13.0, 17.0), (0.0, 8.0, 8.0, 8.0)])
def test_the_skin_of_a_bank_is_one_closed_body(runs: tuple[float, ...], rough: float) -> None:
    """Watertight, all faces turned outward, from the ground to a flat top a skin over the ceiling; of more than three
    corners only level faces, for others would be bent, and all diagonals rise the same way round, so that the skin is
    as thick between them; a ring at any height goes round once, counter-clockwise, with as many points."""
    body = mound(*(slope(run, rough=rough if run else 0.0) for run in runs))
    corners, faces = body.faces()
    flat = [[face[0], *pair] for face in faces for pair in pairwise(face[1:])]
    mesh = trimesh.Trimesh(corners, flat, process=True)

    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume > 0
    assert all(len(face) == 3 or np.ptp(corners[face, 2]) < 1e-9 for face in faces)
    assert corners[:, 2].min() == 0.0
    assert corners[:, 2].max() == pytest.approx(21.2)
    count, risen = len(body.ring(0.0, outer=True)), set()
    for face in faces:
        for a, b in zip(face, face[1:] + face[:1], strict=True):
            round_by, up = (b - a) % count, corners[b, 2] - corners[a, 2]
            if len(face) == 3 and round_by and up:
                risen.add((round_by == 1) == (up > 0))
    assert len(risen) == 1
    rings = [body.ring(z, outer=outer) for z in (0.0, 7.0, 20.0) for outer in (False, True)]
    assert len({len(ring) for ring in rings}) == 1
    for ring in rings:
        x, y = ring[:, 0], ring[:, 1]
        assert np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) > 0


@pytest.mark.parametrize("z", [0.0, 5.0, 20.0])
def test_each_side_of_a_bank_is_where_its_slope_says(z: float) -> None:
    """Four slopes of their own; square to each the skin is 1.2 mm thick."""
    runs, beside = (4.0, 8.0, 12.0, 16.0), (0.5, 1.0, 1.5, 2.0)
    body = mound(*(slope(run, beside=by) for run, by in zip(runs, beside, strict=True)))
    inner, outer = body.ring(z, outer=False), body.ring(z, outer=True)
    out = [by + run * (1 - z / 20.0) for run, by in zip(runs, beside, strict=True)]

    for ring, skins in ((inner, [0.0] * 4), (outer, [1.2 * math.hypot(run, 20.0) / 20.0 for run in runs])):
        low, high = ring[:, :2].min(axis=0), ring[:, :2].max(axis=0)
        assert (low[1], high[0], high[1], low[0]) == pytest.approx(
            (-out[0] - skins[0], 40.0 + out[1] + skins[1], 30.0 + out[2] + skins[2], -out[3] - skins[3])
        )
    for k, run in enumerate(runs):
        assert body.skins_mm(k) == pytest.approx(1.2 * math.hypot(run, 20.0) / 20.0)
        assert body.foot_mm(k) == pytest.approx(beside[k] + run + body.skins_mm(k))
    # a corner is a quarter of an ellipse from one side's half axis to the other's
    near = inner[(inner[:, 0] <= 1e-9) & (inner[:, 1] <= 1e-9)]
    assert ((near[:, 0] / out[3]) ** 2 + (near[:, 1] / out[0]) ** 2) == pytest.approx(1.0)
    assert len(near) == 11


def test_beside_an_upright_side_a_corner_is_square() -> None:
    """A slope of 10 mm beside one that stands upright: a corner point in both faces, as far out as either."""
    body = mound(slope(), slope(0.0), slope(), slope(0.0))
    foot = body.ring(0.0, outer=True)
    skin = 1.2 * math.hypot(10.0, 20.0) / 20.0

    for x, y in ((-0.5 - 1.2, -10.5 - skin), (41.7, -10.5 - skin), (41.7, 40.5 + skin), (-1.7, 40.5 + skin)):
        assert np.linalg.norm(foot[:, :2] - (x, y), axis=1).min() < 1e-9


def test_an_upright_skin_is_a_box() -> None:
    """1.2 mm round a room of 41 × 31 × 20, the edge of its top bevelled by 0.3 mm: by the prismatoid formula."""
    corners, faces = mound(*(slope(0.0),) * 4).faces()
    flat = [[face[0], *pair] for face in faces for pair in pairwise(face[1:])]
    foot, middle, top = ((43.4 - less) * (33.4 - less) for less in (0.0, 0.3, 0.6))

    expected = foot * 20.9 + 0.3 / 6 * (foot + 4 * middle + top) - 41.0 * 31.0 * 20.0
    assert trimesh.Trimesh(corners, flat).volume == pytest.approx(expected)
    assert (*corners.min(axis=0), *corners.max(axis=0)) == pytest.approx((-1.7, -1.7, 0.0, 41.7, 31.7, 21.2))


def test_a_slope_wavers_in_two_waves() -> None:
    """41 mm long along one diagonal of the plan, counted along both axes, 23 along the other: there it comes back to
    what it was, and nowhere before; all the way between its ends."""
    places = [(x, y) for x in np.arange(0.0, 60.0, 1.9) for y in np.arange(0.0, 60.0, 1.9)]
    waves = [_bank_mound._wave(x, y) for x, y in places]
    assert (min(waves), max(waves)) == pytest.approx((0.0, 1.0), abs=0.01)
    for long, way in ((41.0, 1), (23.0, -1)):
        once, half = (
            [_bank_mound._wave(x + share * long / 2, y + way * share * long / 2) for x, y in places]
            for share in (1.0, 0.5)
        )
        assert once == pytest.approx(waves)
        assert max(abs(a - b) for a, b in zip(half, waves, strict=True)) == pytest.approx(
            {41.0: 0.6, 23.0: 0.4}[long], abs=0.01
        )


def test_the_tops_edge_is_bevelled_on_the_bed() -> None:
    """0.3 mm high and wide."""
    body = mound()
    corners, _ = body.faces()
    top, shoulder = corners[corners[:, 2] > 21.2 - 1e-9], corners[np.abs(corners[:, 2] - 20.9) < 1e-9]

    assert len(top) == len(shoulder)
    assert shoulder[:, 0].max() - top[:, 0].max() == pytest.approx(0.3)
    assert top[:, 1].min() - shoulder[:, 1].min() == pytest.approx(0.3)


def test_points_along_a_side_are_a_grain_apart() -> None:
    """7 mm, as near as whole ones come: 40 mm are six, 30 are four."""
    foot = mound().ring(0.0, outer=False)
    on_front = foot[(np.abs(foot[:, 1] + 10.5) < 1e-9)]
    on_right = foot[(np.abs(foot[:, 0] - 50.5) < 1e-9)]

    assert sorted(on_front[:, 0]) == pytest.approx(np.arange(7) * 40 / 6)
    assert sorted(on_right[:, 1]) == pytest.approx(np.arange(5) * 30 / 4)
    assert len(foot) == 4 * 11 + 2 * 5 + 2 * 3


def test_print_poses_are_rotations(monkeypatch: pytest.MonkeyPatch) -> None:
    """As it stands, and turned over about x: no mirror image, nothing sheared; a part has them as its own."""
    light_kernel.install(monkeypatch)
    for pose, up in ((_shell.UPRIGHT, 1.0), (_shell.UPSIDE_DOWN, -1.0)):
        turn = np.array(pose, dtype=float)
        assert (turn @ turn.T).tolist() == np.eye(3).tolist()
        assert np.linalg.det(turn) == pytest.approx(1.0)
        assert (turn @ (0, 0, 1)).tolist() == [0.0, 0.0, up]
        assert (turn @ (1, 0, 0)).tolist() == [1.0, 0.0, 0.0]
        body: Any = light_kernel.Body(light_kernel.block((4, 14), (-3, 17), (1, 6)))
        part = _shell.finished("roof", body, SPEC, turn=pose, through_holes=0)
        assert np.array(part.print_to_mount)[:3, :3].tolist() == turn.T.tolist()


def test_at_a_corner_the_skin_stands_square_to_the_slope() -> None:
    """Of two slopes that run out 4 and 16 mm: on the ellipse between them (b·cos t, a·sin t) is the normal."""
    body = mound(slope(4.0), slope(8.0), slope(12.0), slope(16.0))
    inner, outer = body.ring(0.0, outer=False), body.ring(0.0, outer=True)
    corner = [n for n, at in enumerate(inner) if at[0] <= 1e-9 and at[1] <= 1e-9]

    assert len(corner) == 11
    a, b = 16.5, 4.5
    for n in corner:
        x, y = inner[n, :2]
        square = np.array([x / a**2, y / b**2])
        way = outer[n, :2] - inner[n, :2]
        assert way @ square == pytest.approx(np.linalg.norm(way) * np.linalg.norm(square))


def at_scale(ratio: float) -> Any:
    return SPEC.model_copy(update={"scale": SPEC.scale.model_copy(update={"ratio": ratio})})


@pytest.mark.parametrize(
    ("ratio", "load", "rows"),
    # sleepers of 2.5 × 0.25 m, crates of 0.8 × 0.8, on 42.8 × 26.8 mm: 2.6 and 3.2 sleepers long at 1:150 and 1:190
    [(150.0, "sleepers", (3, 16)), (190.0, "sleepers", (3, 20)), (45.0, "crates", (2, 2)), (87.0, "crates", (5, 3))],
)
def test_what_is_stacked_is_as_large_as_in_reality(ratio: float, load: Any, rows: tuple[int, int]) -> None:
    """As near as whole ones come; no narrower than two grooves of 0.6 mm. Sleepers are lower than crates."""
    walls = _shell.Walls((0.0, 40.4), (0.0, 24.4), (0.0, 42.8), (0.0, 26.8), 1.2)

    assert stack._rows(at_scale(ratio), walls, load) == rows


def test_ends_of_sleepers_that_are_too_fine_are_told() -> None:
    """0.26 m at 1:600, two and a half times as large; their length is drawn."""
    plan: Any = SimpleNamespace(**PLAN.__dict__, room_top_z=20.0)
    said = stack.left_out(at_scale(600.0), plan, stack.StackOptions(load="sleepers"))

    assert [text[:20] for text in said] == ["no courses of sleepe", "no ends of sleepers:"]
    assert "at 1:600 they are 0.43 mm" in said[1]


def test_a_hut_s_boards_are_as_wide_as_in_reality() -> None:
    """0.15 to 0.20 m, 3.9 mm at 1:45: eight on 30 mm."""
    assert hut._boards(at_scale(45.0), 30.0) == 8


def test_slates_that_are_too_fine_are_told_as_large_as_they_are() -> None:
    """0.35 m of each shows at most: 0.44 mm at 1:800."""
    plan: Any = SimpleNamespace(**PLAN.__dict__, room_top_z=20.0)
    said = hut.left_out(at_scale(800.0), plan, hut.HutOptions())

    assert "at 1:800 they are 0.44 mm" in next(text for text in said if text.startswith("no courses of slates"))
