"""Grassed bank: a hollow mound with a rough top that holds scatter, steep towards the track.

                    ____
                  ╱╱‾‾‾╲ ╲
               ╱ ╱      ╲   ╲       ceiling at 45°, its ridge a short bridge
      track   ╱ │  room  │    ╲     slopes as natural as the height allows
             ╱  │        │      ╲
            ╱▁▁▁│        │▁▁▁▁▁▁▁▁╲
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from pydantic import Field

from mounts.design import Datums, Design
from mounts.drive.model import Drive, Limits
from mounts.frames import Array
from mounts.inputs.model import Mm
from mounts.inputs.spec import MountSpec
from mounts.styles import Style, _housing, _shell
from mounts.styles._housing_options import Options, Shell
from mounts.styles._housing_plan import HousingPlan, Span, Stature

if TYPE_CHECKING:
    import cadquery as cq

    from mounts.solid.part import Part

FRONT_RUN_MM = 3.0  # how far the face towards the track leans back, whatever its height
CORNER_POINTS = 6  # a quarter turn at a corner
GRAIN_MM, MOST_POINTS, MOST_RINGS = 4.0, 60, 10  # distance of two bumps; grows on large banks
OVER_LIP_MM = 0.6  # the seat round the rim is higher than the rim
ROUND_MM = 0.05, 3.0  # the inside's corners along x and y; along x much less than a lip that needs support
FOOT_Z_MM = 0.6  # up to here the outline stays outside the one on the bed
RIDGE_MM = 2.0  # width of the mound's ridge
STATURE = Stature(low_m=0.5, high_m=5.0, most_m=10.0)  # cuttings and embankments; ten metres is a deep one: from memory
SPARE = 1.25  # two nested ellipses come nearer to each other than their axes tell
SEED = 1


class BankOptions(Options):
    """What ``--set`` takes for the bank."""

    slope_deg: float = Field(
        60.0, ge=45, le=75, description="slope away from the track; loose earth stands at 34°, cuttings are steeper"
    )
    rough_mm: Mm = Field(0.7, ge=0.3, le=1.2, description="how far the bumps stand out")


@dataclass(frozen=True)
class Mound:
    """A body that narrows upwards round a rectangle; its corners are quarters of ellipses.

    Attributes:
        x: the rectangle's sides.
        y: the rectangle's sides.
        shoulder_z: height up to which it surrounds the rectangle.
        beyond_mm: how far it stands outside the rectangle at the shoulder, along x and y.
        run_mm: how much farther out it is at z = 0, along x and y.
    """

    x: tuple[float, float]
    y: tuple[float, float]
    shoulder_z: float
    beyond_mm: tuple[float, float]
    run_mm: tuple[float, float]

    def rim(self, per_x: int, per_y: int) -> tuple[Array, Array]:
        """Points (n, 2) round the rectangle and the normals (n, 2) they move along, counter-clockwise."""
        points, normals = [], []
        corners = [(self.x[0], self.y[0]), (self.x[1], self.y[0]), (self.x[1], self.y[1]), (self.x[0], self.y[1])]
        for k, (corner, following) in enumerate(zip(corners, corners[1:] + corners[:1], strict=True)):
            first = -math.pi + k * math.pi / 2
            for turn in np.linspace(0, math.pi / 2, CORNER_POINTS):
                points.append(corner)
                normals.append((math.cos(first + turn), math.sin(first + turn)))
            between = per_x if k % 2 == 0 else per_y
            for share in np.arange(1, between + 1) / (between + 1):
                points.append(tuple(a + share * (b - a) for a, b in zip(corner, following, strict=True)))
                normals.append((math.cos(first + math.pi / 2), math.sin(first + math.pi / 2)))
        return np.array(points), np.array(normals)

    def slope(self, rim: tuple[Array, Array], z: float, out_mm: Array | float = 0.0) -> Array:
        """A ring (n, 3) on the slopes at a height."""
        points, normals = rim
        out = np.array(self.beyond_mm) + np.array(self.run_mm) * (1 - z / self.shoulder_z)
        flat = points + normals * out + normals * np.reshape(out_mm, (-1, 1))
        return np.column_stack([flat, np.full(len(points), z)])

    def top(self, rim: tuple[Array, Array], inset_mm: float, z: float) -> Array:
        """A ring (n, 3) above the rectangle drawn in by ``inset_mm``, rounded as the shoulder is."""
        shoulder = self.slope(rim, self.shoulder_z)[:, :2]
        middle = np.array([sum(self.x) / 2, sum(self.y) / 2])
        half = np.array([self.x[1] - self.x[0], self.y[1] - self.y[0]]) / 2
        scale = (half - inset_mm) / (half + np.array(self.beyond_mm))
        return np.column_stack([middle + (shoulder - middle) * scale, np.full(len(shoulder), z)])

    def foot(self, rim: tuple[Array, Array]) -> Array:
        """The ring (n, 3) on the bed, kept so far inside the slope above it that its bulge does not stand out."""
        ring = self.slope(rim, FOOT_Z_MM, -_shell.FOOT_MM)
        ring[:, 2] = 0.0
        return ring

    def half_width_mm(self) -> float:
        """Half of the rectangle's shorter side."""
        return min(self.x[1] - self.x[0], self.y[1] - self.y[0]) / 2


