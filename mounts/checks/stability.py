"""Does the part fit the bed and stay on it?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from mounts.checks.facets import Facets, Floats, place_text
from mounts.checks.layers import is_hole
from mounts.checks.model import Check
from mounts.inputs.printer import Filament, Printer
from mounts.mesh import PartMesh
from mounts.section import Section, section

PEELS_MM2, CONTACT_MM2 = 5.0, 20.0  # less is peeled off by the nozzle; common practice, no source
ADHESION_MPA = 0.5  # plastic on a clean coated bed, low end; from memory, makers' sheets differ tenfold
KNOCK_N = 1.0  # the nozzle against a curled edge; from memory
KNOCKED_OFF = 0.25  # ratio that nothing makes good; common practice, no source
BRIM_MM, BRIM_SHARE = 3.0, 0.5  # as bed-loads leave room for; common practice, no source
CONTACT_Z_MM, ABOVE_FOOT_MM = 0.001, 0.6  # where the foot is compared with what stands on it
_FOOT_SLACK_MM = 0.011  # the contact is cut 0.001 above the bed, and chords of round edges sag
_G_N_PER_KG = 9.81  # standard gravity, ISO 80000-3, rounded
_ON_BED_MM = 1e-3  # as in overhang.py


def check_bed(mesh: PartMesh, facets: Facets, printer: Printer) -> Iterator[Check]:
    """``on-bed``: lowest face on z = 0; ``bed``: room left on the bed, the part turned by 90° if need be."""
    low, high = facets.vertices_mm.min(axis=0), facets.vertices_mm.max(axis=0)
    yield Check.of(
        "on-bed",
        abs(float(low[2])),
        "at most",
        _ON_BED_MM,
        "mm",
        "the lowest face lies on z = 0",
        f"the part starts at z = {low[2]:.3f}; its print pose is wrong, report the design as a bug",
        part=mesh.name,
    )
    x, y, z = (float(v) for v in high - low)
    bed_x, bed_y, bed_z = printer.bed_x_mm, printer.bed_y_mm, printer.bed_z_mm
    straight, turned = printer.bed_room_mm(x, y)
    room = min(max(straight, turned), bed_z - z)
    size = f"{x:.0f} × {y:.0f} × {z:.0f} mm on {bed_x:g} × {bed_y:g} × {bed_z:g} mm"
    yield Check.of(
        "bed",
        room,
        "at least",
        0.0,
        "mm",
        size + (", turned by 90°" if turned > straight else ""),
        f"{size}; make the mount smaller or take a larger printer",
        part=mesh.name,
    )


def footprint(facets: Facets) -> Section | None:
    """The section just above the bed, or None where nothing touches it."""
    return section(facets.solid.slice(CONTACT_Z_MM).to_polygons())


@dataclass(frozen=True)
class _Standing:
    """How a part stands on the bed: N·mm that hold it, by its own foot and with a brim, and N·mm of a knock."""

    foot: Section
    centre_mm: Floats
    inside_mm: float
    bare_nmm: float
    brimmed_nmm: float
    knock_nmm: float


def _standing(facets: Facets, filament: Filament) -> _Standing | None:
    """None where nothing touches the bed."""
    foot = footprint(facets)
    if foot is None:
        return None
    a, b, c = (facets.corners_mm[:, i] for i in range(3))
    signed = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6
    volume = float(signed.sum())
    centre = ((a + b + c) * signed[:, None]).sum(axis=0) / 4 / volume
    inside = _inside_hull_mm(foot.outline, centre[:2])
    weight_nmm = volume / 1000 * filament.density_g_per_cm3 / 1000 * _G_N_PER_KG * inside
    modulus = foot.modulus_mm3()
    knock = KNOCK_N * float(facets.vertices_mm[:, 2].max())
    bare = ADHESION_MPA * modulus + weight_nmm
    brimmed = bare
    if bare < knock:
        wide = facets.solid.slice(CONTACT_Z_MM).offset(BRIM_MM, circular_segments=32)
        around = section(wide.to_polygons())
        assert around is not None  # noqa: S101 - it is wider than the foot
        brimmed += BRIM_SHARE * ADHESION_MPA * max(0.0, around.modulus_mm3() - modulus)
    return _Standing(foot, centre, inside, bare, brimmed, knock)


def brim_mm(facets: Facets, filament: Filament) -> float:
    """Width of the brim that a part is to be printed with; 0 where its own foot holds it."""
    at = _standing(facets, filament)
    return BRIM_MM if at is not None and at.bare_nmm < at.knock_nmm else 0.0


def check_stability(mesh: PartMesh, facets: Facets, filament: Filament) -> Iterator[Check]:
    """``contact-area``, ``balance`` and ``knock`` of a closed mesh that stands on z = 0.

    balance: how far inside the hull of the footprint the centre of mass lies. knock: torque that tears
    the part off the bed over the torque of a nozzle that knocks against its top,

        (σ·W + m·g·b) / (F·h)        σ adhesion, W section modulus of the footprint, b the balance

    A part that this does not hold is told to be printed with a brim, and judged with it: its foot grown by the brim
    counts for ``BRIM_SHARE`` of what it adds, for its rim is a layer thick and lifts.

    Domain: a part that is stiff against its bond, which then bears linearly up to its strength at the edge. A slender
    part bends away from the nozzle and feels less; a sheet that curls peels at less, and that is the brim's business.
    """
    at = _standing(facets, filament)
    yield Check.of(
        "contact-area",
        at.foot.area_mm2 if at else 0.0,
        "at least",
        PEELS_MM2,
        "mm²",
        "what touches the bed",
        "next to nothing touches the bed; turn the part or give it a foot",
        warn=CONTACT_MM2,
        warned="little touches the bed; print it with a brim",
        part=mesh.name,
    )
    if at is None:
        return
    mass = f"centre of mass at {place_text(at.centre_mm)}"
    yield Check.of(
        "balance",
        at.inside_mm,
        "at least",
        0.0,
        "mm",
        mass,
        f"{mass}, beside what touches the bed: it tips over; turn the part or print it with a brim",
        part=mesh.name,
        at_mm=at.centre_mm,
    )
    knock = f"torque that holds it on the bed over that of {KNOCK_N:g} N at its top"
    if at.bare_nmm < at.knock_nmm:
        knock = f"with a {BRIM_MM:g} mm brim, {knock}"
    yield Check.of(
        "knock",
        at.brimmed_nmm / at.knock_nmm,
        "at least",
        KNOCKED_OFF,
        "×",
        knock,
        f"{knock}; it is knocked off: turn the part or widen its foot",
        warn=1.0,
        warned=f"{knock}; a wider brim, or glue on the bed",
        part=mesh.name,
    )


def _inside_hull_mm(outline: Floats, point: Floats) -> float:
    """Distance of a point to the hull of some points; negative outside."""
    from shapely import MultiPoint, Point

    hull, at = MultiPoint(outline).convex_hull, Point(point)
    distance = float(hull.boundary.distance(at))
    return distance if hull.contains(at) else -distance


def check_foot(mesh: PartMesh, facets: Facets, printer: Printer) -> Check | None:
    """``elephant-foot``: least distance by which the outline on the bed keeps inside the one 0.6 mm above.

    Outer outlines only: at the rim of a hole the bulge takes no room outside the part. None where
    nothing touches the bed or the part is no higher than that.
    """
    from shapely import LinearRing, MultiLineString, Polygon, contains_xy, distance, points

    low, above = (facets.solid.slice(z).to_polygons() for z in (CONTACT_Z_MM, ABOVE_FOOT_MM))
    if not low or not above:
        return None
    probes = np.concatenate([_along(ring) for ring in low if not is_hole(ring)])
    inside = np.zeros(len(probes), dtype=bool)
    for ring in above:  # inside an odd number of rings is inside the section
        inside ^= contains_xy(Polygon(ring), probes[:, 0], probes[:, 1])
    rims = MultiLineString([LinearRing(ring) for ring in above])
    room = np.where(inside, distance(rims, points(probes)), 0.0)
    least = int(np.argmin(room))
    limit, where = printer.elephant_foot_mm, np.array([*probes[least], 0.0])
    return Check.of(
        "elephant-foot",
        float(room[least]),
        "at least",
        limit,
        "mm",
        "edges on the bed are chamfered",
        f"the edge at {place_text(where)} bulges on the bed; "
        f"chamfer it by {limit:g} mm or set that compensation in the slicer",
        otherwise="warn",
        slack=_FOOT_SLACK_MM,
        part=mesh.name,
        at_mm=where,
    )


def _along(ring: Floats) -> Floats:
    """Points on a ring (k, 2): at its corners and at most 1 mm apart between them."""
    way = np.roll(ring, -1, axis=0) - ring
    counts = np.ceil(np.linalg.norm(way, axis=1)).astype(np.int64)
    first = np.repeat(np.cumsum(counts) - counts, counts)
    share = (np.arange(int(counts.sum())) - first) / np.repeat(counts, counts)
    return np.asarray(np.repeat(ring, counts, axis=0) + share[:, None] * np.repeat(way, counts, axis=0))
