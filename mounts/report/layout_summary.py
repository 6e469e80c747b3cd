"""A layout's report as text for a terminal: a row a mount, the bed-loads, the sum."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from mounts.report.layout import LayoutReport, MountRow
from mounts.report.words import LABEL, duration, mass_words, row, short
from mounts.units import number

if TYPE_CHECKING:
    from rich.console import Console

_COLOURS = {"pass": "green", "warn": "yellow"}


def show_layout(report: LayoutReport, folder: Path, console: Console, *, unchanged: bool) -> None:
    """Prints a layout's report.

    Args:
        report: of the batch.
        folder: where its files are.
        console: of rich; decides on width and colour.
        unchanged: nothing was made, the folder already held everything.
    """
    from rich.markup import escape
    from rich.table import Table

    table = Table(box=None, padding=(0, 1, 0, 0), header_style="bold")
    table.add_column("mount", no_wrap=True)
    table.add_column("board")
    table.add_column("servo")
    for head in ("arm hole", "wire", "cut mm"):
        table.add_column(head, justify="right")
    table.add_column("pulses µs", no_wrap=True)
    table.add_column("verdict", no_wrap=True)
    for mount in report.mounts:
        name = f"{mount.id} ×{mount.copies}" if mount.copies > 1 else mount.id
        colour = _COLOURS.get(mount.verdict, "bold red")
        verdict = f"[{colour}]{mount.verdict}[/]"
        table.add_row(escape(name), escape(mount.board), escape(mount.servo), *_figures(mount), verdict)
    console.print(table)
    for line in _lines(report):
        console.print(line, markup=False, soft_wrap=True)
    console.print(f"files    {escape(str(folder))}{'  (unchanged)' if unchanged else ''}", soft_wrap=True)


def _lines(report: LayoutReport) -> Iterator[str]:
    """What is below the table: warnings with the mounts they hold for, bed-loads, cautions, the sum."""
    warned: dict[str, list[str]] = {}
    for mount in report.mounts:
        for sentence in mount.warnings:
            warned.setdefault(sentence, []).append(mount.id)
    for sentence, ids in warned.items():
        yield from row("warn", f"{', '.join(ids)}: {sentence}")
    for name in report.not_on_plates:
        yield from row("warn", f"{name} is on no plate: with its brim it is larger than the bed")
    for plate in report.plates:
        if plate.over_limit:
            yield from row(
                "warn", f"{plate.objects[0]} alone prints {number(plate.hours)} h, longer than the "
                f"{number(report.max_hours or 0.0)} h of --max-hours: it has a plate to itself",
            )  # fmt: skip
    total = report.summary
    if first := total.try_first:
        yield from row(
            "first", f"print and fit one mount of each kind (style, servo, board, wire), {_plates(first.plates)}: "
            f"{first.mounts} mount{'' if first.mounts == 1 else 's'}, {mass_words(first.mass_g)}, about "
            f"{duration(first.hours * 60)}",
        )  # fmt: skip
    for plate in report.plates:
        count = len(plate.objects)
        yield from row(
            "print", f"{plate.file}, {plate.what_for}, {count} object{'s' if count > 1 else ''}, {plate.printer}, "
            f"{plate.filament}, {mass_words(plate.mass_g)}, about {duration(plate.hours * 60)}",
        )  # fmt: skip
    if report.plates:
        yield from row("", report.summary.hours_rule)
    if report.summary.made:
        yield from row("caution", "; ".join(map(short, report.cautions)))
    if "book.pdf" in report.files:
        yield from row("next", "print book.pdf at 100 % and follow it; channels and pulses are in controller.csv too")
    longest = f", the longest about {duration(total.longest_plate_hours * 60)}" if total.plates > 1 else ""
    yield from row(
        report.name if len(report.name) < LABEL else "layout",
        f"{total.mounts} mounts: {total.passed} pass, {total.warned} warn, {total.failed} failed; {total.made} to "
        f"print on {_plates(total.plates)}, {mass_words(total.mass_g)}, about {duration(total.hours * 60)}{longest}",
    )  # fmt: skip


def _plates(count: int) -> str:
    return f"{count} plate{'' if count == 1 else 's'}"


def _figures(row: MountRow) -> list[str]:
    if row.pulse_us is None:
        return [""] * 4
    lengths = [number(size or 0.0) for size in (row.arm_hole_mm, row.wire_mm, row.wire_cut_mm)]
    pulses = (row.pulse_us.normal, row.pulse_us.centre, row.pulse_us.reverse)
    return [*lengths, " ".join(number(pulse, 0) for pulse in pulses)]
