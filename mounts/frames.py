"""Frames as 4×4 matrices: mount, servo and print. A matrix ``a_to_b`` multiplies column vectors of a.

Mount frame: origin on the top face of the baseboard under the tie-bar pin at mid throw; +x along the
track, +y across it towards the 'reverse' position, +z up. Servo frame: origin where the shaft axis
crosses the underside of the flange; +z along the shaft out of the servo, +x along the case from the
shaft to the far end. Print frame: the pose of the STL, lowest face on z = 0.
"""

from __future__ import annotations

from typing import Annotated

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

Vector = tuple[float, float, float]
Row = Annotated[tuple[float, float, float, float], Field()]
Matrix = tuple[Row, Row, Row, Row]  # row-major
Array = NDArray[np.float64]


def matrix(rotation: Array, origin: Array) -> Matrix:
    """The 4×4 of a rotation (3, 3) followed by a shift (3,) in mm; −0.0 becomes 0.0."""
    full = np.eye(4)
    full[:3, :3] = rotation
    full[:3, 3] = origin
    rows = [tuple(float(v) for v in row) for row in np.round(full, 9) + 0.0]
    return (rows[0], rows[1], rows[2], rows[3])  # type: ignore[return-value]


def inverse(a_to_b: Matrix) -> Matrix:
    """``b_to_a``, 4×4, of a rigid ``a_to_b`` (rotation or mirror plus shift)."""
    full = np.array(a_to_b)
    rotation = full[:3, :3].T
    return matrix(rotation, -rotation @ full[:3, 3])


def crossed(a: Array, b: Array) -> Array:
    """Vector product of two vectors (3,): numpy's own takes ten times as long for one pair."""
    (ax, ay, az), (bx, by, bz) = a.tolist(), b.tolist()
    return np.array([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx])


def apply(a_to_b: Matrix, points_a: Array) -> Array:
    """Points (n, 3) or (3,) of frame a, in frame b, mm."""
    full = np.array(a_to_b)
    return np.asarray(points_a @ full[:3, :3].T + full[:3, 3], dtype=np.float64)
