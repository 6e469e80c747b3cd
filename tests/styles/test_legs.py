"""Legs on which a servo lies across the track, of one section all along, by handbook formulas. No kernel."""

from __future__ import annotations

import pytest
from requests_for_drives import request

from mounts.styles import _mounting
from mounts.styles._bracket_legs import Legs, _slices, across_mpa_per_n, seat_n_per_mm, upright_mpa_per_n

E, G = 2000.0, 2000.0 / 2.72


def legs(**figures: object) -> Legs:
    told = {
        "posts_mm": (5.0, 6.0),
        "apart_mm": 20.0,
        "foot_mm": 26.0,
        "web_mm": 2.0,
        "rib_mm": 1.5,
        "deep_mm": (6.0, 6.0),
    }
    return Legs(**(told | figures))


def tee() -> tuple[float, float]:
    """A flange of 10 × 2 over a stem of 1.5 × 4: axis 1.692 from the flange's face, by areas; the second moment by
    Steiner's rule."""
    axis = (20.0 * 1.0 + 6.0 * 4.0) / 26.0
    second = 10 * 2**3 / 12 + 20 * (axis - 1.0) ** 2 + 1.5 * 4**3 / 12 + 6 * (4.0 - axis) ** 2
    return 6.0 - axis, second


Z = (-15.5, -45.5, -55.5)
"""Plate, notch and shaft: 40 mm of leg, 10 of them beside the notch."""


def both(depth: float = 6.0) -> float:
    """Second moment of a web of 2 × 26 and two ribs of 1.5, 10 mm from its middle."""
    return 2 * 26**3 / 12 + 2 * 1.5 * (depth - 2) * 10**2


def couple() -> tuple[float, float]:
    """Stiffness of legs and web that neither end turns: 12·E·I/L³ a leg, 10 mm from the middle, and G·b·t³/3/h."""
    _, second = tee()
    return 2 * 10.0**2 * 12 * E * second / 40.0**3, G * 26.0 * 2.0**3 / 3 / 30.0


def test_legs_give_way_sideways_and_turn_under_the_wire() -> None:
    """A cantilever of 40 mm that shears over 30, the posts' 10 mm with both ends upright, L³/12EI + 1.2·L/GA, and a²
    times the couple, one leg forth and one back."""
    spec = request()
    assert (spec.filament.modulus_mpa, _mounting.POISSON) == (2000.0, 0.36)
    posts = sum(1 / (10**3 / (12 * E * 2 * wide**3 / 12) + 1.2 * 10 / (G * 2 * wide)) for wide in (5.0, 6.0))
    plane = 40.0**3 / (3 * E * both()) + 1.2 * 30 / (G * 2 * 26) + 1 / posts
    expected = 1 / (plane + 15.0**2 / sum(couple()))

    assert seat_n_per_mm(spec, legs(), 15.0, Z) == pytest.approx(expected, rel=2e-3)


def test_the_largest_stress_is_where_the_lever_is_longest() -> None:
    """At the plate, the last of 24 slices: web and ribs bent in their plane, and a leg 19 mm from where it is not bent,
    by what the twisting web leaves of the couple."""
    far, second = tee()
    bent, twisted = couple()
    x = 40.0 * 23.5 / 24
    along = 15.0 / 20.0 * bent / (bent + twisted) * (x - 20.0) * far / second
    expected = along + x * 10.0 / both()

    assert across_mpa_per_n(request(), legs(), 15.0, Z) == pytest.approx(expected, rel=1e-3)


def test_in_narrow_posts_it_is_in_them() -> None:
    """Two of 2 mm, 20 long with both ends upright: 6·(L/2)·b/(t·Σb³)."""
    narrow = legs(posts_mm=(2.0, 2.0), deep_mm=(30.0, 30.0))

    assert across_mpa_per_n(request(), narrow, 15.0, (-15.5, -35.5, -55.5)) == pytest.approx(6 * 10 * 2 / (2.0 * 16))


def test_a_wire_right_at_the_seat_turns_nothing() -> None:
    """Web and ribs bent in their plane, at the plate."""
    expected = 40.0 * 23.5 / 24 * 10.0 / both()

    stout = legs(posts_mm=(20.0, 20.0))  # their own stress is less
    assert across_mpa_per_n(request(), stout, 0.0, Z) == pytest.approx(expected)


def test_a_pull_upright_bends_and_draws_both_legs_by_half_of_it() -> None:
    """Beside the notch, where a leg's T is no wider than the post: 5 × 2 over 1.5 × 4, the wire 15 mm before it."""
    axis = (10.0 * 1.0 + 6.0 * 4.0) / 16.0
    second = 5 * 2**3 / 12 + 10 * (axis - 1.0) ** 2 + 1.5 * 4**3 / 12 + 6 * (4.0 - axis) ** 2

    assert upright_mpa_per_n(legs(), 15.0) == pytest.approx(7.5 * (6.0 - axis) / second + 0.5 / 16.0)


def test_ribs_that_deepen_stiffen_legs_from_the_plug_on() -> None:
    """As deep as the wall to 7.5 mm from the shaft, then more, in proportion to the way to the plate."""
    found = _slices(legs(deep_mm=(6.0, 12.0)), 40.0)
    uniform = _slices(legs(), 40.0)

    for at, one in enumerate(found):
        x = 40.0 * (at + 0.5) / 24
        deep = 6.0 + 6.0 * max(0.0, x - 7.5) / 40.0
        area = 20.0 + 1.5 * (deep - 2)
        axis = (20.0 + 1.5 * (deep - 2) * (deep + 2) / 2) / area
        second = 10 * 8 / 12 + 20 * (axis - 1) ** 2 + 1.5 * (deep - 2) ** 3 / 12
        second += 1.5 * (deep - 2) * ((deep + 2) / 2 - axis) ** 2
        assert one == pytest.approx((x, max(axis, deep - axis), second, both(deep)))
    assert across_mpa_per_n(request(), legs(deep_mm=(6.0, 12.0)), 15.0, Z) < across_mpa_per_n(
        request(), legs(), 15.0, Z
    )
    assert found[3] == uniform[3]
    assert found[-1].tee_mm4 > 3 * uniform[-1].tee_mm4
