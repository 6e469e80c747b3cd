"""Grassed earth bank along the track: a thin skin, flat on top, that runs out to the ground.

                      ____________
                    ╱╱‾‾‾‾‾‾‾‾‾‾‾‾╲╲        top as long as the room inside, and longer than it is deep
       track      ╱╱│   room       │ ╲╲
                 ╱╱ │              │   ╲╲   one thickness everywhere
               ╱╱▁╲╲│              │╱╱▁▁▁╲╲ struts that find the rim of the frame

Loose earth stands at 34° (1 : 1.5). A skin that flat needs support on one of its faces whichever way up it is
printed, so the slopes are as flat as the printer's overhang allows, 45° as a rule: it lies on its top.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np
from pydantic import Field

from mounts.design import Datums, Design, Span, Stature
from mounts.drive.model import Drive, Limits
from mounts.drive.pulse import largest_swing_deg
from mounts.errors import NoDesign
from mounts.inputs import fits
from mounts.inputs.model import Mm
from mounts.inputs.spec import MountSpec
from mounts.styles import _housing, _housing_hang, _housing_screws, _housing_side, _shell
from mounts.styles import _housing_options as shared
from mounts.styles._bank_mound import Mound, Slope, slanted_mm
from mounts.styles._housing_options import AIR_MM, Options, Shell
from mounts.styles._housing_plan import HousingPlan, sound_mm

if TYPE_CHECKING:
    import cadquery as cq

    from mounts.solid.part import Part

FLATTEST_DEG = 45.0  # by default, whatever overhang the printer is good for; common practice, no source
FRONT_DEG = 65.0  # towards the track by default: each mm it leans back makes the rod longer; common practice, no source
SKIN = 1.2  # of a sound wall: between the facets of a corner it is thinner; common practice, no source
BESIDE_MM = 2.0  # inner face to the room, under the top: what the struts stand out at least; common practice, no source
# common practice, no source:
BESIDE_SKINS = 1.2  # the same, of the skin's thickness: the top's edge stays outside the room
STRUT_SHARE = 0.9  # of what may lean out: a strut's underside; common practice, no source
STRUT_MM = 1.6  # least width of a strut along its wall; standards, 8: structural
STRUT_FOOT_MM = 1.6  # how far it stands on the ground; common practice, no source
OVER_LIP_MM = 1.0  # a strut holds from the ground to so far above the rim; common practice, no source
LONGER = 1.3  # top's length over its depth; common practice, no source
STATURE = Stature(low_m=0.5, high_m=5.0, most_m=10.0)  # cuttings and embankments; ten metres is a deep one: from memory

Cut = Literal["none", "left", "right", "both ends", "back"]


class BankOptions(Options):
    """What ``--set`` takes for the bank."""

    slope_deg: float | None = Field(
        None,
        ge=45,
        le=80,
        description="slope of back and ends; default as flat as prints without support, 45°; loose earth stands at 34°",
    )
    front_mm: Mm | None = Field(
        None, ge=2, le=40, description="how far the face towards the track leans back; default 65° of a lying servo"
    )
    length_mm: Mm | None = Field(None, ge=20, le=220, description="of the top along the track; default 1.3 × its depth")
    cut: Cut = Field("none", description="side, seen from the track, that stands upright against other scenery")
    rough_mm: Mm = Field(1.2, ge=0, le=3, description="how far the foot wavers")


def _skin_mm(spec: MountSpec) -> float:
    return SKIN * sound_mm(spec)


def _strut_mm(spec: MountSpec) -> float:
    return max(STRUT_MM, sound_mm(spec))


def _beside_mm(spec: MountSpec) -> float:
    return max(BESIDE_MM, BESIDE_SKINS * _skin_mm(spec))


def _slope_deg(spec: MountSpec, options: BankOptions) -> float:
    return max(FLATTEST_DEG, 90.0 - spec.printer.overhang_deg) if options.slope_deg is None else options.slope_deg


def _heights_mm(spec: MountSpec, options: BankOptions) -> Span:
    """Least and greatest height of the room in the poses it may get."""
    base = _housing_screws.base_mm(spec, options)
    low = _housing_side.top_z(spec, _housing_side.least_offset_mm(spec, base)) + AIR_MM
    high = _housing_hang.top_z(spec, shared.widest_wire_mm(spec), 0.0) + AIR_MM
    return (high, high) if options.pose == "hang" else (low, low if options.pose == "side" else max(low, high))


def _size(spec: MountSpec, options: BankOptions) -> Shell:
    spec = spec.from_ground()
    low, high = _heights_mm(spec, options)
    run = options.front_mm or low / math.tan(math.radians(FRONT_DEG))
    wall = fits.SHELL.air_mm(spec.printer) + _beside_mm(spec) + slanted_mm(_skin_mm(spec), run, low)
    gauge_run = run * (1 - min(1.0, max(0.0, spec.rail_top_z) / high))
    return Shell(
        front_mm=wall + run,
        over_mm=_skin_mm(spec),
        gauge_mm=wall + gauge_run,
        end_mm=wall + _longer_mm(spec, options),
        end_share=1 / math.tan(math.radians(_slope_deg(spec, options))),
        stature=STATURE,
        instead=(),
        lying=True,
    )


def _longer_mm(spec: MountSpec, options: BankOptions) -> float:
    """The most by which the top may stand out past the room at either end."""
    if options.length_mm is not None:
        return options.length_mm / 2
    servo = spec.servo
    swing_deg = spec.swing_deg or largest_swing_deg(servo)
    deep = _housing_side.front_mm(spec, swing_deg) + servo.flange_span_mm
    return 0.0 if options.pose == "hang" else max(0.0, (LONGER * deep - _housing_side.reach_x(spec, options)) / 2)


def limits(spec: MountSpec, options: BankOptions) -> Limits:
    """What the frame and the bank over it leave to the rod."""
    return _housing.limits(spec, options, _size(spec, options))


def place(spec: MountSpec, drive: Drive, options: BankOptions) -> tuple[Datums, HousingPlan]:
    """Where everything stands.

    Raises:
        NoDesign: as ``_housing.place``; or the face leans back too far to print, or the bank is larger than the bed.
    """
    datums, plan = _housing.place(spec, drive, options, _size(spec, options))
    mound, printer = outside(spec, plan, options), spec.printer
    run, most = mound.slopes[0].run_mm, mound.ceiling_z * math.tan(math.radians(printer.overhang_deg))
    if options.front_mm is not None and run > most:
        least = math.floor(10 * (options.front_mm - (run - most))) / 10
        lean_deg = math.degrees(math.atan2(run, mound.ceiling_z))
        why = (
            f"front_mm = {options.front_mm:g}: the face would lean back {lean_deg:.0f}° in {mound.ceiling_z:.1f} mm, "
            f"more than the {printer.overhang_deg:g}° that print without support"
        )
        raise NoDesign(f"{why}; use --set front_mm={least:g}", why=why)
    (x0, x1), (y0, y1) = mound.x, mound.y
    long, deep = x1 - x0 + mound.foot_mm(1) + mound.foot_mm(3), y1 - y0 + mound.foot_mm(0) + mound.foot_mm(2)
    if max(printer.bed_room_mm(long, deep)) < 0:
        raise NoDesign(
            f"the bank would be {long:.0f} × {deep:.0f} mm on a bed of {printer.bed_x_mm:g} × {printer.bed_y_mm:g} mm; "
            "use a lower height_mm, a smaller length_mm or --set cut"
        )
    return datums, _shell.planned(plan, (), ("shell",))


def build(design: Design, options: BankOptions) -> tuple[Part, ...]:
    """Frame and bank."""
    plan = _shell.housing(design)
    return (_housing.build_frame(design, plan), *scenery(design.spec, plan, options))


def outside(spec: MountSpec, plan: HousingPlan, options: BankOptions) -> Mound:
    """The skin round the room, before its openings."""
    walls, skin, high = _shell.walls(plan, spec), _skin_mm(spec), plan.room_top_z
    beside = _beside_mm(spec)
    upright = {"none": "", "left": "l", "right": "r", "both ends": "lr", "back": "b"}[options.cut]
    if spec.mirror:  # seen from the track left stays left, and the body is mirrored when it is done
        upright = upright.translate(str.maketrans("lr", "rl"))
    usual = high / math.tan(math.radians(_slope_deg(spec, options)))

    def slope(side: str) -> Slope:
        if side in upright:
            return Slope(beside, 0.0, 0.0)
        return Slope(beside, usual, min(options.rough_mm, usual))

    stands_out = _size(spec, options).front_mm - fits.SHELL.air_mm(spec.printer) - beside
    run = stands_out
    for _ in range(8):  # thicker where it leans more: converges by a third a turn
        run = stands_out - slanted_mm(skin, run, high)
    (x0, x1), (y0, y1) = walls.inner_x, walls.inner_y
    wanted = LONGER * (y1 - y0) if options.length_mm is None else options.length_mm
    more = max(0.0, (wanted - (x1 - x0)) / 2)
    x = (x0 - more * ("l" not in upright), x1 + more * ("r" not in upright))
    front = Slope(beside, run, 0.0)
    return Mound(x, (y0, y1), high, skin, (front, slope("r"), slope("b"), slope("l")))


def scenery(spec: MountSpec, plan: HousingPlan, options: BankOptions) -> tuple[Part, ...]:
    """The bank: one part, the same every time.

    Raises:
        BuildError: the kernel could not do a step.
    """
    from mounts.solid.guard import kernel_step
    from mounts.solid.polyhedron import polyhedron

    walls, mound = _shell.walls(plan, spec), outside(spec, plan, options)
    with kernel_step("draw the bank", "use another slope_deg"):
        skin = polyhedron(*mound.faces(), "draw the bank")
    with kernel_step("set struts and cheeks", "use another slope_deg"):
        body = skin.fuse(*_struts(spec, plan, walls, mound), *_cheeks(spec, plan, walls, mound))
    with kernel_step("cut the openings", "use another slope_deg"):
        front, back = mound.foot_mm(0), mound.foot_mm(2)
        feet = replace(walls, outer_y=(walls.inner_y[0] - front, walls.inner_y[1] + back))
        cuts = _shell.cut_openings(plan, spec.printer, feet, depth_mm=max(front, back), upright=False)
        body = body.cut(*cuts)
    return (_shell.finished("shell", body, spec, turn=_shell.UPSIDE_DOWN, through_holes=0, sound=skin),)


@dataclass(frozen=True)
class _Section:
    """The skin where a plane square to a side cuts it: u outwards from the room's wall, z up.

    Attributes:
        wall_u: where the middle of the skin stands on the ground.
        top_u: where it stands under the ceiling.
        top_z: middle of the top.
        leans: how far a strut's underside leans out per mm it rises.
    """

    wall_u: float
    top_u: float
    top_z: float
    leans: float

    def skin_u(self, z: float) -> float:
        return self.wall_u + (self.top_u - self.wall_u) * z / self.top_z

    def meets(self, u0: float, z0: float) -> tuple[tuple[float, float], bool]:
        """Where a strut's edge rising outwards from (u0, z0) meets slope or top, and whether it is the top."""
        fall = (self.top_u - self.wall_u) / self.top_z
        z = (self.wall_u - u0 + self.leans * z0) / (self.leans - fall)
        if z <= self.top_z:
            return (self.skin_u(z), z), False
        return (u0 + self.leans * (self.top_z - z0), self.top_z), True

    def strut(self, lip_z: float, foot_u: float) -> list[tuple[float, float]]:
        """Outline: along the room's wall up to the lip, out to the skin at less than 45°, back to the ground."""
        (high, at_top), (low, low_at_top) = self.meets(0.0, lip_z), self.meets(foot_u, 0.0)
        corner = [(self.top_u, self.top_z)] if at_top and not low_at_top else []
        bevel = _shell.FOOT_MM
        return [(bevel, 0.0), (foot_u, 0.0), low, *corner, high, (0.0, lip_z), (0.0, bevel)]


