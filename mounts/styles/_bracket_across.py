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
from mounts.inputs.spec import MountSpec
from mounts.styles import _bracket, _mounting, _pilots
from mounts.styles._bracket import (
    CORNER_MM,
    DRIVER_RADIUS_MM,
    INDEX_DEEP_MM,
    INDEX_HALF_MM,
    INDEX_STEP_MM,
    LOAD_WALL_MM,
    BracketPlan,
    Options,
)
from mounts.styles._bracket_legs import PLUG_UP_MM, Legs, across_mpa_per_n, seat_n_per_mm, upright_mpa_per_n
from mounts.styles._mounting import EAR_MARGIN_MM, ON_ITS_SIDE, PLUG_SIDE_MM, Point2, flip

if TYPE_CHECKING:
    from cadquery import Solid

    from mounts.solid.part import Part

# common practice, no source:
THINS_STEEP = 1.1  # rise over run of a leg that grows as thick as the wall, in print
LEDGE_MM, LEDGE_LAYERS = 0.8, 3  # of the plate left over its index notches: its bed edge stays whole
WALL_OVER_NOTCH_MM = 3.0  # bridge of wall between the plate and the notch
BETWEEN_SCREWS_SHANKS = 3.0  # of two mounts that stand against each other
RIB_AIR_MM = 0.4  # between case and ribs, whatever slip fit was measured
FLARE_STEEP = 1.5  # rise over run of the web's ends, in print
LEAST_FLARE_MM = 0.5  # lower, the bosses reach the plate, and with them the web
BAY_SHARE, LEAST_BAY_MM = 0.6, 4.0  # of the plate's depth behind the seat; a smaller bay is all rim
EAR_END_MM = 0.5  # web beyond the ends of the ears


class AcrossPlan(BracketPlan):
    """A thin web with two legs that hold the screws, a notch between them that is open at the bottom, two ribs behind.

    Only the legs' ends, round the screws, are as thick as the wall. The web has no window: round one a slicer draws
    many short loops, slowly, and the print takes longer than the plastic is worth.
    """

    outline_xy: tuple[tuple[float, float], ...] = Field(description="corners of the plate")
    web_mm: float = Field(description="thickness of the web, behind the seat")
    foot_y: tuple[float, float] = Field(description="the web's ends at the plate")
    boss_top_z: float = Field(description="from here down the legs are as thick as the wall")
    thinned_z: float = Field(description="from here up they are as thin as the web, which tapers to its foot")
    inside_y: tuple[float, float] = Field(description="faces of the ribs that look at each other")
    notch_y: tuple[float, float]
    notch_top_z: float
    rib_reach_mm: float = Field(description="from the seat along the plate")
    knee_z: float = Field(description="down to here the ribs narrow, past the plug; below they are as deep as the wall")
    rib_drop_mm: float = Field(description="from the plate down to the bosses; further, it would shut a screw's hole")
    mark_x: tuple[float, float] = Field(description="strip of the plate for the name")
    mark_y: tuple[float, float] = Field(description="its ends")


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
    wants = _mounting.seat_wants(spec, wire.felt_n_per_mm, wire.horn_radius_mm, across=True)
    plan = planned(spec, options, plate, (seat_x, 0.0, shaft_z), wants)
    return _bracket.datums(spec, wire, plan, ON_ITS_SIDE, shaft_z), plan


def planned(
    spec: MountSpec,
    options: Options,
    plate: dict[str, Any],
    shaft: Vector,
    wants: _mounting.SeatWants,
    *,
    upright: bool = False,
    half_mm: float | None = None,
) -> AcrossPlan:
    """Plate, web, legs and ribs round a servo whose shaft lies along the track.

    Args:
        spec: board, servo, fixing and printer.
        options: of the bracket.
        plate: fields of the plan that describe plate and wire's slot.
        shaft: where it crosses the ears' seat, before the mirror, mount frame, mm.
        wants: of the seat; for it the web is some lines thicker.
        upright: the arm pulls up and down, too.
        half_mm: nothing stands beyond this y, where a mirrored partner begins: the case lies away from it (``TURNED``);
            None: there is none.
    """
    for web_mm in _bracket.webs_mm(spec, options):
        plan = _with_web(spec, options, plate, shaft, upright, half_mm, web_mm)
        if wants.has(plan.seat_n_per_mm, plan.seat_mpa_per_n or 0.0):
            break
    return plan


