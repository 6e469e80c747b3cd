"""What looks wrong in an answer with callipers, and why: inches, turned digits, another thing measured."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from mounts.inputs.callipers import ALONE, LABELS, Question, Sample
from mounts.inputs.servo import Servo
from mounts.units import MM_PER_IN, number


def doubts(question: Question, sample: Sample, before: Mapping[str, Any], classes: Sequence[Servo]) -> list[str]:
    """What looks wrong in an answer, a sentence each: which measurement, and why.

    Args:
        question: that was answered.
        sample: the answer.
        before: what was measured so far, this question left out.
        classes: built-in servos, that measurements are compared with.
    """
    found = {field: said for field in question.fields if (said := _said(field, sample, before, classes))}
    if len(found) > 1:  # one that is wrong makes those beside it look so
        for field, said in found.items():
            rest = {key: value for key, value in sample.items() if key != field}
            if not any(_said(other, rest, before, classes) for other in question.fields if other != field):
                return [said]
    return list(found.values())


def _said(field: str, sample: Sample, before: Mapping[str, Any], classes: Sequence[Servo]) -> str | None:
    others = {**before, **{key: value for key, value in sample.items() if key != field}}
    value = sample[field]
    return _radii(value, _like(others, classes)) if isinstance(value, tuple) else _doubt(field, value, others, classes)


def _like(measured: Mapping[str, Any], classes: Sequence[Servo]) -> list[Servo]:
    """Classes that what was measured so far may belong to; all but the unlike where one answer is odd."""

    def strange(servo: Servo) -> int:
        fields = [field for field in ALONE if isinstance(measured.get(field), float)]
        return sum(abs(measured[field] - getattr(servo, field)) > _within(getattr(servo, field)) for field in fields)

    least = min(strange(servo) for servo in classes)
    known = sum(field in measured for field in ALONE)
    return [servo for servo in classes if strange(servo) == least] if known and least < max(1, known / 2) else []


def _within(size_mm: float) -> float:
    """By how much two servos of a class differ; common practice, no source: 0.6 mm, or 5 % of what is longer."""
    return max(0.6, 0.05 * size_mm)


def _doubt(field: str, size: float, others: Mapping[str, Any], classes: Sequence[Servo]) -> str | None:
    label, shown = LABELS[field], number(size)
    if size <= 0:
        return f"{label}, {shown} mm, must be more than 0"
    like = _like(others, classes)
    pool = like or list(classes)
    expected = [float(getattr(servo, field)) for servo in pool]
    wrong = f"{label}, {shown} mm, looks wrong: "
    fits = any(abs(size - value) <= _within(value) for value in expected)
    if not fits:
        for slip in (_unit, _mistaken, _digits):
            for servo in pool:
                if said := slip(field, size, servo, others):
                    return wrong + said
    if said := _impossible(field, size, others):
        return wrong + said
    if fits:
        return _ambiguous(field, size, others, like) if like else None
    ratios = [size / getattr(servo, field) for servo in classes]
    if min(ratios) > 1.6 or max(ratios) < 0.5:
        return f"{label}, {shown} mm, looks wrong: no class of servo is near it; write it again if it is so"
    if like and min(abs(math.log(size / value)) for value in expected) > math.log(1.3):
        near = min(expected, key=lambda value: abs(value - size))
        return (
            f"{label}, {shown} mm, looks wrong: servos like this have about {number(near)} mm; write it again if it "
            "is so"
        )
    return None


def _impossible(field: str, size: float, others: Mapping[str, Any]) -> str | None:
    """What can't be, whatever the class."""
    case, width, high = (others.get(f"case_{name}_mm") for name in ("length", "width", "height"))
    span, under = others.get("flange_span_mm"), others.get("flange_underside_height_mm")
    rules = {
        "case_width_mm": (case and size > case, "it is more than the case's length; are the two exchanged?"),
        "flange_span_mm": (case and size <= case + 2, "the ears reach past the case; was the case measured alone?"),
        "flange_hole_spacing_mm": (
            (span and size >= span) or (case and size <= case),
            "the holes lie between the ears' ends and the case; from hole to hole, middle to middle",
        ),
        "flange_underside_height_mm": (high and size >= high, "the ears lie below the top of the case; are the two "
                                       "exchanged, or was it measured from the other end?"),
        "shaft_offset_mm": (case and size > case / 2, "it is past the middle of the case; measure from the end that "
                            "is nearer to the shaft"),
        "boss_mm": (width and size > width + 1.5, "the boss is not wider than the case; was the case's length, or its "
                    "width with the ears, measured?"),
        "cable_height_mm": (high and size >= high, "the cable leaves below the top of the case; measure from the "
                            "bottom to the middle of the cable"),
        "horn_plane_height_mm": (
            high and under and size <= high - under, "the arm stands above the case's top, which is "
            f"{number((high or 0) - (under or 0))} mm above the ears' underside; measure from there, not from the case"
        ),
    }  # fmt: skip
    broken, said = rules.get(field, (False, ""))
    return said if broken else None


