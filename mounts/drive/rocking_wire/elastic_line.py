"""The rocking wire as it lies with its points closed: elastic line, force and energy at the end of the swing.

What ``mounts.drive.spring`` leaves out: the span is that of the arm angle, d' = d + s·r·(1 − cos θ), and the wire
leans. Written as y(z), its bending energy is EI/2·∫ y''²/(1 + y'²)^(5/2) dz; for slopes that vary little the root
may stand before the integral, which makes the beam softer by cos⁵ of its lean at the pivot.

    σ  slope at the pivot        t = r·sin θ/d'  chord arm hole → pivot        ψ  slope of a clamped end
    turning   U/EI = 3/(2d')·(σ − t)²                              + 3/(2h³)·(σh − y)²
    clamped   U/EI = 2/d'·[(ψ − t)² + (ψ − t)(σ − t) + (σ − t)²]   + 3/(2h³)·(σh − y)²

σ makes U least; y is where the pin is stopped. The span of a clamped wire bends both ways, so that no one lean stands
for it, and σ is what span and overhang make of each other: it is left as it is.

Domain:
    Slopes up to ``spring.SMALL_DEFLECTION`` (limit ``bending``, check ``small-deflection``). There the force is within
    3 % and the torque within 5.5 % of a chain of stiff links whose energy is minimised and differentiated
    (tests/drive/test_elastic_line.py), mostly within 1 %; of a clamped wire the force is never low, and at most 1.5 %
    high.

Arguments may be arrays that broadcast; results are float64 of their common shape.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.drive.spring import Held, second_moment_mm4

Array = NDArray[np.float64]

_STEP_RAD = 1e-4
"""Of the central difference that turns energy into torque; its error is of the order of its square."""


@dataclass(frozen=True)
class ElasticLine:
    """One wire at one arm angle, its pin stopped, or many. mm, rad, MPa; + is the side that the pin goes to."""

    theta_rad: ArrayLike
    stop_mm: ArrayLike  # y of the pin
    horn_radius_mm: ArrayLike
    pivot_to_horn_mm: ArrayLike  # d, at mid swing
    pivot_to_pin_mm: ArrayLike  # h
    horn_towards_pivot: ArrayLike
    wire_mm: ArrayLike
    modulus_mpa: ArrayLike
    held: Held

    def _sense(self) -> Array:
        return np.where(self.horn_towards_pivot, 1.0, -1.0)

    def span_mm(self, theta_rad: ArrayLike) -> Array:
        """d', arm hole to pivot along the wire's middle position."""
        rise = np.asarray(self.horn_radius_mm) * (1.0 - np.cos(theta_rad))
        return np.asarray(np.asarray(self.pivot_to_horn_mm, dtype=np.float64) + self._sense() * rise)

    def _slopes(self, theta_rad: ArrayLike) -> tuple[Array, Array, Array]:
        """Chord of the span, turn of a clamped end against it, and slope at the pivot."""
        span, h = self.span_mm(theta_rad), np.asarray(self.pivot_to_pin_mm, dtype=np.float64)
        chord = np.asarray(self.horn_radius_mm) * np.sin(theta_rad) / span
        turned = -self._sense() * np.asarray(theta_rad) - chord
        held_by = 3.0 if self.held == "turning" else 4.0  # stiffness of the span's end at the pivot, × EI/d'
        pulled = held_by * chord - (2.0 * turned if self.held == "clamped" else 0.0)
        slope = (pulled / span + 3.0 * np.asarray(self.stop_mm) / h**2) / (held_by / span + 3.0 / h)
        return np.asarray(chord), np.asarray(turned), np.asarray(slope)

    def _stiffness(self, slope: Array) -> Array:
        """EI, N·mm², the lean counted where one stands for the whole."""
        upright = np.asarray(self.modulus_mpa) * second_moment_mm4(self.wire_mm)
        return np.asarray(upright / (1.0 + slope**2) ** 2.5 if self.held == "turning" else upright)

    def energy_nmm(self, theta_rad: ArrayLike) -> Array:
        """Bending energy at an arm angle, the pin staying where it is."""
        span, h = self.span_mm(theta_rad), np.asarray(self.pivot_to_pin_mm, dtype=np.float64)
        chord, turned, slope = self._slopes(theta_rad)
        bent = slope - chord
        shape = 1.5 * bent**2 if self.held == "turning" else 2.0 * (turned**2 + turned * bent + bent**2)
        overhang = 1.5 * (slope * h - np.asarray(self.stop_mm)) ** 2 / h**3
        return np.asarray(self._stiffness(slope) * (shape / span + overhang))

    def force_n(self) -> Array:
        """With which the pin presses on what stops it, N; negative: away from it."""
        h = np.asarray(self.pivot_to_pin_mm, dtype=np.float64)
        _, _, slope = self._slopes(self.theta_rad)
        return np.asarray(3.0 * self._stiffness(slope) * (slope * h - np.asarray(self.stop_mm)) / h**3)

    def torque_nmm(self) -> Array:
        """What the servo holds, N·mm: the energy that a further turn of the arm costs, by virtual work."""
        theta = np.asarray(self.theta_rad, dtype=np.float64)
        more = self.energy_nmm(theta + _STEP_RAD) - self.energy_nmm(theta - _STEP_RAD)
        return np.asarray(np.abs(more) / (2.0 * _STEP_RAD))

    def line_mm(self, height_mm: ArrayLike) -> Array:
        """How far to the side the wire's axis is at a height above the pivot, at most the pin's, mm.

        The overhang is a beam held at the pin alone: y = σ·z − (F/EI)·(h·z²/2 − z³/6).
        """
        z, h = np.asarray(height_mm, dtype=np.float64), np.asarray(self.pivot_to_pin_mm, dtype=np.float64)
        _, _, slope = self._slopes(self.theta_rad)
        curving = 3.0 * (slope * h - np.asarray(self.stop_mm)) / h**3
        return np.asarray(slope * z - curving * (h * z**2 / 2.0 - z**3 / 6.0))
