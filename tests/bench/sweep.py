"""What random mounts come to: ``PYTHONPATH=. python tests/bench/sweep.py --style bracket --count 100 [--slice]``.

Seeded requests over the whole space of inputs, each resolved and made as ``mounts make`` would, in spawned
workers. Prints how many passed, warned, failed or were refused, by check and by limit, the worst of each as command
lines, for refusals whether the change they offer works, and with ``--slice`` whether prusa-slicer wants support.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os
import random
import re
import shlex
import subprocess
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

from mounts.errors import BuildError, InputError, NoDesign

HOUSINGS = ("hut", "cabin", "bank", "stack")
LIFTS = ("lift-bracket", "drop-in")
STYLES = {"bracket": ("under-bracket",), "housing": HOUSINGS, "lift": LIFTS} | {
    name: (name,) for name in ("under-bracket", *HOUSINGS, *LIFTS)
}
SPREAD = 0.08  # a servo's dimensions off its class
HEIGHTS_MM = (0.15, 0.2, 0.25)  # whether a slicer sees a small ridge depends on where its layers fall
PINS = (
    "wire",
    "force",
    "set",
    "max_depth",
    "screw",
    "arm_hole",
    "held",
    "track_distance",
    "tie_bar_hole",
    "track_radius",
    "crank",
    "crank_pivot",
    "positions",
    "travel",
)
_UNSPREAD = ("spline_teeth", "degrees_per_us")
_OFFER = re.compile(r"--([a-z][a-z-]*)(?:[ =]('[^']+'|[\w.=/-]*[\w.]))?")
_FREE = re.compile(r"leave --([a-z-]+) free")
_OUT = re.compile(r"leave ((?:--set [a-z_]+(?:, )?)+) out")


@dataclass
class Found:
    """What one request came to."""

    request: dict[str, Any]
    outcome: Literal["pass", "warn", "fail", "refused", "traceback"]
    seconds: float
    warns: dict[str, str] = field(default_factory=dict)
    fails: dict[str, str] = field(default_factory=dict)
    words: str = ""
    offers: list[tuple[str, bool]] = field(default_factory=list)
    untried: bool = False
    support: list[str] = field(default_factory=list)


def draw(rng: random.Random, style: str, number: int, folder: Path, *, options: float) -> dict[str, Any]:
    """One request as its options; its servo is written to a file.

    Args:
        rng: what draws.
        style: of the mount.
        number: of the request, for its id.
        folder: for the servo's file.
        options: share of the requests that give options of the style, and depths and wires of their own.
    """
    from mounts.inputs.library import Library

    library = Library()
    scale = library.scale(rng.choice(library.names("scale")))
    request: dict[str, Any] = {
        "id": f"{style[:5]}-{number:03}",
        "style": style,
        "servo": _servo(rng, folder / f"servo-{number:03}.toml"),
        "board": rng.choice(library.names("board")) if rng.random() < 0.5 else round(rng.uniform(4, 38), 1),
        "scale": scale.name,
        "printer": rng.choice(("fdm-0.25", "fdm-0.4", "fdm-0.4", "fdm-0.6")),
        "filament": rng.choice(library.names("filament")),
    }
    if style in LIFTS:
        return request | _lifted(rng) | _spared(rng, style, options)
    if rng.random() < 0.4:
        request["roadbed"] = rng.choice(library.names("roadbed"))
    if rng.random() < 0.6:
        request["throw"] = round(rng.uniform(scale.smallest_throw_mm, scale.largest_throw_mm), 2)
    if rng.random() < 0.3:
        request["mirror"] = True
    if style not in HOUSINGS and rng.random() < 0.5:
        request["max_depth"] = rng.choice((80, 100, 120))
    if style in HOUSINGS and rng.random() < 0.2:
        request["track_radius"] = rng.choice((400, 600, 1000))
    if rng.random() < options:
        low, high = scale.force_n
        if rng.random() < 0.3:
            request["force"] = f"{low * rng.uniform(0.5, 1):.2f}-{high * rng.uniform(1, 1.6):.2f}"
        if chosen := _options(rng, style):
            request["set"] = chosen
    return request


def _lifted(rng: random.Random) -> dict[str, Any]:
    """A wire that travels, or a crank: of a profile, or as measured."""
    kind = rng.random()
    if kind < 0.4:
        asked: dict[str, Any] = {"travel": round(rng.uniform(1.0, 9.0), 1)}
        return asked | ({"positions": 3} if rng.random() < 0.4 else {})
    if kind < 0.7:
        return {"moves": rng.choice(("semaphore", "semaphore-3", "boom"))}
    across = f"{rng.uniform(-6, 6):.1f}, " if rng.random() < 0.5 else ""
    low, turn = rng.uniform(-45, 5), rng.uniform(30, 90)
    places = (low, low + turn / 2, low + turn) if rng.random() < 0.4 else (low, low + turn)
    return {
        "crank": round(rng.uniform(1.5, 6.0), 1),
        "crank_pivot": f"{across}{rng.uniform(10, 120):.1f}",
        "positions": ", ".join(f"{min(place, 90.0):.1f}" for place in places),
    }


def _spared(rng: random.Random, style: str, options: float) -> dict[str, Any]:
    """Mirror, depth and options of a lift."""
    found: dict[str, Any] = {"mirror": True} if rng.random() < 0.3 else {}
    if rng.random() < 0.5:
        found["max_depth"] = rng.choice((40, 80, 100))
    if rng.random() < options and (chosen := _options(rng, style)):
        found["set"] = chosen
    return found


def _servo(rng: random.Random, path: Path) -> str:
    """A servo of a class with every dimension off by up to 8 %, heights stacked on each other; its file."""
    from mounts.inputs.library import Library
    from mounts.inputs.servo import EDGE_MM

    library = Library()
    base = library.servo(rng.choice(library.names("servo")))
    while True:
        near = {
            key: value * rng.uniform(1 - SPREAD, 1 + SPREAD)
            for key, value in base.model_dump().items()
            if isinstance(value, float)
            and value
            and key.endswith(("_mm", "_nmm", "_g"))
            and key not in (*_UNSPREAD, "tolerance_mm")
        }
        wide = near["case_length_mm"] / base.case_length_mm
        for key in ("flange_span_mm", "flange_hole_spacing_mm"):
            near[key] = near["case_length_mm"] + (getattr(base, key) - base.case_length_mm) * rng.uniform(0.96, 1.04)
        top = near["case_height_mm"] - near["flange_underside_height_mm"] + near["boss_height_mm"]
        base_top = base.case_height_mm - base.flange_underside_height_mm + base.boss_height_mm
        for key in ("spline_top_height_mm", "horn_plane_height_mm"):
            near[key] = top + (getattr(base, key) - base_top) * rng.uniform(1 - SPREAD, 1 + SPREAD)
        near["shaft_offset_mm"] = base.shaft_offset_mm * wide * rng.uniform(0.98, 1.02)
        near["screw_mm"] = min(near["screw_mm"], near["flange_hole_mm"])
        ear = (near["flange_span_mm"] - near["case_length_mm"]) / 2
        near["flange_hole_mm"] = min(near["flange_hole_mm"], ear - 2 * EDGE_MM - 0.1)
        values = {key: round(value, 2) for key, value in near.items()}
        values["horn_radii_mm"] = [round(radius * rng.uniform(0.99, 1.01), 2) for radius in base.horn_radii_mm]
        path.write_text(f'extends = "{base.name}"\n' + "".join(f"{key} = {value}\n" for key, value in values.items()))
        try:
            library.servo(str(path))
        except InputError:
            continue
        return str(path)


def _options(rng: random.Random, style: str) -> dict[str, Any]:
    """Some of the style's own options, each within its range."""
    from mounts.styles import style_of

    chosen: dict[str, Any] = {}
    for name, info in style_of(style).options.model_fields.items():
        if rng.random() > 0.3:
            continue
        kind = info.annotation
        if get_origin(kind) is Literal:
            chosen[name] = rng.choice(get_args(kind))
        elif kind is bool:
            chosen[name] = rng.random() < 0.5
        else:
            ends = {type(rule).__name__: rule for rule in info.metadata}
            low, high = getattr(ends.get("Ge"), "ge", None), getattr(ends.get("Le"), "le", None)
            if kind is int:
                chosen[name] = rng.randint(low or 0, high or 0)
            elif low is not None and high is not None:
                chosen[name] = round(rng.uniform(low, high), 1)
    return chosen


