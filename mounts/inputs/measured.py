"""A servo's profile from answers with callipers: the table that is written, and what the nearest class gave."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from mounts.errors import Fault, InputError
from mounts.inputs.callipers import Sample, joined
from mounts.inputs.library import Library
from mounts.inputs.servo import Servo


def classes(library: Library) -> list[Servo]:
    """The built-in servos.

    Raises:
        InputError: there are none.
    """
    found = [library.servo(name) for name in library.names("servo")
             if not library.origin("servo", name).is_relative_to(library.own)]  # fmt: skip
    if not found:
        raise InputError(Fault("there are no built-in servos to compare with", file=""))
    return found


def samples_of(answers: Sequence[Sequence[Sample]]) -> list[Sample]:
    """The first samples of all answers together, the second, and so on."""
    count = max((len(samples) for samples in answers), default=0)
    rows: list[Sample] = []
    for index in range(count):
        row: Sample = {}
        for samples in answers:
            if index < len(samples):
                row |= samples[index]
        rows.append(row)
    return rows


def together(answers: Sequence[Sequence[Sample]]) -> Sample:
    """All answers as one servo."""
    rows = samples_of(answers)
    return joined(rows)[0] if rows else {}


def profile(
    figures: Sample, whole: dict[str, Any], spread: dict[str, float], base: Servo, title: str | None, samples: int
) -> dict[str, Any]:
    """The tables of the profile.

    Args:
        figures: what was measured.
        whole: every figure, by ``callipers.filled``.
        spread: by what the samples differ.
        base: the class that the rest is of.
        title: one line for a list; None: the class's.
        samples: how many were measured.
    """
    same = base.model_dump(mode="json")
    changed = {key: value for key, value in whole.items() if key in figures or value != same[key]}
    known = {"case_length_spread_mm", "case_width_spread_mm", "tolerance_mm", *figures}
    rest = [key for key in whole if key not in known]
    for field in ("case_length_mm", "case_width_mm"):
        changed[field.replace("_mm", "_spread_mm")] = spread.get(field, 0.0)
    others = [size / 2 for field, size in spread.items() if not field.startswith(("case_length", "case_width"))]
    if others and max(others) > base.tolerance_mm:
        changed["tolerance_mm"] = round(max(others), 3)
    differ = "".join(f"; {field} differs by {size:g} mm" for field, size in spread.items())
    text = f"own measurement of {samples} with callipers: {', '.join(figures)}{differ}"
    return {
        "title": title or f"{base.title}, measured",
        "extends": base.name,
        **{key: list(value) if isinstance(value, tuple) else value for key, value in changed.items()},
        "source": {
            "measured": {"text": text, "mark": "S", "figures": [key for key in changed if key not in rest]},
            "not_measured": {
                "text": f"of {base.name}, not measured: {', '.join(rest)}",
                "mark": "I",
                "figures": [key for key in changed if key in rest],
            },
        },
    }
