"""From a request and what the mount allows to a drive, or to the reason why there is none."""

from __future__ import annotations

from mounts.drive.choices import FREE, Axes
from mounts.drive.examined import Examined
from mounts.drive.model import Drive, Limits, PushRodLimits
from mounts.drive.solve_push_rod import examined_push_rod, possible_push_rod
from mounts.drive.solve_rocking_wire import examined_rocking_wire, possible_rocking_wire
from mounts.drive.ways_out import ways_out
from mounts.errors import NoDesign
from mounts.inputs.spec import MountSpec


def solve(spec: MountSpec, limits: Limits) -> Drive:
    """The drive that suits best.

    Args:
        spec: the request, resolved.
        limits: what the style leaves to the drive; its kind chooses the solver.

    Raises:
        NoDesign: nothing satisfies every limit; names the limit that removed most candidates and the
            nearest changes that bring one back, each worked out.
        InputError: a pinned wire or arm hole that does not exist.
    """
    found = attempt(spec, limits)
    if not isinstance(found, str):
        return found
    ways = ways_out(spec, lambda changed: _possible(changed, limits))
    raise NoDesign(f"{spec.id}: {found}" + ("; or " + ", or ".join(ways) if ways else ""))


def attempt(spec: MountSpec, limits: Limits) -> Drive | str:
    """The drive that suits best, or the line that says why there is none; no ways out are looked for.

    Raises:
        InputError: a pinned wire or arm hole that does not exist.
    """
    return examined(spec, limits).best()


def examined(spec: MountSpec, limits: Limits, axes: Axes = FREE) -> Examined:
    """Every candidate of a request, by the solver that its limits ask for."""
    if isinstance(limits, PushRodLimits):
        return examined_push_rod(spec, limits, axes)
    return examined_rocking_wire(spec, limits, axes)


def _possible(spec: MountSpec, limits: Limits) -> bool:
    if isinstance(limits, PushRodLimits):
        return possible_push_rod(spec, limits)
    return possible_rocking_wire(spec, limits)
