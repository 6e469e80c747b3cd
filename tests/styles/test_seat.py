"""Stiffness of the posts that carry a servo, against plane-stress finite elements that know nothing of beams."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from requests_for_drives import request
from scipy.integrate import quad
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve

from mounts.styles._bracket_legs import Legs, seat_n_per_mm
from mounts.styles._mounting import posts_mpa_per_n, posts_n_per_mm

POISSON = 0.35  # plastics; from memory


def _plane_stress_n_per_mm(modulus: float, thick: float, wide: float, long: float, per_side: int = 24) -> float:
    """A clamped rectangle of four-node elements with a force spread over its free end: force over mean displacement."""
    nx, ny = per_side, per_side
    dx, dy = wide / nx, long / ny
    d = modulus / (1 - POISSON**2) * np.array([[1, POISSON, 0], [POISSON, 1, 0], [0, 0, (1 - POISSON) / 2]])
    element = np.zeros((8, 8))
    for s in (-1, 1):
        for t in (-1, 1):
            x, y = s / np.sqrt(3), t / np.sqrt(3)
            by_x = np.array([-(1 - y), 1 - y, 1 + y, -(1 + y)]) / (2 * dx)
            by_y = np.array([-(1 - x), -(1 + x), 1 + x, 1 - x]) / (2 * dy)
            b = np.zeros((3, 8))
            b[0, 0::2], b[1, 1::2], b[2, 0::2], b[2, 1::2] = by_x, by_y, by_y, by_x
            element += b.T @ d @ b * thick * dx * dy / 4
    node = np.arange((nx + 1) * (ny + 1)).reshape(ny + 1, nx + 1)
    corners = np.stack([node[:-1, :-1], node[:-1, 1:], node[1:, 1:], node[1:, :-1]], axis=-1).reshape(-1, 4)
    dofs = np.stack([2 * corners, 2 * corners + 1], axis=-1).reshape(-1, 8)
    rows, columns = np.repeat(dofs, 8, axis=1).ravel(), np.tile(dofs, (1, 8)).ravel()
    stiffness = coo_matrix((np.tile(element.ravel(), len(dofs)), (rows, columns))).tocsc()
    force = np.zeros(2 * node.size)
    share = np.full(nx + 1, 1.0 / nx)
    share[[0, -1]] /= 2
    force[2 * node[-1]] = share
    free = np.setdiff1d(np.arange(2 * node.size), [2 * node[0], 2 * node[0] + 1])
    moved = np.zeros(2 * node.size)
    moved[free] = spsolve(stiffness[free][:, free], force[free])
    return float(1.0 / (share @ moved[2 * node[-1]]))


@pytest.mark.parametrize(("wide_mm", "long_mm"), [(12.0, 12.0), (12.0, 18.0), (6.0, 20.0)])
def test_stubby_and_slender_posts_are_as_stiff_as_finite_elements_say(wide_mm, long_mm):
    """Within 6 %, as wide as long as well as slender; bending alone flatters the stubby one nearly twofold."""
    spec = request()

    found = posts_n_per_mm(spec, 5.0, (wide_mm,), long_mm)
    expected = _plane_stress_n_per_mm(spec.filament.modulus_mpa, 5.0, wide_mm, long_mm)
    assert found == pytest.approx(expected, rel=0.06)
    assert posts_n_per_mm(spec, 5.0, (wide_mm, wide_mm), long_mm) == pytest.approx(2 * found)


def test_stress_in_posts_is_a_cantilevers():
    """By hand, M·c/I: 5 × 6 mm pulled 20 mm away, 20·3/(5·6³/12) = 2/3 MPa/N; two share; one twice as wide takes
    eight of nine parts, 20·8/9·6/(5·12²/12); a couple of 10/25 N on two bends them over their thickness,
    20·0.4·2.5/(6·5³/12) more."""
    assert posts_mpa_per_n(5.0, (6.0,), 20.0) == pytest.approx(2 / 3)
    assert posts_mpa_per_n(5.0, (6.0, 6.0), 20.0) == pytest.approx(1 / 3)
    assert posts_mpa_per_n(5.0, (6.0, 12.0), 20.0) == pytest.approx(20 * 8 / 9 * 6 / 720)
    assert posts_mpa_per_n(5.0, (6.0, 6.0), 20.0, (10.0, 25.0)) == pytest.approx(1 / 3 + 20 * 0.4 * 2.5 / 62.5)


def _second_moment(corners: list[tuple[float, float]]) -> float:
    """Of a polygon about its own level middle, by the sums over its edges (any handbook of sections)."""
    area = first = second = 0.0
    for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1], strict=True):
        cross = x0 * y1 - x1 * y0
        area += cross / 2
        first += cross * (y0 + y1) / 6
        second += cross * (y0**2 + y0 * y1 + y1**2) / 12
    return second - first**2 / area


def _give(wide: float, thick: float, start: float, end: float, modulus: float) -> float:
    """mm/N by unit load: the moment is the distance from the load, the shear 1, of which 6/5 counts."""
    shear = modulus / (2 * 1.36)
    bent, _ = quad(lambda x: x**2 / (modulus * thick * wide**3 / 12), start, end)
    return bent + 1.2 * (end - start) / (shear * thick * wide)


@pytest.mark.parametrize(
    ("posts", "apart", "foot", "web", "rib", "deep", "before", "z"),
    [
        ((6.0, 7.5), 30.0, 41.0, 2.4, 3.2, (5.0, 14.0), 9.0, (-12.0, -20.0, -45.0)),
        ((6.0, 7.5), 30.0, 30.0, 2.0, 3.2, (5.0, 14.0), 90.0, (-12.0, -14.0, -45.0)),
        ((9.0, 5.0), 44.0, 60.0, 4.0, 2.0, (4.5, 25.0), 16.0, (0.0, -13.0, -28.0)),
        ((4.0, 4.0), 22.0, 28.0, 1.8, 1.6, (8.0, 8.0), 0.0, (-6.0, -11.0, -61.0)),
    ],
)
def test_a_seat_on_legs_is_its_springs_in_series(posts, apart, foot, web, rib, deep, before, z):
    """Web and ribs in their plane, the posts with both ends upright; and before them the couple that bends one leg
    forth and one back, their ends kept from turning, against the web's twist: 0.5 % of the integrals."""
    spec = request()
    modulus, (plate_z, notch_z, shaft_z) = spec.filament.modulus_mpa, z
    high, long, clear = plate_z - notch_z, plate_z - shaft_z, notch_z - shaft_z
    shear = modulus / (2 * 1.36)
    flange = min(posts) + apart / 4

    def depth(x: float) -> float:
        return deep[0] + (deep[1] - deep[0]) * max(0.0, x - 7.5) / long

    def limp(x: float) -> float:
        tee = [(-flange / 2, 0.0), (flange / 2, 0.0), (flange / 2, web), (rib / 2, web), (rib / 2, depth(x)),
               (-rib / 2, depth(x)), (-rib / 2, web), (-flange / 2, web)]  # fmt: skip
        return 1 / (modulus * _second_moment(tee))

    def over(function: Callable[[float], float]) -> float:
        return quad(function, 0.0, long, points=[7.5])[0]

    upright = sum(1 / (2 * _give(wide, web, 0.0, clear / 2, modulus)) for wide in posts)
    bent = over(lambda x: x**2 / modulus / (web * foot**3 / 12 + 2 * rib * (depth(x) - web) * (apart / 2) ** 2))
    plane = bent + 1.2 * high / (shear * web * foot) + 1 / upright
    level = over(lambda x: x * limp(x)) / over(limp)
    couple = apart**2 / 2 / over(lambda x: (x - level) ** 2 * limp(x)) + shear * foot * web**3 / 3 / high

    found = seat_n_per_mm(spec, Legs(posts, apart, foot, web, rib, deep), before, z)
    assert found == pytest.approx(1 / (plane + before**2 / couple), rel=0.005)
