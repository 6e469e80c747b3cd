"""What both kinds of under-board bracket share: options, the plate with its pivot and screws, the datums."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field

from mounts.design import Datums, IndexMark, Plan, Screw
from mounts.drive.kinds import driven
from mounts.drive.model import Drive
from mounts.drive.rocking_wire.model import RockingWireDrive, RockingWireLimits
from mounts.errors import NoDesign, NoFixing
from mounts.frames import Array
from mounts.inputs import fits
from mounts.inputs.model import Mm, Model
from mounts.inputs.spec import MountSpec
from mounts.styles import _fixings, _mounting, _pilots
from mounts.styles._mounting import GRIP_SHANKS, POINT_MM, WIRE_TAIL_MM, Point2, flip, head_margin_mm

if TYPE_CHECKING:
    from mounts.solid.faces import Hole

# common practice, no source:
LARGEST_BOARD_HOLE_MM = 12.0  # the front screws stand clear of it, whatever hole the drive needs
DRIVER_RADIUS_MM = 3.5  # a no. 1 cross-point driver's shank with room for a hand at a slant; common practice, no source
ARM_AIR_MM = 1.0  # least air between the arm's tip and the plate; common practice, no source
CABLE_AIR_MM = 0.2  # between wall and cable; common practice, no source
USUAL_MORE = 1  # lines more than the fewest that room is left for in every web; a family then shares its screws
LOAD_WALL_MM = 1.6  # walls that carry the servo (standards, 8: 1.6 to 2.0)
# common practice, no source:
PLATE_MM = 3.5  # stock screws then suit boards as sold; a thinner plate saves little, its skins are what is printed
CORNER_MM = 1.0  # plate corners, cut off
INDEX_DEEP_MM, INDEX_HALF_MM, INDEX_STEP_MM = 0.8, 0.9, 2.5  # notches on both axes; common practice, no source
# common practice, no source:
LEAST_POINT_MM = 1.5  # board left over a screw's point where no stock length leaves ``POINT_MM``
# common practice, no source:
LEAST_GRIP_SHANKS = 1.5  # thread in it where the screw was asked for; four then hold the servo's stall (screw-hold)


class Options(Model):
    """What ``--set`` takes for the under-board bracket."""

    lie: Literal["auto", "across", "down"] = Field(
        "auto", description="the servo's long side: across the track, down, or whichever makes the mount smaller"
    )
    plate_mm: Mm = Field(PLATE_MM, ge=3.0, le=8.0, description="plate thickness")
    wall_mm: _mounting.WallMm = None
    rib_mm: _mounting.RibMm = None
    web_mm: Mm | None = Field(
        None,
        ge=1.6,
        le=10.0,
        description="thickness between plate and screws of a servo that lies across, up to that of the wall; "
        "default the fewest lines that carry",
    )


CURES = {
    "driver-fixing": "a thinner --set rib_mm",
    "servo-screw-grip": "a thicker --set wall_mm",
    "seat-stiffness": "a thicker --set web_mm or wall_mm",
    "seat-strength": "a thicker --set web_mm or wall_mm, or another --filament",
    "wire-mount": "a thinner --set plate_mm",
}


class BracketPlan(Plan):
    """Dimensions that both kinds have, before the bracket is mirrored, mount frame, mm."""

    board_face_z: float
    plate_mm: float
    plate_x: tuple[float, float]
    plate_y: tuple[float, float]
    pin_y: tuple[float, float] = Field(description="the plate's edges across the track at the pin, which have notches")
    heads_xy: tuple[tuple[float, float], ...] = Field(description="fixing screws")
    wall_face_x: float = Field(description="front face of the wall: the seat of the flange")
    wall_mm: float
    wall_y: tuple[float, float]
    wall_bottom_z: float
    pilots_yz: tuple[tuple[float, float], ...] = Field(description="servo screws, in the wall")
    pilot_mm: float | None = Field(description="diameter as modelled; None: marked, to be drilled")
    rib_mm: float
    pivot_z: float
    slot_x_mm: float = Field(description="length of the pivot slot along the track")
    slot_y_mm: float = Field(description="width as modelled: wire, slack and what the printer closes up")
    land_mm: float
    flare_deg: float = Field(description="lean of the slot's faces above and below the land")
    second_y: float | None = Field(None, description="of a second slot, across the track from the first; None: one")


def wall_thickness_mm(spec: MountSpec, options: Options) -> float:
    """Thick enough for 2.5 diameters of the servo's screw.

    Raises:
        NoDesign: the servo's cable leaves its case inside a wall that was asked for so thick.
    """
    servo, asked = spec.servo, options.wall_mm
    if asked is None:
        return _pilots.wall_mm(servo)
    half_cable = max(servo.cable_width_mm, servo.cable_thickness_mm) / 2  # whichever way its flat side lies
    free_mm = servo.flange_underside_height_mm - servo.cable_height_mm - half_cable
    if asked > free_mm - CABLE_AIR_MM:
        raise NoDesign(
            f"wall_mm = {asked:g}: the servo's cable leaves its case {free_mm:.1f} mm behind the ears and would be in "
            f"a wall so thick; use --set wall_mm={math.floor((free_mm - CABLE_AIR_MM) * 10) / 10:g}"
        )
    return asked


def wire_limits(
    spec: MountSpec, options: Options, *, below_shaft_mm: float, above_shaft_mm: float
) -> RockingWireLimits:
    """The limits of a pivot in the plate; how far the mount reaches round the shaft is the kind's own.

    Args:
        spec: board, pin, pad and printer.
        options: of the bracket.
        below_shaft_mm: how far the mount reaches below the shaft.
        above_shaft_mm: how far above it.
    """
    drop = options.plate_mm / 2
    return RockingWireLimits(
        pad_mm=spec.pad_mm,
        pivot_to_pin_mm=spec.pin_height_mm + spec.board.thickness_mm + drop,
        pivot_drop_mm=drop,
        below_shaft_mm=below_shaft_mm,
        min_pivot_to_shaft_mm=drop + above_shaft_mm,
        min_arm_tip_to_pivot_mm=drop + ARM_AIR_MM,
        max_depth_mm=spec.max_depth_mm,
        max_board_hole_mm=LARGEST_BOARD_HOLE_MM,
        board_hole_clearance_mm=fits.BOARD_HOLE.own_mm,
        pivot_slack_mm=fits.PIVOT.air_mm(spec.printer),
        min_pivot_land_mm=2 * spec.printer.layer_mm,
        max_pivot_tilt_deg=35.0,
        wire_tail_mm=WIRE_TAIL_MM,
    )


def servo_screws(spec: MountSpec, hole: fits.Fit) -> dict[str, Any]:
    """The fields of the plan that describe the servo's screws, and the walls that carry it."""
    found = _pilots.pilots(spec.servo, spec.printer, hole, _mounting.web_mm(spec))
    return {**_mounting.servo_screws(spec, found), "pilot_mm": found.printed_mm, "load_wall_mm": LOAD_WALL_MM}


