"""A batch run from the page: the same as ``mounts batch``, told as it goes on."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock

from mounts.batch import crew
from mounts.batch.run import Order, run
from mounts.batch.unchanged import Wanted, layout_key, named_profiles, unchanged_report
from mounts.errors import Fault, InputError
from mounts.export.commit import refuse_unwritable, sweep
from mounts.inputs.library import Library
from mounts.inputs.read_layout import read_layout
from mounts.page.work import zipped
from mounts.report.layout import LayoutReport
from mounts.styles import check_asked

_ONE = Lock()  # a machine has cores for one batch


@dataclass
class Progress:
    """How far a batch is; written by its thread, read by the page.

    Attributes:
        expected: things to be made.
        done: of them.
        in_hand: names of those that are being made.
        failed: names of those that failed.
    """

    expected: int = 0
    done: int = 0
    in_hand: list[str] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)

    def expect(self, count: int) -> None:
        """So many more."""
        self.expected += count

    def begun(self, what: str) -> None:
        """One is begun."""
        self.in_hand.append(what)

    def ended(self, what: str, *, good: bool) -> None:
        """One is made, or failed."""
        self.in_hand.remove(what)
        self.done += 1
        if not good:
            self.failed.append(what)

    def told(self) -> str:
        """In a line, as the command line has it."""
        failed = f"; failed: {', '.join(self.failed)}" if self.failed else ""
        return f"{self.done} of {self.expected}  {', '.join(self.in_hand[:6])}{failed}"


def run_batch(path: Path, progress: Progress) -> tuple[LayoutReport, tuple[str, ...]]:
    """Makes a layout into its folder beside the file, whatever is missing.

    Args:
        path: of the layout file.
        progress: told as it goes on.

    Returns:
        The report, and lines for families whose members need new settings.

    Raises:
        InputError: the layout can't be read, the folder not written to, or another batch is being made.
    """
    if not _ONE.acquire(blocking=False):
        raise InputError(Fault("another layout is being made; wait until it is done", file=path.name))
    try:
        library = Library(beside=path.parent)
        layout = read_layout(path, library, check_asked)
        wanted = Wanted(keep_failed=False, picture=True, paper=layout.header.paper, max_hours=None)
        made_from = layout_key(path, (library.built_in, library.own), wanted)
        folder = path.parent / layout.name
        if (content := unchanged_report(folder, made_from, path.parent)) is not None:
            return LayoutReport.model_validate_json(content), ()
        refuse_unwritable(folder)
        order = Order(
            layout, folder, made_from, named_profiles(library), wanted, crew.processes, crew.usual_workers()
        )  # fmt: skip
        found = run(order, progress)
        for each in (folder, *(folder / row.id for row in found[0].mounts)):
            sweep(each)
        return found
    finally:
        _ONE.release()


def everything(folder: Path, report: LayoutReport) -> bytes:
    """Every file of a made layout as a zip.

    Args:
        folder: of the layout.
        report: of it; nothing that it does not list goes in.
    """
    names = ["report.json", *report.files, *(name for row in report.mounts for name in row.files)]
    return zipped({name: (folder / name).read_bytes() for name in dict.fromkeys(names)})
