"""A batch run from the page: the same as ``mounts batch``, told as it goes on."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import nullcontext
from dataclasses import dataclass, field
from pathlib import Path
from threading import Event, Lock
from typing import Any

from mounts.batch import crew
from mounts.batch.made import Made, made
from mounts.batch.unchanged import Wanted, layout_paper
from mounts.errors import Fault, InputError
from mounts.page.work import zipped
from mounts.report.layout import LayoutReport

_ONE = Lock()  # a machine has cores for one batch


class Stopped(Exception):
    """A person has stopped a batch: mounts that are made stay, nothing else is written."""


@dataclass
class Progress:
    """How far a batch is; written by its thread, read by the page, which may stop it.

    Attributes:
        expected: things to be made.
        done: of them.
        in_hand: names of those that are being made.
        failed: names of those that failed.
        stopped: set where it is to end.
    """

    expected: int = 0
    done: int = 0
    in_hand: list[str] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)
    stopped: Event = field(default_factory=Event)

    def expect(self, count: int) -> None:
        """So many more."""
        self.expected += count

    def begun(self, what: str) -> None:
        """One is begun, or none any more."""
        self._end_if_stopped()
        self.in_hand.append(what)

    def ended(self, what: str, *, good: bool) -> None:
        """One is made, or failed."""
        self.in_hand.remove(what)
        self.done += 1
        if not good:
            self.failed.append(what)
        self._end_if_stopped()

    def _end_if_stopped(self) -> None:
        if self.stopped.is_set():
            raise Stopped

    def told(self) -> str:
        """In a line, as the command line has it."""
        failed = f"; failed: {', '.join(self.failed)}" if self.failed else ""
        return f"{self.done} of {self.expected}  {', '.join(self.in_hand[:6])}{failed}"


def run_batch(path: Path, progress: Progress) -> Made:
    """Makes a layout into its folder beside the file, whatever is missing.

    Args:
        path: of the layout file, which was read: its name leads nowhere else.
        progress: told as it goes on.

    Raises:
        InputError: the layout can't be read, the folder not written to, or another batch is being made.
        Stopped: it was stopped; what was in hand is waited for.
    """
    if not _ONE.acquire(blocking=False):
        raise InputError(Fault("another layout is being made; wait until it is done", file=path.name))
    try:
        hired = nullcontext((crew.processes, crew.usual_workers()))
        return made(path, path.parent, _wanted, hired, nullcontext(progress))
    finally:
        _ONE.release()


def _wanted(data: Mapping[str, Any]) -> Wanted:
    return Wanted(keep_failed=False, picture=True, paper=layout_paper(data), max_hours=None)


def everything(folder: Path, report: LayoutReport) -> bytes:
    """Every file of a made layout as a zip.

    Args:
        folder: of the layout.
        report: of it; nothing that it does not list goes in.
    """
    names = ["report.json", *report.files, *(name for row in report.mounts for name in row.files)]
    return zipped({name: (folder / name).read_bytes() for name in dict.fromkeys(names)})
