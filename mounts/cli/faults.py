"""What a fault says on stderr, one line each, and the exit code it has."""

from __future__ import annotations

import re
import sys
import traceback
from collections.abc import Iterable
from pathlib import Path

import typer
from typer.exceptions import TyperException

from mounts.errors import BuildError, Fault, InputError, NoDesign

# exit codes
MOUNT_FAILED = 1
INPUT_WRONG = 2

_KERNEL_PACKAGES = "libgl1 libexpat1"
"""Debian packages of the system libraries the CAD kernel is linked against; libgl1 brings libx11-6."""


def tell(fault: BaseException, *, debug: bool) -> int:
    """Prints a fault, with its traceback if asked, and returns the exit code."""
    if debug:
        traceback.print_exception(fault)
    lines, code = _lines(fault)
    for line in lines:
        print(line, file=sys.stderr)
    return code


def _lines(fault: BaseException) -> tuple[list[str], int]:
    if isinstance(fault, InputError):
        return [f"error: {line}" for line in fault.lines], INPUT_WRONG
    if isinstance(fault, TyperException):
        return [f"error: {_usage(fault)}"], INPUT_WRONG
    if isinstance(fault, NoDesign):
        return [f"no design: {fault}"], MOUNT_FAILED
    if isinstance(fault, BuildError):
        return [f"build: {fault}"], MOUNT_FAILED
    if isinstance(fault, KeyboardInterrupt | typer.Abort):
        return ["stopped: nothing more is written"], MOUNT_FAILED
    if isinstance(fault, ImportError) and (library := missing_library(fault)):
        return [
            f"error: the CAD kernel needs the system library {library}; on Debian or Ubuntu: "
            f"apt-get install {_KERNEL_PACKAGES}"
        ], MOUNT_FAILED
    if isinstance(fault, OSError):
        return [f"error: {_where(fault)}: {fault.strerror or fault}"], MOUNT_FAILED
    text = " ".join(str(fault).split())
    return [f"bug: {type(fault).__name__}: {text}; rerun with --debug"], MOUNT_FAILED


def one_of_these(argument: str, value: str, known: Iterable[str]) -> str:
    """The value of an argument, if it is one of the known words.

    Raises:
        InputError: it is not; the fault names the nearest, or all.
    """
    from mounts.inputs.load import nearest, one_of

    words = list(known)
    if value in words:
        return value
    near = nearest(value, words)
    said = f"nearest is '{near}'" if near else f"must be {one_of(words)}"
    raise InputError(Fault(said, (argument,), repr(value), file=""))


def refuse_no_folder(out: Path, argument: str = "") -> None:
    """Raises InputError where ``--out``, or an argument of that name, is there and is no folder."""
    if out.exists() and not out.is_dir():
        place, file = ((argument,), "") if argument else (("out",), None)
        raise InputError(Fault("must be a folder", place, f"'{out}'", file=file))


def missing_library(fault: ImportError) -> str | None:
    """The shared library of the system that the loader did not find, if that is what the fault is."""
    found = re.match(r"(lib[\w.+-]+\.so[\w.]*): cannot open shared object file", str(fault))
    return found[1] if found else None


def _where(fault: OSError) -> str:
    return repr(str(fault.filename)) if fault.filename else "system"


def _usage(fault: TyperException) -> str:
    """The sentence of a usage fault in the grammar of all others: lower case, no full stop, the nearest name."""
    option, context = getattr(fault, "option_name", None), getattr(fault, "ctx", None)
    if option and context:
        from mounts.inputs.load import nearest

        near = nearest(option, [name for parameter in context.command.params for name in parameter.opts])
        help_ = f"'{context.command_path} --help' lists them"
        return f"{option}: unknown option; " + (f"nearest is '{near}'" if near else help_)
    text = " ".join(fault.format_message().split()).rstrip(".")
    text = re.sub(r"\. Did you mean '?([^'?]+)'?\?$", r"; nearest is '\1'", text)
    if text == "Missing command" and context:
        text += f"; '{context.command_path} --help' lists them"
    return text[:1].lower() + text[1:]
