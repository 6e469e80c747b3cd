"""Figures of finding the spot, drilling and locating that steps and hardware share."""

from __future__ import annotations

import math

from mounts.drive.rocking_wire.model import RockingWireDrive
from mounts.inputs.spec import MountSpec

PILOT_MM = 1.0  # finds the spot from above and leaves no trace; common practice, no source
_THROUGH_MM = 3.0  # tie bar above its middle, and the tip through the board
_SHORT_MM = 1.0  # of roadbed left under the sleepers
_ABOVE_MM, _BELOW_MM = 40.0, 30.0  # locator above the tie bar, to be sighted, and below the pivot, to be held
_IN_TWO_MM = 5.0  # a wider hole is drilled in two goes; common practice, no source


def strip_mm(spec: MountSpec) -> float:
    """Thickness of the strips that block the blades: at mid throw each is half the throw from its rail."""
    return spec.throw_mm / 2


def fine_drill_mm(spec: MountSpec) -> float:
    """The pilot's drill: it goes through the tie bar's hole."""
    return min(PILOT_MM, spec.tie_bar_hole_mm)


def pilot_reach_mm(spec: MountSpec) -> float:
    """Tip of the fine drill to its depth stop on the tie bar, whole mm."""
    return float(math.ceil(spec.board.thickness_mm - spec.pad_mm + spec.pin_height_mm + _THROUGH_MM))


def first_drill_mm(drive: RockingWireDrive) -> float | None:
    """A drill half as wide as the hole, that the large one follows; None where the hole is small."""
    return math.floor(drive.board_hole_mm) / 2 if drive.board_hole_mm >= _IN_TWO_MM else None


def opening_mm(spec: MountSpec) -> float:
    """Depth from below, at the drill's tip, that stays short of the sleepers, down to half millimetres."""
    under = spec.board.thickness_mm - spec.board.under_mm + spec.roadbed.thickness_mm
    return math.floor((under - _SHORT_MM) * 2) / 2


def locator_mm(drive: RockingWireDrive) -> float:
    """A straight wire through tie bar and pivot that is sighted above and held below, up to 5 mm."""
    return math.ceil((drive.pivot_to_pin_mm + _ABOVE_MM + _BELOW_MM) / 5) * 5.0
