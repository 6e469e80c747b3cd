"""Chooses a lift: arm holes × wires × crowns of the spring bend × mid angles; all else follows in closed form."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.drive.bends import BEND_RADIUS_WIRES, curvature_factor
from mounts.drive.choices import Axes, drill_mm, radii_of, stock_of
from mounts.drive.lift import kinematics, rules
from mounts.drive.lift.asked import Asked, asked_of
from mounts.drive.lift.model import LiftDrive, LiftLimits, Place
from mounts.drive.lift.rules import LEAST_GUIDES_MM, LEAST_STALL_MARGIN, LEAST_STOP_MARGIN, LEAST_TRANSMISSION_DEG
from mounts.drive.lift.spring import BENT_MM, folding_n, leg_for_mm, shape_mm3
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
from mounts.drive.spring import second_moment_mm4
from mounts.inputs import fits
from mounts.inputs.spec import MountSpec
from mounts.units import number

Array = NDArray[np.float64]

MOST_SWING_DEG = 50.0
CROWNS_MM = (1.5, 2.0, 2.5, 3.0)
LEAST_LEG_MM = 2.0
STEP_US = 10.0
"""By which an end is found: the arm goes past the touch by at most that, half a dead band, and what is not seen."""

SEEN_MM = 0.1
"""± to which the eye sees that a part touches its stop. Common practice, no source."""

WEAKEST_N = 0.15
"""The spring bend is never softer than that a mm: friction and weight would bend it. Common practice, no source."""

OFF_MM = 0.5
"""± of the rod's length as bent and fitted, trimmed away by the pulses. Common practice, no source."""

OVER_BOARD_MM = 2.0
"""Kept between the crank's hole at its lowest and board or roadbed. Common practice, no source."""

BEND_AIR_MM = 0.3  # straight between two bends, so that a drill's shank finds its place; common practice, no source
_BETWEEN = 9  # of the swing, where lean and angles are looked at
_ROUNDS = 4


@dataclass(frozen=True)
class Field:
    """All candidates; arrays are (n,), or (n, k) where k places or angles are meant."""

    spec: MountSpec
    limits: LiftLimits
    asked: Asked
    radius: Array
    wire: Array
    modulus: Array
    tensile: Array
    crown: Array
    mid: Array
    drop: Array  # guide's lower end to shaft
    shaft_y: Array
    shaft_z: Array
    rod: Array
    pivot_y: Array
    arm: Array  # (n, k) at the places
    pulses: Array  # (n, k) whole µs
    towards: int
    leg: Array | None = None  # of the spring bend; None: as short as the stop allows

    @property
    def shaft(self) -> tuple[Array, Array]:
        """y and z."""
        return self.shaft_y, self.shaft_z

    @property
    def foot(self) -> Array:
        """Radius of all bends but the crown."""
        return BEND_RADIUS_WIRES * self.wire

    @property
    def drill(self) -> Array:
        """Of the arm's hole."""
        return drill_mm(self.wire, self.spec)

    @property
    def play(self) -> Array:
        """Of arm hole and crank hole together."""
        return np.asarray(self.drill - self.wire + fits.CRANK_HOLE.own_mm)

    def set_arm(self) -> Array:
        """(n, k) arm angles that the whole pulses give, rad."""
        servo = self.spec.servo
        sense = _lifting_sense(self.spec, self.limits)
        return np.asarray(
            self.mid[:, None] + sense * np.radians((self.pulses - servo.pulse_centre_us) * servo.degrees_per_us)
        )

    def end(self, arm: Array) -> tuple[Array, Array]:
        """The rod's upper end at arm angles (n, k)."""
        linkage = _columns(self)
        if self.asked.crank_mm is None:
            return np.zeros_like(arm), kinematics.slide_z(arm, **linkage)
        return kinematics.crank_end(
            self.crank_angle(arm), crank_mm=self.asked.crank_mm, pivot=self.pivot, towards=self.towards
        )

    def crank_angle(self, arm: Array) -> Array:
        """The crank's angle at arm angles (n, k), rad."""
        return kinematics.crank_rad(
            arm, **_columns(self), crank_mm=self.asked.crank_mm or 1.0, pivot=self.pivot, towards=self.towards
        )

    @property
    def pivot(self) -> tuple[Array, float]:
        """Of the crank, as a column."""
        return self.pivot_y[:, None], self.asked.pivot_z

    def hole(self, arm: Array) -> tuple[Array, Array]:
        """The arm's hole at arm angles (n, k)."""
        r = self.radius[:, None]
        return self.shaft_y[:, None] + r * np.cos(arm), self.shaft_z[:, None] + r * np.sin(arm)

    def between(self) -> Array:
        """(n, 9) arm angles from one end to the other."""
        share = np.linspace(0.0, 1.0, _BETWEEN)
        low, high = self.arm.min(axis=1)[:, None], self.arm.max(axis=1)[:, None]
        return np.asarray(low + (high - low) * share)


