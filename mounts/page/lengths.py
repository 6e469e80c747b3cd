"""Lengths in the unit that a person chose: as they are shown, and as a bare number is meant."""

from __future__ import annotations

import re

from mounts.units import MM_PER_IN, number

UNITS = {"mm": "millimetres", "in": "inches"}

_LENGTHS = re.compile(r"(?P<first>-?\d+(?:\.\d+)?)(?P<between> to | x | and )?(?P<second>-?\d+(?:\.\d+)?)? mm\b")
_BARE = re.compile(r"[-+]?[0-9]*[.,]?[0-9]+|[-+]?(?:[0-9]+[ -])?[0-9]+/[0-9]+")
NUMBER = re.compile(r"[-+]?[0-9]+(?:\.[0-9]+)?")
"""A number as a file has it."""


def in_unit(text: str, unit: str) -> str:
    """A text with its lengths in inches, where that is the unit.

    >>> in_unit("3 to 60 mm, arm hole 7 mm", "in")
    '0.118 to 2.362 in, arm hole 0.276 in'
    """
    if unit != "in":
        return text

    def inches(found: re.Match[str]) -> str:
        sizes = [number(float(found["first"]) / MM_PER_IN)]
        if found["second"] is None:
            return f"{sizes[0]}{found['between'] or ''} in"
        return f"{sizes[0]}{found['between'] or ''}{number(float(found['second']) / MM_PER_IN)} in"

    return _LENGTHS.sub(inches, text)


def meant(typed: str, unit: str) -> str:
    """A length as it was typed, with the unit that is meant where none is written; a bare number is mm elsewhere.

    >>> meant("1 1/2", "in"), meant("12", "mm"), meant("3 mm", "in")
    ('1 1/2 in', '12', '3 mm')
    """
    return f"{typed} in" if unit == "in" and _BARE.fullmatch(typed) else typed


def as_shown(written: str, unit: str) -> str:
    """A length of a file, where a bare number is mm, as it is shown.

    >>> as_shown("300", "in"), as_shown("300", "mm"), as_shown("12 in", "mm")
    ('11.811 in', '300', '12 in')
    """
    return in_unit(f"{written} mm" if unit == "in" and NUMBER.fullmatch(written) else written, unit)
