"""Open stand beside the track for a push rod: a plate and a wall that holds the servo on its side, no scenery."""

import numpy as np
from pydantic import Field

from mounts.design import Beside, Datums, Plan, Screw
from mounts.drive.push_rod.model import PushRodLimits
from mounts.errors import NoDesign
from mounts.frames import matrix
from mounts.inputs import fits
from mounts.inputs.model import Model
from mounts.styles import Style, _pilots

TO_TRACK_MM = 36.0  # plate to the middle of the track; the check measures the gauge
BESIDE_MM = 9.0  # of the plate, before and behind the wall
HEAD_MM = 4.5  # its edges to the fixing screws
EAR_MM = 1.5  # wall past the ears
AIR_MM = 1.0
POINT_MM = 2.0  # board left under the screws
LONGEST_ROD_MM = 150.0


class Options(Model):
    """What ``--set`` takes here."""

    base_mm: float = Field(3.0, ge=2.4, le=5, description="thickness of the plate")


class StandPlan(Plan):
    """Where plate and wall are, mount frame, mm."""

    x: tuple[float, float]
    y: tuple[float, float]
    wall_x: tuple[float, float]
    notch_y: tuple[float, float]
    notch_z: float
    top_z: float
    heads: tuple[tuple[float, float], ...]
    pilots: tuple[tuple[float, float], ...]
    pilot_mm: float


def _reach_mm(spec):
    """Track to the tie bar's hole, which lies outside the near rail."""
    scale = spec.scale
    return scale.track_gauge_mm / 2 + scale.rail_head_mm + (spec.throw_mm + spec.tie_bar_hole_mm) / 2 + AIR_MM


def _front_mm(servo):
    """Shaft to the plate's edge."""
    return servo.shaft_offset_mm + servo.ear_mm + EAR_MM


def limits(spec, options):
    """The arm hangs free beside the plate: its hole must only be so far out that it clears the board."""
    if spec.mirror:
        raise NoDesign("this stand is drawn for one hand only")
    servo, before = spec.servo, _front_mm(spec.servo) + AIR_MM
    after = spec.scale.sleeper_mm / 2 - _reach_mm(spec) + spec.throw_mm / 2 + AIR_MM
    return PushRodLimits(
        rod_length_mm=(_front_mm(servo) + TO_TRACK_MM - _reach_mm(spec), LONGEST_ROD_MM),
        arm_hole_mm=(servo.horn_length_mm + AIR_MM - spec.pin_height_mm, servo.horn_length_mm),
        before_loop_mm=before,
        after_loop_mm=after,
        max_loop_width_mm=LONGEST_ROD_MM - before - after,
        max_loop_height_mm=20.0,
        max_lean_deg=20.0,
        wire_tail_mm=2.5,
        pin_leg_mm=2.0,
        ccw_moves_pin_to_reverse=True,
    )


