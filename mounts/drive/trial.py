"""What every kind of drive is judged by: the limits, costs and words that do not depend on the linkage."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.drive.candidates import Limit, at_least, at_most, deadliest
from mounts.drive.model import Drive
from mounts.drive.pulse import largest_swing_deg
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

LEAST_TORQUE_MARGIN = 3.0
"""Stall torque over torque asked (brief.md, 3.5)."""

LARGEST_DEAD_BAND_SHARE = 0.10
"""Dead band at the pin over throw. Common practice, no source: the spring wire evens out a tenth."""

ARM_TIP_SKIN_MM = 0.8
"""Plastic left beside an arm hole, a side: two lines of a moulded arm, common practice, no source."""

BOSS_GAP_MM = 0.25
"""Kept between the tail, behind the arm, and the boss; common practice, no source."""

TAIL_GAP_MM = 0.3
"""Kept between the tail of the Z-bend and the arm's hub."""

COMFORTABLE_SWING_DEG = 32.0
"""Where a half swing costs nothing: fine steps at the pin, little side load. Common practice, no source."""


@dataclass(frozen=True)
class Trial:
    """Candidates and what they do; arrays (n,), NaN where a candidate has no linkage."""

    radius_mm: Array
    theta_rad: Array
    wire_mm: Array
    drill_mm: Array
    stress_share: Array  # of tensile, the worst place
    force_n: Array
    force_after_slack_n: Array
    lost_motion_mm: Array
    torque_nmm: Array
    dead_band_mm: Array
    least_overtravel_mm: Array  # worst case, slack taken up
    least_force_n: Array
    most_force_n: Array
    formula_share: float = 0.0  # kept back from the limits of force, stress and torque for what the formulas leave out

    def words(self, index: int) -> str:
        """A candidate as people name it."""
        return f"the {self.wire_mm[index]:g} mm wire in the {self.radius_mm[index]:g} mm arm hole"


def shared_limits(trial: Trial, spec: MountSpec, *, wire_tail_mm: float) -> tuple[Limit, ...]:
    """Arm, wire, force, stress, torque and signals; each drive adds those of its own linkage."""
    servo = spec.servo
    beside = np.minimum(servo.horn_tip_width_mm / 2.0, servo.horn_length_mm - trial.radius_mm)
    margin = servo.stall_torque_nmm / np.maximum(trial.torque_nmm, 1e-9)
    tail = trial.radius_mm - wire_tail_mm - trial.wire_mm / 2.0 - TAIL_GAP_MM
    inside_arm = servo.horn_plane_height_mm - servo.horn_thickness_mm - trial.wire_mm
    boss_top = servo.case_height_mm - servo.flange_underside_height_mm + servo.boss_height_mm
    beside_boss = tail - servo.boss_mm / 2.0  # a tail beyond the boss may be as low as it likes
    over_boss = np.maximum(inside_arm - boss_top, beside_boss)
    swing = np.degrees(trial.theta_rad)
    coarse = 100.0 * trial.dead_band_mm / spec.throw_mm
    low, high = spec.force_n
    less, more = 1.0 - trial.formula_share, 1.0 + trial.formula_share
    return (
        at_least("arm hole", beside - trial.drill_mm / 2.0, ARM_TIP_SKIN_MM, "mm of plastic beside the arm hole",
                 "a wider arm"),
        at_least("Z-bend clear of the hub", tail, servo.horn_hub_mm / 2.0, "mm from shaft to the wire's tail",
                 "an arm with holes further out"),
        at_least("Z-bend clear of the boss", over_boss, BOSS_GAP_MM, "mm between the wire's tail and the boss",
                 "a thinner wire or an arm hole further out"),
        at_most("tie-bar hole", trial.wire_mm, spec.tie_bar_hole_mm, "mm of hole in the tie bar",
                "drill the tie bar {value} mm"),
        at_least("force", less * trial.force_after_slack_n, low, "N at the blades with the slack taken up",
                 "a --force that begins at {value} N"),
        at_most("force without slack", more * trial.force_n, high, "N at the blades without slack",
                "a --force that ends at {value} N"),
        at_least("closes in the worst case", trial.least_overtravel_mm, 0.0, "mm of over-travel in the worst case",
                 "tighter holes in arm, pivot and tie bar"),
        at_most("stress", 100.0 * more * trial.stress_share, 100.0 * spec.wire.stress_limit,
                "% of its tensile strength", "a stronger wire or less force"),
        at_least("torque", less * margin, LEAST_TORQUE_MARGIN, "× the torque it takes",
                 "a stronger servo or less force"),
        at_most("pulses", swing, largest_swing_deg(servo), "° of half swing", "a servo with a wider pulse range"),
        at_most("resolution", coarse, 100.0 * LARGEST_DEAD_BAND_SHARE, "% of the throw for the dead band",
                "a servo with a narrower dead band"),
    )  # fmt: skip


