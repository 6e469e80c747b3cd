"""The frame of every on-board housing: where it stands, how the servo lies in it, and its solid.

A shell style calls ``limits``, ``place`` and ``build_frame`` and adds the scenery round them. All of it reckons
from the ground that the housing stands on; ``place`` raises what others read to the mount frame, and parts are
raised when they are finished.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from mounts.design import Beside, Datums, Design, LetDown, Plan, Scenery
from mounts.drive.model import Drive, Limits
from mounts.drive.pulse import largest_swing_deg
from mounts.drive.push_rod.model import PushRodDrive, PushRodLimits
from mounts.errors import NoDesign
from mounts.frames import Vector, matrix
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.styles import Style, _fixings, _housing_hang, _housing_screws, _housing_side
from mounts.styles import _housing_options as shared
from mounts.styles._housing_options import AIR_MM, LOOP_AIR_MM, Options, Shell
from mounts.styles._housing_plan import HangFrame, HousingPlan
from mounts.styles._mounting import WIRE_TAIL_MM, flip

if TYPE_CHECKING:
    from mounts.solid.part import Part

__all__ = ["Options", "Shell", "build_frame", "limits", "place", "style"]

Pose = Literal["hang", "side"]
LONGEST_ROD_MM = 150.0
GLUE_SURE = 1.1  # chamfers, holes and slots take some of the plate's face; the check measures it
CURES = {
    "structure-gauge": "--set curve=outside where it stands outside, or a larger --track-radius",
    "screw-cable": "--set cable=back",
    "cable-hole": "--set cable=back",
    "tie-bar-reach": "--set tie_bar_reach_mm, from the track's centre line",
}
MOST_LEAN_DEG = 20.0  # of the rod, in the plane it swings in; common practice, no source


@dataclass(frozen=True)
class Site:
    """What is decided before the drive is.

    Attributes:
        pose: how the servo lies.
        sunk_mm: how far it is let down.
        sunk_least_mm: so that it is not too high.
        sunk_most_mm: so that the rod neither gets too steep nor meets roadbed or board.
        deeper: what happens beyond that.
        room_top_mm: height that servo and frame need above the board when it is not let down.
        short_mm: about what the room measures on its shorter side.
        front_mm: shaft to the edge of the base plate, room for the widest swing kept.
        shaft_y: nearest place of the shaft; the place where the distance was given.
        fixed: the distance was given.
    """

    pose: Pose
    sunk_mm: float
    sunk_least_mm: float
    sunk_most_mm: float
    deeper: str
    room_top_mm: float
    short_mm: float
    front_mm: float
    shaft_y: float
    fixed: bool


def limits(spec: MountSpec, options: Options, shell: Shell = Shell()) -> PushRodLimits:  # noqa: B008, frozen
    """What track, shell and pose leave to the rod.

    Raises:
        NoDesign: no pose fits the height or the distance given, or it can't be sunk as asked.
    """
    spec = spec.from_ground()
    site = _site(spec, options, shell)
    beside, servo = shared.lane(spec, options), spec.servo
    half_tip = servo.horn_tip_width_mm / 2
    outside = shell.at_rod_mm() + LOOP_AIR_MM
    before = (site.front_mm if site.fixed else _front_mm(spec, site.pose, 0.0)) + outside
    after = max(beside.sleeper_end_y, 0.0) + spec.throw_mm / 2 + LOOP_AIR_MM
    room = site.shaft_y - before - spec.throw_mm / 2 - after
    if spec.track_distance_mm is not None and room <= 0:
        raise NoDesign(
            f"at --track-distance {spec.track_distance_mm:g} mm there is no room for the rod's spring loop "
            f"between sleepers and housing, {-room:.1f} mm too little; use a greater --track-distance"
        )
    let_down = site.sunk_mm if site.pose == "side" else 0.0
    shortest = math.hypot(site.shaft_y, let_down)
    return PushRodLimits(
        rod_length_mm=(shortest, shortest if site.fixed else max(shortest, LONGEST_ROD_MM)),
        let_down_mm=let_down,
        arm_hole_mm=_side_holes_mm(spec, options, shell, let_down) if site.pose == "side" else None,
        before_loop_mm=before,
        arm_sweep_mm=(servo.arm_tip_mm, half_tip + AIR_MM + shared.rim_mm(spec) + outside),
        after_loop_mm=after,
        max_loop_width_mm=(shortest if site.fixed else LONGEST_ROD_MM) - before - after,
        max_loop_height_mm=shared.largest_loop_mm(spec),
        max_lean_deg=MOST_LEAN_DEG,
        wire_tail_mm=WIRE_TAIL_MM,
        pin_leg_mm=shared.pin_leg_mm(spec),
        ccw_moves_pin_to_reverse=spec.mirror == (site.pose == "hang"),
    )


def place(
    spec: MountSpec,
    drive: Drive,
    options: Options,
    shell: Shell = Shell(),  # noqa: B008, frozen
) -> tuple[Datums, HousingPlan]:
    """Where everything of the frame stands, and what the shell must know.

    Raises:
        NoDesign: as ``limits``; or no stock screw or glue suits the board; or the housing stands on the roadbed.
    """
    up, spec = spec.ground_mm, spec.from_ground()
    rod, site = shared.pushing(drive), _site(spec, options, shell)
    beside = shared.lane(spec, options)
    common: dict[str, object] = {
        "wire_tail_mm": WIRE_TAIL_MM,
        "pin_leg_mm": shared.pin_leg_mm(spec),
        "loop_towards": flip((-1.0, 0.0, 0.0), spec.mirror),
        "name_mark": spec.id,
    }
    front = _front_mm(spec, site.pose, rod.swing_deg)
    if spec.track_distance_mm is not None:
        front = rod.shaft_to_pin_mm - (spec.track_distance_mm + beside.track_y + shell.front_mm)
    outside = shell.at_rod_mm()
    if site.pose == "hang":
        datums, plan = _housing_hang.place(spec, rod, options, front, common, outside_mm=outside, sunk_mm=site.sunk_mm)
    else:
        datums, plan = _housing_side.place(spec, rod, options, front, common, outside_mm=outside)
    short = beside.roadbed_edge_y - (plan.base_y[0] - outside)
    if short > 0:
        near = plan.base_y[0] - shell.front_mm - beside.track_y
        raise NoDesign(
            f"the housing would stand {short:.1f} mm on the roadbed; use a --track-distance of "
            f"{near + short + 0.05:.1f} mm or more"
        )
    if spec.bonded:
        _bonded(spec, rod, plan)
    plan = plan.model_copy(update={"room_top_z": shell.room_top_mm(plan.room_top_z, options.height_mm)})
    return _raised(datums, plan.model_copy(update={"beside": _beside(spec, plan, site, options, shell)}), up)


def _beside(spec: MountSpec, plan: HousingPlan, site: Site, options: Options, shell: Shell) -> Beside:
    """What the housing tells the rest of the program, in the mount frame; ``spec`` reckons from the ground."""
    along, (x0, x1) = shared.lane(spec, options), plan.base_x
    walls = [high - low + 2 * fits.SHELL.air_mm(spec.printer) for low, high in (plan.room_x, plan.room_y)]
    scenery = Scenery(
        stature=shell.stature, top_mm=shell.top_mm(plan.room_top_z, min(walls)), lower=_lower(site, shell)
    )
    return Beside(
        track_y=along.track_y,
        sleeper_end_y=along.sleeper_end_y,
        roadbed_edge_y=along.roadbed_edge_y,
        vehicles=options.vehicles,
        curve=options.curve,
        track_distance_mm=plan.base_y[0] - shell.front_mm - along.track_y,
        frame_x=(-x1, -x0) if spec.mirror else (x0, x1),
        frame_y=plan.base_y,
        let_down=LetDown(pose=site.pose, sunk_mm=site.sunk_mm, least_mm=site.sunk_least_mm, most_mm=site.sunk_most_mm),
        scenery=scenery,
    )


def _lower(site: Site, shell: Shell) -> tuple[str, ...]:
    """What would make a housing lower."""
    deeper = math.floor(site.sunk_most_mm * 10 + 1e-6) / 10
    ways = ["leave pose free or set it to side"] if site.pose == "hang" else []
    ways += [f"--set sunk_mm={deeper:g} lets the servo down"] if deeper > site.sunk_mm + 0.05 else []
    return (*ways, "a smaller servo", *shell.instead)


def _bonded(spec: MountSpec, rod: PushRodDrive, plan: HousingPlan) -> None:
    """The glue under the frame must bear the servo's stall."""
    (x0, x1), (y0, y1) = plan.base_x, plan.base_y
    area = (x1 - x0) * (y1 - y0)
    if plan.frame.opening is not None:
        (left, right), (_, back) = plan.frame.opening
        area -= (right - left) * (back - y0)
    pull = _fixings.stall_n(spec, rod.horn_radius_mm)
    ratio = _fixings.bond_ratio(spec, area, y1 - y0, pull, pull * spec.pin_height_mm, from_above=True)
    if ratio < GLUE_SURE * _fixings.HOLD_RATIO:
        raise NoDesign(
            f"the glue under the frame would bear {ratio:.1f} times the servo's stall, at least "
            f"{GLUE_SURE * _fixings.HOLD_RATIO:.1f}; use a servo with less torque or an arm hole further out"
        )