def _section(spec: MountSpec, mound: Mound, walls: _shell.Walls, side: int, at: float) -> _Section:
    """At a place along a side: x or y in the mount frame."""
    slope = mound.slopes[side]
    edge = (mound.y[0], mound.x[1], mound.y[1], mound.x[0])[side]
    wall = (walls.inner_y[0], walls.inner_x[1], walls.inner_y[1], walls.inner_x[0])[side]
    place = (at, edge) if side % 2 == 0 else (edge, at)
    more = abs(edge - wall) + mound.skins_mm(side) / 2
    top_z = mound.ceiling_z + mound.skin_mm / 2
    return _Section(
        more + slope.inner_mm(0.0, *place),
        more + slope.inner_mm(top_z / mound.ceiling_z, *place),
        top_z,
        STRUT_SHARE * math.tan(math.radians(min(spec.printer.overhang_deg, 45.0))),
    )


def _struts(spec: MountSpec, plan: HousingPlan, walls: _shell.Walls, mound: Mound) -> list[cq.Shape]:
    """Two on each side, as far apart as the openings leave room, that stand round the rim."""
    found = []
    for side in range(4):
        span = walls.inner_x if side % 2 == 0 else walls.inner_y
        closed = {0: plan.slot_x, 2: plan.cable_x}.get(side)
        strut = _strut_mm(spec)
        room = strut / 2 + sound_mm(spec) + 1.0
        free = [
            float(at)
            for at in np.linspace(span[0] + 3.0, span[1] - 3.0, 21)
            if closed is None or not closed[0] - room < at < closed[1] + room
        ]
        for at in (*free[:1], *free[-1:]):
            outline = _section(spec, mound, walls, side, at).strut(plan.lip_mm + OVER_LIP_MM, STRUT_FOOT_MM)
            found.append(_across(walls, side, outline, (at - strut / 2, at + strut / 2)))
    return found


