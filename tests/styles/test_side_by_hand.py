"""A frame on its side, each measure alone: arm, floor and wall drawn round a stand with round figures. No kernel.

For a 9 g servo in N, screws of 3 mm and a 0.4 mm nozzle: case 12.2 mm wide, its ends 6.05 and 16.55 mm from the shaft;
ears 4.8 mm; arm 17 mm, its tip 4 mm wide, its hub 7, its outer face 15.4 mm over the ears; plug 7.7 × 2.6 mm. Rim
1.2 mm, air 1; from a screw's axis 4.4 mm to the plate's edge, 3.3 to what stands beside it, 4.6 to a hole in the board.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np
import pytest
from requests_for_drives import Asked, asked

from mounts.styles import _housing_options as shared
from mounts.styles import _housing_side, _housing_site, _mounting, _pilots
from mounts.styles._housing_options import Options, Shell
from mounts.styles._housing_side import _Floor, _Stand

RIM, AIR, MARGIN, BESIDE, IN_WOOD = 1.2, 1.0, 2.8 + 1.6, 2.8 + 0.5, 4.5 + 0.1
WALL = 2.5 * 2.0 / 0.95 + 0.3  # grips 2.5 diameters of a 2 mm screw, of whose round 5 % are a roof
DOWN = 0.4 + 2.6 + 0.8 + 0.6 + RIM  # behind the case: a slot for the plug, land and rim
DRIVE = {
    "wire_mm": 0.6, "horn_radius_mm": 7.0, "swing_deg": 14.8, "offset_mm": 7.0, "shaft_to_pin_mm": 42.0,
    "foot_radius_mm": 1.4,
}  # fmt: skip
side = partial(asked, DRIVE)
STAND = _Stand(
    base_mm=2.5, wall_x=(-20.0, -15.0), shaft_y=40.0, shaft_z=20.0, case_y=(34.0, 57.0), hole_z=10.0, cut_mm=None,
    sweep_mm=8.0, lowest_z=5.0, arm_x=(-3.0, 1.4),
)  # fmt: skip


def approx(*figures: float) -> Any:
    return pytest.approx(figures, abs=1e-6)


@pytest.mark.parametrize(
    ("cable", "figures", "behind"),
    [
        ("back", {}, 15.75 + 1.3 + AIR + RIM), ("down", {}, 15.75 + DOWN),
        ("back", {"cable_width_mm": 9.0, "cable_height_mm": 2.0}, 15.75 + 2.5 + 1.3 + AIR + RIM),
        ("back", {"flange_underside_height_mm": 6.0}, WALL + BESIDE + MARGIN),
        ("down", {"cable_thickness_mm": 4.0}, 15.75 + 4.0 + AIR + RIM),
    ],
)  # fmt: skip
def test_behind_its_seat_the_plate_has_room_for_case_and_cable_or_for_screws(
    cable: Any, figures: dict[str, float], behind: float
) -> None:
    """A cable as wide as 9 mm, 2 mm over the case's end, hangs over it by 2.5; a plug's slot where it goes down."""
    spec = side(figures).spec
    thickest = 1.2  # of the wires in stock

    assert _housing_side.reach_x(spec, Options(cable=cable)) == pytest.approx(15.4 + thickest / 2 + behind)


@pytest.mark.parametrize(
    ("figures", "short"),
    [
        ({}, 6.05 + 6.3 + 16.55 + 6.3),  # along the case: ears and their margins, the arm comes out no farther
        ({"flange_underside_height_mm": 6.0}, 15.4 + 0.6 + WALL + BESIDE + MARGIN + 0.6 + AIR + RIM),
        ({"flange_underside_height_mm": 6.0, "horn_screw_proud_mm": 3.0},
         15.4 + 0.6 + WALL + BESIDE + MARGIN + 2.4 + AIR + RIM),
    ],
)  # fmt: skip
def test_the_shorter_side_is_along_the_case_or_along_the_shaft(figures: dict[str, float], short: float) -> None:
    """Before the arm half a wire of 1.2 mm, or the screw's head past it."""
    assert _housing_side.short_side_mm(side(figures).spec, Options()) == pytest.approx(short)