def _unit(field: str, size: float, servo: Servo, others: Mapping[str, Any]) -> str | None:
    """A unit, or the place of the point, that turns the number into the expected one."""
    del others
    value = float(getattr(servo, field))
    inches = f"it looks like inches: {number(size)} in are {number(size * MM_PER_IN)} mm; write '{number(size)} in'"
    slips = (
        (size * MM_PER_IN, inches),
        (size / MM_PER_IN, f"the number is mm and was written as inches: write {number(size / MM_PER_IN)}"),
        (size * 10, f"it looks like centimetres, or the point is one place off: {number(size * 10)} mm?"),
        (size / 10, f"the point is one place off, or missing: {number(size / 10)} mm?"),
    )
    return next((said for other, said in slips if abs(other - value) <= _within(value)), None)


def _mistaken(field: str, size: float, servo: Servo, others: Mapping[str, Any]) -> str | None:
    """Something else that was measured."""
    told = f"; servos like this have {number(getattr(servo, field))} mm"
    for confused, at in _confusions(field, servo, others):
        if abs(size - at) <= min(0.5, 0.02 * at + 0.25):
            return f"{confused}{told}"
    return None


def _digits(field: str, size: float, servo: Servo, others: Mapping[str, Any]) -> str | None:
    """Two digits exchanged, or one missing or doubled."""
    del others
    value = float(getattr(servo, field))
    for other in _turned(size):
        if abs(other - value) <= _within(value):
            return f"two digits may be exchanged: {number(other)} mm?"
    for other in _dropped(size):
        if abs(other - value) <= _within(value) / 2:
            return f"a digit may be missing or doubled: {number(other)} mm?"
    return None


def _confusions(field: str, servo: Servo, others: Mapping[str, Any]) -> Iterator[tuple[str, float]]:
    """What is measured in place of a thing, and what that gives."""

    def now(name: str) -> float:
        return float(others.get(name, getattr(servo, name)))

    high, under, length = now("case_height_mm"), now("flange_underside_height_mm"), now("case_length_mm")
    if field == "case_length_mm":
        yield "it is the length over both ears; measure the case alone", servo.flange_span_mm
    if field == "case_height_mm":
        yield (
            "it seems to include the boss; measure to the flat top of the case",
            servo.case_height_mm + now("boss_height_mm"),
        )
        yield (
            "it seems to include boss and spline; measure to the flat top of the case",
            servo.flange_underside_height_mm + servo.spline_top_height_mm,
        )
    if field == "case_width_mm":
        yield "it is the diameter of the boss; measure the case", servo.boss_mm
    if field == "flange_span_mm":
        yield "it is from hole to hole; measure end to end of the ears", servo.flange_hole_spacing_mm
    if field == "flange_hole_spacing_mm":
        yield (
            "it is between the inner edges of the holes; measure left edge to left edge",
            (servo.flange_hole_spacing_mm - servo.flange_hole_mm),
        )
        yield (
            "it is between the outer edges of the holes; measure left edge to left edge",
            (servo.flange_hole_spacing_mm + servo.flange_hole_mm),
        )
    if field == "flange_underside_height_mm":
        yield (
            "it is to the upper face of the ears; measure to their underside",
            (servo.flange_underside_height_mm + servo.flange_thickness_mm),
        )
        yield "it is from the top of the case; measure from the bottom", high - servo.flange_underside_height_mm
    if field == "shaft_offset_mm":
        yield (
            "it is from the other end of the case; measure from the end nearer to the shaft",
            (length - servo.shaft_offset_mm),
        )
        yield (
            "it is from the end of the ear; measure from the case",
            servo.shaft_offset_mm + (now("flange_span_mm") - length) / 2,
        )
        yield (
            "it is to the near edge of the spline; add half the spline's width",
            (servo.shaft_offset_mm - servo.spline_mm / 2),
        )
    if field == "boss_mm":
        yield "it is the spline; measure the round boss below it", servo.spline_mm
        yield "it is half of it; measure the diameter", servo.boss_mm / 2
    if field == "boss_height_mm":
        yield "it includes the spline; measure the boss alone", (servo.spline_top_height_mm - servo.case_top_height_mm)
    if field == "horn_plane_height_mm":
        yield (
            "it is from the bottom of the case; measure from the underside of the ears",
            (servo.horn_plane_height_mm + under),
        )
        yield (
            "it is from the top of the case; measure from the underside of the ears",
            (servo.horn_plane_height_mm - (high - under)),
        )
        yield (
            "it is from the upper face of the ears; measure from their underside",
            (servo.horn_plane_height_mm - servo.flange_thickness_mm),
        )
        yield (
            "it is to the arm's inner face; measure to the outer one",
            (servo.horn_plane_height_mm - servo.horn_thickness_mm),
        )
    if field == "cable_height_mm":
        yield "it is from the top of the case; measure from the bottom", high - servo.cable_height_mm
        yield "it is from the underside of the ears; measure from the bottom", under - servo.cable_height_mm


