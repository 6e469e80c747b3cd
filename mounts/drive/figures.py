"""A figure and the limit it breaks, written so that the figures show which is the larger."""

from __future__ import annotations

MOST_PLACES = 6  # what still looks alike with so many decimals is within the rounding of a check


def told_apart(value: float, limit: float, places: int) -> tuple[str, str]:
    """Both with the same number of decimals: ``places``, or as many more as it takes to tell them apart.

    >>> told_apart(0.1996, 0.2, 2), told_apart(61.0, 60.0, 0)
    (('0.1996', '0.2000'), ('61', '60'))
    """
    for more in range(places, MOST_PLACES):
        if round(value, more) != round(limit, more):
            places = more
            break
    return fixed(value, places), fixed(limit, places)


def fixed(value: float, places: int) -> str:
    """A figure with all its decimals, never ``-0.00``."""
    return f"{round(value, places) + 0.0:.{places}f}"
