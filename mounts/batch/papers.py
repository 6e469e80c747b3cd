"""What a layout has on paper and for its controller: the book, the contact sheet, channels and pulses."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from mounts.batch.bedloads import Bedload
from mounts.batch.unchanged import Wanted
from mounts.book.beds import Load
from mounts.book.book import Book, render_book
from mounts.book.mount import chapter_of
from mounts.inputs.read_layout import Layout, LayoutMount
from mounts.report.controller import Wired, controller
from mounts.report.controller_files import files as controller_files
from mounts.report.layout import LayoutReport
from mounts.report.model import Report
from mounts.units import number

_NEEDED = (".json", ".stl", ".png")  # of a mount's files: a thousand mounts are held at once


def papers(
    layout: Layout,
    report: LayoutReport,
    made: Sequence[tuple[LayoutMount, Report]],
    loads: Sequence[Bedload],
    files_of: Callable[[str, tuple[str, ...]], Mapping[str, bytes]],
    wanted: Wanted,
) -> dict[str, bytes]:
    """Files of the layout's folder by name.

    Args:
        layout: as read.
        report: of the layout; its own files are not asked for.
        made: mounts that came out well, with their reports, in order.
        loads: plates in order.
        files_of: a mount's files by its id and the ends of their names.
        wanted: whether there are pictures, and the pages of the book.

    Raises:
        OSError: a file of a mount is gone.
    """
    sheet = controller(
        layout.name, layout.header.outputs, [Wired(each, mount.channels, mount.together) for mount, each in made]
    )
    found = controller_files(sheet)
    if not made or not (wanted.picture or wanted.paper):
        return found
    contents = {mount.spec.id: files_of(mount.spec.id, _NEEDED) for mount, _ in made}
    if wanted.picture:
        from mounts.export.contact import contact_sheet

        found["layout.png"] = contact_sheet(
            [(mount_id, files[f"{mount_id}.png"]) for mount_id, files in contents.items()]
        )
    if wanted.paper:
        chapters = [
            chapter_of(contents[mount.spec.id], each, number=count, place=_place(mount))
            for count, (mount, each) in enumerate(made, start=1)
        ]
        beds = [Load(load.row, load.bed, load.plate) for load in loads]
        found["book.pdf"] = render_book(Book(report, layout.boards, chapters, beds, sheet), wanted.paper)
    return found


def _place(mount: LayoutMount) -> tuple[str, ...]:
    """Board and place, channel, copies, what it moves with."""
    told = []
    if site := mount.site:
        told.append(
            f"on {site.board}, tie bar's pin at x {number(site.x_mm, 1)}, y {number(site.y_mm, 1)} mm, track at "
            f"{number(site.heading_deg, 1)}°"
        )
    elif mount.board:
        told.append(f"on {mount.board}")
    many = len(mount.channels) > 1
    told.append(f"channel{'s' if many else ''} {', '.join(map(str, mount.channels))}")
    if mount.copies > 1:
        told.append(f"{mount.copies} alike")
    if mount.together:
        told.append(f"moves together with the others of {mount.together}")
    return tuple(told)
