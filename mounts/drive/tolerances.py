"""What may be off in board, wire, print, servo and siting, and a linkage shifted by it, as set or trimmed."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.drive.closing import Linkage, free_pin_mm, free_rate_mm_per_rad, lost_motion_mm, past_touch_rad, turned
from mounts.drive.push_rod import rod_rate_mm_per_rad
from mounts.drive.rocking_wire import turning_back_rad
from mounts.drive.rod_closing import Rod, ends_mm
from mounts.inputs.servo import Servo
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]
Off = float | Array

SITING_LAID_MM, SITING_DRILLED_MM = 1.0, 0.5

ROADBED_SHARE = 0.05
"""± of a roadbed's thickness, glue included: HO cork was measured 4.9 to 5.2 mm, ± 3 %; the rest common practice."""

PIN_SHARE = 0.2
"""± of the pin's height above the roadbed, for the wire bears anywhere in the tie bar. Common practice, no source."""

TIE_BAR_HOLE_MM = 0.1
"""± of the hole in the tie bar. Common practice, no source."""

TOUCH_MM = 0.1
"""± to which the eye, or a strip of thin paper, sees that a blade touches. Common practice, no source."""

HAND_BENT_MM = 0.3
"""± of a leg or crown bent by hand round a former. Common practice, no source."""

_LEAST_RATE_MM = 1e-3
"""Per rad; a rod at its dead point moves nothing, and is refused for that."""

_WIRE_STEPS = ((0.37, 0.006), (0.65, 0.008), (0.80, 0.010), (1.01, 0.015), (1.78, 0.020), (math.inf, 0.025))


def siting_mm(spec: MountSpec) -> float:
    """± by which pivot, hole in the board and tie bar stand off each other across the track, mm.

    1.0 under track that is laid, where the spot is found from above; 0.5 where all is drilled by one template.

    Source:
        Common practice, no source.
    """
    return SITING_LAID_MM if spec.laid else SITING_DRILLED_MM


def wire_tolerance_mm(wire_mm: ArrayLike) -> Array:
    """± of the diameter of drawn spring wire, mm.

    Source:
        EN 10270-1, table of permissible deviations: 0.65 mm and over 0.010, 0.80 and over 0.015, …; from memory.
    """
    below, off = np.array(_WIRE_STEPS).T
    return np.asarray(off[np.searchsorted(below, np.asarray(wire_mm) + 1e-9, side="right")])


@dataclass(frozen=True)
class Shifts:
    """How far each thing is off, signed: scalars or arrays that broadcast. mm, rad; ``gain`` is a share.

    ``siting_mm`` is of the end that is looked at: positive where the pin must go further to close it.
    """

    board_mm: Off = 0.0
    roadbed_mm: Off = 0.0
    pin_mm: Off = 0.0
    shaft_mm: Off = 0.0  # pivot to shaft: print and case
    radius_mm: Off = 0.0  # shaft to arm hole, as measured
    wire_mm: Off = 0.0
    leg_mm: Off = 0.0  # of a push rod's loop
    crown_mm: Off = 0.0  # its radius, and half the gap of the feet
    bore_mm: Off = 0.0  # pivot as printed
    hole_mm: Off = 0.0  # in the tie bar
    siting_mm: Off = 0.0
    tooth_rad: Off = 0.0  # arm on its spline
    gain: Off = 0.0  # degrees per µs, as a share of it
    dead_rad: Off = 0.0  # the dead band, as arm angle
    touch_mm: Off = 0.0  # where the blade is seen to touch


NAMES = tuple(f.name for f in fields(Shifts))

WIRE_SHIFTS = frozenset(NAMES) - {"leg_mm", "crown_mm"}
ROD_SHIFTS = frozenset(NAMES) - {"board_mm", "roadbed_mm", "pin_mm", "shaft_mm", "bore_mm"}
"""What counts for either kind of drive. A push rod's length is set with its siting."""

TRIMMED_AWAY = frozenset({"bore_mm", "hole_mm", "tooth_rad", "gain", "siting_mm"})
"""What trimming the end pulses on the layout takes out of the worst case.

Of the siting error something stays: an end that stands further round presses some per cent less, the other more (12
to 15 % in N at 0.5 mm). The Monte Carlo draws it with all else; it is not put on top of a corner where everything
else is at its worst already.
"""

TRIMMED_FROM_THE_CENTRE = frozenset({"tooth_rad"})
"""What does not bend the wire on the way: the steps come to each end from the centre, where the arm was put on."""

TOGETHER = (
    ("board_mm", "roadbed_mm", "pin_mm"), ("bore_mm", "hole_mm"), ("tooth_rad", "gain", "dead_rad", "touch_mm"),
)  # fmt: skip
"""Things that act alike, so that the worst of all is at the worst of each."""


