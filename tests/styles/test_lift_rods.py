"""A bracket with two rods, one at either end of the servo's arm: where they stand, and each check on its own count."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from made import kept
from plain import designed

from mounts import scene
from mounts.asked import asked as request
from mounts.checks.clearance import check_clearance
from mounts.checks.lift import JUDGING
from mounts.checks.mechanics import check_mechanics
from mounts.checks.neighbours import outlines
from mounts.drive.spread import spread_of
from mounts.errors import InputError
from mounts.export.template import render_template, template
from mounts.export.view import items
from mounts.export.wire_drawing import render_wire
from mounts.pipeline import Designed, check_mount
from mounts.report.hardware import hardware
from mounts.report.steps import steps
from mounts.styles import style_of

BOOM = {"style": "lift-bracket", "board": "12 mm", "scale": "O", "moves": "boom", "arm_hole": 9}
WIRE = {"style": "lift-bracket", "board": "6 mm", "servo": "submicro-4g", "scale": "N", "travel": 4.0, "positions": 3}
LEANS = {"style": "lift-bracket", "board": "18 mm", "crank": 3.0, "crank_pivot": "5, 40", "positions": "-10, 40"}
LEANS |= {"servo": "mini-20g", "mirror": True}
ASKED = [BOOM, WIRE, LEANS]


def made(asked):
    return kept({"rods": 2}, **asked)


def numbers(asked):
    """The same without its solids."""
    return designed(**asked, set={"rods": 2})


def rows(mount, **figures):
    """Checks of the mechanics with figures of the second rod changed."""
    second = mount.design.drive.second.model_copy(update=figures)
    design = mount.design.model_copy(update={"drive": mount.design.drive.model_copy(update={"second": second})})
    spread = spread_of(design.spec, mount.limits, design.drive)
    return {check.name: check for check in check_mechanics(design, spread, mount.limits)}


def clear(mount, **figures):
    """Clearances with figures of the second rod changed and the print as it is."""
    second = mount.design.drive.second.model_copy(update=figures)
    design = mount.design.model_copy(update={"drive": mount.design.drive.model_copy(update={"second": second})})
    return {check.name: check for check in check_clearance(design, mount.meshes)}


@pytest.mark.solid
@pytest.mark.parametrize("asked", ASKED)
def test_every_check_passes(asked):
    """Cranks and sliding wires, two and three places, with a pad, mirrored: no check of either rod fails or warns."""
    mount, style = made(asked), style_of("lift-bracket")
    spread = spread_of(mount.design.spec, mount.limits, mount.design.drive)
    designed = Designed(style, style.options(rods=2), mount.limits, mount.design, spread)
    checks = list(check_mount(designed, mount.meshes))

    assert [check for check in checks if check.verdict != "pass"] == []
    names = {check.name for check in checks}
    assert {"second-positions", "second-stop-force", "second-buckling-at-stall", "second-transmission-at-arm"} <= names
    assert ("second-lean-of-rod" in names) == (mount.design.drive.crank_mm is not None)


@pytest.mark.solid
@pytest.mark.parametrize("asked", ASKED)
def test_the_second_rod_hangs_in_the_arm_s_other_end(asked):
    """At every angle its hook goes through a point as far from the shaft as the first's, on the other side; it is one
    rod long up to its crank's hole, which is one crank from its spindle, or upright over its guide."""
    design = made(asked).design
    drive, (origin, axis) = design.drive, scene.shaft_axis(design)
    outer = origin + axis * (design.spec.servo.horn_plane_height_mm + drive.wire_mm / 2)
    for theta in scene.arm_angles_rad(design, 7):
        first, second = scene.wire_paths(design, float(theta))
        ends = [outer + side * drive.horn_radius_mm * scene.arm_direction(design, float(theta)) for side in (1, -1)]
        for path, hole in zip((first, second), ends, strict=True):
            assert path[:, 0].max() == pytest.approx(first[:, 0].max())  # the bend stands out alike
            corner = np.linalg.norm(path - hole, axis=1).min()
            assert corner < drive.foot_radius_mm  # it is rounded
        if drive.crank_mm is None:
            assert second[-1, 1] == pytest.approx(drive.second.y_mm)
            continue
        end = second[-1] + axis * 3.5
        y, z = drive.second.crank_pivot
        assert math.hypot(end[1] - y, end[2] - z) == pytest.approx(drive.crank_mm)
        assert math.dist(end[1:], ends[1][1:]) == pytest.approx(drive.second.rod_length_mm)
        assert (end[1] - y) * drive.crank_towards > 0


