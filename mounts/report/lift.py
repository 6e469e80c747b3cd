"""A lift in words: steps, pulses with the pace to go at, and what its positions come to."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from mounts.design import Design
from mounts.drive.kinds import driven
from mounts.drive.lift.done import STEP_US
from mounts.drive.lift.model import LiftDrive
from mounts.drive.model import Drive
from mounts.drive.spread import AngleSpread, AnySpread, Range
from mounts.inputs.spec import MountSpec
from mounts.report import steps_shared as shared
from mounts.report.kinds import Ends, Figure, Outcome, Telling
from mounts.report.steps_let_down import at_bench, cut_out, let_down, let_in
from mounts.scene_lift import marks
from mounts.scene_wire import HANDLE_MM, wire_cut_mm
from mounts.units import number

if TYPE_CHECKING:
    from mounts.report.model import Report


def _lift(design: Design) -> LiftDrive:
    return driven(design.drive, LiftDrive)


def pace_us(drive: LiftDrive) -> float:
    """µs a second that take it from one end to the other in its time."""
    pulses = [place.pulse_us for place in drive.positions]
    return (max(pulses) - min(pulses)) / drive.seconds


def _pulses(drive: LiftDrive) -> str:
    return ", ".join(f"{place.name} {number(place.pulse_us, 0)}" for place in drive.positions)


def _steps(design: Design) -> tuple[str, ...]:
    drive, spec = _lift(design), design.spec
    level = (
        "level"
        if not drive.mid_deg
        else f"{number(abs(drive.mid_deg))}° {'above' if drive.mid_deg > 0 else 'below'} level"
    )
    what = "crank" if drive.crank_mm else "wire"
    bench = (
        f"{shared.centred(design)} Power off; leave the shaft as it stands. No step needs power before the one that "
        "says so: work with the plug out.",
        *shared.bench_work(design),
        _bent(design, drive),
    )
    one = drive.second is None
    set_ = (shared.plugged_in(), *_set(design, drive, what))
    if drive.board_hole_mm is None:
        *down, out = let_down(design)
        fixed = shared.cable_fixed("where you reach it")
        return (*bench, *at_bench(design, level), *down, _above(drive), fixed, *set_, out)
    return (
        *bench,
        "Look underneath for wires and framing where the drill and the mount come. Draw both axes of the rod on the "
        f"board, square to each other, and drill {number(drive.board_hole_mm)} mm straight down where they cross, "
        "under what is moved.",
        *_second_hole(design, drive),
        *_partner(design),
        f"On the underside draw both axes through {'the hole' if one else 'the first hole'}, longer than the plate, or "
        f"pin up {spec.id}-template.svg.",
        *shared.pad(design, drive.board_hole_mm),
        shared.fixing(
            design,
            f"Hold {'a straight piece' if one else 'straight pieces'} of the wire through the plate's "
            f"{'guide and the hole' if one else 'guides and the holes'}, turn the plate until the notches in its edge "
            "lie on the axes, the wire upright seen from two sides",
        ),
        "Lead the servo's plug out through the mount, but don't plug it in. "
        f"{shared.seated(design, 'Put the servo in')}.",
        "Lead the rod up through guide and board, hook its lower end into the arm from the side away from the servo, "
        f"and push the arm on the shaft so that it stands {level} and points to the rod, "
        f"{shared.off_by_half_a_tooth(design)}. The spring bend stands away from the servo.",
        *_second_in(drive),
        _above(drive),
        shared.cable_fixed("to the board"),
        *set_,
    )


def _second_hole(design: Design, drive: LiftDrive) -> Iterator[str]:
    """Where the rod of the arm's other end comes up."""
    if (second := drive.second) is None or drive.board_hole_mm is None:
        return
    pad = ", and go on through the pad once that is glued" if design.plan.pad_xy else ""
    crank = ""
    if second.crank_pivot and drive.crank_pivot:
        apart = number(drive.crank_pivot[0] - second.crank_pivot[0], 1)
        crank = f" Its crank points the way the first's does, its spindle {apart} mm from the first's and as high."
    yield (
        f"Drill the second rod's hole, as wide, {number(-second.y_mm, 1)} mm from the first, in the plane that the arm "
        f"turns in, on the side that it points away from{pad}.{crank} What stands farther off is reached from there by "
        "a bell crank or a longer lever of your own."
    )


def _second_in(drive: LiftDrive) -> Iterator[str]:
    if drive.second is not None:
        yield (
            f"Hook the second rod likewise into the arm's other end, {number(drive.horn_radius_mm)} mm from the shaft, "
            "its tail pointing away from the hub as well. The next step is done to both rods."
        )


