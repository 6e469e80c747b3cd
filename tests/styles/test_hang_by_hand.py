"""A hanging frame, each measure alone: posts and floor drawn round a stand with round figures. No kernel.

For a 9 g servo in N, screws of 3 mm and a 0.4 mm nozzle: case 22.6 × 12.2 mm, its ends 6.05 and 16.55 mm from the
shaft; ears 4.8 and 2.5 mm thick; arm 17 mm, its tip 4 mm wide, its hub 7, its outer face 15.4 mm over the ears. Rim
1.2 mm, air 1; from a screw's axis 4.4 mm to the plate's edge and 3.3 to what stands beside it.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np
import pytest
from requests_for_drives import Asked, asked

from mounts.errors import NoDesign
from mounts.inputs import fits
from mounts.styles import _housing_hang, _mounting
from mounts.styles import _housing_options as shared
from mounts.styles._housing_hang import _Floor, _Stand
from mounts.styles._housing_options import Options

RIM, AIR, MARGIN, BESIDE = 1.2, 1.0, 2.8 + 1.6, 2.8 + 0.5
STRIP, EDGE, SLOT = BESIDE + MARGIN, 1.2 + 0.6, (7.7 + 0.8, 2.6 + 0.8)
PLAY = fits.BOSS.own_mm
HOLE_TO_SCREW = 9.0 / 2 + 4.5 + 0.1  # a drill of 9 mm for the plug, a shank of 3 mm and a half, a tenth
DRIVE = {
    "wire_mm": 0.6, "horn_radius_mm": 7.0, "swing_deg": 20.0, "offset_mm": 7.0, "shaft_to_pin_mm": 42.0,
}  # fmt: skip
hang = partial(asked, DRIVE)
STAND = _Stand(
    shaft_x=-7.0, shaft_y=40.0, ears_z=24.0, lowest_z=4.0, rod_low_z=5.0, near_x=(-20.0, -13.25), far_x=(9.75, 17.0),
    foot_x=11.0, corbel_z=11.0, seat_z=21.5, arm_in_deg=0.0, arm_in_mm=2.0,
)  # fmt: skip


def approx(*figures: float) -> Any:
    return pytest.approx(figures, abs=1e-6)


def no_crack(edge: float) -> float:
    """Beside a post half a case's width off: 6.1 and a rim just touch, or 0.6 mm stay free."""
    return 6.1 + RIM + 0.6 if 6.1 + RIM - 0.05 < edge < 6.1 + RIM + 0.6 else edge


@pytest.mark.parametrize(
    ("fixing", "servo", "swing", "front"),
    [
        ({}, {}, 10.0, MARGIN + 4.5), ({}, {}, 40.0, 15.0 * math.sin(math.radians(40.0)) + 2.0 + AIR + RIM),
        ({}, {"case_width_mm": 24.0}, 10.0, 12.0 + AIR),
        ({}, {"case_width_mm": 15.0}, 10.0, 7.5 + RIM + 0.6),  # 8.9 would leave a crack
        ({}, {"case_width_mm": 30.0, "horn_length_mm": 30.0}, 35.0, 28.0 * math.sin(math.radians(35.0)) + 2.0 + 2.2),
        ({"shank_mm": 4.0}, {}, 10.0, MARGIN + 6.0),
    ],
)  # fmt: skip
def test_before_its_shaft_the_plate_has_room_for_screws_arm_or_case(
    fixing: dict[str, float], servo: dict[str, float], swing: float, front: float
) -> None:
    """A screw's head and rim, and a shank and a half; or what swings, or the case, a millimetre and the rim."""
    spec = hang(servo, fixing).spec

    assert _housing_hang.front_mm(spec, swing) == pytest.approx(front)
    assert _housing_hang.short_side_mm(spec) == pytest.approx(2 * _housing_hang.front_mm(spec, 32.0))


