"""A layout file while it is edited: the user's own text, his comments kept, and what the command line reads of it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args

from mounts.errors import Fault, InputError, Place
from mounts.export.commit import publish
from mounts.inputs.layout import BOARD_OPTIONS, MountTable, Shared
from mounts.inputs.load import parse_toml
from mounts.inputs.read_layout import Layout, read_layout
from mounts.inputs.request import safe_name
from mounts.inputs.toml_lines import lines_of
from mounts.page.safety import LARGEST_BODY
from mounts.page.shelf import Shelf
from mounts.styles import check_asked

_BESIDE_MM = 60.0  # a copy stands so far along its board from what it was copied of; by eye
_STEPS_BACK = 100  # that are kept to be undone
SHARED: tuple[str, ...] = get_args(Shared)
"""What members of a family can share."""
_BOM = b"\xef\xbb\xbf"
_NUMBER = re.compile(r"[-+]?[0-9]+(?:\.[0-9]+)?")
_SHOWN_FIRST = ("id", "board", "style", "x", "y", "heading_deg", "family", "copies", "mirror", "servo", "throw")

TEMPLATE = """\
[layout]
name = "{name}"
scale = "HO"

[defaults]
style = "under-bracket"
servo = "micro-9g"

[boards.main]
board = "12 mm"
outline = [[0, 0], [1200, 0], [1200, 600], [0, 600]]

