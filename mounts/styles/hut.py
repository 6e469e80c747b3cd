"""Pitched-roof hut clad in lapped boards, with a lift-off roof of slates or tiles between coped gables.

     ╱╲          roof: one section all along, printed standing on an end; it lies between the
   ╱    ╲        gables, which rise over it, and its rails stand inside the eaves walls
 ╱┌──────┐╲
  │      │
  │      │       walls: a tube, printed as it stands
──┴──────┴──
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from pydantic import Field

from mounts.design import Datums, Design, Stature
from mounts.drive.model import Drive, Limits
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.section import section
from mounts.styles import _housing, _shell
from mounts.styles._housing_options import Options, Shell
from mounts.styles._housing_plan import HousingPlan, sound_mm
from mounts.styles._openings import Kind, Opening, foot_frames, openings_bodies, openings_on, room_for_door_mm

if TYPE_CHECKING:
    import cadquery as cq

    from mounts.solid.part import Part

BOARD_M = (0.15, 0.20)  # what shows of a cladding board; common practice, no source
COURSE_M = (0.20, 0.35)  # slates and tiles that show; common practice, no source
EAVES_M = 0.25  # roof past the wall; common practice, no source
EAVES_MM = (1.0, 5.0)  # whatever the scale; common practice, no source
OVER_RAIL_MM = 0.2  # air between the room and the roof's rails; common practice, no source
COPING_MM = 0.6  # gables over the roof; common practice, no source
RIDGE_MM = 40.0  # more than any roof rises over the room of the largest servo
PITCH_DEG = (20.0, 45.0)  # what a free roof has; common practice, no source
# common practice, no source:
RAILS = (1.0, 2.5, 4.0)  # thickness, of the roof's; thicker ones hold a flat or long roof on the bed
STANDS_MM2 = 3.5  # section modulus over height; the check ``knock`` asks for 2 of what the chamfer leaves
STATURE = Stature(low_m=2.5, high_m=3.5, most_m=7.0)  # ridge of a lamp hut; of a box of two storeys: from memory


class HutOptions(Options):
    """What ``--set`` takes for the hut."""

    pitch_deg: float | None = Field(
        None,
        ge=20,
        le=50,
        description="roof pitch; 40 to 50° for slates and tiles, 20 to 30° under felt is common practice; by default "
        "45°, or as much less as keeps the hut from standing too high",
    )


@dataclass(frozen=True)
class Roof:
    """The roof in its own coordinates: u along the ridge, v across, both from the middle; mm.

    Attributes:
        pitch_rad: of both slopes.
        half_inner_v: middle to the inner face of an eaves wall.
        half_outer_v: to its outer face.
        half_inner_u: middle to the inner face of a gable.
        half_outer_u: to its outer face.
        eaves_z: underside of the roof over the inner face of an eaves wall.
        eaves_mm: roof past an eaves wall, level.
        sound_mm: thickness under the courses.
        relief_mm: thickness of a course at its lower edge.
        courses: on a slope; None where they can't be printed.
        lip_mm: how far the rails reach below the underside, straight down.
        slip_mm: gap to the walls.
        rail_mm: thickness of the rails.
    """

    pitch_rad: float
    half_inner_v: float
    half_outer_v: float
    half_inner_u: float
    half_outer_u: float
    eaves_z: float
    eaves_mm: float
    sound_mm: float
    relief_mm: float
    courses: int | None
    lip_mm: float
    slip_mm: float
    rail_mm: float

    def under_z(self, v: float) -> float:
        """Height of the underside."""
        return self.eaves_z + (self.half_inner_v - abs(v)) * math.tan(self.pitch_rad)

    def slope_mm(self) -> float:
        """Length of a slope along its sound outer face, eaves to ridge."""
        reach = self.half_outer_v + self.eaves_mm
        return (reach + self.sound_mm * math.sin(self.pitch_rad)) / math.cos(self.pitch_rad)

    def outline(self) -> list[tuple[float, float]]:
        """Section (v, z), mm, counter-clockwise, rails included.

        Between the rails the underside steps with the courses: one thickness is drawn in as many lines all along.
        """
        cos, sin = math.cos(self.pitch_rad), math.sin(self.pitch_rad)
        reach = self.half_outer_v + self.eaves_mm
        foot_z = self.under_z(reach)

        def at(along: float, out: float) -> tuple[float, float]:
            return reach - along * cos + out * sin, foot_z + along * sin + out * cos

        near = self.half_inner_v - self.slip_mm
        far, rail_z = near - self.rail_mm, self.eaves_z - self.lip_mm
        full = self.sound_mm + self.relief_mm
        right = [(far, self.under_z(far)), (far, rail_z), (near, rail_z), (near, self.under_z(near)), at(0.0, 0.0)]
        if self.courses is None:
            right.append(at(0.0, full))
        else:
            course = self.slope_mm() / self.courses
            steps = [k for k in range(1, self.courses) if at(k * course, 0.0)[0] < far - self.sound_mm]
            deeper = self.sound_mm * (math.hypot(course, self.relief_mm) / course - 1.0)  # as thick square to a course
            right[:0] = [at(k * course, out - deeper) for k in reversed(steps) for out in (self.relief_mm, 0.0)]
            for k in range(self.courses):
                right += [at(k * course, full), at((k + 1) * course, self.sound_mm)]
            right.pop()
        left = [(-v, z) for v, z in reversed(right)]
        return [(0.0, self.under_z(0.0)), *right, (0.0, self.top_z(0.0)), *left]

    def stands(self) -> bool:
        """Whether its section, on which it is printed, keeps a nozzle from knocking it off the bed."""
        foot = section([np.array(self.outline())])
        return foot is not None and foot.modulus_mm3() >= STANDS_MM2 * 2 * self.half_inner_u

    def top_z(self, v: float) -> float:
        """Height of the sound outer face; of the courses' outer edges where there are none drawn."""
        thick = self.sound_mm + (self.relief_mm if self.courses is None else 0.0)
        return self.under_z(v) + thick / math.cos(self.pitch_rad)

    def coping_z(self, v: float) -> float:
        """Height of the gables, over the roof's courses."""
        return self.under_z(v) + (self.sound_mm + self.relief_mm) / math.cos(self.pitch_rad) + COPING_MM


