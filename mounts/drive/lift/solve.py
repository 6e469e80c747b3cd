"""Chooses a lift: arm holes × wires × crowns of the spring bend × mid angles; all else follows in closed form."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial, reduce

import numpy as np
from numpy.typing import NDArray

from mounts.drive.choices import Axes
from mounts.drive.lift import rules
from mounts.drive.lift.asked import longer
from mounts.drive.lift.done import OFF_MM, Done
from mounts.drive.lift.field import Field, cut_arm_mm, laid_out, only, swing_rad
from mounts.drive.lift.model import LiftDrive, LiftLimits, Place, SecondRod
from mounts.drive.lift.rules import LEAST_GUIDES_MM
from mounts.drive.lift.second import each_done, rods_of, worse
from mounts.drive.limits import Limit, at_least, at_most
from mounts.drive.model import Drive, PulseWidths
from mounts.drive.pulse import room_us, trim_room_us
from mounts.drive.ranking import (
    ARM_TIP_SKIN_MM,
    COMFORTABLE_SWING_DEG,
    TAIL_GAP_MM,
    Z_BEND_AIR_MM,
    Candidates,
    Examined,
)
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.units import number

Array = NDArray[np.float64]

CURVE_POINTS = 25  # of the curve; straight to the eye between
MOST_SWING_DEG = 50.0  # a side: beyond, an arm moves a rod aside more than up; common practice, no source
PAST_HUB_MM = 0.25  # the check asks 0.2 of the meshes, whose circles have corners
OVER_BOARD_MM = 2.0
"""Kept between the crank's hole at its lowest and board or roadbed. Common practice, no source."""


def examined(spec: MountSpec, limits: LiftLimits, axes: Axes) -> Examined:
    """Every candidate of a request; what a family shares comes out alike by itself, for pulses are whole µs.

    Where crank and spindle are only the scale's and leave nothing, of the first longer crank that leaves something.
    """
    first = _examined(spec, limits)
    if first.alive().any():
        return first
    lowest_z = max(spec.roadbed.thickness_mm, limits.guide_z[1]) + OVER_BOARD_MM
    others = (_examined(other, limits) for other in longer(spec, lowest_z))
    return next((found for found in others if found.alive().any()), first)


def _examined(spec: MountSpec, limits: LiftLimits) -> Examined:
    field = laid_out(spec, limits)
    rods = rods_of(field)
    each = each_done(rods)
    does = each[0]
    trial = Candidates(radius_mm=field.radius, theta_rad=swing_rad(field), wire_mm=field.wire, drill_mm=field.drill)
    both = [(*_arm_limits(rod), *_limits(rod, does)) for rod, does in zip(rods, each, strict=True)]
    own = tuple(reduce(worse, alike) for alike in zip(*both, strict=True))
    return Examined(
        spec=spec,
        trial=trial,
        limits=(*own, *_shared(spec, rods, each)),
        cost=_costs(field, does),
        aimed=np.full_like(field.radius, np.nan),
        towards=np.ones(field.radius.size, dtype=np.bool_),
        dimensions=lambda index: (
            f"a rod of {field.rod[index]:.1f} mm and a spring bend of {field.crown[index]:g} mm radius on "
            f"{does.leg[index]:.1f} mm legs"
        ),
        drive=partial(_drive, rods, each),
        performance=_performance,
    )


def _arm_limits(field: Field) -> tuple[Limit, ...]:
    """Plastic beside the arm's hole, and the wire clear of hub and boss: its tail points away from both."""
    servo = field.spec.servo
    beside = np.minimum(servo.horn_tip_width_mm / 2.0, servo.horn_length_mm - field.radius)
    inner = field.radius - field.wire / 2.0
    hub = max(servo.horn_hub_mm, servo.horn_screw_head_mm) / 2.0
    over_boss = servo.arm_inner_height_mm - field.wire - servo.boss_top_height_mm
    return (
        at_least(
            "arm hole",
            beside - field.drill / 2.0,
            ARM_TIP_SKIN_MM,
            "mm of plastic beside the arm hole",
            "a wider arm",
        ),
        at_least(
            "rod clear of the hub",
            inner,
            hub + TAIL_GAP_MM,
            "mm from shaft to the rod",
            "an arm with holes further out",
        ),
        at_least(
            "rod past the hub",
            _past_shaft(field) - field.wire / 2.0,
            hub + PAST_HUB_MM,
            "mm from shaft to the rod with the arm down",
            "an arm with holes further out",
        ),
        at_least(
            "Z-bend clear of the boss",
            np.maximum(over_boss, inner - servo.boss_mm / 2.0),
            Z_BEND_AIR_MM,
            "mm between the wire and the boss",
            "a thinner wire or an arm hole further out",
        ),
    )


