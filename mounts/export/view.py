"""The mount as pictures: in its place, and taken apart with a number at each piece."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from mounts import gauge, scene
from mounts.design import Beside, Design
from mounts.drive.kinds import kind_of
from mounts.export.callouts import Label
from mounts.export.picture import Body, Rgb, points_shown, render_picture, shown_px
from mounts.frames import Array, Vector, apply
from mounts.mesh import PartMesh
from mounts.scene_kinds import wiring

if TYPE_CHECKING:
    from manifold3d import Manifold

# colours, by eye: parts stand out, what is there anyway does not
_PARTS: tuple[Rgb, ...] = ((214, 142, 62), (146, 160, 108), (176, 92, 74))
_SERVO: Rgb = (74, 92, 122)
_ARM: Rgb = (236, 234, 226)
_STEEL: Rgb = (128, 132, 138)
_BOARD: Rgb = (222, 200, 160)
_GAUGE: Rgb = (120, 170, 220)
_HEAD_GAUGES = 0.045  # a rail's head, 65 to 70 mm under 1.435 m gauge; common practice, no source
_TALLEST_GAUGE_MM = 500.0  # above any structure gauge, so that none is cut off
_SIDES = ((-0.75, 0.6), (-0.75, -0.6))  # along the track, across it; the same from the other end of a mirrored mount
_LOOKING_UP, _LOOKING_DOWN = 0.42, -0.5
_LIFTED_MM = 45.0
_APART_MM = 12.0  # between pieces taken apart
_ASIDE = 0.25  # of its width a piece is lifted more, so that its near edge hides nothing below it
_SIZE, _TALL = (1120, 750), (1120, 900)
_ROUND = 24  # sides of the drawn wire


@dataclass(frozen=True)
class Item:
    """A piece of a mount that a person takes in hand.

    Attributes:
        number: in the picture, from 1.
        name: what it is, with its size.
        words: how the steps call it; the longer name of another piece is no mention of this one.
    """

    number: int
    name: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class Views:
    """Both pictures, PNG."""

    in_place: bytes
    apart: bytes


@dataclass(frozen=True)
class Piece:
    """An item as bodies, with the way it is moved when the mount is taken apart, mm (3,)."""

    item: Item
    bodies: tuple[Body, ...]
    moved: Array


def render_views(design: Design, meshes: Sequence[PartMesh]) -> Views:
    """The mount at mid swing, a bracket seen from below, a housing from above with its shell lifted; and taken apart.

    Both are seen from the side that shows most of what they are made of.

    Args:
        design: where everything stands.
        meshes: the parts as exported.
    """
    found = [*pieces(design, meshes)]
    towards = _best_side(design, found)
    in_place = render_picture(
        [*_in_place(design, meshes, found)], size=_SIZE, direction=towards, labels=_labels(design)
    )
    apart = [replace(body, vertices=body.vertices + piece.moved) for piece in found for body in piece.bodies]
    numbered = [piece.item for piece in found for _ in piece.bodies]
    labels = {
        item.number: Label(point, f"{item.number}  {item.name}")
        for item, point in zip(numbered, points_shown(apart, towards), strict=True)
        if point
    }
    return Views(in_place, render_picture(apart, size=_TALL, direction=towards, labels=[*labels.values()]))


def items(design: Design, meshes: Sequence[PartMesh]) -> tuple[Item, ...]:
    """What the picture of a mount taken apart has numbers for, in their order."""
    spec, main = design.spec, "frame" if design.plan.lift_off else "mount"
    named: list[tuple[str, tuple[str, ...]]] = [
        (mesh.name or main, (mesh.name,) if mesh.name else ("frame", "mount", "plate")) for mesh in meshes
    ]
    one = len(kind_of(design.drive).wires_y(design.drive)) == 1
    named += [
        (f"servo {spec.servo.name}", ("servo",)),
        ("servo's arm", ("arm",)),
        (f"{'wire' if one else 'two wires'} {design.drive.wire_mm:g} mm", ("wire", "rod")),
        ("screws of the servo", ("servo's own screws", "servo's screws", "its own screws")),
    ]
    if not spec.bonded:
        lengths = sorted({screw.length_mm for screw in design.plan.screws})
        told = " and ".join(f"{length:g}" for length in lengths)
        what = "bolts" if spec.fixing.kind == "bolt" else "screws"
        named.append(
            (f"{what} {spec.fixing.shank_mm:g} x {told} mm", ("fixing screws", "screw it on", "screws", "bolts"))
        )
    if design.plan.pad_xy:
        named.append((f"plywood pad {spec.pad_mm:g} mm", ("pad",)))
    if (down := design.plan.drop_in) and (backing := down.backing):
        what = "frame" if backing.let_in else "strips"
        named.append((f"plywood {what} {backing.thick_mm:g} mm", (what,)))
    return tuple(Item(number, name, words) for number, (name, words) in enumerate(named, start=1))


def _best_side(design: Design, found: Sequence[Piece]) -> Vector:
    """The way to look that shows most of every piece, compared with where most of it shows."""
    bodies = [body for piece in found for body in piece.bodies]
    of = [at for at, piece in enumerate(found) for _ in piece.bodies]
    down = design.on_board and design.plan.drop_in is None  # what is let down hides under its flange
    z, along = (_LOOKING_DOWN if down else _LOOKING_UP), (-1.0 if design.spec.mirror else 1.0)
    ways = [(side * along * x, y, z) for side in (1.0, -1.0) for x, y in _SIDES]
    shown = np.array([np.bincount(of, shown_px(bodies, way)) for way in ways])
    shares = np.round((shown / np.maximum(shown.max(axis=0), 1.0)).sum(axis=1), 2)
    return ways[int(np.argmax(shares))]


def _labels(design: Design) -> tuple[Label, ...]:
    """What is what, at the place where it shows."""
    spec, drive, datums = design.spec, design.drive, design.datums
    origin, axis = scene.shaft_axis(design)
    hole = scene.horn_hole(design, 0.0)
    screw = design.plan.screws[0]
    labels = [
        Label(_point(origin - 0.5 * axis * spec.servo.flange_underside_height_mm), f"servo {spec.servo.name}"),
        Label(_point(hole), f"arm hole {drive.horn_radius_mm:g} mm"),
        Label(datums.pin, f"wire {drive.wire_mm:g} mm"),
        Label(screw.head, f"{len(design.plan.screws)} screws {spec.fixing.shank_mm:g} x {screw.length_mm:g}"),
    ]
    if design.plan.beside and spec.scale.structure_gauge is not None:
        top_z = spec.rail_top_z + spec.scale.structure_gauge.hl3_mm
        labels.append(Label((0.0, design.plan.beside.track_y, top_z), "structure gauge"))
    if datums.pivot:
        labels.append(Label(datums.pivot, "pivot"))
    return tuple(labels)


def _point(point: Array) -> Vector:
    return (float(point[0]), float(point[1]), float(point[2]))


def pieces(design: Design, meshes: Sequence[PartMesh]) -> Iterator[Piece]:
    """Each item where it belongs at mid swing, and how far it goes when all are taken apart.

    The servo leaves along its way out, arm and wire further along the shaft, screws the way they came; what lifts off
    goes above everything.

    Args:
        design: where everything stands.
        meshes: the parts as exported; none, where they are not modelled yet: then they are left out.
    """
    numbered = iter(items(design, meshes))
    _, axis = scene.shaft_axis(design)
    way = np.array(design.plan.way_out)
    servo = body_of(scene.servo_body(design), _SERVO)
    parts = [apply(mesh.print_to_mount, mesh.vertices_mm) for mesh in meshes]
    standing = [points for points, mesh in zip(parts, meshes, strict=True) if not _lifts(design, mesh)]
    fixed = np.vstack(standing or [servo.vertices])
    out = way * max(0.0, float((fixed @ way).max() - (servo.vertices @ way).min()) + _APART_MM)
    arm = body_of(scene.arm_blade(design, 0.0) + scene.hub_body(design), _ARM)
    arm_out = out + axis * (design.spec.servo.arm_slide_mm + _APART_MM)
    wires = tuple(tube(path, design.drive.wire_mm) for path in scene.wire_paths(design, 0.0))
    wire_out = arm_out + axis * _APART_MM
    heads = [body_of(screw, _STEEL) for screw in _servo_screws(design)]
    heads_out = out - scene.into_seat(design) * (design.servo_screw_length_mm + _APART_MM / 2)
    moved = [(servo, out), (arm, arm_out)]
    moved += [*((wire, wire_out) for wire in wires), *((head, heads_out) for head in heads)]
    top = max(float((body.vertices + shift)[:, 2].max()) for body, shift in moved)
    for count, (points, mesh) in enumerate(zip(parts, meshes, strict=True)):
        up = 0.0
        if _lifts(design, mesh):
            aside = _ASIDE * float(np.ptp(points[:, :2], axis=0).max())
            up = max(0.0, top + _APART_MM + aside - float(points[:, 2].min()))
            top = float(points[:, 2].max()) + up
        yield Piece(next(numbered), (Body(points, mesh.faces, _PARTS[count % len(_PARTS)]),), np.array([0.0, 0.0, up]))
    yield Piece(next(numbered), (servo,), out)
    yield Piece(next(numbered), (arm,), arm_out)
    yield Piece(next(numbered), wires, wire_out)
    yield Piece(next(numbered), tuple(heads), heads_out)
    if not design.spec.bonded:
        screws = design.plan.screws
        back = -np.array(screws[0].direction) * (max(screw.length_mm for screw in screws) + _APART_MM / 2)
        bodies = tuple(body_of(screw, _STEEL) for screw in scene.screw_bodies(design))
        yield Piece(next(numbered), bodies, back)
    if corners := design.plan.pad_xy:
        z = -design.spec.board.thickness_mm
        (x0, y0), (x1, y1) = (tuple(side(of) for of in zip(*corners, strict=True)) for side in (min, max))
        pad = scene.box((x0, y0, z), (x1, y1, z + design.spec.pad_mm))
        yield Piece(next(numbered), (body_of(pad, _BOARD),), np.array([0.0, 0.0, _APART_MM]))
    if plywood := scene.backing_bodies(design):
        over = float(fixed[:, 2].max()) + max(screw.length_mm for screw in design.plan.screws) + 2 * _APART_MM
        up = over - min(one.bounding_box()[2] for one in plywood)
        yield Piece(next(numbered), tuple(body_of(one, _BOARD) for one in plywood), np.array([0.0, 0.0, up]))


def _lifts(design: Design, mesh: PartMesh) -> bool:
    return mesh.name in design.plan.lift_off


def _servo_screws(design: Design) -> Iterator[Manifold]:
    """The servo's screws in its ears."""
    servo, way = design.spec.servo, scene.into_seat(design)
    for head in scene.servo_screw_heads(design):
        shank = scene.rod(head, head + way * design.servo_screw_length_mm, servo.screw_mm / 2)
        yield shank + scene.rod(head - way * servo.screw_mm * 0.6, head, servo.screw_head_mm / 2)


