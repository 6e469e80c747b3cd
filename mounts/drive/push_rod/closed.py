"""One push rod held closed, bent as it really is: what the report says and the checks ask."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from mounts.drive.push_rod.closing import Rod, chord_mm, rod_closing
from mounts.drive.push_rod.loop import folding_force_n, loop_force_n
from mounts.drive.push_rod.path import RodPath, leg_gap_mm, rod_path
from mounts.drive.push_rod.shape import RodShape, bent_rod
from mounts.drive.spring import second_moment_mm4


def number(value: ArrayLike) -> float:
    """A field of a single rod, shape () or (1,), as a plain number."""
    return float(np.asarray(value, dtype=np.float64))


@dataclass(frozen=True)
class RodClosed:
    """At full swing, by the exact line of the wire. mm, N, N·mm, MPa, rad.

    Attributes:
        travel_mm: of the free pin, end to end.
        lost_motion_mm: of it, all slack taken up.
        overtravel_mm: a side, no slack.
        rate_n_per_mm: of the loop where it begins.
        force_n: at the blades, the stronger end, no slack.
        force_after_slack_n: at the weaker end.
        stronger_force_n: at the stronger one, all slack taken up.
        gap_mm: between the legs where the rod pushes, no slack.
        steps_mm: sideways, towards the crown, pulled and pushed.
        stress_mpa: at the crown, the larger, straight-beam theory.
        torque_nmm: the larger.
        folding_margin: load that folds up rod and loop, over the load where it pushes.
        middle_mm: as in ``RodClosing``.
        lean_rad: as there.
    """

    travel_mm: float
    lost_motion_mm: float
    overtravel_mm: float
    rate_n_per_mm: float
    force_n: float
    force_after_slack_n: float
    stronger_force_n: float
    gap_mm: float
    steps_mm: tuple[float, float]
    stress_mpa: float
    torque_nmm: float
    folding_margin: float
    middle_mm: float
    lean_rad: float


def path_of(rod: Rod, foot_radius_mm: float) -> RodPath:
    """The rod's centre line at rest; fields of the rod are scalars."""
    return rod_path(
        rod_length_mm=number(rod.rod_length_mm),
        before_mm=number(rod.before_mm),
        half_gap_mm=number(rod.half_gap_mm),
        crown_mm=number(rod.loop_radius_mm),
        leg_mm=number(rod.leg_mm),
        foot_radius_mm=foot_radius_mm,
    )


def held(rod: Rod, path: RodPath, side: int, *, slack_mm: float = 0.0) -> tuple[RodShape, float, float]:
    """The rod at one end of the swing, the pin stopped; the chord's lean, rad, and its lever at the shaft, mm.

    Args:
        rod: fields are scalars.
        path: its centre line at rest.
        side: +1 where it pushes, −1 where it pulls.
        slack_mm: lost motion over the whole travel, half of it at this end.

    Raises:
        NoDesign: it folds up.
    """
    chord, lean, lever = (float(np.asarray(value)) for value in chord_mm(rod, side))
    stiffness = float(np.asarray(rod.modulus_mpa) * second_moment_mm4(rod.wire_mm))
    shortening = number(rod.rod_length_mm) - chord - side * slack_mm / 2.0
    return bent_rod(path.line, stiffness, shortening), lean, lever


def rod_closed(rod: Rod, path: RodPath) -> RodClosed:
    """The points held closed at either end of the swing.

    Travel, slack and middle are kinematics, as in ``rod_closing``; force, stress, gap and step are those of
    ``mounts.drive.push_rod.shape``, which holds for any size of bend while the legs do not meet.

    Args:
        rod: fields are scalars.
        path: its centre line at rest.

    Raises:
        NoDesign: it folds up.
    """
    near = rod_closing(rod)
    lost, wire = float(near.lost_motion_mm), number(rod.wire_mm)
    (pulled, pull_lean, pull_lever), (pushed, push_lean, push_lever) = (held(rod, path, side) for side in (-1, 1))
    slack = [side * held(rod, path, side, slack_mm=lost)[0].force_n for side in (-1, 1)]
    leans = [math.cos(pull_lean), math.cos(push_lean)]
    moment = max(float(np.abs(shape.moment_nmm).max()) for shape in (pulled, pushed))
    foot = path.loop.start
    return RodClosed(
        travel_mm=float(near.travel_mm),
        lost_motion_mm=lost,
        overtravel_mm=float(near.overtravel_mm),
        rate_n_per_mm=float(near.rate_n_per_mm),
        force_n=max(-pulled.force_n * leans[0], pushed.force_n * leans[1]),
        force_after_slack_n=min(slack[0] * leans[0], slack[1] * leans[1]),
        stronger_force_n=max(slack[0] * leans[0], slack[1] * leans[1]),
        gap_mm=leg_gap_mm(path, pushed.line, wire),
        steps_mm=(float(pulled.line[foot, 1]), float(pushed.line[foot, 1])),
        stress_mpa=moment * wire / 2.0 / float(second_moment_mm4(wire)),
        torque_nmm=max(abs(pulled.force_n) * pull_lever, abs(pushed.force_n) * push_lever),
        folding_margin=float(folding_force_n(rod.loop())) / max(pushed.force_n, 1e-9),
        middle_mm=float(near.middle_mm),
        lean_rad=float(near.lean_rad),
    )


@dataclass(frozen=True)
class OffTheory:
    """How far a rod is from what its loop's theory takes for granted, by the bent line, the larger of both ends.

    Attributes:
        load: share that the theory's load is off.
        give: shortening, share of the loop's height.
        step: sideways, share of the loop's height.
    """

    load: float
    give: float
    step: float


def off_theory(rod: Rod, path: RodPath) -> OffTheory:
    """The rod held closed, against the domain of the theory that chose it.

    Raises:
        NoDesign: it folds up.
    """
    loop, ends = rod.loop(), []
    for side in (-1, 1):
        shape = held(rod, path, side)[0]
        shortening = number(rod.rod_length_mm) - float(shape.line[-1, 0])
        load = float(loop_force_n(loop, shortening)) / shape.force_n - 1.0
        ends.append((abs(load), abs(shortening), abs(float(shape.line[path.loop.start, 1]))))
    load, give, step = (max(values) for values in zip(*ends, strict=True))
    height = float(loop.height_mm)
    return OffTheory(load, give / height, step / height)
