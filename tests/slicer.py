"""prusa-slicer as a referee: an outside program that reads the files and slices them, without a display."""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
from pathlib import Path

import pytest

SLICER = shutil.which("prusa-slicer")
needs_slicer = pytest.mark.skipif(SLICER is None, reason="prusa-slicer is not installed")

_SLICE = (
    "--layer-height", "0.2", "--first-layer-height", "0.2", "--support-material", "--support-material-auto",
    "--support-material-threshold", "40", "--dont-support-bridges", "--fill-density", "100%",
    "--fill-pattern", "rectilinear", "--skirts", "0",
)  # fmt: skip


def _run(*arguments: str) -> str:
    done = subprocess.run(
        [str(SLICER), *arguments], capture_output=True, text=True, timeout=120, check=False
    )
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
