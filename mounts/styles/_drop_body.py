"""The solid of a drop-in: one body, printed with the flange's top on the bed, so that nothing hangs."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from mounts.design import Design
from mounts.frames import Array, inverse, matrix
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.styles import _mounting
from mounts.styles._drop_options import LEAD_IN_MM
from mounts.styles._drop_plan import DropPlan

if TYPE_CHECKING:
    from cadquery import Shape, Solid

    from mounts.solid.part import Part

CORNER_MM = 3.0  # upright edges of the flange; common practice, no source
# common practice, no source:
SKIRT_CORNER_MM = 1.5  # cut off the skirt's, for what a drill leaves in those of the cut-out
ROOT_MM = 0.5  # how far into the flange what hangs from it is drawn
FACETS = 32  # of a round seat


def build(design: Design, plan: DropPlan) -> Part:
    """One body, mount frame."""
    from mounts.solid.guard import kernel_step, one_solid
    from mounts.solid.part import Part
    from mounts.solid.plates import chamfered_plate

    spec, top = design.spec, plan.flange_mm
    with kernel_step("draw the flange", "use a thicker flange_mm"):
        bore = _mounting.bore_mm(spec, fits.FIXING_UPRIGHT)
        flange = chamfered_plate(
            plan.flange_x,
            plan.flange_y,
            top_z=top,
            thickness_mm=top,
            corner_mm=CORNER_MM,
            chamfer_mm=_mounting.bed_chamfer_mm(spec.printer),
            holes=[(x, y, bore) for x, y in plan.heads_xy],
        )
    with kernel_step("draw what hangs from it", "measure the servo's ears and their holes again"):
        hung = [_skirt(plan), _wall(plan), *_ribs(plan), _block(plan)]
    with kernel_step("join it to the flange", "use the default options"):
        body: Any = flange.fuse(*hung)
    with kernel_step("cut the post's seat, the guide and the countersinks", "use a thicker flange_mm"):
        body = body.cut(_seat(plan), _guide(plan), *_sinks(spec, plan))
        body = _mounting.with_pilots(body, plan.wall_face_x, plan.wall_mm, plan.pilots_yz, plan.pilot_mm, up=(0, -1))
    if spec.mirror:
        body = body.mirror("YZ")
    back = plan.wall_face_x - plan.wall_mm
    (h0, _), (g0, g1) = plan.hung_x, plan.hung_y
    inner = h0 + plan.rib_mm
    body = _mounting.named(
        body,
        spec,
        plan.name_mark,
        at=((inner + back) / 2, (g0 + g1) / 2, 0.0),
        along=(0, 1, 0),
        out=(0, 0, -1),
        room_mm=(g1 - g0 - 2 * plan.rib_mm - 2.0, min(back, plan.block_x[0]) - inner - 2.0),
    )
    through = len(plan.heads_xy) + 1 + (len(plan.pilots_yz) if plan.pilot_mm else 0)
    turned = np.diag([1.0, -1.0, -1.0])
    corner = np.array([-plan.flange_x[1] if spec.mirror else plan.flange_x[0], plan.flange_y[1], top])
    pose = inverse(matrix(turned, -turned @ corner))
    return Part("", one_solid(body, "build the drop-in"), pose, through)


def _level(z: float) -> Any:
    import cadquery as cq

    return cq.Plane(origin=(0, 0, z), xDir=(1, 0, 0), normal=(0, 0, 1))


def _skirt(plan: DropPlan) -> Solid:
    from mounts.solid.plates import prism

    (x0, x1), (y0, y1), c, rib = plan.hung_x, plan.hung_y, SKIRT_CORNER_MM, plan.rib_mm
    outline = [
        (x0 + c, y0), (x1 - c, y0), (x1, y0 + c), (x1, y1 - c), (x1 - c, y1), (x0 + c, y1), (x0, y1 - c), (x0, y0 + c)
    ]  # fmt: skip
    inside = [(x0 + rib, y0 + rib), (x1 - rib, y0 + rib), (x1 - rib, y1 - rib), (x0 + rib, y1 - rib)]
    return prism(_level(plan.skirt_z), outline, ROOT_MM - plan.skirt_z, holes=[inside])


def _wall(plan: DropPlan) -> Solid:
    (y0, y1), (n0, n1) = plan.hung_y, plan.notch_y
    low, high = plan.wall_bottom_z, plan.notch_top_z
    outline = [
        (y0, ROOT_MM), (y0, low), (n0, low), (n0, high), (n1, high), (n1, low), (y1, low), (y1, ROOT_MM)
    ]  # fmt: skip
    return _mounting.seat_wall(plan.wall_face_x, outline, plan.wall_mm)


def _ribs(plan: DropPlan) -> list[Solid]:
    """Behind the wall, from the skirt's end down to three quarters of it, in line with the skirt's sides."""
    import cadquery as cq

    from mounts.solid.plates import prism

    back, end = plan.wall_face_x - plan.wall_mm, plan.hung_x[0] + SKIRT_CORNER_MM
    foot = min(0.75 * plan.wall_bottom_z, plan.skirt_z - 1.0)
    rib = [(back + 0.5, ROOT_MM), (end, ROOT_MM), (end, plan.skirt_z), (back, foot), (back + 0.5, foot)]
    return [
        prism(cq.Plane(origin=(0, y, 0), xDir=(1, 0, 0), normal=(0, -1, 0)), rib, -plan.rib_mm)
        for y in (plan.hung_y[0], plan.hung_y[1] - plan.rib_mm)
    ]


def _block(plan: DropPlan) -> Solid:
    from mounts.solid.plates import prism

    (x0, x1), (y0, y1) = plan.block_x, plan.block_y
    return prism(_level(plan.block_z), [(x0, y0), (x1, y0), (x1, y1), (x0, y1)], ROOT_MM - plan.block_z)


def _seat(plan: DropPlan) -> Solid:
    """The post's hole from above, chamfered where it lies on the bed; its floor is a roof in print."""
    from mounts.solid.polyhedron import stacked

    half, top = plan.post_half_mm, plan.flange_mm
    over = 0.1
    return stacked(
        [
            _ring(plan, plan.seat_tip_mm, plan.seat_roof_z),
            _ring(plan, half, plan.seat_floor_z),
            _ring(plan, half, top - LEAD_IN_MM),
            _ring(plan, half + LEAD_IN_MM + over, top + over),
        ],
        "draw the post's seat",
    )


