"""A lift in space: the line of its rod, from the tail in the arm through the spring bend up to what it moves."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np

from mounts import scene
from mounts.design import Design
from mounts.drive.bends import z_bend_mm
from mounts.drive.kinds import driven
from mounts.drive.lift import kinematics
from mounts.drive.lift.model import LiftDrive
from mounts.drive.lift.second import mirrored
from mounts.frames import Array
from mounts.scene_kinds import Wiring
from mounts.scene_wire import CHORD_RAD, Mark, rounded

CRANK_LEG_MM = 3.5  # of the rod, bent over through the crank's hole; common practice, no source
BAR_MM = 1.6  # crank and post of the picture, which stand for anybody's
OVER_END_MM = 5.0  # of a slid wire, over where it is coupled; cut to what the signal asks for
_SAMPLES = 7  # of the rod as it is bent aside below its guide


class RodEnd(NamedTuple):
    """The rod's upper end, mount frame, mm."""

    at: Array  # (3,)
    crank_rad: float | None  # of what it works, above level


def rod_end(design: Design, theta_rad: float) -> RodEnd:
    """Where the rod's upper end is at an arm angle from mid, + up."""
    drive = driven(design.drive, LiftDrive)
    linkage: dict[str, Any] = {"radius_mm": drive.horn_radius_mm, "rod_mm": drive.rod_length_mm, "shaft": drive.shaft}
    arm = math.radians(drive.mid_deg) + theta_rad
    if drive.crank_mm is None or drive.crank_pivot is None or drive.crank_towards is None:
        mid = float(kinematics.slide_z(math.radians(drive.mid_deg), **linkage))
        up = float(kinematics.slide_z(arm, **linkage)) - mid
        return RodEnd(np.array([0.0, 0.0, design.datums.pin[2] + up]), None)
    crank: dict[str, Any] = {"crank_mm": drive.crank_mm, "pivot": drive.crank_pivot, "towards": drive.crank_towards}
    turned = float(kinematics.crank_rad(arm, **linkage, **crank))
    y, z = kinematics.crank_end(turned, **crank)
    return RodEnd(np.array([0.0, float(y), float(z)]), turned)


def _path(design: Design, theta_rad: float) -> Array:
    """Tail behind the arm, through it, up to the spring bend, round it, through the guide and to what is moved."""
    drive, plan = driven(design.drive, LiftDrive), design.plan
    _, axis = scene.shaft_axis(design)
    foot, crown = drive.foot_radius_mm, drive.loop_radius_mm
    hole = scene.horn_hole(design, theta_rad) + axis * drive.wire_mm / 2
    behind = hole - axis * _through_mm(design)
    tail = behind + scene.arm_direction(design, theta_rad) * plan.wire_tail_mm
    end = rod_end(design, theta_rad).at
    line = _line(design, hole, end)
    base = [_at(line, hole[2] + drive.loop_at_mm + side * crown) for side in (-1.0, 1.0)]
    legs = [point + axis * drive.loop_leg_mm for point in base]
    middle, half = (legs[0] + legs[1]) / 2, (legs[1] - legs[0]) / 2
    turns = np.linspace(0.0, math.pi, round(math.pi / CHORD_RAD) + 1)
    arc = [middle - half * math.cos(turn) + axis * crown * math.sin(turn) for turn in turns]
    above = line[line[:, 2] > base[1][2] + 2.0 * foot]
    low = rounded([tail, behind, hole, base[0], arc[0]], foot)[:-1]
    high = rounded([arc[-1], base[1], above[0]], foot)[1:]
    last = end - axis * CRANK_LEG_MM if drive.crank_mm else end + np.array([0.0, 0.0, OVER_END_MM])
    return np.concatenate([low, arc, high, above[1:], [last]])


def seen_in_mirror(design: Design) -> tuple[Design, ...]:
    """Of the second rod as a mirror on the shaft shows it, at the negative of each angle; empty without one."""
    if driven(design.drive, LiftDrive).second is None:
        return ()
    along, up = design.datums.horn_at_mid[1:]
    datums = design.datums.model_copy(update={"horn_at_mid": (0.0, along, -up)})
    return (design.model_copy(update={"drive": mirrored(driven(design.drive, LiftDrive)), "datums": datums}),)


def _from_mirror(design: Design, points: Array) -> Array:
    """Points (n, 3) of the mirror where they really are, mount frame."""
    return np.array([0.0, 2.0 * driven(design.drive, LiftDrive).shaft[0], 0.0]) + points * (1.0, -1.0, 1.0)


def _others(design: Design, theta_rad: float) -> Sequence[Array]:
    return [_from_mirror(design, _path(seen, -theta_rad)) for seen in seen_in_mirror(design)]


def _line(design: Design, hole: Array, end: Array) -> Array:
    """The rod without its spring bend, (n, 3): straight to a crank; of a slid wire, bent aside below its guide.

    A cantilever out of the guide with its free end at the arm's hole: y·(1 − 3u/2 + u³/2), any handbook.
    """
    drive = driven(design.drive, LiftDrive)
    if drive.crank_mm is not None:
        share = np.linspace(0.0, 1.0, 2 * _SAMPLES)[:, None]
        return np.asarray(hole + share * (end - hole))
    guide = float(
        kinematics.slide_z(
            math.radians(drive.mid_deg), radius_mm=drive.horn_radius_mm, rod_mm=drive.rod_length_mm, shaft=drive.shaft
        )
    )
    share = np.linspace(0.0, 1.0, 2 * _SAMPLES)
    bent = hole[1] * (1.0 - 1.5 * share + 0.5 * share**3)
    below = np.column_stack([np.full_like(share, hole[0]), bent, hole[2] + share * (guide - hole[2])])
    return np.concatenate([below, [end]])


