"""How to put a mount up, in the order that works: what is screwed to the board first, the servo last."""

from __future__ import annotations

from mounts.design import Design
from mounts.drive.model import PushRodDrive, RockingWireDrive
from mounts.report.hardware import arm_hole_needs_drill, servo_screw_length_mm
from mounts.scene_wire import wire_cut_mm
from mounts.styles._housing_plan import cut_out
from mounts.units import number

_POINT_ROOM_MM = 0.5  # a hole deeper than its screw
_HALF_TOOTH = 0.5  # an arm goes on to half a tooth at best


def steps(design: Design) -> tuple[str, ...]:
    """Sentences to follow one after the other, with the numbers of this mount in them."""
    drive = design.drive
    if isinstance(drive, RockingWireDrive):
        return _under(design, drive)
    return _beside(design, drive)


def _under(design: Design, drive: RockingWireDrive) -> tuple[str, ...]:
    """A rocking wire: its arm goes on last, when the wire stands in the pivot."""
    return (
        f"Drill a {number(drive.board_hole_mm)} mm hole straight through board and roadbed, under the middle of the "
        "tie bar's travel.",
        _fixing(design, "Hold the mount against the board with its pivot under the hole"),
        *_arm_hole(design),
        f"Cut {number(wire_cut_mm(design))} mm of {number(drive.wire_mm)} mm wire and bend a Z at one end: in the arm "
        f"hole {number(drive.horn_radius_mm)} mm from the shaft it must "
        f"{'turn freely' if drive.wire_held == 'turning' else 'sit tight'}.",
        f"{_plugged()} {_seated(design, 'Put the servo in')}",
        "Hook the wire into the arm, lead it through the pivot, up the hole in the board and into the tie bar.",
        _arm_on(design, "towards the pivot" if drive.horn_towards_pivot else "away from the pivot"),
        _pulses(design),
        "Cut the wire off above the tie bar and bend its end over or file it round.",
    )


def _beside(design: Design, drive: PushRodDrive) -> tuple[str, ...]:
    """A push rod: it is hooked into the arm before the servo goes in, or before the arm goes on."""
    hook = f"Hook the rod's Z-bend into the arm hole {number(drive.horn_radius_mm)} mm from the shaft."
    turned_deg = design.plan.arm_in_deg
    if turned_deg is None:
        servo = (
            f"{_plugged()} {_seated(design, 'Put the servo in')}", hook, _arm_on(design, "straight down"),
        )
    else:
        servo = (
            f"{_plugged()} {_arm_on(design, _ALONG)}", hook,
            _seated(design, f"{_turned(design, turned_deg)} the servo straight down into its seat"),
        )
    shells = " and ".join(design.plan.lift_off)
    return (
        *_levelled(design),
        *_opening(design),
        _fixing(design, "Stand the frame on the board, the template's cross for the pin under that of the tie bar"),
        *_arm_hole(design),
        *_bent(design, drive),
        "Push the rod under the near rail, lying on its side, and turn its end up into the tie bar.",
        *servo,
        _pulses(design),
        *((f"Lower the {shells} over it.",) if shells else ()),
    )


_ALONG = "along the track, under the servo's case"


def _turned(design: Design, turned_deg: float) -> str:
    """How the arm is turned out of the way while the servo goes in."""
    drive, servo = design.drive, design.spec.servo
    if not turned_deg:
        return "Lower"
    pulse_us = drive.pulse_us.centre + (drive.pulse_us.reverse - drive.pulse_us.centre) * turned_deg / drive.swing_deg
    if not servo.pulse_min_us <= pulse_us <= servo.pulse_max_us:
        return f"Unplug the servo, turn its arm gently {number(turned_deg)}° away from the track and lower"
    turned = f"which turns its arm {number(turned_deg)}° away from the track"
    return f"Run the servo to {number(pulse_us, 0)} µs, {turned}, and lower"


def _levelled(design: Design) -> tuple[str, ...]:
    up = design.spec.ground_mm
    if not up:
        return ()
    return (f"Make the ground level where the housing stands, {number(up)} mm above the board: it is to bear it.",)


