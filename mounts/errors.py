"""What can go wrong, and the line that says so.

    MountsError            never raised itself
    ├ InputError           the input is wrong; nothing is written          exit 2
    ├ NoDesign             the input is fine, no mount satisfies it        exit 1
    │ └ NoFixing           nothing that was allowed holds it to its board
    └ BuildError           the CAD kernel could not do a step              exit 1

A failed check is not an exception: it is a row of the report (exit 1).

A fault of the input is data until it is printed. Whoever finds one knows what must be; whoever called
knows where that was written, and puts the place in front on the way up (``placed``, ``Gathered``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import TypeVar

T = TypeVar("T")
Place = tuple[str | int, ...]


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with the input. Its ``str`` is the line that people read, without ``error: ``.

    ``yard.toml: mount[3].throw = 14: must be 1.6 to 4.5 mm in HO``

    Attributes:
        said: what must be, and what to do.
        place: keys and numbers from the outside in; empty: the whole of it.
        written: what stands there, as TOML; None: nothing does, or it does not matter.
        file: the file or folder it is a fault of. None: of what is being read, until its reader is known, in
            the end options of the command line. Empty: words that belong to no file and are no options.

    >>> print(Fault("must be 5, 7 or 9 mm", ("arm_hole",), "6"))
    --arm-hole = 6: must be 5, 7 or 9 mm
    >>> print(Fault("unknown field; remove it", ("set", "plat_mm"), "6"))
    --set: plat_mm = 6: unknown field; remove it
    """

    said: str
    place: Place = ()
    written: str | None = None
    file: str | None = None

    def __str__(self) -> str:
        where = _option(self.place) if self.file is None else dotted(self.place)
        equation = where if self.written is None else f"{where} = {self.written}".removeprefix(" = ")
        return ": ".join(part for part in (self.file, equation, self.said) if part)

    def within(self, *place: str | int, file: str | None = None) -> Fault:
        """The same as seen by who read ``place``; a fault of a file stays where it is."""
        return replace(self, place=(*place, *self.place), file=file) if self.file is None else self


def dotted(place: Place) -> str:
    """A place as a path.

    >>> dotted(("mount", 3, "throw"))
    'mount[3].throw'
    """
    return "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in place).removeprefix(".")


def _option(place: Place) -> str:
    """A place on the command line; an option that is a table, such as --set, is told like a file."""
    if not place:
        return ""
    flag = "--" + str(place[0]).replace("_", "-")
    joint = ": " if len(place) > 1 and isinstance(place[1], str) else ""
    return flag + joint + dotted(place[1:])


class MountsError(Exception):
    """Common ancestor, so that the command line can catch them in one place."""


class InputError(MountsError):
    """One or several faults of the input."""

    def __init__(self, *faults: Fault) -> None:
        super().__init__(*faults)
        self.faults = faults

    def __str__(self) -> str:
        return "\n".join(self.lines)

    @property
    def lines(self) -> tuple[str, ...]:
        """A line a fault."""
        return tuple(str(fault) for fault in self.faults)


@contextmanager
def placed(*place: str | int, file: str | None = None) -> Iterator[None]:
    """Puts where it was written in front of every fault that comes from inside.

    Args:
        place: keys and numbers from the outside in.
        file: the file, where this is the outside.
    """
    try:
        yield
    except InputError as error:
        error.faults = tuple(fault.within(*place, file=file) for fault in error.faults)
        raise


class Gathered:
    """Goes on past faults, so that those of several steps come at once.

    Attributes:
        faults: found so far.
    """

    def __init__(self, *faults: Fault) -> None:
        self.faults = list(faults)

    def of(self, find: Callable[[], T], *place: str | int) -> T | None:
        """What ``find`` finds, or None where it is refused; ``place`` is where that was written."""
        try:
            return find()
        except InputError as error:
            self.faults += [fault.within(*place) for fault in error.faults]
            return None

    def tell(self) -> None:
        """Raises InputError if anything was found."""
        if self.faults:
            raise InputError(*self.faults)


class NoDesign(MountsError):
    """No drive or mount satisfies the request; the text names the limit and the nearest way out.

    Attributes:
        why: the text without the way out, where what is advised can be told apart.
        ways: changes that were tried and work, each as it is typed.
    """

    def __init__(self, text: str, *, why: str | None = None, ways: tuple[str, ...] = ()) -> None:
        super().__init__(text)
        self.why = text if why is None else why
        self.ways = ways


class NoFixing(NoDesign):
    """No screw, bolt or glue that was allowed holds the mount to its board; no other drive would mend that."""


class BuildError(MountsError):
    """The kernel refused a step; the text names the step and what to change."""
