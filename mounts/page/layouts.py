"""A layout file while it is edited: the user's own text, his comments kept, and what the command line reads of it."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel

from mounts.errors import Fault, InputError, Place
from mounts.export.commit import publish
from mounts.inputs.layout import Framing, Shared, table_models
from mounts.inputs.read_layout import Layout, read_layout
from mounts.inputs.request import safe_name
from mounts.page.fields import sort_of
from mounts.page.safety import LARGEST_BODY
from mounts.page.shelf import Shelf
from mounts.page.written import Written, read_value, shown_value
from mounts.styles import check_asked
from mounts.units import length_mm

_BESIDE_MM = 60.0  # a copy stands so far along its board from what it was copied of; by eye
DEFAULTS: Place = ("defaults",)
SHARED: tuple[str, ...] = get_args(Shared)
"""What members of a family can share."""
_BOM = b"\xef\xbb\xbf"
_NAME = re.compile(r"[A-Za-z0-9_-]{1,40}")
_ALWAYS_TEXT = ("id", "family", "together", "scale", "name")
_BEGUN_OUTLINE = [[0, 0], [1200, 0], [1200, 600], [0, 600]]  # mm; a usual board; common practice, no source
_BEGUN_TIMBER_MM = (18, 70)  # width and depth; common practice, no source
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
        self._on_disk = self.path.read_bytes()
        self.written = Written(self._on_disk.decode("utf-8-sig"), Path(name))
        if self.written.at(("mount",)) and not self.written.has_head(("mount", 0)):
            said = "must be [[mount]] tables to be changed here"
            raise InputError(Fault(said, ("mount",), file=name))

    @property
    def text(self) -> str:
        """The file as it would be written."""
        return self.written.text

    @property
    def changed(self) -> bool:
        """Whether something was changed that is not written yet."""
        return self.text != self._on_disk.decode("utf-8-sig")

    def rows(self) -> list[Row]:
        """The mounts as written."""
        found = []
        for number, table in enumerate(self.written.at(("mount",)) or ()):
            keys = [key for key in _SHOWN_FIRST if key in table] + [key for key in table if key not in _SHOWN_FIRST]
            found.append(Row(number, {key: shown_value(table[key]) for key in keys}))
        return found

    def table(self, place: Place) -> dict[str, str]:
        """What stands in a table, but tables and lists inside it; as text."""
        found = self.written.at(place) or {}
        return {key: shown_value(value) for key, value in found.items() if not isinstance(value, dict | list)}

    def boards(self) -> list[str]:
        """Names of the boards."""
        return [*(self.written.at(("boards",)) or {})]

    def families(self) -> list[str]:
        """Names of the families."""
        return [*(self.written.at(("families",)) or {})]

    def read(self) -> Layout:
        """What ``mounts batch`` would read.

        Raises:
            InputError: every fault that it would tell.
        """
        self._refuse_paths()
        return read_layout(self.path, self.shelf.library, check_asked, self.text)

    def put(self, place: Place, key: str | int, written: str) -> None:
        """Writes a value of a table, or a coordinate, a number as a number; nothing: the key goes.

        Raises:
            InputError: no such table has such a key, or it can't be changed here.
        """
        if isinstance(key, str) and key not in keys_of(place):
            raise InputError(Fault("unknown field", (key[:80],), file=""))
        text = written.strip()
        if place == DEFAULTS and self.written.at(place) is None:
            self._put_first(DEFAULTS, "[defaults]\n")
        if text or isinstance(key, str):
            value = text if key in _ALWAYS_TEXT or not text else read_value(text)
            self.written.change(place, {key: value if text else None})

    def move(self, number: int, x: float, y: float) -> None:
        """Puts a mount elsewhere on its board, mm to a tenth."""
        self.written.change(("mount", number), {"x": round(x, 1), "y": round(y, 1)})

    def add(self, like: int | None = None) -> int:
        """Adds a mount behind all others, a copy of another beside it or one that has what the defaults say.

        Returns:
            Its number.
        """
        import tomlkit

        mounts = self.written.at(("mount",)) or []
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
        self.written.put_behind(("mount", len(mounts) - 1) if mounts else None, tomlkit.dumps({"mount": [new]}))
        return len(mounts)

    def remove(self, place: Place) -> None:
        """Takes a mount, a board, a piece of framing or a corner out; comments round it stay."""
        if self.written.has_head(place):
            self.written.remove(place)
        else:
            self.written.change(place[:-1], {place[-1]: None})

    def add_board(self, name: str) -> None:
        """Begins a board.

        Raises:
            InputError: not a name, or there is one of it already.
        """
        if not _NAME.fullmatch(name) or name in self.boards():
            said = "must be a new name of letters, digits, '-' and '_'"
            raise InputError(Fault(said, ("boards",), repr(name[:40]), file=""))
        table = f'[boards.{name}]\nboard = "12 mm"\noutline = {_BEGUN_OUTLINE}\n'
        self._put_first(("boards", name), table)

    def add_corner(self, board: str, number: int) -> None:
        """Puts a corner into a board's outline half way to the next, or begins an outline."""
        outline = self.written.at(("boards", board, "outline"))
        if not outline:
            self.written.change(("boards", board), {"outline": _BEGUN_OUTLINE})
            return
        one, other = outline[number], outline[(number + 1) % len(outline)]
        middle = [round((_mm(a) + _mm(b)) / 2, 1) for a, b in zip(one, other, strict=True)]
        self.written.insert(("boards", board, "outline"), number + 1, middle)

    def add_framing(self, board: str) -> None:
        """Puts a piece of timber under the middle of a board."""
        place: Place = ("boards", board, "framing")
        corners = self.written.at(("boards", board, "outline")) or _BEGUN_OUTLINE
        xs, ys = zip(*([_mm(each) for each in corner] for corner in corners), strict=True)
        middle, (width, depth) = round((min(xs) + max(xs)) / 2, 1), _BEGUN_TIMBER_MM
        before = self.written.at(place)
        new = {"name": f"timber {len(before or ()) + 1}", "start": [middle, min(ys)], "end": [middle, max(ys)],
               "width": width, "depth": depth}  # fmt: skip
        if before and not self.written.has_head((*place, 0)):
            self.written.insert(place, len(before), new)
            return
        last: Place = (*place, len(before) - 1) if before else ("boards", board)
        if not self.written.has_head(last):
            self.written.change(("boards", board), {"framing": [new]})
            return
        import tomlkit

        table = tomlkit.dumps(new)
        self.written.put_behind(last, f"[[boards.{tomlkit.key(board).as_string()}.framing]]\n{table}")

    def match(self, family: str, shared: Sequence[str]) -> None:
        """Says what the members of a family share; one that there is not is begun.

        Raises:
            InputError: not a name, or nothing that can be shared.
        """
        unknown = [each for each in shared if each not in SHARED]
        if unknown or not shared or not _NAME.fullmatch(family):
            said = f"must share some of {', '.join(SHARED)}, under a name of letters, digits, '-' and '_'"
            raise InputError(Fault(said, ("family",), repr(family[:40]), file=""))
        if family in self.families():
            self.written.change(("families", family), {"match": list(shared)})
            return
        listed = ", ".join(f'"{each}"' for each in shared)
        self._put_first(("families", family), f"[families.{family}]\nmatch = [{listed}]\n")

    def shared(self, family: str) -> list[str]:
        """What the members of a family share."""
        return [str(each) for each in self.written.at(("families", family, "match")) or ()]

    def undo(self) -> None:
        """Takes the last change back."""
        self.written.undo()

    def save(self) -> None:
        """Writes the file, if the command line can read it and nobody else wrote to it meanwhile.

        Raises:
            InputError: faults of it; or it was changed on the disk.
        """
        self.read()
        if self.path.read_bytes() != self._on_disk:
            said = "was changed by somebody else meanwhile; open it again, and change it there"
            raise InputError(Fault(said, file=self.path.name))
        content = (_BOM if self._on_disk.startswith(_BOM) else b"") + self.text.encode()
        publish(self.shelf.folder, {self.path.name: content})
        self._on_disk = content

    def _put_first(self, place: Place, table: str) -> None:
        """Puts a table before the mounts; defaults before boards and families too."""
        before = [("mount", 0)]
        if place == DEFAULTS:
            named = [(group, name) for group in ("boards", "families") for name in self.written.at((group,)) or {}]
            before = [*named, *before]
        self.written.put_before([place for place in before if self.written.has_head(place)], table)

    def _refuse_paths(self) -> None:
        """No value that came from the browser names a file; what stood in the file before may."""
        known = {str(value) for _, table in _tables(self.written.data_at_first()) for value in table.values()}
        for group, table in _tables(self.written.data()):
            here = {"board": self.boards()} if group != "boards" else {}
            self.shelf.refuse_paths({key: value for key, value in table.items()
                                     if str(value) not in known and value not in here.get(key, ())})  # fmt: skip


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


