"""Slopes, shelves, bridges and lying holes of known answer."""

from __future__ import annotations

from math import cos, hypot, inf, radians, sqrt, tan

import manifold3d as m3
import numpy as np
import pytest
from meshes import arrays, box, checks, footed, lying, part, part_mesh, printer, prism, teardrop

from mounts.checks import overhang
from mounts.checks.facets import Facets
from mounts.checks.overhang import Ceiling, ceilings


def _arm(lean_deg: float, reach: float = 6.0) -> m3.Manifold:
    up = reach / tan(radians(lean_deg))
    return prism([(-10, 0), (0, 0), (0, 5), (reach, 5 + up), (reach, 8 + up), (-10, 8 + up)], 20)


def _shelf(reach: float) -> m3.Manifold:
    return prism([(-10, 0), (0, 0), (0, 10), (reach, 10), (reach, 14), (-10, 14)], 20)


@pytest.mark.parametrize(
    ("lean_deg", "verdict"),
    [(20, "pass"), (44, "pass"), (45, "pass"), (46, "fail"), (55, "fail"), (60, "fail"), (70, "fail")],
)
def test_slopes_are_judged_by_their_lean(lean_deg: float, verdict: str) -> None:
    """45° passes, 46° does not, and the value is the lean, wherever on the bed it stands."""
    check = checks(part(_arm(lean_deg).translate((0, -30, 0))))["overhang"]

    assert verdict == check.verdict
    assert check.value == pytest.approx(lean_deg, abs=0.01)


def test_limit_is_the_printers() -> None:
    """A printer that can do 60° passes the slope of 55° that another fails."""
    assert checks(part(_arm(55)), overhang_deg=60)["overhang"].verdict == "pass"


@pytest.mark.parametrize("turn_deg", [0, 33, 90, 200])
def test_shelf_hangs_and_bridge_does_not(turn_deg: float) -> None:
    """8 mm held on one side hangs 8.0 out; 8 mm held on both is a bridge of 8.0; turned as well."""
    shelf = checks(part(_shelf(8).rotate((0, 0, turn_deg))))
    gate = _shelf(8) + box(10, 20, 14).translate((13, 0, 0))
    bridge = checks(part(gate.rotate((0, 0, turn_deg))))

    assert (shelf["overhang"].verdict, shelf["bridge"].value) == ("fail", 0.0)
    assert "hangs 8.0 mm out" in shelf["overhang"].message
    assert bridge["overhang"].verdict == "pass"
    assert bridge["bridge"].value == pytest.approx(8.0, abs=1e-3)


def test_long_tunnel_is_bridged_the_short_way() -> None:
    """The roof of a tunnel 6 wide and 60 long is a bridge of 6 mm."""
    assert checks(part(box(20, 60, 14) - box(6, 80, 8)))["bridge"].value == pytest.approx(6.0, abs=1e-3)


def test_roof_of_a_pocket_is_bridged_the_short_way() -> None:
    """The roof of a pocket of 8 × 14 mm, held all round, is a bridge of 8 mm."""
    assert checks(part(box(20, 20, 14) - box(8, 14, 8)))["bridge"].value == pytest.approx(8.0, abs=1e-3)


def test_roof_of_a_round_pocket_is_bridged_across() -> None:
    """The roof of a round pocket of 8 mm is a bridge of 8 mm."""
    body = box(20, 20, 14) - m3.Manifold.cylinder(8, 4, 4, 64)

    assert checks(part(body))["bridge"].value == pytest.approx(8.0, abs=0.03)


def test_corner_held_on_two_sides_hangs() -> None:
    """A shelf in a corner, 10 × 10, held on two sides that meet, is no bridge."""
    body = box(20, 20, 14) - box(10, 10, 10).translate((5, 5, 0))

    check = checks(part(body))["overhang"]

    assert check.verdict == "fail"


def test_hole_through_a_bridge_leaves_a_hanging_rim() -> None:
    """Lines that end at a hole in the roof are not held there."""
    gate = _shelf(8) + box(10, 20, 14).translate((13, 0, 0))
    hole = m3.Manifold.cylinder(30, 2, 2, 32).translate((4, 0, 0))

    assert checks(part(gate - hole))["overhang"].verdict == "fail"