def tolerances(spec: MountSpec, wire_mm: ArrayLike) -> tuple[Shifts, Shifts]:
    """The least and the largest of every shift, for a wire of that diameter.

    Board over and under, printer accuracy, servo tolerance, dead band and spread of the gain are those of the
    profiles; half a spline tooth, ± of the siting and the rest stand in this module.
    """
    servo, accuracy_mm = spec.servo, spec.printer.accuracy_mm
    most = Shifts(
        board_mm=spec.board.over_mm,
        roadbed_mm=ROADBED_SHARE * spec.roadbed.thickness_mm,
        pin_mm=PIN_SHARE * max(spec.pin_height_mm - spec.roadbed.thickness_mm, 0.0),
        shaft_mm=accuracy_mm + servo.tolerance_mm / 2.0,  # a case too wide shifts the shaft by half of it
        radius_mm=servo.tolerance_mm,
        wire_mm=wire_tolerance_mm(wire_mm),
        leg_mm=HAND_BENT_MM,
        crown_mm=HAND_BENT_MM,
        bore_mm=accuracy_mm,
        hole_mm=TIE_BAR_HOLE_MM,
        siting_mm=siting_mm(spec),
        tooth_rad=math.pi / servo.spline_teeth,
        gain=gain_share(servo),
        # an arm rests within half a dead band of where it is sent
        dead_rad=math.radians(servo.dead_band_us * servo.degrees_per_us) / 2.0,
        touch_mm=TOUCH_MM,
    )
    least = Shifts(**{name: -getattr(most, name) for name in NAMES})
    return replace(least, board_mm=-spec.board.under_mm), most


def gain_share(servo: Servo) -> float:
    """± of the servo's gain as a share of it; 0 once it is calibrated."""
    return servo.degrees_per_us_spread / servo.degrees_per_us


def signed(least: Shifts, most: Shifts, signs: dict[str, float], *, otherwise: float = 0.0) -> Shifts:
    """The shifts at the ends that the signs name, −1 to 1; those without a sign at ``otherwise``."""

    def end(name: str) -> Any:
        sign = signs.get(name, otherwise)
        return abs(sign) * np.asarray(getattr(most if sign > 0 else least, name))

    return Shifts(**{name: end(name) for name in NAMES})


def shifted(link: Linkage, shifts: Shifts) -> Linkage:
    """The linkage as it comes out with the pulses of the report, before anything is trimmed.

    The mount fixes the distance from pivot to shaft, D = d + s·r, so a longer arm shortens d (arm towards
    the pivot). A hole never gets tighter than the wire. A siting error takes as much off one end as it adds
    to the other: the pin of the end looked at stops at throw/2 and the error.
    """
    sign, wire = np.where(link.horn_towards_pivot, 1.0, -1.0), np.asarray(shifts.wire_mm)
    theta = np.asarray(link.theta_rad) * (1.0 + np.asarray(shifts.gain))
    return replace(
        link,
        theta_rad=theta + shifts.tooth_rad + shifts.dead_rad,
        throw_mm=np.asarray(link.throw_mm) + 2.0 * np.asarray(shifts.siting_mm),
        horn_radius_mm=np.asarray(link.horn_radius_mm) + shifts.radius_mm,
        pivot_to_horn_mm=np.asarray(link.pivot_to_horn_mm) + shifts.shaft_mm - sign * np.asarray(shifts.radius_mm),
        pivot_to_pin_mm=np.asarray(link.pivot_to_pin_mm) + shifts.board_mm + shifts.roadbed_mm + shifts.pin_mm,
        wire_mm=np.asarray(link.wire_mm) + wire,
        pivot_slack_mm=np.maximum(np.asarray(link.pivot_slack_mm) + shifts.bore_mm - wire, 0.0),
        arm_slack_mm=np.maximum(np.asarray(link.arm_slack_mm) - wire, 0.0),
        pin_slack_mm=np.maximum(np.asarray(link.pin_slack_mm) + shifts.hole_mm - wire, 0.0),
    )


