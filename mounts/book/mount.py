"""The chapter of one mount: what it is, how it goes together, what to drill, what to bend, what to set."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from mounts.book.curve import HIGH_MM, draw_curve
from mounts.book.drawing import draw_to_scale, high_mm
from mounts.book.flow import Column, Flow
from mounts.book.sheets import Sheets
from mounts.design import Datums, Design, Plan
from mounts.drive.model import Drive, PointsDrive
from mounts.export.template import template
from mounts.export.view import Item, items
from mounts.export.wire_drawing import wire
from mounts.inputs.spec import MountSpec
from mounts.mesh import PartMesh
from mounts.report.brief import check_line, warning
from mounts.report.controller import half_turn_deg
from mounts.report.kinds import outcome, telling
from mounts.report.model import Report, together_minutes
from mounts.report.points import force_words
from mounts.report.summary import is_close
from mounts.report.words import duration, mass_words
from mounts.stl import read_stl
from mounts.units import number

_PICTURES_SHARE = 0.62  # of the page's width
_NO_PIECE = (
    "servo tester",
    "servo's lead",
    "servo's plug",
    "servo's range",
    "arm hole",
    "no wire or framing",
    "a wire through each",
    "hand drill",
)
_WORD = r"(?<![\w-])(?:{})(?![\w-])"


@dataclass(frozen=True)
class Chapter:
    """A made mount, read from its files.

    Attributes:
        design: the mount as numbers.
        report: what is told of it.
        meshes: its parts.
        in_place: picture, PNG; None where none was drawn.
        apart: the same.
        number: in the book's list; None for a chapter by itself.
        place: where it goes and what it is connected to, in words.
    """

    design: Design
    report: Report
    meshes: tuple[PartMesh, ...]
    in_place: bytes | None = None
    apart: bytes | None = None
    number: int | None = None
    place: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """Bookmark of its first page."""
        return f"mount-{self.number or 1}"


def chapter_of(
    files: Mapping[str, bytes], report: Report, *, number: int | None = None, place: Sequence[str] = ()
) -> Chapter:
    """A mount as its own files tell it.

    Args:
        files: of the mount's folder, by name.
        report: the one that goes with them.
        number: in the book's list.
        place: where it goes and what it is connected to, in words.

    Raises:
        KeyError: a part was not written.
    """
    data = json.loads(files["design.json"])
    plan = {key: value for key, value in data["plan"].items() if key in Plan.model_fields}
    design = Design(
        spec=MountSpec.model_validate(data["spec"]),
        drive=Drive.model_validate(data["drive"]),
        datums=Datums.model_validate(data["datums"]),
        plan=Plan.model_validate(plan),
    )
    meshes = []
    for part in report.parts:
        vertices, faces = read_stl(files[part.file or ""])
        pose = part.print_to_mount
        meshes.append(PartMesh(part.name, vertices, faces, pose, part.volume_mm3, part.size_mm, 0, part.role))
    mount_id = report.mount.id
    pictures = files.get(f"{mount_id}.png"), files.get(f"{mount_id}-apart.png")
    return Chapter(design, report, tuple(meshes), *pictures, number, tuple(place))


def write_chapter(sheets: Sheets, chapter: Chapter) -> None:
    """The chapter's pages, the first of them a new one."""
    report, design = chapter.report, chapter.design
    corner = str(chapter.number) if chapter.number is not None else ""
    mirrored = ", mirrored" if report.mount.mirror else ""
    what = f"{report.mount.style}{mirrored}, {report.mount.servo}, {report.mount.scale}, board {report.mount.board}"
    flow = Flow(sheets, f"{report.mount.id}: {what}", corner)
    flow.page()
    sheets.bookmark(chapter.key, f"{corner} {report.mount.id}".strip(), 0)
    flow.title(report.mount.id)
    flow.paragraph("; ".join([what, *chapter.place]))
    named = items(design, chapter.meshes)
    bought = [f"{entry.quantity} × {entry.item}, {entry.size}" for entry in report.hardware if not entry.tool]
    tools = [f"{entry.item}: {entry.size}" for entry in report.hardware if entry.tool]
    shown = [png for png in (chapter.in_place, chapter.apart) if png]
    flow.pictured(shown, _PICTURES_SHARE, (("Have at hand", bought), ("Tools", tools)))
    _pulses(flow, chapter)
    _print(flow, report)
    flow.heading("Cautions")
    flow.listed(report.cautions)
    flow.heading("Steps", keep_mm=30.0)
    sheets.bookmark(f"{chapter.key}-steps", "Steps", 1)
    if chapter.apart:
        flow.paragraph("Figures in brackets are those of the picture of the mount taken apart.", size_mm=2.8)
    flow.numbered(steps_on_paper(report.steps, named if chapter.apart else (), report.mount.id))
    _scaled(sheets, chapter, flow.head, corner)


