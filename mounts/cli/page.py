"""``mounts page``: what ``make`` asks and what becomes of it, in a browser of this machine."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

HELP_HOST = "address to listen at; another than the loopback asks for the token that it prints"


def page(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="layouts and servos are read here, and everything written")
    ] = Path("out"),
    host: Annotated[str, typer.Option(metavar="ADDRESS", help=HELP_HOST)] = "127.0.0.1",
    port: Annotated[int, typer.Option(metavar="N", min=0, max=65535, help="to listen at; 0: any that is free")] = 8421,
    open_: Annotated[bool, typer.Option("--open/--no-open", help="open the browser")] = True,
) -> int:
    """Show the bench page: change a value, see the mount, the swing and the checks."""
    from mounts.cli.faults import refuse_no_folder
    from mounts.page.serve import refuse_without_extra, serve

    refuse_without_extra()
    refuse_no_folder(folder, "folder")

    def begun(address: str) -> None:
        print(address, flush=True)
        print("Ctrl-C ends it", file=sys.stderr)
        if open_:
            import webbrowser

            webbrowser.open(address)

    serve(folder, host, port, begun)
    return 0
