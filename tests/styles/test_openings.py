"""Doors and windows by hand in N, 1:160, of a 0.4 mm nozzle: how large, on which storey, and what is left out."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from requests_for_drives import request

from mounts.styles._openings import Opening, edge_mm, openings_on, panes, room_for_door_mm

PROUD_MM = 0.3
EDGE_MM = 2 * 0.4 + PROUD_MM  # a frame of two lines and its flank
DOOR, WINDOW, SILL, STOREY = (5.0, 12.5), (5.625, 6.25), 6.25, 16.875  # 0.8 × 2.0, 0.9 × 1.0, 1.0 and 2.7 m
SPEC = request(scale="N")


def found(side, kind, columns, *, long=20.0, top_z=40.0, slot=((-3.0, 3.0), 5.0)):
    """Openings of one wall that is so long, and what is said of those left out."""
    walls = SimpleNamespace(along=lambda _: (-long / 2, long / 2), wall_mm=1.2)
    plan = SimpleNamespace(slot_x=slot[0], slot_top_z=slot[1], cable_x=None)
    return openings_on(SPEC, plan, walls, {side: (kind, columns)}, top_z=top_z, proud_mm=PROUD_MM)


def test_windows_stand_over_each_other_on_every_storey_that_has_room():
    """A metre over each floor, in the middle; of the third only what is below the eaves less a frame, if half a metre
    at least."""
    (low, high), left = found("+x", "window", 1)
    assert (low.along, low.up) == (pytest.approx((-WINDOW[0] / 2, WINDOW[0] / 2)), pytest.approx((SILL, SILL + 6.25)))
    assert high.up == pytest.approx((SILL + STOREY, SILL + STOREY + 6.25))
    assert left == ()
    third = SILL + 2 * STOREY
    assert len(found("+x", "window", 1, top_z=third + 3.125 + EDGE_MM - 0.01)[0]) == 2
    three, _ = found("+x", "window", 1, top_z=third + 3.2 + EDGE_MM)
    assert three[2].up == pytest.approx((third, third + 3.2))


def test_a_door_stands_in_the_middle_column_with_windows_over_and_beside_it():
    """Three columns of a third of the wall each: a door on the ground in the middle one, windows everywhere else; of
    five the third."""
    openings, _ = found("+x", "door", 3, long=60.0)

    (door,) = (one for one in openings if one.kind == "door")
    assert (door.along, door.up) == (pytest.approx((-2.5, 2.5)), pytest.approx((0.0, 12.5)))
    middles = sorted({round(sum(one.along) / 2, 6) for one in openings})
    assert middles == pytest.approx([-20.0, 0.0, 20.0])
    assert sorted(one.up[0] for one in openings if abs(sum(one.along)) < 1e-6) == pytest.approx([0.0, SILL + STOREY])
    assert len(openings) == 2 + 2 + 2
    (door,) = (one for one in found("+x", "door", 5, long=100.0)[0] if one.kind == "door")
    assert sum(door.along) == pytest.approx(0.0)


def test_windows_of_one_wall_that_are_left_out_are_told_once():
    """Three of them, under eaves below their sills."""
    openings, left = found("+x", "window", 3, long=60.0, top_z=SILL + 3.05)

    assert (openings, len(left)) == ((), 1)


def test_of_a_door_that_is_left_out_it_is_said_of_the_door():
    """Between two windows that are left out as well: too low for either by half a millimetre and more."""
    openings, left = found("+x", "door", 3, long=60.0, top_z=SILL + 3.05)

    assert openings == ()
    assert left == ("no door in the wall at +x: its top would be at 12.5 mm, the wall has room to 8.2",)


@pytest.mark.parametrize(("long", "wide"), [(8.6, 4.0), (7.2, 2.6), (6.9, None), (14.0, 5.625)])
def test_a_narrow_wall_has_a_narrow_window_or_none(long, wide):
    """As wide as what is left between frames and corners, 0.4 m (2.5 mm) at least."""
    openings, left = found("+x", "window", 1, long=long, top_z=20.0)

    if wide is None:
        assert openings == ()
        assert left == ("no window in the wall at +x: it is 2.5 mm wide, there is room for 2.3",)
    else:
        assert openings[0].along == pytest.approx((-wide / 2, wide / 2))


@pytest.mark.parametrize(("gap", "there"), [(2 * EDGE_MM + 0.01, True), (2 * EDGE_MM - 0.01, False)])
def test_nothing_is_put_into_the_opening_for_the_rod(gap, there):
    """Both frames beside each other are needed between a door and the rod's opening, either side; windows over it need
    as much in height."""
    for slot in ((2.5 + gap, 12.0), (-12.0, -2.5 - gap)):
        openings, left = found("-y", "door", 1, slot=(slot, 5.0))
        assert any(one.kind == "door" for one in openings) == there
        assert (left == ()) == there
    openings, _ = found("-y", "window", 1, slot=((-3.0, 3.0), SILL - gap))
    assert (len(openings) == 2) == there


def test_a_door_wants_its_height_and_a_frame():
    """What is told makes the door, a tenth and a hair less does not."""
    high = room_for_door_mm(SPEC, PROUD_MM)
    assert edge_mm(SPEC, PROUD_MM) == pytest.approx(EDGE_MM)
    assert high == pytest.approx(12.5 + EDGE_MM + 0.1)
    assert [one.kind for one in found("+x", "door", 1, top_z=high)[0]] == ["door"]
    openings, left = found("+x", "door", 1, top_z=high - 0.11)
    assert openings == ()
    assert left == ("no door in the wall at +x: its top would be at 12.5 mm, the wall has room to 12.5",)


@pytest.mark.parametrize(
    ("kind", "wide", "high", "count"),
    [("window", 3.21, 4.41, (2, 2)), ("window", 3.19, 4.41, (1, 2)), ("window", 3.21, 4.39, (2, 1)),
     ("door", 9.0, 12.5, (1, 1))],
)  # fmt: skip
def test_panes_are_two_by_two_where_each_is_three_lines(kind, wide, high, count):
    """Bars of two lines between panes of at least three, flanks of sill and lintel taken off; together the opening."""
    made = panes(Opening("+x", kind, (1.0, 1.0 + wide), (6.0, 6.0 + high)), SPEC, depth_mm=0.3)

    across, up = (sorted({pane[n] for pane in made}) for n in (0, 1))
    assert (len(across), len(up), len(made)) == (*count, count[0] * count[1])
    for spans, start, length in ((across, 1.0, wide), (up, 6.0, high)):
        assert (spans[0][0], spans[-1][1]) == pytest.approx((start, start + length))
        assert len({round(b - a, 6) for a, b in spans}) == 1
        if len(spans) == 2:
            assert spans[1][0] - spans[0][1] == pytest.approx(0.8)


def test_a_glazing_bar_is_of_the_scale_where_it_prints():
    """5 cm, 1.11 mm at 1:45, of two lines no more than 0.8."""
    spec = request(scale="O")
    made = panes(Opening("+x", "window", (0.0, 20.0), (6.0, 28.0)), spec, depth_mm=0.3)

    (low, high) = sorted({pane[0] for pane in made})
    assert high[0] - low[1] == pytest.approx(50.0 / spec.scale.ratio)
    assert spec.scale.ratio < 50.0


@pytest.mark.parametrize(("columns", "room"), [(1, 7.5 - 2 * (EDGE_MM + 1.2)), (2, 7.5 - 2 * 1.2), (3, 7.5 - 2 * 1.2)])
def test_between_two_columns_stands_a_corner_that_carries(columns, room):
    """Three lines or a frame on either side of an opening in 7.5 mm; of a single one a frame beside the other walls."""
    openings, _ = found("+x", "window", columns, long=7.5 * columns, top_z=20.0)

    for one in openings:
        assert one.along[1] - one.along[0] == pytest.approx(room)