@pytest.mark.parametrize(
    ("servo", "swing", "front"),
    [
        ({}, 0.0, 6.05 + 4.8 + 1.5), ({}, 45.0, 15.0 * math.sin(math.radians(45.0)) + 2.0 + AIR + RIM),
        # no crack beside the wall's end at 12.35, which a rim of 1.2 mm just touches, or 0.6 mm stay free
        ({}, 37.0, 15.0 * math.sin(math.radians(37.0)) + 2.0 + AIR + RIM), ({}, 40.0, 12.35 + RIM + 0.6),
        # the cable's stub of 5 mm and 0.2 beside ears of 1.7; the wall's end 1.5 past them
        ({"flange_span_mm": 26.0}, 0.0, 6.05 + 5.2), ({"flange_span_mm": 26.0, "cable_end": "far"}, 0.0, 6.05 + 3.2),
    ],
)  # fmt: skip
def test_before_its_shaft_the_plate_has_room_for_ear_cable_or_arm(
    servo: dict[str, Any], swing: float, front: float
) -> None:
    """Nearest it stands to the track; an ear with the wall's margin, and no less than the rim beside it."""
    spec = side(servo).spec

    assert _housing_side.front_mm(spec, swing) == pytest.approx(front)
    assert _housing_side._beyond_mm(spec, "far") == pytest.approx(
        6.3 if not servo else 5.2 if "cable_end" in servo else 3.2
    )


def test_beside_a_loose_pocket_the_rim_still_clears_the_ear() -> None:
    """Half a millimetre of slip and the rim, more than the wall's margin."""
    loose = side().spec.printer.model_copy(update={"slip_fit_mm": 0.5})

    assert _housing_side._beyond_mm(side(printer=loose).spec, "far") == pytest.approx(4.8 + 0.5 + RIM)


def test_how_near_and_how_high_a_servo_lies() -> None:
    """Its case 0.6 mm over the plate; a Z-bend's tail of 2.5 mm off a hub of 7 by half a millimetre; 1.5 mm over it."""
    spec = side(pin_height_mm=9.0).spec

    assert _housing_side.least_offset_mm(spec, 2.4) == pytest.approx(2.4 + 0.6 + 6.1 - 9.0)
    assert _housing_side.nearest_hole_mm(spec) == pytest.approx(3.5 + 2.5 + 0.5)
    assert _housing_side.top_z(spec, 7.0) == pytest.approx(9.0 + 7.0 + 6.1 + 1.5)


@pytest.mark.parametrize(
    ("hole", "shaft_z", "trim", "length"),
    [
        (9.0, 20.51, True, None), (9.0, 20.49, True, 11.0), (9.0, 20.49, False, None),
        (14.85, 20.0, True, 16.85), (14.95, 20.0, True, None), (14.95, 20.0, False, None),
    ],
)  # fmt: skip
def test_an_arm_is_cut_off_behind_its_hole_where_it_meets_the_plate(
    hole: float, shaft_z: float, trim: bool, length: float | None
) -> None:
    """17 mm and one of air over 2.5 of plate; 2 mm behind the hole, unless that takes off less than a tenth."""
    design = side(horn_radius_mm=hole)

    found = _housing_side._arm_mm(design.spec, design.drive, Options(trim_arm=trim), shaft_z, 2.5)
    assert found == (None if length is None else pytest.approx(length))


@pytest.mark.parametrize("swing", [4.0, 20.0, 45.0])
@pytest.mark.parametrize(("length", "half"), [(11.0, 2.0 + 1.5 * 4 / 15), (6.0, 2.0 + 1.5 * 9 / 15), (16.0, 2.0)])
def test_an_arm_that_was_cut_off_is_lowest_at_a_corner(length: float, half: float, swing: float) -> None:
    """Its side runs straight from half the hub at the shaft to half the tip 15 mm out: the lowest of its corner over
    the swing in steps of 0.001°. A whole one ends round."""
    spec, turned = side().spec, np.radians(np.arange(0.0, swing + 1e-9, 0.001))
    corner = 30.0 - length * np.cos(turned) - half * np.sin(turned)

    assert _housing_side._lowest_z(spec, 30.0, length, swing) == pytest.approx(corner.min(), abs=1e-5)
    assert _housing_side._lowest_z(spec, 30.0, 17.0, swing) == 13.0