def _with_web(
    spec: MountSpec,
    options: Options,
    plate: dict[str, Any],
    shaft: Vector,
    upright: bool,
    half_mm: float | None,
    asked_web_mm: float,
) -> AcrossPlan:
    servo, slip = spec.servo, fits.POCKET.air_mm(spec.printer)
    seat_x, shaft_y, shaft_z = shaft
    wall_mm = _bracket.wall_thickness_mm(spec, options)
    low_y, high_y = sorted(servo.case_ends_mm(shaft_y, towards=1 if half_mm is None else -1))
    case_y = (low_y, high_y)
    cable_low = (servo.cable_end == "near") == (half_mm is None)
    middle_y = sum(case_y) / 2
    rib_mm, web_mm = _bracket.rib_mm(spec, options), min(asked_web_mm, wall_mm)
    notch_y = (case_y[0] - slip, case_y[1] + slip)
    margin, front_y = _mounting.head_margin_mm(spec), _bracket.front_y_mm(spec)
    inside_y = _between(case_y, -max(slip, RIB_AIR_MM))
    rib_y = _between(inside_y, -rib_mm)
    ends_mm = _ends_mm(spec)
    wall_y = (min(case_y[0] - ends_mm, rib_y[0]), max(case_y[1] + ends_mm, rib_y[1]))
    usual = _bracket.webs_mm(spec, options)[: _bracket.USUAL_MORE + 1][-1]
    before_rear = min(max(web_mm, usual), wall_mm)
    rear_x = seat_x - before_rear - max(DRIVER_RADIUS_MM, spec.fixing.head_mm / 2 + fits.SCREW_HEAD.own_mm)
    heads = ((0.0, -front_y), (0.0, front_y), *((rear_x, y) for y in _between(inside_y, DRIVER_RADIUS_MM)))
    before_slot = plate["slot_x_mm"] / 2 + INDEX_DEEP_MM + LOAD_WALL_MM
    plate_x = (rear_x - margin, max(_bracket.front_edge_mm(spec, CORNER_MM), before_slot))
    side = _bracket.side_edge_mm(spec)
    pin_y = (-side, side)
    if half_mm is not None:
        # none beyond the rod: one in front of its hole, one beside the servo
        pin_y = (min(wall_y[0], -side), min(half_mm, side))
        ahead = pin_y[1] - max(margin, BETWEEN_SCREWS_SHANKS / 2 * spec.fixing.shank_mm)
        heads = ((front_y, ahead), (0.0, pin_y[0] + margin), *heads[2:])
        plate_x = (plate_x[0], front_y + margin + INDEX_DEEP_MM)
    if (second_y := plate.get("second_y")) is not None:
        # midway between both rods instead, so far ahead that it is clear of both holes; the plate goes on to the second
        middle = math.floor(second_y / 2)  # whole, so that a mount which is adapted keeps its screws
        ahead = math.sqrt(max(0.0, front_y**2 - middle**2))
        heads = ((ahead, middle), *heads[1:])
        flare = (options.plate_mm - plate["land_mm"]) / 2 * math.tan(math.radians(plate["flare_deg"]))
        edge = max(margin, plate["slot_y_mm"] / 2 + flare + LOAD_WALL_MM) + INDEX_DEEP_MM
        pin_y = (second_y - edge, side)
        plate_x = (plate_x[0], max(plate_x[1], ahead + margin + INDEX_DEEP_MM))
    bottom_z = plate["board_face_z"] - options.plate_mm
    notch_top_z = shaft_z + servo.case_width_mm / 2 + fits.POCKET_LEVEL.air_mm(spec.printer)
    pilots_yz = tuple((middle_y + along, shaft_z + across) for along, across in servo.ear_screws_mm)
    screws = _bracket.servo_screws(spec, fits.PILOT_LYING)
    round_mm, roofed_mm = _pilots.boss_mm(spec.servo, spec.printer, screws["pilot_mm"])
    boss_top_z, wall_bottom_z = max(z for _, z in pilots_yz) + round_mm, min(z for _, z in pilots_yz) - roofed_mm
    thinned_z = boss_top_z + THINS_STEEP * max(0.0, wall_mm - web_mm)
    flares = (bottom_z - thinned_z) / FLARE_STEEP if bottom_z - thinned_z >= LEAST_FLARE_MM else 0.0
    foot_y = (max(wall_y[0], min(rib_y[0], wall_y[0] + flares)), min(wall_y[1], max(rib_y[1], wall_y[1] - flares)))
    bay_y = _between(_between(inside_y, DRIVER_RADIUS_MM), margin)
    outline = _outline(plate_x, (seat_x - web_mm, seat_x), foot_y, pin_y, bay_y)
    plate_y = (min(y for _, y in outline), max(y for _, y in outline))

    reach_mm = seat_x - plate_x[0] - CORNER_MM
    shape = Legs(
        posts_mm=(notch_y[0] - wall_y[0], wall_y[1] - notch_y[1]),
        apart_mm=inside_y[1] - inside_y[0] + rib_mm,
        foot_mm=foot_y[1] - foot_y[0],
        web_mm=web_mm,
        rib_mm=rib_mm,
        deep_mm=(wall_mm, reach_mm),
    )
    levels = (bottom_z, notch_top_z, shaft_z)
    stress = across_mpa_per_n(spec, shape, -seat_x, levels)
    plug_air = fits.PLUG_GAP.own_mm
    to_plug = servo.connector_thickness_mm / 2 + plug_air
    plug_y = case_y[0] - to_plug if cable_low else case_y[1] + to_plug
    plug_x = seat_x - wall_mm - servo.connector_width_mm / 2 - PLUG_SIDE_MM
    return AcrossPlan(
        **plate,
        **_bracket.plate_plan(spec, options, heads, plate_x, plate_y, pin_y=pin_y, back=True),
        **screws,
        way_out=(0.0, 0.0, -1.0),
        plug_path=tuple(flip((plug_x, plug_y, z), spec.mirror) for z in (shaft_z, shaft_z - servo.flange_span_mm)),
        seat_n_per_mm=seat_n_per_mm(spec, shape, -seat_x, levels),
        seat_mpa_per_n=max(stress, upright_mpa_per_n(shape, -seat_x)) if upright else stress,
        outline_xy=outline,
        web_mm=web_mm,
        boss_top_z=boss_top_z,
        thinned_z=thinned_z,
        foot_y=foot_y,
        wall_face_x=seat_x,
        wall_mm=wall_mm,
        wall_y=wall_y,
        wall_bottom_z=wall_bottom_z,
        pilots_yz=pilots_yz,
        inside_y=inside_y,
        notch_y=notch_y,
        notch_top_z=notch_top_z,
        knee_z=min(shaft_z + PLUG_UP_MM, bottom_z - 1.0),
        rib_reach_mm=reach_mm,
        rib_drop_mm=bottom_z - boss_top_z,
        mark_x=(seat_x + 1.0, -spec.fixing.head_mm / 2 - 0.8),
        mark_y=_between((max(pin_y[0], outline[2][1]), min(pin_y[1], outline[9][1])), 1.5),
    )