def _roof(spec: MountSpec, plan: HousingPlan, options: HutOptions) -> Roof:
    walls, printer = _shell.walls(plan, spec), spec.printer
    halves = [
        ((inner[1] - inner[0]) / 2, (outer[1] - outer[0]) / 2 + _shell.relief_mm(printer))
        for inner, outer in ((walls.inner_x, walls.outer_x), (walls.inner_y, walls.outer_y))
    ]
    (inner_u, outer_u), (inner_v, outer_v) = halves if _ridge_along_x(walls) else halves[::-1]
    lip = _shell.lip_mm(printer)
    pitch_rad = _pitch_rad(spec, options, plan.room_top_z, 2 * inner_v)
    roof = Roof(
        pitch_rad=pitch_rad,
        half_inner_v=inner_v,
        half_outer_v=outer_v,
        half_inner_u=inner_u,
        half_outer_u=outer_u,
        eaves_z=plan.room_top_z + OVER_RAIL_MM + lip,
        eaves_mm=eaves_mm(spec) + _slope_mm(spec, math.radians(max(PITCH_DEG))) - _slope_mm(spec, pitch_rad),
        sound_mm=sound_mm(spec),
        relief_mm=_shell.relief_mm(printer),
        courses=None,
        lip_mm=lip,
        slip_mm=fits.ROOF.air_mm(printer),
        rail_mm=sound_mm(spec),
    )
    least = 2 * _shell.groove_mm(printer)
    courses = _shell.pieces(spec, roof.slope_mm(), COURSE_M, least)
    roof = replace(roof, courses=courses)
    thicker = (replace(roof, rail_mm=share * roof.sound_mm) for share in RAILS)
    return next((one for one in thicker if one.stands()), replace(roof, rail_mm=RAILS[-1] * roof.sound_mm))


def _thick_mm(spec: MountSpec) -> float:
    """Thickness of the roof with its courses, and of the walls with their boards."""
    return sound_mm(spec) + _shell.relief_mm(spec.printer)


def _slope_mm(spec: MountSpec, pitch_rad: float) -> float:
    """How far the roof's upper edge stands out past its lower one at the eaves."""
    return _thick_mm(spec) * math.sin(pitch_rad)


def _ridge_mm(spec: MountSpec, room_top_mm: float, short_mm: float, pitch_rad: float) -> float:
    """Height of the gables' tops over a room of that height and shorter side."""
    rise = short_mm / 2 * math.tan(pitch_rad) + _thick_mm(spec) / math.cos(pitch_rad)
    return room_top_mm + OVER_RAIL_MM + _shell.lip_mm(spec.printer) + rise + COPING_MM