def _raised(datums: Datums, plan: HousingPlan, up: float) -> tuple[Datums, HousingPlan]:
    """What is told in the mount frame, from the board's top; the plan's own heights stay as they are."""

    def above(point: Vector) -> Vector:
        return (point[0], point[1], point[2] + up)

    placed = np.array(datums.servo)
    moved = datums.model_copy(
        update={
            "pin": above(datums.pin),
            "fixings": tuple(above(at) for at in datums.fixings),
            "servo": matrix(placed[:3, :3], placed[:3, 3] + (0.0, 0.0, up)),
        }
    )
    screws = tuple(screw.model_copy(update={"head": above(screw.head)}) for screw in plan.screws)
    return moved, plan.model_copy(
        update={
            "screws": screws,
            "plug_path": tuple(above(point) for point in plan.plug_path),
        }
    )


def style(
    options: type[Options],
    limits: Callable[[MountSpec, Any], Limits],
    place: Callable[[MountSpec, Drive, Any], tuple[Datums, Plan]],
    build: Callable[[Design, Any], tuple[Part, ...]],
    examples: tuple[dict[str, Any], ...],
) -> Style:
    """A style of housing: what every one of them shares is filled in. Arguments as in ``Style``."""
    return Style(
        drive="push-rod",
        options=options,
        limits=limits,
        place=place,
        build=build,
        examples=examples,
        fixed=_housing_screws.fixed,
        others=others,
        cures=CURES,
    )


