"""The frame of every on-board housing: where it stands, how the servo lies in it, and its solid.

A shell style calls ``limits``, ``place`` and ``build_frame`` and adds the scenery round them. All of it reckons
from the ground that the housing stands on; ``place`` raises what others read to the mount frame, and parts are
raised when they are finished.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np

from mounts.design import Beside, Datums, Design, LetDown, Plan, Scenery
from mounts.drive.model import Drive, Limits
from mounts.drive.push_rod.model import PushRodDrive, PushRodLimits
from mounts.errors import NoDesign
from mounts.frames import Vector, matrix
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.styles import Style, _fixings, _housing_hang, _housing_screws, _housing_side
from mounts.styles import _housing_options as shared
from mounts.styles._housing_options import AIR_MM, LOOP_AIR_MM, Options, Shell
from mounts.styles._housing_plan import HangFrame, HousingPlan
from mounts.styles._housing_site import Site, front_mm, side_holes_mm, site_of
from mounts.styles._mounting import WIRE_TAIL_MM, flip

if TYPE_CHECKING:
    from mounts.solid.part import Part

__all__ = ["Options", "Shell", "build_frame", "limits", "place", "style"]

LONGEST_ROD_MM = 150.0  # where the distance is free; common practice, no source
GLUE_SURE = 1.1  # chamfers, holes and slots take some of the plate's face; the check measures it
CURES = {
    "structure-gauge": "--set curve=outside where it stands outside, or a larger --track-radius",
    "screw-cable": "--set cable=back",
    "cable-hole": "--set cable=back",
    "tie-bar-reach": "--set tie_bar_reach_mm, from the track's centre line",
}
ARM_HOLE_WAYS = ("a higher pin, or --set pose=hang", "allow more --set height_mm")
MOST_LEAN_DEG = 20.0  # of the rod, in the plane it swings in; common practice, no source


def limits(spec: MountSpec, options: Options, shell: Shell = Shell()) -> PushRodLimits:  # noqa: B008, frozen
    """What track, shell and pose leave to the rod.

    Raises:
        NoDesign: no pose fits the height or the distance given, or it can't be sunk as asked.
    """
    spec = spec.from_ground()
    site = site_of(spec, options, shell)
    beside, servo = shared.lane(spec, options), spec.servo
    half_tip = servo.horn_tip_width_mm / 2
    outside = shell.at_rod_mm() + LOOP_AIR_MM
    before = (site.front_mm if site.fixed else front_mm(spec, site.pose, 0.0)) + outside
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
        arm_hole_mm=side_holes_mm(spec, options, shell, let_down) if site.pose == "side" else None,
        arm_hole_ways=ARM_HOLE_WAYS,
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

    Args:
        spec: the request.
        drive: the rod.
        options: of the housing.
        shell: what the style puts round the frame.

    Raises:
        NoDesign: as ``limits``; or no stock screw or glue suits the board; or the housing stands on the roadbed.
    """
    up, spec = spec.ground_mm, spec.from_ground()
    rod, site = shared.pushing(drive), site_of(spec, options, shell)
    beside = shared.lane(spec, options)
    common: dict[str, object] = {
        "wire_tail_mm": WIRE_TAIL_MM,
        "pin_leg_mm": shared.pin_leg_mm(spec),
        "loop_towards": flip((-1.0, 0.0, 0.0), spec.mirror),
        "name_mark": spec.id,
    }
    front = front_mm(spec, site.pose, rod.swing_deg)
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
    """A style of housing: what every one of them shares is filled in.

    Args:
        options: model of what ``--set`` takes.
        limits: as in ``Style``.
        place: as in ``Style``.
        build: as in ``Style``.
        examples: options of mounts that every test of styles makes.
    """
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
    plate, through = base_plate(spec, plan)
    with kernel_step("draw what carries the servo", "measure the servo's ears and their holes again"):
        if isinstance(frame, HangFrame):
            carriers = _housing_hang.posts(plan, frame)
        else:
            carriers = [_housing_side.wall(plan, frame)]
    with kernel_step("join it to the base plate", "use the default options"):
        body = plate.fuse(*carriers)
    with kernel_step("drill for the servo's screws", "measure the servo's ears and their holes again"):
        if isinstance(frame, HangFrame):
            body = _housing_hang.with_pilots(body, frame)
        else:
            body = _housing_side.with_pilots(body, frame)
    if spec.mirror:
        body = body.mirror("YZ")
    body = name_in(body, spec, plan)
    low_x = -plan.base_x[1] if spec.mirror else plan.base_x[0]
    if not isinstance(frame, HangFrame) and frame.pilot_mm is not None:
        through += len(frame.pilots_yz)
    pose = matrix(np.eye(3), np.array([low_x, plan.base_y[0], spec.ground_mm]))
    return Part("", one_solid(on_ground(body, spec), "build the frame"), pose, through)
