"""The bracket with the servo's long side down: narrow, deeper, printed on the back of its wall.

Seen along the track, from the front:

        plate  ═══════════╤════════⋎═══════
                rib │     ┌─┴───────┐ ear
                    │ post│  case   ░  → y      the wall is a C, open towards +y, where the servo
                    │     │    ⊙    ░           slides in sideways; ears sit on its two arms
                    │     └─┬───────┘
                    └───────┴ arm of the C
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from pydantic import Field

from mounts.design import Datums, Design
from mounts.drive.model import Drive
from mounts.drive.rocking_wire.model import RockingWireLimits
from mounts.frames import inverse, matrix
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.styles import _bracket, _mounting
from mounts.styles._bracket import DRIVER_RADIUS_MM, BracketPlan, Options
from mounts.styles._mounting import EAR_MARGIN_MM, PLUG_SIDE_MM, flip

if TYPE_CHECKING:
    from mounts.solid.part import Part

EAR_AIR_MM = 1.0  # between the upper ear and the plate; common practice, no source
CUT_MM = 3.0  # front corners, chamfered: they are upright edges in print; common practice, no source
POST_MM = 9.0  # beside the case: the rib, and the strip for the name; common practice, no source
BITE_DIAMETERS = 1.6  # from a servo screw's axis to the free side of the wall; common practice, no source


class DownPlan(BracketPlan):
    """A wall like a C, one rib at its closed side."""

    case_side_y: float = Field(description="the post's side of the opening")
    opening_z: tuple[float, float] = Field(description="lower and upper end of the opening")
    rib_reach_mm: float = Field(description="from the wall's front along the plate")
    rib_drop_mm: float = Field(description="from the plate down the wall's front")


def _roof_mm(spec: MountSpec) -> float:
    """Ridge of a lying countersink's roof above its axis."""
    return math.sqrt(2) * (spec.fixing.head_mm / 2 + fits.SCREW_HEAD.own_mm) + 0.2


def limits(spec: MountSpec, options: Options) -> RockingWireLimits:
    """What the plate and the ears leave to the wire."""
    near, far = spec.servo.case_ends_mm()
    return _bracket.wire_limits(
        spec,
        options,
        below_shaft_mm=far + spec.servo.ear_mm + EAR_MARGIN_MM,
        above_shaft_mm=-near + spec.servo.ear_mm + EAR_AIR_MM,
    )


def place(spec: MountSpec, drive: Drive, options: Options) -> tuple[Datums, DownPlan]:
    """Where everything stands."""
    wire = _bracket.rocking(drive)
    servo, slip = spec.servo, fits.POCKET.air_mm(spec.printer)
    plate = _bracket.pivot_plan(spec, wire, options)
    seat_x, shaft_z = _bracket.seat(spec, wire, plate["pivot_z"])
    wall_mm = _bracket.wall_thickness_mm(spec, options)
    case_z = servo.case_ends_mm(shaft_z, towards=-1)[::-1]
    side_y = -servo.case_width_mm / 2 - slip
    wall_y = (side_y - POST_MM, servo.flange_hole_pitch_mm / 2 + BITE_DIAMETERS * servo.screw_mm)
    margin, front_y = _mounting.head_margin_mm(spec), _bracket.front_y_mm(spec)
    heads = ((0.0, -front_y), (0.0, front_y), (seat_x + DRIVER_RADIUS_MM + 0.5, 0.3 * front_y))
    bottom_z = plate["board_face_z"] - options.plate_mm
    middle_z = sum(case_z) / 2

    plug_x = seat_x - wall_mm - servo.connector_width_mm / 2 - PLUG_SIDE_MM
    beside = servo.connector_thickness_mm / 2 + fits.PLUG_GAP.own_mm
    plug_z = case_z[1] + beside if servo.cable_end == "near" else case_z[0] - beside
    half, flare = (options.plate_mm - plate["land_mm"]) / 2, math.tan(math.radians(plate["flare_deg"]))
    slot_roof = plate["slot_x_mm"] / 2 + plate["slot_y_mm"] / 2 + half * flare + 0.2 + _bracket.INDEX_DEEP_MM
    plate_x = (
        seat_x - wall_mm,
        max(_bracket.front_edge_mm(spec, CUT_MM), max(_roof_mm(spec), slot_roof) + _bracket.LOAD_WALL_MM),
    )
    side = _bracket.side_edge_mm(spec)
    plate_y = (min(wall_y[0], -side), side)
    plan = DownPlan(
        **plate,
        **_bracket.plate_plan(spec, options, heads, plate_x, plate_y, back=False),
        **_bracket.servo_screws(spec, fits.PILOT_UPRIGHT),
        way_out=(0.0, 1.0, 0.0),
        plug_path=tuple(flip((plug_x, y, plug_z), spec.mirror) for y in (0.0, servo.flange_span_mm)),
        seat_n_per_mm=_mounting.posts_n_per_mm(spec, wall_mm, (POST_MM,), bottom_z - shaft_z),
        wall_face_x=seat_x,
        wall_mm=wall_mm,
        wall_y=wall_y,
        wall_bottom_z=case_z[0] - servo.ear_mm - EAR_MARGIN_MM,
        pilots_yz=tuple((across, middle_z + along) for along, across in servo.ear_screws_mm),
        case_side_y=side_y,
        opening_z=(case_z[0] - slip, case_z[1] + slip),
        rib_reach_mm=-seat_x - margin,
        rib_drop_mm=0.75 * (bottom_z - case_z[0]),
    )
    rotation = np.array([[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]])  # case down, shaft along x
    return _bracket.datums(spec, wire, plan, rotation, shaft_z), plan