def others(options: Options) -> tuple[Options, ...]:
    """The poses by themselves, where the choice is free: the nearer to reality may have no drive."""
    if options.pose != "auto":
        return ()
    return tuple(options.model_copy(update={"pose": pose}) for pose in ("side", "hang"))


def build_frame(design: Design, plan: HousingPlan) -> Part:
    """The frame, one body, mount frame; printed as it stands."""
    from mounts.solid.guard import kernel_step, one_solid
    from mounts.solid.part import Part
    from mounts.styles._housing_base import base_plate, name_in, on_ground

    spec, frame = design.spec, plan.frame
    plate = base_plate(spec, plan)
    with kernel_step("draw what carries the servo", "measure the servo's ears and their holes again"):
        if isinstance(frame, HangFrame):
            carriers = _housing_hang.posts(plan, frame)
        else:
            carriers = [_housing_side.wall(plan, frame)]
    with kernel_step("join it to the base plate", "use the default options"):
        body = plate.fuse(*carriers)
    if spec.mirror:
        body = body.mirror("YZ")
    body = name_in(body, spec, plan)
    low_x = -plan.base_x[1] if spec.mirror else plan.base_x[0]
    through = len(frame.heads_xy) + (plan.cable_slot is not None)
    if not isinstance(frame, HangFrame) and frame.pilot_mm is not None:
        through += len(frame.pilots_yz)
    pose = matrix(np.eye(3), np.array([low_x, plan.base_y[0], spec.ground_mm]))
    return Part("", one_solid(on_ground(body, spec), "build the frame"), pose, through)


