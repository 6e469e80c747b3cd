"""Checks of a push rod's own: stress at the loop's crown, lean, dead points, buckling, and the loop as it is bent."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from mounts.checks.clearance import WIRE_AIR_MM
from mounts.checks.kinds import Beside, Judging
from mounts.checks.loop import check_loop
from mounts.checks.mechanics import motion, servo_holds, stress
from mounts.checks.model import ENDLESS, Check
from mounts.design import Design
from mounts.drive.bends import curvature_factor
from mounts.drive.kinds import driven
from mounts.drive.push_rod.closed import RodClosed, path_of, rod_closed
from mounts.drive.push_rod.kinematics import dead_points_rad, rod_rate_mm_per_rad
from mounts.drive.push_rod.model import PushRodDrive, PushRodLimits
from mounts.drive.push_rod.rules import BUCKLING, leaning
from mounts.drive.push_rod.study import push_rod
from mounts.drive.rules import TURNING_BACK
from mounts.drive.spread import Spread
from mounts.inputs.spec import MountSpec


def _mechanics(design: Design, spread: Spread, limits: PushRodLimits) -> Iterator[Check]:
    spec, drive = design.spec, driven(design.drive, PushRodDrive)
    rod = push_rod(spec, drive)
    closed = rod_closed(rod, path_of(rod, drive.foot_radius_mm))
    yield from motion(spec, drive, closed, spread)
    yield from _crown(spec, drive, closed)
    yield from servo_holds(spec, drive, closed, _end_rates(drive))
    yield from _rod(drive, closed, limits)
    yield from check_loop(spec, drive)


def _crown(spec: MountSpec, drive: PushRodDrive, closed: RodClosed) -> Iterable[Check]:
    inside = float(closed.stress_mpa * curvature_factor(drive.loop_radius_mm, drive.wire_mm))
    yield stress(spec, drive, "stress-at-crown", "inside of the loop's crown", inside)


def _rod(drive: PushRodDrive, closed: RodClosed, limits: PushRodLimits) -> Iterable[Check]:
    lean = math.degrees(float(closed.lean_rad))
    yield Check.told(
        *leaning(limits).row(lean),
        "the rod leans {value}° against its way",
        "it rubs in its slot; a greater --track-distance, or a hole nearer the shaft",
        places=1,
    )
    inner, outer = dead_points_rad(
        horn_radius_mm=drive.horn_radius_mm, rod_length_mm=drive.rod_length_mm, offset_mm=drive.offset_mm
    )
    dead = math.degrees(min(-float(inner), float(outer)))
    yield Check.told(
        *TURNING_BACK.row(dead - drive.swing_deg),
        f"arm and rod lie in one line at {dead:.1f}°, {{value}}° beyond full swing",
        "less swing or a greater --track-distance",
        places=1,
    )
    yield Check.told(
        *BUCKLING.row(min(closed.folding_margin, ENDLESS)),
        "rod and loop fold up at {value} times the load that presses them",
        "a smaller --track-distance or a thicker wire",
        places=1,
    )


def _end_rates(drive: PushRodDrive) -> tuple[float, ...]:
    swing = math.radians(drive.swing_deg)
    linkage = {
        "horn_radius_mm": drive.horn_radius_mm,
        "rod_length_mm": drive.rod_length_mm,
        "offset_mm": drive.offset_mm,
    }
    return tuple(float(rod_rate_mm_per_rad(angle, **linkage)) for angle in (-swing, swing))


JUDGING = Judging(
    mechanics=_mechanics,
    board=lambda design: Beside(
        air_mm=WIRE_AIR_MM,
        passes="board and roadbed",
        meets="the rod drags on the board or the roadbed; raise --pin-height or let the servo down less",
    ),
    passes="slot",
    passes_cure="a farther --track-distance",
    raising="raise --pin-height",
)
