"""Plans of brackets round a shaft and a slot that are given, corner by corner, in round figures. No kernel.

A 9 g servo: case 22.6 × 12.2 mm, ends 6.05 and 16.55 from the shaft, ears 32.2 over all, holes 27.5 apart for screws of
2 mm, plug 7.7 × 2.6. 12 mm of board, a plate of 3.5; wall 5, web 2, ribs 1.6. A wood screw of 3 mm, its head 5.6: from
its axis 4.4 mm to an edge. The rod's hole of 12 mm is cleared by screws at 10.5, the plate is 15.7 wide to either side.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from pydantic import ValidationError
from requests_for_drives import request

from mounts.drive.rocking_wire.model import RockingWireDrive
from mounts.inputs.spec import MountSpec
from mounts.styles import _bracket, _bracket_across, _bracket_down, _mounting
from mounts.styles._bracket import Options
from mounts.styles._bracket_legs import Legs, across_mpa_per_n, seat_n_per_mm, upright_mpa_per_n

SLOT = {
    "board_face_z": -12.0, "plate_mm": 3.5, "pivot_z": -13.75, "slot_x_mm": 2.0, "slot_y_mm": 1.3, "land_mm": 1.0,
    "flare_deg": 15.0,
}  # fmt: skip
FLARE = 1.25 * math.tan(math.radians(15.0))
ROUND, ROOFED = 2.5, math.sqrt(2) * 1.05 + 0.3 + 1.22  # 1.25 screws; a hole of 2.1 with roof, 0.3 and three lines


def changed(part: str, **figures: Any) -> MountSpec:
    spec = request()
    return spec.model_copy(update={part: getattr(spec, part).model_copy(update=figures)})


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [("plate_mm", 3, 8), ("wall_mm", 4, 10), ("rib_mm", 1.6, 6), ("web_mm", 1.6, 10)],
)
def test_an_option_is_taken_up_to_what_can_be_built(name: str, least: float, most: float) -> None:
    """At its ends and not 0.1 beyond them. Common practice, no source."""
    for good, beyond in ((least, least - 0.1), (most, most + 0.1)):
        assert _bracket.rib_mm(request(), Options(**{name: good})) >= 1.6
        with pytest.raises(ValidationError):
            Options(**{name: beyond})


def across(
    shaft: tuple[float, float, float] = (-15.0, 0.0, -60.0),
    *,
    spec: MountSpec | None = None,
    upright: bool = False,
    half_mm: float | None = None,
    rib_mm: float = 1.6,
    **slot: Any,
) -> _bracket_across.AcrossPlan:
    options = Options(wall_mm=5.0, web_mm=2.0, rib_mm=rib_mm)
    wants = _mounting.SeatWants(0.0, 0.0, 1.0)
    return _bracket_across.planned(
        spec or request(), options, SLOT | slot, shaft, wants, upright=upright, half_mm=half_mm
    )


def close(found: Any, expected: Any) -> None:
    assert [tuple(one) for one in found] == [pytest.approx(one) for one in expected]


def test_legs_stand_by_the_case_and_are_as_stiff_as_they_are_drawn() -> None:
    """Shaft 60 mm down, 15 behind the wire: web and legs from -11.35 to 21.85, 5.1 mm beside a notch 23 wide, on a foot
    as wide as the ribs, 25 mm apart; the name between web and front screws, 1.5 mm inside the plate's edges; a bay
    between the rear screws."""
    plan = across()

    close([plan.wall_y, plan.notch_y, plan.inside_y], [(-11.35, 21.85), (-6.25, 16.75), (-6.45, 16.95)])
    close([plan.foot_y, plan.plate_y, plan.pin_y], [(-8.05, 18.55), (-15.7, 18.55), (-15.7, 15.7)])
    close([plan.plate_x, plan.mark_x, plan.mark_y], [(-24.9, 4.4), (-14.0, -3.6), (-6.55, 14.2)])
    close(plan.heads_xy, [(0.0, -10.5), (0.0, 10.5), (-20.5, -2.95), (-20.5, 13.45)])
    heights = (plan.notch_top_z, plan.boss_top_z, plan.thinned_z, plan.wall_bottom_z, plan.knee_z)
    assert heights == pytest.approx((-53.7, -60 + ROUND, -60 + ROUND + 1.1 * 3, -60 - ROOFED, -52.5))
    assert (plan.rib_reach_mm, plan.rib_drop_mm) == pytest.approx((8.9, 42.0))
    bay = (-6.45 + 3.5 + 4.4, 16.95 - 3.5 - 4.4)
    outline = _bracket_across._outline((-24.9, 4.4), (-17.0, -15.0), (-8.05, 18.55), (-15.7, 15.7), bay)
    close(plan.outline_xy, outline)
    legs = Legs((5.1, 5.1), apart_mm=25.0, foot_mm=26.6, web_mm=2.0, rib_mm=1.6, deep_mm=(5.0, 8.9))
    z = (-15.5, -53.7, -60.0)
    assert plan.seat_n_per_mm == pytest.approx(seat_n_per_mm(request(), legs, 15.0, z))
    assert plan.seat_mpa_per_n == pytest.approx(across_mpa_per_n(request(), legs, 15.0, z))
    assert across(upright=True).seat_mpa_per_n == pytest.approx(upright_mpa_per_n(legs, 15.0))
    close(plan.plug_path, [(-15 - 5 - 3.85 - 0.5, -6.05 - 1.3 - 0.5, z) for z in (-60.0, -92.2)])
    assert [(mark.axis, mark.notches) for mark in plan.index_marks] == [
        ("tie-bar", 1), ("tie-bar", 3), ("track", 1), ("track", 1),
    ]  # fmt: skip


def test_a_name_stays_inside_a_plate_that_tapers() -> None:
    """1.5 mm inside foot or pin's edge, whichever is nearer: a foot from -14.05 to 12.55 under a plate of 31.4."""
    close([across((-15.0, -6.0, -60.0)).mark_y], [(-14.05 + 1.5, 12.55 - 1.5)])