def _ambiguous(field: str, size: float, others: Mapping[str, Any], like: Sequence[Servo]) -> str | None:
    """A height of the ears that one class has, and another as well if the wrong face was measured."""
    if field != "flange_underside_height_mm":
        return None
    for servo in like:
        over = servo.flange_underside_height_mm + servo.flange_thickness_mm
        if abs(size - over) <= 0.4 and abs(size - servo.flange_underside_height_mm) > _within(size):
            other = min(like, key=lambda each: abs(each.flange_underside_height_mm - size))
            return (
                f"{LABELS[field]}, {number(size)} mm, may be wrong: {other.title} has its ears there, and on "
                f"{servo.title} it is the upper face of the ears; measure to the underside, and write it again if it "
                "is so"
            )
    return None


def _radii(radii: Sequence[float], like: Sequence[Servo]) -> str | None:
    label = LABELS["horn_radii_mm"]
    shown = " ".join(number(radius) for radius in radii)
    if any(radius <= 0 for radius in radii):
        return f"{label}, {shown} mm, must be more than 0"
    if any(after <= before for before, after in pairwise(radii)):
        return f"{label}, {shown} mm, look wrong: each lies farther out than the one before; are two exchanged?"
    least, most = 2.0, 30.0
    if radii[-1] < least:
        return f"{label}, {shown} mm, look wrong: they look like inches; write '{shown} in', or the point is off"
    if radii[-1] > most:
        return f"{label}, {shown} mm, look wrong: no arm is so long; is the point one place off?"
    if like and radii[0] > 0 and max(servo.horn_radii_mm[-1] for servo in like) * 1.7 < radii[-1]:
        return f"{label}, {shown} mm, look wrong: measured across both arms? from the middle of the shaft to each hole"
    if radii[0] < 3.0:
        return f"{label}, {shown} mm, look wrong: the first would lie under the screw; from the middle of the shaft"
    gaps = [after - before for before, after in pairwise(radii)]
    if len(gaps) > 2 and max(gaps) > 2.5 * sorted(gaps)[len(gaps) // 2]:
        at = gaps.index(max(gaps)) + 1
        return (
            f"{label}, {shown} mm, look wrong: {number(radii[at])} is {number(max(gaps))} mm past the one before, the "
            "others stand closer; was one left out, or a digit exchanged?"
        )
    return None


def _turned(size: float) -> Iterator[float]:
    """The number with two neighbouring digits exchanged, the point left where it is."""
    text = number(size, 2)
    places = [index for index, sign in enumerate(text) if sign.isdigit()]
    for one, other in pairwise(places):
        signs = list(text)
        signs[one], signs[other] = signs[other], signs[one]
        if signs[one] != signs[other]:
            yield float("".join(signs))


def _dropped(size: float) -> Iterator[float]:
    """The number with its first digit doubled, and with it left out."""
    text = number(size, 2)
    yield float(text[0] + text)
    if len(text.split(".")[0]) > 2:
        yield float(text[1:])
