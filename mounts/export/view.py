"""The mount in its place as a picture: board, servo, arm, wire and screws round the printed parts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from mounts import scene
from mounts.design import Design
from mounts.drive.model import RockingWireDrive
from mounts.export.callouts import Label
from mounts.export.picture import Body, Rgb, render_picture
from mounts.frames import Array, Vector, apply
from mounts.mesh import PartMesh

if TYPE_CHECKING:
    from manifold3d import Manifold

_PARTS: tuple[Rgb, ...] = ((214, 142, 62), (146, 160, 108), (176, 92, 74))
_SERVO: Rgb = (74, 92, 122)
_ARM: Rgb = (236, 234, 226)
_STEEL: Rgb = (128, 132, 138)
_BOARD: Rgb = (222, 200, 160)
_FROM_BELOW: Vector = (-0.75, 0.6, 0.42)
_FROM_ABOVE: Vector = (-0.75, 0.6, -0.5)


def render_view(design: Design, meshes: tuple[PartMesh, ...], *, size: tuple[int, int] = (1400, 900)) -> bytes:
    """A PNG of the mount at mid swing: a bracket seen from below, a housing from above with its shell lifted.

    Args:
        design: where everything stands.
        meshes: the parts as exported.
        size: width and height in pixels.
    """
    below = isinstance(design.drive, RockingWireDrive)
    x, y, z = _FROM_BELOW if below else _FROM_ABOVE
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
        Label(datums.pin, f"wire {drive.wire_mm:g} mm, to the tie bar"),
        Label(screw.head, f"{len(design.plan.screws)} screws {spec.fixing.name} x {screw.length_mm:g} mm"),
    ]
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
    yield _body(scene.union(scene.screw_bodies(design)), _STEEL)
    around = scene.mount_body(meshes, without=design.plan.lift_off) + scene.servo_body(design)
    yield _body(scene.board_body(design, around), _BOARD, 0.35)


def _body(solid: Manifold, rgb: Rgb, opacity: float = 1.0) -> Body:
    mesh = solid.to_mesh64()
    return Body(np.asarray(mesh.vert_properties[:, :3]), np.asarray(mesh.tri_verts).astype(np.int64), rgb, opacity)
