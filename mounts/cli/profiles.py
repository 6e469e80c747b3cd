"""``mounts profiles``: list, show and measure profiles."""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from mounts.cli.faults import one_of_these
from mounts.errors import Fault, InputError, placed

if TYPE_CHECKING:
    from mounts.inputs.library import Library

app = typer.Typer(rich_markup_mode=None, help="List, show and measure profiles.", no_args_is_help=False)

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")


Kind = Annotated[
    str,
    typer.Argument(
        metavar="KIND", help="servo board roadbed scale printer filament wire fixing moved", show_default=False
    ),
]


@app.command("list")
def list_(kind: Kind = "") -> None:
    """List the profiles of a kind, or all; your own are marked."""
    from mounts.inputs.library import KINDS, Library

    library = Library()
    for each in [_kind(kind)] if kind else KINDS:
        print(f"{each}:")
        for name in library.names(each):
            own = "  (yours)" if library.origin(each, name).is_relative_to(library.own) else ""
            print(f"  {name:26} {library.read(each, name).title}{own}")


@app.command()
def show(
    kind: Kind,
    name: Annotated[str, typer.Argument(help="of the profile, or a path to one", show_default=False)],
) -> None:
    """Print a profile whole, with the sources of its figures; the text is itself a profile."""
    from mounts.inputs.library import KINDS, Library
    from mounts.inputs.write import write_toml

    library = Library()
    with placed(_kind(kind), file=""):
        profile, path = library.read(kind, name), library.origin(kind, name)
    comments = {key: field.description for key, field in KINDS[kind].model_fields.items() if field.description}
    print(f"# {profile.name}: {path}")
    print(write_toml(profile.model_dump(exclude={"name"}, exclude_defaults=False), comments), end="")


@app.command()
def calibrate(
    name: Annotated[str, typer.Argument(help="of your own servo profile, new or there", show_default=False)],
    extends: Annotated[
        str | None, typer.Option(metavar="NAME", help="profile it starts from, where it is new", show_default=False)
    ] = None,
    at: Annotated[
        list[str] | None,
        typer.Option(metavar="PULSE=ANGLE", help="us, and degrees counter-clockwise from mid swing; repeatable"),
    ] = None,
    sides: Annotated[
        str | None,
        typer.Option(metavar="PULSE,PULSE", help="us at which the arm touches either side of the printed protractor"),
    ] = None,
) -> None:
    """Record how far a servo turns a us, from pulses at which its arm was seen; one profile a servo, or a channel."""
    from mounts.coupon.plan import rises_deg
    from mounts.drive.calibrate import calibrated
    from mounts.export.commit import publish
    from mounts.inputs.library import Library, sources_without
    from mounts.inputs.load import read_model, read_toml
    from mounts.inputs.servo import Servo
    from mounts.inputs.write import write_toml

    library = Library()
    refuse_name(name)
    mine = name in library.names("servo")
    if mine and not library.origin("servo", name).is_relative_to(library.own):
        raise InputError(Fault(f"is built in; choose another name, with --extends {name}", ("name",), f"'{name}'"))
    if not mine and extends is None:
        raise InputError(Fault("must be given for a new profile, such as --extends micro-9g", ("extends",)))
    with placed("extends"):
        servo = library.servo(name if mine else str(extends))
    if bool(at) == bool(sides):
        raise InputError(Fault("must be given, or --sides, not both", ("at",)))
    if sides:
        low, high = _numbers(sides, ",", "sides")
        half = rises_deg(servo)
        found = calibrated(((low, -half), (high, half)), servo, between_only=True)
        pulses = [low, high]
    else:
        points = [_numbers(point, "=", "at") for point in at or ()]
        found = calibrated(points, servo)
        pulses = [pulse for pulse, _ in points]
    fresh: dict[str, Any] = {"title": f"{servo.title}, calibrated", "extends": extends}
    before = read_toml(library.origin("servo", name)) if mine else fresh
    seen = f"--sides {sides}" if sides else f"--at {' --at '.join(at or ())}"
    figures = found.figures(servo, pulses)
    own = {"text": f"own measurement: {seen}", "mark": "S", "figures": list(figures)}
    source = sources_without(before.get("source", {}), figures) | {"pulses": own}
    with placed(file=f"{name}.toml"):
        read_model({**servo.model_dump(mode="json"), **figures, "name": name}, Servo)
    data = {**{key: value for key, value in before.items() if key != "source"}, **figures, "source": source}
    publish(library.own / "servo", {f"{name}.toml": write_toml(data).encode()})
    print(library.own / "servo" / f"{name}.toml")
    print(
        f"{found.degrees_per_us:.4f} degrees a us, ± {found.spread:.4f} (was {servo.degrees_per_us:.4f} ± "
        f"{servo.degrees_per_us_spread:.4f})"
    )


