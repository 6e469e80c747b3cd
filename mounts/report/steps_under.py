"""Steps for a bracket under the board: the spot is found from above, the mount by a straight wire, the servo last."""

from __future__ import annotations

from mounts.design import Design
from mounts.drive.rocking_wire.model import RockingWireDrive
from mounts.report import steps_shared as shared
from mounts.report.boring import fine_drill_mm, first_drill_mm, locator_mm, opening_mm, pilot_reach_mm
from mounts.report.steps_trim import trimming
from mounts.scene_rocking_wire import BELOW_RAIL_TOP_MM, above_pin_mm, bent_wire
from mounts.scene_wire import HANDLE_MM, wire_cut_mm
from mounts.units import number

_APART_MM = 50.0  # between both pilots: a millimetre off at one of them turns the mount by a degree


def under(design: Design, drive: RockingWireDrive) -> tuple[str, ...]:
    """A rocking wire: its arm goes on last, when the wire stands in the pivot."""
    towards = "towards the pivot" if drive.horn_towards_pivot else "away from the pivot"
    return (
        f"{shared.centred(design)} Power off; leave the shaft as it stands. No step needs power before the one that "
        "says so: work with the plug out.",
        *shared.bench_work(design),
        _bent(design, drive),
        *shared.turnout(design),
        *(_found_from_above(design) if design.spec.laid else _before_the_track(design, drive)),
        _lines(design),
        *shared.pad(design, drive.board_hole_mm),
        *((_opened(design, drive),) if design.spec.laid else ()),
        *_located(design),
        "Lead the servo's plug out through the mount, but don't plug it in. "
        f"{shared.seated(design, 'Put the servo in')}.",
        "Hook the wire's short end into the arm, from the side away from the servo, lead the long end up through pivot "
        f"and board into the tie bar, and push the arm on the shaft so that it points {towards}, "
        f"{shared.off_by_half_a_tooth(design)}.",
        shared.cable_fixed("to the board"),
        f"Take the strips out from between blades and rails. {shared.plugged_in()}",
        *trimming(design),
        _cut_off(design),
    )


def _cut_off(design: Design) -> str:
    return (
        f"With the points thrown to one side, power off and cut the wire {number(above_pin_mm(design.spec), 1)} mm "
        f"above the middle of the tie bar, at least {number(BELOW_RAIL_TOP_MM)} mm below a straight edge laid across "
        "both rails. Hold the piece that is cut off: it flies. Round the end with a file."
    )


def _bent(design: Design, drive: RockingWireDrive) -> str:
    first, second = bent_wire(design).bends
    held = "turn freely" if drive.wire_held == "turning" else "sit tight"
    return (
        f"Cut {number(wire_cut_mm(design))} mm of {number(drive.wire_mm)} mm wire, and a straight piece of the same, "
        f"{number(locator_mm(drive))} mm, as the locator. On the first one mark a zero "
        f"{number(HANDLE_MM)} mm from one end, to hold it by, and from zero {number(first.at_mm, 1)} and "
        f"{number(second.at_mm, 1)} mm. At each mark begin a bend of 90° round the shank of a "
        f"{number(first.former_mm)} mm drill: {first.turns}, then {second.turns}. Check it on "
        f"{design.spec.id}-wire.svg and cut it off at zero. In the arm hole {number(drive.horn_radius_mm)} mm from the "
        f"shaft it must {held}."
    )


def _found_from_above(design: Design) -> tuple[str, ...]:
    size, reach = number(fine_drill_mm(design.spec)), number(pilot_reach_mm(design.spec), 0)
    return (
        shared.blocked(design),
        "Look underneath for wires and framing where the drill and the mount come; the template shows how much room "
        "that is.",
        f"From above drill a {size} mm pilot straight down through the tie bar's hole, tape round the drill {reach} mm "
        "from its tip as a depth stop (a long drill, or a piece of spring wire filed to a flat point). Where the tie "
        "bar is in the way, drill close beside it between the sleepers, and note how far along the track that is.",
        f"Drill a second pilot {number(_APART_MM)} mm along the track, on the side away from the blades, between two "
        "sleepers and just as far from the rails: both show the track's direction below.",
    )


def _before_the_track(design: Design, drive: RockingWireDrive) -> tuple[str, ...]:
    size = number(fine_drill_mm(design.spec))
    return (
        "Draw the track's centre line on the board and, square to it, the middle of the tie bar. Look underneath for "
        f"wires and framing. Where both lines cross drill {number(drive.board_hole_mm)} mm straight down through board "
        f"and roadbed, and {size} mm on the centre line {number(_APART_MM)} mm away.",
        f"{shared.blocked(design)} Lay the turnout with the tie bar's hole over the middle of the drilled one, ballast "
        "and glue kept off both.",
    )


def _lines(design: Design) -> str:
    return (
        "On the underside draw a line through both holes, the track's, and one square to it through the tie bar's hole "
        "(through where it belongs, if the pilot stands beside it); both longer than the plate. Or pin up "
        f"{design.spec.id}-template.svg by a wire through each: its axes are the lines."
    )


def _opened(design: Design, drive: RockingWireDrive) -> str:
    first = first_drill_mm(drive)
    way = f"{number(first)} mm first, then " if first else ""
    return (
        f"Eye protection on. From below open the tie bar's pilot to {way}{number(drive.board_hole_mm)} mm, tape "
        f"{number(opening_mm(design.spec), 1)} mm from the tip: it stops short of the sleepers. Take the rest out from "
        "below with a knife or a round file; sleepers, blades and tie bar stay whole."
    )


def _located(design: Design) -> tuple[str, ...]:
    return (
        "Put the locator down through tie bar, board and the pivot of the mount held against the "
        f"{'pad' if design.plan.pad_xy else 'board'}; a clothes peg keeps it from falling. Turn the plate until the "
        "notches in its edge (of three the middle one) lie on the two lines, the servo where there is room; the side "
        "with three notches is that of reverse. The locator must slide freely and stand square to the rails seen from "
        "two sides; a millimetre off is trimmed away later.",
        shared.fixing(design, "Hold it there") + " See that the locator still slides, and pull it out.",
    )
