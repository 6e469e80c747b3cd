"""Where a housing's servo stands and lies before the drive is chosen: pose, how far it is let down, nearest place."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from mounts.drive.pulse import largest_swing_deg
from mounts.errors import NoDesign
from mounts.inputs.spec import MountSpec
from mounts.styles import _housing_hang, _housing_screws, _housing_side
from mounts.styles import _housing_options as shared
from mounts.styles._housing_options import AIR_MM, Options, Shell

Pose = Literal["hang", "side"]


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


def _largest_swing_deg(spec: MountSpec) -> float:
    """Half swing to make room for before the drive is chosen."""
    return spec.swing_deg or largest_swing_deg(spec.servo)


def front_mm(spec: MountSpec, pose: Pose, swing_deg: float) -> float:
    """Shaft to the front edge of the base plate, mm."""
    return _housing_hang.front_mm(spec, swing_deg) if pose == "hang" else _housing_side.front_mm(spec, swing_deg)


def _nearest_side_hole_mm(spec: MountSpec, options: Options, sunk_mm: float = 0.0) -> float:
    """Nearest arm hole, or place for one, with which a servo on its side is clear of the base plate."""
    base = _housing_screws.base_mm(spec, options)
    least = max(_housing_side.least_offset_mm(spec, base) + sunk_mm, _housing_side.nearest_hole_mm(spec))
    if spec.arm_hole_mm is not None:
        return max(least, spec.arm_hole_mm)
    return min((radius for radius in spec.servo.horn_radii_mm if radius >= least), default=least)


def side_holes_mm(spec: MountSpec, options: Options, shell: Shell, sunk_mm: float) -> tuple[float, float]:
    """Nearest and farthest arm hole with which a servo on its side is clear of the base plate and not too high.

    Two holes are left to choose from, however high the second makes it, but in a pose that was chosen freely only where
    it makes no tower; where the height was given it is kept.

    Args:
        spec: servo, scale and the arm hole where one is pinned.
        options: of the housing.
        shell: what it measures in reality.
        sunk_mm: how far the servo is let down.
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


def site_of(spec: MountSpec, options: Options, shell: Shell) -> Site:
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
        farthest = min(side_holes_mm(spec, options, shell, 0.0)[1], max(spec.servo.horn_radii_mm))
        highest = max(top, _housing_side.top_z(spec, farthest))
        short = _housing_side.short_side_mm(spec, options)
    highest = shell.room_top_mm(highest + AIR_MM, options.height_mm)
    least = 0.0 if options.height_mm is None else max(0.0, top + AIR_MM - options.height_mm)
    beside = shared.lane(spec, options)
    front = front_mm(spec, pose, _largest_swing_deg(spec))
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