def _front_mm(spec: MountSpec, options: BankOptions) -> float:
    return spec.printer.slip_fit_mm + _shell.wall_mm(spec.printer) + FRONT_RUN_MM + options.rough_mm


def _size(spec: MountSpec, options: BankOptions) -> Shell:
    def rise(room_top: float, short: float) -> float:
        return room_top + (short - RIDGE_MM) / 2 + math.sqrt(2) * _shell.wall_mm(spec.printer)

    return Shell(
        front_mm=_front_mm(spec, options), over_mm=20.0, end_share=1 / math.tan(math.radians(options.slope_deg)),
        stature=STATURE, rise=rise,
    )


def limits(spec: MountSpec, options: BankOptions) -> Limits:
    """What the frame and the bank over it leave to the rod."""
    return _housing.limits(spec, options, _size(spec, options))


def place(spec: MountSpec, drive: Drive, options: BankOptions) -> tuple[Datums, HousingPlan]:
    """Where everything stands."""
    datums, plan = _housing.place(spec, drive, options, _size(spec, options))
    return datums, _shell.planned(plan, (), ("shell",))


def build(design: Design, options: BankOptions) -> tuple[Part, ...]:
    """Frame and bank."""
    plan = _shell.housing(design)
    return (_housing.build_frame(design, plan), *scenery(design.spec, plan, options))


def outside(spec: MountSpec, plan: HousingPlan, options: BankOptions) -> Mound:
    """The mound without its bumps."""
    walls = _shell.walls(plan, spec.printer)
    slope = math.radians(options.slope_deg)
    beyond = SPARE * walls.wall_mm / math.sin(slope), walls.wall_mm
    run = plan.room_top_z / math.tan(slope), FRONT_RUN_MM
    return Mound(walls.inner_x, walls.inner_y, plan.room_top_z, beyond, run)


def scenery(spec: MountSpec, plan: HousingPlan, options: BankOptions) -> tuple[Part, ...]:
    """The bank: one part, the same bumps in the same places every time.

    Raises:
        BuildError: the kernel could not do a step.
    """
    from mounts.solid.guard import kernel_step
    from mounts.solid.polyhedron import draped, stacked
    from mounts.solid.relief import lintel_rise_mm

    walls = _shell.walls(plan, spec.printer)
    mound = outside(spec, plan, options)
    flat = _shell.LINTEL_SHARE * spec.printer.bridge_warn_mm
    with kernel_step("draw the mound", "use another slope_deg"):
        body: cq.Shape = draped(_bumpy(mound, walls.wall_mm, options), "draw the mound")
    with kernel_step("hollow the mound", "use another slope_deg"):
        seat_z = plan.lip_mm + OVER_LIP_MM
        body = body.cut(
            draped(_hollow(mound, seat_z), "draw the hollow"), stacked(_ceiling(mound, flat), "draw the ceiling")
        )
    with kernel_step("set headwalls and cut the openings", "use another slope_deg"):
        before = mound.beyond_mm[1] + mound.run_mm[1] + options.rough_mm
        faces = replace(walls, outer_y=(walls.inner_y[0] - before, walls.inner_y[1] + before))
        headwalls = [
            _headwall(faces, side, sides, top_z + lintel_rise_mm(width, _shell.lintel_mm(spec.printer, width)), before)
            for side, (sides, top_z) in _shell.openings(plan).items()
            for width in (sides[1] - sides[0],)
        ]
        openings = _shell.cut_openings(plan, spec.printer, faces, depth_mm=before + 0.5, upright=True)
        cut = body.fuse(*headwalls).cut(_shell.cavity(walls, seat_z + 0.1), *openings)
    return (_shell.finished("shell", cut, spec, turn=_shell.UPRIGHT, through_holes=0),)


