"""Reads a layout file to mounts with nothing left to look up, or tells every fault of it in one run."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from itertools import count, islice
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from mounts.errors import Fault, InputError, Place, dotted
from mounts.inputs.ask import StyleCheck, ask
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
from mounts.inputs.load import faults_of, nearest, one_of, parse_toml, read_toml
from mounts.inputs.model import shown
from mounts.inputs.request import safe_name
from mounts.inputs.resolve import means_length
from mounts.inputs.spec import MountSpec
from mounts.inputs.toml_lines import line_at, lines_of

TAKEN_IDS = ("plates", "report.json", "book.pdf", "layout.png", "controller.csv", "controller.json", "controller.h")
"""Names that the layout's own output has beside the folders of its mounts."""


@dataclass(frozen=True)
class LayoutMount:
    """One mount of a layout, resolved.

    Attributes:
        spec: the mount.
        board: the table of [boards] it is on, None where its board is a thickness or a profile.
        copies: how many to print.
        family: its family's name.
        channels: output of the controller of each copy.
        together: what it moves at once with.
        site: where it stands, if the file says.
    """

    spec: MountSpec
    board: str | None
    copies: int
    family: str | None
    channels: tuple[int, ...]
    together: str | None
    site: Site | None


@dataclass(frozen=True)
class Layout:
    """A layout, resolved: boards and families by name, mounts in the order of the file."""

    name: str
    header: Header
    boards: Mapping[str, BoardTable]
    families: Mapping[str, frozenset[str]]
    mounts: tuple[LayoutMount, ...]


def read_layout(path: Path, library: Library, check_style: StyleCheck, text: str | None = None) -> Layout:
    """The layout of a file.

    Args:
        path: the file.
        library: where profiles are looked up; files it names are taken from ``library.beside``.
        check_style: refuses styles that do not exist and options that they do not take.
        text: what is to be written there; None: what stands there.

    Raises:
        InputError: each fault of the file and of the profiles it names.
    """
    return _Reader(path, library, check_style, text).read()


