"""The bracket with the servo's long side down: narrow, deeper, printed on the back of its wall.

Seen along the track, from the front:

        plate  ═══════════╤════════⋎═══════
                rib │     ┊ ╻
                    │     ├─┴───────┐ ear
                    │ post│  case   ░  → y      the wall is a post with two arms towards +y, where the
                    │     │    ⊙    ░           servo slides in sideways; its ears sit on them
                    │     └─┬───────┘
                    └───────┴ arm
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from pydantic import Field

from mounts.design import Datums, Design
from mounts.drive.model import Drive
from mounts.drive.rocking_wire.model import RockingWireLimits
from mounts.frames import inverse, matrix
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.styles import _bracket, _mounting, _pilots
from mounts.styles._bracket import DRIVER_RADIUS_MM, BracketPlan, Options
from mounts.styles._mounting import EAR_MARGIN_MM, PLUG_SIDE_MM, Point2, flip

if TYPE_CHECKING:
    from mounts.solid.part import Part

# common practice, no source:
EAR_AIR_MM = 1.0  # between the upper ear and the plate
CUT_MM = 3.0  # front corners, chamfered: they are upright edges in print
USUAL_POST_MM = 9.0  # only compares the two ways to lie
POSTS_MM = (7.5, 8.0, 8.5, 9.0, 10.0, 11.0, 12.0, 14.0, 17.0, 20.0, 24.0)  # beside the case, with room for rib and name
STURDY_POST_MM = 11.0  # where a sturdy one was asked for
LOW_POST = (6.0, 0.7)  # width beside the case, mm and share of the post: the lower ear bears a quarter of the pull
RIB_MM = 8.0  # most that the rib reaches: the post bends along its layers
LEANS, UPRIGHT_MM = 1.15, 1.0  # rise over run of a flank of the plate, in print, and how far it is upright first
GUSSET_MM = 3.0  # between post and upper arm
# between post and plate, most: a sharp corner there would bear three times what the post does
ROOT_ROUND_MM, ROOT_FACETS = 9.0, 4
LEAST_AIR_MM = 5.0  # between upper arm and plate; less is filled
BITE_DIAMETERS = 1.6  # from a servo screw's axis to the free side of the wall


class DownPlan(BracketPlan):
    """A post with an arm for each ear, one rib at the plate."""

    outline_xy: tuple[tuple[float, float], ...] = Field(description="corners of the plate")
    low_y: float = Field(description="outer side of the post beside the case")
    arm_top_z: float | None = Field(description="of the upper arm; None: it is one with the plate")
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
    bottom_z = plate["board_face_z"] - options.plate_mm
    opening_z = (case_z[0] - slip, case_z[1] + slip)
    post = _post(
        spec,
        wall_mm,
        (bottom_z - shaft_z, opening_z[1] - shaft_z),
        -seat_x,
        _mounting.seat_wants(spec, wire.felt_n_per_mm, wire.horn_radius_mm, across=False),
    )
    wall_y = (side_y - post.wide_mm, servo.flange_hole_pitch_mm / 2 + BITE_DIAMETERS * servo.screw_mm)
    margin, front_y, rib_mm = _mounting.head_margin_mm(spec), _bracket.front_y_mm(spec), _bracket.rib_mm(spec, options)
    beside_rib = side_y - POSTS_MM[0] + rib_mm + DRIVER_RADIUS_MM + 0.5  # whatever post: a family shares its screws
    rear = (seat_x + DRIVER_RADIUS_MM + 0.5, max(beside_rib, -0.4 * front_y))
    heads = ((0.0, -front_y), (0.0, front_y), rear)
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
    outline = _outline(plate_x, (wall_y[0], rear[1] + margin), side)
    plate_y = (min(wall_y[0], -side), side)
    pilots_yz = tuple((across, middle_z + along) for along, across in servo.ear_screws_mm)
    screws = _bracket.servo_screws(spec, fits.PILOT_UPRIGHT)
    boss = max(1.5 * servo.screw_mm, (screws["pilot_mm"] or 0.0) / 2 + _pilots.least_web_mm(servo, spec.printer))
    arm_top_z = max(z for _, z in pilots_yz) + boss
    plan = DownPlan(
        **plate,
        **_bracket.plate_plan(spec, options, heads, plate_x, plate_y, pin_y=(-side, side), back=False),
        **screws,
        way_out=(0.0, 1.0, 0.0),
        plug_path=tuple(flip((plug_x, y, plug_z), spec.mirror) for y in (0.0, servo.flange_span_mm)),
        seat_n_per_mm=post.n_per_mm,
        seat_mpa_per_n=post.mpa_per_n,
        outline_xy=outline,
        arm_top_z=arm_top_z if bottom_z - arm_top_z > LEAST_AIR_MM else None,
        wall_face_x=seat_x,
        wall_mm=wall_mm,
        wall_y=wall_y,
        wall_bottom_z=min(z for _, z in pilots_yz) - boss,
        pilots_yz=pilots_yz,
        case_side_y=side_y,
        opening_z=opening_z,
        low_y=side_y - _low_mm(post.wide_mm),
        rib_reach_mm=min(RIB_MM, -seat_x - margin),
        rib_drop_mm=min(0.75 * (bottom_z - case_z[0]), bottom_z - opening_z[1]),
    )
    rotation = np.array([[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]])  # case down, shaft along x
    return _bracket.datums(spec, wire, plan, rotation, shaft_z), plan


def _low_mm(post_mm: float) -> float:
    least_mm, share = LOW_POST
    return min(post_mm, max(least_mm, share * post_mm))


class _Post(NamedTuple):
    """What carries the servo: width, mm; stiffness at the arm's hole, N/mm; stress there for each newton, MPa/N."""

    wide_mm: float
    n_per_mm: float
    mpa_per_n: float


