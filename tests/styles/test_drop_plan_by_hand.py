"""Where everything of a drop-in stands, each measure as whatever asks most of it has it. No kernel, no drive sought.

For a 9 g servo in N, screws of 3 mm and a 0.4 mm nozzle: case 22.6 × 12.2 mm, its ends 6.05 and 16.55 mm from the
shaft, 15.75 behind the ears; ears over all 32.2; arm's tip 15 mm from the shaft; plug 7.7 × 2.6 mm. Shaft at y = 5 and
z = −25, seat at x = −15.7.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError
from requests_for_drives import request

from mounts.design import CutOut, DropIn
from mounts.errors import NoDesign
from mounts.styles import _drop_options, _drop_plan, drop_in
from mounts.styles._drop_options import Options

RIB, INSIDE, WALL = 2.4, 1.0, 2.5 * 2.0 / 0.95 + 0.3
MARGIN, IN_WOOD = 2.8 + 1.6, 4.5 + 0.1  # of a head to the flange's edge; of its screw to the cut-out
ROD = {"wire_mm": 0.6, "guide_mm": 1.0, "loop_leg_mm": 5.0, "loop_radius_mm": 2.0, "horn_radius_mm": 9.0}


def planned(
    servo: dict[str, Any] | None = None, rod: dict[str, Any] | None = None, *, shaft: Any = (-15.7, 5.0, -25.0),
    mirror: bool = False, smallest_hole_mm: float = 1.5, **options: Any,
) -> _drop_plan.DropPlan:  # fmt: skip
    spec = request(scale="N", mirror=mirror)
    spec = spec.model_copy(update={
        "servo": spec.servo.model_copy(update=servo or {}),
        "printer": spec.printer.model_copy(update={"smallest_hole_mm": smallest_hole_mm}),
    })  # fmt: skip
    drive: Any = SimpleNamespace(**ROD | (rod or {}))
    return _drop_plan.planned(spec, drive, Options(**options), shaft)


def approx(*figures: float) -> Any:
    return pytest.approx(figures, abs=1e-6)


@pytest.mark.parametrize(
    ("asked", "low", "high"),
    [
        # the cable's stub of 5 mm and a millimetre before the case's end at −1.05, ears round the middle at 10.25
        ({}, -1.05 - 6.0, 10.25 + 17.1), ({"servo": {"connector_thickness_mm": 6.0}}, -1.05 - 7.0, 10.25 + 17.1),
        ({"servo": {"flange_span_mm": 36.0}}, 10.25 - 19.0, 10.25 + 19.0),
        ({"servo": {"cable_end": "far"}}, 10.25 - 17.1, 21.55 + 6.0),
        ({"servo": {"horn_length_mm": 30.0}}, -1.05 - 6.0, 5.0 + 28.0 + 1.0),
    ],
)  # fmt: skip
def test_across_the_track_it_hangs_round_ears_cable_and_arm(asked: dict[str, Any], low: float, high: float) -> None:
    """A millimetre inside its skirt; the flange as far out as screws need, or as was asked."""
    for rim, beyond in ((4.0, IN_WOOD + MARGIN), (12.0, 12.0)):
        plan = planned(**asked, rim_mm=rim)
        hole = (low - RIB - 0.75, high + RIB + 0.75)

        assert plan.hung_y == approx(low - RIB, high + RIB)
        assert (plan.hole_y, plan.flange_y) == (approx(*hole), approx(hole[0] - beyond, hole[1] + beyond))
        assert sorted({y for _, y in plan.heads_xy}) == [*approx(hole[0] - IN_WOOD, hole[1] + IN_WOOD).expected]


@pytest.mark.parametrize(
    ("asked", "low", "high"),
    [
        ({}, -15.7 - 15.75, 5.0 + 2.0 + 0.6),
        # the plug lies 0.5 mm behind the wall
        ({"servo": {"flange_underside_height_mm": 8.0}}, -15.7 - WALL - 0.5 - 7.7, 7.6),
        ({"rod": {"loop_leg_mm": 0.0}, "servo": {"horn_screw_proud_mm": 6.0}}, -15.7 - 15.75, 6.0 - 0.3),
    ],
)  # fmt: skip
def test_along_the_track_it_hangs_round_case_plug_and_rod(asked: dict[str, Any], low: float, high: float) -> None:
    """The spring bend with its leg, radius and wire, or the arm's screw, its head 6 mm proud of the wire's far side."""
    for rim in (4.0, 9.0):
        plan = planned(**asked, rim_mm=rim)
        hole = (low - INSIDE - RIB - 0.75, high + INSIDE + RIB + 0.75)

        assert plan.hung_x == approx(low - INSIDE - RIB, high + INSIDE + RIB)
        assert (plan.hole_x, plan.flange_x) == (approx(*hole), approx(hole[0] - rim, hole[1] + rim))
        assert sorted({x for x, _ in plan.heads_xy}) == [*approx(hole[0] - rim + 4.4, hole[1] + rim - 4.4).expected]


@pytest.mark.parametrize(
    ("at", "shaft", "rod"),
    [
        ((0.0, 0.0), (-15.7, 5.0, -25.0), {}), ((0.0, 0.0), (-15.7, 5.0, -25.0), {"guide_mm": 9.0}),
        ((-15.0, 0.0), (-2.0, 5.0, -25.0), {}), ((15.0, 0.0), (-15.7, 5.0, -25.0), {}),
        ((0.0, -15.0), (-15.7, 15.0, -25.0), {}), ((0.0, 15.0), (-15.7, -15.0, -25.0), {}),
    ],
)  # fmt: skip
def test_a_block_holds_seat_guide_and_wall_together(at: tuple[float, float], shaft: Any, rod: dict[str, Any]) -> None:
    """1.6 mm round a post's seat, wherever that is, and the rod's slot, which is 2 mm long at least and 0.2 wider than
    its guide; half a millimetre into the wall; what hangs goes round it."""
    plan = planned(rod=rod, shaft=shaft, post_x_mm=at[0], post_y_mm=at[1], post_mm=4.0)
    reach, guide = plan.post_half_mm + 1.6, rod.get("guide_mm", 1.0)
    slot = max(2.0, guide), guide + 0.2

    assert (plan.slot_x_mm, plan.slot_y_mm, plan.post_at) == (*approx(*slot).expected, at)
    assert plan.block_x == approx(min(shaft[0] - 0.5, at[0] - reach), max(at[0] + reach, slot[0] / 2 + 1.6))
    assert plan.block_y == approx(min(at[1] - reach, -slot[1] / 2 - 1.6), max(at[1] + reach, slot[1] / 2 + 1.6))
    assert plan.hung_x[0] <= plan.block_x[0] - INSIDE - RIB + 1e-9
    assert plan.hung_x[1] >= plan.block_x[1] + INSIDE + RIB - 1e-9
    assert plan.hung_y[0] <= plan.block_y[0] - RIB + 1e-9
    assert plan.hung_y[1] >= plan.block_y[1] + RIB - 1e-9
    if at[0]:
        assert plan.hung_x[at[0] > 0] == pytest.approx(at[0] + (reach + INSIDE + RIB) * np.sign(at[0]))
    if at[1]:
        assert plan.hung_y[at[1] > 0] == pytest.approx(at[1] + (reach + RIB) * np.sign(at[1]))


@pytest.mark.parametrize(("smallest", "long"), [(0.8, 2.0), (2.0, 2.5)])
def test_a_rods_slot_is_as_long_as_a_hole_that_comes_out_clean(smallest: float, long: float) -> None:
    """Half a millimetre more than the smallest, 2 mm at least."""
    assert planned(smallest_hole_mm=smallest).slot_x_mm == long


@pytest.mark.parametrize(
    ("z", "pitch", "skirt"), [(-25.0, 0.0, -6.0), (-7.0, 0.0, -5.0), (-12.0, 8.0, -6.0), (-10.0, 8.0, -4.0)]
)
def test_a_skirt_ends_over_the_drivers(z: float, pitch: float, skirt: float) -> None:
    """6 mm down, 16 where it bends under the servo's stall, or 2 mm over the axis of the highest screw of the servo."""
    plan = planned({"flange_hole_pitch_mm": pitch}, shaft=(-15.7, 5.0, z))

    assert plan.skirt_z == pytest.approx(skirt)
    strong = planned({"flange_hole_pitch_mm": pitch, "stall_torque_nmm": 1e6}, shaft=(-15.7, 5.0, z))
    assert strong.skirt_z == max(-16.0, z + pitch / 2 + 2.0)
    assert (plan.wall_bottom_z, plan.notch_top_z) == approx(z - 6.1 - 1.5, z + 6.1 + 0.2)
    assert sorted({at for _, at in plan.pilots_yz}) == pytest.approx(sorted({z - pitch / 2, z + pitch / 2}))


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize(("end", "y"), [("near", -1.05 - 1.8), ("far", 21.55 + 1.8)])
def test_a_plug_goes_down_beside_the_cables_end(end: str, y: float, mirror: bool) -> None:
    """Half its thickness and 0.5 mm beside the case, 3 mm under the shaft to 20 below the board; the cut-out is
    mirrored with its mount and goes through."""
    plan, sign = planned({"cable_end": end}, mirror=mirror), -1.0 if mirror else 1.0
    x = -15.7 - WALL - 3.85 - 0.5

    assert [*plan.plug_path] == [approx(sign * x, y, -28.0), approx(sign * x, y, -12.0 - 20.0)]
    corners = np.array(plan.board_cut_out.outline)
    assert {tuple(np.round(at, 6)) for at in corners} == {
        (round(sign * at_x, 6), round(at_y, 6)) for at_x in plan.hole_x for at_y in plan.hole_y
    }
    following = np.roll(corners, -1, axis=0)
    assert np.sum(corners[:, 0] * following[:, 1] - corners[:, 1] * following[:, 0]) > 0
    assert (plan.board_cut_out.depth_mm, plan.board_cut_out.through, plan.name_mark) == (12.0, True, "east-1")


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [
        ("flange_mm", 1.6, 5), ("rim_mm", 3, 20), ("post_mm", 1, 20), ("post_x_mm", -15, 15), ("post_y_mm", -15, 15),
        ("seat_mm", 1.5, 8), ("wall_mm", 4, 10), ("rib_mm", 1.6, 6),
    ],
)  # fmt: skip
def test_an_option_is_taken_up_to_what_can_be_built(name: str, least: float, most: float) -> None:
    """At its ends and not 0.1 beyond them. Common practice, no source."""
    for good, beyond in ((least, least - 0.1), (most, most + 0.1)):
        assert _drop_options.post_mm(request(scale="N"), Options(**{name: good})) >= 1.0
        with pytest.raises(ValidationError):
            Options(**{name: beyond})