def _in_place(design: Design, meshes: Sequence[PartMesh], found: Sequence[Piece]) -> Iterator[Body]:
    for piece, mesh in zip(found, meshes, strict=False):
        lifted = np.array([0.0, 0.0, _LIFTED_MM if _lifts(design, mesh) else 0.0])
        yield from (replace(body, vertices=body.vertices + lifted) for body in piece.bodies)
    for piece in found[len(meshes) :]:
        yield from piece.bodies
    yield from worked(design, 0.0)
    yield from (body for _, body in surroundings(design, meshes, found))


def worked(design: Design, theta_rad: float) -> list[Body]:
    """What the wire works at an arm angle, as one body; none where a drive throws points."""
    bars = [scene.rod(start, end, radius) for start, end, radius in wiring(design).worked(design, theta_rad)]
    return [body_of(scene.union(bars), _ARM)] if bars else []


def surroundings(
    design: Design, meshes: Sequence[PartMesh], found: Sequence[Piece]
) -> Iterator[tuple[Literal["board", "rails", "gauge"], Body]]:
    """What is there anyway round the pieces of a mount: the board, and beside a track its rails and their room.

    Args:
        design: where everything stands.
        meshes: the parts as exported; none, where they are not modelled yet.
        found: pieces of the mount, those of the meshes first.
    """
    fixed = [
        body.vertices
        for piece, mesh in zip(found, meshes, strict=False)
        for body in piece.bodies
        if not _lifts(design, mesh)
    ]
    points = np.vstack([*fixed, *(body.vertices for body in found[len(meshes)].bodies)])
    board = scene.board_body(design, scene.box(points.min(axis=0), points.max(axis=0)))
    yield "board", body_of(board, _BOARD, 0.35)
    if design.plan.beside:
        yield from _beside_track(design, design.plan.beside, board)


