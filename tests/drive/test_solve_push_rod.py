"""The push rod's solver: what it promises holds, what it refuses it explains."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from held_rods import held
from hypothesis import given, settings
from hypothesis import strategies as st
from requests_for_drives import SERVOS, bracket_limits, housing_limits, request

from mounts.drive.bends import curvature_factor
from mounts.drive.push_rod.kinematics import rod_pin_offset_mm, slide_mm
from mounts.drive.push_rod.model import PushRodDrive
from mounts.drive.solve import solve
from mounts.drive.spread import spread
from mounts.errors import NoDesign


def assert_sound(spec, limits, drive):
    """Every promise of a drive, from its own figures and the formulas printed in the brief."""
    low, high = spec.force_n
    theta = math.radians(drive.swing_deg)
    rod = {
        "horn_radius_mm": drive.horn_radius_mm,
        "rod_length_mm": drive.rod_length_mm,
        "offset_mm": drive.offset_mm,
    }
    travel = float(rod_pin_offset_mm(theta, **rod) - rod_pin_offset_mm(-theta, **rod))
    assert drive.travel_mm == pytest.approx(travel)
    assert drive.travel_mm == pytest.approx(spec.throw_mm + 2 * drive.overtravel_mm)
    assert low - 1e-9 <= drive.force_after_slack_n <= min(drive.force_n, high + 1e-9)
    assert_held(spec, drive)
    inside = drive.stress_mpa * float(curvature_factor(drive.loop_radius_mm, drive.wire_mm))
    assert inside <= spec.wire.stress_limit * drive.wire_tensile_mpa + 1e-9
    assert drive.torque_margin == pytest.approx(spec.servo.stall_torque_nmm / drive.servo_torque_nmm)
    assert drive.torque_margin >= 3.0 - 1e-9
    step = 1e-5
    rate = float(rod_pin_offset_mm(step, **rod) - rod_pin_offset_mm(-step, **rod)) / (2 * step)
    assert drive.pin_mm_per_us == pytest.approx(rate * math.radians(spec.servo.degrees_per_us), rel=1e-6)
    assert drive.deadband_mm == pytest.approx(drive.pin_mm_per_us * spec.servo.dead_band_us)
    assert drive.buckling_margin >= 3.0
    path = np.array(drive.rod_path_mm)
    assert float(path[:, 1].max()) + drive.wire_mm / 2 == pytest.approx(drive.loop_height_mm, abs=1e-4)
    assert drive.loop_height_mm <= limits.max_loop_height_mm + 1e-9
    assert drive.loop_width_mm <= limits.max_loop_width_mm + 1e-9
    assert drive.loop_radius_mm - drive.wire_mm / 2 >= 1.5 * drive.wire_mm - 1e-9
    least, most = limits.rod_length_mm
    assert least <= drive.rod_length_mm <= most
    taken = limits.before_loop_mm + drive.loop_width_mm + limits.after_loop_mm
    assert taken <= drive.rod_length_mm + 1e-9
    ends = [float(slide_mm(s * theta, **rod)) for s in (-1, 1)]
    assert sum(ends) / 2 == pytest.approx(drive.shaft_to_pin_mm)
    marks = [bend.at_mm for bend in drive.bends]
    assert marks == sorted(marks)
    assert marks[0] >= 0
    assert marks[-1] < drive.cut_length_mm


def assert_held(spec, drive):
    """Both ways, by the frame of tests/held_rods.py: force in its band, slack taken up; legs apart without too."""
    low, high = spec.force_n
    for side in (-1, 1):
        pressed, tight = (held(drive, spec.throw_mm, side, less_mm=less) for less in (drive.lost_motion_mm / 2, 0.0))
        assert low * 0.99 <= pressed.blade_n <= high * 1.01
        assert min(pressed.clear_mm, tight.clear_mm) > 0.6  # twice the 0.3 mm that hands bend to


@pytest.mark.parametrize("servo", SERVOS)
@pytest.mark.parametrize("scale", ["Z", "N", "TT", "HO", "OO", "S", "O"])
def test_every_servo_moves_the_points_of_every_usual_scale(servo, scale):
    """Each class has a sound push rod in a housing of usual size."""
    spec = request(servo=servo, scale=scale, style="hut")
    limits = housing_limits(spec)

    assert_sound(spec, limits, solve(spec, limits))


def test_whole_space_gives_a_sound_drive_or_an_explanation():
    """Whatever the housing allows, the drive keeps its promises or one line says what removed most.

    Of these 25, seeded, about a third has a drive, and must not lose it.
    """
    designed = []

    @settings(max_examples=25)
    @given(
        servo=st.sampled_from(SERVOS),
        scale=st.sampled_from(["Z", "N", "HO", "O", "I"]),
        throw_mm=st.floats(0.9, 10),
        shortest=st.floats(15, 60),
        more=st.floats(0, 40),
        let_down=st.just(0.0) | st.floats(0, 12),
        height=st.floats(4, 30),
        width=st.floats(4, 40),
    )
    def holds(servo, scale, throw_mm, shortest, more, let_down, height, width):
        spec = request(servo=servo, scale=scale, style="hut", throw_mm=throw_mm)
        limits = housing_limits(
            spec,
            rod_length_mm=(shortest, shortest + more),
            let_down_mm=let_down,
            max_loop_height_mm=height,
            max_loop_width_mm=width,
        )

        try:
            drive, said = solve(spec, limits), None
        except NoDesign as refusal:
            drive, said = None, str(refusal)

        if drive is None:
            assert re.match(r"^east-1: no drive; the limit '[\w -]+' removed most \(\d+ of \d+", said)
        else:
            designed.append(drive)
            assert_sound(spec, limits, drive)

    holds()
    assert len(designed) > 5


def test_a_fixed_rod_and_a_servo_let_down_are_kept():
    """A rod of one length is what the drive has, and its slide line is as far from the arm hole as asked."""
    spec = request(style="hut")
    limits = housing_limits(spec, rod_length_mm=(52.0, 52.0), let_down_mm=2.0)
    drive = solve(spec, limits)

    assert drive.rod_length_mm == 52.0
    assert drive.horn_radius_mm - drive.offset_mm == pytest.approx(2.0)
    assert_sound(spec, limits, drive)


def test_low_housing_says_how_high_it_must_be_and_that_is_enough():
    """The loop height asked for in a refusal, once allowed, gives a drive."""
    spec = request(style="hut")
    with pytest.raises(NoDesign) as refusal:
        solve(spec, housing_limits(spec, max_loop_height_mm=5.0))
    found = re.search(r"needs ([\d.]+) mm of loop height, allowed 5.0; a thinner --wire", str(refusal.value))

    assert found, str(refusal.value)
    assert solve(spec, housing_limits(spec, max_loop_height_mm=float(found[1])))


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"rod_length_mm": (330.0, 330.0)}, "a smaller --track-distance"),
        ({"let_down_mm": 9.0, "max_lean_deg": 3.0}, "a greater --track-distance"),
    ],
    ids=["buckles", "leans"],
)
def test_a_rods_length_is_mended_by_the_track_distance(changes, said):
    """Nobody types a rod's length: a rod that buckles or leans is told as the option it comes of."""
    spec = request(style="hut", wire_mm=0.6, arm_hole_mm=5.0)

    with pytest.raises(NoDesign) as refusal:
        solve(spec, housing_limits(spec, **changes))

    assert said in str(refusal.value)
    assert not re.search("(longer|shorter) rod", str(refusal.value))


