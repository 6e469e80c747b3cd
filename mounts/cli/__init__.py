"""The command line: options in, exit code out. The only room that prints."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from mounts.cli import faults
from mounts.cli.adapt import adapt
from mounts.cli.batch import batch
from mounts.cli.coupon import coupon
from mounts.cli.make import make
from mounts.cli.page import page
from mounts.cli.profiles import app as profiles_app
from mounts.cli.schema import schema
from mounts.cli.styles import styles

app = typer.Typer(
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Printed servo mounts for model-railway turnouts: drive, bracket, checks and files.",
)
app.command()(make)
app.command()(batch)
app.command()(adapt)
app.command()(coupon)
app.command()(page)
app.add_typer(profiles_app, name="profiles")
app.command()(styles)
app.command()(schema)


def _print_version(asked: bool) -> None:
    if asked:
        from mounts import __version__

        print(f"mounts {__version__}")
        raise typer.Exit


@app.callback()
def _common(
    version: Annotated[
        bool, typer.Option("--version", callback=_print_version, is_eager=True, help="print the version and stop")
    ] = False,
    debug: Annotated[bool, typer.Option("--debug", help="show the traceback of a fault; may stand anywhere")] = False,
) -> None:
    """What every command takes."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs a command and returns its exit code: 0 good, 1 a mount failed, 2 the input is wrong."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    try:
        code = app([word for word in given if word != "--debug"], prog_name="mounts", standalone_mode=False)
        return int(code or 0)
    except (Exception, KeyboardInterrupt) as fault:
        return faults.tell(fault, debug="--debug" in given)
