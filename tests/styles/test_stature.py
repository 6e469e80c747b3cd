"""How high the housings are in reality: pose, letting down and roof are chosen by it. Numbers only, no kernel.

Heights of real ones are from memory: lamp and platelayers' huts 2.5 to 3.5 m to the ridge, flat-roofed cabins 2.4 to
3.2 m, piles of sleepers up to 2 m; two storeys 6 m under a flat roof and 7 m under a pitched one. Ratios: NEM 010.
"""

from __future__ import annotations

import math

import pytest
from made import kept
from requests_for_drives import profile, request

from mounts.design import LetDown, Plan, Scenery, Stature
from mounts.errors import NoDesign
from mounts.frames import apply
from mounts.inputs.board import Board
from mounts.inputs.printer import Printer
from mounts.inputs.servo import Servo
from mounts.pipeline import design_mount, in_its_pose
from mounts.styles._housing_plan import HousingPlan, SideFrame

RATIOS = {"Z": 220, "N": 160, "TT": 120, "HO": 87, "S": 64, "O": 45, "I": 32}
MOST_M = {"hut": 7.0, "cabin": 6.0, "stack": 5.0, "bank": 10.0}
MICRO, SUBMICRO = "micro-9g", "submicro-4g"


def _plan(style: str, scale: str, servo: str = MICRO, printer: str = "fdm-0.4", **asked: object) -> HousingPlan:
    options = asked.pop("options", {})
    spec = request(
        style=style,
        scale=scale,
        servo=profile(Servo, servo),
        board=profile(Board, "plywood-18"),
        printer=profile(Printer, printer),
        options=options,
        **asked,
    )  # type: ignore[arg-type]
    plan = design_mount(spec).design.plan
    assert isinstance(plan, HousingPlan)
    return plan


def _scenery(plan: Plan) -> Scenery:
    assert plan.beside is not None
    assert plan.beside.scenery is not None
    return plan.beside.scenery


def _let_down(plan: Plan) -> LetDown:
    assert plan.beside is not None
    assert plan.beside.let_down is not None
    return plan.beside.let_down


def _real_m(style: str, scale: str, **asked: object) -> float:
    return _scenery(_plan(style, scale, **asked)).top_mm * RATIOS[scale] / 1000  # type: ignore[arg-type]


def test_off_is_a_ratio_beyond_what_is_usual():
    """2.5 to 3.5 m: 7 m are twice as high, 1.25 m half as high, 3 m neither."""
    hut = Stature(low_m=2.5, high_m=3.5, most_m=7.0)

    assert [hut.off(7.0), hut.off(1.25), hut.off(3.0)] == pytest.approx([1.0, 1.0, 0.0])


@pytest.mark.parametrize("style", sorted(MOST_M))
@pytest.mark.parametrize("scale", sorted(RATIOS))
def test_what_is_chosen_freely_is_no_tower(style, scale):
    """With the default servo in every scale, and with the smaller one where it is strong enough."""
    for servo in (MICRO, SUBMICRO) if scale != "I" else (MICRO,):
        assert _real_m(style, scale, servo=servo) <= MOST_M[style]


@pytest.mark.parametrize(("style", "most_m"), [("hut", 5.5), ("cabin", 3.6), ("stack", 3.6), ("bank", 6.5)])
def test_in_n_it_is_not_as_high_as_the_servo_stands(style, most_m):
    """With its shaft down a 9 g servo makes a hut of 8.7 m in N; lying on its side it makes one of 5."""
    assert _let_down(_plan(style, "N")).pose == "side"
    assert _real_m(style, "N") < most_m


@pytest.mark.parametrize("scale", ["N", "HO", "O"])
@pytest.mark.parametrize("style", sorted(MOST_M))
def test_the_pose_taken_is_the_nearer_to_reality(style, scale):
    """Neither pose asked for by name comes nearer to what is usual."""
    free = _scenery(_plan(style, scale))
    off = free.stature.off(free.top_mm * RATIOS[scale] / 1000)

    for pose in ("hang", "side"):
        assert off <= free.stature.off(_real_m(style, scale, options={"pose": pose})) + 0.02


def test_a_servo_is_let_down_only_where_it_would_stand_too_high():
    """Hanging in a cabin in HO there is no need; in N a stack's is, as far as the rod allows; as asked where asked."""
    high, low = (_let_down(_plan(*asked, options={"pose": "hang"})) for asked in (("cabin", "HO"), ("stack", "N")))

    assert high.sunk_mm == 0.0
    assert 0.0 < low.sunk_mm == pytest.approx(low.most_mm)
    assert _let_down(_plan("stack", "N", options={"pose": "hang", "sunk_mm": 0.1})).sunk_mm == 0.1


