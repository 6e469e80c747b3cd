"""What each candidate of a lift does, and what each limit and cost makes of it, by a second model in plain arithmetic.

It takes of a candidate only what was chosen (arm hole, wire, crown, middle, where shaft and spindle are, the rod's
length and the whole pulses), and finds all else by circles that cut, lines and slopes by difference.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from requests_for_drives import profile, request

from mounts.drive.choices import Axes
from mounts.drive.lift.done import done
from mounts.drive.lift.field import Field, cut_arm_mm, laid_out
from mounts.drive.lift.model import LiftLimits
from mounts.drive.lift.solve import examined
from mounts.inputs.library import Library
from mounts.inputs.moved import Position
from mounts.inputs.servo import Servo

LIBRARY = Library()

CASES = {
    "crank": ({"crank_mm": 3.0, "crank_pivot_mm": (None, 60.0), "positions": ((-10.0, 0.0, 35.0)),
               "servo": profile(Servo, "micro-9g").model_copy(update={"horn_length_mm": 16.2})},
              {"room_beyond_mm": 14.0, "wire_tail_mm": 0.5}),
    "crank the other way": (
        {"crank_mm": 4.0, "crank_pivot_mm": (0.5, 45.0), "positions": (-30.0, 30.0), "mirror": True,
         "servo": profile(Servo, "micro-9g").model_copy(
             update={"pulse_min_us": 500.0, "pulse_max_us": 2500.0, "degrees_per_us": 0.12}),  # 120° either way
         "moved": LIBRARY.moved("semaphore").model_copy(update={"stop_n": 0.05})},
        {"ccw_lifts": False, "mids_deg": (-10.0, 15.0)},
    ),
    "crank aside": (
        {"crank_mm": 3.5, "crank_pivot_mm": (0.0, 30.0), "positions": (-20.0, 15.0, 30.0),
         "moved": LIBRARY.moved("semaphore").model_copy(update={"stop_n": 10.0, "weight_n": 1.5, "seconds": 3.0})},
        {"guide_z": (-6.0, 9.0)},
    ),
    "steep": (
        {"travel_mm": 1.0, "positions": (0.0, 1.0),
         "servo": profile(Servo, "micro-9g").model_copy(update={"pulse_turns": "cw", "horn_length_mm": 16.5})},
        {"mids_deg": (50.0, -50.0), "arm_air_mm": 12.0, "room_beyond_mm": 14.0, "wire_tail_mm": 9.0},
    ),
    "beyond the servo's end": ({"travel_mm": 9.0, "positions": (0.0, 9.0)}, {}),
    "slid": ({"travel_mm": 5.0, "positions": (0.0, 2.0, 5.0)}, {"room_beyond_mm": 14.0, "seat_beyond_shaft_mm": 18.0}),
    "let down": (
        {"travel_mm": 4.0, "positions": (0.0, 4.0), "swing_deg": 25.0, "laid": True},
        {"mids_deg": (-20.0, 0.0), "max_board_hole_mm": None, "room_beyond_mm": 14.0, "seat_beyond_shaft_mm": 3.0,
         "beside_bore_mm": 9.0, "depth_over_guide_mm": 1.5},
    ),
}  # fmt: skip


@cache
def case(name: str) -> tuple[Field, LiftLimits]:
    """Every candidate of a request, its linkage closed."""
    asked, left = CASES[name]
    places = tuple(Position(name=f"p{n}", at=at) for n, at in enumerate(asked["positions"]))
    spec = request(**{**asked, "positions": places})
    half = spec.servo.case_width_mm / 2
    limits = LiftLimits(**{
        "wire_tail_mm": 2.5, "guide_z": (-16.0, -12.0), "shaft_below_guide_mm": half + 3.2,
        "below_shaft_mm": half + 1.5, "max_depth_mm": 60.0, "depth_over_guide_mm": 4.0, "arm_air_mm": 1.0,
        "max_board_hole_mm": 12.0, "max_guide_mm": 5.0, "max_bend_out_mm": 30.0, "ccw_lifts": True, **left,
    })  # fmt: skip
    return laid_out(spec, limits), limits


def sampled(field: Field, count: int = 20) -> list[int]:
    """Candidates that close, spread over the field, some of the thickest wire among them."""
    closed = np.flatnonzero(np.isfinite(field.arm).all(axis=1))
    thick = closed[field.wire[closed] == field.wire.max()]
    return [*closed[:: max(1, closed.size // count)].tolist(), *thick[:: max(1, thick.size // 3)].tolist()]


class Hand:
    """One candidate, in floats."""

    def __init__(self, field: Field, limits: LiftLimits, n: int) -> None:
        spec, asked = field.spec, field.asked
        self.servo, self.limits, self.asked, self.spec = spec.servo, limits, asked, spec
        self.r, self.d, self.crown = (float(a[n]) for a in (field.radius, field.wire, field.crown))
        self.shaft, self.rod = (float(field.shaft_y[n]), float(field.shaft_z[n])), float(field.rod[n])
        self.pivot, self.mid = (float(field.pivot_y[n]), asked.pivot_z), float(field.mid[n])
        self.stiff = float(field.modulus[n]) * math.pi * self.d**4 / 64
        sense = (1 if limits.ccw_lifts else -1) * (1 if self.servo.pulse_turns == "ccw" else -1)
        off_us = field.pulses[n] - self.servo.pulse_centre_us
        self.arms = [self.mid + sense * math.radians(us * self.servo.degrees_per_us) for us in off_us]
        self.swept = np.linspace(min(self.arms), max(self.arms), 9)
        self.holes, self.ends = [self.hole(a) for a in self.swept], [self.end(a) for a in self.swept]

    def hole(self, arm: float) -> tuple[float, float]:
        return self.shaft[0] + self.r * math.cos(arm), self.shaft[1] + self.r * math.sin(arm)

    def end(self, arm: float) -> tuple[float, float]:
        """The rod's upper end: straight above on y = 0, or where the circles of rod and crank cut."""
        y, z = self.hole(arm)
        if self.asked.crank_mm is None:
            return 0.0, z + math.sqrt(self.rod**2 - y**2)
        apart = math.dist((y, z), self.pivot)
        along = (self.rod**2 - self.asked.crank_mm**2 + apart**2) / (2 * apart)
        aside = math.sqrt(self.rod**2 - along**2)
        uy, uz = (self.pivot[0] - y) / apart, (self.pivot[1] - z) / apart
        side = 1 if self.pivot[0] <= 0 else -1  # the crank points to the rod
        return y + along * uy + side * aside * uz, z + along * uz - side * aside * uy

    def rate(self) -> float:
        """Way of the rod's end over the arm's turn, the most."""
        step = 1e-6
        return max(math.dist(self.end(a + step), self.end(a - step)) / (2 * step) for a in self.swept)

    def between(self, middle: str) -> float:
        """Least angle of the rod to its neighbour, up to 90°."""
        angles = []
        for hole, end in zip(self.holes, self.ends, strict=True):
            rod = math.atan2(end[1] - hole[1], end[0] - hole[0])
            other = self.shaft if middle == "arm" else self.pivot
            at = hole if middle == "arm" else end
            link = math.atan2(other[1] - at[1], other[0] - at[0])
            angles.append(math.degrees(math.asin(abs(math.sin(rod - link)))))
        return min(angles)

    def per_mm(self) -> float:
        """Degrees that a mm along the rod turns the crank, the most."""
        return math.degrees(1 / (self.asked.crank_mm * math.sin(math.radians(self.between("crank")))))

    def overrun(self) -> float:
        """10 µs, half a dead band and a tenth that is not seen."""
        us = 10 + self.servo.dead_band_us / 2
        return us * math.radians(self.servo.degrees_per_us) * self.rate() + 0.1

    def shape(self, leg: float) -> float:
        """Softness of the spring bend (Castigliano, parallel legs)."""
        return 2 * leg**3 / 3 + math.pi * self.crown * leg**2 + 4 * self.crown**2 * leg + math.pi * self.crown**3 / 2

    def at_height(self, z: float) -> float:
        """Farthest that the rod's axis is aside there; one that is slid stands upright from the guide on."""
        if self.asked.crank_mm is None:
            return 0.0
        pairs = zip(self.holes, self.ends, strict=True)
        return max(abs(h[0] + (e[0] - h[0]) * (z - h[1]) / (e[1] - h[1])) for h, e in pairs)

    def play(self) -> float:
        """In the arm's hole, opened where it is not 0.2 mm wider than the wire; 0.1 in the crank's (inputs/fits)."""
        return max(self.servo.horn_hole_mm, self.d + 0.2) - self.d + 0.1

    def past(self) -> float:
        """Shaft's axis to the rod's, as segments."""
        least = []
        for (y0, z0), (y1, z1) in zip(self.holes, self.ends, strict=True):
            points = np.linspace([y0, z0], [y1, z1], 4001) - self.shaft
            least.append(np.hypot(*points.T).min())
        return min(least)


