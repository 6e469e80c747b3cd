"""Assembly on a plate and a wall drawn by hand: each figure worked out from what was drawn, limits from both sides."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

import manifold3d as m3
import numpy as np
import pytest
from plain import (
    FACE_X,
    HEADS,
    SHAFT_Z,
    box,
    bracket,
    designed,
    mesh,
    plate,
    round_mm2,
    wall,
    with_datums,
    with_drive,
    with_plan,
    with_servo,
    with_spec,
)

from mounts import scene
from mounts.checks import assembly
from mounts.checks.assembly import check_assembly
from mounts.checks.drivers import check_drivers
from mounts.checks.model import Check
from mounts.design import Backing, Beside, CableHole, CutOut, Design, DropIn
from mounts.styles._fixings import head_mpa_per_n

ON_EDGE = ((0.0, 0.0, 1.0, 0.0), (1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 0.0, 1.0))
NEAR_SCREW, FAR_SCREW = (
    -8.5,
    19.0,
)  # y of the servo's: 27.5 apart about the case's middle, 22.6 / 2 − 6.05 from the shaft
OUTER_X = FACE_X + 15.4  # of the arm, above the ears' underside


def rows(design: Design, *more: m3.Manifold, thick: float = 5.0) -> dict[str, Check]:
    """Of the plain bracket, with more plastic on it."""
    return judged(design, plate(), wall(thick), *more)


def judged(design: Design, *bodies: m3.Manifold) -> dict[str, Check]:
    return {row.name: row for row in check_assembly(design, (mesh(*bodies),))}


def row_of(name: str, design: Design, *more: m3.Manifold, thick: float = 5.0) -> Check:
    """One of ``rows``, by what makes it alone."""
    return first(name, design, plate(), wall(thick), *more)


def first(name: str, design: Design, *bodies: m3.Manifold) -> Check:
    mount, alone = scene.union(bodies), ALONE.get(name)
    found = alone(design, mount) if alone else check_assembly(design, (mesh(*bodies),))
    return next(row for row in found if row.name == name)


ALONE: dict[str, Callable[[Design, m3.Manifold], Iterable[Check]]] = {
    **dict.fromkeys(("driver-fixing", "driver-servo", "arm-on", "driver-horn"), check_drivers),
    "screw-cut-out": lambda design, _: assembly._beside_cut_out(design),
    **dict.fromkeys(("screw-cable", "cable-hole"), lambda design, _: assembly._beside_cable_hole(design)),
    "servo-screw-grip": assembly._servo_screws,
    "seat-stiffness": lambda design, _: (assembly._seat(design),),
}


def screws_at(design: Design, *heads: tuple[float, float], length_mm: float = 12.0, head_z: float = -15.5) -> Design:
    """Its first screws elsewhere in the plate, all of that length."""
    where = (*heads, *HEADS[len(heads) :])
    screws = tuple(
        one.model_copy(update={"head": (*at, head_z), "length_mm": length_mm})
        for one, at in zip(design.plan.screws, where, strict=True)
    )
    return with_datums(with_plan(design, screws=screws), fixings=tuple((*at, -12.0) for at in where))


def test_the_plain_bracket_reads_what_is_drawn() -> None:
    """Board 12 − 0.3, screws 12 mm long in a plate of 3.5; heads 16.5 mm apart at least; 5 mm of wall round a screw
    that reaches 5.5 mm past the ear; stiffness and stress as the plan has them."""
    design = with_plan(bracket(), seat_n_per_mm=8.0, seat_mpa_per_n=0.5)
    drive = design.drive

    found = rows(design)
    assert {row.verdict for row in found.values()} == {"pass"}
    assert found["screw-point"].value == pytest.approx(12 - 0.3 - (12 - 3.5))
    assert "over the point of a 12 mm screw" in found["screw-point"].message
    assert found["screw-spacing"].value == pytest.approx(16.5 / 3.0)
    assert found["screw-rim"].value == pytest.approx(0.0, abs=1e-6)
    bears_most = 8.5 * 3.0 * 2.43 / found["screw-hold"].value  # its share of the stall, of what each holds
    assert found["screw-head"].value == pytest.approx(2 * bears_most * head_mpa_per_n(design.spec.fixing, 3.5))
    assert found["screw-servo"].value == 3.0
    assert found["servo-screw-grip"].value == pytest.approx(5.0 / 2.0, abs=1e-3)
    lever = drive.pivot_to_pin_mm / drive.pivot_to_horn_mm
    assert found["seat-stiffness"].value == pytest.approx(8.0 / (drive.rate_n_per_mm * lever**2))
    assert found["seat-strength"].value == pytest.approx(0.5 * 156.9 / drive.horn_radius_mm)
    assert found["seat-strength"].limit == pytest.approx(0.85 * 25.0)  # petg across its layers
    for name in ("way-in", "plug-way", "driver-fixing", "driver-servo", "arm-on", "driver-horn"):
        assert found[name].value == pytest.approx(0.0, abs=1e-9)
    assert not {"bolt-nut", "bond-hold", "screw-cut-out", "screw-cable", "cable-hole"} & found.keys()


@pytest.mark.parametrize(("near", "far", "met"), [(0.0, 0.28, 0.0), (0.0, 0.5, 0.2), (58, 70, 2.0), (60.02, 70, 0.0)])
@pytest.mark.parametrize(("name", "wide"), [("driver-fixing", 5.0), ("driver-servo", 3.0), ("driver-horn", 3.0)])
def test_a_screwdriver_is_60_mm_long_from_0_3_before_its_screw(
    name: str, wide: float, near: float, far: float, met: float
) -> None:
    """A block across its way, that begins and ends so far from the head: 5 mm thick for fixings, 3 for the servo's own,
    whose heads are 0.5 mm high, and for the arm's, 0.8 mm proud."""
    x, y = HEADS[0]
    seat, head = FACE_X + 2.5 + 0.5, OUTER_X + 0.8
    blocks = {
        "driver-fixing": box((x - 4, y - 4, -15.5 - far), (x + 4, y + 4, -15.5 - near)),
        "driver-servo": box((seat + near, FAR_SCREW - 1.7, SHAFT_Z - 3), (seat + far, FAR_SCREW + 3, SHAFT_Z + 3)),
        "driver-horn": box((head + near, -3, SHAFT_Z - 3), (head + far, 3, SHAFT_Z + 3)),
    }

    row = row_of(name, bracket(), blocks[name])
    assert row.value == pytest.approx(met * round_mm2(wide), abs=1e-3)
    assert row.verdict == ("fail" if met else "pass")