[[mount]]
id = "east-1"
board = "main"
x = 300
y = 300
"""
"""A layout to begin with."""


@dataclass(frozen=True)
class Row:
    """One mount of the file as it is written there.

    Attributes:
        number: in the file, from 0.
        values: its own keys and what stands at them, as text.
    """

    number: int
    values: dict[str, str]

    @property
    def name(self) -> str:
        """Its id, or its number where it has none."""
        return self.values.get("id") or f"mount {self.number + 1}"


class Draft:
    """A layout file and what was changed of it. Nothing is written but by ``save``.

    Args:
        shelf: whose folder it lies in.
        name: of the file there.

    Raises:
        InputError: there is no such layout in the folder, or it is no TOML.
    """

    def __init__(self, shelf: Shelf, name: str) -> None:
        if name not in shelf.layouts():
            raise InputError(Fault("no such layout in this folder", written=repr(name[:80]), file=""))
        self.shelf = shelf
        self.path: Path = shelf.folder / name
        self._written = self.path.read_bytes()
        self._before: list[str] = []
        self.text = self._written.decode("utf-8-sig")
        if parse_toml(self.text, Path(name)).get("mount") and ("mount", 0) not in self._lines():
            said = "must be [[mount]] tables to be changed here"
            raise InputError(Fault(said, ("mount",), file=name))

    @property
    def changed(self) -> bool:
        """Whether something was changed that is not written yet."""
        return self.text != self._written.decode("utf-8-sig")

    def rows(self) -> list[Row]:
        """The mounts as written."""
        found = []
        for number, table in enumerate(self._data().get("mount", ())):
            keys = [key for key in _SHOWN_FIRST if key in table] + [key for key in table if key not in _SHOWN_FIRST]
            found.append(Row(number, {key: _shown(table[key]) for key in keys}))
        return found

    def defaults(self) -> dict[str, str]:
        """What holds for every mount that says nothing else."""
        return {key: _shown(value) for key, value in self._data().get("defaults", {}).items()}

    def boards(self) -> list[str]:
        """Names of the boards."""
        return [*self._data().get("boards", {})]

    def families(self) -> list[str]:
        """Names of the families."""
        return [*self._data().get("families", {})]

    def read(self) -> Layout:
        """What ``mounts batch`` would read.

        Raises:
            InputError: every fault that it would tell.
        """
        self._refuse_paths()
        return read_layout(self.path, self.shelf.library, check_asked, self.text)

    def put(self, number: int, key: str, written: str) -> None:
        """Writes a value of a mount, a number as a number; nothing: the key goes.

        Raises:
            InputError: no mount has such a key.
        """
        if key not in MountTable.model_fields or key == "set":
            raise InputError(Fault("unknown field", (key[:80],), file=""))
        self._edit(("mount", number), {key: _value(key, written.strip()) if written.strip() else None})

    def move(self, number: int, x: float, y: float) -> None:
        """Puts a mount elsewhere on its board, mm to a tenth."""
        self._edit(("mount", number), {"x": round(x, 1), "y": round(y, 1)})

    def add(self, like: int | None = None) -> int:
        """Adds a mount behind all others, a copy of another beside it or one that has what the defaults say.

        Returns:
            Its number.
        """
        import tomlkit

        mounts = self._data().get("mount", [])
        new: dict[str, Any] = {"id": "mount"}
        if like is not None:
            new |= {key: value for key, value in mounts[like].items() if key != "channel"}
            if isinstance(new.get("x"), int | float):
                new["x"] = round(new["x"] + _BESIDE_MM, 1)
        elif boards := self.boards():
            new["board"] = boards[0]
        taken = {row.values.get("id", "") for row in self.rows()}
        stem = re.sub(r"-?\d+$", "", str(new["id"]))
        new["id"] = next(name for count in range(1, 10_000) if (name := f"{stem}-{count}") not in taken)
        text = tomlkit.dumps({"mount": [new]})
        lines = self.text.splitlines(keepends=True)
        end = self._span(("mount", len(mounts) - 1))[1] if mounts else len(lines)
        if lines and not lines[end - 1].endswith("\n"):
            lines[end - 1] += "\n"
        self._keep("".join([*lines[:end], "\n", text, *lines[end:]]))
        return len(mounts)

    def remove(self, number: int) -> None:
        """Takes a mount out, and the blank line before it; comments round it stay."""
        start, end = self._span(("mount", number))
        lines = self.text.splitlines(keepends=True)
        blank = start > 0 and not lines[start - 1].strip()
        self._keep("".join([*lines[: start - blank], *lines[end:]]))

    def match(self, family: str, shared: Sequence[str]) -> None:
        """Says what the members of a family share; one that there is not is begun.

        Raises:
            InputError: not a name, or nothing that can be shared.
        """
        unknown = [each for each in shared if each not in SHARED]
        if unknown or not shared or not re.fullmatch(r"[A-Za-z0-9_-]{1,40}", family):
            said = f"must share some of {', '.join(SHARED)}, under a name of letters, digits, '-' and '_'"
            raise InputError(Fault(said, ("family",), repr(family[:40]), file=""))
        if family in self.families():
            self._edit(("families", family), {"match": list(shared)})
            return
        listed = ", ".join(f'"{each}"' for each in shared)
        lines = self.text.splitlines(keepends=True)
        start = self._span(("mount", 0))[0] if self._data().get("mount") else len(lines)
        while start > 0 and lines[start - 1].lstrip().startswith("#"):
            start -= 1
        self._keep("".join([*lines[:start], f"[families.{family}]\nmatch = [{listed}]\n\n", *lines[start:]]))

    def shared(self, family: str) -> list[str]:
        """What the members of a family share."""
        return [str(each) for each in self._data().get("families", {}).get(family, {}).get("match", ())]

    def undo(self) -> None:
        """Takes the last change back."""
        if self._before:
            self.text = self._before.pop()

    def save(self) -> None:
        """Writes the file, if the command line can read it and nobody else wrote to it meanwhile.

        Raises:
            InputError: faults of it; or it was changed on the disk.
        """
        self.read()
        if self.path.read_bytes() != self._written:
            said = "was changed by somebody else meanwhile; open it again, and change it there"
            raise InputError(Fault(said, file=self.path.name))
        content = (_BOM if self._written.startswith(_BOM) else b"") + self.text.encode()
        publish(self.shelf.folder, {self.path.name: content})
        self._written = content

    def _refuse_paths(self) -> None:
        """No value that came from the browser names a file; what stood in the file before may."""
        before = parse_toml(self._before[0] if self._before else self.text, self.path)
        known = {str(value) for table in before.get("mount", ()) for value in table.values()}
        for row in self.rows():
            fresh = {key: value for key, value in row.values.items() if value not in known}
            self.shelf.refuse_paths({key: value for key, value in fresh.items()
                                     if not (key == "board" and value in self.boards())})  # fmt: skip

    def _data(self) -> dict[str, Any]:
        return parse_toml(self.text, self.path)

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

    def _edit(self, place: Place, values: Mapping[str, Any]) -> None:
        """Changes keys of a table, and no other line of the file; None: the key goes."""
        import tomlkit

        start, end = self._span(place)
        lines = self.text.splitlines(keepends=True)
        part = tomlkit.parse("".join(lines[start:end]))
        table: Any = part[str(place[0])][0 if place[0] == "mount" else place[1]]
        for key, value in values.items():
            if value is None:
                table.pop(key, None)
            else:
                table[key] = value
        self._keep("".join([*lines[:start], str(tomlkit.dumps(part)), *lines[end:]]))

    def _keep(self, text: str) -> None:
        """Takes a new text; the one before can be had back."""
        self._before.append(self.text)
        self.text = text
        if len(self._before) > _STEPS_BACK:
            del self._before[1]  # the first says what stood there


def begin(shelf: Shelf, name: str) -> str:
    """Writes a layout to begin with.

    Args:
        shelf: whose folder it goes to.
        name: of the layout.

    Returns:
        The name of its file.

    Raises:
        InputError: not a name for a file, or there is one of it already.
    """
    try:
        safe_name(name)
    except ValueError as error:
        raise InputError(Fault(str(error), ("name",), repr(name[:80]), file="")) from None
    file = f"{name}.toml"
    if (shelf.folder / file).exists() or (shelf.folder / name).exists():
        raise InputError(Fault("is there already; choose another name", ("name",), repr(name), file=""))
    publish(shelf.folder, {file: TEMPLATE.format(name=name.replace("\\", "").replace('"', "")).encode()})
    return file


def upload(shelf: Shelf, name: str, content: bytes) -> str:
    """Takes a layout file into the folder, if the command line can read it.

    Args:
        shelf: whose folder it goes to.
        name: of the file, as the browser says.
        content: of the file.

    Returns:
        The name of its file.

    Raises:
        InputError: too large, not a name for a file, there already, or not a layout.
    """
    stem = name.rpartition("/")[2].rpartition("\\")[2].removesuffix(".toml")
    try:
        safe_name(stem)
    except ValueError as error:
        raise InputError(Fault(str(error), ("name",), repr(stem[:80]), file="")) from None
    file = f"{stem}.toml"
    if len(content) > LARGEST_BODY:
        raise InputError(Fault("is too large", file=file))
    if (shelf.folder / file).exists():
        raise InputError(Fault("is there already; choose another name", file=file))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(Fault(f"must be UTF-8 text; byte {error.start} is not", file=file)) from None
    if re.search(r"""=\s*["'][^"'\n]*(?:\.toml|[/\\](?![0-9]))""", text):
        raise InputError(Fault("must not name profiles as files; put them in the folder yourself", file=file))
    read_layout(Path(file), shelf.library, check_asked, text)
    publish(shelf.folder, {file: content})
    return file


def fields_to_add(row: Row) -> Sequence[str]:
    """Keys that a mount may have and has not."""
    return [key for key in MountTable.model_fields if key not in row.values and key not in ("set", *_not_here())]


def about(key: str) -> str:
    """What a key of a mount is."""
    field = MountTable.model_fields.get(key)
    return (field.description or "") if field else ""


def _not_here() -> Sequence[str]:
    return [key for key in BOARD_OPTIONS if key not in MountTable.model_fields]


def _value(key: str, written: str) -> Any:
    """A number as a number, true and false as what they are, all else as text; names stay text."""
    if key in ("id", "family", "together", "style", "servo", "board", "scale") and not _NUMBER.fullmatch(written):
        return written
    if key in ("id", "family", "together", "scale"):
        return written
    if written in ("true", "false"):
        return written == "true"
    if re.fullmatch(r"[-+]?[0-9]{1,15}", written):
        return int(written)
    return float(written) if _NUMBER.fullmatch(written) else written


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    if isinstance(value, dict):
        return ", ".join(f"{key} = {_shown(each)}" for key, each in value.items())
    return str(value)
