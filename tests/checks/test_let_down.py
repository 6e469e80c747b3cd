"""What is let down through its cut-out, and what stands against its mirror image: by blocks drawn by hand."""

from __future__ import annotations

from typing import Any

import manifold3d as m3
import numpy as np
import pytest
from plain import box, bracket, designed, mesh, with_drive, with_plan, with_servo, with_spec

from mounts import scene
from mounts.checks.let_down import check_let_down
from mounts.checks.model import Check
from mounts.checks.partner import check_partner
from mounts.design import Backing, CutOut, Design

SMALL = box((0, 0, -3), (1, 1, -2))  # of the print nothing else is asked


def dropped(**plan: Any) -> Design:
    """Its servo on its side, ears from y −15.64 to 16.56, the stub of its cable to −15.84; case from x −31.55."""
    return with_plan(designed(style="drop-in", travel="4 mm").design, **plan)


def cut_out(x0: float, y0: float, x1: float, y1: float) -> CutOut:
    return CutOut(outline=((x0, y0), (x1, y0), (x1, y1), (x0, y1)), depth_mm=12.0, through=True)


def rows(design: Design, *bodies: m3.Manifold) -> dict[str, Check]:
    return {row.name: row for row in check_let_down(design, (mesh(*bodies or (SMALL,)),))}


@pytest.fixture
def still(monkeypatch: pytest.MonkeyPatch) -> None:
    """Arm and rod left out, which are most of the pieces, where nothing is asked of them."""
    monkeypatch.setattr(scene, "arm_angles_rad", lambda design: ())


@pytest.fixture
def ends(monkeypatch: pytest.MonkeyPatch) -> None:
    """Both ends of the swing and its middle, where the outermost is at one of them: a quarter of the pieces."""
    every = scene.arm_angles_rad
    monkeypatch.setattr(scene, "arm_angles_rad", lambda design, count=3: every(design, count))


@pytest.mark.usefixtures("still")
@pytest.mark.parametrize(("air", "verdict"), [(0.55, "pass"), (0.45, "fail")])
@pytest.mark.parametrize("z", [(-90.0, -80.0), (-1.0, 2.0)])
def test_what_hangs_keeps_half_a_millimetre_from_every_edge(z: tuple[float, float], air: float, verdict: str) -> None:
    """Deep down or just below the flange, at each of the four sides of a hole from −36 to 19 and −20 to 21."""
    design = dropped(board_cut_out=cut_out(-36, -20, 19, 21))
    for x, y in ((-36 + air, 3.0), (18 - air, 3.0), (3.0, -20 + air), (3.0, 20 - air)):
        row = rows(design, box((x, y, z[0]), (x + 1, y + 1, z[1])))["way-down"]
        assert (row.value, row.verdict) == (pytest.approx(air, abs=1e-3), verdict)


@pytest.mark.usefixtures("still")
@pytest.mark.parametrize("x", [(18.5, 22.0), (25.0, 30.0)])
def test_what_hangs_over_the_edge_or_all_beside_the_cut_out_does_not_pass(x: tuple[float, float]) -> None:
    """A block under the flange at the hole's edge, x = 19, and one 6 mm beyond it: no air at either."""
    row = rows(dropped(board_cut_out=cut_out(-36, -20, 19, 21)), box((x[0], 0.0, -9.0), (x[1], 5.0, -1.0)))["way-down"]

    assert (row.value, row.verdict) == (0.0, "fail")


@pytest.mark.usefixtures("still")
def test_what_lies_on_the_board_may_be_wider() -> None:
    """The flange, down to a thousandth; a hundredth lower it would not go in."""
    design = dropped()
    for low, verdict in ((0.0, "pass"), (-0.0005, "pass"), (-0.01, "fail")):
        assert rows(design, box((-60, -60, low), (60, 60, 2.0)))["way-down"].verdict == verdict


