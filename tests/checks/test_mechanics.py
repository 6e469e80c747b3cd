"""Each check of the mechanics with a design that is just good and one that is just bad on that count."""

from __future__ import annotations

import math
import re
from functools import cache
from types import SimpleNamespace

import pytest
from beam_elements import wire as beam_of
from requests_for_drives import bracket_limits, housing_limits, request
from stiff_links import force_n, torque_nmm

from mounts.checks import rocking_wire
from mounts.checks.mechanics import check_mechanics, servo_holds
from mounts.checks.model import Check
from mounts.design import Datums, Design, Plan
from mounts.drive.model import Limits
from mounts.drive.pulse import trim_room_us
from mounts.drive.push_rod.closed import path_of, rod_closed
from mounts.drive.push_rod.study import push_rod
from mounts.drive.rocking_wire.kinematics import turning_back_rad
from mounts.drive.rocking_wire.model import RockingWireDrive
from mounts.drive.solve import solve
from mounts.drive.spread import Spread, spread
from mounts.drive.tolerances import siting_mm

E = 1e-4
EYE = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
NAMES = [
    "lost-motion",
    "tie-bar-hole",
    "force",
    "force-high",
    "closes-in-the-worst-case",
    "force-with-tolerances",
    "force-with-tolerances-high",
    "stress-before-trimming",
    "stress-at-pivot",
    "stress-at-horn",
    "torque-margin",
    "pulse-range",
    "resolution",
    "lean-in-pivot",
    "turning-back",
    "small-deflection",
]


@cache
def sound(kind: str = "turning") -> tuple[Design, Spread, Limits]:
    """A solved design; datums and plan are of no matter to the mechanics."""
    if kind == "rod":
        spec = request(style="hut")
        limits: Limits = housing_limits(spec)
    else:
        changes = {} if kind == "turning" else {"max_depth_mm": 190.0, "force_n": (0.1, 1.5)}
        spec = request(wire_held=kind, **changes)
        limits = bracket_limits(spec)
    drive = solve(spec, limits)
    datums = Datums(pin=(0, 0, 0), pivot=None, servo=EYE, fixings=(), horn_at_mid=(0, 0, 1))
    plan = Plan(
        screws=(),
        way_out=(1, 0, 0),
        plug_path=(),
        plug_wide=(1, 0, 0),
        wire_tail_mm=2.5,
        seat_n_per_mm=50.0,
        name_mark="",
    )
    return Design(spec=spec, drive=drive, datums=datums, plan=plan), spread(spec, limits, drive), limits


def changed(kind: str = "turning", *, spec=None, servo=None, wire=None, scale=None, drive=None, study=None):
    """The sound design with a few figures replaced."""
    design, seen, limits = sound(kind)
    parts = {"servo": servo, "wire": wire, "scale": scale}
    nested = {key: getattr(design.spec, key).model_copy(update=new) for key, new in parts.items() if new}
    design = design.model_copy(
        update={
            "spec": design.spec.model_copy(update={**nested, **(spec or {})}),
            "drive": design.drive.model_copy(update=drive or {}),
        }
    )
    for quantity, new in (study or {}).items():
        seen = seen.model_copy(update={quantity: getattr(seen, quantity).model_copy(update=new)})
    return {check.name: check for check in check_mechanics(design, seen, limits)}


def base(name: str, kind: str = "turning") -> Check:
    """A check of the sound design."""
    return changed(kind)[name]


def test_a_solved_design_passes_every_check_once():
    """Every name comes once, in order, and none fails."""
    checks = list(check_mechanics(*sound()))

    assert [check.name for check in checks] == NAMES
    assert {check.verdict for check in checks} <= {"pass", "warn"}
    assert [c.name for c in checks if c.verdict == "warn"] == []


PLACES = {
    **dict.fromkeys(("lost-motion", "tie-bar-hole", "force", "force-high", "closes-in-the-worst-case"), 2),
    **dict.fromkeys(("force-with-tolerances", "force-with-tolerances-high", "small-deflection"), 2),
    **dict.fromkeys(
        ("stress-before-trimming", "stress-at-pivot", "stress-at-horn", "stress-at-crown", "pulse-range"), 0
    ),
    **dict.fromkeys(("torque-margin", "lean-in-pivot", "turning-back", "lean-of-rod", "buckling", "dead-points"), 1),
    "resolution": 3,
}
"""Decimals that a figure is worth: mm, N and shares to a hundredth, MPa and µs whole, degrees and ratios to a tenth."""


