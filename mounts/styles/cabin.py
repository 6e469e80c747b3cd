"""Flat-roofed cabin of panels with recessed windows, walls and roof in one piece, printed upside down.

═══════════════      eaves; the roof lies on the bed
 │ ▯ │ ▯ │ ▯ │
 │   │   │   │       panels between grooves
─┴───┴───┴───┴─
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import Field

from mounts.design import Datums, Design, Stature
from mounts.drive.model import Drive, Limits
from mounts.inputs.spec import MountSpec
from mounts.styles import _housing, _shell
from mounts.styles._housing_options import Options, Shell
from mounts.styles._housing_plan import HousingPlan
from mounts.styles._openings import Kind, Opening, openings_bodies, openings_on, room_for_door_mm, strip_mm

if TYPE_CHECKING:
    from mounts.solid.part import Part

PANEL_M = (1.0, 1.5)  # width of a wall panel; common practice, no source
FASCIA_M = 0.25  # depth of the roof's edge; common practice, no source
FASCIA_MM = (1.6, 4.0)  # whatever the scale; common practice, no source
STATURE = Stature(low_m=2.4, high_m=3.2, most_m=6.0)  # one storey under a flat roof; two of them: from memory
EAVES_MM = (0.8, 5.0)  # whatever the scale; common practice, no source


class CabinOptions(Options):
    """What ``--set`` takes for the cabin."""

    eaves_m: float = Field(0.3, ge=0.1, le=0.8, description="roof past the walls, in reality, m; common practice")


def _eaves_mm(spec: MountSpec, options: CabinOptions) -> float:
    return min(max(_shell.scaled_mm(spec, options.eaves_m), EAVES_MM[0]), EAVES_MM[1])


def _fascia_mm(spec: MountSpec) -> float:
    return min(max(_shell.scaled_mm(spec, FASCIA_M), FASCIA_MM[0]), FASCIA_MM[1])


def _panels(spec: MountSpec, walls: _shell.Walls) -> tuple[int, int] | None:
    least = 2 * _shell.groove_mm(spec.printer)
    along_x, along_y = (
        _shell.pieces(spec, outer[1] - outer[0], PANEL_M, least) for outer in (walls.outer_x, walls.outer_y)
    )
    return None if along_x is None or along_y is None else (along_x, along_y)


def _openings(spec: MountSpec, plan: HousingPlan, walls: _shell.Walls) -> tuple[tuple[Opening, ...], tuple[str, ...]]:
    along_x, along_y = _panels(spec, walls) or (1, 1)
    wanted: dict[_shell.Side, tuple[Kind, int]] = {
        "-y": ("window", along_x),
        "+y": ("window", along_x),
        "+x": ("door", along_y),
        "-x": ("window", along_y),
    }
    return openings_on(spec, plan, walls, wanted, top_z=plan.room_top_z, proud_mm=_shell.relief_mm(spec.printer))


def _size(spec: MountSpec, options: CabinOptions) -> Shell:
    relief = _shell.relief_mm(spec.printer)
    return Shell(
        front_mm=_shell.stands_out_mm(spec) + _eaves_mm(spec, options),
        over_mm=_fascia_mm(spec),
        foot_mm=_shell.stands_out_mm(spec, relief),
        stature=STATURE,
        least_room_mm=room_for_door_mm(spec, relief),
    )


def limits(spec: MountSpec, options: CabinOptions) -> Limits:
    """What the frame and the cabin round it leave to the rod."""
    return _housing.limits(spec, options, _size(spec, options))


def place(spec: MountSpec, drive: Drive, options: CabinOptions) -> tuple[Datums, HousingPlan]:
    """Where everything stands, and what of the cabin can't be drawn in this scale."""
    datums, plan = _housing.place(spec, drive, options, _size(spec, options))
    return datums, _shell.planned(plan, left_out(spec, plan), ("shell",))


def left_out(spec: MountSpec, plan: HousingPlan) -> tuple[str, ...]:
    """What of the cabin can't be drawn in this scale, and why."""
    walls = _shell.walls(plan, spec)
    left = _openings(spec, plan, walls)[1]
    return left if _panels(spec, walls) else (*left, _shell.too_fine(spec, "panels", PANEL_M[1]))


def build(design: Design, options: CabinOptions) -> tuple[Part, ...]:
    """Frame and cabin."""
    plan = _shell.housing(design)
    return (_housing.build_frame(design, plan), *scenery(design.spec, plan, options))


def scenery(spec: MountSpec, plan: HousingPlan, options: CabinOptions) -> tuple[Part, ...]:
    """The cabin: one part.

    Raises:
        BuildError: the kernel could not do a step.
    """
    import cadquery as cq

    from mounts.solid.guard import kernel_step
    from mounts.solid.plates import prism
    from mounts.solid.polyhedron import chamfered_prism
    from mounts.solid.relief import ribbed_rectangle

    printer, proud = spec.printer, _shell.relief_mm(spec.printer)
    walls = _shell.walls(plan, spec)
    eaves, fascia = _eaves_mm(spec, options), _fascia_mm(spec)
    (x0, x1), (y0, y1) = ((low - eaves, high + eaves) for low, high in (walls.outer_x, walls.outer_y))
    with kernel_step("draw the walls and the roof", "use the default options"):
        outline = ribbed_rectangle(
            walls.outer_x,
            walls.outer_y,
            *(_panels(spec, walls) or (1, 1)),
            rib_mm=strip_mm(printer),
            proud_mm=proud,
        )
        body: cq.Shape = prism(cq.Plane((0, 0, 0)), outline, plan.room_top_z + 0.5)
        top = cq.Plane(origin=(0, 0, plan.room_top_z + fascia), xDir=(1, 0, 0), normal=(0, 0, -1))
        roof = [(x0, -y0), (x0, -y1), (x1, -y1), (x1, -y0)]
        pads, cuts = openings_bodies(walls, _openings(spec, plan, walls)[0], spec, proud_mm=proud)
        body = body.fuse(chamfered_prism(top, roof, fascia, _shell.FOOT_MM, "draw the roof"), *pads)
    with kernel_step("cut the inside, windows and openings", "use the default options"):
        cuts.append(_shell.cavity(walls, plan.room_top_z + fascia - _shell.lid_mm(printer)))
        cuts += _shell.cut_openings(
            plan, printer, walls, depth_mm=walls.wall_mm + 0.5, before_mm=1.0 + proud, upright=False
        )
        body = body.cut(*cuts)
    return (_shell.finished("shell", body, spec, turn=_shell.UPSIDE_DOWN, through_holes=0),)


STYLE = _housing.style(
    CabinOptions,
    limits,
    place,
    build,
    examples=({}, {"pose": "hang"}, {"eaves_m": 0.6}),
)
