"""What any mount has to do for its servo and its screws: the mirror, the seat, bores and margins, the written name.

Brackets and housings draw with it; it knows neither.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import numpy as np
from pydantic import Field

from mounts.design import Screw
from mounts.frames import Array, Matrix, Vector, matrix
from mounts.inputs import fits
from mounts.inputs.model import Mm
from mounts.inputs.printer import Printer
from mounts.inputs.spec import MountSpec
from mounts.styles._fixings import bears_mpa, stall_n
from mounts.styles._pilots import Pilots, length_mm

if TYPE_CHECKING:
    from cadquery import Plane, Shape, Solid

Point2 = tuple[float, float]

EAR_MARGIN_MM = 1.5  # plastic beyond the end and the side of an ear
HEAD_RIM_MM = 1.6  # plate round the head of a fixing screw
WIRE_TAIL_MM = 2.5  # what keeps a Z-bend in its hole; common practice, no source
POINT_MM = 2.0  # board left past a fixing screw's point; common practice, no source
GRIP_SHANKS = 2.0  # thread of a fixing screw in the board; common practice, no source
# common practice, no source:
PLUG_SIDE_MM = 0.5  # between the plug and what it starts beside, on its way out of the mount
CAPITAL_MM = 6.0  # of the name; common practice, no source
LETTERS_MM = 0.6  # how far it stands out or is sunk; common practice, no source
SEAT_SPARE = 11.0  # seat over wire, both at the arm's hole; a little more than is asked for; common practice, no source
POISSON = 0.36  # of PLA and PETG; from memory

WallMm = Annotated[
    Mm | None, Field(ge=4.0, le=10.0, description="wall thickness; default 2.5 × the servo's screw, at least 5")
]
RibMm = Annotated[
    Mm | None, Field(ge=1.6, le=6.0, description="thickness of the ribs; default the fewest lines that carry")
]

ON_ITS_SIDE = np.array([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
"""Servo frame to mount frame: the case lies across the track, the shaft along it."""

TURNED = ON_ITS_SIDE @ np.diag([-1.0, -1.0, 1.0])
"""The same with the case's far end to −y: the arm points away from it, past its near end."""


def flip(point: Vector, mirror: bool) -> Vector:
    """The point, or its mirror image along the track."""
    return (-point[0] + 0.0 if mirror else point[0], point[1], point[2])


def servo_matrix(spec: MountSpec, rotation: Array, origin: Vector) -> Matrix:
    """Servo frame to mount frame; the servo itself is not mirrored, so its symmetric side turns over.

    Args:
        spec: whether the mount is mirrored.
        rotation: (3, 3), before the mirror.
        origin: of the servo frame in the mount frame before the mirror, mm.
    """
    if spec.mirror:
        rotation = np.diag([-1.0, 1.0, 1.0]) @ rotation @ np.diag([1.0, -1.0, 1.0])
    return matrix(rotation, np.array(flip(origin, spec.mirror)))


def bed_chamfer_mm(printer: Printer) -> float:
    """Of the outer edge that lies on the bed, against elephant's foot."""
    return max(0.3, printer.elephant_foot_mm + 0.15)


def head_margin_mm(spec: MountSpec) -> float:
    """Plate between a fixing screw's axis and the edge: half the head and a rim."""
    return spec.fixing.head_mm / 2 + HEAD_RIM_MM


def bore_mm(spec: MountSpec, hole: fits.Fit) -> float:
    """Diameter of a fixing screw's hole as drawn; ``hole``: ``fits.FIXING_UPRIGHT`` or ``fits.FIXING_LYING``."""
    return spec.fixing.clearance_mm + hole.closes_mm(spec.printer)


def screws(
    spec: MountSpec, heads_xy: tuple[Point2, ...], head_z: float, *, up: bool, length_mm: float
) -> tuple[Screw, ...]:
    """Fixing screws square to the board, mirrored where the mount is.

    Args:
        spec: whether it is.
        heads_xy: their axes before the mirror, mount frame, mm.
        head_z: where their heads' tops are.
        up: driven from below.
        length_mm: of each.
    """
    way = (0.0, 0.0, 1.0 if up else -1.0)
    return tuple(Screw(head=flip((x, y, head_z), spec.mirror), direction=way, length_mm=length_mm) for x, y in heads_xy)