def _beside_track(design: Design, beside: Beside, board: Manifold) -> Iterator[tuple[Literal["rails", "gauge"], Body]]:
    """Rails, and the room that the structure gauge leaves to the trains, as far along the track as the board goes."""
    spec = design.spec
    left, front, _, right, back, _ = board.bounding_box()
    shown = scene.box((left, front - spec.scale.track_gauge_mm, 0.0), (right, back, _TALLEST_GAUGE_MM))
    bend: gauge.Bend = "straight" if spec.track_radius_mm is None else "inside"
    if spec.track_radius_mm is not None and beside.curve == "outside":
        bend = "outside"
    track = gauge.Track(beside.track_y, bend, spec.track_radius_mm)

    def along(low: float, high: float, half_low: float, half_high: float) -> Manifold:
        band = gauge.Band(low, high, half_low, half_high)
        return gauge.swept(band, track, rail_top_z=spec.rail_top_z, x_span=(left, right)) ^ shown

    height, inner = -spec.scale.rail_top_above_roadbed_mm, spec.scale.track_gauge_mm / 2
    outer = inner + _HEAD_GAUGES * spec.scale.track_gauge_mm
    yield "rails", body_of(along(height, 0.0, outer, outer) - along(height, 0.0, inner, inner), _STEEL)
    if spec.scale.structure_gauge is not None:
        wider = gauge.widening(spec.scale, spec.track_radius_mm, beside.vehicles).each_side_mm
        for band in gauge.bands(spec.scale.structure_gauge, wider):
            yield "gauge", body_of(along(band.low, band.high, band.half_low, band.half_high), _GAUGE, 0.2)


