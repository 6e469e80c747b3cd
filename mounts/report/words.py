"""Rows of a terminal, and figures as people say them."""

from __future__ import annotations

import re
import textwrap

from mounts.units import number

WIDE = 80  # columns of a terminal, and of a sheet that is printed from it
LABEL = 9  # of a label and what parts it from its text


def duration(minutes: float) -> str:
    """A time as people say it.

    >>> duration(47.4), duration(87.0), duration(600.0)
    ('47 min', '1 h 25 min', '10 h')
    """
    if minutes < 60:
        return f"{max(minutes, 1.0):.0f} min"
    hours, rest = divmod(round(minutes / 5) * 5, 60)
    return f"{hours} h {rest} min" if rest and hours < 10 else f"{round(minutes / 60)} h"


def mass_words(grams: float) -> str:
    """Grams, to a tenth where they are few."""
    return f"{number(grams, 0 if grams >= 10 else 1)} g"


def short(caution: str) -> str:
    """A caution up to its first stop: the rest stands in the steps."""
    first = re.split(r"[.:;,] |\.$", caution, maxsplit=1)[0]
    return first[0].lower() + first[1:]


def row(label: str, text: str) -> list[str]:
    """A label and a text beside it, folded to ``WIDE``."""
    return textwrap.wrap(
        text,
        WIDE,
        initial_indent=label.ljust(LABEL),
        subsequent_indent=" " * LABEL,
        break_on_hyphens=False,
        break_long_words=False,
    )
