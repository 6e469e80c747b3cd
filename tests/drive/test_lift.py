"""The lift drive: its linkage against circles that cut, its spring bend against integrals, its choices in all."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lifts import ASKED, bracket, cut, lift, places
from requests_for_drives import SERVOS
from scipy.linalg import eigh
from shapely import LineString, Point

from mounts.drive.family import match
from mounts.drive.lift import kinematics
from mounts.drive.lift.asked import as_taken, asked_of, longer, other_asked
from mounts.drive.lift.done import done
from mounts.drive.lift.field import as_field
from mounts.drive.lift.model import LiftDrive
from mounts.drive.lift.rules import LEAST_TRANSMISSION_DEG
from mounts.drive.lift.spring import euler_n, folding_n, leg_for_mm, shape_mm3
from mounts.drive.pulse import arm_angle_deg
from mounts.drive.solve import solve
from mounts.drive.spread import spread_of
from mounts.drive.ways_out import tried_changes
from mounts.errors import NoDesign
from mounts.inputs.library import Library
from mounts.inputs.moved import evenly

LIBRARY = Library()


CLOSES = st.tuples(
    st.floats(-40, 40), st.floats(4, 16), st.floats(1.5, 8), st.floats(30, 150), st.floats(-2, 2),
    st.sampled_from([1, -1]),
)  # fmt: skip


@settings(max_examples=200, deadline=None)
@given(CLOSES)
def test_the_four_bar_is_where_two_circles_cut(drawn):
    """Crank from arm and arm from crank, to 1e-6 mm: circles of rod and crank round arm's hole and spindle."""
    crank_deg, r, c, height, aside, towards = drawn
    turned = math.radians(crank_deg)
    shaft, pivot = (-r, 0.0), (-towards * c + aside, height)
    at_crank = (pivot[0] + towards * c * math.cos(turned), pivot[1] + c * math.sin(turned))
    rod = height  # arm about level: the rod stands about upright
    if not abs(rod - r) < math.hypot(at_crank[0] - shaft[0], at_crank[1] - shaft[1]) < rod + r:
        return
    arm = float(kinematics.arm_rad(*at_crank, radius_mm=r, rod_mm=rod, shaft=shaft))
    hole = (shaft[0] + r * math.cos(arm), shaft[1] + r * math.sin(arm))

    assert hole == pytest.approx(cut(shaft, r, at_crank, rod, left=False), abs=1e-6)
    found = float(kinematics.crank_rad(
        arm, radius_mm=r, rod_mm=rod, shaft=shaft, crank_mm=c, pivot=pivot, towards=towards
    ))  # fmt: skip
    ends = [cut(hole, rod, pivot, c, left=left) for left in (True, False)]
    y, z = kinematics.crank_end(found, crank_mm=c, pivot=pivot, towards=towards)
    assert min(math.dist((y, z), end) for end in ends) < 1e-6
    assert math.dist((y, z), ends[1 if towards > 0 else 0]) < 1e-6


def test_the_textbook_four_bar():
    """standards.md, 1, row 7: a 40, b 120, c 80, d 100, θ2 40°: θ4 57.325° (open), θ3 20.298°; from memory."""
    linkage = {"radius_mm": 40.0, "rod_mm": 120.0, "shaft": (0.0, 0.0)}
    crank = {"crank_mm": 80.0, "pivot": (100.0, 0.0), "towards": -1}

    rocker = math.pi - float(kinematics.crank_rad(math.radians(40.0), **linkage, **crank))
    end = (100.0 + 80.0 * math.cos(rocker), 80.0 * math.sin(rocker))
    hole = (40.0 * math.cos(math.radians(40.0)), 40.0 * math.sin(math.radians(40.0)))

    assert math.degrees(rocker) == pytest.approx(57.325, abs=5e-4)
    assert math.degrees(math.atan2(end[1] - hole[1], end[0] - hole[0])) == pytest.approx(20.298, abs=5e-4)


def test_the_published_slider_crank():
    """standards.md, 1, row 8 (published worksheet): a 10, b 20, θ2 45° from the slide line, 1 rad/s: speed 9.744."""
    linkage = {"radius_mm": 10.0, "rod_mm": 20.0, "shaft": (0.0, 0.0)}
    at, step = math.radians(45.0), 1e-6

    ahead, behind = (float(kinematics.slide_z(at + side * step, **linkage)) for side in (1, -1))
    lean = math.degrees(math.asin(10.0 * math.cos(at) / 20.0))

    assert (ahead - behind) / (2 * step) == pytest.approx(9.744, abs=5e-4)
    assert 180.0 - lean == pytest.approx(159.295, abs=5e-4)
    hole = (10.0 * math.cos(at), 10.0 * math.sin(at))
    end = (0.0, float(kinematics.slide_z(at, **linkage)))
    assert math.degrees(math.atan2(hole[0], end[1] - hole[1])) == pytest.approx(lean)


