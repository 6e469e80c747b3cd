"""What candidates of any kind are ranked by, the limits, costs and words that all kinds share, and the best of them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.drive.limits import Flags, Limit, Refusal, at_least, at_most, deadliest, explain, survivors
from mounts.drive.model import Drive, PointsDrive
from mounts.drive.pulse import room_us
from mounts.drive.rules import LEAST_TORQUE_MARGIN, LOST_MOTION_WARNED_SHARE, rules
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

ARM_TIP_SKIN_MM = 0.8
"""Plastic left beside an arm hole, a side: two lines of a moulded arm, common practice, no source."""

Z_BEND_AIR_MM = 0.25
"""Kept between the tail of the Z-bend, behind the arm, and boss or case. Common practice, no source."""

TAIL_GAP_MM = 0.3
"""Kept between the tail of the Z-bend and the arm's hub. Common practice, no source."""

COMFORTABLE_SWING_DEG = 32.0
"""Where a half swing costs nothing: fine steps at the pin, little side load. Common practice, no source."""


@dataclass(frozen=True)
class Candidates:
    """What is chosen of each candidate, whatever it drives; arrays (n,), NaN where a candidate has no linkage."""

    radius_mm: Array
    theta_rad: Array
    wire_mm: Array
    drill_mm: Array

    def words(self, index: int) -> str:
        """A candidate as people name it."""
        return f"the {self.wire_mm[index]:g} mm wire in the {self.radius_mm[index]:g} mm arm hole"


@dataclass(frozen=True)
class Trial(Candidates):
    """Candidates that throw points, and what they do.

    The worst cases are those with the end pulses trimmed on the layout; ``untrimmed`` is as the report sets them.
    """

    stress_share: Array  # of tensile, the worst place, curvature counted
    untrimmed_stress_share: Array
    force_n: Array
    force_after_slack_n: Array  # at the weaker end
    stronger_force_n: Array  # at the stronger one, all slack taken up
    travel_mm: Array
    lost_motion_mm: Array
    torque_nmm: Array
    dead_band_mm: Array  # at the pin, mid swing
    end_dead_band_mm: Array  # at the end of the swing, where the pin rests
    trim_us: Array  # pulse to be kept free at either end
    least_overtravel_mm: Array  # past the touch
    least_force_n: Array
    most_force_n: Array
    beyond_theory: Array  # how far beyond the domain of its formulas, as a share of it; ≤ 0 inside
    formula_share: float = 0.0  # kept back from the limits of force, stress and torque for what the formulas leave out


def shared_limits(trial: Trial, spec: MountSpec, *, wire_tail_mm: float) -> tuple[Limit, ...]:
    """Arm, wire, force, stress, torque and signals; each drive adds those of its own linkage."""
    servo = spec.servo
    beside = np.minimum(servo.horn_tip_width_mm / 2.0, servo.horn_length_mm - trial.radius_mm)
    tail = trial.radius_mm - wire_tail_mm - trial.wire_mm / 2.0 - TAIL_GAP_MM
    inside_arm = servo.arm_inner_height_mm - trial.wire_mm
    beside_boss = tail - servo.boss_mm / 2.0  # a tail beyond the boss may be as low as it likes
    over_boss = np.maximum(inside_arm - servo.boss_top_height_mm, beside_boss)
    margin = servo.stall_torque_nmm / np.maximum(trial.torque_nmm, 1e-9)
    swing_us = np.degrees(trial.theta_rad) / servo.degrees_per_us
    held, less, more = rules(spec), 1.0 - trial.formula_share, 1.0 + trial.formula_share
    return (
        at_least("arm hole", beside - trial.drill_mm / 2.0, ARM_TIP_SKIN_MM, "mm of plastic beside the arm hole",
                 "a wider arm"),
        at_least("Z-bend clear of the hub", tail, servo.horn_hub_mm / 2.0, "mm from shaft to the wire's tail",
                 "an arm with holes further out"),
        at_least("Z-bend clear of the boss", over_boss, Z_BEND_AIR_MM, "mm between the wire's tail and the boss",
                 "a thinner wire or an arm hole further out"),
        at_most("tie-bar hole", trial.wire_mm + fits.TIE_BAR.own_mm, spec.tie_bar_hole_mm, "mm of hole in the tie bar",
                "drill the tie bar {value} mm"),
        held.force.limit(less * trial.force_after_slack_n),
        held.force_high.limit(more * trial.stronger_force_n),
        held.closes.limit(trial.least_overtravel_mm),
        held.lost_motion.limit(trial.lost_motion_mm / trial.travel_mm),
        held.stress.limit(more * trial.stress_share),
        held.untrimmed.limit(more * trial.untrimmed_stress_share),
        held.torque.limit(less * margin),
        at_most("pulses", swing_us + trial.trim_us, room_us(servo), "µs from centre to end, trim included",
                "a servo with a wider pulse range"),
        held.resolution.limit(trial.end_dead_band_mm / spec.throw_mm),
    )  # fmt: skip