def test_a_case_stands_in_the_way_of_its_own_screws() -> None:
    """Screws 24 mm apart: of a 3 mm shank what is more than 0.7 mm off its axis, for the 3.55 mm that the case stands
    above the driver's end: a circle's segment."""
    row = row_of("driver-servo", with_servo(bracket(), flange_hole_spacing_mm=24.0))

    segment = 1.5**2 * math.acos(0.7 / 1.5) - 0.7 * math.sqrt(1.5**2 - 0.7**2)
    assert row.value == pytest.approx(2 * segment * (22.6 - 15.75 - 2.5 - 0.8), rel=0.01)
    assert "can't reach the servo's screws with the mount in place" in row.message


@pytest.mark.parametrize(("down", "where"), [(None, "with the mount in place"), ({"backing": None}, "at the bench")])
def test_the_board_is_in_the_way_of_a_screwdriver_except_at_the_bench(down: Any, where: str) -> None:
    """A shaft 1 mm under 12 mm of board: of a 3 mm shank what is more than 1 mm off its axis is in it, a circle's
    segment over 60 mm less the 0.3 before the screw. What is let in is put together first."""
    placed = ((0.0, 0.0, 1.0, FACE_X), (1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, -13.0), (0.0, 0.0, 0.0, 1.0))
    design = with_datums(bracket(), servo=placed)
    design = with_plan(design, drop_in=None if down is None else DropIn.model_construct(**down))

    row = first("driver-horn", design, box((-60, -60, -200), (120, 60, -199)))
    segment = 1.5**2 * math.acos(1.0 / 1.5) - math.sqrt(1.5**2 - 1.0**2)
    assert row.value == pytest.approx(segment * 59.7 if down is None else 0.0, rel=0.04)  # a shank has 48 sides
    assert row.message.startswith("a screwdriver can't reach" if down is None else "a screwdriver reaches")
    assert where in row.message


