"""New pulses for a mount that is printed and screwed down: the linkage stays, the servo's map is another."""

from __future__ import annotations

import math
from collections.abc import Callable

from pydantic import Field

from mounts.drive.kinds import kind_of
from mounts.drive.model import Drive, PulseWidths
from mounts.drive.pulse import arm_angle_deg, pulse_us
from mounts.errors import Fault, InputError, NoDesign
from mounts.inputs.model import Model
from mounts.inputs.servo import Servo
from mounts.units import number

_HALVINGS = 60  # to the last bit of a double
_STEPS = 400  # a fifth of a degree each
_FARTHEST_RAD = math.radians(80.0)  # more than any servo turns from its centre


class Repulsed(Model):
    """Pulses for another servo, or for one that stands elsewhere."""

    servo: str
    pulse_us: PulseWidths
    arm_deg: tuple[float, float] = Field(description="arm's angle from where it stands at the centre, normal, reverse")
    pin_mm: tuple[float, float] = Field(description="unloaded pin there, from mid throw, normal and reverse")
    swing_deg: float = Field(description="the larger of the two angles")
    room_us: float = Field(
        description="least room left to the ends of the servo's pulses; less than 0: it needs more swing than it has"
    )


def repulsed(before: Drive, old: Servo, new: Servo) -> Repulsed:
    """The pulses at which another servo's arm stands where the old one's did.

    Args:
        before: of the mount that exists.
        old: the servo it was made for.
        new: the one that it has now.

    Raises:
        InputError: the mount throws no points.

    Source:
        Both servos' maps, straight lines: angle = ± gain · (pulse − centre).
    """
    angles = [arm_angle_deg(pulse, old) for pulse in (before.pulse_us.normal, before.pulse_us.reverse)]
    pin_mm = _pin_mm(before)
    towards = 1.0 if angles[1] > 0 else -1.0
    pins = [pin_mm(math.radians(towards * angle)) for angle in angles]
    return _told(new, (angles[0], angles[1]), (pins[0], pins[1]), new.pulse_centre_us)


def repulsed_by_hand(
    before: Drive, old: Servo, new: Servo, *, arm_hole_mm: float, distance_mm: float, stands_deg: float
) -> Repulsed:
    """The pulses for a servo that was fixed by hand under a printed pivot, so that the pin goes as far as designed.

    Args:
        before: of the mount that exists.
        old: the servo it was made for; by it is told which way the arm turns.
        new: the servo.
        arm_hole_mm: shaft to the arm's hole.
        distance_mm: pivot to the arm's hole, the arm in line with the wire.
        stands_deg: how far the arm stands off that line at the servo's centre, + towards reverse.

    Raises:
        InputError: the drive has no pivot.
        NoDesign: the arm can't bring the pin so far.
    """
    if "pivot_to_horn_mm" not in type(before).model_fields:
        raise InputError(Fault("has no pivot that a servo could be fixed to by hand", ("mount",)))
    drive = before.model_copy(update={"horn_radius_mm": arm_hole_mm, "pivot_to_horn_mm": distance_mm})
    pin_mm = _pin_mm(drive)
    far = before.travel_mm / 2.0
    ends = [_angle_rad(pin_mm, side * far) for side in (-1.0, 1.0)]
    towards = 1.0 if arm_angle_deg(before.pulse_us.reverse, old) > 0 else -1.0
    angles = [towards * (math.degrees(end) - stands_deg) for end in ends]
    return _told(new, (angles[0], angles[1]), (-far, far), new.pulse_centre_us)


def _pin_mm(drive: Drive) -> Callable[[float], float]:
    """The unloaded pin by the arm's angle, as its kind has it.

    Raises:
        InputError: nothing is thrown.
    """
    pin_mm = kind_of(drive).pin_mm
    if pin_mm is None:
        raise InputError(Fault("throws no points; make it again with the new servo for its pulses", ("mount",)))
    return pin_mm(drive)


def _angle_rad(pin_mm: Callable[[float], float], target_mm: float) -> float:
    """The arm's angle that puts the pin there, by halving, up to where its travel turns back."""
    side, wanted = math.copysign(1.0, target_mm), abs(target_mm)
    reached, most = 0.0, 0.0
    for step in range(1, _STEPS + 1):
        angle = step * _FARTHEST_RAD / _STEPS
        try:
            pin = side * pin_mm(side * angle)
        except ValueError:  # beyond the angle at which it turns back
            break
        if pin <= most:
            break
        reached, most = angle, pin
        if most >= wanted:
            break
    if most < wanted:
        raise NoDesign(
            f"the arm brings the pin {number(most, 2)} mm from mid throw at most, {number(wanted, 2)} mm are needed: "
            "an outer arm hole, or nearer to the pivot"
        )
    low, high = 0.0, reached
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if side * pin_mm(side * middle) < wanted else (low, middle)
    return side * high


def _told(servo: Servo, angles: tuple[float, float], pins: tuple[float, float], centre_us: float) -> Repulsed:
    normal, reverse = (pulse_us(angle, servo) for angle in angles)
    room = min(servo.pulse_max_us - max(normal, reverse), min(normal, reverse) - servo.pulse_min_us)
    return Repulsed(
        servo=servo.name,
        pulse_us=PulseWidths(normal=normal, centre=centre_us, reverse=reverse),
        arm_deg=angles,
        pin_mm=pins,
        swing_deg=max(abs(angle) for angle in angles),
        room_us=room,
    )