@pytest.mark.usefixtures("still")
@pytest.mark.parametrize(("air", "verdict"), [(0.55, "pass"), (0.45, "fail")])
def test_servo_cable_and_plug_hang_as_well(air: float, verdict: str) -> None:
    """Each with an edge of the hole so far from it, the others far: case, stub, ears, and a plug 12 mm thick."""
    design = dropped()
    thick = with_servo(design, connector_thickness_mm=12.0)
    for one, edges in (
        (design, (-31.55 - air, -60, 60, 60)), (design, (-60, -15.84 - air, 60, 60)),
        (design, (-60, -60, 60, 16.56 + air)), (thick, (-60, -12.641 - 6.0 - air, 60, 60)),
    ):  # fmt: skip
        row = rows(with_plan(one, board_cut_out=cut_out(*edges)))["way-down"]
        assert (row.value, row.verdict) == (pytest.approx(air, abs=0.02), verdict), edges


@pytest.mark.usefixtures("ends")
@pytest.mark.parametrize(("what", "air", "verdict"), [("rod", 0.55, "pass"), ("arm", 0.45, "fail")])
def test_rod_and_arm_hang_at_any_angle_of_the_swing(what: str, air: float, verdict: str) -> None:
    """The rod's spring bend stands out along the track; an arm of 30 mm from a shaft at y = −4.791 reaches 25.2."""
    design = dropped()
    angles = [float(theta) for theta in scene.arm_angles_rad(design)]
    wires = np.concatenate([path for theta in angles for path in scene.wire_paths(design, theta)])
    rod_x = wires[wires[:, 2] < 0][:, 0].max() + design.drive.wire_mm / 2
    one, edges = {
        "rod": (design, (-60, -60, rod_x + air, 60)),
        "arm": (with_servo(design, horn_length_mm=30.0), (-60, -60, 60, -4.791 + 30.0 + air)),
    }[what]

    row = rows(with_plan(one, board_cut_out=cut_out(*edges)))["way-down"]
    assert (row.value, row.verdict) == (pytest.approx(air, abs=0.02), verdict)


@pytest.mark.usefixtures("still")
@pytest.mark.parametrize(("room", "verdict"), [(2.05, "pass"), (1.95, "fail")])
def test_strips_go_in_on_end_with_fingers_round_them(room: float, verdict: str) -> None:
    """2 mm (common practice, no source) between the narrower side of the hole, 40 mm, and that of a strip; a frame that
    is let in from above has no such way."""
    wide = 40.0 - room
    holes = cut_out(-36, -20, 19, 20), cut_out(-36, -40, 4, 21)
    for (x, y), hole, let_in in zip(
        ((wide, 70.0), (70.0, wide), (wide, 70.0)), (*holes, holes[0]), (0, 0, 1), strict=True
    ):
        piece = ((0.0, 0.0), (x, 0.0), (x, y), (0.0, y))
        backing = Backing(let_in=bool(let_in), thick_mm=9.0, pieces=(piece, piece))
        down = dropped().plan.drop_in.model_copy(update={"backing": backing})
        row = rows(dropped(drop_in=down, board_cut_out=hole)).get("strips-in")
        if let_in:
            assert row is None
            continue
        assert (row.value, row.verdict) == (pytest.approx(room), verdict)
        assert f"the {wide:.0f} mm strips" in row.message or verdict == "fail"


@pytest.mark.usefixtures("still")
@pytest.mark.parametrize(("sag", "verdict"), [(0.198, "pass"), (0.202, "fail")])
def test_a_flange_gives_a_fifth_of_a_millimetre_at_most(sag: float, verdict: str) -> None:
    """Under the servo's stall, 156.9 N·mm on the arm's hole at 5 mm."""
    down = dropped().plan.drop_in.model_copy(update={"flange_n_per_mm": 156.9 / 5.0 / sag})

    row = rows(dropped(drop_in=down))["flange-gives"]
    assert (row.value, row.verdict) == (pytest.approx(sag), verdict)
    assert "31 N" in row.message or verdict == "fail"


