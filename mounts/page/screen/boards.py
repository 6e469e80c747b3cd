"""Boards of a layout and what holds for every mount: thickness, roadbed, outline and framing as fields."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from nicegui import ui

from mounts.errors import Place
from mounts.page.layouts import DEFAULTS, Draft, keys_of, keys_to_add
from mounts.page.screen.entry import entry
from mounts.page.shelf import Shelf
from mounts.page.written import shown_value

_PROFILES = {"servo": "servo", "board": "board", "roadbed": "roadbed", "screw": "fixing", "scale": "scale",
             "printer": "printer", "filament": "filament", "wire": "wire"}  # fmt: skip


class BoardForms:
    """Fields of every board, and of the defaults.

    Args:
        shelf: where profiles are.
        put: writes a value at a key of a table.
        edit: makes a change after which everything is drawn anew.
    """

    def __init__(
        self, shelf: Shelf, put: Callable[[Place, str | int, str], None], edit: Callable[[Callable[[], object]], None]
    ) -> None:
        self.shelf, self.put, self.edit = shelf, put, edit
        self.entries: dict[Place, Any] = {}
        self._opened: set[str] = set()
        self._whole = ui.element("div").classes("w-full")

    def show(self, draft: Draft, unit: str) -> None:
        """Draws everything anew.

        Args:
            draft: of the layout.
            unit: of lengths.
        """
        self.draft, self.unit = draft, unit
        self._whole.clear()
        self.entries.clear()
        with self._whole:
            with self._folded("For every mount"):
                self._fields(DEFAULTS)
            for name in draft.boards():
                with self._folded(f"Board {name}"):
                    self._board(name)
            with ui.element("div").classes("tools mt-2"):
                new = ui.input(label="name of a new board").props("dense outlined maxlength=40").classes("w-48")
                self._button("Add a board", lambda: draft.add_board(str(new.value or "")))

    def _folded(self, name: str) -> Any:
        def turned(event: Any) -> None:
            (self._opened.add if event.value else self._opened.discard)(name)

        return ui.expansion(name, value=name in self._opened, on_value_change=turned).classes("w-full").props(
            "dense header-class=text-weight-medium"
        )  # fmt: skip

    def _board(self, name: str) -> None:
        place: Place = ("boards", name)
        self._fields(place)
        ui.label(f"Outline of {name}, its corners in order").props("role=heading aria-level=3").classes("mt-2")
        outline = self.draft.written.at((*place, "outline")) or []
        for number in range(len(outline)):
            with ui.element("div").classes("corner"):
                self._point((*place, "outline", number), f"corner {number + 1}")
                self._button("+", partial(self.draft.add_corner, name, number), f"a corner behind corner {number + 1}")
                self._button("−", partial(self.draft.remove, (*place, "outline", number)),
                             f"take corner {number + 1} away")  # fmt: skip
        if not outline:
            self._button("Give it an outline", partial(self.draft.add_corner, name, 0))
        framing = self.draft.written.at((*place, "framing")) or []
        for number, timber in enumerate(framing):
            called = str(timber.get("name", f"framing {number + 1}")) if isinstance(timber, dict) else ""
            ui.label(f"Framing: {called}").props("role=heading aria-level=3").classes("mt-2")
            self._timber((*place, "framing", number))
        with ui.element("div").classes("tools mt-2"):
            self._button("Add framing", partial(self.draft.add_framing, name))
            self._button("Remove this board", partial(self.draft.remove, place), f"remove board {name}")

    def _timber(self, place: Place) -> None:
        for end, words in (("start", "from"), ("end", "to")):
            if isinstance(self.draft.written.at((*place, end)), list):
                with ui.element("div").classes("corner"):
                    self._point((*place, end), words)
        there = self.draft.table(place)
        for key in keys_of(place):
            self._entry(place, key, there.get(key, ""))
        self._button("Remove this framing", partial(self.draft.remove, place), f"remove {there.get('name', 'framing')}")

    def _point(self, place: Place, called: str) -> None:
        point = self.draft.written.at(place)
        for number, axis in enumerate("xy"):
            value = shown_value(point[number]) if isinstance(point, list) and number < len(point) else ""
            self.entries[(*place, number)] = entry(
                f"{called}: {axis}", value, partial(self.put, place, number), unit=self.unit
            )

    def _fields(self, place: Place) -> None:
        there = self.draft.table(place)
        for key, value in there.items():
            self._entry(place, key, value)

        def more(event: Any) -> None:
            if event.value in keys_to_add(place, there):
                event.sender.delete()
                with whole:
                    self._entry(place, str(event.value), "")

        whole = ui.element("div")
        ui.select([*keys_to_add(place, there)], label="say more of it", with_input=True, on_change=more).props(
            "dense outlined options-dense").classes("w-full")  # fmt: skip

    def _entry(self, place: Place, key: str, value: str) -> None:
        known = keys_of(place).get(key)
        if known is None:  # it is told of as a fault, and goes when the file is mended
            return
        self.entries[(*place, key)] = entry(
            key.replace("_", " "), value, partial(self.put, place, key), unit=self.unit if known.is_length else "",
            about=known.about, known=self.shelf.names(_PROFILES[key]) if key in _PROFILES else (),
        )  # fmt: skip

    def _button(self, name: str, pressed: Callable[[], object], about: str = "") -> None:
        button = ui.button(name, on_click=lambda: self.edit(pressed)).props("outline dense no-caps").classes("px-2")
        if about:
            button.props["aria-label"] = about
