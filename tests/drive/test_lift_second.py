"""The second rod of a lift, at the arm's other end: where it goes by circles that cut, what it weighs, its refusals."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lifts import ASKED, bracket, cut, lift, places
from requests_for_drives import SERVOS

from mounts.drive.choices import Axes
from mounts.drive.lift.done import done
from mounts.drive.lift.field import laid_out
from mounts.drive.lift.second import each_done, mirrored, rods_as_fields, rods_of, worse
from mounts.drive.lift.solve import examined
from mounts.drive.lift.study import second_off_deg
from mounts.drive.limits import at_least, at_most
from mounts.drive.pulse import arm_angle_deg
from mounts.drive.solve import solve
from mounts.errors import NoDesign
from mounts.inputs.library import Library

LIBRARY = Library()
BOOM = {"crank_mm": 3.4, "crank_pivot_mm": (None, 20.0), "positions": places(-42.5, 42.5)}


def two(spec, **changes):
    """A plain bracket with two rods, 1 mm of board between their holes."""
    return bracket(spec, between_rods_mm=1.0, **changes)


def holes(drive, arm_rad):
    """Both holes of a straight arm."""
    (y, z), r = drive.shaft, drive.horn_radius_mm
    return [(y + end * r * math.cos(arm_rad), z + end * r * math.sin(arm_rad)) for end in (1.0, -1.0)]


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(SERVOS), st.floats(6.0, 38.0), st.booleans(), ASKED)
def test_the_second_goes_where_circles_cut(servo, board_mm, mirror, asked):
    """Over servos, boards and what is moved: from the pulses by the servo's map, holes on one straight arm, circles of
    rod and crank, which points the way the first's does. Figures to 1e-6, and within the limit of what was asked:
    as far below level as the first is above, or down as far as the first goes up."""
    spec = lift(servo=servo, board_mm=board_mm, mirror=mirror, **asked)
    try:
        drive = solve(spec, two(spec, ccw_lifts=not mirror))
    except NoDesign:
        return
    second, sense, ends = drive.second, -1.0 if mirror else 1.0, []
    for first, place in zip(drive.positions, second.positions, strict=True):
        assert place.pulse_us == first.pulse_us
        arm = math.radians(drive.mid_deg + sense * arm_angle_deg(place.pulse_us, spec.servo))
        y, z = holes(drive, arm)[1]
        if drive.crank_mm is None:
            ends.append(z + math.sqrt(second.rod_length_mm**2 - (y - second.y_mm) ** 2))
            assert place.asked_mm == pytest.approx(max(p.asked_mm for p in drive.positions) - first.asked_mm)
            continue
        pivot, towards = second.crank_pivot, drive.crank_towards
        end = cut((y, z), second.rod_length_mm, pivot, drive.crank_mm, left=towards < 0)
        turned = math.degrees(math.atan2(end[1] - pivot[1], towards * (end[0] - pivot[0])))
        assert turned == pytest.approx(place.angle_deg, abs=1e-6)
        assert turned == pytest.approx(-first.asked_deg, abs=1.0)
    if ends:
        lifted = [z - min(ends) for z in ends]
        assert lifted == pytest.approx([place.lift_mm for place in second.positions], abs=1e-6)
        assert lifted == pytest.approx([place.asked_mm for place in second.positions], abs=0.1)
    assert second.y_mm == pytest.approx(2 * drive.shaft[0])
    assert -second.y_mm - drive.board_hole_mm >= 1.0 - 1e-9
    assert max(drive.stop_force_n, second.stop_force_n) <= 0.5


@pytest.mark.parametrize("servo", ["submicro-4g", "micro-9g", "micro-13g"])
@pytest.mark.parametrize("scale", ["N", "HO", "O"])
def test_two_booms_move_alike(servo, scale):
    """Both 0 to 85°: at the ends within half a degree of each other, between within two, by circles at 21 pulses."""
    spec = lift(servo=servo, scale=scale, **BOOM)
    drive = solve(spec, two(spec))
    second, apart = drive.second, []
    ends = [place.pulse_us for place in drive.positions]
    for pulse in np.linspace(*ends, 21):
        first_hole, second_hole = holes(drive, math.radians(arm_angle_deg(float(pulse), spec.servo)))
        turned = []
        for hole, rod in ((first_hole, drive), (second_hole, second)):
            pivot = rod.crank_pivot
            y, z = cut(hole, rod.rod_length_mm, pivot, 3.4, left=drive.crank_towards < 0)
            turned.append(math.degrees(math.atan2(z - pivot[1], drive.crank_towards * (y - pivot[0]))))
        apart.append(abs(turned[0] + turned[1]))
    assert max(apart[0], apart[-1]) <= 0.5
    assert max(apart) <= 2.0


def test_the_servo_bears_both_and_the_second_stop_more():
    """Torque by virtual work: weight and stop of both, by a small turn of the arm; the second's stop feels 0.3 mm more
    of the same spring bend."""
    spec = lift(**BOOM)
    drive = solve(spec, two(spec))
    rods = rods_as_fields(spec, two(spec), drive)
    step, arms = 1e-5, rods[0].between()
    ways = [
        np.hypot(*(np.array(rod.end(sign * arms + step)) - rod.end(sign * arms - step))).max() / (2 * step)
        for rod, sign in zip(rods, (1.0, -1.0), strict=True)
    ]
    loads = drive.stop_force_n + 0.1, drive.second.stop_force_n + 0.1

    assert drive.servo_torque_nmm == pytest.approx(loads[0] * ways[0] + loads[1] * ways[1], rel=1e-5)
    missed = math.radians(max(abs(place.angle_deg - place.asked_deg) for place in drive.second.positions)) * 3.4
    more = (drive.second.stop_force_n - drive.stop_force_n) / drive.rate_n_per_mm
    assert more == pytest.approx(0.3 + missed, abs=0.01)


@pytest.mark.parametrize("at", [(-42.5, 42.5), (-42.5, -10.0, 42.5)])
def test_the_worst_case_is_that_of_drawn_linkages(at):
    """Every corner, by circles: the first set to half a degree and half the dead band at each place, cranks and holes
    off by 0.05 mm, the second turned on its spindle at the first place, by the eye to half a degree."""
    spec = lift(**{**BOOM, "positions": places(*at)})
    drive = solve(spec, two(spec))
    left, way = drive.crank_towards < 0, drive.crank_towards
    set_deg = 0.5 + drive.deadband_deg / 2

    def second_at(first_deg, one, other, hole):
        """The second's crank where the first's stands so."""
        set_, (y, z) = math.radians(first_deg), drive.crank_pivot
        end = y + way * (3.4 + one) * math.cos(set_), z + (3.4 + one) * math.sin(set_)
        held = cut(drive.shaft, drive.horn_radius_mm, end, drive.rod_length_mm, left=False)
        arm = math.atan2(held[1] - drive.shaft[1], held[0] - drive.shaft[0])
        r, pivot = drive.horn_radius_mm + hole, drive.second.crank_pivot
        second = drive.shaft[0] - r * math.cos(arm), drive.shaft[1] - r * math.sin(arm)
        y, z = cut(second, drive.second.rod_length_mm, pivot, 3.4 + other, left=left)
        return math.degrees(math.atan2(z - pivot[1], way * (y - pivot[0])))

    worst = 0.0
    for one, other, hole, start, rest, eye in itertools.product((-1.0, 1.0), repeat=6):
        links = 0.05 * one, 0.05 * other, 0.05 * hole
        set_ = [place + set_deg * (start if n == 0 else rest) for n, place in enumerate(at)]
        off = [second_at(first, *links) + place for first, place in zip(set_, at, strict=True)]
        worst = max(worst, *(abs(each - off[0] + 0.5 * eye) for each in off))
    assert second_off_deg(spec, two(spec), drive) == pytest.approx(worst, abs=1e-6)


def test_a_drive_worked_out_anew_is_the_drive():
    """Both rods from their dimensions alone; and the mirror's mirror image stands where the rod is."""
    spec = lift(**{**BOOM, "crank_pivot_mm": (3.0, 25.0)})
    drive = solve(spec, two(spec))
    first, second = rods_as_fields(spec, two(spec), drive)
    found = each_done((first, second))
    seen = mirrored(drive)

    assert float(found[1].stop[0]) == pytest.approx(drive.second.stop_force_n)
    assert float(found[1].lean_deg[0]) == pytest.approx(drive.second.lean_deg)
    assert max(float(does.guide[0]) for does in found) == pytest.approx(drive.guide_mm)
    assert 2 * drive.shaft[0] - seen.crank_pivot[0] == pytest.approx(drive.second.crank_pivot[0])
    # two booms face each other where their cranks point to the arm's other end, or part
    assert drive.crank_towards == -1
    away = lift(**{**BOOM, "crank_pivot_mm": (-3.0, 25.0)})
    assert solve(away, two(away)).crank_towards == 1