@pytest.mark.parametrize("want", ["stiff", "strong"])
def test_a_web_gets_thicker_until_it_is_stiff_and_strong_enough(want: str) -> None:
    """By a line of 0.4 mm each time; for a seat a little stiffer than the thinnest web makes it, or less stressed."""

    def found(stiff: float, stress: float) -> _bracket_across.AcrossPlan:
        wants = _mounting.SeatWants(stiff / _mounting.SEAT_SPARE, 1.0, stress)
        options = Options(wall_mm=5.0, rib_mm=1.6)
        return _bracket_across.planned(request(), options, SLOT, (-15.0, 0.0, -60.0), wants)

    thin = found(0.0, math.inf)
    more = (
        found(thin.seat_n_per_mm * 1.001, math.inf)
        if want == "stiff"
        else found(0.0, (thin.seat_mpa_per_n or 0) * 0.999)
    )
    assert more.web_mm - thin.web_mm == pytest.approx(0.407, abs=0.001)


def test_short_legs_flare_as_steeply_as_long_ones() -> None:
    """1.5 mm of height to one, as far as there is height, none where there is no half millimetre; a knee stays a
    millimetre under the plate."""
    short, shorter = across((-15.0, 0.0, -23.5)), across((-15.0, 0.0, -21.7))

    out = (-15.5 + 23.5 - ROUND - 3.3) / 1.5
    close([short.foot_y, shorter.foot_y], [(-11.35 + out, 21.85 - out), (-11.35, 21.85)])
    assert (short.knee_z, shorter.knee_z) == pytest.approx((-16.5, -16.5))