@pytest.mark.parametrize(("near", "far", "met"), [(0.0, 5.0, 2.8), (1.0, 2.0, 1.0), (2.81, 5.0, 0.0)])
def test_the_arm_is_pushed_on_over_the_spline(near: float, far: float, met: float) -> None:
    """Boss 10.95 and 0.2 of air up to the spline's top, 13.95: 2.8 mm of way, for the arm which points up:
    a block of 1 × 1 mm before it. One before its hub, past the middle, is met too."""
    row = row_of("arm-on", bracket(), box((OUTER_X + near, -0.5, SHAFT_Z + 10), (OUTER_X + far, 0.5, SHAFT_Z + 11)))
    assert row.value == pytest.approx(met, abs=1e-3)
    assert row.verdict == ("fail" if met else "pass")
    assert (
        row_of("arm-on", bracket(), box((OUTER_X, -3, SHAFT_Z - 3), (OUTER_X + 1, -2, SHAFT_Z - 2))).verdict == "fail"
    )


@pytest.mark.parametrize(
    ("turned", "y", "met", "says"),
    [
        (None, 0.0, 0.0, "servo and cable go"), (0.0, 0.0, 1.0, ""), (0.0, -12.0, 0.0, "servo and arm go"),
        (90.0, -12.0, 1.0, ""), (90.0, 12.0, 0.0, "the servo goes, its arm on and turned 90° from mid,"),
    ],
)  # fmt: skip
def test_an_arm_that_is_on_goes_in_with_the_servo(turned: float | None, y: float, met: float, says: str) -> None:
    """A cube of 1 mm below it: as it stands at mid swing, or turned so that the pin would go to reverse, to −y; then
    nobody pushes it on later."""
    cube = box((OUTER_X - 1.1, y - 0.5, -100), (OUTER_X - 0.1, y + 0.5, -99))

    design = with_plan(bracket(), arm_in_deg=turned)
    row = row_of("way-in", design, cube)
    assert row.value == pytest.approx(met, abs=1e-4)
    assert says in row.message
    found = {one.name for one in check_drivers(design, cube)}
    assert ("arm-on" in found) == ("driver-horn" in found) == (turned is None)


@pytest.mark.parametrize(("side", "met"), [(1.0, 1.0), (-1.0, 0.0)])
def test_what_is_on_the_servos_way_out_is_in_its_way_in(side: float, met: float) -> None:
    """A cube of 1 mm below the case, and far below; the plan says which way it goes."""
    cubes = box((-20, 5, -80), (-19, 6, -79)) + box((-20, 8, -130), (-19, 9, -129))
    found = row_of("way-in", with_plan(bracket(), way_out=(0.0, 0.0, -side)), cubes)

    assert found.value == pytest.approx(2.0, abs=1e-3) if met else found.value > 100
    cable = box(
        (-27.5, -9, -75), (-26.5, -8, -74)
    )  # below the stub, which leaves the near end 11.25 mm behind the ears
    assert row_of("way-in", bracket(), cable).value == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize("down", [None, DropIn.model_construct(backing=None)])
def test_the_board_is_in_the_plugs_way_only_where_it_has_to_pass_it(down: DropIn | None) -> None:
    """A plug of 7.7 × 2.6 mm: half a millimetre of plastic; with a mount that is let in 12 mm of board and 3 of
    roadbed, the hole in either taken off."""
    flat = box((-36, -14, -90.5), (-20, -2, -90))
    assert row_of("plug-way", bracket(), flat).value == pytest.approx(0.5 * 7.7 * 2.6, abs=1e-3)

    up = with_plan(bracket(), plug_path=((-40.0, -8.0, -30.0), (-40.0, -8.0, 30.0)), drop_in=down)
    assert row_of("plug-way", up).value == pytest.approx(15 * 7.7 * 2.6 if down else 0.0, abs=1e-3)
    hole = with_plan(up, board_cut_out=CutOut(outline=square(-50, -20, -30, 5), depth_mm=12.0, through=True))
    assert row_of("plug-way", hole).value == pytest.approx(2.0 * 7.7 * 2.6 if down else 0.0, abs=1e-3)


def square(x0: float, y0: float, x1: float, y1: float) -> tuple[tuple[float, float], ...]:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


@pytest.mark.parametrize(
    ("length", "left", "verdict"), [(13.15, 2.05, "pass"), (13.25, 1.95, "warn"), (13.65, 1.55, "warn"),
                                    (13.75, 1.45, "fail")]
)  # fmt: skip
def test_2_mm_of_board_are_left_over_a_point(length: float, left: float, verdict: str) -> None:
    """1.5 mm warn, less fails (common practice, no source); of screws of several lengths the longest counts."""
    design = screws_at(bracket(), length_mm=length)
    one_longer = with_plan(bracket(), screws=(design.plan.screws[0], *bracket().plan.screws[1:]))

    for each in (design, one_longer):
        row = row_of("screw-point", each)
        assert (row.value, row.verdict) == (pytest.approx(left), verdict)
        if verdict == "fail":
            assert "too near the top of the board" in row.message