def _bumpy(mound: Mound, wall_mm: float, options: BankOptions) -> list[Array]:
    """Rings of the outside: foot chamfer, slopes and top with bumps, a level ridge."""
    around = 2 * (mound.x[1] - mound.x[0] + mound.y[1] - mound.y[0])
    grain = max(GRAIN_MM, around / MOST_POINTS)
    per_x, per_y = (max(1, round((side[1] - side[0]) / grain) - 1) for side in (mound.x, mound.y))
    rim = mound.rim(per_x, per_y)
    chance = np.random.Generator(np.random.PCG64(SEED))

    def bumps() -> Array:
        return np.asarray(options.rough_mm * chance.random(len(rim[0])))

    levels = max(2, min(MOST_RINGS, round(mound.shoulder_z / grain)))
    rings = [mound.foot(rim), mound.slope(rim, FOOT_Z_MM)]
    rings += [mound.slope(rim, z, bumps()) for z in np.linspace(FOOT_Z_MM, mound.shoulder_z, levels + 1)[1:]]
    last = mound.half_width_mm() - RIDGE_MM / 2
    over = math.sqrt(2) * wall_mm
    steps = max(2, round(last / grain))
    for inset in np.linspace(0.5, last, steps):
        ring = mound.top(rim, float(inset), mound.shoulder_z + float(inset) + over)
        if inset < last:
            ring[:, 2] += bumps()
        rings.append(ring)
    return rings


def _hollow(mound: Mound, seat_z: float) -> list[Array]:
    """Rings of the inside above the seat, hollowed along the track only, a wall's thickness within the slopes."""
    y = mound.y[0] + ROUND_MM[1], mound.y[1] - ROUND_MM[1]
    inside = Mound(mound.x, y, mound.shoulder_z, ROUND_MM, (mound.run_mm[0], 0.0))
    rim = inside.rim(1, 1)
    return [inside.slope(rim, seat_z), inside.slope(rim, inside.shoulder_z)]


def _headwall(walls: _shell.Walls, side: _shell.Side, sides: Span, top_z: float, deep_mm: float) -> cq.Solid:
    """A block round an opening, from the inner face to the wall's outer face, its foot chamfered."""
    from mounts.solid.polyhedron import rectangle, stacked

    sign, front = walls.face(side)
    left, right = sides if sign < 0 else (-sides[1], -sides[0])
    rings = []
    for less, z in ((_shell.EDGE_MM, 0.0), (0.0, _shell.EDGE_MM), (0.0, top_z + walls.wall_mm)):
        y = sorted((front - sign * less, front - sign * deep_mm))
        rings.append(rectangle((left - walls.wall_mm + less, right + walls.wall_mm - less), (y[0], y[1]), z))
    return stacked(rings, "draw a headwall")


def _ceiling(mound: Mound, flat_mm: float) -> list[Array]:
    """Rings of the room's upper end: straight walls, then 45° to a ridge no wider than a good bridge.

    The slopes begin where the hollow ends: a step of a twentieth on top of 45° is more than a layer may stand out.
    """
    from mounts.solid.polyhedron import rectangle

    rise, out = max(0.1, mound.half_width_mm() - flat_mm / 2), ROUND_MM[0]
    top = [(side[0] + rise, side[1] - rise) for side in (mound.x, mound.y)]
    return [
        rectangle(mound.x, mound.y, mound.shoulder_z - 1.0),
        rectangle((mound.x[0] - out, mound.x[1] + out), mound.y, mound.shoulder_z),
        rectangle(top[0], top[1], mound.shoulder_z + rise + out),
    ]


STYLE = Style(
    drive="push-rod", options=BankOptions, limits=limits, place=place, build=build, others=_housing.others,
    examples=({}, {"pose": "hang", "slope_deg": 65.0, "rough_mm": 1.0}),
)
