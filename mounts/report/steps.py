"""How to put a mount up, in the order that works; each step that needs power begins by saying so."""

from __future__ import annotations

from mounts.design import Design
from mounts.drive.model import RockingWireDrive
from mounts.report.steps_beside import beside
from mounts.report.steps_under import under


def steps(design: Design) -> tuple[str, ...]:
    """Sentences to follow one after the other, with the numbers of this mount in them."""
    drive = design.drive
    if isinstance(drive, RockingWireDrive):
        return under(design, drive)
    return beside(design, drive)
