"""The wire's beam formulas against finite elements (tests/beam_elements.py), both ways of holding it."""

from __future__ import annotations

import numpy as np
import pytest
from beam_elements import wire
from hypothesis import given
from hypothesis import strategies as st

from mounts.drive.spring import (
    deflection_ratio,
    free_offset_mm,
    second_moment_mm4,
    wire_loads,
    wire_rate_n_per_mm,
)

E_MPA = 203_400.0
shapes = {
    "wire_mm": st.sampled_from([0.4, 0.5, 0.8, 1.0, 1.2]),
    "span_mm": st.floats(8, 60),
    "overhang_mm": st.floats(6, 80),
}


def held_at_horn(held: str, s: float, slope: float) -> dict[int, float]:
    """Degrees of freedom the arm holds: sideways always, the slope where it clamps; horn moved to −y."""
    return {0: -s} if held == "turning" else {0: -s, 1: -slope}


@given(held=st.sampled_from(["turning", "clamped"]), **shapes)
def test_rate_is_that_of_the_finite_element_beam(held, wire_mm, span_mm, overhang_mm):
    """One newton at the pin of the element beam moves it by one over the rate."""
    beam, pivot, pin = wire(span_mm, overhang_mm, E_MPA * float(second_moment_mm4(wire_mm)))
    moved, _ = beam.solve({**held_at_horn(held, 0.0, 0.0), 2 * pivot: 0.0}, {2 * pin: 1.0})

    rate = wire_rate_n_per_mm(wire_mm=wire_mm, modulus_mpa=E_MPA, span_mm=span_mm, overhang_mm=overhang_mm, held=held)

    assert 1.0 / moved[2 * pin] == pytest.approx(float(rate), rel=1e-8)


@given(
    held=st.sampled_from(["turning", "clamped"]),
    s=st.floats(0.5, 6),
    slope=st.floats(-0.5, 0.5),
    **shapes,
)
def test_free_offset_is_that_of_the_finite_element_beam(held, s, slope, wire_mm, span_mm, overhang_mm):
    """The unloaded element beam, its horn end moved and turned, carries its tip as far as the formula says."""
    beam, pivot, pin = wire(span_mm, overhang_mm, E_MPA * float(second_moment_mm4(wire_mm)))
    moved, _ = beam.solve({**held_at_horn(held, s, slope), 2 * pivot: 0.0}, {})

    offset = free_offset_mm(s, arm_slope_rad=slope, span_mm=span_mm, overhang_mm=overhang_mm, held=held)

    assert moved[2 * pin] == pytest.approx(float(offset), rel=1e-7, abs=1e-9)


@given(
    held=st.sampled_from(["turning", "clamped"]),
    s=st.floats(0.5, 6),
    slope=st.floats(-0.5, 0.5),
    stop=st.floats(0.3, 3),
    **shapes,
)
def test_loads_are_those_of_the_finite_element_beam(held, s, slope, stop, wire_mm, span_mm, overhang_mm):
    """With the pin stopped, reactions and moments of the element beam are those of the formulas."""
    stiffness = E_MPA * float(second_moment_mm4(wire_mm))
    beam, pivot, pin = wire(span_mm, overhang_mm, stiffness)
    _, reaction = beam.solve({**held_at_horn(held, s, slope), 2 * pivot: 0.0, 2 * pin: stop}, {})
    dimensions = {"span_mm": span_mm, "overhang_mm": overhang_mm, "held": held}
    free = free_offset_mm(s, arm_slope_rad=slope, **dimensions)
    force = wire_rate_n_per_mm(wire_mm=wire_mm, modulus_mpa=E_MPA, **dimensions) * (free - stop)

    loads = wire_loads(force, arm_offset_mm=s, arm_slope_rad=slope, wire_mm=wire_mm, modulus_mpa=E_MPA, **dimensions)

    near = {"rel": 1e-6, "abs": 1e-7 * stiffness}
    per_moment = wire_mm / 2.0 / float(second_moment_mm4(wire_mm))
    assert -reaction[2 * pin] == pytest.approx(float(loads.force_n), **near)
    assert reaction[2 * pivot] == pytest.approx(float(loads.pivot_force_n), **near)
    assert -reaction[0] == pytest.approx(float(loads.arm_force_n), **near)
    assert -reaction[1] == pytest.approx(float(loads.arm_moment_nmm), **near)
    assert abs(reaction[1]) * per_moment == pytest.approx(
        float(loads.stress_horn_mpa), rel=1e-6, abs=1e-7 * stiffness * per_moment
    )
    assert abs(reaction[2 * pin] * overhang_mm) * per_moment == pytest.approx(
        float(loads.stress_pivot_mpa), rel=1e-6, abs=1e-6 * stiffness * per_moment
    )


def test_deflection_ratio_is_the_steepest_slope():
    """The horn's or the pin's movement may be the larger share; a clamped end's turn, and the pivot's, count too."""
    alike = {"span_mm": 20.0, "overhang_mm": 20.0}

    assert float(deflection_ratio(5.0, 0.5, arm_slope_rad=0.9, held="turning", **alike)) == 0.25
    assert float(deflection_ratio(1.0, -8.0, arm_slope_rad=0.9, held="turning", **alike)) == 0.4
    assert float(deflection_ratio(1.0, 0.5, arm_slope_rad=-0.3, held="clamped", **alike)) == 0.3
    assert float(deflection_ratio(4.0, 0.5, arm_slope_rad=0.3, held="clamped", **alike)) == pytest.approx(0.45)


def test_force_grows_with_the_fourth_power_of_the_wire():
    """F ∝ d⁴ (standards.md, 6)."""
    thin, thick = (
        wire_rate_n_per_mm(wire_mm=w, modulus_mpa=E_MPA, span_mm=20.0, overhang_mm=30.0, held="turning")
        for w in (0.5, 1.0)
    )

    assert np.isclose(thick / thin, 16.0)
