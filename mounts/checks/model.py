"""What a check says, and the one way to come to it: a value, its limit, and a sentence for either side of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from pydantic import Field

from mounts.drive.figures import fixed, told_apart
from mounts.frames import Array, Vector
from mounts.inputs.model import Model

Verdict = Literal["pass", "warn", "fail"]
Sense = Literal["at least", "at most", "exactly"]
Said = str | Callable[[float], str]
"""A sentence, or one that is made when it is needed, of the limit that decided."""

ROUNDING = 1e-6
"""By which a value may miss its limit: the last decimal of a report; what the solver puts on a limit is on it."""

ENDLESS = 1e6
"""Told of a margin over next to nothing: a report holds no infinity."""

_PLACE_DECIMALS = 3  # mm

_BROKEN = {"at least": "less than", "at most": "more than", "exactly": "not"}


class Check(Model):
    """One measured thing against its limit."""

    name: str = Field(description="kebab-case, the same for every mount")
    part: str | None = Field(None, description="part it was measured on; None: the mount as a whole")
    at_mm: Vector | None = Field(
        None, description="where on that part, print frame, mm; null: no one place, or the report is older"
    )
    verdict: Verdict
    value: float
    sense: Sense | None = Field(
        None, description="how value must be to limit; null where nothing was measured, or the report is older"
    )
    limit: float
    unit: str
    message: str = Field(description="what was measured; where it fails or warns, what to change")

    @classmethod
    def of(
        cls,
        name: str,
        value: float,
        sense: Sense,
        limit: float,
        unit: str,
        good: Said,
        bad: Said,
        *,
        part: str | None = None,
        at_mm: Array | None = None,
        otherwise: Verdict = "fail",
        warn: float | None = None,
        warned: Said | None = None,
        slack: float = 0.0,
    ) -> Check:
        """A value held against its limit: the condition is stated here, once for verdict and sentence.

        Args:
            name: of the check.
            value: as measured, in ``unit``.
            sense: how it must be to the limit.
            limit: beyond it the check is ``otherwise``.
            unit: of every figure here; empty for a ratio.
            good: said where it passes.
            bad: said where it does not.
            part: it was measured on.
            at_mm: where on it, (3,), print frame.
            otherwise: the verdict beyond the limit.
            warn: a stricter limit: between it and ``limit`` the check warns, and that is then the limit it gives.
            warned: said where it warns of that one, if not ``bad``.
            slack: by how much the measuring itself may be off, allowed beyond each limit.
        """
        verdict: Verdict = "pass"
        said = good
        if not _holds(value, sense, limit, slack):
            verdict, said = otherwise, bad
        elif warn is not None and not _holds(value, sense, warn, slack):
            verdict, said, limit = "warn", bad if warned is None else warned, warn
        message = said if isinstance(said, str) else said(limit)
        place = None if at_mm is None else tuple(round(float(v), _PLACE_DECIMALS) + 0.0 for v in at_mm)
        return cls(
            name=name,
            part=part,
            at_mm=place,
            verdict=verdict,
            value=value,
            sense=sense,
            limit=limit,
            unit=unit,
            message=message,
        )

    @classmethod
    def told(
        cls,
        name: str,
        value: float,
        sense: Sense,
        limit: float,
        unit: str,
        measured: str,
        advice: str,
        *,
        otherwise: Verdict = "fail",
        warn: float | None = None,
        places: int = 2,
    ) -> Check:
        """A check of the mount that tells its figures: what was measured and, where that is not well, limit and advice.

        Args:
            name: of the check.
            value: as measured, in ``unit``.
            sense: how it must be to the limit.
            limit: as for ``of``.
            unit: of every figure here.
            measured: sentence with ``{value}`` in it.
            advice: said behind the limit where it is broken.
            otherwise: as for ``of``.
            warn: as for ``of``.
            places: decimals of both figures, more where they would look alike.
        """

        def broken(bound: float) -> str:
            shown, most = told_apart(value, bound, places)
            spaced = unit if unit in ("", "°") else f" {unit}"
            return f"{measured.format(value=shown)}, {_BROKEN[sense]} {most}{spaced}: {advice}"

        good = measured.format(value=fixed(value, places))
        return cls.of(name, value, sense, limit, unit, good, broken, otherwise=otherwise, warn=warn)

    @classmethod
    def unmeasured(cls, name: str, verdict: Verdict, unit: str, message: str, *, part: str | None = None) -> Check:
        """A row where there is nothing to hold a value against; value and limit are 0.

        Args:
            name: of the check.
            verdict: as it is.
            unit: that a value would have.
            message: why there is none.
            part: it is about.
        """
        return cls(name=name, part=part, verdict=verdict, value=0.0, limit=0.0, unit=unit, message=message)


def _holds(value: float, sense: Sense, limit: float, slack: float) -> bool:
    beyond = {"at least": limit - value, "at most": value - limit, "exactly": abs(value - limit)}[sense]
    return beyond <= slack + ROUNDING