def _largest_swing_deg(spec: MountSpec) -> float:
    """Half swing to make room for before the drive is chosen."""
    return spec.swing_deg or largest_swing_deg(spec.servo)


def _front_mm(spec: MountSpec, pose: Pose, swing_deg: float) -> float:
    """Shaft to the front edge of the base plate, mm."""
    return _housing_hang.front_mm(spec, swing_deg) if pose == "hang" else _housing_side.front_mm(spec, swing_deg)


def _nearest_side_hole_mm(spec: MountSpec, options: Options, sunk_mm: float = 0.0) -> float:
    """Nearest arm hole, or place for one, with which a servo on its side is clear of the base plate."""
    base = _housing_screws.base_mm(spec, options)
    least = max(_housing_side.least_offset_mm(spec, base) + sunk_mm, _housing_side.nearest_hole_mm(spec))
    if spec.arm_hole_mm is not None:
        return max(least, spec.arm_hole_mm)
    return min((radius for radius in spec.servo.horn_radii_mm if radius >= least), default=least)


def _side_holes_mm(spec: MountSpec, options: Options, shell: Shell, sunk_mm: float) -> tuple[float, float]:
    """Nearest and farthest arm hole with which a servo on its side is clear of the base plate and not too high.

    Two holes are left to choose from, however high the second makes it, but in a pose that was chosen freely only where
    it makes no tower; where the height was given it is kept.
    """
    nearest, farthest = _nearest_side_hole_mm(spec, options, sunk_mm), spec.servo.horn_length_mm
    if spec.arm_hole_mm is not None:
        return nearest, farthest
    above = _housing_side.top_z(spec, -sunk_mm) + AIR_MM
    if options.height_mm is not None:
        return nearest, max(nearest, options.height_mm - above)
    further = [radius for radius in spec.servo.horn_radii_mm if radius > nearest]
    top = shell.top_mm(above, _housing_side.short_side_mm(spec, options))
    usual, most = (metres * 1000 / spec.scale.ratio - top for metres in (shell.stature.high_m, shell.stature.most_m))
    second = min(further, default=farthest)
    if options.pose == "auto" and second > most:
        second = nearest  # ``others`` try it again where that leaves no drive
    return nearest, max(nearest, usual, second)


def _site(spec: MountSpec, options: Options, shell: Shell) -> Site:
    """The pose that is nearest to what the shell measures in reality, of two equals the shell's; or the one asked for.

    The servo is let down only where it would stand too high without.

    Raises:
        NoDesign: none fits, with what each needs; or the depth asked is outside what is possible.
    """
    either: tuple[Pose, ...] = ("side", "hang") if shell.lying else ("hang", "side")
    poses = either if options.pose == "auto" else (options.pose,)
    sites = [_let_down(spec, options, shell, _pose_site(spec, options, shell, pose)) for pose in poses]
    sites.sort(key=lambda site: shell.stature.off(_real_m(spec, options, shell, site)))
    fitting = [site for site in sites if site.sunk_least_mm <= site.sunk_most_mm + 1e-9]
    if not fitting:
        short = {site.pose: site.sunk_least_mm - site.sunk_most_mm for site in sites}
        height = {pose: math.ceil((options.height_mm + more) * 10) / 10 for pose, more in short.items()}  # type: ignore[operator]
        needs = " and ".join(
            f"pose {site.pose} {height[site.pose]:.1f} mm, sunk as far as it may be, {site.sunk_most_mm:.1f} mm"
            for site in sites
        )
        why = f"height_mm = {options.height_mm:g} is too low for {spec.servo.name}: {needs} is needed"
        raise NoDesign(f"{why}; use --set height_mm={min(height.values()):g}", why=why)
    site = fitting[0]
    if options.sunk_mm is None:
        return site
    for site in fitting:
        if site.sunk_least_mm - 1e-9 <= options.sunk_mm <= site.sunk_most_mm + 1e-9:
            return site
    site = max(fitting, key=lambda one: one.sunk_most_mm)
    deepest = math.floor(site.sunk_most_mm * 10) / 10
    why = (
        f"sunk_mm = {options.sunk_mm:g}: in pose {site.pose} the servo of this mount may be sunk "
        f"{site.sunk_least_mm:.1f} to {deepest:.1f} mm; deeper, {site.deeper}"
    )
    raise NoDesign(f"{why}; or --set sunk_mm={deepest:g}", why=why)


