"""How shells sit: caps on pegs of known play and lip, each just good and just bad on one count."""

from __future__ import annotations

import math

import manifold3d as m3
import numpy as np
import pytest
from meshes import arrays, box, part_mesh
from plain import bracket, designed, with_plan
from shells import housing

from mounts import scene
from mounts.checks.model import Check
from mounts.checks.shell import FIT_MM, OFF_SEAT_MM, _lift, _servo_and_rod, check_shell, engaged_mm, play_mm
from mounts.design import Design
from mounts.mesh import PartMesh

RIM = (200.0, 140.0)  # far larger than the servo and the rod of the mount it stands in for
WALL_MM, HIGH_MM = 2.0, 60.0


def _design(*, pose: str = "hang", **changed: object) -> Design:
    """A cabin's design; its parts are replaced by what a test draws."""
    design = designed(style="cabin", track_distance="32 mm", set={"pose": pose}).design
    beside = design.beside_track()
    scenery = beside.scenery.model_copy(update=changed)
    plan = design.plan.model_copy(update={"beside": beside.model_copy(update={"scenery": scenery})})
    return design.model_copy(update={"plan": plan})


def _named(body: m3.Manifold, name: str) -> PartMesh:
    mesh = part_mesh(*arrays(body))
    return PartMesh(**{**mesh.__dict__, "name": name})


def _peg(lip_mm: float) -> m3.Manifold:
    """A frame with nothing on it but its rim."""
    return box(*RIM, lip_mm)


def _cap(play_x: float, play_y: float, *, ceiling_mm: float = 50.0) -> m3.Manifold:
    """A box open at the bottom, with so much play a side on the peg."""
    x, y = RIM[0] + 2 * play_x, RIM[1] + 2 * play_y
    return box(x + 2 * WALL_MM, y + 2 * WALL_MM, HIGH_MM) - box(x, y, ceiling_mm + 1).translate((0, 0, -1))


def _checks(cap: m3.Manifold, lip_mm: float = 4.0, **scenery: object) -> dict[str, Check]:
    meshes = [_named(_peg(lip_mm), ""), _named(cap, "shell")]
    return {row.name: row for row in check_shell(_design(**scenery), meshes)}


def test_fit_is_the_least_play():
    """Slip fit 0.2 on three sides and a hair less on the fourth is refused with that side's figure."""
    assert _checks(_cap(0.2, 0.2))["shell-fit"].verdict == "pass"
    tight = _cap(0.2, 0.2 - FIT_MM - 0.01)

    assert _checks(tight)["shell-fit"].verdict == "fail"
    assert _checks(tight)["shell-fit"].value == pytest.approx(0.2 - FIT_MM - 0.01, abs=0.01)
    off_centre = _cap(0.3, 0.3).translate((0.2, 0.0, 0.0))
    assert _checks(off_centre)["shell-fit"].value == pytest.approx(0.1, abs=0.01)


def test_play_is_measured_each_way():
    """A cap that stands 0.15 mm off the middle of 0.4 mm has 0.25 one way and 0.55 the other."""
    cap = _cap(0.4, 0.4).translate((0.15, 0.0, 1.0))

    assert play_mm(_peg(4.0), cap, (1.0, 0.0)) == pytest.approx(0.25, abs=0.01)
    assert play_mm(_peg(4.0), cap, (-1.0, 0.0)) == pytest.approx(0.55, abs=0.01)


@pytest.mark.parametrize("lip_mm", [2.5, 4.0, 7.3])
def test_engaged_is_the_height_of_the_lip(lip_mm):
    """A plain rim is engaged over its whole height."""
    ways = ((1.0, 0.0), (-1.0, 0.0))

    assert engaged_mm(_peg(lip_mm), _cap(0.2, 0.2), ways, (0.2, 0.2)) == pytest.approx(lip_mm, abs=0.02)