WARNING_COST = 10.0
"""What a check that would warn costs: more than all else together, so that it is only chosen where nothing else is."""

SEEN_SHARE = 0.7
"""Of the way to the worst case, the most that 19 in 20 mounts go: of one tolerance alone, drawn from a triangle,
1 − √0.1 = 0.684; of several together less (tests/drive/test_tolerances.py)."""

FREE_SLACK_SHARE = 0.2
"""Lost motion over throw that costs little: a wire 0.2 mm under its holes. Common practice, no source."""


def warnings(trial: Trial, spec: MountSpec) -> tuple[Array, ...]:
    """(n,) how far each candidate is beyond what a check warns of, as a share of it; ≤ 0 where it does not."""
    held, less, more = rules(spec), 1.0 - trial.formula_share, 1.0 + trial.formula_share
    weak = trial.force_after_slack_n + SEEN_SHARE * (trial.least_force_n - trial.force_after_slack_n)
    strong = trial.stronger_force_n + SEEN_SHARE * (trial.most_force_n - trial.stronger_force_n)
    return (
        1.0 - less * weak / held.force.bound,
        more * strong / held.force_high.bound - 1.0,
        more * trial.stress_share / spec.wire.stress_warn - 1.0,
        trial.lost_motion_mm / (LOST_MOTION_WARNED_SHARE * trial.travel_mm) - 1.0,
        trial.beyond_theory,
    )


def shared_costs(trial: Trial, spec: MountSpec) -> dict[str, Array]:
    """What speaks against each candidate, by name, each (n,) and about 0 to 1; the least sum wins.

    * swing: (θ − 32°)/20° squared.
    * force: distance of the force from the middle of the wanted band, in half bands (logarithmic), squared.
    * no slack: 3 where the force without slack, which nobody will see, would be above the band.
    * warnings: ``WARNING_COST`` for each check that would warn, and as much again for being once beyond it.
    * stress: share of the limit, squared.
    * slack: lost motion over ``FREE_SLACK_SHARE`` of the throw, squared, a fifth: what is bought back with
      over-travel, at a fifth of the throw little, at half of it more than a swing 20° off.
    * torque: 3/margin, a quarter of it.
    * drilling: 0.1 where the arm's hole must be opened.
    """
    low, high = spec.force_n
    felt = np.maximum(trial.force_after_slack_n, 1e-6)
    half_band = max(math.log(high / low) / 2.0, 0.05)
    warned = np.sum([np.where(over > 1e-9, 1.0 + over, 0.0) for over in warnings(trial, spec)], axis=0)
    return {
        "swing": ((np.degrees(trial.theta_rad) - COMFORTABLE_SWING_DEG) / 20.0) ** 2,
        "force": (np.log(felt / math.sqrt(low * high)) / half_band) ** 2,
        "no slack": np.where(trial.force_n > high, 3.0, 0.0),
        "warnings": WARNING_COST * warned,
        "stress": (trial.stress_share / spec.wire.stress_limit) ** 2,
        "slack": 0.2 * (trial.lost_motion_mm / (FREE_SLACK_SHARE * spec.throw_mm)) ** 2,
        "torque": LEAST_TORQUE_MARGIN * trial.torque_nmm / spec.servo.stall_torque_nmm / 4.0,
        "drilling": np.where(trial.drill_mm > spec.servo.horn_hole_mm + 1e-9, 0.1, 0.0),
    }


def ranking(cost: dict[str, Array], alive: NDArray[np.intp]) -> NDArray[np.intp]:
    """The survivors (k,), cheapest first by costs (n,); of equals the first enumerated."""
    total = np.sum(list(cost.values()), axis=0)[alive]
    return alive[np.argsort(total, kind="stable")]


