"""The drop-in: it drops in and comes out, its seat takes the post, its flange carries; refusals say what works."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from made import build, kept
from slicer import needs_slicer, support_mm

from mounts import scene
from mounts.checks.assembly import check_assembly
from mounts.checks.let_down import EDGE_AIR_MM, check_let_down
from mounts.design import CutOut
from mounts.drive.spread import spread_of
from mounts.errors import NoDesign, NoFixing
from mounts.export.template import render_template, template
from mounts.pipeline import Designed, check_mount
from mounts.report.hardware import hardware
from mounts.report.steps import steps
from mounts.styles import drop_in, style_of
from mounts.styles._drop_options import screws

WIRE = {"style": "drop-in", "board": "12 mm", "scale": "N", "travel": 4.0}
CRANK = {"style": "drop-in", "board": "18 mm", "moves": "semaphore", "mirror": True}
THREE = {"style": "drop-in", "board": "9 mm", "servo": "submicro-4g", "travel": 4.0, "positions": 3}
BOOM = {"style": "drop-in", "board": "38 mm", "scale": "O", "moves": "boom", "servo": "standard-40g"}
BESIDE = {"post": "square", "post_mm": 4.0, "post_y_mm": 7.0}
ASKED = [({}, WIRE), ({}, CRANK), ({}, THREE), ({}, BOOM), (BESIDE, CRANK)]


def found(mount, **changed):
    """Checks of the way down and the flange, fields of the plan changed."""
    design = mount.design.model_copy(update={"plan": mount.design.plan.model_copy(update=changed)})
    return {check.name: check for check in check_let_down(design, mount.meshes)}


def smaller(mount, by_mm):
    """Its cut-out, each edge so much further in."""
    corners = np.array(mount.design.plan.board_cut_out.outline)
    middle = corners.mean(axis=0)
    inner = corners - by_mm * np.sign(corners - middle)
    hole = mount.design.plan.board_cut_out
    return CutOut(outline=tuple(map(tuple, inner)), depth_mm=hole.depth_mm, through=True)


@pytest.mark.solid
@pytest.mark.parametrize(("options", "asked"), ASKED)
def test_every_check_passes(options, asked):
    """Least and largest servo, thin board and thick, wire, crank and boom, post over the rod and beside it."""
    mount, style = kept(options, **asked), style_of("drop-in")
    spread = spread_of(mount.design.spec, mount.limits, mount.design.drive)
    designed = Designed(style, style.options(**options), mount.limits, mount.design, spread)

    assert [check for check in check_mount(designed, mount.meshes) if check.verdict != "pass"] == []


@pytest.mark.solid
@pytest.mark.parametrize(("options", "asked"), ASKED)
def test_it_drops_in_and_comes_out(options, asked):
    """Print, servo, arm at both ends and the middle, rod and cable, moved in steps: nothing meets the board.

    The meshes are moved one by one, where the check looks at their shadow. On the way up the rod is unhooked above, and
    what of it hangs below comes along.
    """
    mount = kept(options, **asked)
    design = mount.design
    board = scene.board_body(design, scene.mount_body(mount.meshes))
    stub = scene.moved(scene.cable_stub(design.spec.servo), design.datums.servo)
    bodies = [scene.mount_body(mount.meshes), scene.servo_body(design), scene.hub_body(design), stub]
    bodies.append(scene.plug_sweep(design))
    for theta in scene.arm_angles_rad(design, 3):
        bodies.append(scene.arm_blade(design, float(theta)))
        bodies += scene.wire_pieces(scene.wire_path(design, float(theta)), design.drive.wire_mm)
    deep = design.spec.board.thickness_mm + 45.0
    for up in np.linspace(deep, 0.0, 12):
        cut = [(body.translate([0.0, 0.0, float(up)]) ^ board).volume() for body in bodies]
        assert max(cut) < 1e-3, up  # the flange's face on the board, in float32
    below = scene.union(bodies).trim_by_plane((0.0, 0.0, -1.0), 0.01)
    assert below.min_gap(board, 3.0) >= EDGE_AIR_MM


@pytest.mark.solid
@pytest.mark.parametrize("asked", [WIRE, CRANK])
def test_a_cut_out_just_wide_enough_and_one_just_too_narrow(asked):
    """0.75 mm are drawn beside what hangs; sawn 0.2 too narrow it passes, 0.3 too narrow it does not."""
    mount = kept(**asked)

    assert found(mount, board_cut_out=smaller(mount, 0.2))["way-down"].verdict == "pass"
    assert found(mount, board_cut_out=smaller(mount, 0.3))["way-down"].verdict == "fail"


@pytest.mark.solid
@pytest.mark.parametrize("asked", [WIRE, BOOM])
def test_the_flange_bends_less_than_said(asked):
    """Sections of the mesh itself every millimetre, M²/(E·I) summed up from screw to screw (Castigliano).

    The closed form leaves out block and wall beside the notch, so it is the softer, but not by more than ten times.
    """
    from shapely import Polygon

    mount = kept(**asked)
    plan, modulus = mount.design.plan, mount.design.spec.filament.modulus_mpa
    low, high = plan.heads_xy[0][1], plan.heads_xy[2][1]
    lying = scene.mount_body(mount.meshes).rotate([90.0, 0.0, 0.0])  # (x, y, z) to (x, -z, y)
    give = 0.0
    for y in np.arange(low + 0.5, high, 1.0):
        area, first, second = 0.0, 0.0, 0.0
        for ring in lying.slice(float(y)).to_polygons():
            (h, v), sign = np.array(ring).T, 1.0 if Polygon(ring).exterior.is_ccw else -1.0
            nexth, nextv = np.roll(h, -1), np.roll(v, -1)
            cross = h * nextv - nexth * v
            area += cross.sum() / 2
            first += ((v + nextv) * cross).sum() / 6
            second += ((v**2 + v * nextv + nextv**2) * cross).sum() / 12
            assert sign * cross.sum() > 0
        moment = min(y - low, high - y) / 2
        give += moment**2 / (modulus * (second - first**2 / area))

    assert 1.0 <= (1.0 / give) / plan.drop_in.flange_n_per_mm <= 10.0


@pytest.mark.solid
@pytest.mark.parametrize(("options", "asked"), [({"post_mm": 5.0}, WIRE), (BESIDE, CRANK)])
def test_the_seat_takes_the_post(options, asked):
    """A post of the size asked for, with the printer's play, stands in the seat as deep as asked; the rod is free."""
    mount = kept(options, **asked)
    design = mount.design
    size, mirror = options["post_mm"], -1.0 if design.spec.mirror else 1.0
    x, y = mirror * options.get("post_x_mm", 0.0), options.get("post_y_mm", 0.0)
    top = design.plan.drop_in.flange_mm
    low, high = np.array([x, y, top - 3.0]), np.array([x, y, top + 20.0])
    if options.get("post") == "square":
        post = scene.box([*(low[:2] - size / 2), low[2]], [*(high[:2] + size / 2), high[2]])
    else:
        post = scene.rod(low, high, size / 2)
    body = scene.mount_body(mount.meshes)

    assert (body ^ post).volume() < 1e-3
    assert (body ^ post.translate([0.0, 0.0, -0.4])).volume() > 0.1  # its floor holds it
    assert (body ^ post.translate([0.5, 0.0, 0.0])).volume() > 0.1  # and its wall
    if options.get("post") == "square":
        for theta in scene.arm_angles_rad(design, 3):
            path = scene.wire_path(design, float(theta))
            near = path[path[:, 2] < top + 5.0]
            assert all((piece ^ post).is_empty() for piece in scene.wire_pieces(near, design.drive.wire_mm))