def rocking(drive: Drive) -> RockingWireDrive:
    """The drive as the rocking wire it must be here."""
    return driven(drive, RockingWireDrive)


def pivot_plan(spec: MountSpec, drive: RockingWireDrive, options: Options) -> dict[str, float]:
    """The fields of BracketPlan that describe plate and pivot, in the units of their names; heights in mm."""
    return {
        "board_face_z": -spec.board.thickness_mm,
        "plate_mm": options.plate_mm,
        "pivot_z": -spec.board.thickness_mm - options.plate_mm / 2,
        "slot_x_mm": max(2.0, spec.printer.clean_hole_mm, drive.pivot_bore_mm),
        "slot_y_mm": drive.pivot_bore_mm + fits.PIVOT.closes_mm(spec.printer),
        "land_mm": drive.pivot_land_mm,
        "flare_deg": max(15.0, drive.tilt_deg + 5.0),
    }


def seat(spec: MountSpec, drive: RockingWireDrive, pivot_z: float) -> tuple[float, float]:
    """x of the ears' seat and z of the shaft, mm.

    The wire lies against the arm's outer face, so its axis, and with it x = 0, is half a wire in front.
    """
    arm = 1 if drive.horn_towards_pivot else -1
    shaft_z = pivot_z - drive.pivot_to_horn_mm - arm * drive.horn_radius_mm
    return -drive.wire_mm / 2 - spec.servo.horn_plane_height_mm, shaft_z


def datums(spec: MountSpec, drive: RockingWireDrive, plan: BracketPlan, rotation: Array, shaft_z: float) -> Datums:
    """Where everything of a bracket stands.

    Args:
        spec: the request.
        drive: the wire.
        plan: of the bracket.
        rotation: servo frame to mount frame before the mirror, (3, 3).
        shaft_z: height of the shaft, mm.
    """
    return Datums(
        pin=(0.0, 0.0, spec.pin_height_mm),
        pivot=(0.0, 0.0, plan.pivot_z),
        servo=_mounting.servo_matrix(spec, rotation, (plan.wall_face_x, 0.0, shaft_z)),
        fixings=_mounting.fixings(spec, plan.heads_xy, plan.board_face_z),
        horn_at_mid=(0.0, 0.0, 1.0 if drive.horn_towards_pivot else -1.0),
    )