def _columns(field: Field) -> dict[str, Any]:
    return {
        "radius_mm": field.radius[:, None],
        "rod_mm": field.rod[:, None],
        "shaft": (field.shaft_y[:, None], field.shaft_z[:, None]),
    }


def _lifting_sense(spec: MountSpec, limits: LiftLimits) -> float:
    """+1 where a longer pulse lifts the rod."""
    return (1.0 if limits.ccw_lifts else -1.0) * (1.0 if spec.servo.pulse_turns == "ccw" else -1.0)


def laid_out(spec: MountSpec, limits: LiftLimits) -> Field:
    """Every candidate with its linkage closed at mid, and its arm where the places are."""
    asked, servo, stock = asked_of(spec), spec.servo, stock_of(spec)
    axes = np.meshgrid(radii_of(spec), range(len(stock)), CROWNS_MM, np.radians(limits.mids_deg), indexing="ij")
    radius, number_, crown, mid = (axis.ravel() for axis in axes)
    wire, modulus, tensile = (
        np.array([getattr(one, name) for one in stock])[number_.astype(int)]
        for name in ("diameter_mm", "modulus_mpa", "tensile_mpa")
    )
    figures = np.array([place.at for place in asked.places])
    towards = 1 if asked.pivot_y is None or asked.pivot_y <= 0.0 else -1
    crank = asked.crank_mm or 0.0
    turned = np.radians(figures)
    lifts = crank * np.sin(turned) if crank else figures
    half = (lifts.max() - lifts.min()) / 2.0
    with np.errstate(invalid="ignore"):
        swing = np.arcsin(half / (radius * np.cos(mid)))
    rise = radius * (np.sin(mid + swing) - np.sin(mid))
    tip = servo.horn_length_mm * np.sin(np.maximum(mid + swing, 0.0)) + servo.horn_tip_width_mm / 2.0
    drop = np.maximum.reduce([
        np.full_like(radius, limits.shaft_below_guide_mm),
        _bend_room(wire, crown) + rise + radius * np.sin(mid),
        tip + limits.arm_air_mm,
    ])  # fmt: skip
    shaft_z = limits.guide_z[0] - drop
    reach = np.cos(np.stack([mid - swing, mid, mid + swing]))
    shaft_y = -radius * (reach.max(axis=0) + reach.min(axis=0)) / 2.0
    upright = -towards * crank * (np.cos(turned).max() + np.cos(turned).min()) / 2.0
    pivot_y = np.full_like(radius, upright if asked.pivot_y is None else asked.pivot_y)
    field = Field(
        spec=spec, limits=limits, asked=asked, radius=radius, wire=wire, modulus=modulus, tensile=tensile, crown=crown,
        mid=mid, drop=drop, shaft_y=shaft_y, shaft_z=shaft_z, rod=np.full_like(radius, np.nan), pivot_y=pivot_y,
        arm=np.full((radius.size, figures.size), np.nan), pulses=np.zeros((radius.size, figures.size)), towards=towards,
    )  # fmt: skip
    for _ in range(_ROUNDS if crank else 1):
        field = _closed(field, figures)
        if crank:
            low, high = passing(field, np.mean(limits.guide_z))
            share = (np.mean(limits.guide_z) - field.shaft_z) / (asked.pivot_z - field.shaft_z)
            field = _replaced(field, shaft_y=field.shaft_y - (low + high) / 2.0 / (1.0 - share))
    field = _closed(field, figures)
    off = np.degrees(field.arm - field.mid[:, None]) / servo.degrees_per_us
    pulses = servo.pulse_centre_us + np.round(_lifting_sense(spec, limits) * off)
    return _replaced(field, pulses=pulses)