@pytest.mark.parametrize(("leg", "crown"), [(2.0, 1.5), (7.2, 1.5), (12.0, 3.0)])
def test_the_spring_bend_is_as_soft_as_its_drawn_line(leg, crown):
    """Sum of y²·ds along legs and half circle (Castigliano), in steps; and the leg is found back from the rate."""
    up = np.linspace(0.0, leg, 20001)
    turn = np.linspace(0.0, math.pi, 20001)
    summed = 2 * np.trapezoid(up**2, up) + np.trapezoid((leg + crown * np.sin(turn)) ** 2, crown * turn)

    assert float(shape_mm3(leg, crown)) == pytest.approx(summed, rel=1e-6)
    rate = 1000.0 / summed
    assert float(leg_for_mm(rate, stiffness_nmm2=1000.0, crown_mm=crown, least_mm=0.5)) == pytest.approx(leg, rel=1e-6)


@pytest.mark.parametrize(("before", "after"), [(5.0, 6.0), (4.0, 14.0), (8.0, 30.0)])
def test_rod_and_bend_buckle_no_earlier_than_said(before, after):
    """A hinged column of 60 stiff links with springs E·I/link, softer where the bend is: least eigenvalue of its
    stability, standards.md 6 for the straight one; the sum by Dunkerley errs low, and not by half."""
    stiffness, leg, crown, links = 4000.0, 7.0, 2.0, 60
    length, link = before + after, (before + after) / links
    springs = np.full(links - 1, stiffness / link)
    at = round(before / link) - 1

    def least_n(joints):
        # joint n turns by (w[n-1] - 2 w[n] + w[n+1]) / link; each link shortens by half its slope squared
        turns = (np.eye(links - 1, k=1) - 2 * np.eye(links - 1) + np.eye(links - 1, k=-1)) / link
        slopes = (np.eye(links, links - 1) - np.eye(links, links - 1, k=-1)) / link
        return eigh(turns.T @ np.diag(joints) @ turns, link * slopes.T @ slopes, eigvals_only=True)[0]

    assert least_n(springs) == pytest.approx(float(euler_n(stiffness, length)), rel=2e-3)
    springs[at] = 1 / (1 / springs[at] + 1.3 * (2 * leg + math.pi * crown) / stiffness)
    said = float(folding_n(stiffness_nmm2=stiffness, leg_mm=leg, crown_mm=crown, before_mm=before, after_mm=after))
    assert said <= 1.01 * least_n(springs)
    assert said >= 0.5 * least_n(springs)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(SERVOS), st.floats(6.0, 38.0), st.booleans(), ASKED)