def _past_shaft(field: Field) -> Array:
    """Least distance of the rod's axis from the shaft's, (n,): an arm below level leads it up past hub and screw.

    Straight from hole to upper end; one that is bent to stand upright from the guide on keeps farther off.
    """
    arm = field.between()
    (hole_y, hole_z), (end_y, end_z) = field.hole(arm), field.end(arm)
    y0, z0 = hole_y - field.shaft_y[:, None], hole_z - field.shaft_z[:, None]
    y1, z1 = end_y - field.shaft_y[:, None], end_z - field.shaft_z[:, None]
    long = np.hypot(y1 - y0, z1 - z0)
    share = np.clip(-(y0 * (y1 - y0) + z0 * (z1 - z0)) / long**2, 0.0, 1.0)
    off = np.hypot(y0 + share * (y1 - y0), z0 + share * (z1 - z0)).min(axis=1)
    return np.asarray(np.where(np.isfinite(off), off, field.radius))


def _limits(field: Field, does: Done) -> tuple[Limit, ...]:
    spec, limits, asked = field.spec, field.limits, field.asked
    servo = spec.servo
    half = np.array([place.at for place in asked.places])
    lifts = asked.crank_mm * np.sin(np.radians(half)) if asked.crank_mm else half
    lift = float(lifts.max() - lifts.min())
    less = "a smaller --crank" if asked.crank_mm else "a smaller --travel"
    closes = np.isfinite(field.arm).all(axis=1)

    def known(value: Array | float, otherwise: float) -> Array:
        return np.asarray(np.where(closes, value, otherwise))

    swing_us = known(does.swing_deg / servo.degrees_per_us, np.inf)
    trim = trim_room_us(np.maximum(does.rate_mm_per_rad, 1e-3), OFF_MM, servo)
    deep = limits.depth_over_guide_mm + field.drop + limits.below_shaft_mm
    dead = servo.dead_band_us * math.radians(servo.degrees_per_us) * does.rate_mm_per_rad
    found = [
        at_least(
            "lift",
            field.radius * 2.0 * math.sin(math.radians(MOST_SWING_DEG)),
            lift,
            f"mm of lift at {MOST_SWING_DEG:g}° a side",
            f"an arm with holes further out, or {less}",
        ),
        at_most("depth", known(deep, np.inf), limits.max_depth_mm, "mm below the board", "--max-depth {value}"),
        rules.ARM_TRANSMISSION.limit(known(does.arm_transmission_deg, np.nan)),
        at_most(
            "pulses",
            swing_us + known(trim, 0.0),
            room_us(servo),
            "µs from centre to end, trim included",
            f"an arm hole further out, {less}, or a servo with a wider pulse range",
        ),
        rules.stop_force(asked).limit(does.stop),
        rules.bend_room(limits).limit(does.leg + field.crown + field.wire / 2.0),
        rules.AT_STOP.limit(does.folding / (does.stop + asked.weight_n)),
        rules.AT_STALL.limit(does.folding / np.maximum(does.fault, 1e-9)),
        rules.GUIDES.limit(does.apart),
        rules.stressed(spec).limit(does.stress_mpa / field.tensile),
        at_most(
            "guide",
            known(does.guide, np.nan),
            limits.max_guide_mm,
            "mm of bore for the rod to pass",
            f"{less}, or a --crank-pivot further up",
        ),
    ]
    if limits.max_board_hole_mm is not None:
        hole = known(does.board_hole, np.nan)
        found.append(at_most("board hole", hole, limits.max_board_hole_mm, "mm of hole in the board", less))
    if limits.room_beyond_mm is not None:
        beyond = known(_beyond(field, does), np.inf)
        found.append(at_most("beside", beyond, limits.room_beyond_mm, "mm beyond the rod", "a greater beside_mm"))
    if asked.crank_mm is None:
        found += [
            rules.bent_aside(spec).limit(does.side_mpa / field.tensile),
            rules.SLIDES_FINELY.limit(dead / lift),
        ]
    else:
        end_z = field.end(field.between())[1]
        # nearer to a dead point the limit on the angle says why, and these nothing
        turns = np.where(does.transmission_deg >= rules.LEAST_TRANSMISSION_DEG, does.crank_deg_per_mm, np.nan)
        found += [
            rules.TRANSMISSION.limit(known(does.transmission_deg, np.nan)),
            rules.LEAN.limit(known(does.lean_deg, np.nan)),
            at_least("closes", known(1.0, 0.0), 1.0, "linkages that close", "a --crank-pivot over the rod"),
            at_least(
                "room above",
                known(end_z.min(axis=1), np.nan) - max(spec.roadbed.thickness_mm, limits.guide_z[1]),
                OVER_BOARD_MM,
                "mm from the crank's hole down to the board",
                "a --crank-pivot further up",
            ),
            rules.BACKLASH.limit(field.play * turns),
            rules.TURNS_FINELY.limit(dead * turns),
        ]
    if spec.swing_deg is not None:
        off = np.abs(np.degrees(swing_rad(field)) - spec.swing_deg)
        least_us = 0.6 * servo.degrees_per_us
        found.append(
            at_most("swing", known(off, np.inf), least_us, "° from the half swing asked for", "leave --swing free")
        )
    return tuple(found)