def _post(spec: MountSpec, wall_mm: float, down_mm: Point2, before_mm: float, wants: _mounting.SeatWants) -> _Post:
    """The narrowest post that is stiff enough for the wire and bears the servo's stall, or the widest.

    The post bends (``posts_n_per_mm``) and, as the wire is before it, twists: a²·L/(G·J) with a from the wall's middle
    to the wire and J of a rectangle b × t, b·t³·(1/3 − 0.21·t/b·(1 − t⁴/(12·b⁴))), t the lesser. Domain: the post
    alone, free to warp, clamped at the plate; that rib, arms and servo help is not counted, so it is a lower bound.
    Beside the case it is narrower and twists more; that it bends more there, next to its end, is under 1 %.
    Stress at the plate: bending σ with twist τ = F·a·(3 + 1.8·t/b)/(b·t²), σ/2 + √(σ²/4 + τ²); finite elements of the
    solid show 0.8 to 1.1 times as much, in any section of post or plate, with the round between them.

    Args:
        spec: the plastic.
        wall_mm: thickness of the post.
        down_mm: how far the shaft is below the plate, and below the upper end of the case's opening.
        before_mm: from the wire to the front of the post.
        wants: of the seat.

    Source: torsion of a rectangle, Roark; its stress, Shigley's Mechanical Engineering Design, 3-12, from memory.
    """
    shear = _mounting.shear_mpa(spec)
    (long, short), lever = down_mm, before_mm + wall_mm / 2

    def twists(wide: float) -> float:
        t, b = sorted((wall_mm, wide))
        return shear * b * t**3 * (1 / 3 - 0.21 * t / b * (1 - t**4 / (12 * b**4)))

    def seat(post: float) -> _Post:
        bends = _mounting.posts_n_per_mm(spec, wall_mm, (post,), long)
        turns = (long - short) / twists(post) + short / twists(_low_mm(post))
        bent = _mounting.posts_mpa_per_n(wall_mm, (post,), long)
        t, b = sorted((wall_mm, post))
        sheared = lever * (3 + 1.8 * t / b) / (b * t**2)
        return _Post(post, 1 / (1 / bends + lever**2 * turns), bent / 2 + math.hypot(bent / 2, sheared))

    posts = [seat(wide) for wide in POSTS_MM if wide >= STURDY_POST_MM or not spec.sturdy]
    return next((one for one in posts if wants.has(one.n_per_mm, one.mpa_per_n)), posts[-1])


def _outline(plate_x: Point2, rear_y: Point2, side: float) -> tuple[Point2, ...]:
    """The plate: narrow at the wall, on the bed, and as wide as screws and notches ask at the pin.

    Args:
        plate_x: its ends along the track.
        rear_y: what it reaches at the wall: past the post and round the rear screw.
        side: of the plate at the pin, either way.
    """
    (x0, x1), cut = plate_x, CUT_MM
    wide_x = -(_bracket.INDEX_STEP_MM + _bracket.INDEX_HALF_MM + 0.4)

    def flank(rear: float) -> list[Point2]:
        """From the bed to where the plate is wide, at y ≥ 0."""
        rear = max(rear, side - (wide_x - x0 - UPRIGHT_MM) / LEANS)
        from_x = wide_x - LEANS * max(0.0, side - rear)
        return [(x0, rear), (from_x, rear), (wide_x, side)]

    left = [(x, -y) for x, y in flank(-rear_y[0])]
    right = flank(rear_y[1])[::-1]
    front = ((x1 - cut, -side), (x1, cut - side), (x1, side - cut), (x1 - cut, side))
    return (*left, *front, *right)


