"""What a drive comes to that throws points, in words: travel, and the force at the blades."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from mounts.drive.model import Drive, PointsDrive
from mounts.drive.ranking import FREE_SLACK_SHARE
from mounts.drive.spread import AnySpread, Range, Spread
from mounts.inputs.spec import MountSpec
from mounts.report.kinds import Figure, Outcome
from mounts.units import number

if TYPE_CHECKING:
    from mounts.report.model import Report


def _throwing(drive: Drive) -> PointsDrive:
    if not isinstance(drive, PointsDrive):
        raise TypeError(f"{drive.kind} throws no points")
    return drive


def _studied_of(spread: AnySpread) -> Spread:
    if not isinstance(spread, Spread):
        raise TypeError("the spread of a drive that throws points is asked for")
    return spread


def force_words(drive: Drive, spread: AnySpread) -> str:
    """The force at the blades with its spread: what is left once the slack is taken up."""
    found = _studied_of(spread).force_n
    return (
        f"{number(_throwing(drive).force_after_slack_n, 2)} N at the blade, {number(found.percentile_5, 2)} to "
        f"{number(found.percentile_95, 2)} N in nine mounts of ten"
    )


def _told(report: Report) -> Iterator[tuple[str, str]]:
    pulse = report.drive.pulse_us
    yield (
        "pulses",
        (f"normal {number(pulse.normal, 0)}, centre {number(pulse.centre, 0)}, reverse {number(pulse.reverse, 0)} µs"),
    )
    yield "force", force_words(report.drive, report.spread)


def _explained(drive: Drive, spread: AnySpread, throw_mm: float) -> Iterator[tuple[str, str]]:
    yield "travel", f"{number(drive.travel_mm, 2)} mm for a throw of {number(throw_mm, 2)} mm"
    yield "force", force_words(drive, spread)


def _studied(spread: AnySpread) -> Iterator[tuple[str, Range]]:
    found = _studied_of(spread)
    yield "travel, mm", found.travel_mm
    yield "over-travel a side, mm", found.overtravel_mm
    yield "force, N", found.force_n


def _compared(drive: Drive) -> Iterator[tuple[str, str, float | str]]:
    throwing = _throwing(drive)
    yield "travel", "mm", drive.travel_mm
    yield "over-travel a side", "mm", throwing.overtravel_mm
    yield "force at the blades", "N", throwing.force_after_slack_n


def _slack(spec: MountSpec, drive: Drive) -> Iterator[Figure]:
    # what is good enough anyway is no gain either
    slack = max(drive.lost_motion_mm, FREE_SLACK_SHARE * spec.throw_mm)
    yield Figure("slack", slack, "mm", 0.2, "leaves {} mm of slack", "there are {} mm")


POINTS = Outcome(
    told=_told,
    explained=_explained,
    studied=_studied,
    asked=lambda spec: [("throw", "mm", spec.throw_mm)],
    compared=_compared,
    figures=_slack,
    tools=lambda spec: [("drill, tie bar's hole", f"{number(spec.tie_bar_hole_mm)} mm")],
    feelers=(("strip of thin paper", "feeler at the blades"),),
)
