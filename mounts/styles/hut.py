"""Pitched-roof hut clad in upright boards, with a lift-off roof of slates or tiles.

                 ╱╲          roof: one section all along, printed standing on a gable end
               ╱    ╲
             ╱┌──────┐╲      its rails stand inside the eaves walls, its bargeboard before one gable
              │      │
              │      │       walls: a tube, printed as it stands
            ──┴──────┴──
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from pydantic import Field

from mounts.design import Datums, Design
from mounts.drive.model import Drive, Limits
from mounts.inputs.spec import MountSpec
from mounts.styles import Style, _housing, _shell
from mounts.styles._housing_options import Options, Shell
from mounts.styles._housing_plan import HousingPlan
from mounts.styles._openings import Opening, foot_frames, openings_bodies, openings_on

if TYPE_CHECKING:
    import cadquery as cq

    from mounts.solid.part import Part

BOARD_M = (0.15, 0.20)  # width of a cladding board; common practice, no source
COURSE_M = (0.20, 0.35)  # slates and tiles that show; common practice, no source
EAVES_M = 0.25  # roof past the wall; common practice, no source
EAVES_MM = (1.0, 5.0)  # whatever the scale
OVER_RAIL_MM = 0.2  # air between the room and the roof's rails
RAMP = 1.6  # a rail rises out of the roof at 32° from the print's vertical: at 45° its tip got support in a slicer
RIDGE_MM = 40.0  # more than any roof rises over the room of the largest servo


class HutOptions(Options):
    """What ``--set`` takes for the hut."""

    pitch_deg: float = Field(
        45.0, ge=40, le=50, description="roof pitch; 40 to 50° for slates and tiles is common practice"
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
        lip_mm: how far rails and bargeboard reach below the underside, straight down.
        slip_mm: gap to the walls.
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

    def under_z(self, v: float) -> float:
        """Height of the underside."""
        return self.eaves_z + (self.half_inner_v - abs(v)) * math.tan(self.pitch_rad)

    def slope_mm(self) -> float:
        """Length of a slope along its sound outer face, eaves to ridge."""
        reach = self.half_outer_v + self.eaves_mm
        return (reach + self.sound_mm * math.sin(self.pitch_rad)) / math.cos(self.pitch_rad)

    def outline(self, *, below_mm: float = 0.0) -> list[tuple[float, float]]:
        """Section (v, z), counter-clockwise; its underside lowered, square to the slope, by ``below_mm``."""
        cos, sin = math.cos(self.pitch_rad), math.sin(self.pitch_rad)
        reach = self.half_outer_v + self.eaves_mm
        foot_z = self.under_z(reach)

        def at(along: float, out: float) -> tuple[float, float]:
            return reach - along * cos + out * sin, foot_z + along * sin + out * cos

        right = [at(0.0, -below_mm)]
        full = self.sound_mm + self.relief_mm
        if self.courses is None:
            right.append(at(0.0, full))
            apex = (0.0, self.under_z(0.0) + full / cos)
        else:
            course = self.slope_mm() / self.courses
            for k in range(self.courses):
                right += [at(k * course, full), at((k + 1) * course, self.sound_mm)]
            apex = (0.0, right.pop()[1])
        left = [(-v, z) for v, z in reversed(right)]
        return [(0.0, self.under_z(0.0) - below_mm / cos), *right, apex, *left]


def _roof(spec: MountSpec, plan: HousingPlan, options: HutOptions) -> Roof:
    walls, printer = _shell.walls(plan, spec.printer), spec.printer
    halves = [
        ((inner[1] - inner[0]) / 2, (outer[1] - outer[0]) / 2)
        for inner, outer in ((walls.inner_x, walls.outer_x), (walls.inner_y, walls.outer_y))
    ]
    (inner_u, outer_u), (inner_v, outer_v) = halves if _ridge_along_x(walls) else halves[::-1]
    lip = _shell.lip_mm(printer)
    roof = Roof(
        pitch_rad=math.radians(options.pitch_deg), half_inner_v=inner_v, half_outer_v=outer_v, half_inner_u=inner_u,
        half_outer_u=outer_u, eaves_z=plan.room_top_z + OVER_RAIL_MM + lip, eaves_mm=eaves_mm(spec),
        sound_mm=_shell.sound_mm(printer), relief_mm=_shell.relief_mm(printer), courses=None, lip_mm=lip,
        slip_mm=printer.slip_fit_mm,
    )
    least = 2 * _shell.groove_mm(printer)
    courses = _shell.pieces(spec, roof.slope_mm(), COURSE_M, least)
    return Roof(**{**roof.__dict__, "courses": courses})


def eaves_mm(spec: MountSpec) -> float:
    """Roof past an eaves wall, level."""
    return min(max(_shell.scaled_mm(spec, EAVES_M), EAVES_MM[0]), EAVES_MM[1])


def _ridge_along_x(walls: _shell.Walls) -> bool:
    return walls.outer_x[1] - walls.outer_x[0] >= walls.outer_y[1] - walls.outer_y[0]


def _boards(spec: MountSpec, walls: _shell.Walls) -> tuple[int, int] | None:
    least = 2 * _shell.groove_mm(spec.printer)
    counts = [
        _shell.pieces(spec, outer[1] - outer[0], BOARD_M, least) for outer in (walls.outer_x, walls.outer_y)
    ]
    return None if counts[0] is None or counts[1] is None else (counts[0], counts[1])


def _openings(
    spec: MountSpec, plan: HousingPlan, walls: _shell.Walls, roof: Roof
) -> tuple[tuple[Opening, ...], tuple[str, ...]]:
    top_z = roof.under_z(roof.half_outer_v) - roof.lip_mm
    return openings_on(spec, plan, walls, {"+x": ("door", 1), "-x": ("window", 1)}, top_z=top_z, framed=True)


def left_out(spec: MountSpec, plan: HousingPlan, options: HutOptions) -> tuple[str, ...]:
    """What of the hut can't be drawn in this scale, and why."""
    walls, roof = _shell.walls(plan, spec.printer), _roof(spec, plan, options)
    left = list(_openings(spec, plan, walls, roof)[1])
    if _boards(spec, walls) is None:
        left.append(_shell.too_fine(spec, "boards", BOARD_M[1]))
    if roof.courses is None:
        left.append(_shell.too_fine(spec, "courses of slates", COURSE_M[1]))
    return tuple(left)


