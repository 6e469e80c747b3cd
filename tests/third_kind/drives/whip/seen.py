"""What scene, checks, drawings and report ask of a whip."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from mounts.drive.whip import WhipDrive, WhipLimits, whip

from mounts import scene
from mounts.checks.kinds import Beside, Judging
from mounts.checks.mechanics import motion, servo_holds, stress
from mounts.checks.model import Check
from mounts.design import Design
from mounts.drive.spread import Spread
from mounts.export.kinds import Drawing
from mounts.export.paper import Paper
from mounts.export.template import ROOM, face, fixings, sample, track, travel
from mounts.export.wire_drawing import view
from mounts.frames import Array
from mounts.mesh import PartMesh
from mounts.report.kinds import Ends, Telling
from mounts.report.steps_trim import trimming
from mounts.scene_kinds import Wiring

ABOVE_PIN_MM = 2.0


def _path(design: Design, theta_rad: float) -> Array:
    """Tail, through the arm, and on the way the arm points: to the pin, and on."""
    _, axis = scene.shaft_axis(design)
    along = scene.arm_direction(design, theta_rad)
    hole = scene.horn_hole(design, theta_rad) + axis * design.drive.wire_mm / 2
    behind = hole - axis * (design.spec.servo.horn_thickness_mm + design.drive.wire_mm)
    pin_z = design.datums.pin[2]
    ends = [hole + along * (z - hole[2]) / along[2] for z in (pin_z, pin_z + ABOVE_PIN_MM)]
    return np.array([behind - along * design.plan.wire_tail_mm, behind, hole, *ends])


def _pressed(design: Design, theta_rad: float, stopped: bool) -> Array:
    """A cantilever from the arm hole whose end is held back: −δ·(3·a·s² − s³)/(2·a³)."""
    straight = _path(design, theta_rad)
    hole, pin, end = straight[2], straight[3], straight[4]
    stop = (design.spec.throw_mm + design.drive.lost_motion_mm) / 2.0 if stopped else np.inf
    back = pin[1] - np.clip(pin[1], -stop, stop)
    share = np.linspace(0.0, 1.0, 13)[:, None]
    bent = hole + share * (pin - hole) - np.array([0.0, back, 0.0]) * (3.0 * share**2 - share**3) / 2.0
    return np.concatenate([straight[:2], bent, [bent[-1] + end - pin]])


def _ways(design: Design, angles_rad: Array) -> tuple[list[Array], list[Array]]:
    stopped, free = ([_pressed(design, float(theta), held) for theta in angles_rad] for held in (True, False))
    return stopped, [*stopped, *free]


def _used_mm(design: Design) -> float:
    steps = np.diff(_path(design, 0.0), axis=0)
    return float(np.linalg.norm(steps, axis=1).sum())


WIRING = Wiring(
    path=_path, pressed=_pressed, ways=_ways, pin_at=-2, above_pin_mm=lambda design: ABOVE_PIN_MM, used_mm=_used_mm
)


def _mechanics(design: Design, spread: Spread, limits: WhipLimits) -> Iterator[Check]:
    spec, drive = design.spec, design.drive
    assert isinstance(drive, WhipDrive)
    one = whip(spec, drive)
    yield from motion(spec, drive, one, spread)
    yield stress(spec, drive, "stress-at-arm", "arm", float(one.stress_mpa))
    yield from servo_holds(spec, drive, one, (float(one.rate_mm_per_rad()),))


JUDGING = Judging(
    mechanics=_mechanics,
    board=lambda design: Beside(0.2, "its hole in the board", "the whip meets the board; drill its hole larger"),
    passes="slot",
    passes_cure="a smaller --throw",
    raising="allow more --max-depth",
    pin_n=lambda drive, pull_n: pull_n * drive.horn_radius_mm / drive.shaft_to_pin_mm,
    lever=lambda drive: drive.shaft_to_pin_mm / drive.horn_radius_mm,
)


def _wire(paper: Paper, design: Design) -> list[str]:
    view(paper, _path(design, 0.0)[:, [2, 0]], 0.0, design.drive.wire_mm, "seen across the track; arm at the left")
    return ["Two square bends through the arm."]


def _template(paper: Paper, design: Design, meshes: Sequence[PartMesh]) -> None:
    def seen(point: Sequence[float]) -> tuple[float, float]:
        return (point[0], -point[1])

    track(paper, design, seen, (-40.0, 40.0))
    paper.line([seen(corner) for corner in face(design, meshes, top=True)], dash=ROOM, closed=True)
    travel(paper, design, seen)
    samples = [(sample(paper, dash=ROOM), "plate of the mount"), *fixings(paper, design, seen)]
    paper.below([f"{design.spec.id}: template of a whip, seen from below"], samples)


DRAWING = Drawing(wire=_wire, template=_template)


TELLING = Telling(
    steps=lambda design: ("Hook the whip into the arm and screw the mount under the board.", *trimming(design)),
    tools=lambda design: [("drill, whip's hole in the board", f"{design.drive.board_hole_mm:g} mm")],
    ends=lambda design: Ends("the whip leans away from you", "the whip leans towards you"),
    compared=lambda drive: [("free wire", "mm", drive.shaft_to_pin_mm - drive.horn_radius_mm)],
    explained=lambda drive: [("free wire", f"{drive.shaft_to_pin_mm - drive.horn_radius_mm:.1f} mm")],
)