@pytest.mark.parametrize(
    ("options", "asked", "said"),
    [
        ({}, {"screw": "bolt-m3"}, "leave --screw free"),
        ({"post_y_mm": 2.0}, {}, "use --set post_y_mm=5.6"),
    ],
)
def test_a_refusal_says_what_works(options, asked, said):
    """What it says was tried is asked for in turn, and made."""
    with pytest.raises(NoDesign, match=re.escape(said)):
        build(options, **{**WIRE, **asked})

    again, then = dict(options), {**WIRE, **asked}
    if "--screw" in said:
        del then["screw"]
    else:
        name, value = said.split("--set ")[1].split("=")
        again[name] = float(value)
    assert build(again, **then).design.plan.drop_in


def backed(mount, **changed):
    """The mount with other plywood for its screws."""
    plan = mount.design.plan
    told = plan.drop_in.model_copy(update={"backing": plan.drop_in.backing.model_copy(update=changed)})
    return mount.design.model_copy(update={"plan": plan.model_copy(update={"drop_in": told})})


FOAM = {**WIRE, "board": "xps-30", "servo": "mini-20g"}
STACK = {**CRANK, "board": "xps-30-on-plywood-6.5"}
THIN = {**WIRE, "board": "6 mm", "servo": "standard-40g"}
SHEET = {**CRANK, "board": "3 mm", "servo": "submicro-4g"}


