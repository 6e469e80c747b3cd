"""Workers of a running dask scheduler, for those who installed the extra ``cluster``."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager

from mounts.batch.crew import Hire
from mounts.errors import Fault, InputError

CONNECT_S = 10.0  # a scheduler in the house answers within one; who mistyped the address need not wait long


@contextmanager
def scheduler(address: str) -> Iterator[tuple[Hire, int]]:
    """What hires from a scheduler, and how many mounts are built there at once: one a worker, whatever its threads.

    Raises:
        InputError: the extra is not installed, nobody answers, or there are no workers.
    """
    try:
        from distributed import Client
    except ImportError:
        raise _refused(address, "needs the extra 'cluster': pip install 'turnout-mounts[cluster]'") from None
    try:
        client = Client(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, ValueError) as fault:
        why = " ".join(str(fault).split()) or "nobody answers"
        raise _refused(address, f"must be a running dask scheduler; {why}") from None
    with client:
        workers = len(client.ncores())
        if workers == 0:
            raise _refused(address, "must have workers; it has none")

        def hire(workers: int) -> Executor:
            executor: Executor = client.get_executor(pure=False)
            return executor

        yield hire, workers


def _refused(address: str, said: str) -> InputError:
    return InputError(Fault(said, ("scheduler",), repr(address)))