def _real_m(spec: MountSpec, options: Options, shell: Shell, site: Site) -> float:
    """About how high the shell is in reality, m."""
    room_top = shell.room_top_mm(site.room_top_mm - site.sunk_mm, options.height_mm)
    return shell.top_mm(room_top, site.short_mm) * spec.scale.ratio / 1000


def _let_down(spec: MountSpec, options: Options, shell: Shell, site: Site) -> Site:
    """The site with the servo let down, if it is free, until the shell is no tower any more, as far as may be."""
    if options.sunk_mm is not None or site.sunk_least_mm > site.sunk_most_mm:
        return site
    too_high_mm = (_real_m(spec, options, shell, site) - shell.stature.most_m) * 1000 / spec.scale.ratio
    further = math.ceil(max(0.0, too_high_mm) * 10) / 10
    return replace(site, sunk_mm=min(site.sunk_mm + further, max(site.sunk_mm, site.sunk_most_mm)))


def _pose_site(spec: MountSpec, options: Options, shell: Shell, pose: Pose) -> Site:
    base = _housing_screws.base_mm(spec, options)
    if pose == "hang":
        steepest = _housing_hang.STEEPEST_DEG
        top = highest = _housing_hang.top_z(spec, shared.widest_wire_mm(spec), 0.0)
        short = _housing_hang.short_side_mm(spec)
    else:
        steepest = _housing_side.STEEPEST_DEG
        top = _housing_side.top_z(spec, _nearest_side_hole_mm(spec, options))
        farthest = min(_side_holes_mm(spec, options, shell, 0.0)[1], max(spec.servo.horn_radii_mm))
        highest = max(top, _housing_side.top_z(spec, farthest))
        short = _housing_side.short_side_mm(spec, options)
    highest = shell.room_top_mm(highest + AIR_MM, options.height_mm)
    least = 0.0 if options.height_mm is None else max(0.0, top + AIR_MM - options.height_mm)
    beside = shared.lane(spec, options)
    front = _front_mm(spec, pose, _largest_swing_deg(spec))
    if spec.track_distance_mm is not None:
        shaft_y = spec.track_distance_mm + beside.track_y + shell.front_mm + front
    else:
        beyond = shell.at_ends_mm(highest)
        along = _housing_hang.reach_x(spec) if pose == "hang" else _housing_side.reach_x(spec, options)
        gauge_y = shared.gauge_front_y(spec, options, highest + shell.over_mm, along + beyond)
        shaft_y = front + max(gauge_y + shell.at_gauge_mm(), beside.roadbed_edge_y + shell.at_rod_mm())
    most, deeper = shared.rod_drop(spec, options, shaft_y=shaft_y, steepest_deg=steepest)
    if pose == "side":
        free = least > 0 or options.sunk_mm is None
        hole = _nearest_side_hole_mm(spec, options) if free else max(spec.servo.horn_radii_mm)
        clear = max(0.0, hole - _housing_side.least_offset_mm(spec, base))
        if clear < most:
            most, deeper = clear, "its case meets the base plate: an arm with holes farther out lets it lie deeper"
    sunk = least if options.sunk_mm is None else options.sunk_mm
    return Site(
        pose, sunk, least, most, deeper, top + AIR_MM, short, front, shaft_y, spec.track_distance_mm is not None
    )
