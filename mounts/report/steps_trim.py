"""The trimming rule in words: each end pulse by itself, until the blade just touches, then so much further."""

from __future__ import annotations

import math

from mounts.design import Design
from mounts.drive.trim import EndTrim, Trim, trim
from mounts.report.kinds import telling
from mounts.units import number

_STEP_US = 5.0  # a round figure to key in, up to a multiple that passes the dead band


def trimming(design: Design) -> tuple[str, ...]:
    """Power on, trim both ends, what to do when it goes wrong; the pulses are those of the report's ``trim``."""
    pulses, rule, seen = design.drive.pulse_us, trim(design.spec, design.drive), telling(design.drive).ends(design)
    step_us = math.ceil(design.spec.servo.dead_band_us / _STEP_US) * _STEP_US
    low, high = (number(us, 0) for us in rule.range_us)
    return (
        f"Power on, hands out of the drive. Normal means: {seen.normal}. Reverse means: {seen.reverse}. Each end pulse "
        f"is now trimmed by itself, in steps of {number(step_us, 0)} µs at last and always coming from the middle: "
        "that takes up the slack the same way each time, and bends the wire no more than it must.",
        _end(rule.normal, rule, pulses.reverse if rule.sign == "snap" else pulses.centre),
        _end(rule.reverse, rule, pulses.normal if rule.sign == "snap" else pulses.centre),
        *_by_share(rule),
        f"If a blade stays open, go on the same way, never beyond {low} to {high} µs, the servo's range; if that is "
        "not enough, switch off and put the arm on one tooth further that way. If the servo hums at an end it pushes "
        "too hard: go back in the same steps until it is quiet and the blade still holds the paper.",
        "Enter both pulses in the controller, the centre half way between them. Throw the points ten times, look at "
        "both blades, and run a wagon through both ways.",
    )


def _by_share(rule: Trim) -> tuple[str, ...]:
    """For a servo that turns more or less per µs than its class: the touches are a known way apart."""
    if rule.past_share is None:
        return ()
    between = number(abs(rule.reverse.touch_us - rule.normal.touch_us), 0)
    return (
        "How far this servo turns per µs is not measured. If the two pulses at which the blades touched lie more or "
        f"less than {between} µs apart, go {number(100 * rule.past_share, 0)} % of what lies between them past each, "
        "in place of the µs above.",
    )


def _end(end: EndTrim, rule: Trim, from_us: float) -> str:
    way = "up" if end.home == "longer" else "down"
    sign = "the closing blade just holds a strip of thin paper against its rail"
    if rule.sign == "snap":
        sign = "the turnout's own spring throws the blades over"
    return (
        f"Trim {end.position}: from {_us(from_us)} go {way} until {sign} (near {_us(end.touch_us)} if nothing is off), "
        f"then {_us(end.past_us)} further {way}: about {_us(end.pulse_us)}. Here {_us(end.us_per_tenth_mm)} move the "
        f"tie bar 0.1 mm; {end.home} closes harder."
    )


def _us(us: float) -> str:
    return f"{number(us, 0)} µs"
