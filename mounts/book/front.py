"""What stands before the mounts: plan, list, shopping, printing, controller."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from mounts.book.beds import Load, Rings, draw_bed
from mounts.book.flow import Cell, Column, Flow
from mounts.book.mount import Chapter
from mounts.book.plan import Stands, draw_plan
from mounts.book.sheets import Box
from mounts.inputs.layout import BoardTable, Site
from mounts.mesh import Role
from mounts.report.controller import Controller, Position
from mounts.report.kinds import telling
from mounts.report.layout import ROLES, LayoutReport, MountRow
from mounts.report.words import duration, mass_words
from mounts.units import number

_SPARE = 1.1  # of wire: a bend that went wrong
_BED_MM = 86.0  # of a bed's picture on paper
_LEAD = "extension lead"


def cover(flow: Flow, layout: LayoutReport, boards: Mapping[str, BoardTable], chapters: Sequence[Chapter]) -> None:
    """Name, sums, and the boards' plans where places are known.

    Args:
        flow: the front's.
        layout: its report.
        boards: of the layout by name.
        chapters: of the mounts that were made.
    """
    total = layout.summary
    flow.page()
    flow.sheets.bookmark("cover", layout.name, 0)
    flow.title(layout.name)
    flow.paragraph(
        f"{total.mounts} mounts: {total.passed} pass, {total.warned} warn, {total.failed} failed. {total.made} to "
        f"print on {total.plates} plate{'' if total.plates == 1 else 's'}, {mass_words(total.mass_g)}, about "
        f"{duration(total.hours * 60)}"
        + (f", the longest about {duration(total.longest_plate_hours * 60)}." if total.plates > 1 else ".")
    )
    sites = {row.id: _site(row) for row in layout.mounts}
    by_board: dict[str, list[Stands]] = defaultdict(list)
    for chapter in chapters:
        site = sites[chapter.report.mount.id]
        if site is not None and chapter.number is not None:
            by_board[site.board].append(Stands(chapter.number, chapter.key, site, chapter.report.footprint))
    for name, board in boards.items():
        if by_board[name]:
            draw_plan(flow, name, board, by_board[name])
    if any(by_board.values()):
        flow.paragraph(
            "Seen from above, measured from each board's front left corner. Dot: the tie bar's pin; thick grey: the "
            "track's heading; thin: what the mount takes up; filled grey: framing.", size_mm=2.8,
        )  # fmt: skip


def mount_list(flow: Flow, layout: LayoutReport, chapters: Sequence[Chapter]) -> None:
    """A row a mount, failed ones with their reasons; a name leads to its chapter."""
    made = {chapter.report.mount.id: chapter for chapter in chapters}
    flow.heading("Mounts", keep_mm=20.0)
    flow.sheets.bookmark("mounts", "Mounts", 0)

    def row(mount: MountRow) -> Sequence[Cell | str]:
        chapter = made.get(mount.id)
        name = f"{mount.id} ×{mount.copies}" if mount.copies > 1 else mount.id
        if chapter is None:
            return ("–", name, mount.style, mount.servo, mount.board, "", f"{mount.verdict}: {_reason(mount)}")
        positions = telling(chapter.report.drive).positions(chapter.report.drive)
        pulses = ", ".join(f"{name} {number(us, 0)}" for name, us in positions)
        channels = _channels(mount.channels)
        what = f"{mount.style}, mirrored" if mount.mirror else mount.style
        number_ = Cell(str(chapter.number), chapter.key, bold=True)
        return (number_, Cell(name, chapter.key), what, mount.servo, mount.board, channels, pulses)

    flow.table(
        [
            Column("", 0.4, right=True), Column("mount", 1.9), Column("style", 1.7), Column("servo", 1.2),
            Column("board", 1.1), Column("channel", 0.9, right=True), Column("pulses, µs", 2.7),
        ],
        map(row, layout.mounts),
    )  # fmt: skip
    flow.paragraph("The figure before a mount is at the upper right of its pages.", size_mm=2.8)
    flow.heading("Cautions")
    flow.listed(layout.cautions)


def shopping(flow: Flow, layout: LayoutReport, chapters: Sequence[Chapter]) -> None:
    """What to buy for all mounts to print, wire by length, filament by mass; then the tools, one of each."""
    flow.page()
    flow.sheets.bookmark("shopping", "Shopping list", 0)
    flow.title("Shopping list")
    copies = {row.id: row.copies for row in layout.mounts}
    bought: Counter[tuple[str, str]] = Counter()
    tools: dict[str, list[str]] = {}
    wires: Counter[tuple[str, float]] = Counter()
    pieces: Counter[tuple[str, float]] = Counter()
    for chapter in chapters:
        report = chapter.report
        many = copies[report.mount.id]
        wire = report.mount.wire, report.drive.wire_mm
        for entry in report.hardware:
            if entry.tool:
                sizes = tools.setdefault(entry.item, [])
                sizes += [entry.size] if entry.size not in sizes else []
            elif entry.item == f"wire, {report.mount.wire}":
                wires[wire] += report.wire_cut_mm * entry.quantity * many  # type: ignore[assignment]
                pieces[wire] += entry.quantity * many
            else:
                bought[entry.item, entry.size] += entry.quantity * many
    rows = [(str(count), item, size) for (item, size), count in sorted(bought.items())]
    rows += [
        (f"{number(length * _SPARE / 1000, 2)} m", f"wire, {name}, {number(size)} mm", _pieces(pieces[name, size]))
        for (name, size), length in sorted(wires.items())
    ]
    grams: Counter[tuple[str, Role]] = Counter()
    for plate in layout.plates:
        grams[plate.filament, plate.role] += plate.mass_g  # type: ignore[assignment]
    rows += [
        (mass_words(mass), f"filament, {name}, for {ROLES[role]}", "without brims and what is purged")
        for (name, role), mass in sorted(grams.items())
    ]
    flow.table([Column("how many", 1.0, right=True), Column("what", 3.6), Column("size", 3.4)], rows)
    flow.heading("Tools")
    flow.table([Column("what", 3.0), Column("sizes", 5.0)], [(item, "; ".join(sizes)) for item, sizes in tools.items()])


def printing(
    flow: Flow, layout: LayoutReport, loads: Sequence[Load], outlines: Mapping[tuple[str, str], Rings],
    brims: Mapping[tuple[str, str], float],
) -> None:  # fmt: skip
    """Bed-loads in order, each with its picture and what lies on it.

    Args:
        flow: the front's.
        layout: its report.
        loads: plates in order.
        outlines: of each part by mount and name.
        brims: width of the brim that a part wants, likewise, mm.
    """
    if not loads:
        return
    flow.page()
    flow.sheets.bookmark("printing", "Printing", 0)
    flow.title("Printing")
    flow.paragraph(_order(layout))
    if stands_for := list(_stands_for(layout.mounts)):
        flow.listed(stands_for)
    flow.paragraph(layout.summary.hours_rule)
    for load in loads:
        row = load.row
        names = [
            f"{count} {name}{_brim(brims.get((place.piece.mount, place.piece.part), 0.0))}"
            for count, (name, place) in enumerate(zip(row.objects, load.plate, strict=True), start=1)
        ]
        scale = min(_BED_MM / load.bed.x_mm, _BED_MM / load.bed.y_mm)
        high = load.bed.y_mm * scale
        flow.heading(f"{row.file.removeprefix('plates/')}: {row.what_for}", keep_mm=high + 12.0)
        flow.paragraph(
            f"{len(names)} object{'s' if len(names) > 1 else ''}, {row.printer}, {row.filament}, "
            f"{mass_words(row.mass_g)}, about {duration(row.hours * 60)}, {number(row.height_mm, 1)} mm high"
            + (f"; longer than the {number(layout.max_hours or 0.0)} h asked for" if row.over_limit else "")
        )

        def draw(box: Box, load: Load = load) -> None:
            draw_bed(flow.sheets, Box(box.left, box.bottom, box.left + _BED_MM, box.top), load, outlines)

        flow.listed_beside(high, _BED_MM + 4.0, draw, names)
    if layout.not_on_plates:
        flow.paragraph(f"On no plate, larger than the bed with their brims: {', '.join(layout.not_on_plates)}.")


def controller_page(flow: Flow, sheet: Controller) -> None:
    """Channels, supply, and what holds for all."""
    flow.page()
    flow.sheets.bookmark("controller", "Controller", 0)
    flow.title("Controller")
    flow.paragraph(
        f"Boards with {sheet.outputs} outputs. The same as controller.csv, controller.json and controller.h. The last "
        "column is for what each position was trimmed to."
    )
    flow.table(
        [
            Column("chan-nel", 0.8, right=True), Column("board, output", 1.1, right=True), Column("mount", 2.0),
            Column("pulses, µs (degrees of 0–180)", 2.7), Column("centre", 0.9, right=True),
            Column("µs a mm", 0.8, right=True), Column("µs a frame", 0.9, right=True), Column("together", 1.2),
            Column("stop pulses", 0.9), Column("trimmed to", 1.4),
        ],
        (
            (
                str(row.channel), f"{row.board}, {row.output}",
                f"{row.id} {row.copy_}/{row.copies}" if row.copies > 1 else row.id,
                "; ".join(map(_position, row.positions)),
                number(row.centre_us, 0), number(row.us_per_mm, 0), number(row.us_per_frame, 1), row.together or "",
                "yes" if row.stop_pulses else "no", "______",
            )
            for row in sheet.channels
        ),
        size_mm=2.7,
    )  # fmt: skip
    ends = sorted({row.ends_us for row in sheet.channels})
    told = " or ".join(f"{number(low, 0)} and {number(high, 0)} µs" for low, high in ends)
    flow.paragraph(f"Degrees hold for ends of {told} (controller.csv has those of each channel).", size_mm=2.8)
    flow.heading("Supply, 5 V", keep_mm=25.0)
    flow.table(
        [
            Column("board", 0.7, right=True), Column("servos", 0.8, right=True),
            Column("all at rest, A", 1.0, right=True), Column("largest group moves, A", 1.3, right=True),
            Column("all move (switch-on), A", 1.3, right=True), Column("largest group held fast, A", 1.3, right=True),
            Column("fuse, slow-blow, A", 1.4, right=True),
        ],
        (
            (
                str(row.board), str(row.servos), number(row.idle_a, 2), number(row.moving_a, 2),
                number(row.switch_on_a, 2), number(row.stalled_a, 2),
                number(row.fuse_a, 2) if row.fuse_a else "more fuses",
            )
            for row in sheet.supply.boards
        ),
    )  # fmt: skip
    group = sheet.supply
    many = f", {group.largest_group_servos} servos" if group.largest_group_servos > 1 else ", one servo at a time"
    flow.paragraph(
        f"Supply: at least {number(group.supply_a, 1)} A for all boards. Largest group that moves at once: "
        f'{group.largest_group}{many}. Name groups in the layout: together = "…".'
    )
    flow.listed(group.assumptions)
    flow.heading("What holds for all")
    flow.listed(sheet.notes)


def _order(layout: LayoutReport) -> str:
    """Which plates come first, and why."""
    shows = "a servo half a millimetre off, or a fit that is too tight, shows there"
    one_colour = "A plate has either brackets and frames or scenery, which may have another colour."
    first = layout.summary.try_first
    if first is None:
        return f"Fit a servo and its screws to the first mount before you print the next: {shows}. {one_colour}"
    return (
        f"Plates to try first hold one mount of each kind, {first.mounts} in all, {mass_words(first.mass_g)}, about "
        f"{duration(first.hours * 60)}; of a kind are mounts with the same style and options, servo, board, wire and "
        f"screws. Print them and fit servo and screws: {shows}. Then print the others. {one_colour}"
    )


def _stands_for(mounts: Iterable[MountRow]) -> Iterator[str]:
    """Which mounts the one that is tried first is tried for."""
    others: dict[str, list[str]] = {}
    for row in mounts:
        if row.tried_by is not None and row.tried_by != row.id:
            others.setdefault(row.tried_by, []).append(row.id)
    for tried, ids in others.items():
        yield f"{tried} is tried for {', '.join(ids)}"


def _position(at: Position) -> str:
    return f"{at.name} {number(at.pulse_us, 0)} ({number(at.half_turn_deg, 1)})"


def _site(row: MountRow) -> Site | None:
    if row.x_mm is None or row.y_mm is None:
        return None
    return Site(row.board, row.x_mm, row.y_mm, row.heading_deg or 0.0)


def _reason(row: MountRow) -> str:
    return row.reasons[0] if row.reasons else "see its report"


def _channels(channels: Iterable[int]) -> str:
    listed = [*channels]
    return (
        f"{listed[0]}–{listed[-1]}"
        if len(listed) > 1 and listed[-1] - listed[0] == len(listed) - 1
        else ", ".join(map(str, listed))
    )


def _pieces(count: int) -> str:
    return f"{count} piece{'' if count == 1 else 's'}, a tenth to spare"


def _brim(brim_mm: float) -> str:
    return f", {number(brim_mm)} mm brim" if brim_mm else ""