@pytest.mark.parametrize("kind", ["turning", "clamped", "rod"])
def test_figures_are_told_with_the_decimals_that_they_are_worth(kind: str) -> None:
    """The value's own, rounded, and not one more."""
    told = [check for check in changed(kind).values() if check.name in PLACES]

    assert len(told) > 10
    for check in told:
        shown = re.findall(r"-?\d+(?:\.\d+)?", check.message)
        assert f"{check.value:.{PLACES[check.name]}f}" in shown, (check.name, check.message)


def test_a_wire_that_holds_nothing_asks_for_no_torque() -> None:
    """The margin is then as much as is told at most, a million; at a thousandth of a N·mm it is what it is."""

    def closed(torque: float) -> SimpleNamespace:
        return SimpleNamespace(torque_nmm=torque)

    design = sound()[0]
    for torque, margin in ((0.0, 1e6), (1e-6, 1e6), (0.001, design.spec.servo.stall_torque_nmm / 0.001)):
        row = next(iter(servo_holds(design.spec, design.drive, closed(torque), (1.0,))))
        assert row.value == pytest.approx(margin)


@pytest.mark.parametrize(("low", "high", "room"), [(1100.0, 1800.0, 100.0), (1250.0, 1960.0, 40.0)])
def test_room_for_trimming_is_that_of_the_end_with_less(low: float, high: float, room: float) -> None:
    """Of a servo from 1000 to 2000 µs, whichever pulse is for normal."""
    for normal, reverse in ((low, high), (high, low)):
        pulses = {"normal": normal, "centre": 1500.0, "reverse": reverse}
        drive = {"pulse_us": drive_of().pulse_us.model_copy(update=pulses)}
        row = changed(drive=drive, servo={"pulse_min_us": 1000.0, "pulse_max_us": 2000.0})["pulse-range"]
        assert row.value == pytest.approx(room)


def test_the_inside_of_the_crown_bears_more_than_a_straight_wire() -> None:
    """Wahl's factor for a wire bent to a round (from memory; test_loop has the curved beam): (4C² − C − 1)/(4C(C − 1))
    of what the straight wire has, C twice the radius over the wire."""
    drive = drive_of("rod")
    rod = push_rod(sound("rod")[0].spec, drive)
    straight = float(rod_closed(rod, path_of(rod, drive.foot_radius_mm)).stress_mpa)

    assert base("stress-at-crown", "rod").value == pytest.approx(straight * _wahl(drive.loop_radius_mm, drive.wire_mm))
    assert base("stress-at-crown", "rod").value > 1.05 * straight


def _wahl(radius: float, wire: float) -> float:
    index = 2 * radius / wire
    return (4 * index**2 - index - 1) / (4 * index * (index - 1))


def test_a_dead_band_counts_at_the_end_that_moves_faster_and_a_tooth_at_the_slower() -> None:
    """A rod aside of its shaft's line, 3 mm too far: r·sin θ + √(ℓ² − (r·cos θ − e)²) by differences at either end; at
    the dead band of 7 µs, and half a tooth of 21."""
    drive = drive_of("rod")
    one = {"offset_mm": drive.offset_mm - 3.0}
    swing, radius, long = math.radians(drive.swing_deg), drive.horn_radius_mm, drive.rod_length_mm

    def pin(theta: float) -> float:
        return radius * math.sin(theta) + math.sqrt(long**2 - (radius * math.cos(theta) - one["offset_mm"]) ** 2)

    rates = [(pin(end + 1e-5) - pin(end - 1e-5)) / 2e-5 for end in (-swing, swing)]
    found, servo = changed("rod", drive=one), sound("rod")[0].spec.servo
    dead = servo.dead_band_us * math.radians(servo.degrees_per_us)
    assert abs(rates[1] - rates[0]) > 0.3
    assert found["resolution"].value == pytest.approx(dead * max(rates), rel=1e-6)
    room = trim_room_us(min(rates), siting_mm(sound("rod")[0].spec), servo)
    assert found["pulse-range"].limit == pytest.approx(float(room), rel=1e-6)


