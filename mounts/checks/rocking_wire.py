"""Checks of a rocking wire's own: stress at pivot and arm, lean in its pivot, and the domain of its theory."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from mounts.checks.clearance import WIRE_AIR_MM
from mounts.checks.kinds import Beside, Judging
from mounts.checks.mechanics import motion, servo_holds, stress
from mounts.checks.model import Check
from mounts.design import Design
from mounts.drive.kinds import driven
from mounts.drive.rocking_wire.closing import Closing, Linkage, closing, free_rate_mm_per_rad
from mounts.drive.rocking_wire.judge import arm_stress_mpa, bending_ratio
from mounts.drive.rocking_wire.kinematics import turning_back_rad
from mounts.drive.rocking_wire.model import RockingWireDrive, RockingWireLimits
from mounts.drive.rocking_wire.shifts import turning_room_rad
from mounts.drive.rocking_wire.study import linkage
from mounts.drive.rules import TURNING_BACK
from mounts.drive.spread import Spread
from mounts.drive.spring import SMALL_DEFLECTION
from mounts.drive.tolerances import siting_mm
from mounts.inputs.spec import MountSpec


def _mechanics(design: Design, spread: Spread, limits: RockingWireLimits) -> Iterator[Check]:
    spec, drive = design.spec, driven(design.drive, RockingWireDrive)
    link = linkage(spec, limits, drive)
    closed = closing(link)
    yield from motion(spec, drive, closed, spread)
    yield from _stresses(spec, drive, link, closed)
    yield from servo_holds(spec, drive, closed, (float(free_rate_mm_per_rad(link)),))
    yield from _linkage(spec, drive, link, closed, limits)


def _stresses(spec: MountSpec, drive: RockingWireDrive, link: Linkage, closed: Closing) -> Iterable[Check]:
    place = "arm" if drive.wire_held == "turning" else "inside of the Z-bend in the arm"
    yield stress(spec, drive, "stress-at-pivot", "pivot", float(closed.stress_pivot_mpa))
    yield stress(spec, drive, "stress-at-horn", place, float(arm_stress_mpa(closed, link)))


def _linkage(
    spec: MountSpec, drive: RockingWireDrive, link: Linkage, closed: Closing, limits: RockingWireLimits
) -> Iterable[Check]:
    lean = math.degrees(float(closed.lean_rad))
    free = math.degrees(math.atan2(limits.pivot_slack_mm, drive.pivot_land_mm))
    yield Check.told(
        "lean-in-pivot",
        lean,
        "at most",
        free,
        "°",
        "the wire leans {value}° in its pivot at full swing",
        "it binds; a shorter land, more slack, or a deeper pivot",
        places=1,
    )
    turning = math.degrees(
        float(turning_back_rad(drive.horn_radius_mm, drive.pivot_to_horn_mm, drive.horn_towards_pivot))
    )
    yield Check.told(
        *TURNING_BACK.row(math.degrees(float(turning_room_rad(link, siting_mm(spec))))),
        f"the travel turns back at {turning:.1f}°, {{value}}° beyond an end trimmed by {siting_mm(spec):g} mm",
        "less swing or a deeper pivot",
        places=1,
    )
    turns = "" if drive.wire_held == "turning" else ", its turn in the arm included"
    yield Check.told(
        "small-deflection",
        float(bending_ratio(link, closed)),
        "at most",
        SMALL_DEFLECTION,
        "",
        f"the wire leans or moves sideways by {{value}} of its length{turns}",
        "force and stress are estimates here; a deeper pivot, less swing or a smaller throw",
        otherwise="warn",
    )


def _board(design: Design) -> Beside:
    drive, apart_mm = driven(design.drive, RockingWireDrive), siting_mm(design.spec)
    return Beside(
        air_mm=WIRE_AIR_MM + apart_mm,
        passes=f"the {drive.board_hole_mm:g} mm hole in the board",
        meets=f"the wire may meet the side of its hole, {apart_mm:g} mm being what hole and wire may be apart; drill "
        "it larger",
    )


def _pin_n(drive: RockingWireDrive, pull_n: float) -> float:
    """By its lever, and no more than bends the wire for good over the pivot: σ·d³/6 on its overhang.

    Source: plastic section modulus of a round bar, d³/6, any handbook; σ is at most the tensile strength.
    """
    bent = drive.wire_tensile_mpa * drive.wire_mm**3 / 6 / drive.pivot_to_pin_mm
    return min(pull_n * drive.pivot_to_horn_mm / drive.pivot_to_pin_mm, bent)


def _lever(drive: RockingWireDrive) -> float:
    return drive.lever


JUDGING = Judging(
    mechanics=_mechanics,
    board=_board,
    passes="pivot",
    passes_cure="a thinner --wire",
    raising="raise --depth",
    pin_n=_pin_n,
    lever=_lever,
)
