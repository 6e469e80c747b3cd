"""What makes a wall look like one: lapped boards, cover strips, framed doors and windows, openings at the foot.

Every flank leans by 45° at most whichever way up the wall is printed.
"""

from __future__ import annotations

from collections.abc import Sequence

import cadquery as cq

from mounts.frames import Array
from mounts.inputs.printer import STEEP
from mounts.solid.plates import prism
from mounts.solid.polyhedron import Point2, frustum, rectangle


def ribbed_rectangle(
    x: Point2, y: Point2, pieces_x: int, pieces_y: int, *, rib_mm: float, proud_mm: float
) -> list[Point2]:
    """Outline of walls of panels, counter-clockwise: a rectangle with a strip over each joint.

    Args:
        x: faces of the panels.
        y: faces of the panels.
        pieces_x: panels on each of the two walls along x; 1 leaves them plain.
        pieces_y: panels on each of the two walls along y.
        rib_mm: width of a strip.
        proud_mm: how far it stands out.
    """
    corners = [(x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])]
    sides = [((1, 0), pieces_x), ((0, 1), pieces_y), ((-1, 0), pieces_x), ((0, -1), pieces_y)]
    outline: list[Point2] = []
    for (cx, cy), ((ax, ay), pieces) in zip(corners, sides, strict=True):
        outline.append((cx, cy))
        length = (x[1] - x[0]) if ax else (y[1] - y[0])
        outx, outy = ay, -ax
        for k in range(1, pieces):
            first, last = k * length / pieces - rib_mm / 2, k * length / pieces + rib_mm / 2
            outline += [
                (cx + ax * along + outx * out, cy + ay * along + outy * out)
                for along, out in ((first, 0.0), (first, proud_mm), (last, proud_mm), (last, 0.0))
            ]
    return outline


def lapped_boards(
    x: Point2, y: Point2, top_z: float, courses: int | None, *, proud_mm: float, flank_mm: float, foot_mm: float
) -> list[Array]:
    """Rings (4, 3), from the ground up, of walls clad in level boards, each of which stands out over the one below.

    Level boards leave every layer of the print a plain rectangle, drawn in few long moves. The lowest is an upright
    sill.

    Args:
        x: faces behind the boards.
        y: faces behind the boards.
        top_z: of the walls.
        courses: of boards; None leaves the walls plain, as thick as a board is at its foot.
        proud_mm: how far a board's foot stands out.
        flank_mm: height of its underside, which leans out.
        foot_mm: chamfer on the ground.
    """

    def ring(out: float, z: float) -> Array:
        return rectangle((x[0] - out, x[1] + out), (y[0] - out, y[1] + out), z)

    rings = [ring(proud_mm - foot_mm, 0.0), ring(proud_mm, foot_mm)]
    if courses is None:
        return [*rings, ring(proud_mm, top_z)]
    rings.append(ring(proud_mm, top_z / courses))
    for course in range(1, courses):
        z = course * top_z / courses
        rings += [ring(0.0, z), ring(proud_mm, z + flank_mm)]
    return [*rings, ring(0.0, top_z)]


def pad(wall: cq.Plane, face: tuple[Point2, Point2], *, proud_mm: float, root_mm: float) -> cq.Solid:
    """A frame's block: its face stands proud of the wall, over whatever relief is there.

    Args:
        wall: origin on the wall's outer face, normal outwards, yDir up.
        face: along and up; head and foot of the block slope back from it.
        proud_mm: before the wall.
        root_mm: how far it reaches into the wall.
    """
    along, up = face
    deep = proud_mm + root_mm
    return frustum(
        wall, (along, (up[0] - deep, up[1] + deep)), face, (-root_mm, proud_mm), "draw a door's or window's frame"
    )


def pocket(wall: cq.Plane, mouth: tuple[Point2, Point2], *, depth_mm: float, from_mm: float = 0.0) -> cq.Solid:
    """What is cut for a pane or a door leaf: a flat floor, head and sill sloping in to it.

    Args:
        wall: origin on the wall's outer face, normal outwards, yDir up.
        mouth: along and up, at the face it is cut into.
        depth_mm: below that face.
        from_mm: height of that face over the wall.
    """
    along, (low, high) = mouth
    over = 0.1
    floor = (along, (low + depth_mm, high - depth_mm))
    wide = (along, (low - over, high + over))
    return frustum(wall, floor, wide, (from_mm - depth_mm, from_mm + over), "cut a door or window")


def lintel_rise_mm(width_mm: float, flat_mm: float) -> float:
    """How far a lintel rises over the sides of an opening until it is level over ``flat_mm``."""
    return STEEP * max(0.0, (width_mm - flat_mm) / 2)


def foot_opening(
    wall: cq.Plane, sides: Point2, top_z: float, *, depth_mm: float, before_mm: float, flat_mm: float, foot_mm: float
) -> cq.Solid:
    """An opening at the foot of a wall, wider by a chamfer on the board, its lintel sloped in where it is long.

    Args:
        wall: origin on the board under the wall's outer face, normal outwards.
        sides: along the wall.
        top_z: least height of its top.
        depth_mm: cut into the wall.
        before_mm: cut before it.
        flat_mm: widest level lintel; a wider opening rises to one of that width, to a point for 0.
        foot_mm: chamfer at the board.
    """
    left, right = sides
    inwards = max(0.0, (right - left - flat_mm) / 2)
    ridge_z = top_z + lintel_rise_mm(right - left, flat_mm)
    ridge = ((right - inwards, ridge_z), (left + inwards, ridge_z)) if inwards else ()
    outline: Sequence[Point2] = [
        (left - foot_mm, -1.0),
        (right + foot_mm, -1.0),
        (right + foot_mm, 0.0),
        (right, foot_mm),
        (right, top_z),
        *(ridge if flat_mm else ridge[:1]),
        (left, top_z),
        (left, foot_mm),
        (left - foot_mm, 0.0),
    ]
    start = cq.Plane(wall.origin + wall.zDir * before_mm, wall.xDir, wall.zDir)
    return prism(start, outline, -(depth_mm + before_mm))