def _ring(plan: DropPlan, half_mm: float, z: float) -> Array:
    """Outline of the post at a height, counter-clockwise from above; round ones drawn round their circle."""
    x, y = plan.post_at
    if plan.post == "square":
        return np.array([(x + a * half_mm, y + b * half_mm, z) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))])
    turns = 2 * math.pi * np.arange(FACETS) / FACETS
    radius = half_mm / math.cos(math.pi / FACETS)
    return np.column_stack([x + radius * np.cos(turns), y + radius * np.sin(turns), np.full(FACETS, z)])


def _guide(plan: DropPlan) -> Solid:
    """The rod's slot, right through; where the rod is in the post it opens into the seat."""
    from mounts.solid.plates import prism

    x, y, over = plan.slot_x_mm / 2, plan.slot_y_mm / 2, 0.1
    high = plan.seat_floor_z if plan.rod_in_post else plan.flange_mm + over
    low = plan.block_z - over
    return prism(_level(low), [(-x, -y), (x, -y), (x, y), (-x, y)], high - low)


def _sinks(spec: MountSpec, plan: DropPlan) -> list[Shape]:
    from mounts.solid.holes import countersink

    return [countersink((x, y, -plan.flange_mm), spec.fixing).mirror("XY") for x, y in plan.heads_xy]