@pytest.mark.parametrize(("reach", "verdict"), [(0.2, "pass"), (0.22, "pass"), (0.25, "fail"), (0.6, "fail")])
def test_lip_of_half_a_line_is_let_pass(reach: float, verdict: str) -> None:
    """0.225 mm at a 0.4 mm nozzle; a raised letter 0.6 high on an upright face is more."""
    assert verdict == checks(part(_shelf(reach)))["overhang"].verdict


@pytest.mark.parametrize("diameter", [1, 1.5, 2, 3, 4, 6, 8, 10])
def test_teardrop_never_hangs(diameter: float) -> None:
    """Holes with a 45° roof need nothing, at any size from 1 to 10 mm."""
    body = box(20, 12, 24) - lying(teardrop(diameter), 30).translate((0, 0, 10))

    found = checks(part(body))

    assert (found["overhang"].verdict, found["bridge"].verdict) == ("pass", "pass")


@pytest.mark.parametrize("diameter", [2, 4, 6, 10])
def test_flat_topped_hole_is_a_bridge(diameter: float) -> None:
    """A teardrop cut off at the circle's top leaves a bridge of 2·(√2 − 1)·r."""
    section = teardrop(diameter) ^ m3.CrossSection.square((20, 20)).translate((-10, diameter / 2 - 20))

    found = checks(part(box(20, 12, 24) - lying(section, 30).translate((0, 0, 10))))

    assert found["overhang"].verdict == "pass"
    assert found["bridge"].value == pytest.approx(diameter * (sqrt(2) - 1), abs=0.03)


@pytest.mark.parametrize(("diameter", "verdict"), [(1, "pass"), (1.4, "pass"), (1.8, "pass"), (3, "fail"), (8, "fail")])
@pytest.mark.parametrize("segments", [24, 32, 64])
def test_round_lying_hole_may_be_small(diameter: float, verdict: str, segments: int) -> None:
    """Pilot holes under 2 mm close by themselves, however finely they are meshed; wide ones hang."""
    hole = lying(m3.CrossSection.circle(diameter / 2, segments), 30).translate((0, 0, 10))

    assert verdict == checks(part(box(20, 12, 24) - hole))["overhang"].verdict


@pytest.mark.parametrize(("diameter", "verdict"), [(2.2, "pass"), (2.35, "fail")])
def test_an_arch_of_four_lines_closes_by_itself(diameter: float, verdict: str) -> None:
    """Of a lying hole what leans more than 45.5° is 2·r·sin 44.5° wide, and 1.6 mm may be."""
    hole = lying(m3.CrossSection.circle(diameter / 2, 256), 30).translate((0, 0, 10))

    assert verdict == checks(part(box(20, 12, 24) - hole))["overhang"].verdict


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_small_hole_does_not_hide_a_large_one(side: float) -> None:
    """1.4 mm closes by itself, 8 mm beside it hangs, whichever is met first."""
    holes = [lying(m3.CrossSection.circle(d / 2, 48), 30).translate((side * x, 0, 10)) for d, x in ((1.4, -7), (8, 3))]

    assert checks(part(box(24, 12, 24) - holes[0] - holes[1]))["overhang"].verdict == "fail"


def test_a_slit_in_a_bridge_is_seen_wherever_it_is() -> None:
    """0.6 mm wide in a bridge of 8 × 20, from one side to its middle: lines a nozzle apart find it, and it hangs."""
    gate = _shelf(8) + box(10, 20, 14).translate((13, 0, 0))
    for y in (0.0, 3.1, -6.2):
        slit = box(4.0, 0.6, 30).translate((6.2, y, 0))
        ((_, roof),) = _ceilings(gate - slit)
        assert roof.reach_mm > 1.0