@pytest.mark.parametrize("name", CASES)
def test_what_a_candidate_does_by_hand(name):
    """Angles, rates, forces, stress, bores and spacing of some twenty candidates, each by circles and lines."""
    field, limits = case(name)
    found = done(field)
    air = field.spec.printer.moving_fit_mm
    for n in sampled(field):
        one = Hand(field, limits, n)
        told = {key: float(value[n]) for key, value in vars(found).items()}
        rate, over, weight = one.rate(), one.overrun(), one.asked.weight_n
        assert told["rate_mm_per_rad"] == pytest.approx(rate, rel=1e-5)
        assert told["overrun"] == pytest.approx(over, rel=1e-5)
        least_leg = max(2.0, 2 * one.d + 0.3)
        leg = told["leg"]
        soft = max(0.9 * one.asked.stop_n / over, 0.15)
        if one.stiff / one.shape(least_leg) <= soft:
            assert leg == pytest.approx(least_leg)
        else:
            assert one.stiff / one.shape(leg) == pytest.approx(soft, rel=1e-5)
        bend = one.stiff / one.shape(leg)
        stop = bend * over
        assert (told["rate"], told["stop"]) == pytest.approx((bend, stop), rel=1e-5)
        # the servo's end is as far from the centre as its pulses allow, and no further than straight up or down
        servo = one.servo
        room = min(servo.pulse_max_us - servo.pulse_centre_us, servo.pulse_centre_us - servo.pulse_min_us)
        far = math.radians(room * servo.degrees_per_us)
        sines = [math.sin(arm) for arm in one.arms]
        up = max(0.0, one.r * (math.sin(min(one.mid + far, math.pi / 2)) - max(sines)))
        down = max(0.0, one.r * (min(sines) - math.sin(max(one.mid - far, -math.pi / 2))))
        stall, gap = servo.stall_torque_nmm / one.r, 2 * one.crown - one.d - 0.3 - up
        pushed = min(bend * up, stall) if gap > 0 else stall
        fault = max(pushed, min(bend * down, stall))
        assert (told["gap_left"], told["fault"]) == pytest.approx((gap, fault), rel=1e-5, abs=1e-9)
        before = 2 * (2 * one.d) + 0.3 + one.crown
        after = limits.guide_z[0] - min(z for _, z in one.holes) - before
        assert (told["before"], told["after"]) == pytest.approx((before, after))
        # two stiff halves with a hinge as soft as all of the bend's wire twisted, 1 + ν = 1.3; and Euler, by Dunkerley
        hinge, beyond = one.stiff / (1.3 * (2 * leg + math.pi * one.crown)), max(after, 0.1)
        euler = math.pi**2 * one.stiff / (before + beyond) ** 2
        folding = 1 / (1 / (hinge * (1 / before + 1 / beyond)) + 1 / euler)
        assert told["folding"] == pytest.approx(folding)
        index = 2 * one.crown / one.d
        wahl = (4 * index**2 - index - 1) / (4 * index * (index - 1))
        stress = wahl * (stop + weight) * (leg + one.crown) / (math.pi * one.d**3 / 32)
        assert told["stress_mpa"] == pytest.approx(stress, rel=1e-5)
        assert told["torque"] == pytest.approx((stop + weight) * rate, rel=1e-5)
        assert told["apart"] == pytest.approx(
            math.sqrt(math.pi**2 * one.stiff / max(1.0 * fault, 3.0 * (stop + weight))), rel=1e-5
        )
        assert told["arm_transmission_deg"] == pytest.approx(one.between("arm"), abs=1e-6)
        heights = [z for _, z in one.ends]
        assert told["travel"] == pytest.approx(max(heights) - min(heights))
        turn = max(abs(arm - one.mid) for arm in one.arms)
        assert told["swing_deg"] == pytest.approx(math.degrees(turn))
        leans = [math.atan2(abs(e[0] - h[0]), e[1] - h[1]) for h, e in zip(one.holes, one.ends, strict=True)]
        assert told["lean_deg"] == pytest.approx(math.degrees(max(leans)), abs=1e-9)
        aside = max(one.at_height(z) for z in limits.guide_z)
        assert told["guide"] == pytest.approx(one.d + 2 * aside + air)
        through = max(one.at_height(z) for z in (-field.spec.board.thickness_mm, field.spec.roadbed.thickness_mm))
        drill = one.d + 2 * (through + 0.3 + 0.5) + 2 * air  # air beside the wire, and what the rod is bent off by
        assert told["board_hole"] == pytest.approx(math.ceil(2 * drill - 1e-9) / 2)
        if one.asked.crank_mm is None:
            assert math.isnan(told["transmission_deg"])
            assert told["crank_deg_per_mm"] == 0.0
            side = max(abs(y) for y, _ in one.holes)
            free = limits.guide_z[0] - max(z for _, z in one.holes)
            # a cantilever held in the guide: σ = 3·E·(d/2)·δ/L²
            modulus = float(field.modulus[n])
            assert told["side_mpa"] == pytest.approx(3 * modulus * one.d / 2 * side / free**2)
        else:
            assert told["transmission_deg"] == pytest.approx(one.between("crank"), abs=1e-6)
            if told["transmission_deg"] >= 1.0:
                assert told["crank_deg_per_mm"] == pytest.approx(one.per_mm(), rel=1e-5)
            assert told["side_mpa"] == 0.0


