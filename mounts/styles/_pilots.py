"""The servo's own screws, which cut their thread in the print: length, pilot holes, and the plastic round them.

Core hole 0.80 to 0.85 d, engagement at least 2.5 d, boss at least 2.0 d (moulded parts, standards 7; a print between
its layers is no stronger, so none of them is taken lower).
"""

from __future__ import annotations

import math

from pydantic import Field

from mounts.inputs.fits import Fit
from mounts.inputs.model import Model
from mounts.inputs.printer import Printer
from mounts.inputs.servo import Servo

# of a screw's thread, into moulded plastic (standards.md, 7)
CORE = (0.80, 0.85)  # its hole, least and most
GRIP_DIAMETERS = 2.5  # how deep it goes in
BOSS_DIAMETERS = 2.0  # the boss round it
TRIED_MM = 0.4  # what a test piece may add to a hole; common practice, no source
BOSS_SHARE = 1.25  # from its axis to the end of a boss (standards, 7: 2.0 to 2.5 d across)
LENGTHS_MM = (4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0)  # as sold; common practice, no source
ROUND = 0.95  # share of the round that grips where the hole lies in print: its roof does not
WALL_SPARE_MM = 0.3  # a screw's point holds nothing


class Pilots(Model):
    """How the holes for the servo's screws are made.

    A hole the printer draws clean is printed. One it draws rough is printed too, and a drill is run through it. One
    that would close up, or leave no wall beside it, is marked and drilled.
    """

    printed_mm: float | None = Field(description="diameter as modelled, with what closes up in print; None: a mark")
    drill_mm: float | None = Field(description="drilled to, by hand; None: clean as printed")


def length_mm(servo: Servo) -> float:
    """Under the head: the servo's own where they grip over 2.5 d, else the shortest sold that does."""
    needed = servo.flange_thickness_mm + GRIP_DIAMETERS / ROUND * servo.screw_mm
    if servo.screw_length_mm >= needed - 1e-9:
        return servo.screw_length_mm
    return next((length for length in LENGTHS_MM if length >= needed), servo.screw_length_mm)


def wall_mm(servo: Servo) -> float:
    """Wall that a screw grips 2.5 d of."""
    return max(5.0, GRIP_DIAMETERS / ROUND * servo.screw_mm + WALL_SPARE_MM)


def pilots(servo: Servo, printer: Printer, hole: Fit, side_mm: float) -> Pilots:
    """How the holes are made.

    Args:
        servo: its screws.
        printer: what it can draw.
        hole: how it lies in print, ``fits.PILOT_UPRIGHT`` or ``fits.PILOT_LYING``.
        side_mm: from a hole's axis to the nearest free face beside it.
    """
    least, most = (share * servo.screw_mm + hole.closes_mm(printer) for share in CORE)
    widest = min(most, 2 * (side_mm - least_web_mm(servo, printer)))
    if widest < max(least, printer.smallest_hole_mm) - 1e-9:
        return Pilots(printed_mm=None, drill_mm=core_drill_mm(servo))
    # what a screw was tried in is drawn as it was tried; else rather a hole that comes out clean
    drawn = widest if hole.key in printer.fits_mm else min(max(least, printer.clean_hole_mm), widest)
    rough = drawn < printer.clean_hole_mm - 1e-9
    return Pilots(printed_mm=drawn, drill_mm=core_drill_mm(servo) if rough else None)


def least_web_mm(servo: Servo, printer: Printer) -> float:
    """Plastic beside a printed pilot hole: three lines, and what a boss of 2.0 d leaves beside a core of 0.8 d."""
    return max(3 * printer.nozzle_mm, (BOSS_DIAMETERS - CORE[0]) / 2 * servo.screw_mm) + 0.02


def boss_mm(servo: Servo, printer: Printer, pilot_mm: float | None) -> tuple[float, float]:
    """From a servo screw's axis to the end of its boss: beside it, and over the roof of a hole that lies in print.

    Large enough for a hole that was tried in a test piece: another one found there leaves the boss as it is.
    """
    radius, least = max(pilot_mm or 0.0, CORE[1] * servo.screw_mm + TRIED_MM) / 2, BOSS_SHARE * servo.screw_mm
    web = least_web_mm(servo, printer)
    return max(least, radius + web), max(least, math.sqrt(2) * radius + 0.3 + web)


def core_drill_mm(servo: Servo) -> float:
    """A drill for the core, to a tenth where one lies between 0.80 and 0.85 d."""
    least, most = (share * servo.screw_mm for share in CORE)
    tenth = math.ceil(least * 10 - 1e-6) / 10
    return tenth if tenth <= most + 1e-9 else round((least + most) / 2, 2)
