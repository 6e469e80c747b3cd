"""The whole book, or a mount's chapter by itself, as PDF."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from mounts.book.beds import Load, silhouette
from mounts.book.flow import Flow
from mounts.book.front import controller_page, cover, mount_list, printing, shopping
from mounts.book.mount import Chapter, write_chapter
from mounts.book.sheets import PaperName, Sheets
from mounts.inputs.layout import BoardTable
from mounts.report.controller import Controller
from mounts.report.layout import LayoutReport


@dataclass(frozen=True)
class Book:
    """What a book is made from.

    Attributes:
        layout: the report of the layout; its ``files`` are not asked for.
        boards: of the layout by name.
        chapters: of the mounts that were made, in order, numbered from 1.
        loads: plates in order.
        controller: the sheet.
    """

    layout: LayoutReport
    boards: Mapping[str, BoardTable]
    chapters: Sequence[Chapter]
    loads: Sequence[Load]
    controller: Controller


def render_book(book: Book, paper: PaperName) -> bytes:
    """Every page: cover and plan, mounts, shopping, printing, controller, and a chapter a mount."""
    sheets = Sheets(paper, book.layout.name)
    flow = Flow(sheets, book.layout.name)
    cover(flow, book.layout, book.boards, book.chapters)
    mount_list(flow, book.layout, book.chapters)
    shopping(flow, book.layout, book.chapters)
    parts = {(chapter.report.mount.id, mesh.name): mesh for chapter in book.chapters for mesh in chapter.meshes}
    brims = {
        (chapter.report.mount.id, part.name): part.brim_mm for chapter in book.chapters for part in chapter.report.parts
    }
    printing(flow, book.layout, book.loads, {key: silhouette(mesh) for key, mesh in parts.items()}, brims)
    controller_page(flow, book.controller)
    for chapter in book.chapters:
        write_chapter(sheets, chapter)
    return sheets.done()


def render_chapter(chapter: Chapter, paper: PaperName) -> bytes:
    """One mount's pages."""
    sheets = Sheets(paper, chapter.report.mount.id)
    write_chapter(sheets, chapter)
    return sheets.done()
