"""Brackets built of a plan with round figures in the light kernel, against the same drawn by hand."""

from __future__ import annotations

from typing import Any

import light_kernel
import manifold3d as m3
import numpy as np
import pytest
from light_kernel import FLARE_MM, SINK_MM, along_x, along_y, block, drawn, level, square
from plain import designed, with_plan, with_spec

from mounts.frames import apply
from mounts.styles import _bracket_across, _bracket_down

HEAD_MM = 5.6
BORE_MM = 3.4 + 0.2  # of a 3 mm wood screw, and what closes up upright


@pytest.fixture(autouse=True)
def kernel(monkeypatch: pytest.MonkeyPatch) -> None:
    light_kernel.install(monkeypatch)


def fixed(request: dict[str, Any]) -> Any:
    """A design whose printer has a foot of 0.25 mm on the bed, and layers of 0.3 mm."""
    return with_spec(designed(**request).design, "printer", elephant_foot_mm=0.25, layer_mm=0.3)


def notch(tip: tuple[float, float], edge: list[tuple[float, float]], z: tuple[float, float]) -> m3.Manifold:
    return drawn(level(z[0]), [tip, *edge], z[1] - z[0])


ACROSS = {
    "board_face_z": -12.0, "plate_mm": 3.5, "plate_x": (-30.0, 5.0), "plate_y": (-15.0, 16.0), "pin_y": (-15.0, 16.0),
    "outline_xy": ((-30.0, -15.0), (5.0, -15.0), (5.0, 16.0), (-30.0, 16.0)), "pivot_z": -13.75, "slot_x_mm": 2.0,
    "slot_y_mm": 1.2, "land_mm": 1.0, "heads_xy": ((0.0, -10.0), (0.0, 10.0), (-25.0, -3.0), (-25.0, 5.0)),
    "wall_face_x": -10.0, "web_mm": 2.0, "wall_mm": 5.0, "wall_y": (-12.0, 14.0), "foot_y": (-11.0, 13.0),
    "thinned_z": -20.0, "boss_top_z": -30.0, "notch_y": (-6.0, 8.0), "inside_y": (-7.0, 9.0), "notch_top_z": -22.0,
    "wall_bottom_z": -45.0, "pilots_yz": ((-9.0, -38.0), (11.0, -38.0)), "pilot_mm": 2.0, "rib_mm": 1.5,
    "rib_reach_mm": 18.0, "knee_z": -25.0, "rib_drop_mm": 14.5, "mark_x": (-9.0, -4.0), "mark_y": (-14.0, 15.0),
    "second_y": None,
}  # fmt: skip


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize(
    ("figures", "holes"),
    [({}, 7), ({"second_y": -4.0}, 8), ({"pilot_mm": None}, 5), ({"thinned_z": -15.9}, 7), ({"thinned_z": -16.0}, 7)],
)
def test_across_the_track(mirror: bool, figures: dict[str, Any], holes: int) -> None:
    """A plate of 35 × 31 mm under a board of 12, bored for four screws and sunk for their heads; a web of 2 mm whose
    ends flare to the plate, legs as thick as the wall at their ends, ribs of 1.5 mm from the web's middle on; the
    pivot; notches that leave 0.95 mm of the plate, three layers and a little; pilots with their roof down, or marks;
    the name on the plate's free side. With under 0.5 mm to flare in, web and legs go straight up. Half a millimetre
    of all stands in the plate."""
    design = fixed({"style": "under-bracket", "board": "12 mm", "set": {"lie": "across"}, "mirror": mirror})
    plan = with_plan(design, **ACROSS | figures).plan
    flares = figures.get("thinned_z") != -15.9
    thinned = plan.thinned_z

    drawing = block((-30, 5), (-15, 16), (-15.5, -12))
    left, right = ([(-11, -15), (-11, -15.5), (-12, thinned)], [(14, thinned), (13, -15.5), (13, -15)])
    if not flares:
        left, right = [(-12, -15)], [(14, -15)]
    web = [*left, (-12, -45), (-6, -45), (-6, -22), (8, -22), (8, -45), (14, -45), *right]
    drawing += drawn(along_x(-10), web, -2)
    boss = [(-10, thinned), (-10, -45), (-15, -45), (-15, -30), (-12, thinned)]
    if not flares:
        boss = [(-10, -15), (-10, -45), (-15, -45), (-15, -15)]
    drawing += drawn(along_y(-12), boss, -6) + drawn(along_y(8), boss, -6)
    rib = [(-11, -15), (-28, -15), (-28, -16.3), (-15, -25), (-15, -30), (-11, -30)]
    drawing += drawn(along_y(-8.5), rib, -1.5) + drawn(along_y(9), rib, -1.5)

    for at in plan.heads_xy:
        drawing -= drawn(level(-15.5), square(at, BORE_MM), 3.5) + drawn(
            level(-15.6), square(at, HEAD_MM), SINK_MM + 0.1
        )
    for y in (0.0, plan.second_y or 0.0):
        wide = 0.6 + FLARE_MM
        slot = block((-1, 1), (y - wide, y + wide), (-15.6, -11.9))
        drawing -= (
            slot
            - block((-1, 1), (y - 2, y - 0.6), (-14.25, -13.25))
            - block((-1, 1), (y + 0.6, y + 2), (-14.25, -13.25))
        )
    up = (-15.6, -12.95)
    drawing -= notch((0, -14.2), [(-0.9, -15), (0.9, -15)], up)
    for x in (-2.5, 0.0, 2.5):
        drawing -= notch((x, 15.2), [(x - 0.9, 16), (x + 0.9, 16)], up)
    drawing -= notch((4.2, 0), [(5, -0.9), (5, 0.9)], up) + notch((-29.2, 0), [(-30, -0.9), (-30, 0.9)], up)
    for y in (-9, 11):
        if plan.pilot_mm:
            drawing -= drawn(along_x(0), [(y - 1, -37), (y + 1, -37), (y + 1, -39), (y, -40), (y - 1, -39)], -30)
        else:
            drawing -= block((-10, -10.8), (y - 0.5, y + 0.5), (-38.5, -37.5))
    if mirror:
        drawing = drawing.mirror((1, 0, 0))
    # read along +y from below, the top towards +x
    x = (4, 9) if mirror else (-9, -4)
    drawing += block(x, (-14, 0.5), (-16.1, -15.5)) + block((x[0], x[0] + 2.5), (-14, 15), (-16.1, -15.5))

    part = _bracket_across.build(design, plan)
    light_kernel.same(part.solid, drawing)
    assert part.solid.chamfers == ((">Z", pytest.approx(0.4)),)
    assert (part.name, part.through_holes, part.role) == ("", holes, "frame")
    assert np.array(part.print_to_mount)[:3, :3].tolist() == np.diag([1, -1, -1]).tolist()
    light_kernel.stands_in_the_corner(part)