def floor(front: float = 13.0, options: Options | None = None, design: Asked | None = None, **figures: Any) -> _Floor:
    design = design or side(pin_height_mm=9.0)
    stand = replace(STAND, **figures)
    return _housing_side._floor(design.spec, design.drive, options or Options(), stand, front)


def test_a_floor_reaches_round_wall_case_and_arm() -> None:
    """Seat at −15: 21.35 mm behind it for case and slot, before the wire half a head's 0.5, air and rim; its screws
    4.4 mm off its edges, half way between the case's end and the wall, and 3.3 before the seat; the slot at its back
    in its middle."""
    found = floor()
    x0, y1 = -15.0 - 15.75 - DOWN, 57.0 + 4.8 + 1.5

    assert (found.x, found.y) == (approx(x0, 0.5 + AIR + RIM), approx(27.0, y1))
    behind, before = (-15.0 - 15.75 - 20.0) / 2, -15.0 + BESIDE
    near, far = 27.0 + MARGIN, y1 - MARGIN
    assert [*found.heads_xy] == [approx(behind, near), approx(behind, far), approx(before, near), approx(before, far)]
    assert (found.opening, found.cut_out) == (None, None)
    middle = (27.0 + y1) / 2
    assert found.cable_slot == (approx(x0 + RIM + 0.6, x0 + RIM + 0.6 + 3.4), approx(middle - 4.25, middle + 4.25))
    assert floor(options=Options(cable="back")).cable_slot is None
    shallow = floor(design=side({"flange_underside_height_mm": 10.0}))
    assert shallow.heads_xy[0][0] == pytest.approx(-20.0 - BESIDE)
    thick = floor(design=side({"horn_screw_proud_mm": 0.2}, wire_mm=1.2))
    assert thick.x[1] == pytest.approx(0.6 + AIR + RIM)


@pytest.mark.parametrize(
    ("figures", "opens"),
    [
        ({"lowest_z": 3.49}, True), ({"lowest_z": 3.51}, False), ({"hole_z": 3.09}, True), ({"hole_z": 3.11}, False),
        # to the rim's inner face 1.5 mm before the wire; its top 3.7 mm high, and half a millimetre
        ({"arm_x": (-3.0, 1.51), "lowest_z": 4.19}, True), ({"arm_x": (-3.0, 1.51), "lowest_z": 4.21}, False),
        ({"arm_x": (-3.0, 1.49), "lowest_z": 4.19}, False),
    ],
)  # fmt: skip
def test_a_plate_opens_under_a_low_arm_or_rod(figures: dict[str, Any], opens: bool) -> None:
    """Less than a millimetre over it, the rod's underside less than 0.3, or pushed on over its rim; from past the edges
    to a millimetre beyond the sweep."""
    found = floor(**figures)

    assert (found.opening is not None) == opens
    if found.opening:
        assert found.opening == (approx(-3.0, found.x[1] + 1.0), approx(26.0, 49.0))
    for pin, low in ((3.09, True), (3.11, False)):
        assert (floor(design=side(pin_height_mm=pin)).opening is not None) == low


@pytest.mark.parametrize(
    ("arm_x", "lowest", "front_y"),
    [
        # the head 4.2 mm round −11.7, the opening's end at 49; the board's hole 4.6 mm off it
        (-7.49, 3.0, None), (-7.51, 3.0, 49.0 + 4.2), (-7.09, 0.5, None), (-7.11, 0.5, 49.0 + IN_WOOD),
        (-7.6, 0.5, 49.0 + IN_WOOD), (-7.6, 1.0, 49.0 + 4.2),
    ],
)  # fmt: skip
def test_the_screw_before_the_wall_keeps_off_opening_and_cut_out(
    arm_x: float, lowest: float, front_y: float | None
) -> None:
    """1.4 mm of plate round its head, a shank of wood round its thread; behind what is in its way."""
    found = floor(arm_x=(arm_x, 1.4), lowest_z=lowest)

    assert found.heads_xy[2] == approx(-11.7, 27.0 + MARGIN if front_y is None else front_y)
    assert found.heads_xy[0][1] == pytest.approx(27.0 + MARGIN)
    if lowest < 1.0:
        corners = np.array(found.cut_out.outline if found.cut_out else [])
        assert (*corners.min(axis=0), *corners.max(axis=0)) == approx(arm_x, 31.0, 1.4, 49.0)