def test_a_point_is_as_far_from_an_edge_as_from_its_nearest_place() -> None:
    """Beside it square to it, past either end from that end; of two the nearer; a short edge, half a millimetre, and
    one that is a point, alike."""
    edges = np.array([[[0.0, 0.0], [0.5, 0.0]], [[40.0, 0.0], [40.0, 0.0]]])
    points = np.array([[0.25, 2.0], [-3.0, 4.0], [3.5, 4.0], [0.45, -1.0], [37.0, 4.0]])

    assert overhang._distances(points, edges) == pytest.approx([2.0, 5.0, 5.0, 1.0, 5.0])


def test_cone_that_opens_upward_is_judged_as_a_slope() -> None:
    """The outside of a funnel of 50° hangs, of 40° does not."""
    for lean_deg, verdict in ((40, "pass"), (50, "fail")):
        funnel = m3.Manifold.cylinder(6, 4, 4 + 6 * tan(radians(lean_deg)), 64)
        assert verdict == checks(part(funnel))["overhang"].verdict


def test_staircase_is_steep_though_each_step_is_a_lip() -> None:
    """Steps of 0.4 mm each, finer than a layer, hang step by step."""
    body = box(10, 20, 5.05)
    for i in range(1, 20):
        body += box(10 + 0.8 * i, 20, 0.1001).translate((0, 0, 5 + 0.1 * i))

    assert checks(part(body))["overhang"].verdict == "fail"


@pytest.mark.parametrize("where", [0.5, 0.3, 0.0])
def test_triangle_that_is_a_line_does_not_hide_the_wall_behind_it(where: float) -> None:
    """Needles of triangles between the roof and both walls, as kernels leave them, change nothing; nor one with two
    corners in one place."""
    vertices, faces = arrays(box(20, 20, 14) - box(8, 40, 8))
    wanted = [
        (face, side)
        for face, corners in enumerate(vertices[faces])
        for side in range(3)
        if (corners[:, 2] == 8).all() and corners[side, 0] == corners[(side + 1) % 3, 0]
    ]
    assert len(wanted) == 2
    more, kept = [], np.ones(len(faces), dtype=bool)
    for face, side in wanted:
        a, b, c = np.roll(faces[face], -side)
        vertices = np.concatenate([vertices, vertices[[a]] + where * (vertices[[b]] - vertices[[a]])])
        middle = len(vertices) - 1
        more += [(a, middle, c), (middle, b, c), (a, b, middle)]
        kept[face] = False
    mesh = part_mesh(vertices, np.concatenate([faces[kept], more]), through_holes=0)

    found = checks(mesh)

    assert found["closed"].verdict == "pass"
    assert found["overhang"].verdict == "pass"
    assert found["bridge"].value == pytest.approx(8.0, abs=1e-3)


def test_reach_and_span_are_those_drawn() -> None:
    """Of one gate with a shelf on its far side both are found, each with its own measure."""
    gate = _shelf(8) + box(10, 20, 14).translate((13, 0, 0)) + box(5, 20, 4).translate((20.5, 0, 10))

    found = [ceiling for _, ceiling in ceilings(Facets.of(part(gate)), printer())]

    assert len(found) == 2
    bridge, shelf = sorted(found, key=lambda ceiling: ceiling.reach_mm)
    assert (bridge.span_mm, bridge.reach_mm) == pytest.approx((8.0, 0.0), abs=1e-3)
    assert shelf.reach_mm == pytest.approx(5.0, abs=1e-3)
    assert inf > shelf.reach_mm


def _ceilings(body: m3.Manifold) -> list[tuple[bool, Ceiling]]:
    return list(ceilings(Facets.of(part(body)), printer()))


