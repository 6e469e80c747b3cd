"""What the scenery shells share: how they sit on the frame, scale sizes, walls, openings, print poses."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING, Literal

import numpy as np

from mounts.design import Design, Span
from mounts.frames import Matrix, inverse, matrix
from mounts.inputs import fits
from mounts.inputs.printer import STEEP, Printer
from mounts.inputs.spec import MountSpec
from mounts.styles._housing_plan import HousingPlan, least_lip_mm, sound_mm

if TYPE_CHECKING:
    import cadquery as cq

    from mounts.solid.part import Part

Side = Literal["-x", "+x", "-y", "+y"]
FOOT_MM = 0.35  # chamfer of what stands on the bed or slides over the rim: standards, 8
EDGE_MM = 0.18  # chamfer of other edges on the bed: elephant's foot (standards, 8)
LID_MM, LID_LAYERS = 0.8, 4  # a flat top, over the longest room; common practice, no source
LINTEL_SHARE = 0.8  # of the longest good bridge
COARSER = 2.5  # a pattern too fine to print is drawn so much coarser at most, as kits do; common practice, no source
SHORT_MM = 8.0  # over a narrower opening even a millimetre of level lintel got support: it rises to a point


def relief_mm(printer: Printer) -> float:
    """How far boards, strips and frames stand out: a nozzle, 0.3 mm at least; less does not show. Common practice, no
    source. A frame over boards stands out twice as far: from a millimetre on (``checks.thickness``) its bars would
    have to carry.
    """
    return min(max(0.3, printer.nozzle_mm), 0.49)


def groove_mm(printer: Printer) -> float:
    """Narrowest groove that stays open, and narrowest strip between two: 1.5 nozzles (standards, 8)."""
    return 1.5 * printer.nozzle_mm


def lid_mm(printer: Printer) -> float:
    """Thickness of a flat top."""
    return max(LID_MM, LID_LAYERS * printer.layer_mm)


def flank_mm(proud_mm: float) -> float:
    """Least height of a flank that leans out by so much in print."""
    return STEEP * proud_mm


def stands_out_mm(spec: MountSpec, relief_mm: float = 0.0) -> float:
    """Edge of the frame's base plate to the outside of a shell's wall with so much relief on it."""
    return fits.SHELL.air_mm(spec.printer) + sound_mm(spec) + relief_mm


def scaled_mm(spec: MountSpec, real_m: float) -> float:
    """A real length in the scale."""
    return 1000 * real_m / spec.scale.ratio


def pieces(spec: MountSpec, length_mm: float, real_m: Span, least_mm: float) -> int | None:
    """Into how many boards, courses or panels a length is divided; None where they are too small to print.

    Where true ones are too small to print, coarser ones are drawn, up to ``COARSER`` times as large as the largest.

    Args:
        spec: the scale.
        length_mm: to be divided evenly.
        real_m: least and greatest size of one in reality.
        least_mm: smallest that prints.
    """
    smallest, largest = (scaled_mm(spec, size) for size in real_m)
    if COARSER * largest < least_mm:
        return None
    wanted = max((smallest + largest) / 2, least_mm)
    fitting = math.floor(length_mm / least_mm + 1e-9)  # rounded up, they would be smaller than what prints
    return max(1, min(round(length_mm / wanted), fitting))


def too_fine(spec: MountSpec, what: str, largest_m: float, least_mm: float | None = None) -> str:
    """Says why a pattern is left out: its pieces, the largest of them, are below what prints.

    Args:
        spec: scale and printer.
        what: the pattern, plural.
        largest_m: the largest of its pieces in reality, m.
        least_mm: that prints; None: two grooves.
    """
    least = 2 * groove_mm(spec.printer) if least_mm is None else least_mm
    return (
        f"no {what}: at 1:{spec.scale.ratio:g} they are {scaled_mm(spec, largest_m):.2f} mm, "
        f"drawn {COARSER:g} times as large at most; a {spec.printer.nozzle_mm:g} mm nozzle draws {least:.2f} and more"
    )


def lip_mm(printer: Printer) -> float:
    """How deep one part of a shell reaches into another, so that it can't slide off."""
    return least_lip_mm(fits.ROOF.air_mm(printer), 0.0)


def housing(design: Design) -> HousingPlan:
    """The plan as the housing's it must be here."""
    if not isinstance(design.plan, HousingPlan):
        raise TypeError("a shell is built round a housing's plan")
    return design.plan


def planned(plan: HousingPlan, left_out: tuple[str, ...], parts: tuple[str, ...]) -> HousingPlan:
    """The plan with what the shell adds to it: parts that lift off, and what could not be drawn."""
    if plan.beside is None or plan.beside.scenery is None:
        raise TypeError("a shell is scenery on the board")
    scenery = plan.beside.scenery.model_copy(update={"left_out": left_out})
    return plan.model_copy(update={"beside": plan.beside.model_copy(update={"scenery": scenery}), "lift_off": parts})


