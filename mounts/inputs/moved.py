"""What a lift moves: a signal's arm or a boom on its crank, sizes as in reality; and the places that it is held in."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Self

from pydantic import Field, model_validator

from mounts.inputs.model import Model, Profile, agree

FEWEST, MOST = 2, 3
"""Places that a signal or a boom is held in."""

SHORTEST_CRANK_MM, LONGEST_CRANK_MM = 1.5, 4.0
"""Cranks of signals and booms on models (brief, 3.3); what a scale makes of the real thing is kept within."""

_NAMES = {2: ("rest", "raised"), 3: ("rest", "middle", "raised")}
_ALLOWED = "must be 2 or 3 places, such as '0, 45' or 'danger=0, clear=45', or their number"


class Position(Model):
    """A place that is held: degrees of a crank above level, or mm that a sliding wire is lifted."""

    name: str = Field(min_length=1, max_length=20)
    at: float


class Moved(Profile):
    """A signal's arm or a boom. Angles are those of the arm itself; its crank stands at another to it."""

    positions: dict[str, float] = Field(description="name and angle of the arm above level, degrees, at rest first")
    crank_m: float = Field(gt=0, le=1, description="spindle to the crank's hole, in reality, m")
    pivot_height_m: float = Field(gt=0, le=15, description="spindle above the ground, in reality, m")
    weight_n: float = Field(ge=0, le=5, description="what it pulls or pushes the rod with, counterweight counted, N")
    stop_n: float = Field(gt=0, le=10, description="most that its stop may be pressed with, N")
    seconds: float = Field(gt=0, le=60, description="from one end to the other, s")

    @model_validator(mode="after")
    def _can_be_moved(self) -> Self:
        angles = list(self.positions.values())
        agree(
            self,
            (
                (FEWEST <= len(angles) <= MOST, "positions", f"be {FEWEST} or {MOST}"),
                (angles == sorted(set(angles)) and max(map(abs, angles), default=0) <= 120, "positions",
                 "rise, within 120° of level"),
            ),
        )  # fmt: skip
        return self

    def crank_mm(self, ratio: float) -> float:
        """The crank in a scale: as in reality, and never shorter or longer than models have it."""
        return round(min(max(1000.0 * self.crank_m / ratio, SHORTEST_CRANK_MM), LONGEST_CRANK_MM), 1)

    def pivot_height_mm(self, ratio: float) -> float:
        """The spindle above the board in a scale, to a tenth."""
        return round(1000.0 * self.pivot_height_m / ratio, 1)

    def crank_positions(self) -> tuple[Position, ...]:
        """Where the crank stands at each: set on its spindle so that it is level half way."""
        middle = (min(self.positions.values()) + max(self.positions.values())) / 2.0
        return tuple(Position(name=name, at=angle - middle) for name, angle in self.positions.items())


def positions_of(written: object) -> tuple[Position, ...] | int:
    """Places in a row, or how many there are, from ``'0, 45'``, ``'danger=0, clear=45'``, ``3``, a list or a table.

    Raises:
        ValueError: nothing of that; begins with ``must``.
    """
    pairs: list[tuple[str | None, Any]] = []
    if isinstance(written, bool):
        raise ValueError(_ALLOWED)
    if isinstance(written, int) and FEWEST <= written <= MOST:
        return written
    if isinstance(written, str):
        text = written.strip()
        if text.isascii() and text.isdigit() and FEWEST <= int(text) <= MOST:
            return int(text)
        for part in re.split(r"[,;/]\s*", text):
            found = re.fullmatch(r"(?:([^\d=]{1,20}?)\s*=\s*)?([-+−]?\d+(?:\.\d+)?)\s*(?:°|deg|mm)?", part.strip())
            if found is None:
                raise ValueError(_ALLOWED)
            pairs.append((found[1], float(found[2].replace("−", "-"))))
    elif isinstance(written, Mapping):
        pairs = [(str(name), value) for name, value in written.items()]
    elif isinstance(written, list | tuple):
        pairs = [(one.name, one.at) if isinstance(one, Position) else (None, one) for one in written]
    if not FEWEST <= len(pairs) <= MOST or not all(_is_number(value) for _, value in pairs):
        raise ValueError(_ALLOWED)
    names = [name or usual for (name, _), usual in zip(pairs, _NAMES[len(pairs)], strict=True)]
    if len(set(names)) < len(names) or len({value for _, value in pairs}) < len(pairs):
        raise ValueError("must be places that differ, in name and figure")
    return tuple(Position(name=name, at=float(value)) for name, (_, value) in zip(names, pairs, strict=True))


def evenly(count: int, low: float, high: float) -> tuple[Position, ...]:
    """So many places between two figures, the first at the low one."""
    step = (high - low) / (count - 1)
    return tuple(Position(name=name, at=low + n * step) for n, name in enumerate(_NAMES[count]))


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1000