@pytest.mark.parametrize(("kind", "told"), [("turning", False), ("clamped", True)])
def test_a_wire_that_is_held_in_the_arm_turns_with_it(kind: str, told: bool) -> None:
    """What it leans then has its turn in it, and the row says so."""
    assert (", its turn in the arm included" in base("small-deflection", kind).message) == told


def assert_figures_bear_out(check: Check) -> None:
    """The limit as printed is broken by a figure printed with as many decimals: the measured one."""
    sense, bound = re.search(r", (less|more) than (-?[\d.]+)", check.message).groups()
    places = len(bound.partition(".")[2])
    shown = re.findall(r"-?\d+(?:\.\d+)?", check.message.partition(f", {sense} than ")[0])
    value = f"{check.value:.{places}f}"
    assert value in shown, check.message
    assert float(value) < float(bound) if sense == "less" else float(value) > float(bound), check.message


@pytest.mark.parametrize(
    ("name", "changes", "said"),
    [
        ("resolution", lambda: {"servo": {"dead_band_us": 0.172 / end_rate()}, "spec": {"throw_mm": 1.7}},
         "moves the pin 0.172 mm at the end of the swing, more than 0.170 mm"),
        ("force-with-tolerances", lambda: {"study": {"force_n": {"percentile_5": 0.1996}},
                                           "spec": {"force_n": (0.2, 9.0)}},
         "0.1996 N in 19 of 20 mounts, each thing off at random, less than 0.2000 N"),
        ("closes-in-the-worst-case", lambda: {"study": {"overtravel_mm": {"low": -0.0004}}},
         "-0.0004 mm of over-travel past the touch with every tolerance against it, less than 0.0000 mm"),
    ],
    ids=["third decimal", "fourth decimal", "below nothing"],
)  # fmt: skip
def test_figures_of_a_broken_limit_do_not_deny_it(name, changes, said):
    """Value and limit have the same decimals, as many as tell them apart."""
    assert said in changed(**changes())[name].message


def drive_of(kind="turning"):
    """The sound drive."""
    return sound(kind)[0].drive


@pytest.mark.parametrize(
    ("name", "good", "bad", "verdict", "words"),
    [
        ("lost-motion", lambda: {"spec": {"tie_bar_hole_mm": hole_for(0.35) - E}},
         lambda: {"spec": {"tie_bar_hole_mm": hole_for(0.35) + E}}, "warn", "tighter holes"),
        ("lost-motion", lambda: {"spec": {"tie_bar_hole_mm": hole_for(0.35) - E}},
         lambda: {"spec": {"tie_bar_hole_mm": hole_for(0.5) + E}}, "fail", "tighter holes"),
        ("tie-bar-hole", lambda: {"spec": {"tie_bar_hole_mm": drive_of().wire_mm + 0.1 + E}},
         lambda: {"spec": {"tie_bar_hole_mm": drive_of().wire_mm + 0.1 - E}}, "fail", "thinner wire"),
        ("force", lambda: {"spec": {"force_n": (base("force").value - E, 1.5)}},
         lambda: {"spec": {"force_n": (base("force").value + E, 1.5)}}, "fail", "ask for less force"),
        ("force-high", lambda: {"spec": {"force_n": (0.5, base("force-high").value + E)}},
         lambda: {"spec": {"force_n": (0.5, base("force-high").value - E)}}, "fail", "thinner wire"),
        ("stress-before-trimming", lambda: {"wire": {"stress_limit": base("stress-before-trimming").value
                                                     / drive_of().wire_tensile_mpa + E}},
         lambda: {"wire": {"stress_limit": base("stress-before-trimming").value
                           / drive_of().wire_tensile_mpa - E}}, "fail", "take a set"),
        ("closes-in-the-worst-case", lambda: {"study": {"overtravel_mm": {"low": E}}},
         lambda: {"study": {"overtravel_mm": {"low": -E}}}, "fail", "may stay open"),
        ("force-with-tolerances", lambda: {"study": {"force_n": {"percentile_5": 0.5 + E}}},
         lambda: {"study": {"force_n": {"percentile_5": 0.5 - E}}}, "warn", "weaker than wanted"),
        ("force-with-tolerances-high", lambda: {"study": {"force_n": {"percentile_95": 1.5 - E}}},
         lambda: {"study": {"force_n": {"percentile_95": 1.5 + E}}}, "warn", "stronger than wanted"),
        ("stress-at-pivot", lambda: {"wire": {"stress_warn": share("stress-at-pivot") + E}},
         lambda: {"wire": {"stress_warn": share("stress-at-pivot") - E}}, "warn", "thinner or stronger wire"),
        ("stress-at-pivot", lambda: {"wire": {"stress_limit": share("stress-at-pivot") + E, "stress_warn": 1.0}},
         lambda: {"wire": {"stress_limit": share("stress-at-pivot") - E}}, "fail", "thinner or stronger wire"),
        ("torque-margin", lambda: {"servo": {"stall_torque_nmm": 3 * drive_of().servo_torque_nmm + E}},
         lambda: {"servo": {"stall_torque_nmm": 3 * drive_of().servo_torque_nmm - E}}, "fail", "stronger servo"),
        ("pulse-range", lambda: {"servo": {"pulse_max_us": last_pulse() + E}},
         lambda: {"servo": {"pulse_max_us": last_pulse() - E}}, "fail", "wider pulse range"),
        ("pulse-range", lambda: {"servo": {"pulse_min_us": 3000.0 - last_pulse() - E}},
         lambda: {"servo": {"pulse_min_us": 3000.0 - last_pulse() + E}}, "fail", "wider pulse range"),
        ("resolution", lambda: {"servo": {"dead_band_us": dead_band(0.1) - 0.01}},
         lambda: {"servo": {"dead_band_us": dead_band(0.1) + 0.01}}, "fail", "narrower dead band"),
        ("lean-in-pivot", lambda: {"drive": {"pivot_land_mm": binding_land() - E}},
         lambda: {"drive": {"pivot_land_mm": binding_land() + E}}, "fail", "it binds"),
        ("turning-back", lambda: {"drive": {"swing_deg": turning() - 5.0 - E}},
         lambda: {"drive": {"swing_deg": turning() - 5.0 + E}}, "fail", "less swing"),
        ("small-deflection", lambda: {"drive": leaning(-1e-3)},
         lambda: {"drive": leaning(0.1)}, "warn", "estimates"),
    ],
)  # fmt: skip
def test_just_good_passes_and_just_bad_does_not(name, good, bad, verdict, words):
    """A figure a hair inside its limit passes; a hair outside it is refused with what to change."""
    kept, broken = changed(**good())[name], changed(**bad())[name]

    assert kept.verdict == "pass"
    assert words not in kept.message
    assert broken.verdict == verdict
    assert words in broken.message
    assert_figures_bear_out(broken)


