"""``mounts batch``: every mount of a layout file, in parallel, and the plates to print them from."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from mounts.cli.faults import MOUNT_FAILED, refuse_no_folder
from mounts.cli.make import PAPER, PICTURE, Paper
from mounts.units import number

if TYPE_CHECKING:
    from mounts.batch.crew import Hire
    from mounts.batch.made import Made
    from mounts.batch.run import Teller


def batch(
    layout: Annotated[Path, typer.Argument(metavar="LAYOUT.toml", show_default=False, help="the layout file")],
    out: Annotated[Path, typer.Option(help="folder to write to")] = Path("out"),
    as_json: Annotated[bool, typer.Option("--json", help="the report on stdout and nothing else there")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help="print faults only")] = False,
    keep_failed: Annotated[
        bool, typer.Option("--keep-failed", help="write the parts of mounts that fail a check to failed/")
    ] = False,
    picture: Annotated[bool, typer.Option("--picture/--no-picture", help=PICTURE)] = True,
    paper: Annotated[
        Paper | None, typer.Option("--paper", show_default=False, help=f"{PAPER} [default: the layout's, or a4]")
    ] = None,
    max_hours: Annotated[
        str | None,
        typer.Option(
            metavar="HOURS", show_default=False, help="that a plate may print [default: the layout's, or no limit]"
        ),
    ] = None,
    workers: Annotated[
        int | None,
        typer.Option(metavar="N", min=1, max=256, show_default=False, help="mounts at once [default: all cores]"),
    ] = None,
    scheduler: Annotated[
        str | None,
        typer.Option(metavar="tcp://HOST:PORT", show_default=False, help="build on the workers of a dask scheduler"),
    ] = None,
) -> int:
    """Design, model, check and write every mount of a layout, and pack them for printing."""
    from mounts.batch.made import made
    from mounts.batch.unchanged import Wanted, layout_paper

    refuse_no_folder(out)
    limit_h = None if max_hours is None else _hours(max_hours)

    def wanted(data: Mapping[str, Any]) -> Wanted:
        return Wanted(keep_failed, picture, paper.pages if paper else layout_paper(data), limit_h)

    found = made(layout, out, wanted, _crew(workers, scheduler), _teller(quiet or as_json))
    _tell(found, as_json=as_json, quiet=quiet)
    return MOUNT_FAILED if found.report.summary.failed else 0


def _hours(written: str) -> float:
    """A limit of time.

    Raises:
        InputError: it is no number of hours in bounds.
    """
    from mounts.errors import Fault, InputError
    from mounts.inputs.layout import LEAST_HOURS, MOST_HOURS

    with suppress(ValueError):
        if LEAST_HOURS <= (hours := float(written)) <= MOST_HOURS:
            return hours
    bounds = f"{number(LEAST_HOURS)} to {number(MOST_HOURS)} hours"
    raise InputError(Fault(f"must be {bounds}", ("max_hours",), repr(written)))


@contextmanager
def _crew(workers: int | None, scheduler: str | None) -> Iterator[tuple[Hire, int]]:
    from mounts.batch import crew

    if scheduler is None:
        yield crew.processes, workers or crew.usual_workers()
        return
    from mounts.batch import cluster

    with cluster.scheduler(scheduler) as (hire, count):
        yield hire, workers or count


@contextmanager
def _teller(silent: bool) -> Iterator[Teller]:
    """A bar on a terminal that names what is being built and what failed; nothing elsewhere."""
    if silent or not sys.stderr.isatty():
        yield _Silent()
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (BarColumn(30), MofNCompleteColumn(), TimeElapsedColumn(), TextColumn("{task.description}", markup=False))
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        yield _Bar(bar)


class _Silent:
    def expect(self, count: int) -> None:
        pass

    def begun(self, what: str) -> None:
        pass

    def ended(self, what: str, *, good: bool) -> None:
        pass


class _Bar:
    """A progress bar that says: east-1, east-2; failed: west-3."""

    def __init__(self, bar: Any) -> None:
        self.bar = bar
        self.task = bar.add_task("", total=0)
        self.total = 0
        self.in_hand: list[str] = []
        self.failed: list[str] = []

    def expect(self, count: int) -> None:
        self.total += count
        self.bar.update(self.task, total=self.total)

    def begun(self, what: str) -> None:
        self.in_hand.append(what)
        self._show(0)

    def ended(self, what: str, *, good: bool) -> None:
        self.in_hand.remove(what)
        if not good:
            self.failed.append(what)
        self._show(1)

    def _show(self, advance: int) -> None:
        text = ", ".join(self.in_hand)
        if self.failed:
            text += f"; failed: {', '.join(self.failed)}"
        self.bar.update(self.task, advance=advance, description=text)


def _tell(found: Made, *, as_json: bool, quiet: bool) -> None:
    """The table or the report on stdout; why mounts failed on stderr."""
    report, folder = found.report, found.folder
    if as_json:
        sys.stdout.write((folder / "report.json").read_text("utf-8"))
    elif not quiet:
        from rich.console import Console

        from mounts.batch.before import former_mounts
        from mounts.report.layout_summary import show_layout

        console = Console(highlight=False)
        show_layout(report, folder, console, unchanged=found.unchanged)
        former = former_mounts(folder, {row.id for row in report.mounts})
        gone = [f"no longer in the layout, left as they are: {', '.join(former)}"] if former else []
        for line in (*found.retuned, *gone):
            console.print(line, soft_wrap=True, markup=False)
    for line in dict.fromkeys(line for row in report.mounts for line in row.reasons):
        print(line, file=sys.stderr)