def _second_set(drive: LiftDrive) -> Iterator[str]:
    """How what hangs on the second rod comes to move as the first does."""
    second, rest = drive.second, drive.positions[0].name
    if second is None:
        return
    if drive.crank_mm is None:
        down = number(max(place.lift_mm for place in second.positions), 2)
        done = f"goes down {down} mm as the first goes up. Send the first to {rest}, and move the second's coupling"
    else:
        face = "face each other" if drive.crank_towards == -1 else "point away from each other"
        done = (
            "goes down as the first goes up: the first boom or arm is fixed to its spindle on the side of its crank, "
            f"the second on the other side. Both then open together, and {face}. Send the first to {rest}, and turn "
            "the second on its spindle"
        )
    yield f"The second rod {done} until it stands as it should. It has no pulses of its own: it needs no stop."


def _partner(design: Design) -> tuple[str, ...]:
    """Where the second mount of two that stand against each other goes."""
    apart = design.plan.partner_mm
    if apart is None:
        return ()
    way = "without --mirror" if design.spec.mirror else "with --mirror"
    return (
        f"A second mount stands against this one, under an id of its own, made {way} and otherwise alike. Drill for "
        f"its rod {number(apart)} mm from this hole, on the side that the arm points to, in the plane that the arm "
        "turns in, as the template shows. It is turned half round, so that both arms point to each other, with a "
        "narrow gap between the plates. Either may go on first. In a layout file it stands that far across with "
        "heading_deg greater by 180.",
    )


def _bent(design: Design, drive: LiftDrive) -> str:
    bends = "; ".join(
        f"at {number(bend.at_mm, 1)} mm {number(abs(bend.angle_deg), 0)}° round a {number(bend.former_mm)} mm drill, "
        f"{bend.what}"
        for bend in marks(design)
        if bend.what != "end in the crank"
    )
    second = " Bend a second rod, its mirror image: the tail goes to the other side." if drive.second else ""
    return (
        f"Cut {number(wire_cut_mm(design))} mm of {number(drive.wire_mm)} mm wire. Mark a zero {number(HANDLE_MM)} mm "
        f"from one end, to hold it by, and bend it: {bends}. Check it on {design.spec.id}-wire.svg and cut it off at "
        f"zero. In the arm hole {number(drive.horn_radius_mm)} mm from the shaft it must turn freely.{second}"
    )


def _above(drive: LiftDrive) -> str:
    guides = f"Guide it above the board every {math.floor(drive.guide_apart_mm)} mm or nearer, loosely"
    if drive.crank_mm is None:
        return (
            f"{guides}. With the signal half way couple the rod to its wire, by a tube or a hook that leaves no "
            "more than 0.1 mm of play, and cut both off there."
        )
    return (
        f"{guides}. Open the crank's hole to {number(drive.crank_hole_mm)} mm. With crank and arm half way mark the "
        "rod at that hole, take it out, bend its end over square there, and put it back; a drop of paint or a bit of "
        "sleeve keeps it in."
    )


def _set(design: Design, drive: LiftDrive, what: str) -> Iterator[str]:
    servo, first, last = design.spec.servo, drive.positions[0], drive.positions[-1]
    step = number(STEP_US, 0)
    yield (
        f"Power on, hands out of the drive. Find each end without force: from {number(drive.pulse_us.centre, 0)} µs go "
        f"towards {last.name} in steps of {step} µs until it stands there or just touches its stop (near "
        f"{number(last.pulse_us, 0)} µs if nothing is off), and no step further; then from the centre the same towards "
        f"{first.name} (near {number(first.pulse_us, 0)} µs). Never go beyond {number(servo.pulse_min_us, 0)} to "
        f"{number(servo.pulse_max_us, 0)} µs, the servo's range. Nothing may press: a hum at an end says that it "
        "does, go back by a step."
    )
    for place in drive.positions[1:-1]:
        yield f"Set {place.name} between both by the eye, near {number(place.pulse_us, 0)} µs."
    yield from _second_set(drive)
    yield (
        f"In the controller enter a pace of {number(pace_us(drive), 0)} µs a second, which takes the {what} from end "
        f"to end in about {number(drive.seconds)} s. Work it ten times, and look that the spring bend stays at rest "
        "at both ends."
    )


def _tools(design: Design) -> Iterator[tuple[str, str]]:
    drive = _lift(design)
    for former in sorted({bend.former_mm for bend in marks(design)}):
        yield "drill, bends of the rod round its shank", f"{number(former)} mm"
    if drive.board_hole_mm is None:
        yield "drill and keyhole or jig saw, cut-out in the board", cut_out(design).told()
        if backing := let_in(design).backing:
            clamps = ("small clamps", "two, that go into the cut-out")
            yield ("sharp knife", "for the foam") if backing.let_in else clamps
    else:
        yield "drill, rod's hole in the board", f"{number(drive.board_hole_mm)} mm"
    yield "small square, pencil", "to draw both axes"


def _compared(drive: LiftDrive) -> Iterator[tuple[str, str, float | str]]:
    if drive.crank_mm is not None:
        yield "crank", "mm", drive.crank_mm
    yield "rod", "mm", drive.rod_length_mm
    yield "leg of the spring bend", "mm", drive.loop_leg_mm
    if drive.second is not None:
        yield "second rod from the first", "mm", -drive.second.y_mm
    if drive.board_hole_mm is not None:
        yield "hole in the board", "mm", drive.board_hole_mm


