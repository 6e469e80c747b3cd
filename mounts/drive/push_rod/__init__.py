"""A push rod on the board with a spring loop bent into it, from the arm straight to the tie bar."""

from __future__ import annotations

from mounts.drive.kinds import Kind
from mounts.drive.push_rod.model import PushRodDrive, PushRodLimits
from mounts.drive.push_rod.solve import examined
from mounts.drive.push_rod.study import pin_mm, study

KIND = Kind(
    limits=PushRodLimits,
    drive=PushRodDrive,
    examined=examined,
    study=study,
    pin_mm=pin_mm,
    unused=("a push rod has no pivot and turns in its arm hole", ("depth", "held")),
    parts={
        "scene": "mounts.scene_push_rod:WIRING",
        "checks": "mounts.checks.push_rod:JUDGING",
        "export": "mounts.export.push_rod:DRAWING",
        "report": "mounts.report.push_rod:TELLING",
    },
)