def _ends_mm(spec: MountSpec) -> float:
    """The web beyond the case, where the ears and their screws are."""
    servo = spec.servo
    ears = max(servo.flange_span_mm / 2 + EAR_END_MM, servo.flange_hole_spacing_mm / 2 + _mounting.web_mm(spec))
    return ears - servo.case_length_mm / 2


def beyond_case_mm(spec: MountSpec, options: Options) -> float:
    """What a bracket with a partner reaches beyond the case: web, rib, or the plug's way past the leg."""
    rib = max(fits.POCKET.air_mm(spec.printer), RIB_AIR_MM) + _bracket.rib_mm(spec, options)
    return max(_ends_mm(spec), rib, spec.servo.connector_thickness_mm + 2 * fits.PLUG_GAP.own_mm)


def _between(ends: Point2, inside_mm: float) -> Point2:
    return ends[0] + inside_mm, ends[1] - inside_mm


def _outline(plate_x: Point2, web_x: Point2, foot_y: Point2, pin_y: Point2, bay_y: Point2) -> tuple[Point2, ...]:
    """The plate: under web and ribs as wide as they are, at the pin as wide as screws and notches ask, tapered between.

    Args:
        plate_x: its ends along the track.
        web_x: back and front of the web.
        foot_y: the web's ends on it.
        pin_y: of the plate, at the pin.
        bay_y: of the bay between the rear screws.
    """
    (x0, x1), (p0, p1), c = plate_x, pin_y, CORNER_MM
    notches = INDEX_STEP_MM + INDEX_HALF_MM + 0.4
    rear = 2 * c + INDEX_HALF_MM
    y0, y1 = min(foot_y[0], -rear), max(foot_y[1], min(rear, p1))
    back = web_x[1] + 0.5
    left = ((x0, y0 + c), (x0 + c, y0), (back, y0), (-notches, p0), (x1 - c, p0), (x1, p0 + c))
    right = ((x1, p1 - c), (x1 - c, p1), (-notches, p1), (back, y1), (x0 + c, y1), (x0, y1 - c))
    beside = INDEX_HALF_MM + 2.0  # the notch in the rear edge keeps its flanks, three lines of a wide nozzle
    b0, b1 = (max(bay_y[0], beside), bay_y[1]) if sum(bay_y) > 0 else (bay_y[0], min(bay_y[1], -beside))
    deep = min(BAY_SHARE * (back - x0), web_x[0] - 1.0 - x0)
    if min(deep, b1 - b0) < LEAST_BAY_MM:
        return (*left, *right)
    return (*left, *right, (x0, b1), (x0 + deep, b1 - c), (x0 + deep, b0 + c), (x0, b0))