def _replaced(field: Field, **changed: Any) -> Field:
    return replace(field, **changed)


def _bend_room(wire: Array, crown: Array) -> Array:
    """Arm's hole at its highest to the guide: corner at the arm, foot, crown, foot, each with a bit of straight."""
    foot = BEND_RADIUS_WIRES * wire
    return np.asarray(2.0 * foot + BEND_AIR_MM + 2.0 * crown + foot + 2 * BEND_AIR_MM)


def _closed(field: Field, figures: Array) -> Field:
    """The rod as long as it takes with the arm at mid and what it moves half way, and the arm at each place."""
    asked = field.asked
    hole_y, hole_z = (at[:, 0] for at in field.hole(field.mid[:, None]))
    if asked.crank_mm is None:
        end_y, end_z = np.zeros_like(hole_y), np.full_like(hole_y, field.limits.guide_z[0])
        target = (np.zeros_like(figures)[None, :], end_z[:, None] + (figures - (figures.max() + figures.min()) / 2.0))
    else:
        turned = np.radians(figures)
        half_way = np.arcsin((np.sin(turned).max() + np.sin(turned).min()) / 2.0)
        end_y, end_z = kinematics.crank_end(
            half_way, crank_mm=asked.crank_mm, pivot=(field.pivot_y, asked.pivot_z), towards=field.towards
        )
        target = kinematics.crank_end(
            turned[None, :], crank_mm=asked.crank_mm, pivot=field.pivot, towards=field.towards
        )
    field = _replaced(field, rod=np.hypot(end_y - hole_y, end_z - hole_z))
    return _replaced(field, arm=kinematics.arm_rad(*target, **_columns(field)))


def passing(field: Field, z: float | np.floating[Any]) -> tuple[Array, Array]:
    """Least and most y of the rod's axis at a height over the swing, (n,)."""
    arm = field.between()
    (hole_y, hole_z), (end_y, end_z) = field.hole(arm), field.end(arm)
    if field.asked.crank_mm is None:  # bent to stand upright from the guide on
        y = np.zeros_like(arm)
    else:
        y = hole_y + (end_y - hole_y) * (z - hole_z) / (end_z - hole_z)
    return np.asarray(y.min(axis=1)), np.asarray(y.max(axis=1))


@dataclass(frozen=True)
class Done:
    """What each candidate does; arrays (n,)."""

    swing_deg: Array
    rate_mm_per_rad: Array  # of the rod's end, where it is fastest
    crank_deg_per_mm: Array  # where it is most; 0 without a crank
    transmission_deg: Array  # NaN without a crank
    arm_transmission_deg: Array
    leg: Array
    rate: Array
    overrun: Array
    stop: Array
    fault: Array
    folding: Array
    before: Array
    after: Array
    stress_mpa: Array
    side_mpa: Array
    lean_deg: Array
    guide: Array
    board_hole: Array
    gap_left: Array
    apart: Array
    torque: Array
    travel: Array