def _pitch_rad(spec: MountSpec, options: HutOptions, room_top_mm: float, short_mm: float) -> float:
    """The pitch asked for; or the steepest of ``PITCH_DEG``, to 5°, with a ridge no higher than usual, or the least."""
    if options.pitch_deg is not None:
        return math.radians(options.pitch_deg)
    usual = _shell.scaled_mm(spec, STATURE.high_m)
    low, high = PITCH_DEG
    pitches = (math.radians(high - 5.0 * step) for step in range(int((high - low) / 5)))
    return next(
        (pitch for pitch in pitches if _ridge_mm(spec, room_top_mm, short_mm, pitch) <= usual), math.radians(low)
    )


def eaves_mm(spec: MountSpec) -> float:
    """Roof past an eaves wall, level, its lower edge; below 45° there is more, the upper edge stands out less."""
    return min(max(_shell.scaled_mm(spec, EAVES_M), EAVES_MM[0]), EAVES_MM[1])


def _ridge_along_x(walls: _shell.Walls) -> bool:
    return walls.outer_x[1] - walls.outer_x[0] >= walls.outer_y[1] - walls.outer_y[0]


def _boards(spec: MountSpec, top_z: float) -> int | None:
    return _shell.pieces(spec, top_z, BOARD_M, _least_board_mm(spec))


def _least_board_mm(spec: MountSpec) -> float:
    """A board's foot leans out over as much as it stands out; as much again is left to see."""
    return 2 * _shell.flank_mm(_shell.relief_mm(spec.printer))


def _frames_mm(spec: MountSpec) -> float:
    """How far frames stand out: as far over the boards as those over the wall."""
    return 2 * _shell.relief_mm(spec.printer)


def _openings(
    spec: MountSpec, plan: HousingPlan, walls: _shell.Walls, roof: Roof
) -> tuple[tuple[Opening, ...], tuple[str, ...]]:
    top_z = roof.under_z(roof.half_outer_v) - roof.lip_mm
    wanted: dict[_shell.Side, tuple[Kind, int]] = {"+x": ("door", 1), "-x": ("window", 1)}
    return openings_on(spec, plan, walls, wanted, top_z=top_z, proud_mm=_frames_mm(spec))


def left_out(spec: MountSpec, plan: HousingPlan, options: HutOptions) -> tuple[str, ...]:
    """What of the hut can't be drawn in this scale, and why."""
    walls, roof = _shell.walls(plan, spec), _roof(spec, plan, options)
    left = list(_openings(spec, plan, walls, roof)[1])
    if _boards(spec, roof.coping_z(0.0)) is None:
        left.append(_shell.too_fine(spec, "boards", BOARD_M[1], _least_board_mm(spec)))
    if roof.courses is None:
        left.append(_shell.too_fine(spec, "courses of slates", COURSE_M[1]))
    return tuple(left)


def _size(spec: MountSpec, options: HutOptions) -> Shell:
    front = _shell.stands_out_mm(spec, _shell.relief_mm(spec.printer)) + eaves_mm(spec)

    def rise(room_top: float, short: float) -> float:
        return _ridge_mm(spec, room_top, short, _pitch_rad(spec, options, room_top, short))

    # the wall under the eaves is lower than the room's top by what the roof drops over its thickness
    door = room_for_door_mm(spec, _frames_mm(spec)) + _thick_mm(spec) * math.tan(math.radians(max(PITCH_DEG)))
    return Shell(
        front_mm=front + _slope_mm(spec, math.radians(max(PITCH_DEG))),
        over_mm=RIDGE_MM,
        foot_mm=front - eaves_mm(spec),
        stature=STATURE,
        least_room_mm=door,
        rise=rise,
    )


def limits(spec: MountSpec, options: HutOptions) -> Limits:
    """What the frame and the hut round it leave to the rod."""
    return _housing.limits(spec, options, _size(spec, options))


def place(spec: MountSpec, drive: Drive, options: HutOptions) -> tuple[Datums, HousingPlan]:
    """Where everything stands, and what of the hut can't be printed in this scale."""
    datums, plan = _housing.place(spec, drive, options, _size(spec, options))
    return datums, _shell.planned(plan, left_out(spec, plan, options), ("shell", "roof"))


def build(design: Design, options: HutOptions) -> tuple[Part, ...]:
    """Frame, walls and roof."""
    plan = _shell.housing(design)
    return (_housing.build_frame(design, plan), *scenery(design.spec, plan, options))


def scenery(spec: MountSpec, plan: HousingPlan, options: HutOptions) -> tuple[Part, Part]:
    """Walls and roof.

    Raises:
        BuildError: the kernel could not do a step.
    """
    roof = _roof(spec, plan, options)
    return _walls(spec, plan, roof), _slopes(spec, plan, roof)