@pytest.mark.parametrize(
    ("figures", "reach"),
    [
        ({}, 15.0 + 6.05 + 6.3), ({"horn_length_mm": 25.0}, 25.0 + AIR + 4.0 - 5.0 + 2.35),
        ({"horn_length_mm": 40.0, "horn_radii_mm": (6.0, 9.0)}, 40.0 + AIR + 4.0 - 6.0),
        ({"case_length_mm": 40.0, "flange_span_mm": 50.0, "horn_radii_mm": (6.0, 9.0)}, 33.95 + 5.0 + 1.5 - 6.0),
    ],
)  # fmt: skip
def test_along_the_track_it_reaches_past_the_near_ear_or_the_arm(figures: dict[str, Any], reach: float) -> None:
    """With the farthest hole on the rod the near ear, with the nearest the far one, or the arm's end and 4 mm of post;
    then a screw's strip."""
    expected = max(reach, 27.35 if "horn_radii_mm" not in figures else 0.0) + STRIP

    assert _housing_hang.reach_x(hang(figures).spec) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("figures", "near", "far", "foot"),
    [
        ({}, -6.25, 16.75, 18.0), ({"boss_mm": 14.0}, -7.0 - PLAY, 16.75, 18.0),
        ({"horn_hub_mm": 14.0}, -8.0, 16.75, 18.0), ({"horn_length_mm": 12.0}, -6.25, 16.75, 16.75),
        ({"boss_mm": 36.0, "horn_length_mm": 12.0}, -18.0 - PLAY, 18.0 + PLAY, 18.0 + PLAY),
        ({"horn_length_mm": 21.0}, -6.25, 16.75, 22.0),
    ],
)  # fmt: skip
def test_posts_stand_clear_of_case_boss_hub_and_arm(
    figures: dict[str, float], near: float, far: float, foot: float
) -> None:
    """0.2 mm off the case, or what a boss needs; the arm's air; measured from the shaft, 9 mm before the pin's line and
    31 + 15.4 of it over the pin, let down by a millimetre."""
    design = hang(figures, pin_height_mm=31.0, horn_radius_mm=9.0, shaft_to_pin_mm=44.0)
    stand = _housing_hang._stand(*design, 1.0)
    arm = 30.0 + 0.3

    assert (stand.shaft_x, stand.shaft_y, stand.ears_z) == approx(-9.0, 44.0, arm + 15.4)
    assert (stand.lowest_z, stand.rod_low_z) == approx(arm - 0.8, 30.0 - 0.3)
    assert stand.near_x == approx(-9.0 - 6.05 - 6.3, -9.0 + near)
    assert stand.far_x == approx(-9.0 + far, -9.0 + max(16.55 + 6.3, foot + 4.0))
    assert (stand.foot_x, stand.corbel_z, stand.seat_z) == approx(-9.0 + foot, arm + 1.6 + AIR, arm + 15.4 - 2.5)


def floor(front: float = 13.0, options: Options | None = None, design: Asked | None = None, **figures: Any) -> _Floor:
    design = design or hang()
    return _housing_hang._floor(design.spec, design.drive, options or Options(), replace(STAND, **figures), front)


BACK = Options(cable="back")
SWEEP = 15.0 * math.sin(math.radians(20.0)) + 2.0


