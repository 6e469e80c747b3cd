"""Footprint, balance, knock and elephant's foot against handbook sections and closed forms."""

from __future__ import annotations

from math import cos, hypot, pi, sin

import manifold3d as m3
import numpy as np
import pytest
from meshes import arrays, box, checks, filament, footed, part, part_mesh, prism

from mounts.checks import stability
from mounts.checks.facets import Facets
from mounts.checks.stability import brim_mm, footprint

ADHESION_MPA, KNOCK_N, BRIM_MM = 0.5, 1.0, 3.0  # as the check has them: from memory; common practice, no source


def _modulus_mm3(body: m3.Manifold) -> float:
    foot = footprint(Facets.of(part(body)))
    assert foot is not None
    return foot.modulus_mm3()


def test_modulus_of_a_rectangle() -> None:
    """b·h²/6 about both axes at once (Shigley, Table A-18 and two-plane bending), wherever it stands."""
    weak, strong = 30 * 8**2 / 6, 8 * 30**2 / 6
    both = 1 / hypot(1 / weak, 1 / strong)

    assert _modulus_mm3(box(30, 8, 5).translate((40, -7, 0)).rotate((0, 0, 25))) == pytest.approx(both, rel=1e-5)


def test_modulus_of_a_ring() -> None:
    """π(D⁴ − d⁴)/(32·D) (Shigley, Table A-18), to what 128 chords take off."""
    ring = m3.Manifold.cylinder(5, 10, 10, 128) - m3.Manifold.cylinder(5, 7, 7, 128)

    assert _modulus_mm3(ring) == pytest.approx(pi * (20**4 - 14**4) / (32 * 20), rel=0.003)


def test_modulus_of_two_feet() -> None:
    """Two feet 4 × 10 at 30 mm under one beam, by parallel axes, about both axes at once."""
    feet = box(4, 10, 10).translate((-15, 0, 0)) + box(4, 10, 10).translate((15, 0, 0))

    weak = 2 * 4 * 10**2 / 6
    strong = 2 * (10 * 4**3 / 12 + 4 * 10 * 15**2) / 17
    table = feet + box(34, 10, 4).translate((0, 0, 9))
    assert _modulus_mm3(table) == pytest.approx(1 / hypot(1 / weak, 1 / strong), rel=1e-6)


def test_knock_is_the_ratio_of_two_torques() -> None:
    """(σ·W + m·g·b)/(F·h) of a cuboid, worked out by hand."""
    found = checks(part(box(12, 20, 30)))["knock"]

    weight = 12 * 20 * 30 / 1000 * filament().density_g_per_cm3 / 1000 * 9.81
    modulus = 1 / hypot(6 / (20 * 12**2), 6 / (12 * 20**2))
    by_hand = (ADHESION_MPA * modulus + weight * 6) / (KNOCK_N * 30)
    assert found.value == pytest.approx(by_hand, rel=1e-6)


def test_a_brim_counts_for_half_of_what_it_adds() -> None:
    """A slender wall 2 × 20, 25 high, by hand: its foot and half of what one 3 mm wider all round has more.

    The brim's corners are quarters of a circle of 3 mm: what they leave of each of its 3 mm squares is taken off, by
    moment and centroid of a spandrel (area r²(1 − π/4), r·(10 − 3π)/(12 − 3π) from its sides, Roark, Table A.1), its
    own moment left out. The worst knock is the one towards the point of the rim that it stresses most.
    """
    wall = part(box(2, 20, 25))

    def modulus(b: float, h: float, r: float = 0.0) -> float:
        area, off = r**2 * (1 - pi / 4), r * (10 - 3 * pi) / (12 - 3 * pi)
        weak = h * b**3 / 12 - 4 * area * (b / 2 - off) ** 2
        strong = b * h**3 / 12 - 4 * area * (h / 2 - off) ** 2
        turns = [n * pi / 200 for n in range(101)]
        return 1 / max(hypot((b / 2 - r + r * cos(t)) / weak, (h / 2 - r + r * sin(t)) / strong) for t in turns)

    bare, wide = modulus(2, 20), modulus(8, 26, 3)
    assert ADHESION_MPA * bare < KNOCK_N * 25
    assert brim_mm(Facets.of(wall), filament()) == BRIM_MM
    found = checks(wall)["knock"]
    assert found.value == pytest.approx(ADHESION_MPA * (bare + wide) / 2 / (KNOCK_N * 25), rel=0.005)
    assert (found.verdict, found.message[:13]) == ("pass", "with a 3 mm b")


