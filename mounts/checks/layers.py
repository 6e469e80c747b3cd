"""A part cut into the layers it is printed in, and what is too narrow or starts in mid-air there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mounts.checks.facets import SAG_MM, Facets, Floats, place_text
from mounts.checks.model import Check
from mounts.checks.thickness import RELIEF_MM, WALL_LINES
from mounts.inputs.printer import Printer
from mounts.mesh import PartMesh

if TYPE_CHECKING:
    from manifold3d import CrossSection

SHORT_MM = 1.5
"""A stretch shorter than this may be narrower than two lines: the tip of a corner of 25° or more."""

_UPRIGHT = 1e-6  # |n_z| under which a face is the same in every layer
_CORNER_MM = 0.5  # a disc two lines wide leaves 0.34 mm of a square corner
_SPECK_MM2 = 1e-3  # no nozzle can put down so little


@dataclass(frozen=True)
class Layers:
    """Sections at half the height of each layer, as a slicer takes them.

    Attributes:
        heights_mm: (n,) z of each section.
        sections: n sections.
        repeats: (n,) whether a section is the very same as the one below.
    """

    heights_mm: Floats
    sections: tuple[CrossSection, ...]
    repeats: tuple[bool, ...]


def cut(facets: Facets, printer: Printer) -> Layers:
    """The layers of a closed mesh that stands on z = 0; each differing one is cut once."""
    top = float(facets.vertices_mm[:, 2].max())
    more = int(np.ceil((top - printer.first_layer_mm) / printer.layer_mm - 0.5))
    rest = printer.first_layer_mm + printer.layer_mm * (np.arange(more) + 0.5)
    heights = np.concatenate([[min(printer.first_layer_mm, top) / 2], rest])
    changed = _changed(facets, heights)
    sections: list[CrossSection] = []
    for height, differs in zip(heights, changed, strict=True):
        sections.append(facets.solid.slice(float(height)) if differs else sections[-1])
    return Layers(heights, tuple(sections), tuple(not differs for differs in changed))


def _changed(facets: Facets, heights: Floats) -> list[bool]:
    """Whether a face that is not upright comes between a section and the one below; an upright one ends at such."""
    low, high = heights[:-1] - 1e-6, heights[1:] + 1e-6
    leaning = facets.corners_mm[np.abs(facets.normals[:, 2]) > _UPRIGHT][:, :, 2]
    bottoms, tops = np.sort(leaning.min(axis=1)), np.sort(leaning.max(axis=1))
    crossed = np.searchsorted(bottoms, high) > np.searchsorted(tops, low)
    return [True, *crossed.tolist()]


def check_islands(mesh: PartMesh, layers: Layers) -> Check:
    """``island``: places where a layer starts with nothing under it."""
    starts: list[Floats] = []
    for i in range(1, len(layers.sections)):
        section, below = layers.sections[i], layers.sections[i - 1]
        if layers.repeats[i]:
            continue
        added = section - below
        if added.area() < _SPECK_MM2:
            continue
        for piece in section.decompose():
            if piece.area() >= _SPECK_MM2 and (piece ^ below).area() < _SPECK_MM2:
                starts.append(_place(piece, float(layers.heights_mm[i])))
    return Check.of(
        "island",
        len(starts),
        "at most",
        0,
        "places",
        "every layer rests on the one below",
        lambda _: (
            f"the part starts in mid-air at {place_text(starts[0])}; join it to what is below or turn the part over"
        ),
        part=mesh.name,
        at_mm=starts[0] if starts else None,
    )


def check_two_lines(mesh: PartMesh, layers: Layers, printer: Printer) -> Check:
    """``two-lines``: longest stretch with no room for two lines side by side, through RELIEF_MM of height.

    A layer opened by a disc two lines wide loses that stretch. Rays see it where its sides are nearly
    parallel; this sees slivers and long tips as well. What is lost in a few layers only, on the ridge of
    a roof or in letters, is no matter.
    """
    radius = WALL_LINES * printer.nozzle_mm / 2 - SAG_MM / 2
    bases = np.maximum.accumulate([0 if same else at for at, same in enumerate(layers.repeats)])
    known: dict[int, CrossSection] = {}

    def narrow(at: int) -> CrossSection:
        base = int(bases[at])
        if base not in known:
            known[base] = _narrow(layers.sections[base], radius)
        return known[base]

    through = int(np.ceil(RELIEF_MM / printer.layer_mm - 1e-6))
    longest, where = 0.0, np.zeros(3)
    for first in range(len(layers.sections) - through + 1):
        if first > 0 and bases[first + through - 1] == bases[first - 1]:
            continue  # the same sections as one layer below
        # of any so many layers one is a multiple of their number: where that lost nothing, the others need no look
        stretch = narrow(-(-first // through) * through)
        for other in range(first, first + through):
            if stretch.is_empty():
                break
            if narrow(other) is not stretch:
                stretch = stretch ^ narrow(other)
        for piece in [] if stretch.is_empty() else stretch.decompose():
            length = _extent_mm(piece)
            if length > longest:
                longest = length
                where = _place(piece, float(layers.heights_mm[first]))
    return Check.of(
        "two-lines",
        longest,
        "at most",
        SHORT_MM,
        "mm",
        "room for two lines everywhere but at the tips of corners",
        f"a sliver at {place_text(where)} is too narrow for two lines and may be left out; widen it or blunt it",
        part=mesh.name,
        at_mm=where if longest else None,
        otherwise="warn",
    )


def is_hole(ring: Floats) -> bool:
    """Whether a ring (k, 2) of a section is the rim of a hole: those run clockwise, outlines the other way."""
    x, y = ring[:, 0], ring[:, 1]
    return float(x[:-1] @ y[1:] - y[:-1] @ x[1:] + x[-1] * y[0] - y[-1] * x[0]) < 0


def _narrow(section: CrossSection, radius_mm: float) -> CrossSection:
    """What a disc cannot reach from inside, the tips of square corners left out."""
    opened = section.simplify(SAG_MM / 4).offset(-radius_mm, circular_segments=16)
    lost = section - opened.offset(radius_mm + SAG_MM, circular_segments=16)
    if lost.is_empty():
        return lost
    pieces = [piece for piece in lost.decompose() if _extent_mm(piece) > _CORNER_MM]
    return type(section).compose(pieces)


def _extent_mm(piece: CrossSection) -> float:
    left, low, right, high = piece.bounds()
    return float(np.hypot(right - left, high - low))


def _place(piece: CrossSection, height_mm: float) -> Floats:
    left, low, right, high = piece.bounds()
    return np.array([(left + right) / 2, (low + high) / 2, height_mm])
