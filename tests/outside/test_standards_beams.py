"""Beam and buckling values of handbooks and of the notes the project starts from, source beside each."""

from __future__ import annotations

import math

import numpy as np
import pytest
from frame_elements import folding_load

from mounts.drive.spring import free_offset_mm, second_moment_mm4, wire_loads, wire_rate_n_per_mm

E_200 = 200_000.0


def closed(wire_mm, modulus_mpa, span, overhang, s, throw, held="turning", slope=0.0):
    """Loads of a wire whose free pin is stopped at half the throw."""
    dimensions = {"span_mm": span, "overhang_mm": overhang, "held": held}
    free = free_offset_mm(s, arm_slope_rad=slope, **dimensions)
    force = wire_rate_n_per_mm(wire_mm=wire_mm, modulus_mpa=modulus_mpa, **dimensions) * (free - throw / 2)
    return wire_loads(
        force, arm_offset_mm=s, arm_slope_rad=slope, wire_mm=wire_mm, modulus_mpa=modulus_mpa, **dimensions
    )


def test_pinned_wire_reference_case():
    """standards.md, 1, row 6 (computed there, re-checked by finite elements)."""
    loads = closed(0.8, E_200, 20.0, 30.0, 5.0, 2.5)

    assert float(loads.force_n) == pytest.approx(1.6755, abs=5e-5)
    assert float(loads.stress_pivot_mpa) == pytest.approx(1000.0, abs=1e-9)
    assert float(loads.arm_force_n) == pytest.approx(2.5133, abs=5e-5)
    assert float(loads.pivot_force_n) == pytest.approx(4.1888, abs=5e-5)
    assert float(loads.stress_horn_mpa) == 0.0


@pytest.mark.parametrize(
    ("wire_mm", "modulus", "span", "overhang", "s", "throw", "radius", "force", "stress", "torque"),
    [
        (0.5, 203_400.0, 12.0, 20.0, 2.5, 1.2, 9.0, 0.5216, 850.1, 7.825),
        (1.0, E_200, 25.0, 30.0, 5.0, 3.0, 13.0, 2.6775, 818.2, 41.769),
    ],
)
def test_further_pinned_rows(wire_mm, modulus, span, overhang, s, throw, radius, force, stress, torque):
    """standards.md, 6, further rows (computed there)."""
    loads = closed(wire_mm, modulus, span, overhang, s, throw)

    assert float(loads.force_n) == pytest.approx(force, abs=5e-5)
    assert float(loads.stress_pivot_mpa) == pytest.approx(stress, abs=0.05)
    assert float(loads.arm_force_n) * radius == pytest.approx(torque, abs=1e-3)


def test_clamped_wire_breaks_at_the_horn():
    """standards.md, 6, trap: 978 MPa at the pivot but 2289 MPa at the horn, above the wire's strength."""
    loads = closed(0.8, E_200, 20.0, 30.0, 3.0, 2.5, held="clamped")

    assert float(loads.force_n) == pytest.approx(1.6383, abs=5e-5)
    assert float(loads.stress_pivot_mpa) == pytest.approx(978.0, abs=0.5)
    assert float(loads.stress_horn_mpa) == pytest.approx(2289.0, abs=0.5)


def test_clamped_reactions_of_the_unmoved_horn():
    """M_A = F·a/2 and R_A = 1.5·F·a/L (standards.md, 6, derived)."""
    loads = wire_loads(
        2.0,
        arm_offset_mm=0.0,
        arm_slope_rad=0.0,
        wire_mm=0.8,
        modulus_mpa=E_200,
        span_mm=20.0,
        overhang_mm=30.0,
        held="clamped",
    )

    assert float(loads.arm_moment_nmm) == pytest.approx(2.0 * 30.0 / 2.0)
    assert float(loads.arm_force_n) == pytest.approx(1.5 * 2.0 * 30.0 / 20.0)


def test_free_tip_ratios():
    """Pinned −a/L, clamped and not turning −1.5·a/L (standards.md, 6); offsets are counted opposite."""
    pinned = free_offset_mm(2.0, arm_slope_rad=0.0, span_mm=20.0, overhang_mm=30.0, held="turning")
    clamped = free_offset_mm(2.0, arm_slope_rad=0.0, span_mm=20.0, overhang_mm=30.0, held="clamped")

    assert float(pinned) == pytest.approx(2.0 * 30.0 / 20.0)
    assert float(clamped) == pytest.approx(2.0 * 1.5 * 30.0 / 20.0)


def test_cantilever_is_the_limit_of_a_short_span():
    """3EI/L³ of any handbook; d 0.8, 40 mm, δ 3, E 200: 0.5655 N, 450.0 MPa (standards.md, 6, computed)."""
    rate = float(wire_rate_n_per_mm(wire_mm=0.8, modulus_mpa=E_200, span_mm=1e-6, overhang_mm=40.0, held="turning"))
    stress = 3.0 * rate * 40.0 * 0.4 / float(second_moment_mm4(0.8))

    assert 3.0 * rate == pytest.approx(0.5655, abs=5e-5)
    assert stress == pytest.approx(450.0, abs=0.05)


@pytest.mark.parametrize(("wire_mm", "force"), [(0.8, 15.875), (0.5, 2.422)])
def test_the_frame_in_space_buckles_a_straight_rod_at_eulers_load(wire_mm, force):
    """The second model of tests/drive/test_loop.py: pinned ends, 50 mm, E 200 (standards.md, 6, computed)."""
    line = np.column_stack([np.linspace(0.0, 50.0, 21), np.zeros(21)])

    assert folding_load(line, E_200 * float(second_moment_mm4(wire_mm))) == pytest.approx(force, rel=1e-3)


def test_second_moment_of_a_round_wire():
    """πd⁴/64 is a quarter of π·(d/2)⁴ (any handbook)."""
    assert float(second_moment_mm4(0.8)) == pytest.approx(math.pi * 0.4**4 / 4.0)