def test_large_heads_wide_slots_and_far_holes_ask_for_their_own() -> None:
    """Half a head of 8 mm and 0.2 of play instead of a driver's 3.5; past a slot of 6 mm its notch's 0.8 and a wall of
    1.6; past holes 29 mm apart as much as lies between them and the case; the legs past ribs of 6 mm."""
    close([across(rib_mm=6.0).wall_y], [(-6.45 - 6.0, 16.95 + 6.0)])
    head = across(spec=changed("fixing", head_mm=8.0))
    assert (head.heads_xy[2][0], head.plate_x[0]) == pytest.approx((-15 - 2 - 4.2, -15 - 2 - 4.2 - 4.0 - 1.6))
    assert across(slot_x_mm=6.0).plate_x[1] == pytest.approx(3.0 + 0.8 + 1.6)
    ears = changed("servo", flange_hole_spacing_mm=29.0)
    close([across(spec=ears).wall_y], [(5.25 - 14.5 - 3.0, 5.25 + 14.5 + 3.0)])
    options = Options(rib_mm=1.6)
    assert _bracket_across.beyond_case_mm(ears, options) == pytest.approx(14.5 + 3.0 - 11.3)
    assert _bracket_across.beyond_case_mm(request(), options) == pytest.approx(16.6 - 11.3)
    plug = changed("servo", connector_thickness_mm=6.0)
    assert _bracket_across.beyond_case_mm(plug, options) == pytest.approx(6.0 + 2 * 0.5)
    assert _bracket_across.beyond_case_mm(request(), Options(rib_mm=6.0)) == pytest.approx(0.4 + 6.0)
    sloppy = changed("printer", slip_fit_mm=0.5)
    assert _bracket_across.beyond_case_mm(sloppy, Options(rib_mm=6.0)) == pytest.approx(0.5 + 6.0)
    close([across(spec=sloppy).inside_y], [(-6.05 - 0.5, 16.55 + 0.5)])


def test_beside_a_partner_the_case_lies_away_from_it() -> None:
    """Its far end to -y; the plate from its legs, or as far as without a partner, to the half; a screw ahead by as much
    as clears the rod's hole, 1.5 shanks inside the half; the plug at the shaft's end, on the partner's side."""
    plan = across((-15.0, -13.0, -60.0), half_mm=5.0)

    close([plan.wall_y, plan.pin_y, plan.plate_x], [(-34.85, -1.65), (-34.85, 5.0), (-24.9, 10.5 + 4.4 + 0.8)])
    close(plan.heads_xy, [(10.5, 0.5), (0.0, -30.45), (-20.5, -29.95 + 3.5), (-20.5, -6.55 - 3.5)])
    assert plan.plug_path[0][1] == pytest.approx(-13.0 + 6.05 + 1.3 + 0.5)
    near = across((-15.0, 8.0, -60.0), half_mm=20.0)
    close([near.wall_y, near.pin_y], [(-13.85, 19.35), (-15.7, 15.7)])
    thick = across((-15.0, -13.0, -60.0), half_mm=5.0, spec=changed("fixing", head_mm=8.0))
    assert thick.heads_xy[0][1] == pytest.approx(5.0 - 5.6)


@pytest.mark.parametrize(
    ("second", "wide", "ahead", "edge"),
    [(-9.0, 1.3, (math.sqrt(10.5**2 - 25), -5.0), 4.4 + 0.8), (-30.0, 6.0, (0.0, -15.0), 3.0 + FLARE + 1.6 + 0.8)],
)
def test_a_screw_stands_between_two_rods(second: float, wide: float, ahead: tuple[float, float], edge: float) -> None:
    """On the whole millimetre midway, clear of both holes; the plate goes on past the second slot by a screw's edge, or
    the slot's flare and a wall, and a notch."""
    plan = across(second_y=second, slot_y_mm=wide)

    close(plan.heads_xy, [ahead, (0.0, 10.5), (-20.5, -2.95), (-20.5, 13.45)])
    close([plan.pin_y, plan.plate_x], [(second - edge, 15.7), (-24.9, ahead[0] + 4.4 + 0.8)])


def wire(**figures: Any) -> RockingWireDrive:
    told = {
        "wire_mm": 0.8, "horn_radius_mm": 9.0, "pivot_to_horn_mm": 40.0, "pivot_bore_mm": 1.1, "pivot_land_mm": 1.0,
        "tilt_deg": 5.0, "horn_towards_pivot": True, "pivot_to_pin_mm": 40.0, "rate_n_per_mm": 0.0,
    }  # fmt: skip
    return RockingWireDrive.model_construct(**(told | figures))


@pytest.mark.parametrize(("place", "layers"), [(_bracket_across.place, True), (_bracket_down.place, False)])
def test_lying_across_the_wire_pulls_across_the_layers(
    monkeypatch: pytest.MonkeyPatch, place: Any, layers: bool
) -> None:
    """As the plate lies on the bed then, and the wall of one that points down."""
    told: list[bool] = []

    def wants(*_: Any, across: bool) -> _mounting.SeatWants:
        told.append(across)
        return _mounting.SeatWants(0.0, 0.0, 1.0)

    monkeypatch.setattr(_mounting, "seat_wants", wants)
    place(request(), wire(), Options())
    assert told == [layers]


