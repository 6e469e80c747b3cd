"""Which mounts are tried before the rest is printed: one of each kind."""

from __future__ import annotations

import math
from collections.abc import Iterable

from mounts.inputs.spec import MountSpec
from mounts.report.layout import GOOD, MountRow
from mounts.report.model import Report

Kind = tuple[object, ...]


def tried_first(mounts: Iterable[tuple[MountRow, MountSpec, Report]]) -> dict[str, str]:
    """For each mount the one that is tried for it, by their ids; of a kind the one that prints soonest.

    Empty where no mount would be left for later: then nothing is gained by trying.

    Args:
        mounts: in any order; failed ones are left out.
    """
    kinds: dict[Kind, list[MountRow]] = {}
    for row, spec, report in mounts:
        if row.verdict in GOOD:
            kinds.setdefault(_kind(spec, report), []).append(row)
    if all(len(rows) == 1 and rows[0].copies == 1 for rows in kinds.values()):
        return {}
    return {row.id: min(rows, key=_soonest).id for rows in kinds.values() for row in rows}


def _kind(spec: MountSpec, report: Report) -> Kind:
    """What two mounts have alike of which one fits as the other does, mirrored or not.

    What is held and what holds it: style and options, servo and how it lies, board, wire, screw, printer and filament.
    Arm hole, pulses and depth follow from the throw and are no matter of fit.
    """
    return (
        spec.style, tuple(sorted(spec.options.items())), spec.servo.name, report.housing and report.housing.pose,
        spec.board.name, spec.board.thickness_mm, spec.wire.name, report.drive.wire_mm, report.mount.fixing,
        spec.printer.name, spec.filament.name,
    )  # fmt: skip


def _soonest(row: MountRow) -> tuple[float, str]:
    """By minutes, then by name: the order of the layout is no matter."""
    return math.inf if row.print_minutes is None else round(row.print_minutes), row.id
