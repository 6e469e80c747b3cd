"""From a request and what the mount allows to a drive, or to the reason why there is none."""

from __future__ import annotations

from mounts.drive.model import Drive, Limits, PushRodLimits
from mounts.drive.solve_push_rod import attempt_push_rod, possible_push_rod
from mounts.drive.solve_rocking_wire import attempt_rocking_wire, possible_rocking_wire
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
    found = _attempt(spec, limits)
    if not isinstance(found, str):
        return found
    ways = ways_out(spec, lambda changed: _possible(changed, limits))
    raise NoDesign(f"{spec.id}: {found}" + ("; or " + ", or ".join(ways) if ways else ""))


def _attempt(spec: MountSpec, limits: Limits) -> Drive | str:
    if isinstance(limits, PushRodLimits):
        return attempt_push_rod(spec, limits)
    return attempt_rocking_wire(spec, limits)


def _possible(spec: MountSpec, limits: Limits) -> bool:
    if isinstance(limits, PushRodLimits):
        return possible_push_rod(spec, limits)
    return possible_rocking_wire(spec, limits)