def down(spec: MountSpec | None = None, *, rib_mm: float = 1.6, **figures: Any) -> _bracket_down.DownPlan:
    return _bracket_down.place(spec or request(), wire(**figures), Options(wall_mm=5.0, rib_mm=rib_mm))[1]


def test_a_standing_plate_makes_room_for_what_is_larger_than_usual() -> None:
    """A rear screw past a rib of 6 mm and a driver's 3.5 with half a millimetre; a front edge past a slot with roof,
    flare and notch; arms past a printed hole by three lines, past a mark by 1.5 screws; a wall past both
    screws of an ear; as wide a plate as the widest post."""
    assert down().heads_xy[2][1] == pytest.approx(-0.4 * 10.5)
    assert down(rib_mm=6.0).heads_xy[2][1] == pytest.approx(-6.3 - 7.5 + 6.0 + 3.5 + 0.5)
    slot = 4.0 / 2 + 4.2 / 2 + FLARE + 0.2 + 0.8
    assert down(pivot_bore_mm=4.0).plate_x[1] == pytest.approx(slot + 1.6)
    assert down().plate_x[1] == pytest.approx(2.5 + 0.9 + 3.0)
    coarse = changed("printer", nozzle_mm=0.9)
    long = coarse.servo.model_copy(update={"flange_hole_spacing_mm": 31.0, "flange_span_mm": 36.0})
    bored = down(coarse.model_copy(update={"servo": long}))
    assert 1.9 <= bored.pilot_mm <= 2.0
    assert bored.pilots_yz[0][1] - bored.wall_bottom_z == pytest.approx(bored.pilot_mm / 2 + 3 * 0.9 + 0.02)
    marked = down(coarse)
    assert (marked.pilot_mm, marked.pilots_yz[0][1] - marked.wall_bottom_z) == (None, pytest.approx(1.5 * 2.0))
    assert down(changed("servo", flange_hole_pitch_mm=6.0)).wall_y[1] == pytest.approx(3.0 + 3.2)
    deep = down(pivot_to_horn_mm=100.0)  # its rib goes three quarters of the way to the case's lower end
    shaft = deep.opening_z[1] - 6.05 - 0.2
    assert deep.rib_drop_mm == pytest.approx(0.75 * (-15.5 - (shaft - 16.55)))
    assert down().rib_drop_mm == pytest.approx(-15.5 - down().opening_z[1])
    close([down().pin_y], [(-15.7, 15.7)])
    datums, _ = _bracket_down.place(request(), wire(), Options())
    turned = [list(row[:3]) for row in datums.servo[:3]]
    assert turned == [[0, 0, 1], [0, 1, 0], [-1, 0, 0]]  # case down, shaft along x
    strong = down(rate_n_per_mm=1e6)
    close([strong.plate_y, strong.wall_y], [(-6.3 - 24.0, 15.7), (-6.3 - 24.0, 3.2)])


@pytest.mark.parametrize(
    ("sturdy", "widths"),
    [
        (False, (7.5, 8.0, 8.5, 9.0, 10.0, 11.0, 12.0, 14.0, 17.0, 20.0, 24.0)),
        (True, (11.0, 12.0, 14.0, 17.0, 20.0, 24.0)),
    ],
)
def test_a_post_is_the_narrowest_that_is_stiff_enough(sturdy: bool, widths: tuple[float, ...]) -> None:
    """7.5 mm hold rib and name; half a millimetre more each, then one, two to four: about a fifth of the stiffness
    at a step. A sturdy one has 11 at least. The widest where none will do. Common practice, no source."""
    spec = request(sturdy=sturdy)

    def post(n_per_mm: float) -> _bracket_down._Post:
        wants = _mounting.SeatWants(n_per_mm / _mounting.SEAT_SPARE, 0.0, 1.0)
        return _bracket_down._post(spec, 5.0, (40.0, 20.0), 15.0, wants)

    found = [post(0.0)]
    while found[-1].wide_mm < widths[-1]:
        found.append(post(found[-1].n_per_mm * 1.001))
    assert tuple(one.wide_mm for one in found) == widths
    assert post(1e9) == found[-1]
