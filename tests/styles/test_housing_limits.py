"""What a housing leaves to its rod, says of its height and asks of its glue, in round figures. No kernel."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from requests_for_drives import request

from mounts.design import Datums, Screw
from mounts.drive.push_rod.model import PushRodDrive
from mounts.errors import NoDesign
from mounts.styles import _housing
from mounts.styles._housing_options import AIR_MM, Options, Shell
from mounts.styles._housing_plan import HousingPlan, SideFrame
from mounts.styles._housing_site import Site

SPEC = request(scale="HO", throw_mm=3.0, ground_mm=0.0)
SHELL = Shell(front_mm=2.5, instead=("a bank",))


def site(**figures: Any) -> Site:
    held = {
        "pose": "side", "sunk_mm": 3.0, "sunk_least_mm": 0.0, "sunk_most_mm": 7.0, "deeper": "", "room_top_mm": 30.0,
        "short_mm": 20.0, "front_mm": 15.0, "shaft_y": 40.0, "fixed": True,
    }  # fmt: skip
    return Site(**held | figures)


def left(monkeypatch: pytest.MonkeyPatch, spec: Any = SPEC, *, sleeper: float = 6.0, **figures: Any) -> Any:
    monkeypatch.setattr(_housing, "site_of", lambda spec, options, shell: site(**figures))
    monkeypatch.setattr(_housing, "front_mm", lambda spec, pose, swing: 9.0 + swing)
    monkeypatch.setattr(_housing, "side_holes_mm", lambda spec, options, shell, sunk: (7.0 + sunk, 12.0))
    monkeypatch.setattr(_housing.shared, "rim_mm", lambda spec: 1.2)
    monkeypatch.setattr(_housing.shared, "lane", lambda spec, options: SimpleNamespace(sleeper_end_y=sleeper))
    return _housing.limits(spec, Options(), SHELL)


def test_a_loop_has_room_between_sleepers_and_housing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Before it 15 mm of frame, 2.5 of shell and air, after it 6 of sleeper, half a throw of 3 and air; the shaft 40 mm
    from the pin and 3 mm down."""
    found, air = left(monkeypatch), _housing.LOOP_AIR_MM
    rod = (40.0**2 + 3.0**2) ** 0.5

    assert found.rod_length_mm == pytest.approx((rod, rod))
    assert found.let_down_mm == 3.0
    assert found.arm_hole_mm == (10.0, 12.0)
    assert found.before_loop_mm == pytest.approx(15.0 + 2.5 + air)
    assert found.after_loop_mm == pytest.approx(6.0 + 1.5 + air)
    assert left(monkeypatch, sleeper=-3.0).after_loop_mm == pytest.approx(1.5 + air)  # the pin stands past them
    assert (found.max_lean_deg, found.wire_tail_mm) == (20.0, 2.5)
    assert found.ccw_moves_pin_to_reverse
    assert found.max_loop_width_mm == pytest.approx(rod - 17.5 - 7.5 - 2 * air)
    half_tip = SPEC.servo.horn_tip_width_mm / 2
    assert found.arm_sweep_mm == pytest.approx((SPEC.servo.arm_tip_mm, half_tip + AIR_MM + 1.2 + 2.5 + air))


def test_a_free_place_has_room_from_where_the_arm_stands_still(monkeypatch: pytest.MonkeyPatch) -> None:
    """The frame may be as near as 9 mm then, the rod 150 long (common practice, no source); hanging nothing is let
    down, and any arm hole will do."""
    found = left(monkeypatch, fixed=False, pose="hang", shaft_y=40.0)

    assert found.before_loop_mm == pytest.approx(9.0 + 2.5 + _housing.LOOP_AIR_MM)
    assert found.rod_length_mm == (40.0, 150.0)
    assert found.max_loop_width_mm == pytest.approx(150.0 - found.before_loop_mm - found.after_loop_mm)
    assert (found.let_down_mm, found.arm_hole_mm) == (0.0, None)
    assert not found.ccw_moves_pin_to_reverse
    assert left(monkeypatch, SPEC.model_copy(update={"mirror": True}), pose="hang").ccw_moves_pin_to_reverse
    assert left(monkeypatch, fixed=False, shaft_y=200.0).rod_length_mm[1] == pytest.approx(math.hypot(200.0, 3.0))


