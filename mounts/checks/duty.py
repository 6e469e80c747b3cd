"""What a part has to bear where: walls under load, and the servo's screws in their bosses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts import scene
from mounts.checks.facets import Floats
from mounts.design import Design
from mounts.frames import apply, inverse
from mounts.mesh import PartMesh
from mounts.styles._pilots import BOSS_DIAMETERS, CORE

BOSS_ZONE_DIAMETERS = 1.25
"""A wall whose middle is nearer to a screw's axis is what is left of its boss, at most 2.5 d wide (standards, 7)."""


@dataclass(frozen=True)
class Duty:
    """Print frame, mm.

    Attributes:
        wall_mm: walls thinner than this are too weak for what they carry; 0: they carry nothing.
        axes: (k, 2, 3) of the servo's screws: a point and a unit direction.
        screw_mm: their thread.
        drilled: their holes are drilled through after printing, so that they may print rough.
    """

    wall_mm: float
    axes: Floats
    screw_mm: float
    drilled: bool

    def off_axes_mm(self, points: Floats) -> Floats:
        """Distance of points (n, 3) from the nearest screw's axis; infinite without screws."""
        if not len(self.axes):
            return np.full(len(points), np.inf)
        from_foot = points[:, None] - self.axes[None, :, 0]
        return np.asarray(np.linalg.norm(np.cross(from_foot, self.axes[None, :, 1]), axis=2).min(axis=1))

    def in_boss(self, points: Floats) -> NDArray[np.bool_]:
        """Which points (n, 3) lie in what is left of a boss."""
        return np.asarray(self.off_axes_mm(points) < BOSS_ZONE_DIAMETERS * self.screw_mm)

    @property
    def boss_wall_mm(self) -> float:
        """Beside a core of 0.8 d, what a boss of 2.0 d leaves (standards, 7)."""
        return (BOSS_DIAMETERS - CORE[0]) / 2 * self.screw_mm


NO_DUTY = Duty(0.0, np.zeros((0, 2, 3)), 0.0, drilled=False)
"""Scenery: it carries itself."""


def duty_of(design: Design, mesh: PartMesh) -> Duty:
    """What a part of a design has to bear; a part that is lifted off carries nothing."""
    if mesh.name in design.plan.lift_off:
        return NO_DUTY
    into, to_print = scene.into_seat(design), inverse(mesh.print_to_mount)
    feet = np.array(scene.servo_screw_heads(design))
    ends = apply(to_print, feet + into)
    feet = apply(to_print, feet)
    return Duty(
        wall_mm=design.plan.load_wall_mm,
        axes=np.stack([feet, ends - feet], axis=1),
        screw_mm=design.spec.servo.screw_mm,
        drilled=design.plan.pilot_drill_mm is not None,
    )
