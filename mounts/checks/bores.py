"""Upright holes: rings inside the layers, followed from layer to layer."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mounts.checks.duty import NO_DUTY, Duty
from mounts.checks.facets import SAG_MM, Floats, place_text
from mounts.checks.layers import Layers, is_hole
from mounts.checks.model import Check
from mounts.checks.thickness import RELIEF_MM
from mounts.inputs.printer import Printer
from mounts.mesh import PartMesh


@dataclass(eq=False)  # told apart by identity: two may hold equal figures
class _Bore:
    """A ring met in consecutive layers: where it began, where it was last seen, how small it got."""

    low_mm: float
    high_mm: float
    box: Floats
    size_mm: float
    at_mm: Floats


def check_holes(mesh: PartMesh, layers: Layers, printer: Printer, duty: Duty = NO_DUTY) -> Check | None:
    """``hole``: least size of an upright hole; None where there is no hole.

    The size of a ring is the longer side of the smallest rectangle round it: the diameter of a round
    hole, the length of a slot, whose width is the business of ``gap``. A hole is a stack of rings, one
    over the other, deeper than RELIEF_MM: the counters of letters are none. A servo screw's hole that is
    drilled through after printing may come out rough.

    Args:
        mesh: of the part, for its name.
        layers: the same part in slices.
        printer: least hole that it leaves open, and least that is clean.
        duty: servo's screw holes of the part, and whether they are drilled through.
    """
    deep = [bore for bore in _bores(layers) if bore.high_mm - bore.low_mm > RELIEF_MM]
    if not deep:
        return None
    smallest = printer.smallest_hole_mm
    drilled = duty.drilled & (duty.off_axes_mm(np.array([bore.at_mm for bore in deep])) < duty.screw_mm / 2)
    wanted = np.where(drilled, smallest, printer.clean_hole_mm)
    least, clean = min(zip(deep, wanted, strict=True), key=lambda one: (one[0].size_mm - one[1], one[0].size_mm))
    place = place_text(least.at_mm)
    hole = f"a {least.size_mm:.2f} mm hole at {place}"
    return Check.of(
        "hole",
        least.size_mm,
        "at least",
        smallest,
        "mm",
        f"least hole at {place}",
        f"{hole} closes up; make it {smallest:g} mm or more, or leave it out and drill it",
        warn=float(clean),
        warned=f"{hole} prints rough; run a drill through it or make it {clean:g} mm",
        slack=SAG_MM,
        part=mesh.name,
        at_mm=least.at_mm,
    )


def _bores(layers: Layers) -> list[_Bore]:
    """Every stack of rings; a ring goes on where its middle lies in the box of one in the layer below."""
    done: list[_Bore] = []
    going: list[_Bore] = []
    rings: list[tuple[Floats, float]] = []
    for height, layer, same in zip(layers.heights_mm, layers.sections, layers.repeats, strict=True):
        if not same:
            rings = [(_box(ring), _long_side_mm(ring)) for ring in layer.to_polygons() if is_hole(ring)]
        went_on: list[_Bore] = []
        for box, size in rings:
            middle = box.mean(axis=0)
            at = np.array([*middle, height])
            under = (b for b in going if (b.box[0] <= middle).all() and (middle <= b.box[1]).all())
            match = next(under, None)
            if match is None:
                went_on.append(_Bore(float(height), float(height), box, size, at))
                continue
            going.remove(match)
            match.high_mm, match.box = float(height), box
            if size < match.size_mm - 1e-9:
                match.size_mm, match.at_mm = size, at
            went_on.append(match)
        done += going
        going = went_on
    return done + going


def _box(ring: Floats) -> Floats:
    return np.array([ring.min(axis=0), ring.max(axis=0)])


def _long_side_mm(ring: Floats) -> float:
    """Longer side of the smallest rectangle, which lies along an edge of the hull, round a ring."""
    from shapely import MultiPoint, get_coordinates, oriented_envelope

    corners = get_coordinates(oriented_envelope(MultiPoint(ring)))
    return float(np.linalg.norm(np.diff(corners[:3], axis=0), axis=1).max())
