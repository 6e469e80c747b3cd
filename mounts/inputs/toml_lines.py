"""On which line of a TOML file a table or key stands; the parser of the standard library does not tell."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from mounts.errors import Place

_KEY = r"""(?:[A-Za-z0-9_-]+|"(?:\\.|[^"\\])*"|'[^']*')"""
_DOTTED = rf"{_KEY}(?:[ \t]*\.[ \t]*{_KEY})*"
_HEAD = re.compile(rf"[ \t]*(\[\[?)[ \t]*({_DOTTED})[ \t]*\]\]?")
_ASSIGNED = re.compile(rf"[ \t]*({_DOTTED})[ \t]*=")
_TOKEN = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}'
    r"|'''.*?'{3,5}"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'"
    r"|\#[^\n]*|[\[\]{}\n]",
    re.DOTALL,
)


def lines_of(text: str) -> dict[Place, int]:
    """Line, from 1, of each table's head and each key, by its path.

    An element of an array of tables has its number in the path: ``("mount", 3, "throw")``. Keys inside
    inline tables and arrays are not listed.

    Args:
        text: TOML that the parser of the standard library accepts.

    >>> lines_of('[layout]\\nname = "yard"\\n\\n[[mount]]\\nid = "a"\\n')[("mount", 0, "id")]
    5
    """
    found: dict[Place, int] = {}
    counted: dict[Place, int] = {}
    table: Place = ()
    for line, statement in _statements(text):
        if head := _HEAD.match(statement):
            parts = _parts(head[2])
            table = _numbered(parts[:-1], counted)
            if head[1] == "[[":
                number = counted.get((*table, parts[-1]), -1) + 1
                counted[(*table, parts[-1])] = number
                found.setdefault((*table, parts[-1]), line)
                table = (*table, parts[-1], number)
            else:
                table = _numbered(parts, counted)
            found[table] = line
        elif assigned := _ASSIGNED.match(statement):
            path = table
            for part in _parts(assigned[1]):
                path = (*path, part)
                found.setdefault(path, line)
    return found


def line_at(path: Place, lines: Mapping[Place, int]) -> int | None:
    """The line of a place, or of the nearest table or key above it that has one."""
    return next((lines[path[:end]] for end in range(len(path), 0, -1) if path[:end] in lines), None)


def _statements(text: str) -> list[tuple[int, str]]:
    """Logical lines: one that a bracket or a text keeps open goes on; each with the number it begins on."""
    statements: list[tuple[int, str]] = []
    begun, depth = 0, 0
    for token in _TOKEN.finditer(text + "\n"):
        sign = token[0]
        if sign in "[{":
            depth += 1
        elif sign in "]}":
            depth -= 1
        elif sign == "\n" and depth == 0:
            statements.append((text.count("\n", 0, begun) + 1, text[begun : token.start()]))
            begun = token.end()
    return statements


def _parts(dotted: str) -> tuple[str, ...]:
    return tuple(_plain(part) for part in re.findall(_KEY, dotted))


def _plain(key: str) -> str:
    if key[0] == '"':
        import tomllib

        table: dict[str, Any] = tomllib.loads(f"{key} = 0")
        return next(iter(table))
    return key.strip("'")


def _numbered(parts: tuple[str, ...], counted: Mapping[Place, int]) -> Place:
    """The path of a table, with the number of the latest element wherever it passes an array of tables."""
    path: Place = ()
    for part in parts:
        path = (*path, part)
        if path in counted:
            path = (*path, counted[path])
    return path
