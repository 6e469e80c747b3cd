"""``mounts adapt``: a mount that keeps what an existing one has, on another board, servo or throw."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from mounts.cli.faults import MOUNT_FAILED, refuse_no_folder
from mounts.cli.make import EXPLAIN, PAPER, PICTURE, Paper, made, refusal_told, tell
from mounts.errors import Fault, InputError, placed
from mounts.inputs.change import Changes
from mounts.stored import REPORT, files_of

if TYPE_CHECKING:
    from mounts.design import Design
    from mounts.inputs.model import Model

DESIGN = "design.json"
Text = str | None


def _option(field: str, metavar: str = "NAME") -> Any:
    flag = f"--{field.replace('_', '-')}"
    return typer.Option(flag, help=Changes.model_fields[field].description, metavar=metavar, show_default=False)


def adapt(
    mount: Annotated[Path, typer.Argument(help="design.json or report.json of a made mount, or its folder")],
    board: Annotated[Text, _option("board", "LENGTH|NAME")] = None,
    roadbed: Annotated[Text, _option("roadbed", "LENGTH|NAME")] = None,
    servo: Annotated[Text, _option("servo")] = None,
    throw: Annotated[Text, _option("throw", "LENGTH")] = None,
    force: Annotated[Text, _option("force", "LOW-HIGH")] = None,
    screw: Annotated[Text, _option("screw")] = None,
    max_depth: Annotated[Text, _option("max_depth", "LENGTH")] = None,
    id_: Annotated[Text, _option("id")] = None,
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
    """Fit an existing mount to another board, servo or throw, keeping arm hole, wire, pulses and screw holes."""
    from mounts import cache
    from mounts.inputs.change import change
    from mounts.inputs.library import Library
    from mounts.pipeline import adapt_mount, in_its_pose
    from mounts.report.model import to_json

    written = {
        "id": id_,
        "board": board,
        "roadbed": roadbed,
        "servo": servo,
        "throw": throw,
        "force": force,
        "screw": screw,
        "max_depth": max_depth,
    }
    before = read_mount(mount)
    spec = in_its_pose(change(before.spec, written, Library()), before)
    refuse_no_folder(out)
    folder = out / spec.id / spec.id
    if folder.resolve() == (mount if mount.is_dir() else mount.parent).resolve():
        said = "must not be that of the mount it is adapted from; or give another --out"
        raise InputError(Fault(said, ("id",), repr(spec.id)))
    with refusal_told(spec, folder, as_json=as_json, keep_failed=keep_failed):
        drive, adapted = adapt_mount(before, spec)
    report = cache.find(folder, cache.key(spec, drive), keep_failed=keep_failed, picture=picture, paper=paper.pages)
    cached = report is not None and report.adapted is not None and to_json(report.adapted) == to_json(adapted)
    if report is None or not cached:
        report = made(
            spec,
            folder,
            silent=quiet or as_json,
            drive=drive,
            adapted=adapted,
            keep_failed=keep_failed,
            picture=picture,
            paper=paper.pages,
        )
    tell(report, folder, as_json=as_json, quiet=quiet, cached=cached, explained=explain)
    return MOUNT_FAILED if report.verdict == "fail" else 0


def read_mount(path: Path) -> Design:
    """A made mount from its folder, its design.json, or its report.json.

    A report beside its untouched design.json is read from there. Alone it names the profiles only: they
    are looked up again, the servo excepted, whose figures it holds.

    Raises:
        InputError: no such file, not one of the two, or made by a version that had other fields.
    """
    file = path if not path.is_dir() else path / (DESIGN if (path / DESIGN).exists() else REPORT)
    data = _read_json(file)
    if data.get("schema") == "report/1":
        beside = file.with_name(DESIGN)
        recorded = files_of(data).get(DESIGN)
        if not beside.is_file() or hashlib.sha256(beside.read_bytes()).hexdigest() != recorded:
            return _of_report(data, file)
        file, data = beside, _read_json(beside)
    if not {"spec", "drive", "datums", "plan"} <= data.keys():
        raise InputError(Fault("must be the design.json or report.json of a made mount", file=str(file)))
    return _of_design(data, file)


def _read_json(file: Path) -> dict[str, Any]:
    try:
        data = json.loads(file.read_bytes())
    except FileNotFoundError:
        said = "no such file; give a mount's folder, design.json or report.json"
        raise InputError(Fault(said, file=str(file))) from None
    except (OSError, ValueError, RecursionError) as fault:
        why = fault.strerror if isinstance(fault, OSError) else "not JSON"
        raise InputError(Fault(f"cannot read: {why}", file=str(file))) from None
    return data if isinstance(data, dict) else {}


def _of_design(data: dict[str, Any], file: Path) -> Design:
    from mounts.design import Datums, Design, Plan
    from mounts.drive.model import Drive
    from mounts.inputs.load import read_model
    from mounts.inputs.printer import Filament, Printer
    from mounts.inputs.spec import MountSpec

    tables = {key: data[key] if isinstance(data[key], dict) else {} for key in ("spec", "drive", "datums", "plan")}
    spec, plan = tables["spec"], _known(tables["plan"], Plan)
    for key, profile in (("printer", Printer), ("filament", Filament)):  # both had figures that nothing asked for
        if isinstance(spec.get(key), dict):
            spec[key] = _known(spec[key], profile)
    with placed(file=str(file)):
        with placed("spec"):
            spec = read_model(spec, MountSpec)
        with placed("drive"):
            drive = read_model(tables["drive"], Drive)
        with placed("datums"):
            datums = read_model(tables["datums"], Datums)
        with placed("plan"):
            return Design(spec=spec, drive=drive, datums=datums, plan=read_model(plan, Plan))


def _known(table: dict[str, Any], model: type[Model]) -> dict[str, Any]:
    return {key: value for key, value in table.items() if key in model.model_fields}


def _of_report(data: dict[str, Any], file: Path) -> Design:
    from mounts.inputs.library import Library
    from mounts.inputs.load import read_model
    from mounts.inputs.request import MountRequest
    from mounts.inputs.resolve import resolve
    from mounts.pipeline import design_mount
    from mounts.report.model import Report
    from mounts.styles._fixings import with_pad

    with placed(file=str(file)):
        report = read_model(data, Report)
    names = report.mount.model_dump()
    request = MountRequest(**{key: names[key] for key in names if key != "fixing"}, screw=report.mount.fixing)
    with placed("mount", file=str(file)):
        spec = resolve(request, Library())
    asked = report.inputs.model_dump(exclude={"board_mm", "roadbed_mm", "pad_mm"})
    asked["options"] = {name: value for name, value in asked["options"].items() if value is not None}
    spec = with_pad(spec, report.inputs.pad_mm)
    if report.housing is not None and report.housing.pose is not None:
        asked["options"] = {**asked["options"], "pose": report.housing.pose}
    return design_mount(spec.model_copy(update={**asked, "servo": report.servo}), report.drive).design
