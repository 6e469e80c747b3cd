"""What a lift is asked for, with what stands in for what was left out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from mounts.inputs.moved import Position, evenly
from mounts.inputs.resolve import DEFAULT_TRAVEL_MM
from mounts.inputs.spec import MountSpec
from mounts.units import number

WEIGHT_N, STOP_N, SECONDS = 0.1, 0.5, 1.0
"""Of what is moved where no profile says: its weight on the rod, half of what breaks an arm, and an arm's time."""


SHARES = (0.85, 1.2, 0.7, 1.5, 0.5, 2.0)
"""Of travel or crank, tried where there is no drive, the nearest first."""


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


def other_asked(spec: MountSpec) -> Iterator[tuple[str, MountSpec]]:
    """What else may be asked for where there is no drive: another travel or crank, the crank set back, its spindle."""
    if spec.crank_mm is None:
        asked = asked_of(spec).places
        whole = max(place.at for place in asked)
        for share in SHARES:
            travel_mm = round(whole * share, 1)
            places = tuple(Position(name=place.name, at=place.at * travel_mm / whole) for place in asked)
            yield f"--travel {number(travel_mm)}", _with(spec, travel_mm=travel_mm, positions=places)
        return
    places = spec.positions
    middle = (min(place.at for place in places) + max(place.at for place in places)) / 2.0
    if middle:
        level = tuple(Position(name=place.name, at=place.at - middle) for place in places)
        typed = ", ".join(f"{place.name}={number(place.at)}" for place in level)
        yield f"--positions '{typed}' with the crank set back on its spindle", _with(spec, positions=level)
    y, z = spec.crank_pivot_mm or (None, 0.0)
    if y is not None:
        yield f"--crank-pivot {number(z)}", _with(spec, crank_pivot_mm=(None, z))
    for share in SHARES:
        crank_mm = round(spec.crank_mm * share, 1)
        if crank_mm >= 1.0:
            yield f"--crank {number(crank_mm)}", _with(spec, crank_mm=crank_mm)


def _with(spec: MountSpec, **asked: object) -> MountSpec:
    return spec.model_copy(update=asked)