def test_what_stands_by_itself_needs_no_brim() -> None:
    """A cuboid 12 × 20 × 30."""
    assert brim_mm(Facets.of(part(box(12, 20, 30))), filament()) == 0.0


def test_balance_is_the_way_to_the_nearest_edge() -> None:
    """A cuboid of 12 × 20 stands 6 mm from tipping; an L of two cuboids by its common centre."""
    assert checks(part(box(12, 20, 30)))["balance"].value == pytest.approx(6.0)

    for long, verdict in ((30, "fail"), (28, "fail"), (27, "pass")):  # 10 − 11, − 10.25 and − 9.883
        ell = prism([(0, 0), (10, 0), (10, 20), (long, 20), (long, 30), (0, 30)], 10)
        centre_x = (10 * 20 * 5 + long * 10 * long / 2) / (10 * 20 + long * 10)
        row = checks(part(ell))["balance"]
        assert (row.value, row.verdict) == (pytest.approx(10 - centre_x, abs=1e-5), verdict)


def test_balance_counts_the_hull_of_several_feet() -> None:
    """A table stands between its legs."""
    table = box(40, 40, 3).translate((0, 0, 17))
    for x in (-17, 17):
        for y in (-17, 17):
            table += box(6, 6, 18).translate((x, y, 0))

    assert checks(part(table))["balance"].value == pytest.approx(20.0, abs=1e-4)


def test_contact_area_leaves_out_the_holes() -> None:
    """A plate with a square hole touches the bed by the difference."""
    body = box(20, 20, 5) - box(5, 5, 9).translate((0, 0, -1))

    assert checks(part(body))["contact-area"].value == pytest.approx(20 * 20 - 5 * 5, rel=1e-6)


@pytest.mark.parametrize("chamfer", [0.0, 0.1, 0.3, 0.5])
def test_foot_reads_its_chamfer(chamfer: float) -> None:
    """The outline on the bed keeps inside by the chamfer drawn, wherever on the bed that is."""
    body = footed(20, 20, 10, chamfer) if chamfer else box(20, 20, 10)

    assert checks(part(body.translate((40, -7, 0))))["elephant-foot"].value == pytest.approx(chamfer, abs=0.002)


@pytest.mark.parametrize("aside", [(0.2, 0.0), (-0.2, 0.0), (0.0, 0.2), (0.0, -0.2)])
def test_foot_reads_the_least_chamfer_of_all_sides(aside: tuple[float, float]) -> None:
    """0.1 mm on one side, 0.3 to 0.5 mm on the others: 0.1 at that side, whichever it is."""
    foot = m3.CrossSection.square((19.4, 19.4)).translate((-9.7 + aside[0], -9.7 + aside[1]))
    body = m3.Manifold.hull(m3.Manifold.extrude(foot, 0.001) + box(20, 20, 5).translate((0, 0, 0.4)))

    found = checks(part(body))["elephant-foot"]
    assert (found.value, found.verdict) == (pytest.approx(0.1, abs=0.002), "warn")


def test_foot_is_looked_at_between_its_corners() -> None:
    """A groove up the middle of a side, 3 mm wide, begins 0.4 mm above the bed: the edge below it bulges."""
    body = footed(30, 30, 10) - box(3, 4, 20).translate((0, 15, 0.4))

    found = checks(part(body))["elephant-foot"]
    assert (found.value, found.verdict) == (0.0, "warn")


def test_foot_of_one_unchamfered_side_is_placed() -> None:
    """A plate chamfered on three sides is named by a place on the fourth."""
    body = footed(30, 30, 5) + box(5, 30, 5).translate((12.5, 0, 0))

    check = checks(part(body))["elephant-foot"]

    assert (check.verdict, check.value) == ("warn", 0.0)
    assert "the edge at (15.0," in check.message
    assert (check.at_mm[0], check.at_mm[2]) == (15.0, 0.0)
    assert ", 0.0) bulges" in check.message


def test_outline_under_a_bore_is_not_inside() -> None:
    """A disc on the bed under the bore of a wider tube has nothing over its edge to be inside of."""
    disc = m3.Manifold.cylinder(0.5, 5, 7, 48)
    tube = m3.Manifold.cylinder(5, 9, 9, 48) - m3.Manifold.cylinder(9, 6, 6, 48, True)

    assert checks(part(disc + tube.translate((0, 0, 0.4))))["elephant-foot"].value == 0.0


def test_rim_of_a_hole_needs_no_chamfer() -> None:
    """A bore without a chamfer in a chamfered plate is let pass."""
    body = footed(30, 30, 5) - m3.Manifold.cylinder(20, 2, 2, 32, True).translate((6, 0, 0))

    assert checks(part(body))["elephant-foot"].verdict == "pass"


