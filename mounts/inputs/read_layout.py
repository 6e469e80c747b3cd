"""Reads a layout file to mounts with nothing left to look up, or tells every fault of it in one run."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from mounts.errors import InputError
from mounts.inputs.layout import (
    BOARD_OPTIONS,
    FAMILY_OPTIONS,
    LAYOUT_OPTIONS,
    PLACE,
    BoardTable,
    Family,
    Header,
    LayoutFile,
    MountTable,
    Site,
    table_models,
)
from mounts.inputs.library import Library, is_path
from mounts.inputs.load import faults_of, nearest, one_of, read_model, read_toml
from mounts.inputs.model import shown
from mounts.inputs.request import MountRequest, safe_name
from mounts.inputs.resolve import resolve
from mounts.inputs.spec import MountSpec
from mounts.inputs.toml_lines import Path as Place
from mounts.inputs.toml_lines import line_at, lines_of, path_of

TAKEN_IDS = ("plates", "report.json")
"""Names that the layout's own output has beside the folders of its mounts."""

StyleCheck = Callable[[str, Mapping[str, Any], Mapping[str, Any], str], None]
"""Raises InputError for a style's name, its options and the mount's own keys, behind ``yard.toml: mount 'a'``."""


@dataclass(frozen=True)
class LayoutMount:
    """One mount of a layout, resolved.

    Attributes:
        spec: the mount.
        board: the table of [boards] it is on, None where its board is a thickness or a profile.
        copies: how many to print.
        family: its family's name.
        site: where it stands, if the file says.
    """

    spec: MountSpec
    board: str | None
    copies: int
    family: str | None
    site: Site | None


@dataclass(frozen=True)
class Layout:
    """A layout, resolved: boards and families by name, mounts in the order of the file."""

    name: str
    header: Header
    boards: Mapping[str, BoardTable]
    families: Mapping[str, frozenset[str]]
    mounts: tuple[LayoutMount, ...]


def read_layout(path: Path, library: Library, check_style: StyleCheck) -> Layout:
    """The layout of a file.

    Args:
        path: the file.
        library: where profiles are looked up; files it names are taken from ``library.beside``.
        check_style: refuses styles that do not exist and options that they do not take.

    Raises:
        InputError: a line for each fault of the file and of the profiles it names.
    """
    return _Reader(path, library, check_style).read()


_STANDING_IN = {"id": "unnamed", "style": "unnamed", "board": 12.0}


