"""Which changed signs, limits and constants no test notices: ``python tests/bench/mutants.py [ROOM or FILE ...]``.

Without a name: the modules that differ from ``main``. Each mutant (a sign, an operator, a comparison, a number by one,
a truth value: cosmic-ray's operators, less what is excluded in pyproject.toml) is tried against the tests of the
modules' own room that name one of them, with ``--room`` all of the room, and doctests; without those marked ``solid``
unless ``--solid`` asks for them. Survivors are printed with file and line, and whether any test comes there at all.
``--sample N`` tries N mutants of each module, the same ones every time (others by ``--seed``); the rate of a room is
then the mean of its modules' rates, weighted by how many mutants each has.

Nothing is written. Each test is first run by itself in a forked child, which tells the lines that it reaches and how
long it takes; a mutant is then tried in a child of its own that has everything imported and takes the changed
functions, against the tests that reach its statement, the quickest first. A constant of the module is set in such a
child too, wherever it is held (``constants.py``); any other change to what happens on import is tried in a child that
imports the changed source. Both are tried against all tests that reach the module or one that imports from it, and
where there are none against all.
Needs the dev extra.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import copy
import functools
import gc
import importlib
import importlib.abc
import importlib.util
import itertools
import math
import os
import pickle
import random
import re
import signal
import subprocess
import sys
import time
import tomllib
import traceback
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: threads of many small products fight for cores

import constants  # beside this file
import cosmic_ray.plugins
import numpy  # noqa: F401, from here on loaded once for all children, as the next
import pydantic  # noqa: F401
import pytest
import scipy.optimize  # noqa: F401
from _pytest.runner import runtestprotocol
from cosmic_ray.ast import ast_nodes, get_ast

ROOT = Path(__file__).resolve().parents[2]
TIMES_SLOWER = 4.0  # than the sound tree: such a mutant hangs


@dataclass
class Mutant:
    """One change of one module."""

    path: str
    line: int
    operator: str
    told: str
    source: str
    noticed: bool = False
    reached: bool = True


@dataclass
class Known:
    """What the sound tests do: by node id, seconds and the lines (path, line) that they reach."""

    seconds: dict[str, float] = field(default_factory=dict)
    lines: dict[str, set[tuple[str, int]]] = field(default_factory=dict)

    def quickest(self, near: set[tuple[str, int]], most_s: float, *, own: str, every: bool = False) -> list[str]:
        """Ids of the tests that reach one of these lines (line 0: the file at all), the quickest first.

        As many as take so long at most: those that reach the module itself, ``own``, before those that only reach one
        that imports from it, and then those that reach the fewest files, for they ask the most of each. With
        ``every`` it is all of them where none does: what a module holds may be looked up without a line of it run.
        """
        found = [each for each, at in self.lines.items() if at & near] or (list(self.lines) if every else [])
        files = {each: {path for path, line in self.lines[each] if line == 0} for each in found}
        found.sort(key=lambda each: (own not in files[each], len(files[each]), self.seconds[each]))
        spent = itertools.accumulate(self.seconds[each] for each in found)
        chosen = [each for each, seconds in zip(found, spent, strict=True) if seconds <= most_s or each == found[0]]
        return sorted(chosen, key=lambda each: self.seconds[each])


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


def _tests(modules: Sequence[str], *, room: bool) -> list[str]:
    """The modules themselves, for their doctests, and the tests of their room that name one, or with ``room`` all."""
    found = [module for module in modules if ">>> " in (ROOT / module).read_text()]
    where = ROOT / "tests" / Path(modules[0]).with_suffix("").parts[1]
    if room and where.is_dir():
        return [*found, str(where.relative_to(ROOT))]
    for module in modules:
        dotted = _name(module)
        package, _, last = dotted.rpartition(".")
        named = re.compile(rf"(from|import) {dotted}\b(?!\.)|from {package} import .*\b{last}\b")
        own = ROOT / "tests" / f"test_{last}.py"
        every = [own] if own.exists() else sorted((where if where.is_dir() else ROOT / "tests").rglob("test_*.py"))
        found += [str(path.relative_to(ROOT)) for path in every if path == own or named.search(path.read_text())]
    return list(dict.fromkeys(found))


def _mutants(path: str, excluded: Sequence[str], unseen: Sequence[str]) -> Iterator[Mutant]:
    source = (ROOT / path).read_text()
    nodes, lines = list(ast_nodes(get_ast(source))), [*source.splitlines(keepends=True), ""]
    for name in sorted(cosmic_ray.plugins.operator_names()):
        if any(re.match(each, name) for each in excluded):
            continue
        operator = cosmic_ray.plugins.get_operator(name)()
        places = [(node, n, at) for node in nodes for n, (at, _) in enumerate(operator.mutation_positions(node))]
        for node, number, (line, _) in places:
            # as cosmic_ray.mutating does, which reads the source anew for each
            alone = copy.deepcopy(node, {id(node.parent): node.parent})
            (first, column), (last, end) = node.get_start_pos_of_prefix(), node.end_pos
            before = "".join(lines[: first - 1]) + lines[first - 1][:column]
            after = lines[last - 1][end:] + "".join(lines[last:])
            changed = before + operator.mutate(alone, number).get_code() + after
            both = zip(lines, changed.splitlines(keepends=True), strict=False)
            pairs = [(old.strip(), new.strip()) for old, new in both if old != new]
            if not pairs or re.sub(r"\*,( |$)", r"/,\1", pairs[0][0], count=1) == pairs[0][1]:
                continue  # the lone star of a signature is no product
            told = "  ->  ".join(pairs[0])
            if any(re.search(each, told) for each in unseen):
                continue
            try:
                compile(changed, path, "exec")
            except SyntaxError:
                continue
            yield Mutant(path, line, name.removeprefix("core/"), told, changed)


def _statement(source: str, line: int) -> range:
    """Lines of the innermost statement at a line, without the body of one that has a body."""
    best = range(line, line + 1)
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.stmt) or not node.lineno <= line <= (node.end_lineno or 0):
            continue
        body = getattr(node, "body", None)
        end = body[0].lineno - 1 if body else node.end_lineno or node.lineno
        if line <= max(end, node.lineno):
            best = range(node.lineno, max(end, node.lineno) + 1)
    return best


def _name(path: str) -> str:
    """A module's, by its path."""
    return ".".join(Path(path).with_suffix("").parts).removesuffix(".__init__")


