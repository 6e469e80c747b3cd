"""``mounts make``: one mount, designed, modelled, checked and written."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from mounts.cli.faults import MOUNT_FAILED, refuse_no_folder
from mounts.errors import BuildError, NoDesign
from mounts.inputs.request import MountRequest

if TYPE_CHECKING:
    from mounts.inputs.spec import MountSpec
    from mounts.report.model import Report


def _option(field: str, metavar: str = "NAME") -> Any:
    """An option that is a field of the request, and says of itself what the field says."""
    described = MountRequest.model_fields[field]
    default = f" [default: {described.default}]" if isinstance(described.default, str) else ""
    flag = f"--{field.replace('_', '-')}"
    return typer.Option(flag, help=f"{described.description}{default}", metavar=metavar, show_default=False)


Text = str | None


class Paper(Enum):
    """What the book is printed on."""

    A4 = "a4"
    LETTER = "letter"
    NONE = "none"

    @property
    def pages(self) -> Literal["a4", "letter"] | None:
        """Their size; None: no book."""
        return None if self is Paper.NONE else "a4" if self is Paper.A4 else "letter"


PAPER = "pages of the book; none: no book"
PICTURE = "draw the mount in its place, <id>.png, and taken apart, <id>-apart.png"
EXPLAIN = "print every figure too: why this drive, tolerances, checks that pass by little"


def make(
    id_: Annotated[Text, _option("id")] = None,
    style: Annotated[Text, _option("style")] = None,
    servo: Annotated[Text, _option("servo")] = None,
    board: Annotated[Text, _option("board", "LENGTH|NAME")] = None,
    roadbed: Annotated[Text, _option("roadbed", "LENGTH|NAME")] = None,
    throw: Annotated[Text, _option("throw", "LENGTH")] = None,
    scale: Annotated[Text, _option("scale")] = None,
    printer: Annotated[Text, _option("printer")] = None,
    filament: Annotated[Text, _option("filament")] = None,
    wire: Annotated[Text, _option("wire", "NAME|LENGTH")] = None,
    force: Annotated[Text, _option("force", "LOW-HIGH")] = None,
    mirror: Annotated[bool, typer.Option("--mirror", help=MountRequest.model_fields["mirror"].description)] = False,
    sturdy: Annotated[bool, typer.Option("--sturdy", help=MountRequest.model_fields["sturdy"].description)] = False,
    screw: Annotated[Text, _option("screw")] = None,
    pin_height: Annotated[Text, _option("pin_height", "LENGTH")] = None,
    ground: Annotated[Text, _option("ground", "LENGTH")] = None,
    laid: Annotated[bool, typer.Option("--laid", help=MountRequest.model_fields["laid"].description)] = False,
    tie_bar_hole: Annotated[Text, _option("tie_bar_hole", "LENGTH")] = None,
    own_spring: Annotated[Text, _option("own_spring", "FORCE|none")] = None,
    travel: Annotated[Text, _option("travel", "LENGTH")] = None,
    moves: Annotated[Text, _option("moves")] = None,
    crank: Annotated[Text, _option("crank", "LENGTH")] = None,
    crank_pivot: Annotated[Text, _option("crank_pivot", "[ACROSS,] HEIGHT")] = None,
    positions: Annotated[Text, _option("positions", "PLACES")] = None,
    arm_hole: Annotated[Text, _option("arm_hole", "LENGTH")] = None,
    depth: Annotated[Text, _option("depth", "LENGTH")] = None,
    swing: Annotated[Text, _option("swing", "DEGREES")] = None,
    overtravel: Annotated[Text, _option("overtravel", "LENGTH")] = None,
    held: Annotated[Text, _option("held", "turning|clamped")] = None,
    max_depth: Annotated[Text, _option("max_depth", "LENGTH")] = None,
    track_distance: Annotated[Text, _option("track_distance", "LENGTH")] = None,
    track_radius: Annotated[Text, _option("track_radius", "LENGTH")] = None,
    other_track: Annotated[list[str] | None, _option("other_track", "LENGTH")] = None,
    set_: Annotated[list[str] | None, _option("set", "NAME=VALUE")] = None,
    out: Annotated[Path, typer.Option(help="folder to write to")] = Path("out"),
    as_json: Annotated[bool, typer.Option("--json", help="the report on stdout and nothing else there")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help="print faults only")] = False,
    keep_failed: Annotated[
        bool, typer.Option("--keep-failed", help="write the parts of a mount that fails a check to failed/")
    ] = False,
    picture: Annotated[bool, typer.Option("--picture/--no-picture", help=PICTURE)] = True,
    paper: Annotated[Paper, typer.Option("--paper", help=PAPER)] = Paper.A4,
    explain: Annotated[bool, typer.Option("--explain", help=EXPLAIN)] = False,
) -> int:
    """Design, model, check and write one mount."""
    from mounts.asked import asked

    spec = asked(
        id=id_,
        style=style,
        servo=servo,
        board=board,
        roadbed=roadbed,
        throw=throw,
        scale=scale,
        printer=printer,
        filament=filament,
        wire=wire,
        force=force,
        mirror=mirror,
        sturdy=sturdy,
        screw=screw,
        pin_height=pin_height,
        ground=ground,
        laid=laid,
        tie_bar_hole=tie_bar_hole,
        own_spring=own_spring,
        travel=travel,
        moves=moves,
        crank=crank,
        crank_pivot=crank_pivot,
        positions=positions,
        arm_hole=arm_hole,
        depth=depth,
        swing=swing,
        overtravel=overtravel,
        held=held,
        max_depth=max_depth,
        track_distance=track_distance,
        track_radius=track_radius,
        other_track=other_track or [],
        set=set_ or [],
    )
    refuse_no_folder(out)
    from mounts import cache

    folder = out / spec.id / spec.id
    report = cache.find(folder, cache.key(spec), keep_failed=keep_failed, picture=picture, paper=paper.pages)
    cached = report is not None
    if report is None:
        with refusal_told(spec, folder, as_json=as_json, keep_failed=keep_failed):
            report = made(
                spec, folder, silent=quiet or as_json, keep_failed=keep_failed, picture=picture, paper=paper.pages
            )
    tell(report, folder, as_json=as_json, quiet=quiet, cached=cached, explained=explain)
    return MOUNT_FAILED if report.verdict == "fail" else 0


def made(spec: MountSpec, folder: Path, *, silent: bool, **how: Any) -> Report:
    """Makes the mount and writes it; a line on a terminal says what is going on.

    Args:
        spec: what was asked.
        folder: the mount's.
        silent: no such line.
        how: further arguments of ``pipeline.make_mount``.
    """
    from mounts.export.commit import publish
    from mounts.pipeline import make_mount

    if silent or not sys.stderr.isatty():
        done = make_mount(spec, **how)
    else:
        from rich.console import Console

        with Console(stderr=True).status("designing") as status:
            done = make_mount(spec, **how, progress=status.update)
    publish(folder, done.files)
    return done.report


@contextmanager
def refusal_told(spec: MountSpec, folder: Path, *, as_json: bool, keep_failed: bool) -> Iterator[None]:
    """Where there is no mount, a report that says why: on stdout, in the folder, or both; the fault goes on.

    Args:
        spec: what was asked.
        folder: the mount's.
        as_json: the report is wanted on stdout.
        keep_failed: it is wanted in the folder.
    """
    try:
        yield
    except (NoDesign, BuildError) as fault:
        if as_json or keep_failed:
            from mounts import cache
            from mounts.export.commit import publish
            from mounts.report.model import to_json
            from mounts.report.refused import refused
            from mounts.styles import style_options

            content = to_json(refused(spec, style_options(spec), str(fault), cache.key(spec)))
            if keep_failed:
                publish(folder, {"report.json": content})
            if as_json:
                sys.stdout.write(content.decode())
        raise


def tell(report: Report, folder: Path, *, as_json: bool, quiet: bool, cached: bool, explained: bool = False) -> None:
    """The report on stdout; where that is not for people to read, failed checks on stderr.

    Args:
        report: of the mount.
        folder: where its files are.
        as_json: print ``report.json`` as it is, and nothing else on stdout.
        quiet: print failed checks only.
        cached: the folder held the answer before.
        explained: with every figure.
    """
    if as_json:
        sys.stdout.write((folder / "report.json").read_text("utf-8"))
    elif not quiet:
        from rich.console import Console

        from mounts.report.summary import show

        show(report, folder, Console(highlight=False), cached=cached, explained=explained)
        return
    from mounts.report.brief import check_line

    for check in report.checks:
        if check.verdict == "fail":
            print(f"fail: {report.mount.id}: {check_line(check)}", file=sys.stderr)
