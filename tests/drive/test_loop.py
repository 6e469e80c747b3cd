"""The Ω loop against Castigliano's integral done numerically, and the curved-beam section."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mounts.drive.loop import curvature_factor, loop_developed_mm, loop_rate_n_per_mm, loop_stress_mpa
from mounts.drive.spring import second_moment_mm4


def centre_line(leg: float, radius: float, points: int = 20001) -> np.ndarray:
    """The Ω as a fine polyline (n, 2): along the rod, above it; feet square."""
    phi = np.linspace(math.pi, 0.0, points)
    arc = np.column_stack([radius * np.cos(phi), leg + radius * np.sin(phi)])
    up = np.column_stack([np.full(points, -radius), np.linspace(0.0, leg, points)])
    down = np.column_stack([np.full(points, radius), np.linspace(leg, 0.0, points)])
    return np.vstack([up, arc[1:], down[1:]])


@given(leg=st.floats(0.5, 15), radius=st.floats(1, 6), wire=st.sampled_from([0.4, 0.6, 0.8, 1.0]))
def test_rate_is_castiglianos_integral(leg, radius, wire):
    """∫ m²/(E·I) ds over the drawn loop, m its height above the rod, is one over the rate."""
    line = centre_line(leg, radius)
    steps = np.hypot(*np.diff(line, axis=0).T)
    middle = (line[1:, 1] + line[:-1, 1]) / 2.0
    softness = float((middle**2 * steps).sum()) / (200_000.0 * float(second_moment_mm4(wire)))

    rate = float(loop_rate_n_per_mm(leg_mm=leg, radius_mm=radius, wire_mm=wire, modulus_mpa=200_000.0))

    assert 1.0 / softness == pytest.approx(rate, rel=1e-6)


def test_stress_is_that_of_the_largest_moment_of_the_drawn_loop():
    """The farthest point of the drawn loop from the rod carries the largest moment."""
    largest = 1.5 * float(centre_line(8.0, 3.0)[:, 1].max())

    stress = float(loop_stress_mpa(1.5, leg_mm=8.0, radius_mm=3.0, wire_mm=0.6))

    assert 32.0 * largest / (math.pi * 0.6**3) == pytest.approx(stress, rel=1e-9)


def test_developed_length_is_that_of_the_drawn_loop():
    """Sharp feet: the polyline's length; round feet: two quarter circles for two corners."""
    length = float(np.hypot(*np.diff(centre_line(8.0, 3.0), axis=0).T).sum())

    assert length == pytest.approx(loop_developed_mm(leg_mm=8.0, radius_mm=3.0, foot_radius_mm=0.0), rel=1e-7)
    rounded = loop_developed_mm(leg_mm=8.0, radius_mm=3.0, foot_radius_mm=1.2)
    assert length - 4 * 1.2 + 2 * (math.pi / 2 * 1.2) == pytest.approx(rounded, rel=1e-7)


@pytest.mark.parametrize("index", [4.0, 6.0, 10.0])
def test_curvature_factor_is_that_of_winkler_s_section(index):
    """Winkler's curved-beam theory, integrated over the round section, agrees to 2 % (Wahl's is a fit of it)."""
    radius, wire = index / 2.0, 1.0
    y = np.linspace(-0.5, 0.5, 400001)[1:-1]  # distance from the section's middle, inside negative
    width = 2.0 * np.sqrt(0.25 - y**2)
    area, over_r = np.trapezoid(width, y), np.trapezoid(width / (radius + y), y)
    neutral = area / over_r
    inside = (neutral - (radius - 0.5)) / (area * (radius - neutral) * (radius - 0.5))
    straight = 0.5 / float(second_moment_mm4(wire))

    assert inside / straight == pytest.approx(float(curvature_factor(radius, wire)), rel=0.02)