@pytest.mark.parametrize(
    ("options", "servo", "figures", "back"),
    [
        (BACK, {}, {}, 6.1 + 1.3 + AIR + RIM), (BACK, {"cable_thickness_mm": 0.5}, {}, SWEEP + AIR + RIM),
        (BACK, {"cable_thickness_mm": 4.0}, {}, 6.1 + 4.0 + AIR + RIM), (BACK, {}, {"arm_in_mm": 9.0}, 9.0 + AIR + RIM),
        (Options(), {}, {}, 6.1 + 0.4 + SLOT[1] + EDGE),
        (BACK, {}, {"lowest_z": 3.3}, SWEEP + AIR + 8.0), (BACK, {}, {"rod_low_z": 2.6}, SWEEP + AIR + 8.0),
        (BACK, {}, {"lowest_z": 3.3, "arm_in_mm": 9.0}, 9.0 + AIR + 8.0),
        (Options(), {}, {"lowest_z": 0.8}, SWEEP + AIR + 2.0 + 4.5 + 1.7 + EDGE),
        (Options(), {}, {"lowest_z": 0.8, "arm_in_mm": 9.0}, 9.0 + AIR + 2.0 + 4.5 + 1.7 + EDGE),
        (Options(), {"connector_thickness_mm": 5.0}, {"lowest_z": 0.8}, SWEEP + AIR + 2.0 + 5.0 + 2.9 + EDGE),
        (BACK, {"connector_thickness_mm": 5.0}, {"lowest_z": 0.8}, SWEEP + AIR + 8.0),
        (Options(), {"case_width_mm": 26.0}, {}, 13.0 + 0.4 + SLOT[1] + EDGE),
    ],
)  # fmt: skip
def test_a_floor_reaches_back_as_far_as_whatever_asks_most(
    options: Options, servo: dict[str, float], figures: dict[str, float], back: float
) -> None:
    """Screws, the cable behind the case, the arm turned in, an opening and 8 mm of strip, or the plug's way down: its
    slot behind the case, or in the middle of a hole in the board, 2 mm of wood behind the cut-out."""
    design = hang(servo)
    found = floor(options=options, design=design, **figures)
    case = design.spec.servo.case_width_mm / 2

    assert found.x == approx(-20.0 - STRIP, 17.0 + STRIP)
    assert found.y[0] == pytest.approx(27.0)
    assert found.y[1] == pytest.approx(40.0 + (no_crack(back) if case == 6.1 else back))
    xs, ys = (found.x[0] + MARGIN, found.x[1] - MARGIN), (27.0 + MARGIN, found.y[1] - MARGIN)
    assert [*found.heads_xy] == [approx(x, y) for x in xs for y in ys]
    assert (found.cable_slot is None) == (options is BACK)
    if found.cable_slot and "connector_thickness_mm" not in servo:
        middle = xs[0] + HOLE_TO_SCREW
        high = found.y[1] - EDGE
        assert found.cable_slot == (approx(middle - 4.25, middle + 4.25), approx(high - SLOT[1], high))


@pytest.mark.parametrize(
    ("figures", "behind"),
    [
        ({"lowest_z": 3.39}, SWEEP), ({"lowest_z": 3.41}, None), ({"rod_low_z": 2.69}, SWEEP),
        ({"rod_low_z": 2.71}, None), ({"lowest_z": 3.39, "arm_in_mm": 9.0}, 9.0), ({"lowest_z": 0.9}, SWEEP),
        ({"lowest_z": 0.9, "arm_in_mm": 9.0}, 9.0),
    ],
)  # fmt: skip
def test_a_plate_opens_under_a_low_arm_or_rod(figures: dict[str, float], behind: float | None) -> None:
    """Less than a millimetre over 2.4 mm of plate, or 0.3 for the rod: from beside the hub to the far post, from past
    the front edge to behind what swings or comes in turned; the board as deep, and so far as the arm swings."""
    found = floor(**figures)

    assert (found.base_mm, found.opening is not None) == (2.4, behind is not None)
    if behind:
        assert found.opening == (approx(-7.0 - 3.5 - AIR, 11.0), approx(26.0, 40.0 + behind + AIR))
    assert (found.cut_out is not None) == (figures.get("lowest_z") == 0.9)
    if found.cut_out and behind:
        corners = np.array(found.cut_out.outline)
        low, high = (-11.5, 40.0 - SWEEP - AIR), (-7.0 + 17.0 + AIR, 40.0 + behind + AIR)
        assert (*corners.min(axis=0), *corners.max(axis=0)) == approx(*low, *high)


