"""A TOML file as its owner wrote it, changed key by key: his comments, his order and all other lines stay."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from typing import Any

from mounts.errors import Fault, InputError, Place
from mounts.inputs.load import parse_toml
from mounts.inputs.toml_lines import lines_of
from mounts.page.lengths import NUMBER

_STEPS_BACK = 100  # that are kept to be undone


class Written:
    """The text of a file, and those before it.

    Args:
        text: as it stands on the disk.
        path: of the file, for what is told of it.

    Raises:
        InputError: it is no TOML.
    """

    def __init__(self, text: str, path: Path) -> None:
        self.path = path
        self.text = text
        self._before: list[str] = []
        self.data()

    def data(self) -> dict[str, Any]:
        """What it says now."""
        return parse_toml(self.text, self.path)

    def data_at_first(self) -> dict[str, Any]:
        """What it said before anything was changed."""
        return parse_toml(self._before[0] if self._before else self.text, self.path)

    def at(self, place: Place) -> Any:
        """What stands at a place; None: nothing."""
        found: Any = self.data()
        for step in place:
            inside = isinstance(found, dict) and step in found
            if not inside and not (isinstance(found, list) and isinstance(step, int) and 0 <= step < len(found)):
                return None
            found = found[step]
        return found

    def change(self, place: Place, values: Mapping[str | int, Any]) -> None:
        """Changes keys of a table, or members of a list; None: it goes.

        Raises:
            InputError: the file is written in a way that can't be changed here.
        """
        self._edit(place, lambda table: _set(table, values))

    def insert(self, place: Place, number: int, value: Any) -> None:
        """Puts a member into a list that stands inside brackets.

        Raises:
            InputError: as for ``change``.
        """
        self._edit(place, lambda members: members.insert(number, value))

    def has_head(self, place: Place) -> bool:
        """Whether a table has a head of its own: ``[boards.main]``, ``[[mount]]``."""
        line = self._lines().get(place)
        return line is not None and self._line(line).startswith("[")

    def put_behind(self, place: Place | None, table: str) -> None:
        """Puts the text of a table behind another, or behind everything."""
        lines = self.text.splitlines(keepends=True)
        end = self._span(place)[1] if place is not None else len(lines)
        if end and not lines[end - 1].endswith("\n"):
            lines[end - 1] += "\n"
        self._keep("".join([*lines[:end], *(["\n"] if end else []), table, *lines[end:]]))

    def put_before(self, places: Collection[Place], table: str) -> None:
        """Puts the text of a table before the first of others and the comments that stand over that.

        Args:
            places: of tables with heads; none: it goes behind everything.
            table: its text.
        """
        if not places:
            self.put_behind(None, table)
            return
        lines = self.text.splitlines(keepends=True)
        start = min(self._lines()[place] for place in places) - 1
        while start > 0 and lines[start - 1].lstrip().startswith("#"):
            start -= 1
        self._keep("".join([*lines[:start], table, "\n", *lines[start:]]))

    def remove(self, place: Place) -> None:
        """Takes a table out that has a head, and the blank line before it; comments round it stay."""
        start, end = self._span(place)
        lines = self.text.splitlines(keepends=True)
        blank = start > 0 and not lines[start - 1].strip()
        self._keep("".join([*lines[: start - blank], *lines[end:]]))

    def undo(self) -> None:
        """Takes the last change back."""
        if self._before:
            self.text = self._before.pop()

    def _edit(self, place: Place, edit: Callable[[Any], object]) -> None:
        """Makes a change twice: in the text, and in what it says. Where they differ nothing is changed."""
        import tomlkit

        wanted = self.data()
        edit(_walked(wanted, place))
        inside, start, end = self._segment(place)
        lines = self.text.splitlines(keepends=True)
        part = tomlkit.parse("".join(lines[start:end]))
        edit(_walked(part, inside))
        text = "".join([*lines[:start], tomlkit.dumps(part), *lines[end:]])
        if parse_toml(text, self.path) != wanted:
            raise InputError(Fault("can't be changed here; change it in the file", place, file=self.path.name))
        self._keep(text)

    def _keep(self, text: str) -> None:
        self._before.append(self.text)
        self.text = text
        if len(self._before) > _STEPS_BACK:
            del self._before[1]  # the first says what stood there

    def _segment(self, place: Place) -> tuple[Place, int, int]:
        """Lines of the nearest table with a head that a place is in, and the place as it is called in them alone."""
        for end in range(len(place), 0, -1):
            head = place[:end]
            last = head[-1]
            if self.has_head(head) and self._is_counted(head) == isinstance(last, int):
                named = [step for step in head[:-1] if isinstance(step, str)]
                return (*named, 0 if isinstance(last, int) else last, *place[end:]), *self._span(head)
        return place, 0, len(self.text.splitlines())

    def _is_counted(self, place: Place) -> bool:
        return self._line(self._lines()[place]).startswith("[[")

    def _line(self, number: int) -> str:
        return self.text.splitlines()[number - 1].lstrip()

    def _lines(self) -> Mapping[Place, int]:
        return lines_of(re.sub(r"\r\n?", "\n", self.text))

    def _span(self, table: Place) -> tuple[int, int]:
        """Lines of a table, from 0, the last one not counted; comments that follow it are the next one's."""
        found = self._lines()
        start = found[table]
        ends = [line for place, line in found.items() if line > start and place[: len(table)] != table]
        lines = self.text.splitlines()
        end = min(ends, default=len(lines) + 1) - 1
        while not lines[end - 1].strip() or lines[end - 1].lstrip().startswith("#"):
            end -= 1
        return start - 1, end


def _walked(table: Any, place: Place) -> Any:
    for step in place:
        table = table[step]
    return table


def _set(table: Any, values: Mapping[str | int, Any]) -> None:
    for key, value in values.items():
        if value is not None:
            table[key] = value
        elif key in table or isinstance(key, int):
            table.pop(key)


def read_value(written: str) -> Any:
    """A number as a number, true and false as what they are, all else as text."""
    if written in ("true", "false"):
        return written == "true"
    if re.fullmatch(r"[-+]?[0-9]{1,15}", written):
        return int(written)
    return float(written) if NUMBER.fullmatch(written) else written


def shown_value(value: object) -> str:
    """A value as a person types it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    if isinstance(value, dict):
        return ", ".join(f"{key} = {shown_value(each)}" for key, each in value.items())
    return str(value)
