"""Undersides: what leans too far, what is a bridge and over what span, what hangs from one side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.checks.facets import Facets, Floats, Ints, place_text
from mounts.checks.model import Check
from mounts.inputs.printer import LINE_PER_NOZZLE, Printer
from mounts.mesh import PartMesh

LIP_LINES = 0.5
"""A lip may hang over by half a line: measured on the slicer, 0.225 mm at a 0.4 mm nozzle."""
ARCH_LINES = 4
"""A ceiling this narrow closes by itself: lying round holes up to about 2 mm across (slicer, measured)."""

_EVEN_DEG = 0.5  # a slope drawn at the limit may read a little more
_FLAT_DEG = 75.0  # from here a ceiling spans as a bridge does, below it is a slope
_ON_BED_MM = 1e-3  # far below a layer, far above what float32 leaves of z = 0
_EDGE_MM = 1e-4  # the outermost lines across run just inside the rim
_BEARING = 1e-6  # sine of the fall by which a surface goes down from an edge


@dataclass(frozen=True)
class Ceiling:
    """Adjoining undersides that lean beyond the limit.

    Attributes:
        place_mm: (3,) middle of it, or of where it hangs out furthest.
        lean_deg: steepest lean from vertical; 90 is level.
        span_mm: longest line across it held at both ends, in the direction that suits it best.
        reach_mm: how far it hangs out from what holds it where no such line goes; inf: held by nothing.
    """

    place_mm: Floats
    lean_deg: float
    span_mm: float
    reach_mm: float


def leans_deg(facets: Facets) -> Floats:
    """(m,) lean of each face from vertical, deg: 0 a wall, 90 a ceiling, negative what faces up."""
    return np.asarray(np.degrees(np.arcsin(np.clip(-facets.normals[:, 2], -1, 1))))


def ceilings(facets: Facets, printer: Printer) -> Iterator[tuple[bool, Ceiling]]:
    """Every ceiling beyond the limit, and whether it is flat.

    A group of such faces that can be spanned at once by ARCH_LINES is one ceiling. Any other is parted
    into what is flat and what slopes, since a slope cannot be bridged.
    """
    lean = leans_deg(facets)
    resting = (facets.corners_mm[:, :, 2] <= _ON_BED_MM).all(axis=1)
    steep = (lean > printer.overhang_deg + _EVEN_DEG) & ~resting & ~facets.is_line
    across, falls = _edges(facets)
    for group in _groups(steep, across):
        whole = _ceiling(facets, lean, group, across, falls, printer)
        if whole.reach_mm <= _lip_mm(printer) and whole.span_mm <= ARCH_LINES * printer.nozzle_mm:
            yield bool((lean[group] >= _FLAT_DEG).all()), whole
            continue
        for flat in (True, False):
            chosen = np.zeros(len(lean), dtype=bool)
            chosen[group] = (lean[group] >= _FLAT_DEG) == flat
            for part in _groups(chosen, across):
                yield flat, _ceiling(facets, lean, part, across, falls, printer, bridged=flat)


def check_overhang(mesh: PartMesh, facets: Facets, printer: Printer) -> Iterator[Check]:
    """``overhang`` and ``bridge`` of a closed mesh.

    overhang: steepest lean of an underside that must hold itself, which is one that is neither a
    bridge, nor narrow enough to close, nor a lip. bridge: longest span of a ceiling held on two sides.
    """
    lean = leans_deg(facets)
    limit = printer.overhang_deg
    resting = (facets.corners_mm[:, :, 2] <= _ON_BED_MM).all(axis=1)
    gentle = lean[(lean <= limit + _EVEN_DEG) & ~resting]
    steepest = max(0.0, float(gentle.max(initial=0.0)))  # an upright face may lean by −0.0
    found = list(ceilings(facets, printer))
    hanging = [ceiling for _, ceiling in found if ceiling.reach_mm > _lip_mm(printer)]
    fault, where = "", None
    if hanging:  # each leans beyond the limit and what is even
        worst = max(hanging, key=lambda ceiling: ceiling.reach_mm)
        steepest, where = worst.lean_deg, worst.place_mm
        out = "with nothing to hold it" if np.isinf(worst.reach_mm) else f"{worst.reach_mm:.1f} mm out"
        fault = (
            f"an underside at {place_text(worst.place_mm)} leans {worst.lean_deg:.0f}° and hangs {out}"
            f" ({len(hanging)} such); bring it to {limit:g}° from vertical, hold its far side"
            " or turn the part"
        )
    yield Check.of(
        "overhang",
        steepest,
        "at most",
        limit,
        "°",
        "every underside holds itself, or is a bridge",
        fault,
        slack=_EVEN_DEG,
        part=mesh.name,
        at_mm=where,
    )

    spans = [ceiling for flat, ceiling in found if flat]
    longest = max(spans, key=lambda ceiling: ceiling.span_mm, default=None)
    span = longest.span_mm if longest else 0.0
    bridge = f"longest bridge at {place_text(longest.place_mm)}" if longest else "no bridge"
    cure = f"put a rib under it or shorten it to {printer.bridge_warn_mm:g} mm"
    yield Check.of(
        "bridge",
        span,
        "at most",
        printer.bridge_limit_mm,
        "mm",
        bridge,
        f"{bridge} falls through; {cure}",
        warn=printer.bridge_warn_mm,
        warned=f"{bridge} will sag; {cure}",
        part=mesh.name,
        at_mm=longest.place_mm if longest else None,
    )


def _lip_mm(printer: Printer) -> float:
    return LIP_LINES * LINE_PER_NOZZLE * printer.nozzle_mm


def _edges(facets: Facets) -> tuple[Ints, NDArray[np.bool_]]:
    """(m, 3) face across each edge, and whether its surface goes down from there.

    Beside an underside a surface that goes down is material: it holds the edge. One that goes up or on
    level leaves it free. Triangles that are lines are looked through.
    """
    across = facets.neighbours.copy()
    edges = np.roll(facets.corners_mm, -1, axis=1) - facets.corners_mm
    for _ in range(4):
        rows, sides = np.nonzero(facets.is_line[across])
        if not len(rows):
            break
        lines = across[rows, sides]
        lengths = np.linalg.norm(edges[lines], axis=2)
        came_from = facets.neighbours[lines] == rows[:, None]
        beyond = np.argmax(np.where(came_from, -1.0, lengths), axis=1)
        across[rows, sides] = facets.neighbours[lines, beyond]
    lengths = np.linalg.norm(edges, axis=2, keepdims=True)
    along = np.divide(edges, lengths, out=np.zeros_like(edges), where=lengths > 0)
    far = facets.corners_mm[across] - facets.corners_mm[:, :, None, :]  # (m, edge, corner, 3)
    square = far - np.einsum("mekx,mex->mek", far, along)[..., None] * along[:, :, None, :]
    size = np.linalg.norm(square, axis=3)
    furthest = np.argmax(size, axis=2)[..., None]
    drop = np.take_along_axis(square[..., 2], furthest, axis=2)[..., 0]
    high = np.maximum(facets.corners_mm[:, :, 2], np.roll(facets.corners_mm[:, :, 2], -1, axis=1))
    return across, (drop < -_BEARING * size.max(axis=2)) | (high <= _ON_BED_MM)


def _groups(chosen: NDArray[np.bool_], across: Ints) -> list[Ints]:
    """Face indices of each set of chosen faces joined by edges."""
    from trimesh.graph import connected_components

    nodes = np.flatnonzero(chosen)
    pairs = np.column_stack([np.repeat(nodes, 3), across[nodes].ravel()])  # those to other faces are left out by nodes
    return [np.sort(np.asarray(group)) for group in connected_components(pairs, nodes=nodes)]


def _ceiling(
    facets: Facets,
    lean: Floats,
    group: Ints,
    across: Ints,
    falls: NDArray[np.bool_],
    printer: Printer,
    *,
    bridged: bool = True,
) -> Ceiling:
    """Span and reach of one group; where it is not bridged, the reach of all of it counts."""
    inside = np.zeros(len(lean), dtype=bool)
    inside[group] = True
    rows, sides = np.nonzero(~inside[across[group]])
    start = facets.corners_mm[group[rows], sides]
    end = facets.corners_mm[group[rows], (sides + 1) % 3]
    rim = np.stack([start, end], axis=1)[:, :, :2]
    held = falls[group[rows], sides]
    steepest = float(lean[group].max())
    weights = facets.areas_mm2[group][:, None]
    middle = (facets.corners_mm[group].mean(axis=1) * weights).sum(axis=0) / weights.sum()
    if not held.any():
        return Ceiling(middle, steepest, 0.0, np.inf)
    if not bridged:
        corners = facets.corners_mm[group].reshape(-1, 3)
        away = _distances(corners[:, :2], rim[held])
        return Ceiling(corners[int(np.argmax(away))], steepest, 0.0, float(away.max()))
    best: Ceiling | None = None
    for angle in _directions(rim, held):
        span, reach, point = _across(rim, held, angle, printer.nozzle_mm)
        place = middle if reach <= _lip_mm(printer) else np.array([*point, middle[2]])
        candidate = Ceiling(place, steepest, span, reach)
        if best is None or _order(candidate, printer) < _order(best, printer):
            best = candidate
    assert best is not None  # noqa: S101 - there is always a direction
    return best


def _order(ceiling: Ceiling, printer: Printer) -> tuple[float, float]:
    """Best first: nothing hanging out, then the shortest span."""
    return (0.0 if ceiling.reach_mm <= _lip_mm(printer) else round(ceiling.reach_mm, 3), ceiling.span_mm)


def _directions(rim: Floats, held: NDArray[np.bool_]) -> list[float]:
    """Directions to bridge in, rad: square to the longest held edges, and along both axes."""
    ways = rim[held, 1] - rim[held, 0]
    angles = np.round(np.degrees(np.arctan2(ways[:, 1], ways[:, 0])) + 90) % 180
    found, which = np.unique(angles, return_inverse=True)
    lengths = np.bincount(which, weights=np.linalg.norm(ways, axis=1))
    longest = found[np.argsort(-lengths, kind="stable")[:6]]
    return [float(np.radians(a)) for a in dict.fromkeys([*longest.tolist(), 0.0, 90.0])]


def _across(rim: Floats, held: NDArray[np.bool_], angle_rad: float, line_mm: float) -> tuple[float, float, Floats]:
    """Lines across a rim in one direction: longest held span, furthest reach of the rest, and where.

    Args:
        rim: (k, 2 ends, 2) closed rings of edges, plan view, mm.
        held: (k,) edges with material under them.
        angle_rad: direction of the lines from +x.
        line_mm: distance between them.
    """
    turn = np.array([[np.cos(angle_rad), np.sin(angle_rad)], [-np.sin(angle_rad), np.cos(angle_rad)]])
    turned = rim @ turn.T
    low, high = float(turned[:, :, 1].min()), float(turned[:, :, 1].max())
    count = int(np.clip(np.ceil((high - low) / line_mm), 5, 200))
    levels = np.linspace(low + _EDGE_MM, high - _EDGE_MM, count)
    (x0, y0), (x1, y1) = turned[:, 0].T, turned[:, 1].T
    level, edge = np.nonzero((y0 > levels[:, None]) != (y1 > levels[:, None]))
    x = x0[edge] + (levels[level] - y0[edge]) / (y1[edge] - y0[edge]) * (x1[edge] - x0[edge])
    order = np.lexsort((x, level))
    ends = x[order].reshape(-1, 2)
    line = levels[level[order][::2], None]
    both = held[edge[order].reshape(-1, 2)].all(axis=1)
    span = float((ends[:, 1] - ends[:, 0])[both].max(initial=0.0))
    if both.all():
        return span, 0.0, np.zeros(2)
    share = np.linspace(0, 1, 9)
    along = ends[~both, :1] + share * (ends[~both, 1:] - ends[~both, :1])
    points = np.stack([along, np.broadcast_to(line[~both], along.shape)], axis=2).reshape(-1, 2)
    reach = _distances(points, turned[held])
    furthest = int(np.argmax(reach))
    return span, float(reach[furthest]), points[furthest] @ turn


def _distances(points: Floats, edges: Floats) -> Floats:
    """(k,) distance of each point (k, 2) to the nearest of some edges (e, 2, 2)."""
    start, way = edges[:, 0], edges[:, 1] - edges[:, 0]
    long = np.maximum((way**2).sum(axis=1), 1e-18)
    away = points[:, None] - start
    share = np.clip((away * way).sum(axis=2) / long, 0, 1)
    return np.asarray(np.linalg.norm(away - share[..., None] * way, axis=2).min(axis=1))