def bare(**figures: Any) -> Any:
    """A flange of 40 × 2 mm between screws 60 mm apart, its skirt from 5 mm inside them, 6 mm down; a wall of 5."""
    told = {
        "heads_xy": ((0.0, 0.0), (9.0, 0.0), (0.0, 60.0), (9.0, 60.0)), "hung_y": (5.0, 56.0),
        "flange_x": (-30.0, 10.0),
        "flange_mm": 2.0, "skirt_z": -6.0, "rib_mm": 2.4, "notch_top_z": -4.0, "notch_y": (15.0, 38.0),
        "wall_mm": 5.0, "wall_face_x": -15.0,
    }  # fmt: skip
    return _drop_plan.DropPlan.model_construct(**told | figures)


def flange_n_per_mm(plan: Any, modulus: float) -> float:
    """By strips a hundredth of a millimetre high, second moments summed; the moments in slices (any handbook)."""
    low, high = plan.heads_xy[0][1], plan.heads_xy[2][1]
    wide = plan.flange_x[1] - plan.flange_x[0]
    z = np.arange(min(plan.skirt_z, plan.notch_top_z), plan.flange_mm, 0.01) + 0.005
    under = (z > plan.skirt_z) * 2 * plan.rib_mm + (z > plan.notch_top_z) * plan.wall_mm
    breadth = np.where(z > 0, wide, under)
    axis = (breadth * z).sum() / breadth.sum()
    stiff = (breadth * (z - axis) ** 2).sum() * 0.01
    reach = max(plan.hung_y[0] - low, high - plan.hung_y[1])
    x = np.arange(0, (high - low) / 2, 0.001) + 0.0005
    second = np.where(x < reach, wide * plan.flange_mm**3 / 12, stiff)
    return float(1 / (2 * ((x / 2) ** 2 / (modulus * second)).sum() * 0.001))


