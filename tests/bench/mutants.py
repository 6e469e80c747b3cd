"""Which changed signs, limits and constants no test notices: ``python tests/bench/mutants.py [ROOM or FILE ...]``.

Without a name: the modules that differ from ``main``. Each mutant (a sign, an operator, a comparison, a number by one,
a truth value) is tried in a copy of the tree against the tests of the module's own room that name the module, and its
doctests; ``--room`` adds the rest of the room, for what they leave. Survivors are printed with file and line. Operators
and timeout are those of ``[tool.cosmic-ray]`` in pyproject.toml. Needs the dev extra.
"""

from __future__ import annotations

import argparse
import os
import shlex
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Iterator, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TIMES_SLOWER = 4.0  # than the sound tree: such a mutant hangs


def _git(*words: str) -> list[str]:
    return subprocess.run(["git", *words], cwd=ROOT, capture_output=True, text=True, check=True).stdout.splitlines()


def _modules(names: Sequence[str]) -> list[str]:
    """Paths of the modules meant: those of rooms and files, or those that differ from main."""
    if not names:
        found = _git("diff", "--name-only", "--diff-filter=d", "main", "--", "mounts")
        found += _git("ls-files", "-o", "--exclude-standard", "mounts")
        return sorted(path for path in found if path.endswith(".py"))
    found = []
    for name in names:
        at = ROOT / (name if name.startswith("mounts") else f"mounts/{name}")
        at = at if at.exists() else at.with_suffix(".py")
        if not at.exists():
            raise SystemExit(f"{name}: no such room or module")
        found += sorted(at.rglob("*.py")) if at.is_dir() else [at]
    return [str(path.relative_to(ROOT)) for path in found]


def _tests(module: str, *, room: bool) -> list[str]:
    """The module itself, for its doctests, the tests of its room that name it, and with ``room`` all others of it."""
    _, *parts = Path(module).with_suffix("").parts
    where = ROOT / "tests" / parts[0]
    every = sorted((where if where.is_dir() else ROOT / "tests").rglob("test_*.py"))
    own = [path for path in every if path.stem == f"test_{parts[-1]}"] if not where.is_dir() else []
    own = own or every
    dotted = ".".join(("mounts", *(part for part in parts if part != "__init__")))
    package, _, last = dotted.rpartition(".")
    named = [
        path
        for path in own
        if f"{dotted} import" in (text := path.read_text())
        or f"import {dotted}" in text
        or f"from {package} import {last}" in text
    ]
    rest = [path for path in own if path not in named] if room and where.is_dir() else []
    named.sort(key=lambda path: path.stem != f"test_{last}")  # its own first: most mutants go no further
    found = [str(path.relative_to(ROOT)) for path in (*named, *rest)]
    return ([module] if ">>> " in (ROOT / module).read_text() else []) + found


def _copied(to: Path) -> None:
    for path in _git("ls-files", "-co", "--exclude-standard"):
        if (ROOT / path).is_file():
            (to / path).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / path, to / path)


def _tool(at: Path, *words: str) -> None:
    subprocess.run([str(Path(sys.executable).with_name(words[0])), *words[1:]], cwd=at, check=True, capture_output=True)


def _survivors(session: Path) -> Iterator[tuple[bool, int, str, str]]:
    """Of every mutant that was tried: whether a test noticed, line, operator, and what it changed."""
    from cosmic_ray.work_db import WorkDB, use_db

    with use_db(str(session), WorkDB.Mode.open) as found:
        mutations = {item.job_id: item.mutations[0] for item in found.work_items}
        for job, result in found.results:
            if result.test_outcome is None:
                continue
            lines = (result.diff or "").splitlines()
            changed = [line[1:].strip() for line in lines if line[:1] in "+-" and line[:3] not in ("+++", "---")]
            at = mutations[job]
            if len(changed) == 2 and "*, " in changed[0] and changed[0].replace("*, ", "/, ", 1) == changed[1]:
                continue  # the lone star of a signature is no product
            yield result.is_killed, at.start_pos[0], at.operator_name.removeprefix("core/"), "  ->  ".join(changed)


def _tried(module: str, tests: Sequence[str], at: Path, settings: dict[str, object]) -> tuple[int, int]:
    """Tries every mutant of one module in the copy; how many were noticed, and of how many."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "-p", "no:randomly", *tests]
    begun = time.monotonic()
    sound = subprocess.run(command, cwd=at, capture_output=True, text=True)
    if sound.returncode:
        raise SystemExit(f"{module}: its tests fail without a mutant\n{sound.stdout[-2000:]}")
    timeout = max(float(str(settings["least-timeout-s"])), TIMES_SLOWER * (time.monotonic() - begun))
    excluded = ", ".join(f"'{each}'" for each in _strings(settings["exclude-operators"]))
    config, session = at / "mutants.toml", at / "mutants.sqlite"
    config.write_text(
        f"[cosmic-ray]\nmodule-path = '{module}'\ntimeout = {timeout:.1f}\nexcluded-modules = []\n"
        f"test-command = '''{shlex.join(command)}'''\n[cosmic-ray.distributor]\nname = 'local'\n"
        f"[cosmic-ray.filters.operators-filter]\nexclude-operators = [{excluded}]\n"
    )
    session.unlink(missing_ok=True)
    _tool(at, "cosmic-ray", "init", str(config), str(session))
    _tool(at, "cr-filter-operators", str(session), str(config))
    _tool(at, "cosmic-ray", "exec", str(config), str(session))
    found = list(_survivors(session))
    for killed, line, operator, changed in sorted(found, key=lambda each: each[1:]):
        if not killed:
            print(f"{module}:{line}: {operator}: {changed}", flush=True)
    return sum(killed for killed, *_ in found), len(found)


def _strings(value: object) -> list[str]:
    assert isinstance(value, list)
    return [str(each) for each in value]


def main() -> int:
    """Prints survivors, and a line a module and a room; 1 where any survived."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("names", nargs="*", metavar="ROOM or FILE", help="drive, units, mounts/drive/pulse.py, ...")
    parser.add_argument("--room", action="store_true", help="ask every test of the room")
    given = parser.parse_args()
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["cosmic-ray"]
    rooms: dict[str, tuple[int, int]] = {}
    with tempfile.TemporaryDirectory() as folder:
        at = Path(folder)
        _copied(at)
        os.environ["PYTHONPATH"] = folder
        for module in _modules(given.names):
            tests = _tests(module, room=given.room)
            if not tests:
                print(f"{module}: no test of its room names it; try --room")
                continue
            begun = time.monotonic()
            killed, of = _tried(module, tests, at, settings)
            print(f"{module}: {killed} of {of} noticed, {time.monotonic() - begun:.0f} s", flush=True)
            room = Path(module).with_suffix("").parts[1]
            before = rooms.get(room, (0, 0))
            rooms[room] = before[0] + killed, before[1] + of
    for room, (killed, of) in rooms.items():
        print(f"{room:12} {killed:5} noticed {of - killed:5} survived {killed / max(of, 1):7.1%}")
    return int(any(killed < of for killed, of in rooms.values()))


if __name__ == "__main__":
    sys.exit(main())