class _Reader:
    """Goes on past a fault: a table's faulty keys are left out of what follows, and told once."""

    def __init__(self, path: Path, library: Library, check_style: StyleCheck) -> None:
        self.path = path
        self.library = library
        self.check_style = check_style
        self.data = read_toml(path)
        self.faults: dict[tuple[Place, str], list[str]] = defaultdict(list)  # place and fault → mounts it is of
        self.outside: list[str] = []  # faults of profile files
        self.dropped: set[Place] = set()

    def read(self) -> Layout:
        tables = self._tables()
        models = {place: self._validated(place, table) for place, table in tables.items()}
        self._check_names(tables)
        mounts = [self._mount(place, tables, models[place]) for place in tables if place[0] == "mount"]
        if self.faults or self.outside:
            raise InputError(*self._told(), *dict.fromkeys(self.outside))
        boards = {str(place[1]): model for place, model in models.items() if isinstance(model, BoardTable)}
        header = models[("layout",)]
        if not isinstance(header, Header):
            raise TypeError("[layout] is a header")
        families = {
            str(place[1]): frozenset(model.match) for place, model in models.items() if isinstance(model, Family)
        }
        found = tuple(mount for mount in mounts if mount is not None)
        return Layout(self._layout_name(), header, boards, families, found)

    def _tables(self) -> dict[Place, dict[str, Any]]:
        """Each table by its path, those that are no tables left out and told of."""
        known = list(LayoutFile.model_fields)
        for name in self.data:
            if name not in known:
                near = nearest(name, known)
                self._tell((name,), f"unknown table; {f'nearest is {near!r}' if near else f'must be {one_of(known)}'}")
        tables: dict[Place, Any] = {(name,): self.data.get(name, {}) for name in ("layout", "defaults")}
        for group in ("boards", "families"):
            named = self.data.get(group, {})
            if isinstance(named, Mapping):
                tables |= {(group, name): table for name, table in named.items()}
            else:
                tables[(group,)] = named
        mounts = self.data.get("mount", [])
        if isinstance(mounts, list) and mounts:
            tables |= {("mount", number): table for number, table in enumerate(mounts)}
        else:
            self._tell(("mount",), "must be given at least once, as a [[mount]] table")
        for place, table in tables.items():
            if not isinstance(table, Mapping):
                self._tell(place, f"= {shown(table)}: must be a table")
        return {place: dict(table) for place, table in tables.items() if isinstance(table, Mapping)}

    def _validated(self, place: Place, table: dict[str, Any]) -> BaseModel | None:
        model = table_models()[str(place[0])]
        try:
            return model.model_validate(table)
        except ValidationError as error:
            for fault in faults_of(error, file=".", model=model, written=table):
                rest = fault.removeprefix(". ").removeprefix(".: ").lstrip(".")
                self._tell((*place, *path_of(rest)), rest[len(_dotted(path_of(rest))) :].lstrip(": "))
                for key in path_of(rest)[:1]:
                    self.dropped.add((*place, key))
                    table.pop(str(key), None)
            return None

    def _check_names(self, tables: Mapping[Place, Mapping[str, Any]]) -> None:
        """Ids once each, layout and families as they must be."""
        first: dict[str, Place] = {}
        for place, table in tables.items():
            mount_id = table.get("id")
            if place[0] != "mount" or not isinstance(mount_id, str):
                continue
            other = first.setdefault(mount_id.casefold(), place)
            if other != place:
                line = self._line((*other, "id"))
                at = f"line {line}" if line else f"mount[{other[1]}]"
                self._tell((*place, "id"), f"= {shown(mount_id)}: must differ from the id in {at}, capitals aside")
            if mount_id.casefold() in TAKEN_IDS:
                self._tell((*place, "id"), f"= {shown(mount_id)}: must not be {one_of(TAKEN_IDS)}, the layout's own")
        if "name" not in tables.get(("layout",), {}) and ("layout", "name") not in self.dropped:
            try:
                safe_name(self.path.stem)
            except ValueError as error:
                self._tell(("layout", "name"), f"must be given, the file's own {self.path.stem!r} {error}")
        for place in tables:
            if place[0] == "families":
                members = [table for table in tables.values() if table.get("family") == place[1]]
                if len(members) < 2:
                    self._tell(place, f"must have at least 2 mounts with family = {shown(place[1])}")

    def _mount(
        self, place: Place, tables: Mapping[Place, Mapping[str, Any]], model: BaseModel | None
    ) -> LayoutMount | None:
        own = tables[place]
        board = own.get("board", tables.get(("defaults",), {}).get("board"))
        on = ("boards", board) if isinstance(board, str) and ("boards", board) in tables else None
        family = ("families", str(own.get("family")))
        merged: dict[str, Any] = {}
        origins: dict[str, Place] = {}
        layers: list[tuple[Place | None, tuple[str, ...] | None]] = [
            (("layout",), LAYOUT_OPTIONS), (("defaults",), None), (on, (*BOARD_OPTIONS, "board")),
            (family, FAMILY_OPTIONS), (place, None),
        ]  # fmt: skip
        for origin, keys in layers:
            for key, value in tables.get(origin, {}).items() if origin else ():
                if key in PLACE or (keys and key not in keys) or (origin == place and key == "board" and on):
                    continue
                merged[key], origins[key] = value, origin or place
        self._check_place(place, own, board, on)
        unsaid = [key for key in ("id", "style", "board") if key not in merged]
        for key in unsaid:
            misspelt = key == "board" and on is not None and any(drop[:2] == on for drop in self.dropped)
            if not misspelt and not any(
                drop[-1] == key and drop[0] in ("mount", "defaults", "boards") for drop in self.dropped
            ):
                self._tell((*place, key), "must be given" + ("" if key == "id" else ", here or in [defaults]"))
        # the other faults of a mount that lacks something are told all the same
        spec = self._resolved(place, {**_STANDING_IN, **merged}, origins, styled="style" not in unsaid)
        if spec is None or unsaid or not isinstance(model, MountTable):
            return None
        site = None
        if on and model.x is not None and model.y is not None:
            site = Site(str(board), model.x, model.y, model.heading_deg)
        return LayoutMount(spec, str(board) if on else None, model.copies, model.family, site)

    def _check_place(self, place: Place, own: Mapping[str, Any], board: object, on: Place | None) -> None:
        family = own.get("family")
        families = self.data.get("families", {})
        if family is not None and isinstance(families, Mapping) and family not in families:
            near = nearest(str(family), families)
            known = f"nearest is '{near}'" if near else "give it a [families] table"
            self._tell((*place, "family"), f"= {shown(family)}: no such family; {known}")
        if "x" in own and "y" in own and on is None and board is not None:
            self._tell((*place, "x"), f"= {shown(own['x'])}: must be on a board that has a [boards] table")

    def _resolved(
        self, place: Place, merged: Mapping[str, Any], origins: Mapping[str, Place], *, styled: bool
    ) -> MountSpec | None:
        faults: list[str] = []
        here = "\0"  # marks what is said of this mount, until it is known which table said it
        request = read_model(merged, MountRequest, here)
        board = request.board
        boards = self.data.get("boards", {})
        near = nearest(board, boards) if isinstance(board, str) and origins.get("board", place)[0] != "boards" else None
        try:
            own = {key: value for key, value in merged.items() if origins.get(key, place) == place}
            if styled:
                self.check_style(request.style, request.set, own, here)
        except InputError as error:
            faults += error.faults
        spec = None
        try:
            spec = resolve(request, self.library, where=here)
        except InputError as error:
            faults += error.faults
        for fault in faults:
            if not fault.startswith(here):
                self.outside.append(fault)
                continue
            rest = fault.removeprefix(here).lstrip(":. ")
            path = path_of(rest)
            said = rest[len(_dotted(path)) :].lstrip(": ")
            if path[:1] == ("board",) and near and not is_path(str(board)) and "no such" in said:
                said = f"= {shown(board)}: no such board, neither here nor as a profile; nearest is '{near}'"
            origin = origins.get(str(path[0]), place) if path else place
            self._tell((*origin, *path), said, mount=self._name(place))
        return None if faults else spec

    def _tell(self, place: Place, said: str, *, mount: str = "") -> None:
        self.faults[place, said].append(mount)

    def _told(self) -> list[str]:
        """The faults in the order of the file; one that several mounts inherit is told once, with their ids."""
        everyone = sum(1 for _ in self.data["mount"]) if isinstance(self.data.get("mount"), list) else 0
        lines = []
        for (place, said), mounts in self.faults.items():
            line = self._line(place)
            whose = ""
            if place[0] != "mount" and mounts[0] and len(mounts) < everyone:
                named = mounts[:3] + ([f"{len(mounts) - 3} more"] if len(mounts) > 3 else [])
                whose = f" (for {', '.join(named[:-1])}{' and ' if named[1:] else ''}{named[-1]})"
            joint = ": " if said[:1].isalpha() else " "
            text = f"{self.path}:{f'{line}:' if line else ''} {self._name(place)}{joint}{said}{whose}"
            lines.append((line or 0, text))
        return [text for _, text in sorted(lines, key=lambda pair: pair[0])]

    def _name(self, place: Place) -> str:
        """``mount 'east-1'.throw`` where the mount has an id, else ``mount[3].throw``."""
        mounts = self.data.get("mount")
        if place[0] == "mount" and len(place) > 1 and isinstance(mounts, list) and isinstance(place[1], int):
            table = mounts[place[1]]
            mount_id = table.get("id") if isinstance(table, Mapping) else None
            if isinstance(mount_id, str) and mount_id:
                rest = _dotted(place[2:])
                return f"mount {shown(mount_id)}" + (f".{rest}" if rest else "")
        return _dotted(place)

    def _layout_name(self) -> str:
        return str(self.data.get("layout", {}).get("name", self.path.stem))

    def _line(self, place: Place) -> int | None:
        return line_at(place, self._lines)

    @property
    def _lines(self) -> Mapping[Place, int]:
        return lines_of(re.sub(r"\r\n?", "\n", self.path.read_bytes().decode("utf-8-sig")))


def _dotted(place: Place) -> str:
    text = ""
    for part in place:
        text += f"[{part}]" if isinstance(part, int) else f".{part}"
    return text.removeprefix(".")
