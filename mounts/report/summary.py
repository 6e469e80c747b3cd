"""The report as text for a terminal: in short, and with every figure for who wants to know."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from mounts.checks.model import Check
from mounts.drive.model import Drive
from mounts.drive.spread import AnySpread, Range
from mounts.report.adapt import SHOWN_PLACES, Adapted, Compared
from mounts.report.brief import brief, check_line
from mounts.report.kinds import outcome, telling
from mounts.report.model import Report
from mounts.units import number

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

_COLOURS = {"pass": "green", "warn": "yellow", "fail": "bold red"}
_CLOSE = 0.1  # of its limit: a check that passes by less is told to the curious


def show(report: Report, folder: Path, console: Console, *, cached: bool = False, explained: bool = False) -> None:
    """Prints a report.

    Args:
        report: of one mount.
        folder: where its files are.
        console: of rich; decides on colour.
        cached: nothing was made, the folder already held the answer.
        explained: every figure too: why this drive, what it does, how sure that is, which checks pass by little.
    """
    head, *lines = brief(report, folder, cached=cached)
    console.print(head, style=_COLOURS[report.verdict], markup=False, soft_wrap=True)
    for line in lines:
        console.print(line, markup=False, soft_wrap=True)
    if report.adapted:
        show_adapted(report.adapted, console)
    if explained:
        _explain(report, console)


def _explain(report: Report, console: Console) -> None:
    from rich.markup import escape

    console.print()
    console.print(escape(report.drive.explanation))
    console.print(_pairs(_drive_rows(report)))
    console.print(_study(report))
    console.print(_hardware(report))
    for check in sorted(report.checks, key=_closeness):
        if is_close(check):
            told = check.verdict if check.verdict != "pass" else "close"
            console.print(f"{told}  {escape(check_line(check))}")
    for line in report.cautions:
        console.print(f"caution  {escape(line)}")
    for cost in report.costs_of_pins:
        console.print(f"cost  {escape(cost.sentence)}")


def is_close(check: Check) -> bool:
    """Whether a check warns, fails, or passes by little."""
    return check.verdict != "pass" or 0 < _closeness(check) < _CLOSE


def _closeness(check: Check) -> float:
    """How far a check is from its limit, as a share of it; what is counted is never close."""
    if check.verdict != "pass":
        return -1.0
    return abs(check.value - check.limit) / abs(check.limit) if check.limit else 1.0


def _study(report: Report) -> Table:
    from rich.table import Table

    table = Table(
        "tolerances", "least", "5 %", "nominal", "95 %", "most", box=None, padding=(0, 2, 0, 0), header_style="bold"
    )
    for what, found in outcome(report.drive).studied(report.spread):
        table.add_row(what, *_range(found))
    return table


def _range(found: Range) -> list[str]:
    ordered = (found.low, found.percentile_5, found.nominal, found.percentile_95, found.high)
    return [number(value, 2) for value in ordered]


def _drive_rows(report: Report) -> list[tuple[str, str]]:
    return drive_rows(
        report.drive, report.spread, wire_cut_mm=report.wire_cut_mm, throw_mm=report.inputs.throw_mm,
        housing=_housing_rows(report),
    )  # fmt: skip


def drive_rows(
    drive: Drive, spread: AnySpread, *, wire_cut_mm: float, throw_mm: float, housing: Sequence[tuple[str, str]] = ()
) -> list[tuple[str, str]]:
    """Label and text of every figure of a drive.

    Args:
        drive: as chosen.
        spread: its tolerance study.
        wire_cut_mm: straight length of wire to cut.
        throw_mm: as asked for.
        housing: rows of what it stands in.
    """
    rows = [
        ("arm hole", f"{number(drive.horn_radius_mm)} mm from the shaft, swing ±{number(drive.swing_deg, 1)}°"),
        ("wire", f"{number(drive.wire_mm)} mm, cut {number(wire_cut_mm)} mm"),
    ]
    return [
        *rows,
        *telling(drive).explained(drive),
        *housing,
        *outcome(drive).explained(drive, spread, throw_mm),
        ("stress in the wire", f"{number(drive.stress_mpa, 0)} MPa"),
        ("torque margin", f"{number(drive.torque_margin, 1)}"),
    ]


def _housing_rows(report: Report) -> list[tuple[str, str]]:
    found = report.housing
    if found is None:
        return []
    lies = {"hang": "servo shaft down, ", "side": "servo on its side, ", None: ""}[found.pose]
    rows = [
        ("housing", f"{lies}{number(found.height_mm, 1)} mm high"),
        ("from the track", f"{number(found.track_distance_mm, 1)} mm, centre line to nearest point"),
    ]
    if found.pose is not None:
        sinking = f"{number(found.sunk_least_mm, 1)} to {number(found.sunk_most_mm, 1)} mm possible"
        rows.append(("servo let down", f"{number(found.sunk_mm, 1)} mm, {sinking}"))
    if found.cut_out:
        rows.append(("cut-out in the board", found.cut_out.told()))
    if found.arm_length_mm is not None:
        rows.append(("arm cut off", f"{number(found.arm_length_mm, 1)} mm from the shaft"))
    return [*rows, *(("left out", text) for text in found.left_out)]


def show_adapted(adapted: Adapted, console: Console) -> None:
    """What stays in one paragraph, what changes as a table."""
    from rich.markup import escape
    from rich.table import Table

    console.print(f"adapted from [bold]{escape(adapted.origin)}[/]")
    stays = "; ".join(f"{row.what} {_amount(row.before, row.unit)}" for row in adapted.stays)
    console.print(f"stays  {escape(stays)}")
    if adapted.lost:
        console.print(f"no more stays  {escape(adapted.lost)}")
    table = Table("changes", "from", "to", "by", box=None, padding=(0, 2, 0, 0), header_style="bold")
    for row in adapted.changes:
        table.add_row(row.what, _amount(row.before, row.unit), _amount(row.after, row.unit), _difference(row))
    console.print(table)


def _difference(row: Compared) -> str:
    if isinstance(row.before, str) or isinstance(row.after, str):
        return ""
    more = row.after - row.before
    return ("+" if more > 0 else "−") + _amount(abs(more), row.unit)


def _amount(value: float | str, unit: str) -> str:
    return value if isinstance(value, str) else f"{number(value, SHOWN_PLACES)} {unit}".rstrip().replace(" °", "°")


def _pairs(rows: list[tuple[str, str]]) -> Table:
    from rich.table import Table

    table = Table.grid(padding=(0, 2))
    for label, text in rows:
        table.add_row(label, text)
    return table


def _hardware(report: Report) -> Table:
    from rich.table import Table

    table = Table("have at hand", "size", "quantity", box=None, padding=(0, 2, 0, 0), header_style="bold")
    for entry in (item for item in report.hardware if not item.tool):
        table.add_row(entry.item, entry.size, str(entry.quantity))
    return table
