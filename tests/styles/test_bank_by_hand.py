"""A bank's slopes, struts and cheeks by hand, for a 9 g servo in N and a 0.4 mm nozzle: in the light kernel, no other.

Walls of 1.2 mm carry; a skin of 1.44, its inner face 2 mm off the room, a slip of 0.2 off the frame.
"""

from __future__ import annotations

import math
import sys
from types import SimpleNamespace
from typing import Any

import light_kernel
import numpy as np
import pytest
from light_kernel import block
from requests_for_drives import request

from mounts.errors import NoDesign
from mounts.styles import _shell, bank
from mounts.styles._bank_mound import Mound, Slope

SKIN, BESIDE = 1.44, 2.0
WALLS = _shell.Walls((-10.0, 30.0), (0.0, 24.0), (-11.2, 31.2), (-1.2, 25.2), 1.2)


@pytest.mark.parametrize(
    ("side", "x", "y"), [(0, (2, 5), (-7, 0)), (1, (30, 37), (2, 5)), (2, (2, 5), (24, 31)), (3, (-17, -10), (2, 5))]
)
def test_what_stands_on_a_side_runs_outwards_from_the_rooms_wall(
    monkeypatch: pytest.MonkeyPatch, side: int, x: tuple[float, float], y: tuple[float, float]
) -> None:
    """Seven millimetres out and four up, lower at its end, between 2 and 5 along the wall."""
    light_kernel.install(monkeypatch)
    made = bank._across(WALLS, side, [(0.0, 0.0), (7.0, 0.0), (7.0, 2.0), (0.0, 4.0)], (2.0, 5.0))

    assert made.form.volume() == pytest.approx(3.0 * 7.0 * 3.0)
    bounds = made.form.bounding_box()
    assert (bounds[0], bounds[3], bounds[1], bounds[4], bounds[2], bounds[5]) == pytest.approx((*x, *y, 0.0, 4.0))
    wall, way, axis = ((0.0, -1, 1), (30.0, 1, 0), (24.0, 1, 1), (-10.0, -1, 0))[side]
    above = (made.form ^ block((-99, 99), (-99, 99), (3, 9))).bounding_box()
    assert (above[axis], above[axis + 3]) == pytest.approx(sorted((wall, wall + way * 3.5)))


def section(**figures: float) -> bank._Section:
    return bank._Section(**({"wall_u": 20.0, "top_u": 4.0, "top_z": 16.0, "leans": 0.8} | figures))


def test_a_strut_leans_out_to_the_skin_or_to_the_top() -> None:
    """The skin comes in by 1 mm a mm from 20 to 4; an edge that goes out by 0.8 from the lip, 7 up, meets it where
    0.8·(z − 7) is 20 − z; from the foot, 1.6 out, where 1.6 + 0.8·z is. Under a top at 6.4 both end there."""
    one = section()

    assert one.skin_u(0.0) == 20.0
    assert one.skin_u(4.0) == pytest.approx(16.0)
    high, low = (20 + 5.6) / 1.8, (20 - 1.6) / 1.8
    assert one.meets(0.0, 7.0) == (pytest.approx((20 - high, high)), False)
    assert one.strut(7.0, 1.6) == [
        (0.35, 0.0), (1.6, 0.0), pytest.approx((20 - low, low)), pytest.approx((20 - high, high)), (0.0, 7.0),
        (0.0, 0.35),
    ]  # fmt: skip
    steep = section(wall_u=12.0, top_u=10.0, top_z=12.5)
    corner = steep.strut(7.0, 1.6)
    assert corner[3] == (10.0, 12.5)  # of skin and top, between where its two edges end
    assert corner[4] == pytest.approx((0.8 * 5.5, 12.5))
    assert corner[2][0] == pytest.approx(12.0 - 0.16 * corner[2][1])
    flat = section(wall_u=40.0, top_u=35.0, top_z=8.0).strut(7.0, 1.6)
    assert flat[2:4] == [pytest.approx((1.6 + 6.4, 8.0)), pytest.approx((0.8, 8.0))]


def printer(**figures: Any) -> Any:
    spec = request(scale="N")
    return spec.model_copy(update={"printer": spec.printer.model_copy(update=figures)})


def mound() -> Mound:
    """Tops 2 mm out of the room; 8, 6, 4 and 0 mm of slope."""
    slopes = tuple(Slope(BESIDE, run, 0.0) for run in (8.0, 6.0, 4.0, 0.0))
    return Mound((-14.0, 33.0), (0.0, 24.0), 20.0, SKIN, slopes)


