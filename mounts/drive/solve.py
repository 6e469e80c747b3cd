"""From a request and what the mount allows to a drive, or to the reason why there is none."""

from __future__ import annotations

from mounts.drive.model import Drive, Limits
from mounts.drive.solve_rocking_wire import attempt_rocking_wire
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

    def drive(changed: MountSpec) -> Drive | None:
        again = _attempt(changed, limits)
        return None if isinstance(again, str) else again

    ways = ways_out(spec, drive)
    raise NoDesign(f"{spec.id}: {found}" + ("; or " + ", or ".join(ways) if ways else ""))


def _attempt(spec: MountSpec, limits: Limits) -> Drive | str:
    return attempt_rocking_wire(spec, limits)
