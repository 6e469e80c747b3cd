"""Where a housing's servo stands and lies, by sites and measures in round figures. No kernel."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest
from plain import designed

from mounts.design import Stature
from mounts.errors import NoDesign
from mounts.styles import _housing_site as site
from mounts.styles._housing_options import AIR_MM, Options, Shell

SPEC = designed(style="cabin", scale="HO").design.spec.model_copy(
    update={"arm_hole_mm": None, "track_distance_mm": None}
)
RATIO = SPEC.scale.ratio
# 3 to 4 m are usual, 5 m the most: with 3 mm over its room, rooms of 31.4 to 42.9 and 54.4 mm in HO
SHELL = Shell(over_mm=3.0, stature=Stature(low_m=3.0, high_m=4.0, most_m=5.0))


def at(pose: Any, room_top_mm: float, most: float = 10.0, *, least: float = 0.0, sunk: float = 0.0) -> site.Site:
    return site.Site(pose, sunk, least, most, "it meets the board", room_top_mm, 20.0, 15.0, 40.0, fixed=False)


@pytest.fixture
def sites(monkeypatch: pytest.MonkeyPatch) -> dict[str, site.Site]:
    """Those of both poses, to be filled in."""
    held: dict[str, site.Site] = {}
    monkeypatch.setattr(site, "_pose_site", lambda spec, options, shell, pose: held[pose])
    return held


def real(room_top_mm: float) -> float:
    return (room_top_mm + 3.0) * RATIO / 1000


@pytest.mark.parametrize(
    ("hang", "side", "lying", "pose"),
    [
        (40.0, 35.0, False, "hang"), (40.0, 35.0, True, "side"),  # both usual: as the shell has it
        (50.0, 40.0, False, "side"), (35.0, 48.0, True, "hang"),  # the nearer to what is usual
        (20.0, 25.0, False, "side"),
    ],
)  # fmt: skip
def test_the_pose_is_the_nearer_to_reality(sites: Any, hang: float, side: float, lying: bool, pose: str) -> None:
    """Of two that are usual the one that suits the shell; what was asked for whatever it comes to."""
    sites |= {"hang": at("hang", hang), "side": at("side", side)}
    shell = Shell(over_mm=3.0, stature=SHELL.stature, lying=lying)

    assert site.site_of(SPEC, Options(), shell).pose == pose
    for asked in ("hang", "side"):
        assert site.site_of(SPEC, Options(pose=asked), shell).pose == asked


@pytest.mark.parametrize(("room", "most", "down"), [(54.0, 10.0, 0.0), (60.08, 10.0, 5.7), (60.0, 2.0, 2.0)])
def test_a_tower_is_let_down_as_far_as_may_be(sites: Any, room: float, most: float, down: float) -> None:
    """By whole tenths of a millimetre until it is 5 m, 57.4 mm with what is over its room; not where it was asked."""
    sites |= {"hang": at("hang", room, most)}
    found = site.site_of(SPEC, Options(pose="hang"), SHELL)

    assert real(54.4) == pytest.approx(5.0, abs=0.01)  # 1:87
    assert found.sunk_mm == pytest.approx(down)
    assert down in (0.0, most) or 4.985 < real(room - down) <= 5.0
    asked = site.site_of(SPEC, Options(pose="hang", sunk_mm=0.5), SHELL)
    assert asked.sunk_mm == 0.0  # as the site has it, which knows what was asked
    sites |= {"hang": at("hang", room + 2.0, most + 2.0, least=2.0, sunk=2.0)}  # what a height asks for counts
    assert site.site_of(SPEC, Options(pose="hang"), SHELL).sunk_mm == pytest.approx(down + 2.0)


def test_a_height_that_is_too_low_is_refused_with_the_least(sites: Any) -> None:
    """30 mm where the servo would have to go 12.34 mm down and may go 10, or 8.5 of 8: 32.4 and 30.5 mm would do."""
    sites |= {"hang": at("hang", 40.0, 10.0, least=12.34), "side": at("side", 40.0, 8.0, least=8.5)}

    with pytest.raises(NoDesign) as told:
        site.site_of(SPEC, Options(height_mm=30.0), SHELL)
    assert "pose hang 32.4 mm, sunk as far as it may be, 10.0 mm" in str(told.value)
    assert "pose side 30.5 mm, sunk as far as it may be, 8.0 mm" in str(told.value)
    assert str(told.value).endswith("use --set height_mm=30.5")
    sites["side"] = at("side", 40.0, 8.0, least=8.0)
    assert site.site_of(SPEC, Options(height_mm=30.0), SHELL).pose == "side"


def test_what_is_asked_for_is_let_down_in_the_pose_that_can(sites: Any) -> None:
    """9 mm only hanging; 10.5 in neither, and the deeper is told; less than the height asks for is refused too."""
    sites |= {"hang": at("hang", 40.0, 10.04, least=2.0), "side": at("side", 40.0, 4.0)}
    shell = Shell(over_mm=3.0, stature=SHELL.stature, lying=True)

    assert site.site_of(SPEC, Options(sunk_mm=4.0), shell).pose == "side"
    assert site.site_of(SPEC, Options(sunk_mm=9.0), shell).pose == "hang"
    assert site.site_of(SPEC, Options(sunk_mm=10.04), shell).pose == "hang"
    assert site.site_of(SPEC, Options(pose="hang", sunk_mm=2.0), shell).pose == "hang"
    with pytest.raises(
        NoDesign, match=r"in pose hang .* 2\.0 to 10\.0 mm; deeper, it meets the board; or --set sunk_mm=10$"
    ):
        site.site_of(SPEC, Options(sunk_mm=10.5), shell)
    with pytest.raises(NoDesign, match=r"sunk_mm = 1\.9: in pose hang"):
        site.site_of(SPEC, Options(pose="hang", sunk_mm=1.9), shell)


@pytest.fixture
def measures(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """Of the servo and its surroundings: top 30 hanging, 20 and the hole on its side, roadbed to 12, gauge to 25 mm."""
    held: dict[str, Any] = {"gauge": 25.0, "drop": (9.0, "the rod leans"), "asked": []}
    hang = SimpleNamespace(
        STEEPEST_DEG=5.0, top_z=lambda spec, wire, sunk: 29.2 + wire - sunk, short_side_mm=lambda spec: 26.0,
        reach_x=lambda spec: 21.0, front_mm=lambda spec, swing: 14.0,
    )  # fmt: skip
    side = SimpleNamespace(
        STEEPEST_DEG=8.0, top_z=lambda spec, hole: 20.0 + hole, short_side_mm=lambda spec, options: 18.0,
        reach_x=lambda spec, options: 17.0, front_mm=lambda spec, swing: 11.0,
        least_offset_mm=lambda spec, base: base + 4.0, nearest_hole_mm=lambda spec: 5.0,
    )  # fmt: skip

    def gauge_front_y(spec: Any, options: Any, top: float, along: float) -> float:
        held["asked"].append((top, along))
        return float(held["gauge"])

    def rod_drop(spec: Any, options: Any, *, shaft_y: float, steepest_deg: float) -> Any:
        held["asked"].append((shaft_y, steepest_deg))
        return held["drop"]

    monkeypatch.setattr(site, "_housing_hang", hang)
    monkeypatch.setattr(site, "_housing_side", side)
    monkeypatch.setattr(site._housing_screws, "base_mm", lambda spec, options: 2.5)
    lane = SimpleNamespace(track_y=3.0, roadbed_edge_y=12.0)
    for name, value in (
        ("widest_wire_mm", lambda spec: 0.8), ("lane", lambda spec, options: lane), ("gauge_front_y", gauge_front_y),
        ("rod_drop", rod_drop),
    ):  # fmt: skip
        monkeypatch.setattr(site.shared, name, value)
    return held


PLAIN = Shell(front_mm=2.5, over_mm=3.0, stature=SHELL.stature)


def with_holes(*holes: float, **figures: Any) -> Any:
    servo = SPEC.servo.model_copy(update={"horn_radii_mm": holes, "horn_length_mm": 18.0})
    return SPEC.model_copy(update={"servo": servo, **figures})


def test_a_hanging_servo_stands_before_gauge_or_roadbed(measures: Any) -> None:
    """14 mm from its shaft to the edge, 2.5 of shell, and the gauge at 25, asked for 3 mm over the room's top and over
    its reach of 21 and the shell's end; or the roadbed's edge at 12 where that is farther out."""
    found = site._pose_site(with_holes(6.0, 9.0), Options(), PLAIN, "hang")
    top = 30.0 + AIR_MM

    assert (found.room_top_mm, found.short_mm, found.front_mm, found.fixed) == (top, 26.0, 14.0, False)
    assert (found.sunk_mm, found.sunk_least_mm, found.sunk_most_mm, found.deeper) == (0.0, 0.0, 9.0, "the rod leans")
    assert found.shaft_y == 14.0 + 25.0 + 2.5
    assert measures["asked"] == [(top + 3.0, 21.0 + PLAIN.at_ends_mm(top)), (41.5, 5.0)]
    measures["gauge"] = 3.0
    assert site._pose_site(with_holes(6.0), Options(), PLAIN, "hang").shaft_y == 14.0 + 12.0 + 2.5


def test_a_distance_that_is_given_is_kept(measures: Any) -> None:
    """From the track's middle, 3 mm beside the pin, to the shell's front 2.5 mm before the frame's."""
    found = site._pose_site(with_holes(6.0, track_distance_mm=30.0), Options(), PLAIN, "side")

    assert (found.shaft_y, found.fixed) == (30.0 + 3.0 + 2.5 + 11.0, True)
    assert measures["asked"] == [(46.5, 8.0)]