def _at(line: Array, z: float) -> Array:
    """Where a rising line is at a height."""
    return np.array([np.interp(z, line[:, 2], line[:, n]) for n in (0, 1)] + [z])


def _through_mm(design: Design) -> float:
    drive = driven(design.drive, LiftDrive)
    return float(
        z_bend_mm(
            horn_thickness_mm=design.spec.servo.horn_thickness_mm,
            wire_mm=drive.wire_mm,
            foot_radius_mm=drive.foot_radius_mm,
        )
    )


def marks(design: Design) -> tuple[Mark, ...]:
    """The bends in order from the arm's end, each where it begins on the straight wire.

    Source: plane geometry, neutral line in the middle of the wire; tests/test_scene_lift.py adds up the drawn line.
    """
    drive = driven(design.drive, LiftDrive)
    foot, crown, quarter = drive.foot_radius_mm, drive.loop_radius_mm, math.pi / 2
    hole = scene.horn_hole(design, 0.0)
    upper = float(np.linalg.norm(rod_end(design, 0.0).at - hole)) - drive.loop_at_mm - crown
    steps = [
        ("tail behind the arm", design.plan.wire_tail_mm - foot, 90.0, foot, "up"),
        ("through the arm", _through_mm(design) - 2 * foot, -90.0, foot, "on as the tail lies, square to it"),
        ("foot of the spring bend", drive.loop_at_mm - crown - 2 * foot, -90.0, foot, "out, away from the servo"),
        ("crown of the spring bend", drive.loop_leg_mm - foot, 180.0, crown, "back, beside itself"),
        ("other foot", drive.loop_leg_mm - foot, -90.0, foot, "on in line with the rod below"),
    ]
    if drive.crank_mm is not None:
        steps.append(("end in the crank", upper - 2 * foot, 90.0, foot, "square, to the servo's side"))
    found, at = [], 0.0
    for what, straight, angle, radius, turns in steps:
        at += straight
        bend_inside = radius - drive.wire_mm / 2
        found.append(Mark(what, at, angle, bend_inside, turns, round(2 * bend_inside, 1)))
        at += radius * quarter * abs(angle) / 90.0
    return tuple(found)


def used_mm(design: Design) -> float:
    """Developed length from the tail's end to the end above, mm."""
    drive = driven(design.drive, LiftDrive)
    last = marks(design)[-1]
    at = last.at_mm + drive.foot_radius_mm * math.pi / 2
    if drive.crank_mm is not None:
        return at + CRANK_LEG_MM - drive.foot_radius_mm
    hole = scene.horn_hole(design, 0.0)
    upper = float(np.linalg.norm(rod_end(design, 0.0).at - hole)) - drive.loop_at_mm - drive.loop_radius_mm
    return at + upper - drive.foot_radius_mm + OVER_END_MM


def _longest_mm(design: Design) -> float:
    return max(used_mm(one) for one in (design, *seen_in_mirror(design)))


def _ways(design: Design, angles_rad: Array) -> tuple[list[Array], list[Array]]:
    """Nothing bends them but their guides."""
    found = [path for theta in angles_rad for path in scene.wire_paths(design, float(theta))]
    return found, found


def _stands_out(design: Design) -> Array:
    """The spring bend at both ends of the swing, its thickness about it: all of the rod below the guide."""
    drive = driven(design.drive, LiftDrive)
    paths = np.vstack(_ways(design, scene.arm_angles_rad(design, 2))[0])
    below = paths[paths[:, 2] < -design.spec.board.thickness_mm]
    _, axis = scene.shaft_axis(design)
    return np.vstack([below, below + axis * drive.wire_mm / 2])


def _worked(design: Design, theta_rad: float) -> Iterator[tuple[Array, Array, float]]:
    """Crank, spindle and the post that carries it, in the arm's plane or close behind it."""
    drive = driven(design.drive, LiftDrive)
    if drive.crank_pivot is None:
        return
    _, axis = scene.shaft_axis(design)
    spindle, back = np.array([0.0, *drive.crank_pivot]), -axis * BAR_MM
    end = rod_end(design, theta_rad).at
    yield spindle + back, end + back, BAR_MM / 2
    yield spindle + 3.0 * back, spindle + 0.5 * back, BAR_MM / 3
    foot = spindle + 3.0 * back
    yield np.array([foot[0], foot[1], 0.0]), foot + np.array([0.0, 0.0, BAR_MM]), BAR_MM
    for seen in seen_in_mirror(design):
        for start, stop, radius in _worked(seen, -theta_rad):
            yield _from_mirror(design, start), _from_mirror(design, stop), radius


WIRING = Wiring(
    path=_path,
    pressed=lambda design, theta_rad, stopped: _path(design, theta_rad),
    ways=_ways,
    others=_others,
    pin_at=-2,
    above_pin_mm=lambda design: OVER_END_MM,
    used_mm=_longest_mm,
    stands_out=_stands_out,
    worked=_worked,
)
