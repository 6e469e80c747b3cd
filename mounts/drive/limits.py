"""Limits by name over a whole field of candidate drives: who survives, and what would bring one back."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from mounts.drive.figures import MOST_PLACES, fixed

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]


class Refusal(str):
    """Why nothing is left, with what would mend it.

    Attributes:
        why: the same without what would mend it.
    """

    why: str

    def __new__(cls, why: str, advice: str = "") -> Refusal:
        """The whole line."""
        whole = super().__new__(cls, why + advice)
        whole.why = why
        return whole


TOLD_LIMITS = 2  # a line that joins more shortfalls than this is not read


@dataclass(frozen=True)
class Limit:
    """One limit, for every candidate at once.

    Attributes:
        name: kebab-case, as people read it in "the limit that removed most".
        value: (n,) what each candidate has; NaN where it has none, which breaks nothing: another limit
            must say why there is none.
        bound: () what is allowed.
        sense: which side of the bound is allowed. An infinite value cannot be mended by moving the bound.
        noun: unit and what the value is, to follow "needs 46.2 …".
        way_out: what to change; ``{value}`` is the value asked, rounded to the safe side.
    """

    name: str
    value: Array
    bound: Array
    sense: Literal["at most", "at least"]
    noun: str
    way_out: str

    def excess(self) -> Array:
        """(n,) how far beyond the bound, as a share of it; ≤ 0 where kept, −inf where there is no value."""
        over = self.value - self.bound if self.sense == "at most" else self.bound - self.value
        share = over / np.maximum(np.abs(self.bound), 1e-3)
        return np.where(np.isnan(share), -np.inf, share)

    def broken(self) -> Flags:
        """(n,) true where the candidate is outside the limit (to 1e-9)."""
        return np.asarray(self.excess() > 1e-9)

    def asked(self, index: int) -> str:
        """The value a candidate asks for, rounded so that allowing it is enough.

        One decimal, or as many more as write the bound to 2 % and tell the value from it and from nothing.
        """
        return fixed(*self._rounded(index))

    def shortfall(self, index: int) -> str:
        """What a candidate lacks, as a clause."""
        value, places = self._rounded(index)
        shown, bound = fixed(value, places), fixed(float(self.bound), places)
        return (
            f"needs {shown} {self.noun}, allowed {bound}"
            if self.sense == "at most"
            else f"has {shown} {self.noun}, at least {bound}"
        )

    def _rounded(self, index: int) -> tuple[float, int]:
        """A candidate's value rounded to the safe side, and its decimals."""
        value, bound = float(self.value[index]), float(self.bound)
        for places in range(1, MOST_PLACES + 1):
            steps = value * 10.0**places
            whole = np.ceil(steps - 1e-6) if self.sense == "at most" else np.floor(steps + 1e-6)
            shown = round(float(whole) / 10.0**places, places)
            near = math.isclose(round(bound, places), bound, rel_tol=0.02)
            if near and shown != round(bound, places) and (shown != 0.0 or value <= 0.0):
                break
        return shown, places


Row = tuple[str, float, Literal["at most", "at least"], float, str]


@dataclass(frozen=True)
class Rule:
    """What is allowed of one quantity of a drive: the solver's limit and the report's row are both made from it.

    Attributes:
        name: of the limit.
        check: name of the row.
        sense: which side of the bound is allowed.
        bound: what is allowed, in ``unit``; a share where that is %.
        unit: of the value; empty for a ratio.
        noun: what the value is, to follow its unit.
        way_out: as in ``Limit``.
    """

    name: str
    check: str
    sense: Literal["at most", "at least"]
    bound: float
    unit: str
    noun: str
    way_out: str

    def limit(self, value: Array) -> Limit:
        """The solver's: what each candidate (n,) has, a share where the unit is %."""
        times = 100.0 if self.unit == "%" else 1.0
        noun = f"{self.unit or '×'} {self.noun}"
        return Limit(self.name, times * value, np.array(times * self.bound), self.sense, noun, self.way_out)

    def row(self, value: float) -> Row:
        """What a row of the report begins with: name, value, sense, limit and unit.

        Args:
            value: as one drive has it, a share where the unit is %.
        """
        times = 100.0 if self.unit == "%" else 1.0
        return self.check, times * value, self.sense, times * self.bound, self.unit

    def row_of(self, value: float, whole: float, unit: str) -> Row:
        """The same of a rule about shares, told as what they are shares of.

        Args:
            value: as one drive has it, in that unit.
            whole: what the bound is a share of, in that unit.
            unit: of value and bound.
        """
        return self.check, value, self.sense, self.bound * whole, unit


def at_most(name: str, value: Array, bound: float, noun: str, way_out: str) -> Limit:
    """A ceiling, the same for all candidates.

    Args:
        name: as in ``Limit``.
        value: (n,) what each candidate has.
        bound: the ceiling, in the unit of the value.
        noun: as in ``Limit``.
        way_out: as in ``Limit``.
    """
    return Limit(name, value, np.array(bound), "at most", noun, way_out)


def at_least(name: str, value: Array, bound: float, noun: str, way_out: str) -> Limit:
    """A floor, the same for all candidates.

    Args:
        name: as in ``Limit``.
        value: (n,) what each candidate has.
        bound: the floor, in the unit of the value.
        noun: as in ``Limit``.
        way_out: as in ``Limit``.
    """
    return Limit(name, value, np.array(bound), "at least", noun, way_out)


def survivors(limits: Sequence[Limit]) -> Flags:
    """(n,) candidates inside every limit."""
    return np.asarray(~np.any([limit.broken() for limit in limits], axis=0))


def deadliest(limits: Sequence[Limit]) -> tuple[str, int, int]:
    """Name of the limit that removes most candidates, how many it removes, and of how many."""
    counts = [int(limit.broken().sum()) for limit in limits]
    most = int(np.argmax(counts))
    return limits[most].name, counts[most], limits[most].value.size


def nearest(limits: Sequence[Limit]) -> int:
    """The candidate that a change brings back most easily.

    First those whose broken limits all have a value, then the fewest broken limits, then the least excess.
    """
    excess = np.array([np.where(limit.broken(), limit.excess(), 0.0) for limit in limits])
    total, broken = excess.sum(axis=0), np.count_nonzero(excess, axis=0)
    return int(np.lexsort((total, broken, np.isinf(total)))[0])


def explain(limits: Sequence[Limit], describe: Callable[[int], str]) -> Refusal:
    """Why nothing is left, and what would bring the nearest candidate back, on one line.

    Of more than ``TOLD_LIMITS`` broken limits the ones farthest off are told, and how many more there are.

    Args:
        limits: all limits over the same candidates, none of which survives.
        describe: a candidate in words ("the 1.2 mm wire in the 9 mm arm hole").
    """
    name, count, total = deadliest(limits)
    index = nearest(limits)
    lacking = [limit for limit in limits if limit.broken()[index]]
    text, advice = f"no drive; the limit '{name}' removed most ({count} of {total} candidates)", ""
    if all(np.isfinite(limit.excess()[index]) for limit in lacking):
        told = sorted(lacking, key=lambda limit: -float(limit.excess()[index]))[:TOLD_LIMITS]
        text += f"; nearest: {describe(index)} " + " and ".join(limit.shortfall(index) for limit in told)
        if more := len(lacking) - len(told):
            text += f", and {more} more limit{'s are' if more > 1 else ' is'} broken"
        advice = "; " + " and ".join(dict.fromkeys(limit.way_out.format(value=limit.asked(index)) for limit in told))
    return Refusal(text, advice)
