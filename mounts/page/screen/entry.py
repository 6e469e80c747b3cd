"""A value of a file in a field, a length in the unit that was chosen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from nicegui import ui

from mounts.page.lengths import as_shown, in_unit, meant


def entry(
    label: str, value: str, changed: Callable[[str], None], *, unit: str = "", about: str = "",
    known: Sequence[str] = (),
) -> Any:  # fmt: skip
    """A field.

    Args:
        label: of it, without a unit; what may be known by a name gets none.
        value: as written in the file.
        changed: called with what is to be written.
        unit: of a length; empty: it is none.
        about: one line that says what it is.
        known: what may be meant; anything else may be typed too.
    """
    element = ui.input(
        label=f"{label}, {unit}" if unit and not known else label, value=as_shown(value, unit), validation=None,
        autocomplete=list(known) or None,
        on_change=lambda event: changed(meant(str(event.value or "").strip(), unit)),
    ).props("dense outlined debounce=600 maxlength=200 hide-bottom-space").classes("w-full asked")  # fmt: skip
    element.without_auto_validation()  # or what is told of a value goes as soon as that is written
    if about:
        element.props["hint"] = in_unit(about, unit)
    return element
