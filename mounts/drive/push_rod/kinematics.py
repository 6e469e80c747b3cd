"""Exact kinematics of the push rod: an offset slider-crank whose slide is the tie bar.

Arguments may be arrays that broadcast; results are float64 of their common shape.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def rod_pin_offset_mm(
    theta_rad: ArrayLike, *, horn_radius_mm: ArrayLike, rod_length_mm: ArrayLike, offset_mm: ArrayLike
) -> Array:
    r"""Way of the pin from where it is at mid swing, away from the shaft, loop unloaded.

        y(θ) = r·sin θ + sqrt(ℓ² − (r·cos θ − e)²) − sqrt(ℓ² − (r − e)²)

            hole ·———————————— ℓ ———————————— · pin  →  y     slide line
                 │ r                                     ┐
                 │                                       │ e = offset_mm
                 ⊙ shaft                                 ┘

    Args:
        theta_rad: rad, from where the arm stands square to the slide line; positive pushes the pin away.
        horn_radius_mm: r, mm, > 0. All arguments broadcast.
        rod_length_mm: ℓ, mm, > 0. Arm hole to pin.
        offset_mm: e, mm. Slide line from the shaft, towards the arm at θ = 0.

    Returns:
        Broadcast shape, float64, mm, along the slide line.

    Raises:
        ValueError: a length is not positive, or the rod does not reach the slide line at that angle.

    Source:
        brief.md, 3.2; tests/drive/test_push_rod.py cuts a circle with a line instead.

    >>> import math
    >>> float(np.round(rod_pin_offset_mm(math.radians(30), horn_radius_mm=8, rod_length_mm=40,
    ...     offset_mm=8), 3))
    3.986
    """
    r, rod = np.asarray(horn_radius_mm, dtype=np.float64), np.asarray(rod_length_mm, dtype=np.float64)
    if np.any(r <= 0) or np.any(rod <= 0):
        raise ValueError("horn_radius_mm and rod_length_mm must be positive")
    at_mid = slide_mm(0.0, horn_radius_mm=r, rod_length_mm=rod, offset_mm=offset_mm)
    return np.asarray(slide_mm(theta_rad, horn_radius_mm=r, rod_length_mm=rod, offset_mm=offset_mm) - at_mid)


def slide_mm(
    theta_rad: ArrayLike, *, horn_radius_mm: ArrayLike, rod_length_mm: ArrayLike, offset_mm: ArrayLike
) -> Array:
    """Shaft to pin along the slide line, mm.

    Args:
        theta_rad: θ, rad, from where the arm stands square to the slide line; positive pushes the pin away.
        horn_radius_mm: r, mm.
        rod_length_mm: ℓ, mm, arm hole to pin.
        offset_mm: e, mm, slide line from the shaft, towards the arm at θ = 0.

    Raises:
        ValueError: the rod does not reach the slide line at that angle.
    """
    r = np.asarray(horn_radius_mm, dtype=np.float64)
    square = np.asarray(rod_length_mm) ** 2 - (r * np.cos(theta_rad) - np.asarray(offset_mm)) ** 2
    if np.any(square <= 0):
        raise ValueError("the rod does not reach the slide line at that arm angle")
    return np.asarray(r * np.sin(theta_rad) + np.sqrt(square))


def rod_rate_mm_per_rad(
    theta_rad: ArrayLike, *, horn_radius_mm: ArrayLike, rod_length_mm: ArrayLike, offset_mm: ArrayLike
) -> Array:
    """Slope dy/dθ = r·cos θ + tan(lean)·r·sin θ, mm per rad.

    Args:
        theta_rad: θ, rad, from where the arm stands square to the slide line; positive pushes the pin away.
        horn_radius_mm: r, mm.
        rod_length_mm: ℓ, mm, arm hole to pin.
        offset_mm: e, mm, slide line from the shaft, towards the arm at θ = 0.

    Source:
        Derivative of the formula of ``rod_pin_offset_mm``; a published slider-crank worksheet gives its value
        (tests/outside/test_standards_linkages.py).
    """
    lean = rod_lean_rad(theta_rad, horn_radius_mm=horn_radius_mm, rod_length_mm=rod_length_mm, offset_mm=offset_mm)
    return np.asarray(np.asarray(horn_radius_mm) * (np.cos(theta_rad) + np.tan(lean) * np.sin(theta_rad)))


def rod_lean_rad(
    theta_rad: ArrayLike, *, horn_radius_mm: ArrayLike, rod_length_mm: ArrayLike, offset_mm: ArrayLike
) -> Array:
    """Lean of the rod against the slide line, rad, positive with the arm hole beyond it: asin((r·cos θ − e)/ℓ).

    Args:
        theta_rad: θ, rad, from where the arm stands square to the slide line; positive pushes the pin away.
        horn_radius_mm: r, mm.
        rod_length_mm: ℓ, mm, arm hole to pin.
        offset_mm: e, mm, slide line from the shaft, towards the arm at θ = 0.
    """
    beyond = np.asarray(horn_radius_mm, dtype=np.float64) * np.cos(theta_rad) - np.asarray(offset_mm)
    return np.asarray(np.arcsin(beyond / np.asarray(rod_length_mm)))


def dead_points_rad(
    *, horn_radius_mm: ArrayLike, rod_length_mm: ArrayLike, offset_mm: ArrayLike
) -> tuple[Array, Array]:
    """Arm angles, inner and outer, at which arm and rod lie in one line and the pin turns back, rad.

    Inner: −acos(−e/(ℓ − r)), the rod folded over the arm; outer: acos(e/(ℓ + r)), stretched.

    Raises:
        ValueError: the rod is too short for the arm to go round: ℓ − r < |e|.
    """
    r, rod = np.asarray(horn_radius_mm, dtype=np.float64), np.asarray(rod_length_mm, dtype=np.float64)
    e = np.asarray(offset_mm, dtype=np.float64)
    if np.any(rod - r < np.abs(e)):
        raise ValueError("rod_length_mm must be at least horn_radius_mm and offset_mm together")
    return np.asarray(-np.arccos(-e / (rod - r))), np.asarray(np.arccos(e / (rod + r)))