def _size(spec: MountSpec, options: HutOptions) -> Shell:
    front = spec.printer.slip_fit_mm + _shell.wall_mm(spec.printer) + eaves_mm(spec)
    slope = (_shell.sound_mm(spec.printer) + _shell.relief_mm(spec.printer)) * math.sin(math.radians(options.pitch_deg))
    return Shell(front_mm=front + slope, over_mm=RIDGE_MM, foot_mm=front - eaves_mm(spec))


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
    import cadquery as cq

    from mounts.solid.guard import kernel_step
    from mounts.solid.plates import prism
    from mounts.solid.polyhedron import chamfered_prism
    from mounts.solid.relief import grooved_rectangle

    printer = spec.printer
    walls = _shell.walls(plan, printer)
    apex_z = roof.under_z(0.0)
    with kernel_step("draw the walls", "use another pitch_deg"):
        outline = grooved_rectangle(
            walls.outer_x, walls.outer_y, *(_boards(spec, walls) or (1, 1)), groove_mm=_shell.groove_mm(printer),
            depth_mm=_shell.relief_mm(printer),
        )
        body: cq.Shape = chamfered_prism(cq.Plane((0, 0, 0)), outline, apex_z, _shell.EDGE_MM, "draw the walls")
    with kernel_step("set doors and windows in the walls", "use another --scale"):
        pads, cuts = openings_bodies(walls, _openings(spec, plan, walls, roof)[0], spec, framed=True)
        body = body.fuse(*pads, *foot_frames(plan, walls, spec))
    with kernel_step("cut gables, inside and openings", "use another pitch_deg"):
        wide, over = roof.half_outer_v + 1.0, apex_z + 1.0
        above = [(-wide, over), (-wide, roof.under_z(wide)), (0.0, apex_z), (wide, roof.under_z(wide)), (wide, over)]
        length = 2 * roof.half_outer_u + 2.0
        cuts += [_local(walls, prism(_across(-length / 2), above, length)), _shell.cavity(walls, apex_z + 1.0)]
        cuts += _shell.cut_openings(plan, printer, walls, depth_mm=walls.wall_mm + 0.5, upright=True)
        body = body.cut(*cuts)
    return _shell.finished("shell", body, spec, turn=_shell.UPRIGHT, through_holes=1)


def _slopes(spec: MountSpec, plan: HousingPlan, roof: Roof) -> Part:
    """The roof: slopes with a bargeboard at the end it is printed on, and two rails that stop at the far gable."""
    from mounts.solid.guard import kernel_step
    from mounts.solid.plates import prism
    from mounts.solid.polyhedron import chamfered_prism, stacked

    walls = _shell.walls(plan, spec.printer)
    verge = roof.half_outer_u + roof.slip_mm + roof.sound_mm
    with kernel_step("draw the roof", "use another pitch_deg"):
        board = roof.outline(below_mm=roof.lip_mm * math.cos(roof.pitch_rad))
        bargeboard = chamfered_prism(_across(-verge), board, roof.sound_mm, _shell.EDGE_MM, "draw the bargeboard")
        slopes = prism(_across(-verge + roof.sound_mm), roof.outline(), 2 * verge - roof.sound_mm)
    rails = []
    end = roof.half_inner_u - roof.slip_mm
    cos = math.cos(roof.pitch_rad)
    for side in (-1.0, 1.0):
        near, far = roof.half_inner_v - roof.slip_mm, roof.half_inner_v - roof.slip_mm - roof.sound_mm
        low_z = roof.eaves_z - roof.lip_mm
        root = 0.4 / cos  # into the slope, so that they fuse
        section = [(near, low_z), (near, roof.under_z(near) + root), (far, roof.under_z(far) + root), (far, low_z)]
        section = section if side < 0 else section[::-1]
        rings = [
            np.array([(u + ramp * (roof.under_z(v) - z) * cos, side * v, z) for v, z in section])
            for ramp, u in ((RAMP, -end), (0.0, end))
        ]
        rails.append(stacked(rings, "draw the roof's rails"))
    with kernel_step("join bargeboard and rails to the roof", "use another pitch_deg"):
        body = _local(walls, slopes.fuse(bargeboard, *rails))
    turn = ((0, 1, 0), (0, 0, 1), (1, 0, 0)) if _ridge_along_x(walls) else ((1, 0, 0), (0, 0, -1), (0, 1, 0))
    if spec.mirror and _ridge_along_x(walls):
        turn = ((0, 1, 0), (0, 0, -1), (-1, 0, 0))
    return _shell.finished("roof", body, spec, turn=turn, through_holes=0)


STYLE = Style(
    drive="push-rod", options=HutOptions, limits=limits, place=place, build=build,
    examples=({}, {"pose": "side"}, {"pitch_deg": 50.0}),
)