@pytest.mark.parametrize(("over", "refused"), [(0.12, False), (-0.12, True)])
def test_track_too_near_leaves_no_room_for_a_loop(monkeypatch: pytest.MonkeyPatch, over: float, refused: bool) -> None:
    """17.5 mm of housing, 7.5 of track, half a throw more and air twice: a shaft nearer than that is refused."""
    shaft_y = 17.5 + 7.5 + 1.5 + 2 * _housing.LOOP_AIR_MM + over
    near = SPEC.model_copy(update={"track_distance_mm": 20.0})

    if refused:
        with pytest.raises(NoDesign, match=r"--track-distance 20 mm .* 0\.1 mm too little"):
            left(monkeypatch, near, shaft_y=shaft_y)
    else:
        assert left(monkeypatch, near, shaft_y=shaft_y).rod_length_mm[0] > shaft_y
    assert left(monkeypatch, shaft_y=shaft_y, fixed=False).rod_length_mm[0] > 0  # where no distance was asked for


@pytest.mark.parametrize(
    ("figures", "ways"),
    [
        ({"pose": "hang", "sunk_mm": 0.0, "sunk_most_mm": 4.37}, ("leave pose free or set it to side", "sunk_mm=4.3")),
        ({"sunk_mm": 4.3, "sunk_most_mm": 4.37}, ()), ({"sunk_mm": 4.2, "sunk_most_mm": 4.37}, ("sunk_mm=4.3",)),
        ({"sunk_mm": 4.26, "sunk_most_mm": 4.3}, ()), ({"sunk_mm": 3.6, "sunk_most_mm": 4.3}, ("sunk_mm=4.3",)),
    ],
)  # fmt: skip
def test_what_makes_a_housing_lower(figures: dict[str, Any], ways: tuple[str, ...]) -> None:
    """Another pose, a tenth of a millimetre deeper or more as far as may be, a smaller servo, something else."""
    told = _housing._lower(site(**figures), SHELL)

    assert told[-2:] == ("a smaller servo", "a bank")
    assert len(told) == len(ways) + 2
    assert all(way in text for way, text in zip(ways, told, strict=False))


def test_a_free_pose_is_tried_both_ways() -> None:
    """On its side first; one that was asked for stays."""
    assert [one.pose for one in _housing.others(Options())] == ["side", "hang"]
    assert _housing.others(Options(pose="hang")) == ()


@pytest.mark.parametrize(("share", "refused"), [(1.02, False), (0.98, True)])
@pytest.mark.parametrize(
    ("opening", "foam_mm", "mpa"),
    [(None, 0.0, 1.0), (((-10.0, 30.0), (-50.0, 20.0)), 0.0, 1.0), (None, 5.0, 0.1)],
)
def test_glue_bears_the_servos_stall(opening: Any, foam_mm: float, mpa: float, share: float, refused: bool) -> None:
    """On 50 × 30 mm, y from 10 to 40, or 40 × 10 of them less; tipped by the pin's height, 6·M/(A·b), by 1.0 MPa on
    wood and 0.1 on foam that lies on wood."""
    spec = request(scale="HO", bonded=True)
    area = 50.0 * 30.0 - (40.0 * 10.0 if opening else 0.0)
    high = spec.pin_height_mm
    most = mpa / (_housing.GLUE_SURE * 2.0) / max(1 / area, 6 * high / (area * 30.0))
    frame = SimpleNamespace(opening=opening)
    plan: Any = SimpleNamespace(base_x=(-20.0, 30.0), base_y=(10.0, 40.0), frame=frame)
    spec = spec.model_copy(update={
        "board": spec.board.model_copy(update={"screw_depth_mm": spec.board.thickness_mm - foam_mm}),
        "servo": spec.servo.model_copy(update={"stall_torque_nmm": most * 10.0 / share}),
    })  # fmt: skip
    rod: Any = SimpleNamespace(horn_radius_mm=10.0)

    if refused:
        with pytest.raises(NoDesign, match="the glue under the frame would bear"):
            _housing._bonded(spec, rod, plan)
    else:
        _housing._bonded(spec, rod, plan)


