"""The rod as it is bent: the exact planar line of an elastic wire with a hinge at either end."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from mounts.errors import NoDesign

Array = NDArray[np.float64]

_LOAD_STEPS = 4  # each starts from where the last one ended, so that the root stays the one the rod comes to


@dataclass(frozen=True)
class RodShape:
    """A rod held at a length.

    Attributes:
        force_n: load along the line between its ends, N, positive where it is pressed.
        line: (n, 2) mm, its first point at (0, 0), its last on y = 0.
        moment_nmm: (n,) at its points; positive closes a loop that stands towards +y.
    """

    force_n: float
    line: Array
    moment_nmm: Array


def bent_rod(path: Array, stiffness_nmm2: float, shortening_mm: float) -> RodShape:
    """The rod whose ends are hinges and are brought together, or drawn apart, by so much.

    Between hinges the moment is the load times the distance from the line of the ends. The wire is a chain of links
    of its own lengths, which turn against each other by that moment over E·I; turn of the first and load are found
    so that the last ends where it must. Any slope and any size of bend; inextensible, the wire's legs free to cross.

    Args:
        path: (n, 2) centre line at rest, from (0, 0) to a point on y = 0.
        stiffness_nmm2: E·I.
        shortening_mm: of the distance of the ends; negative draws them apart.

    Raises:
        NoDesign: there is no such line: rod and loop fold up before.

    Source:
        Euler's elastica, as a chain; tests/drive/test_rod_shape.py compares a corotational frame.
    """
    return _bent(path.tobytes(), stiffness_nmm2, shortening_mm)


@lru_cache(maxsize=64)  # solver, checks and pictures ask for the same few
def _bent(points: bytes, stiffness_nmm2: float, shortening_mm: float) -> RodShape:
    """``bent_rod`` of a path as bytes; its arrays can't be written to."""
    from scipy.optimize import root

    path = np.frombuffer(points).reshape(-1, 2)
    steps = np.diff(path, axis=0)
    lengths = np.hypot(*steps.T)
    headings = np.arctan2(steps[:, 1], steps[:, 0])
    turns = (np.diff(headings) + np.pi) % (2.0 * np.pi) - np.pi
    weights = (lengths[1:] + lengths[:-1]) / 2.0 / stiffness_nmm2
    links = list(zip(lengths.tolist(), [*turns.tolist(), 0.0], [*weights.tolist(), 0.0], strict=True))
    first, apart = float(headings[0]), float(path[-1, 0])
    softness = float((weights * path[1:-1, 1] ** 2).sum())
    scale_n = max(abs(shortening_mm), 1e-6) / softness

    def ends(unknown: Array) -> Array:
        x, y = _walked(links, first + unknown[0], unknown[1] * scale_n)[-1]
        return np.array([x, y])

    found = np.zeros(2)
    for share in np.linspace(0.0, 1.0, _LOAD_STEPS + 1)[1:]:
        target = np.array([apart - shortening_mm * share, 0.0])
        result = root(lambda unknown, to=target: ends(unknown) - to, found, tol=1e-10)
        if not result.success and float(np.abs(ends(result.x) - target).max()) > 1e-6:
            raise NoDesign("rod and loop fold up before the points are closed")
        found = result.x
    force = float(found[1]) * scale_n
    line = np.array([(0.0, 0.0), *_walked(links, first + float(found[0]), force)])
    moment = force * line[:, 1]
    line.flags.writeable = moment.flags.writeable = False
    return RodShape(force, line, moment)


def _walked(links: list[tuple[float, float, float]], heading: float, force_n: float) -> list[tuple[float, float]]:
    """Ends of the links, one after the other."""
    from math import cos, sin

    x, y, points = 0.0, 0.0, []
    for length, turn, weight in links:
        x += length * cos(heading)
        y += length * sin(heading)
        points.append((x, y))
        heading += turn - force_n * y * weight
    return points
