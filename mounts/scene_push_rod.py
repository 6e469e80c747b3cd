"""A push rod in space: the line that its wire takes from the arm to the tie bar."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from mounts import scene
from mounts.design import Design
from mounts.drive.bends import z_bend_mm
from mounts.drive.kinds import driven
from mounts.drive.push_rod.closed import held, path_of
from mounts.drive.push_rod.model import PushRodDrive
from mounts.drive.push_rod.study import push_rod
from mounts.frames import Array, Vector
from mounts.scene_kinds import Wiring
from mounts.scene_wire import rounded


def pin_y_mm(hole: Array, axis: Array, drive: PushRodDrive, pin_z: float) -> float:
    """Where the arm hole puts the pin, loop unloaded, mount frame: on x = 0 at the pin's height.

    The rod's length counts in the plane the arm turns in; a rod that also slopes out of that plane (a hanging
    servo let down) keeps its slope.

    Args:
        hole: (3,) the wire's centre at the arm hole.
        axis: (3,) unit vector along the shaft.
        drive: for the rod's length.
        pin_z: height of the pin.

    Source:
        Pythagoras; tests/styles/test_housing_frame.py compares with ``mounts.drive.push_rod.kinematics``.
    """
    across = np.array([hole[0], 0.0, hole[2] - pin_z])
    in_plane = across - axis * float(across @ axis)
    return float(hole[1] - math.sqrt(drive.rod_length_mm**2 - float(in_plane @ in_plane)))


def rod_line(
    hole: Array,
    axis: Array,
    towards_hub: Array,
    drive: PushRodDrive,
    *,
    pin_z: float,
    horn_thickness_mm: float,
    tail_mm: float,
    loop_towards: Sequence[float],
    leg_mm: float,
    line: Array | None = None,
    pin: Array | None = None,
) -> Array:
    """Centre line from the tail behind the arm to the leg in the tie bar, bends rounded, (n, 3), mm.

    Args:
        hole: (3,) the wire's centre where it comes out of the arm hole, mount frame.
        axis: (3,) unit vector along the shaft, out of the servo.
        towards_hub: (3,) unit vector arm hole → shaft.
        drive: the rod.
        pin_z: height of the pin.
        horn_thickness_mm: of the arm.
        tail_mm: of the Z-bend, behind the arm.
        loop_towards: (3,) the way the loop stands out; what of it is along the rod is left out.
        leg_mm: upwards into the tie bar.
        line: (n, 2) the rod's centre line in its plane, as it is bent; at rest where it is left out.
        pin: (3,) where its end is held; where the unloaded rod puts it if left out.
    """
    foot = drive.foot_radius_mm
    if pin is None:
        pin = np.array([0.0, pin_y_mm(hole, axis, drive, pin_z), pin_z])
    behind = hole - axis * float(
        z_bend_mm(horn_thickness_mm=horn_thickness_mm, wire_mm=drive.wire_mm, foot_radius_mm=foot)
    )
    along = (pin - hole) / np.linalg.norm(pin - hole)
    out = np.asarray(loop_towards, dtype=np.float64)
    out = out - along * float(out @ along)
    out = out / np.linalg.norm(out)
    flat = np.array(drive.rod_path_mm) if line is None else line
    rod = hole + flat[:, :1] * along + flat[:, 1:] * out
    # both corners take a radius off the rod, in which its own points are left out
    apart = [np.linalg.norm(rod - corner, axis=1) for corner in (hole, pin)]
    rod = rod[np.minimum(*apart) > 1.001 * foot]
    ends = rounded([behind + towards_hub * tail_mm, behind, hole, rod[0]], foot)[:-1]
    return np.concatenate([ends, rod, rounded([rod[-1], pin, pin + np.array([0.0, 0.0, leg_mm])], foot)[1:]])


def _path(design: Design, theta_rad: float) -> Array:
    """Tail, through the arm, loop, and the leg up into the tie bar, the loop unloaded, (n, 3), mm."""
    drive, plan = _rod(design), design.plan
    _, axis = scene.shaft_axis(design)
    return rod_line(
        scene.horn_hole(design, theta_rad) + axis * drive.wire_mm / 2,
        axis,
        -scene.arm_direction(design, theta_rad),
        drive,
        pin_z=design.datums.pin[2],
        horn_thickness_mm=design.spec.servo.horn_thickness_mm,
        tail_mm=plan.wire_tail_mm,
        loop_towards=_loop_towards(design),
        leg_mm=plan.pin_leg_mm,
    )


def held_rod_path(design: Design, end: int) -> Array:
    """Axis of a push rod's wire with the points held closed, as it is bent, (n, 3), mm, from its tail to its leg.

    The pin stands half the throw from mid throw and the arm at full swing, no slack: the rod leans, its loop steps
    sideways.

    Args:
        design: of a push rod.
        end: +1 where the pin is held at +y, −1 at −y.
    """
    drive, plan, loop_towards = _rod(design), design.plan, _loop_towards(design)
    rod = push_rod(design.spec, drive)
    # the housing stands at +y: a rod that pushes holds its pin at −y
    shape = held(rod, path_of(rod, drive.foot_radius_mm), -end)[0]
    _, axis = scene.shaft_axis(design)
    theta = end * math.radians(drive.swing_deg)
    return rod_line(
        scene.horn_hole(design, theta) + axis * drive.wire_mm / 2,
        axis,
        -scene.arm_direction(design, theta),
        drive,
        pin_z=design.datums.pin[2],
        horn_thickness_mm=design.spec.servo.horn_thickness_mm,
        tail_mm=plan.wire_tail_mm,
        loop_towards=loop_towards,
        leg_mm=plan.pin_leg_mm,
        line=shape.line,
        pin=np.array([0.0, end * design.spec.throw_mm / 2, design.datums.pin[2]]),
    )


def _rod(design: Design) -> PushRodDrive:
    return driven(design.drive, PushRodDrive)


def _loop_towards(design: Design) -> Vector:
    if design.plan.loop_towards is None:
        raise TypeError("the plan of a push rod says which way its loop stands")
    return design.plan.loop_towards


def _ways(design: Design, angles_rad: Array) -> tuple[list[Array], list[Array]]:
    """Nothing but tie bar and arm touches the rod: at every angle it lies unbent, and bent at both ends."""
    free = [_path(design, float(theta)) for theta in angles_rad]
    found = [*free, *(held_rod_path(design, end) for end in (-1, 1))]
    return found, found


WIRING = Wiring(
    path=_path,
    pressed=lambda design, theta_rad, stopped: _path(design, theta_rad),
    ways=_ways,
    pin_at=-1,
    above_pin_mm=lambda design: design.plan.pin_leg_mm,
    used_mm=lambda design: _rod(design).cut_length_mm,
)
