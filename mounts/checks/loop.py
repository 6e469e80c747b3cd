"""The push rod's loop as it is bent: its legs stay apart, and the theory that chose it holds."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.checks.model import Check
from mounts.drive.push_rod.closed import held, off_theory, path_of
from mounts.drive.push_rod.model import PushRodDrive
from mounts.drive.push_rod.path import leg_gap_mm
from mounts.drive.push_rod.rules import LOOP_FORMULA, LOOP_GIVE, LOOP_OPEN, LOOP_STEP
from mounts.drive.push_rod.shifts import trimmed_rod, worst_rod
from mounts.drive.push_rod.study import push_rod
from mounts.drive.tolerances import TRIMMED_AWAY, tolerances
from mounts.inputs.spec import MountSpec


def check_loop(spec: MountSpec, drive: PushRodDrive) -> Iterator[Check]:
    """The exact line of the bent wire against what second-order theory chose.

    Yields:
        ``loop-open`` least clear distance between the legs, up to where the crown is widest, where the rod pushes and
        every tolerance closes the loop, the end pulses trimmed; feet and crown bent too narrow;
        ``loop-formula`` by how much the load of the theory is off the exact line's, the larger of both ends, %;
        ``loop-give`` shortening and ``loop-step`` sideways step of the loop, the larger at either end, % of its height:
        the theory's domain.
    """
    rod = push_rod(spec, drive)
    worst = trimmed_rod(rod, worst_rod(tolerances(spec, drive.wire_mm), 1.0, without=TRIMMED_AWAY))
    path = path_of(worst, drive.foot_radius_mm)
    left = leg_gap_mm(path, held(worst, path, 1)[0].line, drive.wire_mm)
    yield Check.of(
        *LOOP_OPEN.row(left),
        "left between the loop's legs where the rod pushes, with every tolerance against it",
        "the loop's legs meet where the rod pushes, and the spring is solid; less --overtravel, or a wider loop",
    )
    off = off_theory(rod, path_of(rod, drive.foot_radius_mm))
    cure = "the loop bends too far for its formula; more room for it, or less --overtravel"
    yield Check.of(
        *LOOP_FORMULA.row(off.load),
        "the load that chose the loop, off that of the wire as it bends",
        cure,
    )
    yield Check.of(
        *LOOP_GIVE.row(off.give),
        "of its height the loop gives with the points held closed",
        cure,
    )
    yield Check.of(
        *LOOP_STEP.row(off.step),
        "of its height the loop steps sideways",
        "the loop stands too far from either end of its rod; a smaller --track-distance",
    )
