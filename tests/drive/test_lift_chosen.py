"""A lift from candidate to drive, figure by figure, and how sure its places are, by circles at every corner."""

from __future__ import annotations

import itertools
import math
from functools import cache

import numpy as np
import pytest
from lifts import bracket, cut, lift, places
from requests_for_drives import request

from mounts.drive.choices import Axes
from mounts.drive.lift.done import done
from mounts.drive.lift.field import laid_out
from mounts.drive.lift.model import LiftDrive
from mounts.drive.lift.second import each_done, rods_of
from mounts.drive.lift.solve import examined
from mounts.drive.lift.study import places as study
from mounts.drive.lift.study import second_off_deg
from mounts.drive.rocking_wire.model import RockingWireDrive
from mounts.drive.solve import solve
from mounts.inputs.library import Library

CASES = {
    "crank": ({"crank_mm": 3.0, "crank_pivot_mm": (None, 60.0), "positions": places(-10.0, 0.0, 35.0)}, {}),
    "the other way": (
        {"crank_mm": 4.0, "crank_pivot_mm": (0.5, 45.0), "positions": places(-30.0, 30.0), "mirror": True,
         "moved": Library().moved("semaphore")},
        {"ccw_lifts": False},
    ),
    "pulled": (
        {"crank_mm": 3.0, "crank_pivot_mm": (None, 60.0), "positions": places(-40.0, 5.0),
         "moved": Library().moved("semaphore").model_copy(update={"stop_n": 0.08})},
        {"mids_deg": (10.0,)},
    ),
    "slid": ({"travel_mm": 5.0, "positions": places(0.0, 2.0, 5.0)}, {"max_board_hole_mm": None}),
    "two rods": (
        {"crank_mm": 3.4, "crank_pivot_mm": (None, 20.0), "positions": places(-42.5, 42.5)}, {"between_rods_mm": 1.0}
    ),
    "two slid": ({"travel_mm": 3.0, "positions": places(0.0, 3.0)}, {"between_rods_mm": 1.0}),
}  # fmt: skip


