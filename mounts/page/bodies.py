"""A mount in its place as bodies that a browser shows: what moves, what is taken apart, what a plane cuts off."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np

from mounts import scene
from mounts.design import Design
from mounts.drive.model import PointsDrive
from mounts.export.picture import Body, Rgb
from mounts.export.view import Piece, body_of, pieces, surroundings, tube, worked
from mounts.frames import Array, Vector
from mounts.mesh import PartMesh
from mounts.scene_site import near_rail, track_y
from mounts.stl import write_stl

Moves = Literal["stays", "arm", "wire", "tie bar", "worked"]
Axis = Literal["along the track", "across the track", "upright"]

# colours, by eye: rails as in the pictures of view.py, what moves a little lighter
_RAIL: Rgb = (128, 132, 138)
_BLADE: Rgb = (156, 160, 166)
_TIE_BAR: Rgb = (94, 78, 62)
_TRACK_MM = 70.0  # of rails shown on a mount under the board; by eye
_BLADE_MM = 30.0  # likewise of the blades; by eye
_RAIL_HIGH, _RAIL_WIDE = 0.09, 0.045  # of the gauge: height and head of a rail; common practice, no source
_TIE_BAR_MM = (1.6, 0.8)  # along the track, half its height; by eye
_AXES: dict[Axis, int] = {"along the track": 0, "across the track": 1, "upright": 2}  # of the mount frame


class Cut(NamedTuple):
    """A plane that takes away what lies beyond it."""

    axis: Axis
    at_mm: float


@dataclass(frozen=True)
class Shown:
    """One body as the browser has it.

    Attributes:
        key: the same for the same thing while the mount changes.
        label: in words.
        stl: binary STL; of what turns with the arm, from the shaft.
        rgb: 0 to 255 each.
        opacity: 1 hides what is behind.
        apart: how far it goes when all is taken apart, mm.
        moves: with what.
    """

    key: str
    label: str
    stl: bytes
    rgb: Rgb
    opacity: float
    apart: Vector
    moves: Moves

    @property
    def name(self) -> str:
        """Of its file: the same bytes have the same."""
        return f"{hashlib.sha256(self.stl).hexdigest()[:40]}.stl"


def bodies(design: Design, meshes: Sequence[PartMesh], cut: Cut | None = None) -> tuple[Shown, ...]:
    """Everything at mid swing.

    Args:
        design: where everything stands.
        meshes: the parts as exported; none, where they are not modelled yet.
        cut: what is cut off; None: nothing.
    """
    return tuple(_shown(design, meshes, cut))


def moving(design: Design, theta_rad: float, cut: Cut | None = None, apart: Vector = (0, 0, 0)) -> tuple[Shown, ...]:
    """What changes its shape as the arm swings: the wire, and what it works.

    Args:
        design: where everything stands.
        theta_rad: arm angle from mid swing.
        cut: what is cut off.
        apart: how far the wire goes when all is taken apart, as ``bodies`` has it.
    """
    paths = [scene.pressed_path(design, theta_rad), *scene.wire_paths(design, theta_rad)[1:]]
    wires = [tube(path, design.drive.wire_mm) for path in paths]
    found = [_one("wire", f"wire {design.drive.wire_mm:g} mm", wires, apart, "wire", cut)]
    found += [_one("worked", "what it works", [body], (0, 0, 0), "worked", cut) for body in worked(design, theta_rad)]
    return tuple(one for one in found if one is not None)


def arm_turned(design: Design, theta_rad: float) -> tuple[Array, Array]:
    """Rotation (3, 3) of the arm from mid swing, and the shaft (3,) that it turns about, mm."""
    origin, axis = scene.shaft_axis(design)
    angle = scene.turning_sense(design) * theta_rad
    x, y, z = axis
    skew = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + np.sin(angle) * skew + (1 - np.cos(angle)) * skew @ skew, origin


def _shown(design: Design, meshes: Sequence[PartMesh], cut: Cut | None) -> Iterator[Shown]:
    found = [*pieces(design, meshes)]
    keys = [*(f"part {mesh.name}".strip() for mesh in meshes), "servo", "arm", "wire"]
    keys += [f"piece {count}" for count in range(len(found) - len(keys))]
    for key, piece in zip(keys, found, strict=True):
        shown = _piece(design, key, piece, cut)
        if shown is not None:
            yield shown
    around = [_one(name, _WORDS[name], [body], (0, 0, 0), "stays", cut)
              for name, body in surroundings(design, meshes, found)]  # fmt: skip
    around += [_one("worked", "what it works", [body], (0, 0, 0), "worked", cut) for body in worked(design, 0.0)]
    around += _points(design, cut, rails=all(one is None or one.key != "rails" for one in around))
    rows: dict[str, int] = {}
    for one in around:
        if one is not None:
            count = rows[one.key] = rows.get(one.key, -1) + 1
            yield one if not count else Shown(**{**vars(one), "key": f"{one.key} {count}"})


_WORDS = {"board": "board and roadbed", "rails": "rails", "gauge": "structure gauge"}


def _piece(design: Design, key: str, piece: Piece, cut: Cut | None) -> Shown | None:
    apart = (float(piece.moved[0]), float(piece.moved[1]), float(piece.moved[2]))
    if key == "arm":
        origin, _ = scene.shaft_axis(design)
        turning = [Body(body.vertices - origin, body.faces, body.rgb, body.opacity) for body in piece.bodies]
        return _one(key, piece.item.name, turning, apart, "arm", None)
    if key == "wire":
        return next((one for one in moving(design, 0.0, cut, apart) if one.key == "wire"), None)
    return _one(key, piece.item.name, piece.bodies, apart, "stays", cut)


def _points(design: Design, cut: Cut | None, *, rails: bool) -> list[Shown | None]:
    """Stock rails, and tie bar with its blades, of a drive that throws points; the blades stand at mid throw."""
    spec = design.spec
    if not isinstance(design.drive, PointsDrive):
        return []
    gauge, middle, top = spec.scale.track_gauge_mm, track_y(design), spec.rail_top_z
    wide, tall = _RAIL_WIDE * gauge, _RAIL_HIGH * gauge
    half = _TRACK_MM / 2
    found: list[Shown | None] = []
    if rails:
        stock = [scene.box((-half, middle + side - (wide if side < 0 else 0), top - tall),
                           (half, middle + side + (0 if side < 0 else wide), top))
                 for side in (-gauge / 2, gauge / 2)]  # fmt: skip
        found.append(_one("rails", "stock rails", [body_of(scene.union(stock), _RAIL)], (0, 0, 0), "stays", cut))
    open_mm = spec.throw_mm / 2
    blades = [scene.box((-1.0, middle + y - wide / 2, top - tall), (_BLADE_MM, middle + y + wide / 2, top - tall * 0.1))
              for y in (-gauge / 2 + open_mm + wide / 2, gauge / 2 - open_mm - wide / 2)]  # fmt: skip
    along, high = _TIE_BAR_MM
    far = max(gauge / 2, near_rail(design).outer_y - middle + 2.0 if design.plan.beside is None else -middle + 2.0)
    bar = scene.box((-along / 2, middle - gauge / 2, spec.pin_height_mm - high),
                    (along / 2, middle + far, spec.pin_height_mm + high))  # fmt: skip
    both = [body_of(scene.union(blades), _BLADE), body_of(bar, _TIE_BAR)]
    found.append(_one("blades", "blades", both[:1], (0, 0, 0), "tie bar", cut))
    found.append(_one("tie bar", "tie bar", both[1:], (0, 0, 0), "tie bar", cut))
    return found


def _one(
    key: str, label: str, of: Sequence[Body], apart: Vector, moves: Moves, cut: Cut | None
) -> Shown | None:  # fmt: skip
    """Bodies of one colour as one; None where the plane leaves nothing of it."""
    left = [*of] if cut is None else [less for body in of if (less := _trimmed(body, cut)) is not None]
    if not left:
        return None
    shifts = np.cumsum([0, *(len(body.vertices) for body in left)])[:-1]
    vertices = np.concatenate([body.vertices for body in left])
    faces = np.concatenate([body.faces + shift for body, shift in zip(left, shifts, strict=True)])
    return Shown(key, label, write_stl(vertices, faces), left[0].rgb, left[0].opacity, apart, moves)


def _trimmed(body: Body, cut: Cut) -> Body | None:
    """What of a closed body lies before the plane."""
    from manifold3d import Manifold, Mesh64

    normal = [0.0, 0.0, 0.0]
    normal[_AXES[cut.axis]] = -1.0
    whole = Manifold(Mesh64(np.array(body.vertices, order="C"), np.array(body.faces, np.uint64, order="C")))
    left = whole.trim_by_plane(normal, -cut.at_mm)
    if left.is_empty():
        return None
    return body_of(left, body.rgb, body.opacity)
