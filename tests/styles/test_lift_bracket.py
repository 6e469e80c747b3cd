"""The bracket of a lift: rod, guide and servo where they belong; its checks with one figure just good or just bad."""

from __future__ import annotations

import math

import numpy as np
import pytest
from made import kept
from plain import designed

from mounts import scene
from mounts.checks.clearance import check_clearance
from mounts.checks.mechanics import check_mechanics
from mounts.drive.lift.rules import MOST_BACKLASH_DEG
from mounts.drive.spread import spread_of
from mounts.pipeline import Designed, check_mount
from mounts.report.steps import steps
from mounts.scene_lift import marks, rod_end, used_mm
from mounts.scene_wire import wire_cut_mm
from mounts.styles import style_of, styles

WIRE = {"style": "lift-bracket", "board": "12 mm", "scale": "N", "travel": 4.0}
CRANK = {"style": "lift-bracket", "board": "18 mm", "crank": 3.0, "crank_pivot": "60", "positions": "0, 45"}
BOOM = {"style": "lift-bracket", "board": "12 mm", "scale": "O", "moves": "boom", "mirror": True}


def rows(mount, **figures):
    """Checks of the mechanics with figures of the drive, of its servo or of the positions changed."""
    drive = mount.design.drive.model_copy(update=figures)
    design = mount.design.model_copy(update={"drive": drive})
    spread = spread_of(design.spec, mount.limits, drive)
    return {check.name: check for check in check_mechanics(design, spread, mount.limits)}


@pytest.mark.solid
@pytest.mark.parametrize("asked", [WIRE, {**WIRE, "positions": 3}, CRANK, BOOM])
def test_every_check_passes(asked):
    """Two and three positions, wire and crank, mirrored too: no check fails or warns."""
    mount = kept(**asked)
    style = style_of("lift-bracket")
    design = mount.design
    spread = spread_of(design.spec, mount.limits, design.drive)
    designed = Designed(style, style.options(), mount.limits, design, spread)

    assert [check for check in check_mount(designed, mount.meshes) if check.verdict != "pass"] == []


@pytest.mark.solid
@pytest.mark.parametrize("asked", [WIRE, CRANK, BOOM])
def test_the_rod_stands_in_the_guide_and_the_arm_is_level(asked):
    """At mid the arm points to the rod, level; the rod passes x = y = 0 at the plate to half the guide's width."""
    design = kept(**asked).design
    hole, origin = scene.horn_hole(design, 0.0), scene.shaft_axis(design)[0]
    path = scene.wire_path(design, 0.0)
    z = -design.spec.board.thickness_mm - 2.0

    assert hole[2] == pytest.approx(origin[2], abs=1e-6)
    assert hole[1] > origin[1]
    passes = [np.interp(z, path[-5:, 2], path[-5:, n]) for n in (0, 1)]
    assert np.abs(passes).max() < design.drive.guide_mm / 2
    # a longer pulse turns the arm the way that its position asks for
    for place in design.drive.positions:
        theta = math.radians(place.arm_deg - design.drive.mid_deg)
        assert scene.horn_hole(design, theta)[2] - hole[2] == pytest.approx(
            design.drive.horn_radius_mm * math.sin(math.radians(place.arm_deg)), abs=1e-6
        )


@pytest.mark.solid
def test_the_rod_ends_in_the_crank_s_hole():
    """As far from the spindle as the crank is long, at every angle, and one rod from the arm's hole."""
    design = kept(**CRANK).design
    drive = design.drive
    for theta in scene.arm_angles_rad(design, 5):
        end = rod_end(design, float(theta)).at
        hole = scene.horn_hole(design, float(theta))
        assert math.hypot(end[1] - drive.crank_pivot[0], end[2] - drive.crank_pivot[1]) == pytest.approx(3.0)
        assert math.hypot(*(end - hole)[1:]) == pytest.approx(drive.rod_length_mm)


@pytest.mark.solid
@pytest.mark.parametrize("asked", [WIRE, CRANK])
def test_the_marks_are_where_the_drawn_line_bends(asked):
    """Developed length of the drawn line, chords of 15°: as long as said to a few hundredths, and the cut is longer."""
    design = kept(**asked).design
    path = scene.wire_path(design, 0.0)
    drawn = float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum())
    # the line keeps the corner at the crank sharp: two radii in place of a quarter circle
    sharp = design.drive.foot_radius_mm * (2 - math.pi / 2) if design.drive.crank_mm else 0.0

    assert used_mm(design) == pytest.approx(drawn - sharp, rel=0.01)
    found = marks(design)
    assert [mark.at_mm for mark in found] == sorted(mark.at_mm for mark in found)
    assert sum(mark.angle_deg for mark in found[2:5]) == 0.0
    assert wire_cut_mm(design) > used_mm(design)


