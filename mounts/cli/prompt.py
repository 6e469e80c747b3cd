"""One line asked of a person, on stderr, so that stdout is the answer of the program."""

from __future__ import annotations

import sys

from mounts.errors import Fault, InputError


def answered(prompt: str, unanswered: Fault) -> str:
    """The line that was typed, without spaces round it.

    Args:
        prompt: what stands before it.
        unanswered: raised where the input has ended.

    Raises:
        InputError: nobody answers.
    """
    sys.stderr.write(prompt)
    sys.stderr.flush()
    line = sys.stdin.readline()
    if not line:
        sys.stderr.write("\n")
        raise InputError(unanswered)
    return line.strip()