def test_a_lip_five_times_its_play_just_holds():
    """tan = play/lip against a friction of 0.2, low end (from memory): 0.4 mm of play want a lip of 2 mm."""
    just, short = (_checks(_cap(0.2, 0.2), lip_mm=lip)["shell-holds"] for lip in (2.06, 1.94))

    assert (just.verdict, short.verdict) == ("pass", "fail")
    assert just.limit == pytest.approx(math.degrees(math.atan(0.2)))
    assert just.value == pytest.approx(math.degrees(math.atan(0.4 / 2.06)), abs=0.1)


def test_the_looser_side_counts():
    """0.4 mm of play along the track and 1.2 mm across it on 4 mm of lip: it slides off across."""
    row = _checks(_cap(0.2, 0.6))["shell-holds"]

    assert (row.verdict, row.value) == ("fail", pytest.approx(math.degrees(math.atan(1.2 / 4.0)), abs=0.1))


def test_a_shell_without_a_lip_is_not_held():
    """Nothing to push against: askew by 90°."""
    row = _checks(_cap(5.0, 5.0))["shell-holds"]

    assert (row.verdict, row.value) == ("fail", pytest.approx(90.0))


def test_servo_and_arm_at_mid_are_in_the_way_and_the_rod_where_something_of_the_part_is_over_it() -> None:
    """A slab on the ground whose edge is 0.25 and 0.45 mm beyond a bend of the rod, which is 0.7 mm thick: the straight
    before it counts, and does not, and all beyond it does; over the ground nothing of the rod, all of the servo."""
    design = _design(pose="side")
    own = scene.union([scene.servo_body(design), scene.hub_body(design), scene.arm_blade(design, 0.0)])
    bends = np.unique(scene.wire_path(design, 0.0)[:, 1])
    before, bend = bends[(bends > 20.0) & (bends < 30.0)][:2]
    for beyond, first in ((0.25, before), (0.45, bend)):
        slab = box(400.0, 400.0, 5.0).translate((0.0, bend + beyond + 200.0, 0.0))
        found = _servo_and_rod(design, _peg(4.0), [slab])
        assert (own - found).is_empty()
        assert (found - own).bounding_box()[1] == pytest.approx(first - 0.35, abs=0.01)
    found = _servo_and_rod(design, _peg(4.0), [box(400.0, 400.0, 5.0).translate((0.0, 0.0, 10.0))])
    assert found.volume() == pytest.approx(own.volume())


def test_a_hook_is_in_the_way_up():
    """A ledge under the rim's top edge is met on the way up; without it the same shell lifts off."""
    ledge = box(RIM[0] + 0.4, 20, 1.0) - box(RIM[0] - 2.0, 30, 3.0).translate((0, 0, -1))
    peg = _peg(4.0) - box(RIM[0] + 10, 30, 1.5).translate((0, 0, -0.2)) + box(RIM[0] - 3.0, 40, 2.0)
    meshes = [_named(peg, ""), _named(_cap(0.2, 0.2) + ledge, "shell")]

    hooked = {row.name: row for row in check_shell(_design(), meshes)}["shell-lift"]

    assert (hooked.verdict, _checks(_cap(0.2, 0.2))["shell-lift"].verdict) == ("fail", "pass")
    assert "mm up" in hooked.message


@pytest.mark.parametrize(
    ("x", "y", "z", "meets"),
    [
        # over the rim of 4 mm: the case, the hub past the arm's face, the arm's lower end, the rod, and beside all
        (-20.0, 42.0, 15.0, True), (0.2, 42.2, 11.0, True), (-1.2, 40.8, 4.6, True), (0.0, 25.0, 4.1, True),
        (40.0, -20.0, 5.0, False),
    ],
)  # fmt: skip
def test_servo_arm_and_rod_are_in_the_way_of_a_floor(x: float, y: float, z: float, meets: bool) -> None:
    """A shell with a peg inside that is clear of the frame meets on its way up what stands over it."""
    design = _design(pose="side")
    cap = _cap(0.2, 0.2) + m3.Manifold.cube((0.4, 2.0, 0.3)).translate((x - 0.2, y - 1.0, z))

    found = {row.name: row for row in check_shell(design, [_named(_peg(4.0), ""), _named(cap, "shell")])}
    assert found["shell-lift"].verdict == ("fail" if meets else "pass")


