"""Can it be put together by hand: the servo's way in, screwdrivers, the plug, screws in board and plastic."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from mounts import scene
from mounts.checks.clearance import SEARCH_MM, TOUCH_MM3
from mounts.checks.model import Check, at_least, at_most
from mounts.design import Design
from mounts.drive.model import RockingWireDrive
from mounts.frames import Array, Vector
from mounts.mesh import PartMesh
from mounts.styles._housing_plan import HousingPlan
from mounts.styles._pilots import GRIP_DIAMETERS

if TYPE_CHECKING:
    from manifold3d import Manifold

DRIVER_MM = 5.0  # shank of a cross-point screwdriver for the fixings; common practice, no source
SMALL_DRIVER_MM = 3.0  # the same for the servo's own screws and the arm's
DRIVER_REACH_MM = 60.0  # blade length that must be free before the handle; common practice, no source
POINT_LEFT_MM = 1.5  # board left over a screw's point, warn below 2.0; common practice, no source
EDGE_MM = 1.2  # plate left round a countersink
SEAT_RATIO = 10.0  # a seat ten times stiffer takes a tenth of the over-travel; common practice, no source
SCREW_AIR_MM = 0.5  # kept between a fixing screw and the servo


def check_assembly(design: Design, meshes: tuple[PartMesh, ...]) -> Iterator[Check]:
    """Every step of putting the mount up, on the mesh.

    Yields:
        ``way-in``, ``plug-way``, ``driver-fixing``, ``driver-servo``, ``arm-on``, ``driver-horn``: volume in the
        way, mm³ (``arm-on`` and ``driver-horn`` only where the arm goes on last); ``screw-point``: board left
        over the longest screw; ``screw-hold``: allowable pull over the wire's reaction; ``screw-spacing``:
        least distance of two fixing screws over 3 shanks; ``screw-rim``: plate left round the heads;
        ``screw-cut-out``: wood between a fixing screw and the board's cut-out over a shank, where there is one;
        ``screw-servo``: least gap of a fixing screw to the servo; ``servo-screw-grip``: length of servo screw in
        plastic over its diameter; ``seat-stiffness``: of the servo's seat over that of the wire, both at the arm
        hole.
    """
    open_mount = scene.mount_body(meshes, without=design.plan.lift_off)
    yield from _ways(design, open_mount)
    yield from _drivers(design, open_mount)
    yield from _fixings(design, open_mount)
    yield from _servo_screws(design, open_mount)
    yield _seat(design)


def _free(name: str, in_the_way: float, good: str, bad: str) -> Check:
    return at_most(name, in_the_way, TOUCH_MM3, "mm³", good if in_the_way <= TOUCH_MM3 else bad)


def _ways(design: Design, mount: Manifold) -> Iterator[Check]:
    left, front, low, right, back, high = mount.bounding_box()
    leave = float(np.linalg.norm([right - left, back - front, high - low]))
    way = np.array(design.plan.way_out) * (leave + design.spec.servo.flange_span_mm)
    pieces = [*scene.servo_pieces(design.spec.servo).values(), scene.cable_stub(design.spec.servo)]
    placed = [scene.moved(piece, design.datums.servo) for piece in pieces]
    turned_deg, what = design.plan.arm_in_deg, "servo and cable go"
    if turned_deg is not None:
        placed += [scene.arm_blade(design, math.radians(turned_deg)), scene.hub_body(design)]
        what = f"the servo goes, its arm on and turned {turned_deg:g}° from mid," if turned_deg else "servo and arm go"
    yield _free(
        "way-in", (mount ^ scene.swept(placed, way)).volume(),
        f"{what} into the seat on a straight way",
        "the servo can't be put in: its case, ears, arm or cable meet the mount on the way; measure the cable exit "
        "again or use a thinner wall",
    )
    yield _free(
        "plug-way", (mount ^ scene.plug_sweep(design)).volume(),
        "the plug passes where the cable goes", "the plug does not pass; check the plug's size in the profile",
    )


def _driver(head: Array, out: Array, shank_mm: float) -> Manifold:
    return scene.rod(head + out * 0.3, head + out * DRIVER_REACH_MM, shank_mm / 2)


def _drivers(design: Design, mount: Manifold) -> Iterator[Check]:
    fixing = scene.union(
        _driver(np.array(screw.head), -np.array(screw.direction), DRIVER_MM) for screw in design.plan.screws
    )
    yield _free(
        "driver-fixing", (mount ^ fixing).volume(),
        "a screwdriver reaches every fixing screw before the servo goes in",
        "a screwdriver can't reach a fixing screw; use a thinner rib_mm",
    )
    board = scene.board_body(design, mount)
    origin, axis = scene.shaft_axis(design)
    around = mount + board
    into = scene.into_seat(design)
    servo = scene.union(
        _driver(seat - into * 0.5, -into, SMALL_DRIVER_MM) for seat in scene.servo_screw_heads(design)
    )
    case = scene.moved(scene.servo_pieces(design.spec.servo)["case"], design.datums.servo)
    raising = "raise --depth" if isinstance(design.drive, RockingWireDrive) else "raise --pin-height"
    yield _free(
        "driver-servo", ((around + case) ^ servo).volume(),
        "a screwdriver reaches the servo's screws with the mount in place",
        f"a screwdriver can't reach the servo's screws with the mount in place; {raising}",
    )
    if design.plan.arm_in_deg is not None:
        return  # the arm is screwed on before the servo goes in: "way-in" takes it along
    arm = [scene.arm_blade(design, 0.0), scene.hub_body(design)]
    yield _free(
        "arm-on", (around ^ scene.swept(arm, axis * design.spec.servo.arm_slide_mm)).volume(),
        "the arm can be pushed on along the shaft",
        "the arm can't be pushed on: it meets mount or board on the last millimetres; cut it off behind its hole"
    )
    proud = design.spec.servo.horn_plane_height_mm + design.spec.servo.horn_screw_proud_mm
    yield _free(
        "driver-horn", (around ^ _driver(origin + axis * proud, axis, SMALL_DRIVER_MM)).volume(),
        "a screwdriver reaches the arm's screw with the mount in place",
        f"a screwdriver can't reach the arm's screw with the mount in place; {raising}",
    )


def _fixings(design: Design, mount: Manifold) -> Iterator[Check]:
    spec, screws = design.spec, design.plan.screws
    faces = design.datums.fixings
    tops = [screw.length_mm - _distance(screw.head, face) for screw, face in zip(screws, faces, strict=True)]
    deepest = max(tops) - spec.ground_mm  # ground lies on the board and holds nothing
    from_above = screws[0].direction[2] < 0
    far_side = "underside" if from_above else "top"
    left = spec.board.thickness_mm - spec.board.under_mm - deepest
    yield Check(
        name="screw-point", part=None, value=left, limit=POINT_LEFT_MM, unit="mm",
        verdict="pass" if left >= 2.0 else "warn" if left >= POINT_LEFT_MM else "fail",
        message=f"board left over the point of a {screws[0].length_mm:g} mm screw, the board at its thinnest"
        if left >= POINT_LEFT_MM
        else f"the fixing screws come too near the {far_side} of the board; use shorter ones",
    )
    if spec.board.screw_depth_mm > 0:
        soft = spec.board.thickness_mm - spec.board.screw_depth_mm if from_above else 0.0  # foam on top holds nothing
        grip = min(deepest - soft, spec.board.screw_depth_mm)
        hold = len(screws) * grip * spec.fixing.shank_mm * spec.board.withdrawal_n_per_mm2
        pull = spec.servo.stall_torque_nmm / design.drive.horn_radius_mm
        yield at_least(
            "screw-hold", hold / pull, 2.0, "", "allowable pull of the screws over the servo's stall force"
            if hold >= 2 * pull else "the screws may pull out; use a thicker --screw",
        )
    else:
        yield Check(
            name="screw-hold", part=None, verdict="warn", value=0.0, limit=2.0, unit="",
            message=f"{spec.board.name} holds no screws: bond the mount to it, and pull at it before you trust it",
        )
    apart = min(_distance(a.head, b.head) for a, b in combinations(screws, 2)) / spec.fixing.shank_mm
    yield at_least(
        "screw-spacing", apart, 3.0, "shanks", "least distance of two fixing screws"
        if apart >= 3.0 else "two fixing screws are so close that the board splits",
    )
    discs = [
        scene.rod(head, head + np.array(screw.direction) * 0.3, spec.fixing.head_mm / 2 + EDGE_MM)
        for screw in screws
        for head in [np.array(screw.head) + 0.2 * np.array(screw.direction)]
    ]
    rims = [
        scene.rod(head, head + np.array(screw.direction) * 0.3, spec.fixing.head_mm / 2 + 0.4)
        for screw in screws
        for head in [np.array(screw.head) + 0.2 * np.array(screw.direction)]
    ]
    missing = max(((d - r) - mount).volume() / (d - r).volume() for d, r in zip(discs, rims, strict=True))
    yield at_most(
        "screw-rim", missing, 0.05, "", f"share missing of a {EDGE_MM:g} mm rim round each head"
        if missing <= 0.05 else "a fixing screw's head is too near the edge of the plate or another hole",
    )
    yield from _beside_cut_out(design)
    servo = scene.servo_body(design)
    gap = min(servo.min_gap(body, SEARCH_MM) for body in scene.screw_bodies(design))
    yield at_least(
        "screw-servo", gap, SCREW_AIR_MM, "mm", "least gap between a fixing screw and the servo"
        if gap >= SCREW_AIR_MM else "a fixing screw meets the servo",
    )


def _beside_cut_out(design: Design) -> Iterator[Check]:
    """``screw-cut-out``: wood between a fixing screw and the hole cut for the arm, where there is one."""
    plan, shank = design.plan, design.spec.fixing.shank_mm
    if not isinstance(plan, HousingPlan) or not plan.cut_out_depth_mm:
        return
    hole = scene.cut_out_body(design)
    wood = min(body.min_gap(hole, 2 * SEARCH_MM) for body in scene.screw_bodies(design)) / shank
    yield at_least(
        "screw-cut-out", wood, 1.0, "shanks", "wood between a fixing screw and the cut-out in the board"
        if wood >= 1.0 else "a fixing screw is so near the cut-out that the wood breaks out",
    )


def _servo_screws(design: Design, mount: Manifold) -> Iterator[Check]:
    """Grip is measured on the mesh: how much of a sleeve round the screw, from the seat on, is plastic."""
    servo = design.spec.servo
    into = scene.into_seat(design)
    long = (design.plan.servo_screw_length_mm or servo.screw_length_mm) - servo.flange_thickness_mm
    grips = []
    for head in scene.servo_screw_heads(design):
        seat = head + into * servo.flange_thickness_mm
        sleeve = scene.rod(seat, seat + into * long, servo.screw_mm / 2 + 0.6) - scene.rod(
            seat, seat + into * long, servo.screw_mm / 2 + 0.2
        )
        grips.append(long * (mount ^ sleeve).volume() / sleeve.volume())
    grip = min(grips) / servo.screw_mm
    yield Check(
        name="servo-screw-grip", part=None, value=grip, limit=GRIP_DIAMETERS, unit="diameters",
        verdict="pass" if grip >= GRIP_DIAMETERS else "warn" if grip >= 1.5 else "fail",
        message="plastic round the servo's screws, along their length"
        if grip >= GRIP_DIAMETERS
        else "the servo's screws have little plastic to bite in; use longer ones or a thicker wall_mm",
    )


def _seat(design: Design) -> Check:
    """Stiffness of the seat against the wire's, seen from the arm hole: k·(h/d)² by virtual work, k of a push rod."""
    drive = design.drive
    lever = drive.pivot_to_pin_mm / drive.pivot_to_horn_mm if isinstance(drive, RockingWireDrive) else 1.0
    ratio = design.plan.seat_n_per_mm / (drive.rate_n_per_mm * lever**2)
    return at_least(
        "seat-stiffness", ratio, SEAT_RATIO, "", "stiffness of the servo's seat over the wire's, at the arm hole"
        if ratio >= SEAT_RATIO else "the seat gives way before the wire bends; use a thicker wall_mm or a thinner wire",
    )


def _distance(a: Vector, b: Vector) -> float:
    return float(np.linalg.norm(np.subtract(a, b)))
