"""Frames and drop-ins built of a plan with round figures in the light kernel, against the same drawn by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import light_kernel
import numpy as np
import pytest
from light_kernel import SINK_MM, Body, along_x, along_y, block, drawn, level, square
from requests_for_drives import request
from shapely import Polygon

from mounts.frames import apply
from mounts.inputs.spec import MountSpec
from mounts.styles import _drop_body, _housing, _housing_base, _shell
from mounts.styles._housing_plan import HangFrame, SideFrame

BORE_MM, HEAD_MM = 3.4 + 0.2, 5.6  # of a 3 mm wood screw, with what closes up upright


@pytest.fixture(autouse=True)
def kernel(monkeypatch: pytest.MonkeyPatch) -> None:
    light_kernel.install(monkeypatch)


HEADS = ((-15.0, 15.0), (-15.0, 35.0), (25.0, 15.0), (25.0, 35.0))
BASE = {
    "heads_xy": HEADS, "rim_mm": 1.2, "opening": None, "mark_x": (0.0, 12.0), "mark_y": (28.0, 36.0), "pilot_mm": 2.0,
}  # fmt: skip
HANG = BASE | {
    "near_x": (-10.0, -6.0), "far_x": (16.0, 20.0), "far_foot_x": 17.0, "corbel_z": 8.0, "post_y": (21.0, 29.0),
    "seat_z": 20.0, "pilots_xy": ((-8.0, 25.0), (18.0, 25.0)), "pilot_depth_mm": 6.0,
}  # fmt: skip
SIDE = BASE | {
    "wall_x": (-9.0, -4.0), "wall_y": (12.0, 38.0), "wall_top_z": 22.0, "notch_y": (16.0, 34.0), "notch_z": 8.0,
    "pilots_yz": ((14.0, 16.0), (36.0, 16.0)),
}  # fmt: skip
PLATE = {
    "base_x": (-20.0, 30.0), "base_y": (10.0, 40.0), "base_mm": 2.5, "lip_mm": 6.0, "slot_x": (-3.0, 3.0),
    "cable_x": None, "cable_slot": None,
}  # fmt: skip
CORNERS = [(-19, 10), (29, 10), (30, 11), (30, 39), (29, 40), (-19, 40), (-20, 39), (-20, 11)]


def asked(**figures: Any) -> MountSpec:
    """Of a printer whose foot bulges by a quarter of a millimetre."""
    spec = request(scale="N", **figures)
    return spec.model_copy(update={"printer": spec.printer.model_copy(update={"elephant_foot_mm": 0.25})})


def frame_of(pose: str, mirror: bool, ground: float, plate: dict[str, Any], **figures: Any) -> Any:
    """The frame that is built where everything is told, and its plan; glued, unless it has windows."""
    spec = asked(mirror=mirror, ground_mm=ground, bonded=not plate.pop("windows", False))
    frame = HangFrame(**HANG | figures) if pose == "hang" else SideFrame(**SIDE | figures)
    plan: Any = SimpleNamespace(**PLATE | plate | {"frame": frame, "name_mark": "A1"})
    design: Any = SimpleNamespace(spec=spec)
    return _housing.build_frame(design, plan), plan


def post_of_the_servo(pose: str, pilot: float | None) -> Any:
    """Two posts, the far one leaning in by a millimetre at 45°, or a wall with its notch; holes or marks for screws."""
    if pose == "hang":
        far = [(17, 2), (20, 2), (20, 20), (16, 20), (16, 9), (17, 8)]
        carriers = block((-10, -6), (21, 29), (2, 20)) + drawn(along_y(21), far, -8)
        for x in (-8, 18):
            carriers -= (
                block((x - 1, x + 1), (24, 26), (14, 21))
                if pilot
                else block((x - 0.5, x + 0.5), (24.5, 25.5), (19.2, 20))
            )
        return carriers
    carriers = block((-9, -4), (12, 38), (2, 22)) - block((-10, 0), (16, 34), (8, 23))
    for y in (14, 36):
        roof = [(y - 1, 15), (y + 1, 15), (y + 1, 17), (y, 18), (y - 1, 17)]
        carriers -= drawn(along_x(0), roof, -20) if pilot else block((-4.8, -4), (y - 0.5, y + 0.5), (15.5, 16.5))
    return carriers


@pytest.mark.parametrize(("mirror", "ground"), [(False, 0.0), (True, 3.0)])
@pytest.mark.parametrize(
    ("pose", "plate", "figures", "holes"),
    [
        ("hang", {}, {}, 4),
        ("hang", {}, {"pilot_mm": None, "mark_x": (2.0, 8.0)}, 4),
        ("hang", {"windows": True}, {}, 5),
        ("hang", {"cable_slot": ((-17.0, -13.0), (20.0, 28.0))}, {"opening": ((-4.0, 12.0), (9.0, 24.0))}, 5),
        ("side", {"cable_x": (20.0, 28.9)}, {}, 6),
        ("side", {"cable_x": (-12.0, -5.0)}, {"pilot_mm": None}, 4),
        ("side", {}, {"opening": ((4.22, 12.0), (9.0, 24.0))}, 6),
    ],
)
def test_a_frame(
    pose: str, plate: dict[str, Any], figures: dict[str, Any], holes: int, mirror: bool, ground: float
) -> None:
    """A plate of 50 × 30 × 2.5 mm, a millimetre off its corners, bored and sunk from above; a rim of 1.2 mm up to 6 but
    where rod and cable pass, with stubs as long as it is thick but no shorter ones; posts or wall, half a millimetre in
    the plate; a window of 16 × 13.8 between the posts, 3 mm off them, 4.2 off the edge, up to the name; the name sunk
    by 0.6 mm, upright where it has more room so. All of it on the ground."""
    part, plan = frame_of(pose, mirror, ground, dict(plate), **figures)
    opening, slot = plan.frame.opening, plan.cable_slot

    outline = drawn(level(0), CORNERS, 6)
    rim = outline - block((-18.8, 28.8), (11.2, 38.8), (-1, 7)) - block((-3, 3), (0, 11.5), (-1, 7))
    if plan.cable_x == (20.0, 28.9):
        rim -= block((20, 31), (37.8, 41), (-1, 7))  # 1.1 mm beside it would be left
    elif plan.cable_x:
        rim -= block(plan.cable_x, (38, 41), (-1, 7))
    drawing = outline ^ (rim + block((-20, 30), (10, 40), (0, 2.5)))
    if opening:
        drawing -= block(*opening, (-1, 7))
    for at in HEADS:
        bore = drawn(level(-1), square(at, BORE_MM), 3.5)
        drawing -= bore + drawn(level(2.5 - SINK_MM), square(at, HEAD_MM), SINK_MM + 0.1)
    if slot:
        drawing -= block(*slot, (-1, 2.5))
    if plate.get("windows"):
        drawing -= block((-3, 13), (14.2, 28), (-1, 2.5))
    drawing += post_of_the_servo(pose, plan.frame.pilot_mm)
    if mirror:
        drawing = drawing.mirror((1, 0, 0))
    if plan.frame.mark_x == (0.0, 12.0):
        x0, x1 = (-12, 0) if mirror else (0, 12)
        drawing -= block((x0, x1), (28, 32), (1.9, 2.6)) + block((x0, x0 + 6), (28, 36), (1.9, 2.6))
    else:
        x0, x1 = (-8, -2) if mirror else (2, 8)
        drawing -= block((x0, x1), (28, 32), (1.9, 2.6)) + block((x0 + 3, x1), (28, 36), (1.9, 2.6))

    light_kernel.same(part.solid, drawing.translate((0, 0, ground)))
    assert part.solid.chamfers == (("<Z", pytest.approx(0.4)),)
    assert (part.name, part.through_holes, part.role) == ("", holes, "frame")
    assert np.array(part.print_to_mount)[:3, :3].tolist() == np.eye(3).tolist()
    light_kernel.stands_in_the_corner(part)


@pytest.mark.parametrize(("mark_to", "right"), [(45.0, 2), (49.51, 1), (49.59, 0), (49.9, 0)])
def test_windows_of_a_plate_of_60_by_40(mark_to: float, right: int) -> None:
    """4.2 mm off its edges and 3 off wall and slot, round no head (an octagon of 4.4 mm); beside the name only where
    6 mm are left, and 80 mm²: 6.29 by 12.8 are, 6.21 or by 11.8 are not, nor are 5.8 over it however long."""
    frame = SideFrame(**SIDE | {
        "wall_x": (20.0, 25.0), "heads_xy": ((4.2, 4.2),), "mark_x": (27.0, mark_to), "mark_y": (4.0, 30.0),
    })  # fmt: skip
    plan: Any = SimpleNamespace(
        base_x=(0.0, 60.0), base_y=(0.0, 40.0), frame=frame, cable_slot=((50.0, 51.0), (20.0, 21.0))
    )

    eighth = 4.2 + 4.4 * math.sqrt(0.5)
    left = [(8.6, 4.2), (17, 4.2), (17, 35.8), (4.2, 35.8), (4.2, 8.6), (eighth, eighth)]
    below, above = ([(mark_to, y0), (55.8, y0), (55.8, y1), (mark_to, y1)] for y0, y1 in ((4.2, 17), (24, 35.8)))
    expected = [Polygon(left), *map(Polygon, (below, above)[:right])]
    found = [Polygon(ring) for ring in _housing_base.windows(asked(bonded=False), plan)]
    assert len(found) == len(expected)
    for one, other in zip(found, expected, strict=True):
        assert one.symmetric_difference(other).area == pytest.approx(0.0, abs=1e-4)


DROP = {
    "flange_mm": 2.0, "flange_x": (-30.0, 12.0), "flange_y": (-10.0, 40.0), "heads_xy": ((-25.0, -5.0), (8.0, 35.0)),
    "hung_x": (-22.0, 6.0), "hung_y": (-4.0, 34.0), "rib_mm": 2.4, "skirt_z": -8.0, "wall_face_x": -8.0, "wall_mm": 5.0,
    "notch_y": (3.0, 27.0), "notch_top_z": -3.0, "wall_bottom_z": -30.0, "pilots_yz": ((0.0, -20.0), (30.0, -20.0)),
    "pilot_mm": 2.0, "block_x": (-4.0, 4.0), "block_y": (-3.0, 3.0), "block_z": -6.0, "post_at": (1.0, 0.0),
    "post": "square", "post_half_mm": 2.0, "seat_tip_mm": 0.3, "seat_roof_z": -4.0, "seat_floor_z": -2.0,
    "slot_x_mm": 2.0, "slot_y_mm": 1.2, "rod_in_post": True,
}  # fmt: skip


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize(
    ("figures", "holes", "high"),
    [({}, 5, 4.6), ({"pilot_mm": None, "rod_in_post": False}, 3, 4.6), ({"block_x": (-15.0, 4.0)}, 5, 2.6)],
)
def test_a_drop_in(mirror: bool, figures: dict[str, Any], holes: int, high: float) -> None:
    """A flange of 2 mm on the board, round at its corners by 3 and bored for two screws; under it a skirt of 2.4 mm
    without its corners, a wall of 5 with the case's notch, ribs behind it, a block with the post's seat and the rod's
    slot, all of them half a millimetre in the flange; the name underneath, a millimetre off what stands round it."""
    design: Any = SimpleNamespace(spec=asked(mirror=mirror))
    plan: Any = SimpleNamespace(**DROP | figures, name_mark="A1")

    drawing = block((-30, 12), (-10, 40), (0, 2))
    skirt = [(-20.5, -4), (4.5, -4), (6, -2.5), (6, 32.5), (4.5, 34), (-20.5, 34), (-22, 32.5), (-22, -2.5)]
    inside = [(-19.6, -1.6), (3.6, -1.6), (3.6, 31.6), (-19.6, 31.6)]
    drawing += drawn(level(-8), skirt, 8.5, [inside])
    wall = block((-13, -8), (-4, 34), (-30, 0.5)) - block((-14, -7), (3, 27), (-31, -3))
    for y in (0, 30):
        roof = [(y - 1, -19), (y + 1, -19), (y + 1, -21), (y, -22), (y - 1, -21)]
        hole = drawn(along_x(0), roof, -30) if plan.pilot_mm else block((-8.8, -8), (y - 0.5, y + 0.5), (-20.5, -19.5))
        wall -= hole
    drawing += wall
    rib = [(-12.5, 0.5), (-20.5, 0.5), (-20.5, -8), (-13, -22.5), (-12.5, -22.5)]
    drawing += drawn(along_y(-4), rib, -2.4) + drawn(along_y(31.6), rib, -2.4)
    drawing += block(plan.block_x, (-3, 3), (-6, 0.5))
    seat = [(half, z) for half, z in ((0.3, -4.0), (2.0, -2.0), (2.0, 1.6), (2.5, 2.1))]
    rings = [light_kernel.rectangle((1 - half, 1 + half), (-half, half), z) for half, z in seat]
    drawing -= light_kernel.stacked(rings, "").form
    drawing -= block((-1, 1), (-0.6, 0.6), (-6.1, -2 if plan.rod_in_post else 2.1))
    for at in plan.heads_xy:
        drawing -= drawn(level(0), square(at, BORE_MM), 2) + drawn(
            level(2 - SINK_MM), square(at, HEAD_MM), SINK_MM + 0.1
        )
    if mirror:
        drawing = drawing.mirror((1, 0, 0))
    # read along +y from below, its top towards +x
    low = (16.3 if mirror else -16.3) - high / 2
    drawing += block((low, low + high), (-0.6, 15), (-0.6, 0)) + block((low, low + high / 2), (-0.6, 30.6), (-0.6, 0))

    part = _drop_body.build(design, plan)
    light_kernel.same(part.solid, drawing)
    assert part.solid.chamfers == ((">Z, 3 mm corners", pytest.approx(0.4)),)
    assert (part.name, part.through_holes, part.role) == ("", holes, "frame")
    assert np.array(part.print_to_mount)[:3, :3].tolist() == np.diag([1, -1, -1]).tolist()
    light_kernel.stands_in_the_corner(part)


@pytest.mark.parametrize(("mirror", "ground"), [(False, 0.0), (True, 3.0)])
@pytest.mark.parametrize("turn", [_shell.UPRIGHT, _shell.UPSIDE_DOWN])
def test_a_shells_part_lies_in_the_corner_of_the_bed(mirror: bool, ground: float, turn: Any) -> None:
    """As it stands or upside down, mirrored before, and on the ground: 10 × 20 × 5 mm of it somewhere, with a step."""
    spec = asked(mirror=mirror, ground_mm=ground)
    shape = block((4, 14), (-3, 17), (1, 6)) - block((4, 6), (-3, 0), (1, 3))

    part = _shell.finished("roof", Body(shape), spec, turn=turn, through_holes=2)
    expected = (shape.mirror((1, 0, 0)) if mirror else shape).translate((0, 0, ground))
    light_kernel.same(part.solid, expected)
    assert (part.name, part.through_holes, part.role) == ("roof", 2, "scenery")
    up = apply(part.print_to_mount, np.array([(0.0, 0.0, 1.0), (0.0, 0.0, 0.0)]))
    assert (up[0] - up[1]).tolist() == [0, 0, -1 if turn == _shell.UPSIDE_DOWN else 1]
    light_kernel.stands_in_the_corner(part)