def test_what_is_chosen_keeps_every_promise(servo, board_mm, mirrored, asked):
    """Over servos, boards and what is moved: pulses take it where it was asked to within 1°, by circles and lines; rod
    and links stay apart by 40°; its stop is not pressed by more than allowed; the arm clears the guide, the rod the hub
    by 0.2 mm as shapely measures it."""
    spec = lift(servo=servo, board_mm=board_mm, mirror=mirrored, **asked)
    allowed = bracket(spec, ccw_lifts=not mirrored)
    try:
        drive = solve(spec, allowed)
    except NoDesign:
        return
    assert isinstance(drive, LiftDrive)
    sense = -1.0 if mirrored else 1.0
    lifted = []
    beside = max(spec.servo.horn_hub_mm, spec.servo.horn_screw_head_mm) / 2 + drive.wire_mm / 2 + 0.2
    for place in drive.positions:
        arm = math.radians(drive.mid_deg + sense * arm_angle_deg(place.pulse_us, spec.servo))
        hole = (
            drive.shaft[0] + drive.horn_radius_mm * math.cos(arm),
            drive.shaft[1] + drive.horn_radius_mm * math.sin(arm),
        )
        if drive.crank_mm is None:
            lifted.append(hole[1] + math.sqrt(drive.rod_length_mm**2 - hole[0] ** 2))
            assert LineString([hole, (0.0, lifted[-1])]).distance(Point(drive.shaft)) >= beside
            continue
        end = cut(hole, drive.rod_length_mm, drive.crank_pivot, drive.crank_mm, left=drive.crank_towards < 0)
        assert LineString([hole, end]).distance(Point(drive.shaft)) >= beside
        turned = math.degrees(math.atan2(
            end[1] - drive.crank_pivot[1], drive.crank_towards * (end[0] - drive.crank_pivot[0])
        ))  # fmt: skip
        assert turned == pytest.approx(place.asked_deg, abs=1.0)
        assert turned == pytest.approx(place.angle_deg, abs=1e-6)
        rod = math.atan2(end[1] - hole[1], end[0] - hole[0])
        crank = math.atan2(end[1] - drive.crank_pivot[1], end[0] - drive.crank_pivot[0])
        assert abs(math.sin(rod - crank)) >= math.sin(math.radians(LEAST_TRANSMISSION_DEG)) - 0.02
    if lifted:
        found = [z - min(lifted) for z in lifted]
        assert found == pytest.approx([place.asked_mm for place in drive.positions], abs=0.1)
    assert drive.stop_force_n <= asked_of(spec).stop_n
    tip = max(math.sin(math.radians(place.arm_deg)) for place in drive.positions) * spec.servo.horn_length_mm
    assert drive.shaft[1] + tip + spec.servo.horn_tip_width_mm / 2 <= allowed.guide_z[0]
    assert allowed.max_depth_mm + 1e-6 >= 4.0 + allowed.guide_z[0] - drive.shaft[1] + allowed.below_shaft_mm


@pytest.mark.parametrize("hub_mm", [6.6, 7.0, 7.4, 7.8, 8.2])
@pytest.mark.parametrize("turn", [45.0, 60.0, 90.0])
def test_the_rod_goes_up_past_a_wide_hub(hub_mm, turn):
    """At every place the rod, drawn by shapely, keeps half the hub, half the wire and 0.2 mm from the shaft's axis."""
    spec = lift(servo="micro-13g", crank_mm=3.5, crank_pivot_mm=(None, 60.0), positions=places(-turn / 2, turn / 2))
    spec = spec.model_copy(update={"servo": spec.servo.model_copy(update={"horn_hub_mm": hub_mm})})
    drive = solve(spec, bracket(spec))
    r, shaft, pivot = drive.horn_radius_mm, drive.shaft, drive.crank_pivot

    for place in drive.positions:
        arm, crank = math.radians(place.arm_deg), math.radians(place.angle_deg)
        end = (pivot[0] + drive.crank_towards * 3.5 * math.cos(crank), pivot[1] + 3.5 * math.sin(crank))
        rod = LineString([(shaft[0] + r * math.cos(arm), shaft[1] + r * math.sin(arm)), end])
        assert rod.distance(Point(shaft)) >= hub_mm / 2 + drive.wire_mm / 2 + 0.2


@pytest.mark.parametrize(
    "asked",
    [
        {"crank_mm": 3.0, "crank_pivot_mm": (None, 60.0), "positions": places(0.0, 45.0)},
        {"crank_mm": 3.0, "crank_pivot_mm": (2.5, 60.0), "positions": places(-20.0, 20.0)},
        {"travel_mm": 4.0, "positions": evenly(2, 0.0, 4.0)},
    ],
    ids=["crank", "the other way", "slid"],
)
def test_a_drive_worked_out_anew_is_the_drive(asked):
    """Force at the stop, angles and bore come out the same from its dimensions alone."""
    spec = lift(**asked)
    drive = solve(spec, bracket(spec))
    field = as_field(spec, bracket(spec), drive)
    found = done(field)

    assert float(field.drop[0]) == pytest.approx(bracket(spec).guide_z[0] - drive.shaft[1])
    assert drive.crank_towards == ({None: 1, 2.5: -1}[asked["crank_pivot_mm"][0]] if "crank_mm" in asked else None)
    if drive.crank_mm is None:
        assert drive.transmission_deg is None
        drive = drive.model_copy(update={"transmission_deg": math.nan})

    for name, kept in (
        ("stop", drive.stop_force_n), ("fault", drive.fault_force_n), ("transmission_deg", drive.transmission_deg),
        ("guide", drive.guide_mm), ("leg", drive.loop_leg_mm), ("apart", drive.guide_apart_mm),
    ):  # fmt: skip
        assert float(getattr(found, name)[0]) == pytest.approx(kept, rel=1e-6, nan_ok=True), name


