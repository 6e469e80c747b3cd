"""A PDF as pdfplumber measures it: lines, circles and words in mm, y upwards from the lower left corner."""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import pdfplumber

MM = 25.4 / 72


@dataclass(frozen=True)
class Word:
    """A run of signs between blanks, and its box."""

    text: str
    left: float
    bottom: float
    right: float
    top: float
    size: float


class Page:
    """One page, measured."""

    def __init__(self, page: pdfplumber.page.Page) -> None:
        self.page, self.wide, self.high = page, page.width * MM, page.height * MM

    @cached_property
    def paths(self) -> list[np.ndarray]:
        """Every line, polygon and curve as its points (n, 2)."""
        found = [*self.page.lines, *self.page.curves, *self.page.rects]
        return [np.array([(x * MM, self.high - y * MM) for x, y in each["pts"]]) for each in found]

    def drawn(self, wide_mm: float) -> list[np.ndarray]:
        """Points of the lines that are so wide."""
        found = [*self.page.lines, *self.page.curves, *self.page.rects]
        wide = [abs(each["linewidth"] * MM - wide_mm) < 0.01 for each in found]
        return [path for path, is_so in zip(self.paths, wide, strict=True) if is_so]

    @cached_property
    def circles(self) -> np.ndarray:
        """Centre and diameter of each circle, (n, 3)."""
        round_ones = []
        for each in self.page.curves:
            kinds = [step[0] for step in each["path"]]
            wide, high = each["x1"] - each["x0"], each["y1"] - each["y0"]
            if kinds.count("c") == 4 and abs(wide - high) < 0.01:
                middle = (each["x0"] + each["x1"]) / 2, (each["y0"] + each["y1"]) / 2
                round_ones.append([middle[0] * MM, middle[1] * MM, wide * MM])
        return np.array(round_ones).reshape(-1, 3)

    @cached_property
    def words(self) -> list[Word]:
        """Every word, from its own signs; the box is that of capitals and descenders, not of the line."""
        found = self.page.extract_words(keep_blank_chars=False, x_tolerance=1.0, extra_attrs=["size"])
        return [
            Word(
                each["text"], each["x0"] * MM, self.high - each["bottom"] * MM, each["x1"] * MM,
                self.high - each["top"] * MM, each["size"] * MM,
            )
            for each in found
        ]  # fmt: skip

    @cached_property
    def text(self) -> str:
        """The words as they are copied, blanks made one."""
        return " ".join((self.page.extract_text() or "").split())

    def length(self, path: np.ndarray) -> float:
        """Of a polyline."""
        return float(sum(np.hypot(*(b - a)) for a, b in pairwise(path)))


def pages(pdf: bytes) -> list[Page]:
    """Every page."""
    return [Page(page) for page in pdfplumber.open(io.BytesIO(pdf)).pages]