def fixings(spec: MountSpec, heads_xy: tuple[Point2, ...], face_z: float) -> tuple[Vector, ...]:
    """Where those screws meet the mount's face on the board, mirrored where it is."""
    return tuple(flip((x, y, face_z), spec.mirror) for x, y in heads_xy)


def servo_screws(spec: MountSpec, found: Pilots) -> dict[str, Any]:
    """The fields of a plan that describe the servo's own screws."""
    return {
        "pilot_drill_mm": found.drill_mm,
        "pilots_marked": found.printed_mm is None,
        "servo_screw_length_mm": length_mm(spec.servo),
    }


def lined_mm(spec: MountSpec, least_mm: float) -> float:
    """Thickness of the fewest lines that are so thick, of more where a sturdy mount was asked for."""
    return spec.printer.lines_mm(least_mm) + spec.sturdier_mm


def web_mm(spec: MountSpec) -> float:
    """From a hole in an ear to the nearest end of the wall behind it: the case's opening, or past the ear."""
    servo = spec.servo
    return min(
        (servo.flange_hole_spacing_mm - servo.case_length_mm) / 2 - fits.POCKET.air_mm(spec.printer),
        (servo.flange_span_mm - servo.flange_hole_spacing_mm) / 2 + EAR_MARGIN_MM,
    )


def seat_wall(face_x: float, outline: list[Point2], wall_mm: float) -> Solid:
    """A wall square to the track that the ears lie on, before the mirror.

    Args:
        face_x: of the seat; the wall lies behind it.
        outline: corners in y and z, mount frame, mm.
        wall_mm: its thickness.
    """
    from mounts.solid.plates import prism

    return prism(_seat_plane(face_x), outline, -wall_mm)


def _seat_plane(face_x: float) -> Plane:
    import cadquery as cq

    return cq.Plane(origin=(face_x, 0, 0), xDir=(0, 1, 0), normal=(1, 0, 0))


def with_pilots(
    body: Shape,
    face_x: float,
    wall_mm: float,
    pilots_yz: tuple[Point2, ...],
    pilot_mm: float | None,
    *,
    up: Point2 | None,
) -> Shape:
    """A body with holes right through its seat for the servo's screws, or with marks for them, before the mirror.

    Args:
        body: one solid.
        face_x: of the seat.
        wall_mm: behind it, what the holes go through.
        pilots_yz: axes of the screws.
        pilot_mm: diameter of their holes as drawn; None: they are marked.
        up: what in y and z is up in print, where the holes lie then; None: they stand.

    Raises:
        BuildError: it is not one body.
    """
    import cadquery as cq

    from mounts.solid.faces import Hole, pierced
    from mounts.solid.holes import dimple

    if pilot_mm is None:
        return body.cut(*(dimple(cq.Vector(face_x, y, z), cq.Vector(-1, 0, 0)) for y, z in pilots_yz))
    outlines = _pilot_outlines(pilots_yz, pilot_mm, up)
    holes = [Hole(_seat_plane(face_x), [(outline, 0.0), (outline, wall_mm)]) for outline in outlines]
    return pierced(body, holes, "drill for the servo's screws")


def _pilot_outlines(pilots_yz: tuple[Point2, ...], pilot_mm: float, up: Point2 | None) -> list[list[Point2]]:
    from mounts.solid.holes import circle, teardrop

    return [circle(at, pilot_mm) if up is None else teardrop(at, pilot_mm, point=up) for at in pilots_yz]


def posts_n_per_mm(spec: MountSpec, wall_mm: float, widths_mm: tuple[float, ...], length_mm: float) -> float:
    """Sideways stiffness of posts beside the notch, clamped in the wall, loaded at the shaft, N/mm.

    Cantilevers in parallel that bend and shear, 1/k = L³/(3EI) + 1.2·L/(GA) with I = t·b³/12, A = t·b and
    G = E/(2(1 + ν)). Domain: posts as short as a third of their width, within 3 % of finite elements in plane stress;
    bending alone would flatter them twofold where L = b. That the servo ties their ends is left out, and that what they
    stand on gives: of a housing's base finite elements show 0.65 to 2.4 times as much.

    Args:
        spec: the plastic.
        wall_mm: thickness t of the posts.
        widths_mm: b of each.
        length_mm: L, from where they are clamped to the shaft.

    Source: Timoshenko's cantilever by unit load, any handbook (bending: standards, 6).
    """
    bends = length_mm**3 / (3 * spec.filament.modulus_mpa)
    shears = 1.2 * length_mm / shear_mpa(spec)
    return sum(1 / (bends / (wall_mm * width**3 / 12) + shears / (wall_mm * width)) for width in widths_mm)


