"""Tasks on any executor: each is done once, and a crash or a fault takes only its own task along."""

import os
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

import pytest
from crew_tasks import square

from mounts.batch.crew import processes, run_all


def _run(numbers: list[int], hire, workers: int = 2):
    begun: list[str] = []
    ended: dict[str, int | str] = {}

    def end(name: str, result: int | str) -> None:
        assert name not in ended
        ended[name] = result

    tasks = {str(number): partial(square, number) for number in numbers}
    run_all(tasks, hire, workers=workers, begun=begun.append, ended=end)
    return begun, ended


@pytest.mark.parametrize("hire", [processes, ThreadPoolExecutor])
def test_every_task_is_done_once_on_any_executor(hire):
    """Processes or threads: each name begins, and ends once with its square; a fault is a line of its own."""
    begun, ended = _run([1, 2, 3, 7, 5], hire)

    assert sorted(begun) == ["1", "2", "3", "5", "7"]
    assert ended == {"1": 1, "2": 4, "3": 9, "5": 25, "7": "ZeroDivisionError: seven is unlucky"}


def test_a_crashed_worker_takes_only_its_own_task_along():
    """A worker that dies under a task: that task is told so, every other is done."""
    _, ended = _run([1, 2, 13, 3, 4, 5], processes)

    assert ended.pop("13") == "its worker crashed or ran out of memory"
    assert ended == {str(number): number * number for number in range(1, 6)}


@pytest.mark.parametrize("hire", [processes, ThreadPoolExecutor])
def test_what_a_result_lets_begin_is_done_too(hire):
    """The square of a number below 30 is squared next, of a crew's other tasks too; a fault lets nothing begin."""
    ended: dict[str, int | str] = {}

    def end(name: str, result: int | str):
        ended[name] = result
        return {str(result): partial(square, result)} if isinstance(result, int) and result < 30 else None

    run_all({str(n): partial(square, n) for n in (2, 5, 7)}, hire, workers=2, begun=lambda _: None, ended=end)

    faults = {"7": "ZeroDivisionError: seven is unlucky"}
    assert ended == {"2": 4, "4": 16, "16": 256, "5": 25, "25": 625, **faults}


def test_a_missing_library_stops_the_batch():
    """It would be the same for every task, so it is raised, once."""
    with pytest.raises(ImportError, match="libGL"):
        _run([1, 99, 2], ThreadPoolExecutor)


def test_no_more_is_handed_out_than_the_workers_need():
    """One task a worker and one in reserve: results do not pile up however long the list."""
    in_hand = most = 0

    def begin(_name: str) -> None:
        nonlocal in_hand, most
        in_hand += 1
        most = max(most, in_hand)

    def end(_name: str, _result: int | str) -> None:
        nonlocal in_hand
        in_hand -= 1

    tasks = {str(number): partial(square, number) for number in range(14, 60)}
    run_all(tasks, ThreadPoolExecutor, workers=2, begun=begin, ended=end)

    assert (in_hand, most) == (0, 3)


_PARENT = """
import sys, time
from mounts.batch.crew import processes
from tests_batch_sleep import sleep
if __name__ == "__main__":
    crew = processes(1)
    print(crew.submit(sleep, 0).result(), flush=True)
    crew.submit(sleep, 60)
    time.sleep(60)
"""


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="looks into /proc")
def test_workers_do_not_outlive_a_killed_parent(tmp_path):
    """SIGKILL leaves a parent no time to tell its workers; they end by themselves within seconds."""
    (tmp_path / "tests_batch_sleep.py").write_text(
        "import os, time\ndef sleep(seconds):\n    time.sleep(seconds)\n    return os.getpid()\n"
    )
    script = tmp_path / "parent.py"
    script.write_text(_PARENT)
    environment = {**os.environ, "PYTHONPATH": f"{tmp_path}:{Path(__file__).parents[2]}"}
    with subprocess.Popen([sys.executable, str(script)], env=environment, stdout=subprocess.PIPE) as parent:
        worker = int(parent.stdout.readline())
        parent.kill()

    deadline = time.monotonic() + 10
    while Path(f"/proc/{worker}").exists() and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not Path(f"/proc/{worker}").exists()
