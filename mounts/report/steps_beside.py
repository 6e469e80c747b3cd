"""Steps for a housing beside the track: its frame by a ruler from the rail, the rod, the servo, the shell last."""

from __future__ import annotations

from mounts.design import Design
from mounts.drive.push_rod.model import PushRodDrive
from mounts.report import steps_shared as shared
from mounts.report.steps_trim import trimming
from mounts.scene_marks import rod_marks
from mounts.scene_site import lane, near_rail, pin_between_rails
from mounts.scene_wire import HANDLE_MM, wire_cut_mm
from mounts.styles import cure
from mounts.units import number

_ALONG = "along the track, under the servo's case"


def beside(design: Design, drive: PushRodDrive) -> tuple[str, ...]:
    """A push rod: it is hooked into the arm before the servo goes in, or before the arm goes on."""
    shells = " and ".join(design.plan.lift_off)
    return (
        *_bench(design),
        *_bent(design, drive),
        *shared.turnout(design),
        _reach(design),
        *_paper(design),
        *_opening(design),
        *_cable_hole(design),
        _placed(design),
        _kept_clear(design),
        _laid_in(design),
        *_servo(design),
        shared.cable_fixed("under the board" if design.plan.cable_hole else "behind the servo"),
        shared.plugged_in(),
        *trimming(design),
        *((f"Lower the {shells} over it; rod and loop must still move freely.",) if shells else ()),
    )


def _bench(design: Design) -> tuple[str, ...]:
    turned_deg = design.plan.arm_in_deg
    rest = "No step needs power before the one that says so: work with the plug out."
    if turned_deg is None:
        return (f"{shared.centred(design)} Power off; leave the shaft as it stands. {rest}", *shared.bench_work(design))
    return (
        *shared.bench_work(design),
        f"{shared.centred(design)} Push the arm on so that it points {_ALONG}, {shared.off_by_half_a_tooth(design)}. "
        f"{_turned(design, turned_deg)} {rest}",
    )


def _turned(design: Design, turned_deg: float) -> str:
    """How the arm is turned out of the way while the servo goes in."""
    drive, servo = design.drive, design.spec.servo
    if not turned_deg:
        return "Power off."
    pulse_us = drive.pulse_us.centre + (drive.pulse_us.reverse - drive.pulse_us.centre) * turned_deg / drive.swing_deg
    if not servo.pulse_min_us <= pulse_us <= servo.pulse_max_us:
        return f"Power off; turn its arm gently {number(turned_deg)}° away from the track."
    return f"Send {number(pulse_us, 0)} µs, which turns its arm {number(turned_deg)}° away from the track. Power off."


def _bent(design: Design, drive: PushRodDrive) -> tuple[str, ...]:
    marks = "; ".join(
        f"{count}. {number(mark.at_mm, 1)} mm, {mark.what}: {number(mark.angle_deg, 0)}° round "
        f"{number(mark.former_mm)} mm, so that the rest goes {mark.turns}"
        for count, mark in enumerate(rod_marks(design), start=1)
    )
    leg = number(design.plan.pin_leg_mm, 1)
    why = (
        "what stands higher in the tie bar is in the way of the trains"
        if pin_between_rails(design)
        else "it stays in the tie bar and out of sight"
    )
    return (
        f"Cut {number(wire_cut_mm(design))} mm of {number(drive.wire_mm)} mm wire and mark a zero "
        f"{number(HANDLE_MM)} mm from one end, to hold it by; cut it off there at last. Lay it before you, that end at "
        f"the left. From zero each bend begins at its mark, round the shank of a drill: {marks}. Check it on "
        f"{design.spec.id}-wire.svg; it must turn freely in the arm hole {number(drive.horn_radius_mm)} mm from the "
        "shaft.",
        f"Cut the spare end off {leg} mm above the middle of the rod and round it with a file: {why}.",
    )