def _numbers(text: str, between: str, option: str) -> tuple[float, float]:
    """Two numbers with a sign between.

    Raises:
        InputError: they are not.
    """
    try:
        one, other = (float(part) for part in text.split(between))
    except ValueError:
        said = f"must be two numbers with '{between}' between"
        raise InputError(Fault(said, (option,), f"'{text}'")) from None
    return one, other


@app.command()
def callipers(
    out: Annotated[Path, typer.Option(help="folder to write to")] = Path("out"),
    servo: Annotated[str, typer.Option(metavar="NAME", help="whose proportions are drawn")] = "micro-9g",
) -> None:
    """Draw where the callipers go on a servo, all measurements on one sheet to print: callipers.svg."""
    from mounts.cli.faults import refuse_no_folder
    from mounts.export.calliper_sheet import render_calliper_sheet
    from mounts.export.commit import publish
    from mounts.inputs.library import Library

    refuse_no_folder(out)
    with placed("servo"):
        drawn = Library().servo(servo)
    publish(out, {"callipers.svg": render_calliper_sheet(drawn)})
    print(out / "callipers.svg")


@app.command()
def new(
    kind: Kind,
    name: Annotated[str, typer.Argument(help="of the new profile", show_default=False)],
    extends: Annotated[
        str | None, typer.Option(metavar="NAME", help="profile it starts from", show_default=False)
    ] = None,
    title: Annotated[str | None, typer.Option(help="one line for the list", show_default=False)] = None,
    set_: Annotated[
        list[str] | None,
        typer.Option(
            "--set", metavar="KEY=VALUE", help="a figure; repeatable; without any, you are asked", show_default=False
        ),
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="overwrite your own profile of that name")] = False,
) -> None:
    """Make a profile of your own from measurements, given with --set, or asked for.

    Of a servo without --extends the eight that decide the fit are asked, with drawings; else every figure is.
    """
    from mounts.export.commit import publish
    from mounts.inputs.library import KINDS, Library
    from mounts.inputs.load import read_model
    from mounts.inputs.write import write_toml

    library = Library()
    _refuse_taken(library, _kind(kind), name, replace=replace)
    with placed("extends"):
        base = library.read(kind, extends).model_dump(mode="json") if extends else {}
    if kind == "servo" and not set_ and not extends:
        from mounts.cli.measure import measured_servo

        data = measured_servo(library, title)
        publish(library.own / kind, {f"{name}.toml": write_toml(data).encode()})
        read = Library().servo(name)
        print(f"{library.own / kind / name}.toml")
        print(f"{read.source['not_measured'].text}; 'mounts profiles show servo {name}' has the figures")
        return
    given = read_settings(set_ or [])
    if not set_:
        given |= _ask(kind, {**base, "name": name, "title": title or name})
    measured = [key for key in given if key != "title"]
    title = given.pop("title", title) or (f"{base['title']}, {'measured' if measured else 'yours'}" if base else name)
    source = {}
    if measured:
        own = {"text": f"own measurement: {', '.join(measured)}", "mark": "S", "figures": measured}
        source["measured"] = own
    with placed(file=f"{name}.toml"):
        read_model({**base, **given, "name": name, "title": title, "source": source or base.get("source")}, KINDS[kind])
    text = write_toml({"title": title, "extends": extends, **given, "source": source})
    publish(library.own / kind, {f"{name}.toml": text.encode()})
    print(f"{library.own / kind / name}.toml")