def _own_explained(drive: LiftDrive) -> Iterator[tuple[str, str]]:
    yield "rod", f"{number(drive.rod_length_mm, 1)} mm from the arm's hole up"
    yield "spring bend", f"radius {number(drive.loop_radius_mm)} mm on legs of {number(drive.loop_leg_mm, 1)} mm"
    if drive.board_hole_mm is not None:
        yield "hole in the board", f"{number(drive.board_hole_mm)} mm"
    if drive.second is not None:
        long = number(drive.second.rod_length_mm, 1)
        yield "second rod", f"{number(-drive.second.y_mm, 1)} mm from the first, {long} mm long; it goes down meanwhile"
    for place in drive.positions:
        stands = f"crank {number(place.angle_deg, 1)}°" if place.angle_deg is not None else ""
        lifted = stands or f"lifted {number(place.lift_mm, 2)} mm"
        yield place.name, f"arm {number(place.arm_deg, 1)}°, {lifted}, {number(place.pulse_us, 0)} µs"
    if drive.backlash_deg is not None:
        yield "play", f"{number(drive.backlash_deg, 1)}° at the crank, taken up by its weight"
    yield "if a pulse is wrong", f"{number(drive.fault_force_n, 1)} N on the rod"


def _angles(spread: AnySpread) -> AngleSpread:
    if not isinstance(spread, AngleSpread):
        raise TypeError("the spread of a lift is one of positions")
    return spread


def _told(report: Report) -> Iterator[tuple[str, str]]:
    lift = driven(report.drive, LiftDrive)
    centre, pace = number(lift.pulse_us.centre, 0), number(pace_us(lift), 0)
    yield "pulses", f"{_pulses(lift)}, centre {centre} µs; {pace} µs a second"
    yield "stop", _stop(lift, report.spread)
    if lift.second:
        apart, force = number(-lift.second.y_mm, 1), number(lift.second.stop_force_n, 2)
        yield "second", f"rod {apart} mm from the first, goes down meanwhile; {force} N at a stop"
    if lift.crank_mm and lift.crank_pivot and report.inputs.crank_mm is None:
        sizes = f"a crank of {number(lift.crank_mm)} mm, its spindle {number(lift.crank_pivot[1])} mm above the board"
        yield "moves", f"{report.inputs.moves} with {sizes}: measure yours, --crank and --crank-pivot"


def _stop(drive: LiftDrive, spread: AnySpread) -> str:
    found = _angles(spread)
    off = max(max(-one.percentile_5, one.percentile_95) for one in found.positions)
    unit = found.unit if found.unit == "°" else f" {found.unit}"
    return (
        f"pressed with {number(drive.stop_force_n, 2)} N at most; positions within {number(off, 1)}{unit} in nine "
        "mounts of ten once set"
    )


def _studied(spread: AnySpread) -> Iterator[tuple[str, Range]]:
    found = _angles(spread)
    for count, (set_, raw) in enumerate(zip(found.positions, found.untrimmed, strict=True), start=1):
        yield f"position {count} off, {found.unit}", set_
        yield f"before it is set, {found.unit}", raw


def _asked(spec: MountSpec) -> Iterator[tuple[str, str, float | str]]:
    for place in spec.positions:
        yield f"{place.name}, asked", "mm" if spec.crank_mm is None else "°", place.at


def _comes_to(drive: Drive) -> Iterator[tuple[str, str, float | str]]:
    yield "lift", "mm", drive.travel_mm
    yield "force at the stop", "N", driven(drive, LiftDrive).stop_force_n


def _curve_of(drive: LiftDrive) -> str:
    return "Crank, degrees above level, against pulse" if drive.crank_mm else "Lift, mm, against pulse"


def _play(spec: MountSpec, drive: Drive) -> Iterator[Figure]:
    backlash = driven(drive, LiftDrive).backlash_deg
    if backlash is not None:
        yield Figure("play", backlash, "°", 2.0, "leaves {}° of play", "there are {}°")


TELLING = Telling(
    steps=_steps,
    tools=_tools,
    ends=lambda design: Ends(_lift(design).positions[0].name, _lift(design).positions[-1].name),
    compared=_compared,
    explained=_own_explained,
    curve=lambda drive: drive.curve,
    outcome=Outcome(
        told=_told,
        explained=lambda drive, spread, throw_mm: [
            ("lift", f"{number(drive.travel_mm, 2)} mm"),
            ("stop", _stop(driven(drive, LiftDrive), spread)),
        ],
        studied=_studied,
        asked=_asked,
        compared=_comes_to,
        figures=_play,
        tools=lambda spec: (),
        curve_of=_curve_of,
        feelers=(("card with the angles drawn on it", "to set the positions by"),),
    ),
)