def test_figures_that_a_reader_acts_on():
    """The drill for the tie bar is the wire and 0.1 mm; stress before trimming is the study's share of the tensile
    strength, and a stress in per cent is of that too; the torque that is held is the wire's at the arm."""
    drive, study = drive_of(), sound()[1]
    tensile, found = drive.wire_tensile_mpa, changed(spec={"tie_bar_hole_mm": drive_of().wire_mm})

    assert f"open the hole to {drive.wire_mm + 0.1:g} mm" in found["tie-bar-hole"].message
    assert found["stress-before-trimming"].value == pytest.approx(study.untrimmed_stress_share * tensile)
    assert found["stress-before-trimming"].limit == pytest.approx(sound()[0].spec.wire.stress_limit * tensile)
    for name in ("stress-at-pivot", "stress-at-horn"):
        assert f"{100 * found[name].value / tensile:.0f}% of its tensile strength" in found[name].message
    stall = sound()[0].spec.servo.stall_torque_nmm
    held, times = re.search(r"holds ([\d.]+) N·mm .* V, ([\d.]+) times", found["torque-margin"].message).groups()
    assert float(times) == pytest.approx(stall / float(held), rel=0.02)


@pytest.mark.parametrize(("shift", "verdict"), [(E, "pass"), (-E, "fail")])
def test_stress_at_the_horn_of_a_clamped_wire(shift, verdict):
    """A clamped wire is judged where it is stressed most, in the arm."""
    stress = base("stress-at-horn", "clamped").value
    bound = stress / drive_of("clamped").wire_tensile_mpa + shift

    check = changed("clamped", wire={"stress_limit": bound, "stress_warn": 1.0})["stress-at-horn"]

    assert stress > base("stress-at-pivot", "clamped").value
    assert check.verdict == verdict


