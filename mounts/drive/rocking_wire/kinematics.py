"""Exact kinematics of the rocking wire: arm hole, pivot and tie-bar pin on one sliding straight wire.

Arguments may be arrays that broadcast; results are float64 of their common shape.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def pin_offset_mm(
    theta_rad: ArrayLike,
    *,
    horn_radius_mm: ArrayLike,
    pivot_to_horn_mm: ArrayLike,
    pivot_to_pin_mm: ArrayLike,
    horn_towards_pivot: ArrayLike = True,
) -> Array:
    r"""Sideways position of the tie-bar pin for an arm angle, wire unbent.

    Arm hole, pivot and pin lie on one straight wire that slides freely through
    the pivot; two similar triangles give

        y = h · r·sin θ / (d + s·r·(1 − cos θ))        s = +1 towards, −1 away

                · pin      ┐
               /           │ h = pivot_to_pin_mm
        ——————● pivot      ┤                              y →
             /             │ d = pivot_to_horn_mm, at mid swing
       hole ·              ┘
             \  r = horn_radius_mm
              ⊙ shaft

    Args:
        theta_rad: scalar or array, rad. Arm angle from mid swing; positive
            moves the pin towards +y, the 'reverse' position.
        horn_radius_mm: mm, > 0. Shaft axis to the arm hole in use. All arguments broadcast.
        pivot_to_horn_mm: mm, > 0. Pivot to arm hole at mid swing.
        pivot_to_pin_mm: mm, > 0. Pivot to where the wire meets the tie bar.
        horn_towards_pivot: the arm points from the shaft to the pivot at mid swing.

    Returns:
        Broadcast shape, float64, mm, mount frame (+y across the track).

    Raises:
        ValueError: a length is not positive, or |θ| reaches ``turning_back_rad``.

    Source:
        Own derivation; tests/drive/test_rocking_wire.py checks it against the
        intersection of two lines (shapely) to 1e-9 mm.

    >>> import math
    >>> float(np.round(pin_offset_mm(math.radians(30), horn_radius_mm=8,
    ...     pivot_to_horn_mm=20, pivot_to_pin_mm=40), 3))
    7.593
    """
    theta, r, d, h = (
        np.asarray(value, dtype=np.float64) for value in (theta_rad, horn_radius_mm, pivot_to_horn_mm, pivot_to_pin_mm)
    )
    if np.any(h <= 0):
        raise ValueError("pivot_to_pin_mm must be positive")
    if np.any(np.abs(theta) >= turning_back_rad(r, d, horn_towards_pivot)):
        raise ValueError("arm angle at or beyond the angle where the travel turns back")
    return np.asarray(h * np.tan(lean_rad(theta, r, d, horn_towards_pivot)), dtype=np.float64)


def lean_rad(
    theta_rad: ArrayLike,
    horn_radius_mm: ArrayLike,
    pivot_to_horn_mm: ArrayLike,
    horn_towards_pivot: ArrayLike,
) -> Array:
    """Lean of the straight wire at the pivot from upright, rad, positive with the pin towards +y.

    tan(lean) = r·sin θ / (d + s·r·(1 − cos θ)); arguments are not checked here.

    Args:
        theta_rad: θ, rad, arm angle from mid swing; positive moves the pin towards +y.
        horn_radius_mm: r, mm, shaft axis to the arm hole in use.
        pivot_to_horn_mm: d, mm, pivot to arm hole at mid swing.
        horn_towards_pivot: s = +1, the arm points from the shaft to the pivot at mid swing; else −1.
    """
    r, s = np.asarray(horn_radius_mm, dtype=np.float64), np.where(horn_towards_pivot, 1.0, -1.0)
    along = np.asarray(pivot_to_horn_mm) + s * r * (1.0 - np.cos(theta_rad))
    return np.asarray(np.arctan2(r * np.sin(theta_rad), along), dtype=np.float64)


def pin_rate_mm_per_rad(
    theta_rad: ArrayLike,
    *,
    horn_radius_mm: ArrayLike,
    pivot_to_horn_mm: ArrayLike,
    pivot_to_pin_mm: ArrayLike,
    horn_towards_pivot: ArrayLike,
) -> Array:
    """Slope dy/dθ of ``pin_offset_mm``, mm per rad; h·r/d at mid swing.

        dy/dθ = h·r·(d·cos θ − s·r·(1 − cos θ)) / (d + s·r·(1 − cos θ))²

    Args:
        theta_rad: θ, rad, arm angle from mid swing; positive moves the pin towards +y.
        horn_radius_mm: r, mm, shaft axis to the arm hole in use.
        pivot_to_horn_mm: d, mm, pivot to arm hole at mid swing.
        pivot_to_pin_mm: h, mm, pivot to where the wire meets the tie bar.
        horn_towards_pivot: s = +1, the arm points from the shaft to the pivot at mid swing; else −1.

    Source:
        Derivative of the formula there; tested against finite differences.
    """
    r, d = np.asarray(horn_radius_mm, dtype=np.float64), np.asarray(pivot_to_horn_mm, dtype=np.float64)
    rise = np.where(horn_towards_pivot, 1.0, -1.0) * r * (1.0 - np.cos(theta_rad))
    return np.asarray(np.asarray(pivot_to_pin_mm) * r * (d * np.cos(theta_rad) - rise) / (d + rise) ** 2)


def turning_back_rad(
    horn_radius_mm: ArrayLike, pivot_to_horn_mm: ArrayLike, horn_towards_pivot: ArrayLike = True
) -> Array:
    """The arm angle at which the pin's travel turns back, rad: cos θ = s·r / (d + s·r).

    An arm that points away (s = −1) with d < 2r has no such angle; there it is the angle at which the
    arm hole draws level with the pivot, cos θ = 1 − d/r. An arm that points away needs d > r, else the
    shaft lies above the pivot.

    Raises:
        ValueError: a length is not positive, or an arm that points away has d ≤ r.

    Source:
        Zero of the slope in ``pin_rate_mm_per_rad``.
    """
    r, d = np.asarray(horn_radius_mm, dtype=np.float64), np.asarray(pivot_to_horn_mm, dtype=np.float64)
    if np.any(r <= 0) or np.any(d <= 0):
        raise ValueError("horn_radius_mm and pivot_to_horn_mm must be positive")
    towards = np.asarray(horn_towards_pivot, dtype=bool)
    if np.any(~towards & (d <= r)):
        raise ValueError("an arm that points away from the pivot needs pivot_to_horn_mm > horn_radius_mm")
    away_span = np.where(towards, 2.0 * r, d - r)
    away_cosine = np.maximum(-r / away_span, 1.0 - d / r)
    return np.asarray(np.arccos(np.clip(np.where(towards, r / (d + r), away_cosine), -1.0, 1.0)))
