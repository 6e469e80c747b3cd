"""Everything around a mount as closed bodies in the mount frame: servo, arm, wire, board, screws, drivers.

The checks ask these bodies, and the picture shows them. manifold3d holds them: its booleans and gaps are
exact for meshes, and take well under a millisecond each.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from mounts.design import Beside, Design
from mounts.drive.kinds import kind_of
from mounts.frames import Array, Matrix, apply, crossed
from mounts.inputs.servo import Servo
from mounts.mesh import PartMesh
from mounts.scene_kinds import wiring

if TYPE_CHECKING:
    from manifold3d import Manifold

SEGMENTS = 48  # the polygon round a circle is 0.2 % wider than it: 0.01 mm on a hub of 10
CABLE_STUB_MM = 5.0  # how far a cable stands out of the case before it can be bent away; common practice


def union(bodies: Iterable[Manifold]) -> Manifold:
    """One body of many; overlapping ones fuse."""
    from manifold3d import Manifold, OpType

    return Manifold.batch_boolean(list(bodies), OpType.Add)


def moved(body: Manifold, a_to_b: Matrix) -> Manifold:
    """A body of frame a in frame b, by a 4×4 matrix."""
    return body.transform(np.array(a_to_b)[:3, :])


def box(low: Sequence[float], high: Sequence[float]) -> Manifold:
    """Axis-parallel box between two corners (3,), mm."""
    from manifold3d import Manifold

    size = [b - a for a, b in zip(low, high, strict=True)]
    return Manifold.cube(size).translate(list(low))


def rod(start: Array, end: Array, radius_mm: float, *, segments: int = SEGMENTS) -> Manifold:
    """A cylinder from start to end (3,), its polygon drawn round the true circle.

    Args:
        start: (3,) middle of one end, mm.
        end: (3,) middle of the other, mm.
        radius_mm: of the true circle.
        segments: sides of the polygon.
    """
    from manifold3d import Manifold

    start, end = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
    along = end - start
    length = float(np.linalg.norm(along))
    outer = radius_mm / math.cos(math.pi / segments)
    z = along / length
    helper = np.eye(3)[int(np.argmin(np.abs(z)))]
    x = crossed(helper, z)
    x /= np.linalg.norm(x)
    placed = np.column_stack([x, crossed(z, x), z, start])
    return Manifold.cylinder(length, outer, circular_segments=segments).transform(placed)


def swept(pieces: Iterable[Manifold], along: Array) -> Manifold:
    """What convex pieces pass through on a straight way (3,), mm: the hulls of their first and last places."""
    from manifold3d import Manifold

    return union(Manifold.batch_hull([piece, piece.translate(list(along))]) for piece in pieces)


def mount_body(meshes: Iterable[PartMesh], *, without: Sequence[str] = ()) -> Manifold:
    """The printed parts as exported, put where they belong."""
    from manifold3d import Manifold, Mesh64

    return union(
        Manifold(Mesh64(apply(mesh.print_to_mount, mesh.vertices_mm), mesh.faces.astype(np.uint64)))
        for mesh in meshes
        if mesh.name not in without
    )


def servo_pieces(servo: Servo) -> dict[str, Manifold]:
    """The convex pieces of a servo without its arm, servo frame."""
    (near, far), ear, half = servo.case_ends_mm(), servo.ear_mm, servo.case_width_mm / 2
    top = servo.case_top_height_mm
    axis = np.array([0.0, 0.0, 1.0])
    return {
        "case": box((near, -half, -servo.flange_underside_height_mm), (far, half, top)),
        "ears": box((near - ear, -half, 0.0), (far + ear, half, servo.flange_thickness_mm)),
        "boss": rod(axis * (top - 0.1), axis * (top + max(servo.boss_height_mm, 0.1)), servo.boss_mm / 2),
        "spline": rod(axis * (top - 0.1), axis * servo.spline_top_height_mm, servo.spline_mm / 2),
    }


def cable_stub(servo: Servo) -> Manifold:
    """The first few stiff millimetres of the cable outside the case, servo frame."""
    near, far = servo.case_ends_mm()
    side, wall = (-1.0, near) if servo.cable_end == "near" else (1.0, far)
    z = servo.cable_height_mm - servo.flange_underside_height_mm
    x = sorted((wall - side * 0.1, wall + side * CABLE_STUB_MM))
    half_wide, half_thick = servo.cable_width_mm / 2, servo.cable_thickness_mm / 2
    return box((x[0], -half_wide, z - half_thick), (x[1], half_wide, z + half_thick))


def servo_body(design: Design) -> Manifold:
    """The servo in its seat, without arm and cable, mount frame."""
    return moved(union(servo_pieces(design.spec.servo).values()), design.datums.servo)


def shaft_axis(design: Design) -> tuple[Array, Array]:
    """Origin of the servo frame, mm, and unit vector along the shaft out of the servo, (3,) each, mount frame."""
    placed = np.array(design.datums.servo)
    return placed[:3, 3], placed[:3, 2]


def turning_sense(design: Design) -> int:
    """+1 where the arm turns counter-clockwise (looking at the shaft's end) as the pin goes to +y (or up), else −1.

    Where the drive turns the motion round, at a pivot, the arm's hole goes to −y while the pin goes to +y.
    """
    _, axis = shaft_axis(design)
    kind = kind_of(design.drive)
    hole_goes = float(crossed(axis, np.array(design.datums.horn_at_mid))[kind.moves_along])
    wanted = -1.0 if kind.turns_round else 1.0
    return 1 if hole_goes * wanted > 0 else -1


def arm_direction(design: Design, theta_rad: float) -> Array:
    """Unit vector (3,) shaft → arm hole at an arm angle, mount frame (Rodrigues for a vector square to the axis)."""
    _, axis = shaft_axis(design)
    mid = np.array(design.datums.horn_at_mid)
    angle = turning_sense(design) * theta_rad
    return np.asarray(mid * math.cos(angle) + crossed(axis, mid) * math.sin(angle))


def arm_ways(design: Design, theta_rad: float) -> tuple[Array, ...]:
    """``arm_direction`` (3,), and the way the arm's other end points where a second wire hangs on that."""
    way = arm_direction(design, theta_rad)
    return (way,) if len(kind_of(design.drive).wires_y(design.drive)) == 1 else (way, -way)


def horn_hole(design: Design, theta_rad: float) -> Array:
    """Middle (3,) of the arm hole on the arm's outer face, mm, mount frame."""
    origin, axis = shaft_axis(design)
    reach = design.drive.horn_radius_mm * arm_direction(design, theta_rad)
    return np.asarray(origin + axis * design.spec.servo.horn_plane_height_mm + reach)


def hub_body(design: Design) -> Manifold:
    """The arm's hub and the head of its screw, which look the same at any arm angle, mount frame."""
    servo = design.spec.servo
    origin, axis = shaft_axis(design)
    bottom = servo.hub_bottom_height_mm
    outer = origin + axis * servo.horn_plane_height_mm
    hub = rod(origin + axis * bottom, outer, servo.horn_hub_mm / 2)
    if servo.horn_screw_proud_mm == 0:
        return hub
    return hub + rod(outer - axis * 0.1, outer + axis * servo.horn_screw_proud_mm, servo.horn_screw_head_mm / 2)


def arm_blade(design: Design, theta_rad: float) -> Manifold:
    """The arm in use at an arm angle, tapering from its hub to its tip, without hub and screw, mount frame.

    An arm that is to be cut off ends there. A double one is convex as well, for its hub is the widest.
    """
    from manifold3d import Manifold

    servo = design.spec.servo
    origin, axis = shaft_axis(design)
    outer = origin + axis * servo.horn_plane_height_mm
    inner = outer - axis * servo.horn_thickness_mm
    along = arm_direction(design, theta_rad)
    tips = [way * servo.arm_tip_mm for way in arm_ways(design, theta_rad)]
    ends = [rod(inner + tip, outer + tip, servo.horn_tip_width_mm / 2) for tip in tips]
    blade = Manifold.batch_hull([rod(inner, outer, servo.horn_hub_mm / 2), *ends])
    if design.plan.arm_length_mm is None:
        return blade
    return blade.trim_by_plane(list(-along), -float(origin @ along) - design.plan.arm_length_mm)


def swung(design: Design) -> Iterator[Manifold]:
    """Arm and wires at angles from one end of the swing to the other, mount frame."""
    for theta in arm_angles_rad(design):
        yield arm_blade(design, float(theta))
        for path in wire_paths(design, float(theta)):
            yield from wire_pieces(path, design.drive.wire_mm)


def wire_path(design: Design, theta_rad: float) -> Array:
    """Axis of the wire at an arm angle, unbent, from the tail behind the arm to its end above the pin, (n, 3), mm."""
    return wiring(design).path(design, theta_rad)


def wire_paths(design: Design, theta_rad: float) -> list[Array]:
    """``wire_path`` (n, 3) of every wire on the arm, mm."""
    return [wire_path(design, theta_rad), *wiring(design).others(design, theta_rad)]


def pressed_path(design: Design, theta_rad: float, *, stopped: bool = True) -> Array:
    """Axis of the wire at an arm angle as arm, tie bar and what else it passes bend it, (n, 3), mm.

    Args:
        design: the mount.
        theta_rad: arm angle from mid swing.
        stopped: False for a wire that has not reached its tie bar yet, or lost it.
    """
    return wiring(design).pressed(design, theta_rad, stopped)


def wire_pieces(points: Array, diameter_mm: float) -> list[Manifold]:
    """A round wire along a polyline (n, 3), a convex piece for each straight part, mount frame."""
    from manifold3d import Manifold

    ball = Manifold.sphere(diameter_mm / 2, 16)
    balls = [ball.translate(list(point)) for point in points]
    return [Manifold.batch_hull(list(pair)) for pair in pairwise(balls)]


def arm_angles_rad(design: Design, count: int = 13) -> Array:
    """Arm angles from end to end of the swing, over-travel included, (n,), rad."""
    end = math.radians(design.drive.swing_deg)
    return np.linspace(-end, end, count)


def board_body(design: Design, around: Manifold) -> Manifold:
    """Board and roadbed, reaching 15 mm past the mount on every side.

    Where a wire passes the board its hole is drilled through both. Beside a mount on the board the roadbed lies
    under the track only, its shoulders at 45°, the ground beyond it, and board and ground have the mount's cut-out and
    the hole for its cable.
    """
    spec, beside = design.spec, design.plan.beside
    left, front, _, right, back, _ = around.bounding_box()
    low, high = -spec.board.thickness_mm, spec.roadbed.thickness_mm
    if beside is not None:
        front = min(front, 2 * beside.track_y - beside.roadbed_edge_y)
        slab = box((left - 15, front - 15, low), (right + 15, back + 15, 0.0))
        ground = slab + _beside_track(design, beside, (left - 15, right + 15), back + 15)
        return ground - cut_out_body(design) - cable_hole_body(design)
    slab = box((left - 15, front - 15, low), (right + 15, back + 15, high))
    slab = slab - cut_out_body(design) - cable_hole_body(design)
    kind = kind_of(design.drive)
    hole_mm = kind.board_hole_mm(design.drive)
    if hole_mm is None:
        return slab
    for y in kind.wires_y(design.drive):
        slab = slab - rod(np.array([0, y, low - 1]), np.array([0, y, high + 1]), hole_mm / 2)
    return slab


def cut_out_body(design: Design) -> Manifold:
    """What is cut from ground and board under a mount, open at the top; empty where nothing is."""
    from manifold3d import CrossSection, FillRule, Manifold

    hole = design.plan.board_cut_out
    if hole is None:
        return Manifold()
    depth = hole.depth_mm + (1.0 if hole.through else 0.0)
    body = CrossSection([hole.outline], FillRule.NonZero).extrude(depth + 1.0)
    return body.translate((0.0, 0.0, design.spec.ground_mm - depth))


def backing_bodies(design: Design) -> list[Manifold]:
    """Plywood that the screws of a mount which is let down go into, mount frame; none where the board holds them."""
    down = design.plan.drop_in
    if down is None or down.backing is None:
        return []
    backing, low = down.backing, -design.spec.board.thickness_mm
    heights = (-backing.thick_mm, 0.0) if backing.let_in else (low, low + backing.thick_mm)
    spans = [[(min(side), max(side)) for side in zip(*piece, strict=True)] for piece in backing.pieces]
    return [box((x[0], y[0], heights[0]), (x[1], y[1], heights[1])) - cut_out_body(design) for x, y in spans]


def cable_hole_body(design: Design) -> Manifold:
    """What is drilled through ground and board for a mount's cable; empty where it stays above."""
    from manifold3d import Manifold

    hole = design.plan.cable_hole
    if hole is None:
        return Manifold()
    low, high = -design.spec.board.thickness_mm - 1.0, design.spec.ground_mm + 0.1
    return rod(np.array([*hole.at, low]), np.array([*hole.at, high]), hole.drill_mm / 2)


def _beside_track(design: Design, beside: Beside, x: tuple[float, float], back_y: float) -> Manifold:
    """Roadbed of the track a mount serves, and the ground beside it, from end to end of x."""
    from manifold3d import CrossSection, Manifold

    thickness, ground = design.spec.roadbed.thickness_mm, design.spec.ground_mm
    top, edge, far = beside.sleeper_end_y, beside.roadbed_edge_y, 2 * beside.track_y - beside.sleeper_end_y
    section = [(far - thickness, 0.0), (far, thickness), (top, thickness), (edge, ground)]
    section += [(back_y, ground), (back_y, 0.0)] if ground else []
    if thickness <= 0 and ground <= 0:
        return Manifold()
    along = np.array([[0.0, 0.0, 1.0, x[0]], [1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0]])  # (y, z) along +x
    return CrossSection([section[::-1]]).extrude(x[1] - x[0]).transform(along)


def screw_bodies(design: Design) -> list[Manifold]:
    """Each fixing screw driven home: shank to its point, and the cone of the head."""
    from manifold3d import Manifold

    fixing = design.spec.fixing
    cone = (fixing.head_mm - fixing.shank_mm) / 2 / math.tan(math.radians(fixing.head_angle_deg / 2))
    bodies = []
    for screw in design.plan.screws:
        head, way = np.array(screw.head), np.array(screw.direction)
        disc = rod(head, head + way * 0.05, fixing.head_mm / 2)
        neck = rod(head + way * cone, head + way * (cone + 0.05), fixing.shank_mm / 2)
        bodies.append(
            union([Manifold.batch_hull([disc, neck]), rod(head, head + way * screw.length_mm, fixing.shank_mm / 2)])
        )
    return bodies


def servo_screw_heads(design: Design) -> list[Array]:
    """Middle (3,) of each servo screw's head seat, mm, on the face of the ears away from the mount, mount frame."""
    servo = design.spec.servo
    middle = sum(servo.case_ends_mm()) / 2
    face = servo.flange_thickness_mm if design.plan.ears_rest_on == "underside" else 0.0
    seats = [(middle + along, across, face) for along, across in servo.ear_screws_mm]
    return [apply(design.datums.servo, np.array(seat)) for seat in seats]


def into_seat(design: Design) -> Array:
    """Unit vector from the ears into what they rest on, the way the servo's screws are driven, mount frame (3,)."""
    _, axis = shaft_axis(design)
    return -axis if design.plan.ears_rest_on == "underside" else axis


def plug_sweep(design: Design) -> Manifold:
    """What the servo's plug passes through on its way out of the mount."""
    from manifold3d import Manifold

    servo, plan = design.spec.servo, design.plan
    half_long = 7.0  # half of a plug's 14 mm, from memory
    wide = np.array(plan.plug_wide)
    legs = []
    for start, end in pairwise(np.array(plan.plug_path)):
        along = (end - start) / np.linalg.norm(end - start)
        thick = crossed(along, wide)
        corners = [
            point + a * servo.connector_width_mm / 2 * wide + b * servo.connector_thickness_mm / 2 * thick
            for point in (start - along * half_long, end + along * half_long)
            for a in (-1, 1)
            for b in (-1, 1)
        ]
        legs.append(Manifold.hull_points(np.array(corners)))
    return union(legs)
