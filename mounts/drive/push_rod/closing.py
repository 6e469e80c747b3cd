"""A push rod with its points closed: travel, what slack takes, force, crown stress and torque at full swing.

Results are float64 of the shape that the fields of the rod broadcast to.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.drive.push_rod.kinematics import rod_lean_rad, rod_pin_offset_mm, slide_mm
from mounts.drive.push_rod.loop import Loop, folding_force_n, given, loop_force_n, loop_rate_n_per_mm, loop_stress_mpa
from mounts.drive.spring import second_moment_mm4

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Rod:
    """One push rod with its loop, or many at once: fields are scalars or arrays that broadcast. mm, rad, MPa."""

    theta_rad: ArrayLike  # half swing, > 0
    throw_mm: ArrayLike
    horn_radius_mm: ArrayLike
    rod_length_mm: ArrayLike
    offset_mm: ArrayLike
    before_mm: ArrayLike  # straight rod, arm hole to the loop's near foot
    half_gap_mm: ArrayLike  # of the loop's feet, to the wire's centres
    loop_radius_mm: ArrayLike
    leg_mm: ArrayLike
    wire_mm: ArrayLike
    modulus_mpa: ArrayLike
    arm_slack_mm: ArrayLike
    pin_slack_mm: ArrayLike

    def linkage(self) -> dict[str, ArrayLike]:
        """Arm, rod and offset, as the kinematics take them."""
        return {
            "horn_radius_mm": self.horn_radius_mm,
            "rod_length_mm": self.rod_length_mm,
            "offset_mm": self.offset_mm,
        }

    def loop(self) -> Loop:
        """The loop between its straights."""
        after = np.asarray(self.rod_length_mm) - np.asarray(self.before_mm) - 2.0 * np.asarray(self.half_gap_mm)
        return Loop(
            half_gap_mm=self.half_gap_mm,
            crown_mm=self.loop_radius_mm,
            leg_mm=self.leg_mm,
            before_mm=self.before_mm,
            after_mm=after,
            stiffness_nmm2=np.asarray(self.modulus_mpa) * second_moment_mm4(self.wire_mm),
        )


class RodClosing(NamedTuple):
    """At full swing; every field broadcasts over the fields of the rod."""

    travel_mm: Array  # pin, end to end, loop unloaded, no slack
    lost_motion_mm: Array  # of the whole travel, all slack taken up
    overtravel_mm: Array  # a side, no slack; negative: the points do not close
    rate_n_per_mm: Array  # of the loop where it begins
    force_n: Array  # at the blades, the larger of both ends, no slack
    force_after_slack_n: Array  # the smaller of both ends
    stronger_force_n: Array  # the larger of both, all slack taken up
    stress_mpa: Array  # the larger of both ends
    torque_nmm: Array
    middle_mm: Array  # pin half way between its ends, less the pin at θ = 0
    lean_rad: Array  # largest of mid and ends, unsigned
    push_n: Array  # load along the pushed rod, no slack
    give_mm: Array  # its shortening
    gap_mm: Array  # left between the pushed loop's legs at their feet, wire to wire
    step_mm: Array  # sideways step of the loop, the larger of both ends
    folding_n: Array  # load along the rod that folds it up


def ends_mm(rod: Rod) -> tuple[Array, Array]:
    """The unloaded pin at −θ and +θ, from where it is at mid swing, mm."""
    theta = np.asarray(rod.theta_rad, dtype=np.float64)
    return rod_pin_offset_mm(-theta, **rod.linkage()), rod_pin_offset_mm(theta, **rod.linkage())


def chord_mm(rod: Rod, side: int) -> tuple[Array, Array, Array]:
    """Arm hole to the pin that is stopped, at one end of the swing, mm; its lean, rad; and its lever at the shaft, mm.

    The pin stands half the throw from mid throw, which is half way between the ends of the free pin; the arm at side·θ.

    Args:
        rod: one or many.
        side: +1 where the rod is pushed, −1 where it is pulled.

    Source:
        Plane geometry, the lever by the chord's derivative; tests/drive/test_rod_closing.py differentiates it.
    """
    near, far = ends_mm(rod)
    r, e = np.asarray(rod.horn_radius_mm, dtype=np.float64), np.asarray(rod.offset_mm, dtype=np.float64)
    angle = side * np.asarray(rod.theta_rad, dtype=np.float64)
    stop = slide_mm(0.0, **rod.linkage()) + (near + far + side * np.asarray(rod.throw_mm)) / 2.0
    along, across = stop - r * np.sin(angle), r * np.cos(angle) - e
    chord = np.hypot(along, across)
    lever = np.abs(along * r * np.cos(angle) + across * r * np.sin(angle)) / chord
    return np.asarray(chord), np.asarray(np.arctan2(across, along)), np.asarray(lever)


def rod_closing(rod: Rod) -> RodClosing:
    """The points held closed at the half swing θ.

    travel = y(θ) − y(−θ); (travel − throw)/2 a side, mid throw being put half way. With the pin stopped the rod is
    shortened, or drawn out, by the difference of its length and the chord from arm hole to pin; the loop's force
    for that, times the cosine of the chord's lean, is the blades'. A clearance of arm or tie-bar hole is lost once
    over the whole travel, half of it a side. The servo holds the loop's force at the chord's lever.

    Domain:
        That of ``mounts.drive.push_rod.loop``; legs that do not meet.

    Raises:
        ValueError: the rod does not reach the slide line.

    Source:
        brief.md, 3.2; loop of ``mounts.drive.push_rod.loop``.
    """
    near, far = ends_mm(rod)
    loop = rod.loop()
    length, theta = np.asarray(rod.rod_length_mm), np.asarray(rod.theta_rad, dtype=np.float64)
    lost = np.asarray(rod.arm_slack_mm, dtype=np.float64) + np.asarray(rod.pin_slack_mm)
    forces, slack, stresses, torques, steps = [], [], [], [], []
    for side in (-1, 1):
        chord, lean, lever = chord_mm(rod, side)
        load = loop_force_n(loop, length - chord)
        bent = given(loop, load)
        forces.append(side * load * np.cos(lean))
        slack.append(side * loop_force_n(loop, length - chord - side * lost / 2.0) * np.cos(lean))
        stresses.append(loop_stress_mpa(loop, load, bent.step_mm, wire_mm=rod.wire_mm))
        torques.append(np.abs(load) * lever)
        steps.append(np.abs(bent.step_mm))
    return RodClosing(
        travel_mm=far - near,
        lost_motion_mm=np.asarray(lost),
        overtravel_mm=(far - near - np.asarray(rod.throw_mm)) / 2.0,
        rate_n_per_mm=loop_rate_n_per_mm(loop),
        force_n=np.maximum(*forces),
        force_after_slack_n=np.minimum(*slack),
        stronger_force_n=np.maximum(*slack),
        stress_mpa=np.maximum(*stresses),
        torque_nmm=np.maximum(*torques),
        middle_mm=(near + far) / 2.0,
        lean_rad=np.maximum(*(np.abs(rod_lean_rad(angle, **rod.linkage())) for angle in (0.0, theta))),
        push_n=load,
        give_mm=bent.shortening_mm,
        gap_mm=2.0 * np.asarray(rod.half_gap_mm) - np.asarray(rod.wire_mm) - bent.feet_mm,
        step_mm=np.maximum(*steps),
        folding_n=folding_force_n(loop),
    )