def _opening(design: Design) -> tuple[str, ...]:
    hole = cut_out(design)
    if hole is None:
        return ()
    where = f"where {design.spec.id}-template.svg shows it"
    if hole.through:
        return (f"Cut a hole of {hole.told()}, {where}.",)
    return (f"Rout or chisel a pocket of {hole.told()}, {where}.",)


def _fixing(design: Design, hold: str) -> str:
    if not design.spec.board.screw_depth_mm:
        return f"{hold}; bond it there with an adhesive that the foam stands: it holds no screws."
    pilot = f"drill pilots of {number(design.spec.fixing.pilot_mm)} mm no deeper than the screws go, and screw it on"
    return f"{hold} and mark its holes; {pilot}."


def _pilots(design: Design) -> tuple[str, ...]:
    """What is done to the holes for the servo's screws on the bench."""
    drill_mm, servo = design.plan.pilot_drill_mm, design.spec.servo
    if drill_mm is None:
        return ()
    if not design.plan.pilots_marked:
        return (f"Run a {number(drill_mm)} mm drill by hand through the print's holes for the servo's screws.",)
    deep_mm = servo_screw_length_mm(design) - servo.flange_thickness_mm + _POINT_ROOM_MM
    return (
        f"Drill the marks for the servo's screws {number(drill_mm)} mm wide and {number(deep_mm, 1)} mm deep, square "
        "to the face.",
    )


def _arm_hole(design: Design) -> tuple[str, ...]:
    """What is done on the bench to the print and to the arm."""
    drive, cut_mm = design.drive, design.plan.arm_length_mm
    found = [*_pilots(design)]
    if arm_hole_needs_drill(design):
        found.append(
            f"Open the arm hole {number(drive.horn_radius_mm)} mm from the shaft to "
            f"{number(drive.arm_hole_drill_mm)} mm with a hand drill."
        )
    if cut_mm is not None:
        found.append(
            f"Cut the arm off {number(cut_mm, 1)} mm from the shaft, behind the hole at "
            f"{number(drive.horn_radius_mm)} mm."
        )
    return tuple(found)


def _arm_on(design: Design, pointing: str) -> str:
    servo, pulse = design.spec.servo, design.drive.pulse_us
    trim_us = _HALF_TOOTH * 360 / servo.spline_teeth / servo.degrees_per_us
    return (
        f"Run the servo to its centre, {number(pulse.centre, 0)} µs, and push the arm on so that it points {pointing}; "
        f"trim what is left (half a tooth, up to ±{number(trim_us, 0)} µs) with the centre pulse and shift the other "
        "two by as much. Fit the arm screw."
    )


def _plugged() -> str:
    return "Pass the servo's plug through the mount and plug it in."


def _seated(design: Design, put: str) -> str:
    servo = design.spec.servo
    long_mm = servo_screw_length_mm(design)
    own = "its own screws" if long_mm == servo.screw_length_mm else "screws of"
    return f"{put}, and drive {own} ({number(servo.screw_mm)} × {number(long_mm)} mm)."


def _bent(design: Design, drive: PushRodDrive) -> tuple[str, ...]:
    marks = "; ".join(
        f"{number(bend.at_mm, 1)} mm {number(bend.angle_deg, 0)}° ({bend.what})" for bend in drive.bends
    )
    return (
        f"Cut {number(wire_cut_mm(design))} mm of {number(drive.wire_mm)} mm wire and mark it from the arm's end: "
        f"{marks}. Bend it to {design.spec.id}-wire.svg, not tighter than "
        f"{number(drive.bends[0].inside_radius_mm, 1)} mm inside; it must turn freely in the arm hole "
        f"{number(drive.horn_radius_mm)} mm from the shaft.",
        f"Cut the spare end off {number(design.plan.pin_leg_mm, 1)} mm above the middle of the rod and file it round: "
        "what stands higher in the tie bar is in the way of the trains.",
    )


def _pulses(design: Design) -> str:
    pulse = design.drive.pulse_us
    return (
        f"Set the controller to {number(pulse.normal, 0)} µs for normal and {number(pulse.reverse, 0)} µs for "
        "reverse; throw the points ten times and look at both blades."
    )
