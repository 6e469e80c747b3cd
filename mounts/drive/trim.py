"""How the two end pulses are trimmed on the layout: which way, how fine, and how far past the touch."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Literal

from pydantic import Field

from mounts.drive.kinds import kind_of
from mounts.drive.model import Drive
from mounts.drive.tolerances import gain_share
from mounts.inputs.model import Model
from mounts.inputs.spec import MountSpec

_STEP_RAD = 1e-5  # of the central difference
_HALVINGS = 60  # past the last bit of a float, the 53rd

GAIN_KNOWN = 0.02
"""± of the gain, as a share of it, from which on it counts as measured; common practice, no source."""


class EndTrim(Model):
    """One end of the swing."""

    position: Literal["normal", "reverse"]
    pulse_us: float = Field(description="to begin with")
    home: Literal["longer", "shorter"] = Field(description="the way to move the pulse to press the blade harder")
    touch_us: float = Field(description="where the sign shows if nothing is off: the blade touches, or snaps over")
    past_us: float = Field(ge=0, description="how far past that sign the pulse is set for the nominal force")
    us_per_tenth_mm: float = Field(gt=0, description="pulse for a tenth of a mm at the pin, at this end")
    room_us: float = Field(description="left to the end of the servo's range, for trimming further home")


class Trim(Model):
    """The trimming rule as figures: each end by itself, approached from the middle."""

    sign: Literal["touch", "snap"] = Field(
        description="touch: the blade just touches its stock rail; snap: the turnout's own spring throws it over"
    )
    range_us: tuple[float, float] = Field(description="pulses that the servo takes")
    past_share: float | None = Field(
        None,
        description="the way past the touch over that between both touches, for a servo whose gain is not measured: "
        "it shows there; None where it is known, or where blades snap over",
    )
    normal: EndTrim
    reverse: EndTrim


def trim(spec: MountSpec, drive: Drive) -> Trim:
    """Where the sign shows at each end and how far the pulse goes past it.

    The blade touches when the pin, all slack taken up, has gone half the throw: the unloaded pin is then at
    throw/2 + lost/2 from mid throw, and the end pulse presses by what is left of the over-travel, δ − lost/2.
    A turnout that keeps its own over-centre spring of force F snaps over earlier or later: when the wire,
    held back at the far rail, is bent by F/k, at −throw/2 + lost/2 + F/k. From either sign to the end it is a
    way of the arm that neither a siting error nor the tooth of the arm changes.

    Domain: the arm between its dead points. A lost motion that leaves no over-travel gives ``past_us`` 0.

    Raises:
        TypeError: a drive that throws no points.

    Source:
        Exact kinematics of the drive; own derivation. tests/drive/test_trim.py lays the wire against the
        sides of its holes and cuts lines and circles instead.
    """
    servo, pulses = spec.servo, drive.pulse_us
    way = kind_of(drive).pin_mm
    if way is None:
        raise TypeError(f"{drive.kind} throws no points")
    pin_mm = way(drive)
    end_rad, us_per_rad = math.radians(drive.swing_deg), 1.0 / math.radians(servo.degrees_per_us)
    kept_n = spec.own_spring_n or 0.0
    sign_mm = spec.throw_mm / 2.0 + drive.lost_motion_mm / 2.0
    if kept_n:
        sign_mm += kept_n / drive.rate_n_per_mm - spec.throw_mm
    ends = {}
    for position, side in (("normal", -1.0), ("reverse", 1.0)):
        pulse_us = pulses.normal if side < 0 else pulses.reverse
        longer = pulse_us > pulses.centre
        sign_rad = _angle_rad(pin_mm, side * sign_mm, side, end_rad)
        rate = (pin_mm(side * end_rad + _STEP_RAD) - pin_mm(side * end_rad - _STEP_RAD)) / (2.0 * _STEP_RAD)
        past_us = abs(side * end_rad - sign_rad) * us_per_rad
        ends[position] = EndTrim(
            position=position,
            pulse_us=pulse_us,
            home="longer" if longer else "shorter",
            touch_us=pulse_us - past_us if longer else pulse_us + past_us,
            past_us=past_us,
            us_per_tenth_mm=0.1 * us_per_rad / abs(rate),
            room_us=servo.pulse_max_us - pulse_us if longer else pulse_us - servo.pulse_min_us,
        )
    between_us = abs(ends["reverse"].touch_us - ends["normal"].touch_us)
    measured = kept_n or gain_share(servo) <= GAIN_KNOWN
    return Trim(
        sign="snap" if kept_n else "touch",
        range_us=(servo.pulse_min_us, servo.pulse_max_us),
        past_share=None if measured else (ends["normal"].past_us + ends["reverse"].past_us) / 2.0 / between_us,
        normal=ends["normal"],
        reverse=ends["reverse"],
    )


def _angle_rad(pin_mm: Callable[[float], float], target_mm: float, side: float, end_rad: float) -> float:
    """The arm angle that puts the pin there, by halving, which comes to that end that the pin does not get past."""
    low, high = -side * end_rad, side * end_rad
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if side * (pin_mm(middle) - target_mm) < 0.0 else (low, middle)
    return high
