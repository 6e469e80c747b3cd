"""The loop's checks against a frame of beam elements that has only the drawn path and E·I."""

from __future__ import annotations

import math

import numpy as np
import pytest
from frame_elements import folding_load, pressed
from requests_for_drives import housing_limits, request

from mounts.checks.loop import check_loop
from mounts.drive.push_rod.closed import path_of, rod_closed
from mounts.drive.push_rod.path import rod_path
from mounts.drive.push_rod.study import push_rod
from mounts.drive.solve import solve

SPEC = request(scale="N", style="hut")
DRIVE = solve(SPEC, housing_limits(SPEC))
EI = DRIVE.wire_modulus_mpa * math.pi * DRIVE.wire_mm**4 / 64
BENT_MM = 0.3  # how far off hands bend a loop


def checks(drive=DRIVE, spec=SPEC):
    """The checks by name."""
    return {check.name: check for check in check_loop(spec, drive)}


def legs_apart(path, line):
    """Least distance of the two sides of the loop below the height where the crown is widest at rest."""
    crown = int(np.argmax(path[:, 1]))
    low = path[:, 1] <= path[int(np.argmin(path[:crown, 0] + 1e3 * (path[:crown, 1] < 1.5 * DRIVE.foot_radius_mm))), 1]
    near = np.array([at for at, kept in zip(line[:crown], low[:crown], strict=True) if kept])
    far = np.array([at for at, kept in zip(line[crown + 1 :], low[crown + 1 :], strict=True) if kept])
    return float(np.hypot(*(near[:, None] - far[None, :]).transpose(2, 0, 1)).min())


def narrow(drive):
    """The path of a loop bent too narrow all over, and how far its points press it in the worst case."""
    path = rod_path(
        rod_length_mm=drive.rod_length_mm,
        before_mm=drive.loop_at_mm - drive.loop_feet_mm / 2,
        half_gap_mm=drive.loop_feet_mm / 2 - BENT_MM,
        crown_mm=drive.loop_radius_mm - BENT_MM,
        leg_mm=drive.loop_leg_mm - BENT_MM,
        foot_radius_mm=drive.foot_radius_mm,
    ).line
    servo = SPEC.servo
    theta = math.radians(drive.swing_deg + servo.dead_band_us * servo.degrees_per_us)
    radius = drive.horn_radius_mm + servo.tolerance_mm
    return path, radius * math.sin(theta) - SPEC.throw_mm / 2


def test_a_chosen_loop_passes():
    """All of them, by their own sentences."""
    assert {check.verdict for check in checks().values()} == {"pass"}


def test_the_gap_is_the_frame_s_with_every_tolerance_against_it():
    """Within 0.15 mm: the worst chord is taken as the over-travel here."""
    path, give = narrow(DRIVE)
    _, line = pressed(path, EI, give, steps=4)

    assert legs_apart(path, line) - DRIVE.wire_mm == pytest.approx(checks()["loop-open"].value, abs=0.15)


@pytest.mark.parametrize(("spare_mm", "verdict"), [(0.15, "pass"), (-0.15, "fail")])
def test_feet_just_apart_pass_and_just_meeting_fail(spare_mm, verdict):
    """Feet moved together until the frame's legs keep 0.3 mm, and a bit more and less."""
    feet = 2 * (DRIVE.wire_mm + 0.3)
    for _ in range(30):
        drive = DRIVE.model_copy(update={"loop_feet_mm": feet, "loop_radius_mm": feet / 2})
        path, give = narrow(drive)
        _, line = pressed(path, EI, give, steps=3)
        left = float(np.hypot(*(line[_foot(path, 1)] - line[_foot(path, -1)]))) - drive.wire_mm
        if abs(left - 0.3 - spare_mm) < 0.005:
            break
        feet += 0.3 + spare_mm - left
    found = checks(DRIVE.model_copy(update={"loop_feet_mm": feet, "loop_radius_mm": feet / 2}))["loop-open"]

    assert found.verdict == verdict
    assert verdict == "pass" or "--overtravel" in found.message


def _foot(path, side):
    """The point of a leg just above its rounded foot."""
    order = np.arange(len(path)) if side > 0 else np.arange(len(path))[::-1]
    return next(int(i) for i in order if path[i, 1] >= DRIVE.foot_radius_mm - 1e-6)


def test_a_loop_bent_beyond_its_theory_fails():
    """An arm of three times the length presses the loop by more than three tenths of its height."""
    wild = DRIVE.model_copy(update={"horn_radius_mm": DRIVE.horn_radius_mm * 3.2, "offset_mm": DRIVE.offset_mm * 3.2})

    found = checks(wild)

    assert found["loop-give"].verdict == "fail"
    assert found["loop-give"].value > 30.0
    assert found["loop-formula"].verdict == "fail"


def test_a_loop_near_the_middle_of_a_long_rod_steps_too_far():
    """The rod drawn out to three times its length on either side of the loop."""
    more = DRIVE.rod_length_mm
    far = {"rod_length_mm": DRIVE.rod_length_mm + 2 * more, "loop_at_mm": DRIVE.loop_at_mm + more}

    assert checks(DRIVE.model_copy(update=far))["loop-step"].verdict == "fail"


def test_the_folding_margin_is_the_frame_s():
    """Least eigenvalue of a frame in space over the load that presses it, within 10 %."""
    rod = push_rod(SPEC, DRIVE)
    path = path_of(rod, DRIVE.foot_radius_mm)
    closed = rod_closed(rod, path)
    thin = np.vstack([path.line[:-1:3], path.line[-1:]])
    load, _ = pressed(path.line, EI, closed.overtravel_mm, steps=3)

    assert folding_load(thin, EI) / load == pytest.approx(DRIVE.buckling_margin, rel=0.10)
