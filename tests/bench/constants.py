"""Constants of a module, set anew where everything is imported already: what ``mutants.py`` does in a forked child.

Only what can be told to come to the same as a fresh import is done: assignments at the top of the module, those of the
same module that are reckoned from them, and the names that other modules import them by. Where anything else reads such
a name on import (a default, a decorator, a field of a class, a table of another module), there is no such way.
What was put away by then under no name, as in the map of kinds of drive, stays as it was: such a survivor is none.
"""

from __future__ import annotations

import ast
import functools
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from types import ModuleType
from typing import Any

Defined = ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef


@dataclass
class Reads:
    """Names, and names behind a dot, that are read."""

    names: set[str] = field(default_factory=set)
    behind_dots: set[str] = field(default_factory=set)

    def any_of(self, moved: set[str]) -> bool:
        """Whether one of these is read."""
        return bool(moved & self.names or moved & self.behind_dots)


def read_on_import(statement: ast.stmt, defined: dict[str, Defined]) -> Reads:
    """What one statement reads when it is run; inside a function only if the statement calls that by its name."""
    found, seen = Reads(), set[str]()

    def look(node: ast.AST, *, called: bool = False) -> None:
        if isinstance(node, ast.Lambda | ast.FunctionDef | ast.AsyncFunctionDef) and not called:
            outside: list[ast.AST] = [node.args]
            if not isinstance(node, ast.Lambda):
                outside += [*node.decorator_list, *([node.returns] if node.returns else [])]
            for each in outside:
                look(each)
            return
        if isinstance(node, ast.Name):
            found.names.add(node.id)
        elif isinstance(node, ast.Attribute):
            found.behind_dots.add(node.attr)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in defined.keys() - seen:
            seen.add(node.func.id)
            look(defined[node.func.id], called=True)
        for each in ast.iter_child_nodes(node):
            look(each, called=called)

    look(statement)
    return found


def _defined(tree: ast.Module) -> dict[str, Defined]:
    return {each.name: each for each in tree.body if isinstance(each, Defined)}


def _bound(statement: ast.stmt) -> set[str] | None:
    """The names that an assignment binds; None of any other statement."""
    if isinstance(statement, ast.Assign):
        targets = statement.targets
    elif isinstance(statement, ast.AnnAssign) and statement.value is not None:
        targets = [statement.target]
    else:
        return None
    found = set[str]()
    for target in targets:
        for node in target.elts if isinstance(target, ast.Tuple | ast.List) else [target]:
            if not isinstance(node, ast.Name):
                return None
            found.add(node.id)
    return found


def assignments(sound: str, changed: str) -> tuple[list[ast.stmt], set[str]] | None:
    """Statements of a changed source that are to be run again, and the names they bind; None where others change."""
    was, now = ast.parse(sound), ast.parse(changed)
    if len(was.body) != len(now.body):
        return None
    defined, again, moved = _defined(now), list[ast.stmt](), set[str]()
    for before, after in zip(was.body, now.body, strict=True):
        differs = ast.dump(before) != ast.dump(after)
        if not differs and not (moved and read_on_import(after, defined).any_of(moved)):
            continue
        bound = _bound(after)
        if bound is None or type(before) is not type(after):
            return None
        again.append(after)
        moved |= bound
    return (again, moved) if again else None


@functools.cache
def _told(path: str) -> tuple[list[tuple[int, str, str, str]], Reads]:
    """Of a file: its imports (level, module, name, own name), and what it reads on import apart from these."""
    tree = ast.parse(Path(path).read_text())
    imports, reads, defined = [], Reads(), _defined(tree)
    for each in tree.body:
        if isinstance(each, ast.ImportFrom):
            imports += [(each.level, each.module or "", one.name, one.asname or one.name) for one in each.names]
            continue
        found = read_on_import(each, defined)
        reads.names |= found.names
        reads.behind_dots |= found.behind_dots
    return imports, reads


def _modules(root: Path) -> Iterator[tuple[ModuleType, str]]:
    for module in list(sys.modules.values()):
        path = getattr(module, "__file__", None)
        if isinstance(path, str) and path.endswith(".py") and path.startswith(f"{root}/"):
            yield module, path


def importers(name: str, root: Path) -> set[str]:
    """Files below the root that import something from a module, of those that are loaded."""
    package, _, last = name.rpartition(".")
    return {
        path
        for _, path in _modules(root)
        if any(source == name or (source == package and what == last) for _, source, what, _ in _told(path)[0])
    }


def holders(name: str, moved: set[str], root: Path) -> list[tuple[ModuleType, str, str]] | None:
    """Who else holds a module's names, (module, own name, name); None where one of them is read on import there."""
    found, todo, loaded = list[tuple[ModuleType, str, str]](), [(name, each, each) for each in moved], [*_modules(root)]
    if any(_told(path)[1].behind_dots & moved for module, path in loaded if module.__name__ != name):
        return None
    while todo:
        where, there, first = todo.pop()
        for module, path in loaded:
            imports, reads = _told(path)
            for _, source, what, own in imports:
                if (source, what) != (where, there):
                    continue
                if own in reads.names:
                    return None
                found.append((module, own, first))
                todo.append((module.__name__, own, first))
    return found


def put(module: ModuleType, again: list[ast.stmt], held: list[tuple[ModuleType, str, str]]) -> None:
    """Runs the assignments in the module and gives the new values to those who hold the names."""
    space: dict[str, Any] = vars(module)
    exec(compile(ast.Module(body=again, type_ignores=[]), module.__file__ or "", "exec"), space)  # noqa: S102, our own source
    for other, own, name in held:
        setattr(other, own, space[name])
