"""Holes that print without support: teardrops, countersinks and the waisted slot of a wire pivot."""

from __future__ import annotations

import math

import cadquery as cq

from mounts.inputs import fits
from mounts.inputs.fixing import Fixing
from mounts.solid.faces import Hole

Point2 = tuple[float, float]

TIP_MM, TIP_STEEP = 0.3, 1.6
"""Half width and rise over run of a roof's last bit. The layer that closes a roof spans what the one below left open;
a slicer also closes cracks under 0.1 mm (prusa-slicer 2.5: 0.049 a side). At 45° that layer reached farther than its
threshold of 40° and got support at 0.12 and 0.15 mm layers; at 1.6 it stays inside down to 0.1 mm."""


def teardrop(centre: Point2, diameter_mm: float, *, point: Point2, facets: int = 32) -> list[Point2]:
    """Outline of a lying hole: a circle with a 45° roof towards ``point``.

    Args:
        centre: in the plane of the wall.
        diameter_mm: of the round part; the polygon is drawn round the circle, never inside it.
        point: unit vector in the wall's plane that is up in the printed pose.
        facets: sides of the full circle, a multiple of 8 so that the tangent points at 45° are corners.

    Returns:
        The polygon; its ridge is sharp, and steeper than 45° over the last TIP_MM.
    """
    radius = diameter_mm / 2 / math.cos(math.pi / facets)
    up_x, up_y = point
    right_x, right_y = up_y, -up_x
    arc = [
        (radius * math.cos(angle), radius * math.sin(angle))
        for angle in (math.radians(135) + k * 2 * math.pi / facets for k in range(3 * facets // 4 + 1))
    ]
    tip = min(TIP_MM, radius / 2)
    shoulder = math.sqrt(2) * radius - tip
    local = [*arc, (tip, shoulder), (0.0, shoulder + TIP_STEEP * tip), (-tip, shoulder)]
    return [(centre[0] + u * right_x + v * up_x, centre[1] + u * right_y + v * up_y) for u, v in local]


def circle(centre: Point2, diameter_mm: float, *, facets: int = 32) -> list[Point2]:
    """Outline of an upright hole: a polygon drawn round the circle, so that the hole is never too small."""
    radius = diameter_mm / 2 / math.cos(math.pi / facets)
    turns = (2 * math.pi * k / facets for k in range(facets))
    return [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in turns]


def countersink(head_centre: tuple[float, float, float], fixing: Fixing) -> cq.Solid:
    """The recess a screw head sinks into, a cone widest at ``head_centre`` and narrowing upwards (+z).

    The head comes flush with a little to spare; the recess starts a hair below the face so that the cut is
    clean.

    Args:
        head_centre: on the lower face of the plate, mm.
        fixing: the screw.
    """
    slope = math.tan(math.radians(fixing.head_angle_deg / 2))
    below = 0.1
    wide = fixing.head_mm / 2 + fits.SCREW_HEAD.own_mm + below * slope
    narrow = max(fixing.root_mm / 4, 2 * TIP_MM)
    x, y, z = head_centre
    height = (wide - narrow) / slope
    return cq.Solid.makeCone(wide, narrow, height, pnt=cq.Vector(x, y, z - below), dir=cq.Vector(0, 0, 1))


def lying_screw(plane: cq.Plane, at: Point2, fixing: Fixing, *, bore_mm: float, deep_mm: float, up: Point2) -> Hole:
    """A screw's hole whose axis lies in print, with the recess for its head: a teardrop, whose roof leans 30° where it
    tapers for a 90° head; a cone's would lean 45° and more.

    Args:
        plane: of the face that the head is sunk into.
        at: axis, in the plane.
        fixing: the screw.
        bore_mm: diameter of its hole as drawn.
        deep_mm: of the hole.
        up: unit vector in the plane that is up in print.
    """
    slope = math.tan(math.radians(fixing.head_angle_deg / 2))
    wide = fixing.head_mm / 2 + fits.SCREW_HEAD.own_mm
    face, bore = (teardrop(at, size, point=up) for size in (2 * wide, bore_mm))
    head = (wide - bore_mm / 2) / slope
    if head >= deep_mm:
        return Hole(plane, [(face, 0.0), (teardrop(at, 2 * (wide - deep_mm * slope), point=up), deep_mm)])
    return Hole(plane, [(face, 0.0), (bore, head), (bore, deep_mm)])


def dimple(at: cq.Vector, into: cq.Vector) -> cq.Solid:
    """A mark for a drill's point, a cone of 45° whichever way up it is printed.

    Args:
        at: on the face.
        into: unit vector into the part.
    """
    over, deep, point = 0.1, 0.8, 0.1
    return cq.Solid.makeCone(point + deep + over, point, deep + over, at - into * over, into)


def index_notch(at: Point2, inwards: Point2, *, deep_mm: float, half_mm: float) -> list[Point2]:
    """Outline of a V to cut into the edge of a plate; it stands out over the edge, for a clean cut.

    Args:
        at: on the edge.
        inwards: unit vector square to the edge.
        deep_mm: of the V.
        half_mm: half its width at the edge; more than it is deep, or its flank hangs where it lies in print.
    """
    (x, y), (ix, iy), over = at, inwards, 0.1
    side = half_mm * (1 + over / deep_mm)
    return [
        (x + ix * deep_mm, y + iy * deep_mm),
        (x - ix * over - iy * side, y - iy * over + ix * side),
        (x - ix * over + iy * side, y - iy * over - ix * side),
    ]


def pivot_slot(
    plane: cq.Plane,
    at: Point2,
    *,
    deep_mm: float,
    length_x_mm: float,
    width_y_mm: float,
    land_mm: float,
    flare_deg: float,
    roofed: bool = False,
) -> Hole:
    """The wire's pivot, a slot along x whose faces open to both sides of a short land in the middle of its plate.

    A slot and not a round bore: its two faces across y, the only ones that guide the wire, are straight
    walls, which print true where a round hole below 2 mm closes up (common practice, no source).

    Args:
        plane: of one face of the plate.
        at: middle of the slot, in the plane.
        deep_mm: thickness of the plate.
        length_x_mm: along the plane's x.
        width_y_mm: between the lands.
        land_mm: height of the parallel part.
        flare_deg: lean of the flared faces from the plane's normal.
        roofed: its axis lies in print, +x up: the upper end is a roof of 45° all the way through, for a level one
            hangs free where the land begins.
    """
    (x, y), waist, end = at, width_y_mm / 2, length_x_mm / 2
    wide = waist + (deep_mm - land_mm) / 2 * math.tan(math.radians(flare_deg))
    tip = min(TIP_MM, waist - 0.02)

    def ring(w: float) -> list[Point2]:
        roof = [(end + w - tip, -tip), (end + w - tip + TIP_STEEP * tip, 0.0), (end + w - tip, tip)] if roofed else []
        return [(x + u, y + v) for u, v in ((-end, -w), (end, -w), *roof, (end, w), (-end, w))]

    levels = ((wide, 0.0), (waist, (deep_mm - land_mm) / 2), (waist, (deep_mm + land_mm) / 2), (wide, deep_mm))
    return Hole(plane, [(ring(w), deep) for w, deep in levels])