@pytest.mark.parametrize(("side", "more", "run"), [(0, 0.0, 8.0), (1, 3.0, 6.0), (2, 0.0, 4.0), (3, 4.0, 0.0)])
def test_a_section_is_through_the_middle_of_the_skin(side: int, more: float, run: float) -> None:
    """From the room's wall past what the top is longer, beside it, and half a skin; the top half a skin over the
    ceiling; nine tenths of 45°."""
    spec = request(scale="N")
    found = bank._section(spec, mound(), WALLS, side, 5.0)
    half = SKIN * math.hypot(run, 20.0) / 20.0 / 2

    assert found.wall_u == pytest.approx(more + BESIDE + run + half)
    assert found.top_z == pytest.approx(20.72)
    assert found.top_u == pytest.approx(more + BESIDE + run * (1 - 20.72 / 20.0) + half)
    assert found.leans == pytest.approx(0.9)
    steep = printer(overhang_deg=40.0)
    assert bank._section(steep, mound(), WALLS, side, 5.0).leans == pytest.approx(0.9 * math.tan(math.radians(40.0)))


def asked(**figures: Any) -> Any:
    told = {
        "base_x": (-9.8, 29.8), "base_y": (0.2, 23.8), "slot_x": (-8.0, 0.0), "slot_top_z": 6.0, "cable_x": None,
        "cable_top_z": 5.0, "lip_mm": 6.0, "room_top_z": 20.0,
    }  # fmt: skip
    return request(scale="N"), SimpleNamespace(**told | figures)