def build(design: Design, plan: AcrossPlan) -> Part:
    """One body, mount frame: holes come from the plate's sketch, wall and ribs are extruded sketches.

    The plate hangs from z = −board thickness and is printed with that face down.
    """
    import cadquery as cq

    from mounts.solid.faces import pierced
    from mounts.solid.guard import kernel_step, one_solid
    from mounts.solid.holes import countersink
    from mounts.solid.part import Part
    from mounts.solid.plates import chamfered, prism

    spec, printer = design.spec, design.spec.printer
    bottom_z = plan.board_face_z - plan.plate_mm
    with kernel_step("draw the plate", "use a thicker plate_mm"):
        bore = _mounting.bore_mm(spec, fits.FIXING_UPRIGHT)
        level = cq.Plane(origin=(0, 0, bottom_z), xDir=(1, 0, 0), normal=(0, 0, 1))
        drawn = prism(level, plan.outline_xy, plan.plate_mm, bores=[(at, bore) for at in plan.heads_xy])
        plate = chamfered(drawn, ">Z", _mounting.bed_chamfer_mm(printer))
    with kernel_step("draw web, legs and ribs", "measure the servo's ears and their holes again"):
        root, top = bottom_z + 0.5, plan.notch_top_z
        (y0, y1), (n0, n1), (r0, r1), (f0, f1) = plan.wall_y, plan.notch_y, plan.inside_y, plan.foot_y
        end, flared = plan.wall_bottom_z, plan.thinned_z
        sides = [(y0, root)], [(y1, root)]
        if bottom_z - flared >= LEAST_FLARE_MM:
            sides = [(f0, root), (f0, bottom_z), (y0, flared)], [(y1, flared), (f1, bottom_z), (f1, root)]
        web = [
            *sides[0], (y0, end), (n0, end), (n0, top), (n1, top), (n1, end), (y1, end), *sides[1]
        ]  # fmt: skip
        front = cq.Plane(origin=(plan.wall_face_x, 0, 0), xDir=(0, 1, 0), normal=(1, 0, 0))
        bosses = [_upright(_boss(plan, root), *y) for y in ((y0, n0), (n1, y1))]
        ribs = [_upright(_rib(plan, root), *y) for y in ((r0 - plan.rib_mm, r0), (r1, r1 + plan.rib_mm))]
    with kernel_step("join web, legs and ribs to the plate", "use the default options"):
        body = plate.fuse(prism(front, web, -plan.web_mm), *bosses, *ribs).clean()
    with kernel_step("cut the pivot and the countersinks", "use a thicker plate_mm"):
        over = 0.1
        skin = max(LEDGE_MM, LEDGE_LAYERS * printer.layer_mm + 0.05)
        below = cq.Plane(origin=(0, 0, bottom_z - over), xDir=(1, 0, 0), normal=(0, 0, 1))
        notches = [
            prism(below, outline, plan.plate_mm - skin + over) for outline in _bracket.index_notches(plan, back=True)
        ]
        sinks = [countersink((x, y, bottom_z), spec.fixing) for x, y in plan.heads_xy]
        body = pierced(body.cut(*notches, *sinks), _bracket.pivots(plan), "cut the pivot")
        body = _mounting.with_pilots(body, plan.wall_face_x, plan.wall_mm, plan.pilots_yz, plan.pilot_mm, up=(0, -1))
    if spec.mirror:
        body = body.mirror("YZ")
    body = _mounting.named(
        body,
        spec,
        plan.name_mark,
        at=(sum(plan.mark_x) / 2, sum(plan.mark_y) / 2, bottom_z),
        along=(0, 1, 0),
        out=(0, 0, -1),
        room_mm=(plan.mark_y[1] - plan.mark_y[0], plan.mark_x[1] - plan.mark_x[0]),
    )
    turned = np.diag([1.0, -1.0, -1.0])
    corner = np.array([-plan.plate_x[1] if spec.mirror else plan.plate_x[0], plan.plate_y[1], plan.board_face_z])
    pose = inverse(matrix(turned, -turned @ corner))
    return Part("", one_solid(body, "build the bracket"), pose, _bracket.through_holes(plan))


