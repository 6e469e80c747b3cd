"""Places on a board: gaps of hand-placed boxes, and a footprint that holds the mount it is of."""

import numpy as np
import pytest
from made import kept

from mounts import scene
from mounts.checks.neighbours import Outline, Standing, check_sites, outlines
from mounts.frames import apply
from mounts.inputs.layout import BoardTable, Framing, Site

BOARD = {"main": BoardTable(board=18)}


def box(mount_id: str, x: float, y: float, *, heading: float = 0.0, z: tuple[float, float] = (-50, -18), board="main"):
    """A mount of 20 × 10 mm along the track, its pin in the middle."""
    corners = ((-10.0, -5.0), (10.0, -5.0), (10.0, 5.0), (-10.0, 5.0))
    return Standing(mount_id, Site(board, x, y, heading), (Outline(body="", z_mm=z, corners=corners),), 18.0)


def rows(*mounts: Standing, boards=None):
    """Check rows by mount and name."""
    found = check_sites(mounts, boards or BOARD)
    return {(mount_id, check.name): check for mount_id, checks in found.items() for check in checks}


@pytest.mark.parametrize(("apart", "verdict"), [(22.01, "pass"), (21.99, "fail"), (15.0, "fail")])
def test_neighbours_just_clear_and_just_not(apart, verdict):
    """Two boxes of 20 mm in a row, 2 mm asked: 22.01 mm from pin to pin passes, 21.99 does not."""
    found = rows(box("a", 0, 0), box("b", apart, 0))

    assert {check.verdict for check in found.values()} == {verdict}
    assert found["a", "neighbour"].value == pytest.approx(max(apart - 20, 0), abs=1e-3)
    assert "'b'" in found["a", "neighbour"].message


def test_a_heading_turns_the_mount():
    """Turned by 90° the box is 10 mm along x: a gap of 15 − 10/2 − 20/2 = 0 side by side, 5 turned both."""
    assert rows(box("a", 0, 0), box("b", 15, 0, heading=90))["a", "neighbour"].value == 0.0
    assert rows(box("a", 0, 0, heading=90), box("b", 15, 0, heading=90))["a", "neighbour"].value == pytest.approx(5.0)


@pytest.mark.parametrize(("x", "y", "gap"), [(22, 0, 7.0), (-22, 0, 7.0), (0, 22, 7.0), (0, -22, 7.0)])
def test_a_mount_turns_about_its_pin(x, y, gap):
    """Across it stays as near to one side as to the other: 22 − 10 − 5 along the other's track, 22 − 5 − 10 beside."""
    assert rows(box("a", 0, 0), box("b", x, y, heading=90))["a", "neighbour"].value == pytest.approx(gap)


def test_a_long_mount_is_near_where_it_reaches_not_where_its_pin_is():
    """Of a long one whose pin is far and a small one whose pin is near the nearer in truth is told, either way."""
    long = tuple((x, y) for x, y in ((-100.0, -5.0), (100.0, -5.0), (100.0, 5.0), (-100.0, 5.0)))

    def beside(x, heading):
        return Standing("long", Site("main", x, 0, heading), (Outline(body="", z_mm=(-50, -18), corners=long),), 18.0)

    ends_near = rows(box("a", 0, 0), box("b", 40, 0), beside(115, 0))["a", "neighbour"]
    assert (ends_near.value, "'long'" in ends_near.message) == (pytest.approx(5.0), True)
    across = rows(box("a", 0, 0), box("b", -50, 0), beside(60, 90))["a", "neighbour"]
    assert (across.value, "'b'" in across.message) == (pytest.approx(30.0), True)


def test_a_corner_gap_is_the_distance_of_the_corners():
    """Boxes offset by (23, 14): gap √(3² + 4²) = 5."""
    assert rows(box("a", 0, 0), box("b", 23, 14))["b", "neighbour"].value == pytest.approx(5.0)


def test_the_advice_clears_the_neighbour():
    """Moved along its track as the message says, the mount passes."""
    found = rows(box("a", 0, 0), box("b", 8, 3))["b", "neighbour"]

    move = float(found.message.split("move it ")[1].split(" mm")[0])
    assert "on along its track" in found.message
    assert rows(box("a", 0, 0), box("b", 8 + move, 3))["b", "neighbour"].verdict == "pass"
    assert rows(box("a", 0, 0), box("b", 8 + move - 0.2, 3))["b", "neighbour"].verdict == "fail"


def test_what_is_said_tells_the_side():
    """The shorter way out, on or back along the track, of what overlaps and of what is short of 2 mm."""
    found = rows(box("a", 0, 0), box("b", 8, 0))
    assert found["a", "neighbour"].message.startswith("overlaps 'b'; move it 14.")
    assert "mm back along its track, at least 2 mm are needed" in found["a", "neighbour"].message
    assert "mm on along its track" in found["b", "neighbour"].message
    assert rows(box("a", 0, 0), box("b", 20.5, 0))["a", "neighbour"].message.startswith("0.5 mm to 'b'; move it 1.")
    turned = rows(box("a", 0, 0, heading=180), box("b", 8, 0))["a", "neighbour"]
    assert "mm on along its track" in turned.message


def _on_board(x: float):
    """The box at x on a board that begins at 0 and ends far off."""
    outline = ((0, 0), (300, 0), (300, 200), (0, 200))
    return rows(box("a", x, 100), boards={"main": BoardTable(board=18, outline=outline)})["a", "board-edge"]


def _advice(check) -> tuple[float, float]:
    """Distance and move in a message."""
    return float(check.message.split(" mm")[0]), float(check.message.split("move it ")[1].split(" mm")[0])


