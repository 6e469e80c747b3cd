"""The font of books and contact sheets: DejaVu Sans, free to embed, which comes with matplotlib."""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path


@cache
def font_file(*, bold: bool = False) -> Path:
    """The font's file; matplotlib itself is not imported.

    Raises:
        ImportError: matplotlib is not installed, or lacks the file.
    """
    package = find_spec("matplotlib")
    places = package.submodule_search_locations if package else None
    file = (
        Path(next(iter(places or ()), "")) / "mpl-data" / "fonts" / "ttf" / f"DejaVuSans{'-Bold' if bold else ''}.ttf"
    )
    if not file.is_file():
        raise ImportError("the font DejaVu Sans of matplotlib is missing; install turnout-mounts anew")
    return file
