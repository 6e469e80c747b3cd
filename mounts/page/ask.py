"""What the page asks, answered by the functions that answer the command line: a drive, or what is wrong."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mounts.asked import asked
from mounts.checks.mechanics import check_mechanics
from mounts.checks.model import Check
from mounts.errors import BuildError, InputError, NoDesign
from mounts.inputs.spec import MountSpec
from mounts.page.address import Values, options_of
from mounts.page.ways import Told, of_fault, of_refusal
from mounts.pipeline import Designed, design_mount

if TYPE_CHECKING:
    from mounts.page.shelf import Shelf


@dataclass(frozen=True)
class Answer:
    """What becomes of what stands in the form, as far as numbers tell.

    Attributes:
        values: of the form.
        spec: the mount with nothing left to look up; None where something is wrong.
        designed: its drive; None where there is none.
        checks: of the mechanics.
        told: what is wrong.
    """

    values: Values
    spec: MountSpec | None = None
    designed: Designed | None = None
    checks: tuple[Check, ...] = ()
    told: tuple[Told, ...] = ()


def answer(values: Values, shelf: Shelf) -> Answer:
    """Everything that numbers tell of a mount; no solid is made."""
    options = options_of(values)
    try:
        shelf.refuse_paths(options)
        spec = asked(shelf.library, **options)
    except InputError as error:
        return Answer(values, told=tuple(map(of_fault, error.faults)))
    try:
        designed = design_mount(spec)
    except NoDesign as fault:
        return Answer(values, spec, told=(of_refusal(fault),))
    except InputError as error:
        return Answer(values, spec, told=tuple(map(of_fault, error.faults)))
    except BuildError as fault:
        return Answer(values, spec, told=(Told(f"build: {fault}", "", ()),))
    checks = tuple(check_mechanics(designed.design, designed.spread, designed.limits))
    return Answer(values, spec, designed, checks)
