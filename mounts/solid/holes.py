"""Holes that print without support: teardrops, countersinks and the waisted slot of a wire pivot."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np

from mounts.inputs import fits
from mounts.inputs.fixing import Fixing
from mounts.solid.polyhedron import stacked

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


def countersink(
    head_centre: tuple[float, float, float], fixing: Fixing, *, lying_towards: Point2 | None = None
) -> cq.Solid:
    """The recess a screw head sinks into, widest at ``head_centre`` and narrowing upwards (+z).

    The head comes flush with a little to spare; the recess starts a hair below the face so that the cut is
    clean.

    Args:
        head_centre: on the lower face of the plate, mm.
        fixing: the screw.
        lying_towards: where the axis lies in print, the direction (x, y) that is then up: the recess is a
            tapering teardrop, whose roof leans 30° for a 90° head where a cone's would lean 45° and more.
    """
    slope = math.tan(math.radians(fixing.head_angle_deg / 2))
    below = 0.1
    wide = fixing.head_mm / 2 + fits.SCREW_HEAD.own_mm + below * slope
    narrow = max(fixing.root_mm / 4, 2 * TIP_MM)
    height = (wide - narrow) / slope
    x, y, z = head_centre
    if lying_towards is None:
        return cq.Solid.makeCone(wide, narrow, height, pnt=cq.Vector(x, y, z - below), dir=cq.Vector(0, 0, 1))
    rings = [
        np.array([(u, v, z - below + up) for u, v in teardrop((x, y), 2 * radius, point=lying_towards)])
        for radius, up in ((wide, 0.0), (narrow, height))
    ]
    return stacked(rings, "draw the countersinks")


def dimple(at: cq.Vector, into: cq.Vector) -> cq.Solid:
    """A mark for a drill's point, a cone of 45° whichever way up it is printed.

    Args:
        at: on the face.
        into: unit vector into the part.
    """
    over, deep, point = 0.1, 0.8, 0.1
    return cq.Solid.makeCone(point + deep + over, point, deep + over, at - into * over, into)


def index_notch(
    at: Point2, inwards: Point2, *, deep_mm: float, half_mm: float, low_z: float, high_z: float
) -> cq.Solid:
    """An upright V cut into the edge of a plate.

    Args:
        at: on the edge.
        inwards: unit vector square to the edge.
        deep_mm: of the V.
        half_mm: half its width at the edge; more than it is deep, or its flank hangs where it lies in print.
        low_z: where it begins.
        high_z: where it ends.
    """
    (x, y), (ix, iy), over = at, inwards, 0.1
    side = half_mm * (1 + over / deep_mm)
    outline = [
        (x + ix * deep_mm, y + iy * deep_mm),
        (x - ix * over - iy * side, y - iy * over + ix * side),
        (x - ix * over + iy * side, y - iy * over - ix * side),
    ]
    wire = cq.Wire.makePolygon([cq.Vector(*corner, low_z) for corner in outline], close=True)
    return cq.Solid.extrudeLinear(wire, [], cq.Vector(0, 0, high_z - low_z))


def hourglass_slot(
    *,
    z: float,
    half_height_mm: float,
    length_x_mm: float,
    width_y_mm: float,
    land_mm: float,
    flare_deg: float,
    roofed: bool = False,
) -> cq.Solid:
    """The wire's pivot, a slot along x whose faces open above and below a short land.

    A slot and not a round bore: its two faces across y, the only ones that guide the wire, are straight
    walls, which print true where a round hole below 2 mm closes up (common practice, no source).

    Args:
        z: middle of the land.
        half_height_mm: from z to either end of the cut.
        length_x_mm: along the track.
        width_y_mm: between the lands.
        land_mm: height of the parallel part.
        flare_deg: lean of the flared faces from vertical.
        roofed: its axis lies in print, +x up: the upper end is a roof of 45° all the way through, for a level one
            hangs free where the land begins.
    """
    waist, land = width_y_mm / 2, land_mm / 2
    wide = waist + (half_height_mm - land) * math.tan(math.radians(flare_deg))
    if roofed:
        end, tip = length_x_mm / 2, min(TIP_MM, waist - 0.02)
        levels = ((-half_height_mm, wide), (-land, waist), (land, waist), (half_height_mm, wide))
        rings = [
            np.array([
                (-end, -w, z + up), (end, -w, z + up), (end + w - tip, -tip, z + up),
                (end + w - tip + TIP_STEEP * tip, 0.0, z + up),
                (end + w - tip, tip, z + up), (end, w, z + up), (-end, w, z + up),
            ])
            for up, w in levels
        ]  # fmt: skip
        return stacked(rings, "draw the pivot")
    section = [
        (-wide, z + half_height_mm),
        (-waist, z + land),
        (-waist, z - land),
        (-wide, z - half_height_mm),
        (wide, z - half_height_mm),
        (waist, z - land),
        (waist, z + land),
        (wide, z + half_height_mm),
    ]
    wire = cq.Wire.makePolygon([cq.Vector(-length_x_mm / 2, y, height) for y, height in section], close=True)
    return cq.Solid.extrudeLinear(wire, [], cq.Vector(length_x_mm, 0, 0))
