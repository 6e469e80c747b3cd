"""From which step fitted to the printer's profile of its user."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from mounts.coupon.plan import STEPS, Coupon, Specimen
from mounts.errors import Fault, InputError
from mounts.inputs.load import nearest
from mounts.inputs.model import shown
from mounts.units import number

NONE = 0
"""The answer where not even the last step fitted."""


@dataclass(frozen=True)
class Recorded:
    """What the answers come to.

    Attributes:
        figures: fields of the printer's profile to be written.
        keys: what was answered.
        told: a line an answer: what was there before, what is now.
        again: keys whose answer lies at the end of the steps, so that a better one may lie beyond.
    """

    figures: dict[str, Any]
    keys: tuple[str, ...]
    told: tuple[str, ...]
    again: tuple[str, ...] = field(default=())


def recorded(coupon: Coupon, answers: Mapping[str, Any]) -> Recorded:
    """The figures that the answers stand for.

    A wall, a lean or a bridge is looked at; of those the lean is told and not recorded, for every mount leans to 45°
    somewhere, and no figure in a profile makes it less steep.

    Args:
        coupon: the piece that was printed.
        answers: step by key, 1 to STEPS; 0: none fitted. What is left out stays as it is.

    Raises:
        InputError: a fault for each key that the piece does not have and each answer that is no step.
    """
    keys = [specimen.key for specimen in coupon.specimens]
    faults = []
    for key, answer in answers.items():
        if key not in keys:
            near = nearest(key, keys)
            faults.append(Fault(f"nothing of that name is on the test piece; nearest is '{near or keys[0]}'", (key,)))
        elif isinstance(answer, bool) or not isinstance(answer, int) or not 0 <= answer <= STEPS:
            said = f"must be a step, 1 to {STEPS}, or 0 where none fitted"
            faults.append(Fault(said, (key,), shown(answer)))
    if faults:
        raise InputError(*faults)
    fits_mm = dict(coupon.printer.fits_mm)
    figures: dict[str, Any] = {}
    told, again = [], []
    for specimen in coupon.specimens:
        answer = answers.get(specimen.key)
        if answer is None:
            continue
        figure = figure_of(specimen, answer)
        if specimen.pair is not None:
            before = specimen.pair.measured_mm(coupon.printer)
            fits_mm[specimen.key] = figure  # type: ignore[index]
            told.append(f"{specimen.title}: {number(before)} -> {number(figure)} mm {_counted(specimen)}")
            if answer in (NONE, STEPS) or (answer == 1 and figure > 0):
                again.append(specimen.key)
        elif specimen.shape == "fin":
            figures["thinnest_wall_mm"] = figure
            told.append(f"thinnest wall: {number(figure)} mm")
        elif specimen.shape == "bridge":
            figures["bridge_warn_mm"] = figure
            told.append(f"longest good bridge: {number(coupon.printer.bridge_warn_mm)} -> {number(figure)} mm")
        elif answer < STEPS:
            told.append(
                f"walls that lean by {number(specimen.figures[-1])}° do not come out clean, and mounts have such: "
                "more cooling, or slower, or less heat; nothing is recorded of it"
            )
    return Recorded({"fits_mm": fits_mm, **figures}, tuple(answers), tuple(told), tuple(again))


def figure_of(specimen: Specimen, answer: int) -> float:
    """The figure of a step; where none fitted, one step past the widest, thickest or shortest."""
    if answer != NONE:
        return specimen.figures[answer - 1]
    step = specimen.figures[1] - specimen.figures[0]
    if specimen.shape == "bridge":
        return max(2.0, round(specimen.figures[0] - step, 3))
    return round(specimen.figures[-1] + step, 3)


def with_figures(coupon: Coupon, figures: Mapping[str, Sequence[float]]) -> Coupon:
    """The piece as it was printed, by the figures that were written beside it.

    Raises:
        InputError: figures that are no rising row of STEPS numbers.
    """
    specimens = []
    for specimen in coupon.specimens:
        row = figures.get(specimen.key, specimen.figures)
        sound = len(row) == STEPS and all(isinstance(each, int | float) for each in row)
        if not sound or list(row) != sorted(row):
            raise InputError(Fault(f"must be {STEPS} numbers, rising", ("figures", specimen.key), shown(list(row))))
        specimens.append(Specimen(**{**vars(specimen), "figures": tuple(float(each) for each in row)}))
    return Coupon(coupon.printer, coupon.servo, coupon.fixing, coupon.wire_mm, tuple(specimens))


def _counted(specimen: Specimen) -> str:
    pair = specimen.pair
    if pair is None:
        return ""
    return "added, for what closes up" if pair.closes else f"{pair.counted}"
