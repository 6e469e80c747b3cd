"""Is the mesh one closed body, as large as the solid and with all its holes?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from mounts.checks.facets import Facets, Floats, place_text
from mounts.checks.model import Check
from mounts.mesh import PartMesh

VOLUME_PERCENT = 0.2
"""Mesh against solid: chords of 0.05 mm sag take less off any part with a wall; measured on brackets."""


def check_closed(mesh: PartMesh, facets: Facets) -> Check:
    """``closed``: edges that do not join exactly two faces running opposite ways along them."""
    bad, where = _bad_edges(facets)
    status = ""
    if not bad:
        name = facets.solid.status().name
        status = "" if name == "NoError" else name
    fault = f"the mesh cannot be read as a solid ({status})"
    if bad:
        fault = f"{bad} edges do not join two faces turned the same way, one at {place_text(where)}"
    return Check.of(
        "closed",
        max(bad, 1 if status else 0),
        "at most",
        0,
        "edges",
        "every edge joins two faces, all turned outward",
        f"{fault}; report the design as a bug",
        part=mesh.name,
        at_mm=where if bad else None,
    )


def _bad_edges(facets: Facets) -> tuple[int, Floats]:
    """How many undirected edges are bad, and the middle of the first one."""
    count = len(facets.vertices_mm)
    start, end = facets.faces.ravel(), np.roll(facets.faces, -1, axis=1).ravel()
    low, high = np.minimum(start, end), np.maximum(start, end)
    edges, which = np.unique(low * count + high, return_inverse=True)
    up = np.bincount(which, weights=start < end, minlength=len(edges))
    down = np.bincount(which, weights=start > end, minlength=len(edges))
    bad = np.flatnonzero((up != 1) | (down != 1))
    if not len(bad):
        return 0, np.zeros(3)
    a, b = divmod(int(edges[bad[0]]), count)
    return len(bad), (facets.vertices_mm[a] + facets.vertices_mm[b]) / 2


def check_body(mesh: PartMesh, facets: Facets) -> Iterator[Check]:
    """``one-body``, ``volume`` and ``through-holes`` of a closed mesh.

    Bodies are sets of faces joined by edges, so two that overlap, touch at a corner or lie one inside
    the other are two. Through holes are the genus: 1 − (V − E + F)/2 of one body.
    """
    volumes, centres = _bodies(facets)
    odd = int(np.argmin(np.abs(volumes)))
    kind = "closed cavity" if volumes[odd] < 0 else "loose or overlapping body"
    yield Check.of(
        "one-body",
        len(volumes),
        "at most",
        1,
        "bodies",
        "one body",
        f"a {kind} round {place_text(centres[odd])}; the features there must join the part",
        part=mesh.name,
        at_mm=centres[odd],
    )

    volume = float(volumes.sum())
    off = abs(volume / mesh.solid_volume_mm3 - 1) * 100
    sizes = f"mesh {volume:.1f} mm³, solid {mesh.solid_volume_mm3:.1f} mm³"
    yield Check.of(
        "volume",
        off,
        "at most",
        VOLUME_PERCENT,
        "%",
        sizes,
        f"{sizes}; the mesh is not the solid, report the design as a bug",
        part=mesh.name,
    )

    edges = len(facets.faces) * 3 // 2
    used = len(np.unique(facets.faces))
    genus = len(volumes) - (used - edges + len(facets.faces)) / 2
    counted = f"holes that go through: {genus:g}, drawn: {mesh.through_holes}"
    yield Check.of(
        "through-holes",
        genus,
        "exactly",
        mesh.through_holes,
        "holes",
        counted,
        f"{counted}; a hole is blocked, or broke out of an edge or into another",
        part=mesh.name,
    )


def _bodies(facets: Facets) -> tuple[Floats, Floats]:
    """Signed volume, mm³, (k,) and middle of the box (k, 3) of each set of faces joined by edges."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    first = np.repeat(np.arange(len(facets.faces)), 3)
    count = len(facets.faces)
    joined = coo_array((np.ones(3 * count), (first, facets.neighbours.ravel())), shape=(count, count))
    bodies, label = connected_components(joined)
    a, b, c = (facets.corners_mm[:, i] for i in range(3))
    volumes = np.bincount(label, weights=np.einsum("ij,ij->i", a, np.cross(b, c)) / 6, minlength=bodies)
    corners = (facets.corners_mm[label == i].reshape(-1, 3) for i in range(bodies))
    centres = np.array([(of.min(axis=0) + of.max(axis=0)) / 2 for of in corners])
    return volumes.astype(np.float64), centres
