"""What the styles ask of the CAD kernel, done with flat-faced bodies in milliseconds: where things are, not how round.

A hole is square, so that its outcome can be drawn by hand; one that lies in print has a roof as well, which tells which
way is up. A name is a strip as large as its room, with a step at its end, which tells which way it is read. A chamfer
is only noted on the body (``chamfers``), and kept through whatever is done to it.
"""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import manifold3d as m3
import numpy as np
import pytest
from shapely import MultiPolygon, Polygon

SINK_MM = 1.0  # deep, of a head
FLARE_MM = 0.5  # that a slot is wider above and below its land


class Vector(tuple):  # type: ignore[type-arg]
    """Three figures with the kernel's arithmetic."""

    def __new__(cls, *at: Any) -> Vector:
        return super().__new__(cls, (float(one) for one in (at if len(at) == 3 else at[0])))

    def __add__(self, other: Any) -> Vector:
        return Vector(np.add(self, other))

    def __sub__(self, other: Any) -> Vector:
        return Vector(np.subtract(self, other))

    def __mul__(self, by: float) -> Vector:  # type: ignore[override]
        return Vector(np.multiply(self, by))

    def toTuple(self) -> tuple[float, ...]:  # noqa: N802, the kernel's name
        return tuple(self)


class Plane:
    """Asked for by unit vectors that are square to each other: the kernel would put others right without a word."""

    def __init__(self, origin: Any, xDir: Any = (1, 0, 0), normal: Any = (0, 0, 1)) -> None:  # noqa: N803, the kernel's names
        self.origin, self.xDir, self.zDir = Vector(origin), Vector(xDir), Vector(normal)
        self.yDir = Vector(np.cross(self.zDir, self.xDir))
        axes = np.array([self.xDir, self.yDir, self.zDir])
        assert np.allclose(axes @ axes.T, np.eye(3)), f"not unit vectors square to each other: {axes}"

    @property
    def frame(self) -> Any:
        return np.column_stack([self.xDir, self.yDir, self.zDir, self.origin])


@dataclass(frozen=True)
class Body:
    """A solid."""

    form: m3.Manifold
    chamfers: tuple[tuple[str, float], ...] = ()

    def _with(self, form: m3.Manifold) -> Body:
        return Body(form, self.chamfers)

    def fuse(self, *others: Body) -> Body:
        noted = self.chamfers + tuple(note for other in others for note in other.chamfers)
        return Body(m3.Manifold.batch_boolean([self.form, *(one.form for one in others)], m3.OpType.Add), noted)

    def cut(self, *others: Body) -> Body:
        return self._with(m3.Manifold.batch_boolean([self.form, *(one.form for one in others)], m3.OpType.Subtract))

    def clean(self) -> Body:
        return self

    def mirror(self, plane: str) -> Body:
        return self._with(self.form.mirror([float(axis not in plane) for axis in "XYZ"]))

    def rotate(self, _: Any, axis: Any, degrees: float) -> Body:
        """About an axis through the origin."""
        return self._with(self.form.rotate(np.multiply(axis, degrees)))

    def translate(self, by: Any) -> Body:
        return self._with(self.form.translate(by))

    def moved(self, by: Any) -> Body:
        return self.translate(by)

    def faces(self, which: str) -> Any:
        """With one wire, whose edges are the face's name: all that is chamfered of a face."""
        wire = SimpleNamespace(Length=lambda: 1.0, Edges=lambda: which)
        return SimpleNamespace(Wires=lambda: [wire])

    def chamfer(self, mm: float, _: None, edges: str) -> Body:
        return Body(self.form, (*self.chamfers, (edges, mm)))


@dataclass(frozen=True)
class Part:
    """As ``mounts.solid.part`` has it."""

    name: str
    solid: Body
    print_to_mount: Any
    through_holes: int
    role: str = "frame"


def drawn(plane: Any, outline: Sequence[Any], height: float, holes: Sequence[Any] = ()) -> m3.Manifold:
    """A polygon of a plane drawn out along its normal, whichever way it goes round."""
    flat = Polygon(outline, holes)
    assert flat.is_valid, f"an outline that crosses itself: {outline}"
    rings = [list(ring.coords)[:-1] for ring in (flat.exterior, *flat.interiors)]
    form = m3.Manifold.extrude(m3.CrossSection(rings, m3.FillRule.EvenOdd), abs(height))
    return form.translate((0, 0, min(height, 0.0))).transform(plane.frame)


def level(z: float) -> Plane:
    return Plane((0, 0, z), (1, 0, 0), (0, 0, 1))


