"""What a lift is held to, by its solver as limits and by the report as rows."""

from __future__ import annotations

from mounts.drive.lift.asked import Asked
from mounts.drive.lift.model import LiftLimits
from mounts.drive.limits import Rule
from mounts.drive.rules import LEAST_TORQUE_MARGIN
from mounts.inputs.spec import MountSpec

LEAST_TRANSMISSION_DEG = 40.0
"""Between rod and crank, and rod and arm (brief.md, 3.3)."""

MOST_BACKLASH_DEG = 15.0
"""Play of both holes as the crank's angle: what weighs on the rod takes it up one way. Common practice, no source."""

MOST_DEAD_BAND_DEG = 3.0
"""Of the crank, end to end of the band: an arm rests within half of it. Common practice, no source."""

MOST_DEAD_BAND_SHARE = 0.05
"""Of the travel, where a wire slides. Common practice, no source."""

MOST_LEAN_DEG = 6.0
"""Of the rod across the track: it is drawn and bent as if it stood upright. Common practice, no source."""

LEAST_STALL_MARGIN, LEAST_STOP_MARGIN = 1.0, 3.0
"""Load that buckles the rod, over what reaches it when the servo goes to its end, and over that at a stop. Common
practice, no source."""

LEAST_GUIDES_MM = 15.0
"""From one guide of the rod to the next; nearer ones nobody fits. Common practice, no source."""

MOST_OFF_DEG = 1.0
"""A position as it is set, against what was asked (issue of the lift drive)."""

MOST_OFF_MM = 0.1
"""The same of a wire that slides. Common practice, no source."""

TRANSMISSION = Rule(
    "transmission", "transmission", "at least", LEAST_TRANSMISSION_DEG, "°", "between rod and crank",
    "the crank set back on its spindle, so that it is level half way",
)  # fmt: skip
ARM_TRANSMISSION = Rule(
    "transmission at the arm", "transmission-at-arm", "at least", LEAST_TRANSMISSION_DEG, "°", "between rod and arm",
    "an arm hole further out, or less lift",
)  # fmt: skip
BACKLASH = Rule(
    "backlash", "backlash", "at most", MOST_BACKLASH_DEG, "°", "of play at the crank",
    "a longer --crank, or tighter holes in arm and crank",
)  # fmt: skip
TURNS_FINELY = Rule(
    "resolution", "resolution", "at most", MOST_DEAD_BAND_DEG, "°", "for the dead band",
    "a longer --crank, or a servo with a narrower dead band",
)  # fmt: skip
SLIDES_FINELY = Rule(
    "resolution", "resolution", "at most", MOST_DEAD_BAND_SHARE, "%", "of the travel for the dead band",
    "a greater --travel, or a servo with a narrower dead band",
)  # fmt: skip
LEAN = Rule(
    "lean", "lean-of-rod", "at most", MOST_LEAN_DEG, "°", "of lean of the rod",
    "a --crank-pivot without ACROSS, which then stands over the rod",
)  # fmt: skip
AT_STOP = Rule(
    "buckling at the stop", "buckling-at-stop", "at least", LEAST_STOP_MARGIN, "", "the load at the stop",
    "a thicker wire",
)  # fmt: skip
AT_STALL = Rule(
    "buckling at stall", "buckling-at-stall", "at least", LEAST_STALL_MARGIN, "",
    "the load when the servo is sent to its end", "a thicker wire, or an arm hole nearer the shaft",
)  # fmt: skip
GUIDES = Rule("guides", "guides", "at least", LEAST_GUIDES_MM, "mm", "from guide to guide of the rod", "a thicker wire")
TORQUE = Rule("torque", "torque-margin", "at least", LEAST_TORQUE_MARGIN, "", "the torque it takes", "a stronger servo")


def stop_force(asked: Asked) -> Rule:
    """What the stop of the thing moved may be pressed with."""
    said = "at the stop"
    return Rule("stop force", "stop-force", "at most", asked.stop_n, "N", said, "a thinner wire")


def bend_room(limits: LiftLimits) -> Rule:
    """What the spring bend takes along the shaft."""
    most, said = limits.max_bend_out_mm, "of room for the spring bend"
    return Rule("spring bend", "spring-bend", "at most", most, "mm", said, "a thinner wire")


def stressed(spec: MountSpec) -> Rule:
    """The spring bend's crown with its stop pressed; more is warned of, and not chosen."""
    said = "of its tensile strength"
    return Rule("stress", "stress-at-bend", "at most", spec.wire.stress_warn, "%", said, "a stronger wire")


def bent_aside(spec: MountSpec) -> Rule:
    """Of a sliding wire, below its guide, as the arm's hole goes round."""
    said, way = "of its tensile strength, bent aside below the guide", "a thinner wire, or a smaller --travel"
    return Rule("bent aside", "bent-aside", "at most", spec.wire.stress_warn, "%", said, way)


def in_place(asked: Asked) -> Rule:
    """Where the pulses take what is moved, against what was asked; of a second rod these are the first's pulses."""
    if asked.crank_mm is None:
        said, way = "off at the second rod", "a smaller --travel"
        return Rule("second rod", "positions", "at most", MOST_OFF_MM, "mm", said, way)
    said, way = "off at the second crank", "a --crank-pivot further up"
    return Rule("second rod", "positions", "at most", MOST_OFF_DEG, "°", said, way)
