"""Does a screwdriver reach every screw, and the arm its shaft?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from mounts import scene
from mounts.checks.clearance import TOUCH_MM3
from mounts.checks.kinds import judging
from mounts.checks.model import Check
from mounts.design import Design
from mounts.frames import Array
from mounts.styles import cure

if TYPE_CHECKING:
    from manifold3d import Manifold

DRIVER_MM = 5.0  # shank of a cross-point screwdriver for the fixings; common practice, no source
SMALL_DRIVER_MM = 3.0  # the same for the servo's own screws and the arm's
DRIVER_REACH_MM = 60.0  # blade length that must be free before the handle; common practice, no source


def free(name: str, in_the_way: float, good: str, bad: str) -> Check:
    """A row that passes where nothing is in the way.

    Args:
        name: of the row.
        in_the_way: mm³.
        good: what it says where it passes.
        bad: what it says otherwise.
    """
    return Check.of(name, in_the_way, "at most", TOUCH_MM3, "mm³", good, bad)


def _driver(head: Array, out: Array, shank_mm: float) -> Manifold:
    return scene.rod(head + out * 0.3, head + out * DRIVER_REACH_MM, shank_mm / 2)


def _fixing_drivers(design: Design) -> Manifold:
    return scene.union(
        _driver(np.array(screw.head), -np.array(screw.direction), DRIVER_MM) for screw in design.plan.screws
    )


def _servo_drivers(design: Design) -> Manifold:
    into = scene.into_seat(design)
    return scene.union(_driver(seat - into * 0.5, -into, SMALL_DRIVER_MM) for seat in scene.servo_screw_heads(design))


def _arm_driver(design: Design) -> Manifold:
    origin, axis = scene.shaft_axis(design)
    proud = design.spec.servo.horn_plane_height_mm + design.spec.servo.horn_screw_proud_mm
    return _driver(origin + axis * proud, axis, SMALL_DRIVER_MM)


def drivers(design: Design) -> tuple[Manifold, ...]:
    """The ways of screwdrivers to fixing screws, to the servo's own and to the arm's, mount frame."""
    return _fixing_drivers(design), _servo_drivers(design), _arm_driver(design)


def check_drivers(design: Design, mount: Manifold) -> Iterator[Check]:
    """``driver-fixing``, ``driver-servo``, ``arm-on`` and ``driver-horn``; see ``check_assembly``.

    Args:
        design: the mount.
        mount: what of it is there while screws are driven, mount frame.
    """
    fixing = _fixing_drivers(design)
    yield free(
        "driver-fixing",
        (mount ^ fixing).volume(),
        "a screwdriver reaches every fixing screw before the servo goes in",
        "a screwdriver can't reach a fixing screw; use "
        + cure(design.spec.style, "driver-fixing", "a smaller --servo or another --screw"),
    )
    around, where = mount + scene.board_body(design, mount), "with the mount in place"
    if design.plan.drop_in:
        around, where = mount, "at the bench"
    _, axis = scene.shaft_axis(design)
    servo = _servo_drivers(design)
    case = scene.moved(scene.servo_pieces(design.spec.servo)["case"], design.datums.servo)
    raising = judging(design).raising
    yield free(
        "driver-servo",
        ((around + case) ^ servo).volume(),
        f"a screwdriver reaches the servo's screws {where}",
        f"a screwdriver can't reach the servo's screws {where}; {raising}",
    )
    if design.plan.arm_in_deg is not None:
        return  # the arm is screwed on before the servo goes in: "way-in" takes it along
    arm = [scene.arm_blade(design, 0.0), scene.hub_body(design)]
    yield free(
        "arm-on",
        (around ^ scene.swept(arm, axis * design.spec.servo.arm_slide_mm)).volume(),
        "the arm can be pushed on along the shaft",
        "the arm can't be pushed on: it meets mount or board on the last millimetres; cut it off behind its hole",
    )
    yield free(
        "driver-horn",
        (around ^ _arm_driver(design)).volume(),
        f"a screwdriver reaches the arm's screw {where}",
        f"a screwdriver can't reach the arm's screw {where}; {raising}",
    )