def test_pins_are_kept():
    """Wire, arm hole and swing as pinned."""
    spec = request(style="hut", wire_mm=0.6, arm_hole_mm=7.0, swing_deg=31.5)
    drive = solve(spec, housing_limits(spec))

    assert (drive.wire_mm, drive.horn_radius_mm) == (0.6, 7.0)
    assert drive.swing_deg == pytest.approx(31.5)


@settings(max_examples=8)
@given(servo=st.sampled_from(SERVOS), scale=st.sampled_from(["N", "HO", "O"]))
def test_spread_of_a_push_rod_lies_inside_its_worst_case(servo, scale):
    """Percentiles inside the worst case, the nominal that of the slack taken up; the points close in the worst."""
    spec = request(servo=servo, scale=scale, style="hut")
    limits = housing_limits(spec)
    drive = solve(spec, limits)
    study = spread(spec, limits, drive, samples=1000)

    for name in ("travel_mm", "overtravel_mm", "force_n"):
        seen = getattr(study, name)
        assert seen.low < seen.percentile_5 < seen.percentile_95 < seen.high
    assert study.travel_mm.nominal == pytest.approx(drive.travel_mm)
    assert study.force_n.nominal == pytest.approx(drive.force_after_slack_n)
    assert study.overtravel_mm.low >= 0.0


def test_limits_and_drive_of_different_kinds_are_a_programmers_mistake():
    """A rocking wire studied under a housing's limits is refused."""
    spec = request()
    drive = solve(spec, bracket_limits(spec))

    with pytest.raises(TypeError, match="different kinds"):
        spread(spec, housing_limits(spec), drive)


def test_drive_survives_json():
    """A drive read back from its JSON is the same, its kind told by the discriminator."""
    spec = request(style="hut")
    drive = solve(spec, housing_limits(spec))

    assert PushRodDrive.model_validate_json(drive.model_dump_json()) == drive
