"""How sure a drive is: travel, over-travel and force under the tolerances of board, print and servo."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from mounts.drive.kinds import kind_of_both
from mounts.drive.model import Drive, Limits, PointsDrive
from mounts.drive.tolerances import (
    NAMES,
    TOGETHER,
    TRIMMED_AWAY,
    TRIMMED_FROM_THE_CENTRE,
    Closed,
    Shifts,
    Study,
    tolerances,
)
from mounts.inputs.model import Model
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

SAMPLES = 4000  # a 5th percentile of them stands to 0.35 % of the mounts, √(0.05 · 0.95/4000)
SEED = 1825  # any will do, so that a report is the same each time


class Range(Model):
    """One quantity, its worst cases and what nine mounts in ten will show, in the unit that its field is named by."""

    low: float = Field(description="worst case")
    nominal: float = Field(description="with nothing off, all slack taken up; the mode of the study")
    high: float = Field(description="worst case")
    percentile_5: float = Field(description="Monte Carlo")
    percentile_95: float = Field(description="Monte Carlo")


class Spread(Model):
    """Tolerance study of a drive, all slack taken up, at either end of the swing.

    Trimmed: each end pulse was moved on the layout until the blade touches and then as far on as meant. What
    remains is the wire's diameter, lengths, the gain over the last few degrees, dead band and the eye.
    """

    travel_mm: Range = Field(description="end to end, wire or loop unloaded, no slack, the pulses as reported")
    overtravel_mm: Range = Field(description="per side past the touch, trimmed")
    force_n: Range = Field(description="at the blades, points closed, trimmed")
    untrimmed_overtravel_mm: Range = Field(description="per side past the touch, the pulses as reported")
    untrimmed_force_n: Range = Field(description="at the blades with the pulses as reported; below 0: stays open")
    untrimmed_stress_share: float = Field(description="largest stress of tensile on the way to both ends, worst case")
    samples: int
    seed: int


class AngleSpread(Model):
    """Tolerance study of a drive that holds something in places: how far it stands from where it was asked to.

    Trimmed: the pulse of every position was set on the layout by the eye. What remains is play, dead band and the eye.
    """

    positions: tuple[Range, ...] = Field(description="each position in turn, off what was asked for, trimmed")
    untrimmed: tuple[Range, ...] = Field(description="likewise with the pulses as reported")
    unit: Literal["°", "mm"] = Field(description="of all figures: degrees of a crank, or mm of a sliding wire")
    backlash: float = Field(description="between both ends of the play in all holes, in the same unit")
    samples: int
    seed: int


AnySpread = Spread | AngleSpread
"""What a report says of how sure a drive is, by what the drive is for."""


def spread_of(spec: MountSpec, limits: Limits, drive: Drive) -> AnySpread:
    """The tolerance study of a drive, whatever it is for.

    Raises:
        TypeError: limits and drive are of different kinds.
    """
    places = kind_of_both(limits, drive).places
    return places(spec, limits, drive) if places else spread(spec, limits, drive)


def spread(spec: MountSpec, limits: Limits, drive: Drive, *, samples: int = SAMPLES, seed: int = SEED) -> Spread:
    """Worst case and Monte Carlo of a drive under ``mounts.drive.tolerances``, trimmed and as set.

    The worst case tries every combination of low, middle and high of each tolerance (a force need not
    be largest at an end); what acts alike goes together. The Monte Carlo draws each by itself from a triangle
    over the same width, mode in the middle, seeded: the same request gives the same figures.

    Args:
        spec: the request, for throw, board and tolerances.
        limits: of the drive's kind, for the slack of a pivot.
        drive: the drive as solved.
        samples: draws of the Monte Carlo.
        seed: of its generator.

    Raises:
        TypeError: limits and drive are of different kinds, or throw no points.
    """
    study = kind_of_both(limits, drive).study
    if study is None or not isinstance(drive, PointsDrive):
        raise TypeError(f"{drive.kind} throws no points")
    return _studied(
        study(spec, limits, drive), tolerances(spec, drive.wire_mm), samples, seed, told_n=drive.force_after_slack_n
    )


def _studied(study: Study, box: tuple[Shifts, Shifts], samples: int, seed: int, *, told_n: float) -> Spread:
    """Corners and draws over the box, the drive closed with either.

    Forces go by the drive's own, ``told_n``: a loop that is chosen by formula is told by the exact line of its wire.
    """
    exact = study.as_set(Shifts())
    exactly = told_n / float(exact.force_n)
    drawn = _drawn(box, samples, seed)
    worst_set, seen_set = study.as_set(_corners(box, study.counted - {"touch_mm"})), study.as_set(drawn)
    centred = replace(drawn, tooth_rad=0.0)  # what one end gains by the tooth the other loses
    worst_way = study.as_set(_corners(box, study.counted - {"touch_mm"} - TRIMMED_FROM_THE_CENTRE))
    seen_way = study.as_set(centred)
    worst, seen = study.trimmed(_corners(box, study.counted - TRIMMED_AWAY)), study.trimmed(drawn)
    return Spread(
        travel_mm=_range(worst_way.travel_mm, seen_way.travel_mm, exact.travel_mm),
        overtravel_mm=_range(worst.left_mm, seen.left_mm, exact.left_mm),
        force_n=_forces(worst, seen, told_n, exactly),
        untrimmed_overtravel_mm=_range(worst_set.left_mm, seen_set.left_mm, exact.left_mm),
        untrimmed_force_n=_forces(worst_set, seen_set, told_n, exactly),
        untrimmed_stress_share=float(worst_way.stress_share.max()),
        samples=samples,
        seed=seed,
    )


def _corners(box: tuple[Shifts, Shifts], counted: frozenset[str]) -> Shifts:
    """Every combination of low, middle and high of what counts, (m,)."""
    alike = [tuple(name for name in group if name in counted) for group in TOGETHER]
    single = [(name,) for name in NAMES if name in counted and not any(name in group for group in alike)]
    groups = [group for group in (*alike, *single) if group]
    signs = np.array(list(itertools.product((-1.0, 0.0, 1.0), repeat=len(groups)))).T
    return _at_ends(box, {name: sign for group, sign in zip(groups, signs, strict=True) for name in group})


def _drawn(box: tuple[Shifts, Shifts], samples: int, seed: int) -> Shifts:
    """Draws of everything, each from a triangle over its width, (samples,)."""
    unit = np.random.default_rng(seed).triangular(-1.0, 0.0, 1.0, size=(len(NAMES), samples))
    return _at_ends(box, dict(zip(NAMES, unit, strict=True)))


def _at_ends(box: tuple[Shifts, Shifts], signs: dict[str, Array]) -> Shifts:
    """Shifts at signed shares (m,) of their ends; those without a share are not off."""
    least, most = box
    return Shifts(
        **{
            name: np.where(share < 0.0, -share * getattr(least, name), share * getattr(most, name))
            for name, share in signs.items()
        }
    )


def _forces(worst: Closed, seen: Closed, told_n: float, exactly: float) -> Range:
    """Low figures of the weaker end, high ones of the stronger."""
    weak = _range(exactly * worst.force_n, exactly * seen.force_n, np.array(told_n))
    strong = _range(exactly * worst.stronger_n, exactly * seen.stronger_n, np.array(told_n))
    return weak.model_copy(update={"high": strong.high, "percentile_95": strong.percentile_95})


def _range(worst: Array, seen: Array, nominal: Array) -> Range:
    low, high = np.percentile(seen, [5.0, 95.0])
    return Range(
        low=float(worst.min()),
        nominal=float(nominal),
        high=float(worst.max()),
        percentile_5=float(low),
        percentile_95=float(high),
    )