def test_a_drive_whose_figures_flatter_it_is_found_out():
    """Force is worked out from the dimensions: a drive that claims more does not pass."""
    drive = drive_of()
    check = changed(drive={"pivot_to_horn_mm": drive.pivot_to_horn_mm * 1.2, "force_after_slack_n": 1.0})["force"]

    assert check.verdict == "fail"
    assert check.value < drive.force_after_slack_n


def test_a_clamped_wire_is_judged_inside_its_z_bend():
    """Bent 1.5 diameters inside, C = 4, the inside of the bend has 59/48 of a straight wire's stress (Wahl)."""
    drive = drive_of("clamped")

    assert base("stress-at-horn", "clamped").value == pytest.approx(59 / 48 * drive.stress_horn_mpa, rel=1e-6)
    assert "inside of the Z-bend" in base("stress-at-horn", "clamped").message


def test_turn_of_a_clamped_end_is_told_as_bending():
    """The same linkage clamped is flagged where its arm turns 20°, turning it is not."""
    wide = {"swing_deg": 20.0}

    assert changed("clamped", drive=wide)["small-deflection"].verdict == "warn"
    assert changed(drive=wide)["small-deflection"].verdict == "pass"


def test_room_to_trim_counts_the_siting():
    """Under laid track half a millimetre more must be found by pulses: the room asked for grows by its µs."""
    room, laid = changed()["pulse-range"].limit, changed(spec={"laid": True})["pulse-range"].limit
    drive = drive_of()

    assert laid - room == pytest.approx(0.5 / drive.pin_mm_per_us, rel=0.35)
    assert laid > room


ROD_NAMES = [
    *NAMES[: NAMES.index("stress-at-pivot")],
    "stress-at-crown",
    "torque-margin",
    "pulse-range",
    "resolution",
    "lean-of-rod",
    "turning-back",
    "buckling",
    "loop-open",
    "loop-formula",
    "loop-give",
    "loop-step",
]


def test_a_solved_push_rod_passes_every_check_once():
    """Every name comes once, in order, and none fails."""
    checks = list(check_mechanics(*sound("rod")))

    assert [check.name for check in checks] == ROD_NAMES
    assert {check.verdict for check in checks} <= {"pass", "warn"}


@pytest.mark.parametrize(
    ("name", "good", "bad", "verdict", "words"),
    [
        ("force", lambda: {"spec": {"force_n": (base("force", "rod").value - E, 1.5)}},
         lambda: {"spec": {"force_n": (base("force", "rod").value + E, 1.5)}}, "fail", "ask for less force"),
        ("stress-at-crown", lambda: {"wire": {"stress_limit": crown_share() + E, "stress_warn": 1.0}},
         lambda: {"wire": {"stress_limit": crown_share() - E}}, "fail", "thinner or stronger wire"),
        ("stress-at-crown", lambda: {"wire": {"stress_warn": crown_share() + E}},
         lambda: {"wire": {"stress_warn": crown_share() - E}}, "warn", "thinner or stronger wire"),
        ("torque-margin", lambda: {"servo": {"stall_torque_nmm": 3 * drive_of("rod").servo_torque_nmm + E}},
         lambda: {"servo": {"stall_torque_nmm": 3 * drive_of("rod").servo_torque_nmm - E}}, "fail", "stronger"),
        ("lean-of-rod", lambda: {"drive": {"offset_mm": leaning_offset() + E}},
         lambda: {"drive": {"offset_mm": leaning_offset() - 0.01}}, "fail", "rubs in its slot"),
        ("turning-back", lambda: {"drive": {"swing_deg": dead_point() - 5.0 - E}},
         lambda: {"drive": {"swing_deg": dead_point() - 5.0 + E}}, "fail", "greater --track-distance"),
    ],
)  # fmt: skip
def test_push_rod_just_good_passes_and_just_bad_does_not(name, good, bad, verdict, words):
    """A push rod's figure a hair inside its limit passes; a hair outside it is refused with what to change."""
    kept, broken = changed("rod", **good())[name], changed("rod", **bad())[name]

    assert kept.verdict == "pass"
    assert words not in kept.message
    assert broken.verdict == verdict
    assert words in broken.message
    assert_figures_bear_out(broken)