def _boss(plan: AcrossPlan, root: float) -> list[Point2]:
    """Profile of the end of a leg, x and z: as thick as the wall round its screw, thinning out towards the plate."""
    seat, back, wall = plan.wall_face_x, plan.wall_face_x - plan.web_mm, plan.wall_face_x - plan.wall_mm
    end = plan.wall_bottom_z
    if plan.board_face_z - plan.plate_mm - plan.thinned_z < LEAST_FLARE_MM:
        return [(seat, root), (seat, end), (wall, end), (wall, root)]
    return [(seat, plan.thinned_z), (seat, end), (wall, end), (wall, plan.boss_top_z), (back, plan.thinned_z)]


def _rib(plan: AcrossPlan, root: float) -> list[Point2]:
    """Profile of a rib, x and z."""
    back, inside = plan.wall_face_x - plan.web_mm, plan.wall_face_x - plan.web_mm / 2
    end, bottom_z = plan.wall_face_x - plan.rib_reach_mm, plan.board_face_z - plan.plate_mm
    foot, wall = bottom_z - plan.rib_drop_mm, min(plan.wall_face_x - plan.wall_mm, back - 0.1)
    return [
        (inside, root),
        (end, root),
        (end, bottom_z - 0.8),
        (wall, max(plan.knee_z, foot)),
        (wall, foot),
        (inside, foot),
    ]


def _upright(profile: list[Point2], y0: float, y1: float) -> Solid:
    """A profile in x and z drawn out from y0 to y1."""
    import cadquery as cq

    from mounts.solid.plates import prism

    return prism(cq.Plane(origin=(0, y0, 0), xDir=(1, 0, 0), normal=(0, -1, 0)), profile, y0 - y1)
