"""The worker beside the page: of each visitor only the newest mount is made, an older one is given up."""

from __future__ import annotations

import asyncio
import itertools
import threading
from collections.abc import Callable
from contextlib import suppress
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Literal

from mounts.inputs.spec import MountSpec
from mounts.page.work import Failed, GivenUp, Order, Parts, Result, work

_ORDERS_A_WORKER = 400  # then a fresh one: what the CAD kernel leaks in one stays small
_CRASHED = "its worker crashed or ran out of memory"

Told = Callable[[Result], None]
"""Called in the loop of the page with each result of an order."""


class Builder:
    """One worker process, started with the first order and afresh where it dies.

    Everything is called in one event loop.
    """

    def __init__(self) -> None:
        self._loop: asyncio.AbstractEventLoop | None = None
        self._process: BaseProcess | None = None
        self._pipe: Connection | None = None
        self._numbers = itertools.count(1)
        self._told: dict[int, Told] = {}
        self._newest: dict[tuple[str, str], int] = {}  # visitor and what → number of the order
        self._given = 0

    def warm(self) -> None:
        """Starts the worker before it is needed: the kernel takes seconds to load."""
        self._worker()

    def order(self, visitor: str, what: Literal["show", "files"], spec: MountSpec, told: Told) -> None:
        """Orders a mount in place of the visitor's last of that sort.

        Args:
            visitor: whose it is.
            what: as of ``Order``.
            spec: what was asked, resolved.
            told: called with ``Parts`` and then ``Checked``, or with ``Zipped``, or with why there is neither.
        """
        self.give_up(visitor, what)
        number = next(self._numbers)
        self._newest[visitor, what] = number
        self._told[number] = told
        self._send(Order(number, what, spec))

    def give_up(self, visitor: str, what: str) -> None:
        """Makes an order of a visitor needless, if there is one."""
        number = self._newest.pop((visitor, what), None)
        if number is not None and self._told.pop(number, None) is not None:
            self._send(number)

    def gone(self, visitor: str) -> None:
        """A visitor has left."""
        for what in ("show", "files"):
            self.give_up(visitor, what)

    def close(self) -> None:
        """Ends the worker; what it has in hand is lost and nothing of it is written."""
        process, self._process, self._pipe = self._process, None, None
        self._told.clear()
        if process is not None:
            process.kill()

    def _send(self, what: Order | int) -> None:
        with suppress(OSError):  # it died just now: its reader says so
            self._worker().send(what)

    def _worker(self) -> Connection:
        if self._pipe is not None and (self._given < _ORDERS_A_WORKER or self._told):
            self._given += 1
            return self._pipe
        self.close()
        self._loop = asyncio.get_running_loop()
        context = get_context("spawn")
        ours, theirs = context.Pipe()
        process = context.Process(target=work, args=(theirs,), daemon=True)
        process.start()
        theirs.close()
        self._process, self._pipe, self._given = process, ours, 0
        threading.Thread(target=self._read, args=(ours, self._loop), daemon=True).start()
        return ours

    def _read(self, pipe: Connection, loop: asyncio.AbstractEventLoop) -> None:
        """Brings results into the loop; a thread a worker."""
        try:
            while True:
                number, result = pipe.recv()
                loop.call_soon_threadsafe(self._came, number, result)
        except (EOFError, OSError, RuntimeError):  # the worker is gone, or the loop
            if not loop.is_closed():
                loop.call_soon_threadsafe(self._died, pipe)

    def _came(self, number: int, result: Result) -> None:
        told = self._told.get(number)
        if told is None or isinstance(result, GivenUp):
            return
        if not isinstance(result, Parts):
            del self._told[number]
        told(result)

    def _died(self, pipe: Connection) -> None:
        if pipe is not self._pipe:
            return
        self._process = self._pipe = None
        waiting, self._told = self._told, {}
        for told in waiting.values():
            told(Failed(_CRASHED))
