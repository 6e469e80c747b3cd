"""How to put a mount up, in the order that works."""

from __future__ import annotations

from mounts.design import Design
from mounts.report.hardware import arm_hole_needs_drill, wire_cut_mm
from mounts.units import number

_HALF_TOOTH = 0.5  # an arm goes on to half a tooth at best


def steps(design: Design) -> tuple[str, ...]:
    """Sentences to follow one after the other, with the numbers of this mount in them."""
    spec, drive = design.spec, design.drive
    servo, pulse = spec.servo, drive.pulse_us
    arm = f"the arm hole {number(drive.horn_radius_mm)} mm from the shaft"
    towards = "towards" if drive.horn_towards_pivot else "away from"
    trim_us = _HALF_TOOTH * 360 / servo.spline_teeth / servo.degrees_per_us
    found = [
        f"Drill {number(drive.board_hole_mm)} mm square through board and roadbed under the middle of the tie "
        "bar's travel.",
    ]
    if arm_hole_needs_drill(design):
        found.append(f"Open {arm} to {number(drive.arm_hole_drill_mm)} mm with a hand drill.")
    found += [
        f"Run the servo to its centre, {number(pulse.centre, 0)} µs, and push the arm on so that it points "
        f"{towards} the pivot; trim what is left (half a tooth, up to ±{number(trim_us, 0)} µs) with the centre "
        "pulse and shift the other two by as much. Fit the arm screw.",
        f"Put the servo into the mount, pass its plug through, and drive its own screws "
        f"({number(servo.screw_mm)} × {number(servo.screw_length_mm)} mm).",
        f"Cut {number(wire_cut_mm(design))} mm of {number(drive.wire_mm)} mm wire, bend a Z at one end "
        f"and hook it into {arm}: it must {'turn freely' if drive.wire_held == 'turning' else 'sit tight'} there.",
        "Lead the wire through the pivot, up the hole in the board and into the tie bar.",
    ]
    if design.plan.screws:
        found.append(
            "With points and servo at mid throw, hold the mount against the board with its pivot under the hole, "
            f"drill pilots of {number(spec.fixing.pilot_mm)} mm no deeper than the screws go, and screw it on."
        )
    else:
        found.append(
            "With points and servo at mid throw, glue the mount to the board with its pivot under the hole."
        )
    found += [
        f"Set the controller to {number(pulse.normal, 0)} µs for normal and {number(pulse.reverse, 0)} µs for "
        "reverse; throw the points ten times and look at both blades.",
        "Cut the wire off above the tie bar and bend its end over or file it round.",
    ]
    return tuple(found)
