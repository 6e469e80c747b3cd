"""Does a mount clear what else there is on its board: other mounts, framing, the board's edge?"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from pydantic import Field

from mounts import scene
from mounts.checks.model import Check
from mounts.design import Design
from mounts.frames import Array, apply
from mounts.inputs.model import Model
from mounts.mesh import PartMesh
from mounts.scene_kinds import wiring
from mounts.units import number

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

    from mounts.inputs.layout import BoardTable, Framing, Site

NEIGHBOUR_MM = 2.0  # fingers and a screwdriver come from below, so little is enough; common practice, no source
FRAMING_MM = 1.0  # timber is seldom straighter than this; common practice, no source
BOARD_EDGE_MM = 2.0  # a screw nearer the edge of plywood splits it; common practice, no source
SITE_CHECKS = ("neighbour", "framing", "board-edge")
_SIMPLER_MM = 0.1  # corners of a round outline that may go
_TOUCH_MM = 0.01  # bodies that share no more height than this pass one another
_FARTHEST_MOVE_MM = 1000.0  # longer than any mount: so far along its track it is clear of its neighbour
_NOISE = 0.01  # µm: of computed coordinates, so that a gap laid out as 2 mm is 2 mm


class Outline(Model):
    """One body of a mount seen from above: convex, between two heights. Mount frame, mm."""

    body: str = Field(description="a part's name, or 'servo' with its arm over the whole swing")
    z_mm: tuple[float, float]
    corners: tuple[tuple[float, float], ...] = Field(description="in order, x along the track, y across it")


@dataclass(frozen=True)
class Standing:
    """A mount in its place."""

    id: str
    site: Site
    outlines: tuple[Outline, ...]
    board_mm: float


def outlines(design: Design, meshes: Sequence[PartMesh]) -> tuple[Outline, ...]:
    """Convex outline and height of each part, of the servo with its arm, and of plywood for its screws."""
    bodies = [(mesh.name, apply(mesh.print_to_mount, mesh.vertices_mm)) for mesh in meshes]
    if pad := design.plan.pad_xy:
        low = -design.spec.board.thickness_mm
        bodies.append(("pad", np.array([(*at, z) for at in pad for z in (low, low + design.spec.pad_mm)])))
    if (down := design.plan.drop_in) and (backing := down.backing):
        low = -backing.thick_mm if backing.let_in else -design.spec.board.thickness_mm
        heights = (low, low + backing.thick_mm)
        bodies += [("backing", np.array([(*at, z) for at in piece for z in heights])) for piece in backing.pieces]
    return tuple(_outline(name, points) for name, points in (*bodies, ("servo", _servo_points(design))))


def check_sites(mounts: Sequence[Standing], boards: Mapping[str, BoardTable]) -> dict[str, tuple[Check, ...]]:
    """``neighbour``, ``framing`` and ``board-edge`` of each mount, by its id.

    Measured in plan between convex outlines, of bodies that share some height: the least gap, mm, 0 where
    they overlap; for the edge the least distance inside it, negative by what hangs out.
    """
    placed = {mount.id: _placed(mount) for mount in mounts}
    return {
        mount.id: (
            *_neighbours(mount, [other for other in mounts if other.site.board == mount.site.board], placed),
            *_framing(mount, boards[mount.site.board].framing, placed[mount.id]),
            *_edge(boards[mount.site.board], placed[mount.id]),
        )
        for mount in mounts
    }


_Bodies = list[tuple["Polygon", tuple[float, float]]]


def _outline(name: str, points: Array) -> Outline:
    from shapely import MultiPoint, Polygon

    hull = MultiPoint(points[:, :2]).convex_hull.simplify(_SIMPLER_MM)
    if not isinstance(hull, Polygon):
        raise TypeError(f"{name}: a body has an area from above")
    low, high = float(points[:, 2].min()), float(points[:, 2].max())
    return Outline(body=name, z_mm=(low, high), corners=tuple((x, y) for x, y in hull.exterior.coords[:-1]))


def _servo_points(design: Design) -> Array:
    """Corners of case and ears, and the arm's tip over the swing with its thickness, mount frame (n, 3)."""
    servo = design.spec.servo
    (near, far), ear, half = servo.case_ends_mm(), servo.ear_mm, servo.case_width_mm / 2
    boxes = [
        ((near, far), (-servo.flange_underside_height_mm, max(servo.boss_top_height_mm, servo.horn_plane_height_mm))),
        ((near - ear, far + ear), (0.0, servo.flange_thickness_mm)),
    ]
    corners = [(x, y, z) for xs, zs in boxes for x in xs for y in (-half, half) for z in zs]
    body = apply(design.datums.servo, np.array(corners))
    origin, axis = scene.shaft_axis(design)
    outer = origin + axis * servo.horn_plane_height_mm
    reach = design.plan.arm_length_mm or servo.horn_length_mm
    angles = scene.arm_angles_rad(design)
    tips = [outer + way * reach for angle in angles for way in scene.arm_ways(design, float(angle))]
    return np.vstack([body, tips, np.array(tips) - axis * servo.horn_thickness_mm, wiring(design).stands_out(design)])