def _local(walls: _shell.Walls, body: cq.Shape) -> cq.Shape:
    """A body of the roof's coordinates (u, v, z) in the mount frame."""
    import cadquery as cq

    middle = cq.Vector(sum(walls.outer_x) / 2, sum(walls.outer_y) / 2, 0)
    if not _ridge_along_x(walls):
        body = body.rotate(cq.Vector(0, 0, 0), cq.Vector(0, 0, 1), 90)
    return body.translate(middle)


def _across(u: float) -> cq.Plane:
    """The plane square to the ridge at u, its coordinates (v, z)."""
    import cadquery as cq

    return cq.Plane(origin=(u, 0, 0), xDir=(0, 1, 0), normal=(1, 0, 0))


def _walls(spec: MountSpec, plan: HousingPlan, roof: Roof) -> Part:

    from mounts.solid.guard import kernel_step
    from mounts.solid.polyhedron import stacked
    from mounts.solid.relief import lapped_boards

    printer, frames_mm = spec.printer, _frames_mm(spec)
    walls = _shell.walls(plan, spec)
    apex_z = roof.coping_z(0.0)
    with kernel_step("draw the walls", "use another pitch_deg"):
        rings = lapped_boards(
            walls.outer_x,
            walls.outer_y,
            apex_z,
            _boards(spec, apex_z),
            proud_mm=_shell.relief_mm(printer),
            flank_mm=_shell.flank_mm(_shell.relief_mm(printer)),
            foot_mm=_shell.EDGE_MM,
        )
        body: cq.Shape = stacked(rings, "draw the walls")
    with kernel_step("set doors and windows in the walls", "use another --scale"):
        pads, cuts = openings_bodies(walls, _openings(spec, plan, walls, roof)[0], spec, proud_mm=frames_mm)
        body = body.fuse(*pads, *foot_frames(plan, walls, spec, proud_mm=frames_mm))
    with kernel_step("cut gables, inside and openings", "use another pitch_deg"):
        cuts += [_local(walls, body) for body in _over_the_walls(roof, printer.nozzle_mm)]
        cuts.append(_shell.cavity(walls, apex_z + 1.0))
        cuts += _shell.cut_openings(
            plan, printer, walls, depth_mm=walls.wall_mm + 0.5, before_mm=1.0 + frames_mm, upright=True
        )
        body = body.cut(*cuts)
    return _shell.finished("shell", body, spec, turn=_shell.UPRIGHT, through_holes=1)


def _over_the_walls(roof: Roof, blunt_mm: float) -> list[cq.Shape]:
    """What is cut off the tops: along the eaves walls to the roof's underside, over the gables to their coping.

    The eaves walls' inner edges are blunted by ``blunt_mm``: two lines find no room on them.
    """
    from mounts.solid.plates import prism

    wide, over = roof.half_outer_v + 1.0, roof.coping_z(0.0) + 1.0

    def above(line: list[tuple[float, float]], half_u: float) -> cq.Shape:
        mirrored = [(-v, z) for v, z in reversed(line)]
        section = [(-wide, over), *mirrored, *(line if line[0][0] else line[1:]), (wide, over)]
        return prism(_across(-half_u), section, 2 * half_u)

    flat_v = roof.half_inner_v + blunt_mm / math.tan(roof.pitch_rad)
    return [
        above([(v, roof.coping_z(v)) for v in (0.0, wide)], roof.half_outer_u + 1.0),
        above([(v, roof.under_z(v)) for v in (flat_v, wide)], roof.half_inner_u),
    ]


def _slopes(spec: MountSpec, plan: HousingPlan, roof: Roof) -> Part:
    """The roof, one section from gable to gable, stood on an end."""
    from mounts.solid.guard import kernel_step
    from mounts.solid.polyhedron import chamfered_prism

    walls = _shell.walls(plan, spec)
    half_u = roof.half_inner_u - roof.slip_mm
    with kernel_step("draw the roof", "use another pitch_deg"):
        slopes = chamfered_prism(_across(-half_u), roof.outline(), 2 * half_u, _shell.EDGE_MM, "draw the roof")
        body = _local(walls, slopes)
    turn = ((0, 1, 0), (0, 0, 1), (1, 0, 0)) if _ridge_along_x(walls) else ((1, 0, 0), (0, 0, -1), (0, 1, 0))
    if spec.mirror and _ridge_along_x(walls):
        turn = ((0, 1, 0), (0, 0, -1), (-1, 0, 0))
    return _shell.finished("roof", body, spec, turn=turn, through_holes=0)


STYLE = _housing.style(
    HutOptions,
    limits,
    place,
    build,
    examples=({}, {"pose": "hang"}, {"pitch_deg": 50.0}),
)
