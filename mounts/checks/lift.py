"""Checks of a lift's own: positions as it stands, angles between its links, play, what a stop feels, buckling."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from mounts import scene
from mounts.checks.clearance import WIRE_AIR_MM
from mounts.checks.kinds import Beside, Judging
from mounts.checks.model import ENDLESS, Check
from mounts.design import Design
from mounts.drive.kinds import driven, kind_of
from mounts.drive.lift import rules
from mounts.drive.lift.asked import Asked
from mounts.drive.lift.done import OFF_MM, STEP_US, Done
from mounts.drive.lift.field import Field
from mounts.drive.lift.model import LiftDrive, LiftLimits, SecondRod
from mounts.drive.lift.second import each_done, rods_as_fields
from mounts.drive.lift.study import second_off_deg
from mounts.drive.pulse import arm_angle_deg, trim_room_us
from mounts.drive.spread import AngleSpread

MOST_TRIMMED_DEG = 3.0
"""What is left in the worst case once each position is set by the eye; a person sees more at once. Common practice, no
source."""

MOST_APART_DEG = 15.0
"""The same of a second rod's crank, set at one place: a boom of a pair may stand so far off upright. Common practice,
no source."""


def _mechanics(design: Design, spread: AngleSpread, limits: LiftLimits) -> Iterator[Check]:
    """Each rod of its own; a second one's rows begin with ``second-``."""
    drive = driven(design.drive, LiftDrive)
    rods = rods_as_fields(design.spec, limits, drive)
    each = each_done(rods)
    found, second = each[0], drive.second
    yield _positions(design, drive, rods[0].asked)
    yield from _links(rods[0], found, drive)
    yield from _loads(design, rods[0], found, limits)
    yield from _signals(design, rods[0], each, drive)
    if spread.unit == "°":
        worst = max(max(abs(one.low), abs(one.high)) for one in spread.positions)
        yield Check.told(
            "positions-with-tolerances",
            worst,
            "at most",
            MOST_TRIMMED_DEG,
            "°",
            "each position set by the eye, at most {value}° off in the worst case",
            "a longer --crank, or a servo with a narrower dead band",
            places=1,
        )
    if second is not None:
        own = [
            _positions(design, drive, rods[1].asked, second),
            *_links(rods[1], each[1], drive),
            *_loads(design, rods[1], each[1], limits),
        ]
        if drive.crank_mm is not None:
            own.append(
                Check.told(
                    "positions-with-tolerances",
                    second_off_deg(design.spec, limits, drive),
                    "at most",
                    MOST_APART_DEG,
                    "°",
                    "set at one end by the eye, at most {value}° off in the worst case",
                    "a longer --crank",
                    otherwise="warn",
                    places=1,
                )
            )
        yield from (check.model_copy(update={"name": f"second-{check.name}"}) for check in own)


def _positions(design: Design, drive: LiftDrive, asked: Asked, second: SecondRod | None = None) -> Check:
    """``positions``: where the pulses take what is moved, against what was asked, with servo and spindle as they stand.

    Arm angles come from the pulses by the servo's map and sense, the arm's hole from the servo's place, the crank from
    two circles that cut: nothing of it was solved for.
    """
    rod, off = second or drive, []
    lowest = min(_end(design, drive, place.pulse_us, second)[1] for place in rod.positions)
    for place in rod.positions:
        y, z = _end(design, drive, place.pulse_us, second)
        if rod.crank_pivot is not None and place.asked_deg is not None:
            towards = drive.crank_towards or 1
            turned = math.degrees(math.atan2(z - rod.crank_pivot[1], towards * (y - rod.crank_pivot[0])))
            off.append(abs(turned - place.asked_deg))
        else:
            off.append(abs(z - lowest - (place.asked_mm or 0.0)))
    unit = "°" if drive.crank_mm else " mm"
    pulses = ", ".join(f"{place.pulse_us:.0f}" for place in rod.positions)
    said = f"{pulses} µs hold it within {{value}}{unit} of what was asked, with nothing off"
    return Check.told(*rules.in_place(asked).row(max(off)), said, "a bug: tell the maker of this program")


def _end(design: Design, drive: LiftDrive, pulse_us: float, second: SecondRod | None) -> tuple[float, float]:
    """The upper end of the rod, or of the second in the arm's other end, y and z, at a pulse; NaN: out of reach."""
    theta = scene.turning_sense(design) * math.radians(arm_angle_deg(pulse_us, design.spec.servo))
    shaft, _ = scene.shaft_axis(design)
    ends = scene.arm_ways(design, theta)
    y, z = (float(value) for value in (shaft + drive.horn_radius_mm * ends[1 if second else 0])[1:])
    rod, pivot = (second or drive).rod_length_mm, (second or drive).crank_pivot
    if pivot is None or drive.crank_mm is None:
        stands = second.y_mm if second else 0.0
        return stands, z + math.sqrt(rod**2 - (y - stands) ** 2)
    apart = np.array(pivot) - (y, z)
    far = float(np.hypot(*apart))
    along = (rod**2 - drive.crank_mm**2 + far**2) / (2 * far)
    aside = math.sqrt(max(rod**2 - along**2, 0.0)) if along < rod else math.nan
    unit = apart / far
    foot = np.array([y, z]) + along * unit
    side = -1.0 if (drive.crank_towards or 1) > 0 else 1.0
    y, z = foot + side * aside * np.array([-unit[1], unit[0]])
    return float(y), float(z)