def shear_mpa(spec: MountSpec) -> float:
    """The plastic's shear modulus, MPa."""
    return spec.filament.modulus_mpa / (2 * (1 + POISSON))


class SeatWants(NamedTuple):
    """What must carry a servo: stiffness of the wire at the arm's hole, N/mm, the servo's pull there at its stall, N,
    and the stress that the plastic bears, MPa."""

    felt_n_per_mm: float
    pull_n: float
    bears_mpa: float

    def has(self, n_per_mm: float, mpa_per_n: float) -> bool:
        """Whether a seat of such stiffness, with so much stress for each newton at the arm's hole, is good."""
        return n_per_mm >= SEAT_SPARE * self.felt_n_per_mm and mpa_per_n * self.pull_n <= self.bears_mpa


def seat_wants(spec: MountSpec, felt_n_per_mm: float, arm_hole_mm: float, *, across: bool) -> SeatWants:
    """Of a drive.

    Args:
        spec: servo and plastic.
        felt_n_per_mm: stiffness of the wire at the arm's hole.
        arm_hole_mm: the hole in use.
        across: the pull is across the layers of the print.
    """
    return SeatWants(felt_n_per_mm, stall_n(spec, arm_hole_mm), bears_mpa(spec, across=across))


def posts_mpa_per_n(
    wall_mm: float, widths_mm: tuple[float, ...], length_mm: float, turned: Point2 = (0.0, 1.0)
) -> float:
    """Largest stress in posts beside the notch for each newton that pulls at the arm's hole, MPa/N.

    Each bears by its stiffness, b³: σ = 6·L·b/(t·Σb³) where it is clamped. A pull before the posts turns them about
    each other besides, a couple F·a/s on two that are s apart: 6·L·a/(s·b·t²). The servo that ties their ends is left
    out: an upper bound but for what a sharp corner adds. Domain: as ``posts_n_per_mm``.

    Args:
        wall_mm: thickness t of the posts.
        widths_mm: b of each.
        length_mm: L, from where they are clamped to the shaft.
        turned: a, how far before them it pulls, and s.

    Source: bending of beams, any handbook.
    """
    before, apart = turned
    bends = 6 * length_mm * max(widths_mm) / (wall_mm * sum(width**3 for width in widths_mm))
    return bends + 6 * length_mm * before / (apart * min(widths_mm) * wall_mm**2)


def named(
    body: Shape,
    spec: MountSpec,
    text: str,
    *,
    at: Vector,
    along: Vector,
    out: Vector,
    room_mm: Point2,
    sunk: bool = False,
) -> Shape:
    """The body, mirrored where it is to be, with its name on a flat face; without it where there is no room.

    Args:
        body: one solid.
        spec: the printer, and whether the mount is mirrored.
        text: the name.
        at: middle of the name on the face, mount frame, mm; before the mirror.
        along: unit vector along the line of writing, after the mirror.
        out: unit vector square to the face, out of the body, after the mirror.
        room_mm: length and height it must stay within.
        sunk: cut into the face, not raised on it.

    Raises:
        BuildError: the kernel could not do it.
    """
    import cadquery as cq

    from mounts.solid import lettering
    from mounts.solid.faces import written
    from mounts.solid.guard import kernel_step

    pen_mm = max(1.0, 2.2 * spec.printer.nozzle_mm)
    letters = lettering.outline(text, capital_mm=CAPITAL_MM, pen_mm=pen_mm, room_mm=room_mm)
    if not letters.geoms:
        return body
    with kernel_step("write the name", "use a shorter --id"):
        face = cq.Plane(origin=flip(at, spec.mirror), xDir=along, normal=out)
        return written(body, face, letters, -LETTERS_MM if sunk else LETTERS_MM, "write the name")