def test_in_the_mirror_all_is_the_other_way_round():
    """Arm, its middle, crank and places at their negatives, pulses as far on the other side of the centre, the spindle
    across the shaft at its own height; of a candidate as of a drive."""
    spec = lift(**BOOM)
    drive = solve(spec, two(spec)).model_copy(update={"mid_deg": 7.0})
    seen, centre = mirrored(drive), drive.pulse_us.centre

    assert (seen.mid_deg, seen.crank_towards) == (-7.0, -drive.crank_towards)
    assert seen.crank_pivot == pytest.approx(
        (2 * drive.shaft[0] - drive.second.crank_pivot[0], drive.second.crank_pivot[1])
    )
    for place, own in zip(seen.positions, drive.second.positions, strict=True):
        assert place.pulse_us - centre == pytest.approx(centre - own.pulse_us)
    first = replace(rods_as_fields(spec, two(spec), drive)[0], mid=np.array([0.1]))
    _, second = rods_of(first)
    assert second.mid.tolist() == [-0.1]
    assert second.arm == pytest.approx(-first.arm)
    assert second.pulses + first.pulses == pytest.approx(2 * spec.servo.pulse_centre_us)
    assert [place.at for place in second.asked.places] == [-place.at for place in first.asked.places]
    assert float(second.pivot_y[0]) == pytest.approx(seen.crank_pivot[0])