def test_what_is_drawn_stands_round_the_case() -> None:
    """The wall past the ears by 1.5 mm, its notch 0.2 round the case; the name 0.8 off wall and slot or rim, 1 mm off
    the heads; the wall no higher than over its screws' bosses, or than the case's margin."""
    design = side(offset_mm=11.0)
    held = _Floor((-36.0, 3.0), (27.0, 63.0), ((-25.0, 31.0), (-25.0, 58.0), (-11.0, 31.0), (-11.0, 58.0)), None,
                  ((-34.0, -30.0), (40.0, 48.0)), None)  # fmt: skip
    pin = design.spec.pin_height_mm
    stand = replace(STAND, shaft_z=pin + 11.0)
    frame, found = _housing_side._frame(design.spec, design.drive, stand, held)
    over = _pilots.boss_mm(design.spec.servo, design.spec.printer, found.printed_mm)[1]

    assert (frame.mark_x, frame.mark_y) == (approx(-29.2, -20.8), approx(31.0 + 2.8 + 1.0, 58.0 - 2.8 - 1.0))
    assert (frame.wall_y, frame.notch_y) == (approx(34.0 - 6.3, 57.0 + 6.3), approx(33.8, 57.2))
    assert frame.notch_z == pytest.approx(stand.shaft_z - 6.1 - 0.2)
    assert frame.pilots_yz == (approx(45.5 - 13.75, stand.shaft_z), approx(45.5 + 13.75, stand.shaft_z))
    assert frame.wall_top_z == pytest.approx(stand.shaft_z + over)
    back, _ = _housing_side._frame(design.spec, design.drive, stand, replace(held, cable_slot=None))
    assert back.mark_x == approx(-36.0 + RIM + 0.8, -20.8)
    for pitch, high in ((6.0, 3.0 + over), (9.4, 6.1 + 1.5)):  # 4.7 and a boss would be more than the margin
        two = side({"flange_hole_pitch_mm": pitch}, offset_mm=11.0)
        frame, _ = _housing_side._frame(two.spec, two.drive, stand, held)
        assert frame.wall_top_z == pytest.approx(stand.shaft_z + high)
        assert {z for _, z in frame.pilots_yz} == {stand.shaft_z - pitch / 2, stand.shaft_z + pitch / 2}


@pytest.mark.parametrize(
    ("wire", "slide", "thin", "behind"),
    [
        (0.6, 1.0, 1.6, 0.3 + 1.6 + 0.6 + AIR), (0.6, 5.0, 0.4, 2.8 + 0.3 + 0.3),
        (1.2, 2.0, 1.6, 0.6 + 1.6 + 1.2 + AIR),
        (1.2, 2.0, 0.4, 2.8 + 0.6 + 0.3), (0.6, 1.0, 3.0, 0.3 + 3.0 + 0.6 + AIR),
    ],
)  # fmt: skip
def test_a_servo_stands_behind_its_rod(wire: float, slide: float, thin: float, behind: float) -> None:
    """Its arm's outer face on the wire; before the wire the air, or the arm while it is pushed on and 0.5 mm; behind
    it arm, wire and air, or the tail of its bend round twice 1.4 mm, half a wire and 0.3."""
    design = side({"horn_thickness_mm": thin}, wire_mm=wire, offset_mm=30.0, horn_radius_mm=9.0, shaft_to_pin_mm=44.0)
    top = design.spec.servo.hub_bottom_height_mm + slide
    spec = design.spec.model_copy(update={"servo": design.spec.servo.model_copy(update={"spline_top_height_mm": top})})
    stand = _housing_side._stand(spec, design.drive, Options(base_mm=3.0))
    seat, z = -wire / 2 - 15.4, spec.pin_height_mm + 30.0

    assert (stand.base_mm, stand.cut_mm) == (3.0, None)
    assert (stand.wall_x, stand.case_y) == (approx(seat - WALL, seat), approx(44.0 - 6.05, 44.0 + 16.55))
    assert (stand.shaft_y, stand.shaft_z, stand.hole_z, stand.lowest_z) == approx(44.0, z, z - 9.0, z - 17.0)
    assert stand.arm_x == approx(-behind, max(wire / 2 + AIR, slide - wire / 2 + 0.5))