def command(request: Mapping[str, Any]) -> str:
    """The request as it would be typed."""
    words = ["mounts", "make"]
    for key, value in request.items():
        option = f"--{key.replace('_', '-')}"
        if value is True:
            words.append(option)
        elif key == "set":
            for name, chosen in value.items():
                words += [option, f"{name}={str(chosen).lower() if isinstance(chosen, bool) else chosen}"]
        elif value is not False:
            words += [option, str(value)]
    return shlex.join(words)


def make(request: dict[str, Any], *, slices: bool, offers: bool = True) -> Found:
    """One request, made in this process."""
    begun = time.perf_counter()
    try:
        made = _made(request)
    except (NoDesign, InputError, BuildError) as fault:
        found = Found(request, "refused", time.perf_counter() - begun, words=" | ".join(str(fault).splitlines()))
        if isinstance(fault, BuildError):
            found.outcome, found.fails = "fail", {"build": str(fault)}
        elif offers:
            found.offers, found.untried = _tried(request, found.words)
        return found
    except Exception:
        last = traceback.format_exc().strip().splitlines()
        return Found(request, "traceback", time.perf_counter() - begun, words=" / ".join(last[-6:]))
    checks = made.report.checks
    found = Found(
        request, made.report.verdict, time.perf_counter() - begun,
        warns={check.name: f"{check.value:.3f} of {check.limit:.3f}: {check.message}"
               for check in checks if check.verdict == "warn"},
        fails={check.name: f"{check.value:.3f} of {check.limit:.3f}: {check.message}"
               for check in checks if check.verdict == "fail"},
    )  # fmt: skip
    if slices:
        found.support = list(_sliced({name: data for name, data in made.files.items() if name.endswith(".stl")}))
    return found