@pytest.mark.parametrize("name", CASES)
def test_each_limit_is_what_a_candidate_has_by_hand(name):
    """Value, bound and side of every limit of some twenty candidates."""
    field, limits = case(name)
    found = {each.name: each for each in examined(field.spec, limits, Axes()).limits}
    does = done(field)
    spec, servo, asked = field.spec, field.spec.servo, field.asked
    hub = max(servo.horn_hub_mm, servo.horn_screw_head_mm) / 2
    room = min(servo.pulse_max_us - servo.pulse_centre_us, servo.pulse_centre_us - servo.pulse_min_us)
    figures = [place.at for place in asked.places]
    lifts = [asked.crank_mm * math.sin(math.radians(at)) if asked.crank_mm else at for at in figures]
    lift = max(lifts) - min(lifts)
    bounds = {
        "arm hole": (">=", 0.8), "rod clear of the hub": (">=", hub + 0.3), "rod past the hub": (">=", hub + 0.25),
        "Z-bend clear of the boss": (">=", 0.25), "lift": (">=", lift), "depth": ("<=", 60.0),
        "transmission at the arm": (">=", 40.0), "pulses": ("<=", room), "stop force": ("<=", asked.stop_n),
        "spring bend": ("<=", 30.0), "buckling at the stop": (">=", 3.0), "buckling at stall": (">=", 1.0),
        "guides": (">=", 15.0), "stress": ("<=", 100 * spec.wire.stress_warn), "torque": (">=", 3.0),
        "guide": ("<=", 5.0),
    }  # fmt: skip
    bounds |= {} if limits.max_board_hole_mm is None else {"board hole": ("<=", 12.0)}
    bounds |= {} if limits.room_beyond_mm is None else {"beside": ("<=", 14.0)}
    if asked.crank_mm is None:
        bounds |= {"bent aside": ("<=", 100 * spec.wire.stress_warn), "resolution": ("<=", 5.0)}
    else:
        bounds |= {"transmission": (">=", 40.0), "lean": ("<=", 6.0), "closes": (">=", 1.0),
                   "room above": (">=", 2.0), "backlash": ("<=", 15.0), "resolution": ("<=", 3.0)}  # fmt: skip
    if spec.swing_deg is not None:
        bounds["swing"] = ("<=", 0.6 * servo.degrees_per_us)
    senses = {">=": "at least", "<=": "at most"}
    assert {key: (each.sense, float(each.bound)) for key, each in found.items()} == {
        key: (senses[sense], pytest.approx(bound)) for key, (sense, bound) in bounds.items()
    }
    assert ("--crank" if asked.crank_mm else "--travel") in found["lift"].way_out
    for n in sampled(field):
        one, told = Hand(field, limits, n), {key: float(value[n]) for key, value in vars(does).items()}
        drill, inner = max(servo.horn_hole_mm, one.d + 0.2), one.r - one.d / 2
        load = told["stop"] + asked.weight_n
        dead = servo.dead_band_us * math.radians(servo.degrees_per_us) * one.rate()
        turn_us = math.degrees(max(abs(arm - one.mid) for arm in one.arms)) / servo.degrees_per_us
        over_boss = servo.arm_inner_height_mm - one.d - servo.boss_top_height_mm
        # trimming moves an end by half a tooth and by what the rod is off by, at the rate it has
        trim = 180 / servo.spline_teeth / servo.degrees_per_us + 0.5 / (math.radians(servo.degrees_per_us) * one.rate())
        tensile = float(field.tensile[n])
        hand = {
            "arm hole": min(servo.horn_tip_width_mm / 2, servo.horn_length_mm - one.r) - drill / 2,
            "rod clear of the hub": inner, "rod past the hub": one.past() - one.d / 2,
            "Z-bend clear of the boss": max(over_boss, inner - servo.boss_mm / 2),
            "lift": 2 * one.r * math.sin(math.radians(50)),
            "depth": limits.depth_over_guide_mm + limits.guide_z[0] - one.shaft[1] + limits.below_shaft_mm,
            "transmission at the arm": one.between("arm"), "pulses": turn_us + trim, "stop force": told["stop"],
            "spring bend": told["leg"] + one.crown + one.d / 2, "buckling at the stop": told["folding"] / load,
            "buckling at stall": told["folding"] / max(told["fault"], 1e-9), "guides": told["apart"],
            "stress": 100 * told["stress_mpa"] / tensile, "torque": servo.stall_torque_nmm / told["torque"],
            "guide": told["guide"], "board hole": told["board_hole"],
        }  # fmt: skip
        if asked.crank_mm is None:
            hand |= {"bent aside": 100 * told["side_mpa"] / tensile, "resolution": 100 * dead / lift}
        else:
            hand |= {
                "transmission": one.between("crank"), "lean": told["lean_deg"], "closes": 1.0,
                "room above": min(z for _, z in one.ends) - max(spec.roadbed.thickness_mm, limits.guide_z[1]),
            }  # fmt: skip
            if one.between("crank") >= 40.0:
                hand |= {"backlash": one.play() * one.per_mm(), "resolution": dead * one.per_mm()}
        if limits.room_beyond_mm is not None:
            arm = math.hypot(one.r + drill / 2 + 0.8, servo.horn_hub_mm / 2)
            assert float(cut_arm_mm(np.array(one.r), np.array(drill), spec)) == pytest.approx(arm)
            tip = max(min(arm, servo.horn_length_mm) - one.r, limits.wire_tail_mm + one.d / 2)
            seat, bore = one.shaft[0] + limits.seat_beyond_shaft_mm, told["guide"] / 2 + limits.beside_bore_mm
            hand["beside"] = max(seat, max(y for y, _ in one.holes) + tip, bore)
        if spec.swing_deg is not None:
            hand["swing"] = abs(told["swing_deg"] - 25.0)
        for key, value in hand.items():
            if key in found:
                assert float(found[key].value[n]) == pytest.approx(value, rel=1e-4, abs=1e-4), key
    assert asked.stop_n == {"crank aside": 10.0, "crank the other way": 0.05}.get(name, 0.5)


