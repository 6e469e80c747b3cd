"""From a request and what the mount allows to a drive, or to the reason why there is none."""

from __future__ import annotations

from mounts.drive.candidates import Refusal
from mounts.drive.choices import FREE, Axes
from mounts.drive.examined import Examined
from mounts.drive.model import Drive, Limits, PushRodLimits
from mounts.drive.solve_push_rod import examined_push_rod
from mounts.drive.solve_rocking_wire import examined_rocking_wire
from mounts.errors import NoDesign
from mounts.inputs.spec import MountSpec


def solve(spec: MountSpec, limits: Limits) -> Drive:
    """The drive that suits best.

    Args:
        spec: the request, resolved.
        limits: what the style leaves to the drive; its kind chooses the solver.

    Raises:
        NoDesign: nothing satisfies every limit; names the limit that removed most candidates, and what the
            nearest one lacks.
        InputError: a pinned wire or arm hole that does not exist.
    """
    found = attempt(spec, limits)
    if not isinstance(found, Refusal):
        return found
    raise NoDesign(f"{spec.id}: {found}", why=f"{spec.id}: {found.why}")


def attempt(spec: MountSpec, limits: Limits) -> Drive | Refusal:
    """The drive that suits best, or the line that says why there is none.

    Raises:
        InputError: a pinned wire or arm hole that does not exist.
    """
    return examined(spec, limits).best()


def examined(spec: MountSpec, limits: Limits, axes: Axes = FREE) -> Examined:
    """Every candidate of a request, by the solver that its limits ask for."""
    if isinstance(limits, PushRodLimits):
        return examined_push_rod(spec, limits, axes)
    return examined_rocking_wire(spec, limits, axes)
