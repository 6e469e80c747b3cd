"""prusa-slicer as a referee: an outside program that reads the files and slices them, without a display."""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
from pathlib import Path

import pytest

from mounts.inputs.printer import Filament, Printer

SLICER = shutil.which("prusa-slicer")
needs_slicer = pytest.mark.skipif(SLICER is None, reason="prusa-slicer is not installed")

_SLICE = (
    "--layer-height", "0.2", "--first-layer-height", "0.2", "--support-material", "--support-material-auto",
    "--support-material-threshold", "40", "--dont-support-bridges", "--fill-density", "100%",
    "--fill-pattern", "rectilinear", "--skirts", "0",
)  # fmt: skip


def _run(*arguments: str) -> str:
    done = subprocess.run([str(SLICER), *arguments], capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr or done.stdout
    return done.stdout


def info(path: Path) -> dict[str, str]:
    """What the slicer says of a file: ``manifold``, ``number_of_parts``, ``size_x``, ``volume`` and more."""
    with tempfile.TemporaryDirectory() as settings:
        text = _run("--info", str(path), "--datadir", settings)
    return dict(re.findall(r"^(\w+) *= *(.+?)\s*$", text, flags=re.MULTILINE))


def gcode(path: Path, *options: str) -> str:
    """The G-code of a file at 0.2 mm layers, supports wherever the slicer wants them."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "out.gcode"
        _run("-g", str(path), "--datadir", folder, *_SLICE, *options, "-o", str(out))
        return out.read_text()


def estimate(path: Path, printer: Printer, filament: Filament) -> tuple[float, float]:
    """Minutes and grams that the slicer reckons for one file with the settings of a printer profile, no skirt."""
    width = 1.125 * printer.nozzle_mm
    asked: dict[str, object] = {
        "nozzle-diameter": printer.nozzle_mm, "layer-height": printer.layer_mm,
        "first-layer-height": printer.first_layer_mm, "perimeters": printer.wall_lines,
        "fill-density": f"{printer.infill_percent:g}%", "fill-pattern": "grid", "top-solid-layers": printer.skin_layers,
        "bottom-solid-layers": printer.skin_layers, "skirts": 0, "filament-density": filament.density_g_per_cm3,
        "filament-diameter": 1.75, "travel-speed": 130, "first-layer-speed": printer.first_layer_mm_per_s,
        "slowdown-below-layer-time": printer.least_layer_s, "gcode-flavor": "marlin",
        "machine-max-acceleration-extruding": printer.acceleration_mm_per_s2,
        "machine-max-acceleration-travel": printer.acceleration_mm_per_s2,
    }  # fmt: skip
    for line in ("", "first-layer-", "external-perimeter-", "perimeter-", "infill-", "solid-infill-", "top-infill-"):
        asked[f"{line}extrusion-width"] = width
    for line in (
        "perimeter", "external-perimeter", "small-perimeter", "infill", "solid-infill", "top-solid-infill", "bridge",
        "gap-fill",
    ):  # fmt: skip
        asked[f"{line}-speed"] = printer.print_mm_per_s
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "out.gcode"
        options = (f"--{name}={value}" for name, value in asked.items())
        _run("-g", str(path), "--datadir", folder, *options, "--cooling", "-o", str(out))
        told = out.read_text()
    return minutes_of(told), grams_of(told)


def minutes_of(told: str) -> float:
    """Time that a G-code file says it takes."""
    time = re.search(r"estimated printing time \(normal mode\) = (.+)", told)
    assert time
    units = {"d": 1440.0, "h": 60.0, "m": 1.0, "s": 1 / 60}
    return sum(int(count) * units[unit] for count, unit in re.findall(r"(\d+)([dhms])", time[1]))


def grams_of(told: str) -> float:
    """Filament that a G-code file says it uses."""
    grams = re.search(r"filament used \[g\] = ([\d.]+)", told)
    assert grams
    return float(grams[1])


def support_mm(path: Path, *options: str) -> float:
    """Filament, mm, the slicer puts into supports."""
    total, last, in_support = 0.0, 0.0, False
    relative = False
    for line in gcode(path, *options).splitlines():
        if line.startswith(";TYPE:"):
            in_support = line.startswith(";TYPE:Support material")
        elif line.startswith("M83"):
            relative = True
        elif line.startswith("G92"):
            last = 0.0
        elif line.startswith("G1 ") and (found := re.search(r"E(-?[\d.]+)", line)):
            value = float(found[1])
            step = value if relative else value - last
            last = value
            if in_support and re.search(r"[XY]", line):
                total += max(step, 0.0)
    return total