def frame(design: Asked, **figures: Any) -> Any:
    stand = replace(STAND, **figures)
    held = floor(design=design, **figures)
    made, _ = _housing_hang._frame(design.spec, stand, replace(held, cable_slot=None))
    return made


@pytest.mark.parametrize(
    ("figures", "deep"),
    [
        ({"foot_x": 9.75}, 8.0 - 2.5 + 1.0),  # an upright post: the screw's length in it, and a millimetre
        ({"foot_x": 9.75, "seat_z": 8.0}, 8.0 - 2.4),  # no deeper than the plate's top
        ({"foot_x": 16.0, "far_x": (9.75, 22.0)}, None), ({"foot_x": 15.0, "far_x": (8.0, 21.0)}, None),
    ],
)  # fmt: skip
def test_a_pilot_stays_in_its_post(figures: dict[str, Any], deep: float | None) -> None:
    """Over a corbel that leans at 45° from its foot at 11 mm up: a skin of 1.2 mm square to it is left beside the hole,
    √2 of that along the track, or where it ends at the post's inner face."""
    design = hang()
    made = frame(design, **figures)

    if deep is None:
        far = -7.0 + 5.25 + 13.75  # of the far pilot
        corner = max(far - made.pilot_mm / 2 - math.sqrt(2) * RIM, figures["far_x"][0])
        deep = min(6.5, 21.5 - (11.0 + figures["foot_x"] - corner))
        assert deep < 6.5
    assert made.pilot_depth_mm == pytest.approx(deep)


def test_what_is_drawn_stands_round_the_shaft() -> None:
    """Posts as deep as two thirds of the case, or as two screws an ear and their bosses, no deeper than the case; the
    name between them, 0.8 mm off, behind the rim or what is open."""
    design = hang()
    made = frame(design)

    assert made.post_y == approx(40.0 - 12.2 / 3, 40.0 + 12.2 / 3)
    assert made.pilots_xy == (approx(-1.75 - 13.75, 40.0), approx(-1.75 + 13.75, 40.0))
    back = 40.0 + 6.1 + 0.4 + SLOT[1] + EDGE  # of the plate, behind the slot for the plug
    assert (made.mark_x, made.mark_y) == (approx(-12.45, 10.2), approx(27.0 + RIM + 0.8, back - RIM - 0.8))
    assert frame(design, lowest_z=3.3).mark_y[0] == pytest.approx(40.0 + SWEEP + AIR + 0.8)
    for pitch, deep in ((4.0, 4.0 + 5.0), (9.0, 12.2)):  # a boss reaches 1.25 diameters beside its screw
        two = frame(hang({"flange_hole_pitch_mm": pitch}))
        assert two.post_y == approx(40.0 - deep / 2, 40.0 + deep / 2)
        ys = {y for _, y in two.pilots_xy}
        assert ys == {40.0 - pitch / 2, 40.0 + pitch / 2}
        assert two.pilots_xy[0][1] == 40.0 - pitch / 2
    slot = replace(floor(), cable_slot=((-16.0, -8.0), (50.0, 54.0)))
    assert _housing_hang._frame(design.spec, STAND, slot)[0].mark_x[0] == pytest.approx(-8.0 + 0.8)


@pytest.mark.parametrize(("off", "printed"), [(2.11, False), (2.13, True)])
def test_a_pilot_too_near_a_side_of_its_post_is_marked(off: float, printed: bool) -> None:
    """On whichever side: the narrowest hole, 0.8 of a screw of 2 mm and 0.2, with 1.22 of plastic beside it, needs 2.12
    from its axis."""
    for figures in ({"near_x": (-15.5 - off, -13.0)}, {"near_x": (-20.0, -15.5 + off)}, {"far_x": (12.0 - off, 17.0)}):
        assert (frame(hang(), **figures).pilot_mm is not None) == printed