@pytest.mark.parametrize(("length", "verdict"), [(18.7, "pass"), (18.5, "fail")])
def test_a_bolt_stands_out_of_its_nut(length: float, verdict: str) -> None:
    """3.5 mm of plate, board 12 + 0.3, washer 0.5, nut 2.4 are 18.7; ground lies between as well."""
    bolt = {"kind": "bolt", "nut_mm": 2.4, "washer_thickness_mm": 0.5, "washer_mm": 7.0}
    design = with_spec(screws_at(bracket(), length_mm=length), "fixing", **bolt)

    found = rows(design)
    assert found["bolt-nut"].value == pytest.approx(length - 18.7)
    assert found["bolt-nut"].verdict == verdict
    assert "screw-point" not in found
    assert row_of("bolt-nut", with_spec(design, ground_mm=1.5)).value == pytest.approx(length - 18.7 - 1.5)


@pytest.mark.parametrize("mirror", [1.0, -1.0])
@pytest.mark.parametrize(("wire", "length"), [(0.8, 12.0), (6.0, 12.0), (0.5, 5.0), (6.0, 5.0)])
def test_screws_hold_along_them_and_about_the_nearer_edge(mirror: float, wire: float, length: float) -> None:
    """Each bears 2.43 N/mm² × 3 mm a mm of depth. The stall's pull at the arm hole on all four; and tipped about an
    edge of the plate, each by its way from it, the farthest its all. The pin, 16 mm over the plate, gives what the
    lever makes of the pull, or what bends the wire for good: 2050 MPa · d³/6 over its 17.75 mm."""
    design = with_drive(screws_at(bracket(), length_mm=length), wire_mm=wire)
    turned = tuple((x, mirror * y) for x, y in HEADS)
    design, drive = screws_at(design, *turned, length_mm=length), design.drive
    bodies = [plate(), wall()]
    if mirror < 0:
        bodies[0] = bodies[0].mirror((0.0, 1.0, 0.0))

    each, pull = (length - 3.5) * 3.0 * 2.43, 156.9 / drive.horn_radius_mm
    at_pin = min(pull * drive.pivot_to_horn_mm / drive.pivot_to_pin_mm, 2050 * wire**3 / 6 / drive.pivot_to_pin_mm)
    about = []
    for edge in (-20.0, 24.0):
        ways = [abs(y - edge) for _, y in HEADS]
        about.append(sum(each * way / max(ways) * way for way in ways) / (at_pin * 16.0))
    expected = min(4 * each / pull, *about)
    row = first("screw-hold", design, *bodies)
    assert row.value == pytest.approx(expected, rel=1e-4)
    assert row.verdict == ("pass" if expected >= 2.0 else "fail")


@pytest.mark.parametrize("share", [0.98, 1.02])
def test_screws_hold_twice_the_stall(share: float) -> None:
    """A servo that is just strong enough to make it less."""
    before = row_of("screw-hold", bracket()).value

    row = row_of("screw-hold", with_servo(bracket(), stall_torque_nmm=156.9 * before / 2.0 / share))
    assert row.verdict == ("pass" if share > 1 or row.value >= 2 else "fail")
    assert (row.value >= 2.0) == (share > 1)