def _cheeks(spec: MountSpec, plan: HousingPlan, walls: _shell.Walls, mound: Mound) -> list[cq.Shape]:
    """Beside each opening, inside the slope, so that it reads as a channel."""
    found, cheek = [], sound_mm(spec)
    for side, sides, top_z in ((0, plan.slot_x, plan.slot_top_z), (2, plan.cable_x, plan.cable_top_z)):
        for at in (sides[0] - cheek / 2, sides[1] + cheek / 2) if sides else ():
            section = _section(spec, mound, walls, side, at)
            inner_u = section.skin_u(top_z) - mound.skins_mm(side) / 2
            z = top_z + cheek
            outline = [(inner_u, 0.0), (section.wall_u, 0.0), (section.skin_u(z), z), (inner_u, z)]
            found.append(_across(walls, side, outline, (at - cheek / 2, at + cheek / 2)))
    return found


def _across(walls: _shell.Walls, side: int, outline: list[tuple[float, float]], along: Span) -> cq.Shape:
    """A prism square to a side: outline in u outwards from the room's wall and z, thick along the side."""
    import cadquery as cq

    from mounts.solid.plates import prism

    wall = (walls.inner_y[0], walls.inner_x[1], walls.inner_y[1], walls.inner_x[0])[side]
    out = ((0, -1, 0), (1, 0, 0), (0, 1, 0), (-1, 0, 0))[side]
    normal = (out[1], -out[0], 0)  # out × z
    sign = normal[0] + normal[1]
    start = along[0] if sign > 0 else along[1]
    origin = (start, wall, 0.0) if side % 2 == 0 else (wall, start, 0.0)
    plane = cq.Plane(origin=origin, xDir=out, normal=normal)
    return prism(plane, outline, along[1] - along[0])


STYLE = _housing.style(
    BankOptions,
    limits,
    place,
    build,
    examples=({}, {"pose": "side", "slope_deg": 60.0, "cut": "back"}),
)
