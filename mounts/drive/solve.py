"""From a request and what the mount allows to a drive, or to the reason why there is none."""

from __future__ import annotations

from mounts.drive.choices import FREE, Axes
from mounts.drive.kinds import kind_of
from mounts.drive.limits import Refusal
from mounts.drive.model import Drive, Limits
from mounts.drive.ranking import Examined
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
    return kind_of(limits).examined(spec, limits, axes)