@pytest.mark.parametrize("kind", ["turning", "clamped"])
def test_what_the_checks_measure_is_what_a_second_model_has(kind):
    """A bound that is set by a check's own value says nothing of that value: here it is found otherwise.

    Force and torque by a chain of stiff links, within 3 and 5.5 %; travel and stress by an element beam; the rest by
    the triangles of arm, pivot and pin, the servo's pulses and its dead band.
    """
    design, _, limits = sound(kind)
    spec, drive, servo = design.spec, design.drive, design.spec.servo
    r, d, h, wire, theta = (drive.horn_radius_mm, drive.pivot_to_horn_mm, drive.pivot_to_pin_mm, drive.wire_mm,
                            math.radians(drive.swing_deg))  # fmt: skip
    stiffness = drive.wire_modulus_mpa * math.pi * wire**4 / 64
    clamped = kind == "clamped"

    def free_mm(angle):
        beam, pivot, pin = beam_of(d + r * (1 - math.cos(angle)), h, 1.0)
        held = {0: -r * math.sin(angle), 2 * pivot: 0.0} | ({1: -angle} if clamped else {})
        return float(beam.solve(held, {})[0][2 * pin])

    lever = (1.5 if clamped else 1.0) * h / d
    slack = (limits.pivot_slack_mm, 0.0 if clamped else max(servo.horn_hole_mm, wire + 0.2) - wire)
    lost = slack[0] * (1 + lever) + slack[1] * lever + spec.tie_bar_hole_mm - wire
    over = free_mm(theta) - spec.throw_mm / 2
    beam, pivot, pin = beam_of(d, h, stiffness)
    moved = {0: -r * math.sin(theta), 2 * pivot: 0.0}
    moved |= {1: -theta} if clamped else {}
    free = float(beam.solve(moved, {})[0][2 * pin])
    _, bent = beam.solve({**moved, 2 * pin: free - over}, {})
    at_pivot, at_horn = abs(float(bent[2 * pin])) * h, abs(float(bent[1]))
    section = math.pi * wire**3 / 32
    links = {"r": r, "d": d, "h": h, "stiffness": stiffness, "clamped": clamped}
    force = force_n(theta, (spec.throw_mm + lost) / 2, **links)
    torque = abs(torque_nmm(theta, spec.throw_mm / 2, **links))
    end = (free_mm(theta + 1e-5) - free_mm(theta - 1e-5)) / 2e-5 * math.radians(servo.degrees_per_us)
    lean = math.degrees(math.atan2(free_mm(theta), h))
    measured = {
        "lost-motion": lost, "tie-bar-hole": spec.tie_bar_hole_mm - wire,
        "force": pytest.approx(force, rel=0.03), "force-high": pytest.approx(force, rel=0.03),
        "stress-at-pivot": at_pivot / section, "stress-at-horn": 59 / 48 * at_horn / section,
        "torque-margin": pytest.approx(servo.stall_torque_nmm / torque, rel=0.055),
        "pulse-range": servo.pulse_max_us - servo.pulse_centre_us - drive.swing_deg / servo.degrees_per_us,
        "resolution": servo.dead_band_us * end, "lean-in-pivot": lean,
        "turning-back": math.degrees(math.acos(r / (d + r)) - theta - 0.5 / end * math.radians(servo.degrees_per_us)),
        "small-deflection": max(r * math.sin(theta) / d, over / h, theta if clamped else 0.0),
    }  # fmt: skip
    allowed = {
        "lost-motion": free_mm(theta), "force": spec.force_n[0], "force-high": spec.force_n[1],
        "pulse-range": 180.0 / servo.spline_teeth / servo.degrees_per_us + 0.5 / end, "resolution": spec.throw_mm / 10,
        "lean-in-pivot": math.degrees(math.atan(limits.pivot_slack_mm / drive.pivot_land_mm)),
        "turning-back": 5.0, "torque-margin": 3.0, "tie-bar-hole": 0.1, "small-deflection": 0.25,
        "stress-at-pivot": spec.wire.stress_limit * drive.wire_tensile_mpa,
    }  # fmt: skip
    found = changed(kind)
    for name, value in measured.items():
        assert found[name].value == (pytest.approx(value, rel=1e-5, abs=1e-6) if isinstance(value, float) else value), (
            name
        )
    for name, bound in allowed.items():
        assert found[name].limit == pytest.approx(bound, rel=1e-5), name


def test_limits_of_another_kind_are_a_programmers_mistake():
    """A push rod checked under a bracket's limits is refused."""
    design, seen, _ = sound("rod")

    with pytest.raises(TypeError, match="different kinds"):
        list(check_mechanics(design, seen, sound()[2]))