@pytest.mark.parametrize(
    ("given", "what", "area", "across"),
    [
        ({}, "frame", 39.0 * 44.0 - 4 * 16 * 1.7**2 * math.sin(math.pi / 16), 44.0),
        ({"pad_xy": square(-30, -25, 12, 31)}, "pad", 42.0 * 56.0, 56.0),
        ({"strips": False}, "strips", 2 * 10.0 * 60.0, 60.0),
        ({"strips": True}, "frame", 2 * 10.0 * 60.0 - 8.0 * 20.0, 60.0),
    ],
)  # fmt: skip
@pytest.mark.parametrize("wire", [0.5, 6.0])
def test_glue_bears_the_pull_or_the_moment(
    given: dict[str, Any], what: str, area: float, across: float, wire: float
) -> None:
    """1.0 MPa where wood parts (from memory) over the greater of F/A and 6·M/(A·b), on the plate's face, the pad's, or
    the plywood's, an opening taken off a frame's; screws are asked for only where it is plywood that is glued."""
    design = with_drive(with_spec(bracket(), bonded=what == "frame" and not given), wire_mm=wire)
    if "strips" in given:
        pieces = (square(-25, -30, -15, 30), square(5, -30, 15, 30))
        backing = Backing(let_in=given["strips"], thick_mm=9.0, pieces=pieces)
        hole = CutOut(outline=square(-4, -10, 4, 10), depth_mm=12.0, through=True)
        given = {"drop_in": DropIn.model_construct(backing=backing), "board_cut_out": hole}
        design = with_spec(design, frame_mm=9.0)
    elif given:
        design = with_spec(design, pad_mm=6.5)
    design, drive = with_plan(design, **given), design.drive

    found = rows(design)
    pull = 156.9 / drive.horn_radius_mm
    at_pin = min(pull * drive.pivot_to_horn_mm / drive.pivot_to_pin_mm, 2050 * wire**3 / 6 / drive.pivot_to_pin_mm)
    stress = max(pull / area, 6 * at_pin * 16.0 / (area * across))
    assert found["bond-hold"].value == pytest.approx(1.0 / stress, rel=1e-4)
    assert f"the glue under the {what} bears" in found["bond-hold"].message
    assert ("screw-hold" in found) == (not design.spec.bonded)


def test_glue_holds_where_the_face_touches_the_board() -> None:
    """Not in a chamfer half a millimetre high round it, nor in what lies more than 1 mm below; not over a cut-out."""
    design = with_spec(bracket(), bonded=True)
    low = (
        box((-31, -20, -15.5), (8, 24, -13.2))
        + box((-10, -20, -13.4), (8, 24, -12.5))
        + box((-9, -19, -13), (7, 23, -12))
    )
    hole = CutOut(outline=square(-5, -30, 0, 30), depth_mm=14.0, through=False)

    whole = first("bond-hold", with_drive(design, wire_mm=0.5), low, wall()).value
    assert whole * 156.9 / design.drive.horn_radius_mm == pytest.approx(18.0 * 44.0, rel=1e-4)
    less = first("bond-hold", with_plan(with_drive(design, wire_mm=0.5), board_cut_out=hole), low, wall()).value
    assert less * 156.9 / design.drive.horn_radius_mm == pytest.approx(13.0 * 44.0, rel=1e-4)


@pytest.mark.parametrize(("apart", "verdict"), [(9.1, "pass"), (8.9, "fail")])
def test_screws_are_three_shanks_apart(apart: float, verdict: str) -> None:
    """Of 3 mm; the nearest two count, whichever they are."""
    for axis in ((1.0, 0.0), (0.6, -0.8)):
        x, y = HEADS[3]
        row = row_of("screw-spacing", screws_at(bracket(), HEADS[0], (x + apart * axis[0], y + apart * axis[1])))
        assert (row.value, row.verdict) == (pytest.approx(apart / 3.0), verdict)


@pytest.mark.parametrize(("inside", "verdict"), [(3.66, "pass"), (3.54, "fail")])
def test_a_rim_of_1_2_mm_is_left_round_a_head(inside: float, verdict: str) -> None:
    """Head 5.6: of the ring from 3.2 to 4.0 mm a twentieth may be beyond the edge: a circle's segment."""
    row = row_of("screw-rim", screws_at(bracket(), (8.0 - inside, 0.0)))

    beyond = 16 * math.acos(inside / 4) - inside * math.sqrt(16 - inside**2)
    assert row.value == pytest.approx(beyond / (math.pi * (4.0**2 - 3.2**2)), abs=0.002)
    assert row.verdict == verdict


@pytest.mark.parametrize(("deep", "missing"), [(0.15, 0.0), (0.35, 0.5), (0.6, 1.0)])
def test_a_rim_is_looked_at_0_2_to_0_5_mm_above_the_head(deep: float, missing: float) -> None:
    """A counterbore so deep, as wide as head and rim; a hole as wide as the head and 0.7 mm takes nothing of it."""
    x, y = HEADS[0]
    sunk = plate() - m3.Manifold.cylinder(9, 4.2, 4.2, 64).translate((x, y, -15.5 - 9 + deep))
    wide = plate() - m3.Manifold.cylinder(9, 3.15, 3.15, 64).translate((x, y, -18))

    assert first("screw-rim", bracket(), sunk, wall()).value == pytest.approx(missing, abs=1e-3)
    assert first("screw-rim", bracket(), wide, wall()).value == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize("washer", [0.0, 2.0, 7.0])