@pytest.mark.parametrize("way", [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)])
def test_a_shell_that_is_tight_on_any_side_is_told(way: tuple[float, float]) -> None:
    """0.3 mm all round, shifted by 0.2 towards one side: 0.1 are left there."""
    cap = _cap(0.3, 0.3).translate((0.2 * way[0], 0.2 * way[1], 0.0))

    assert _fit(_peg(4.0), cap) == pytest.approx(0.1, abs=0.01)
    assert play_mm(_peg(4.0), _cap(-0.1, -0.1).translate((0, 0, 1.0)), way) == 0.0


def test_what_centres_a_shell_in_its_seat_takes_no_play() -> None:
    """A foot 0.8 mm high that fills the shell: lifted by a millimetre it has its 0.2 mm."""
    foot, high = box(RIM[0] + 0.4, RIM[1] + 0.4, 0.8), box(RIM[0] + 0.4, RIM[1] + 0.4, 1.3)

    assert _fit(_peg(4.0) + foot, _cap(0.2, 0.2)) == pytest.approx(0.2, abs=0.01)
    assert _fit(_peg(4.0) + high, _cap(0.2, 0.2)) == pytest.approx(0.0, abs=0.01)


@pytest.mark.parametrize(("play", "told"), [(0.5, 0.5), (1.7, 1.7), (2.6, 2.0)])
def test_play_of_more_than_2_mm_is_none_that_holds(play: float, told: float) -> None:
    """However high the lip: a part that can be pushed farther is not held (common practice, no source)."""
    cap = _cap(play, play)

    assert [play_mm(_peg(12.0), cap.translate((0, 0, 1.0)), way) for way in WAYS] == pytest.approx([told] * 4, abs=0.01)
    high = engaged_mm(_peg(12.0), cap, WAYS[:2], (told, told))
    assert high == pytest.approx(12.0 if told < 2.0 else 0.0, abs=0.02)


def _fit(peg: m3.Manifold, cap: m3.Manifold) -> float:
    plays = [play_mm(peg, cap.translate((0, 0, OFF_SEAT_MM)), way) for way in WAYS]
    (row,) = (one for one in _rows(peg, cap) if one.name == "shell-fit")
    assert row.value == pytest.approx(min(plays))
    return row.value


WAYS = ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))


def _rows(peg: m3.Manifold, *caps: m3.Manifold, design: Design | None = None) -> list[Check]:
    meshes = [_named(peg, ""), *(_named(cap, name) for cap, name in zip(caps, ("shell", "roof"), strict=False))]
    return list(check_shell(design or _design(), meshes))


@pytest.mark.parametrize(("inset", "engaged"), [(0.3, 6.0), (0.5, 3.0)])
def test_a_lip_holds_as_far_as_a_shell_can_be_pushed(inset: float, engaged: float) -> None:
    """Free is what goes twice its play of 0.2 mm and 0.2 more: a rim that steps back by 0.3 mm above 3 mm still holds
    up there, by 0.5 it does not; along the track as across it."""
    for axis in (0, 1):
        size = [RIM[0], RIM[1]]
        size[axis] -= 2 * inset
        peg = _peg(3.0) + box(*size, 6.0)
        ways = (WAYS[2 * axis], WAYS[2 * axis + 1])
        assert engaged_mm(peg, _cap(0.2, 0.2), ways, (0.2, 0.2)) == pytest.approx(engaged, abs=0.02)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_the_lower_of_two_lips_that_face_each_other_counts(side: float) -> None:
    """6 mm on one side, 2.5 on the other: askew by 0.4 over 2.5."""
    low = box(RIM[0], RIM[1], 9.0).translate((side * 40.0, 0, 2.5))
    row = next(one for one in _rows(_peg(6.0) - low, _cap(0.2, 0.2)) if one.name == "shell-holds")

    assert row.value == pytest.approx(math.degrees(math.atan(0.4 / 2.5)), abs=0.1)


