"""Stretches of wires that come near something, against every piece of them asked one by one."""

from __future__ import annotations

import math

import manifold3d as m3
import numpy as np
import pytest

from mounts import scene
from mounts.frames import Array
from mounts.scene_near import least_gap_mm, near_pieces

WIRE_MM = 0.8
SWING = [
    np.column_stack(
        [np.linspace(0.0, 30.0 * math.cos(turn), 9), np.linspace(0.0, 30.0 * math.sin(turn), 9), np.zeros(9)]
    )
    for turn in np.radians(np.linspace(-40, 40, 13))
]
SHORT = [np.array([(0.0, 0.0, 5.0), (0.0, -20.0, 5.0)])]


def gap(body: m3.Manifold) -> object:
    return lambda piece, most: float(body.min_gap(piece, most))


def one_by_one(paths: list[Array], body: m3.Manifold) -> float:
    return min(float(body.min_gap(piece, 50.0)) for path in paths for piece in scene.wire_pieces(path, WIRE_MM))


@pytest.mark.parametrize(
    "at", [(31.0, 0.0, 0.0), (15.0, 14.0, 0.3), (25.0, -24.0, -2.0), (0.0, -22.0, 5.5), (8.0, 0.0, 1.0)]
)
def test_the_least_gap_is_that_of_the_nearest_piece(at: tuple[float, float, float]) -> None:
    """Of a fan of wires and a short one beside it, to a cube of 1 mm before, between and beside them."""
    cube = m3.Manifold.cube((1.0, 1.0, 1.0)).translate(at)
    expected = one_by_one([*SWING, *SHORT], cube)

    assert least_gap_mm([*SWING, *SHORT], WIRE_MM, gap(cube), 50.0) == pytest.approx(expected, abs=1e-6)


def test_no_more_is_told_than_is_looked_for() -> None:
    """A cube 5 mm from the nearest end is 3 mm away or more; one that a wire goes through is not away at all."""
    end = 30.0 + WIRE_MM / 2
    cube = m3.Manifold.cube((1.0, 1.0, 1.0)).translate((end + 5.0, -0.5, -0.5))

    assert least_gap_mm(SWING, WIRE_MM, gap(cube), 3.0) == 3.0
    assert least_gap_mm(SWING, WIRE_MM, gap(cube), 9.0) == pytest.approx(5.0, abs=1e-3)
    assert least_gap_mm(SWING, WIRE_MM, gap(cube.translate((-10.0, 0.0, 0.0))), 3.0) == 0.0


def test_pieces_that_are_reached_are_given_and_few_besides() -> None:
    """Every piece that meets a post, each once, and fewer than a tenth of all that do not."""
    post = m3.Manifold.cube((2.0, 2.0, 4.0)).translate((20.0, 4.0, -2.0))
    every = [piece for path in SWING for piece in scene.wire_pieces(path, WIRE_MM)]
    meet = sum(not (post ^ piece).is_empty() for piece in every)

    near = list(near_pieces(SWING, WIRE_MM, lambda stretch: not (post ^ stretch).is_empty()))
    assert meet >= 2
    assert sum(not (post ^ piece).is_empty() for piece in near) == meet
    assert len(near) - meet < len(every) / 10
