"""Which stretches of a wire come near something: boxes round all its lines are asked first, then their halves."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from heapq import heappop, heappush
from itertools import count, groupby
from typing import TYPE_CHECKING

import numpy as np

from mounts import scene
from mounts.frames import Array

if TYPE_CHECKING:
    from manifold3d import Manifold


def near_pieces(paths: Sequence[Array], diameter_mm: float, reached: Callable[[Manifold], bool]) -> Iterator[Manifold]:
    """Those of ``scene.wire_pieces`` of some wires, or of one at some angles, in stretches that something may reach.

    Args:
        paths: polylines (n, 3) each, mm; those of neighbouring angles next to each other.
        diameter_mm: of the wires.
        reached: whether a box that holds a stretch is reached; asked of all together, then of halves.
    """
    for _, alike in groupby(paths, key=len):
        yield from _near(np.stack(list(alike)), diameter_mm, reached)


def least_gap_mm(
    paths: Sequence[Array], diameter_mm: float, gap_mm: Callable[[Manifold, float], float], most_mm: float
) -> float:
    """Least distance of wires to something, mm, no more than ``most_mm``; the nearest stretches are asked first.

    Args:
        paths: polylines (n, 3) as of ``near_pieces``.
        diameter_mm: of the wires.
        gap_mm: distance of a body, no more than a second figure.
        most_mm: as far as is looked.
    """
    least, heap = most_mm, [(0.0, n, np.stack(list(alike))) for n, (_, alike) in enumerate(groupby(paths, key=len))]
    asked = count(len(heap))
    while heap and heap[0][0] < least:
        _, _, bundle = heappop(heap)
        if bundle.shape[:2] == (1, 2):
            (piece,) = scene.wire_pieces(bundle[0], diameter_mm)
            least = min(least, gap_mm(piece, least))
            continue
        for half in _halves(bundle):
            gap = gap_mm(_box_round(half, diameter_mm), least)
            if gap < least:
                heappush(heap, (gap, next(asked), half))
    return least


def _near(bundle: Array, diameter_mm: float, reached: Callable[[Manifold], bool]) -> Iterator[Manifold]:
    """Of lines of as many points each, (m, n, 3)."""
    if not reached(_box_round(bundle, diameter_mm)):
        return
    if bundle.shape[:2] == (1, 2):
        yield from scene.wire_pieces(bundle[0], diameter_mm)
        return
    for half in _halves(bundle):
        yield from _near(half, diameter_mm, reached)


def _box_round(bundle: Array, diameter_mm: float) -> Manifold:
    """Round wires along lines (m, n, 3)."""
    corners = bundle.reshape(-1, 3)
    return scene.box(corners.min(axis=0) - diameter_mm / 2, corners.max(axis=0) + diameter_mm / 2)


def _halves(bundle: Array) -> tuple[Array, Array]:
    """Of lines (m, n, 3): half of them, or half of their stretch, whichever is spread the wider."""
    lines, points, _ = bundle.shape
    apart, along = np.ptp(bundle, axis=0).max(), np.ptp(bundle, axis=1).max()
    if lines > 1 and (points == 2 or apart > along):
        return bundle[: lines // 2], bundle[lines // 2 :]
    return bundle[:, : points // 2 + 1], bundle[:, points // 2 :]
