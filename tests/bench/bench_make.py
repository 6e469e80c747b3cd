"""What one mount costs, as ratios to importing the libraries: ``python tests/bench/bench_make.py``."""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from collections import defaultdict

_MOUNT = [
    "make",
    "--id",
    "bench",
    "--style",
    "under-bracket",
    "--servo",
    "micro-9g",
    "--board",
    "18 mm",
    "--roadbed",
    "3",
    "--throw",
    "3",
    "--scale",
    "HO",
]
_RUNS = 3


def _best_s(*command: str) -> float:
    best = float("inf")
    for _ in range(_RUNS):
        begun = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        best = min(best, time.perf_counter() - begun)
    return best


def _row(label: str, seconds: float, reference_s: float) -> None:
    print(f"{label:32} {seconds:7.2f} s   {seconds / reference_s:5.2f} × importing")


def main() -> None:
    """Prints the table. Cold and cached runs are fresh processes; the stages are timed in this one."""
    importing_s = _best_s(sys.executable, "-c", "import cadquery, trimesh")
    _row("import cadquery, trimesh", importing_s, importing_s)
    cold_s = float("inf")
    for _ in range(_RUNS):
        with tempfile.TemporaryDirectory() as folder:
            begun = time.perf_counter()
            subprocess.run([sys.executable, "-m", "mounts", *_MOUNT, "--quiet", "--out", folder], check=True)
            cold_s = min(cold_s, time.perf_counter() - begun)
            cached_s = _best_s(sys.executable, "-m", "mounts", *_MOUNT, "--quiet", "--out", folder)
    _row("mounts make, cold", cold_s, importing_s)
    _row("mounts make, cached", cached_s, importing_s)
    _row("mounts --help", _best_s(sys.executable, "-m", "mounts", "--help"), importing_s)
    _stages(importing_s)
    peak_mb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"{'peak memory of a child':32} {peak_mb:7.0f} MB")


def _stages(importing_s: float) -> None:
    """The stages of a second mount in a warm process."""
    from mounts.inputs.library import Library
    from mounts.inputs.request import MountRequest
    from mounts.inputs.resolve import resolve
    from mounts.pipeline import make_mount

    request = MountRequest(
        id="bench", style="under-bracket", servo="micro-9g", board="18 mm", roadbed="3", throw=3, scale="HO"
    )
    spec = resolve(request, Library())
    make_mount(spec)
    spent: dict[str, float] = defaultdict(float)
    stage, begun = "", time.perf_counter()

    def progress(next_stage: str) -> None:
        nonlocal stage, begun
        now = time.perf_counter()
        spent[stage] += now - begun
        stage, begun = next_stage, now

    make_mount(spec, progress=progress)
    progress("done")
    for name, seconds in spent.items():
        if name:
            _row(f"  {name}, warm", seconds, importing_s)


if __name__ == "__main__":
    main()