def plate_plan(
    spec: MountSpec,
    options: Options,
    heads_xy: tuple[Point2, ...],
    plate_x: Point2,
    plate_y: Point2,
    *,
    pin_y: Point2,
    back: bool,
) -> dict[str, Any]:
    """The fields of BracketPlan that follow from the plate; errors as ``screws``.

    Args:
        spec: board, fixing and servo.
        options: of the bracket.
        heads_xy: of the screws' heads, mm, before the mirror.
        plate_x: plate along the track, mm.
        plate_y: plate across it, mm.
        pin_y: the same at the pin, mm.
        back: whether the plate's far edge along the track can be seen.
    """
    return {
        "screws": screws(spec, options, heads_xy),
        "heads_xy": heads_xy,
        "plate_x": plate_x,
        "plate_y": plate_y,
        "pin_y": pin_y,
        "index_marks": index_marks(spec, plate_x, pin_y, back=back),
        "pad_xy": pad_xy(spec, plate_x, plate_y),
        "rib_mm": rib_mm(spec, options),
        "plug_wide": (1.0, 0.0, 0.0),
        "wire_tail_mm": WIRE_TAIL_MM,
        "name_mark": spec.id,
    }


def rib_mm(spec: MountSpec, options: Options) -> float:
    """Of the ribs: as asked, or whole lines."""
    return options.rib_mm or _mounting.lined_mm(spec, LOAD_WALL_MM)


def webs_mm(spec: MountSpec, options: Options) -> tuple[float, ...]:
    """Of what carries the servo and holds no screw: as asked, or the fewest lines, or more of them up to the wall."""
    if options.web_mm:
        return (options.web_mm,)
    wall_mm, least = wall_thickness_mm(spec, options), _mounting.lined_mm(spec, LOAD_WALL_MM)
    pitch = spec.printer.pitch_mm
    more = max(USUAL_MORE, math.ceil((wall_mm - least) / pitch))
    return tuple(least + lines * pitch for lines in range(more + 1))


def pivots(plan: BracketPlan, *, roofed: bool = False) -> list[Hole]:
    """The slots for the wires, before the mirror; ``roofed`` where the plate stands on edge in print."""
    import cadquery as cq

    from mounts.solid.holes import pivot_slot

    below = cq.Plane(origin=(0, 0, plan.board_face_z - plan.plate_mm), xDir=(1, 0, 0), normal=(0, 0, -1))
    size = {"length_x_mm": plan.slot_x_mm, "width_y_mm": plan.slot_y_mm, "land_mm": plan.land_mm}
    return [
        pivot_slot(below, (0.0, -y), deep_mm=plan.plate_mm, flare_deg=plan.flare_deg, roofed=roofed, **size)
        for y in ((0.0,) if plan.second_y is None else (0.0, plan.second_y))
    ]


def through_holes(plan: BracketPlan) -> int:
    """Genus of the bracket: screws, pivot, and the servo's screws where their holes are printed."""
    return len(plan.heads_xy) + (1 if plan.second_y is None else 2) + (len(plan.pilots_yz) if plan.pilot_mm else 0)


def front_y_mm(spec: MountSpec) -> float:
    """Distance of the two front screws from the pivot: clear of the largest hole by 1.5 shanks."""
    return LARGEST_BOARD_HOLE_MM / 2 + 1.5 * spec.fixing.shank_mm


def fixed(spec: MountSpec, options: Options, count: Callable[[MountSpec], int]) -> MountSpec:
    """The request with what fixes the plate to its board, where that was left free.

    Args:
        spec: the request.
        options: of the bracket.
        count: how many screws it has.

    Raises:
        NoDesign: a bolt was asked for.
    """
    if spec.fixing.kind == "bolt" and not spec.fixing_stock:
        raise NoFixing(
            f"{spec.fixing.name} goes through the board, and its nut would lie under the track; leave --screw free"
        )

    def deep_mm(tried: MountSpec) -> float | None:
        grip = (GRIP_SHANKS if tried.fixing_stock else LEAST_GRIP_SHANKS) * tried.fixing.shank_mm
        point = POINT_MM if tried.fixing_stock or tried.pad_mm else LEAST_POINT_MM
        length = _screw_mm(tried, options, grip, point)
        return None if length is None else length - options.plate_mm

    return _fixings.from_below(spec, deep_mm, count)


def _screw_mm(spec: MountSpec, options: Options, grip_mm: float, point_mm: float) -> float | None:
    """The stock length to use, None where there is none.

    The longest that stays inside the board and does not split the plate, whichever way that is printed; where foam lies
    on what holds it, the shortest that goes right through.
    """
    board = spec.board
    least, most = grip_mm, board.thickness_mm - board.under_mm - point_mm + 1e-9
    useful = [length for length in spec.fixing.lengths_mm if least <= length - options.plate_mm <= most]
    if _fixings.foam_on_top(board):
        through = [length for length in useful if length - options.plate_mm >= board.screw_depth_mm + board.over_mm]
        return min(through, default=max(useful, default=None))
    return max(_fixings.gentle_mm(spec, useful, options.plate_mm, from_above=False, across=True), default=None)