@pytest.mark.parametrize("through", [True, False])
@pytest.mark.parametrize(("wood", "verdict"), [(3.05, "pass"), (2.95, "fail")])
def test_a_shank_of_wood_is_left_beside_the_cut_out(wood: float, verdict: str, through: bool, washer: float) -> None:
    """3 mm; beside a bolt's washer too where the cut-out goes through, 2 mm beyond a shank of 3 with one of 7. What is
    farther than three shanks is not told apart."""
    x, y = HEADS[1]
    beyond = 2.0 if through and washer == 7.0 else 0.0
    edge = y + 1.5 + wood + beyond
    hole = CutOut(outline=square(x - 4, edge, x + 4, edge + 9), depth_mm=4.0, through=through)
    design = with_spec(with_plan(bracket(), board_cut_out=hole), "fixing", washer_mm=washer)

    row = row_of("screw-cut-out", design)
    assert (row.value, row.verdict) == (pytest.approx(wood / 3.0, abs=0.003), verdict)
    far = CutOut(outline=square(x - 4, edge + 90, x + 4, edge + 99), depth_mm=4.0, through=through)
    assert row_of("screw-cut-out", with_plan(design, board_cut_out=far)).value == pytest.approx((9.0 - beyond) / 3.0)


@pytest.mark.parametrize(("wood", "verdict"), [(3.05, "pass"), (2.95, "fail")])
def test_a_shank_of_wood_is_left_beside_the_cables_hole(wood: float, verdict: str) -> None:
    """A hole of 9 mm: 4.5 + 1.5 + 3 mm from axis to axis; a hole far off is not told apart from two shanks."""
    x, y = HEADS[1]
    at = (x + 0.6 * (6.0 + wood), y + 0.8 * (6.0 + wood))
    deeper = screws_at(bracket(), head_z=-22.0, length_mm=18.5)  # the heads are no wood's matter
    design = with_plan(deeper, cable_hole=CableHole(at=at, drill_mm=9.0))

    (row,) = assembly._beside_cable_hole(design)  # nothing else is there to be near to
    assert (row.value, row.verdict) == (pytest.approx(wood / 3.0, abs=0.005), verdict)
    (far,) = assembly._beside_cable_hole(with_plan(deeper, cable_hole=CableHole(at=(99.0, 0.0), drill_mm=9.0)))
    assert far.value == pytest.approx(2.0)
    assert not list(assembly._beside_cable_hole(deeper))


@pytest.mark.parametrize(("wood", "verdict"), [(1.95, "pass"), (1.85, "fail")])
@pytest.mark.parametrize("nearer", ["the foot of the roadbed", "the cut-out in the board"])
def test_wood_is_left_beside_the_cables_hole(wood: float, verdict: str, nearer: str) -> None:
    """1.9 mm (common practice, no source) to the foot of the roadbed before it and to the cut-out, the nearer told."""
    low = -60.0 - 4.5  # y of the hole's near side
    to_foot, to_cut = (wood, 4.0) if "foot" in nearer else (4.0, wood)
    given: dict[str, Any] = {
        "cable_hole": CableHole(at=(40.0, -60.0), drill_mm=9.0),
        "beside": Beside.model_construct(track_y=-90.0, roadbed_edge_y=low - to_foot, sleeper_end_y=low - to_foot - 3),
        "board_cut_out": CutOut(outline=square(44.5 + to_cut, -70, 60, -50), depth_mm=4.0, through=False),
    }

    row = row_of("cable-hole", with_plan(bracket(), **given))
    assert (row.value, row.verdict) == (pytest.approx(wood, abs=0.015), verdict)
    assert nearer in row.message
    alone = {**given, "beside" if "cut-out" in nearer else "board_cut_out": None}
    assert row_of("cable-hole", with_plan(bracket(), **alone)).value == pytest.approx(wood, abs=0.015)
    other = with_plan(bracket(), **{**given, "beside" if "foot" in nearer else "board_cut_out": None})
    assert row_of("cable-hole", other).value == pytest.approx(4.0, abs=0.015)