@dataclass(frozen=True)
class Key:
    """What may stand in a table.

    Attributes:
        about: one line that says what it is.
        is_length: a bare number is mm, and a unit may be written.
    """

    about: str
    is_length: bool


def keys_of(place: Place) -> Mapping[str, Key]:
    """Keys that a table may have and are changed one by one."""
    return _keys("framing" if "framing" in place else str(place[0]))


def keys_to_add(place: Place, there: Collection[str]) -> Sequence[str]:
    """Keys that a table may have and has not."""
    return [key for key in keys_of(place) if key not in there]


@cache
def _keys(table: str) -> Mapping[str, Key]:
    models: Mapping[str, type[BaseModel]] = {**table_models(), "framing": Framing}
    schema = models[table].model_json_schema()["properties"]
    inside = ("set", "outline", "framing", "start", "end")
    return {key: Key(str(about.get("description", "")), sort_of(key, about) == "length")
            for key, about in schema.items() if key not in inside}  # fmt: skip


def _tables(data: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Every table that can name a profile, with the group it is of."""
    for group, found in data.items():
        named = found if isinstance(found, list) else found.values() if group in ("boards", "families") else [found]
        yield from ((group, table) for table in named if isinstance(table, Mapping))


def _mm(written: object) -> float:
    """A coordinate of the file; 0 where it is none."""
    try:
        return length_mm(written)
    except ValueError:
        return 0.0