def _near(path: str) -> set[tuple[str, int]]:
    """The files whose tests can tell a change of what a module does on import: its own, and who imports from it."""
    others = constants.importers(_name(path), ROOT)
    return {(path, 0), *((str(Path(each).relative_to(ROOT)), 0) for each in others)}


def _sampled(mutants: Sequence[Mutant], number: int | None, seed: int) -> list[Mutant]:
    """As many mutants of one module, in their own order."""
    if number is None or number >= len(mutants):
        return list(mutants)
    chosen = random.Random(f"{seed} {mutants[0].path}").sample(range(len(mutants)), number)  # noqa: S311
    return [mutants[each] for each in sorted(chosen)]


def _functions(code: CodeType, at: dict[tuple[str, int], list[CodeType]], imported: list[Any]) -> None:
    """Sorts code into functions, by name and line, and what is run on import."""
    for each in code.co_consts:
        if not isinstance(each, CodeType):
            imported.append(each)
        elif each.co_flags & 1:  # CO_OPTIMIZED: a function's
            at.setdefault((each.co_qualname, each.co_firstlineno), []).append(each)
            _nested(each, at)
        else:
            _functions(each, at, imported)
    imported += [code.co_code, code.co_names]


def _nested(code: CodeType, at: dict[tuple[str, int], list[CodeType]]) -> None:
    for each in code.co_consts:
        if isinstance(each, CodeType):
            at.setdefault((each.co_qualname, each.co_firstlineno), []).append(each)
            _nested(each, at)