def test_nothing_is_said_of_what_is_not_let_down() -> None:
    """No cut-out, or no drop-in."""
    assert not list(check_let_down(dropped(board_cut_out=None), (mesh(SMALL),)))
    assert not list(check_let_down(dropped(drop_in=None), (mesh(SMALL),)))
    assert not list(check_partner(bracket(), (mesh(SMALL),)))


def beside(apart_mm: float, *bodies: m3.Manifold, design: Design | None = None) -> Check:
    """The plain parts of a bracket that keeps to y < 4.5, its mirror image so far off."""
    one = design or designed(style="lift-bracket", travel="4 mm", set={"beside_mm": 9.0}).design
    (row,) = check_partner(with_plan(one, partner_mm=apart_mm), (mesh(*bodies or (SMALL,)),))
    return row


@pytest.mark.usefixtures("still")
@pytest.mark.parametrize(
    ("what", "gap", "verdict"),
    [("print", 1.55, "pass"), ("print", 1.45, "fail"), ("screw", 1.55, "pass"), ("screw", 1.45, "fail")],
)
def test_two_mounts_keep_1_5_mm_between_them(what: str, gap: float, verdict: str) -> None:
    """Half of it either side of the middle: the print; the head of a screw. Farther than 3 mm is not told apart."""
    near = designed(style="lift-bracket", travel="4 mm", set={"beside_mm": 9.0}).design
    first = near.plan.screws[0]
    screws = (first.model_copy(update={"head": (10.5, 9.0, -15.5)}), *near.plan.screws[1:])
    design, reach, body = {
        "print": (near, 7.0, box((30, -5, -60), (33, 7.0, -50))),
        "screw": (with_plan(near, screws=screws), 9.0 + 2.8, SMALL),
    }[what]

    row = beside(2 * reach + gap, body, design=design)
    assert (row.value, row.verdict) == (pytest.approx(gap, abs=0.03), verdict)


@pytest.mark.usefixtures("still")
@pytest.mark.parametrize(("gap", "verdict"), [(1.55, "pass"), (1.45, "fail")])
def test_a_screwdriver_clears_the_other_mount(gap: float, verdict: str) -> None:
    """5 mm thick under a head of 4 mm at y = 3.8, against a post of the other one that reaches as far as it may."""
    near = designed(style="lift-bracket", travel="4 mm", set={"beside_mm": 9.0}).design
    first = near.plan.screws[0]
    screws = (first.model_copy(update={"head": (10.5, 3.8, -15.5)}), *near.plan.screws[1:])
    design = with_spec(with_plan(near, screws=screws), "fixing", head_mm=4.0)
    reach = 14.0 - 3.8 - 2.5 - gap

    row = beside(14.0, box((5, -5, -60), (16, reach, -50)), design=design)
    assert (row.value, row.verdict) == (pytest.approx(gap, abs=0.01), verdict)
    assert "its mirror image 14 mm away" in row.message or verdict == "fail"


@pytest.mark.usefixtures("ends")
@pytest.mark.parametrize(("what", "gap", "verdict"), [("rod", 1.55, "pass"), ("arm", 1.45, "fail")])
def test_a_rod_and_an_arm_on_their_way_clear_the_other_mount(what: str, gap: float, verdict: str) -> None:
    """The wire where it stands out farthest over the swing, its own radius on; the arm at its length, 17 mm from a
    shaft at y = −8.887."""
    near = designed(style="lift-bracket", travel="4 mm", set={"beside_mm": 9.0}).design
    design, reach = with_plan(near, arm_length_mm=None), -8.887 + 17.0
    if what == "rod":
        design = with_drive(near, wire_mm=6.0)
        angles = [float(theta) for theta in scene.arm_angles_rad(design)]
        reach = 3.0 + max(path[:, 1].max() for theta in angles for path in scene.wire_paths(design, theta))

    row = beside(2 * reach + gap, design=design)
    assert (row.value, row.verdict) == (pytest.approx(gap, abs=0.1), verdict)
