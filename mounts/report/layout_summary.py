"""A layout's report as text for a terminal: a row a mount, the bed-loads, the sum."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from mounts.report.layout import LayoutReport, MountRow
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
    for row in report.mounts:
        name = f"{row.id} ×{row.copies}" if row.copies > 1 else row.id
        colour = _COLOURS.get(row.verdict, "bold red")
        verdict = f"[{colour}]{row.verdict}[/]"
        table.add_row(escape(name), escape(row.board), escape(row.servo), *_figures(row), verdict)
    console.print(table)
    for plate in report.plates:
        console.print(
            f"{escape(plate.file)}  {len(plate.objects)} objects, {escape(plate.printer)}, {escape(plate.filament)}, "
            f"{number(plate.mass_g, 0)} g, about {number(plate.hours, 1)} h"
        )
    for name in report.not_on_plates:
        console.print(f"[yellow]warn[/]  {escape(name)} is on no plate: with its brim it is larger than the bed")
    total = report.summary
    console.print(
        f"[bold]{escape(report.name)}[/]  {total.mounts} mounts: {total.passed} pass, {total.warned} warn, "
        f"{total.failed} failed; {total.made} to print on {total.plates} plates, "
        f"{number(total.mass_g, 0)} g, about {number(total.hours, 1)} h"
    )
    console.print(f"files  {escape(str(folder))}{'  (unchanged)' if unchanged else ''}", soft_wrap=True)


def _figures(row: MountRow) -> list[str]:
    if row.pulse_us is None:
        return [""] * 4
    lengths = [number(size or 0.0) for size in (row.arm_hole_mm, row.wire_mm, row.wire_cut_mm)]
    pulses = (row.pulse_us.normal, row.pulse_us.centre, row.pulse_us.reverse)
    return [*lengths, " ".join(number(pulse, 0) for pulse in pulses)]
