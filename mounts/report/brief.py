"""A mount in at most twenty lines: what to print, what to buy, which pulses, what next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from mounts.checks.model import Check
from mounts.report.hardware import HardwareItem
from mounts.report.kinds import outcome
from mounts.report.model import PrintedPart, Report, together_minutes
from mounts.report.words import duration, mass_words, row, short
from mounts.units import number

LINES = 20  # seen at once in a terminal of 24


def brief(report: Report, folder: Path, *, cached: bool = False) -> list[str]:
    """The lines, none wider than ``WIDE`` but for paths.

    Of a mount that has more to warn of than there is room, the rest is counted. One that failed says every reason,
    however many lines that takes.

    Args:
        report: of one mount.
        folder: where its files are.
        cached: nothing was made, the folder already held the answer.
    """
    mount, failed = report.mount, report.verdict == "fail"
    mirrored = ", mirrored" if mount.mirror else ""
    head = [f"{mount.id}  {mount.style}{mirrored}, {mount.servo}, {mount.scale}: {_outcome(report)}"]
    wrong = [check for check in report.checks if check.verdict == "fail"]
    faults = [line for check in wrong for line in row("fail", check_line(check))]
    kept = [part for part in report.parts if part.file]
    use = list(_use(report, kept)) if kept and not failed else []
    end = [f"files    {folder}{'  (unchanged)' if cached else ''}"]
    warns = [row("warn", warning(check)) for check in report.checks if check.verdict == "warn"]
    if failed:
        return [*head, *faults, *(line for rows in warns for line in rows), *end]
    notes = [row("cost", cost.sentence) for cost in report.costs_of_pins]
    room = LINES - len(head) - len(use) - len(end)
    return [*head, *_fitting([*warns, *notes], room), *use, *end]


def check_line(check: Check) -> str:
    """A check as one line: name, part, value against limit, sentence."""
    where = f" of {check.part}" if check.part else ""
    value = f"{number(check.value)} {check.unit}".rstrip()
    return f"{check.name}{where}: {value}, limit {number(check.limit)}: {check.message}"


def warning(check: Check) -> str:
    """A check that warns, in words: name, part and sentence."""
    return f"{check.name}{f' of {check.part}' if check.part else ''}: {check.message}"


def _outcome(report: Report) -> str:
    counts = {verdict: sum(check.verdict == verdict for check in report.checks) for verdict in ("warn", "fail")}
    if counts["fail"]:
        return f"{counts['fail']} of {_checks(len(report.checks))} failed, nothing to print"
    if counts["warn"]:
        return f"{_checks(len(report.checks))}, {counts['warn']} of them warn"
    return f"passed {_checks(len(report.checks))}"


def _checks(count: int) -> str:
    return f"{count} check{'' if count == 1 else 's'}"


def _use(report: Report, parts: Sequence[PrintedPart]) -> Iterator[str]:
    mount = report.mount.id
    files = ", ".join(f"{part.file} {mass_words(part.mass_g)}{_brim(part)}" for part in parts)
    yield from row("print", f"{files}{_together(parts)}; {report.mount.filament}, {report.print_settings}")
    yield from row("buy", "; ".join(_bought(entry) for entry in report.hardware if not entry.tool))
    for label, text in outcome(report.drive).told(report):
        yield from row(label, text)
    files = f"{mount}-steps.txt, which lists the tools, {mount}-template.svg and {mount}-wire.svg"
    said = f"print {mount}.pdf at 100 % and follow it, or {files}" if report.paper else f"print at 100 %: {files}"
    yield from row("next", f"{said}; why and what else: --explain")
    yield from row("caution", "; ".join(map(short, report.cautions)))


def _brim(part: PrintedPart) -> str:
    return f" with a {number(part.brim_mm)} mm brim" if part.brim_mm else ""


def _together(parts: Sequence[PrintedPart]) -> str:
    minutes = together_minutes(parts)
    return f", about {duration(minutes)}" if minutes else ""


def _bought(entry: HardwareItem) -> str:
    count = f"{entry.quantity} × " if entry.quantity > 1 else ""
    return f"{count}{entry.item} ({entry.size})"


def _fitting(warns: Sequence[Sequence[str]], room: int) -> Iterator[str]:
    """As many warnings as there is room for, whole ones, and how many more there are."""
    for at, rows in enumerate(warns):
        last = at == len(warns) - 1
        if len(rows) > room - (not last):
            more = len(warns) - at
            yield from row("warn", f"{more} {'more ' if at else ''}warning{'s' if more > 1 else ''}: --explain")
            return
        room -= len(rows)
        yield from rows
