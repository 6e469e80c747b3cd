"""Legs on which a servo lies across the track, of one section all along, by handbook formulas. No kernel."""

from __future__ import annotations

import pytest
from requests_for_drives import request

from mounts.styles import _mounting
from mounts.styles._bracket_legs import Legs, _section, seat_mpa_per_n, seat_n_per_mm

E, G = 2000.0, 2000.0 / 2.72
WIDE = 5.0 + 20.0 / 4  # a post, and half of the way to the other leg


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


def test_legs_give_way_sideways_and_turn_under_the_wire() -> None:
    """Two cantilevers of 40 mm, L³/3EI, one forth, one back; the web of 30 twists, G·b·t³/3; either by a²."""
    spec = request()
    assert (spec.filament.modulus_mpa, _mounting.POISSON) == (2000.0, 0.36)
    _, second = tee()
    across = _mounting.posts_n_per_mm(spec, 2.0, (5.0, 6.0), 10.0, web=(26.0, 30.0))
    bent = 20.0**2 / 2 * 3 * E * second / 40.0**3
    twisted = G * 26.0 * 2.0**3 / 3 / 30.0
    expected = 1 / (1 / across + 15.0**2 / (bent + twisted))

    assert seat_n_per_mm(spec, legs(), 15.0, (-15.5, -45.5, -55.5)) == pytest.approx(expected, rel=1e-3)


def test_the_largest_stress_is_where_the_lever_is_longest() -> None:
    """At the plate, 40 mm from the shaft: the web bent in its plane, 6·L/(t·b²), and a leg by 0.7 of the couple."""
    far, second = tee()
    expected = 6 * 40.0 / (2.0 * 26.0**2) + 0.7 * 15.0 / 20.0 * 40.0 * far / second

    assert seat_mpa_per_n(legs(), 15.0, (-15.5, -45.5, -55.5)) == pytest.approx(expected)


def test_in_narrow_posts_it_is_at_the_notch() -> None:
    """20 mm from the shaft, two of 2 mm: a post's own 6·L·b/(t·Σb³) over the web's at the plate."""
    narrow = legs(posts_mm=(2.0, 2.0), deep_mm=(30.0, 30.0))
    axis = (7 * 2 * 1.0 + 1.5 * 28 * 16.0) / (14 + 42.0)
    second = 7 * 2**3 / 12 + 14 * (axis - 1) ** 2 + 1.5 * 28**3 / 12 + 42 * (16 - axis) ** 2
    far = max(axis, 30 - axis)
    expected = 6 * 20 * 2 / (2.0 * 16) + 0.7 * 15.0 / 20 * 20 * far / second

    assert seat_mpa_per_n(narrow, 15.0, (-15.5, -35.5, -55.5)) == pytest.approx(expected)


def test_a_pull_upright_bends_both_legs_by_half_of_it() -> None:
    """More than the pull across where they are short: 6 mm, with the wire 15 before them."""
    far, second = tee()

    assert seat_mpa_per_n(legs(), 15.0, (-15.5, -15.6, -21.5)) == pytest.approx(7.5 * far / second)


def test_ribs_that_deepen_stiffen_legs_from_the_plug_on() -> None:
    """As deep as the wall to 7.5 mm from the shaft, then more, in proportion to the way to the plate: at 40 mm of 40
    it is 6 + 6·32.5/40."""
    deep = 6.0 + 6.0 * 32.5 / 40.0
    deepens = legs(deep_mm=(6.0, 12.0))
    assert [_section(deepens, x, 40.0) for x in (5.0, 7.5, 27.5, 40.0)] == [
        pytest.approx((WIDE, one)) for one in (6.0, 6.0, 9.0, deep)
    ]
    area = 20.0 + 1.5 * (deep - 2)
    axis = (20.0 + 1.5 * (deep - 2) * (deep + 2) / 2) / area
    second = 10 * 8 / 12 + 20 * (axis - 1) ** 2 + 1.5 * (deep - 2) ** 3 / 12
    second += 1.5 * (deep - 2) * ((deep + 2) / 2 - axis) ** 2
    at_plate = 6 * 40.0 / (2.0 * 26.0**2) + 0.7 * 15.0 / 20.0 * 40.0 * max(axis, deep - axis) / second

    found = seat_mpa_per_n(deepens, 15.0, (-15.5, -45.5, -55.5))
    uniform = seat_mpa_per_n(legs(), 15.0, (-15.5, -45.5, -55.5))
    assert at_plate * 0.999 <= found < uniform
