"""A rod that the arm lifts straight up through the board: it works a sliding wire, or the crank of a signal or boom."""

from __future__ import annotations

from mounts.drive.kinds import Kind, deferred
from mounts.drive.lift.model import LiftDrive, LiftLimits


def _board_hole_mm(drive: LiftDrive) -> float | None:
    return drive.board_hole_mm


def _wires_y(drive: LiftDrive) -> tuple[float, ...]:
    return (0.0,) if drive.second is None else (0.0, drive.second.y_mm)


KIND = Kind(
    limits=LiftLimits,
    drive=LiftDrive,
    examined=deferred("mounts.drive.lift.solve:examined"),
    places=deferred("mounts.drive.lift.study:places"),
    other_asked=deferred("mounts.drive.lift.asked:other_asked"),
    as_taken=deferred("mounts.drive.lift.asked:as_taken"),
    moves_along=2,
    board_hole_mm=_board_hole_mm,
    wires_y=_wires_y,
    own_options=("travel", "moves", "crank", "crank_pivot", "positions"),
    unused=(
        "it moves a signal or a boom, not points, and stands where no track is",
        (
            "roadbed", "throw", "force", "overtravel", "tie_bar_hole", "own_spring", "laid", "depth", "held", "ground",
            "track_distance", "track_radius", "other_track",
        ),
    ),
    parts={
        "scene": "mounts.scene_lift:WIRING",
        "checks": "mounts.checks.lift:JUDGING",
        "export": "mounts.export.lift:DRAWING",
        "report": "mounts.report.lift:TELLING",
    },
)  # fmt: skip