def test_the_stop_is_pressed_by_the_bend_alone():
    """Past the touch by the arm's own rate over 10 µs, half a dead band and 0.1 mm, times the bend's rate."""
    spec = lift(travel_mm=4.0, positions=evenly(2, 0.0, 4.0))
    drive = solve(spec, bracket(spec))
    us = 10.0 + spec.servo.dead_band_us / 2
    most_mm = drive.horn_radius_mm * math.radians(us * spec.servo.degrees_per_us) + 0.1
    rate = (
        drive.wire_modulus_mpa
        * math.pi
        * drive.wire_mm**4
        / 64
        / float(shape_mm3(drive.loop_leg_mm, drive.loop_radius_mm))
    )

    assert drive.rate_n_per_mm == pytest.approx(rate)
    assert drive.stop_force_n == pytest.approx(rate * most_mm, rel=0.03)


def test_the_study_covers_what_circles_give():
    """Half a spline tooth either way, all else as drawn, cut by circles: within the worst case, and most of it."""
    spec = lift(crank_mm=4.0, crank_pivot_mm=(None, 60.0), positions=places(-20.0, 20.0))
    drive = solve(spec, bracket(spec))
    spread = spread_of(spec, bracket(spec), drive)
    for place, raw, set_ in zip(drive.positions, spread.untrimmed, spread.positions, strict=True):
        for side in (-1.0, 1.0):
            arm = math.radians(place.arm_deg + side * 180.0 / spec.servo.spline_teeth)
            hole = (drive.shaft[0] + drive.horn_radius_mm * math.cos(arm),
                    drive.shaft[1] + drive.horn_radius_mm * math.sin(arm))  # fmt: skip
            y, z = cut(hole, drive.rod_length_mm, drive.crank_pivot, 4.0, left=False)
            off = math.degrees(math.atan2(z - 60.0, y - drive.crank_pivot[0])) - place.asked_deg
            assert raw.low < off < raw.high
            assert abs(off) > 0.4 * raw.high
        assert -3.0 < set_.low < set_.percentile_5 < set_.percentile_95 < set_.high < 3.0
    assert spread.backlash == pytest.approx(drive.backlash_deg, rel=0.01)


@pytest.mark.parametrize("scale", ["N", "TT", "HO", "O"])
@pytest.mark.parametrize("servo", SERVOS)
@pytest.mark.parametrize("moves", ["semaphore", "semaphore-3", "boom"])
def test_a_crank_that_nobody_measured_is_as_long_as_it_must_be(moves, servo, scale):
    """Every class moves what there is in every scale: with the crank of the scale where that does, otherwise with the
    shortest longer one, 4 mm at most, its hole 2 mm over the board at its lowest; the next shorter one does not."""
    moved, ratio = LIBRARY.moved(moves), LIBRARY.scale(scale).ratio
    free = lift(
        servo=servo, scale=scale, moved=moved, crank_mm=moved.crank_mm(ratio), crank_of_scale=True,
        crank_pivot_mm=(None, moved.pivot_height_mm(ratio)), positions=moved.crank_positions(),
    )  # fmt: skip
    drive = solve(free, bracket(free))
    low = min(place.at for place in free.positions)

    assert moved.crank_mm(ratio) <= drive.crank_mm <= 4.0
    assert drive.crank_pivot[1] + drive.crank_mm * math.sin(math.radians(low)) >= 2.0
    assert drive.crank_pivot[1] >= moved.pivot_height_mm(ratio)
    for shorter in np.arange(moved.crank_mm(ratio), drive.crank_mm - 0.05, 0.2):
        pinned = {"crank_mm": round(float(shorter), 1), "crank_of_scale": False}
        pinned["crank_pivot_mm"] = (None, drive.crank_pivot[1])
        with pytest.raises(NoDesign):
            solve(free.model_copy(update=pinned), bracket(free))


def test_a_pair_of_booms_moves_alike_and_mirrored():
    """One arm hole, one wire; the mirrored one has the pulses of rest and raised exchanged about the centre."""
    specs = [
        lift(id=name, mirror=mirrored, crank_mm=3.5, crank_pivot_mm=(None, 12.0), positions=places(-42.5, 42.5))
        for name, mirrored in (("near", False), ("far", True))
    ]
    allowed = [bracket(spec, ccw_lifts=not spec.mirror) for spec in specs]

    near, far = match(specs, allowed, frozenset({"arm hole", "wire", "pulses"}))

    assert (near.horn_radius_mm, near.wire_mm, near.rod_length_mm) == (
        far.horn_radius_mm,
        far.wire_mm,
        far.rod_length_mm,
    )
    assert near.pulse_us.normal + far.pulse_us.normal == pytest.approx(2 * near.pulse_us.centre)
    assert near.pulse_us.reverse == far.pulse_us.normal


