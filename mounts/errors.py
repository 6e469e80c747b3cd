"""What can go wrong, and the line that says so.

    MountsError            never raised itself
    ├ InputError           the input is wrong; nothing is written          exit 2
    ├ NoDesign             the input is fine, no mount satisfies it        exit 1
    │ └ NoFixing           nothing that was allowed holds it to its board
    └ BuildError           the CAD kernel could not do a step              exit 1

A failed check is not an exception: it is a row of the report (exit 1).
"""

from __future__ import annotations


class MountsError(Exception):
    """Common ancestor, so that the command line can catch them in one place."""


class InputError(MountsError):
    """One or several faults of the input, each one line without the ``error: `` in front.

    The grammar of a line: ``<file or option>: <where> = <value as written>: <must …>[; <what to do>]``.
    """

    def __init__(self, *faults: str) -> None:
        super().__init__("\n".join(faults))
        self.faults: tuple[str, ...] = faults


class NoDesign(MountsError):
    """No drive or mount satisfies the request; the text names the limit and the nearest way out.

    Attributes:
        why: the text without the way out, where what is advised can be told apart.
    """

    def __init__(self, text: str, *, why: str | None = None) -> None:
        super().__init__(text)
        self.why = text if why is None else why


class NoFixing(NoDesign):
    """No screw, bolt or glue that was allowed holds the mount to its board; no other drive would mend that."""


class BuildError(MountsError):
    """The kernel refused a step; the text names the step and what to change."""