def test_a_servo_on_its_side_goes_down_as_its_arm_is_long(measures: Any) -> None:
    """Its nearest hole is 6.5 mm at least, its base plate's 2.5 and 4; 7 stands half a millimetre clear. An arm hole
    that is pinned, or a depth that is, tells of the farthest hole in its place."""
    near = site._pose_site(with_holes(5.0, 7.0, 12.0), Options(), PLAIN, "side")
    assert (near.room_top_mm, near.short_mm, near.front_mm) == (27.0 + AIR_MM, 18.0, 11.0)
    assert near.sunk_most_mm == pytest.approx(0.5)
    assert measures["asked"][0] == (32.0 + AIR_MM + 3.0, 17.0 + PLAIN.at_ends_mm(32.0 + AIR_MM))  # its farthest hole
    assert site._pose_site(with_holes(6.5, 9.0), Options(), PLAIN, "side").room_top_mm == 26.5 + AIR_MM
    assert near.deeper.startswith("its case meets the base plate")
    deep = site._pose_site(with_holes(5.0, 7.0, 12.0), Options(sunk_mm=3.0), PLAIN, "side")
    assert (deep.sunk_mm, deep.sunk_most_mm) == (3.0, pytest.approx(5.5))
    pinned = site._pose_site(with_holes(5.0, 7.0, arm_hole_mm=9.0), Options(), PLAIN, "side")
    assert (pinned.room_top_mm, pinned.sunk_most_mm) == (29.0 + AIR_MM, pytest.approx(2.5))
    long = site._pose_site(with_holes(5.0, 16.0, 17.0), Options(), PLAIN, "side")
    assert (long.sunk_most_mm, long.deeper) == (9.0, "the rod leans")
    measures["asked"].clear()
    site._pose_site(with_holes(5.0, 7.0, 12.0, 40.0), Options(), PLAIN, "side")
    usual = 4000 / RATIO - 3.0  # as high as its kind is, less the roof: no tower for the sake of a far hole
    assert measures["asked"][0][0] == pytest.approx(usual + 3.0)
    flat = site._pose_site(with_holes(4.0, 5.0), Options(sunk_mm=0.0), PLAIN, "side")
    assert (flat.sunk_mm, flat.sunk_most_mm) == (0.0, 0.0)
    none = site._pose_site(with_holes(4.0, 5.0), Options(), PLAIN, "side")
    assert none.room_top_mm == 26.5 + AIR_MM