@pytest.mark.parametrize(("room", "degrees"), [(17.31, 0.0), (17.29, 5.0), (17.25, 5.0), (17.24, 10.0), (10.0, 60.0)])
def test_an_arm_goes_in_turned_by_fives(room: float, degrees: float) -> None:
    """Its tip's middle 15 mm out, 2 mm round it and 0.3: between posts 17.3 mm off it goes in straight; the least
    multiple of 5° at which it passes, and how far back it reaches then."""
    found, reach = _housing_hang._arm_in(hang().spec, room)

    assert found == degrees
    assert 15.0 * math.cos(math.radians(found)) + 2.3 <= room + 1e-9
    assert found == 0.0 or 15.0 * math.cos(math.radians(found - 5.0)) + 2.3 > room
    assert reach == pytest.approx(15.0 * math.sin(math.radians(found)) + 2.0)


def test_where_it_is_told_the_stand_is_what_was_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """The plug starts 0.5 mm past the near post at the shaft; the thinner post bears at its foot, from the plate to the
    ears; the rod's slot follows the arm's hole, which comes back by r·(1 − cos) at either end."""
    design = hang(horn_radius_mm=9.0, swing_deg=30.0)
    monkeypatch.setattr(_housing_hang, "_stand", lambda *_: replace(STAND, foot_x=12.0))
    asked: list[Any] = []
    monkeypatch.setattr(_mounting, "posts_n_per_mm", lambda spec, *posts: asked.append(posts) or 1.0)
    monkeypatch.setattr(_mounting, "posts_mpa_per_n", lambda *posts: asked.append(posts) or 1.0)
    monkeypatch.setattr(shared, "slot_x", lambda drive, at, stray_mm: asked.append((at, stray_mm)) or (-2.0, 2.0))
    common = {"wire_tail_mm": 2.5, "name_mark": "A1", "loop_towards": (-1.0, 0.0, 0.0)}
    datums, plan = _housing_hang.place(
        design.spec, design.drive, Options(cable="back"), 13.0, common, outside_mm=4.0, sunk_mm=0.0
    )

    assert [*datums.servo[:3]] == [approx(1, 0, 0, -7.0), approx(0, -1, 0, 40.0), approx(0, 0, -1, 24.0)]
    assert (datums.horn_at_mid, datums.pin[2]) == ((1.0, 0.0, 0.0), design.spec.pin_height_mm)
    assert (plan.way_out, plan.plug_wide, plan.ears_rest_on) == ((0.0, 0.0, 1.0), (1.0, 0.0, 0.0), "upper")
    thick, wide, long = asked[0]
    assert (thick, *wide, long) == approx(5.0, 12.2 * 2 / 3, 12.2 * 2 / 3, 21.5 - 2.4)
    assert asked[1] == asked[0]
    assert asked[2] == approx(17.0, 9.0 * (1 - math.cos(math.radians(30.0))))
    x, z = -13.25 + 3.85 + 0.5, 2.4 + 1.3 + 0.5
    assert [*plan.plug_path] == [approx(x, 40.0, z), approx(x, plan.base_y[1] + 20.0, z)]
    assert plan.room_top_z == pytest.approx(24.0 + 15.75 + AIR)
    assert plan.slot_top_z == pytest.approx(design.spec.pin_height_mm + 0.3 + 1.0)


def test_a_long_arm_needs_3_mm_of_post_over_its_corbel() -> None:
    """10.3 mm of post over the arm, 7.3 of them for what the arm reaches past the case at most; else the pose that
    does is named."""
    _housing_hang._stand(*hang({"horn_length_mm": 16.75 - AIR + 7.29}), 0.0)
    with pytest.raises(NoDesign, match=r"7\.3 mm of corbel in 10\.3 mm.* or set pose=side"):
        _housing_hang._stand(*hang({"horn_length_mm": 16.75 - AIR + 7.31}), 0.0)
    assert _housing_hang.top_z(hang(pin_height_mm=9.0).spec, 0.7, 1.0) == pytest.approx(9.0 - 1.0 + 0.35 + 15.4 + 15.75)
