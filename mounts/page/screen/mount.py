"""One mount: the form beside what becomes of it, at once the numbers and the linkage, the print when the hand rests."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from functools import partial
from typing import Any
from urllib.parse import parse_qsl

from nicegui import background_tasks, context, run, ui

from mounts.checks.model import Check
from mounts.mesh import PartMesh
from mounts.page.address import FIRST, address, command_line, values_of
from mounts.page.ask import Answer, answer
from mounts.page.bodies import Cut, bodies
from mounts.page.builder import Builder
from mounts.page.chart import chart_svg
from mounts.page.fields import OWN, fields
from mounts.page.lengths import UNITS, in_unit
from mounts.page.places import place_of
from mounts.page.screen.form import Form
from mounts.page.screen.frame import card, framed, way_button
from mounts.page.screen.picture import VIEWS, Picture
from mounts.page.shelf import Shelf
from mounts.page.store import Store
from mounts.page.swing import Swing
from mounts.page.tables import by_closeness, checks_html, costs_html, figures_html, use_html, verdict_line
from mounts.page.work import Checked, Failed, Parts, Result, Zipped
from mounts.report.model import resolved_inputs, worst

_RESTS_S = 0.35  # without a change, then the hand is taken to rest and the print is made; by eye
_WAYS_OF_CUTTING = {"no cut": None, "cut along the track": "along the track",
                    "cut across the track": "across the track", "cut level": "upright"}  # fmt: skip
_FARTHEST_CUT_MM = 60.0  # from the pin that a plane is moved; by eye
_ON_BACK = 'window.addEventListener("popstate", () => emitEvent("went", location.search));'
"""What neither library can do: the buttons for back and forward tell nothing by themselves."""
_WHICH = '(e) => { const b = e.target.closest("[data-check]"); if (b) emit(b.dataset.check); }'
"""Which of the buttons inside a table was pressed."""


class Bench:
    """One visitor's mount; nothing of it is shared with another.

    Args:
        shelf: where profiles are.
        builder: makes the prints.
        store: where browsers fetch meshes.
        query: of the address.
    """

    def __init__(self, shelf: Shelf, builder: Builder, store: Store, query: str) -> None:
        self.shelf, self.builder, self.store = shelf, builder, store
        self.client = context.client
        self.visitor = str(self.client.id)
        self.values: dict[str, str] = {}
        self.unit = "mm"
        self._read(query)
        self.answer: Answer | None = None
        self.swing: Swing | None = None
        self.meshes: tuple[PartMesh, ...] = ()
        self.checks: list[Check] = []
        self.us = 1500.0
        self._asked = self._answered = 0
        self._draw()
        self.form.show(self.values, self.unit)
        self.client.on_delete(lambda: self.builder.gone(self.visitor))
        self._ask()

    # what is on the page

    def _draw(self) -> None:
        framed("One mount", "/", self.unit, self._other_unit)
        ui.add_head_html(f"<script>{_ON_BACK}</script>")
        ui.on("went", lambda event: self._went(str(event.args)))
        with ui.element("div").classes("bench"):
            with card("What is asked"):
                self.form = Form(self.shelf, self._changed)
            with ui.element("div").classes("results"):
                with card("What becomes of it", first=True):
                    self.status = ui.label("…").classes("status").props("role=status aria-live=polite")
                    self.faults = ui.element("div")
                    self._draw_picture()
                with ui.element("div").classes("pair"):
                    with card("The arm's swing"):
                        self.chart = ui.html("", sanitize=False)
                    with card("The drive"):
                        self.costs = ui.html("", sanitize=False)
                        self.figures = ui.html("", sanitize=False)
                with card("Checks"):
                    self.table = ui.html("", sanitize=False)
                    self.table.on("click", lambda event: self._show_place(str(event.args)), js_handler=_WHICH)
                with card("Files and command"):
                    self._draw_files()
                with card("What to do"):
                    self.use = ui.html("", sanitize=False).classes("use")

    def _draw_picture(self) -> None:
        self.picture = Picture(self.store, self._parts)
        self._draw_swing()
        with ui.element("div").classes("tools mt-2"):
            ui.select([*VIEWS], label="look from", value=None,
                      on_change=lambda event: self.picture.look(event.value)).props(
                          "dense outlined options-dense").classes("w-44")  # fmt: skip
            with ui.element("div").classes("slide"):
                ui.label("taken apart").classes("name")
                ui.slider(min=0, max=1, step=0.02, value=0,
                          on_change=lambda event: self.picture.take_apart(float(event.value))).props(
                              'aria-label="how far it is taken apart"')  # fmt: skip
            self.cut_way = ui.select([*_WAYS_OF_CUTTING], label="cut", value="no cut", on_change=self._cut).props(
                "dense outlined options-dense"
            )
            self.cut_way.classes("w-48")
            with ui.element("div").classes("slide"):
                ui.label("plane").classes("name")
                self.cut_at = ui.slider(min=-_FARTHEST_CUT_MM, max=_FARTHEST_CUT_MM, step=1, value=0,
                                        on_change=self._cut).props('aria-label="where the plane cuts, mm"')  # fmt: skip
        self.shown = ui.element("div").classes("tools")
        self._labels: dict[str, str] = {}

    def _draw_swing(self) -> None:
        with ui.element("div").classes("tools mt-2"):
            with ui.element("div").classes("slide"):
                ui.label("pulse").classes("name")
                self.pulse = ui.slider(min=500, max=2500, step=2, value=1500,
                                       on_change=lambda event: self._swung(float(event.value))).props(
                                           'aria-label="pulse, µs"')  # fmt: skip
            self.stops = ui.element("div").classes("tools")
        self.now = ui.label("").classes("mt-1").props("role=status aria-live=polite")

    def _draw_files(self) -> None:
        ui.label("All files as mounts make writes them: STL, STEP, template, wire, steps, pictures, pages.")
        self.download = ui.button("All files as one zip", on_click=self._order_files).props("outline no-caps")
        self.packing = ui.label("").classes("soft").props("role=status aria-live=polite")
        ui.label("The command line that makes the same").props("role=heading aria-level=3").classes("mt-2")
        self.line = ui.html("", sanitize=False)
        ui.button("Copy it", on_click=self._copy).props("outline dense no-caps").classes("mt-1")

    # what changes

    def _read(self, query: str) -> None:
        pairs = values_of(parse_qsl(query.lstrip("?"), keep_blank_values=False))
        unit = pairs.pop("unit", "mm")
        self.unit = unit if unit in UNITS else "mm"
        self.values = pairs or dict(FIRST)

    def _changed(self, changes: Mapping[str, str]) -> None:
        """A person changed something: the address follows, and the answer."""
        values = {**self.values, **changes}
        if style := changes.get("style"):  # what another style has no use for goes
            asked = {field.key for field in fields(style, self.shelf)}
            values = {key: value for key, value in values.items() if key in asked}
        self.values = {key: value for key, value in values.items() if value}
        self.form.show(self.values, self.unit, changed=next(iter(changes), ""))
        self._remember()
        self._ask()

    def _remember(self) -> None:
        shown = self.values | ({"unit": self.unit} if self.unit != "mm" else {})
        with self.client:
            ui.navigate.history.push(address(shown))

    def _went(self, query: str) -> None:
        """Back or forward in the browser."""
        self._read(query)
        self.form.show(self.values, self.unit)
        self._ask()

    def _other_unit(self, unit: str) -> None:
        self.unit = unit
        self.form.show(self.values, unit)
        self._remember()
        self._ask()

    def _ask(self) -> None:
        self._asked += 1
        self.builder.give_up(self.visitor, "show")
        if self._asked == self._answered + 1:
            background_tasks.create(self._answer())

    async def _answer(self) -> None:
        """Answers what was asked last; what was asked in between is left out."""
        while self._answered < self._asked:
            number = self._asked
            try:
                await self._answer_to(number)
            finally:
                self._answered = number
        number = self._asked
        await asyncio.sleep(_RESTS_S)
        if number == self._asked and self.answer is not None and self.answer.spec and self.answer.designed:
            self.builder.order(self.visitor, "show", self.answer.spec, self._came)

    async def _answer_to(self, number: int) -> None:
        found = await run.io_bound(answer, dict(self.values), self.shelf)
        if number != self._asked or found is None:
            return
        with self.client:
            self._take(found)
        if found.designed is None:
            return
        shown = await run.io_bound(bodies, found.designed.design, (), self.picture.cut)
        if number == self._asked and shown is not None:
            with self.client:
                self.picture.show(found.designed.design, shown, parts_follow=True)

    def _take(self, found: Answer) -> None:
        self.answer = found
        self.meshes = ()
        self.costs.content = ""
        left = self.form.tell(found.told)
        self.faults.clear()
        with self.faults:
            for one in left:
                with ui.element("div").classes("told").props("role=alert"):
                    ui.label(one.line).classes("says")
                    with ui.element("div").classes("ways"):
                        for way in one.ways:
                            way_button(way.told, partial(self._changed, way.values))
        self.line.content = f'<code class="line">{_escaped(command_line(self.values, str(self.shelf.folder)))}</code>'
        if found.designed is None or found.spec is None:
            count = len(found.told)
            self._say("fail", f"no mount: {count} thing{'s' if count > 1 else ''} to change")
            self.download.disable()
            self.use.content = ""
            return
        self.download.enable()
        designed = found.designed
        resolved = resolved_inputs(found.spec, designed.options)
        self.form.settle(_settled(resolved.model_dump()))
        self._swings(Swing(designed.design))
        self._swung(self.us)
        self.figures.content = figures_html(designed, self.unit)
        self._show_checks(found.checks, whole=False)
        self.use.content = "<p>The printed part is being made.</p>"

    def _came(self, result: Result) -> None:
        """From the worker: parts, then checks, or why there are none."""
        if self.answer is None or self.answer.designed is None:
            return
        with self.client:
            if isinstance(result, Parts):
                self.meshes = result.meshes
                background_tasks.create(self._show_parts())
            elif isinstance(result, Checked):
                self._show_checks(result.report.checks, whole=True)
                self.costs.content = costs_html(result.report, self.unit)
                self.use.content = use_html(result.report, self.unit)
            elif isinstance(result, Failed):
                self._say("fail", result.line)
                self.use.content = ""

    async def _show_parts(self) -> None:
        found, meshes = self.answer, self.meshes
        if found is None or found.designed is None:
            return
        shown = await run.io_bound(bodies, found.designed.design, meshes, self.picture.cut)
        if shown is not None and found is self.answer and meshes is self.meshes:
            with self.client:
                self.picture.show(found.designed.design, shown, parts_follow=not meshes)

    def _show_checks(self, checks: tuple[Check, ...], *, whole: bool) -> None:
        self.checks = by_closeness(checks)
        self.table.content = checks_html(self.checks, self.unit)
        self._say(worst(checks), verdict_line(checks, whole=whole))

    def _say(self, verdict: str, line: str) -> None:
        self.status.text = line
        self.status.classes(verdict, remove="pass warn fail")

    # the picture

    def _parts(self, labels: dict[str, str]) -> None:
        labels = {key: label for key, label in labels.items() if not key.startswith("gauge ")}
        if labels == self._labels:
            return
        self._labels = labels
        self.shown.clear()
        with self.shown:
            for key, label in labels.items():
                ui.checkbox(
                    label, value=not self.picture.is_hidden(key),
                    on_change=partial(lambda key, event: self.picture.hide(key, not event.value), key),
                ).props("dense")  # fmt: skip

    def _cut(self) -> None:
        way = _WAYS_OF_CUTTING[str(self.cut_way.value)]
        self.picture.cut = None if way is None else Cut(way, float(self.cut_at.value))  # type: ignore[arg-type]
        background_tasks.create_lazy(self._show_parts(), name=f"cut {self.visitor}")

    def _swings(self, swing: Swing) -> None:
        again = self.swing is None or (swing.stops, swing.low_us) != (self.swing.stops, self.swing.low_us)
        self.swing = swing
        self.us = min(max(self.us, swing.low_us), swing.high_us)
        self.pulse.props["min"], self.pulse.props["max"] = swing.low_us, swing.high_us
        if again:
            self.stops.clear()
            with self.stops:
                for name, us in swing.stops:
                    ui.button(f"{name} {us:.0f} µs", on_click=partial(self.pulse.set_value, us)).props(
                        "outline dense no-caps"
                    )

    def _swung(self, us: float) -> None:
        if self.swing is None:
            return
        self.us = us
        at = self.swing.at(us)
        self.picture.swing(at.theta_rad, at.pin_mm)
        self.chart.content = chart_svg(self.swing, at, self.unit)
        wanted = {True: ", as wanted", False: "", None: ""}[at.wanted]
        self.now.text = in_unit(at.told(), self.unit) + wanted

    def _show_place(self, which: str) -> None:
        found = self.answer
        if found and found.designed and which.isdecimal() and int(which) < len(self.checks):
            check = self.checks[int(which)]
            self.picture.mark(place_of(check, found.designed.design, self.meshes), check.name)

    # files

    def _order_files(self) -> None:
        if self.answer is None or self.answer.spec is None or self.answer.designed is None:
            return
        spec = self.answer.spec
        self.packing.text = "being made …"

        def came(result: Result) -> None:
            with self.client:
                if isinstance(result, Zipped):
                    self.packing.text = f"{spec.id}.zip, {len(result.content) / 1e6:.1f} MB"
                    ui.download.content(result.content, f"{spec.id}.zip", "application/zip")
                elif isinstance(result, Failed):
                    self.packing.text = result.line

        self.builder.order(self.visitor, "files", spec, came)

    def _copy(self) -> None:
        ui.clipboard.write(command_line(self.values, str(self.shelf.folder)))
        ui.notify("copied")


def _settled(resolved: Mapping[str, Any]) -> dict[str, Any]:
    """What was asked or chosen, by field: lengths end in ``_mm`` there, and a style's own options lie in a table."""
    plain = {key.removesuffix("_mm").removesuffix("_deg"): value for key, value in resolved.items()}
    return plain | {OWN + key: value for key, value in resolved["options"].items()}


def _escaped(text: str) -> str:
    from html import escape

    return escape(text)
