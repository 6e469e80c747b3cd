"""``mounts coupon``: a test piece for this printer and this servo, and the record of what fitted."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from mounts.cli.faults import MOUNT_FAILED, refuse_no_folder
from mounts.cli.prompt import answered
from mounts.errors import Fault, InputError, placed

if TYPE_CHECKING:
    from mounts.coupon.plan import Coupon
    from mounts.coupon.record import Recorded
    from mounts.inputs.library import Library

FOLDER = "coupon"
PRINTER, SERVO, SCREW = "fdm-0.4", "micro-9g", "no-4"
WIRE_MM = "0.8"


def coupon(
    answers: Annotated[
        Path | None, typer.Argument(help="with --record: the file of answers; without it you are asked")
    ] = None,
    record: Annotated[bool, typer.Option("--record", help="record which steps fitted, as a printer profile")] = False,
    printer: Annotated[str | None, typer.Option(metavar="NAME", help=f"printer profile [default: {PRINTER}]")] = None,
    servo: Annotated[str | None, typer.Option(metavar="NAME", help=f"servo profile [default: {SERVO}]")] = None,
    wire: Annotated[str | None, typer.Option(metavar="LENGTH", help=f"of the pivot [default: {WIRE_MM} mm]")] = None,
    screw: Annotated[str | None, typer.Option(metavar="NAME", help=f"into the board [default: {SCREW}]")] = None,
    filament: Annotated[str, typer.Option(metavar="NAME", help="what it is printed with")] = "pla",
    name: Annotated[
        str | None, typer.Option(metavar="NAME", help="with --record: of the profile [default: my-PRINTER]")
    ] = None,
    out: Annotated[Path, typer.Option(help="folder to write to")] = Path("out"),
    as_json: Annotated[bool, typer.Option("--json", help="figures and checks on stdout and nothing else")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help="print faults only")] = False,
) -> int:
    """Make a test piece for printer and servo; with --record, write what fitted as a printer profile of your own."""
    from mounts.inputs.library import Library

    refuse_no_folder(out)
    library = Library()
    if not record:
        if answers is not None:
            raise InputError(Fault("takes no file; to record what fitted say --record", written=f"'{answers}'"))
        piece = _asked(library, {}, printer, servo, wire, screw)
        return _make(piece, library, filament, out / FOLDER, as_json=as_json, quiet=quiet)
    return _record(library, answers, (printer, servo, wire, screw), name, out / FOLDER, quiet=quiet)


def _asked(
    library: Library, written: dict[str, Any], printer: str | None, servo: str | None, wire: str | None,
    screw: str | None,
) -> Coupon:  # fmt: skip
    """The piece of options, of what stands beside answers, and of defaults, in this order."""
    from mounts.coupon.plan import coupon as planned
    from mounts.inputs.model import Within
    from mounts.inputs.servo import Servo

    def chosen(given: str | None, key: str, default: str) -> str:
        return given if given is not None else str(written.get(key, default))

    with placed("printer"):
        machine = library.printer(chosen(printer, "printer", PRINTER))
    with placed("servo"):
        motor: Servo = library.servo(chosen(servo, "servo", SERVO))
    with placed("screw"):
        fixing = library.fixing(chosen(screw, "screw", SCREW))
    size = chosen(wire, "wire_mm", WIRE_MM)
    try:
        wire_mm = Within(0.2, 3.0).mm(size)
    except ValueError as fault:
        raise InputError(Fault(str(fault), ("wire",), repr(size))) from None
    return planned(machine, motor, fixing, wire_mm)


def _make(piece: Coupon, library: Library, filament: str, folder: Path, *, as_json: bool, quiet: bool) -> int:
    from mounts.coupon.make import STEM, make_coupon
    from mounts.export.commit import publish
    from mounts.report.model import worst
    from mounts.units import number

    with placed("filament"):
        plastic = library.filament(filament)
    made = make_coupon(piece, plastic)
    publish(folder, made.files)
    if as_json:
        sys.stdout.write(made.files[f"{STEM}.json"].decode())
    elif not quiet:
        for part, grams, minutes in made.told:
            print(f"{folder}/{STEM}-{part}.stl  {number(grams, 1)} g, {number(minutes, 0)} min")
        print(f"{folder}/{STEM}.txt  how to read it")
        print("then: mounts coupon --record")
    for check in made.checks:
        if check.verdict != "pass" and not (quiet and check.verdict == "warn"):
            print(f"{check.verdict}: {check.part}: {check.name}: {check.message}", file=sys.stderr)
    return MOUNT_FAILED if worst(made.checks) == "fail" else 0


def _record(
    library: Library, answers: Path | None, options: tuple[str | None, ...], name: str | None, folder: Path, *,
    quiet: bool,
) -> int:  # fmt: skip
    from mounts.coupon.make import ANSWERS
    from mounts.coupon.record import recorded, with_figures
    from mounts.inputs.load import read_toml

    beside = answers if answers is not None else folder / ANSWERS
    written = read_toml(beside) if answers is not None or beside.is_file() else {}
    printed, figures = written.pop("printed", {}), written.pop("figures", {})
    with placed(file=str(beside)):
        if not (isinstance(printed, dict) and isinstance(figures, dict)):
            raise InputError(Fault("must be tables", ("printed",)))
        if any(not isinstance(row, list) for row in figures.values()):
            raise InputError(Fault("must have a list for each key", ("figures",)))
    piece = _asked(library, printed, *options)
    with placed(file=str(beside)):
        piece = with_figures(piece, figures)
    if answers is None:
        found = recorded(piece, ask(piece))
    else:
        with placed(file=str(beside)):
            found = recorded(piece, written)
    if not found.told:
        raise InputError(Fault("must hold an answer at least; nothing is recorded", file=str(beside)))
    _write(library, piece, found, name)
    if not quiet:
        print(*found.told, sep="\n")
        for key in found.again:
            print(f"{key}: the answer is at the end of the steps: print the test piece again with the new profile")
    return 0


def _write(library: Library, piece: Coupon, found: Recorded, name: str | None) -> None:
    """Writes the profile: a new one that extends the printer's, or the user's own with the figures in it."""
    from mounts.cli.profiles import refuse_name
    from mounts.export.commit import publish
    from mounts.inputs.library import KINDS, sources_without
    from mounts.inputs.load import read_model, read_toml
    from mounts.inputs.write import write_toml

    printer = piece.printer
    origin = library.origin("printer", printer.name)
    mine = origin.is_relative_to(library.own)
    own = name or (printer.name if mine else f"my-{printer.name}")
    refuse_name(own)
    at = library.own / "printer" / f"{own}.toml"
    if own in library.names("printer") and not library.origin("printer", own).is_relative_to(library.own):
        said = f"is built in; choose another --name, such as my-{own}"
        raise InputError(Fault(said, ("name",), f"'{own}'"))
    before: dict[str, Any] = read_toml(at) if at.exists() else {}
    base = before.get("extends") or (None if own == printer.name else printer.name)
    title = before.get("title") or f"{printer.title}, test piece recorded"
    text = f"own test piece: {', '.join(found.keys)}"
    earlier = before.get("source", {}).get("measured", {}).get("figures", ())
    measured = {"text": text, "mark": "S", "figures": list(dict.fromkeys((*earlier, *found.figures)))}
    source = sources_without(before.get("source", {}), found.figures) | {"measured": measured}
    figures = {**before, **found.figures}
    figures["fits_mm"] = {**before.get("fits_mm", {}), **found.figures["fits_mm"]}
    for key in ("title", "extends", "source"):
        figures.pop(key, None)
    with placed(file=f"{own}.toml"):
        merged = {**printer.model_dump(mode="json"), **found.figures, "name": own, "source": source}
        read_model(merged, KINDS["printer"])
    head = {"title": title, "extends": base}
    publish(at.parent, {at.name: write_toml({**head, **figures, "source": source}).encode()})
    print(at)


def ask(piece: Coupon) -> dict[str, int]:
    """Which step fitted, one thing at a time; ``b`` goes back, Enter leaves it as it is.

    Raises:
        InputError: nobody answers.
    """
    from mounts.coupon.key import about
    from mounts.coupon.plan import STEPS

    answers: dict[str, int] = {}
    at = 0
    while at < len(piece.specimens):
        specimen = piece.specimens[at]
        print("", *about(specimen), sep="\n", file=sys.stderr)
        unanswered = Fault("needs a file of answers where nobody answers", ("record",))
        word = answered(f"  1 to {STEPS}, 0: none, Enter: leave it, b: back > ", unanswered).casefold()
        if word == "b":
            at = max(0, at - 1)
            answers.pop(piece.specimens[at].key, None)
        elif not word:
            at += 1
        elif word.isdecimal() and int(word) <= STEPS:
            answers[specimen.key] = int(word)
            at += 1
        else:
            print(f"  must be a step, 1 to {STEPS}, or 0 where none fitted", file=sys.stderr)
    return answers