def test_what_would_make_it_lower_depends_on_what_there_is():
    """Another pose where it hangs, room to let the servo down where there is some, a bank for all but a bank."""
    hangs = _plan("cabin", "HO", options={"pose": "hang"})
    deepest = math.floor(_let_down(hangs).most_mm * 10) / 10
    sunk = _plan("cabin", "HO", options={"pose": "side", "sunk_mm": _let_down(_plan("cabin", "HO")).most_mm})

    assert _scenery(hangs).lower == (
        "leave pose free or set it to side",
        f"--set sunk_mm={deepest:g} lets the servo down",
        "a smaller servo",
        "a bank looks right at any height",
    )
    assert _scenery(sunk).lower == ("a smaller servo", "a bank looks right at any height")
    assert not any("bank" in way for way in _scenery(_plan("bank", "HO")).lower)


@pytest.mark.parametrize("scale", sorted(RATIOS))
@pytest.mark.parametrize("style", ["hut", "cabin"])
def test_a_door_fits_in_every_scale(style, scale):
    """A leaf of 2.0 m (common practice): where servo and frame are lower, the walls are not; nothing is left out."""
    plan = _plan(style, scale)

    assert plan.room_top_z > 2000 / RATIOS[scale]
    assert not _scenery(plan).left_out


def test_a_height_that_was_given_is_kept():
    """In O a cabin's door is 44.4 mm high; with 40 mm of height the room is no higher, and the door is left out."""
    plan = _plan("cabin", "O", options={"height_mm": 40})

    assert plan.room_top_z <= 40.0
    assert any("door" in why for why in _scenery(plan).left_out)


@pytest.mark.solid
@pytest.mark.parametrize("style", sorted(MOST_M))
def test_the_height_planned_is_the_height_built(style):
    """Against the mesh, to half a millimetre (bumps of the bank, coping of the hut)."""
    mount = kept({}, style=style, scale="N", board="12 mm", track_distance="32 mm")
    top = max(apply(mesh.print_to_mount, mesh.vertices_mm)[:, 2].max() for mesh in mount.meshes)

    assert _scenery(mount.design.plan).top_mm == pytest.approx(top, abs=0.5)


@pytest.mark.parametrize("distance_mm", [25.0 + 0.25 * step for step in range(20)])
def test_no_crack_is_left_between_rim_and_wall(distance_mm):
    """At whatever distance is asked: the rim touches the servo's wall or leaves more than the printer's gap."""
    printer = profile(Printer, "fdm-0.4")
    try:
        plan = _plan("stack", "N", track_distance_mm=distance_mm, options={"pose": "side"})
    except NoDesign:
        pytest.skip("no room at this distance")
    assert isinstance(plan.frame, SideFrame)
    front = plan.frame.wall_y[0] - (plan.base_y[0] + plan.frame.rim_mm)
    back = plan.base_y[1] - plan.frame.rim_mm - plan.frame.wall_y[1]

    assert all(gap <= 0.0 or gap >= printer.smallest_gap_mm for gap in (front, back))


@pytest.mark.parametrize("printer", ["fdm-0.25", "fdm-0.4", "fdm-0.6"])
def test_the_rim_is_three_lines_thick(printer):
    """And 1.2 mm at least (standards, 8: print-service guides)."""
    plan = _plan("stack", "HO", printer=printer)

    assert plan.frame.rim_mm >= max(1.2, 3 * profile(Printer, printer).nozzle_mm) - 1e-9


def test_a_housing_that_exists_keeps_its_pose():
    """Adapted to another board it does not turn over, whichever pose it has; one that asks for a pose gets that."""
    for pose in ("hang", "side"):
        spec = request(style="hut", scale="HO", options={"pose": pose})
        before, free = design_mount(spec).design, spec.model_copy(update={"options": {}})

        assert in_its_pose(free, before).options == {"pose": pose}
        asked = free.model_copy(update={"options": {"pose": "hang"}})
        assert in_its_pose(asked, before).options == {"pose": "hang"}


def test_where_the_nearer_pose_has_no_drive_the_other_is_taken():
    """On a base plate of 5 mm in N a servo on its side needs a hole beyond the 7 mm asked for: it hangs instead."""
    with pytest.raises(NoDesign):
        _plan("stack", "N", arm_hole_mm=7.0, options={"base_mm": 5.0, "pose": "side"})

    assert _let_down(_plan("stack", "N", arm_hole_mm=7.0, options={"base_mm": 5.0})).pose == "hang"
