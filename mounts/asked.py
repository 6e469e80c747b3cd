"""A mount as asked for by options, from Python as from the command line."""

from __future__ import annotations

from mounts.inputs.ask import ask
from mounts.inputs.library import Library
from mounts.inputs.spec import MountSpec
from mounts.styles import check_asked


def asked(library: Library | None = None, **options: object) -> MountSpec:
    """The mount that options ask for, ready for ``pipeline.make_mount``.

    Args:
        library: where profiles are looked up; the built-in ones and the user's own by default.
        options: those of ``mounts make``, ``_`` for ``-``: lengths in mm or as text with a unit; None: not given.

    Raises:
        InputError: every fault at once: unknown options, styles and profiles, values out of range.
    """
    return ask(options, library or Library(), check_asked)
