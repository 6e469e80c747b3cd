"""What stands on the test piece, as numbers: a specimen in steps for each pair of ``inputs.fits`` that is measured."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from mounts.inputs import fits
from mounts.inputs.fits import Fit
from mounts.inputs.fixing import Fixing
from mounts.inputs.printer import Printer
from mounts.inputs.servo import Servo
from mounts.styles import _pilots

Shape = Literal["bore", "slot", "channel", "tunnel", "fin", "lean", "bridge"]

STEPS = 4  # of each pair, the profile's own among them
SIDE_STEP_MM, WIDTH_STEP_MM = 0.05, 0.1
"""From one step to the next: of a gap a side, and of a width or a diameter. Finer than a printer repeats is no use."""

TONGUE_MM, TONGUE_THICK_MM = 6.0, 2.4
"""The printed tongue that stands for rim, rail and case in the channels."""

SHANK_MM = 3.0  # stands for a post: drills are round to a hundredth, and at hand

AMPLE_MM = 10.0  # plastic beside a pilot where nothing else is near
FIN_LINES = (1.0, 1.5, 2.0, 3.0)  # nozzles
LEAN_LESS_DEG = (15.0, 10.0, 5.0, 0.0)  # under the steepest lean of the profile
BRIDGE_SHARES = (0.4, 0.6, 0.8, 1.0)  # of the longest bridge of the profile


@dataclass(frozen=True)
class Specimen:
    """One thing in steps.

    Attributes:
        letter: on the piece.
        key: in a file of answers; for a pair its ``Fit.key``.
        title: what it is.
        shape: how it is drawn.
        goes_in: what is tried in it, and its size in words; empty where it is only looked at.
        asks: which step is the answer.
        figures: the printer's figure that each step stands for, rising, mm or °.
        drawn: what each step measures on the mesh, mm or °.
        pair: the pair; None for what is only looked at.
    """

    letter: str
    key: str
    title: str
    shape: Shape
    goes_in: str
    asks: str
    figures: tuple[float, ...]
    drawn: tuple[float, ...]
    pair: Fit | None = None


@dataclass(frozen=True)
class Coupon:
    """The whole test piece for a printer, a servo, a wire and a screw."""

    printer: Printer
    servo: Servo
    fixing: Fixing
    wire_mm: float
    specimens: tuple[Specimen, ...]

    def of(self, key: str) -> Specimen | None:
        """The specimen of a key, None where the piece has none."""
        return next((specimen for specimen in self.specimens if specimen.key == key), None)


SLIDES = "the least number at which it goes in by hand, and slides without shaking"
HOLDS = "the least number at which the screw goes in by hand, holds, and the print does not crack"
PASSES = "the least number through which it drops by its own weight, or by a light push"
TURNS = "the least number in which it slides and turns freely, and does not rattle"


def figures_mm(present_mm: float, step_mm: float) -> tuple[float, ...]:
    """Figures about the present one, which is the second."""
    first = max(0.0, round(present_mm - step_mm, 3))
    return tuple(round(first + step * step_mm, 3) for step in range(STEPS))


def with_figure(printer: Printer, fit: Fit, figure_mm: float) -> Printer:
    """The printer with another figure for one pair."""
    return printer.model_copy(update={"fits_mm": {**printer.fits_mm, fit.key: figure_mm}})


def coupon(printer: Printer, servo: Servo, fixing: Fixing, wire_mm: float) -> Coupon:
    """The test piece.

    Args:
        printer: as it is known now: its figures are in the middle of the steps.
        servo: goes into the pocket, its screws into the pilots.
        fixing: the screw into the board.
        wire_mm: of the pivot.
    """
    return Coupon(printer, servo, fixing, wire_mm, tuple(_specimens(printer, servo, fixing, wire_mm)))


def _specimens(printer: Printer, servo: Servo, fixing: Fixing, wire_mm: float) -> list[Specimen]:
    case = f"the end of the servo's case, {servo.case_width_mm:g} mm wide"
    tongue = f"the printed tongue, {TONGUE_MM:g} mm wide"
    flat = f"the printed tongue, {TONGUE_THICK_MM:g} mm thick"
    own = f"a screw of the servo, {servo.screw_mm:g} mm"
    screw = f"the screw into the board, {fixing.name}"
    rows: list[tuple[Fit, Shape, str, str, str, float]] = [
        (fits.PILOT_UPRIGHT, "bore", "pilot hole, upright", own, HOLDS, 0.0),
        (fits.PIVOT, "slot", "pivot", f"the wire, {wire_mm:g} mm", TURNS, wire_mm),
        (fits.FIXING_UPRIGHT, "bore", "screw's hole, upright", screw, PASSES, fixing.clearance_mm),
        (fits.POST, "bore", "seat of a post", f"the shank of a {SHANK_MM:g} mm drill", SLIDES, SHANK_MM),
        (fits.PILOT_LYING, "bore", "pilot hole, lying", own, HOLDS, 0.0),
        (fits.FIXING_LYING, "bore", "screw's hole, lying", screw, PASSES, fixing.clearance_mm),
        (fits.POCKET, "channel", "servo's pocket", case, SLIDES, servo.case_width_mm),
        (fits.SHELL, "channel", "shell on its frame", tongue, SLIDES, TONGUE_MM),
        (fits.ROOF, "channel", "roof on its shell", tongue, SLIDES, TONGUE_MM),
        (fits.POCKET_LEVEL, "tunnel", "pocket across the layers", flat, SLIDES, TONGUE_THICK_MM),
    ]
    letters = iter("ABCDEFGHJKLMN")  # I looks like 1
    found = []
    for fit, shape, title, goes_in, asks, inside_mm in rows:
        a_side = fit.counted == "a side"
        figures = figures_mm(fit.measured_mm(printer), SIDE_STEP_MM if a_side else WIDTH_STEP_MM)
        drawn = tuple(_drawn_mm(fit, with_figure(printer, fit, figure), servo, inside_mm) for figure in figures)
        if all(size is not None for size in drawn):  # a pilot too small to print is marked and drilled in mounts too
            sizes = tuple(size for size in drawn if size is not None)
            found.append(Specimen(next(letters), fit.key, title, shape, goes_in, asks, figures, sizes, fit))
    fins = tuple(round(lines * printer.nozzle_mm, 3) for lines in FIN_LINES)
    leans = tuple(printer.overhang_deg - less for less in LEAN_LESS_DEG)
    spans = tuple(round(share * printer.bridge_warn_mm, 3) for share in BRIDGE_SHARES)
    found += [
        Specimen(next(letters), "thinnest-wall", "comb of walls", "fin", "", "the least number that came out whole, "
                 "straight and without gaps", fins, fins),
        Specimen(next(letters), "overhang", "leaning walls", "lean", "", "the greatest number whose underside is clean",
                 leans, leans),
        Specimen(next(letters), "bridge", "bridges", "bridge", "", "the greatest number whose underside does not sag",
                 spans, spans),
    ]  # fmt: skip
    return found


def _drawn_mm(fit: Fit, printer: Printer, servo: Servo, inside_mm: float) -> float | None:
    """What a mount draws for a pair with that printer; None where it would not be printed at all."""
    if fit in (fits.PILOT_UPRIGHT, fits.PILOT_LYING):
        return _pilots.pilots(servo, printer, fit, AMPLE_MM).printed_mm
    if fit in (fits.FIXING_UPRIGHT, fits.FIXING_LYING):
        return inside_mm + fit.closes_mm(printer)
    sides = 2.0 if fit.counted == "a side" else 1.0
    return inside_mm + sides * fit.air_mm(printer) + fit.closes_mm(printer)


def rises_deg(servo: Servo) -> float:
    """Half the angle between the two sides of the protractor: what the servo surely turns to either side.

    In whole fives, 30 to 45: less measures worse, more the arm does not reach.
    """
    room_us = min(servo.pulse_max_us - servo.pulse_centre_us, servo.pulse_centre_us - servo.pulse_min_us)
    least = (servo.degrees_per_us - servo.degrees_per_us_spread) * room_us - 180.0 / servo.spline_teeth
    return min(45.0, max(25.0, 5.0 * math.floor(least / 5.0)))