@pytest.mark.parametrize(
    "figures",
    [{}, {"hung_y": (3.0, 52.0), "skirt_z": -9.0}, {"notch_top_z": -9.0, "wall_mm": 8.0}, {"flange_mm": 3.0}],
)
def test_a_flange_bends_as_a_stepped_beam(figures: dict[str, Any]) -> None:
    """From screw to screw, loaded in the middle, bare as far as the longer of its ends; by a sum of strips."""
    spec, plan = request(scale="N"), bare(**figures)

    assert _drop_plan.flange_n_per_mm(spec, plan) == pytest.approx(
        flange_n_per_mm(plan, spec.filament.modulus_mpa), rel=0.005
    )


def test_a_skirt_goes_down_by_whole_millimetres_until_the_flange_bears_the_stall() -> None:
    """Until it gives 0.15 mm, the sum of strips says where; no farther than it may, and not at all where it does."""
    spec = request(scale="N")
    drive: Any = SimpleNamespace(horn_radius_mm=9.0)
    pull = spec.servo.stall_torque_nmm / 9.0
    at_10, at_11 = (flange_n_per_mm(bare(skirt_z=-deep), 1.0) for deep in (10.0, 11.0))
    modulus = pull / 0.15 / (at_10 * at_11) ** 0.5  # too little at 10 mm, enough at 11
    soft = spec.model_copy(update={"filament": spec.filament.model_copy(update={"modulus_mpa": modulus})})

    assert [_drop_plan.stiffened(soft, drive, bare(), lowest).skirt_z for lowest in (-16.0, -8.5, -6.0)] == [
        -11.0, -8.5, -6.0,
    ]  # fmt: skip
    assert _drop_plan.stiffened(spec, drive, bare(), -16.0).skirt_z == -6.0


