"""The discrete choices that any drive has: arm holes, stock wires, round swings.

Choices to try are arrays (k,); what follows from one has its shape.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.errors import Fault, InputError
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.inputs.wire import StockWire

Array = NDArray[np.float64]

SWINGS_DEG = (10.0, 50.0)
"""Half swings tried, unless pinned. Common practice, no source: less is coarse, more leans the wire."""

SWING_STEP_US = 10.0
"""Half swings are whole multiples of this pulse, so that the controller's settings are round numbers. Common
practice, no source."""


@dataclass(frozen=True)
class Axes:
    """Axes of a field that a matching family lays down in common; None where the kind of drive chooses.

    Attributes:
        pulses_us: half swings, as pulse from the centre.
        overtravels_mm: over-travels a side, slack not counted, in place of forces.
    """

    pulses_us: Sequence[float] | None = None
    overtravels_mm: Sequence[float] | None = None


FREE = Axes()


def stock_of(spec: MountSpec) -> tuple[StockWire, ...]:
    """The wires to try: all in stock, or the pinned one.

    Raises:
        InputError: the pinned diameter is not in stock.
    """
    if spec.wire_mm is None:
        return spec.wire.stock
    chosen = tuple(w for w in spec.wire.stock if math.isclose(w.diameter_mm, spec.wire_mm, abs_tol=1e-6))
    if not chosen:
        known = " ".join(f"{w.diameter_mm:g}" for w in spec.wire.stock)
        raise InputError(Fault(f"must be one of {known} mm (stock)", ("wire_mm",), f"{spec.wire_mm:g}", file=spec.id))
    return chosen


def radii_of(spec: MountSpec) -> tuple[float, ...]:
    """The arm holes to try: all of the servo's arm, or the pinned one.

    Raises:
        InputError: the arm has no hole there.
    """
    if spec.arm_hole_mm is None:
        return spec.servo.horn_radii_mm
    chosen = tuple(r for r in spec.servo.horn_radii_mm if math.isclose(r, spec.arm_hole_mm, abs_tol=1e-6))
    if not chosen:
        known = " ".join(f"{r:g}" for r in spec.servo.horn_radii_mm)
        raise InputError(Fault(f"must be one of {known} mm", ("arm_hole_mm",), f"{spec.arm_hole_mm:g}", file=spec.id))
    return chosen


def swings_rad(spec: MountSpec, axes: Axes = FREE, *, step_us: float = SWING_STEP_US) -> Array:
    """Half swings to try, rad: the family's, the pinned one, or round pulses between ``SWINGS_DEG``."""
    if axes.pulses_us is not None:
        return np.asarray(np.radians(np.asarray(axes.pulses_us) * spec.servo.degrees_per_us))
    if spec.swing_deg is not None:
        return np.array([math.radians(spec.swing_deg)])
    return np.asarray(np.radians(round_pulses_us(spec, step_us=step_us) * spec.servo.degrees_per_us))


def round_pulses_us(spec: MountSpec, *, step_us: float = SWING_STEP_US) -> Array:
    """Multiples of a step that swing the arm by ``SWINGS_DEG``, as pulse from the centre, µs."""
    low, high = (edge / spec.servo.degrees_per_us / step_us for edge in SWINGS_DEG)
    return np.asarray(np.arange(math.ceil(low - 1e-9), math.floor(high + 1e-9) + 1) * step_us)


def drill_mm(wire_mm: Array, spec: MountSpec) -> Array:
    """Arm hole for a wire that turns in it: as bought, or opened to the wire and its play, mm."""
    return np.asarray(np.maximum(spec.servo.horn_hole_mm, wire_mm + fits.ARM_HOLE.own_mm))