def place(spec, drive, options):
    """The shaft lies along the track, over the place where the rod's arm hole is."""
    servo, board, base = spec.servo, spec.board, options.base_mm
    seat_x = -drive.wire_mm / 2 - servo.horn_plane_height_mm
    shaft_y, shaft_z = drive.shaft_to_pin_mm, spec.pin_height_mm + drive.offset_mm
    case_y = servo.case_ends_mm(shaft_y)
    wall_x, ear = (seat_x - _pilots.wall_mm(servo), seat_x), servo.ear_mm
    x, y = (wall_x[0] - BESIDE_MM, seat_x + BESIDE_MM), (case_y[0] - ear - EAR_MM, case_y[1] + ear + EAR_MM)
    slip, half, middle = fits.POCKET.air_mm(spec.printer), servo.case_width_mm / 2, sum(case_y) / 2
    spacing, notch_y = servo.flange_hole_spacing_mm / 2, (case_y[0] - slip, case_y[1] + slip)
    found = _pilots.pilots(servo, spec.printer, fits.PILOT_LYING, middle + spacing - notch_y[1])
    heads = tuple((a, b) for a in (x[0] + HEAD_MM, x[1] - HEAD_MM) for b in (y[0] + HEAD_MM, y[1] - HEAD_MM))
    long = max(each for each in spec.fixing.lengths_mm if each <= base + board.thickness_mm - board.under_mm - POINT_MM)
    post_mm, high_mm = notch_y[0] - y[0], shaft_z - base
    plan = StandPlan(
        screws=tuple(Screw(head=(*at, base), direction=(0, 0, -1), length_mm=long) for at in heads),
        way_out=(0, 0, 1),
        plug_path=tuple((wall_x[0] - far, middle, shaft_z) for far in (12.0, 50.0)),
        plug_wide=(0, 1, 0),
        wire_tail_mm=2.5,
        pin_leg_mm=2.0,
        loop_towards=(1, 0, 0),
        servo_screw_length_mm=_pilots.length_mm(servo),
        pilot_drill_mm=found.drill_mm,
        # two cantilevers that bend: t·b³/12 each, 3·E·I/L³
        seat_n_per_mm=2 * 3 * spec.filament.modulus_mpa * (wall_x[1] - wall_x[0]) * post_mm**3 / 12 / high_mm**3,
        name_mark="",
        beside=Beside(
            track_y=-_reach_mm(spec),
            sleeper_end_y=spec.scale.sleeper_mm / 2 - _reach_mm(spec),
            roadbed_edge_y=spec.scale.sleeper_mm / 2 - _reach_mm(spec) + spec.roadbed.thickness_mm,
            track_distance_mm=y[0] + _reach_mm(spec),
            frame_x=x,
            frame_y=y,
        ),
        x=x, y=y, wall_x=wall_x, notch_y=notch_y, notch_z=shaft_z - half - slip, top_z=shaft_z + half + EAR_MM,
        heads=heads, pilots=tuple((middle + along, shaft_z + across) for along, across in servo.ear_screws_mm),
        pilot_mm=found.printed_mm,
    )  # fmt: skip
    turned = np.array([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])  # case along y, shaft along x
    datums = Datums(
        pin=(0, 0, spec.pin_height_mm), pivot=None, servo=matrix(turned, np.array([seat_x, shaft_y, shaft_z])),
        fixings=tuple((*at, 0.0) for at in heads), horn_at_mid=(0, 0, -1),
    )  # fmt: skip
    return datums, plan


def build(design, options):
    """Plate and wall, one body, printed as it stands."""
    import cadquery as cq

    from mounts.solid.guard import one_solid
    from mounts.solid.holes import circle, countersink, teardrop
    from mounts.solid.part import Part
    from mounts.solid.plates import chamfered, prism

    plan, spec, base = design.plan, design.spec, options.base_mm
    (x0, x1), (y0, y1), (n0, n1), (w0, w1) = plan.x, plan.y, plan.notch_y, plan.wall_x
    bore = spec.fixing.clearance_mm + fits.FIXING_UPRIGHT.closes_mm(spec.printer)
    plate = prism(
        cq.Plane((0, 0, 0)), [(x0, y0), (x1, y0), (x1, y1), (x0, y1)], base, [circle(at, bore) for at in plan.heads]
    )
    plate = chamfered(plate, "<Z", spec.printer.elephant_foot_mm + 0.15)
    plate = plate.cut(*(countersink((*at, -base), spec.fixing).mirror("XY") for at in plan.heads))
    root, top, low = base - 0.5, plan.top_z, plan.notch_z
    wall = prism(
        cq.Plane(origin=(w1, 0, 0), xDir=(0, 1, 0), normal=(1, 0, 0)),
        [(y0, root), (y1, root), (y1, top), (n1, top), (n1, low), (n0, low), (n0, top), (y0, top)],
        w0 - w1,
        [teardrop(at, plan.pilot_mm, point=(0, 1)) for at in plan.pilots],
    )
    holes = len(plan.heads) + len(plan.pilots)
    return (Part("", one_solid(plate.fuse(wall), "build the stand"), matrix(np.eye(3), np.array([x0, y0, 0])), holes),)


STYLE = Style(drive="push-rod", options=Options, limits=limits, place=place, build=build, examples=({},))
