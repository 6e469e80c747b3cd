"""How to put a mount up, in the order that works: what is screwed to the board first, the servo last."""

from __future__ import annotations

from mounts.design import Design
from mounts.drive.model import PushRodDrive, RockingWireDrive
from mounts.report.hardware import arm_hole_needs_drill, wire_cut_mm
from mounts.report.housing import cut_out
from mounts.units import number

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
        _seated(design),
        "Hook the wire into the arm, lead it through the pivot, up the hole in the board and into the tie bar.",
        _arm_on(design, "towards the pivot" if drive.horn_towards_pivot else "away from the pivot"),
        _pulses(design),
        "Cut the wire off above the tie bar and bend its end over or file it round.",
    )


def _beside(design: Design, drive: PushRodDrive) -> tuple[str, ...]:
    """A push rod: it is hooked into the arm before the servo goes in, or before the arm goes on."""
    hook = f"Hook the rod's Z-bend into the arm hole {number(drive.horn_radius_mm)} mm from the shaft"
    turned_deg = design.plan.arm_in_deg
    if turned_deg is None:
        servo = (_seated(design), f"{hook}.", _arm_on(design, "straight down"))
    else:
        turned = f" turned {number(turned_deg)}° away from the track" if turned_deg else ""
        servo = (
            _arm_on(design, "along the track, under the servo's case"), f"{hook}.",
            _seated(design, f" with its arm{turned}" if turned else ""),
        )
    shells = " and ".join(design.plan.lift_off)
    return (
        *_opening(design),
        _fixing(design, "Stand the frame on the board with its template's pin under the tie bar's at mid throw"),
        *_arm_hole(design),
        *_bent(design, drive),
        "Push the rod under the near rail, lying on its side, and turn its end up into the tie bar.",
        *servo,
        _pulses(design),
        *((f"Lower the {shells} over it.",) if shells else ()),
    )


def _opening(design: Design) -> tuple[str, ...]:
    hole = cut_out(design)
    return (f"Cut the board out: {hole.told()}.",) if hole else ()


def _fixing(design: Design, hold: str) -> str:
    pilot = f"drill pilots of {number(design.spec.fixing.pilot_mm)} mm no deeper than the screws go, and screw it on"
    return f"{hold}; {pilot if design.plan.screws else 'glue it on'}."


def _arm_hole(design: Design) -> tuple[str, ...]:
    """What is done to the arm on the bench."""
    drive, cut_mm = design.drive, design.plan.arm_length_mm
    found = []
    if arm_hole_needs_drill(design):
        found.append(
            f"Open the arm hole {number(drive.horn_radius_mm)} mm from the shaft to "
            f"{number(drive.arm_hole_drill_mm)} mm with a hand drill."
        )
    if cut_mm is not None:
        found.append(f"Cut the arm off {number(cut_mm, 1)} mm from the shaft, behind that hole.")
    return tuple(found)


def _arm_on(design: Design, pointing: str) -> str:
    servo, pulse = design.spec.servo, design.drive.pulse_us
    trim_us = _HALF_TOOTH * 360 / servo.spline_teeth / servo.degrees_per_us
    return (
        f"Run the servo to its centre, {number(pulse.centre, 0)} µs, and push the arm on so that it points {pointing}; "
        f"trim what is left (half a tooth, up to ±{number(trim_us, 0)} µs) with the centre pulse and shift the other "
        "two by as much. Fit the arm screw."
    )


def _seated(design: Design, how: str = "") -> str:
    servo = design.spec.servo
    return (
        f"Pass the servo's plug through the mount, put the servo in{how}, and drive its own screws "
        f"({number(servo.screw_mm)} × {number(servo.screw_length_mm)} mm)."
    )


def _bent(design: Design, drive: PushRodDrive) -> tuple[str, ...]:
    marks = "; ".join(
        f"{number(bend.at_mm, 1)} mm {number(bend.angle_deg, 0)}° ({bend.what})" for bend in drive.bends
    )
    return (
        f"Cut {number(wire_cut_mm(design))} mm of {number(drive.wire_mm)} mm wire and mark it from the arm's end: "
        f"{marks}. Bend it on the drawing, not tighter than {number(drive.bends[0].inside_radius_mm, 1)} mm inside; "
        f"it must turn freely in the arm hole {number(drive.horn_radius_mm)} mm from the shaft.",
    )


def _pulses(design: Design) -> str:
    pulse = design.drive.pulse_us
    return (
        f"Set the controller to {number(pulse.normal, 0)} µs for normal and {number(pulse.reverse, 0)} µs for "
        "reverse; throw the points ten times and look at both blades."
    )