DOWN = {
    "board_face_z": -12.0, "plate_mm": 3.5, "plate_x": (-16.0, 6.0), "plate_y": (-15.0, 15.0), "pin_y": (-15.0, 15.0),
    "outline_xy": ((-16.0, -14.0), (-10.0, -14.0), (-4.0, -15.0), (6.0, -15.0), (6.0, 15.0), (-4.0, 15.0), (-10.0, 9.0),
    (-16.0, 9.0)), "pivot_z": -13.75, "slot_x_mm": 2.0, "slot_y_mm": 1.2, "land_mm": 1.0,
    "heads_xy": ((0.0, -10.0), (0.0, 10.0), (-7.0, 3.0)), "wall_face_x": -11.0, "wall_mm": 5.0, "wall_y": (-14.0, 4.0),
    "low_y": -12.5, "case_side_y": -6.5, "opening_z": (-55.0, -30.0), "arm_top_z": -24.6, "wall_bottom_z": -62.0,
    "pilots_yz": ((0.0, -58.0), (0.0, -27.0)), "pilot_mm": 2.0, "rib_mm": 1.5, "rib_reach_mm": 8.0,
    "rib_drop_mm": 12.5, "second_y": None,
}  # fmt: skip
EIGHTHS = ((0.0, 1.0), (0.382683, 0.92388), (0.707107, 0.707107), (0.92388, 0.382683), (1.0, 0.0))  # sine and cosine


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize(
    ("top", "far", "round_mm"),
    [(-24.6, 4.0, 6.1), (-22.0, 4.0, 3.5), (None, 4.0, 0.0), (-27.6, 4.0, 7.5), (-27.6, 7.0, 9.0)],
)
def test_down(mirror: bool, top: float | None, far: float, round_mm: float) -> None:
    """Plate and wall of an L, 3.5 and 5 mm thick, the plate upright for a millimetre over the bed; a post that narrows
    by 45° beside the case, an arm below and one above it, which has a gusset of 3 mm and over that a round of 9 in four
    facets, or what room there is to gusset and wall's side, or is one with the plate; a rib of 8 mm; notches right
    through, and holes for three screws and the wire with their roof away from the wall, which lies on the bed; the name
    along the post."""
    design = fixed(
        {"style": "under-bracket", "board": "12 mm", "max_depth": 80, "set": {"lie": "down"}, "mirror": mirror}
    )
    pilots = (-58, -28.7 if top == -27.6 else -27)
    own = {"arm_top_z": top, "wall_y": (-14.0, far), "pilots_yz": tuple((0.0, z) for z in pilots)}
    plan = with_plan(design, **DOWN | own).plan

    flat = [(-15, -14), (-10, -14), (-4, -15), (6, -15), (6, 15), (-4, 15), (-10, 9), (-15, 9)]
    drawing = drawn(level(-15.5), flat, 3.5) + block((-16, -11), (-14, 9), (-15.5, -12))
    upper = [(far, -15)]
    if top is not None:
        turns = [(-6.5 + round_mm * (1 - cosine), -15.5 - round_mm * (1 - sine)) for sine, cosine in EIGHTHS]
        upper = [(far, top), (-3.5, top), (-6.5, top + 3), *turns, (-6.5 + round_mm, -15)]
    post = [
        (-14, -15),
        (-14, -30),
        (-12.5, -31.5),
        (-12.5, -62),
        (far, -62),
        (far, -55),
        (-6.5, -55),
        (-6.5, -30),
        (far, -30),
    ]
    drawing += drawn(along_x(-11), [*post, *upper], -5)
    rib = [(-11.5, -15), (-3, -15), (-3, -16.3), (-11, -28), (-11.5, -28)]
    drawing += drawn(along_y(-14), rib, -1.5)
    for z in pilots:
        drawing -= block((-20, 0), (-1, 1), (z - 1, z + 1))
    for at in plan.heads_xy:
        drawing -= drawn(level(-15.5), square(at, 3.4 + 0.3, (1, 0)), 3.5)
        drawing -= drawn(level(-15.6), square(at, HEAD_MM, (1, 0)), SINK_MM + 0.1)
    slot = block((-1, 2), (-0.6 - FLARE_MM, 0.6 + FLARE_MM), (-15.6, -11.9))
    drawing -= slot - block((-1, 2), (-2, -0.6), (-14.25, -13.25)) - block((-1, 2), (0.6, 2), (-14.25, -13.25))
    up = (-15.6, -11.9)
    drawing -= notch((0, -14.2), [(-0.9, -15), (0.9, -15)], up) + notch((5.2, 0), [(6, -0.9), (6, 0.9)], up)
    for x in (-2.5, 0.0, 2.5):
        drawing -= notch((x, 14.2), [(x - 0.9, 15), (x + 0.9, 15)], up)
    # read downwards on the wall's face, 5.2 mm high in the 6 of the post
    whole, half = (-12.1, -6.9), (-9.5, -6.9) if mirror else (-12.1, -9.5)
    drawing += block((-11, -10.4), whole, (-31.5, -43.25)) + block((-11, -10.4), half, (-31.5, -55))
    if mirror:
        drawing = drawing.mirror((1, 0, 0))

    part = _bracket_down.build(design, plan)
    light_kernel.same(part.solid, drawing)
    assert part.solid.chamfers == (("<X", pytest.approx(0.4)),)
    assert (part.name, part.through_holes, part.role) == ("", 6, "frame")
    up_x = apply(part.print_to_mount, np.array([(0.0, 0.0, 1.0), (0.0, 0.0, 0.0)]))
    assert (up_x[0] - up_x[1]).tolist() == [-1.0 if mirror else 1.0, 0.0, 0.0]
    assert np.linalg.det(np.array(part.print_to_mount)[:3, :3]) == pytest.approx(1.0)
    light_kernel.stands_in_the_corner(part)