def _made(request: Mapping[str, Any]) -> Any:
    from mounts.asked import asked
    from mounts.pipeline import make_mount

    return make_mount(asked(**request))


def _tried(request: dict[str, Any], words: str) -> tuple[list[tuple[str, bool]], bool]:
    """The ways out that a refusal offers and whether each gives a mount that fails nothing; any left untried."""
    results: list[tuple[str, bool]] = []
    untried = False
    advice = words.split(";", 1)[-1] if ";" in words else words
    told = _OUT.sub(lambda found: found[0].replace(", ", "\0"), advice)  # one change, whatever its commas
    quoted = re.sub(r"'[^']*'", lambda found: found[0].replace(", ", "\0"), told)
    for way in dict.fromkeys(re.split(r", or | or |, |; ", quoted)):
        way = way.replace("\0", ", ")
        changed, known = _all_changed(request, way)
        if changed is None:
            untried |= known
        else:
            results.append((way.strip(), _works(changed)))
    return results, untried or not results


def _all_changed(request: dict[str, Any], way: str) -> tuple[dict[str, Any] | None, bool]:
    """The request with all that one way out changes together, None where it can't be typed; whether it names any."""
    changed = dict(request)
    frees, outs = _FREE.findall(way), _OUT.findall(way)
    for free in frees:
        changed.pop(free.replace("-", "_"), None)
    for out in outs:
        changed["set"] = {
            key: value for key, value in changed.get("set", {}).items() if f"--set {key}" not in out.split(", ")
        }
    offers = _OFFER.findall(_OUT.sub("", _FREE.sub("", way)))
    for option, value in offers:
        new = _changed(changed, option, value.strip("'").rstrip("."))
        if new is None:
            return None, True
        changed = new
    return (changed if frees or outs or offers else None), bool(frees or outs or offers)


def _changed(request: dict[str, Any], option: str, value: str) -> dict[str, Any] | None:
    """The request with an option that a message names; None where it names no value for it."""
    name, sign, setting = value.partition("=")
    if option == "set" and sign:
        return {**request, "set": {**request.get("set", {}), name: setting}}
    given = re.fullmatch(r"\d+(\.\d+)?(-\d+(\.\d+)?)?", value) or option in (
        "screw",
        "servo",
        "printer",
        "board",
        "positions",
    )
    return {**request, option.replace("-", "_"): value} if value and given and option != "set" else None


def _works(request: dict[str, Any]) -> bool:
    return make(request, slices=False, offers=False).outcome in ("pass", "warn")


def _sliced(files: Mapping[str, bytes]) -> Iterator[str]:
    """Where prusa-slicer sees more than one part or wants support, at each layer height."""
    for name, data in files.items():
        with tempfile.TemporaryDirectory() as folder:
            part = Path(folder) / "part.stl"
            part.write_bytes(data)
            told = _slicer(folder, "--info", str(part))
            if not re.search(r"^number_of_parts = +1$", told, re.MULTILINE):
                yield f"{name}: more than one part"
            for height in HEIGHTS_MM:
                gcode = Path(folder) / "out.gcode"
                _slicer(
                    folder, "-g", str(part), "--layer-height", f"{height}", "--first-layer-height", "0.2",
                    "--support-material", "--support-material-auto", "--support-material-threshold", "40",
                    "--dont-support-bridges", "--fill-density", "100%", "--fill-pattern", "rectilinear",
                    "-o", str(gcode),
                )  # fmt: skip
                if places := _support_layers(gcode.read_text()):
                    yield f"{name}: support at {height} mm layers, z {', '.join(places[:6])}"


def _slicer(folder: str, *arguments: str) -> str:
    done = subprocess.run(
        ["prusa-slicer", *arguments, "--datadir", folder], capture_output=True, text=True, timeout=300, check=False
    )
    if done.returncode:
        raise RuntimeError(done.stderr or done.stdout)
    return done.stdout


