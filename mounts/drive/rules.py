"""What any drive is held to, by the solver as limits and by the report as rows; a kind has rules of its own besides.

What only one of them knows, a limit on what the solver may choose or a row about what it did not compute, is no rule.
"""

from __future__ import annotations

from typing import NamedTuple

from mounts.drive.limits import Rule
from mounts.inputs.spec import MountSpec

LEAST_TORQUE_MARGIN = 3.0
"""Stall torque over torque asked (brief.md, 3.5)."""

LARGEST_DEAD_BAND_SHARE = 0.10
"""Dead band at the pin, at the end of the swing, over throw.

Common practice, no source: the spring wire evens out a tenth, and what it costs in force is in the tolerance study."""

LOST_MOTION_WARNED_SHARE, LOST_MOTION_SHARE = 0.35, 0.5
"""Slack's share of the travel, warned above and allowed. Common practice, no source: with half the travel
lost the force at the blades is anyone's guess."""

TURNING_ROOM_DEG = 5.0
"""Least angle between an end of the swing, trimmed where that matters, and where the travel turns back. Common
practice, no source."""

TURNING_BACK = Rule(
    "turning back",
    "turning-back",
    "at least",
    TURNING_ROOM_DEG,
    "°",
    "between a trimmed end and where the travel turns back",
    "less --swing or a greater --depth",
)
"""Of any kind whose pin turns back; a push rod is chosen with more room, to its dead point."""


class Rules(NamedTuple):
    """Those that all kinds share."""

    force: Rule
    force_high: Rule
    closes: Rule
    lost_motion: Rule
    stress: Rule
    untrimmed: Rule
    torque: Rule
    resolution: Rule


def rules(spec: MountSpec) -> Rules:
    """What a request asks of its drive."""
    low, high = spec.force_n
    felt, stressed = "at the blades with the slack taken up", "of its tensile strength"
    return Rules(
        force=Rule("force", "force", "at least", low, "N", felt, "a --force that begins at {value} N"),
        force_high=Rule("force at most", "force-high", "at most", high, "N", felt, "a --force that ends at {value} N"),
        closes=Rule(
            "closes in the worst case",
            "closes-in-the-worst-case",
            "at least",
            0.0,
            "mm",
            "of over-travel in the worst case",
            "tighter holes in arm, pivot and tie bar",
        ),
        lost_motion=Rule(
            "lost motion",
            "lost-motion",
            "at most",
            LOST_MOTION_SHARE,
            "%",
            "of the travel lost in slack",
            "a thicker wire, or tighter holes in arm and tie bar",
        ),
        stress=Rule(
            "stress",
            "stress",
            "at most",
            spec.wire.stress_limit,
            "%",
            stressed,
            "a stronger wire or less force",
        ),
        untrimmed=Rule(
            "stress before trimming",
            "stress-before-trimming",
            "at most",
            spec.wire.stress_limit,
            "%",
            f"{stressed} before the pulses are trimmed",
            "a stronger wire or less force",
        ),
        torque=Rule(
            "torque",
            "torque-margin",
            "at least",
            LEAST_TORQUE_MARGIN,
            "",
            "the torque it takes",
            "a stronger servo or less force",
        ),
        resolution=Rule(
            "resolution",
            "resolution",
            "at most",
            LARGEST_DEAD_BAND_SHARE,
            "%",
            "of the throw for the dead band",
            "a servo with a narrower dead band",
        ),
    )