@pytest.mark.parametrize("name", CASES)
def test_what_speaks_against_a_candidate_by_hand(name):
    """Depth below what servo and seat need a tenth a mm, (swing − 32°)²/800, the bend's length a thirtieth, …"""
    field, limits = case(name)
    cost = examined(field.spec, limits, Axes()).cost
    does, servo = done(field), field.spec.servo
    for n in sampled(field):
        one = Hand(field, limits, n)
        slid = field.asked.crank_mm is None
        drill = max(servo.horn_hole_mm, one.d + 0.2)
        hand = {
            "depth": (limits.guide_z[0] - one.shaft[1] - limits.shaft_below_guide_mm) / 10,
            "swing": (abs(float(does.swing_deg[n]) - 32.0) / 20) ** 2 / 2,
            "spring bend": (float(does.leg[n]) + one.crown) / 30,
            "play": one.play() if slid else one.play() * float(does.crank_deg_per_mm[n]) / 10,
            "force at the servo's end": float(does.fault[n]) / 10, "guides": 15.0 / float(does.apart[n]),
            "drilling": 0.1 if drill > servo.horn_hole_mm else 0.0,
        }  # fmt: skip
        for key, value in hand.items():
            if math.isfinite(float(cost[key][n])):
                assert float(cost[key][n]) == pytest.approx(value, rel=1e-6), key
    assert set(cost) == set(hand)


