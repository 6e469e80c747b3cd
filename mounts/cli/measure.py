"""``mounts profiles new servo NAME``: eight questions with a drawing each, and a profile of what was measured."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

from mounts.cli.prompt import answered
from mounts.errors import Fault, InputError

if TYPE_CHECKING:
    from mounts.inputs.callipers import Question, Sample
    from mounts.inputs.library import Library
    from mounts.inputs.servo import Servo


def measured_servo(library: Library, title: str | None) -> dict[str, Any]:
    """The tables of a servo's profile, asked for one by one; nothing is written.

    ``b`` goes back to the answer before. From the fourth question on Enter leaves it to the nearest class. An answer
    that looks wrong is asked for again with the reason; written a second time it is taken, unless no servo can be so.

    Raises:
        InputError: nobody answers.
    """
    from mounts.inputs.callipers import DECIDED_BY, QUESTIONS, filled, joined, nearest_class, refusals
    from mounts.inputs.doubts import doubts
    from mounts.inputs.measured import classes, profile, samples_of, together

    known = classes(library)
    answers: list[list[Sample]] = []
    at, doubted = 0, ""
    _say("Callipers in mm, or write the unit: 0.89 in. Of several servos of a kind write each, | between them.",
         "b goes back; Ctrl-C ends it, and nothing is written.")  # fmt: skip
    while at < len(QUESTIONS):
        question = QUESTIONS[at]
        before = together(answers[:at])
        base = nearest_class(before, known) if at >= DECIDED_BY else None
        line = _ask(question, at, base)
        if line == "b":
            at, doubted = max(0, at - 1), ""
            answers = answers[:at]
            continue
        if not line and base is not None:
            answers.append([])
            at, doubted = at + 1, ""
            continue
        samples, found = _read(question, line)
        if samples and not found:
            found = [said for sample in samples for said in doubts(question, sample, before, known)]
            whole = {**before, **joined(samples)[0]}
            if base is not None or at == DECIDED_BY - 1:
                found_hard = refusals(whole, nearest_class(whole, known))
                hard = [said for said in found_hard if any(said.startswith(field) for field in question.fields)]
                if hard:
                    _say(*(found or hard))
                    continue
            if found and line != doubted:
                _say(*found)
                doubted = line
                continue
        elif found:
            _say(*found)
            continue
        answers.append(samples)
        at, doubted = at + 1, ""
        if at == DECIDED_BY:
            near = nearest_class(together(answers), known)
            _say(f"nearest class: {near.name}, {near.title}; Enter takes its figure")
    base = nearest_class(together(answers), known)
    figures, spread = joined(samples_of(answers))
    whole = filled(figures, base)
    told = refusals(figures, base)
    if told:
        raise InputError(*(Fault(said, file="") for said in told))
    return profile(figures, whole, spread, base, title, len(samples_of(answers)))


def _ask(question: Question, at: int, base: Servo | None) -> str:
    """One answer; the question stands with its drawing above it."""
    from mounts.inputs.callipers import QUESTIONS

    _say("", f"{at + 1} of {len(QUESTIONS)}  {question.key}: {question.asks}", *question.drawing)
    usual = ""
    if base is not None:
        shown = [getattr(base, field) for field in question.fields]
        text = " x ".join(" ".join(f"{v:g}" for v in value) if isinstance(value, tuple) else f"{value:g}"
                          for value in shown)  # fmt: skip
        word = f"{getattr(base, question.word[0])} " if question.word else ""
        usual = f" [{word}{text}]"
    unanswered = Fault("must be given where nobody answers; or give each figure with --set", ("set",))
    return answered(f"{question.key}, such as {question.example}{usual}: ", unanswered)


def _read(question: Question, line: str) -> tuple[list[Sample], list[str]]:
    from mounts.inputs.callipers import read

    try:
        return read(question, line), []
    except InputError as fault:
        return [], list(fault.lines)


def _say(*lines: str) -> None:
    from mounts.units import wrapped

    for line in lines:
        drawn = line.startswith(" ") or not line
        print(*([line] if drawn else wrapped(line, 79)), sep="\n", file=sys.stderr)