def test_what_a_refusal_offers_was_tried():
    """A crank in line with an arm that goes to 90°, its spindle aside: no one change does, what is offered does."""
    spec = lift(crank_mm=3.0, crank_pivot_mm=(-12.0, 60.0), positions=places(0.0, 45.0, 90.0))

    def works(asked):
        try:
            return bool(solve(asked, bracket(asked)))
        except NoDesign:
            return False

    told = tried_changes(spec, works, {}, others=other_asked(spec))

    offered = dict(other_asked(spec))
    assert "--positions 'p0=-45, p1=0, p2=45' --crank-pivot 60 with the crank set back on its spindle" in told
    assert all(works(offered[each]) for each in told)
    assert not any(works(other) for each, other in offered.items() if each.count("--") == 1)


def test_a_travel_that_works_is_offered():
    """The nearest of those tried for a lift that no arm makes."""
    spec = lift(travel_mm=20.0, positions=evenly(2, 0.0, 20.0))

    (told,) = tried_changes(
        spec, lambda asked: max(place.at for place in asked.positions) <= 11.0, {}, others=other_asked(spec)
    )

    assert told == "--travel 10"


def test_what_was_left_out_of_a_lift_is_told():
    """Two places 0 and 4 mm, no crank, a tenth of a newton on the rod, half a one on the stop, a second."""
    found = asked_of(lift())

    assert [(place.name, place.at) for place in found.places] == [("rest", 0.0), ("raised", 4.0)]
    assert (found.crank_mm, found.pivot_y, found.pivot_z) == (None, None, 0.0)
    assert (found.weight_n, found.stop_n, found.seconds) == (0.1, 0.5, 1.0)
    assert [place.at for place in asked_of(lift(travel_mm=6.0)).places] == [0.0, 6.0]


@pytest.mark.parametrize(("low", "spindle"), [(-30.0, 3.0), (10.0, 3.0), (-30.0, 20.0)])
def test_a_longer_crank_stands_as_far_up_as_its_hole_asks(low, spindle):
    """3.0 to 4.0 mm in steps of 0.2; the spindle on the lowest half millimetre that leaves 0.1 mm more than must be."""
    spec = lift(crank_mm=3.0, crank_of_scale=True, crank_pivot_mm=(None, spindle), positions=places(low, 40.0))

    found = list(longer(spec, 2.05))

    assert [one.crank_mm for one in found] == [3.0, 3.2, 3.4, 3.6, 3.8, 4.0]
    for one in found:
        y, z = one.crank_pivot_mm
        needs = 2.05 + 0.1 + max(0.0, -one.crank_mm * math.sin(math.radians(low)))
        assert y is None
        assert z == spindle or (z % 0.5 == 0.0 and needs <= z < needs + 0.5 and z > spindle)
        assert z >= needs - 1e-9
    assert not list(longer(spec.model_copy(update={"crank_of_scale": False}), 2.05))
    assert [one.crank_pivot_mm[1] for one in longer(lift(crank_mm=3.9, crank_of_scale=True, crank_pivot_mm=None,
            positions=places(0.0, 40.0)), 0.0)] == [0.5]  # fmt: skip


def test_the_crank_that_was_taken_is_asked_for_again():
    """Where only the scale said how long it is: its length, its spindle's height, and free across."""
    spec = lift(crank_mm=2.0, crank_of_scale=True, crank_pivot_mm=(None, 40.0), positions=places(-20.0, 20.0))
    drive = solve(spec, bracket(spec)).model_copy(update={"crank_mm": 3.4, "crank_pivot": (-3.1, 41.5)})

    again = as_taken(spec, drive)

    assert (again.crank_mm, again.crank_pivot_mm, again.crank_of_scale) == (3.4, (None, 41.5), False)
    measured = spec.model_copy(update={"crank_of_scale": False})
    assert as_taken(measured, drive) is measured
    assert as_taken(spec, drive.model_copy(update={"crank_pivot": None})) is spec


