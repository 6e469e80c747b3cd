"""How to put a mount up, in the order that works."""

from __future__ import annotations

from mounts.design import Design
from mounts.drive.model import PushRodDrive, RockingWireDrive
from mounts.report.hardware import arm_hole_needs_drill, wire_cut_mm
from mounts.units import number

_HALF_TOOTH = 0.5  # an arm goes on to half a tooth at best


def steps(design: Design) -> tuple[str, ...]:
    """Sentences to follow one after the other, with the numbers of this mount in them."""
    drive = design.drive
    if isinstance(drive, RockingWireDrive):
        return (
            f"Drill {number(drive.board_hole_mm)} mm square through board and roadbed, under the middle of the tie "
            "bar's travel.",
            *_arm(design, "towards the pivot" if drive.horn_towards_pivot else "away from the pivot"),
            *_rocking_wire(design, drive),
            *_fixing(design, "hold the mount against the board with its pivot under the hole"),
            _pulses(design),
            "Cut the wire off above the tie bar and bend its end over or file it round.",
        )
    return (
        *_arm(design, "along the track"),
        *_push_rod(design, drive),
        *_fixing(design, "stand the mount on the board with the rod's end in the tie bar"),
        _pulses(design),
    )


def _arm(design: Design, pointing: str) -> tuple[str, ...]:
    """Arm hole, arm on the spline, servo in the mount."""
    servo, drive = design.spec.servo, design.drive
    hole = (
        f"Open the arm hole {number(drive.horn_radius_mm)} mm from the shaft to "
        f"{number(drive.arm_hole_drill_mm)} mm with a hand drill.",
    ) if arm_hole_needs_drill(design) else ()
    trim_us = _HALF_TOOTH * 360 / servo.spline_teeth / servo.degrees_per_us
    lift_off = f"Take off {' and '.join(design.plan.lift_off)}. " if design.plan.lift_off else ""
    return (
        *hole,
        f"Run the servo to its centre, {number(drive.pulse_us.centre, 0)} µs, and push the arm on so that it points "
        f"{pointing}; trim what is left (half a tooth, up to ±{number(trim_us, 0)} µs) with the centre pulse and "
        "shift the other two by as much. Fit the arm screw.",
        f"{lift_off}Put the servo into the mount, pass its plug through, and drive its own screws "
        f"({number(servo.screw_mm)} × {number(servo.screw_length_mm)} mm).",
    )


def _rocking_wire(design: Design, drive: RockingWireDrive) -> tuple[str, ...]:
    turning = "turn freely" if drive.wire_held == "turning" else "sit tight"
    return (
        f"Cut {number(wire_cut_mm(design))} mm of {number(drive.wire_mm)} mm wire, bend a Z at one end and hook it "
        f"into the arm hole {number(drive.horn_radius_mm)} mm from the shaft: it must {turning} there.",
        "Lead the wire through the pivot, up the hole in the board and into the tie bar.",
    )


def _push_rod(design: Design, drive: PushRodDrive) -> tuple[str, ...]:
    marks = "; ".join(
        f"{number(bend.at_mm, 1)} mm {number(bend.angle_deg, 0)}° ({bend.what})" for bend in drive.bends
    )
    return (
        f"Cut {number(wire_cut_mm(design))} mm of {number(drive.wire_mm)} mm wire and mark it from the arm's end: "
        f"{marks}. Bend it on the drawing, not tighter than {number(drive.bends[0].inside_radius_mm, 1)} mm inside.",
        f"Hook its Z-bend into the arm hole {number(drive.horn_radius_mm)} mm from the shaft: it must turn freely "
        "there.",
    )


def _fixing(design: Design, hold: str) -> tuple[str, ...]:
    pilot = f"drill pilots of {number(design.spec.fixing.pilot_mm)} mm no deeper than the screws go, and screw it on"
    how = pilot if design.plan.screws else "glue it on"
    return (f"With points and servo at mid throw, {hold}; {how}.",)


def _pulses(design: Design) -> str:
    pulse = design.drive.pulse_us
    return (
        f"Set the controller to {number(pulse.normal, 0)} µs for normal and {number(pulse.reverse, 0)} µs for "
        "reverse; throw the points ten times and look at both blades."
    )