def test_where_it_is_told_the_stand_is_what_was_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """The plug starts 0.5 mm behind the wall, in the case's middle, and ends 20 mm behind the plate; the posts beside
    the notch bear the servo from the plate to the shaft; the rod's slot is as high as pin or arm's hole at either end
    of its swing, half a wire and a millimetre over."""
    design = side(horn_radius_mm=9.0, swing_deg=30.0, offset_mm=10.0)
    monkeypatch.setattr(_housing_side, "_stand", lambda *_: replace(STAND, hole_z=design.spec.pin_height_mm))
    asked: list[Any] = []
    monkeypatch.setattr(_mounting, "posts_n_per_mm", lambda spec, *posts: asked.append(posts) or 1.0)
    monkeypatch.setattr(_mounting, "posts_mpa_per_n", lambda *posts: asked.append(posts) or 1.0)
    monkeypatch.setattr(shared, "slot_x", lambda drive, at: asked.append(at) or (-2.0, 2.0))
    common = {"wire_tail_mm": 2.5, "name_mark": "A1", "loop_towards": (-1.0, 0.0, 0.0)}
    datums, plan = _housing_side.place(design.spec, design.drive, Options(cable="back"), 13.0, common, outside_mm=4.0)

    widths = (4.8 + 1.5 - 0.2,) * 2
    assert [*datums.servo[:3]] == [approx(0, 0, 1, -15.0), approx(1, 0, 0, 40.0), approx(0, 1, 0, 20.0)]
    assert (datums.horn_at_mid, datums.pin[2]) == ((0.0, 0.0, -1.0), design.spec.pin_height_mm)
    assert (plan.way_out, plan.plug_wide) == ((0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
    _, down = _housing_side.place(design.spec, design.drive, Options(), 13.0, common, outside_mm=4.0)
    assert down.plug_wide == (0.0, 1.0, 0.0)  # on its way down it stands across the track
    wall, found, long = asked[0]
    assert (wall, long) == approx(WALL, 20.0 - 2.5)
    assert found == approx(*widths)
    assert asked[1][3] == approx(15.4, 23.4)
    assert asked[2] == 17.0
    x = -20.0 - 3.85 - 0.5
    assert [*plan.plug_path] == [approx(x, 45.5, 2.5 + 1.3 + 0.5), approx(x, plan.base_y[1] + 20.0, 2.5 + 1.3 + 0.5)]
    rises = 9.0 * (1 - math.cos(math.radians(30.0)))
    assert plan.slot_top_z == pytest.approx(design.spec.pin_height_mm + rises + 0.3 + 1.0)
    assert plan.room_top_z == pytest.approx(design.spec.pin_height_mm + 10.0 + 6.1 + 1.5 + AIR)


@pytest.mark.parametrize(("pose", "degrees"), [("side", 10.0), ("hang", 5.0)])
def test_a_rod_slopes_by_so_much_at_most(pose: Any, degrees: float) -> None:
    """Where nothing else is in its way: 10° where it turns in the arm's hole, 5° where it lies across the arm (common
    practice, no source)."""
    spec = side({"horn_radii_mm": (7.0, 40.0)}, pin_height_mm=60.0, arm_hole_mm=40.0).spec
    spec = spec.model_copy(update={"roadbed": spec.roadbed.model_copy(update={"thickness_mm": 0.0})})

    site = _housing_site._pose_site(spec, Options(), Shell(), pose)
    assert site.deeper.startswith(f"the rod slopes by more than {degrees:g}°")
    assert site.sunk_most_mm == pytest.approx(site.shaft_y * math.tan(math.radians(degrees)))
