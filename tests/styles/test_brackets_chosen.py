"""Which way a bracket lies, and what lifts and drop-ins leave to their rods, by hand: no kernel.

A 9 g servo: case 22.6 × 12.2 mm, ends 6.05 and 16.55 from the shaft. A plate of 3.5 mm; a wood screw of 3 mm, its head
5.6: front screws at 10.5, a plate 14.9 wide to either side.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from plain import designed
from requests_for_drives import profile, request

from mounts.drive.lift import rules
from mounts.drive.lift.model import LiftDrive
from mounts.errors import NoFixing
from mounts.inputs import fits
from mounts.inputs.fixing import Fixing
from mounts.styles import _bracket_across, _bracket_down, drop_in, lift_bracket, under_bracket
from mounts.styles._bracket import Options


def lies_down(max_depth: float = 200.0, pad: float = 0.0, head: float = 5.6, **servo: float) -> bool:
    spec = request(max_depth_mm=max_depth, pad_mm=pad)
    own = spec.servo.model_copy(update=servo)
    spec = spec.model_copy(update={"servo": own, "fixing": spec.fixing.model_copy(update={"head_mm": head})})
    found = under_bracket._lies_down(spec, Options())
    limits = (_bracket_down if found else _bracket_across).limits(spec, Options())
    assert under_bracket.limits(spec, Options()) == limits
    return found


def test_a_bracket_lies_the_way_that_is_smaller() -> None:
    """Seen along the track, with a shaft 30 mm under the pivot, 1.75 under the plate: down 14.9 + 15.1 wide and as deep
    as the far ear and 1.5; across as wide as the ears and 3, as deep as half the case and 1.5. With ears s long over
    all (38.5 + s/2)·30 and (s + 3)·39.35 are the same at s = 42.585. With a head of 14 mm both are as wide as the
    plate, and one as deep as the other where half the case's width is what lies beyond the shaft."""
    assert [lies_down(flange_span_mm=span) for span in (42.58, 42.59)] == [False, True]
    small = {"case_length_mm": 10.0, "shaft_offset_mm": 4.0, "case_width_mm": 20.0, "head": 14.0}
    assert [lies_down(flange_span_mm=span, **small) for span in (17.9, 18.1)] == [True, False]
    spec = request()
    assert not under_bracket._lies_down(spec, Options(lie="across"))
    assert under_bracket._lies_down(spec, Options(lie="down"))


@pytest.mark.parametrize(
    ("span", "pad", "deep"),
    # the far ear's end and 1.5 under a shaft at 31.75, or where near ear and 1 mm of air put it
    [(44.0, 0.0, 31.75 + 16.55 + 10.7 + 1.5), (44.0, 6.5, 6.5 + 31.75 + 28.75), (66.0, 0.0, 32.25 + 39.75)],
)
def test_a_bracket_lies_across_where_it_would_be_too_deep(span: float, pad: float, deep: float) -> None:
    """With its pad, under the board."""
    assert lies_down(deep + 0.1, pad, flange_span_mm=span)
    assert not lies_down(deep - 0.1, pad, flange_span_mm=span)


@pytest.mark.parametrize(("lie", "screws"), [("down", 3), ("across", 4)])
def test_screws_are_counted_and_drawn_as_the_bracket_lies(
    monkeypatch: pytest.MonkeyPatch, lie: str, screws: int
) -> None:
    """Three where it points down, four across."""
    design = designed(style="under-bracket", board="18 mm", max_depth=80, set={"lie": lie}).design
    cabin = designed(style="cabin").design
    assert len(design.plan.screws) == screws
    for kind in (_bracket_down, _bracket_across):
        monkeypatch.setattr(kind, "build", lambda design, plan, kind=kind: kind.__name__[-len(lie) :])
    assert under_bracket.build(design, Options()) == (lie,)
    with pytest.raises(TypeError, match="from a bracket's plan"):
        under_bracket.build(cabin, Options())