@functools.cache
def _live(path: str) -> dict[tuple[str, int], list[FunctionType]]:
    found: dict[tuple[str, int], list[FunctionType]] = {}
    for each in gc.get_objects():
        if isinstance(each, FunctionType) and os.path.realpath(each.__code__.co_filename) == path:
            found.setdefault((each.__code__.co_qualname, each.__code__.co_firstlineno), []).append(each)
    return found


@functools.cache
def _sound(path: str) -> tuple[dict[tuple[str, int], list[CodeType]], list[str]]:
    was: dict[tuple[str, int], list[CodeType]] = {}
    before: list[Any] = []
    _functions(compile(Path(path).read_text(), path, "exec"), was, before)
    return was, [repr(each) for each in before]


def _patches(mutant: Mutant) -> list[tuple[FunctionType, CodeType]] | None:
    """Functions that are alive, with their changed code; None where the change is not in functions alone."""
    file = str(ROOT / mutant.path)
    was, before = _sound(file)
    now: dict[tuple[str, int], list[CodeType]] = {}
    after: list[Any] = []
    _functions(compile(mutant.source, file, "exec"), now, after)
    if before != [repr(each) for each in after] or was.keys() != now.keys():
        return None
    alive = _live(file)
    changed = [key for key in was if was[key] != now[key]]
    if any(len(was[key]) > 1 for key in changed):
        return None
    outer = [key for key in changed if "<locals>" not in key[0]]
    if not outer or any(key not in alive for key in outer):
        return None
    return [(each, now[key][0]) for key in changed for each in alive.get(key, [])]


def _change(mutant: Mutant) -> tuple[Callable[[], None], bool] | None:
    """What makes a mutant of a process that has everything imported, and whether it is inside functions; None where
    only a fresh import does."""
    patches = _patches(mutant)
    if patches is not None:

        def functions() -> None:
            for function, code in patches:
                function.__code__ = code

        return functions, True
    found = constants.assignments((ROOT / mutant.path).read_text(), mutant.source)
    module = sys.modules.get(_name(mutant.path))
    if found is None or module is None:
        return None
    again, moved = found
    held = constants.holders(module.__name__, moved, ROOT)
    return None if held is None else (lambda: constants.put(module, again, held), False)


def _in_child(work: Callable[[], object], seconds: float, *, loud: bool = False) -> Any:
    """The answer of a child that does it; None of one that falls or hangs."""
    reads, writes = os.pipe()
    child = os.fork()  # noqa: TID251, the kernel is not in it unless --solid asks
    if child == 0:
        code = 1
        try:
            os.close(reads)
            nothing = os.open(os.devnull, os.O_RDWR)
            for stream in () if loud else (0, 1, 2):
                os.dup2(nothing, stream)
            signal.signal(signal.SIGALRM, signal.SIG_DFL)
            signal.alarm(max(1, int(seconds + 0.999)))
            answer = pickle.dumps(work())
            with os.fdopen(writes, "wb") as to:
                to.write(answer)
            code = 0
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(code)
    os.close(writes)
    with os.fdopen(reads, "rb") as source:
        told = source.read()
    os.waitpid(child, 0)
    return pickle.loads(told) if told else None  # noqa: S301, our own child's


def _run(item: pytest.Item) -> bool:
    """Whether a test of this process passes or skips."""
    return not any(report.failed for report in runtestprotocol(item, log=False, nextitem=None))