@dataclass(frozen=True)
class Walls:
    """A shell's upright walls under their relief, before it is mirrored, mount frame, mm."""

    inner_x: Span
    inner_y: Span
    outer_x: Span
    outer_y: Span
    wall_mm: float

    def face(self, side: Side) -> tuple[float, float]:
        """Sign of the outward normal and the coordinate of the outer face, mm."""
        outer = self.outer_x if side[1] == "x" else self.outer_y
        return (-1.0, outer[0]) if side[0] == "-" else (1.0, outer[1])

    def along(self, side: Side) -> Span:
        """The wall's outer extent along itself, in the coordinate of ``plane``."""
        outer = self.outer_y if side[1] == "x" else self.outer_x
        return outer if side in ("+x", "-y") else (-outer[1], -outer[0])

    def plane(self, side: Side) -> cq.Plane:
        """On the wall's outer face where it stands: normal outwards, yDir up."""
        import cadquery as cq

        sign, at = self.face(side)
        if side[1] == "x":
            return cq.Plane(origin=(at, 0, 0), xDir=(0, sign, 0), normal=(sign, 0, 0))
        return cq.Plane(origin=(0, at, 0), xDir=(-sign, 0, 0), normal=(0, sign, 0))


def walls(plan: HousingPlan, spec: MountSpec) -> Walls:
    """Walls round the frame's rim."""
    slip, wall = fits.SHELL.air_mm(spec.printer), sound_mm(spec)
    inner_x, inner_y = ((low - slip, high + slip) for low, high in (plan.base_x, plan.base_y))
    outer_x, outer_y = ((low - wall, high + wall) for low, high in (inner_x, inner_y))
    return Walls(inner_x, inner_y, outer_x, outer_y, wall)


def openings(plan: HousingPlan) -> dict[Side, tuple[Span, float]]:
    """Where rod and cable pass, along the wall in the coordinate of its plane, and up to which height, mm."""
    found: dict[Side, tuple[Span, float]] = {"-y": (plan.slot_x, plan.slot_top_z)}
    if plan.cable_x is not None:
        found["+y"] = ((-plan.cable_x[1], -plan.cable_x[0]), plan.cable_top_z)
    return found


def lintel_mm(printer: Printer, width_mm: float) -> float:
    """How wide the level part of a lintel over an opening may be."""
    return 0.0 if width_mm < SHORT_MM else LINTEL_SHARE * printer.bridge_warn_mm


def cut_openings(
    plan: HousingPlan, printer: Printer, around: Walls, *, depth_mm: float, before_mm: float = 1.0, upright: bool
) -> list[cq.Solid]:
    """The bodies to cut for rod and cable.

    Args:
        plan: where.
        printer: its bridges.
        around: the walls they are in.
        depth_mm: of the wall there.
        before_mm: what stands before the wall.
        upright: printed with the foot down, so that the lintel is a bridge.
    """
    from mounts.solid.relief import foot_opening

    return [
        foot_opening(
            around.plane(side),
            sides,
            top_z,
            depth_mm=depth_mm,
            before_mm=before_mm,
            flat_mm=lintel_mm(printer, sides[1] - sides[0]) if upright else np.inf,
            foot_mm=EDGE_MM,
        )
        for side, (sides, top_z) in openings(plan).items()
    ]


def cavity(around: Walls, top_z: float) -> cq.Solid:
    """The inside of straight walls from the board to a height, its lower edge chamfered to slide over the rim."""
    from mounts.solid.polyhedron import rectangle, stacked

    (x0, x1), (y0, y1) = around.inner_x, around.inner_y
    wide = FOOT_MM + 0.1
    rings = [
        rectangle((x0 - wide, x1 + wide), (y0 - wide, y1 + wide), -0.1),
        rectangle((x0, x1), (y0, y1), FOOT_MM),
        rectangle((x0, x1), (y0, y1), top_z),
    ]
    return stacked(rings, "draw the inside of the shell")


def finished(
    name: str,
    body: cq.Shape,
    spec: MountSpec,
    *,
    turn: tuple[tuple[int, int, int], ...],
    through_holes: int,
    sound: cq.Shape | None = None,
) -> Part:
    """A part of the scenery, mirrored where asked, with its print pose: turned, then put with a corner on the origin.

    Args:
        name: of the part.
        body: one solid, drawn from the ground up, not yet mirrored.
        spec: says whether it is mirrored.
        turn: rows of the rotation from the mount frame to the pose.
        through_holes: genus of its mesh.
        sound: as of ``one_solid``.
    """
    from mounts.solid.guard import one_solid
    from mounts.solid.part import Part
    from mounts.solid.tessellate import extent_mm
    from mounts.styles._housing_base import on_ground

    solid = one_solid(on_ground(body.mirror("YZ") if spec.mirror else body, spec), f"build the {name}", sound)
    rotation = np.array(turn, dtype=float)
    corners = np.array(list(product(*zip(*extent_mm(solid), strict=True))))
    origin = -(corners @ rotation.T).min(axis=0)
    mount_to_print: Matrix = matrix(rotation, origin)
    return Part(name, solid, inverse(mount_to_print), through_holes, "scenery")


# rotations from the mount frame to the bed, rows of a (3, 3)
UPRIGHT = ((1, 0, 0), (0, 1, 0), (0, 0, 1))
UPSIDE_DOWN = ((1, 0, 0), (0, -1, 0), (0, 0, -1))