def test_as_many_screws_must_hold_as_the_bracket_has(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three where it points down, four across."""
    told: list[int] = []
    monkeypatch.setattr(under_bracket._bracket, "fixed", lambda spec, options, count: told.append(count(spec)))
    for lie in ("down", "across"):
        under_bracket.fixed(request(), Options(lie=lie))
    assert told == [3, 4]


@pytest.mark.parametrize(("crank", "flare"), [(3.0, 15.0 + 2 * 0.4), (None, 15.0)])
def test_a_lift_s_slot_flares_by_what_a_crank_s_rod_leans(crank: float | None, flare: float) -> None:
    """Twice as much, of 0.4°; without a crank the rod ends where its travel of 4 mm is seen, 3 mm over the board at
    its lowest."""
    lift = LiftDrive.model_construct(
        lean_deg=0.4, second=None, crank_mm=crank, crank_pivot=None, crank_towards=None, wire_mm=0.8, guide_mm=1.0,
        shaft=(9.0, -40.0), rate_n_per_mm=0.1, horn_radius_mm=9.0, mid_deg=30.0, travel_mm=4.0,
    )  # fmt: skip
    datums, plan = lift_bracket.place(request(pin_height_mm=1.0), lift, lift_bracket.Options())

    assert plan.flare_deg == pytest.approx(flare)
    assert datums.pin == pytest.approx((0.0, 0.0, 3.0 + 4.0))


def test_what_a_lift_s_bracket_leaves_to_its_rod() -> None:
    """The plate guides it, its whole thickness; a bridge of 3 mm over half the case and 0.2; holes of 12 mm, a
    millimetre of wood between two; beside a partner half of what is left by 2 mm between both."""
    spec = request(pad_mm=6.5)

    found = lift_bracket.limits(spec, lift_bracket.Options())
    assert found.guide_z == (-15.5, -12.0)
    assert (found.shaft_below_guide_mm, found.below_shaft_mm) == pytest.approx((3.0 + 6.1 + 0.2, 6.1 + 1.5))
    assert (found.depth_over_guide_mm, found.max_depth_mm) == (10.0, 60.0)
    assert (found.wire_tail_mm, found.arm_air_mm, found.max_board_hole_mm, found.max_guide_mm) == (2.5, 1.0, 12.0, 5.0)
    assert (found.max_bend_out_mm, found.between_rods_mm, found.room_beyond_mm) == (30.0, None, None)
    assert found.seat_beyond_shaft_mm == pytest.approx(6.05 + 16.6 - 11.3)
    leant = math.radians(15.0 + 2.0 * rules.MOST_LEAN_DEG)
    assert found.beside_bore_mm == pytest.approx(1.75 * math.tan(leant) + 0.8 + 0.8)
    assert found.ccw_lifts
    assert not lift_bracket.limits(request(mirror=True), lift_bracket.Options()).ccw_lifts
    beside = lift_bracket.limits(spec, lift_bracket.Options(beside_mm=9.0))
    assert (beside.max_board_hole_mm, beside.room_beyond_mm) == (8.0, 3.5)
    assert lift_bracket.limits(spec, lift_bracket.Options(beside_mm=14.0)).max_board_hole_mm == 12.0
    assert lift_bracket.limits(spec, lift_bracket.Options(rods=2)).between_rods_mm == 1.0
    with pytest.raises(ValueError, match="be 1 beside a second mount"):
        lift_bracket.Options(rods=2, beside_mm=9.0)


@pytest.mark.parametrize(
    "asked",
    [{"travel": "4 mm"}, {"scale": "O", "moves": "boom", "arm_hole": 9, "set": {"rods": 2}},
     {"travel": "4 mm", "set": {"beside_mm": 9.0}}, {"travel": "4 mm", "set": {"beside_mm": 40.0}}],
)  # fmt: skip
@pytest.mark.parametrize("mirror", [False, True])
def test_a_lift_s_bracket_stands_by_its_rod(asked: dict[str, Any], mirror: bool) -> None:
    """Shaft where the drive has it, seat under the arm's outer face on the wire; a slot as wide as the guide and what
    closes up, its land half the plate, flared by 15° and twice what a crank's rod leans; an arm that would come beyond
    its half cut there, to a tenth."""
    design = designed(style="lift-bracket", mirror=mirror, **asked).design
    plan, lift, spec, side = design.plan, design.drive, design.spec, -1.0 if mirror else 1.0
    beside = asked.get("set", {}).get("beside_mm")

    placed = np.array(design.datums.servo)
    assert placed[:3, 3] == pytest.approx([side * (-lift.wire_mm / 2 - 15.4), *lift.shaft])
    assert placed[1, 0] == (1.0 if beside is None else -1.0)
    assert plan.wall_face_x == pytest.approx(-lift.wire_mm / 2 - 15.4)
    assert (plan.board_face_z, plan.pivot_z, plan.land_mm) == (-12.0, -13.75, 1.75)
    assert plan.slot_x_mm == pytest.approx(max(2.0, spec.printer.clean_hole_mm, lift.guide_mm))
    assert plan.slot_y_mm == pytest.approx(lift.guide_mm + fits.PIVOT.closes_mm(spec.printer))
    leans = max(lift.lean_deg, lift.second.lean_deg) if lift.second else lift.lean_deg
    assert plan.flare_deg == pytest.approx(15.0 + (2.0 * leans if lift.crank_mm else 0.0))
    mid = math.radians(lift.mid_deg)
    assert design.datums.horn_at_mid == pytest.approx((0.0, math.cos(mid), math.sin(mid)))
    assert design.datums.pin[0] == 0.0
    assert design.datums.fixings == tuple((side * x + 0.0, y, -12.0) for x, y in plan.heads_xy)
    assert plan.second_y == (lift.second.y_mm if lift.second else None)
    assert getattr(plan, "partner_mm", None) == beside
    if beside is not None:
        reach = (beside - 2.0) / 2 - lift.shaft[0]
        corner = math.hypot(7.0 / 2, plan.arm_length_mm or 0.0)
        assert (plan.arm_length_mm is None) == (reach >= 17.0)
        assert plan.arm_length_mm is None or reach - 0.13 < corner <= reach + 1e-9


def test_a_lift_s_bracket_is_built_from_its_plan_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """As one that lies across; it stands off the roadbed and has four screws."""
    design = designed(style="lift-bracket", travel="4 mm").design
    monkeypatch.setattr(_bracket_across, "build", lambda design, plan: plan)
    assert lift_bracket.build(design, lift_bracket.Options()) == (design.plan,)
    with pytest.raises(TypeError, match="from a bracket's plan"):
        lift_bracket.build(designed(style="cabin").design, lift_bracket.Options())
    roadbed = request().roadbed.model_copy(update={"thickness_mm": 3.0})
    spec = request().model_copy(update={"roadbed": roadbed})
    told: list[Any] = []

    def fixed(spec: Any, options: Any, count: Any) -> None:
        told.extend((spec.roadbed.thickness_mm, options.lie, options.plate_mm, count(spec)))

    monkeypatch.setattr(lift_bracket._bracket, "fixed", fixed)
    lift_bracket.fixed(spec, lift_bracket.Options(plate_mm=6.0))
    assert told == [0.0, "across", 6.0, 4]


def test_a_drop_in_takes_a_screw_and_no_bolt() -> None:
    """A wood screw that was asked for stays; a bolt that was is refused, of the stock passed over."""
    wood, bolt = (profile(Fixing, name) for name in ("wood-3", "bolt-m3"))
    found = drop_in.fixed(request(fixing=wood, fixing_stock=()), drop_in.Options())

    assert (found.fixing.name, found.roadbed.thickness_mm) == ("wood-3", 0.0)
    assert drop_in.fixed(request(fixing=bolt, fixing_stock=(bolt, wood)), drop_in.Options()).fixing.name == "wood-3"
    with pytest.raises(NoFixing, match="nobody reaches its nut"):
        drop_in.fixed(request(fixing=bolt, fixing_stock=()), drop_in.Options())


@pytest.mark.parametrize("mirror", [False, True])
def test_what_a_drop_in_leaves_to_its_rod(mirror: bool) -> None:
    """Guided from under the seat to the flange's top; the shaft half a case and 0.4 under the block, or 3 mm of wall,
    half a case and 0.2 under the flange; a guide of 5 mm, or a millimetre less than the post it is in."""
    spec = request(mirror=mirror, pad_mm=6.5)

    for options in (
        {}, {"post_y_mm": 9.0, "post_mm": 4.0}, {"post_mm": 10.0}, {"post_mm": 5.0}, {"seat_mm": 8.0},
        {"seat_mm": 1.5, "flange_mm": 5.0},
    ):  # fmt: skip
        asked = drop_in.Options(**options)
        found = drop_in.limits(spec, asked)
        low = drop_in.seat_of(spec, asked).guide_low_z
        assert found.guide_z == (low, drop_in.flange_mm(spec, asked))
        assert found.shaft_below_guide_mm == pytest.approx(max(6.1 + 0.2 + 0.2, low + 3.0 + 6.1 + 0.2))
        assert (found.below_shaft_mm, found.max_depth_mm) == (pytest.approx(7.6), 60.0)
        assert found.depth_over_guide_mm == pytest.approx(-low - 12.0 + 6.5)
        inside = "post_y_mm" not in options
        assert found.max_guide_mm == pytest.approx(min(5.0, drop_in.post_mm(spec, asked) - 1.0) if inside else 5.0)
        assert (found.max_bend_out_mm, found.arm_air_mm, found.max_board_hole_mm) == (30.0, 1.0, None)
        assert found.ccw_lifts != mirror
    design = designed(style="drop-in", scale="HO", board="18 mm", mirror=mirror).design
    lift, side = design.drive, -1.0 if mirror else 1.0
    placed = np.array(design.datums.servo)[:3, 3]
    assert placed == pytest.approx([side * (-lift.wire_mm / 2 - 15.4), *lift.shaft])
    mid = math.radians(lift.mid_deg)
    assert design.datums.horn_at_mid == pytest.approx((0.0, math.cos(mid), math.sin(mid)))
    assert design.datums.fixings == tuple((side * x + 0.0, y, 0.0) for x, y in design.plan.heads_xy)