def _support_layers(gcode: str) -> list[str]:
    """Heights at which something is extruded as support."""
    places: dict[str, None] = {}
    height, inside = "", False
    for line in gcode.splitlines():
        if line.startswith(";Z:"):
            height = line[3:]
        elif line.startswith(";TYPE:"):
            inside = line.startswith(";TYPE:Support material")
        elif inside and line.startswith("G1 ") and " E" in line and ("X" in line or "Y" in line):
            places[height] = None
    return list(places)


def _begin(niceness: int) -> None:
    os.nice(niceness)
    from mounts.solid.threads import use_one_thread

    use_one_thread()


def _work(job: tuple[dict[str, Any], bool]) -> Found:
    return make(job[0], slices=job[1])


def sweep(requests: list[dict[str, Any]], *, sliced: int, workers: int, rows: Path | None = None) -> list[Found]:
    """Every request, in order, made in spawned workers; the first ``sliced`` are sliced too.

    Args:
        requests: as drawn.
        sliced: how many of them.
        workers: processes.
        rows: a line of JSON for each is written here as soon as it is made.
    """
    if rows is not None:
        rows.write_text("")
    jobs = [(request, number < sliced) for number, request in enumerate(requests)]
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(workers, mp_context=context, initializer=_begin, initargs=(1,)) as pool:
        found = []
        for count, one in enumerate(pool.map(_work, jobs), start=1):
            found.append(one)
            if rows is not None:
                with rows.open("a") as lines:
                    lines.write(json.dumps(vars(one), default=str) + "\n")
            if sys.stderr.isatty():
                print(f"\r{count}/{len(jobs)}", end="", file=sys.stderr, flush=True)
    return found


def tell(found: list[Found], *, worst: int) -> None:
    """The table, then examples as command lines."""
    count = len(found)
    outcomes = Counter(one.outcome for one in found)
    free = [one for one in found if not any(pin in one.request for pin in PINS)]
    print(f"{count} mounts, {sum(one.seconds for one in found) / count:.2f} s each")
    for name in ("pass", "warn", "fail", "refused", "traceback"):
        share, of_free = outcomes[name] / count, sum(one.outcome == name for one in free)
        print(f"  {name:10} {outcomes[name]:4}  {share:6.1%}   nothing pinned: {of_free} of {len(free)}")
    sliced = [one for one in found if one.support]
    print(f"  support or parts: {len(sliced)}")
    for title, kind in (("failed checks", "fails"), ("warnings", "warns")):
        names = Counter(name for one in found for name in getattr(one, kind))
        if names:
            print(f"{title}:")
        for name, many in names.most_common():
            having = [one for one in found if name in getattr(one, kind)]
            print(f"  {many:4} {name}, {sum(one in free for one in having)} with nothing pinned")
            for one in having[:worst]:
                print(f"         {getattr(one, kind)[name]}\n         {command(one.request)}")
    for title, rows in (
        ("tracebacks", [one for one in found if one.outcome == "traceback"]),
        ("refusals", [one for one in found if one.outcome == "refused"]),
    ):
        if rows:
            print(f"{title}:")
        for one in rows:
            print(f"  {one.words}\n         {command(one.request)}")
            for offer, works in one.offers:
                print(f"         tried {offer}: {'works' if works else 'DOES NOT WORK'}")
            if one.outcome == "refused" and not any(works for _, works in one.offers):
                print(f"         NO WAY OUT that was tried and works{' (some name no value)' if one.untried else ''}")
    for one in sliced:
        print(f"  {'; '.join(one.support)}\n         {command(one.request)}")


def main() -> int:
    """Draws, makes and tells; 1 where a mount failed, broke or wants support."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--style", choices=sorted(STYLES), default="bracket")
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--slice", type=int, nargs="?", const=10**6, default=0, metavar="N", help="the first N, or all")
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--options", type=float, default=0.3, help="share of requests that pin something")
    parser.add_argument("--worst", type=int, default=2, help="examples of each check")
    parser.add_argument("--json", type=Path, help="write a line for each here, as they are made")
    given = parser.parse_args()
    folder = Path(tempfile.gettempdir()) / f"sweep-{given.style}-{given.seed}"  # kept: the command lines name its files
    folder.mkdir(exist_ok=True)
    rng = random.Random(given.seed)  # noqa: S311, nothing secret
    names = STYLES[given.style]
    requests = [
        draw(rng, names[number % len(names)], number, folder, options=given.options) for number in range(given.count)
    ]
    found = sweep(requests, sliced=given.slice, workers=given.workers, rows=given.json)
    tell(found, worst=given.worst)
    return int(any(one.outcome in ("fail", "traceback") or one.support for one in found))


if __name__ == "__main__":
    raise SystemExit(main())