def crown_share() -> float:
    """Stress inside the crown as a share of the wire's strength."""
    return base("stress-at-crown", "rod").value / drive_of("rod").wire_tensile_mpa


def leaning_offset() -> float:
    """Slide line for which the rod leans by the 10° allowed at mid."""
    drive = drive_of("rod")
    return drive.horn_radius_mm - drive.rod_length_mm * math.sin(math.radians(10.0))


def dead_point() -> float:
    """Swing at which arm and rod lie in one line: the nearer of folded and stretched, by their triangle."""
    drive = drive_of("rod")
    stretched = math.degrees(math.acos(drive.offset_mm / (drive.rod_length_mm + drive.horn_radius_mm)))
    folded = math.degrees(math.acos(-drive.offset_mm / (drive.rod_length_mm - drive.horn_radius_mm)))
    return min(stretched, folded)


def hole_for(lost_share: float) -> float:
    """Tie-bar hole with which slack takes that share of the travel."""
    drive = drive_of()
    spare = lost_share * drive.travel_mm - drive.lost_motion_mm
    return sound()[0].spec.tie_bar_hole_mm + spare


def share(name: str) -> float:
    """A stress as a share of the wire's strength."""
    return base(name).value / drive_of().wire_tensile_mpa


def end_rate() -> float:
    """Way of the pin per µs at the end of the swing, by finite difference of the straight line through the pivot."""
    drive, servo = drive_of(), sound()[0].spec.servo

    def pin_mm(swing_deg: float) -> float:
        r, d, theta = drive.horn_radius_mm, drive.pivot_to_horn_mm, math.radians(swing_deg)
        return drive.pivot_to_pin_mm * r * math.sin(theta) / (d + r * (1 - math.cos(theta)))

    return (pin_mm(drive.swing_deg + 1e-4) - pin_mm(drive.swing_deg - 1e-4)) / 2e-4 * servo.degrees_per_us


def last_pulse() -> float:
    """The longest pulse with half a spline tooth (8.57°) and half a millimetre of siting after it."""
    pulses = drive_of().pulse_us
    return max(pulses.normal, pulses.reverse) + 360.0 / 21 / 2 / 0.0925 + 0.5 / end_rate()


def dead_band(of_throw: float) -> float:
    """Dead band in µs that moves the pin by a share of the throw at the end of its swing."""
    return of_throw * 2.4 / end_rate()


def binding_land() -> float:
    """Land in which the wire's lean just fits the pivot's slack."""
    return sound()[2].pivot_slack_mm / math.tan(math.radians(drive_of().tilt_deg))


def turning() -> float:
    """Swing at which the travel, half a millimetre of siting found by the arm, turns back 5° further on."""
    drive = drive_of()
    back = math.degrees(float(turning_back_rad(drive.horn_radius_mm, drive.pivot_to_horn_mm)))
    low, high = drive.swing_deg, back
    for _ in range(60):
        swing = (low + high) / 2
        room = changed(drive={"swing_deg": swing})["turning-back"].value
        low, high = (swing, high) if room > 5.0 else (low, swing)
    return low + 5.0


def leaning(more_deg: float) -> dict[str, float]:
    """A span of 20 mm, and the swing at which the arm hole stands a quarter of it to the side, and a bit more."""
    swing = math.degrees(math.asin(0.25 * 20.0 / drive_of().horn_radius_mm)) + more_deg
    return {"swing_deg": swing, "pivot_to_horn_mm": 20.0, "pivot_to_pin_mm": 200.0}


@pytest.mark.parametrize(("pull", "felt"), [(0.5, 0.5 * 30.0 / 20.0), (1000.0, 2000.0 * 0.8**3 / 6 / 20.0)])
def test_a_pin_that_jams_feels_the_pull_by_its_lever_or_what_bends_the_wire_for_good(pull: float, felt: float) -> None:
    """A wire of 0.8 mm and 2000 MPa, 20 mm over its pivot, 30 mm below: a round bar yields whole at σ·d³/6."""
    drive = RockingWireDrive.model_construct(
        wire_tensile_mpa=2000.0, wire_mm=0.8, pivot_to_pin_mm=20.0, pivot_to_horn_mm=30.0
    )

    assert rocking_wire.JUDGING.pin_n(drive, pull) == pytest.approx(felt)
