"""A servo of one's own: eight measurements with their drawings, doubts told, the rest of the nearest class."""

from __future__ import annotations

from textwrap import dedent
from typing import Any

from nicegui import ui

from mounts.errors import Fault, InputError
from mounts.export.commit import publish
from mounts.inputs.callipers import (
    DECIDED_BY,
    QUESTIONS,
    Question,
    Sample,
    filled,
    joined,
    nearest_class,
    read,
    refusals,
)
from mounts.inputs.doubts import doubts
from mounts.inputs.measured import classes, profile, samples_of, together
from mounts.inputs.request import safe_name
from mounts.inputs.write import write_toml
from mounts.page.address import FIRST, address
from mounts.page.screen.frame import card, framed
from mounts.page.shelf import Shelf

_LONGEST = 200  # characters of an answer


class ServoDesk:
    """One visitor's measurements.

    Args:
        shelf: whose folder the profile goes to.
    """

    def __init__(self, shelf: Shelf) -> None:
        self.shelf = shelf
        self.written: dict[str, str] = {}
        self.inputs: dict[str, Any] = {}
        framed("Own servo", "/servo", "mm")
        with ui.element("div").classes("bench"):
            with card("Measure it").classes("stays"):
                ui.label(
                    "Callipers in mm, or write the unit: 0.89 in. Of several servos write each, with | between. "
                    "After three answers what is left out is of the nearest class."
                )
                self.name = ui.input(label="name of the profile", value="my-servo").props(
                    "dense outlined maxlength=64"
                ).classes("w-full mt-2")  # fmt: skip
                self.near = ui.label("").classes("status mt-2").props("role=status aria-live=polite")
                self.faults = ui.element("div")
                self.save = ui.button("Save it in the folder", on_click=self._save).props("outline no-caps")
                self.save.disable()
                self.saved = ui.element("div")
            with ui.element("div").classes("results"):
                for number, question in enumerate(QUESTIONS, start=1):
                    with card(f"{number} of {len(QUESTIONS)}: {question.key}"):
                        self._draw(question)
        self._look()

    def _draw(self, question: Question) -> None:
        ui.label(question.asks)
        with ui.element("pre").classes("drawing").props("tabindex=0 role=img") as drawing:
            drawing.props["aria-label"] = f"where the callipers go: {question.asks}"
            ui.html(_escaped(dedent("\n".join(question.drawing))), sanitize=False, tag="span")
        element = ui.input(
            label=f"{question.key}, such as {question.example}", validation=None,
            on_change=lambda event: self._answered(question.key, str(event.value or "")),
        ).props(f"dense outlined debounce=300 maxlength={_LONGEST} hide-bottom-space")  # fmt: skip
        # or what is told of an answer goes as soon as that is read
        self.inputs[question.key] = element.classes("w-full mt-2").without_auto_validation()

    def _answered(self, key: str, text: str) -> None:
        self.written[key] = text.strip()[:_LONGEST]
        self._look()

    def _look(self) -> None:
        """Reads every answer, and says of each what is doubtful."""
        answers, unread = self._answers()
        count = sum(bool(answer) for answer in answers)
        self.faults.clear()
        self.save.set_enabled(False)
        if unread or count < DECIDED_BY or not all(answers[:DECIDED_BY]):
            self.near.text = f"{count} of {len(QUESTIONS)} answered; the first {DECIDED_BY} decide the class"
            return
        base = nearest_class(together(answers), classes(self.shelf.library))
        self.near.text = f"nearest class: {base.name}, {base.title}"
        figures, _ = joined(samples_of(answers))
        refused = refusals(figures, base)
        with self.faults:
            for line in refused:
                with ui.element("div").classes("told"):
                    ui.label(line).classes("says")
        self.save.set_enabled(not refused)

    def _answers(self) -> tuple[list[list[Sample]], bool]:
        known = classes(self.shelf.library)
        answers: list[list[Sample]] = []
        unread = False
        for question in QUESTIONS:
            said: list[str] = []
            samples: list[Sample] = []
            if text := self.written.get(question.key, ""):
                try:
                    samples = read(question, text)
                    before = together(answers)
                    said = [line for sample in samples for line in doubts(question, sample, before, known)]
                except InputError as fault:
                    said, unread = list(fault.lines), True
            self.inputs[question.key].error = "; ".join(said) or None
            answers.append(samples)
        return answers, unread

    def _save(self) -> None:
        try:
            file = self._published()
        except InputError as error:
            self.near.text = "; ".join(error.lines)
            return
        self.shelf.reread()
        self.saved.clear()
        with self.saved:
            ui.label(f"saved as {file} in {self.shelf.folder}").props("role=status")
            ui.link("See a mount for it", address({**FIRST, "servo": file}))

    def _published(self) -> str:
        """Writes the profile, and gives the name of its file."""
        name = str(self.name.value or "")
        try:
            safe_name(name)
        except ValueError as error:
            raise InputError(Fault(str(error), ("name",), repr(name), file="")) from None
        file = f"{name}.toml"
        if (self.shelf.folder / file).exists() or name in self.shelf.library.names("servo"):
            raise InputError(Fault("is there already; choose another name", ("name",), repr(name), file=""))
        answers, _ = self._answers()
        rows = samples_of(answers)
        figures, spread = joined(rows)
        base = nearest_class(figures, classes(self.shelf.library))
        data = profile(figures, filled(figures, base), spread, base, None, len(rows))
        publish(self.shelf.folder, {file: write_toml(data).encode()})
        return file


def _escaped(text: str) -> str:
    from html import escape

    return escape(text)