def _placed(mount: Standing) -> _Bodies:
    from shapely import Polygon
    from shapely.affinity import rotate, translate

    bodies = []
    for outline in mount.outlines:
        turned = rotate(Polygon(outline.corners), mount.site.heading_deg, origin=(0, 0))
        bodies.append((translate(turned, mount.site.x_mm, mount.site.y_mm), outline.z_mm))
    return bodies


def _gap(ours: _Bodies, theirs: _Bodies) -> float:
    """Least distance in plan of bodies that share some height; infinite where none do."""
    return min(
        (
            a.distance(b)
            for a, (a_low, a_high) in ours
            for b, (b_low, b_high) in theirs
            if min(a_high, b_high) - max(a_low, b_low) > _TOUCH_MM
        ),
        default=math.inf,
    )


def _neighbours(mount: Standing, others: Sequence[Standing], placed: Mapping[str, _Bodies]) -> Iterator[Check]:
    """The nearest other mount of the same board."""
    ours, nearest_id, least = placed[mount.id], "", math.inf
    reach = {other.id: _reach(other) for other in others}
    away = sorted((_between(mount, other) - reach[other.id], other.id) for other in others if other.id != mount.id)
    for bound, other_id in away:
        if bound - reach[mount.id] >= least:
            break
        gap = _gap(ours, placed[other_id])
        if gap < least:
            nearest_id, least = other_id, gap
    if nearest_id:
        yield _row("neighbour", least, NEIGHBOUR_MM, f"to '{nearest_id}'", mount, ours, placed[nearest_id])


def _framing(mount: Standing, framing: Sequence[Framing], ours: _Bodies) -> Iterator[Check]:
    from shapely import LineString

    rows = []
    for timber in framing:
        beam = LineString([timber.start, timber.end]).buffer(timber.width / 2, cap_style="flat")
        bodies: _Bodies = [(beam, (-mount.board_mm - timber.depth, -mount.board_mm))]
        gap = _gap(ours, bodies)
        if gap < math.inf:
            rows.append((gap, timber.name, bodies))
    if rows:
        gap, name, bodies = min(rows, key=lambda row: row[0])
        yield _row("framing", gap, FRAMING_MM, f"to '{name}'", mount, ours, bodies)


def _edge(board: BoardTable, ours: _Bodies) -> Iterator[Check]:
    from shapely import Polygon, union_all

    if board.outline is None:
        return
    area = Polygon(board.outline)
    whole = union_all([body for body, _ in ours])
    out = whole.difference(area)
    inside = _whole_um(whole.distance(area.exterior) if out.is_empty else -_overhang(out, area))
    said = f"{number(abs(inside))} mm {'inside' if inside >= 0 else 'past'} the edge of the board"
    yield Check.of(
        "board-edge",
        inside,
        "at least",
        BOARD_EDGE_MM,
        "mm",
        said,
        lambda least: f"{said}; move it {_tenths_up(least - inside)} mm inwards",
    )


def _overhang(out: BaseGeometry, area: Polygon) -> float:
    """How far what hangs out reaches from the board."""
    from shapely import get_coordinates, points

    return max(float(point.distance(area)) for point in points(get_coordinates(out)))


def _row(name: str, gap: float, limit: float, what: str, mount: Standing, ours: _Bodies, theirs: _Bodies) -> Check:
    value = _whole_um(gap)
    said = f"{number(value)} mm {what}" if gap > 0 else f"overlaps {what.removeprefix('to ')}"

    def moved(least: float) -> str:
        move, way = min((_move(mount, ours, theirs, least, way), way) for way in (1, -1))
        side = "on" if way > 0 else "back"
        return f"{said}; move it {_tenths_up(move)} mm {side} along its track, at least {least:g} mm are needed"

    return Check.of(name, value, "at least", limit, "mm", said, moved)


def _whole_um(distance_mm: float) -> float:
    """A distance in mm to whole µm, rounded down: never told larger than it is, so none is told as its limit."""
    return math.floor(distance_mm * 1000 + _NOISE) / 1000


def _tenths_up(move_mm: float) -> str:
    """A move that is needed, as the next tenth of a mm that is enough."""
    return f"{math.ceil(round(move_mm * 10, 6)) / 10:.1f}"


def _move(mount: Standing, ours: _Bodies, theirs: _Bodies, limit: float, way: int) -> float:
    """How far along its own track a mount must go until it is clear, by halving; the way out is one step."""
    from shapely.affinity import translate

    heading = math.radians(mount.site.heading_deg)
    low, high = 0.0, _FARTHEST_MOVE_MM
    while high - low > 0.05:
        middle = (low + high) / 2
        x, y = way * middle * math.cos(heading), way * middle * math.sin(heading)
        moved = [(translate(body, x, y), z_mm) for body, z_mm in ours]
        low, high = (low, middle) if _gap(moved, theirs) >= limit else (middle, high)
    return high


def _between(one: Standing, other: Standing) -> float:
    return math.hypot(one.site.x_mm - other.site.x_mm, one.site.y_mm - other.site.y_mm)


def _reach(mount: Standing) -> float:
    return max(math.hypot(x, y) for outline in mount.outlines for x, y in outline.corners)