def test_a_bridge_is_placed_at_its_middle() -> None:
    """The roof of a gate, x 0 to 8, y ± 10, at z = 10, however its rim is cut into triangles: a post aside has another
    edge there."""
    gate = _shelf(8) + box(10, 20, 14).translate((13, 0, 0)) + box(4, 5, 20).translate((6, 3, 10))

    ((flat, roof),) = _ceilings(gate - box(1, 1, 1).translate((-5, 5, 13.5)))
    assert flat
    assert roof.place_mm == pytest.approx([4.0, 0.0, 10.0], abs=1e-4)
    assert (roof.lean_deg, roof.span_mm, roof.reach_mm) == pytest.approx((90.0, 8.0, 0.0), abs=1e-3)


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("turn_deg", [0, 90, 180, 270])
def test_a_shelf_hangs_out_past_the_end_of_what_holds_it(side: float, turn_deg: float) -> None:
    """8 mm out of a wall 4 mm wide and 16 mm past its one end: √(8² + 16²) at its far corner, where it is placed."""
    wall = box(4, 4, 14).translate((-2, side * -8, 0))
    shelf = box(8, 20, 4).translate((4, 0, 10))

    ((flat, found),) = _ceilings((wall + shelf).rotate((0, 0, turn_deg)))
    c, s = round(cos(radians(turn_deg))), round(cos(radians(turn_deg - 90)))
    corner = np.array([8 * c - side * 10 * s, 8 * s + side * 10 * c, 10.0])
    assert flat
    assert found.reach_mm == pytest.approx(hypot(8, 16), abs=1e-3)
    assert found.place_mm == pytest.approx(corner, abs=1e-3)
    assert found.span_mm == 0.0


@pytest.mark.parametrize("turn_deg", [0, 33, 120])
def test_a_slot_with_round_ends_is_bridged_across(turn_deg: float) -> None:
    """30 × 6 mm: the long straight edges decide the way, not the many short ones of its ends."""
    ends = [m3.Manifold.cylinder(8, 3, 3, 48).translate((x, 0, 0)) for x in (-12, 12)]
    slot = m3.Manifold.batch_hull(ends).rotate((0, 0, turn_deg))

    ((_, roof),) = _ceilings(box(60, 60, 14) - slot)
    assert (roof.span_mm, roof.reach_mm) == pytest.approx((6.0, 0.0), abs=0.01)


@pytest.mark.parametrize("turn_deg", [0, 90, 205])
def test_a_slope_that_hangs_is_placed_where_it_is_furthest_out(turn_deg: float) -> None:
    """55° over 6 mm in plan: it leaves the wall at 5 and ends 6/tan 55° higher, 6 mm out."""
    ((flat, found),) = _ceilings(_arm(55).rotate((0, 0, turn_deg)))

    assert not flat
    assert (found.lean_deg, found.reach_mm, found.span_mm) == pytest.approx((55.0, 6.0, 0.0), abs=1e-3)
    assert found.place_mm[2] == pytest.approx(5 + 6 / tan(radians(55)), abs=1e-4)
    c, s = cos(radians(turn_deg)), cos(radians(turn_deg - 90))
    assert found.place_mm[0] * c + found.place_mm[1] * s == pytest.approx(6.0, abs=1e-3)


def test_what_nothing_holds_is_placed_at_its_middle() -> None:
    """The underside of a peg that hangs from an arm: 3 × 4, reached by nothing."""
    arm = prism([(-10, 0), (0, 0), (0, 12), (20, 12), (20, 15), (-10, 15)], 20)

    found = [one for _, one in _ceilings(arm + box(3, 4, 7).translate((9, 2, 6))) if one.reach_mm == inf]
    assert [(*one.place_mm, one.lean_deg) for one in found] == [pytest.approx((9.0, 2.0, 6.0, 90.0), abs=1e-4)]
    assert [one.span_mm for one in found] == [0.0]


def test_a_table_sags_in_its_middle() -> None:
    """12 × 12 on four feet of 2 × 2 in its corners, all held and none opposite: √(4² + 4²) from the nearest."""
    feet = [box(2, 2, 8).translate((x, y, 0)) for x in (-5, 5) for y in (-5, 5)]

    ((flat, top),) = _ceilings(box(12, 12, 2).translate((0, 0, 8)) + m3.Manifold.batch_boolean(feet, m3.OpType.Add))
    assert flat
    assert top.reach_mm == pytest.approx(sqrt(32), abs=0.15)
    assert top.place_mm == pytest.approx([0.0, 0.0, 8.0], abs=0.3)


def test_a_shelf_of_one_triangle_hangs() -> None:
    """6 mm wide where it leaves its wall, its tip 5 mm out."""
    tip = m3.Manifold.extrude(m3.CrossSection([[(0, -3), (5, 0), (0, 3)]]), 3).translate((0, 0, 8))

    ((flat, found),) = _ceilings(box(4, 6, 11).translate((-2, 0, 0)) + tip)
    assert flat
    assert found.reach_mm == pytest.approx(5.0, abs=0.01)


