"""The form: a field for each option, what is wrong with it in its place, the way out as a button."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from nicegui import ui

from mounts.page.fields import OPEN, OWN, Field, fields
from mounts.page.lengths import in_unit, meant
from mounts.page.screen.frame import way_button
from mounts.page.shelf import Shelf
from mounts.page.ways import Told
from mounts.units import MM_PER_IN, number

Changed = Callable[[Mapping[str, str]], None]
"""Called with the fields that were changed and what stands in them."""

_FINEST = ((2.0, 0.05), (12.0, 0.1), (60.0, 0.5), (300.0, 1.0))  # step of a slider by how far it goes; by eye


class Form:
    """Fields of one style.

    Args:
        shelf: where profiles are.
        changed: told of each change that a person makes.
    """

    def __init__(self, shelf: Shelf, changed: Changed) -> None:
        self.shelf, self.changed = shelf, changed
        self.unit = "mm"
        self.values: dict[str, str] = {}
        self._style = self._scale = ""
        self._inputs: dict[str, Any] = {}
        self._lengths: set[str] = set()
        self._sliders: dict[str, Any] = {}
        self._opened: dict[str, bool] = {}  # what a person opened or shut stays so where the form is drawn anew
        self._ways: dict[str, Any] = {}
        self._silent = False
        self._whole = ui.element("div").classes("w-full")

    def show(self, values: Mapping[str, str], unit: str, changed: str = "") -> None:
        """Puts values into the form; what it asks follows style and scale.

        Args:
            values: by field; what is not given is left out.
            unit: of lengths.
            changed: field that has the hand's attention, and keeps it where the form is drawn anew.
        """
        style, scale = values.get("style", ""), values.get("scale", "")
        again = (style, unit) != (self._style, self.unit) or not self._inputs
        rescaled = scale != self._scale
        self.values, self._style, self._scale, self.unit = dict(values), style, scale, unit
        if again or (rescaled and not self._rescale()):
            self._build()
            if changed in self._inputs:
                self._inputs[changed].run_method("focus")
            return
        self._silent = True
        for key, element in self._inputs.items():
            value = values.get(key, "")
            if self._meant(key, element.value) != value:
                element.value = _as_shown(element, value)
        self._silent = False

    def tell(self, told: tuple[Told, ...]) -> tuple[Told, ...]:
        """Shows each line at its field; gives back those that have none."""
        for key, element in self._inputs.items():
            here = [one for one in told if one.field == key]
            if hasattr(element, "error"):
                element.error = "; ".join(one.line for one in here) or None
            row = self._ways[key]
            if not here and not row.default_slot.children:
                continue
            row.clear()
            with row:
                for one in here:
                    if not hasattr(element, "error"):
                        ui.label(one.line).classes("says")
                    for way in one.ways:
                        way_button(way.told, lambda way=way: self.changed(way.values))
        return tuple(one for one in told if one.field not in self._inputs)

    def settle(self, resolved: Mapping[str, Any]) -> None:
        """Puts each slider where what was chosen stands, mm or its unit, where nothing was typed."""
        self._silent = True
        for key, slider in self._sliders.items():
            value = resolved.get(key)
            if isinstance(value, int | float) and not isinstance(value, bool):
                slider.value = min(max(float(value), slider.props["min"]), slider.props["max"])
        self._silent = False

    def _rescale(self) -> bool:
        """Puts the bounds of another scale to the fields that stand there, where a hand may be; whether that did."""
        asked = fields(self._style, self.shelf, self._scale)
        if {field.key for field in asked if field.bounded and field.sort in ("length", "number")} != {*self._sliders}:
            return False
        self._silent = True
        for field in asked:
            slider = self._sliders.get(field.key)
            if slider is not None and (slider.props["min"], slider.props["max"]) != (field.low, field.high):
                slider.props["min"], slider.props["max"] = field.low, field.high
                slider.props["aria-label"] = f"{field.label}, {self._hint(field)}"
                self._inputs[field.key].props["hint"] = self._hint(field)
        self._silent = False
        return True

    def _build(self) -> None:
        self._whole.clear()
        self._inputs, self._sliders, self._ways = {}, {}, {}
        asked = fields(self._style, self.shelf, self._scale)
        self._lengths = {field.key for field in asked if field.sort == "length"}
        groups: dict[str, list[Field]] = {}
        for field in asked:
            groups.setdefault(field.group, []).append(field)
        self._silent = True
        with self._whole:
            for group, inside in groups.items():
                given = any(self.values.get(field.key) for field in inside)
                opened = self._opened.get(group, group in OPEN or given)
                with (
                    ui.expansion(group, value=opened, on_value_change=partial(self._folded, group))
                    .classes("w-full")
                    .props("dense header-class=text-weight-medium")
                ):
                    for field in inside:
                        self._field(field)
        self._silent = False

    def _folded(self, group: str, event: Any) -> None:
        self._opened[group] = bool(event.value)

    def _field(self, field: Field) -> None:
        with ui.element("div").classes("asked"):
            value = self.values.get(field.key, "")
            if field.sort == "yes or no":
                element = self._yes_or_no(field, value)
            elif field.sort == "choice":
                element = self._choice(field, value)
            else:
                element = self._text(field, value)
            self._inputs[field.key] = element
            if field.bounded and field.sort in ("length", "number"):
                self._slider(field, element)
            self._ways[field.key] = ui.element("div").classes("ways")

    def _text(self, field: Field, value: str) -> Any:
        element = ui.input(
            label=self._label(field), value=value, autocomplete=list(field.choices) or None, validation=None,
            on_change=lambda event: self._typed(field, event.value or ""),
        ).props("dense outlined debounce=250 clearable hide-bottom-space").classes("w-full")  # fmt: skip
        element.props["hint"] = self._hint(field)
        element.props["maxlength"] = 200
        return element

    def _choice(self, field: Field, value: str) -> Any:
        known = [*field.choices]
        if value and value not in known:
            known.append(value)  # what an address says is shown, and refused by who knows
        free = field.default == "" and field.key not in ("style", "servo", "scale")
        element = ui.select(
            known, label=field.label, value=value or field.default or None, clearable=free,
            on_change=lambda event: self._changed(field.key, "" if event.value is None else str(event.value)),
        ).props("dense outlined options-dense hide-bottom-space").classes("w-full")  # fmt: skip
        element.props["hint"] = field.about
        return element

    def _yes_or_no(self, field: Field, value: str) -> Any:
        default = field.default == "true"
        return ui.checkbox(
            f"{field.label}: {field.about}", value=value == "true" if value else default,
            on_change=lambda event: self._changed(field.key, _word(event.value, default)),
        )  # fmt: skip

    def _slider(self, field: Field, element: Any) -> None:
        low, high = field.low or 0.0, field.high or 0.0
        step = next((step for most, step in _FINEST if high - low <= most), 5.0)

        def moved(event: Any) -> None:
            if not self._silent:
                self._silent = True
                element.value = self._written(field, float(event.value))
                self._silent = False
                self._changed(field.key, element.value)

        slider = ui.slider(min=low, max=high, step=step, value=low, on_change=moved).props("dense")
        slider.props["aria-label"] = f"{field.label}, {self._hint(field)}"
        self._sliders[field.key] = slider

    def _written(self, field: Field, value: float) -> str:
        if field.sort == "length" and self.unit == "in":
            return f"{number(value / MM_PER_IN)} in"
        return f"{number(value)} mm" if field.sort == "length" else number(value)

    def _typed(self, field: Field, text: str) -> None:
        self._changed(field.key, self._meant(field.key, text))

    def _meant(self, key: str, text: object) -> str:
        """What was typed, with the unit that is meant where none is written."""
        plain = text.strip() if isinstance(text, str) else ""
        return meant(plain, self.unit) if key in self._lengths else plain

    def _changed(self, key: str, value: str) -> None:
        if self._silent or self.values.get(key, "") == value:
            return
        self.values[key] = value
        self.changed({key: value})

    def _label(self, field: Field) -> str:
        unit = self.unit if field.sort == "length" else field.unit
        return f"{field.label}, {unit}" if unit and not field.choices else field.label

    def _hint(self, field: Field) -> str:
        unit = f" {field.unit}".replace(" °", "°") if field.unit else ""
        limits = f"{number(field.low or 0)} to {number(field.high or 0)}{unit}; " if field.bounded else ""
        usual = f"; {field.default} by default" if field.default and field.key.startswith(OWN) else ""
        return in_unit(f"{limits}{field.about}{usual}", self.unit)


def _word(value: bool, default: bool) -> str:
    return "" if bool(value) == default else "true" if value else "false"


def _as_shown(element: Any, value: str) -> Any:
    """A value as an element takes it: a box is ticked or not, nothing chosen is None."""
    if isinstance(element.value, bool):
        return value == "true" if value else element.value
    if hasattr(element, "options"):
        return value or element.value
    return value