@dataclass
class Room:
    """A pytest plugin that tries mutants in place of running the tests that were collected."""

    mutants: list[Mutant]
    least_s: float
    most_s: float
    known: Known = field(default_factory=Known)
    on_import: list[tuple[Mutant, set[tuple[str, int]]]] = field(default_factory=list)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Learns what the tests reach, and tries."""
        for path in {mutant.path for mutant in self.mutants}:
            with contextlib.suppress(ImportError):  # one that is imported late has functions to change as well
                importlib.import_module(_name(path))
        items = {item.nodeid: item for item in session.items}
        begun = time.monotonic()
        for name, item in items.items():
            told = _in_child(lambda item=item: self._reached(item), 600.0)
            if told is None or not told[0]:
                print(f"{name}: fails by itself without a mutant, left out", flush=True)
                continue
            _, self.known.seconds[name], self.known.lines[name] = told
        print(f"{len(items)} tests reckoned with, {time.monotonic() - begun:.0f} s", flush=True)
        for mutant in self.mutants:
            made = _change(mutant)
            if made is None:
                self.on_import.append((mutant, _near(mutant.path)))
                continue
            change, inside = made
            lines = {(mutant.path, line) for line in _statement((ROOT / mutant.path).read_text(), mutant.line)}
            near = lines if inside else _near(mutant.path)
            names = self.known.quickest(near, self.most_s, own=mutant.path, every=not inside)
            mutant.reached = bool(names)

            def tried(change: Callable[[], None] = change, names: Sequence[str] = names) -> bool:
                change()
                return all(_run(items[name]) for name in names)

            seconds = max(self.least_s, TIMES_SLOWER * sum(self.known.seconds[name] for name in names))
            mutant.noticed = bool(names) and _in_child(tried, seconds) is not True
            _tell(mutant)
        return True

    def _reached(self, item: pytest.Item) -> tuple[bool, float, set[tuple[str, int]]]:
        paths = {str(ROOT / mutant.path): mutant.path for mutant in self.mutants}
        found: set[tuple[str, int]] = set()

        def line(frame: Any, event: str, _: Any) -> Any:
            if event == "line":
                found.add((paths[frame.f_code.co_filename], frame.f_lineno))
            return line

        def call(frame: Any, event: str, _: Any) -> Any:
            file = frame.f_code.co_filename
            if file.startswith(f"{ROOT}/"):  # tests and what helps them too
                found.add((file.removeprefix(f"{ROOT}/"), 0))
            return line if file in paths else None

        begun = time.monotonic()
        sys.settrace(call)
        passed = _run(item)
        sys.settrace(None)
        return passed, time.monotonic() - begun, found


class Only:
    """A pytest plugin: these tests, in this order, of a changed module."""

    def __init__(self, names: Sequence[str], changed: importlib.abc.MetaPathFinder) -> None:
        self.names, self.changed = names, changed

    def pytest_configure(self) -> None:
        """Asked before pytest's own finder, which takes modules for their doctests."""
        sys.meta_path.insert(0, self.changed)

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Keeps and orders."""
        by_name = {item.nodeid: item for item in items}
        items[:] = [by_name[name] for name in self.names]


class Changed(importlib.abc.MetaPathFinder, importlib.abc.SourceLoader):
    """Imports the source of a mutant in place of its module's."""

    def __init__(self, mutant: Mutant) -> None:
        self.mutant = mutant
        self.package = Path(mutant.path).name == "__init__.py"
        self.name = _name(mutant.path)

    def find_spec(self, name: str, path: Any = None, target: Any = None) -> Any:
        """Of this one module."""
        if name != self.name:
            return None
        at = str(ROOT / self.mutant.path)
        places = [str(Path(at).parent)] if self.package else None
        return importlib.util.spec_from_file_location(name, at, loader=self, submodule_search_locations=places)

    def get_filename(self, name: str) -> str:
        """The sound file's."""
        return str(ROOT / self.mutant.path)

    def get_data(self, path: Any) -> bytes:
        """The changed source."""
        return self.mutant.source.encode()


def _pytest(tests: Sequence[str], plugin: object, *, solid: bool) -> int:
    kinds = [] if solid else ["-m", "not solid"]
    quiet = ["-q", "-s", "--no-header", "--no-summary", "-p", "no:cacheprovider", "-p", "no:randomly"]
    return int(pytest.main([*quiet, "-x", *kinds, *tests], plugins=[plugin]))