@pytest.mark.solid
@pytest.mark.parametrize("asked", ASKED)
def test_plate_and_board_have_a_hole_for_each(asked):
    """Straight wire of the guide's width stands in both bores without touching, and in both holes of the board; it does
    not a millimetre to the side. No fixing screw stands in either."""
    mount = made(asked)
    design, print_ = mount.design, scene.mount_body(mount.meshes)
    board = scene.board_body(design, print_)
    for y in (0.0, design.drive.second.y_mm):
        for body, wide in ((print_, design.drive.guide_mm), (board, design.drive.board_hole_mm)):
            reach = np.array([0.0, 0.0, design.spec.board.thickness_mm + 4.0])
            for aside, meets in ((0.0, False), (1.0, True)):
                at = np.array([0.0, y + aside, 0.0])
                bar = scene.rod(at - reach, at, wide / 2 - 0.1)
                assert ((body ^ bar).volume() > 0.01) == meets, (y, aside)
        hole = scene.rod(np.array([0.0, y, -40.0]), np.array([0.0, y, 0.0]), design.drive.board_hole_mm / 2)
        assert min(hole.min_gap(screw, 9.0) for screw in scene.screw_bodies(design)) >= 1.5


@pytest.mark.solid
def test_the_arm_has_two_ends():
    """Its tips are as far from the shaft on both sides; what stands beside the mount sees both."""
    mount = made(BOOM)
    design, servo = mount.design, mount.design.spec.servo
    box = scene.arm_blade(design, 0.0).bounding_box()
    reach = max(abs(y) for outline in outlines(design, mount.meshes) for _, y in outline.corners)

    assert (box[1] + box[4]) / 2 == pytest.approx(design.drive.shaft[0], abs=1e-3)
    assert box[4] - box[1] == pytest.approx(2 * servo.horn_length_mm, abs=0.05)
    assert reach >= servo.horn_length_mm - design.drive.shaft[0] - 0.5
    one = kept({}, **BOOM).design
    assert scene.arm_blade(one, 0.0).bounding_box()[1] > one.drive.shaft[0] - servo.horn_hub_mm


def test_a_second_rod_that_is_too_long_misses_its_places():
    """By some hundredths it is within a degree, by a tenth it is not; the first's row is as it was."""
    mount = numbers(BOOM)
    long, before = mount.design.drive.second.rod_length_mm, rows(mount)

    for more, verdict in ((0.03, "pass"), (0.08, "fail")):
        found = rows(mount, rod_length_mm=long + more)
        assert found["second-positions"].verdict == verdict
        assert found["positions"] == before["positions"]


def test_a_stiffer_bend_presses_the_second_s_stop_first():
    """Its rod goes farther past its stop: legs a twelfth shorter are too stiff for it, and not for the first."""
    mount = numbers(BOOM)
    found = {}
    for share in (0.98, 0.92):
        leg = {"loop_leg_mm": share * mount.design.drive.loop_leg_mm}
        drive = mount.design.drive.model_copy(update=leg)
        design = mount.design.model_copy(update={"drive": drive})
        checks = check_mechanics(design, spread_of(design.spec, mount.limits, drive), mount.limits)
        found[share] = {check.name: check.verdict for check in checks}

    assert (found[0.98]["second-stop-force"], found[0.92]["second-stop-force"]) == ("pass", "fail")
    assert found[0.92]["stop-force"] == "pass"


@pytest.mark.solid
def test_a_lean_of_the_second_is_seen():
    """Its spindle farther aside: the rod leans by atan of that over its length, 6° and no more; and binds in its guide
    while the first passes its own."""
    mount = made(BOOM)
    drive, (y, z) = mount.design.drive, mount.design.drive.second.crank_pivot

    def aside(lean_deg):
        more = drive.second.rod_length_mm * math.tan(math.radians(lean_deg - drive.second.lean_deg))
        return {"crank_pivot": (y - more, z)}

    assert rows(mount, **aside(5.7))["second-lean-of-rod"].verdict == "pass"
    assert rows(mount, **aside(6.4))["second-lean-of-rod"].verdict == "fail"
    assert rows(mount, **aside(6.4))["lean-of-rod"].verdict == "pass"
    assert clear(mount)["wire-mount"].verdict == "pass"
    assert clear(mount, **aside(5.0))["wire-mount"].verdict == "fail"


