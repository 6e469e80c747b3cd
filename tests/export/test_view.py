"""The picture of a mount in its place shows what it should."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from made import kept

from mounts.export import view

pytestmark = pytest.mark.solid


def _shown(mount):
    """Corners (n, 3) of everything drawn, by colour."""
    found = {}
    pieces = [*view.pieces(mount.design, mount.meshes)]
    for body in view._in_place(mount.design, mount.meshes, pieces):
        found.setdefault(body.rgb, []).append(body.vertices)
    return {rgb: np.concatenate(points) for rgb, points in found.items()}


def test_a_bracket_is_shown_with_servo_arm_wire_and_board_but_no_track():
    """The board's top is drawn at z = 0 with its roadbed on it, the servo under it."""
    mount = kept()
    shown = _shown(mount)

    assert view._GAUGE not in shown
    assert {view._PARTS[0], view._ARM, view._STEEL} <= shown.keys()
    assert shown[view._SERVO][:, 2].max() < -mount.design.spec.board.thickness_mm
    assert shown[view._BOARD][:, 2].max() == pytest.approx(mount.design.spec.roadbed.thickness_mm)


def test_a_housing_is_shown_beside_rails_at_the_gauge_under_the_structure_gauge():
    """N: rails 9 mm apart (NEM 010), the structure gauge half of 27 mm to either side (NEM 102), lifted shell above."""
    mount = kept(style="hut", scale="N", board="12 mm")
    shown, spec, track_y = _shown(mount), mount.design.spec, mount.design.beside_track().track_y

    room = shown[view._GAUGE]
    assert (room[:, 1].min(), room[:, 1].max()) == pytest.approx((track_y - 13.5, track_y + 13.5))
    assert room[:, 2].min() == pytest.approx(spec.rail_top_z)
    rails = shown[view._STEEL]
    rails = rails[np.abs(rails[:, 2] - spec.rail_top_z) < 1e-6]
    assert np.abs(rails[:, 1] - track_y).min() == pytest.approx(4.5)
    assert shown[view._PARTS[1]][:, 2].max() > shown[view._SERVO][:, 2].max() + 20


@pytest.mark.parametrize(("curve", "sign"), [("inside", 1), ("outside", -1)])
def test_on_a_curve_the_gauge_bends_the_housings_way(curve, sign):
    """Widened by 4 mm on R 400 (NEM 103, N, group C), and bent towards the middle that lies on the housing's side."""
    mount = kept({"curve": curve}, style="hut", scale="N", board="12 mm", track_radius="400 mm")
    room, track_y = _shown(mount)[view._GAUGE], mount.design.beside_track().track_y

    middle = np.abs(room[:, 0]) < 3.0
    ends = np.abs(room[:, 0]) > np.abs(room[:, 0]).max() - 0.5
    out = np.hypot(room[:, 0], room[:, 1] - (track_y + sign * 400))
    assert (out.min(), out.max()) == pytest.approx((400 - 17.5, 400 + 17.5), abs=0.05)
    assert sign * (room[ends, 1].mean() - room[middle, 1].mean()) > 0


@pytest.mark.parametrize("style", ["under-bracket", "hut"])
def test_every_piece_taken_apart_clears_the_others_and_shows(style):
    """Parts, servo and arm have boxes apart from each other, and the numbers are those of the list of items."""
    mount = kept(style=style)
    pieces = [*view.pieces(mount.design, mount.meshes)]

    numbers = [piece.item.number for piece in pieces]
    assert numbers == list(range(1, len(pieces) + 1))
    assert tuple(piece.item for piece in pieces) == view.items(mount.design, mount.meshes)
    boxes = [
        (np.min(points, axis=0), np.max(points, axis=0))
        for piece in pieces
        for points in [np.vstack([body.vertices for body in piece.bodies]) + piece.moved]
    ]
    parts, servo, arm = boxes[: len(mount.meshes)], boxes[len(mount.meshes)], boxes[len(mount.meshes) + 1]
    for one, other in combinations([*parts, servo], 2):
        assert ((one[0] >= other[1]) | (other[0] >= one[1])).any()
    assert ((servo[0] >= arm[1] - 1e-6) | (arm[0] >= servo[1] - 1e-6)).any()


def test_the_best_side_shows_arm_and_wire():
    """More than a third of what could be seen of either shows in the picture of a bracket, mirrored or not."""
    for mirror in (False, True):
        mount = kept(mirror=mirror)
        pieces = [*view.pieces(mount.design, mount.meshes)]
        bodies = [body for piece in pieces for body in piece.bodies]
        towards = view._best_side(mount.design, pieces)

        shown = view.shown_px(bodies, towards)

        for at in (len(mount.meshes) + 1, len(mount.meshes) + 2):
            others_clear = [replace(body, opacity=float(at == which)) for which, body in enumerate(bodies)]
            assert shown[at] > view.shown_px(others_clear, towards)[at] / 3