def along_x(x: float) -> Plane:
    """Its outlines are in y and z."""
    return Plane((x, 0, 0), (0, 1, 0), (1, 0, 0))


def along_y(y: float) -> Plane:
    """Its outlines are in x and z; drawn out towards −y."""
    return Plane((0, y, 0), (1, 0, 0), (0, -1, 0))


def block(x: Any, y: Any, z: Any) -> m3.Manifold:
    low, high = zip(*(sorted(side) for side in (x, y, z)), strict=True)
    return m3.Manifold.cube(np.subtract(high, low)).translate(low)


def square(at: Any, wide: float, point: Any = None) -> list[tuple[float, float]]:
    """Outline of a hole: of one that lies with a roof, as high again as half of it, towards ``point``."""
    (x, y), half = at, wide / 2
    up = (0.0, 1.0) if point is None else point
    right = (up[1], -up[0])
    local = [(-half, -half), (half, -half), (half, half)] + ([] if point is None else [(0.0, wide)]) + [(-half, half)]
    return [(x + u * right[0] + v * up[0], y + u * right[1] + v * up[1]) for u, v in local]


def prism(plane: Any, outline: Any, height: float, holes: Any = (), bores: Any = ()) -> Body:
    """No corner may be told twice in a row: the kernel has no edge of no length."""
    assert all(tuple(a) != tuple(b) for a, b in pairwise([*outline, outline[0]])), outline
    return Body(drawn(plane, outline, height, [*holes, *(square(at, wide) for at, wide in bores)]))


def chamfered(body: Body, face: str, mm: float) -> Body:
    return Body(body.form, (*body.chamfers, (face, mm)))


def chamfered_plate(
    x: Any, y: Any, *, top_z: float, thickness_mm: float, corner_mm: float, chamfer_mm: float, holes: Any
) -> Body:
    """Its corners are square."""
    bores = [drawn(level(top_z - thickness_mm), square(at, wide), thickness_mm) for *at, wide in holes]
    body = Body(block(x, y, (top_z - thickness_mm, top_z))).cut(*map(Body, bores))
    return chamfered(body, f">Z, {corner_mm:g} mm corners", chamfer_mm)


def countersink(head: Any, fixing: Any) -> Body:
    """From 0.1 mm below a face into it, as wide as the head."""
    return Body(drawn(level(head[2] - 0.1), square(head[:2], fixing.head_mm), SINK_MM + 0.1))


@dataclass(frozen=True)
class Hole:
    """As ``mounts.solid.faces`` has it, of one outline."""

    plane: Any
    rings: Any
    blind: bool = False

    @property
    def form(self) -> m3.Manifold:
        (first, at_face), (last, deep) = self.rings
        assert (first, at_face) == (last, 0.0)
        return drawn(self.plane, first, -deep)


def pierced(body: Body, holes: Iterable[Any], _: str) -> Body:
    return body.cut(*(Body(hole.form) for hole in holes))


def written(body: Body, plane: Any, letters: MultiPolygon, height_mm: float, _: str) -> Body:
    strips = [Body(drawn(plane, list(one.exterior.coords)[:-1], height_mm)) for one in letters.geoms]
    return body.fuse(*strips) if height_mm > 0 else body.cut(*strips)


def lying_screw(plane: Any, at: Any, fixing: Any, *, bore_mm: float, deep_mm: float, up: Any) -> Any:
    """Square, with a roof, as wide as the head down to ``SINK_MM``."""
    bore, head = drawn(plane, square(at, bore_mm, up), -deep_mm), drawn(plane, square(at, fixing.head_mm, up), -SINK_MM)
    return SimpleNamespace(form=bore + head)


def dimple(at: Any, into: Any) -> Body:
    """1 mm wide, 0.8 deep."""
    end = np.add(at, np.multiply(into, 0.8))
    low, high = np.minimum(at, end), np.maximum(at, end)
    wide = [0.5 * (a == b) for a, b in zip(low, high, strict=True)]
    return Body(block(*zip(low - wide, high + wide, strict=True)))


def index_notch(at: Any, inwards: Any, *, deep_mm: float, half_mm: float) -> list[Any]:
    across = (-inwards[1], inwards[0])
    corners = [np.add(at, np.multiply(across, side)) for side in (-half_mm, half_mm)]
    return [*corners, np.add(at, np.multiply(inwards, deep_mm))]