@pytest.mark.parametrize("short", [0.0004, 0.004, 0.0499, 0.1, 0.1004, 0.949, 1.96])
def test_what_is_short_by_a_hair_is_told_short_and_the_advice_is_enough(short):
    """The distance told is below the limit of 2, the move told is whole tenths, not 0, and with it the mount passes."""
    for check in (_on_board(12 - short), rows(box("a", 0, 0), box("b", 22 - short, 0))["b", "neighbour"]):
        told, move = _advice(check)
        assert check.verdict == "fail"
        assert told == check.value < 2
        assert told == pytest.approx(2 - short, abs=1e-3)
        assert short <= move + 1e-9 < short + 0.2
    assert _on_board(12 - short + _advice(_on_board(12 - short))[1]).verdict == "pass"
    found = rows(box("a", 0, 0), box("b", 22 - short, 0))["b", "neighbour"]
    assert rows(box("a", 0, 0), box("b", 22 - short + _advice(found)[1], 0))["b", "neighbour"].verdict == "pass"


def test_what_passes_above_or_stands_on_another_board_is_no_neighbour():
    """A housing on the board clears a bracket below it; a mount elsewhere is not asked."""
    assert rows(box("a", 0, 0), box("b", 5, 0, z=(0, 40))) == {}
    assert rows(box("a", 0, 0), box("b", 5, 0, board="other"), boards={**BOARD, "other": BOARD["main"]}) == {}


def test_the_nearest_of_many_is_found():
    """Of 40 boxes strewn over a board each finds the neighbour that a search of all pairs finds."""
    rng = np.random.default_rng(5)
    mounts = [box(f"m{n}", *rng.uniform(0, 900, 2), heading=float(rng.uniform(0, 360))) for n in range(40)]

    found = rows(*mounts)

    for mount in mounts:
        alone = [rows(mount, other)[mount.id, "neighbour"].value for other in mounts if other is not mount]
        assert found[mount.id, "neighbour"].value == min(alone)


def _board(**more):
    rail = Framing(name="rail", start=(0, 30), end=(100, 30), width=18, depth=more.pop("depth", 70))
    return {"main": BoardTable(board=18, framing=(rail,), **more)}


@pytest.mark.parametrize(("y", "verdict"), [(14.99, "pass"), (15.01, "fail")])
def test_framing_just_clear_and_just_not(y, verdict):
    """A rail from y = 21 on, a box reaching y + 5, 1 mm asked: clear up to y = 15."""
    assert rows(box("a", 50, y), boards=_board())["a", "framing"].verdict == verdict


def test_the_nearest_of_two_beams_is_told():
    """One 1.5 mm from the box on its upper side, one 0.5 mm below it; and a beam counts as deep as it hangs."""

    def beam(name, y):
        return Framing(name=name, start=(0, y), end=(100, y), width=10, depth=70)

    board = {"main": BoardTable(board=18, framing=(beam("a far one", 41.5), beam("the near one", 19.5)))}
    found = rows(box("a", 50, 30), boards=board)["a", "framing"]
    assert (found.value, found.verdict) == (0.5, "fail")
    assert found.message.startswith("0.5 mm to 'the near one'")
    assert rows(box("a", 50, 30, z=(-87, -60)), boards=board)["a", "framing"].value == 0.5
    assert rows(box("a", 50, 30, z=(-99, -88)), boards=board) == {}


def test_framing_counts_only_under_the_board_and_as_deep_as_it_hangs():
    """A housing on top clears a rail; so does a mount that hangs lower than a shallow strip reaches."""
    assert rows(box("a", 50, 30, z=(0, 40)), boards=_board()) == {}
    assert rows(box("a", 50, 30, z=(-60, -40)), boards=_board(depth=20)) == {}


@pytest.mark.parametrize(("x", "verdict", "value"), [(12.0, "pass", 2.0), (11.9, "fail", 1.9), (6.0, "fail", -4.0)])
def test_the_boards_edge_just_clear_and_just_not(x, verdict, value):
    """A box of 20 mm whose pin is x from the edge stands x − 10 inside it; 2 mm are asked."""
    board = {"main": BoardTable(board=18, outline=((0, 0), (300, 0), (300, 200), (0, 200)))}

    found = rows(box("a", x, 100), boards=board)["a", "board-edge"]

    assert (found.verdict, found.value) == (verdict, pytest.approx(value))
    assert found.message.startswith(f"{abs(value):g} mm {'inside' if value > 0 else 'past'} the edge of the board")


@pytest.mark.solid
@pytest.mark.parametrize("mirror", [False, True])
def test_a_footprint_holds_part_and_servo(mirror):
    """Every vertex of the part is inside its outline to 0.1 mm; servo and arm over the swing inside theirs."""
    from shapely import Point, Polygon

    mount = kept(mirror=mirror)
    part, servo = outlines(mount.design, mount.meshes)

    points = apply(mount.meshes[0].print_to_mount, mount.meshes[0].vertices_mm)
    around = Polygon(part.corners).buffer(0.11)
    assert all(around.contains(Point(x, y)) for x, y, _ in points)
    assert part.z_mm == (pytest.approx(points[:, 2].min()), pytest.approx(points[:, 2].max()))
    around = Polygon(servo.corners).buffer(0.11)
    body = np.array(scene.servo_body(mount.design).to_mesh().vert_properties)[:, :3]
    arm = [scene.horn_hole(mount.design, angle) for angle in scene.arm_angles_rad(mount.design)]
    for x, y, z in [*body, *arm]:
        assert around.contains(Point(x, y))
        assert servo.z_mm[0] - 0.01 <= z <= servo.z_mm[1] + 0.01
