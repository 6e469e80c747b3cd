"""Places on a board: gaps of hand-placed boxes, and a footprint that holds the mount it is of."""

import math

import numpy as np
import pytest
from made import kept
from plain import FACE_X, SHAFT_Z, bracket, mesh, with_plan, with_spec
from plain import box as solid

from mounts import scene
from mounts.checks.neighbours import Outline, Standing, check_sites, outlines
from mounts.design import Backing, DropIn
from mounts.frames import apply
from mounts.inputs.layout import BoardTable, Framing, Site
from mounts.mesh import PartMesh
from mounts.scene_kinds import wiring

EYE = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))

SHEET = PartMesh("sheet", np.array([(0.0, 0, 0), (1, 0, 0), (1, 0, 9)]), np.array([(0, 1, 2)]), EYE, 1.0, (1, 0, 9), 0)
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


@pytest.mark.parametrize("heading", [0.0, 60.0, 200.0])
def test_the_advice_clears_the_neighbour(heading):
    """Moved along its track as the message says, 14 mm from 8 to 22, the mount passes, wherever both head."""
    c, s = math.cos(math.radians(heading)), math.sin(math.radians(heading))

    def moved(x):
        other = box("b", x * c - 3 * s, x * s + 3 * c, heading=heading)
        return rows(box("a", 0, 0, heading=heading), other)["b", "neighbour"]

    move = float(moved(8).message.split("move it ")[1].split(" mm")[0])
    assert "on along its track" in moved(8).message
    assert move == pytest.approx(14.0, abs=0.101)
    assert moved(8 + move).verdict == "pass"
    assert moved(8 + move - 0.2).verdict == "fail"


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


@pytest.mark.parametrize(
    ("x", "verdict", "value"),
    [(12.0, "pass", 2.0), (11.9, "fail", 1.9), (10.5, "fail", 0.5), (10.0, "fail", 0.0), (6.0, "fail", -4.0)],
)
def test_the_boards_edge_just_clear_and_just_not(x, verdict, value):
    """A box of 20 mm whose pin is x from the edge stands x − 10 inside it; 2 mm are asked."""
    board = {"main": BoardTable(board=18, outline=((0, 0), (300, 0), (300, 200), (0, 200)))}

    found = rows(box("a", x, 100), boards=board)["a", "board-edge"]

    assert (found.verdict, found.value) == (verdict, pytest.approx(value))
    assert found.message.startswith(f"{abs(value):g} mm {'inside' if value >= 0 else 'past'} the edge of the board")


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


def _bounds(outline: Outline) -> list[float]:
    corners = np.array(outline.corners)
    return [*corners.min(axis=0), *corners.max(axis=0), *outline.z_mm]


def test_an_outline_is_that_of_the_part_in_its_place() -> None:
    """A cuboid that is printed on its side and aside: 7 along the track, 5 across, 3 high; its four corners, in order,
    none twice."""
    way = ((0.0, 0.0, 1.0, 7.0), (1.0, 0.0, 0.0, -3.0), (0.0, 1.0, 0.0, 11.0), (0.0, 0.0, 0.0, 1.0))
    part = mesh(solid((0, 0, 0), (5, 3, 7)), name="cube", print_to_mount=way)

    first, servo = outlines(bracket(), (part,))
    assert (first.body, servo.body) == ("cube", "servo")
    assert _bounds(first) == pytest.approx([7.0, -3.0, 14.0, 2.0, 11.0, 14.0])
    assert len(set(first.corners)) == len(first.corners) == 4


@pytest.mark.parametrize(("cut", "reach"), [(None, 17.0), (12.0, 12.0)])
def test_the_servos_outline_is_case_ears_and_arm_over_its_swing(cut: float | None, reach: float) -> None:
    """Of a 9 g servo on its side: case 15.75 mm behind the ears' face to the arm's outer one 15.4 before it, ears 4.8
    mm past either end, 12.2 mm high; the arm stands up by its reach at mid swing, cut off or not, and turns by 24.05°;
    its wire besides."""
    design = with_plan(bracket(), arm_length_mm=cut)
    swing = math.radians(design.drive.swing_deg)

    (servo,) = outlines(design, ())
    own = np.array([(FACE_X - 15.75, -6.05 - 4.8, SHAFT_Z - 6.1), (FACE_X + 15.4, 16.55 + 4.8, SHAFT_Z + reach)])
    all_points = np.vstack([own, wiring(design).stands_out(design)])
    low, high = all_points.min(axis=0), all_points.max(axis=0)
    assert _bounds(servo) == pytest.approx([*low[:2], *high[:2], low[2], high[2]], abs=0.11)
    longer = with_spec(design, "servo", horn_length_mm=60.0)
    wide = _bounds(outlines(with_plan(longer, arm_length_mm=cut and 60.0), ())[0])
    assert wide[4:] == pytest.approx([SHAFT_Z - 6.1, SHAFT_Z + 60.0])
    assert (wide[1], wide[3]) == pytest.approx((-60 * math.sin(swing), 60 * math.sin(swing)))
    assert (wide[0], wide[2]) == pytest.approx((FACE_X - 15.75, max(FACE_X + 15.4, high[0])), abs=0.11)
    corners = {round(x, 1) for x, y in outlines(with_plan(longer, arm_length_mm=None), ())[0].corners if y < -20}
    assert corners == {round(FACE_X + 15.4, 1), round(FACE_X + 13.8, 1)}  # as thick as the arm, 1.6 mm


def test_a_case_without_a_high_arm_is_as_high_as_its_boss() -> None:
    """10.95 mm over the ears' face, where the arm's plane is lower."""
    design = with_spec(bracket(), "servo", horn_plane_height_mm=5.0, horn_length_mm=5.0)

    (servo,) = outlines(design, ())
    assert _bounds(servo)[2] == pytest.approx(FACE_X + 10.95, abs=0.11)


def test_plywood_for_the_screws_is_part_of_a_mounts_outline() -> None:
    """A pad under 12 mm of board, counted as board; strips on its underside, or a frame let into its top."""
    pad = with_spec(with_plan(bracket(), pad_xy=((-9, -8), (7, -8), (7, 6), (-9, 6))), pad_mm=6.5)
    piece = ((-20, -30), (-10, -30), (-10, 30), (-20, 30))

    assert _bounds(outlines(pad, ())[0]) == [-9, -8, 7, 6, -12.0, -5.5]
    for let_in, heights in ((False, [-12.0, -3.0]), (True, [-9.0, 0.0])):
        backing = Backing(let_in=let_in, thick_mm=9.0, pieces=(piece, tuple((x + 40, y) for x, y in piece)))
        down = with_plan(bracket(), drop_in=DropIn.model_construct(backing=backing))
        one, other, _ = outlines(down, ())
        assert _bounds(one) == [-20, -30, -10, 30, *heights]
        assert _bounds(other) == [20, -30, 30, 30, *heights]
    assert len(outlines(with_plan(bracket(), drop_in=DropIn.model_construct(backing=None)), ())) == 1


def test_what_has_no_area_from_above_is_no_body() -> None:
    """A sheet that stands on its edge."""
    with pytest.raises(TypeError, match="sheet: a body has an area from above"):
        outlines(bracket(), (SHEET,))


@pytest.mark.parametrize(("shared", "there"), [(0.0, False), (0.009, False), (0.011, True), (0.9, True)])
def test_bodies_that_share_no_height_pass_one_another(shared: float, there: bool) -> None:
    """To a hundredth of a millimetre."""
    assert bool(rows(box("a", 0, 0), box("b", 5, 0, z=(-18 - shared, 40)))) == there