@pytest.mark.solid
def test_a_hole_beside_the_second_rod_meets_it():
    """Drilled 0.2 mm off it is just wide enough with what it has to spare; half a millimetre more, and it is not."""
    mount = made(BOOM)
    spare, y = clear(mount)["wire-board"].value - 0.7, mount.design.drive.second.y_mm

    assert spare >= 0.0
    assert clear(mount, y_mm=y + 0.9 * spare)["wire-board"].verdict == "pass"
    assert clear(mount, y_mm=y + spare + 0.5)["wire-board"].verdict == "fail"


def test_both_weigh_on_the_servo():
    """The torque of one rod of the same figures, and as much more as the second's stop and weight are."""
    mount = numbers(BOOM)
    alone = mount.design.model_copy(update={"drive": mount.design.drive.model_copy(update={"second": None})})
    spread = spread_of(alone.spec, mount.limits, alone.drive)
    limits = mount.limits.model_copy(update={"between_rods_mm": None})
    one = {check.name: check for check in check_mechanics(alone, spread, limits)}["torque-margin"]

    stops = mount.design.drive.stop_force_n, mount.design.drive.second.stop_force_n
    more = (stops[1] + mount.design.drive.weight_n) / (stops[0] + mount.design.drive.weight_n)
    assert one.value / rows(mount)["torque-margin"].value == pytest.approx(1 + more, rel=0.01)


def test_a_rod_that_jams_tips_the_plate_over_its_farther_edge():
    """The pull that its bend lets through, times the way from either rod to the edge, the longer."""
    drive = numbers(BOOM).design.drive
    for edge, way in ((10.5, 10.5 - drive.second.y_mm), (-30.0, 30.0)):
        assert JUDGING.tips_nmm(drive, 99.0, edge) == pytest.approx(drive.fault_force_n * way)


@pytest.mark.solid
@pytest.mark.parametrize("asked", ASKED)
def test_paper_and_parts_have_both(asked):
    """Two holes on the template as wide, as far apart as the rods; two wires and a double arm to buy; steps that drill,
    bend, hook in and set the second."""
    mount = made(asked)
    design, drive = mount.design, mount.design.drive
    drawn = render_template(template(design, mount.meshes), design).decode()
    found = re.findall(r'<circle cx="([^"]+)" cy="([^"]+)" r="([^"]+)"', drawn)
    holes = [(float(x), float(y)) for x, y, r in found if math.isclose(float(r), drive.board_hole_mm / 2, abs_tol=1e-6)]
    apart = sorted({round(abs(b[1] - a[1]), 2) for a in holes for b in holes})
    bought = {entry.item: entry for entry in hardware(design)}
    told = " ".join(steps(design))

    assert round(-drive.second.y_mm, 2) in apart
    assert bought[f"wire, {design.spec.wire.name}"].quantity == 2
    assert "servo, with double arm and arm screw" in bought
    assert "mirror image" in render_wire(design).decode()
    assert any(item.name.startswith("two wires") for item in items(design, mount.meshes))
    assert f"Drill the second rod's hole, as wide, {-drive.second.y_mm:.1f}".rstrip("0").rstrip(".") in told
    for words in ("Bend a second rod", "Hook the second rod", "The second rod goes down"):
        assert words in told
    assert ("face each other" in told) == (drive.crank_towards == -1)
    assert ("once that is glued" in told) == bool(design.plan.pad_xy)


def test_beside_another_mount_there_is_one_rod():
    """Both options together are refused by name, and so are three rods."""
    asked = {"id": "p", "style": "lift-bracket", "board": "12 mm", "scale": "N", "travel": "4 mm"}
    with pytest.raises(InputError, match="leave rods or beside_mm out"):
        request(**asked, set={"rods": 2, "beside_mm": 12})
    with pytest.raises(InputError, match="rods"):
        request(**asked, set={"rods": 3})


def test_an_option_of_another_style_is_told():
    """A drop-in has one rod: the refusal says whose option it is; one that nobody has is as before."""
    asked = {"id": "p", "style": "drop-in", "board": "12 mm", "scale": "N", "travel": "4 mm"}
    with pytest.raises(InputError, match=r"rods = 2: unknown field; .*; it is for lift-bracket$"):
        request(**asked, set={"rods": 2})
    with pytest.raises(InputError, match=r"unknown field; [^;]*$"):
        request(**asked, set={"rodz": 2})
