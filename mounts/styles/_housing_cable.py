"""The way of a housing's cable and plug: down through frame and board, or out at the back."""

from __future__ import annotations

from mounts.design import CableHole, Span
from mounts.inputs import fits
from mounts.inputs.servo import Servo
from mounts.inputs.spec import MountSpec
from mounts.styles._housing_plan import cable_drill_mm
from mounts.styles._mounting import PLUG_SIDE_MM, flip

ABOVE_SLOT_MM, BELOW_BOARD_MM = 20.0, 15.0  # of the plug's way down
SLOT_LAND_MM = 0.6  # of the base plate between that slot and the rim
WOOD_SURE_MM = 0.1  # more wood between a screw and a hole in the board than is asked for
HOLE_WOOD_MM = 2.0  # between the cable's hole and a cut-out; common practice, no source


def cable_slot_mm(servo: Servo) -> tuple[float, float]:
    """Long and short side of the slot in the base plate that the plug passes upright."""
    air = 2 * fits.PLUG_SLOT.own_mm
    return servo.connector_width_mm + air, servo.connector_thickness_mm + air


def cable_way(spec: MountSpec, slot: tuple[Span, Span] | None, at_back: tuple[float, Span, float]) -> dict[str, object]:
    """Fields of the plan for the way that plug and cable take.

    Args:
        spec: the servo, whether it is mirrored and what the plug passes.
        slot: x and y where they go down; None: out at the back.
        at_back: x, y from start to end, and z of the plug's middle on that way.
    """
    servo = spec.servo
    if slot is not None:
        x, y = (sum(span) / 2 for span in slot)
        heights = (ABOVE_SLOT_MM, -spec.board.thickness_mm - BELOW_BOARD_MM)
        hole = CableHole(at=flip((x, y, 0.0), spec.mirror)[:2], drill_mm=cable_drill_mm(servo))
        path = tuple(flip((x, y, z), spec.mirror) for z in heights)
        return {"cable_slot": slot, "cable_hole": hole, "plug_path": path}
    x, along, z = at_back
    air = fits.PLUG_GATE.own_mm
    beside, above = servo.connector_width_mm / 2 + air, servo.connector_thickness_mm / 2 + air
    return {
        "cable_x": (x - beside, x + beside),
        "cable_top_z": z + above,
        "plug_path": tuple(flip((x, y, z), spec.mirror) for y in along),
    }


def off_screw_mm(spec: MountSpec) -> float:
    """Middle of the cable's hole to the axis of a fixing screw."""
    return cable_drill_mm(spec.servo) / 2 + in_wood_mm(spec)


def in_wood_mm(spec: MountSpec) -> float:
    """Axis of a fixing screw to the edge of a hole in the board: a shank of wood is left between them."""
    return 1.5 * spec.fixing.shank_mm + WOOD_SURE_MM


def plug_z(spec: MountSpec, base_mm: float) -> float:
    """Height of the plug's middle over a base plate that it lies on."""
    return base_mm + spec.servo.connector_thickness_mm / 2 + PLUG_SIDE_MM