def _tell(mutant: Mutant) -> None:
    if not mutant.noticed:
        unreached = "" if mutant.reached else " (no test comes here)"
        print(f"{mutant.path}:{mutant.line}: {mutant.operator}: {mutant.told}{unreached}", flush=True)


def _tried(mutants: list[Mutant], tests: Sequence[str], least_s: float, most_s: float, *, solid: bool) -> list[Mutant]:
    """The mutants of one room, tried."""

    def in_functions() -> Room:
        room = Room(mutants, least_s, most_s)
        if _pytest(tests, room, solid=solid):
            raise SystemExit("the tests are not sound")
        return room

    room = _in_child(in_functions, 100_000.0, loud=True)
    if not isinstance(room, Room):
        raise SystemExit(f"{' '.join(tests)}: the tests can't be tried")
    for mutant, near in room.on_import:
        names = room.known.quickest(near, most_s, own=mutant.path, every=True)
        files = list(dict.fromkeys(name.split("::")[0] for name in names))

        def on_import(mutant: Mutant = mutant, names: Any = names, files: Any = files) -> bool:
            return _pytest(files, Only(names, Changed(mutant)), solid=solid) == 0

        seconds = max(least_s, 10.0 + TIMES_SLOWER * sum(room.known.seconds[name] for name in names))
        mutant.reached = bool(names)
        mutant.noticed = bool(names) and _in_child(on_import, seconds) is not True
        _tell(mutant)
    return room.mutants


def main() -> int:
    """Prints survivors, and a line a module and a room; 1 where any survived."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("names", nargs="*", metavar="ROOM or FILE", help="drive, units, mounts/drive/pulse.py, ...")
    parser.add_argument("--solid", action="store_true", help="ask the tests that build solids as well")
    parser.add_argument("--room", action="store_true", help="ask all tests of the room, not those that name a module")
    parser.add_argument(
        "--seconds", type=float, default=math.inf, help="of tests that are asked about a mutant, at most"
    )
    parser.add_argument("--sample", type=int, metavar="N", help="try so many mutants of each module, not all")
    parser.add_argument("--seed", type=int, default=0, help="another sample (default: %(default)s)")
    parser.add_argument("--tests", nargs="+", metavar="FILE", help="ask these tests in place of the room's")
    given = parser.parse_args()
    os.chdir(ROOT)
    sys.path[:0] = [str(ROOT)]
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["cosmic-ray"]
    rooms: dict[str, list[str]] = {}
    for module in _modules(given.names):
        rooms.setdefault(Path(module).with_suffix("").parts[1], []).append(module)
    left = False
    for room, modules in rooms.items():
        every = {
            module: list(_mutants(module, settings["exclude-operators"], settings["exclude-changes"]))
            for module in modules
        }
        begun = time.monotonic()
        tried = _tried(
            [each for own in every.values() for each in _sampled(own, given.sample, given.seed)],
            given.tests or _tests(modules, room=given.room),
            settings["least-timeout-s"],
            given.seconds,
            solid=given.solid,
        )
        weighted = 0.0
        for module, mutants in every.items():
            own = [each for each in tried if each.path == module]
            if own:
                noticed = sum(each.noticed for each in own)
                weighted += len(mutants) * noticed / len(own)
                of_all = f", a sample of {len(mutants)}" if len(own) < len(mutants) else ""
                print(f"{module}: {noticed} of {len(own)} noticed, {noticed / len(own):.1%}{of_all}")
        killed, whole = sum(each.noticed for each in tried), sum(map(len, every.values()))
        print(
            f"{room:12} {killed:5} noticed {len(tried) - killed:5} survived {weighted / max(whole, 1):7.1%} of {whole}"
            f", {time.monotonic() - begun:.0f} s",
            flush=True,
        )
        left = left or killed < len(tried)
    return int(left)


if __name__ == "__main__":
    sys.exit(main())