def done(field: Field) -> Done:
    """Everything that follows from a field."""
    spec, limits, asked = field.spec, field.limits, field.asked
    servo, arm = spec.servo, field.between()
    (hole_y, hole_z), (end_y, end_z) = field.hole(arm), field.end(arm)
    shaft = field.shaft_y[:, None], field.shaft_z[:, None]
    arm_angle = np.degrees(kinematics.between_rad(shaft, (hole_y, hole_z), (end_y, end_z))).min(axis=1)
    step = 1e-5
    ahead = field.end(arm + step), field.end(arm - step)
    way = np.hypot(ahead[0][0] - ahead[1][0], ahead[0][1] - ahead[1][1]) / (2.0 * step)
    rate_mm = way.max(axis=1)
    if asked.crank_mm is None:
        transmission, per_mm = np.full(field.radius.size, np.nan), np.zeros(field.radius.size)
    else:
        angle = kinematics.between_rad((hole_y, hole_z), (end_y, end_z), field.pivot)
        transmission = np.degrees(angle).min(axis=1)
        # nearer to a dead point it has no figure: the limit on the angle says why
        clear = np.where(transmission >= LEAST_TRANSMISSION_DEG, transmission, np.nan)
        per_mm = np.degrees(1.0 / (asked.crank_mm * np.sin(np.radians(clear))))
    stiffness = field.modulus * second_moment_mm4(field.wire)
    per_us = math.radians(servo.degrees_per_us) * rate_mm
    overrun = per_us * (STEP_US + servo.dead_band_us / 2.0) + SEEN_MM
    softest = np.maximum(0.9 * asked.stop_n / overrun, WEAKEST_N)
    leg = field.leg
    if leg is None:
        leg = leg_for_mm(
            softest,
            stiffness_nmm2=stiffness,
            crown_mm=field.crown,
            least_mm=np.maximum(LEAST_LEG_MM, field.foot + BEND_AIR_MM),
        )
    rate = stiffness / shape_mm3(leg, field.crown)
    stop = rate * overrun
    fault, gap_left = _at_fault(field, rate)
    high = hole_z.max(axis=1)
    before = 2.0 * field.foot + BEND_AIR_MM + field.crown
    after = limits.guide_z[0] - hole_z.min(axis=1) - before
    folding = folding_n(
        stiffness_nmm2=stiffness, leg_mm=leg, crown_mm=field.crown, before_mm=before, after_mm=np.maximum(after, 0.1)
    )
    moment = (stop + asked.weight_n) * (leg + field.crown)
    modulus = np.pi * field.wire**3 / 32.0
    stress = curvature_factor(field.crown, field.wire) * moment / modulus
    free = limits.guide_z[0] - high
    aside = np.abs(hole_y).max(axis=1)
    slid = asked.crank_mm is None
    side = 3.0 * field.modulus * (field.wire / 2.0) * aside / free**2 if slid else np.zeros_like(free)
    lean = np.degrees(np.arctan2(np.abs(end_y - hole_y), end_z - hole_z)).max(axis=1)
    widest = [np.maximum(*np.abs(passing(field, z))) for z in limits.guide_z]
    guide = field.wire + 2.0 * np.maximum(*widest) + fits.PIVOT.air_mm(spec.printer)
    in_board = [np.maximum(*np.abs(passing(field, z))) for z in (-spec.board.thickness_mm, spec.roadbed.thickness_mm)]
    beside = fits.BOARD_HOLE.own_mm + OFF_MM
    hole = np.ceil(2.0 * (field.wire + 2.0 * (np.maximum(*in_board) + beside) + 2.0 * fits.PIVOT.air_mm(spec.printer)))
    apart = np.pi * np.sqrt(
        stiffness / np.maximum(LEAST_STALL_MARGIN * fault, LEAST_STOP_MARGIN * (stop + asked.weight_n))
    )
    travel = end_z.max(axis=1) - end_z.min(axis=1)
    return Done(
        swing_deg=np.degrees(np.abs(field.arm - field.mid[:, None]).max(axis=1)), rate_mm_per_rad=rate_mm,
        crank_deg_per_mm=per_mm, transmission_deg=transmission, arm_transmission_deg=arm_angle, leg=leg, rate=rate,
        overrun=overrun, stop=stop, fault=fault, folding=folding, before=before, after=after, stress_mpa=stress,
        side_mpa=side, lean_deg=lean, guide=guide, board_hole=hole / 2.0, gap_left=gap_left, apart=apart,
        torque=(stop + asked.weight_n) * rate_mm, travel=travel,
    )  # fmt: skip


