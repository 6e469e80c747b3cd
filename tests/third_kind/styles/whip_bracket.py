"""Bracket under the board for a whip: a servo's seat, and a slot wide enough for its wire."""

from mounts.drive.whip import WhipLimits

from mounts.drive.rocking_wire import RockingWireDrive
from mounts.styles import Style, _bracket, _bracket_across, _mounting

ROOM_MM = 1.0  # beside the wire in its slot, a side


def _shaft_mm(spec, options):
    """From the pin down to the shaft: the arm stands clear below the plate."""
    arm = spec.servo.horn_length_mm + _bracket.ARM_AIR_MM
    return spec.pin_height_mm + spec.board.thickness_mm + options.plate_mm + arm


def limits(spec, options):
    """How far it is from shaft to pin, and the hole that the screws leave room for."""
    return WhipLimits(
        wire_tail_mm=_mounting.WIRE_TAIL_MM,
        shaft_to_pin_mm=_shaft_mm(spec, options),
        max_board_hole_mm=_bracket.LARGEST_BOARD_HOLE_MM,
    )


def place(spec, drive, options):
    """As the bracket of a wire that rocks in the plate where the whip only passes it."""
    to_plate = spec.servo.horn_length_mm + _bracket.ARM_AIR_MM + options.plate_mm / 2
    lean = drive.travel_mm / 2 / drive.shaft_to_pin_mm
    passes = 2 * (to_plate * lean + ROOM_MM) + drive.wire_mm
    shared = drive.model_dump(exclude={"kind", "shaft_to_pin_mm"})
    stand_in = RockingWireDrive(
        **shared,
        pivot_to_horn_mm=to_plate - drive.horn_radius_mm,
        pivot_to_pin_mm=drive.shaft_to_pin_mm - to_plate,
        horn_towards_pivot=True,
        wire_held="clamped",
        stress_pivot_mpa=0.0,
        stress_horn_mpa=0.0,
        tilt_deg=drive.swing_deg,
        pivot_bore_mm=passes,
        pivot_land_mm=options.plate_mm / 2,
    )
    datums, plan = _bracket_across.place(spec, stand_in, options)
    return datums.model_copy(update={"pivot": None}), plan


def build(design, options):
    """One body."""
    return (_bracket_across.build(design, design.plan),)


def fixed(spec, options):
    """Four screws."""
    return _bracket.fixed(spec, options, lambda tried: 4)


STYLE = Style(
    drive="whip", options=_bracket.Options, limits=limits, place=place, build=build, fixed=fixed, examples=({},)
)