def _links(field: Field, found: Done, drive: LiftDrive) -> Iterable[Check]:
    yield Check.told(
        *rules.ARM_TRANSMISSION.row(found.arm_transmission_deg.item()),
        "rod and arm stand at {value}° or more",
        rules.ARM_TRANSMISSION.way_out,
        places=1,
    )
    if drive.crank_mm is None:
        return
    yield Check.told(
        *rules.TRANSMISSION.row(found.transmission_deg.item()),
        "rod and crank stand at {value}° or more",
        rules.TRANSMISSION.way_out,
        places=1,
    )
    play = field.play.item()
    yield Check.told(
        *rules.BACKLASH.row(play * found.crank_deg_per_mm.item()),
        f"{play:.2f} mm of play in both holes are {{value}}° at the crank; its weight takes them up one way",
        rules.BACKLASH.way_out,
        places=1,
    )
    yield Check.told(
        *rules.LEAN.row(found.lean_deg.item()), "the rod leans {value}° at most", rules.LEAN.way_out, places=1
    )


def _loads(design: Design, field: Field, found: Done, limits: LiftLimits) -> Iterable[Check]:
    spec, asked = design.spec, field.asked
    tensile, stop, fault = field.tensile.item(), found.stop.item(), found.fault.item()
    yield Check.told(
        *rules.stop_force(asked).row(stop),
        f"its stop is pressed with {{value}} N at most: the spring bend gives {found.overrun.item():.2f} mm, which "
        f"is a step of {STEP_US:g} µs, half a dead band and what the eye misses"
        + (", and what it is off where the first is set" if field.follows else ""),
        "a thinner wire",
    )
    yield Check.told(
        *rules.AT_STOP.row(min(found.folding.item() / (stop + asked.weight_n), ENDLESS)),
        "below its guide the rod buckles at {value} times the load of stop and weight",
        rules.AT_STOP.way_out,
        places=1,
    )
    yield Check.told(
        *rules.AT_STALL.row(min(found.folding.item() / max(fault, 1e-9), ENDLESS)),
        f"a wrong pulse, or a jam, puts {fault:.1f} N on the rod; below its guide it buckles at {{value}} times that",
        rules.AT_STALL.way_out,
        places=1,
    )
    yield Check.told(
        *rules.GUIDES.row(found.apart.item()),
        "above the board the rod wants a guide every {value} mm",
        rules.GUIDES.way_out,
        places=0,
    )
    yield Check.told(
        *rules.stressed(spec).row_of(found.stress_mpa.item(), tensile, "MPa"),
        "the spring bend is stressed to {value} MPa at its crown with the stop pressed",
        rules.stressed(spec).way_out,
        places=0,
    )
    if asked.crank_mm is None:
        yield Check.told(
            *rules.bent_aside(spec).row_of(found.side_mpa.item(), tensile, "MPa"),
            "below its guide the wire is bent aside to {value} MPa as the arm goes round",
            rules.bent_aside(spec).way_out,
            places=0,
        )
    yield Check.told(
        *rules.bend_room(limits).row((found.leg + field.crown + field.wire / 2.0).item()),
        "the spring bend stands {value} mm out from the rod",
        rules.bend_room(limits).way_out,
        places=1,
    )


def _signals(design: Design, field: Field, each: Sequence[Done], drive: LiftDrive) -> Iterable[Check]:
    servo, found, torque = design.spec.servo, each[0], sum(does.torque.item() for does in each)
    rate = found.rate_mm_per_rad.item()
    yield Check.told(
        *rules.TORQUE.row(min(servo.stall_torque_nmm / max(torque, 1e-9), ENDLESS)),
        f"the servo holds {torque:.1f} N·mm and stalls at {servo.stall_torque_nmm:.0f} with "
        f"{servo.stall_voltage_v:g} V, {{value}} times that",
        rules.TORQUE.way_out,
        places=1,
    )
    pulses = [place.pulse_us for place in drive.positions]
    yield Check.told(
        "pulse-range",
        min(servo.pulse_max_us - max(pulses), min(pulses) - servo.pulse_min_us),
        "at least",
        float(trim_room_us(rate, OFF_MM, servo)),
        "µs",
        f"{{value}} µs free beyond the end pulses, for half a spline tooth and {OFF_MM:g} mm of the rod's length",
        "an arm hole further out, or a servo with a wider pulse range",
        places=0,
    )
    dead = servo.dead_band_us * math.radians(servo.degrees_per_us) * rate
    if drive.crank_mm is None:
        yield Check.told(
            *rules.SLIDES_FINELY.row_of(dead, drive.travel_mm, "mm"),
            f"the dead band of {servo.dead_band_us:g} µs moves the rod {{value}} mm",
            rules.SLIDES_FINELY.way_out,
            places=3,
        )
        return
    yield Check.told(
        *rules.TURNS_FINELY.row(dead * found.crank_deg_per_mm.item()),
        f"the dead band of {servo.dead_band_us:g} µs turns the crank {{value}}°",
        rules.TURNS_FINELY.way_out,
        places=1,
    )


def _board(design: Design) -> Beside:
    hole = driven(design.drive, LiftDrive).board_hole_mm
    if hole is None:
        return Beside(
            air_mm=WIRE_AIR_MM, passes="the cut-out in the board", meets="the rod may meet the edge of the cut-out"
        )
    return Beside(
        air_mm=WIRE_AIR_MM + OFF_MM,
        passes=f"the {hole:g} mm hole in the board",
        meets="the rod may meet the side of its hole; drill it larger",
    )


def _tips_nmm(drive: LiftDrive, pull_n: float, edge_y: float) -> float:
    """A rod pulls on its own line, y = 0 or the second's, by what its spring bend lets through when it jams."""
    aside = max(abs(edge_y - y) for y in kind_of(drive).wires_y(drive))
    return min(pull_n, drive.fault_force_n) * aside


JUDGING = Judging(
    mechanics=_mechanics,
    board=_board,
    passes="guide",
    passes_cure="a thinner --wire",
    raising="allow more --max-depth",
    tips_nmm=_tips_nmm,
)