def body_of(solid: Manifold, rgb: Rgb, opacity: float = 1.0) -> Body:
    """A solid as a picture has it."""
    mesh = solid.to_mesh64()
    return Body(np.asarray(mesh.vert_properties[:, :3]), np.asarray(mesh.tri_verts).astype(np.int64), rgb, opacity)


def tube(path: Array, diameter_mm: float) -> Body:
    """A round wire along a polyline (n, 3), mitred at its corners."""
    steps = np.diff(path, axis=0)
    lengths = np.linalg.norm(steps, axis=1)
    path = path[np.append(True, lengths > 1e-9)]
    ways = steps[lengths > 1e-9] / lengths[lengths > 1e-9, None]
    angles = np.arange(_ROUND) * 2 * np.pi / _ROUND
    helper = np.eye(3)[int(np.argmin(np.abs(ways[0])))]
    aside = np.cross(ways[0], helper)
    aside /= np.linalg.norm(aside)
    ring = np.outer(np.cos(angles), aside) + np.outer(np.sin(angles), np.cross(ways[0], aside))
    rings = [path[0] + diameter_mm / 2 * ring]
    for at, way in enumerate(ways, start=1):
        across = way + ways[at] if at < len(ways) else way  # square to the plane that both pieces end in
        rings.append(rings[-1] + np.outer((path[at] - rings[-1]) @ across / (way @ across), way))
    count = len(rings)
    here = np.arange((count - 1) * _ROUND)
    turned = here // _ROUND * _ROUND + (here + 1) % _ROUND
    around = np.arange(1, _ROUND - 1)
    last = (count - 1) * _ROUND
    faces = [
        np.column_stack([here, turned, here + _ROUND]),
        np.column_stack([turned, turned + _ROUND, here + _ROUND]),
        np.column_stack([np.zeros_like(around), around + 1, around]),
        np.column_stack([np.full_like(around, last), last + around, last + around + 1]),
    ]
    return Body(np.vstack(rings), np.concatenate(faces), _STEEL)