@cache
def case(name: str):
    """A field, its sound candidates examined, and the drives of three of them."""
    asked, left = CASES[name]
    spec = lift(**asked)
    limits = bracket(spec, **left)
    found = examined(spec, limits, Axes())
    sound = np.flatnonzero(found.alive())
    picked = sound[:: max(1, sound.size // 3)][:3].tolist()
    return spec, limits, laid_out(spec, limits), found, {index: found.drive(index) for index in picked}


def sense(spec, limits):
    """Whether a longer pulse lifts the arm."""
    return (1 if limits.ccw_lifts else -1) * (1 if spec.servo.pulse_turns == "ccw" else -1)


def end_of(drive, arm, *, radius=0.0, rod=0.0, crank=0.0):
    """The rod's upper end, with the links longer by so much; None where the circles do not cut."""
    y, z = (drive.shaft[0] + (drive.horn_radius_mm + radius) * math.cos(arm),
            drive.shaft[1] + (drive.horn_radius_mm + radius) * math.sin(arm))  # fmt: skip
    long = drive.rod_length_mm + rod
    if drive.crank_mm is None:
        return 0.0, z + math.sqrt(long**2 - y**2)
    try:
        return cut((y, z), long, drive.crank_pivot, drive.crank_mm + crank, left=drive.crank_towards < 0)
    except ValueError:
        return None


def stands(drive, arm, **off):
    """Crank in degrees above level, or height of a slid wire.

    A crank that is pushed or pulled until its rod lies in one line with it stays there, up with the arm above level.
    """
    end = end_of(drive, arm, **off)
    if end is None:
        return 90.0 if math.sin(arm) > 0 else -90.0
    y, z = end
    if drive.crank_mm is None:
        return z
    return math.degrees(math.atan2(z - drive.crank_pivot[1], drive.crank_towards * (y - drive.crank_pivot[0])))


@pytest.mark.parametrize("name", CASES)
def test_every_figure_of_a_chosen_lift_is_its_candidates(name):
    """What was chosen, as it is in the field; places from whole pulses by the servo's gain and by circles; what both
    rods ask for together; the curve at 25 pulses."""
    spec, limits, field, _, drives = case(name)
    servo, asked = spec.servo, field.asked
    assert drives
    each = each_done(rods_of(field))
    for n, drive in drives.items():
        does = {key: float(value[n]) for key, value in vars(each[0]).items()}
        r, d, crank = float(field.radius[n]), float(field.wire[n]), asked.crank_mm
        torque = sum(float(one.torque[n]) for one in each)
        arms = [
            float(field.mid[n]) + sense(spec, limits) * math.radians((us - 1500.0) * servo.degrees_per_us)
            for us in field.pulses[n]
        ]
        per_us = math.radians(servo.degrees_per_us) * does["rate_mm_per_rad"]
        drill = max(servo.horn_hole_mm, d + 0.2)
        play, per_mm = drill - d + 0.1, does["crank_deg_per_mm"]
        heights = [end_of(drive, arm)[1] for arm in arms]
        by_hand = {
            "horn_radius_mm": r, "wire_mm": d, "wire_tensile_mpa": float(field.tensile[n]),
            "wire_modulus_mpa": float(field.modulus[n]), "arm_hole_drill_mm": drill,
            "swing_deg": math.degrees(max(abs(arm - float(field.mid[n])) for arm in arms)),
            "travel_mm": max(heights) - min(heights), "lost_motion_mm": play, "rate_n_per_mm": does["rate"],
            "stress_mpa": does["stress_mpa"], "servo_torque_nmm": torque,
            "torque_margin": servo.stall_torque_nmm / torque, "pin_mm_per_us": per_us,
            "deadband_mm": servo.dead_band_us * per_us, "rod_length_mm": float(field.rod[n]), "crank_mm": crank,
            "crank_towards": None if crank is None else (1 if field.pivot_y[n] <= 0 else -1),
            "mid_deg": math.degrees(float(field.mid[n])), "stop_force_n": does["stop"], "overrun_mm": does["overrun"],
            "fault_force_n": does["fault"], "weight_n": asked.weight_n, "loop_leg_mm": does["leg"],
            "loop_radius_mm": float(field.crown[n]), "loop_at_mm": does["before"], "foot_radius_mm": 2 * d,
            "transmission_deg": None if crank is None else does["transmission_deg"],
            "arm_transmission_deg": does["arm_transmission_deg"],
            "backlash_deg": None if crank is None else play * per_mm, "lean_deg": does["lean_deg"],
            "guide_mm": max(float(one.guide[n]) for one in each),
            "board_hole_mm": None if name == "slid" else max(float(one.board_hole[n]) for one in each),
            "crank_hole_mm": d + 0.1, "guide_apart_mm": does["apart"],
            "buckling_at_stall": does["folding"] / max(does["fault"], 1e-9),
            "buckling_at_stop": does["folding"] / (does["stop"] + asked.weight_n), "seconds": asked.seconds,
            "deadband_deg": None if crank is None else servo.dead_band_us * per_us * per_mm,
        }  # fmt: skip
        told = drive.model_dump()
        known = {key: value for key, value in by_hand.items() if value is not None}
        assert {key: told[key] for key in known} == pytest.approx(known, rel=1e-6, abs=1e-9)
        assert all(told[key] is None for key in by_hand.keys() - known.keys())
        assert drive.shaft == (float(field.shaft_y[n]), float(field.shaft_z[n]))
        assert drive.crank_pivot == (None if crank is None else (float(field.pivot_y[n]), asked.pivot_z))
        assert drive.pulse_us.model_dump() == {
            "normal": field.pulses[n][0], "centre": 1500.0, "reverse": field.pulses[n][-1],
        }  # fmt: skip
        assert drive.explanation == ""
        figures = [place.at for place in asked.places]
        for place, wanted, arm, us, height in zip(
            drive.positions, asked.places, arms, field.pulses[n], heights, strict=True
        ):
            assert (place.name, place.pulse_us) == (wanted.name, us)
            assert place.arm_deg == pytest.approx(math.degrees(arm))
            assert place.lift_mm == pytest.approx(height - min(heights))
            if crank is None:
                assert (place.angle_deg, place.asked_deg, place.asked_mm) == (None, None, wanted.at)
            else:
                assert place.angle_deg == pytest.approx(stands(drive, arm))
                assert (place.asked_deg, place.asked_mm) == (wanted.at, None)
        ways = np.linspace(field.pulses[n][0], field.pulses[n][-1], 25)
        assert [us for us, _ in drive.curve] == pytest.approx(ways, abs=6e-4)
        for (us, at), way in zip(drive.curve, ways, strict=True):
            arm = float(field.mid[n]) + sense(spec, limits) * math.radians((way - 1500.0) * servo.degrees_per_us)
            assert at == pytest.approx(stands(drive, arm) - (min(heights) if crank is None else 0.0), abs=6e-5)
            assert (round(us, 3), round(at, 4)) == (us, at)
        assert len(drive.curve) == 25
        if drive.second:
            down = [-at for at in figures]
            second = drive.second
            assert second.stop_force_n == pytest.approx(float(each[1].stop[n]))
            assert second.lean_deg == pytest.approx(float(each[1].lean_deg[n]))
            if crank is None:
                assert (second.transmission_deg, second.crank_pivot) == (None, None)
                assert [place.asked_mm for place in second.positions] == [at - min(down) for at in down]
            else:
                assert second.transmission_deg == pytest.approx(float(each[1].transmission_deg[n]))
                assert [place.asked_deg for place in second.positions] == down
            assert [place.pulse_us for place in second.positions] == [place.pulse_us for place in drive.positions]
            assert [place.arm_deg for place in second.positions] == pytest.approx(
                [-place.arm_deg for place in drive.positions]
            )


def test_what_a_lift_is_said_to_do():
    """Wire and arm hole, rod and bend, lift, turn of a crank, half swing, force at the stop, and the second rod."""
    for name in ("crank", "slid", "two rods"):
        *_, field, found, drives = case(name)
        n, drive = next(iter(drives.items()))
        angles = [place.angle_deg or 0.0 for place in drive.positions]
        turn = f", turns the crank {max(angles) - min(angles):.0f}°" if drive.crank_mm else ""
        lifted = f"{drive.travel_mm:.2f}".rstrip("0").rstrip(".")
        both = f"; {-drive.second.y_mm:.1f} mm from it a second rod goes down meanwhile" if drive.second else ""
        leg = float(each_done(rods_of(field))[0].leg[n])
        assert found.does(n, drive) == (
            f"The {drive.wire_mm:g} mm wire in the {drive.horn_radius_mm:g} mm arm hole with a rod of "
            f"{drive.rod_length_mm:.1f} mm and a spring bend of {drive.loop_radius_mm:g} mm radius on {leg:.1f} mm "
            f"legs lifts {lifted} mm{turn} at a half swing of {drive.swing_deg:.1f}° and presses a stop with "
            f"{drive.stop_force_n:.2f} N at most{both}."
        )
    *_, found, drives = case("two rods")
    drive = next(iter(drives.values()))
    level = [place.model_copy(update={"angle_deg": at}) for place, at in zip(drive.positions, (0, 35), strict=True)]
    assert "turns the crank 35° at" in found.performance(
        "it", drive.model_copy(update={"positions": level}), request(), ""
    )
    other = RockingWireDrive.model_construct(kind="rocking-wire")
    with pytest.raises(TypeError, match="rocking-wire is no lift"):
        found.performance("the wire", other, request(), "")


SURE = {
    "crank": {},
    "the other way": {"degrees_per_us_spread": 0.0},
    "pulled": {},
    "slid": {"tolerance_mm": 0.3},
    "loose": {"spline_teeth": 21, "dead_band_us": 9.0},
}


@pytest.mark.parametrize("name", SURE)
def test_how_sure_places_are_by_circles_at_every_corner(name):
    """As set: half a tooth, gain, half the dead band, arm hole, rod ± 0.5 and crank ± 0.05 at their ends or nothing, by
    circles; and half the play either way. Trimmed: half the dead band and the eye, 0.5° or 0.1 mm. Percentiles of as
    many draws of our own from triangles, to a twentieth of their width."""
    spec, limits, _, _, drives = case("crank" if name == "loose" else name)
    servo = spec.servo.model_copy(update=SURE[name])
    spec, drive = spec.model_copy(update={"servo": servo}), next(iter(drives.values()))
    said = study(spec, limits, drive)
    slid, way = drive.crank_mm is None, sense(spec, limits)
    mid, per_us = math.radians(drive.mid_deg), math.radians(servo.degrees_per_us)
    ends = (
        math.pi / servo.spline_teeth, servo.degrees_per_us_spread / servo.degrees_per_us,
        servo.dead_band_us * per_us / 2, servo.tolerance_mm, 0.5, 0.0 if slid else 0.05,
    )  # fmt: skip
    per_mm = 1.0 if slid else drive.backlash_deg / drive.lost_motion_mm
    play, eye = drive.lost_motion_mm / 2 * per_mm, 0.1 if slid else 0.5
    finest = servo.dead_band_us / 2 * drive.pin_mm_per_us * per_mm
    asked = [place.asked_mm if slid else place.asked_deg for place in drive.positions]
    level = limits.guide_z[0] - (max(asked) + min(asked)) / 2 if slid else 0.0

    def off(us, wanted, signs):
        tooth, gain, dead, radius, rod, crank = (sign * end for sign, end in zip(signs, ends, strict=True))
        arm = mid + way * (us - 1500.0) * per_us * (1 + gain) + tooth + dead
        return stands(drive, arm, radius=radius, rod=rod, crank=crank) - level - wanted

    draw, locked = np.random.default_rng(5), 0
    assert (said.unit, said.backlash) == ("mm" if slid else "°", pytest.approx(2 * play))
    assert said.samples >= 2000
    for place, wanted, raw, left in zip(drive.positions, asked, said.untrimmed, said.positions, strict=True):
        corners = [off(place.pulse_us, wanted, signs) for signs in itertools.product((-1, 0, 1), repeat=6)]
        locked += sum(abs(at + wanted) == 90.0 for at in corners)
        nominal = off(place.pulse_us, wanted, (0,) * 6)
        told = raw.low, raw.nominal, raw.high, left.low, left.nominal, left.high
        assert told == pytest.approx((
            min(corners) - play, nominal, max(corners) + play, nominal - finest - eye, nominal, nominal + finest + eye,
        ), abs=1e-9)  # fmt: skip
        drawn = draw.triangular(-1.0, 0.0, 1.0, size=(2000, 7))
        seen = [off(place.pulse_us, wanted, one[:6]) + play * one[6] for one in drawn]
        low, high = np.percentile(seen, [5.0, 95.0])
        assert (raw.percentile_5, raw.percentile_95) == pytest.approx((low, high), abs=0.05 * (high - low))
        many = draw.triangular(-1.0, 0.0, 1.0, size=(100_000, 2))
        low, high = np.percentile(nominal + many @ (finest, eye), [5.0, 95.0])
        assert (left.percentile_5, left.percentile_95) == pytest.approx((low, high), abs=0.02 * (high - low))
    assert (locked > 0) == (name in ("crank", "loose", "pulled"))


def test_without_a_second_rod_and_a_crank_nothing_is_off_between_them():
    """It is asked of nothing else."""
    for name in ("crank", "two slid"):
        spec, limits, _, _, drives = case(name)
        drive: LiftDrive = next(iter(drives.values()))
        with pytest.raises(TypeError, match="a second rod and a crank"):
            second_off_deg(spec, limits, drive)


def test_one_candidate_does_alone_what_it_does_in_the_field():
    """A drive's own figures are those of the field it was chosen from."""
    *_, field, _, drives = case("slid")
    for n, drive in drives.items():
        assert float(done(field).stop[n]) == pytest.approx(drive.stop_force_n)


@pytest.mark.parametrize("top", [-12.0, 9.0])
def test_a_crank_that_nobody_measured_turns_over_board_and_guide(top):
    """Its hole at its lowest, 2·sin 30° = 1 mm below the spindle, keeps 2 mm from the board at 0 or the guide's upper
    end: a spindle at 5 mm does over the board, and goes up to the next half millimetre over a guide that ends above."""
    spec = lift(crank_mm=2.0, crank_of_scale=True, crank_pivot_mm=(None, 5.0), positions=places(-30.0, 30.0))

    found = examined(spec, bracket(spec, guide_z=(top - 4.0, top)), Axes())

    assert found.alive().any()
    assert (found.spec.crank_mm, found.spec.crank_pivot_mm[1]) == (2.0, 5.0 if top < 0 else 12.5)


def test_a_crank_that_needs_more_lift_than_an_arm_has_does_not_close():
    """8 mm from 60° below to 60° above level is 13.9 mm of lift; an arm of 5 mm lifts 10 at most, one of 9 mm 18."""
    spec = lift(crank_mm=8.0, crank_pivot_mm=(None, 60.0), positions=places(-60.0, 60.0))

    found = examined(spec, bracket(spec), Axes())

    closes = next(each for each in found.limits if each.name == "closes")
    assert set(closes.value[found.trial.radius_mm < 6.0]) == {0.0}
    assert set(closes.value[found.trial.radius_mm > 8.0]) == {1.0}


@pytest.mark.parametrize("name", CASES)
def test_pulses_are_whole_and_mirror_each_other_where_they_nearly_do(name):
    """From the arm's angle at each place, by circles of arm and rod about the shaft and the end that it is to hold: to
    the whole µs; where both ends are alike to 3 µs, each half of the way between them."""
    spec, limits, field, *_ = case(name)
    figures = [place.at for place in field.asked.places]
    known = np.flatnonzero(np.isfinite(field.arm).all(axis=1))
    alike = 0
    for n in known[:: max(1, known.size // 60)].tolist():
        shaft, r, rod = (float(field.shaft_y[n]), float(field.shaft_z[n])), float(field.radius[n]), float(field.rod[n])
        off = []
        for at in figures:
            if field.asked.crank_mm is None:
                end = 0.0, limits.guide_z[0] + at - (max(figures) + min(figures)) / 2
            else:
                turned, crank = math.radians(at), field.asked.crank_mm
                end = (float(field.pivot_y[n]) + field.towards * crank * math.cos(turned),
                       field.asked.pivot_z + crank * math.sin(turned))  # fmt: skip
            y, z = cut(shaft, r, end, rod, left=False)
            arm = math.atan2(z - shaft[1], y - shaft[0]) - float(field.mid[n])
            off.append(math.degrees(arm) / spec.servo.degrees_per_us)
        low, high = min(off), max(off)
        wanted = [round(us) for us in off]
        if abs(low + high) <= 3.0:
            alike += 1
            wanted = [round((high - low) / 2) if us == high else -round((high - low) / 2) if us == low else round(us)
                      for us in off]  # fmt: skip
        found = (field.pulses[n] - 1500.0) * sense(spec, limits)
        edge = min(abs(abs(us) % 1 - 0.5) for us in [*off, (high - low) / 2])
        if edge > 1e-6 and abs(abs(low + high) - 3.0) > 1e-6:
            assert found == pytest.approx(wanted)
    assert (alike > 0) == (name != "the other way")


def test_of_one_thing_that_is_off_the_percentiles_are_a_triangles():
    """A sliding rod with nothing off but its length as bent, ±0.5 mm: 5 % of a symmetric triangle lie beyond 1 − √0.1
    of its half width (any handbook). Trimmed there is left what the eye misses, ±0.1 mm; with a dead band half of it,
    by the arm's hole, besides."""
    spec = lift(travel_mm=5.0, positions=places(0.0, 2.5, 5.0))
    limits = bracket(spec)
    drive = solve(spec, limits).model_copy(update={"lost_motion_mm": 0.0})
    sure = {"spline_teeth": 10**9, "degrees_per_us_spread": 0.0, "dead_band_us": 0.0, "tolerance_mm": 0.0}
    alone = spec.model_copy(update={"servo": spec.servo.model_copy(update=sure)})

    found, share = study(alone, limits, drive), 1 - math.sqrt(0.1)
    for each, half in ((found.positions, 0.1), (found.untrimmed, 0.5)):
        for one in each:
            off = np.array([one.low, one.percentile_5, one.percentile_95, one.high]) - one.nominal
            assert off[[0, 3]] == pytest.approx([-half, half], abs=0.005)
            assert off[1:3] == pytest.approx([-share * half, share * half], abs=0.025 * half)  # of 4000 drawn
    wide = spec.model_copy(update={"servo": spec.servo.model_copy(update={**sure, "dead_band_us": 20.0})})
    dead_mm = math.radians(20.0 * spec.servo.degrees_per_us) / 2 * drive.horn_radius_mm
    (one, *_) = study(wide, limits, drive).positions
    assert one.high - one.nominal == pytest.approx(0.1 + dead_mm, abs=0.1 * dead_mm)
    # gain and play have nothing to do with each other, nor either with the rod
    spread, r = {**sure, "degrees_per_us_spread": 0.4 * spec.servo.degrees_per_us}, drive.horn_radius_mm
    loose = spec.model_copy(update={"servo": spec.servo.model_copy(update=spread)})
    one = study(loose, limits, drive.model_copy(update={"lost_motion_mm": 2.0})).untrimmed[-1]
    rod, play, gain = np.random.default_rng(5).triangular(-1.0, 0.0, 1.0, size=(3, 100_000))
    swing = math.radians(drive.positions[-1].arm_deg)
    drawn = 0.5 * rod + play + r * (np.sin(swing * (1 + 0.4 * gain)) - math.sin(swing))
    assert one.percentile_95 - one.nominal == pytest.approx(np.percentile(drawn, 95.0), rel=0.08)


@pytest.mark.parametrize("name", ["two rods", "two slid"])
def test_how_far_a_second_rod_is_off_its_places(name):
    """The first is set; the second stands where that puts it: the limit holds the most that it is off, by its own."""
    spec, limits, field, found, drives = case(name)
    does = each_done(rods_of(field))[1]
    limit = next(each for each in found.limits if each.name == "second rod")
    for n, drive in drives.items():
        second = drive.second
        if drive.crank_mm is None:
            asked = [-place.at for place in field.asked.places]
            level, off = limits.guide_z[0] - (max(asked) + min(asked)) / 2, []
            for place, at in zip(drive.positions, asked, strict=True):
                arm = math.radians(place.arm_deg)
                y, z = (drive.shaft[0] - drive.horn_radius_mm * math.cos(arm),
                        drive.shaft[1] - drive.horn_radius_mm * math.sin(arm))  # fmt: skip
                off.append(abs(z + math.sqrt(second.rod_length_mm**2 - (y - second.y_mm) ** 2) - level - at))
        else:
            off = [abs(place.angle_deg - place.asked_deg) for place in second.positions]
        assert float(limit.value[n]) == pytest.approx(max(off), abs=1e-9)
        # its stop is pressed by as much more, and 0.3 mm, beside what the first's is pressed by
        missed = max(off) if drive.crank_mm is None else math.radians(max(off)) * drive.crank_mm
        own = math.radians((10.0 + spec.servo.dead_band_us / 2) * spec.servo.degrees_per_us)
        over = float(does.overrun[n]) - own * float(does.rate_mm_per_rad[n]) - 0.1
        assert over == pytest.approx(0.3 + missed, abs=1e-9)
        board = next(each for each in found.limits if each.name == "between the rods")
        # between the edges of two holes as wide as each other
        assert float(board.value[n]) == pytest.approx(0.0 - second.y_mm - drive.board_hole_mm)
        assert float(limit.bound) == (0.1 if drive.crank_mm is None else 1.0)