def _pulses(flow: Flow, chapter: Chapter) -> None:
    """Position by position, with room to write what it was trimmed to; where blades are pressed, how far past them."""
    report, drive, trim = chapter.report, chapter.report.drive, chapter.report.trim
    ends = report.servo.pulse_min_us, report.servo.pulse_max_us
    trims = {end.position: end for end in (trim.normal, trim.reverse)} if trim else {}
    flow.heading("Pulses, µs")
    touches = [
        Column("blade snaps near" if trim and trim.sign == "snap" else "blade touches near", 1.4, right=True),
        Column("then further", 1.5, right=True),
        Column("for 0.1 mm", 1.1, right=True),
    ]
    rows = []
    for name, us in telling(drive).positions(drive):
        touch: tuple[str, ...] = ("",) * len(touches) if trims else ()
        if end := trims.get(name):  # type: ignore[call-overload]
            touch = (
                number(end.touch_us, 0), f"{number(end.past_us, 0)} {end.home}", number(end.us_per_tenth_mm, 0)
            )  # fmt: skip
        rows.append((name, number(us, 0), *touch, number(half_turn_deg(us, ends), 1), "_" * 9))
    flow.table(
        [
            Column("position", 1.3), Column("begin with", 1.1, right=True), *(touches if trims else ()),
            Column(f"degrees of 0–180, ends {number(ends[0], 0)} and {number(ends[1], 0)} µs", 2.1, right=True),
            Column("trimmed to", 1.5, right=True),
        ],
        rows,
    )  # fmt: skip
    said = (
        f"Centre {number(drive.pulse_us.centre, 0)} µs. Trim each by itself as the steps say; write down what you set."
    )
    if trim:
        force = force_words(drive, report.spread)
        said += f" {force[0].upper()}{force[1:]}."
    flow.paragraph(said)


def _print(flow: Flow, report: Report) -> None:
    minutes = together_minutes(report.parts)
    parts = "; ".join(
        f"{part.name or 'main part'} {mass_words(part.mass_g)}"
        + (f" with a {number(part.brim_mm)} mm brim" if part.brim_mm else "")
        for part in report.parts
    )
    flow.heading("Print")
    flow.paragraph(
        f"{parts}{f'; about {duration(minutes)}' if minutes else ''}; {report.mount.filament}, {report.print_settings}"
    )


def _scaled(sheets: Sheets, chapter: Chapter, head: str, corner: str) -> None:
    """Template and wire at 1:1, on pages with both bars, and the figures behind them."""
    design = chapter.design
    flow = Flow(sheets, head, corner, scaled=True)
    flow.page()
    for key, paper in (("template", template(design, chapter.meshes)), ("wire", wire(design))):
        said = paper.legend.heading if paper.legend else key
        name = said.removeprefix(f"{design.spec.id}: ").rstrip(".")
        name = name[0].upper() + name[1:]
        flow.heading(f"{name}, 1:1", keep_mm=high_mm(paper))
        sheets.bookmark(f"{chapter.key}-{key}", name, 1)
        draw_to_scale(flow, paper)
    _figures(flow, chapter)


def _figures(flow: Flow, chapter: Chapter) -> None:
    """The curve, and what was close."""
    report, drive = chapter.report, chapter.report.drive
    curve = outcome(drive).curve_of(drive)
    flow.heading(curve, keep_mm=HIGH_MM)
    flow.sheets.bookmark(f"{chapter.key}-curve", curve, 1)
    flow.beside(HIGH_MM, lambda box: draw_curve(flow.sheets, box, chapter.design))
    if isinstance(drive, PointsDrive):
        low, high = (number(force, 2) for force in report.inputs.force_n)
        flow.paragraph(
            f"Light: the throw, {number(report.inputs.throw_mm, 2)} mm. Above and below it the arm goes on and bends "
            f"the wire: over-travel, {number(drive.overtravel_mm, 2)} mm a side, slack included. Dark: there "
            f"the blade is pressed with the {low} to {high} N that were asked for."
        )
    close = [check for check in report.checks if is_close(check)]
    flow.heading("Close checks")
    flow.sheets.bookmark(f"{chapter.key}-checks", "Close checks", 1)
    if not close:
        flow.paragraph(f"All {len(report.checks)} checks passed with more than a tenth of their limits to spare.")
    flow.listed(warning(check) if check.verdict == "warn" else check_line(check) for check in close)
    if report.costs_of_pins:
        flow.heading("What was pinned, and what it costs")
        flow.listed(cost.sentence for cost in report.costs_of_pins)


def steps_on_paper(steps: Sequence[str], named: Sequence[Item], mount_id: str) -> Iterator[str]:
    """The steps with the numbers of the picture behind the first mention of each piece, and sheets for files.

    Args:
        steps: as the report has them.
        named: pieces of the picture; none leaves their numbers out.
        mount_id: files named by it are on sheets of the chapter.
    """
    numbers = {word: f" [{item.number}]" for item in named for word in item.words}
    numbers |= dict.fromkeys(_NO_PIECE, "")
    longest = sorted(numbers, key=lambda word: (-len(word), word))
    found = re.compile(_WORD.format("|".join(map(re.escape, longest))), re.IGNORECASE) if named else None
    for step in steps:
        for file in ("template", "wire"):
            step = step.replace(f"{mount_id}-{file}.svg", f"the {file}'s sheet")
        if found:
            told: set[str] = set()

            def with_number(match: re.Match[str], told: set[str] = told) -> str:
                number = numbers[match[0].lower()]
                new = number and number not in told
                told.add(number)
                return match[0] + (number if new else "")

            step = found.sub(with_number, step)
        yield step