@pytest.mark.parametrize(("gap", "verdict"), [(0.55, "pass"), (0.45, "fail")])
def test_half_a_millimetre_is_kept_between_screw_and_servo(gap: float, verdict: str) -> None:
    """The case's side is 6.1 mm over the shaft's axis; a screw driven down at it."""
    design = bracket()
    first = design.plan.screws[0]
    down = {"head": (-20.0, 5.0, -15.5), "direction": (0.0, 0.0, -1.0)}
    down["length_mm"] = -15.5 - (SHAFT_Z + 6.1) - gap
    screws = (first.model_copy(update=down), *design.plan.screws[1:])

    row = row_of("screw-servo", with_plan(design, screws=screws))
    assert (row.value, row.verdict) == (pytest.approx(gap, abs=1e-3), verdict)


@pytest.mark.parametrize(
    ("thick", "grip", "verdict"),
    [(9.0, 2.75, "pass"), (5.02, 2.51, "pass"), (4.9, 2.45, "warn"), (3.02, 1.51, "warn"), (2.96, 1.48, "fail")],
)
def test_a_servos_screw_bites_two_and_a_half_diameters(thick: float, grip: float, verdict: str) -> None:
    """8 mm long, 2.5 of them in the ear, 2 mm thick: 5.5 mm at most; 1.5 diameters warn (common practice, no
    source)."""
    row = row_of("servo-screw-grip", bracket(), thick=thick)

    assert (row.value, row.verdict) == (pytest.approx(grip, abs=1e-3), verdict)
    longer = row_of("servo-screw-grip", with_plan(bracket(), servo_screw_length_mm=10.0), thick=9.0)
    assert longer.value == pytest.approx(3.75, abs=1e-3)


@pytest.mark.parametrize(("bore", "left"), [(2.38, 1.0), (2.8, 0.5357), (3.3, 0.0)])
@pytest.mark.parametrize("y", [NEAR_SCREW, FAR_SCREW])
def test_what_bites_is_a_sleeve_of_0_4_mm_round_the_thread(bore: float, left: float, y: float) -> None:
    """From 1.2 to 1.6 mm of radius round a 2 mm screw: a bore of 2.8 leaves (1.6² − 1.4²)/(1.6² − 1.2²) of it; the
    screw with less counts."""
    hole = m3.Manifold.cylinder(30, bore / 2, bore / 2, 96, True).rotate((0, 90, 0)).translate((FACE_X, y, SHAFT_Z))

    row = first("servo-screw-grip", bracket(), plate(), wall() - hole)
    assert row.value == pytest.approx(2.5 * left, abs=0.01)


@pytest.mark.parametrize(("ratio", "verdict"), [(10.1, "pass"), (9.9, "fail")])
def test_a_seat_is_ten_times_as_stiff_as_the_wire(ratio: float, verdict: str) -> None:
    """At the arm's hole, where the wire's rate at the pin is felt by the square of its lever, 17.75 over 40.78 mm."""
    drive = bracket().drive
    felt = drive.rate_n_per_mm * (drive.pivot_to_pin_mm / drive.pivot_to_horn_mm) ** 2

    row = row_of("seat-stiffness", with_plan(bracket(), seat_n_per_mm=ratio * felt))
    assert (row.value, row.verdict) == (pytest.approx(ratio), verdict)


@pytest.mark.parametrize(("ratio", "verdict"), [(10.1, "pass"), (9.9, "fail")])
def test_a_push_rods_pin_goes_as_far_as_its_arms_hole(ratio: float, verdict: str) -> None:
    """The wire is felt there as it is."""
    design = designed(style="cabin").design

    row = assembly._seat(with_plan(design, seat_n_per_mm=ratio * design.drive.rate_n_per_mm))
    assert (row.value, row.verdict) == (pytest.approx(ratio), verdict)


@pytest.mark.parametrize(("printed", "layers", "mpa"), [(None, "across", 0.85 * 25.0), (ON_EDGE, "along", 0.85 * 44.0)])
@pytest.mark.parametrize(("share", "verdict"), [(0.99, "pass"), (1.01, "fail")])
def test_a_seat_bears_the_stall(printed: Any, layers: str, mpa: float, share: float, verdict: str) -> None:
    """0.85 of the plastic's strength, across its layers where the frame is printed standing; the frame is what stays
    when the shell is lifted off."""
    design = with_plan(bracket(), seat_mpa_per_n=share * mpa / (156.9 / bracket().drive.horn_radius_mm))
    design = with_plan(design, lift_off=("shell",))
    body, other = m3.Manifold.cube((9, 9, 9)).translate((0, 0, -400)), ON_EDGE if printed is None else None
    turn = np.linalg.inv(np.array(printed if printed else np.eye(4)))[:3]
    frame = (plate() + wall()).transform(turn)

    parts = (mesh(body, name="shell", print_to_mount=other), mesh(frame, print_to_mount=printed))
    (row,) = assembly._at_stall(design, parts)
    assert (row.value, row.limit, row.verdict) == (pytest.approx(share * mpa), pytest.approx(mpa), verdict)
    assert f"{layers} the layers of petg" in row.message
    assert not list(assembly._at_stall(with_plan(design, seat_mpa_per_n=None), parts))
    untold = {"tensile_z_mpa" if printed is None else "tensile_mpa": None}
    assert not list(assembly._at_stall(with_spec(design, "filament", **untold), parts))


