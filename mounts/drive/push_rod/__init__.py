"""A push rod on the board with a spring loop bent into it, from the arm straight to the tie bar."""

from __future__ import annotations

from mounts.drive.kinds import Kind, deferred
from mounts.drive.push_rod.model import PushRodDrive, PushRodLimits

KIND = Kind(
    limits=PushRodLimits,
    drive=PushRodDrive,
    examined=deferred("mounts.drive.push_rod.solve:examined"),
    study=deferred("mounts.drive.push_rod.study:study"),
    pin_mm=deferred("mounts.drive.push_rod.study:pin_mm"),
    unused=("a push rod has no pivot and turns in its arm hole", ("depth", "held")),
    parts={
        "scene": "mounts.scene_push_rod:WIRING",
        "checks": "mounts.checks.push_rod:JUDGING",
        "export": "mounts.export.push_rod:DRAWING",
        "report": "mounts.report.push_rod:TELLING",
    },
)
