"""Runs many tasks on any executor; a worker that crashes takes only its own task with it."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Mapping
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from typing import Protocol, TypeVar

R = TypeVar("R")
Task = Callable[[], R]

TASKS_A_CREW = 400  # then fresh workers: what the CAD kernel leaks in one stays small


class Hire(Protocol):
    """Gives a fresh executor with that many workers."""

    def __call__(self, workers: int) -> Executor: ...


def usual_workers() -> int:
    """The cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def processes(workers: int) -> Executor:
    """Local workers, started afresh: the CAD kernel hangs in a forked child of a process that has used it."""
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    return ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=begin_work)


def run_all(
    tasks: Mapping[str, Task[R]],
    hire: Hire,
    *,
    workers: int,
    begun: Callable[[str], None],
    ended: Callable[[str, R | str], Mapping[str, Task[R]] | None],
) -> None:
    """Does every task once, in any order.

    Args:
        tasks: what workers can be sent, by the name it is told under.
        hire: gives the executors, one after another.
        workers: how many tasks are done at once.
        begun: told a name when its task is handed out.
        ended: told a name with the result, or with a line that says why there is none; gives tasks that may begin now.

    Raises:
        ImportError: a worker lacks a library; it would be the same for every task.
    """
    known, waiting, suspects = dict(tasks), deque(tasks), deque[str]()

    def end(name: str, result: R | str) -> None:
        more = ended(name, result) or {}
        known.update(more)
        waiting.extend(more)

    while waiting or suspects:
        if not suspects:
            suspects.extend(_shift(waiting, known, hire(workers), workers + 1, begun, end))
            continue
        alone = suspects.popleft()  # one of those in hand when a worker crashed: tried by itself
        if _shift(deque([alone]), known, hire(1), 1, begun, end):
            end(alone, "its worker crashed or ran out of memory")


def _shift(
    waiting: deque[str],
    tasks: Mapping[str, Task[R]],
    crew: Executor,
    at_once: int,
    begun: Callable[[str], None],
    ended: Callable[[str, R | str], None],
) -> list[str]:
    """Takes from ``waiting`` until it is empty, the crew is tired or breaks; names in hand when it broke."""
    in_hand: dict[Future[R], str] = {}
    left = TASKS_A_CREW
    try:
        while in_hand or (waiting and left):
            while waiting and left and len(in_hand) < at_once:
                in_hand[crew.submit(tasks[waiting[0]])] = waiting[0]
                begun(waiting.popleft())
                left -= 1
            done, _ = wait(in_hand, return_when=FIRST_COMPLETED)
            for future in done:
                result = _result(future)
                ended(in_hand.pop(future), result)
    except BrokenExecutor:
        return list(in_hand.values())
    finally:
        for future in in_hand:
            future.cancel()
        crew.shutdown()
    return []


def _result(future: Future[R]) -> R | str:
    try:
        return future.result()
    except (BrokenExecutor, ImportError):
        raise
    except Exception as fault:
        return f"{type(fault).__name__}: {' '.join(str(fault).split())}"


def begin_work() -> None:
    """A worker leaves Ctrl-C to its parent, and ends when that is gone, however it went."""
    import signal
    from multiprocessing import parent_process
    from multiprocessing.process import BaseProcess
    from threading import Thread

    signal.signal(signal.SIGINT, signal.SIG_IGN)

    def end_with(parent: BaseProcess) -> None:
        parent.join()
        os._exit(1)

    parent = parent_process()
    if parent is not None:
        Thread(target=end_with, args=(parent,), daemon=True).start()
