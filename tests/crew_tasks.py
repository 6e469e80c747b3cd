"""Tasks that a fresh worker process can import."""

from __future__ import annotations

import os


def square(number: int) -> int:
    """A task that works, fails (7), lacks a library (99) or kills its worker (13)."""
    if number == 13:
        os._exit(1)
    if number == 7:
        raise ZeroDivisionError("seven is\nunlucky")
    if number == 99:
        raise ImportError("libGL.so.1: cannot open shared object file")
    return number * number