def build(design: Design, plan: DownPlan) -> Part:
    """One body, mount frame, an L: plate and wall are sketches extruded once each.

    Printed on the wall's back, so that the layers run along the posts and plate and the servo's pilot
    holes stand upright; the fixing holes lie and are teardrops.
    """
    import cadquery as cq
    from shapely import union_all
    from shapely.geometry import Polygon, box

    from mounts.solid.faces import pierced
    from mounts.solid.guard import kernel_step, one_solid
    from mounts.solid.holes import lying_screw
    from mounts.solid.part import Part
    from mounts.solid.plates import chamfered, prism

    spec = design.spec
    bottom_z = plan.board_face_z - plan.plate_mm
    x0 = plan.plate_x[0]
    bore = _mounting.bore_mm(spec, fits.FIXING_LYING)
    with kernel_step("draw plate and wall", "measure the servo's ears and their holes again"):
        lifted = Polygon([(max(x, x0 + UPRIGHT_MM), y) for x, y in plan.outline_xy])  # the wall brings the rest
        notched = lifted.difference(union_all([Polygon(notch) for notch in _bracket.index_notches(plan, back=False)]))
        plate = prism(
            cq.Plane(origin=(0, 0, bottom_z), xDir=(1, 0, 0), normal=(0, 0, 1)),
            list(notched.exterior.coords)[:-1],
            plan.plate_mm,
        )
        (w0, w1), (z0, z1), side = plan.wall_y, plan.opening_z, plan.case_side_y
        low, root, top = plan.wall_bottom_z, bottom_z + 0.5, plan.arm_top_z
        upper = [(w1, root)]
        if top is not None:
            round_mm = min(ROOT_ROUND_MM, bottom_z - top - GUSSET_MM, w1 - side - GUSSET_MM)
            turns = np.linspace(0.0, math.pi / 2, ROOT_FACETS + 1)
            fillet = [(side + round_mm * (1 - math.cos(a)), bottom_z - round_mm * (1 - math.sin(a))) for a in turns]
            upper = [(w1, top), (side + GUSSET_MM, top), (side, top + GUSSET_MM), *fillet, (side + round_mm, root)]
        post = [
            (w0, root),
            (w0, z1),
            (plan.low_y, z1 - (plan.low_y - w0)),
            (plan.low_y, low),
            (w1, low),
            (w1, z0),
            (side, z0),
            (side, z1),
            (w1, z1),
            *upper,
        ]
        rear = [y for x, y in plan.outline_xy if x == x0]
        back = Polygon(post).union(box(min(rear), bottom_z, max(rear), plan.board_face_z))
        outline = list(back.exterior.coords)[:-1]
        wall = chamfered(
            _mounting.seat_wall(plan.wall_face_x, outline, plan.wall_mm), "<X", _mounting.bed_chamfer_mm(spec.printer)
        )
        seat_x, end = plan.wall_face_x, plan.wall_face_x + plan.rib_reach_mm
        foot = bottom_z - plan.rib_drop_mm
        rib = prism(
            cq.Plane(origin=(0, w0, 0), xDir=(1, 0, 0), normal=(0, -1, 0)),
            [(seat_x - 0.5, root), (end, root), (end, bottom_z - 0.8), (seat_x, foot), (seat_x - 0.5, foot)],
            -plan.rib_mm,
        )
    with kernel_step("join wall and rib to the plate", "use the default options"):
        body = plate.fuse(wall, rib).clean()
    with kernel_step("cut the pivot and the countersinks", "use a thicker plate_mm"):
        below = cq.Plane(origin=(0, 0, bottom_z), xDir=(1, 0, 0), normal=(0, 0, -1))
        screws = [
            lying_screw(below, (x, -y), spec.fixing, bore_mm=bore, deep_mm=plan.plate_mm, up=(1.0, 0.0))
            for x, y in plan.heads_xy
        ]
        body = pierced(body, [*_bracket.pivots(plan, roofed=True), *screws], "cut the pivot and sink the screws")
        body = _mounting.with_pilots(body, plan.wall_face_x, plan.wall_mm, plan.pilots_yz, plan.pilot_mm, up=None)
    if spec.mirror:
        body = body.mirror("YZ")
    body = _mounting.named(
        body,
        spec,
        plan.name_mark,
        at=(plan.wall_face_x, (plan.low_y + side) / 2, (z0 + z1 - (plan.low_y - w0)) / 2),
        along=(0, 0, -1),
        out=(-1 if spec.mirror else 1, 0, 0),
        room_mm=(z1 - z0 - (plan.low_y - w0), side - plan.low_y - 0.8),
    )
    if spec.mirror:
        turned = np.array([[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]])
        corner = np.array([-x0, plan.plate_y[0], low])
    else:
        turned = np.array([[0.0, 0.0, -1.0], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]])
        corner = np.array([x0, plan.plate_y[0], plan.board_face_z])
    pose = inverse(matrix(turned, -turned @ corner))
    return Part("", one_solid(body, "build the bracket"), pose, _bracket.through_holes(plan))
