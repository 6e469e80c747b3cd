"""The spring loop in a push rod: its shape, what it gives under load, and when rod and loop fold up together.

a = half gap of the feet, to the wire's centres      ____
R = crown, to the wire's centre                     /    \\       ┐
t = leg, foot to where the crown begins            |      |      │
ψ = slant of the legs, 0 where a = R                \\    /       │ H = height of the crown's centre line
                                                     |  |   t    │
hinge ●———— L₁ ————————————————————————————————————  2a  ——— L₂ ——● hinge   pressed or pulled along the rod

Both ends of the rod are hinges: the legs' feet turn as the loop is pressed, the straights beside it turn with
them, and the loop steps sideways by w. The rod is then a line with a kink, and the load's lever at the crown is
H + w. Second-order theory, small slopes: it holds while the loop steps sideways by less than ``MOST_STEP_SHARE`` of
its height and gives by less than ``MOST_GIVE_SHARE``; ``mounts.drive.push_rod.shape`` bends the same rod without them.
Arguments may be arrays that broadcast; results are float64 of their common shape.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.drive.spring import second_moment_mm4

Array = NDArray[np.float64]

MOST_GIVE_SHARE, MOST_STEP_SHARE = 0.3, 0.15
"""Largest give and largest step sideways, as shares of the loop's height, that second-order theory is trusted with;
its load is then off by about two and a half times their product (tests/drive/test_rod_shape.py)."""

POISSON = 0.3
"""Steel, any handbook."""

_ROUNDS = 8  # of Newton's; near the root each squares the error
_NEAR_FOLDING = 0.98  # of the load that folds it, where the shortening has no end: no step of Newton's goes past it


@dataclass(frozen=True)
class Loop:
    """A loop between two straights; fields are scalars or arrays that broadcast. mm, N·mm²."""

    half_gap_mm: ArrayLike
    crown_mm: ArrayLike
    leg_mm: ArrayLike
    before_mm: ArrayLike  # straight rod, arm hole to the near foot
    after_mm: ArrayLike  # straight rod, far foot to the pin
    stiffness_nmm2: ArrayLike  # E·I of the wire

    @cached_property
    def slant_rad(self) -> Array:
        """Slant of the legs ψ, rad."""
        return slant_rad(half_gap_mm=self.half_gap_mm, crown_mm=self.crown_mm, leg_mm=self.leg_mm)

    @cached_property
    def height_mm(self) -> Array:
        """H: the rod's centre line to that of the crown's top, mm: t·cos ψ + R·sin ψ + R."""
        crown = np.asarray(self.crown_mm, dtype=np.float64)
        return np.asarray(np.asarray(self.leg_mm) * np.cos(self.slant_rad) + crown * (1.0 + np.sin(self.slant_rad)))

    @cached_property
    def moments_mm(self) -> tuple[Array, Array, Array]:
        """∫ds, ∫y ds and ∫y² ds of the loop's centre line over the line of its feet, mm, mm², mm³.

        Legs of t at a slant ψ, and an arc of π + 2ψ about a centre at c = t·cos ψ + R·sin ψ. With parallel legs the
        last is 2t³/3 + π·R·t² + 4·R²·t + π·R³/2, the loop of brief.md, 3.2.

        Source:
            Integrals of a line and an arc; tests/drive/test_loop.py sums along the drawn line.
        """
        crown, leg = np.asarray(self.crown_mm, dtype=np.float64), np.asarray(self.leg_mm, dtype=np.float64)
        rise, arc = np.cos(self.slant_rad), np.pi + 2.0 * self.slant_rad
        centre = leg * rise + crown * np.sin(self.slant_rad)
        length = 2.0 * leg + crown * arc
        first = leg**2 * rise + centre * crown * arc + 2.0 * crown**2 * rise
        second = 2.0 * leg**3 * rise**2 / 3.0 + crown * (
            centre**2 * arc + 4.0 * centre * crown * rise + crown**2 * (arc - np.sin(2.0 * self.slant_rad)) / 2.0
        )
        return np.asarray(length), np.asarray(first), np.asarray(second)

    @cached_property
    def beside_mm(self) -> tuple[Array, Array]:
        """ℓ* = L₁·L₂/(L₁ + L₂) and L₁ + L₂ of the straights, mm."""
        before, after = np.asarray(self.before_mm, dtype=np.float64), np.asarray(self.after_mm, dtype=np.float64)
        return np.asarray(before * after / (before + after)), np.asarray(before + after)


class Given(NamedTuple):
    """What a loop does under a load."""

    shortening_mm: Array  # of the straight line between the rod's ends; negative where it is pulled
    feet_mm: Array  # what of it the feet come together; the rest is the kink's
    step_mm: Array  # sideways, towards the crown where positive


def slant_rad(*, half_gap_mm: ArrayLike, crown_mm: ArrayLike, leg_mm: ArrayLike) -> Array:
    """Slant of the legs ψ, rad: they touch the crown's circle, a + t·sin ψ = R·cos ψ.

    ψ = acos(a/√(R² + t²)) − atan2(t, R); 0 for a = R, where the legs are parallel.

    Source:
        Plane geometry; tests/drive/test_loop.py measures the drawn line.
    """
    gap, crown, leg = (np.asarray(value, dtype=np.float64) for value in (half_gap_mm, crown_mm, leg_mm))
    touching = np.arccos(np.minimum(gap / np.hypot(crown, leg), 1.0)) - np.arctan2(leg, crown)
    return np.asarray(np.maximum(touching, 0.0))  # of parallel legs rounding would leave a hair either side


def loop_rate_n_per_mm(loop: Loop) -> Array:
    """Force along the rod per mm of give where it begins, N/mm: E·I/∫y² ds.

    Source:
        Castigliano, bending only; tests/drive/test_loop.py integrates M² numerically.
    """
    return np.asarray(np.asarray(loop.stiffness_nmm2) / loop.moments_mm[2])


def given(loop: Loop, force_n: ArrayLike) -> Given:
    """What the loop does under a load along the rod, N, positive where the rod is pressed.

    With f = F/(E·I), ℓ* = L₁·L₂/(L₁ + L₂) and the moments I₀, I₁, I₂ of the loop:

        w = ℓ*·f·I₁ / (1 − ℓ*·f·(I₀ + (L₁ + L₂)/3))        δ = f·(I₂ + w·I₁) + w²/(2·ℓ*)

    Infinite shortening from the load at which the denominator is spent: rod and loop fold up together.

    Domain:
        ``MOST_GIVE_SHARE`` and ``MOST_STEP_SHARE``.

    Source:
        Own derivation: equilibrium of the kinked line, M = F·(y + w); tests/drive/test_rod_shape.py bends the
        exact line and a frame of beam elements instead.
    """
    stiffness = np.asarray(loop.stiffness_nmm2)
    shortening, step, _ = _kinked(loop)(np.asarray(force_n, dtype=np.float64) / stiffness)
    folded = np.isinf(shortening)
    kink = np.where(folded, 0.0, step) ** 2 / (2.0 * loop.beside_mm[0])
    return Given(shortening, shortening - kink, step)


def loop_force_n(loop: Loop, shortening_mm: ArrayLike) -> Array:
    """Load that shortens the rod by so much, N: the inverse of ``given``; both negative where the rod is pulled.

    Newton's method from the linear rate. NaN where a dimension is.
    """
    wanted = np.asarray(shortening_mm, dtype=np.float64)
    kinked, stiffness = _kinked(loop), np.asarray(loop.stiffness_nmm2)
    most = _NEAR_FOLDING * _in_plane(loop)
    load = np.minimum(wanted / loop.moments_mm[2], most)
    for _ in range(_ROUNDS):
        shortening, _, slope = kinked(load)
        load = np.minimum(load - (shortening - wanted) / slope, most)
    return np.asarray(load * stiffness)


def _kinked(loop: Loop) -> Callable[[Array], tuple[Array, Array, Array]]:
    """Of a load f = F/(E·I), 1/mm²: shortening and step, mm, and the shortening's slope, mm³."""
    length, first, second = loop.moments_mm
    beside, total = loop.beside_mm
    spent = beside * (length + total / 3.0)

    def under(load: Array) -> tuple[Array, Array, Array]:
        left = 1.0 - spent * load
        sound = np.where(left > 0.0, left, np.nan)
        step, turn = beside * first * load / sound, beside * first / sound**2
        shortening = load * (second + step * first) + step**2 / (2.0 * beside)
        slope = second + first * (step + load * turn) + step * turn / beside
        folded = left <= 0.0
        return np.where(folded, np.inf, shortening), np.where(folded, np.inf, step), slope

    return under


