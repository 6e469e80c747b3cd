"""Bodies against bodies: the servo in its seat, and arm and wire over the whole swing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from mounts import scene
from mounts.checks.kinds import judging
from mounts.checks.model import Check
from mounts.design import Design
from mounts.frames import Array
from mounts.inputs import fits
from mounts.mesh import PartMesh
from mounts.scene_kinds import wiring
from mounts.styles import cure

if TYPE_CHECKING:
    from manifold3d import Manifold

TOUCH_MM3 = 0.01  # volume two meshes may share where they only touch: float32 corners of an STL
ARM_AIR_MM = 0.8  # kept between the turning arm and anything that stands still; common practice, no source
WIRE_AIR_MM = 0.2  # kept between the wire and anything but its pivot or slot; common practice, no source
PRESSED_MM = 0.2  # the ears, to see how much of them rests on the mount; common practice, no source
SEARCH_MM = 3.0  # gaps wider than this are not told apart: a wide search is slow

HELD_EAR_MM = 1.0  # of an ear, whatever the play; common practice, no source


def check_clearance(design: Design, meshes: tuple[PartMesh, ...]) -> Iterator[Check]:
    """Every clearance of the mount in use; lift-off parts are on.

    Args:
        design: datums and dimensions, mount frame.
        meshes: the printed parts as exported.

    Yields:
        ``servo-clear`` volume the servo cuts out of the mount, mm³; ``servo-fit`` least gap round the case;
        ``flange-seat`` gap between ears and seat; ``arm-swing`` least gap of the turning arm; ``wire-mount``
        volume the wire cuts out of the mount, mm³, its pin stopped or free; ``wire-servo`` least gap of the wire
        to case, boss and hub; ``wire-board`` least gap to board and roadbed, or to the hole through them, of the
        wire as arm, pivot and stopped pin bend it: one that is being threaded, or has lost its pin, may lean on it.
    """
    mount = scene.mount_body(meshes)
    pieces = {
        name: scene.moved(piece, design.datums.servo) for name, piece in scene.servo_pieces(design.spec.servo).items()
    }
    servo = scene.union(pieces.values())
    yield from _servo(design, mount, servo, pieces)
    yield from _swing(design, mount, servo, scene.board_body(design, mount + servo))


def _gap(one: Manifold, other: Manifold, search_mm: float = SEARCH_MM) -> float:
    """Least distance of two bodies, mm; 0 where they touch or overlap, no more than ``search_mm``."""
    return float(one.min_gap(other, search_mm))


def _least_gap(body: Manifold, path: Array, wire_mm: float, least: float) -> float:
    """Least distance of a wire along a polyline (n, 3) to a body, mm, where it is less than ``least``; else that."""
    found = [least]
    for piece in scene.near_pieces(path, wire_mm, lambda stretch: _gap(body, stretch, found[-1]) < found[-1]):
        found.append(_gap(body, piece, found[-1]))
    return found[-1]


def _around(body: Manifold, points: Array, margin_mm: float) -> Manifold:
    """What of a body lies near some points (n, 3): nothing else can be in their way, and all is quicker to ask."""
    low, high = points.min(axis=0) - margin_mm, points.max(axis=0) + margin_mm
    return body ^ scene.box(tuple(low), tuple(high))


def _servo(design: Design, mount: Manifold, servo: Manifold, pieces: dict[str, Manifold]) -> Iterator[Check]:
    cut = (mount ^ servo).volume()
    yield Check.of(
        "servo-clear",
        cut,
        "at most",
        TOUCH_MM3,
        "mm³",
        "the servo as measured stands in its seat without cutting the mount",
        "the servo cuts into the mount; measure it again or raise the slip fit",
    )
    wanted = min(fit.air_mm(design.spec.printer) for fit in (fits.POCKET, fits.POCKET_LEVEL))
    gap = _gap(mount, pieces["case"])
    yield Check.of(
        "servo-fit",
        gap,
        "at least",
        wanted - 0.02,
        "mm",
        f"gap between case and mount, slip fit of the printer {wanted:g}",
        "the case is closer to the mount than the printer's slip fit",
    )
    yield from _smallest(design)
    touching = mount.min_gap(pieces["ears"], SEARCH_MM)
    deeper = pieces["ears"].translate(list(PRESSED_MM * scene.into_seat(design)))
    pressed = (mount ^ deeper).volume() / PRESSED_MM
    if pressed <= 0:  # they come nearest beside their seat, and go on
        touching = max(touching, PRESSED_MM)
    yield Check.of(
        "flange-seat",
        touching,
        "at most",
        0.02,
        "mm",
        f"the ears sit flat on {pressed:.0f} mm² of the mount",
        "the ears do not touch their seat; measure flange_underside_height_mm again",
    )


def _smallest(design: Design) -> Iterator[Check]:
    """``servo-held``: ear left on its seat, the smallest of the samples pushed hard to one end of a pocket that takes
    the largest; nothing where one servo was measured, or all are alike."""
    servo = design.spec.servo
    spread = max(servo.case_length_spread_mm, servo.case_width_spread_mm)
    if not spread:
        return
    play = 2 * fits.POCKET.air_mm(design.spec.printer) + spread
    yield Check.told(
        "servo-held",
        servo.ear_mm - play,
        "at least",
        HELD_EAR_MM,
        "mm",
        f"the largest sample goes in; the smallest has {play:.2f} mm of play, and {{value}} mm of an ear on its seat",
        "the samples differ too much for one mount: make a profile of each kind",
    )


def _swing(design: Design, mount: Manifold, servo: Manifold, board: Manifold) -> Iterator[Check]:
    """Convex pieces at each angle: unions of them would cost more than all the questions."""
    angles = [float(theta) for theta in scene.arm_angles_rad(design)]
    paths, loose = wiring(design).ways(design, scene.arm_angles_rad(design))
    words = judging(design)
    wire_mm = design.drive.wire_mm
    near = np.concatenate([*paths, *loose]), wire_mm + SEARCH_MM
    surroundings = mount + board
    mount, board = _around(mount, *near), _around(board, *near)
    servo_and_hub = _around(servo + scene.hub_body(design), *near)
    arm_gap = _gap(surroundings, scene.hub_body(design))
    wire_cut, wire_servo, wire_board = 0.0, SEARCH_MM, SEARCH_MM
    # the walls of pivot and slot come out of the printer closer together than they are drawn
    closing = (fits.ROD_SLOT if design.on_board else fits.PIVOT).closes_mm(design.spec.printer)
    for theta in angles:
        arm_gap = min(arm_gap, _gap(surroundings, scene.arm_blade(design, theta)))
    for path in paths:
        wire_servo = _least_gap(servo_and_hub, path, wire_mm, wire_servo)
        wire_board = _least_gap(board, path, wire_mm, wire_board)
    for path in loose:
        pieces = scene.near_pieces(path, wire_mm + closing, lambda body: not (mount ^ body).is_empty())
        wire_cut = max([wire_cut, *((mount ^ piece).volume() for piece in pieces)])
    yield Check.of(
        "arm-swing",
        arm_gap,
        "at least",
        ARM_AIR_MM,
        "mm",
        "least air round the arm over its swing",
        "the arm comes too near the mount or the board; cut it off behind the hole in use, or " + words.raising,
    )
    yield Check.of(
        "wire-mount",
        wire_cut,
        "at most",
        TOUCH_MM3,
        "mm³",
        f"the wire passes its {words.passes} without binding over the whole swing",
        f"the wire binds in the {words.passes} at the end of its swing; use "
        + cure(design.spec.style, "wire-mount", words.passes_cure),
    )
    yield Check.of(
        "wire-servo",
        wire_servo,
        "at least",
        WIRE_AIR_MM,
        "mm",
        "least air between wire and servo",
        "the wire meets the servo; use a farther arm hole",
    )
    beside = words.board(design)
    yield Check.of(
        "wire-board",
        wire_board,
        "at least",
        beside.air_mm,
        "mm",
        f"least air between wire and {beside.passes}",
        beside.meets,
    )
