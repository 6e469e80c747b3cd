"""A straight wire that rocks in a pivot under the board: the arm moves one end, the other moves the tie bar."""

from __future__ import annotations

from mounts.drive.kinds import Kind, deferred
from mounts.drive.rocking_wire.model import RockingWireDrive, RockingWireLimits


def _arm_towards_pivot(drive: RockingWireDrive) -> bool:
    return drive.horn_towards_pivot


def _board_hole_mm(drive: RockingWireDrive) -> float:
    return drive.board_hole_mm


KIND = Kind(
    limits=RockingWireLimits,
    drive=RockingWireDrive,
    examined=deferred("mounts.drive.rocking_wire.solve:examined"),
    study=deferred("mounts.drive.rocking_wire.study:study"),
    pin_mm=deferred("mounts.drive.rocking_wire.study:pin_mm"),
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
