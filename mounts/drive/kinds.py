"""The kinds of drive there are. A kind is a package of this folder, its name with '-' for '_', with a ``KIND``.

Nothing else is edited to add one: packages of this folder are discovered, modules are what every kind may use.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

from mounts.drive.discovery import discovered
from mounts.drive.model import Drive, Limits
from mounts.inputs.spec import MountSpec

if TYPE_CHECKING:
    from mounts.drive.choices import Axes
    from mounts.drive.ranking import Examined
    from mounts.drive.tolerances import Study

D = TypeVar("D", bound=Drive)
P = TypeVar("P")


@dataclass(frozen=True)
class Kind:
    """What the package of a kind of drive provides: plain functions on its own limits and drives.

    Attributes:
        limits: model of what a style leaves to it; its ``kind`` is the kind's name.
        drive: model of one that was chosen.
        examined: every candidate of a request, what it does, what it breaks and what it costs.
        study: a drive that throws points with things off, for the tolerance study; None: it throws none.
        pin_mm: a drive → the unloaded pin from mid throw by the arm's angle, mm and rad, + towards reverse; likewise.
        places: the tolerance study, a ``mounts.drive.spread.AngleSpread``, of a drive that holds something in places
            and throws no points.
        moves_along: axis of the mount frame, 1 or 2, that the wire's end goes along while the arm's hole does.
        turns_round: the arm's hole goes one way across the track while the pin goes the other.
        aims_at_overtravel: an over-travel may be asked for in place of a force, and kept where a mount is adapted.
        arm_towards_pivot: whether a drive's arm points to its pivot; None where it has none.
        board_hole_mm: what is drilled through the board for a drive's wire; None where nothing is.
        wires_y: where across the track a drive's wires pass board or plate, the first on 0; a second one hangs on the
            other end of a double arm.
        own_options: options of a request that only such a drive has a use for.
        unused: why it has no use for some options of a request, and which.
        other_asked: what else may be asked for of such a drive where there is none: as typed, and the request; None:
            another throw or force.
        as_taken: a request with what such a drive took for it, where the request leaves that open and a mount that
            is adapted keeps it.
        parts: room → ``module:name`` of what that room asks of the kind: ``scene`` a ``mounts.scene_kinds.Wiring``,
            ``checks`` a ``mounts.checks.kinds.Judging``, ``export`` a ``mounts.export.kinds.Drawing``, ``report`` a
            ``mounts.report.kinds.Telling``. They are imported when they are asked for.
    """

    limits: type[Limits]
    drive: type[Drive]
    examined: Callable[[MountSpec, Any, Axes], Examined]
    parts: Mapping[str, str]
    study: Callable[[MountSpec, Any, Any], Study] | None = None
    pin_mm: Callable[[Any], Callable[[float], float]] | None = None
    places: Callable[[MountSpec, Any, Any], Any] | None = None
    other_asked: Callable[[MountSpec], Iterable[tuple[str, MountSpec]]] | None = None
    moves_along: int = 1
    own_options: tuple[str, ...] = ()
    turns_round: bool = False
    aims_at_overtravel: bool = False
    arm_towards_pivot: Callable[[Any], bool | None] = lambda drive: None
    board_hole_mm: Callable[[Any], float | None] = lambda drive: None
    wires_y: Callable[[Any], tuple[float, ...]] = lambda drive: (0.0,)
    unused: tuple[str, tuple[str, ...]] = ("", ())
    as_taken: Callable[[MountSpec, Any], MountSpec] = lambda spec, drive: spec

    def part(self, room: str, wanted: type[P]) -> P:
        """What a room asks of the kind.

        Args:
            room: of ``parts``.
            wanted: what it must be.

        Raises:
            TypeError: the kind has something else there, or nothing.
        """
        found = _loaded(self.parts[room]) if room in self.parts else None
        if not isinstance(found, wanted):
            raise TypeError(f"{self.drive.__name__}: part '{room}' must be a {wanted.__name__}")
        return found


def deferred(place: str) -> Callable[..., Any]:
    """A function that is imported when it is called: an input error asks kinds, and needs no arithmetic for that.

    Args:
        place: ``module:name``.
    """
    return lambda *given: _loaded(place)(*given)


def _loaded(place: str) -> Any:
    module, _, name = place.partition(":")
    return getattr(importlib.import_module(module), name)


def kinds() -> Mapping[str, Kind]:
    """Every kind by name."""
    return discovered()


def kind_of(table: Drive | Limits) -> Kind:
    """The kind of a drive, or of the limits of one."""
    return kinds()[table.kind]


def kind_of_both(limits: Limits, drive: Drive) -> Kind:
    """The kind of a drive and of what a style left to it.

    Raises:
        TypeError: they are of different kinds.
    """
    if limits.kind != drive.kind:
        raise TypeError("limits and drive are of different kinds")
    return kind_of(drive)


def driven(drive: Drive, model: type[D]) -> D:
    """A drive as one of the kind that a style works with.

    Raises:
        TypeError: it is of another.
    """
    if not isinstance(drive, model):
        raise TypeError(f"{drive.kind} is not what drives this style: {model.__name__} is")
    return drive
