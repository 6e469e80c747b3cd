"""A wire as a chain of stiff links with springs in its joints, for tests: large slopes, least energy by scipy."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from scipy.optimize import least_squares


class Bent(NamedTuple):
    """A wire at rest: its energy and its joints."""

    energy_nmm: float
    z_mm: np.ndarray
    y_mm: np.ndarray


def bent(
    theta: float,
    stop: float,
    *,
    r: float,
    d: float,
    h: float,
    stiffness: float,
    towards: bool = True,
    clamped: bool = False,
    links: int = 40,
) -> Bent:
    """Arm hole, pivot at the origin and pin at (stop, h): joints between slide sideways to where the energy is least.

    Nothing is linearised: a joint's spring has E·I over the mean length of its two links, and is turned by the
    angle between them. The wire slides along itself in the pivot and in the tie bar, as it does.
    """
    sense = 1.0 if towards else -1.0
    low = -(d + sense * r * (1.0 - math.cos(theta)))
    z = np.concatenate([np.linspace(low, 0.0, links + 1), np.linspace(0.0, h, links + 1)[1:]])
    y = np.interp(z, [low, 0.0, h], [-r * math.sin(theta), 0.0, stop])
    free = np.r_[1:links, links + 1 : 2 * links]

    def springs(moved: np.ndarray) -> np.ndarray:
        line = y.copy()
        line[free] = moved
        angle, length = np.arctan2(np.diff(line), np.diff(z)), np.hypot(np.diff(line), np.diff(z))
        turned = np.diff(angle) / np.sqrt((length[1:] + length[:-1]) / 2.0)
        if clamped:  # upright at mid swing, turned with the arm
            turned = np.append(turned, (angle[0] + sense * theta) / math.sqrt(length[0] / 2.0))
        return math.sqrt(stiffness) * turned

    found = least_squares(springs, y[free], xtol=1e-14, ftol=1e-14, gtol=1e-14)
    y[free] = found.x
    return Bent(float(found.cost), z, y)


def force_n(theta: float, stop: float, step: float = 1e-3, **wire) -> float:
    """What the pin presses with: the energy it gives up for a little more room."""
    more, less = (bent(theta, stop + side * step, **wire).energy_nmm for side in (1, -1))
    return (less - more) / (2 * step)


def torque_nmm(theta: float, stop: float, step: float = 1e-3, **wire) -> float:
    """What a further turn of the arm costs."""
    more, less = (bent(theta + side * step, stop, **wire).energy_nmm for side in (1, -1))
    return (more - less) / (2 * step)