def _shared(spec: MountSpec, rods: Sequence[Field], each: Sequence[Done]) -> Iterator[Limit]:
    """What all rods together are held to, and a second one to the first."""
    torque = np.add.reduce([does.torque for does in each])
    yield rules.TORQUE.limit(spec.servo.stall_torque_nmm / np.maximum(torque, 1e-9))
    field, between = rods[0], rods[0].limits.between_rods_mm
    if between is None:
        return
    off = np.abs(rods[1].off()).max(axis=1)
    closes = np.isfinite(field.arm).all(axis=1)
    yield rules.in_place(field.asked).limit(np.where(closes, np.nan_to_num(off, nan=np.inf), np.nan))
    hole = np.fmax(*(does.board_hole for does in each))
    yield at_least(
        "between the rods",
        np.where(closes, -2.0 * field.shaft_y - hole, np.nan),
        between,
        "mm of board between the holes of both rods",
        "an arm with holes further out",
    )


def _beyond(field: Field, does: Done) -> Array:
    """How far what belongs to the mount reaches past the rod, the way the arm points, the arm cut off at its hole."""
    limits = field.limits
    hole = field.hole(field.between())[0].max(axis=1)
    arm = cut_arm_mm(field.radius, field.drill, field.spec) - field.radius
    tail = limits.wire_tail_mm + field.wire / 2.0
    return np.asarray(np.maximum.reduce([
        field.shaft_y + limits.seat_beyond_shaft_mm,
        hole + np.maximum(np.minimum(arm, field.spec.servo.horn_length_mm - field.radius), tail),
        does.guide / 2.0 + limits.beside_bore_mm,
    ]))  # fmt: skip


def _costs(field: Field, does: Done) -> dict[str, Array]:
    """What speaks against each, about 0 to 1: depth, coarse steps, long legs, play, force, many guides, drilling."""
    spec = field.spec
    low = np.nan_to_num(np.abs(np.degrees(swing_rad(field)) - COMFORTABLE_SWING_DEG), nan=90.0)
    return {
        "depth": (field.drop - field.limits.shaft_below_guide_mm) / 10.0,
        "swing": (low / 20.0) ** 2 / 2.0,
        "spring bend": (does.leg + field.crown) / 30.0,
        "play": np.where(does.crank_deg_per_mm > 0, field.play * does.crank_deg_per_mm / 10.0, field.play),
        "force at the servo's end": does.fault / 10.0,
        "guides": LEAST_GUIDES_MM / does.apart,
        "drilling": np.where(field.drill > spec.servo.horn_hole_mm + 1e-9, 0.1, 0.0),
    }


def _performance(words: str, drive: Drive, spec: MountSpec, dimensions: str) -> str:
    if not isinstance(drive, LiftDrive):
        raise TypeError(f"{drive.kind} is no lift")
    turned = f", turns the crank {_turn(drive):.0f}°" if drive.crank_mm else ""
    both = "" if drive.second is None else f"; {-drive.second.y_mm:.1f} mm from it a second rod goes down meanwhile"
    return (
        f"{words[0].upper()}{words[1:]} with {dimensions} lifts {number(drive.travel_mm, 2)} mm{turned} at a half "
        f"swing of {drive.swing_deg:.1f}° and presses a stop with {drive.stop_force_n:.2f} N at most{both}."
    )


def _curve(one: Field, lowest: float) -> tuple[tuple[float, float], ...]:
    """Pulse against crank or lift, evenly from the first position to the last."""
    pulses = np.linspace(one.pulses[0, 0], one.pulses[0, -1], CURVE_POINTS)
    arm = replace(one, pulses=pulses[None, :]).set_arm()
    there = one.end(arm)[1] - lowest if one.asked.crank_mm is None else np.degrees(one.crank_angle(arm))
    return tuple((round(float(us), 3), round(float(at), 4)) for us, at in zip(pulses, there[0], strict=True))


def _places(rod: Field) -> tuple[Place, ...]:
    """The positions of the only candidate."""
    arm, asked = rod.arm, rod.asked
    _, end_z = rod.end(arm)
    angles = rod.crank_angle(arm)[0] if asked.crank_mm else None
    lowest = float(end_z.min())
    least = min(place.at for place in asked.places)
    return tuple(
        Place(
            name=place.name,
            arm_deg=math.degrees(float(arm[0, n])),
            lift_mm=float(end_z[0, n]) - lowest,
            angle_deg=None if angles is None else math.degrees(float(angles[n])),
            asked_deg=None if angles is None else place.at,
            asked_mm=place.at - (least if rod.follows else 0.0) if angles is None else None,
            pulse_us=float(rod.pulses[0, n]),
        )
        for n, place in enumerate(asked.places)
    )


