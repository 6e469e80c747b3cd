"""What a batch costs: ``python tests/bench/bench_batch.py [--many]``; mounts/s, cores, memory, rerun, growth."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from itertools import cycle, islice, product
from pathlib import Path

_HEAD = '[layout]\nname = "bench"\nscale = "HO"\n[defaults]\nstyle = "under-bracket"\n'
_PROBE = (
    "import sys, time\nfrom mounts.cli import main\ncode = main(sys.argv[1:])\n"
    "print(code, 'OCP' in sys.modules or 'cadquery' in sys.modules)\n"
)
_POLL_S = 0.05


@dataclass(frozen=True)
class Run:
    """One batch: seconds, and the largest resident memory of the parent and of any worker, MB."""

    seconds: float
    parent_mb: float
    worker_mb: float


def layout(count: int) -> str:
    """That many distinct mounts: boards, throws, servos, mirrored or not, each with its own name."""
    variants = product(("9 mm", "12 mm", "15 mm", "18 mm"), ("2.5", "3", "3.2"), ("micro-9g", "micro-13g"), (0, 1))
    mounts = (
        f'[[mount]]\nid = "m{number:04}"\nboard = "{board}"\nthrow = "{throw}"\nservo = "{servo}"\n'
        f"mirror = {'true' if mirror else 'false'}\nmax_depth = 90\n"
        for number, (board, throw, servo, mirror) in enumerate(islice(cycle(variants), count))
    )
    return _HEAD + "".join(mounts)


def run(path: Path, out: Path, workers: int) -> Run:
    """One batch in a fresh process, its memory watched."""
    begun = time.perf_counter()
    options = ["--out", str(out), "--quiet", "--workers", str(workers)]
    command = [sys.executable, "-m", "mounts", "batch", str(path), *options]
    parent_mb, worker_mb = 0.0, 0.0
    with subprocess.Popen(command) as batch:
        while batch.poll() is None:
            parent_mb = max(parent_mb, _peak_mb(batch.pid))
            worker_mb = max([worker_mb, *(_peak_mb(child) for child in _children(batch.pid))])
            time.sleep(_POLL_S)
    if batch.returncode:
        raise SystemExit(f"batch ended with {batch.returncode}")
    return Run(time.perf_counter() - begun, parent_mb, worker_mb)


def rerun(path: Path, out: Path) -> tuple[float, bool]:
    """Best of three reruns, s, and whether the kernel was loaded in any."""
    best, loaded = float("inf"), False
    for _ in range(3):
        begun = time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-c", _PROBE, "batch", str(path), "--out", str(out), "--quiet"],
            capture_output=True, text=True, check=True,
        )  # fmt: skip
        best = min(best, time.perf_counter() - begun)
        loaded = loaded or done.stdout.split() != ["0", "False"]
    return best, loaded


def _children(parent: int) -> list[int]:
    try:
        return [int(pid) for pid in Path(f"/proc/{parent}/task/{parent}/children").read_text().split()]
    except OSError:
        return []


def _peak_mb(pid: int) -> float:
    try:
        status = Path(f"/proc/{pid}/status").read_text()
    except OSError:
        return 0.0
    return next((float(line.split()[1]) / 1024 for line in status.splitlines() if line.startswith("VmHWM")), 0.0)


def _row(label: str, value: float, unit: str) -> None:
    print(f"{label:44} {value:8.2f} {unit}", flush=True)


def main() -> None:
    """Prints the table; --many adds 1,000 mounts, which takes ten times as long."""
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bench.toml"
        path.write_text(layout(100))
        one, two = run(path, Path(folder) / "one", 1), run(path, Path(folder) / "two", 2)
        _row("100 distinct mounts, 1 process", 100 / one.seconds, "mounts/s")
        _row("100 distinct mounts, 2 processes", 100 / two.seconds, "mounts/s")
        _row("  ratio", one.seconds / two.seconds, "")
        _row("  peak memory of a worker", two.worker_mb, "MB")
        _row("  peak memory of the parent", two.parent_mb, "MB")
        summary = json.loads((Path(folder) / "two" / "bench" / "report.json").read_text())["summary"]
        _row("  plates", summary["plates"], "")
        seconds, loaded = rerun(path, Path(folder) / "two")
        _row("  rerun, nothing changed", seconds, f"s, kernel {'LOADED' if loaded else 'not loaded'}")
        if "--many" in sys.argv[1:]:
            path.write_text(layout(1000))
            many = run(path, Path(folder) / "many", 2)
            _row("1,000 distinct mounts, 2 processes", 1000 / many.seconds, "mounts/s")
            _row("  time to that of 100", many.seconds / two.seconds, "×")
            _row("  peak memory of a worker", many.worker_mb, "MB")
            _row("  peak memory of the parent", many.parent_mb, "MB")
            seconds, loaded = rerun(path, Path(folder) / "many")
            _row("  rerun, nothing changed", seconds, f"s, kernel {'LOADED' if loaded else 'not loaded'}")


if __name__ == "__main__":
    main()