def test_exchanged_pulses_miss_their_positions():
    """Normal for reverse, or a servo that turns otherwise than told."""
    mount = designed(**CRANK)
    first, last = mount.design.drive.positions
    exchanged = (
        first.model_copy(update={"pulse_us": last.pulse_us}), last.model_copy(update={"pulse_us": first.pulse_us}),
    )  # fmt: skip

    assert rows(mount)["positions"].verdict == "pass"
    assert rows(mount, positions=exchanged)["positions"].verdict == "fail"


@pytest.mark.parametrize(
    ("name", "figure", "good", "bad"),
    [
        ("stop-force", "loop_leg_mm", 0.97, 0.9),
        ("spring-bend", "loop_leg_mm", 1.0, 3.0),
        ("positions", "rod_length_mm", 1.0, 1.002),
    ],
)
def test_each_load_has_its_limit(name, figure, good, bad):
    """A figure of the drive just good and one just bad, on that one count."""
    mount = designed(**CRANK)
    value = getattr(mount.design.drive, figure)

    assert rows(mount, **{figure: value * good})[name].verdict == "pass"
    assert rows(mount, **{figure: value * bad})[name].verdict == "fail"


def test_a_bend_that_closes_lets_the_stall_through():
    """With a crown so narrow that its feet meet, the servo's whole stall comes on the rod, and long legs fold up."""
    mount = designed(**CRANK)
    drive = mount.design.drive
    stalled = mount.design.spec.servo.stall_torque_nmm / drive.horn_radius_mm
    open_, shut = (rows(mount, loop_radius_mm=radius, loop_leg_mm=20.0)["buckling-at-stall"] for radius in (2.5, 0.6))

    assert open_.verdict == "pass"
    assert shut.verdict == "fail"
    assert f"{stalled:.1f} N" in shut.message


def test_play_is_told_in_degrees_by_the_crank():
    """(drill − wire + 0.1 in the crank)/(c·sin 45°) rad at 45°, and more than allowed once the arm's hole is worn."""
    mount = designed(**CRANK)
    drive = mount.design.drive
    angle = math.radians(drive.transmission_deg)
    wanted = math.degrees((drive.arm_hole_drill_mm - drive.wire_mm + 0.1) / (3.0 * math.sin(angle)))

    assert rows(mount)["backlash"].value == pytest.approx(wanted, rel=0.01)
    assert drive.backlash_deg <= MOST_BACKLASH_DEG


def test_a_rod_bent_too_long_has_its_play_told_nearer_to_the_dead_point_as_well():
    """0.4 mm too long in the CRANK's, 34° are left between rod and crank: play/(c·sin μ) rad there, as elsewhere, and
    a study of what may be off."""
    mount = designed(**CRANK)
    drive = mount.design.drive
    found = rows(mount, rod_length_mm=drive.rod_length_mm + 0.4)
    left = found["transmission"]

    assert (left.verdict, 30.0 < left.value < 40.0) == ("fail", True)
    play = drive.arm_hole_drill_mm - drive.wire_mm + 0.1
    wanted = math.degrees(play / (3.0 * math.sin(math.radians(left.value))))
    assert found["backlash"].value == pytest.approx(wanted, rel=1e-6)


@pytest.mark.solid
def test_a_narrow_guide_binds_and_a_wide_hole_frees():
    """The rod, thicker than its guide, cuts the plate; as chosen it does not."""
    mount = kept(**CRANK)
    drive = mount.design.drive
    thick = mount.design.model_copy(update={"drive": drive.model_copy(update={"wire_mm": drive.guide_mm + 0.6})})

    def cut(design):
        return next(check for check in check_clearance(design, mount.meshes) if check.name == "wire-mount")

    assert cut(mount.design).verdict == "pass"
    assert cut(thick).verdict == "fail"


@pytest.mark.solid
def test_steps_find_the_end_without_force():
    """Arm level at the centre, the end found from the centre step by step, and the pace for the controller."""
    told = " ".join(steps(kept(**WIRE).design))

    assert "it stands level and points to the rod" in told
    assert "Find each end without force: from 1500 µs" in told
    assert "a pace of 510 µs a second" in told


def test_the_style_is_found():
    """Its file is all there is to it."""
    assert styles()["lift-bracket"].drive == "lift"
