"""What a push rod is held to beside what holds for any drive (``mounts.drive.rules``)."""

from __future__ import annotations

from mounts.drive.limits import Rule
from mounts.drive.push_rod.field import LEAST_GAP_MM
from mounts.drive.push_rod.loop import MOST_GIVE_SHARE, MOST_STEP_SHARE
from mounts.drive.push_rod.model import PushRodLimits

LEAST_FOLDING_MARGIN = 3.0
"""Load that folds up rod and loop over the load without slack. Common practice, no source."""

FORMULA_SHARE = 0.06
"""What the force limits keep back for second-order theory, which the exact line may differ from by so much: what is
chosen by the one passes the checks that bend the other."""

LOOP_OPEN = Rule(
    "loop stays open",
    "loop-open",
    "at least",
    LEAST_GAP_MM,
    "mm",
    "between the loop's legs in the worst case",
    "a smaller --overtravel or a greater --track-distance",
)
LOOP_GIVE = Rule(
    "loop's give",
    "loop-give",
    "at most",
    MOST_GIVE_SHARE,
    "%",
    "of the loop's height of give",
    "a greater --track-distance or less --force",
)
LOOP_STEP = Rule(
    "loop's step",
    "loop-step",
    "at most",
    MOST_STEP_SHARE,
    "%",
    "of the loop's height of step sideways",
    "a smaller --track-distance",
)
LOOP_FORMULA = Rule(
    "loop's formula",
    "loop-formula",
    "at most",
    FORMULA_SHARE,
    "%",
    "that the loop's load is off",
    "another --track-distance or less --force",
)
BUCKLING = Rule(
    "buckling",
    "buckling",
    "at least",
    LEAST_FOLDING_MARGIN,
    "",
    "the load to fold up rod and loop",
    "a smaller --track-distance",
)


def leaning(limits: PushRodLimits) -> Rule:
    """Of the rod against its way."""
    most, greater = limits.max_lean_deg, "a greater --track-distance"
    return Rule("lean", "lean-of-rod", "at most", most, "°", "of lean of the rod", greater)
