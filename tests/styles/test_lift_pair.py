"""Two brackets of a lift that stand against each other for two arms a few millimetres apart."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from made import kept

from mounts import scene
from mounts.asked import asked as request
from mounts.checks.drivers import drivers
from mounts.checks.neighbours import NEIGHBOUR_MM, Standing, check_sites, outlines
from mounts.checks.partner import APART_MM, check_partner
from mounts.drive.spread import spread_of
from mounts.errors import NoDesign
from mounts.export.template import render_template, template
from mounts.inputs.layout import BoardTable, Site
from mounts.pipeline import Designed, check_mount, design_mount
from mounts.report.steps import steps
from mounts.styles import style_of

NEAR = (9.0, {"style": "lift-bracket", "board": "12 mm", "scale": "N", "travel": 4.0})
LARGE = (9.0, {"style": "lift-bracket", "board": "18 mm", "servo": "standard-40g", "travel": 4.0, "positions": 3})
THIN = (15.0, {"style": "lift-bracket", "board": "6 mm", "servo": "submicro-4g", "moves": "semaphore", "scale": "O"})
ASKED = [NEAR, LARGE, THIN]


def made(beside, asked, *, mirror=False):
    return kept({"beside_mm": beside}, **asked, mirror=mirror)


def around(mount):
    """Print, servo, arm, rod and screws at eleven angles, drawn one by one."""
    design = mount.design
    bodies = [scene.mount_body(mount.meshes), scene.servo_body(design), scene.hub_body(design)]
    bodies += [*scene.screw_bodies(design), scene.plug_sweep(design)]
    bodies.append(scene.moved(scene.cable_stub(design.spec.servo), design.datums.servo))
    for theta in scene.arm_angles_rad(design, 11):
        bodies.append(scene.arm_blade(design, float(theta)))
        bodies += scene.wire_pieces(scene.wire_path(design, float(theta)), design.drive.wire_mm)
    return scene.union(bodies)


@pytest.mark.solid
@pytest.mark.parametrize(("beside", "asked", "mirror"), [*((*one, False) for one in ASKED), (*NEAR, True)])
def test_every_check_passes(beside, asked, mirror):
    """Least and largest servo, near and farther, with a pad, wire and crank: no check of either fails or warns."""
    mount, style = made(beside, asked, mirror=mirror), style_of("lift-bracket")
    spread = spread_of(mount.design.spec, mount.limits, mount.design.drive)
    designed = Designed(style, style.options(beside_mm=beside), mount.limits, mount.design, spread)

    checks = list(check_mount(designed, mount.meshes))
    assert [check for check in checks if check.verdict != "pass"] == []
    assert "partner" in {check.name for check in checks}


@pytest.mark.solid
@pytest.mark.parametrize(("beside", "asked"), ASKED)
def test_the_mirrored_mount_turned_half_round_clears_it(beside, asked):
    """Not an image but the mount that ``--mirror`` builds, where steps and layout put it; either driven in last."""
    one, other = made(beside, asked), made(beside, asked, mirror=True)
    turned = np.diag([-1.0, -1.0, 1.0, 1.0])
    turned[1, 3] = beside

    first, second = around(one), scene.moved(around(other), turned)
    assert first.min_gap(second, 5.0) >= APART_MM
    assert first.min_gap(scene.moved(scene.union(drivers(other.design)), turned), 5.0) >= APART_MM
    assert scene.union(drivers(one.design)).min_gap(second, 5.0) >= APART_MM
    # of any two of a layout
    sites = [Site("main", 100.0, 100.0, 0.0), Site("main", 100.0, 100.0 + beside, 180.0)]
    standing = [
        Standing(name, site, outlines(mount.design, mount.meshes), mount.design.spec.board.thickness_mm)
        for name, site, mount in zip(("a", "b"), sites, (one, other), strict=True)
    ]
    found = check_sites(standing, {"main": BoardTable(board=asked["board"])})
    assert {check.value >= NEIGHBOUR_MM - 1e-3 for checks in found.values() for check in checks} == {True}
    # both rods where they belong: one on the middle of the axes, one that far across
    assert scene.moved(scene.box((-0.1, -0.1, 0.0), (0.1, 0.1, 1.0)), turned).bounding_box()[1] == beside - 0.1


@pytest.mark.solid
def test_just_far_enough_and_just_too_near():
    """2 mm are left between both: 0.4 nearer they pass, 0.6 nearer they do not."""
    mount = made(*NEAR)
    own = next(iter(check_partner(mount.design, mount.meshes)))

    def verdict(nearer):
        plan = mount.design.plan.model_copy(update={"partner_mm": 9.0 - nearer})
        return next(iter(check_partner(mount.design.model_copy(update={"plan": plan}), mount.meshes))).verdict

    assert own.value == pytest.approx(2.0, abs=0.1)
    assert (verdict(0.4), verdict(0.6)) == ("pass", "fail")


@pytest.mark.solid
def test_an_arm_that_is_too_long_is_cut_and_told():
    """Uncut it would reach over its half, cut it does not, and its hole keeps its plastic."""
    design = made(*NEAR).design
    half, servo, cut = (9.0 - NEIGHBOUR_MM) / 2, design.spec.servo, design.plan.arm_length_mm

    assert cut is not None
    assert design.drive.shaft[0] + servo.horn_length_mm > half
    for theta in scene.arm_angles_rad(design, 9):
        assert scene.arm_blade(design, float(theta)).bounding_box()[4] <= half + 1e-6
    assert cut - design.drive.horn_radius_mm - design.drive.arm_hole_drill_mm / 2 >= 0.8
    told = " ".join(steps(design))
    assert f"Cut the arm off {cut:g} mm from the shaft" in told
    assert "made with --mirror and otherwise alike. Drill for its rod 9 mm from this hole" in told


@pytest.mark.solid
def test_the_template_shows_the_second_hole():
    """Its circle is as large, 9 mm below the first on paper, which is seen from below."""
    mount = made(*NEAR)
    drawn = render_template(template(mount.design, mount.meshes), mount.design).decode()
    wide = mount.design.drive.board_hole_mm / 2
    found = re.findall(r'<circle cx="([^"]+)" cy="([^"]+)" r="([^"]+)"', drawn)
    circles = [tuple(map(float, one)) for one in found]
    holes = [(x, y) for x, y, r in circles if math.isclose(r, wide, abs_tol=1e-6)]

    assert (0.0, 9.0) in [(round(b[0] - a[0], 3), round(abs(b[1] - a[1]), 3)) for a in holes for b in holes]


@pytest.mark.parametrize("servo", ["submicro-4g", "micro-9g", "micro-13g", "mini-20g", "standard-40g"])
def test_the_least_distance_is_offered_and_works(servo):
    """4 mm are too few for two servos: the refusal says what would do, half a millimetre less does not, 15 mm do."""
    asked = {"id": "p", "style": "lift-bracket", "board": "12 mm", "scale": "N", "travel": "4 mm", "servo": servo}
    with pytest.raises(NoDesign, match="mm beyond the rod") as refused:
        design_mount(request(**asked, set={"beside_mm": 4}))

    least = float(re.search(r"tried and works: --set beside_mm=([\d.]+)", str(refused.value))[1])
    assert least <= 9.0
    design_mount(request(**asked, set={"beside_mm": least}))
    design_mount(request(**asked, set={"beside_mm": 15}))
    with pytest.raises(NoDesign):
        design_mount(request(**asked, set={"beside_mm": least - 0.5}))


def test_more_room_and_another_crank_are_offered_together():
    """A crank that is too short for the dead band, and too little room: neither change does alone, both do."""
    asked = {
        "id": "p", "style": "lift-bracket", "servo": "micro-9g", "board": "9 mm", "scale": "HO", "crank_pivot": "50",
        "positions": "0, 45",
    }  # fmt: skip
    with pytest.raises(NoDesign) as refused:
        design_mount(request(**asked, crank=2, set={"beside_mm": 4}))

    told = re.search(r"tried and works: --set beside_mm=([\d.]+) with .*--crank ([\d.]+)", str(refused.value))
    beside, crank = map(float, told.groups())
    design_mount(request(**asked, crank=crank, set={"beside_mm": beside}))
    for one, other in ((4, crank), (beside, 2)):
        with pytest.raises(NoDesign):
            design_mount(request(**asked, crank=other, set={"beside_mm": one}))
