"""The mount in its place as a picture: board, servo, arm, wire and screws round the printed parts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from mounts import gauge, scene
from mounts.design import Beside, Design
from mounts.export.callouts import Label
from mounts.export.kinds import drawing
from mounts.export.picture import Body, Rgb, render_picture
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
_FROM_BELOW: Vector = (-0.75, 0.6, 0.42)  # the way the eye looks: past the corner that hides least; by eye
_FROM_ABOVE: Vector = (-0.75, 0.6, -0.5)  # the same of what stands on the board


def render_view(design: Design, meshes: tuple[PartMesh, ...], *, size: tuple[int, int] = (1400, 900)) -> bytes:
    """A PNG of the mount at mid swing: a housing from above with its shell lifted, all else from below.

    Args:
        design: where everything stands.
        meshes: the parts as exported.
        size: width and height in pixels.
    """
    from_above = design.on_board and design.plan.drop_in is None  # what is let down hides under its flange
    x, y, z = _FROM_ABOVE if from_above else _FROM_BELOW
    towards = (-x if design.spec.mirror else x, y, z)
    return render_picture([*_bodies(design, meshes)], size=size, direction=towards, labels=_labels(design))


def _labels(design: Design) -> tuple[Label, ...]:
    """What is what, at the place where it shows."""
    spec, drive, datums = design.spec, design.drive, design.datums
    origin, axis = scene.shaft_axis(design)
    hole = scene.horn_hole(design, 0.0)
    screw = design.plan.screws[0]
    labels = [
        Label(_point(origin - 0.5 * axis * spec.servo.flange_underside_height_mm), f"servo {spec.servo.name}"),
        Label(_point(hole), f"arm hole {drive.horn_radius_mm:g} mm"),
        Label(datums.pin, f"wire {drive.wire_mm:g} mm, to the {drawing(design).leads_to}"),
        Label(screw.head, f"{len(design.plan.screws)} screws {spec.fixing.name} x {screw.length_mm:g} mm"),
    ]
    if design.plan.beside and spec.scale.structure_gauge is not None:
        top_z = spec.rail_top_z + spec.scale.structure_gauge.hl3_mm
        labels.append(Label((0.0, design.plan.beside.track_y, top_z), f"structure gauge of {spec.scale.name}"))
    if datums.pivot:
        labels.append(Label(datums.pivot, "pivot"))
    return tuple(labels)


def _point(point: Array) -> Vector:
    return (float(point[0]), float(point[1]), float(point[2]))


def _bodies(design: Design, meshes: tuple[PartMesh, ...]) -> Iterator[Body]:
    for number, mesh in enumerate(meshes):
        lifted = np.array([0.0, 0.0, 45.0]) if mesh.name in design.plan.lift_off else np.zeros(3)
        yield Body(apply(mesh.print_to_mount, mesh.vertices_mm) + lifted, mesh.faces, _PARTS[number % len(_PARTS)])
    yield _body(scene.servo_body(design), _SERVO)
    yield _body(scene.arm_blade(design, 0.0) + scene.hub_body(design), _ARM)
    wire = scene.union(scene.wire_pieces(scene.wire_path(design, 0.0), design.drive.wire_mm))
    yield _body(wire, _STEEL)
    bars = [scene.rod(start, end, radius) for start, end, radius in wiring(design).worked(design)]
    if bars:
        yield _body(scene.union(bars), _ARM)
    yield _body(scene.union(scene.screw_bodies(design)), _STEEL)
    around = scene.mount_body(meshes, without=design.plan.lift_off) + scene.servo_body(design)
    board = scene.board_body(design, around)
    yield _body(board, _BOARD, 0.35)
    if design.plan.beside:
        yield from _beside_track(design, design.plan.beside, board)


def _beside_track(design: Design, beside: Beside, board: Manifold) -> Iterator[Body]:
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
    yield _body(along(height, 0.0, outer, outer) - along(height, 0.0, inner, inner), _STEEL)
    if spec.scale.structure_gauge is not None:
        wider = gauge.widening(spec.scale, spec.track_radius_mm, beside.vehicles).each_side_mm
        for band in gauge.bands(spec.scale.structure_gauge, wider):
            yield _body(along(band.low, band.high, band.half_low, band.half_high), _GAUGE, 0.2)


def _body(solid: Manifold, rgb: Rgb, opacity: float = 1.0) -> Body:
    mesh = solid.to_mesh64()
    return Body(np.asarray(mesh.vert_properties[:, :3]), np.asarray(mesh.tri_verts).astype(np.int64), rgb, opacity)