def pivot_slot(
    plane: Any, at: Any, *, deep_mm: float, length_x_mm: float, width_y_mm: float, land_mm: float, flare_deg: float,
    roofed: bool = False,
) -> Any:  # fmt: skip
    """Wider above and below its land; a roofed one is longer by a millimetre towards +x."""
    x, y = (-length_x_mm / 2, length_x_mm / 2 + roofed), width_y_mm / 2
    land = (-(deep_mm - land_mm) / 2, -(deep_mm + land_mm) / 2)
    lands = [block(x, (side * y, side * (y + 1.0)), land) for side in (-1, 1)]
    form = block(x, (-y - FLARE_MM, y + FLARE_MM), (0.0, -deep_mm)) - lands[0] - lands[1]
    return SimpleNamespace(form=form.translate((*at, 0.0)).transform(plane.frame))


def outline(text: str, *, capital_mm: float, pen_mm: float, room_mm: Any) -> MultiPolygon:
    """As large as its room, its top right quarter left out; nothing of an empty text or in no room."""
    x, y = (side / 2 for side in room_mm)
    if not text or min(x, y) < pen_mm:
        return MultiPolygon()
    return MultiPolygon([Polygon([(-x, -y), (x, -y), (x, 0.0), (0.0, 0.0), (0.0, y), (-x, y)])])


def foot_opening(wall: Any, sides: Any, top_z: float, *, depth_mm: float, before_mm: float, **_: Any) -> Body:
    """Square."""
    start = Plane(wall.origin + wall.zDir * before_mm, wall.xDir, wall.zDir)
    (left, right), low = sides, -1.0
    corners = [(left, low), (right, low), (right, top_z), (left, top_z)]
    return Body(drawn(start, corners, -(depth_mm + before_mm)))


def stacked(rings: Iterable[Any], _: str) -> Body:
    """Of convex rings; the hull of each two neighbours."""
    rings = list(rings)
    pieces = [m3.Manifold.hull_points(np.concatenate(pair)) for pair in pairwise(rings)]
    return Body(m3.Manifold.batch_boolean(pieces, m3.OpType.Add))


def chamfered_prism(plane: Any, outline: Any, height: float, chamfer: float, _: str) -> Body:
    return Body(drawn(plane, outline, height), (("plane", chamfer),))


def rectangle(x: Any, y: Any, z: float) -> Any:
    return np.array([(x[0], y[0], z), (x[1], y[0], z), (x[1], y[1], z), (x[0], y[1], z)])


def one_solid(body: Body, _: str, __: Body | None = None) -> Body:
    assert len(body.form.decompose()) == 1
    return body


def extent_mm(body: Body) -> Any:
    bounds = body.form.bounding_box()
    return bounds[:3], bounds[3:]


def same(made: Body, expected: m3.Manifold) -> None:
    """Nothing of one is outside the other."""
    lacks, has = (expected - made.form), (made.form - expected)
    told = (
        f"lacks {lacks.volume():.3f} mm³ in {lacks.bounding_box()}, has {has.volume():.3f} more in {has.bounding_box()}"
    )
    assert lacks.volume() + has.volume() < 1e-4 * expected.volume() ** (2 / 3), told


def stands_in_the_corner(part: Part) -> None:
    """In print: on the bed, from the origin on."""
    low = part.solid.form.transform(np.linalg.inv(np.array(part.print_to_mount))[:3]).bounding_box()[:3]
    assert low == pytest.approx((0, 0, 0), abs=1e-6)


def install(monkeypatch: pytest.MonkeyPatch) -> None:
    """In the place of CadQuery and of the modules of ``mounts.solid``."""
    rooms: dict[str, dict[str, Any]] = {
        "plates": {"prism": prism, "chamfered": chamfered, "chamfered_plate": chamfered_plate},
        "holes": {
            "circle": square, "teardrop": lambda at, wide, *, point: square(at, wide, point), "dimple": dimple,
            "countersink": countersink, "index_notch": index_notch, "pivot_slot": pivot_slot,
            "lying_screw": lying_screw,
        },
        "relief": {"foot_opening": foot_opening},
        "polyhedron": {"rectangle": rectangle, "stacked": stacked, "chamfered_prism": chamfered_prism},
        "lettering": {"outline": outline},
        "faces": {"Hole": Hole, "pierced": pierced, "written": written},
        "guard": {"kernel_step": lambda *_: contextlib.nullcontext(), "one_solid": one_solid},
        "part": {"Part": Part},
        "tessellate": {"extent_mm": extent_mm},
    }  # fmt: skip
    monkeypatch.setitem(sys.modules, "cadquery", SimpleNamespace(Plane=Plane, Vector=Vector, Location=lambda by: by))
    made = {name: SimpleNamespace(**held) for name, held in rooms.items()}
    monkeypatch.setitem(sys.modules, "mounts.solid", SimpleNamespace(**made))
    for name, module in made.items():
        monkeypatch.setitem(sys.modules, f"mounts.solid.{name}", module)
