"""A servo from eight answers with callipers: what is asked, the nearest class, the rest of it."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from mounts.errors import Fault, InputError
from mounts.inputs.load import sound_part
from mounts.inputs.servo import Servo
from mounts.units import length_mm

Sample = dict[str, Any]
"""Fields of a servo as measured on one specimen."""


@dataclass(frozen=True)
class Question:
    """One thing that is measured.

    Attributes:
        key: short name.
        asks: one line.
        fields: of the servo that the numbers of an answer are, in their order.
        example: an answer.
        drawing: where the callipers go; the marks are the letters in ``asks``.
        several: one field takes any number of lengths.
        word: a choice that stands before the lengths, its field and its values.
    """

    key: str
    asks: str
    fields: tuple[str, ...]
    example: str
    drawing: tuple[str, ...]
    several: bool = False
    word: tuple[str, tuple[str, ...]] | None = None


QUESTIONS = (
    Question(
        "case", "the case without ears and boss: length a x width b x height c",
        ("case_length_mm", "case_width_mm", "case_height_mm"), "22.6 x 12.2 x 22.6",
        ("    from the side           from above",
         "         _|_ boss",
         "      .-------.  -.-        .-------.  -.-",
         "    ==|       |==  |        | (o)   |   b",
         "      |       |    c        '-------'  -'-",
         "      '-------'  -'-",
         "      |<- a ->|"),
    ),
    Question(
        "ears", "end to end of both ears d x middle to middle of their holes e", ("flange_span_mm",
        "flange_hole_spacing_mm"), "32.2 x 27.5",
        ("     |<------- d ------->|",
         "     .----.-------.-----.",
         "     | o  | (o)   |  o  |     from above",
         "     '----'-------'-----'",
         "       |<---- e ----->|",
         "     e: hole edge to hole edge on the same side of both, left to left"),
    ),
    Question(
        "height", "bottom of the case to the underside of the ears f", ("flange_underside_height_mm",), "15.8",
        ("         _|_",
         "      .-------.",
         "    ==|       |==   the face of the ear towards the cable's end",
         "   -.-|       |-.-",
         "    f |       | f",
         "   -'-'-------'-'-"),
    ),
    Question(
        "shaft", "end of the case at the shaft to the middle of the shaft g", ("shaft_offset_mm",), "6.0",
        ("        |<-g->|",
         "        .------------.",
         "     o  |    (o)     |  o    to the near edge of the spline,",
         "        '------------'       and half the spline's width more"),
    ),
    Question(
        "boss", "the round boss under the spline: diameter h x height above the case k", ("boss_mm",
        "boss_height_mm"), "11.7 x 4.1",
        ("           ||      <- spline: not counted",
         "         .----.   -.-",
         "         |    |    k",
         "      .--'----'--.-'-",
         "         |<-h->|"),
    ),
    Question(
        "arm", "underside of the ears to the outer face of the arm, pushed home m", ("horn_plane_height_mm",), "15.4",
        ("       ======.===  -.-   outer face of the arm",
         "            ||      |",
         "       .----'--.    m",
         "     ==|       |== -'-   underside of the ears",
         "       |       |"),
    ),
    Question(
        "holes", "shaft's middle to the middle of each hole of the arm n, inner one first", ("horn_radii_mm",),
        "5 7 9 11 13 15",
        ("      .---.----------.",
         "      | O |  o  o  o  )",
         "      '---'----------'",
         "        |<-n1>|",
         "        |<--n2--->|",
         "        |<--- n3 ---->|"),
        several=True,
    ),
    Question(
        "cable", "where the cable leaves: near (the shaft's end) or far; its middle above the case's bottom p",
        ("cable_height_mm",), "near 4.5",
        ("         _|_",
         "      .-------.",
         "    ==|       |==",
         "   near       | far",
         "   ~~~|       |",
         "   -'-'-------'   p from the bottom"),
        word=("cable_end", ("near", "far")),
    ),
)  # fmt: skip

DECIDED_BY = 3
"""Answers after which the nearest class gives the rest."""

LABELS = {
    "case_length_mm": "the case's length", "case_width_mm": "the case's width", "case_height_mm": "the case's height",
    "flange_span_mm": "the span of the ears", "flange_hole_spacing_mm": "the spacing of the ears' holes",
    "flange_underside_height_mm": "the height of the ears", "shaft_offset_mm": "the shaft's distance",
    "boss_mm": "the boss's diameter", "boss_height_mm": "the boss's height", "horn_plane_height_mm": "the arm's height",
    "horn_radii_mm": "the arm's holes", "cable_height_mm": "the cable's height",
}  # fmt: skip
ALONE = ("case_length_mm", "case_width_mm", "case_height_mm", "flange_span_mm", "flange_underside_height_mm")


def read(question: Question, written: str) -> list[Sample]:
    """An answer as the samples it gives: several servos of a kind are parted by ``|``.

    Raises:
        InputError: it can't be read, or not so many lengths as are asked for.
    """
    return [_sample(question, part.strip()) for part in written.split("|")]


def _sample(question: Question, text: str) -> Sample:
    found: Sample = {}
    if question.word:
        field, words = question.word
        first, _, text = text.partition(" ")
        if first.casefold() not in words:
            raise InputError(Fault(f"must begin with {' or '.join(words)}, such as '{question.example}'", file=""))
        found[field] = first.casefold()
    parts = re.split(r"\s*;\s*|,\s+|\s+(?=\d)" if question.several else r"\s*[x×*;]\s*", text.strip(), flags=re.I)
    parts = [part for part in parts if part]
    if not question.several and len(parts) != len(question.fields):
        asked = "a length" if len(question.fields) == 1 else f"{len(question.fields)} lengths with x between"
        raise InputError(Fault(f"must be {asked}, such as '{question.example}'", file=""))
    if not parts:
        raise InputError(Fault(f"must be lengths, such as '{question.example}'", file=""))
    unit = re.search(r"[a-z\"']+$", parts[-1], re.IGNORECASE)
    if unit and not any(re.search(r"[a-z\"']", part, re.IGNORECASE) for part in parts[:-1]):
        parts = [*(f"{part} {unit[0]}" for part in parts[:-1]), parts[-1]]  # one unit for all
    lengths = []
    for part in parts:
        try:
            lengths.append(length_mm(part))
        except ValueError as fault:
            raise InputError(Fault(f"'{part}' {fault}", file="")) from None
    if question.several:
        found[question.fields[0]] = tuple(lengths)
    else:
        found |= dict(zip(question.fields, lengths, strict=True))
    return found


def nearest_class(measured: Mapping[str, Any], classes: Sequence[Servo]) -> Servo:
    """The class whose figures differ least from those measured, by ratio."""

    def off(servo: Servo) -> float:
        return sum(
            math.log(measured[field] / getattr(servo, field)) ** 2
            for field in ALONE if measured.get(field, 0) > 0
        )  # fmt: skip

    return min(classes, key=off)


def filled(measured: Mapping[str, Any], base: Servo) -> dict[str, Any]:
    """Every figure of a servo: what was measured, the rest of a class, moved with what it stands on.

    Spline and arm keep their distance from boss and arm's plane, and the arm is as long past its last hole.
    """
    figures = base.model_dump(mode="json", exclude={"name", "title", "source"}) | dict(measured)
    top = figures["case_height_mm"] - figures["flange_underside_height_mm"] + figures["boss_height_mm"]
    over = base.spline_top_height_mm - base.boss_top_height_mm
    if "horn_plane_height_mm" not in measured:
        figures["horn_plane_height_mm"] = top + base.horn_plane_height_mm - base.boss_top_height_mm
    room = figures["horn_plane_height_mm"] - top
    figures["horn_thickness_mm"] = min(base.horn_thickness_mm, max(0.8, room))
    figures["spline_top_height_mm"] = top + min(over, max(0.1, room))
    if "shaft_offset_mm" not in measured:
        figures["shaft_offset_mm"] = min(base.shaft_offset_mm, figures["case_length_mm"] / 2)
    if "flange_hole_spacing_mm" not in measured:
        share = (base.flange_hole_spacing_mm - base.case_length_mm) / (base.flange_span_mm - base.case_length_mm)
        figures["flange_hole_spacing_mm"] = figures["case_length_mm"] + share * (
            figures["flange_span_mm"] - figures["case_length_mm"]
        )
    figures["horn_length_mm"] = max(
        base.horn_length_mm, figures["horn_radii_mm"][-1] + base.horn_length_mm - base.horn_radii_mm[-1]
    )
    for name in ("horn_plane_height_mm", "spline_top_height_mm", "flange_hole_spacing_mm", "horn_length_mm"):
        figures[name] = round(figures[name], 3)
    return figures


def refusals(measured: Mapping[str, Any], base: Servo) -> list[str]:
    """What no servo can be, of the figures so far."""
    figures = filled(measured, base)
    whole = {**figures, "name": "new", "title": "new servo", "source": {"all": {"text": "measured", "mark": "S"}}}
    _, faults = sound_part(whole, Servo)
    return [str(fault.within(file="")) for fault in faults]


def joined(samples: Sequence[Sample]) -> tuple[Sample, dict[str, float]]:
    """One servo from several, and what the samples differ by.

    The case is as large as the largest, so that it goes in; all else is the mean.

    Returns:
        The fields; the whole difference, largest less smallest, of each that has one.
    """
    one: Sample = dict(samples[0])
    spread: dict[str, float] = {}
    for field, first in samples[0].items():
        values = [sample[field] for sample in samples if field in sample]
        if isinstance(first, str):
            continue
        if isinstance(first, tuple):
            rows = [row for row in values if len(row) == len(first)]
            one[field] = tuple(round(sum(column) / len(rows), 3) for column in zip(*rows, strict=True))
            continue
        differ = round(max(values) - min(values), 3)
        largest = field in ("case_length_mm", "case_width_mm")
        one[field] = max(values) if largest else round(sum(values) / len(values), 3)
        if differ:
            spread[field] = differ
    return one, spread