@pytest.mark.solid
@pytest.mark.parametrize("asked", [FOAM, STACK, THIN, SHEET])
def test_plywood_takes_the_screws_where_the_board_holds_none(asked):
    """Foam gets a frame, thin boards strips; every check passes, nothing is glued but the plywood, the screws go
    through it a shank from its edges, and it meets nothing of the mount."""
    mount, style = kept(**asked), style_of("drop-in")
    design = mount.design
    spread = spread_of(design.spec, mount.limits, design.drive)
    designed = Designed(style, style.options(), mount.limits, design, spread)
    checks = {check.name: check for check in check_mount(designed, mount.meshes)}

    assert [check for check in checks.values() if check.verdict != "pass"] == []
    assert {"screw-hold", "bond-hold"} <= set(checks)
    assert not design.spec.bonded
    ply, shank = scene.union(scene.backing_bodies(design)), design.spec.fixing.shank_mm
    foam = "xps" in asked["board"]
    assert ply.bounding_box()[5 if foam else 2] == pytest.approx(0.0 if foam else -design.spec.board.thickness_mm)
    thick = design.plan.drop_in.backing.thick_mm
    for screw in design.plan.screws:
        x, y = screw.head[:2]
        middle = ply.bounding_box()[2] + thick / 2
        inside = scene.rod(np.array([x, y, middle - 0.5]), np.array([x, y, middle + 0.5]), 1.49 * shank)
        assert (inside - ply).volume() < 1e-6
        point = screw.head[2] - screw.length_mm
        assert point <= -6.0 if foam else point <= -design.spec.board.thickness_mm + thick
    solid = scene.union([scene.mount_body(mount.meshes), scene.servo_body(design)])
    assert (solid ^ ply).volume() < 1e-3


@pytest.mark.solid
@pytest.mark.parametrize("asked", [THIN, SHEET])
def test_strips_go_in_through_the_cut_out(asked):
    """On end, moved down in steps past the board, then lying: nothing meets the board, and its face lies on it."""
    mount = kept(**asked)
    design, thick = mount.design, mount.design.plan.drop_in.backing.thick_mm
    long, wide = design.plan.drop_in.backing.sizes_mm()
    thin = -design.spec.board.thickness_mm + design.spec.pad_mm  # the board's own underside
    hole = scene.cut_out_body(design)
    board = scene.box((-150.0, -150.0, thin), (150.0, 150.0, 0.0)) - hole
    x, y = ((hole.bounding_box()[n] + hole.bounding_box()[n + 3]) / 2 for n in (0, 1))
    upright = scene.box((x - thick / 2, y - wide / 2, 0.0), (x + thick / 2, y + wide / 2, long))
    for down in np.linspace(0.0, long + 20.0, 9):
        assert (upright.translate([0.0, 0.0, -float(down)]) ^ board).volume() < 1e-6
    for strip in scene.backing_bodies(design):
        assert (strip ^ board).volume() < 1e-6
        assert strip.bounding_box()[5] == pytest.approx(thin)


@pytest.mark.solid
def test_a_frame_just_wide_enough_and_one_just_too_narrow():
    """Against the stress of the hollow rectangle itself, F/A and M·c/I (any handbook): what is said errs low."""
    mount = kept(**FOAM)
    design, hole = mount.design, mount.design.plan.board_cut_out
    pull = design.spec.servo.stall_torque_nmm / design.drive.horn_radius_mm
    corners = np.array(design.plan.drop_in.backing.pieces[0])
    open_ = np.array(hole.outline)

    def real(outer):
        (a, b), (c, d) = np.ptp(outer, axis=0), np.ptp(open_, axis=0)
        second = (a * b**3 - c * d**3) / 12
        moment = min(pull, design.drive.fault_force_n) * np.abs(outer[:, 1]).max()
        return 0.1 / max(pull / (a * b - c * d), moment * b / 2 / second)

    def told(outer):
        changed = backed(mount, pieces=(tuple(map(tuple, outer)),))
        return next(check for check in check_assembly(changed, mount.meshes) if check.name == "bond-hold")

    middle, half = open_.mean(axis=0), np.ptp(open_, axis=0) / 2
    widths = np.arange(0.1, 12.0, 0.1)
    outers = [middle + np.sign(corners - middle) * (half + wide) for wide in widths]
    ratios = [told(outer).value for outer in outers[::20]]
    assert all(value <= real(outer) * 1.001 for value, outer in zip(ratios, outers[::20], strict=True))
    low, high = 0, len(outers) - 1
    while high - low > 1:
        half_way = (low + high) // 2
        low, high = (half_way, high) if told(outers[half_way]).verdict == "fail" else (low, half_way)
    assert (told(outers[low]).verdict, told(outers[high]).verdict) == ("fail", "pass")
    assert told(outers[high]).value == pytest.approx(2.0, rel=0.1)
    assert told(corners).value >= 2.2


