"""The wire as a beam: held in the arm, supported at the pivot, loaded at the tie-bar pin.

Span L from arm to pivot, overhang a from pivot to pin, I = π·d⁴/64. The handbook's beam: small deflections, and
the straight span of mid swing at every angle.

Domain:
    ``deflection_ratio`` up to ``SMALL_DEFLECTION``; beyond it the solver chooses nothing where it has a choice, and
    the check ``small-deflection`` warns. Inside it force and stress of a turning wire come out up to 13 % high, never
    low (tests/drive/test_elastic_line.py, an elastic line of stiff links); what presses the blades and what the servo
    holds are therefore taken from ``mounts.drive.rocking_wire.elastic_line``, and these remain the figures that a
    handbook gives.

Arguments may be arrays that broadcast; results are float64 of their common shape.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Held = Literal["turning", "clamped"]

SMALL_DEFLECTION = 0.25
"""Sideways movement over length beyond which small-deflection theory is flagged (standards.md, 6)."""


class WireLoads(NamedTuple):
    """What a bent wire carries; N, N·mm, MPa. Moments and forces carry signs, stresses do not."""

    force_n: Array
    stress_pivot_mpa: Array
    stress_horn_mpa: Array
    arm_force_n: Array
    pivot_force_n: Array
    arm_moment_nmm: Array


def second_moment_mm4(wire_mm: ArrayLike) -> Array:
    """I = π·d⁴/64 of a round wire, mm⁴."""
    return np.asarray(np.pi * np.asarray(wire_mm, dtype=np.float64) ** 4 / 64.0)


def wire_rate_n_per_mm(
    *, wire_mm: ArrayLike, modulus_mpa: ArrayLike, span_mm: ArrayLike, overhang_mm: ArrayLike, held: Held
) -> Array:
    """Force at the pin per mm of sideways deflection there, N/mm.

    Turning in the arm: 3·E·I / (a²·(L + a)); clamped in it: 12·E·I / (a²·(3L + 4a)). The arm's own
    angle moves the unloaded pin but does not change the rate.

    Args:
        wire_mm: diameter, mm.
        modulus_mpa: E, MPa.
        span_mm: L, mm, arm hole to pivot.
        overhang_mm: a, mm, pivot to pin.
        held: how the arm holds the wire.

    Source:
        Turning: handbook beam tables (Shigley, Table A-9 form). Clamped: derived by slope-deflection;
        both against a finite-element beam in tests/drive/test_spring.py.
    """
    a, span = np.asarray(overhang_mm, dtype=np.float64), np.asarray(span_mm, dtype=np.float64)
    stiffness = np.asarray(modulus_mpa) * second_moment_mm4(wire_mm)
    if held == "turning":
        return np.asarray(3.0 * stiffness / (a**2 * (span + a)))
    return np.asarray(12.0 * stiffness / (a**2 * (3.0 * span + 4.0 * a)))


def free_offset_mm(
    arm_offset_mm: ArrayLike,
    *,
    arm_slope_rad: ArrayLike,
    span_mm: ArrayLike,
    overhang_mm: ArrayLike,
    held: Held,
) -> Array:
    """Pin offset of the unloaded wire by small-deflection theory, mm, opposite to the arm hole's.

    Turning: a·s/L. Clamped: a·(3·s/L + φ)/2, s the arm hole's offset and φ the angle by which the arm has
    turned the clamped end further away from the pivot (φ = 0: an end that moves but does not turn).

    Args:
        arm_offset_mm: s, mm, the arm hole sideways of mid swing.
        arm_slope_rad: φ, rad; without meaning for a turning wire.
        span_mm: L, mm, arm hole to pivot.
        overhang_mm: a, mm, pivot to pin.
        held: how the arm holds the wire.

    Source:
        Slope-deflection, moment at the pivot zero: own derivation; FE beam in tests/drive/test_spring.py.
    """
    chord = np.asarray(arm_offset_mm, dtype=np.float64) / np.asarray(span_mm)
    slope = chord if held == "turning" else (3.0 * chord + np.asarray(arm_slope_rad)) / 2.0
    return np.asarray(np.asarray(overhang_mm) * slope)


def wire_loads(
    force_n: ArrayLike,
    *,
    arm_offset_mm: ArrayLike,
    arm_slope_rad: ArrayLike,
    wire_mm: ArrayLike,
    modulus_mpa: ArrayLike,
    span_mm: ArrayLike,
    overhang_mm: ArrayLike,
    held: Held,
) -> WireLoads:
    """Moments, reactions and stresses of a wire whose pin is pressed back with a force.

    Moment at the pivot F·a. Turning: no moment at the arm, arm force F·a/L. Clamped:
    M_A = 3·E·I·(s/L + φ)/L + F·a/2 and arm force (M_A + F·a)/L. Pivot reaction = arm force + F.

    Args:
        force_n: N, the pin's push against the blade.
        arm_offset_mm: s, mm, the arm hole's sideways offset, counted positive away from the pin's side.
        arm_slope_rad: φ, rad: turn of a clamped end, positive where it adds to s/L (arm towards the
            pivot: +θ; away: −θ; an end that does not turn: 0). Without meaning for a turning wire.
        wire_mm: mm, diameter.
        modulus_mpa: E, MPa.
        span_mm: L, mm, arm hole to pivot.
        overhang_mm: a, mm, pivot to pin.
        held: how the arm holds the wire.

    Source:
        Slope-deflection (any structures handbook), own derivation of the clamped case with a turning
        end; φ = 0 gives the values of standards.md, 6; FE beam in tests/drive/test_spring.py.
    """
    force, span = np.asarray(force_n, dtype=np.float64), np.asarray(span_mm, dtype=np.float64)
    pivot_moment = force * np.asarray(overhang_mm)
    if held == "turning":
        arm_moment = np.zeros_like(pivot_moment)
    else:
        stiffness = np.asarray(modulus_mpa) * second_moment_mm4(wire_mm)
        turned = np.asarray(arm_offset_mm) / span + np.asarray(arm_slope_rad)
        arm_moment = 3.0 * stiffness * turned / span + pivot_moment / 2.0
    arm_force = (arm_moment + pivot_moment) / span
    per_moment = np.asarray(wire_mm) / 2.0 / second_moment_mm4(wire_mm)
    return WireLoads(
        force_n=force,
        stress_pivot_mpa=np.abs(pivot_moment) * per_moment,
        stress_horn_mpa=np.abs(arm_moment) * per_moment,
        arm_force_n=arm_force,
        pivot_force_n=arm_force + force,
        arm_moment_nmm=arm_moment,
    )


def deflection_ratio(
    arm_offset_mm: ArrayLike,
    bend_mm: ArrayLike,
    *,
    arm_slope_rad: ArrayLike,
    span_mm: ArrayLike,
    overhang_mm: ArrayLike,
    held: Held,
) -> Array:
    """Steepest slope anywhere in the wire: the larger of s/L and δ/a, of a clamped wire its turned end and pivot too.

    Above ``SMALL_DEFLECTION`` the beam formulas overstate their accuracy. A clamped end turns by the whole arm
    angle φ, and leans at the pivot by (3·s/L + φ)/2.

    Args:
        arm_offset_mm: s, mm, the arm hole sideways of mid swing.
        bend_mm: δ, mm, the over-travel that the pin is pressed back by.
        arm_slope_rad: φ, rad; without meaning for a turning wire.
        span_mm: L, mm, arm hole to pivot.
        overhang_mm: a, mm, pivot to pin.
        held: how the arm holds the wire.
    """
    sideways = np.abs(arm_offset_mm) / np.asarray(span_mm, dtype=np.float64)
    steepest = np.maximum(sideways, np.abs(bend_mm) / np.asarray(overhang_mm, dtype=np.float64))
    if held == "clamped":
        turn = np.abs(arm_slope_rad)
        steepest = np.maximum.reduce(
            np.broadcast_arrays(steepest, turn, np.abs(3.0 * sideways + np.asarray(arm_slope_rad)) / 2.0)
        )
    return np.asarray(steepest)
