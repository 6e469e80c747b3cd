"""Loops of many housings held closed by a frame: ``PYTHONPATH=.:tests python tests/bench/loops.py``.

Every style, pose, servo class and scale at its default, and ``--random`` requests of tests/bench/sweep.py. Prints how
many were designed, the least clear distance of their legs and how far the force is off the report's.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from bench.sweep import HOUSINGS, draw
from held_rods import held

from mounts.design import Design
from mounts.errors import NoDesign
from mounts.inputs.library import Library
from mounts.inputs.request import read_request
from mounts.inputs.resolve import resolve
from mounts.pipeline import design_mount


def defaults() -> Iterator[dict[str, Any]]:
    """Every style, pose, servo class and scale."""
    library = Library()
    for style in HOUSINGS:
        for pose in ("hang", "side"):
            for servo in library.names("servo"):
                for scale in library.names("scale"):
                    yield {"style": style, "servo": servo, "scale": scale, "board": "12 mm", "set": {"pose": pose}}


def designed(request: dict[str, Any]) -> Design | str:
    """The design of a request, or why there is none."""
    try:
        return design_mount(resolve(read_request({"id": "a"} | request), Library())).design
    except NoDesign as refusal:
        return str(refusal)


def main() -> int:
    """Prints what was found; 1 where legs meet or a force is off."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--random", type=int, default=200)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--part", default="0/1", help="which part of how many of the defaults")
    chosen = options.parse_args()
    first, parts = map(int, chosen.part.split("/"))
    rng = random.Random(chosen.seed)  # noqa: S311, a seeded draw
    with tempfile.TemporaryDirectory() as folder:
        drawn = [draw(rng, rng.choice(HOUSINGS), number, Path(folder), options=0.5) for number in range(chosen.random)]
        rows, refused = [], 0
        for request in [*list(defaults())[first::parts], *drawn]:
            found = designed(request)
            if isinstance(found, str):
                refused += 1
                print("refused", request["style"], request["scale"], found)
                continue
            drive, throw = found.drive, found.spec.throw_mm
            pushed, pulled = held(drive, throw, 1), held(drive, throw, -1)
            weak = held(drive, throw, 1, less_mm=drive.lost_motion_mm / 2)
            off = max(abs(pulled.blade_n / drive.force_n - 1), abs(weak.blade_n / drive.force_after_slack_n - 1))
            rows.append((pushed.clear_mm, off, request))
    closest = min(rows, key=lambda row: row[0])
    farthest = max(rows, key=lambda row: row[1])
    print(f"{len(rows)} designed, {refused} refused")
    print(f"least clear distance of the legs {closest[0]:.2f} mm: {closest[2]}")
    print(f"force off the report's by at most {100 * farthest[1]:.1f} %: {farthest[2]}")
    return int(closest[0] < 0.6 or farthest[1] > 0.03)


if __name__ == "__main__":
    sys.exit(main())