def trimmed(link: Linkage, shifts: Shifts) -> Linkage:
    """The linkage as it comes out, its end pulse moved until the blade touches and then as far on as meant.

    The touch finds half the throw, the siting error, the tooth and all slack; the way between the touches of both
    ends shows the gain (``mounts.drive.trim``, ``past_share``). The rest of the way is an arm angle, Δθ of the nominal
    linkage, and the pin follows at the rate that the linkage has there. What the eye misreads, and what the dead band
    scatters, is added to it. A trimmed end stands siting/rate further round than the nominal one. The throw that is
    returned leaves just that over-travel.

    Domain:
        The pin's rate is taken in the middle of Δθ, which errs by the third power of it: less than 2 % of the
        over-travel; tests/drive/test_tolerances.py turns the arm until the blade touches instead. NaN where the
        travel turns back before that (the limit and the check ``turning-back``).
    """
    past = past_touch_rad(link)
    siting = np.asarray(shifts.siting_mm) / free_rate_mm_per_rad(link)
    out = shifted(link, replace(shifts, tooth_rad=0.0, gain=0.0, dead_rad=0.0))
    out = turned(out, np.asarray(link.theta_rad) + siting)
    half_way = free_rate_mm_per_rad(turned(out, np.asarray(out.theta_rad) - past / 2.0))
    left = half_way * (past + shifts.dead_rad) + shifts.touch_mm
    return replace(out, throw_mm=2.0 * (free_pin_mm(out) - left) - lost_motion_mm(out))


def turning_room_rad(link: Linkage, siting_mm: float) -> Array:
    """Between where the travel turns back and an end that was trimmed by a siting error, rad."""
    turning = turning_back_rad(link.horn_radius_mm, link.pivot_to_horn_mm, link.horn_towards_pivot)
    return np.asarray(turning - np.asarray(link.theta_rad) - siting_mm / free_rate_mm_per_rad(link))


def worst_rod(box: tuple[Shifts, Shifts], side: float, *, without: frozenset[str] = frozenset()) -> Shifts:
    """Everything off so that the blades are pressed most (+1) or least (−1): a stiffer, narrower loop, a longer way.

    Args:
        box: ``tolerances``.
        side: +1 or −1.
        without: what is not off, such as ``TRIMMED_AWAY``.
    """
    against = dict.fromkeys(("leg_mm", "crown_mm", "siting_mm", "hole_mm"), -side)
    return signed(*box, {**against, **dict.fromkeys(without, 0.0)}, otherwise=side)


def shifted_rod(rod: Rod, shifts: Shifts) -> Rod:
    """The push rod as it comes out with the pulses of the report, before anything is trimmed."""
    wire = np.asarray(shifts.wire_mm)
    theta = np.asarray(rod.theta_rad) * (1.0 + np.asarray(shifts.gain))
    return replace(
        rod,
        theta_rad=theta + shifts.tooth_rad + shifts.dead_rad,
        throw_mm=np.asarray(rod.throw_mm) + 2.0 * np.asarray(shifts.siting_mm),
        horn_radius_mm=np.asarray(rod.horn_radius_mm) + shifts.radius_mm,
        leg_mm=np.maximum(np.asarray(rod.leg_mm) + shifts.leg_mm, 0.0),
        loop_radius_mm=np.asarray(rod.loop_radius_mm) + shifts.crown_mm,
        half_gap_mm=np.asarray(rod.half_gap_mm) + shifts.crown_mm,
        wire_mm=np.asarray(rod.wire_mm) + wire,
        arm_slack_mm=np.maximum(np.asarray(rod.arm_slack_mm) - wire, 0.0),
        pin_slack_mm=np.maximum(np.asarray(rod.pin_slack_mm) + shifts.hole_mm - wire, 0.0),
    )


def trimmed_rod(rod: Rod, shifts: Shifts) -> Rod:
    """The push rod as it comes out, its end pulses trimmed as in ``trimmed``."""
    near, far = ends_mm(rod)
    lost = np.asarray(rod.arm_slack_mm) + np.asarray(rod.pin_slack_mm)
    end = np.maximum(_rod_rate(rod), _LEAST_RATE_MM)
    left = (far - near - np.asarray(rod.throw_mm) - lost) / 2.0
    past = left / np.maximum(
        _rod_rate(replace(rod, theta_rad=np.asarray(rod.theta_rad) - left / end / 2.0)), _LEAST_RATE_MM
    )
    siting = np.asarray(shifts.siting_mm) / end
    out = shifted_rod(rod, replace(shifts, tooth_rad=0.0, gain=0.0, dead_rad=0.0))
    out = replace(out, theta_rad=np.asarray(rod.theta_rad) + siting)
    half_way = _rod_rate(replace(out, theta_rad=np.asarray(out.theta_rad) - past / 2.0))
    further = half_way * (past + shifts.dead_rad) + shifts.touch_mm
    near, far = ends_mm(out)
    lost = np.asarray(out.arm_slack_mm) + np.asarray(out.pin_slack_mm)
    return replace(out, throw_mm=far - near - lost - 2.0 * further)


def _rod_rate(rod: Rod) -> Array:
    """Way of the pin over that of the arm at full swing, the mean of both ends, mm per rad."""
    theta = np.asarray(rod.theta_rad, dtype=np.float64)
    rates = [rod_rate_mm_per_rad(angle, **rod.linkage()) for angle in (-theta, theta)]
    return np.asarray(np.abs(rates[0] + rates[1]) / 2.0)
