"""The base plate of an on-board housing: rim, screw holes, opening under the arm, and the name."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mounts.design import Span
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.styles import _mounting
from mounts.styles._housing_plan import HangFrame, HousingPlan, SideFrame
from mounts.styles._mounting import HEAD_RIM_MM

if TYPE_CHECKING:
    from cadquery import Shape
    from shapely.geometry.base import BaseGeometry

CORNER_MM = 1.0  # upright edges of the plate, cut off; common practice, no source
# common practice, no source:
BAND_MM = 3.0  # plate left along its edges, round its openings and beside what carries the servo
LEAST_WINDOW_MM, LEAST_WINDOW_MM2 = 6.0, 80.0  # round a smaller one a slicer draws more than it saves
MITRE: dict[str, Any] = {"join_style": "mitre", "mitre_limit": 5.0}
# common practice, no source:
SAME_MM = 1e-3  # corners closer than this are one: single precision, as STL has it, can't hold them apart


def base_plate(spec: MountSpec, plan: HousingPlan) -> tuple[Shape, int]:
    """Plate with rim, before the mirror, mount frame, and how many holes go through it.

    Its bed face lies on z = 0, the outer edge chamfered.
    """
    from shapely.geometry import Polygon

    from mounts.solid.guard import kernel_step
    from mounts.solid.holes import countersink
    from mounts.solid.plates import prism

    frame, top = plan.frame, plan.base_mm
    (x0, x1), (y0, y1), c = plan.base_x, plan.base_y, CORNER_MM
    outline: Any = Polygon(
        [(x0 + c, y0), (x1 - c, y0), (x1, y0 + c), (x1, y1 - c), (x1 - c, y1), (x0 + c, y1), (x0, y1 - c), (x0, y0 + c)]
    )
    if frame.opening is not None:
        outline = outline.difference(_rectangle(*frame.opening))
    rim, bore_mm = frame.rim_mm, _mounting.bore_mm(spec, fits.FIXING_UPRIGHT)
    inside = _rectangle((x0 + rim, x1 - rim), (y0 + rim, y1 - rim))
    # with its corners whole, or what is left of them beside the cut would count as narrow
    around = _rectangle(plan.base_x, plan.base_y).difference(inside)
    around = around.difference(_rectangle(plan.slot_x, (y0 - 1.0, y0 + rim + 1.0)))
    if plan.cable_x is not None:
        around = around.difference(_rectangle(plan.cable_x, (y1 - rim - 1.0, y1 + 1.0)))
    around = _apart(_as_wide(around, 0.99 * rim).intersection(outline))
    holes: list[list[tuple[float, float]]] = []
    if plan.cable_slot is not None:
        holes.append(_ring(_rectangle(*plan.cable_slot)))
    holes += windows(spec, plan)
    with kernel_step("draw the base plate", "use a thicker base_mm"):
        plate: Any = prism(_level(0.0), _ring(outline), top, holes, [(at, bore_mm) for at in frame.heads_xy])
        foot = max(plate.faces("<Z").Wires(), key=lambda wire: wire.Length())
        plate = plate.chamfer(_mounting.bed_chamfer_mm(spec.printer), None, foot.Edges())
        rims = [prism(_level(top - 0.5), _ring(piece), plan.lip_mm - top + 0.5) for piece in _pieces(around)]
    with kernel_step("join the rim to the base plate", "use the default options"):
        plate = plate.fuse(*rims)
    with kernel_step("sink the screws", "use a thicker base_mm"):
        sinks = [countersink((x, y, -top), spec.fixing).mirror("XY") for x, y in frame.heads_xy]
        return plate.cut(*sinks), len(frame.heads_xy) + len(holes)


def windows(spec: MountSpec, plan: HousingPlan) -> list[list[tuple[float, float]]]:
    """Outlines of what is left out of the plate: where nothing stands, no screw bears and no name is read.

    A plate that is bonded keeps all of its face for the glue.
    """
    from shapely import union_all
    from shapely.geometry import Point

    if spec.bonded:
        return []
    frame, fixing = plan.frame, spec.fixing
    wide = plan.base_y
    carries = [_rectangle((low - BAND_MM, high + BAND_MM), wide) for low, high in _carriers_x(frame)]
    heads = [Point(at).buffer(fixing.head_mm / 2 + HEAD_RIM_MM, quad_segs=2) for at in frame.heads_xy]
    gaps = [_rectangle(*gap).buffer(BAND_MM, **MITRE) for gap in (frame.opening, plan.cable_slot) if gap is not None]
    kept = union_all([*carries, *heads, *gaps, _rectangle(frame.mark_x, frame.mark_y)])
    band = frame.rim_mm + BAND_MM
    (x0, x1), (y0, y1) = plan.base_x, plan.base_y
    free = _rectangle((x0 + band, x1 - band), (y0 + band, y1 - band)).difference(kept)
    found = [piece for piece in _pieces(_as_wide(free, LEAST_WINDOW_MM)) if piece.area >= LEAST_WINDOW_MM2]
    return [_ring(_apart(piece)) for piece in sorted(found, key=lambda piece: piece.bounds)]


def _carriers_x(frame: HangFrame | SideFrame) -> list[Span]:
    """What carries the servo, along the track: it runs from side to side of the plate, as the screws beside it do."""
    if isinstance(frame, HangFrame):
        return [frame.near_x, (min(frame.far_x[0], frame.far_foot_x), frame.far_x[1])]
    return [frame.wall_x]


def on_ground(body: Shape, spec: MountSpec) -> Shape:
    """A body drawn from the ground up, in the mount frame."""
    import cadquery as cq

    return body.moved(cq.Location(cq.Vector(0, 0, spec.ground_mm))) if spec.ground_mm else body


def name_in(body: Shape, spec: MountSpec, plan: HousingPlan) -> Shape:
    """The frame, mirrored where it is to be, with its name sunk into the base plate, off the arm's way."""
    frame = plan.frame
    room_x, room_y = (span[1] - span[0] for span in (frame.mark_x, frame.mark_y))
    upright = room_y > room_x
    return _mounting.named(
        body,
        spec,
        plan.name_mark,
        at=(sum(frame.mark_x) / 2, sum(frame.mark_y) / 2, plan.base_mm),
        along=(0, 1, 0) if upright else (1, 0, 0),
        out=(0, 0, 1),
        room_mm=(room_y, room_x) if upright else (room_x, room_y),
        sunk=True,
    )


def _level(z: float) -> Any:
    import cadquery as cq

    return cq.Plane(origin=(0, 0, z), xDir=(1, 0, 0), normal=(0, 0, 1))


def _rectangle(x: Span, y: Span) -> BaseGeometry:
    from shapely.geometry import box

    return box(x[0], y[0], x[1], y[1])


def _pieces(shape: Any) -> list[Any]:
    """The polygons of a shapely shape, slivers left out."""
    return [piece for piece in getattr(shape, "geoms", [shape]) if piece.area > 0.5]


def _as_wide(shape: Any, least_mm: float) -> Any:
    """A shape without what is narrower, such as the rest of a rim beside a gap at its corner."""
    return shape.buffer(-least_mm / 2, **MITRE).buffer(least_mm / 2, **MITRE).intersection(shape)


def _ring(polygon: Any) -> list[tuple[float, float]]:
    return list(polygon.exterior.coords)[:-1]


def _apart(shape: Any) -> Any:
    """A shapely shape without corners that single precision, as STL has it, can't hold apart."""
    from shapely import remove_repeated_points

    return remove_repeated_points(shape, SAME_MM)