def test_each_pair_of_sides_is_held_by_its_own_lip() -> None:
    """Along the track 0.4 mm of play over 6 mm, across it 0.2 over 2.5, which is the steeper."""
    low = [box(RIM[0] + 9, 9, 9.0).translate((0, side * RIM[1] / 2, 2.5)) for side in (1, -1)]
    row = next(one for one in _rows(_peg(6.0) - low[0] - low[1], _cap(0.2, 0.1)) if one.name == "shell-holds")

    assert row.value == pytest.approx(math.degrees(math.atan(0.2 / 2.5)), abs=0.1)


def test_a_narrow_ledge_far_from_the_middle_is_met_wherever_it_is() -> None:
    """A sleeve 5 mm high with 0.3 mm of air round a post 30 mm high, on one side a ledge of 0.6, 5 mm high, from 24 mm
    up: there most of it is met, 0.3 by 10 by 5; 100 mm from the mount's middle along and across."""
    for middle in ((0.0, -100.0), (-100.0, 0.0), (0.0, 100.0)):
        for ledge in ((0.6, 0.0), (-0.6, 0.0), (0.0, 0.6), (0.0, -0.6)):
            post = box(10.0, 10.0, 30.0) + box(10.0, 10.0, 5.0).translate((*ledge, 24.0))
            sleeve = box(16.0, 16.0, 5.0) - box(10.6, 10.6, 7.0).translate((0, 0, -1))
            row = _lift("roof", post.translate((*middle, 0.0)), sleeve.translate((*middle, 0.0)))

            assert row.value == pytest.approx(0.3 * 10.0 * 5.0, rel=1e-3)
            assert "meets what is under it when 24 mm up" in row.message


@pytest.mark.parametrize(("low", "meets"), [(5.0, "1 mm"), (5.4, "1.5 mm"), (7.9, "4 mm"), (35.0, "31 mm")])
def test_a_hook_is_told_by_how_far_up_it_is_met(low: float, meets: str) -> None:
    """A ledge 0.3 mm thick of the shell, its top at 4.3 mm, below a collar 0.3 mm thick: looked at every half
    millimetre it is not missed."""
    ring = box(RIM[0] + 1.0, 20, 0.3) - box(RIM[0] - 3.0, 30, 3.0).translate((0, 0, -1))
    peg = _peg(2.0) + box(RIM[0] - 2.0, 20, low + 5.0) + box(RIM[0] - 0.5, 20, 0.3).translate((0, 0, low))
    ledge = ring.translate((0, 0, 4.0)) - box(RIM[0] - 1.5, 40, 20)

    row = next(one for one in _rows(peg, _cap(0.2, 0.2) + ledge) if one.name == "shell-lift")
    assert row.verdict == "fail"
    assert f"when {meets} up" in row.message


@pytest.mark.parametrize(("shell", "roof"), [(0.3, 0.1), (0.1, 0.3)])
def test_each_part_fits_what_it_sits_on(shell: float, roof: float) -> None:
    """A roof's play is that to the shell, and wanted is its own figure of the printer, as the shell's is its own."""
    design = _design()
    fits = {"shell-on-frame": 0.3, "roof-on-shell": 0.1}
    printer = design.spec.printer.model_copy(update={"fits_mm": fits})
    design = design.model_copy(update={"spec": design.spec.model_copy(update={"printer": printer})})
    design = with_plan(design, lift_off=("shell", "roof"))
    x, y = RIM[0] + 2 * shell + 2 * WALL_MM, RIM[1] + 2 * shell + 2 * WALL_MM
    over = box(x + 2 * roof + 4.0, y + 2 * roof + 4.0, 70.0) - box(x + 2 * roof, y + 2 * roof, HIGH_MM)
    over -= box(x + 9, y + 9, 56.0)

    found = {(one.name, one.part): one for one in _rows(_peg(4.0), _cap(shell, shell), over, design=design)}
    plays = [found["shell-fit", part] for part in ("shell", "roof")]
    assert [row.value for row in plays] == pytest.approx([shell, roof], abs=0.01)
    assert [row.limit for row in plays] == pytest.approx([0.28, 0.08])
    assert [row.verdict for row in plays] == ["pass" if shell == 0.3 else "fail", "pass"]
    assert found["shell-lift", "roof"].verdict == "pass"
    stuck = over + box(9, 9, 3).translate((30, 0, 55.0))
    cap = _cap(shell, shell) + box(9, 9, 1.5).translate((30, 0, HIGH_MM + 1.0))
    met = {(one.name, one.part): one for one in _rows(_peg(4.0), cap, stuck, design=design)}
    assert met["shell-lift", "roof"].verdict == "fail"


