"""A layout is made from the page, and what came of it taken along."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from html import escape
from pathlib import Path

from nicegui import run, ui

from mounts.errors import InputError
from mounts.page.batches import Progress, Stopped, everything, run_batch
from mounts.page.shelf import Shelf
from mounts.report.layout import LayoutReport
from mounts.units import number

_TOLD_S = 0.3  # how often a batch tells how far it is


class Making:
    """Buttons that make a layout, how far it is, and its files.

    Args:
        shelf: whose folder it is made in.
        to_make: the file, saved; None where it can't be.
        tell: shows lines that say what is wrong.
        made: called when it is done.
    """

    def __init__(
        self, shelf: Shelf, to_make: Callable[[], Path | None], tell: Callable[[tuple[str, ...]], None],
        made: Callable[[], None],
    ) -> None:  # fmt: skip
        self.shelf, self.to_make, self.tell, self.made = shelf, to_make, tell, made
        self.report: LayoutReport | None = None
        self.progress: Progress | None = None
        ui.label(f"Everything is written to a folder of the layout's name in {self.shelf.folder}.")
        with ui.element("div").classes("tools mt-1"):
            self.run = ui.button("Make what is missing", on_click=self._make).props("outline no-caps")
            self.stop = ui.button("Stop", on_click=self._stop).props("outline no-caps")
            self.book = ui.button("Book", on_click=lambda: self._take("book.pdf")).props("outline no-caps")
            self.all = ui.button("Plates, book and all files as one zip", on_click=self._take_all).props(
                "outline no-caps"
            )
        self.bar = ui.linear_progress(value=0, show_value=False).props('aria-label="how far the layout is made"')
        self.going = ui.label("").props("role=status aria-live=polite")
        self.outcome = ui.html("", sanitize=False)
        self.book.disable()
        self.all.disable()
        self.run.disable()
        self.stop.disable()

    def ready(self) -> None:
        """There is a layout to be made."""
        self.run.enable()

    async def _make(self) -> None:
        path = self.to_make()
        if path is None:
            return
        self.run.disable()
        self.stop.enable()
        progress = self.progress = Progress()
        making = asyncio.ensure_future(run.io_bound(run_batch, path, progress))
        while not making.done():
            await asyncio.wait([making], timeout=_TOLD_S)
            self.bar.value = progress.done / max(progress.expected, 1)
            waits = "stopping, what is in hand is waited for: " if progress.stopped.is_set() else ""
            self.going.text = waits + progress.told()
        self.run.enable()
        self.stop.disable()
        try:
            found = making.result()
        except InputError as error:
            self.tell(error.lines)
            return
        except Stopped:
            self.going.text = (
                f"stopped: {progress.done - len(progress.failed)} of {progress.expected} are made and stay; "
                f"'{self.run.text}' goes on from there"
            )
            return
        if found is None:
            return
        self.report = found.report
        summary = self.report.summary
        self.bar.value = 1
        self.going.text = (
            f"{summary.passed} passed, {summary.warned} warn, {summary.failed} failed; {summary.plates} plates, "
            f"{number(summary.mass_g, 0)} g, {number(summary.hours, 1)} h"
        )
        said = [line for row in self.report.mounts for line in (*row.reasons, *row.warnings)]
        lines = [*found.retuned, *dict.fromkeys(said)]
        self.outcome.content = "<ul>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>" if lines else ""
        if self.report.files:
            self.book.enable()
            self.all.enable()
        self.made()

    def _stop(self) -> None:
        if self.progress is not None:
            self.progress.stopped.set()
            self.stop.disable()

    def _take(self, name: str) -> None:
        """One file that the layout's own report lists."""
        if self.report is not None and name in self.report.files:
            content = (self.shelf.folder / self.report.name / name).read_bytes()
            ui.download.content(content, f"{self.report.name}-{name}")

    async def _take_all(self) -> None:
        if self.report is not None:
            content = await run.io_bound(everything, self.shelf.folder / self.report.name, self.report)
            if content is not None:
                ui.download.content(content, f"{self.report.name}.zip", "application/zip")
