"""``mounts styles``: the mount styles there are and what can be set in each."""

from __future__ import annotations

import sys
import textwrap
from typing import Annotated

import typer

from mounts.errors import placed
from mounts.report.words import WIDE


def styles(
    name: Annotated[
        str | None, typer.Argument(help="a style, to see what --set takes there", show_default=False)
    ] = None,
) -> None:
    """List the mount styles, or the options of one."""
    from mounts import styles as room

    if name is None:
        for known in room.names():
            _print(f"{known:16} ", room.summary(known))
        return
    from mounts.inputs.load import allowed
    from mounts.styles import style_of

    with placed("name", file=""):
        style = style_of(name)
    for key, field in style.options.model_fields.items():
        default = "…" if field.default is None else field.default
        default = str(default).lower() if isinstance(default, bool) else default
        range_ = f" ({allowed(key, field)})" if allowed(key, field) else ""
        _print(f"--set {key}={default}  ", f"{field.description}{range_}", indent=8)


def _print(label: str, text: str, *, indent: int | None = None) -> None:
    """A label and its text: folded on a terminal, one line for a script."""
    if not sys.stdout.isatty():
        print(label + text)
        return
    inset = " " * (len(label) if indent is None else indent)
    print(textwrap.fill(text, WIDE, initial_indent=label, subsequent_indent=inset, break_on_hyphens=False))