def _in_plane(loop: Loop) -> Array:
    """Load over E·I that folds rod and loop up in their plane, 1/mm²."""
    beside, total = loop.beside_mm
    return np.asarray(1.0 / (beside * (loop.moments_mm[0] + total / 3.0)))


def folding_force_n(loop: Loop) -> Array:
    """Load that folds rod and loop up, in the loop's plane or out of it, whichever is less, N.

        F = E·I / (ℓ*·(C + (L₁ + L₂)/3))

    C is the turn of one foot against the other per moment, times E·I. In the plane it is ∫ds. Out of it the legs
    twist and the crown does both: with G·J = E·I/(1 + ν) and α = π + 2ψ,
    C = 2t·(sin²ψ + (1 + ν)·cos²ψ) + R·((α + sin α) + (1 + ν)·(α − sin α))/2.

    Domain:
        Straights that are stiff beside the loop. Where (L₁ + L₂)/3 is no more than C it is within 10 % of the least
        load of a frame in space; ``LEAST_FOLDING_MARGIN`` is three times that.

    Source:
        Own derivation: two stiff halves with an elastic hinge between, the straights' own bend added;
        tests/drive/test_loop.py finds the least eigenvalue of a frame in space.
    """
    crown, leg = np.asarray(loop.crown_mm, dtype=np.float64), np.asarray(loop.leg_mm, dtype=np.float64)
    slant = loop.slant_rad
    beside, total = loop.beside_mm
    arc, twist = np.pi + 2.0 * slant, 1.0 + POISSON
    out_of_plane = (
        2.0 * leg * (np.sin(slant) ** 2 + twist * np.cos(slant) ** 2)
        + crown * ((arc + np.sin(arc)) + twist * (arc - np.sin(arc))) / 2.0
    )
    softest = np.maximum(loop.moments_mm[0], out_of_plane)
    return np.asarray(np.asarray(loop.stiffness_nmm2) / (beside * (softest + total / 3.0)))


def loop_stress_mpa(loop: Loop, force_n: ArrayLike, step_mm: ArrayLike, *, wire_mm: ArrayLike) -> Array:
    """Bending stress at the crown, MPa: |F|·(H + w)·(d/2)/I, straight-beam theory; see ``curvature_factor``.

    Args:
        loop: its shape.
        force_n: N, positive where the rod is pressed.
        step_mm: w under that load.
        wire_mm: d.
    """
    moment = np.abs(force_n) * (loop.height_mm + np.asarray(step_mm))
    return np.asarray(moment * np.asarray(wire_mm) / 2.0 / second_moment_mm4(wire_mm))