def test_on_the_board_a_screw_goes_down_and_ground_holds_nothing() -> None:
    """A frame of 2.4 mm beside a track: 12 mm of screw, 1 of ground, 12 − 0.3 of board; the head's cone above the
    board is no wood's matter."""
    design = designed(style="hut").design
    (x0, x1), (y0, y1) = design.plan.beside.frame_x, design.plan.beside.frame_y
    sunk = with_spec(design, ground_mm=1.0)
    screws = tuple(
        one.model_copy(update={"head": (*one.head[:2], 3.4), "length_mm": 12.0}) for one in design.plan.screws
    )
    fixings = tuple((*one.head[:2], 1.0) for one in design.plan.screws)
    x, y = screws[0].head[:2]
    hole = CableHole(at=(x - 4.5 - 1.5 - 3.05, y), drill_mm=9.0)
    sunk = with_datums(with_plan(sunk, screws=screws, cable_hole=hole), fixings=fixings)

    found = judged(sunk, box((x0 - 9, y0, 1), (x1, y1, 3.4)))
    assert found["screw-point"].value == pytest.approx(12 - 0.3 - (12 - 2.4 - 1.0))
    deep = rows_fail = judged(with_spec(sunk, "board", thickness_mm=9.0), box((x0, y0, 1), (x1, y1, 3.4)))
    assert "too near the underside of the board" in rows_fail["screw-point"].message
    assert deep["screw-point"].value == pytest.approx(0.1)
    assert found["screw-cable"].value == pytest.approx(3.05 / 3.0, abs=0.005)


WRONG: dict[str, tuple[Callable[[Design], Design], str]] = {
    "way-in": (lambda d: with_plan(d, way_out=(0.0, 0.0, 1.0)), "can't be put in"),
    "plug-way": (lambda d: with_plan(d, plug_path=((-18.0, 22.0, -64.0), (-18.0, 22.0, -96.0))), "plug does not pass"),
    "driver-fixing": (lambda d: screws_at(d, (-19.0, 22.0)), "can't reach a fixing screw"),
    "screw-hold": (lambda d: with_spec(d, "board", withdrawal_n_per_mm2=0.05), "may pull out"),
    "screw-head": (lambda d: with_spec(d, "filament", tensile_mpa=0.5), "splits the plate"),
    "screw-spacing": (lambda d: screws_at(d, (0.0, 5.0)), "so close that"),
    "screw-rim": (lambda d: screws_at(d, (6.0, 0.0)), "too near the edge"),
    "screw-servo": (lambda d: screws_at(d, (-20.0, 5.0), head_z=-70.0), "meets the servo"),
    "servo-screw-grip": (lambda d: with_plan(d, servo_screw_length_mm=5.0), "little plastic"),
    "seat-stiffness": (lambda d: with_plan(d, seat_n_per_mm=0.1), "gives way"),
    "seat-strength": (lambda d: with_plan(d, seat_mpa_per_n=5.0), "breaks its seat when it stalls, across the layers"),
    "arm-on": (lambda d: with_servo(d, spline_top_height_mm=60.0, horn_length_mm=70.0), "can't be pushed on"),
    "driver-horn": (lambda d: with_servo(d, horn_plane_height_mm=-9.0), "can't reach the arm's screw"),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_mount_that_is_wrong_on_this_count_is_told_so(name: str) -> None:
    """It fails, and says what is wrong."""
    spoil, says = WRONG[name]
    post = (
        box((20, -3, SHAFT_Z - 3), (22, 3, -12.1))
        if name in ("arm-on", "driver-horn")
        else box((0, 0, -99), (1, 1, -98))
    )

    row = row_of(name, spoil(bracket()), post)
    assert (row.verdict, says in row.message) == ("fail", True)
