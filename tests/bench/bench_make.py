"""What one mount costs, as ratios to importing the libraries: ``python tests/bench/bench_make.py``."""

from __future__ import annotations

import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

T = TypeVar("T")

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
_STAGES = ("design", "solid", "mesh", "checks", "pictures", "make")
_STYLES = (
    ("under-bracket", "HO", {"lie": "across"}),
    ("under-bracket", "HO", {"lie": "down"}),
    ("lift-bracket", "HO", {}),
    ("drop-in", "HO", {}),
    ("hut", "HO", {"pose": "hang"}),
    ("hut", "N", {"pose": "side"}),
    ("cabin", "HO", {"pose": "hang"}),
    ("bank", "HO", {}),
    ("stack", "HO", {}),
)
_BRACKET = """
$fn = 48;
module wall() rotate([90, 0, 90]) linear_extrude(1.67)
  polygon([[-12, 0], [-12, -45], [-6, -45], [-6, -25], [17, -25], [17, -45], [22, -45], [22, 0]]);
module rib(y) translate([0, y, 0]) rotate([90, 0, 0]) linear_extrude(1.67)
  polygon([[0, 0], [-9, 0], [-9, -1], [-3, -38], [0, -38]]);
module sink(x, y) translate([x, y, -0.1]) { cylinder(h = 4, d = 3.4); cylinder(h = 3, d1 = 6.4, d2 = 0.6); }
difference() {
  union() {
    linear_extrude(3.5) polygon([[-28, -14], [6, -14], [9, -11], [9, 11], [6, 14], [-10, 14], [-14, 23], [-28, 23]]);
    translate([-14, 0, 0.5]) wall();
    for (y = [-6, 20]) translate([-14, 0, 0.5]) rib(y);
    for (y = [-12, 17]) translate([-16, y, -45]) cube([5, 5, 8]);
    translate([-4, 0, -0.5]) linear_extrude(0.7) text("b1", size = 5);
  }
  sink(0, -10); sink(0, 10); sink(-24, 18); sink(-24, -9);
  translate([-2, -0.6, -1]) cube([4, 1.2, 6]);
  for (y = [-9, 19]) translate([-20, y, -41]) rotate([0, 90, 0]) cylinder(h = 12, d = 1.7);
  for (y = [-2.5, 0, 2.5]) translate([9, y, 1]) rotate([0, 0, 45]) cube([1, 1, 9], center = true);
}
"""


def _best_s(*command: str) -> float:
    best = float("inf")
    for _ in range(_RUNS):
        begun = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
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
    """CPU seconds of the stages of each style, the best of three in a warm process, and all of ``make``."""
    from mounts.asked import asked
    from mounts.export.view import render_views
    from mounts.pipeline import check_mount, design_mount, make_mount
    from mounts.solid.tessellate import export_mesh

    print(f"\n{'CPU s, warm':32}" + "".join(f"{name:>9}" for name in _STAGES))
    for style, scale, options in _STYLES:
        moved = {"moves": "semaphore"} if style in ("lift-bracket", "drop-in") else {}
        spec = asked(id="b", style=style, servo="micro-9g", board="12 mm", scale=scale, set=options, **moved)
        best = dict.fromkeys(_STAGES, float("inf"))

        def timed(stage: str, work: Callable[[], T], best: dict[str, float] = best) -> T:
            begun = time.process_time()
            done = work()
            best[stage] = min(best[stage], time.process_time() - begun)
            return done

        for _ in range(_RUNS):
            designed = timed("design", lambda spec=spec: design_mount(spec))
            parts = timed("solid", lambda of=designed: of.style.build(of.design, of.options))
            exported = timed("mesh", lambda parts=parts, spec=spec: [export_mesh(one, spec.printer) for one in parts])
            meshes = tuple(mesh for mesh, _ in exported)
            timed("checks", lambda of=designed, meshes=meshes: tuple(check_mount(of, meshes)))
            timed("pictures", lambda of=designed, meshes=meshes: render_views(of.design, meshes))
            timed("make", lambda spec=spec: make_mount(spec, picture=True, paper="a4"))
        words = " ".join((style, scale, *options.values()))
        print(f"{words:32}" + "".join(f"{best[name]:9.2f}" for name in _STAGES), flush=True)
    _scripted(importing_s)


def _scripted(importing_s: float) -> None:
    """The like of a bracket as a script for a general program, where it is installed; nothing is checked there."""
    program = shutil.which("openscad")
    if program is None:
        return
    with tempfile.TemporaryDirectory() as folder:
        script = Path(folder) / "bracket.scad"
        script.write_text(_BRACKET)
        _row("openscad, a like bracket's STL", _best_s(program, "-o", str(script.with_suffix(".stl")), str(script)),
             importing_s)  # fmt: skip


if __name__ == "__main__":
    main()
