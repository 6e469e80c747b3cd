"""Bed-loads: nothing overlaps or hangs over, few plates, the tallest together."""

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made import kept
from shapely import box

from mounts.export.plates import Bed, Piece, Place, broken_rules, pack, placed_object
from mounts.frames import apply

BED = Bed(220.0, 220.0, 3.0, 2.0)


def piece(name: str, *size_mm: float) -> Piece:
    """A part of that box."""
    return Piece(name, name, "", size_mm)


def boxes(plate, grow_mm: float = 0.0):
    """The plate's pieces as polygons of another library, grown all round."""
    return [box(*place.box_mm).buffer(grow_mm, join_style="mitre") for place in plate]


sizes = st.floats(5, 230).map(lambda value: round(value, 3))


@settings(max_examples=60)
@given(st.lists(st.tuples(sizes, sizes, st.floats(3, 80)), max_size=25), st.sampled_from([0.0, 3.0, 7.5]))
def test_no_brims_touch_and_nothing_hangs_over(sizes_mm, brim_mm):
    """By shapely: boxes with brim and half the spacing do not overlap, boxes with brim are on the bed, none is lost."""
    bed = Bed(220.0, 180.0, brim_mm, 2.0)
    pieces = [piece(f"p{number}", *size) for number, size in enumerate(sizes_mm)]

    plates, left_out = pack(pieces, bed)

    area = box(0, 0, bed.x_mm, bed.y_mm).buffer(1e-6)
    for plate in plates:
        assert all(area.contains(body) for body in boxes(plate, brim_mm))
        assert all(a.intersection(b).area < 1e-6 for a, b in combinations(boxes(plate, brim_mm + 1.0), 2))
        for place, body in zip(plate, boxes(plate), strict=True):
            assert body.area == pytest.approx(place.piece.size_mm[0] * place.piece.size_mm[1])
    placed = [place.piece.name for plate in plates for place in plate]
    assert sorted(placed + [each.name for each in left_out]) == sorted(each.name for each in pieces)
    long, short = max(bed.x_mm, bed.y_mm) - 2 * brim_mm, min(bed.x_mm, bed.y_mm) - 2 * brim_mm
    for each in left_out:
        assert max(each.size_mm[:2]) > long - 0.1 or min(each.size_mm[:2]) > short - 0.1


def test_a_full_bed_needs_one_plate_and_one_more_needs_two():
    """Twelve of 49 × 67 mm with 3 mm of brim and 2 between fill a bed of 226 × 223: 4 × (49 + 8) by 3 × (67 + 8)."""
    bed = Bed(4 * 57 - 2.0, 3 * 75 - 2.0, 3.0, 2.0)
    twelve = [piece(f"p{number}", 49.0, 67.0, 20.0) for number in range(12)]

    assert len(pack(twelve, bed)[0]) == 1
    assert len(pack([*twelve, piece("one more", 49.0, 67.0, 20.0)], bed)[0]) == 2


def test_a_piece_is_turned_where_only_that_fits():
    """150 × 90 stands on a bed of 100 × 160 across."""
    ((place,),) = pack([piece("long", 150.0, 90.0, 5.0)], Bed(100.0, 160.0, 3.0, 2.0))[0]

    assert place.turned
    assert place.box_mm == (3.0, 3.0, 93.0, 153.0)


def test_plates_are_near_the_bound_of_their_area():
    """Two hundred bracket-sized parts take at most a quarter more plates than their area alone would."""
    rng = np.random.default_rng(3)
    pieces = [piece(f"p{n}", *rng.uniform((25, 30, 3), (45, 45, 60))) for n in range(200)]

    plates, _ = pack(pieces, BED)

    area = sum((each.size_mm[0] + 8) * (each.size_mm[1] + 8) for each in pieces)
    assert len(plates) <= math.ceil(1.25 * area / 222**2)


def test_the_tallest_stand_together():
    """Ten towers and ten tiles of one footprint, ten a plate: no plate mixes them, whatever their order."""
    towers = [piece(f"tower-{number}", 40.0, 95.0, 60.0) for number in range(10)]
    tiles = [piece(f"tile-{number}", 40.0, 95.0, 4.0) for number in range(10)]
    mixed = [each for pair in zip(tiles, towers, strict=True) for each in pair]

    plates, _ = pack(mixed, Bed(5 * 48 - 2.0, 2 * 103 - 2.0, 3.0, 2.0))

    assert [{place.piece.size_mm[2] for place in plate} for plate in plates] == [{60.0}, {4.0}]


def test_the_order_of_the_pieces_does_not_matter():
    """Backwards the plates are the same."""
    rng = np.random.default_rng(4)
    pieces = [piece(f"p{n}", *rng.uniform((10, 10, 3), (90, 60, 60))) for n in range(40)]

    assert pack(pieces, BED) == pack(pieces[::-1], BED)


def test_the_rules_are_seen_to_be_broken():
    """Brims 0.1 mm too near, and one over the edge by 0.1, are each named; just right is not."""
    a, b = piece("a", 20.0, 20.0, 5.0), piece("b", 20.0, 20.0, 5.0)
    good = (Place(a, 3.0, 3.0, False), Place(b, 31.0, 3.0, False))

    assert list(broken_rules(good, BED)) == []
    assert list(broken_rules((good[0], Place(b, 30.9, 3.0, False)), BED)) == ["a and b are 7.90 mm apart"]
    assert list(broken_rules((Place(a, 2.9, 3.0, False),), BED)) == ["a reaches past the bed"]
    assert list(broken_rules((Place(a, 3.0, 197.1, False),), BED)) == ["a reaches past the bed"]


@pytest.mark.solid
@pytest.mark.parametrize("turned", [False, True])
def test_an_object_stands_in_its_place(turned):
    """The mesh moved as the object says fills the place's box, lowest on the bed, to the mesh's tolerance."""
    mesh = kept().meshes[0]
    place = Place(Piece("a", "a", "", mesh.size_mm), 30.0, 50.0, turned)

    moved = apply(placed_object(place, mesh).print_to_plate, mesh.vertices_mm)

    assert np.array([*moved.min(axis=0)[:2], *moved.max(axis=0)[:2]]) == pytest.approx(place.box_mm, abs=0.06)
    assert moved[:, 2].min() == 0.0