def test_struts_stand_near_the_corners_and_clear_of_the_openings(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two a side, 1.6 mm wide, 3 mm from its ends, or at the next of 21 places that is half a strut, a wall and 1 mm
    off an opening; up to a millimetre over the rim."""
    spec, plan = asked(cable_x=(20.0, 29.0), slot_x=(-8.0, 0.4))
    told: list[Any] = []
    monkeypatch.setattr(bank, "_across", lambda walls, side, outline, along: told.append((side, outline, along)))
    bank._struts(spec, plan, WALLS, mound())

    middles = [(side, round(sum(along) / 2, 6)) for side, _, along in told]
    step, approx = 34.0 / 20, pytest.approx
    assert middles == [
        (0, approx(7 * step - 7)), (0, 27.0), (1, 3.0), (1, 21.0), (2, -7.0), (2, approx(14 * step - 7)),
        (3, 3.0), (3, 21.0),
    ]  # fmt: skip
    assert {round(along[1] - along[0], 6) for _, _, along in told} == {1.6}
    assert {outline[-2] for _, outline, _ in told} == {(0.0, 7.0)}
    assert {outline[1] for _, outline, _ in told} == {(1.6, 0.0)}


def test_a_bank_is_printed_upside_down_with_its_openings_right_through(monkeypatch: pytest.MonkeyPatch) -> None:
    """Skin, struts and cheeks in one; rod and cable are cut from the foot of either slope inwards, as deep as the
    farther one, their lintels as they come."""
    light_kernel.install(monkeypatch)
    spec, plan = asked()
    told: list[Any] = []
    monkeypatch.setattr(bank, "outside", lambda *_: mound())
    monkeypatch.setattr(bank, "_struts", lambda *_: [light_kernel.Body(block((0, 5), (0, 5), (5, 9)))])
    monkeypatch.setattr(bank, "_cheeks", lambda *_: [light_kernel.Body(block((5, 9), (0, 5), (5, 9)))])
    body = light_kernel.Body(block((-20, 40), (-10, 40), (0, 6)))
    monkeypatch.setattr(
        sys.modules["mounts.solid.polyhedron"], "polyhedron", lambda *given: told.append(given) or body, raising=False
    )

    def cut(*given: Any, **how: Any) -> Any:
        told.append((given[2], how))
        return [light_kernel.Body(block((0, 2), (-10, 40), (0, 2)))]

    monkeypatch.setattr(bank._shell, "cut_openings", cut)
    (part,) = bank.scenery(spec, plan, bank.BankOptions())

    expected = body.form + block((0, 9), (0, 5), (5, 9)) - block((0, 2), (-10, 40), (0, 2))
    light_kernel.same(part.solid, expected)
    front, back = (2.0 + run + SKIN * math.hypot(run, 20.0) / 20.0 for run in (8.0, 4.0))
    _, (feet, how) = told
    assert feet.outer_y == pytest.approx((0.0 - front, 24.0 + back))
    assert (how["depth_mm"], how["upright"]) == (pytest.approx(front), False)
    assert (part.name, part.through_holes, np.array(part.print_to_mount)[2, 2]) == ("shell", 0, -1.0)


def test_cheeks_stand_beside_each_opening_inside_the_slope(monkeypatch: pytest.MonkeyPatch) -> None:
    """As thick as a wall, from the inner face at the opening's top to the skin's middle, and a wall higher."""
    spec, plan = asked(cable_x=(20.0, 26.0))
    told: list[Any] = []
    monkeypatch.setattr(bank, "_across", lambda walls, side, outline, along: told.append((side, outline, along)))
    bank._cheeks(spec, plan, WALLS, mound())

    assert [(side, *(round(one, 6) for one in along)) for side, _, along in told] == [
        (0, -9.2, -8.0), (0, 0.0, 1.2), (2, 18.8, 20.0), (2, 26.0, 27.2),
    ]  # fmt: skip
    for (side, outline, along), (run, top) in zip(told, ((8, 6), (8, 6), (4, 5), (4, 5)), strict=True):
        whole = bank._section(spec, mound(), WALLS, side, sum(along) / 2)
        inner = whole.skin_u(top) - SKIN * math.hypot(run, 20.0) / 40.0
        high = top + 1.2
        assert outline == [
            (pytest.approx(inner), 0.0), (whole.wall_u, 0.0), (pytest.approx(whole.skin_u(high)), pytest.approx(high)),
            (pytest.approx(inner), pytest.approx(high)),
        ]  # fmt: skip
    told.clear()
    bank._cheeks(*asked(), WALLS, mound())
    assert [side for side, _, _ in told] == [0, 0]


@pytest.mark.parametrize(
    ("cut", "mirror", "runs", "longer"),
    [
        ("none", False, (None, True, True, True), (1, 1)), ("left", False, (None, True, True, False), (0, 1)),
        ("right", False, (None, False, True, True), (1, 0)), ("both ends", False, (None, False, True, False), (0, 0)),
        ("back", False, (None, True, False, True), (1, 1)), ("left", True, (None, False, True, True), (1, 0)),
    ],
)  # fmt: skip
def test_the_skin_stands_round_the_room(cut: str, mirror: bool, runs: Any, longer: tuple[int, int]) -> None:
    """45° at back and ends, upright where it is cut; the top 1.3 times as long as deep, or as asked, but not where it
    is cut; the face leans back as asked, its foot wavers by 1.2 mm at most."""
    spec, plan = asked(base_x=(5.2, 24.8))
    spec = spec.model_copy(update={"mirror": mirror})
    found = bank.outside(spec, plan, bank.BankOptions(cut=cut, front_mm=9.0))

    more = (1.3 * 24.0 - 20.0) / 2
    assert found.x == pytest.approx((5.0 - more * longer[0], 25.0 + more * longer[1]))
    assert (found.y, found.ceiling_z, found.skin_mm) == (pytest.approx((0.0, 24.0)), 20.0, pytest.approx(SKIN))
    for slope, out in zip(found.slopes[1:], runs[1:], strict=True):
        assert (slope.beside_mm, slope.run_mm) == pytest.approx((BESIDE, 20.0 if out else 0.0))
        assert slope.rough_mm == (1.2 if out else 0.0)
    front = found.slopes[0]
    low, _ = bank._heights_mm(spec.from_ground(), bank.BankOptions())
    told = 9.0 + SKIN * math.hypot(9.0, low) / low
    assert front.run_mm + SKIN * math.hypot(front.run_mm, 20.0) / 20.0 == pytest.approx(told, abs=1e-3)
    assert front.rough_mm == 0.0
    short = bank.outside(spec, plan, bank.BankOptions(length_mm=20.0))
    assert short.x == pytest.approx((5.0, 25.0))  # no shorter than the room
    asked_long = bank.outside(spec, plan, bank.BankOptions(length_mm=50.0, slope_deg=60.0, rough_mm=0.0))
    assert asked_long.x == pytest.approx((-10.0, 40.0))
    assert asked_long.slopes[1].run_mm == pytest.approx(20.0 / math.sqrt(3))


def test_what_a_bank_adds_to_its_frame() -> None:
    """Its face 65° steep, or as far back as asked; what is above the rails leans back less; as much longer as its ends
    slope."""
    spec = request(scale="N")
    flat = bank._size(spec, bank.BankOptions(front_mm=9.0))
    low, high = bank._heights_mm(spec, bank.BankOptions())
    wall = 0.2 + BESIDE + SKIN * math.hypot(9.0, low) / low

    assert flat.front_mm == pytest.approx(wall + 9.0)
    assert flat.gauge_mm == pytest.approx(wall + 9.0 * (1 - spec.rail_top_z / high))
    assert (flat.over_mm, flat.end_share, flat.lying) == (pytest.approx(SKIN), pytest.approx(1.0), True)
    usual = bank._size(spec, bank.BankOptions(slope_deg=60.0))
    run = low / math.tan(math.radians(65.0))
    assert usual.front_mm == pytest.approx(0.2 + BESIDE + SKIN * math.hypot(run, low) / low + run)
    assert usual.end_share == pytest.approx(1 / math.sqrt(3))
    assert bank._size(spec, bank.BankOptions(length_mm=60.0, front_mm=9.0)).end_mm == pytest.approx(wall + 30.0)
    # its top 1.3 times as long as the plate is deep, front 12.35 and both ears, less the farthest edge along the track
    along, swung = 15.4 + 0.6 + 15.75 + 0.4 + 3.4 + 0.6 + 1.2, spec.model_copy(update={"swing_deg": 20.0})
    longer = (1.3 * (12.35 + 32.2) - along) / 2
    assert bank._size(swung, bank.BankOptions(front_mm=9.0)).end_mm == pytest.approx(wall + longer)
    hanging = bank._size(swung, bank.BankOptions(front_mm=9.0, pose="hang"))
    assert hanging.end_mm == pytest.approx(hanging.front_mm - 9.0)  # its ends begin at the room
    assert (usual.stature.low_m, usual.stature.high_m, usual.stature.most_m) == (0.5, 5.0, 10.0)
    # a servo on its side 0.6 mm over its plate, 1.5 over its case; hanging from arm to case bottom, on half a wire
    base = bank._housing_screws.base_mm(spec, bank.BankOptions())
    assert low == pytest.approx(base + 0.6 + 12.2 + 1.5 + 1.0)
    thickest = max(wire.diameter_mm for wire in spec.wire.stock)
    assert high == pytest.approx(spec.pin_height_mm + thickest / 2 + 15.4 + 15.75 + 1.0)
    assert bank._heights_mm(spec, bank.BankOptions(pose="hang")) == (high, high)
    assert bank._heights_mm(spec, bank.BankOptions(pose="side")) == (low, low)
    steep = printer(overhang_deg=30.0)
    assert bank._slope_deg(steep, bank.BankOptions()) == 60.0
    assert bank._slope_deg(spec, bank.BankOptions()) == 45.0


def test_a_face_that_leans_more_than_prints_is_refused_with_one_that_does_not(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """As far back as it is high at 45°; what is told, to a tenth, is made, and half a millimetre more is not."""
    spec, plan = asked()
    monkeypatch.setattr(bank._housing, "place", lambda *_: (None, plan))
    monkeypatch.setattr(bank._shell, "planned", lambda *told: told)

    def place(front: float) -> None:
        options, drive = bank.BankOptions(pose="side", front_mm=front), SimpleNamespace()
        assert bank.place(spec, drive, options) == (None, (plan, (), ("shell",)))  # type: ignore[arg-type]

    with pytest.raises(NoDesign, match=r"front_mm = 39: the face would lean back 6\d° in .*; use --set") as refused:
        place(39.0)
    told = float(str(refused.value).split("front_mm=")[1])
    place(told)
    with pytest.raises(NoDesign, match="more than the 45° that print"):
        place(told + 0.5)


def test_a_bank_that_is_larger_than_the_bed_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its feet on all sides count: just as large, and 0.2 mm less."""
    _, plan = asked()
    monkeypatch.setattr(bank._housing, "place", lambda *_: (None, plan))
    monkeypatch.setattr(bank._shell, "planned", lambda *told: told)
    monkeypatch.setattr(bank, "outside", lambda *_: mound())
    skins = [SKIN * math.hypot(run, 20.0) / 20.0 for run in (8.0, 6.0, 4.0, 0.0)]
    long, deep = 47.0 + 4.0 + 6.0 + skins[1] + skins[3], 24.0 + 4.0 + 12.0 + skins[0] + skins[2]

    def place(x: float, y: float) -> None:
        bank.place(printer(bed_x_mm=x, bed_y_mm=y), SimpleNamespace(), bank.BankOptions())  # type: ignore[arg-type]

    place(long + 0.1, deep + 0.1)
    for x, y in ((long - 0.1, deep + 0.1), (long + 0.1, deep - 0.1)):
        with pytest.raises(NoDesign, match=r"the bank would be 6\d × 4\d mm on a bed of"):
            place(x, y)
