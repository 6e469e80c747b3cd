"""What a lift is asked for, with what stands in for what was left out."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from mounts.drive.lift.model import LiftDrive
from mounts.inputs.moved import LONGEST_CRANK_MM, Position, evenly
from mounts.inputs.request import CRANK, CRANK_PIVOT_Z
from mounts.inputs.resolve import DEFAULT_TRAVEL_MM
from mounts.inputs.spec import MountSpec
from mounts.units import number

WEIGHT_N, STOP_N, SECONDS = 0.1, 0.5, 1.0
"""Of what is moved where no profile says: its weight on the rod, half of what breaks an arm, and an arm's time."""


SHARES = (0.85, 1.2, 0.7, 1.5, 0.5, 2.0, 3.0)
"""Of travel or crank, tried where there is no drive, the nearest first."""

HIGHER = (1.2, 1.5, 2.0, 3.0)
"""The same of the spindle's height."""

CRANK_STEP_MM, SPINDLE_STEP_MM = 0.2, 0.5  # as people drill and measure them


Change = tuple[str, dict[str, object]]
"""As typed, and what it changes of a request."""


@dataclass(frozen=True)
class Asked:
    """Places by rising figure: degrees of a crank, or mm that a wire is lifted.

    Attributes:
        places: in the order asked.
        crank_mm: None where a wire is lifted.
        pivot_y: of its spindle; None: free.
        pivot_z: likewise, 0 without a crank.
        weight_n: on the rod.
        stop_n: what the stop may be pressed with.
        seconds: from end to end.
    """

    places: tuple[Position, ...]
    crank_mm: float | None
    pivot_y: float | None
    pivot_z: float
    weight_n: float
    stop_n: float
    seconds: float


def asked_of(spec: MountSpec) -> Asked:
    """The lift that a request asks for; one of ``DEFAULT_TRAVEL_MM`` where it says nothing."""
    moved, pivot = spec.moved, spec.crank_pivot_mm or (None, 0.0)
    travel_mm = DEFAULT_TRAVEL_MM if spec.travel_mm is None else spec.travel_mm
    return Asked(
        places=spec.positions or evenly(2, 0.0, travel_mm),
        crank_mm=spec.crank_mm,
        pivot_y=pivot[0],
        pivot_z=pivot[1],
        weight_n=moved.weight_n if moved else WEIGHT_N,
        stop_n=moved.stop_n if moved else STOP_N,
        seconds=moved.seconds if moved else SECONDS,
    )


def longer(spec: MountSpec, lowest_z: float) -> Iterator[MountSpec]:
    """The request with longer cranks, their spindle as far up as each asks, where nobody measured them.

    Args:
        spec: with crank and spindle of the scale.
        lowest_z: of the crank's hole, mount frame, mm.
    """
    if not spec.crank_of_scale or spec.crank_mm is None:
        return
    _, z = spec.crank_pivot_mm or (None, 0.0)
    down = max(0.0, -math.sin(math.radians(min(place.at for place in spec.positions))))
    for step in range(math.floor((LONGEST_CRANK_MM - spec.crank_mm) / CRANK_STEP_MM + 1e-6) + 1):
        crank_mm = round(spec.crank_mm + step * CRANK_STEP_MM, 1)
        least_z = SPINDLE_STEP_MM * math.ceil((lowest_z + crank_mm * down) / SPINDLE_STEP_MM + 0.2)
        yield spec.model_copy(update={"crank_mm": crank_mm, "crank_pivot_mm": (None, max(z, least_z))})


def as_taken(spec: MountSpec, drive: LiftDrive) -> MountSpec:
    """The request with the crank that a drive has, where nobody measured one."""
    if not spec.crank_of_scale or drive.crank_pivot is None:
        return spec
    return _with(spec, crank_mm=drive.crank_mm, crank_pivot_mm=(None, drive.crank_pivot[1]))


def other_asked(spec: MountSpec) -> Iterator[tuple[str, MountSpec]]:
    """What else may be asked for where there is no drive: another travel; or of a crank, as follows.

    Set back on its spindle, the spindle elsewhere, another length; one change alone first, then several together.
    """
    if spec.crank_mm is None:
        asked = asked_of(spec).places
        whole = max(place.at for place in asked)
        for share in SHARES:
            travel_mm = round(whole * share, 1)
            places = tuple(Position(name=place.name, at=place.at * travel_mm / whole) for place in asked)
            yield f"--travel {number(travel_mm)}", _with(spec, travel_mm=travel_mm, positions=places)
        return
    changes: list[list[Change]] = [
        [("", {}), *_levelled(spec.positions)],
        [("", {}), *_spindles(spec)],
        [("", {}), *_cranks(spec.crank_mm)],
    ]
    found = [
        (" ".join(told for told, _ in chosen if told), {key: value for _, new in chosen for key, value in new.items()})
        for chosen in itertools.product(*changes)
    ]
    for told, new in sorted(found, key=lambda one: len(one[1])):
        if told:
            back = " with the crank set back on its spindle" if "positions" in new else ""
            yield told + back, _with(spec, **new)


def _levelled(places: tuple[Position, ...]) -> list[Change]:
    """The crank level half way, as typed, and what that changes; nothing where it is."""
    middle = (min(place.at for place in places) + max(place.at for place in places)) / 2.0
    if not middle:
        return []
    level = tuple(Position(name=place.name, at=round(place.at - middle, 1)) for place in places)
    typed = ", ".join(f"{place.name}={number(place.at)}" for place in level)
    return [(f"--positions '{typed}'", {"positions": level})]


def _spindles(spec: MountSpec) -> list[Change]:
    """The spindle where the rod stands upright, and further up."""
    y, z = spec.crank_pivot_mm or (None, 0.0)
    heights = [] if y is None else [z]
    heights += [round(z * share, 1) for share in HIGHER if z * share <= CRANK_PIVOT_Z.high_mm]
    return [(f"--crank-pivot {number(height)}", {"crank_pivot_mm": (None, height)}) for height in heights]


def _cranks(crank_mm: float) -> list[Change]:
    """Shorter and longer ones that may be asked for."""
    sizes = [round(crank_mm * share, 1) for share in SHARES]
    return [(f"--crank {number(size)}", {"crank_mm": size}) for size in sizes if CRANK.low_mm <= size <= CRANK.high_mm]


def _with(spec: MountSpec, **asked: object) -> MountSpec:
    return spec.model_copy(update={**asked, "crank_of_scale": False})