def _reach(design: Design) -> str:
    rail, told = near_rail(design), cure(design.spec.style, "tie-bar-reach", "")
    mend = f"if it is elsewhere make the mount again with {told}" if told else "elsewhere this mount does not suit"
    if pin_between_rails(design):
        return (
            f"Measure, points at mid throw: the tie bar's hole must lie {number(rail.face_y, 1)} mm inside the near "
            f"rail's gauge face; {mend}."
        )
    outside = number(max(-rail.outer_y, 0.0), 1)
    return (
        f"Measure, points at mid throw: the tie bar's hole must lie {outside} mm outside the near rail's outer edge ("
        f"{number(-rail.face_y, 1)} mm from its gauge face, where flanges run); {mend}."
    )


def _paper(design: Design) -> tuple[str, ...]:
    up = design.spec.ground_mm
    ground = "Clear ballast and loose ground where frame and rod go. " if design.spec.laid else ""
    height = f"{number(up)} mm above the board" if up else "at the height of the board"
    return (
        f"{ground}Make the ground firm and level where the {design.spec.style} stands, {height}; what lies higher or "
        "lower asks for another --ground.",
        f"Cut {design.spec.id}-template.svg along its line 'near rail', notch it for the tie bar, and lay that edge "
        "against the rail's outer side, the tie bar's line on the tie bar. Shell and lane must have room, and no wire "
        "or framing may lie under the crosses.",
    )


def _opening(design: Design) -> tuple[str, ...]:
    hole = design.plan.board_cut_out
    if hole is None:
        return ()
    do = "Cut a hole of" if hole.through else "Rout or chisel a pocket of"
    return (f"{do} {hole.told()}, where the template shows it.",)


def _cable_hole(design: Design) -> tuple[str, ...]:
    hole = design.plan.cable_hole
    if hole is None:
        return ()
    return (
        f"Look underneath for wires and framing, and drill the cable's hole, {number(hole.drill_mm)} mm straight "
        "through the board, where the template shows it.",
    )


def _placed(design: Design) -> str:
    rail, (left, right) = near_rail(design), design.beside_track().frame_x
    edge = design.beside_track().frame_y[0]
    return shared.fixing(
        design,
        f"Stand the frame with its edge {number(edge - rail.outer_y, 1)} mm from the near rail's outer edge, all along "
        f"({number(edge - rail.face_y, 1)} mm from its gauge face), and its ends, seen from the track, {_side(left)} "
        f"and {_side(right)} of the tie bar's middle",
    )


def _kept_clear(design: Design) -> str:
    free = lane(design)
    low, high = free.x
    return (
        f"Keep a lane free of ballast, paint and glue: {number(high - low, 1)} mm wide, from {_side(low)} to "
        f"{_side(high)} of the tie bar's middle seen from the track, all the way from the tie bar to the "
        f"{design.spec.style}. Rod and loop move in it."
    )


def _side(x_mm: float) -> str:
    return f"{number(abs(x_mm), 1)} mm {'left' if x_mm < 0 else 'right'}"


def _laid_in(design: Design) -> str:
    under = ", under the near rail" if pin_between_rails(design) else ""
    return (
        f"Lay the rod in its lane{under}, its end lying on its side, and turn that end up into the tie bar's hole from "
        "below."
    )


def _servo(design: Design) -> tuple[str, ...]:
    gap = " through the gap in the frame's rim" if design.plan.lift_off else ""
    plug = f"Lead the servo's plug out{gap}, but don't plug it in."
    if design.plan.cable_hole is not None:
        plug = "Lead the servo's plug down through the frame's slot and the board, but don't plug it in."
    hook = f"Hook the rod's Z-bend into the arm hole {number(design.drive.horn_radius_mm)} mm from the shaft"
    if design.plan.arm_in_deg is None:
        return (
            f"{plug} {shared.seated(design, 'Put the servo in')}.",
            f"{hook}, and push the arm on so that it points straight down, {shared.off_by_half_a_tooth(design)}.",
        )
    return (
        f"{plug} {hook}.",
        f"{shared.seated(design, 'Lower the servo straight down into its seat')}.",
    )