def _kind(word: str) -> str:
    from mounts.inputs.library import KINDS

    return one_of_these("kind", word, KINDS)


def read_settings(settings: list[str]) -> dict[str, Any]:
    """``KEY=VALUE`` words as a table; a value is TOML where it is that, else text such as ``3/4 in``.

    Raises:
        InputError: a fault for each word without '=' and each key given twice.
    """
    found: dict[str, Any] = {}
    faults = []
    for setting in settings:
        key, equals, value = (part.strip() for part in setting.partition("="))
        if not (key and equals and value):
            faults.append(Fault("must be NAME=VALUE", ("set",), f"'{setting}'"))
        elif key in found:
            faults.append(Fault("must not be given twice", ("set",), f"'{setting}'"))
        else:
            found[key] = _toml_or_text(value)
    if faults:
        raise InputError(*faults)
    return found


def _toml_or_text(value: str) -> Any:
    try:
        read = tomllib.loads(f"value = {value}")
    except tomllib.TOMLDecodeError:
        return value
    return read["value"] if len(read) == 1 else value


def refuse_name(name: str) -> None:
    """Raises InputError where a text is no name for a profile."""
    if not _NAME.fullmatch(name):
        raise InputError(Fault("must be letters, digits, '.', '-' and '_'", ("name",), f"'{name}'", file=""))


def _refuse_taken(library: Library, kind: str, name: str, *, replace: bool) -> None:
    def refused(said: str) -> InputError:
        return InputError(Fault(said, ("name",), f"'{name}'", file=""))

    refuse_name(name)
    if name not in library.names(kind):
        return
    path = library.origin(kind, name)
    if not path.is_relative_to(library.own):
        raise refused(f"is built in; choose another name, with --extends {name}")
    if not replace:
        raise refused(f"is there already ({path}); use --replace to overwrite it")


def _ask(kind: str, known: dict[str, Any]) -> dict[str, Any]:
    """Asks for each figure; Enter keeps the one shown; a figure that can't be is asked for again.

    Args:
        kind: of profile.
        known: the figures it starts from, and its name and title.

    Returns:
        The figures that were answered otherwise than shown.
    """
    from rich.console import Console
    from rich.prompt import Prompt

    from mounts.inputs.library import KINDS
    from mounts.inputs.load import unit_of

    console = Console(stderr=True, highlight=False)
    answers: dict[str, Any] = {}
    for key, field in KINDS[kind].model_fields.items():
        now = known.get(key, None if field.is_required() else field.get_default(call_default_factory=True))
        if key in ("name", "title", "source") or isinstance(now, dict):
            continue
        if isinstance(now, list) and any(isinstance(v, dict) for v in now):
            continue
        shown = ", ".join(map(str, now)) if isinstance(now, list | tuple) else now
        asked = ", ".join(text for text in (f"{key}: {field.description or ''}".rstrip(": "), unit_of(key)) if text)
        while True:
            try:
                answer = Prompt.ask(asked, default=None if shown is None else str(shown), console=console)
            except EOFError:
                console.print()
                raise InputError(Fault("must be given where nobody answers", ("set",))) from None
            if answer is None or answer == str(shown):
                break
            value: Any = _toml_or_text(f"[{answer}]" if isinstance(now, list | tuple) else answer)
            faults = _faults_of_field(kind, {**known, **answers, key: value}, key)
            if not faults:
                answers[key] = value
                break
            print(*faults, sep="\n", file=sys.stderr)
    return answers


def _faults_of_field(kind: str, figures: dict[str, Any], key: str) -> list[Fault]:
    """What is wrong with one figure, alone or beside the others."""
    from mounts.inputs.library import KINDS
    from mounts.inputs.load import sound_part

    _, faults = sound_part(figures, KINDS[kind])
    return [fault.within(file=f"{figures['name']}.toml") for fault in faults if fault.place[:1] == (key,)]
