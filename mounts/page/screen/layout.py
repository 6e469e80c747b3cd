"""A layout: its mounts as a table and as plans of its boards, edited, saved as the same file, made, taken along."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from html import escape
from pathlib import Path
from typing import Any

from nicegui import background_tasks, context, run, ui

from mounts.errors import InputError, Place
from mounts.inputs.model import shown
from mounts.inputs.read_layout import Layout
from mounts.page.address import YES_OR_NO, address
from mounts.page.layouts import DEFAULTS, SHARED, Draft, Row, begin, keys_of, keys_to_add, upload
from mounts.page.lengths import UNITS, in_unit
from mounts.page.plan import Footprints, Plan, plan_svg, plans_of
from mounts.page.safety import LARGEST_BODY
from mounts.page.screen.boards import BoardForms
from mounts.page.screen.entry import entry
from mounts.page.screen.frame import card, framed
from mounts.page.screen.making import Making
from mounts.page.shelf import Shelf
from mounts.page.tables import mounts_html
from mounts.units import number

_MOVES_S = 0.05  # how often a mount that is dragged follows
_WHICH = '(e) => { const b = e.target.closest("[data-mount]"); if (b) emit(b.dataset.mount); }'
"""Which of the buttons inside a table was pressed."""
_KEY = (
    "A line is a track with the tie bar's pin as a dot, grey is framing. Press a mount to pick it, and drag it where "
    "it should go. Red is too near to something; what it is is told below."
)
_NONE_OPEN = (
    "A layout file holds the boards of a layout and the mounts on them; mounts batch makes what it says. Open one of "
    "this folder, begin a new one under a name, or bring one from elsewhere: its boards, its mounts and what makes "
    "them then stand here."
)
_NOT_MADE = (
    "Dashed: not made yet. Shown are its servo with the arm's sweep and what lies between its screws; the print "
    "may reach farther, and is held against everything when it is made."
)
_WHERE = """(e) => { if (e.type === "pointermove" && !e.buttons) return;
  const r = e.currentTarget.getBoundingClientRect();
  emit(e.type, (e.clientX - r.left) / r.width, (e.clientY - r.top) / r.height); }"""
"""Where on a plan a finger or the mouse is, as shares of its width and height."""


class LayoutDesk:
    """One visitor's layout.

    Args:
        shelf: where layouts are.
        footprints: of their mounts, those of all visitors.
        file: name of the one to open; empty: none yet.
        unit: of lengths; what is none is mm.
    """

    def __init__(self, shelf: Shelf, footprints: Footprints, file: str, unit: str) -> None:
        self.shelf, self.footprints = shelf, footprints
        self.file, self.unit = file, unit if unit in UNITS else "mm"
        self.client = context.client
        self.draft: Draft | None = None
        self.layout: Layout | None = None
        self.plans: tuple[Plan, ...] = ()
        self.picked: int | None = None
        self.dragged: tuple[str, tuple[float, float]] | None = None
        self._pictures: dict[str, Any] = {}
        self.stands: Any = None
        self._reads = 0
        shelf.reread()
        self._entries: dict[Place, Any] = {}
        framed("A layout", "/layout", self.unit, self._other_unit)
        with ui.element("div").classes("bench"):
            with ui.element("div").classes("forms"):
                with card("Layout file"):
                    self._draw_files(file)
                    self.faults = ui.element("div").props("role=status aria-live=polite")
                    self.editor = ui.element("div")
                with card("Boards") as boards:
                    self.board_forms = BoardForms(shelf, self._put, self._edited)
            with ui.element("div").classes("results"):
                with card("Plan of the boards", first=True):
                    self.key = ui.label(_NONE_OPEN).classes("soft")
                    self.boards = ui.element("div")
                with card("Mounts") as mounts:
                    self.table = ui.html("", sanitize=False)
                    self.table.on("click", lambda event: self._pick(int(event.args)), js_handler=_WHICH)
                    with ui.element("div").classes("tools mt-2"):
                        self._button("Add a mount", lambda: self._added(None))
                        self._button("Copy the picked one", lambda: self._added(self.picked))
                        self._button("Remove the picked one", self._remove)
                        self._button("Undo", lambda: self._edited(self.draft.undo if self.draft else None))
                        self._button("Save", self._save)
                        self.saved = ui.label("").classes("soft").props("role=status aria-live=polite")
                with card("Make it") as making:
                    self.making = Making(shelf, self._to_make, self._tell, self._read)
        if file:
            self._open(file)
        for part in (boards, mounts, making):
            part.set_visibility(self.draft is not None)

    def _button(self, name: str, pressed: Callable[[], object]) -> Any:
        return ui.button(name, on_click=self._guarded(pressed)).props("outline no-caps")

    def _guarded(self, pressed: Callable[[], object]) -> Callable[[], None]:
        """A press whose refusal is told."""

        def guarded() -> None:
            try:
                pressed()
            except InputError as error:
                self._tell(error.lines)

        return guarded

    def _draw_files(self, file: str) -> None:
        known = self.shelf.layouts()
        ui.select([*known], label="open", value=file if file in known else None,
                  on_change=lambda event: ui.navigate.to(self._at(str(event.value)))).props(
                      "dense outlined options-dense").classes("w-full")  # fmt: skip
        with ui.element("div").classes("tools mt-2"):
            self.new = ui.input(label="name of a new one").props("dense outlined maxlength=64").classes("w-48")
            self._button("Begin it", lambda: ui.navigate.to(self._at(begin(self.shelf, self.new.value or ""))))
        chosen = ui.upload(max_file_size=LARGEST_BODY // 2, auto_upload=True, on_upload=self._uploaded).classes(
            "hidden"
        )
        chosen.props("accept=.toml")
        ui.button("Bring a layout file", on_click=lambda: chosen.run_method("pickFiles")).props(
            "outline no-caps"
        ).classes("mt-2")

    async def _uploaded(self, event: Any) -> None:
        content = await event.file.read()
        try:
            file = upload(self.shelf, str(event.file.name), content)
        except InputError as error:
            self._tell(error.lines)
            return
        ui.navigate.to(self._at(file))

    def _at(self, file: str) -> str:
        """Where a layout file is opened."""
        return address({"file": file, "unit": self.unit if self.unit != "mm" else ""}, "/layout")

    def _other_unit(self, unit: str) -> None:
        self.unit = unit
        ui.navigate.history.replace(self._at(self.file))
        self._read()

    # what is read

    def _open(self, file: str) -> None:
        try:
            self.draft = Draft(self.shelf, file)
        except InputError as error:
            self._tell(error.lines)
            return
        self.making.ready()
        self.key.text = ""
        self._read()

    def _tell(self, lines: tuple[str, ...]) -> None:
        self.faults.clear()
        with self.faults:
            for line in lines:
                with ui.element("div").classes("told"):
                    ui.label(line).classes("says")

    def _tell_in_place(self, error: InputError | None) -> None:
        """What is wrong, in lines and at each field that it is about."""
        self._tell(error.lines if error else ())
        said: dict[Place, list[str]] = {}
        for fault in error.faults if error else ():
            said.setdefault(fault.place, []).append(fault.said)
        for place, element in {**self._entries, **self.board_forms.entries}.items():
            element.error = "; ".join(said.get(place, ())) or None

    def _read(self, *, editor: bool = True) -> None:
        """Reads the draft as the command line would, and draws what comes of it."""
        if self.draft is None:
            return
        self._reads += 1
        self._draw_table()
        if editor:
            self._draw_editor()
            self.board_forms.show(self.draft, self.unit)
        self.saved.text = "changed, not saved" if self.draft.changed else ""
        try:
            layout = self.draft.read()
        except InputError as error:
            self._tell_in_place(error)
            return
        self._tell_in_place(None)
        background_tasks.create(self._plan(layout, self._reads))

    async def _plan(self, layout: Layout, number: int) -> None:
        plans = await run.io_bound(plans_of, layout, self.footprints)
        if plans is None or number != self._reads:
            return
        self.layout, self.plans = layout, plans
        with self.client:
            self._draw_plans()

    def _draw_table(self) -> None:
        if self.draft is not None:
            bad = {line.split(":")[0] for plan in self.plans for line in plan.told()}
            self.table.content = mounts_html(self.draft.rows(), self.draft.table(DEFAULTS), bad, self.picked, self.unit)

    def _draw_plans(self) -> None:
        names = [plan.name for plan in self.plans]
        if names != [*self._pictures]:
            self.boards.clear()
            self._pictures = {}
            with self.boards:
                for plan in self.plans:
                    ui.label(f"Board {plan.name}").props("role=heading aria-level=3")
                    picture = ui.html("", sanitize=False).classes("plan-picture")
                    for name in ("pointerdown", "pointermove", "pointerup"):
                        picture.on(name, partial(self._mouse, plan.name), js_handler=_WHERE, throttle=_MOVES_S)
                    self._pictures[plan.name] = (picture, ui.element("div"))
        for plan in self.plans:
            picture, said = self._pictures[plan.name]
            self._draw_plan(plan, picture)
            said.clear()
            with said:
                for line in plan.told():
                    with ui.element("div").classes("told"):
                        ui.label(in_unit(line, self.unit)).classes("says")
        made = all(one.built for plan in self.plans for one in plan.mounts)
        self.key.text = _KEY if made else f"{_KEY} {_NOT_MADE}"
        self._draw_table()
        self._say_where()

    def _draw_plan(self, plan: Plan, picture: Any) -> None:
        if self.layout is None:
            return
        moved = self.dragged[1] if self.dragged and self.dragged[0] == plan.name else None
        over = plan_svg(plan, self.layout, self.picked, moved)
        said = f"plan of board {plan.name}: {len(plan.mounts)} mounts, which stand in the table below"
        picture.content = (
            f'<svg viewBox="0 0 {plan.size[0]:.1f} {plan.size[1]:.1f}" role="img" '
            f'aria-label="{escape(said)}">{over}</svg>'
        )

    # what a person does

    def _mouse(self, board: str, event: Any) -> None:
        """A mount is picked where the mouse goes down, and put where it goes up."""
        plan = next((plan for plan in self.plans if plan.name == board), None)
        if plan is None:
            return
        what, across, down = event.args
        place = plan.at((float(across) * plan.size[0], float(down) * plan.size[1]))
        if what == "pointerdown":
            seen = plan.nearest(place)
            if seen is not None:
                self.dragged = (board, (seen.standing.site.x_mm, seen.standing.site.y_mm))
                self._pick(seen.number)
        elif self.dragged is not None and self.dragged[0] == board and self.picked is not None and self.draft:
            if what == "pointermove":
                self.dragged = (board, place)
                self._draw_plan(plan, self._pictures[board][0])
            else:
                seen = next((one for one in plan.mounts if one.number == self.picked), None)
                place, self.dragged = self.dragged[1], None
                if seen is not None and place != (seen.standing.site.x_mm, seen.standing.site.y_mm):
                    self.draft.move(self.picked, *place)
                    self._read()

    def _pick(self, number_: int) -> None:
        if self.draft is None or not 0 <= number_ < len(self.draft.rows()):
            return
        self.picked = number_
        self._draw_table()
        self._draw_editor()
        for plan in self.plans:
            self._draw_plan(plan, self._pictures[plan.name][0])

    def _draw_editor(self) -> None:
        self.editor.clear()
        self._entries.clear()
        rows = self.draft.rows() if self.draft else []
        if self.picked is None or self.draft is None or self.picked >= len(rows):
            return
        row = rows[self.picked]
        with self.editor:
            ui.label(f"Mount {row.name}").props("role=heading aria-level=3").classes("mt-2")
            there = self.draft.table(("mount", row.number))
            for key in [key for key in row.values if key in there]:
                self._field(row, key, there[key])
            ui.select([*keys_to_add(("mount", row.number), row.values)], label="say more of it", with_input=True,
                      on_change=lambda event: self._field_added(row, str(event.value or ""))).props(
                          "dense outlined options-dense").classes("w-full")  # fmt: skip
            self._draw_family(row)
            self.stands = ui.label("").classes("soft")
        self._say_where()

    def _draw_family(self, row: Row) -> None:
        """What the family of a mount shares; one that is not there yet is begun."""
        family = row.values.get("family", "")
        if self.draft is None or not family:
            return
        chosen = ui.select([*SHARED], label=f"family {family} shares", multiple=True, value=self.draft.shared(family))
        chosen.props("dense outlined options-dense").classes("w-full")
        self._button("Match them", lambda: self._matched(family, list(chosen.value or ())))

    def _matched(self, family: str, shared: list[str]) -> None:
        if self.draft is not None:
            self.draft.match(family, shared)
            self._read()

    def _say_where(self) -> None:
        """Where the picked mount stands, in mm, however that is written."""
        mounts = self.layout.mounts if self.layout else ()
        site = mounts[self.picked].site if self.picked is not None and self.picked < len(mounts) else None
        if self.stands is not None and not self.stands.is_deleted:
            at = f"stands at {number(site.x_mm, 1)} mm, {number(site.y_mm, 1)} mm on {site.board}" if site else ""
            self.stands.text = in_unit(at, self.unit)

    def _field(self, row: Row, key: str, value: str) -> None:
        known = {"board": self.draft.boards(), "family": self.draft.families()} if self.draft else {}
        place: Place = ("mount", row.number)
        what = keys_of(place).get(key)
        if what is not None:
            self._entries[(f"mount {shown(row.name)}", key)] = entry(
                key.replace("_", " "), value, partial(self._put, place, key), unit=self.unit if what.is_length else "",
                about=what.about, known=known.get(key, ()),
            )  # fmt: skip

    def _field_added(self, row: Row, key: str) -> None:
        usual = {"x": "0", "y": "0", "heading_deg": "0", "copies": "1", **dict.fromkeys(YES_OR_NO, "true")}
        place: Place = ("mount", row.number)
        if key not in keys_to_add(place, row.values):
            return
        with self.editor:
            self._field(row, key, "")
        if key in usual:
            self._put(place, key, usual[key])
            if key in ("x", "y") and self.draft:
                other = "y" if key == "x" else "x"
                if other not in self.draft.table(place):
                    self._put(place, other, "0")
            self._draw_editor()

    def _put(self, place: Place, key: str | int, value: str) -> None:
        if self.draft is None:
            return
        try:
            self.draft.put(place, key, value)
        except InputError as error:
            self._tell(error.lines)
            return
        self._read(editor=key == "family")  # elsewhere the hand is in one of its fields

    def _edited(self, edit: Callable[[], object] | None) -> None:
        """Makes a change of the draft that other fields follow."""
        if edit is None:
            return
        try:
            edit()
        except InputError as error:
            self._tell(error.lines)
            return
        self._read()

    def _added(self, like: int | None) -> None:
        if self.draft is not None:
            self.picked = self.draft.add(like)
            self._read()

    def _remove(self) -> None:
        if self.draft is not None and self.picked is not None:
            self.draft.remove(("mount", self.picked))
            self.picked = None
            self._read()

    def _to_make(self) -> Path | None:
        """The file to be made, saved if it was changed; None: it can't be."""
        try:
            if self.draft is not None:
                self.draft.read()
                if self.draft.changed:
                    self._save()
        except InputError as error:
            self._tell(error.lines)
            return None
        return self.draft.path if self.draft else None

    def _save(self) -> None:
        if self.draft is not None:
            self.draft.save()
            self.saved.text = f"saved as {self.draft.path.name}"