ROD = PushRodDrive.model_construct(
    horn_radius_mm=7.0, wire_mm=0.8, swing_deg=20.0, offset_mm=7.0, shaft_to_pin_mm=60.0, foot_radius_mm=1.6,
    loop_at_mm=40.0, loop_feet_mm=8.0, loop_step_mm=(0.0, 0.0),
)  # fmt: skip


def placed(shell: Shell, *, mirror: bool = False, **options: Any) -> Any:
    """In HO, 45 mm from its track, the servo on its side."""
    spec = request(scale="HO", mirror=mirror, track_distance_mm=45.0)
    return _housing.place(spec, ROD, Options(**{"pose": "side"} | options), shell)


def test_the_shells_front_stands_where_the_track_was_told_to_be() -> None:
    """45 mm from the middle of the track, however far it stands out before the frame; the loop points to the track."""
    thin, thick = (placed(Shell(front_mm=front))[1] for front in (2.5, 4.0))

    for plan, front in ((thin, 2.5), (thick, 4.0)):
        assert plan.base_y[0] - front - plan.beside.track_y == pytest.approx(45.0)
        assert plan.beside.track_distance_mm == pytest.approx(45.0)
    assert thin.loop_towards == (-1.0, 0.0, 0.0)
    assert isinstance(thin.frame, SideFrame)
    mirrored = placed(Shell(), mirror=True)[1]
    assert mirrored.loop_towards == (1.0, 0.0, 0.0)
    assert mirrored.beside.frame_x == pytest.approx((-thin.base_x[1], -thin.base_x[0]))
    assert (thin.beside.frame_x, thin.beside.frame_y) == (thin.base_x, thin.base_y)


def test_a_housing_on_the_roadbed_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its edge 0.52 mm past the shell's foot: 45.6 mm would do; half a millimetre short of it is none of its
    business."""
    plan, lane = placed(Shell())[1], _housing.shared.lane
    foot = plan.base_y[0] - Shell().at_rod_mm()
    past = [-0.5]
    monkeypatch.setattr(
        _housing.shared, "lane", lambda spec, options: replace(lane(spec, options), roadbed_edge_y=foot + past[0])
    )

    assert placed(Shell())[1].base_y == plan.base_y
    past[0] = 0.52
    with pytest.raises(NoDesign, match=r"0\.5 mm on the roadbed; use a --track-distance of 45\.6 mm or more"):
        placed(Shell())


def test_the_room_is_wider_by_the_shells_air_on_both_sides() -> None:
    """What rises with the room's shorter side is asked of that."""
    asked: list[tuple[float, float]] = []

    def rise(room_top: float, short: float) -> float:
        asked.append((room_top, short))
        return room_top + 3.0

    plan = placed(Shell(rise=rise))[1]
    air = _housing.fits.SHELL.air_mm(request().printer)
    shorter = min(high - low for low, high in (plan.room_x, plan.room_y))
    assert asked[-1] == pytest.approx((plan.room_top_z, shorter + 2 * air))


def test_what_is_told_is_raised_by_the_ground() -> None:
    """Pin, screws, servo and plug, and nothing sideways; the servo's axes stay."""
    turned = ((0.0, 0.0, 1.0, 7.0), (1.0, 0.0, 0.0, 8.0), (0.0, 1.0, 0.0, 9.0), (0.0, 0.0, 0.0, 1.0))
    datums = Datums(
        pin=(1.0, 2.0, 3.0), pivot=None, servo=turned, fixings=((4.0, 5.0, 6.0),), horn_at_mid=(0.0, 0.0, -1.0)
    )
    screw = Screw(head=(5.0, 4.0, 3.0), direction=(0.0, 0.0, -1.0), length_mm=12.0)
    plan = HousingPlan.model_construct(screws=(screw,), plug_path=((1.0, 3.0, 5.0), (2.0, 4.0, 6.0)))
    datums, plan = _housing._raised(datums, plan, 4.0)

    assert (datums.pin, datums.fixings) == ((1.0, 2.0, 7.0), ((4.0, 5.0, 10.0),))
    assert ([one.head for one in plan.screws], plan.plug_path) == (
        [(5.0, 4.0, 7.0)], ((1.0, 3.0, 9.0), (2.0, 4.0, 10.0)),
    )  # fmt: skip
    assert [*map(tuple, datums.servo)] == [*turned[:2], (0.0, 1.0, 0.0, 13.0), turned[3]]
