"""Lengths as people write them, in mm and back. The only parser of lengths.

A small grammar of its own: what it does not know it refuses, because a general units library silently
reads ``1 1/2 in`` as 12.7 mm and ``12,5mm`` as 125 mm.

    length  = [sign] ( feet [inches] | number [unit] )
    number  = decimal | fraction | whole (space or hyphen) fraction
    decimal = digits [("." or ",") digits]
"""

from __future__ import annotations

import math
import re
import textwrap
import unicodedata
from fractions import Fraction

MM_PER_UNIT = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
    "thou": Fraction(254, 10_000),
}
"""Exact by definition since the international inch of 1959."""

MM_PER_IN = 25.4  # likewise

_SPELLINGS = {"inch": "in", "inches": "in", '"': "in", "''": "in", "foot": "ft", "feet": "ft", "'": "ft"}
_LOOKALIKES = str.maketrans(
    {"″": '"', "“": '"', "”": '"', "′": "'", "‘": "'", "’": "'", "⁄": "/", "−": "-", "–": "-", "‑": "-"}
)
_NUMBER = (
    r"(?:(?:(?P<whole>[0-9]+)(?:[ ]*-[ ]*|[ ]+))?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)"
    r"|(?P<decimal>[0-9]*[.,]?[0-9]+|[0-9]+[.]))"
)
_PLAIN = re.compile(rf"(?P<sign>[-+]?){_NUMBER}[ ]*(?P<unit>[a-z]+|\"|''?)?")
_FEET = re.compile(
    rf"(?P<sign>[-+]?)(?P<feet>[0-9]+)[ ]*(?:ft|foot|feet|')[ ]*-?[ ]*{_NUMBER}[ ]*(?:in|inch|inches|\"|'')"
)
HELD = "\N{NO-BREAK SPACE}"
_LONGEST = 40  # characters; a longer text is no length, and a bound keeps the arithmetic quick
_EXAMPLES = "must be a length such as 18, '18 mm', '0.032 in' or '1 1/2 in'"


def length_mm(value: object) -> float:
    """A length in mm: a number is mm, a string may carry a unit.

    Args:
        value: int or float in mm, or a string such as ``18 mm``, ``0.032 in``, ``3/4"``, ``1-1/2 in``,
            ``12,5 mm``, ``4' 6"`` or ``32 thou``. Without a unit a decimal number is mm.

    Returns:
        mm, finite, any sign.

    Raises:
        ValueError: not a length, a fraction without a unit, or a comma that could mean two things. The
            text begins with what is wrong or ``must``, to stand behind the value in an error line.

    >>> length_mm('1-1/2"'), length_mm("12,5 mm"), length_mm(18)
    (38.1, 12.5, 18.0)
    """
    if isinstance(value, str):
        return _finite(_parse(value))
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(_EXAMPLES)
    return _finite(value)


def number(value: float, places: int = 3) -> str:
    """A number to at most ``places`` decimals without trailing zeros, as error lines and lists write it.

    >>> number(12.50), number(-0.0001), number(1200.0)
    ('12.5', '0', '1200')
    """
    text = f"{round(value, places) + 0.0:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def text_mm(value: float, places: int = 3) -> str:
    """A length for people, which ``length_mm`` reads back to half a unit of the last place.

    >>> text_mm(38.1)
    '38.1 mm'
    """
    return f"{number(value, places)} mm"


def wrapped(text: str, columns: int, *, first: str = "", others: str = "") -> list[str]:
    """A paragraph in lines of so many columns, no number parted from its unit.

    Args:
        text: what is wrapped.
        columns: of the longest line, indents included.
        first: in front of the first line.
        others: in front of the others.

    >>> wrapped("a hole of 7 mm", 11)
    ['a hole of', '7 mm']
    """
    lines = textwrap.wrap(held(text), columns, initial_indent=first, subsequent_indent=others, break_on_hyphens=False)
    return [line.replace(HELD, " ") for line in lines]


def held(text: str) -> str:
    """The text with ``HELD`` in place of the blank between a number and its unit."""
    return re.sub(r"(?<=\d) (?=(?:mm|µs|N|°)\b)", HELD, text)


def _finite(value: int | float | Fraction) -> float:
    try:
        result = float(value)
    except OverflowError:
        result = math.inf
    if not math.isfinite(result):
        raise ValueError("must be a finite length")
    return result


def _parse(text: str) -> Fraction:
    plain = _normal(text)
    if not plain or len(plain) > _LONGEST:
        raise ValueError(_EXAMPLES)
    if feet := _FEET.fullmatch(plain):
        inches = _number(feet)
        if inches >= 12:
            raise ValueError("must have fewer than 12 inches beside the feet")
        return _signed(feet, int(feet["feet"]) * MM_PER_UNIT["ft"] + inches * MM_PER_UNIT["in"])
    found = _PLAIN.fullmatch(plain)
    if found is None:
        raise ValueError(_EXAMPLES)
    size = _number(found)
    spelling = found["unit"]
    if spelling is None:
        if found["top"]:
            raise ValueError(f"has no unit and looks like inches; write '{plain} in'")
        return _signed(found, size)
    unit = _SPELLINGS.get(spelling, spelling)
    if unit not in MM_PER_UNIT:
        raise ValueError(f"has an unknown unit '{spelling}'; use {', '.join(MM_PER_UNIT)}")
    return _signed(found, size * MM_PER_UNIT[unit])


def _normal(text: str) -> str:
    """Lower case, one kind of space, quote and dash; ¾ as `` 3/4``, so that 1¾ does not become 13/4."""
    spelled = ""
    for sign in text:
        if unicodedata.decomposition(sign).startswith("<fraction>"):
            spelled += " " + unicodedata.normalize("NFKC", sign)
        else:
            spelled += sign
    return " ".join(spelled.translate(_LOOKALIKES).lower().split())


def _signed(found: re.Match[str], size: Fraction) -> Fraction:
    return -size if found["sign"] == "-" else size


def _number(found: re.Match[str]) -> Fraction:
    if found["decimal"]:
        return _decimal(found["decimal"])
    top, bottom = int(found["top"]), int(found["bottom"])
    if bottom == 0:
        raise ValueError("divides by zero")
    if found["whole"] and top >= bottom:
        raise ValueError("must have a fraction below one behind the whole number")
    return int(found["whole"] or 0) + Fraction(top, bottom)


def _decimal(text: str) -> Fraction:
    before, comma, after = text.partition(",")
    # 1,250 is 1.25 here and 1250 there; 0,250 and 1250,125 can only be decimals
    if comma and len(after) == 3 and 1 <= len(before) <= 3 and before[0] != "0":
        raise ValueError(f"could mean {before}.{after} or {before}{after}; write it without the comma")
    return Fraction(text.replace(",", "."))