def test_other_travels_are_shares_of_the_one_asked_for():
    """85 %, 120 %, 70 %, 150 %, half, twice and three times 7.3 mm, to a tenth, the places between in proportion."""
    spec = lift(travel_mm=7.3, positions=places(0.0, 2.0, 7.3))

    found = list(other_asked(spec))

    travels = [6.2, 8.8, 5.1, 10.9, 3.6, 14.6, 21.9]
    assert [told for told, _ in found] == [f"--travel {travel:g}" for travel in travels]
    assert [one.travel_mm for _, one in found] == travels
    for _, one in found:
        assert [place.at for place in one.positions] == pytest.approx([0.0, one.travel_mm * 2 / 7.3, one.travel_mm])


@pytest.mark.parametrize(
    ("crank_mm", "cranks", "height", "heights"),
    [
        (3.4, [2.9, 4.1, 2.4, 5.1, 1.7, 6.8, 10.2], 62.3, [74.8, 93.4, 124.6, 186.9]),
        (10.0, [8.5, 12.0, 7.0, 15.0, 5.0], 100.0, [120.0, 150.0, 200.0, 300.0]),
        (2.0, [1.7, 2.4, 1.4, 3.0, 1.0, 4.0, 6.0], 101.0, [121.2, 151.5, 202.0]),
    ],
)
def test_other_cranks_and_spindles_are_those_that_may_be_asked_for(crank_mm, cranks, height, heights):
    """One change each first: other lengths, upright at the same height and 1.2 to 3 times as high, level half way;
    cranks from 1 to 15 mm, spindles up to 300 mm; then all together."""
    spec = lift(crank_mm=crank_mm, crank_pivot_mm=(-8.0, height), positions=places(-10.14, 40.0))

    found = list(other_asked(spec))

    upright = [height, *heights]
    alone = [*(f"--crank {size:g}" for size in cranks), *(f"--crank-pivot {z:g}" for z in upright)]
    alone.append("--positions 'p0=-25.1, p1=25.1' with the crank set back on its spindle")
    assert [told for told, _ in found[: len(alone)]] == alone
    assert len(found) == 2 * (1 + len(upright)) * (1 + len(cranks)) - 1
    assert [one.crank_mm for _, one in found[: len(cranks)]] == cranks
    assert [one.crank_pivot_mm for _, one in found[len(cranks) : len(alone) - 1]] == [(None, z) for z in upright]
    counts = [told.count("--") for told, _ in found]
    assert counts == sorted(counts)


def test_a_crank_that_is_level_half_way_is_left_as_it_is():
    """So is a spindle that is over the rod: neither is offered."""
    spec = lift(crank_mm=3.0, crank_pivot_mm=(None, 60.0), positions=places(-20.0, 20.0))

    assert [told for told, _ in other_asked(spec) if told.count("--") == 1 and "--crank " not in told] == [
        "--crank-pivot 72", "--crank-pivot 90", "--crank-pivot 120", "--crank-pivot 180",
    ]  # fmt: skip


def test_what_is_told_of_a_lift_is_what_it_does():
    """Dead band at the crank, the hole in the board where there is one, and lift and turn in words."""
    turned = lift(crank_mm=3.0, crank_pivot_mm=(None, 60.0), positions=places(0.0, 45.0))
    slid = lift(travel_mm=4.0, positions=evenly(2, 0.0, 4.0))
    crank, wire = solve(turned, bracket(turned)), solve(slid, bracket(slid, max_board_hole_mm=None))
    play_mm = crank.arm_hole_drill_mm - crank.wire_mm + 0.1

    assert crank.deadband_deg == pytest.approx(crank.deadband_mm * crank.backlash_deg / play_mm)
    assert crank.deadband_mm == pytest.approx(turned.servo.dead_band_us * crank.pin_mm_per_us)
    assert (wire.deadband_deg, wire.backlash_deg, wire.board_hole_mm) == (None, None, None)
    assert crank.board_hole_mm % 0.5 == 0.0
    assert "lifts 4 mm at" in wire.explanation
    assert "turns the crank 45° at" in crank.explanation
    for drive in (crank, wire):
        first, last = drive.positions[0], drive.positions[-1]
        told = [(place.pulse_us, place.lift_mm if drive is wire else place.angle_deg) for place in (first, last)]
        assert [drive.curve[0], drive.curve[-1]] == [pytest.approx(pair, abs=1e-3) for pair in told]
        steps = np.diff([us for us, _ in drive.curve])
        assert len(drive.curve) == 25
        assert steps == pytest.approx(np.full(24, (last.pulse_us - first.pulse_us) / 24), abs=2e-3)
        assert (drive.pulse_us.normal, drive.pulse_us.reverse) == (first.pulse_us, last.pulse_us)
