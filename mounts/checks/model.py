"""What a check says."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from mounts.inputs.model import Model

Verdict = Literal["pass", "warn", "fail"]


class Check(Model):
    """One measured thing against its limit."""

    name: str = Field(description="kebab-case, the same for every mount")
    part: str | None = Field(None, description="part it was measured on; None: the mount as a whole")
    verdict: Verdict
    value: float
    limit: float
    unit: str
    message: str = Field(description="what was measured; where it fails or warns, what to change")


def at_least(
    name: str, value: float, limit: float, unit: str, message: str, *, part: str | None = None,
    otherwise: Verdict = "fail",
) -> Check:
    """A check that passes when value ≥ limit (to 1e-9) and is ``otherwise`` below."""
    verdict: Verdict = "pass" if value >= limit - 1e-9 else otherwise
    return Check(name=name, part=part, verdict=verdict, value=value, limit=limit, unit=unit, message=message)


def at_most(
    name: str, value: float, limit: float, unit: str, message: str, *, part: str | None = None,
    otherwise: Verdict = "fail",
) -> Check:
    """A check that passes when value ≤ limit (to 1e-9) and is ``otherwise`` above."""
    verdict: Verdict = "pass" if value <= limit + 1e-9 else otherwise
    return Check(name=name, part=part, verdict=verdict, value=value, limit=limit, unit=unit, message=message)


def graded(value: float, *, fail_under: float, warn_under: float) -> tuple[Verdict, float]:
    """Verdict of a value that should be large, and the limit that decided it (to 1e-9)."""
    if value < fail_under - 1e-9:
        return "fail", fail_under
    return ("warn", warn_under) if value < warn_under - 1e-9 else ("pass", fail_under)
