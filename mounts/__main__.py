"""``python -m mounts``, and the command ``mounts``."""

from __future__ import annotations

import atexit
import os
import sys
from contextlib import suppress


def run() -> int:
    """Runs the command that was given; once all is written, the process ends at once.

    The interpreter would take the CAD kernel's libraries down piece by piece, which takes a quarter of the time of
    their import.
    """
    # else pydantic looks through every installed package for plugins, a tenth of an answered input error
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "1")
    from mounts.cli import main

    codes: list[int] = []
    atexit.register(_leave, codes)  # the first that is registered is the last that is called
    codes.append(main())
    return codes[0]


def _leave(codes: list[int]) -> None:
    if not codes:  # ended otherwise
        return
    with suppress(OSError):  # nobody reads on: Python says so as it always does
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(codes[0])


if __name__ == "__main__":
    sys.exit(run())