def performance(words: str, drive: Drive, spec: MountSpec, dimensions: str) -> str:
    """What a drive that throws points does, one sentence.

    Args:
        words: wire and arm hole.
        drive: the drive.
        spec: for the force wanted.
        dimensions: its continuous ones, in words.

    Raises:
        TypeError: it throws none.
    """
    if not isinstance(drive, PointsDrive):
        raise TypeError(f"{drive.kind} presses no blades")
    return (
        f"{words[0].upper()}{words[1:]} with {dimensions} presses the blades with {drive.force_after_slack_n:.2f} N "
        f"at a half swing of {drive.swing_deg:.1f}°, of {spec.force_n[0]:g} to {spec.force_n[1]:g} N wanted."
    )


def explanation(
    trial: Candidates, limits: tuple[Limit, ...], cost: dict[str, Array], order: NDArray[np.intp], does: str
) -> str:
    """Why the winner won: what it does, which limit removed most, what the next best lacks.

    Args:
        trial: all candidates.
        limits: all limits.
        cost: all costs, (n,) each.
        order: (k,) survivors, the winner first.
        does: what the winner does, one sentence.
    """
    best = int(order[0])
    name, count, total = deadliest(limits)
    words = trial.words(best)
    text = (f"{does} {order.size} of {total} candidates were sound") + (
        f"; the limit '{name}' removed most, {count}." if count else "."
    )
    second = next((int(i) for i in order if trial.words(int(i)) != words), None)
    if second is not None:
        behind = max(cost, key=lambda term: float(cost[term][second] - cost[term][best]))
        text += f" Next best was {trial.words(second)}, behind in {behind}."
    return text


HEARD = 40  # of the cheapest: an objection is dear to find, and what is dearer still is seldom any better


@dataclass(frozen=True)
class Examined:
    """All candidates of one request; arrays are (n,).

    Attributes:
        spec: the request.
        trial: what each candidate does.
        limits: every limit it was held against.
        cost: every cost, by name.
        aimed: force or over-travel that a candidate was solved for; NaN where its depth is pinned.
        towards: the arm points to the pivot; true throughout where there is none.
        dimensions: a candidate's continuous dimensions, in words.
        drive: candidate → drive, not yet explained.
        objection: what a better model than the field was judged by has against a candidate; empty: nothing.
        performance: what a drive does, one sentence, of its wire and arm hole in words, the drive, the request and
            its continuous dimensions in words.
    """

    spec: MountSpec
    trial: Candidates
    limits: tuple[Limit, ...]
    cost: dict[str, Array]
    aimed: Array
    towards: Flags
    dimensions: Callable[[int], str]
    drive: Callable[[int], Drive]
    objection: Callable[[int], str] = lambda index: ""
    performance: Callable[[str, Drive, MountSpec, str], str] = performance

    def does(self, index: int, drive: Drive) -> str:
        """What a candidate does, made into a drive, one sentence."""
        return self.performance(self.trial.words(index), drive, self.spec, self.dimensions(index))

    def alive(self) -> Flags:
        """Who is inside every limit."""
        return survivors(self.limits)

    def best(self, *, towards: bool | None = None) -> Drive | Refusal:
        """The cheapest that survives; or, where none does, the line that says why.

        Args:
            towards: only an arm that points to the pivot, or only one that does not; None: either.
        """
        alive = np.flatnonzero(self.alive())
        if not alive.size:
            return explain(self.limits, self.trial.words)
        if towards is not None:
            alive = alive[self.towards[alive] == towards]
        if not alive.size:
            return Refusal("no drive but with the arm pointing the other way")
        order = ranking(self.cost, alive)
        heard = (at for at, candidate in enumerate(order[:HEARD]) if not self.objection(int(candidate)))
        sound = next(heard, None)
        if sound is None:
            nearest = int(order[0])
            why = f"no drive; nearest: {self.trial.words(nearest)}, but {self.objection(nearest)}"
            return Refusal(why, "; use another --track-distance")
        order = order[sound:]
        first = int(order[0])
        drive = self.drive(first)
        told = explanation(self.trial, self.limits, self.cost, order, self.does(first, drive))
        return drive.model_copy(update={"explanation": told})
