"""What may be off in board, wire, print, servo and siting, and what a study asks of a drive with that off."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.inputs.servo import Servo
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]
Off = float | Array

SITING_LAID_MM, SITING_DRILLED_MM = 1.0, 0.5  # common practice, no source; told in ``siting_mm``

ROADBED_SHARE = 0.05
"""± of a roadbed's thickness, glue included: HO cork was measured 4.9 to 5.2 mm, ± 3 %; the rest common practice."""

PIN_SHARE = 0.2
"""± of the pin's height above the roadbed, for the wire bears anywhere in the tie bar. Common practice, no source."""

TIE_BAR_HOLE_MM = 0.1
"""± of the hole in the tie bar. Common practice, no source."""

TOUCH_MM = 0.1
"""± to which the eye, or a strip of thin paper, sees that a blade touches. Common practice, no source."""

HAND_BENT_MM = 0.3
"""± of a leg or crown bent by hand round a former. Common practice, no source."""

# diameters below which the second figure holds, mm: EN 10270-1, from memory
_WIRE_STEPS = ((0.37, 0.006), (0.65, 0.008), (0.80, 0.010), (1.01, 0.015), (1.78, 0.020), (math.inf, 0.025))


def siting_mm(spec: MountSpec) -> float:
    """± by which pivot, hole in the board and tie bar stand off each other across the track, mm.

    1.0 under track that is laid, where the spot is found from above; 0.5 where all is drilled by one template.

    Source:
        Common practice, no source.
    """
    return SITING_LAID_MM if spec.laid else SITING_DRILLED_MM


def wire_tolerance_mm(wire_mm: ArrayLike) -> Array:
    """± of the diameter of drawn spring wire, mm, in the shape of the argument.

    Source:
        EN 10270-1, table of permissible deviations: 0.65 mm and over 0.010, 0.80 and over 0.015, …; from memory.
    """
    below, off = np.array(_WIRE_STEPS).T
    return np.asarray(off[np.searchsorted(below, np.asarray(wire_mm) + 1e-9, side="right")])


@dataclass(frozen=True)
class Shifts:
    """How far each thing is off, signed: scalars or arrays that broadcast. mm, rad; ``gain`` is a share.

    ``siting_mm`` is of the end that is looked at: positive where the pin must go further to close it.
    """

    board_mm: Off = 0.0
    roadbed_mm: Off = 0.0
    pin_mm: Off = 0.0
    shaft_mm: Off = 0.0  # pivot to shaft: print and case
    radius_mm: Off = 0.0  # shaft to arm hole, as measured
    wire_mm: Off = 0.0
    leg_mm: Off = 0.0  # of a push rod's loop
    crown_mm: Off = 0.0  # its radius, and half the gap of the feet
    bore_mm: Off = 0.0  # pivot as printed
    hole_mm: Off = 0.0  # in the tie bar
    siting_mm: Off = 0.0
    tooth_rad: Off = 0.0  # arm on its spline
    gain: Off = 0.0  # degrees per µs, as a share of it
    dead_rad: Off = 0.0  # the dead band, as arm angle
    touch_mm: Off = 0.0  # where the blade is seen to touch


NAMES = tuple(f.name for f in fields(Shifts))

TRIMMED_AWAY = frozenset({"bore_mm", "hole_mm", "tooth_rad", "gain", "siting_mm"})
"""What trimming the end pulses on the layout takes out of the worst case.

Of the siting error something stays: an end that stands further round presses some per cent less, the other more (12
to 15 % in N at 0.5 mm). The Monte Carlo draws it with all else; it is not put on top of a corner where everything
else is at its worst already.
"""

TRIMMED_FROM_THE_CENTRE = frozenset({"tooth_rad"})
"""What does not bend the wire on the way: the steps come to each end from the centre, where the arm was put on."""

TOGETHER = (
    ("board_mm", "roadbed_mm", "pin_mm"), ("bore_mm", "hole_mm"), ("tooth_rad", "gain", "dead_rad", "touch_mm"),
)  # fmt: skip
"""Things that act alike, so that the worst of all is at the worst of each."""


def tolerances(spec: MountSpec, wire_mm: ArrayLike) -> tuple[Shifts, Shifts]:
    """The least and the largest of every shift, for a wire of that diameter, mm.

    The wire's own shift has the shape of the argument, all others are scalars. Board over and under, printer accuracy,
    servo tolerance, dead band and spread of the gain are those of the profiles; half a spline tooth, ± of the siting
    and the rest stand in this module.
    """
    servo, accuracy_mm = spec.servo, spec.printer.accuracy_mm
    most = Shifts(
        board_mm=spec.board.over_mm,
        roadbed_mm=ROADBED_SHARE * spec.roadbed.thickness_mm,
        pin_mm=PIN_SHARE * max(spec.pin_height_mm - spec.roadbed.thickness_mm, 0.0),
        shaft_mm=accuracy_mm + servo.tolerance_mm / 2.0,  # a case too wide shifts the shaft by half of it
        radius_mm=servo.tolerance_mm,
        wire_mm=wire_tolerance_mm(wire_mm),
        leg_mm=HAND_BENT_MM,
        crown_mm=HAND_BENT_MM,
        bore_mm=accuracy_mm,
        hole_mm=TIE_BAR_HOLE_MM,
        siting_mm=siting_mm(spec),
        tooth_rad=math.pi / servo.spline_teeth,
        gain=gain_share(servo),
        # an arm rests within half a dead band of where it is sent
        dead_rad=math.radians(servo.dead_band_us * servo.degrees_per_us) / 2.0,
        touch_mm=TOUCH_MM,
    )
    least = Shifts(**{name: -getattr(most, name) for name in NAMES})
    return replace(least, board_mm=-spec.board.under_mm), most


def gain_share(servo: Servo) -> float:
    """± of the servo's gain as a share of it; 0 once it is calibrated."""
    return servo.degrees_per_us_spread / servo.degrees_per_us


def signed(least: Shifts, most: Shifts, signs: dict[str, float], *, otherwise: float = 0.0) -> Shifts:
    """The shifts at the ends that the signs name, −1 to 1; those without a sign at ``otherwise``.

    Args:
        least: the lowest of every shift.
        most: the highest.
        signs: by name, −1 the least to 1 the most.
        otherwise: sign of those that are not named.
    """

    def end(name: str) -> Any:
        sign = signs.get(name, otherwise)
        return abs(sign) * np.asarray(getattr(most if sign > 0 else least, name))

    return Shifts(**{name: end(name) for name in NAMES})


class Closed(NamedTuple):
    """A drive with its points closed, whatever its kind, (m,)."""

    travel_mm: Array
    left_mm: Array  # over-travel, all slack taken up
    force_n: Array  # likewise, at the weaker end
    stronger_n: Array  # at the stronger end
    stress_share: Array  # of tensile, the worst place


@dataclass(frozen=True)
class Study:
    """A drive as its tolerances change it.

    Attributes:
        counted: names of the shifts that it is subject to.
        as_set: with things off by some shifts, the pulses as reported.
        trimmed: the same, each end pulse trimmed on the layout.
    """

    counted: frozenset[str]
    as_set: Callable[[Shifts], Closed]
    trimmed: Callable[[Shifts], Closed]