@pytest.mark.parametrize("pivot_y", [None, 1.5])
@pytest.mark.parametrize("at", [(-42.5, 42.5), (-35.0, 45.0)])
def test_where_a_second_rod_s_spindle_is_and_how_long_it_is(at, pivot_y):
    """Its crank points the first's way, from a spindle as far beyond its rod as the first's is short of its own where
    both stand in the middle of what their cranks go aside; its length is half way between the longest and the shortest
    that a place asks for. Both spring bends have the longer of both legs."""
    spec = lift(**{**BOOM, "crank_pivot_mm": (pivot_y, 20.0), "positions": places(*at)})
    limits = two(spec)
    field, found = laid_out(spec, limits), examined(spec, limits, Axes())
    rods = rods_of(field)
    known = np.flatnonzero(np.isfinite(field.arm).all(axis=1))
    # what a pair costs is told of the first
    assert found.cost["force at the servo's end"][known] == pytest.approx(each_done(rods)[0].fault[known] / 10.0)
    cosines = [math.cos(math.radians(degrees)) for degrees in at]
    aside = 3.4 * (max(cosines) + min(cosines)) / 2
    for n in known[:: max(1, known.size // 8)].tolist():
        drive = found.drive(n)
        second, shaft, way = drive.second, drive.shaft, drive.crank_towards
        from_rod = drive.crank_pivot[0] + way * aside
        spindle = second.y_mm - from_rod - way * aside
        assert second.crank_pivot == (pytest.approx(spindle), 20.0)
        long = []
        for place, degrees in zip(drive.positions, at, strict=True):
            arm, down = math.radians(place.arm_deg), math.radians(-degrees)
            hole = shaft[0] - drive.horn_radius_mm * math.cos(arm), shaft[1] - drive.horn_radius_mm * math.sin(arm)
            end = spindle + way * 3.4 * math.cos(down), 20.0 + 3.4 * math.sin(down)
            long.append(math.dist(hole, end))
        assert second.rod_length_mm == pytest.approx((max(long) + min(long)) / 2)
    alone, both = [done(rod).leg for rod in rods], [one.leg for one in each_done(rods)]
    for leg in both:
        assert leg[known] == pytest.approx(np.maximum(*alone)[known])
    assert (np.abs(alone[0] - alone[1])[known] > 1e-3).any()


def test_without_a_second_rod_nothing_changes():
    """One rod is chosen as before: its crank points away from the servo, and its stop may take longer to press."""
    spec = lift(**BOOM)
    drive = solve(spec, bracket(spec))

    assert drive.second is None
    assert drive.crank_towards == 1
    with pytest.raises(TypeError, match="second rod"):
        mirrored(drive)


def test_holes_that_run_into_each_other_are_refused():
    """Board is left between both holes, or the refusal says so."""
    spec = lift(**BOOM)
    drive = solve(spec, two(spec))
    left = -drive.second.y_mm - drive.board_hole_mm

    with pytest.raises(NoDesign, match="between the rods"):
        solve(spec.model_copy(update={"arm_hole_mm": drive.horn_radius_mm}), bracket(spec, between_rods_mm=left + 5.0))


def test_of_two_rods_the_worse_counts():
    """NaN has no value and gives way to one that has."""
    for make, expected in ((at_most, [2.0, 3.0, 4.0]), (at_least, [1.0, 3.0, 4.0])):
        both = worse(*(
            make("x", np.array(values), 1.0, "mm", "more") for values in ([1.0, np.nan, 4.0], [2.0, 3.0, np.nan])
        ))  # fmt: skip
        assert both.value.tolist() == expected


def test_the_profiles_of_booms_have_two_rods():
    """Every scale's boom with a 9 g servo."""
    for scale in ("N", "TT", "HO", "O"):
        if scale not in LIBRARY.names("scale"):
            continue
        ratio = LIBRARY.scale(scale).ratio
        boom = LIBRARY.moved("boom")
        spec = lift(
            scale=scale, crank_mm=max(3.0, boom.crank_mm(ratio)), crank_pivot_mm=(None, 25.0),
            positions=boom.crank_positions(), moved=boom,
        )  # fmt: skip
        assert solve(spec, two(spec)).second is not None