def build(design: Design, plan: DownPlan) -> Part:
    """One body, mount frame, an L: plate and wall are sketches extruded once each.

    Printed on the wall's back, so that the layers run along the posts and plate and the servo's pilot
    holes stand upright; the fixing holes lie and are teardrops.
    """
    import cadquery as cq

    from mounts.solid.guard import kernel_step, one_solid
    from mounts.solid.holes import countersink, teardrop
    from mounts.solid.part import Part
    from mounts.solid.plates import chamfered, prism

    spec = design.spec
    bottom_z = plan.board_face_z - plan.plate_mm
    (x0, x1), (y0, y1) = plan.plate_x, plan.plate_y
    bore = _mounting.bore_mm(spec, fits.FIXING_LYING)
    with kernel_step("draw plate and wall", "measure the servo's ears and their holes again"):
        cut = CUT_MM
        plate = prism(
            cq.Plane(origin=(0, 0, bottom_z), xDir=(1, 0, 0), normal=(0, 0, 1)),
            [(x0, y0), (x1 - cut, y0), (x1, y0 + cut), (x1, y1 - cut), (x1 - cut, y1), (x0, y1)],
            plan.plate_mm,
            holes=[teardrop((x, y), bore, point=(1, 0)) for x, y in plan.heads_xy],
        )
        (w0, w1), (z0, z1), side = plan.wall_y, plan.opening_z, plan.case_side_y
        low, root = plan.wall_bottom_z, bottom_z + 0.5
        wall = _mounting.seat_wall(
            plan.wall_face_x,
            [(w0, root), (w0, low), (w1, low), (w1, z0), (side, z0), (side, z1), (w1, z1), (w1, root)],
            plan.wall_mm,
            plan.pilots_yz,
            plan.pilot_mm,
            up=None,
        )
        seat_x, end = plan.wall_face_x, plan.wall_face_x + plan.rib_reach_mm
        foot = bottom_z - plan.rib_drop_mm
        rib = prism(
            cq.Plane(origin=(0, w0, 0), xDir=(1, 0, 0), normal=(0, -1, 0)),
            [(seat_x - 0.5, root), (end, root), (end, bottom_z - 0.8), (seat_x, foot), (seat_x - 0.5, foot)],
            -plan.rib_mm,
        )
    with kernel_step("join wall and rib to the plate", "use the default options"):
        joined = plate.fuse(wall, rib).clean()  # one face for the whole back, so one rim
        body = chamfered(joined, "<X", _mounting.bed_chamfer_mm(spec.printer))
    with kernel_step("cut the pivot and the countersinks", "use a thicker plate_mm"):
        up = (1.0, 0.0)
        notches = _bracket.index_notches(plan, back=False, to_z=plan.board_face_z + 0.1)
        sinks = [countersink((x, y, bottom_z), spec.fixing, lying_towards=up) for x, y in plan.heads_xy]
        body = body.cut(_bracket.pivot(plan, roofed=True), *notches, *sinks)
    if spec.mirror:
        body = body.mirror("YZ")
    body = _mounting.named(
        body,
        spec,
        plan.name_mark,
        at=(plan.wall_face_x, (w0 + plan.rib_mm + side) / 2, (z0 + z1) / 2),
        along=(0, 0, -1),
        out=(-1 if spec.mirror else 1, 0, 0),
        room_mm=(z1 - z0, side - w0 - plan.rib_mm - 1.0),
    )
    if spec.mirror:
        turned = np.array([[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]])
        corner = np.array([-x0, y0, low])
    else:
        turned = np.array([[0.0, 0.0, -1.0], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]])
        corner = np.array([x0, y0, plan.board_face_z])
    pose = inverse(matrix(turned, -turned @ corner))
    return Part("", one_solid(body, "build the bracket"), pose, _bracket.through_holes(plan))