def test_a_frame_grows_with_the_servo_s_pull():
    """A stronger servo gets a wider frame; one that tears any out of the foam is refused."""
    mount = kept(**FOAM)
    design = mount.design

    def wide(torque_nmm):
        spec = design.spec.model_copy(
            update={"servo": design.spec.servo.model_copy(update={"stall_torque_nmm": torque_nmm})}
        )
        drive = design.drive.model_copy(update={"fault_force_n": torque_nmm / design.drive.horn_radius_mm})
        return drop_in._backed(spec, drive, design.plan).drop_in.backing.sizes_mm()[0]

    assert wide(1500.0) > wide(design.spec.servo.stall_torque_nmm)
    with pytest.raises(NoDesign, match="the glue of a plywood frame in the foam would bear"):
        wide(30000.0)


def test_a_screw_that_is_too_long_for_board_and_plywood_is_refused():
    """It says what to leave free."""
    spec = kept(**THIN).design.spec
    long = spec.model_copy(
        update={"fixing": spec.fixing.model_copy(update={"lengths_mm": (60.0,)}), "fixing_stock": ()}
    )
    with pytest.raises(NoFixing, match="with up to 12 mm of plywood; leave --screw free"):
        screws(long, style_of("drop-in").options(), ((0.0, 0.0),))


@pytest.mark.solid
@pytest.mark.parametrize(("asked", "said"), [(FOAM, "Cut a frame of 6.5 mm plywood"), (THIN, "Cut two strips of")])
def test_plywood_is_told(asked, said):
    """In the steps before the mount goes down, in the list to buy, on the template; it comes out by its screws."""
    mount = kept(**asked)
    told = " ".join(steps(mount.design))

    assert told.index(said) < told.index("Let the mount down straight")
    assert "take the screws out, and lift signal and drive out together" in told
    bought = {item.item for item in hardware(mount.design)}
    assert any(item.startswith("plywood") for item in bought)
    assert any("screw, countersunk" in item for item in bought)
    drawn = render_template(template(mount.design, mount.meshes), mount.design).decode()
    assert "let into the foam" in drawn or "under the board" in drawn


@pytest.mark.solid
def test_steps_go_from_the_bench_to_the_board():
    """Servo, rod and arm first, then the cut-out, the way down, the post, and how it comes out again."""
    told = " ".join(steps(kept(**CRANK).design))
    order = [
        "Put the servo in from below", "Lead the rod through the guide", "saw out", "Let the mount down straight",
        "screw it on", "Stand the post", "Power on, hands out", "For repair unhook the rod from the crank",
    ]  # fmt: skip

    assert [told.index(what) for what in order] == sorted(told.index(what) for what in order)


@pytest.mark.solid
def test_its_plan_is_public():
    """Cut-out right through the board, mirrored with the mount; the servo leaves its seat downwards."""
    plain, turned = kept(**{**CRANK, "mirror": False}).design.plan, kept(**CRANK).design.plan

    assert plain.board_cut_out.through
    assert plain.way_out == (0.0, 0.0, -1.0)
    flipped = {(round(-x, 6), round(y, 6)) for x, y in turned.board_cut_out.outline}
    assert flipped == {(round(x, 6), round(y, 6)) for x, y in plain.board_cut_out.outline}
    assert math.isclose(plain.drop_in.flange_mm, 2.0)


@needs_slicer
@pytest.mark.slicer
@pytest.mark.parametrize(("options", "asked"), [({}, WIRE), (BESIDE, CRANK), ({}, BOOM)])
def test_the_slicer_wants_no_support(options, asked, tmp_path):
    """prusa-slicer puts none: the seat's roof, countersinks on the bed and lying pilot holes included."""
    file = tmp_path / "drop.stl"
    file.write_bytes(kept(options, **asked).stl[0])

    assert support_mm(file) == 0
