"""What a part weighs and how long it prints as a slicer reckons it: walls, skins and infill, layer by layer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from mounts.checks.facets import Facets
from mounts.checks.layers import Layers, cut
from mounts.checks.stability import brim_mm
from mounts.inputs.printer import LINE_PER_NOZZLE, Filament, Printer
from mounts.mesh import PartMesh
from mounts.units import number

if TYPE_CHECKING:
    from manifold3d import CrossSection

Array = NDArray[np.float64]
Key = tuple[int | bool, ...]

_OVERLAP = 0.25  # of a line, by which infill runs into the walls: the slicer's default
_SMALL_INFILL_MM2 = 70.0  # a smaller area is filled solid: the slicer's default
_PAIR = 1.51  # lines' widths that a pair of lines needs: 2 × 0.85 nozzle, what the slicer's variable lines allow
_NEXT_PAIR = 3.2  # and that a pair inside that one needs; measured
_ODD = 2.755  # lines' widths from which a third goes between a pair
_ODD_GAP = 1.1  # a shorter gap in such a line, in widths either side, is bridged by it
_STUB_MM = 0.3  # shorter ridges are rounded off with the corner
_DETAIL_MM = 0.0125  # finer detail is no move of its own: the slicer's G-code resolution
_JERK_MM_PER_S = 10.0  # change of speed in one axis at a corner that needs no slowing: the slicer's default
_MOST_SINGLES = 72  # layers looked at of those that are like no neighbour; the others lie between them

# Fitted to prusa-slicer 2.5 on 70 parts in Z and N (tests/report/test_printing.py checks others in other scales).
_CORNERS = 1.12  # time lost at corners, over what exact following of the outline loses
_OUTLINE_S = 0.42  # to reach an outline: travel, and drawing the filament back and forth
_STUB_S = 0.07  # a ridge one line wide
_PIECE_S = (0.1, 0.64)  # a loop inside, or a line in mid wall: on the way past, or with the filament drawn back
_PIECE_S_PER_MM, _PIECE_LESS_S = 0.2, 0.25  # by how far it is to the next one: from 2 mm the slicer draws back
_SOLID = 1.055  # length of solid fill over its area
_SPARSE = 1.85  # length of sparse fill over density × area: links along the walls, and what is filled under slopes


@dataclass(frozen=True)
class Printed:
    """One part, printed alone.

    Attributes:
        mass_g: of the filament laid.
        minutes: without heating up; None where the mesh can't be sliced.
        cooling_minutes: what of ``minutes`` is spent slowing down for layers too small to cool in time; other parts on
            the plate take it up.
        brim_mm: brim that it needs, which neither counts; 0: none.
    """

    mass_g: float
    minutes: float | None
    cooling_minutes: float
    brim_mm: float


def settings(printer: Printer) -> str:
    """What the figures hold for, in words: ``3 walls, 15 % infill, 4 solid layers …``."""
    return (
        f"{printer.wall_lines} walls, {number(printer.infill_percent, 0)} % infill, {printer.skin_layers} solid layers "
        f"top and bottom, {number(printer.layer_mm)} mm layers, {number(printer.print_mm_per_s, 0)} mm/s"
    )


def printed(mesh: PartMesh, printer: Printer, filament: Filament) -> Printed:
    """Mass and time of a part.

    Every line laid of width w has the cross-section h·s, s = w − h(1 − π/4) its pitch, so that lengths follow from
    areas: walls, what solid skin and sparse fill take within them. Time is length over speed, what is lost at the
    corners of every loop (speed in trapezoids between corners taken at the jerk), and a while for each outline, inner
    loop and ridge. A layer that would be done sooner than ``least_layer_s`` is slowed down to it.

    Args:
        mesh: as exported, print frame. One that is not closed weighs what its solid would, full.
        printer: its lines, speeds and layers.
        filament: density.

    A wall about as thick as makes a slicer add a pair of lines (some 3.2 lines: roofs of slates) is drawn one way or
    the other for hundredths of a millimetre, in half or twice the time; there the slicer has no one answer either.

    Source:
        Own derivation; constants fitted to prusa-slicer, which tests/report/test_printing.py asks about other parts.
    """
    facets = Facets.of(mesh)
    solid_g = mesh.solid_volume_mm3 / 1000 * filament.density_g_per_cm3
    if facets.solid.is_empty() or facets.solid.volume() <= 0:
        return Printed(solid_g, None, 0.0, 0.0)
    layers = cut(facets, printer)
    lines_mm, lost_s = _lines(layers, printer)
    speed = np.full(len(lines_mm), printer.print_mm_per_s)
    speed[0] = printer.first_layer_mm_per_s
    seconds = lines_mm / speed + lost_s
    slowed = np.maximum(seconds, printer.least_layer_s)
    height = np.full(len(lines_mm), printer.layer_mm)
    height[0] = min(printer.first_layer_mm, 2 * layers.heights_mm[0])
    grams = float((lines_mm * height).sum()) * printer.pitch_mm / 1000 * filament.density_g_per_cm3
    return Printed(grams, float(slowed.sum()) / 60, float((slowed - seconds).sum()) / 60, brim_mm(facets, filament))


def plate_minutes(parts: Iterable[tuple[float, float]]) -> float:
    """Time of several parts on one plate, min: layers that are small alone cool while the others are drawn.

    Args:
        parts: minutes and cooling minutes of each.
    """
    known = list(parts)
    busy = sum(minutes - cooling for minutes, cooling in known)
    return max([busy, *(minutes for minutes, _ in known)])


def _lines(layers: Layers, printer: Printer) -> tuple[Array, Array]:
    """Length of the lines of each layer, mm (n,), and time lost besides, s (n,)."""
    count, skin = len(layers.sections), printer.skin_layers
    base = np.maximum.accumulate([0 if same else at for at, same in enumerate(layers.repeats)]).tolist()
    keys: list[Key] = []
    for at in range(count):
        near = (at + step for step in (-skin, -(skin // 2), skin // 2, skin))
        keys.append((base[at], at < skin or at + skin >= count, *(base[i] for i in near if 0 <= i < count)))
    runs = _runs(keys)
    simple: dict[int, CrossSection] = {}
    walls: dict[int, tuple[float, CrossSection]] = {}

    def section(at: int) -> CrossSection:
        if at not in simple:
            simple[at] = layers.sections[at].simplify(_DETAIL_MM)
        return simple[at]

    def row(key: Key) -> tuple[float, float]:
        own, whole, *near = key
        if own not in walls:
            walls[own] = _loops_s(section(own), printer), _inside(section(own), printer)
        lost_s, inside = walls[own]
        others = [] if whole else [section(other) for other in set(near) - {own}]
        return _filled_mm(section(own), inside, others, printer, whole=bool(whole)), lost_s

    singles = [first for first, last in runs if first == last]
    looked_at = set(singles[:: max(1, -(-len(singles) // _MOST_SINGLES))])
    known: dict[int, tuple[float, float]] = {}
    for first, last in runs:
        if first < last or first in looked_at:
            known[first] = known[last] = row(keys[first])
    places = np.arange(count)
    lengths, lost = (np.interp(places, list(known), values) for values in zip(*known.values(), strict=True))
    return lengths, lost


def _runs(keys: Sequence[Key]) -> list[tuple[int, int]]:
    """First and last index of each stretch of equal keys."""
    starts = [at for at in range(len(keys)) if at == 0 or keys[at] != keys[at - 1]]
    return list(zip(starts, [*(start - 1 for start in starts[1:]), len(keys) - 1], strict=True))


def _inside(section: CrossSection, printer: Printer) -> CrossSection:
    """What the walls leave to the infill, its overlap included."""
    width = LINE_PER_NOZZLE * printer.nozzle_mm
    return section.offset(_OVERLAP * width - printer.wall_lines * printer.pitch_mm)


def _filled_mm(
    section: CrossSection, inside: CrossSection, others: Sequence[CrossSection], printer: Printer, *, whole: bool
) -> float:
    """Length of the lines of a layer: walls, solid and sparse fill."""
    pitch, width = printer.pitch_mm, LINE_PER_NOZZLE * printer.nozzle_mm
    if whole or inside.is_empty():
        sparse = type(section)()
    else:
        sparse = inside
        for other in others:
            sparse = sparse ^ other
        sparse = type(section).compose([piece for piece in sparse.decompose() if piece.area() >= _SMALL_INFILL_MM2])
    solid = inside - sparse
    rims = (_perimeter_mm(solid) + _perimeter_mm(sparse)) / 2
    walled = max(section.area() - inside.area() + _OVERLAP * width * rims, 0.0)
    thin = _SPARSE * printer.infill_percent / 100 * sparse.area()
    return float((walled + _SOLID * solid.area() + min(thin, sparse.area())) / pitch)


def _loops_s(section: CrossSection, printer: Printer) -> float:
    """Time that the loops of the walls take beyond their length, s."""
    from manifold3d import JoinType

    width, speed = LINE_PER_NOZZLE * printer.nozzle_mm, printer.print_mm_per_s
    lost, odd, inner = 0.0, _odd_lines(section, width), 0
    for loop in range(printer.wall_lines):
        inset = (_PAIR / 2 if loop == 0 else _NEXT_PAIR / 2 + loop - 1) * width
        left = section.offset(-inset, JoinType.Miter)
        if left.is_empty():
            break
        left = left.simplify(_DETAIL_MM)
        lost += _CORNERS * _corners_s(left.to_polygons(), speed, printer.acceleration_mm_per_s2)
        inner += left.num_contour() * (loop > 0)
        if loop == 0:
            ridges = section - left.offset(inset + 0.01, JoinType.Miter, 2.0)
            lost += _STUB_S * sum(_extent_mm(piece) > _STUB_MM for piece in ridges.decompose())
        elif loop == 1:
            odd -= left.num_contour()
    if pieces := inner + max(odd, 0):
        apart_mm = _perimeter_mm(section) / 2 / pieces
        lost += pieces * float(np.clip(_PIECE_S_PER_MM * apart_mm - _PIECE_LESS_S, *_PIECE_S))
    return float(lost + _OUTLINE_S * section.num_contour())


def _odd_lines(section: CrossSection, width: float) -> int:
    """How many places of a wall have room for a third line between its pair."""
    from manifold3d import JoinType

    core = section.offset(-_ODD / 2 * width, JoinType.Miter)
    return 0 if core.is_empty() else len(core.offset(_ODD_GAP * width, JoinType.Miter).decompose())


def _corners_s(rings: Sequence[Array], speed: float, acceleration: float) -> float:
    """Time lost round closed lines (k, 2) each, mm, against constant speed: slowed at corners, trapezoids between."""
    if not rings:
        return 0.0
    edges, counts = _edges(rings)
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    real = lengths > 1e-6
    sizes = np.add.reduceat(real, np.cumsum(counts) - counts)
    real &= np.repeat(sizes >= 3, counts)
    if not real.any():
        return 0.0
    edges, lengths = edges[real] / lengths[real, None], lengths[real]
    before, after = _neighbours(sizes[sizes >= 3])
    change = speed * np.abs(edges - edges[before]).max(axis=1)
    start = speed * np.minimum(1.0, _JERK_MM_PER_S / np.maximum(change, 1e-9))
    gained = 2 * acceleration * lengths
    for _ in range(4):  # no corner is left faster than the edges beside it allow
        start = np.minimum(start, np.sqrt(start[before] ** 2 + gained[before]))
        start = np.minimum(start, np.sqrt(start[after] ** 2 + gained))
    end = start[after]
    peak = np.minimum(speed, np.sqrt(acceleration * lengths + (start**2 + end**2) / 2))
    cruise = np.maximum(lengths - (2 * peak**2 - start**2 - end**2) / (2 * acceleration), 0.0)
    taken = (2 * peak - start - end) / acceleration + cruise / peak
    return float(taken.sum() - lengths.sum() / speed)


def _edges(rings: Sequence[Array]) -> tuple[Array, NDArray[np.int64]]:
    """Of closed lines (k, 2) each, one after the other: from each corner to the next (n, 2), and how many each has."""
    counts = np.array([len(ring) for ring in rings])
    points = np.concatenate(rings)
    return points[_neighbours(counts)[1]] - points, counts


def _neighbours(sizes: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Of rings one after the other, each corner's neighbour before and after it in its ring, (n,) each."""
    ends = np.cumsum(sizes)
    before, after = np.arange(ends[-1]) - 1, np.arange(ends[-1]) + 1
    before[ends - sizes], after[ends - 1] = ends - 1, ends - sizes
    return before, after


def _perimeter_mm(area: CrossSection) -> float:
    rings = area.to_polygons()
    if not rings:
        return 0.0
    return float(np.hypot(*_edges(rings)[0].T).sum())


def _extent_mm(piece: CrossSection) -> float:
    left, low, right, high = piece.bounds()
    return float(np.hypot(right - left, high - low))
