"""What the checks ask of a kind of drive: its own mechanics, and what is to be done where wire or servo meet things."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from mounts.checks.model import Check
from mounts.design import Design
from mounts.drive.kinds import kind_of


@dataclass(frozen=True)
class Beside:
    """What the wire passes at the board.

    Attributes:
        air_mm: least that is kept beside it.
        passes: what it is.
        meets: what is said where there is less.
    """

    air_mm: float
    passes: str
    meets: str


@dataclass(frozen=True)
class Judging:
    """A kind's own checks and words.

    Attributes:
        mechanics: force, stress, torque, resolution and slack of a design, worked out anew from the drive's
            dimensions; spread and limits are those of its kind. ``mounts.checks.mechanics`` has what kinds share.
        board: what its wire passes at the board.
        passes: what of the print the wire passes, such as a slot.
        passes_cure: what to change where it binds there, to follow ``use``.
        raising: what takes arm and servo further from the board, such as ``raise --depth``.
        pin_n: the most that the pin feels when the points jam and the arm's hole is pulled by so much, N.
        lever: way of the pin over that of the arm's hole.
        tips_nmm: what tips a drive's mount over an edge of its face on the board at some y, mount frame, when the servo
            pulls with so much; None: what the pin feels at its height.
    """

    mechanics: Callable[[Design, Any, Any], Iterator[Check]]
    board: Callable[[Design], Beside]
    passes: str
    passes_cure: str
    raising: str
    pin_n: Callable[[Any, float], float] = lambda drive, pull_n: pull_n
    lever: Callable[[Any], float] = lambda drive: 1.0
    tips_nmm: Callable[[Any, float, float], float] | None = None


def judging(design: Design) -> Judging:
    """The checks of a design's kind of drive."""
    return kind_of(design.drive).part("checks", Judging)