@pytest.mark.parametrize("name", CASES)
def test_where_shaft_rod_and_pulses_are_by_hand(name):
    """The shaft as high as seat, spring bend and arm's tip let it be; the rod as long as from hole to what it moves,
    both at their middle; pulses whole, and within half a one of where the places are."""
    field, limits = case(name)
    asked, servo = field.asked, field.spec.servo
    figures = [place.at for place in asked.places]
    assert set(field.crown) == {1.5, 2.0, 2.5, 3.0}  # round shanks of drills, less the wire
    for n in sampled(field):
        one = Hand(field, limits, n)
        crank = asked.crank_mm or 0.0
        lifts = [crank * math.sin(math.radians(at)) if crank else at for at in figures]
        swing = math.asin((max(lifts) - min(lifts)) / 2 / (one.r * math.cos(one.mid)))
        high = max(one.mid + swing, 0.0)
        bend = 3 * 2 * one.d + 2 * one.crown + 3 * 0.3  # three bends of 2 d, the crown, and a bit of straight thrice
        drop = max(
            limits.shaft_below_guide_mm,
            bend + one.r * math.sin(one.mid + swing),
            servo.horn_length_mm * math.sin(high) + servo.horn_tip_width_mm / 2 + limits.arm_air_mm,
        )
        assert limits.guide_z[0] - one.shaft[1] == pytest.approx(drop)
        if crank:
            sines = [math.sin(math.radians(at)) for at in figures]
            half_way = math.asin((max(sines) + min(sines)) / 2)
            side = 1 if one.pivot[0] <= 0 else -1
            end = one.pivot[0] + side * crank * math.cos(half_way), one.pivot[1] + crank * math.sin(half_way)
            if field.spec.crank_pivot_mm[0] is None:
                cosines = [math.cos(math.radians(at)) for at in figures]
                assert one.pivot[0] == pytest.approx(-crank * (max(cosines) + min(cosines)) / 2)
            # in the guide it is as far to one side as to the other
            mid_z = (limits.guide_z[0] + limits.guide_z[1]) / 2
            passes = [
                h[0] + (e[0] - h[0]) * (mid_z - h[1]) / (e[1] - h[1]) for h, e in zip(one.holes, one.ends, strict=True)
            ]
            assert max(passes) + min(passes) == pytest.approx(0.0, abs=0.02)
        else:
            end = 0.0, limits.guide_z[0]
            reach = [math.cos(one.mid + at) for at in (-swing, 0.0, swing)]
            assert one.shaft[0] == pytest.approx(-one.r * (max(reach) + min(reach)) / 2)
        assert one.rod == pytest.approx(math.dist(one.hole(one.mid), end))
        assert field.pulses[n] == pytest.approx(np.round(field.pulses[n]), abs=0)
        middle = (max(figures) + min(figures)) / 2
        for arm, at in zip(one.arms, figures, strict=True):
            y, z = one.end(arm)
            if crank:
                off = math.degrees(math.atan2(z - one.pivot[1], side * (y - one.pivot[0]))) - at
                assert abs(off) < 2.1 * servo.degrees_per_us * one.r / crank
            else:
                assert abs(z - limits.guide_z[0] - (at - middle)) < math.radians(2.1 * servo.degrees_per_us) * one.r