def test_wall_that_leans_inward_has_no_chamfer() -> None:
    """A pyramid's edge stands on the bed in full, though its outline above is elsewhere."""
    frustum = m3.Manifold.hull(box(20, 20, 0.01) + box(10, 10, 10))

    assert checks(part(frustum))["elephant-foot"].value == 0.0


def test_part_that_stands_on_a_point_touches_nothing() -> None:
    """A cone on its tip has no contact: it fails on that and gets no ratio."""
    found = checks(part(m3.Manifold.cylinder(10, 0.0, 6, 48)))

    assert (found["contact-area"].value, found["contact-area"].verdict) == (pytest.approx(0.0, abs=1e-5), "fail")


@pytest.mark.parametrize(
    ("size", "room"),
    [((210, 170, 30), 10), ((170, 210, 30), -10 + 20), ((30, 20, 205), 5), ((30, 30, 205), 5), ((30, 20, 211), -1)],
)
def test_bed_tells_the_room_that_is_left(size: tuple[int, int, int], room: int) -> None:
    """A bed of 220 × 200, 210 high: the least of three, wherever the part lies, turned only where that gains."""
    check = checks(part(box(*size).translate((40, 60, 0))))["bed"]

    assert check.value == pytest.approx(room, abs=1e-4)
    assert ("turned by 90°" in check.message) == (size == (170, 210, 30))
    assert check.verdict == ("pass" if room > 0 else "fail")


def test_a_part_above_the_bed_is_told_by_how_much() -> None:
    """Its lowest corner's height, though it lies aside of the middle."""
    vertices, faces = arrays(box(20, 20, 5).translate((40, -7, 0.5)))

    check = checks(part_mesh(vertices, faces))["on-bed"]
    assert (check.value, check.verdict) == (0.5, "fail")
    assert "starts at z = 0.500" in check.message


def test_the_foot_is_looked_at_all_along_it() -> None:
    """Of a rectangle of 3.5 × 2 mm: its corners, and points on its sides at most 1 mm apart, none elsewhere."""
    ring = np.array([[0.0, 0.0], [3.5, 0.0], [3.5, 2.0], [0.0, 2.0]])

    found = stability._along(ring)
    x, y = found.T
    assert ((np.isin(x, (0.0, 3.5)) & (y >= 0) & (y <= 2)) | (np.isin(y, (0.0, 2.0)) & (x >= 0) & (x <= 3.5))).all()
    assert {tuple(corner) for corner in ring} <= {tuple(point) for point in found}
    assert sorted(x[y == 0.0]) == pytest.approx([0.0, 0.875, 1.75, 2.625, 3.5])
    assert sorted(y[x == 3.5]) == pytest.approx([0.0, 1.0, 2.0])
    assert len(found) == 2 * (4 + 2)


def test_what_does_not_touch_the_bed_has_no_contact_and_no_more_is_asked() -> None:
    """Half a millimetre above it."""
    mesh = part_mesh(*arrays(box(20, 20, 5).translate((0, 0, 0.5))))

    (row,) = stability.check_stability(mesh, Facets.of(mesh), filament())
    assert (row.name, row.value, row.verdict) == ("contact-area", 0.0, "fail")
    assert brim_mm(Facets.of(mesh), filament()) == 0.0


def test_what_widens_above_the_foot_is_no_chamfer_of_it() -> None:
    """A millimetre farther out from 0.8 mm above the bed on: 0.6 mm up the edge is where it was."""
    found = checks(part(box(20, 20, 5) + box(22, 22, 4.2).translate((0, 0, 0.8))))["elephant-foot"]

    assert (found.value, found.verdict) == (0.0, "warn")


@pytest.mark.parametrize(("high", "brim"), [(20.0, False), (90.0, True)])
def test_a_brim_is_told_where_one_is_needed(high: float, brim: bool) -> None:
    """8 × 8 mm hold σ·b³/6/√2 = 30 N·mm against 1 N at the top: 20 mm do without, 90 do not."""
    mesh = part(box(8, 8, high))
    row = {one.name: one for one in stability.check_stability(mesh, Facets.of(mesh), filament())}["knock"]
    bare = ADHESION_MPA * 8**3 / 6 / hypot(1, 1)

    assert ("with a 3 mm brim" in row.message) == brim
    assert brim_mm(Facets.of(mesh), filament()) == (3.0 if brim else 0.0)
    if not brim:
        assert row.value == pytest.approx(bare / high, rel=0.05)  # and its weight
    else:
        assert bare / high < row.value < bare * 10 / high