def shared_costs(trial: Trial, spec: MountSpec) -> dict[str, Array]:
    """What speaks against each candidate, by name, each (n,) and about 0 to 1; the least sum wins.

    * swing: (θ − 32°)/20° squared.
    * force: distance of the force, between slack and no slack, from the middle of the wanted band, in
      half bands (logarithmic), squared.
    * spread: worst-case force outside the band, either side, as a share of that edge, threefold.
    * stress: share of the limit, squared, and once more what is above the warning.
    * lost motion: share of the throw.
    * torque: 3/margin, a quarter of it.
    * drilling: 0.1 where the arm's hole must be opened.
    """
    low, high = spec.force_n
    felt = np.sqrt(np.maximum(trial.force_n * trial.force_after_slack_n, 1e-12))
    half_band = max(math.log(high / low) / 2.0, 0.05)
    weak, strong = 1.0 - trial.least_force_n / low, trial.most_force_n / high - 1.0
    stress, limit, warned = trial.stress_share, spec.wire.stress_limit, spec.wire.stress_warn
    return {
        "swing": ((np.degrees(trial.theta_rad) - COMFORTABLE_SWING_DEG) / 20.0) ** 2,
        "force": (np.log(felt / math.sqrt(low * high)) / half_band) ** 2,
        "spread": 3.0 * (np.maximum(strong, 0.0) + np.maximum(weak, 0.0)),
        "stress": (stress / limit) ** 2 + np.maximum(stress / warned - 1.0, 0.0),
        "lost motion": trial.lost_motion_mm / spec.throw_mm,
        "torque": LEAST_TORQUE_MARGIN * trial.torque_nmm / spec.servo.stall_torque_nmm / 4.0,
        "drilling": np.where(trial.drill_mm > spec.servo.horn_hole_mm + 1e-9, 0.1, 0.0),
    }


def ranking(cost: dict[str, Array], alive: NDArray[np.intp]) -> NDArray[np.intp]:
    """The survivors, cheapest first; of equals the first enumerated."""
    total = np.sum(list(cost.values()), axis=0)[alive]
    return alive[np.argsort(total, kind="stable")]


def performance(words: str, drive: Drive, spec: MountSpec, dimensions: str) -> str:
    """What a drive does, one sentence.

    Args:
        words: wire and arm hole.
        drive: the drive.
        spec: for the force wanted.
        dimensions: its continuous ones, in words.
    """
    return (
        f"{words[0].upper()}{words[1:]} with {dimensions} presses the blades with {drive.force_after_slack_n:.2f} to "
        f"{drive.force_n:.2f} N at a half swing of {drive.swing_deg:.1f}°, of {spec.force_n[0]:g} to "
        f"{spec.force_n[1]:g} N wanted."
    )


def explanation(
    trial: Trial,
    spec: MountSpec,
    limits: tuple[Limit, ...],
    cost: dict[str, Array],
    order: NDArray[np.intp],
    drive: Drive,
    dimensions: str,
) -> str:
    """Why the winner won: what it does, which limit removed most, what the next best lacks.

    Args:
        trial: all candidates.
        spec: for the force wanted.
        limits: all limits.
        cost: all costs.
        order: survivors, the winner first.
        drive: the winner.
        dimensions: the winner's continuous dimensions, in words.
    """
    best = int(order[0])
    name, count, total = deadliest(limits)
    words = trial.words(best)
    text = (
        f"{performance(words, drive, spec, dimensions)} "
        f"{order.size} of {total} candidates were sound"
    ) + (f"; the limit '{name}' removed most, {count}." if count else ".")
    second = next((int(i) for i in order if trial.words(int(i)) != words), None)
    if second is not None:
        behind = max(cost, key=lambda term: float(cost[term][second] - cost[term][best]))
        text += f" Next best was {trial.words(second)}, behind in {behind}."
    return text