@pytest.mark.parametrize("y", [30.0, -30.0])
def test_a_slope_from_the_bed_is_held_by_the_bed(y: float) -> None:
    """60° from an edge that lies on it: 6 mm out, not by nothing, and no further in than its side."""
    up = 6 / tan(radians(60))
    slope = prism([(-10, 0), (0, 0), (6, up), (6, up + 3), (-10, up + 3)], 4)

    ((flat, found),) = _ceilings(slope.translate((0, y, 0)))
    assert not flat
    assert (found.lean_deg, found.reach_mm) == pytest.approx((60.0, 6.0), abs=1e-3)


def test_a_short_slope_is_not_held_by_its_sides() -> None:
    """55° over 0.6 mm: more than half a line, and the sides beside it go up from it."""
    ((_, found),) = _ceilings(_arm(55, 0.6))

    assert (found.lean_deg, found.reach_mm) == pytest.approx((55.0, 0.6), abs=1e-3)


def test_a_normal_that_is_a_little_too_long_is_level() -> None:
    """As rounding leaves them: 90° down, -90° up."""
    facets = Facets.of(part(box(4, 4, 4)))
    facets.__dict__["normals"] = np.array([[0.0, 0.0, z] for z in (-1 - 1e-15, 1 + 1e-15, -0.5, 0.5)])

    assert overhang.leans_deg(facets) == pytest.approx([90.0, -90.0, 30.0, -30.0])


def test_nothing_that_leans_outwards_is_told_as_nothing() -> None:
    """A pyramid, and what stands upright, which leans by no minus either."""
    pyramid = m3.Manifold.hull(box(20, 20, 0.1) + box(2, 2, 0.1).translate((0, 0, 12)))
    for body in (pyramid, box(5, 8, 20)):
        check = checks(part(body))["overhang"]
        assert (str(check.value), check.verdict) == ("0.0", "pass")


def test_of_two_ways_to_bridge_the_one_that_leaves_less_hanging_is_taken() -> None:
    """To a µm; what hangs out alike, or no more than a lip, goes by the shorter span."""
    ways = [(5.001, 9.0), (5.004, 1.0), (5.0042, 0.5), (0.2, 3.0), (0.1, 4.0), (0.0, 5.0), (inf, 0.0)]
    made = [Ceiling(np.zeros(3), 90.0, span, reach) for reach, span in ways]

    best = sorted(made, key=lambda one: overhang._order(one, printer()))
    assert [(one.reach_mm, one.span_mm) for one in best] == [
        (0.2, 3.0), (0.1, 4.0), (0.0, 5.0), (5.001, 9.0), (5.0042, 0.5), (5.004, 1.0), (inf, 0.0),
    ]  # fmt: skip


@pytest.mark.parametrize("lean_deg", [74.6, 75.4])
def test_from_75_degrees_a_slope_is_bridged_as_a_ceiling(lean_deg: float) -> None:
    """Common practice, no source: held on both sides it spans, below that it hangs."""
    up = 6 / tan(radians(lean_deg))
    gable = prism([(-10, 0), (-6, 0), (-6, 5), (0, 5 + up), (6, 5), (6, 0), (10, 0), (10, 15), (-10, 15)], 20)

    found = _ceilings(gable)
    assert {flat for flat, _ in found} == {lean_deg > 75}
    assert (min(one.reach_mm for _, one in found) > 1) == (lean_deg < 75)
    if lean_deg > 75:
        assert [one.span_mm for _, one in found] == pytest.approx([12.0], abs=1e-3)


def test_footing_on_the_bed_is_no_overhang() -> None:
    """What lies on the bed is level and held by the bed."""
    found = checks(part(footed(20, 20, 10)))
    check = found["overhang"]

    assert check.verdict == "pass"
    assert (found["bridge"].value, found["bridge"].message) == (0.0, "no bridge")
    assert cos(radians(check.value)) == pytest.approx(sqrt(0.5))
