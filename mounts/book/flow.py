"""A column of headings, paragraphs and tables that goes on from page to page."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from mounts.book.sheets import BARS, BLACK, GREY, LEADING, LIGHT, TEXT_MM, Box, Sheets, folded, png_size, width_mm

LEFT_MM, RIGHT_MM, TOP_MM, BOTTOM_MM = 15.0, 12.0, 12.0, 12.0  # printers of the home leave up to 6 mm white
_HEAD_MM = 9.0  # of a page, over the text
_BARS_MM = 15.0  # what both bars take
_CELL_MM = 1.2  # white at the sides of a cell; by eye
_AFTER_MM = 1.2  # a paragraph
_APART_MM, _MARK_MM, _BESIDE_MM = 4.0, 4.0, 3.0  # of a list beside a picture: gap, indent, size
TRUE = "Print at 100 %, not to fit. Lay a rule on both bars before you drill or bend."


@dataclass(frozen=True)
class Column:
    """Of a table: its heading, its width as a share of the table's, and where its words stand."""

    head: str
    share: float
    right: bool = False


@dataclass(frozen=True)
class Cell:
    """Words of a table that lead somewhere, or stand out."""

    words: str
    link: str = ""
    bold: bool = False


@dataclass
class Flow:
    """Where the next thing goes, on pages with one running head.

    Attributes:
        sheets: drawn on.
        head: at the upper left of each page.
        corner: large, at its upper right.
        scaled: pages have the bars and what to do with them.
        y: what is above it is taken, mm.
    """

    sheets: Sheets
    head: str
    corner: str = ""
    scaled: bool = False
    y: float = field(default=0.0, init=False)

    @property
    def left(self) -> float:
        """Of the column."""
        return LEFT_MM

    @property
    def right(self) -> float:
        """Of the column."""
        return self.sheets.wide - RIGHT_MM

    @property
    def wide(self) -> float:
        """Of the column."""
        return self.right - self.left

    @property
    def bottom(self) -> float:
        """How low the column goes."""
        return BOTTOM_MM + (_BARS_MM if self.scaled else 0.0)

    @property
    def top(self) -> float:
        """Of a page's column."""
        return self.sheets.high - TOP_MM - _HEAD_MM

    @property
    def room(self) -> float:
        """What is left of this page."""
        return self.y - self.bottom

    def page(self) -> None:
        """Begins a page: the very first one, or the next."""
        if self.sheets.count > 1 or self.sheets.begun:
            self.sheets.turn()
        self.sheets.begun = True
        high = self.sheets.high
        corner_mm = width_mm(self.corner, 6.0, bold=True)
        number = f"page {self.sheets.count}"
        number_mm = width_mm(number, 2.8)
        room = self.wide - corner_mm - number_mm - 10.0
        head = next(folded(self.head, room, 2.8), "")
        self.sheets.text((self.left, high - TOP_MM - 2.8), head, size_mm=2.8, ink=GREY)
        self.sheets.text(
            (self.right - corner_mm - 4.0, high - TOP_MM - 2.8), number, size_mm=2.8, align="right", ink=GREY
        )
        if self.corner:
            self.sheets.text((self.right, high - TOP_MM - 5.0), self.corner, size_mm=6.0, bold=True, align="right")
        self.sheets.line([(self.left, high - TOP_MM - 6.5), (self.right, high - TOP_MM - 6.5)], ink=GREY)
        if self.scaled:
            self._bars()
        self.y = self.top

    def need(self, high_mm: float) -> None:
        """Goes to the next page where this one has less left."""
        if self.room < high_mm:
            self.page()

    def gap(self, high_mm: float) -> None:
        """Leaves some white."""
        self.y -= high_mm

    def title(self, words: str) -> None:
        """The large line over a chapter, folded."""
        for line in folded(words, self.wide - 2.0, 6.0, bold=True):
            self.y -= 6.0 * 1.2
            self.sheets.text((self.left, self.y), line, size_mm=6.0, bold=True)
        self.y -= 2.5

    def heading(self, words: str, *, keep_mm: float = 12.0) -> None:
        """A line over what follows, kept with so much of it."""
        self.need(min(5.0 + 2.5 + keep_mm, self.top - self.bottom))
        self.y -= 2.5 + 4.2
        self.sheets.text((self.left, self.y), words, size_mm=4.2, bold=True)
        self.y -= 1.6

    def paragraph(
        self, words: str, *, mark: str = "", size_mm: float = TEXT_MM, bold: bool = False, indent_mm: float = 0.0
    ) -> None:
        """Folded words, behind a mark where there is one; kept whole where a page takes them.

        Args:
            words: what is said.
            mark: before the first line.
            size_mm: of the font.
            bold: in the bold one.
            indent_mm: of the words.
        """
        lines = [*folded(words, self.wide - indent_mm, size_mm, bold=bold)]
        step = size_mm * LEADING
        self.need(min(step * len(lines) + _AFTER_MM, self.top - self.bottom))
        for at, line in enumerate(lines):
            self.need(step)
            self.y -= step
            if at == 0 and mark:
                self.sheets.text((self.left, self.y), mark, size_mm=size_mm, bold=True)
            self.sheets.text((self.left + indent_mm, self.y), line, size_mm=size_mm, bold=bold)
        self.y -= _AFTER_MM

    def numbered(self, sentences: Iterable[str]) -> None:
        """Paragraphs with numbers before them."""
        for count, words in enumerate(sentences, start=1):
            self.paragraph(words, mark=f"{count}", indent_mm=7.5)

    def listed(self, sentences: Iterable[str], *, mark: str = "–") -> None:
        """Paragraphs with a mark before them."""
        for words in sentences:
            self.paragraph(words, mark=mark, indent_mm=5.0)

    def table(
        self,
        columns: Sequence[Column],
        rows: Iterable[Sequence[Cell | str]],
        *,
        size_mm: float = 3.0,
        ruled: bool = True,
    ) -> None:
        """Rows of folded cells under headings that come again on every page.

        Args:
            columns: headings and widths; without any heading there is no such row.
            rows: a cell a column.
            size_mm: of the font.
            ruled: with a line under each row.
        """
        total = sum(column.share for column in columns)
        widths = [self.wide * column.share / total for column in columns]
        heads = [Cell(column.head, bold=True) for column in columns]
        headed = any(column.head for column in columns)
        waiting = headed
        for row in rows:
            cells = [cell if isinstance(cell, Cell) else Cell(cell) for cell in row]
            high = self._high(cells, widths, size_mm)
            head_mm = self._high(heads, widths, size_mm) if headed else 0.0
            if self.room < high + (head_mm if waiting else 0.0):
                self.page()
                waiting = headed
            if waiting:
                self.sheets.line(
                    [
                        (self.left, self.y), (self.right, self.y), (self.right, self.y - head_mm),
                        (self.left, self.y - head_mm),
                    ],
                    closed=True, ink=None, fill=LIGHT,
                )  # fmt: skip
                self._row(columns, heads, widths, size_mm, head_mm)
                waiting = False
            self._row(columns, cells, widths, size_mm, high)
            if ruled:
                self.sheets.line([(self.left, self.y), (self.right, self.y)], wide_mm=0.1, ink=GREY)
        self.y -= 1.5

    def pictured(self, pngs: Sequence[bytes], share: float, lists: Sequence[tuple[str, Sequence[str]]]) -> None:
        """Pictures over each other at the left and beside them as many lists as have room; others below, run on.

        Args:
            pngs: the pictures; none puts the lists over the whole width.
            share: of the column's width, for the pictures.
            lists: heading and sentences of each.
        """
        wide = self.wide * share
        heights = [wide * high / across for across, high in map(png_size, pngs)]
        x, room = self.left + wide + _APART_MM, self.wide - wide - _APART_MM - _MARK_MM
        step = _BESIDE_MM * LEADING
        self.need(sum(heights))
        y = self.y
        for png, high in zip(pngs, heights, strict=True):
            self.sheets.picture(png, Box(self.left, self.y - high, self.left + wide, self.y))
            self.y -= high
        for heading, sentences in lists:
            folds = [[*folded(words, room, _BESIDE_MM)] for words in sentences]
            if y - 8.0 - sum(len(lines) * step + 0.8 for lines in folds) < self.y:
                self.heading(heading)
                self.paragraph("; ".join(sentences))
                y = -math.inf  # the lists stay in order
                continue
            y -= 6.5
            self.sheets.text((x, y), heading, size_mm=4.2, bold=True)
            y -= 1.5
            for lines in folds:
                self.sheets.text((x, y - step), "–", size_mm=_BESIDE_MM, bold=True)
                for line in lines:
                    y -= step
                    self.sheets.text((x + _MARK_MM, y), line, size_mm=_BESIDE_MM)
                y -= 0.8

    def listed_beside(self, high_mm: float, aside_mm: float, draw: Callable[[Box], None], words: Sequence[str]) -> None:
        """Something of a height at the left, and short lines beside it, in columns of their own below where too many.

        Args:
            high_mm: of what is drawn.
            aside_mm: from the left edge to the lines.
            draw: it, at the upper left of a box.
            words: the lines, folded.
        """
        self.need(high_mm)
        draw(Box(self.left, self.y - high_mm, self.right, self.y))
        step, y, used = _BESIDE_MM * LEADING, self.y, 0
        for each in words:
            lines = [*folded(each, self.right - self.left - aside_mm, _BESIDE_MM)]
            if y - len(lines) * step < self.y - high_mm:
                break
            for line in lines:
                y -= step
                self.sheets.text((self.left + aside_mm, y), line, size_mm=_BESIDE_MM)
            used += 1
        self.y -= high_mm + 1.5
        if words[used:]:
            self.paragraph("; ".join(words[used:]), size_mm=_BESIDE_MM)

    def beside(self, high_mm: float, draw: Callable[[Box], None]) -> None:
        """Something of a height, drawn over the whole width."""
        self.need(high_mm)
        draw(Box(self.left, self.y - high_mm, self.right, self.y))
        self.y -= high_mm

    def _high(self, cells: Sequence[Cell], widths: Sequence[float], size_mm: float) -> float:
        lines = max(
            sum(1 for _ in folded(cell.words, wide - 2 * _CELL_MM, size_mm, bold=cell.bold))
            for cell, wide in zip(cells, widths, strict=True)
        )
        return max(lines, 1) * size_mm * LEADING + 1.6

    def _row(
        self, columns: Sequence[Column], cells: Sequence[Cell], widths: Sequence[float], size_mm: float, high_mm: float
    ) -> None:
        x = self.left
        for column, cell, wide in zip(columns, cells, widths, strict=True):
            y = self.y - 0.3
            for line in folded(cell.words, wide - 2 * _CELL_MM, size_mm, bold=cell.bold):
                y -= size_mm * LEADING
                at = (x + wide - _CELL_MM if column.right else x + _CELL_MM, y)
                self.sheets.text(at, line, size_mm=size_mm, bold=cell.bold, align="right" if column.right else "left")
            if cell.link:
                self.sheets.link(Box(x, self.y - high_mm, x + wide, self.y), cell.link)
            x += wide
        self.y -= high_mm

    def _bars(self) -> None:
        """Both bars at the foot, one over the other, and what they are for beside them."""
        for at, (length, name) in enumerate(BARS):
            y = BOTTOM_MM + 9.5 - 6.5 * at
            self.sheets.line([(self.left, y), (self.left + length, y)], wide_mm=0.3)
            for end in (self.left, self.left + length):
                self.sheets.line([(end, y - 1.5), (end, y + 1.5)], wide_mm=0.3)
            self.sheets.text((self.left + length + 2.0, y - 1.0), name, size_mm=2.8)
        x = self.left + BARS[1][0] + 20.0
        y = BOTTOM_MM + 11.5
        for line in folded(TRUE, self.right - x, 2.8, bold=True):
            y -= 2.8 * LEADING
            self.sheets.text((x, y), line, size_mm=2.8, bold=True, ink=BLACK)