def _at_fault(field: Field, rate: Array) -> tuple[Array, Array]:
    """What reaches the rod when a pulse sends the arm to the servo's end against a stop, N; and the bend's gap then.

    The bend gives with its rate, up or down; where its feet meet on the way up, the servo stalls on the rod.
    """
    servo = field.spec.servo
    room = math.radians(room_us(servo) * servo.degrees_per_us)
    sine = np.sin(field.arm)
    up = field.radius * (np.sin(np.minimum(field.mid + room, math.pi / 2)) - sine.max(axis=1))
    down = field.radius * (sine.min(axis=1) - np.sin(np.maximum(field.mid - room, -math.pi / 2)))
    gap = 2.0 * field.crown - field.wire - BENT_MM - np.maximum(up, 0.0)
    stalled = servo.stall_torque_nmm / field.radius
    pushed = np.where(gap > 0.0, np.minimum(rate * np.maximum(up, 0.0), stalled), stalled)
    return np.maximum(pushed, np.minimum(rate * np.maximum(down, 0.0), stalled)), gap


def examined(spec: MountSpec, limits: LiftLimits, axes: Axes) -> Examined:
    """Every candidate of a request; what a family shares comes out alike by itself, for pulses are whole µs."""
    field = laid_out(spec, limits)
    does = done(field)
    trial = Candidates(radius_mm=field.radius, theta_rad=_swing_rad(field), wire_mm=field.wire, drill_mm=field.drill)
    own = (*_arm_limits(field), *_limits(field, does))
    return Examined(
        spec=spec,
        trial=trial,
        limits=own,
        cost=_costs(field, does),
        aimed=np.full_like(field.radius, np.nan),
        towards=np.ones(field.radius.size, dtype=np.bool_),
        dimensions=lambda index: (
            f"a rod of {field.rod[index]:.1f} mm and a spring bend of {field.crown[index]:g} mm radius on "
            f"{does.leg[index]:.1f} mm legs"
        ),
        drive=partial(_drive, field, does),
        performance=_performance,
    )


def _swing_rad(field: Field) -> Array:
    """From the whole pulses, the larger side."""
    return np.asarray(np.abs(field.set_arm() - field.mid[:, None]).max(axis=1))


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
            "Z-bend clear of the boss",
            np.maximum(over_boss, inner - servo.boss_mm / 2.0),
            Z_BEND_AIR_MM,
            "mm between the wire and the boss",
            "a thinner wire or an arm hole further out",
        ),
    )


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

    margin = servo.stall_torque_nmm / np.maximum(does.torque, 1e-9)
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
        rules.TORQUE.limit(margin),
        at_most(
            "guide",
            known(does.guide, np.nan),
            limits.max_guide_mm,
            "mm of bore for the rod to pass",
            f"{less}, or a --crank-pivot further up",
        ),
        at_most(
            "board hole", known(does.board_hole, np.nan), limits.max_board_hole_mm, "mm of hole in the board", less
        ),
    ]
    if asked.crank_mm is None:
        found += [
            rules.bent_aside(spec).limit(does.side_mpa / field.tensile),
            rules.SLIDES_FINELY.limit(dead / lift),
        ]
    else:
        end_z = field.end(field.between())[1]
        found += [
            rules.TRANSMISSION.limit(known(does.transmission_deg, np.nan)),
            rules.LEAN.limit(known(does.lean_deg, np.nan)),
            at_least("closes", known(1.0, 0.0), 1.0, "linkages that close", "a --crank-pivot over the rod"),
            at_least(
                "room above",
                known(end_z.min(axis=1), np.nan) - spec.roadbed.thickness_mm,
                OVER_BOARD_MM,
                "mm from the crank's hole down to the board",
                "a --crank-pivot further up",
            ),
            rules.BACKLASH.limit(field.play * does.crank_deg_per_mm),
            rules.TURNS_FINELY.limit(dead * does.crank_deg_per_mm),
        ]
    if spec.swing_deg is not None:
        off = np.abs(np.degrees(_swing_rad(field)) - spec.swing_deg)
        least_us = 0.6 * servo.degrees_per_us
        found.append(
            at_most("swing", known(off, np.inf), least_us, "° from the half swing asked for", "leave --swing free")
        )
    return tuple(found)


def _costs(field: Field, does: Done) -> dict[str, Array]:
    """What speaks against each, about 0 to 1: depth, coarse steps, long legs, play, force, many guides, drilling."""
    spec = field.spec
    low = np.nan_to_num(np.abs(np.degrees(_swing_rad(field)) - COMFORTABLE_SWING_DEG), nan=90.0)
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
    return (
        f"{words[0].upper()}{words[1:]} with {dimensions} lifts {number(drive.travel_mm, 2)} mm{turned} at a half "
        f"swing of {drive.swing_deg:.1f}° and presses a stop with {drive.stop_force_n:.2f} N at most."
    )