class _Reader:
    """Goes on past a fault: a table's faulty keys are left out of what follows, and told once."""

    def __init__(self, path: Path, library: Library, check_style: StyleCheck, text: str | None) -> None:
        self.path = path
        self.text = text
        self.library = library
        self.check_style = check_style
        self.data = read_toml(path) if text is None else parse_toml(text, path)
        self.faults: dict[Fault, list[str]] = defaultdict(list)  # fault → mounts it is of
        self.outside: list[Fault] = []  # faults of profile files
        self.dropped: set[Place] = set()

    def read(self) -> Layout:
        tables = self._tables()
        models = {place: self._validated(place, table) for place, table in tables.items()}
        self._check_names(tables)
        self.channels = self._dealt(models)
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
                advice = f"nearest is {near!r}" if near else f"must be {one_of(known)}"
                self._tell(Fault(f"unknown table; {advice}", (name,)))
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
            self._tell(Fault("must be given at least once, as a [[mount]] table", ("mount",)))
        for place, table in tables.items():
            if not isinstance(table, Mapping):
                self._tell(Fault("must be a table", place, shown(table)))
        return {place: dict(table) for place, table in tables.items() if isinstance(table, Mapping)}

    def _validated(self, place: Place, table: dict[str, Any]) -> BaseModel | None:
        model = table_models()[str(place[0])]
        try:
            return model.model_validate(table)
        except ValidationError as error:
            for fault in faults_of(error, model, table.copy()):
                self._tell(fault.within(*place))
                for key in fault.place[:1]:
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
                said = f"must differ from the id in {at}, capitals aside"
                self._tell(Fault(said, (*place, "id"), shown(mount_id)))
            if mount_id.casefold() in TAKEN_IDS:
                said = f"must not be {one_of(TAKEN_IDS)}, the layout's own"
                self._tell(Fault(said, (*place, "id"), shown(mount_id)))
        if "name" not in tables.get(("layout",), {}) and ("layout", "name") not in self.dropped:
            try:
                safe_name(self.path.stem)
            except ValueError as error:
                said = f"must be given, the file's own {self.path.stem!r} {error}"
                self._tell(Fault(said, ("layout", "name")))
        self._check_together(tables)
        for place in tables:
            if place[0] == "families":
                members = [table for table in tables.values() if table.get("family") == place[1]]
                if len(members) < 2:
                    self._tell(Fault(f"must have at least 2 mounts with family = {shown(place[1])}", place))

    def _check_together(self, tables: Mapping[Place, Mapping[str, Any]]) -> None:
        """What moves together is at least two servos: one alone is a slip of the pen."""
        named = [table.get("together") for place, table in tables.items() if place[0] == "mount"]
        for place, table in tables.items():
            name, copies = table.get("together"), table.get("copies", 1)
            if place[0] != "mount" or name is None or named.count(name) > 1 or copies != 1:
                continue
            near = nearest(str(name), [str(other) for other in named if other not in (None, name)])
            advice = f"; nearest is {near!r}" if near else ""
            self._tell(Fault(f"must be that of another mount too{advice}", (*place, "together"), shown(name)))

    def _dealt(self, models: Mapping[Place, BaseModel | None]) -> dict[Place, tuple[int, ...]]:
        """The channels of each mount: as written, where none is the lowest that are free, in the order of the file."""
        mounts = {place: model for place, model in models.items() if isinstance(model, MountTable)}
        found: dict[Place, tuple[int, ...]] = {}
        taken: dict[int, Place] = {}
        for place, model in mounts.items():
            if model.channel is not None:
                found[place] = tuple(range(model.channel, model.channel + model.copies))
                other = next((taken[channel] for channel in found[place] if channel in taken), None)
                if other is not None:
                    line = self._line((*other, "channel"))
                    at = f"line {line}" if line else f"mount[{other[1]}]"
                    copies = " and of its copies" if model.copies > 1 or len(found[other]) > 1 else ""
                    said = f"must differ from the channel in {at}{copies}: no two servos have one output"
                    self._tell(Fault(said, (*place, "channel"), str(model.channel)))
                taken |= dict.fromkeys(found[place], place)
        free = (channel for channel in count() if channel not in taken)
        return found | {
            place: tuple(islice(free, model.copies)) for place, model in mounts.items() if model.channel is None
        }

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
                self._tell(Fault("must be given" + ("" if key == "id" else ", here or in [defaults]"), (*place, key)))
        spec = self._resolved(place, merged, origins, unsaid)
        if spec is None or not isinstance(model, MountTable):
            return None
        site = None
        if on and model.x is not None and model.y is not None:
            site = Site(str(board), model.x, model.y, model.heading_deg)
        return LayoutMount(
            spec, str(board) if on else None, model.copies, model.family, self.channels[place], model.together, site
        )

    def _check_place(self, place: Place, own: Mapping[str, Any], board: object, on: Place | None) -> None:
        family = own.get("family")
        families = self.data.get("families", {})
        if family is not None and isinstance(families, Mapping) and family not in families:
            near = nearest(str(family), families)
            known = f"nearest is '{near}'" if near else "give it a [families] table"
            self._tell(Fault(f"no such family; {known}", (*place, "family"), shown(family)))
        if "x" in own and "y" in own and on is None and board is not None:
            self._tell(Fault("must be on a board that has a [boards] table", (*place, "x"), shown(own["x"])))

    def _resolved(
        self, place: Place, merged: Mapping[str, Any], origins: Mapping[str, Place], unsaid: Collection[str]
    ) -> MountSpec | None:
        """The mount, or None where something of it is at fault, each fault told of the table that says it."""
        own = self.data["mount"][place[1]]
        try:
            return ask(merged, self.library, self.check_style, own)
        except InputError as error:
            for fault in error.faults:
                key = str(fault.place[0]) if fault.place else ""
                if fault.file is not None:
                    self.outside.append(fault)
                elif key not in unsaid:  # told of already
                    origin = origins.get(key, place)
                    board = key == "board" and self._no_board(merged["board"], origin)
                    self._tell((board or fault).within(*origin), mount=self._name(place))
            return None

    def _no_board(self, name: object, origin: Place) -> Fault | None:
        """What is said of a mount's board that is no profile but much like a table of [boards]."""
        boards = self.data.get("boards", {})
        if not isinstance(name, str) or not isinstance(boards, Mapping) or origin[0] == "boards" or is_path(name):
            return None
        near = nearest(name, boards)
        if near is None or means_length(name, self.library, "board"):
            return None
        said = f"no such board, neither here nor as a profile; nearest is '{near}'"
        return Fault(said, ("board",), shown(name))

    def _tell(self, fault: Fault, *, mount: str = "") -> None:
        self.faults[fault].append(mount)

    def _told(self) -> list[Fault]:
        """The faults in the order of the file; one that several mounts inherit is told once, with their ids."""
        everyone = sum(1 for _ in self.data["mount"]) if isinstance(self.data.get("mount"), list) else 0
        told = []
        for fault, mounts in self.faults.items():
            line = self._line(fault.place)
            said = fault.said
            if fault.place[0] != "mount" and mounts[0] and len(mounts) < everyone:
                named = mounts[:3] + ([f"{len(mounts) - 3} more"] if len(mounts) > 3 else [])
                said += f" (for {', '.join(named[:-1])}{' and ' if named[1:] else ''}{named[-1]})"
            file = f"{self.path}:{line}" if line else str(self.path)
            told.append((line or 0, replace(fault, said=said, place=self._named(fault.place), file=file)))
        return [fault for _, fault in sorted(told, key=lambda pair: pair[0])]

    def _name(self, place: Place) -> str:
        return dotted(self._named(place))

    def _named(self, place: Place) -> Place:
        """``mount 'east-1'`` in place of the number of a mount that has an id."""
        mounts = self.data.get("mount")
        if place[0] == "mount" and len(place) > 1 and isinstance(mounts, list) and isinstance(place[1], int):
            table = mounts[place[1]]
            mount_id = table.get("id") if isinstance(table, Mapping) else None
            if isinstance(mount_id, str) and mount_id:
                return (f"mount {shown(mount_id)}", *place[2:])
        return place

    def _layout_name(self) -> str:
        return str(self.data.get("layout", {}).get("name", self.path.stem))

    def _line(self, place: Place) -> int | None:
        return line_at(place, self._lines)

    @property
    def _lines(self) -> Mapping[Place, int]:
        text = self.path.read_bytes().decode("utf-8-sig") if self.text is None else self.text
        return lines_of(re.sub(r"\r\n?", "\n", text))
