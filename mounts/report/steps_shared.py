"""Steps that mounts under the board and on it have in common."""

from __future__ import annotations

import math

import numpy as np

from mounts.design import Design
from mounts.drive.kinds import kind_of
from mounts.report.boring import strip_mm
from mounts.report.hardware import arm_hole_needs_drill, glue
from mounts.units import number

_POINT_ROOM_MM = 0.5  # a hole deeper than its screw
_HALF_TOOTH = 0.5  # an arm goes on to half a tooth at best


def centred(design: Design) -> str:
    """The servo put at its centre where there is light and power."""
    return (
        "Power on, at the bench: plug the servo in and send it "
        f"{number(design.drive.pulse_us.centre, 0)} µs, its centre."
    )


def off_by_half_a_tooth(design: Design) -> str:
    """Why an arm that stands a little off is no fault."""
    half_deg = _HALF_TOOTH * 360 / design.spec.servo.spline_teeth
    return f"as near as its teeth allow (up to {number(half_deg, 1)}° off is trimmed away later), and fit its screw"


def _pilots(design: Design) -> tuple[str, ...]:
    """What is done to the holes for the servo's screws on the bench."""
    drill_mm, servo = design.plan.pilot_drill_mm, design.spec.servo
    if drill_mm is None:
        return ()
    if not design.plan.pilots_marked:
        return (f"Run a {number(drill_mm)} mm drill by hand through the print's holes for the servo's screws.",)
    deep_mm = design.servo_screw_length_mm - servo.flange_thickness_mm + _POINT_ROOM_MM
    return (
        f"Drill the marks for the servo's screws {number(drill_mm)} mm wide and {number(deep_mm, 1)} mm deep, square "
        "to the face.",
    )


def bench_work(design: Design) -> tuple[str, ...]:
    """What is done on the bench to the print and to the arm."""
    drive, cut_mm = design.drive, design.plan.arm_length_mm
    found = [*_pilots(design)]
    ends = ", in both ends," if len(kind_of(drive).wires_y(drive)) > 1 else ""
    if arm_hole_needs_drill(design):
        found.append(
            f"Open the arm hole {number(drive.horn_radius_mm)} mm from the shaft{ends} to "
            f"{number(drive.arm_hole_drill_mm)} mm with a hand drill."
        )
    if cut_mm is not None:
        found.append(
            f"Cut the arm off {number(cut_mm, 1)} mm from the shaft, behind the hole at "
            f"{number(drive.horn_radius_mm)} mm."
        )
    return tuple(found)


def seated(design: Design, put: str) -> str:
    """The servo goes in and its own screws are driven."""
    servo = design.spec.servo
    long_mm = design.servo_screw_length_mm
    own = "its own screws" if long_mm == servo.screw_length_mm else "screws of"
    return f"{put}, and drive {own} ({number(servo.screw_mm)} × {number(long_mm)} mm)"


def cable_fixed(where: str) -> str:
    """What keeps a pull at the cable off servo and arm."""
    return (
        f"Fix its cable {where} with a clip or tape, clear of arm and wire, and leave a loose bend before it: nothing "
        "may pull at the servo."
    )


def plugged_in() -> str:
    """Which wire is which; common practice, no source."""
    return (
        "Plug the servo in, the power still off, and never plug or unplug it under power. Usually brown or black is "
        "ground, red is +, and orange, yellow or white is the signal: look up yours, and match them with the marks of "
        "extension lead and controller."
    )


def fixing(design: Design, marked: str) -> str:
    """How the mount is fixed where it was marked: pilots with a depth stop and screws, bolts, or glue on foam."""
    spec = design.spec
    if spec.bonded:
        return f"{marked}; bond it there with an {glue(spec)}, and let it set before you go on."
    if spec.fixing.kind == "bolt":
        return (
            f"{marked}; mark its screw holes. Look below for wires and framing, drill {number(spec.fixing.pilot_mm)} "
            "mm right through, put the screws in from above and a washer and a nut on each from below, no tighter than "
            "holds."
        )
    return (
        f"{marked}; mark its screw holes. Drill pilots of {number(design.spec.fixing.pilot_mm)} mm, tape round the "
        f"drill {number(pilot_depth_mm(design), 1)} mm from its tip as a depth stop, and screw it on by hand "
        "until the heads are flush, no further: driven on, they split the print or strip the wood."
    )


def pad(design: Design, hole_mm: float) -> tuple[str, ...]:
    """The pad glued under a board that is too thin for the screws, or of foam.

    Args:
        design: the mount.
        hole_mm: of the wire's hole through board and pad.
    """
    corners = design.plan.pad_xy
    if not corners:
        return ()
    xs, ys = zip(*corners, strict=True)
    sides, hole = sorted((-min(xs), max(xs))), number(hole_mm)
    return (
        f"Cut a pad of {number(design.spec.pad_mm)} mm plywood, {number(sum(sides), 0)} mm along the track and "
        f"{number(max(ys) - min(ys), 0)} mm across it. Drill {hole} mm through it, {number(sides[1], 1)} mm from the "
        f"end on the servo's side and {number(max(ys), 1)} mm from the side of reverse. Make both lines longer than "
        f"the pad, glue it under the board with {glue(design.spec)}, its hole over the tie bar's, and let it set; then "
        "carry both lines across it.",
    )


def pilot_depth_mm(design: Design) -> float:
    """How deep the shortest fixing screw goes into the board, mm, down to half millimetres."""
    found = [
        screw.length_mm - float(np.linalg.norm(np.array(screw.head) - np.array(at)))
        for screw, at in zip(design.plan.screws, design.datums.fixings, strict=True)
    ]
    return math.floor(min(found) * 2) / 2


def turnout(design: Design) -> tuple[str, ...]:
    """What is seen to at the turnout itself: its own spring, the hole of its tie bar."""
    spec = design.spec
    found = []
    if spec.own_spring_n is None:
        found.append(
            "If the turnout snaps over by a spring of its own, take that out. If it must stay, push the tie bar over "
            "against a letter scale (100 g are 1 N) and make this mount again with --own-spring."
        )
    elif spec.own_spring_n:
        found.append(
            f"Leave the turnout's own spring in: the drive overcomes {number(spec.own_spring_n)} N. A stiffer one "
            "comes out."
        )
    found.append(
        f"Try the tie bar's hole with drill shanks: this mount is made for {number(spec.tie_bar_hole_mm)} mm. Open a "
        "smaller one by hand; for a larger one make the mount again with --tie-bar-hole."
    )
    return tuple(found)


def blocked(design: Design) -> str:
    """The blades held at mid throw."""
    return (
        f"Block the blades at mid throw: beside the tie bar lay a strip {number(strip_mm(design.spec), 2)} mm thick "
        "(card, plastic, folded paper) between each blade and its stock rail."
    )