def test_a_height_lets_the_servo_down(measures: Any) -> None:
    """By what top and air are over it; then a hole farther out is looked at again."""
    low = Options(height_mm=30.0)
    assert site._pose_site(with_holes(6.0), low, PLAIN, "hang").sunk_least_mm == pytest.approx(AIR_MM)
    assert site._pose_site(with_holes(6.0), Options(height_mm=40.0), PLAIN, "hang").sunk_least_mm == 0.0
    side = site._pose_site(with_holes(7.0, 12.0), Options(height_mm=26.0, sunk_mm=1.0), PLAIN, "side")
    assert side.sunk_least_mm == pytest.approx(1.0 + AIR_MM)
    assert (side.sunk_mm, side.sunk_most_mm) == (1.0, pytest.approx(0.5))
    little = site._pose_site(with_holes(7.0, 12.0), Options(height_mm=27.0, sunk_mm=1.0), PLAIN, "side")
    assert (little.sunk_least_mm, little.sunk_most_mm) == (pytest.approx(AIR_MM), pytest.approx(0.5))


def test_two_arm_holes_are_left_to_choose_from_where_that_makes_no_tower(measures: Any) -> None:
    """From the nearest that is clear to what is usual, 4 m, or to the second however high; where the pose is free only
    up to 5 m. A height that was given is kept."""
    usual, most = (metres * 1000 / RATIO - 20.0 - AIR_MM - 3.0 for metres in (4.0, 5.0))
    assert 10.0 < usual < 30.0 < most
    holes = with_holes(5.0, 7.0, 9.0)
    assert site.side_holes_mm(holes, Options(), PLAIN, 0.0) == (7.0, pytest.approx(usual))
    far = with_holes(7.0, usual + 2.0, usual + 9.0)
    assert site.side_holes_mm(far, Options(), PLAIN, 0.0) == (7.0, pytest.approx(usual + 2.0))
    tower = with_holes(7.0, most + 1.0)
    assert site.side_holes_mm(tower, Options(), PLAIN, 0.0) == (7.0, pytest.approx(usual))
    assert site.side_holes_mm(tower, Options(pose="side"), PLAIN, 0.0) == (7.0, pytest.approx(most + 1.0))
    last = with_holes(7.0)
    assert site.side_holes_mm(last, Options(pose="side"), PLAIN, 0.0) == (7.0, pytest.approx(max(usual, 18.0)))
    low = site.side_holes_mm(holes, Options(height_mm=31.0), PLAIN, 0.0)
    assert low == (7.0, pytest.approx(31.0 - 20.0 - AIR_MM))
    assert site.side_holes_mm(holes, Options(height_mm=22.0), PLAIN, 0.0) == (7.0, 7.0)
    assert site.side_holes_mm(with_holes(5.0, 8.0, arm_hole_mm=8.0), Options(), PLAIN, 0.0) == (8.0, 18.0)
    assert site.side_holes_mm(holes, Options(), PLAIN, 2.0) == (9.0, pytest.approx(usual + 2.0))


def test_before_a_drive_is_chosen_there_is_room_for_the_widest_swing() -> None:
    """Or for the one that is asked for."""
    asked = SPEC.model_copy(update={"swing_deg": 33.0})

    assert site._largest_swing_deg(asked) == 33.0
    assert site._largest_swing_deg(SPEC.model_copy(update={"swing_deg": None})) == pytest.approx(
        site.largest_swing_deg(SPEC.servo)
    )
    assert math.isfinite(site.front_mm(SPEC, "hang", 30.0))