def _second(first: Field, rod: Field, does: Done, index: int) -> SecondRod:
    """As it stands, not as the mirror shows it; fields of the only candidate."""
    shaft_y, crank = float(first.shaft_y[0]), rod.asked.crank_mm
    places = zip(_places(rod), first.pulses[0], strict=True)
    return SecondRod(
        y_mm=2.0 * shaft_y,
        rod_length_mm=float(rod.rod[0]),
        crank_pivot=None if crank is None else (2.0 * shaft_y - float(rod.pivot_y[0]), rod.asked.pivot_z),
        positions=tuple(place.model_copy(update={"pulse_us": float(pulse)}) for place, pulse in places),
        stop_force_n=float(does.stop[index]),
        transmission_deg=None if crank is None else float(does.transmission_deg[index]),
        lean_deg=float(does.lean_deg[index]),
    )


def _turn(drive: LiftDrive) -> float:
    angles = [place.angle_deg or 0.0 for place in drive.positions]
    return max(angles) - min(angles)


def _drive(rods: Sequence[Field], each: Sequence[Done], index: int) -> LiftDrive:
    field, does = rods[0], each[0]
    asked, servo = field.asked, field.spec.servo
    one = only(field, index)
    _, end_z = one.end(one.arm)
    lowest = float(end_z.min())
    places = _places(one)
    at = {name: float(getattr(does, name)[index]) for name in does.__dataclass_fields__}
    widest = {name: max(float(getattr(one, name)[index]) for one in each) for name in ("guide", "board_hole")}
    torque = sum(float(does.torque[index]) for does in each)
    per_us = math.radians(servo.degrees_per_us) * at["rate_mm_per_rad"]
    wire, crank = float(field.wire[index]), asked.crank_mm
    return LiftDrive(
        horn_radius_mm=float(field.radius[index]),
        wire_mm=wire,
        wire_tensile_mpa=float(field.tensile[index]),
        wire_modulus_mpa=float(field.modulus[index]),
        arm_hole_drill_mm=float(field.drill[index]),
        swing_deg=math.degrees(float(swing_rad(one)[0])),
        travel_mm=float(end_z.max() - end_z.min()),
        lost_motion_mm=float(field.play[index]),
        rate_n_per_mm=at["rate"],
        stress_mpa=at["stress_mpa"],
        servo_torque_nmm=torque,
        torque_margin=servo.stall_torque_nmm / torque,
        pulse_us=PulseWidths(normal=places[0].pulse_us, centre=servo.pulse_centre_us, reverse=places[-1].pulse_us),
        pin_mm_per_us=per_us,
        deadband_mm=servo.dead_band_us * per_us,
        explanation="",
        rod_length_mm=float(field.rod[index]),
        shaft=(float(field.shaft_y[index]), float(field.shaft_z[index])),
        crank_mm=crank,
        crank_pivot=None if crank is None else (float(field.pivot_y[index]), asked.pivot_z),
        crank_towards=None if crank is None else (1 if field.towards > 0 else -1),
        mid_deg=math.degrees(float(field.mid[index])),
        positions=places,
        curve=_curve(one, lowest),
        stop_force_n=at["stop"],
        overrun_mm=at["overrun"],
        fault_force_n=at["fault"],
        weight_n=asked.weight_n,
        loop_leg_mm=at["leg"],
        loop_radius_mm=float(field.crown[index]),
        loop_at_mm=at["before"],
        foot_radius_mm=float(field.foot[index]),
        transmission_deg=None if crank is None else at["transmission_deg"],
        arm_transmission_deg=at["arm_transmission_deg"],
        backlash_deg=None if crank is None else float(field.play[index]) * at["crank_deg_per_mm"],
        lean_deg=at["lean_deg"],
        guide_mm=widest["guide"],
        board_hole_mm=None if field.limits.max_board_hole_mm is None else widest["board_hole"],
        crank_hole_mm=wire + fits.CRANK_HOLE.own_mm,
        guide_apart_mm=at["apart"],
        buckling_at_stall=at["folding"] / max(at["fault"], 1e-9),
        buckling_at_stop=at["folding"] / (at["stop"] + asked.weight_n),
        seconds=asked.seconds,
        second=_second(one, only(rods[1], index), each[1], index) if len(rods) > 1 else None,
        deadband_deg=None if crank is None else servo.dead_band_us * per_us * at["crank_deg_per_mm"],
    )
