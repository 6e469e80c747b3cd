"""A push rod on the board with a spring loop bent into it, from the arm straight to the tie bar."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from mounts.drive.kinds import Kind
from mounts.drive.push_rod.model import PushRodDrive, PushRodLimits
from mounts.inputs.spec import MountSpec

if TYPE_CHECKING:
    from mounts.drive.choices import Axes
    from mounts.drive.ranking import Examined
    from mounts.drive.tolerances import Study


# an input error asks the kinds what they have no use for, and needs no arithmetic for that
def _examined(spec: MountSpec, limits: PushRodLimits, axes: Axes) -> Examined:
    from mounts.drive.push_rod.solve import examined

    return examined(spec, limits, axes)


def _study(spec: MountSpec, limits: PushRodLimits, drive: PushRodDrive) -> Study:
    from mounts.drive.push_rod.study import study

    return study(spec, limits, drive)


def _pin_mm(drive: PushRodDrive) -> Callable[[float], float]:
    from mounts.drive.push_rod.study import pin_mm

    return pin_mm(drive)

KIND = Kind(
    limits=PushRodLimits,
    drive=PushRodDrive,
    examined=_examined,
    study=_study,
    pin_mm=_pin_mm,
    unused=("a push rod has no pivot and turns in its arm hole", ("depth", "held")),
    parts={
        "scene": "mounts.scene_push_rod:WIRING",
        "checks": "mounts.checks.push_rod:JUDGING",
        "export": "mounts.export.push_rod:DRAWING",
        "report": "mounts.report.push_rod:TELLING",
    },
)