def screws(spec: MountSpec, options: Options, heads_xy: tuple[tuple[float, float], ...]) -> tuple[Screw, ...]:
    """The fixing screws, of the stock length that suits the board.

    Raises:
        NoDesign: no stock screw grips the board without coming too near its top, with a pad under it or without.
    """
    board, grip = spec.board, LEAST_GRIP_SHANKS * spec.fixing.shank_mm
    length = _screw_mm(spec, options, grip, POINT_MM) or _screw_mm(spec, options, grip, LEAST_POINT_MM)
    if length is None:
        raise (NoDesign if spec.fixing_stock else NoFixing)(
            f"no {spec.fixing.name} screw grips the {board.thickness_mm:g} mm board through a {options.plate_mm:g} mm "
            f"plate and stays {LEAST_POINT_MM:g} mm below its top, with a pad of up to {_fixings.PADS_MM[-1]:g} mm "
            f"under it or without; {'leave plate_mm free' if spec.fixing_stock else 'leave --screw free'}"
        )
    return _mounting.screws(spec, heads_xy, -board.thickness_mm - options.plate_mm, up=True, length_mm=length)


def pad_xy(
    spec: MountSpec, plate_x: tuple[float, float], plate_y: tuple[float, float]
) -> tuple[tuple[float, float], ...]:
    """Corners of the pad under the board, round the plate, mirrored where the mount is; empty without one."""
    if not spec.pad_mm:
        return ()
    m = _fixings.PAD_MARGIN_MM
    corners = ((plate_x[0] - m, plate_y[0] - m), (plate_x[1] + m, plate_y[0] - m),
               (plate_x[1] + m, plate_y[1] + m), (plate_x[0] - m, plate_y[1] + m))  # fmt: skip
    return tuple(flip((x, y, 0.0), spec.mirror)[:2] for x, y in corners)


def index_edges(
    plate_x: tuple[float, float], pin_y: tuple[float, float], *, back: bool
) -> tuple[tuple[Literal["track", "tie-bar"], Point2, Point2, int], ...]:
    """Axis, place on the plate's edge, way inwards and number of the index notches, before the mirror.

    Args:
        plate_x: plate along the track.
        pin_y: plate across it, at the pin.
        back: whether the plate's far edge along the track can be seen.
    """
    (x0, x1), (y0, y1) = plate_x, pin_y
    return (
        ("tie-bar", (0.0, y0), (0.0, 1.0), 1),
        ("tie-bar", (0.0, y1), (0.0, -1.0), 3),
        ("track", (x1, 0.0), (-1.0, 0.0), 1),
        *((("track", (x0, 0.0), (1.0, 0.0), 1),) if back else ()),
    )


def index_marks(
    spec: MountSpec, plate_x: tuple[float, float], pin_y: tuple[float, float], *, back: bool
) -> tuple[IndexMark, ...]:
    """The notches of ``index_edges`` as they are told: mount frame, mirrored where the mount is.

    Args:
        spec: board and mirror.
        plate_x: plate along the track, mm.
        pin_y: plate across it at the pin, mm.
        back: as in ``index_edges``.
    """
    return tuple(
        IndexMark(axis=axis, at=flip((*at, -spec.board.thickness_mm), spec.mirror), notches=count)
        for axis, at, _, count in index_edges(plate_x, pin_y, back=back)
    )


def index_notches(plan: BracketPlan, *, back: bool) -> list[list[tuple[float, float]]]:
    """Outlines of the notches to cut, before the mirror."""
    from mounts.solid.holes import index_notch

    found = []
    for _, (x, y), inwards, count in index_edges(plan.plate_x, plan.pin_y, back=back):
        for place in range(count):
            along = (place - (count - 1) / 2) * INDEX_STEP_MM
            at = (x + along * abs(inwards[1]), y + along * abs(inwards[0]))
            found.append(index_notch(at, inwards, deep_mm=INDEX_DEEP_MM, half_mm=INDEX_HALF_MM))
    return found


def front_edge_mm(spec: MountSpec, corner_mm: float) -> float:
    """Least distance of the plate's front edge: three notches and a corner beside them."""
    return max(head_margin_mm(spec), INDEX_STEP_MM + INDEX_HALF_MM + corner_mm)


def side_edge_mm(spec: MountSpec) -> float:
    """Least distance of the plate's sides: the front screws with their rims, and the notches."""
    return front_y_mm(spec) + head_margin_mm(spec) + INDEX_DEEP_MM