@pytest.mark.parametrize(("high", "before", "weak"), [(6.0, 15.0, "upright"), (40.0, 3.0, "sideways")])
def test_a_seat_is_as_stiff_and_as_strong_as_the_weaker_of_both_ways(high: float, before: float, weak: str) -> None:
    """Sideways posts of 10 and 18 mm as cantilevers that bend and shear; upright both bent by the pull before the wall,
    L²·h/(E·I) and 6·L/(Σb·t²) (any handbook)."""
    spec, plan = request(scale="N"), bare(wall_face_x=-before)
    modulus, widths, wall = spec.filament.modulus_mpa, (10.0, 18.0), 5.0
    shear = modulus / 2.72
    sideways = sum(
        1 / (high**3 / (3 * modulus * wall * wide**3 / 12) + 1.2 * high / (shear * wall * wide)) for wide in widths
    )
    upright = modulus * sum(widths) * wall**3 / 12 / (before**2 * high)
    bends = 6 * high * 18.0 / (wall * sum(wide**3 for wide in widths)) + 6 * high * before / (23.0 * 10.0 * wall**2)
    bows = 6 * before / (28.0 * wall**2)

    assert (sideways < upright) == (weak == "sideways")
    assert _drop_plan.seat_n_per_mm(spec, plan, -4.0 - high) == pytest.approx(min(sideways, upright))
    assert _drop_plan.seat_mpa_per_n(plan, -4.0 - high) == pytest.approx(max(bends, bows))


@pytest.mark.parametrize(("tipped", "y"), [(False, (-5.0, 65.0)), (True, (-5.0, 65.0)), (True, (-65.0, 5.0))])
@pytest.mark.parametrize("beyond", [5, 6, 59, 60])
def test_a_frame_in_foam_is_as_wide_as_its_glue_asks(beyond: int, tipped: bool, y: tuple[float, float]) -> None:
    """Round a flange of 40 × 70 mm and a hole of 30 × 60, whole millimetres wider, 5 to 60: 0.1 MPa bear 2.2 times the
    stall, or what of it tips the frame by its farther edge, 65 mm from the rod and as far as it is wider, 6·M/(A·b).
    A hair more needs a millimetre more; over 60 it is refused."""
    hole = CutOut(outline=((-25.0, 0.0), (5.0, 0.0), (5.0, 60.0), (-25.0, 60.0)), depth_mm=40.0, through=True)
    told = DropIn(flange_mm=2.0, post="round", post_mm=4.0, rod_in_post=True, flange_n_per_mm=1.0)
    plan = bare(flange_x=(-30.0, 10.0), flange_y=y, hole_y=(0.0, 60.0), board_cut_out=hole, drop_in=told)

    def most_n(wider: int) -> float:
        area, across = (40.0 + 2 * wider) * (70.0 + 2 * wider) - 30.0 * 60.0, 70.0 + 2 * wider
        lever = 6 * (65.0 + wider) / across if tipped else 1.0
        return area * 0.1 / 2.2 / max(lever, 1.0)

    def backed(pull: float) -> Any:
        spec = request(scale="N", frame_mm=6.5)
        servo = spec.servo.model_copy(update={"stall_torque_nmm": pull * 9.0})
        foam = spec.board.model_copy(update={"thickness_mm": 40.0, "screw_depth_mm": 0.0})
        drive: Any = SimpleNamespace(horn_radius_mm=9.0, fault_force_n=pull if tipped else 0.0)
        return drop_in._backed(spec.model_copy(update={"servo": servo, "board": foam}), drive, plan)

    ((corners,),) = (backed(most_n(beyond) * 0.999).drop_in.backing.pieces,)
    assert (*np.min(corners, axis=0), *np.max(corners, axis=0)) == approx(
        -30.0 - beyond, y[0] - beyond, 10.0 + beyond, y[1] + beyond
    )
    if beyond == 60:
        with pytest.raises(NoDesign, match=r"would bear 2\.2 times the servo's stall, at least 2\.2"):
            backed(most_n(beyond) * 1.001)
    else:
        ((corners,),) = (backed(most_n(beyond) * 1.001).drop_in.backing.pieces,)
        assert corners[0] == approx(-31.0 - beyond, y[0] - 1.0 - beyond)