def _turn(drive: LiftDrive) -> float:
    angles = [place.angle_deg or 0.0 for place in drive.positions]
    return max(angles) - min(angles)


def _drive(field: Field, does: Done, index: int) -> LiftDrive:
    asked, servo = field.asked, field.spec.servo
    one = _only(field, index)
    arm = one.set_arm()
    _, end_z = one.end(arm)
    angles = one.crank_angle(arm)[0] if asked.crank_mm else None
    lowest = float(end_z.min())
    places = tuple(
        Place(
            name=place.name,
            arm_deg=math.degrees(float(arm[0, n])),
            lift_mm=float(end_z[0, n]) - lowest,
            angle_deg=None if angles is None else math.degrees(float(angles[n])),
            asked_deg=None if angles is None else place.at,
            asked_mm=place.at if angles is None else None,
            pulse_us=float(one.pulses[0, n]),
        )
        for n, place in enumerate(asked.places)
    )
    at = {name: float(getattr(does, name)[index]) for name in does.__dataclass_fields__}
    per_us = math.radians(servo.degrees_per_us) * at["rate_mm_per_rad"]
    wire, crank = float(field.wire[index]), asked.crank_mm
    return LiftDrive(
        horn_radius_mm=float(field.radius[index]),
        wire_mm=wire,
        wire_tensile_mpa=float(field.tensile[index]),
        wire_modulus_mpa=float(field.modulus[index]),
        arm_hole_drill_mm=float(field.drill[index]),
        swing_deg=math.degrees(float(_swing_rad(one)[0])),
        travel_mm=float(end_z.max() - end_z.min()),
        lost_motion_mm=float(field.play[index]),
        rate_n_per_mm=at["rate"],
        stress_mpa=at["stress_mpa"],
        servo_torque_nmm=at["torque"],
        torque_margin=servo.stall_torque_nmm / at["torque"],
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
        guide_mm=at["guide"],
        board_hole_mm=at["board_hole"],
        crank_hole_mm=wire + fits.CRANK_HOLE.own_mm,
        guide_apart_mm=at["apart"],
        buckling_at_stall=at["folding"] / max(at["fault"], 1e-9),
        buckling_at_stop=at["folding"] / (at["stop"] + asked.weight_n),
        seconds=asked.seconds,
        deadband_deg=None if crank is None else servo.dead_band_us * per_us * at["crank_deg_per_mm"],
    )


def _only(field: Field, index: int) -> Field:
    """One candidate by itself."""
    kept: dict[str, Any] = {
        name: value[index : index + 1] for name, value in vars(field).items() if isinstance(value, np.ndarray)
    }
    return _replaced(field, **kept)


def as_field(spec: MountSpec, limits: LiftLimits, drive: LiftDrive) -> Field:
    """A drive that exists, worked out anew from its dimensions."""
    asked = asked_of(spec)
    one = {name: np.array([value]) for name, value in (
        ("radius", drive.horn_radius_mm), ("wire", drive.wire_mm), ("modulus", drive.wire_modulus_mpa),
        ("tensile", drive.wire_tensile_mpa), ("crown", drive.loop_radius_mm), ("mid", math.radians(drive.mid_deg)),
        ("drop", limits.guide_z[0] - drive.shaft[1]), ("shaft_y", drive.shaft[0]), ("shaft_z", drive.shaft[1]),
        ("rod", drive.rod_length_mm), ("leg", drive.loop_leg_mm),
        ("pivot_y", drive.crank_pivot[0] if drive.crank_pivot else 0.0),
    )}  # fmt: skip
    arm = np.radians(np.array([[place.arm_deg for place in drive.positions]]))
    pulses = np.array([[place.pulse_us for place in drive.positions]])
    return Field(spec=spec, limits=limits, asked=asked, **one, arm=arm, pulses=pulses, towards=drive.crank_towards or 1)
