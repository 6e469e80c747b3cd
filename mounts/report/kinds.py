"""What the report asks of a kind of drive: its steps and tools, and its own figures in words."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from mounts.design import Design
from mounts.drive.kinds import kind_of
from mounts.drive.model import Drive
from mounts.drive.spread import AnySpread, Range
from mounts.inputs.spec import MountSpec

if TYPE_CHECKING:
    from mounts.report.model import Report


class Ends(NamedTuple):
    """What the tie bar does at each end of the swing."""

    normal: str
    reverse: str


class Figure(NamedTuple):
    """One thing that should be small: value and step, how much more of it matters, both in ``unit``; words for it."""

    what: str
    value: float
    unit: str
    step: float
    pinned_words: str  # with {} for the value, behind what was pinned
    free_words: str  # with {} for the value, where it was left free


def positions_of(drive: Any) -> Iterable[tuple[str, float]]:
    """Name and pulse of each position: those that a drive lists, else normal and reverse."""
    listed = getattr(drive, "positions", ())
    if listed:
        return [(position.name, position.pulse_us) for position in listed]
    return [("normal", drive.pulse_us.normal), ("reverse", drive.pulse_us.reverse)]


@dataclass(frozen=True)
class Outcome:
    """What a drive comes to where its wire ends, in words: points, or what else it moves.

    Attributes:
        told: label and text of what every reader wants: pulses, and what they do.
        explained: label and text for who wants to know; the last argument is the throw asked for, mm.
        studied: what of the tolerance study is told.
        asked: name, unit and value of what was asked for there.
        compared: the same of what comes of it.
        figures: what a pinned choice may make much worse.
        tools: what the steps ask for at what is moved: name and size.
        feelers: the same of what is needed last.
        curve_of: what its curve shows against the pulse.
    """

    told: Callable[[Report], Iterable[tuple[str, str]]]
    explained: Callable[[Drive, AnySpread, float], Iterable[tuple[str, str]]]
    studied: Callable[[AnySpread], Iterable[tuple[str, Range]]]
    asked: Callable[[MountSpec], Iterable[tuple[str, str, float | str]]]
    compared: Callable[[Drive], Iterable[tuple[str, str, float | str]]]
    figures: Callable[[MountSpec, Drive], Iterable[Figure]]
    tools: Callable[[MountSpec], Iterable[tuple[str, str]]]
    feelers: tuple[tuple[str, str], ...]
    curve_of: Callable[[Any], str] = lambda drive: "Pin against pulse"


@dataclass(frozen=True)
class Telling:
    """A kind in words. Figures are those of its own; what all drives have is told for all.

    Attributes:
        steps: how to put a mount up, one after the other.
        tools: what the steps ask for beyond what every mount needs, in the order of use: name and size.
        ends: normal and reverse by what a person sees at the layout.
        compared: name, unit and value of each dimension that someone who builds a second mount has to know.
        explained: label and text of each dimension, for who wants to know.
        figures: what a pinned choice may make much worse.
        instead: what a drive has in place of a pin of its kind; empty: none of its.
        outcome: what its drives come to; None: they throw points.
        curve: pulse, µs, and what is there, of a drive that throws no points.
        positions: name and pulse, µs, of each position that the controller sends it to.
    """

    steps: Callable[[Design], tuple[str, ...]]
    tools: Callable[[Design], Iterable[tuple[str, str]]]
    ends: Callable[[Design], Ends]
    compared: Callable[[Any], Iterable[tuple[str, str, float | str]]]
    explained: Callable[[Any], Iterable[tuple[str, str]]]
    figures: Callable[[Any], Iterable[Figure]] = lambda drive: ()
    instead: Callable[[Any, str], str] = lambda drive, pin: ""
    outcome: Outcome | None = None
    curve: Callable[[Any], Iterable[tuple[float, float]]] = lambda drive: ()
    positions: Callable[[Any], Iterable[tuple[str, float]]] = positions_of


def telling(drive: Drive) -> Telling:
    """The words of a drive's kind."""
    return kind_of(drive).part("report", Telling)


def outcome(drive: Drive) -> Outcome:
    """What a drive comes to, in words."""
    from mounts.report.points import POINTS

    return telling(drive).outcome or POINTS