def test_scenery_and_parts_that_lift_off_are_asked_one_by_one() -> None:
    """Without scenery no height and no relief; without a part that lifts off nothing sits."""
    plain = with_plan(_design(), beside=None)
    fixed = with_plan(_design(), lift_off=())

    assert {row.name for row in _rows(_peg(4.0), _cap(0.2, 0.2), design=plain)} == {
        "shell-fit",
        "shell-lift",
        "shell-holds",
    }
    assert {row.name for row in _rows(_peg(4.0), design=fixed)} == {"scale-height", "relief"}


def test_height_counts_from_the_ground() -> None:
    """20 mm high on a shoulder of 3 are 17: 2.7 m at 1:160."""
    design = _design()
    raised = design.model_copy(update={"spec": design.spec.model_copy(update={"ground_mm": 3.0})})

    row = _rows(box(*RIM, 20.0), design=with_plan(raised, lift_off=()))[0]
    assert (row.name, row.value) == ("scale-height", pytest.approx(17 * 160 / 1000))
    assert row.message.startswith("17.0 mm high, in reality 2.7 m")


def test_relief_left_out_is_told():
    """As many as the plan names, in its words."""
    row = _checks(_cap(0.2, 0.2), left_out=("no boards: too fine", "no door: too low"))["relief"]

    assert (row.verdict, row.value) == ("warn", 2.0)
    assert row.message == "no boards: too fine; no door: too low"
    assert _checks(_cap(0.2, 0.2))["relief"].verdict == "pass"


def test_a_tower_is_told():
    """A cabin of two storeys is 6.0 m high (from memory), 37.5 mm at 1:160 (NEM 010): a hair more is told.

    What would make it lower is the style's to say.
    """
    cap = _cap(0.2, 0.2)
    row = _checks(cap.trim_by_plane((0, 0, -1), -37.6), lower=("a smaller servo", "a bank"))["scale-height"]

    assert (row.verdict, row.value) == ("warn", pytest.approx(6.016))
    assert row.message.endswith("is usual for a cabin: lower are a smaller servo, a bank")
    whole = _checks(cap, lower=())["scale-height"]
    assert (whole.verdict, whole.value) == ("warn", pytest.approx(9.6))
    assert whole.message.endswith("lower are a smaller servo")
    assert _checks(cap.trim_by_plane((0, 0, -1), -37.5))["scale-height"].verdict == "pass"


@pytest.mark.solid
@pytest.mark.parametrize("style", ["hut", "cabin", "bank", "stack"])
def test_every_shell_sits(style):
    """Each part of every shell fits, lifts off and stays on."""
    mount = housing(style)

    rows = [row for row in check_shell(mount.design, mount.meshes) if row.part]

    assert [row.verdict for row in rows] == ["pass"] * len(rows)
    assert {row.part for row in rows} == set(mount.design.plan.lift_off)


def test_a_bracket_has_no_shell():
    """Nothing is said of an under-board bracket."""
    assert not list(check_shell(bracket(), [_named(_peg(4.0), "")]))
