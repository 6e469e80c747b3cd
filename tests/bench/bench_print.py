"""What printing costs: ``PYTHONPATH=.:tests python tests/bench/bench_print.py --style bracket --random 20``.

Grams and minutes by prusa-slicer of the demo layout's mounts and of random ones drawn as the sweep draws them: with
the slicer's own default profile at 0.2 mm layers (at the nozzle's half for others), and with ``--profile`` with the
settings of the mount's printer. ``--json FILE`` keeps the table, ``--against FILE`` prints ratios to one that was kept.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import slicer
from bench import sweep

from mounts.asked import asked
from mounts.batch.work import FamilyTask, match_family
from mounts.drive.model import Drive
from mounts.errors import MountsError
from mounts.inputs.library import Library
from mounts.inputs.read_layout import read_layout
from mounts.inputs.spec import MountSpec
from mounts.pipeline import design_mount
from mounts.styles import check_asked

DEMO = Path("profiles/demo/yard.toml")
DENSITY = 1.27
"""PETG's, for every mount: what is compared is plastic."""

Row = dict[str, float]
"""``grams`` and ``minutes`` by the slicer's defaults; ``profile_grams`` and ``profile_minutes`` by the printer's."""


@dataclass(frozen=True)
class Asked:
    """One mount to print: its name in the table, the request, and its drive where a family shares it."""

    name: str
    spec: MountSpec
    drive: Drive | None = None


def demo(styles: tuple[str, ...]) -> Iterator[Asked]:
    """The demo layout's mounts of some styles."""
    layout = read_layout(DEMO, Library(), check_asked)
    drives: dict[str, Drive] = {}
    for name, shared in layout.families.items():
        specs = tuple(mount.spec for mount in layout.mounts if mount.family == name)
        if any(spec.style in styles for spec in specs):
            found = match_family(FamilyTask(specs, shared))
            if not isinstance(found, tuple):
                raise SystemExit(f"family {name}: {found.reason}")
            drives |= dict(zip((spec.id for spec in specs), found, strict=True))
    for mount in layout.mounts:
        if mount.spec.style in styles:
            yield Asked(mount.spec.id, mount.spec, drives.get(mount.spec.id))


def drawn(styles: tuple[str, ...], count: int, seed: int, folder: Path) -> Iterator[Asked]:
    """The first so many of the sweep's requests that have a design; nothing of a style's own pinned."""
    rng, number, found = random.Random(seed), 0, 0  # noqa: S311, nothing secret
    while found < count:
        request = sweep.draw(rng, styles[number % len(styles)], number, folder, options=0.0)
        number += 1
        try:
            spec = asked(**request)
            design_mount(spec)
        except MountsError:
            continue
        found += 1
        yield Asked(f"random {request['id']}", spec)


def printed(one: Asked, *, profile: bool) -> Iterator[tuple[str, Row]]:
    """Each part's row, by mount and part."""
    from mounts.solid.tessellate import export_mesh

    spec = one.spec
    designed = design_mount(spec, one.drive)
    for part in designed.style.build(designed.design, designed.options):
        _, stl = export_mesh(part, spec.printer)
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "part.stl"
            path.write_bytes(stl)
            minutes, grams = _by_default(path, spec.printer.nozzle_mm)
            row = {"grams": grams, "minutes": minutes}
            if profile:
                row["profile_minutes"], row["profile_grams"] = slicer.estimate(path, spec.printer, spec.filament)
        yield f"{one.name} {part.name}".strip(), row


def _by_default(path: Path, nozzle_mm: float) -> tuple[float, float]:
    """Minutes and grams with the slicer's default profile, but for the nozzle; 0.2 mm layers at 0.4."""
    layer = f"{nozzle_mm / 2:.2f}"
    out = path.with_suffix(".gcode")
    subprocess.run(
        ["prusa-slicer", "-g", str(path), "--datadir", str(path.parent), "--nozzle-diameter", f"{nozzle_mm:g}",
         "--layer-height", layer, "--first-layer-height", layer, "--filament-density", f"{DENSITY}", "--skirts", "0",
         "-o", str(out)],
        check=True, capture_output=True, timeout=600,
    )  # fmt: skip
    told = out.read_text()
    return slicer.minutes_of(told), slicer.grams_of(told)


def table(rows: dict[str, Row], before: dict[str, Row]) -> None:
    """Every part, sums, and where there is a table from before ratios to it."""
    keys = list(next(iter(rows.values())))
    print(f"{'':34}" + "".join(f"{key.replace('_', ' '):>17}" for key in keys))
    groups = {
        "demo": [name for name in rows if not name.startswith("random ")],
        "random": [name for name in rows if name.startswith("random ")],
    }
    for names in groups.values():
        for name in names:
            print(_line(name, rows[name], before.get(name)))
    for title, names in {**groups, "all": list(rows)}.items():
        shared = [name for name in names if name in before] if before else names
        if shared:
            total = {key: sum(rows[name][key] for name in shared) for key in keys}
            was = {key: sum(before[name].get(key, 0.0) for name in shared) for key in keys} if before else None
            print(_line(f"{title}, {len(shared)} parts", total, was))
    for name in before.keys() - rows.keys():
        print(f"{name}: no longer made", file=sys.stderr)


def _line(name: str, row: Row, was: Row | None) -> str:
    cells = (
        f"{value:9.1f}" + (f" {value / was[key]:6.2f} ×" if was and was.get(key) else " " * 9)
        for key, value in row.items()
    )
    return f"{name[:33]:33} " + "".join(cells)


def main() -> None:
    """Draws, builds, slices and tells."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--style", choices=sorted(sweep.STYLES), default="bracket")
    parser.add_argument("--random", type=int, default=20, help="how many random mounts besides the demo's")
    parser.add_argument("--seed", type=int, default=14)
    parser.add_argument("--profile", action="store_true", help="with the settings of each mount's printer, too")
    parser.add_argument("--json", type=Path, help="write the table here")
    parser.add_argument("--against", type=Path, help="print ratios to a table written before")
    given = parser.parse_args()
    os.nice(1)
    styles = sweep.STYLES[given.style]
    folder = Path(tempfile.gettempdir()) / f"print-{given.style}-{given.seed}"
    folder.mkdir(exist_ok=True)
    rows: dict[str, Row] = {}
    for one in (*demo(styles), *drawn(styles, given.random, given.seed, folder)):
        rows |= printed(one, profile=given.profile)
    if given.json:
        given.json.write_text(json.dumps(rows, indent=1))
    table(rows, json.loads(given.against.read_text()) if given.against else {})


if __name__ == "__main__":
    main()
