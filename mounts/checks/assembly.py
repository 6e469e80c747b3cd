"""Can it be put together by hand: the servo's way in, screwdrivers, the plug, screws in board and plastic."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from mounts import scene
from mounts.checks.clearance import SEARCH_MM
from mounts.checks.drivers import check_drivers, free
from mounts.checks.heads import check_head, layers_bear
from mounts.checks.kinds import judging
from mounts.checks.model import Check
from mounts.design import Design
from mounts.frames import Vector
from mounts.mesh import PartMesh
from mounts.styles import cure
from mounts.styles._fixings import HEAD_EDGE_MM, HOLD_RATIO, bond_ratio, hold_n, stall_n
from mounts.styles._pilots import GRIP_DIAMETERS

if TYPE_CHECKING:
    from manifold3d import Manifold

POINT_LEFT_MM, SAFE_POINT_MM = 1.5, 2.0  # board left over a screw's point; common practice, no source
LEAST_GRIP_DIAMETERS = 1.5  # of servo screw in plastic: with less it pulls out; common practice, no source
SEAT_RATIO = 10.0  # a seat ten times stiffer takes a tenth of the over-travel; common practice, no source
CABLE_HOLE_MM = 1.9  # wood beside the cable's hole; common practice, no source
SCREW_AIR_MM = 0.5  # kept between a fixing screw and the servo; common practice, no source


def check_assembly(design: Design, meshes: tuple[PartMesh, ...]) -> Iterator[Check]:
    """Every step of putting the mount up, on the mesh.

    Yields:
        ``way-in``, ``plug-way``, ``driver-fixing``, ``driver-servo``, ``arm-on``, ``driver-horn``: volume in the
        way, mm³ (``arm-on`` and ``driver-horn`` only where the arm goes on last); ``screw-point``: board left
        over the longest screw, or ``bolt-nut``: thread beyond a bolt's nut; ``screw-hold``: what the screws may bear
        over the servo's stall; ``screw-head``: stress round their heads at twice that, MPa; ``bond-hold``: the same as
        ``screw-hold`` of glue; ``screw-spacing``: least distance of two fixing screws over 3 shanks; ``screw-rim``:
        plate left round the heads;
        ``screw-cut-out``: wood between a fixing screw and the board's cut-out over a shank, where there is one;
        ``screw-cable``: the same to the cable's hole; ``cable-hole``: wood between that hole and cut-out or roadbed;
        ``screw-servo``: least gap of a fixing screw to the servo; ``servo-screw-grip``: length of servo screw in
        plastic over its diameter; ``seat-stiffness``: of the servo's seat over that of the wire, both at the arm
        hole; ``seat-strength``: stress in what carries the servo at its stall, MPa, where plan and plastic tell theirs.
    """
    open_mount = scene.mount_body(meshes, without=design.plan.lift_off)
    yield from _ways(design, open_mount)
    yield from check_drivers(design, open_mount)
    yield from _fixings(design, open_mount, meshes)
    yield from _servo_screws(design, open_mount)
    yield _seat(design)
    yield from _at_stall(design, meshes)


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
    yield free(
        "way-in",
        (mount ^ scene.swept(placed, way)).volume(),
        f"{what} into the seat on a straight way",
        "the servo can't be put in: its case, ears, arm or cable meet the mount on the way; measure the cable exit "
        "again or use a thinner wall",
    )
    around = mount + scene.board_body(design, mount) if design.plan.beside or design.plan.drop_in else mount
    yield free(
        "plug-way",
        (around ^ scene.plug_sweep(design)).volume(),
        "the plug passes where the cable goes",
        "the plug does not pass; check the plug's size in the profile",
    )


def _fixings(design: Design, mount: Manifold, meshes: tuple[PartMesh, ...]) -> Iterator[Check]:
    spec, screws = design.spec, design.plan.screws
    faces = design.datums.fixings
    deep = min(screw.length_mm - _distance(screw.head, face) for screw, face in zip(screws, faces, strict=True))
    deep -= spec.ground_mm  # ground lies on the board and holds nothing
    if not spec.bonded:
        yield _through(design, deep) if spec.fixing.kind == "bolt" else _point(design, deep)
        most = _most_n(design, mount)
        yield _hold(design, most, deep)
        if (head := check_head(design, meshes, most)) is not None:
            yield head
    if spec.bonded or spec.pad_mm or spec.frame_mm:
        yield _bond(design, mount)
    apart = min(_distance(a.head, b.head) for a, b in combinations(screws, 2)) / spec.fixing.shank_mm
    yield Check.of(
        "screw-spacing",
        apart,
        "at least",
        3.0,
        "shanks",
        "least distance of two fixing screws",
        "two fixing screws are so close that the board splits",
    )
    discs = [
        scene.rod(head, head + np.array(screw.direction) * 0.3, spec.fixing.head_mm / 2 + HEAD_EDGE_MM)
        for screw in screws
        for head in [np.array(screw.head) + 0.2 * np.array(screw.direction)]
    ]
    rims = [
        scene.rod(head, head + np.array(screw.direction) * 0.3, spec.fixing.head_mm / 2 + 0.4)
        for screw in screws
        for head in [np.array(screw.head) + 0.2 * np.array(screw.direction)]
    ]
    missing = max(((d - r) - mount).volume() / (d - r).volume() for d, r in zip(discs, rims, strict=True))
    yield Check.of(
        "screw-rim",
        missing,
        "at most",
        0.05,
        "",
        f"share missing of a {HEAD_EDGE_MM:g} mm rim round each head",
        "a fixing screw's head is too near the edge of the plate or another hole",
    )
    yield from _beside_cut_out(design)
    yield from _beside_cable_hole(design)
    servo = scene.servo_body(design)
    gap = min(servo.min_gap(body, SEARCH_MM) for body in scene.screw_bodies(design))
    yield Check.of(
        "screw-servo",
        gap,
        "at least",
        SCREW_AIR_MM,
        "mm",
        "least gap between a fixing screw and the servo",
        "a fixing screw meets the servo",
    )


def _point(design: Design, deep_mm: float) -> Check:
    """``screw-point``: the deepest counts, and all go as deep."""
    spec, length = design.spec, max(screw.length_mm for screw in design.plan.screws)
    deepest = deep_mm + length - min(screw.length_mm for screw in design.plan.screws)
    far_side = "underside" if design.on_board else "top"
    left = spec.board.thickness_mm - spec.board.under_mm - deepest
    measured = f"board left over the point of a {length:g} mm screw, the board at its thinnest"
    return Check.of(
        "screw-point",
        left,
        "at least",
        POINT_LEFT_MM,
        "mm",
        measured,
        f"the fixing screws come too near the {far_side} of the board; use shorter ones",
        warn=SAFE_POINT_MM,
        warned=f"{measured}; use shorter ones",
    )


def _through(design: Design, deep_mm: float) -> Check:
    """``bolt-nut``: what stands out of the nut, the board at its thickest."""
    board, fixing = design.spec.board, design.spec.fixing
    left = deep_mm - board.thickness_mm - board.over_mm - fixing.washer_thickness_mm - fixing.nut_mm
    return Check.of(
        "bolt-nut",
        left,
        "at least",
        0.0,
        "mm",
        "thread beyond the nut, the board at its thickest",
        "the bolts are too short for washer and nut; use longer ones",
    )


def _face(design: Design, mount: Manifold) -> tuple[float, float, float]:
    """Area of the mount on its board, mm², and its first and last y, taken just inside the chamfer round it."""
    z, way = design.datums.fixings[0][2], 1.0 if design.on_board else -1.0
    low, high = sorted((z + way * 0.6, z + way * 1.0))
    slab = mount.trim_by_plane((0.0, 0.0, 1.0), low).trim_by_plane((0.0, 0.0, -1.0), -high)
    _, front, _, _, back, _ = slab.bounding_box()
    return (slab - scene.cut_out_body(design)).volume() / (high - low), front, back


def _stall(design: Design, front: float, back: float) -> tuple[float, tuple[float, float]]:
    """What the fixings must bear when what is moved jams and the servo stalls: a pull, N, or moments, N·mm.

    The pull is the servo's at the arm hole, as if it all came on the fixings' axes. The moments are about the front
    and the back edge of the mount's face on the board: what the pin then feels of it, at its height over that face, or
    what the kind of drive says.
    """
    pull, words = stall_n(design.spec, design.drive.horn_radius_mm), judging(design)
    if words.tips_nmm is not None:
        return pull, (words.tips_nmm(design.drive, pull, front), words.tips_nmm(design.drive, pull, back))
    moment = words.pin_n(design.drive, pull) * (design.datums.pin[2] - design.datums.fixings[0][2])
    return pull, (moment, moment)


def _most_n(design: Design, mount: Manifold) -> float:
    """Pull on the screw that bears most when the servo stalls: its share along all axes, or by its distance from either
    edge that the mount tips over."""
    _, front, back = _face(design, mount)
    pull, moments = _stall(design, front, back)
    across = np.array([at[1] for at in design.datums.fixings])
    arms = [np.abs(across - edge) for edge in (front, back)]
    tipping = (moment * arm.max() / (arm**2).sum() for arm, moment in zip(arms, moments, strict=True))
    return float(max(pull / len(across), *tipping))


def _hold(design: Design, most_n: float, deep_mm: float) -> Check:
    """``screw-hold``: of the one that bears most."""
    ratio = hold_n(design.spec, deep_mm, from_above=design.on_board) / most_n
    return Check.of(
        "screw-hold",
        ratio,
        "at least",
        HOLD_RATIO,
        "",
        "what the screws may bear over the servo's stall, along them or tipping",
        "the screws may pull out; use a thicker --screw, or leave --screw free",
    )


def _bond(design: Design, mount: Manifold) -> Check:
    """``bond-hold``: glue under the mount, or under its plywood; stress of the pull, or tipping 6·M/(A·b).

    Domain: that of ``bond_ratio``.
    """
    corners, down, hole = design.plan.pad_xy, design.plan.drop_in, design.plan.board_cut_out
    what = "pad" if corners else "frame"
    if down and hole and (backing := down.backing):
        area, across = backing.area_mm2(hole), [y for piece in backing.pieces for _, y in piece]
        front, back = min(across), max(across)
        what = "frame" if backing.let_in else "strips"
    elif corners:
        (left, front), (right, back) = np.min(corners, axis=0), np.max(corners, axis=0)
        area = float((right - left) * (back - front))
    else:
        area, front, back = _face(design, mount)
    pull, moments = _stall(design, front, back)
    moment = max(moments)
    ratio = bond_ratio(design.spec, area, back - front, pull, moment, from_above=design.on_board)
    return Check.of(
        "bond-hold",
        ratio,
        "at least",
        HOLD_RATIO,
        "",
        f"what the glue under the {what} bears over the servo's stall",
        f"the glue under the {what} may part; use a servo that pulls less",
    )


def _beside_cut_out(design: Design) -> Iterator[Check]:
    """``screw-cut-out``: wood between a fixing screw and the hole cut for the arm, where there is one."""
    cut_out, fixing = design.plan.board_cut_out, design.spec.fixing
    if cut_out is None:
        return
    hole, shank = scene.cut_out_body(design), fixing.shank_mm
    washer = max(0.0, fixing.washer_mm - shank) / 2 if cut_out.through else 0.0  # of a bolt, under the board
    wood = (min(body.min_gap(hole, 3 * SEARCH_MM) for body in _in_board(design)) - washer) / shank
    yield Check.of(
        "screw-cut-out",
        wood,
        "at least",
        1.0,
        "shanks",
        "wood between a fixing screw and the cut-out in the board",
        "a fixing screw is so near the cut-out that the wood breaks out",
    )


def _in_board(design: Design) -> list[Manifold]:
    """What of each fixing screw is in ground and board under a mount."""
    return [body.trim_by_plane((0.0, 0.0, -1.0), -design.spec.ground_mm) for body in scene.screw_bodies(design)]


def _beside_cable_hole(design: Design) -> Iterator[Check]:
    """``screw-cable`` and ``cable-hole`` of a mount whose cable goes through the board."""
    spec, plan, hole = design.spec, design.plan, scene.cable_hole_body(design)
    if plan.cable_hole is None:
        return
    wood = min(body.min_gap(hole, 2 * SEARCH_MM) for body in _in_board(design)) / spec.fixing.shank_mm
    yield Check.of(
        "screw-cable",
        wood,
        "at least",
        1.0,
        "shanks",
        "wood between a fixing screw and the cable's hole in the board",
        "a fixing screw is so near the cable's hole that the wood breaks out; use "
        + cure(spec.style, "screw-cable", "another --screw"),
    )
    gaps = {}
    if plan.beside:
        gaps["the foot of the roadbed"] = hole.bounding_box()[1] - plan.beside.roadbed_edge_y
    if plan.board_cut_out:
        gaps["the cut-out in the board"] = hole.min_gap(scene.cut_out_body(design), 2 * SEARCH_MM)
    if not gaps:
        return
    what = min(gaps, key=lambda name: gaps[name])
    yield Check.of(
        "cable-hole",
        gaps[what],
        "at least",
        CABLE_HOLE_MM,
        "mm",
        f"wood between the cable's hole and {what}",
        f"the cable's hole is too near {what}; use " + cure(spec.style, "cable-hole", "a greater --track-distance"),
    )


def _servo_screws(design: Design, mount: Manifold) -> Iterator[Check]:
    """Grip is measured on the mesh: how much of a sleeve round the screw, from the seat on, is plastic."""
    servo = design.spec.servo
    into = scene.into_seat(design)
    long = design.servo_screw_length_mm - servo.flange_thickness_mm
    grips = []
    for head in scene.servo_screw_heads(design):
        seat = head + into * servo.flange_thickness_mm
        sleeve = scene.rod(seat, seat + into * long, servo.screw_mm / 2 + 0.6) - scene.rod(
            seat, seat + into * long, servo.screw_mm / 2 + 0.2
        )
        grips.append(long * (mount ^ sleeve).volume() / sleeve.volume())
    grip = min(grips) / servo.screw_mm
    yield Check.of(
        "servo-screw-grip",
        grip,
        "at least",
        GRIP_DIAMETERS,
        "diameters",
        "plastic round the servo's screws, along their length",
        "the servo's screws have little plastic to bite in; use "
        + cure(design.spec.style, "servo-screw-grip", "longer ones and tell the profile, screw_length_mm"),
        otherwise="warn" if grip >= LEAST_GRIP_DIAMETERS else "fail",
    )


def _seat(design: Design) -> Check:
    """Stiffness of the seat against the wire's, seen from the arm hole: k·(h/d)² by virtual work, k of a push rod."""
    drive = design.drive
    lever = judging(design).lever(drive)
    ratio = design.plan.seat_n_per_mm / (drive.rate_n_per_mm * lever**2)
    return Check.of(
        "seat-stiffness",
        ratio,
        "at least",
        SEAT_RATIO,
        "",
        "stiffness of the servo's seat over the wire's, at the arm hole",
        "the seat gives way before the wire bends; use "
        + cure(design.spec.style, "seat-stiffness", "a thinner --wire"),
    )


def _at_stall(design: Design, meshes: tuple[PartMesh, ...]) -> Iterator[Check]:
    """What carries the servo stands square to the board: printed so too, its layers lie across the pull."""
    spec, stress = design.spec, design.plan.seat_mpa_per_n
    bears, layers = layers_bear(design, meshes, upright=True)
    if stress is None or math.isinf(bears):
        return
    pull = stall_n(spec, design.drive.horn_radius_mm)
    yield Check.of(
        "seat-strength",
        stress * pull,
        "at most",
        bears,
        "MPa",
        f"stress {layers} in what carries the servo, at its stall, {pull:.0f} N at the arm's hole",
        f"the servo breaks its seat when it stalls, {layers}; use "
        + cure(spec.style, "seat-strength", "another --filament"),
    )


def _distance(a: Vector, b: Vector) -> float:
    return float(np.linalg.norm(np.subtract(a, b)))
