"""A straight wire that rocks in a pivot under the board: the arm moves one end, the other moves the tie bar."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from mounts.drive.kinds import Kind
from mounts.drive.rocking_wire.model import RockingWireDrive, RockingWireLimits
from mounts.inputs.spec import MountSpec

if TYPE_CHECKING:
    from mounts.drive.choices import Axes
    from mounts.drive.ranking import Examined
    from mounts.drive.tolerances import Study


# an input error asks the kinds what they have no use for, and needs no arithmetic for that
def _examined(spec: MountSpec, limits: RockingWireLimits, axes: Axes) -> Examined:
    from mounts.drive.rocking_wire.solve import examined

    return examined(spec, limits, axes)


def _study(spec: MountSpec, limits: RockingWireLimits, drive: RockingWireDrive) -> Study:
    from mounts.drive.rocking_wire.study import study

    return study(spec, limits, drive)


def _pin_mm(drive: RockingWireDrive) -> Callable[[float], float]:
    from mounts.drive.rocking_wire.study import pin_mm

    return pin_mm(drive)


def _arm_towards_pivot(drive: RockingWireDrive) -> bool:
    return drive.horn_towards_pivot


def _board_hole_mm(drive: RockingWireDrive) -> float:
    return drive.board_hole_mm


KIND = Kind(
    limits=RockingWireLimits,
    drive=RockingWireDrive,
    examined=_examined,
    study=_study,
    pin_mm=_pin_mm,
    turns_round=True,
    aims_at_overtravel=True,
    arm_towards_pivot=_arm_towards_pivot,
    board_hole_mm=_board_hole_mm,
    unused=(
        "it hangs under the board, track and ground are on top",
        ("track_distance", "track_radius", "other_track", "ground"),
    ),
    parts={
        "scene": "mounts.scene_rocking_wire:WIRING",
        "checks": "mounts.checks.rocking_wire:JUDGING",
        "export": "mounts.export.rocking_wire:DRAWING",
        "report": "mounts.report.rocking_wire:TELLING",
    },
)
