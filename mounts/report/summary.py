"""The report as text for a terminal: what was chosen and why, what was checked, what to do next."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from mounts.checks.model import Check
from mounts.drive.model import RockingWireDrive
from mounts.report.adapt import SHOWN_PLACES, Adapted, Compared
from mounts.report.model import Report
from mounts.units import number

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

_COLOURS = {"pass": "green", "warn": "yellow", "fail": "bold red"}


def show(report: Report, folder: Path, console: Console, *, cached: bool = False) -> None:
    """Prints a report.

    Args:
        report: of one mount.
        folder: where its files are.
        console: of rich; decides on width and colour.
        cached: nothing was made, the folder already held the answer.
    """
    from rich.markup import escape

    mount, drive, pulse = report.mount, report.drive, report.drive.pulse_us
    colour = _COLOURS[report.verdict]
    mirrored = ", mirrored" if mount.mirror else ""
    console.print(f"[bold]{escape(mount.id)}[/]  {mount.style}{mirrored}, {escape(mount.servo)}, {mount.scale}")
    console.print(escape(drive.explanation), style="dim")
    if report.adapted:
        show_adapted(report.adapted, console)
    console.print(_pairs(_drive_rows(report)))
    console.print(
        f"pulses  normal [bold]{number(pulse.normal, 0)}[/bold]  centre [bold]{number(pulse.centre, 0)}[/bold]  "
        f"reverse [bold]{number(pulse.reverse, 0)}[/bold] µs"
    )
    console.print(_hardware(report))
    for check in report.checks:
        if check.verdict != "pass":
            console.print(f"[{_COLOURS[check.verdict]}]{check.verdict}[/]  {escape(check_line(check))}")
    counted = Counter(check.verdict for check in report.checks)
    total = ", ".join(f"{counted[verdict]} {verdict}" for verdict in ("pass", "warn", "fail") if counted[verdict])
    console.print(f"checks  [{colour}]{total}[/]")
    for line in report.cautions:
        console.print(f"caution  {escape(line)}", style="dim")
    for cost in report.costs_of_pins:
        console.print(f"cost  {escape(cost.sentence)}")
    console.print(f"files  {escape(str(folder))}{'  (unchanged)' if cached else ''}", soft_wrap=True)


def check_line(check: Check) -> str:
    """A check as one line: name, part, value against limit, sentence."""
    where = f" of {check.part}" if check.part else ""
    value = f"{number(check.value)} {check.unit}".rstrip()
    return f"{check.name}{where}: {value}, limit {number(check.limit)}: {check.message}"


def _drive_rows(report: Report) -> list[tuple[str, str]]:
    drive = report.drive
    rows = [
        ("arm hole", f"{number(drive.horn_radius_mm)} mm from the shaft, swing ±{number(drive.swing_deg, 1)}°"),
        ("wire", f"{number(drive.wire_mm)} mm, cut {number(report.wire_cut_mm)} mm"),
    ]
    if isinstance(drive, RockingWireDrive):
        rows += [
            ("pivot to arm hole", f"{number(drive.pivot_to_horn_mm, 1)} mm"),
            ("hole in the board", f"{number(drive.board_hole_mm)} mm"),
        ]
    else:
        rows += [
            ("rod", f"{number(drive.rod_length_mm, 1)} mm from arm hole to pin"),
            ("loop", f"{number(drive.loop_width_mm, 1)} mm wide, {number(drive.loop_height_mm, 1)} mm high"),
        ]
    return [
        *rows,
        *_housing_rows(report),
        ("travel", f"{number(drive.travel_mm, 2)} mm for a throw of {number(report.inputs.throw_mm, 2)} mm"),
        ("force at the blades", f"{number(drive.force_n, 2)} N"),
        ("stress in the wire", f"{number(drive.stress_mpa, 0)} MPa"),
        ("torque margin", f"{number(drive.torque_margin, 1)}"),
    ]


def _housing_rows(report: Report) -> list[tuple[str, str]]:
    found = report.housing
    if found is None:
        return []
    lies = "shaft down" if found.pose == "hang" else "on its side"
    sinking = f"{number(found.sunk_least_mm, 1)} to {number(found.sunk_most_mm, 1)} mm possible"
    rows = [
        ("housing", f"servo {lies}, {number(found.height_mm, 1)} mm high"),
        ("from the track", f"{number(found.track_distance_mm, 1)} mm, centre line to nearest point"),
        ("servo let down", f"{number(found.sunk_mm, 1)} mm, {sinking}"),
    ]
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
