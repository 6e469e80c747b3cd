"""The bracket with the servo's long side across the track: least depth, printed on its board face.

board  ████████████████████████████████████
plate  ══════╗═══════════⋎═══════   pivot in the plate, under the tie-bar pin
        rib ╲║           ¦
             ║ ┌───┐     ¦ wire
       ear → ║─┤   ├──╻  ¦          z ↑   → x along the track
      ▓▓▓▓▓▓▓▓▓│   │══╋══╡ arm hole
       case    └───┘  ╹ shaft
          wall ↑
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
from pydantic import Field

from mounts.design import Datums, Design
from mounts.drive.model import Drive
from mounts.drive.rocking_wire.model import RockingWireLimits
from mounts.frames import Vector, inverse, matrix
from mounts.inputs import fits
from mounts.inputs.servo import Servo
from mounts.inputs.spec import MountSpec
from mounts.styles import _bracket, _mounting
from mounts.styles._bracket import CORNER_MM, DRIVER_RADIUS_MM, BracketPlan, Options
from mounts.styles._mounting import EAR_MARGIN_MM, ON_ITS_SIDE, PLUG_SIDE_MM, flip

if TYPE_CHECKING:
    from mounts.solid.part import Part

# all common practice, no source
LEDGE_MM, LEDGE_LAYERS = 0.8, 3  # of the plate left over its index notches: its bed edge stays whole
WALL_OVER_NOTCH_MM = 3.0  # bridge of wall between the plate and the notch
HALF_CORNER_MM = 1.0  # of a plate that ends close beside its rod, which leaves the notch there whole
BETWEEN_SCREWS_SHANKS = 3.0  # of two mounts that stand against each other
RIB_CLEAR_MM = 0.2  # between the end of a pilot and a rib, whatever the facets of the hole


class AcrossPlan(BracketPlan):
    """A wall with a notch that is open at the bottom, and two ribs behind it."""

    notch_y: tuple[float, float]
    notch_top_z: float
    rib_reach_mm: float = Field(description="from the wall's back along the plate")
    rib_drop_mm: float = Field(description="from the plate down the wall's back")
    mark_x: tuple[float, float] = Field(description="strip of the plate for the name")
    corner_mm: float = Field(CORNER_MM, description="radius of the plate's corners")


def limits(spec: MountSpec, options: Options) -> RockingWireLimits:
    """What the plate, the notch and the ears leave to the wire."""
    half = spec.servo.case_width_mm / 2
    return _bracket.wire_limits(
        spec,
        options,
        below_shaft_mm=half + EAR_MARGIN_MM,
        above_shaft_mm=WALL_OVER_NOTCH_MM + half + fits.POCKET_LEVEL.air_mm(spec.printer),
    )


def place(spec: MountSpec, drive: Drive, options: Options) -> tuple[Datums, AcrossPlan]:
    """Where everything stands."""
    wire = _bracket.rocking(drive)
    plate = _bracket.pivot_plan(spec, wire, options)
    seat_x, shaft_z = _bracket.seat(spec, wire, plate["pivot_z"])
    plan = planned(spec, options, plate, (seat_x, 0.0, shaft_z))
    return _bracket.datums(spec, wire, plan, ON_ITS_SIDE, shaft_z), plan


def planned(
    spec: MountSpec, options: Options, plate: dict[str, Any], shaft: Vector, *, half_mm: float | None = None
) -> AcrossPlan:
    """Plate, wall and ribs round a servo whose shaft lies along the track.

    Args:
        spec: board, servo, fixing and printer.
        options: of the bracket.
        plate: fields of the plan that describe plate and wire's slot.
        shaft: where it crosses the ears' seat, before the mirror, mount frame, mm.
        half_mm: nothing stands beyond this y, where a mirrored partner begins: the case lies away from it (``TURNED``);
            None: there is none.
    """
    servo, slip = spec.servo, fits.POCKET.air_mm(spec.printer)
    seat_x, shaft_y, shaft_z = shaft
    wall_mm = _bracket.wall_thickness_mm(spec, options)
    case_y = sorted(servo.case_ends_mm(shaft_y, towards=1 if half_mm is None else -1))
    cable_low = (servo.cable_end == "near") == (half_mm is None)
    middle_y = sum(case_y) / 2
    half_wall = servo.flange_span_mm / 2 + EAR_MARGIN_MM
    plug_air = fits.PLUG_GAP.own_mm
    beside = plug_room_mm(servo, options.rib_mm)
    low, high = (beside, 0.0) if cable_low else (0.0, beside)
    wall_y = (min(middle_y - half_wall, case_y[0] - low), max(middle_y + half_wall, case_y[1] + high))
    notch_y = (case_y[0] - slip, case_y[1] + slip)
    margin, front_y = _mounting.head_margin_mm(spec), _bracket.front_y_mm(spec)
    rear_x = seat_x - wall_mm - DRIVER_RADIUS_MM - 1.0
    inside_rib = options.rib_mm + DRIVER_RADIUS_MM + 0.5
    rear = ((rear_x, wall_y[0] + inside_rib), (rear_x, wall_y[1] - inside_rib))
    side, front_x = _bracket.side_edge_mm(spec), _bracket.front_edge_mm(spec, CORNER_MM)
    heads, plate_y = ((0.0, -front_y), (0.0, front_y), *rear), (min(wall_y[0], -side), max(wall_y[1], side))
    if half_mm is not None:
        # none beyond the rod: one in front of its hole, one beside the servo
        ahead = min(half_mm, side) - max(margin, BETWEEN_SCREWS_SHANKS / 2 * spec.fixing.shank_mm)
        plate_y = (min(wall_y[0], -side), max(wall_y[1], min(half_mm, side)))
        heads = ((front_y, ahead), (0.0, plate_y[0] + margin), *rear)
        front_x = front_y + margin + _bracket.INDEX_DEEP_MM
    plate_x = (rear_x - margin, front_x)
    bottom_z = plate["board_face_z"] - options.plate_mm
    wall_bottom_z = shaft_z - servo.case_width_mm / 2 - EAR_MARGIN_MM
    notch_top_z = shaft_z + servo.case_width_mm / 2 + fits.POCKET_LEVEL.air_mm(spec.printer)

    to_plug = servo.connector_thickness_mm / 2 + plug_air
    plug_y = case_y[0] - to_plug if cable_low else case_y[1] + to_plug
    plug_x = seat_x - wall_mm - servo.connector_width_mm / 2 - PLUG_SIDE_MM
    pilots_yz = tuple((middle_y + along, shaft_z + across) for along, across in servo.ear_screws_mm)
    screws = _bracket.servo_screws(spec, fits.PILOT_LYING)
    return AcrossPlan(
        **plate,
        **_bracket.plate_plan(spec, options, heads, plate_x, plate_y, back=True),
        **screws,
        way_out=(0.0, 0.0, -1.0),
        plug_path=tuple(flip((plug_x, plug_y, z), spec.mirror) for z in (shaft_z, shaft_z - servo.flange_span_mm)),
        seat_n_per_mm=_mounting.posts_n_per_mm(
            spec, wall_mm, (notch_y[0] - wall_y[0], wall_y[1] - notch_y[1]), notch_top_z - shaft_z
        ),
        wall_face_x=seat_x,
        wall_mm=wall_mm,
        wall_y=wall_y,
        wall_bottom_z=wall_bottom_z,
        pilots_yz=pilots_yz,
        notch_y=notch_y,
        notch_top_z=notch_top_z,
        rib_reach_mm=seat_x - wall_mm - plate_x[0] - CORNER_MM,
        rib_drop_mm=_rib_drop_mm(bottom_z, wall_bottom_z, wall_y, options.rib_mm, pilots_yz, screws["pilot_mm"]),
        mark_x=(seat_x + 1.0, -spec.fixing.head_mm / 2 - 0.8),
        corner_mm=CORNER_MM if half_mm is None else HALF_CORNER_MM,
    )


def plug_room_mm(servo: Servo, rib_mm: float) -> float:
    """What the wall reaches beyond the case where the cable leaves it: the plug goes between case and rib."""
    return servo.connector_thickness_mm + 2 * fits.PLUG_GAP.own_mm + rib_mm


def _rib_drop_mm(
    plate_z: float,
    wall_z: float,
    wall_y: tuple[float, float],
    rib_mm: float,
    pilots_yz: tuple[tuple[float, float], ...],
    pilot_mm: float | None,
) -> float:
    """Three quarters of the wall; over the pilots only where a thick rib would stand before them, and shut them."""
    drop = 0.75 * (plate_z - wall_z)
    radius = (pilot_mm or 0.0) / 2 + RIB_CLEAR_MM
    behind = [z for y, z in pilots_yz if min(y - wall_y[0], wall_y[1] - y) < rib_mm + radius]
    return min([drop, *(plate_z - z - math.sqrt(2) * radius for z in behind)])


def build(design: Design, plan: AcrossPlan) -> Part:
    """One body, mount frame: holes come from the plate's sketch, wall and ribs are extruded sketches.

    The plate hangs from z = −board thickness and is printed with that face down.
    """
    import cadquery as cq

    from mounts.solid.guard import kernel_step, one_solid
    from mounts.solid.holes import countersink
    from mounts.solid.part import Part
    from mounts.solid.plates import chamfered_plate, prism

    spec, printer = design.spec, design.spec.printer
    bottom_z = plan.board_face_z - plan.plate_mm
    with kernel_step("draw the plate", "use a thicker plate_mm"):
        plate = chamfered_plate(
            plan.plate_x,
            plan.plate_y,
            top_z=plan.board_face_z,
            thickness_mm=plan.plate_mm,
            corner_mm=plan.corner_mm,
            chamfer_mm=_mounting.bed_chamfer_mm(printer),
            holes=[(x, y, _mounting.bore_mm(spec, fits.FIXING_UPRIGHT)) for x, y in plan.heads_xy],
        )
    with kernel_step("draw the wall", "measure the servo's ears and their holes again"):
        (y0, y1), (n0, n1) = plan.wall_y, plan.notch_y
        z0, z1, root = plan.wall_bottom_z, plan.notch_top_z, bottom_z + 0.5
        wall = _mounting.seat_wall(
            plan.wall_face_x,
            [(y0, root), (y0, z0), (n0, z0), (n0, z1), (n1, z1), (n1, z0), (y1, z0), (y1, root)],
            plan.wall_mm,
            plan.pilots_yz,
            plan.pilot_mm,
            up=(0, -1),
        )
        back = plan.wall_face_x - plan.wall_mm
        end = back - plan.rib_reach_mm
        foot = bottom_z - plan.rib_drop_mm
        rib = [(back + 0.5, root), (end, root), (end, bottom_z - 0.8), (back, foot), (back + 0.5, foot)]
        ribs = [
            prism(cq.Plane(origin=(0, y, 0), xDir=(1, 0, 0), normal=(0, -1, 0)), rib, -plan.rib_mm)
            for y in (y0, y1 - plan.rib_mm)
        ]
    with kernel_step("join wall and ribs to the plate", "use the default options"):
        body = plate.fuse(wall, *ribs)
    with kernel_step("cut the pivot and the countersinks", "use a thicker plate_mm"):
        skin = max(LEDGE_MM, LEDGE_LAYERS * printer.layer_mm + 0.05)
        notches = _bracket.index_notches(plan, back=True, to_z=plan.board_face_z - skin)
        sinks = [countersink((x, y, bottom_z), spec.fixing) for x, y in plan.heads_xy]
        body = body.cut(_bracket.pivot(plan), *notches, *sinks)
    if spec.mirror:
        body = body.mirror("YZ")
    body = _mounting.named(
        body,
        spec,
        plan.name_mark,
        at=(sum(plan.mark_x) / 2, sum(plan.plate_y) / 2, bottom_z),
        along=(0, 1, 0),
        out=(0, 0, -1),
        room_mm=(plan.plate_y[1] - plan.plate_y[0] - 6.0, plan.mark_x[1] - plan.mark_x[0]),
    )
    turned = np.diag([1.0, -1.0, -1.0])
    corner = np.array([-plan.plate_x[1] if spec.mirror else plan.plate_x[0], plan.plate_y[1], plan.board_face_z])
    pose = inverse(matrix(turned, -turned @ corner))
    return Part("", one_solid(body, "build the bracket"), pose, _bracket.through_holes(plan))
