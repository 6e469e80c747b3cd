"""What a housing's frame is screwed down with and where its cable goes down, by hand and from both sides."""

from __future__ import annotations

import math

import pytest
from requests_for_drives import profile, request

from mounts.errors import NoDesign, NoFixing
from mounts.inputs import fits
from mounts.inputs.fixing import Fixing
from mounts.styles import _housing_cable, _housing_plan, _housing_screws
from mounts.styles._fixings import head_mpa_per_n
from mounts.styles._housing_options import LEAST_BASE_MM, MOST_BASE_MM, Options


def spec(thick: float = 12.0, fixing: str = "wood-3", **changes):
    return request(board_mm=thick, fixing=profile(Fixing, fixing), **changes)


@pytest.mark.parametrize("under", [0.0, 0.4])
@pytest.mark.parametrize("soft", [0.0, 3.0])
@pytest.mark.parametrize("fixing", ["wood-2", "wood-3", "wood-3.5"])
@pytest.mark.parametrize("thick", [9.0, 12.0, 16.0, 19.0, 25.0])
def test_a_screw_grips_two_shanks_and_its_point_stays_two_millimetres_inside(thick, fixing, soft, under):
    """Of what holds it, and inside the board at its thinnest; none in stock that is longer does, unless its thread of
    2.43 N/mm², 5.5 times that when it strips, brings the plate to 0.85 of 44 MPa (test_screw_heads.py), and no base
    that is thinner has one. Where none does it is refused in words that say by how much."""
    asked = spec(thick, fixing)
    asked = asked.model_copy(update={
        "board": asked.board.model_copy(update={"under_mm": under, "screw_depth_mm": thick - soft})
    })  # fmt: skip
    screw = asked.fixing

    def fitting(base):
        return [
            length for length in screw.lengths_mm
            if length - base >= soft + 2 * screw.shank_mm - 1e-9 and length - base <= thick - under - 2.0 + 1e-9
        ]  # fmt: skip

    base = _housing_screws.base_mm(asked, Options())
    found = _housing_screws.screw_mm(asked, base)
    assert LEAST_BASE_MM <= base <= MOST_BASE_MM
    thread = 0.85 * 44.0 / head_mpa_per_n(screw, base) / (5.5 * 2.43 * screw.shank_mm)
    gentle = [length for length in fitting(base) if length - base - soft <= thread]
    assert found == max(gentle or fitting(base)[:1], default=None)
    if base > LEAST_BASE_MM and found is not None:
        assert not fitting(base - 0.01)
    if found is None:
        # neither has any thicker plate, but for one that is too thick
        assert not any(fitting(LEAST_BASE_MM + n / 100) for n in range(round(100 * (MOST_BASE_MM - LEAST_BASE_MM)) + 1))
        with pytest.raises(NoFixing, match="and stays 2 mm inside it"):
            _housing_screws.screws(asked, base, ((0.0, 0.0),))
    else:
        (one,) = _housing_screws.screws(asked, base, ((3.0, 4.0),))
        assert (one.head, one.direction, one.length_mm) == ((3.0, 4.0, base), (0.0, 0.0, -1.0), found)


def test_what_no_screw_does_is_told_by_how_much():
    """6 mm of board: 3.7 mm deep at most, two shanks are 6."""
    asked = spec(6.0)
    asked = asked.model_copy(update={"fixing_stock": (asked.fixing,)})
    lengths = asked.fixing.lengths_mm
    shortest = min(length for length in lengths if length >= 2.4 + 6.0)

    with pytest.raises(NoDesign) as told:
        _housing_screws.screws(asked, 2.4, ((0.0, 0.0),))
    assert str(told.value).endswith(
        f"the shortest that grips is {shortest:g} mm, {shortest - 2.4 - 3.7:.1f} mm too long; leave base_mm free"
    )
    deep = asked.model_copy(
        update={"board": asked.board.model_copy(update={"thickness_mm": 200.0}), "fixing_stock": ()}
    )
    with pytest.raises(NoFixing) as told:
        _housing_screws.screws(deep, 2.4, ((0.0, 0.0),))
    assert str(told.value).endswith(
        f"the longest is {lengths[-1]:g} mm, {2.4 + 194.0 + 6.0:.1f} mm are needed; leave --screw free"
    )


@pytest.mark.parametrize(("frame", "inside"), [(0.0, 37.7), (6.0, 11.0), (9.0, 14.0)])
def test_through_a_frame_let_into_foam_a_point_goes_5_mm_further(frame, inside):
    """And no foam has to be gone through first; bonded as little."""
    asked = spec(40.0, frame_mm=frame)
    asked = asked.model_copy(update={"board": asked.board.model_copy(update={"screw_depth_mm": 0.0})})

    assert _housing_screws.inside_mm(asked) == pytest.approx(inside)
    assert _housing_screws.grip_mm(asked) == pytest.approx(6.0 if frame else 46.0)
    assert _housing_screws.grip_mm(asked.model_copy(update={"bonded": True})) == pytest.approx(6.0)
    assert _housing_screws.base_mm(asked.model_copy(update={"bonded": True}), Options()) == LEAST_BASE_MM
    assert _housing_screws.base_mm(asked, Options(base_mm=3.3)) == 3.3


@pytest.mark.parametrize("thick", [3.0, 4.0, 8.0, 12.0])
def test_a_bolt_is_the_shortest_that_takes_its_nut_with_a_turn_to_spare(thick):
    """Base, the board at its thickest, washer, nut and half a millimetre; in the thinnest base."""
    asked = spec(thick, "bolt-m3")
    bolt, base = asked.fixing, _housing_screws.base_mm(asked, Options())
    needed = base + thick + 0.3 + bolt.washer_thickness_mm + bolt.nut_mm + 0.5

    assert base == LEAST_BASE_MM
    assert _housing_screws.screw_mm(asked, base) == min(n for n in bolt.lengths_mm if n >= needed)
    far = spec(200.0, "bolt-m3")
    assert _housing_screws.screw_mm(far, base) is None
    with pytest.raises(NoFixing, match=rf"goes through the 200 mm board: the longest is {bolt.lengths_mm[-1]:g} mm"):
        _housing_screws.screws(far, base, ((0.0, 0.0),))


@pytest.mark.parametrize(("mirror", "side"), [(False, 1.0), (True, -1.0)])
def test_a_plug_goes_down_the_middle_of_its_slot_or_out_at_the_back(mirror, side):
    """Its hole is the diagonal of its face and the air that is drilled for, in whole millimetres."""
    asked = spec(mirror=mirror)
    servo = asked.servo.model_copy(update={"connector_width_mm": 8.0, "connector_thickness_mm": 2.6})
    asked = asked.model_copy(update={"servo": servo})
    drill = math.ceil(math.sqrt(8.0**2 + 2.6**2) + fits.CABLE_HOLE.own_mm)
    at_back = (5.0, (20.0, 40.0), 4.0)

    down = _housing_cable.cable_way(asked, ((2.0, 11.0), (30.0, 34.0)), at_back)
    assert (down["cable_hole"].at, down["cable_hole"].drill_mm) == ((side * 6.5, 32.0), drill)
    assert down["plug_path"] == ((side * 6.5, 32.0, 20.0), (side * 6.5, 32.0, -12.0 - 15.0))
    back = _housing_cable.cable_way(asked, None, at_back)
    air = fits.PLUG_GATE.own_mm
    assert back["cable_x"] == pytest.approx((5.0 - 4.0 - air, 5.0 + 4.0 + air))
    assert back["cable_top_z"] == pytest.approx(4.0 + 1.3 + air)
    assert back["plug_path"] == ((side * 5.0, 20.0, 4.0), (side * 5.0, 40.0, 4.0))
    assert _housing_cable.cable_slot_mm(servo) == pytest.approx(
        (8.0 + 2 * fits.PLUG_SLOT.own_mm, 2.6 + 2 * fits.PLUG_SLOT.own_mm)
    )
    # half the hole, a shank of wood and half a shank, and a tenth
    assert _housing_cable.off_screw_mm(asked) == pytest.approx(drill / 2 + 3.0 + 1.5 + 0.1)
    assert _housing_cable.plug_z(asked, 2.4) == pytest.approx(2.4 + 1.3 + 0.5)


@pytest.mark.parametrize(("gap", "chamfer", "lip"), [(0.2, 0.4, 3.0667), (0.2, 0.2, 3.0), (0.35, 0.3, 4.9667)])
def test_a_rim_holds_a_shell_that_hangs_askew_with_a_third_to_spare(gap, chamfer, lip):
    """Twice the gap over the height it is engaged is the slope; three quarters of a friction of 0.2 (low end)."""
    found = _housing_plan.least_lip_mm(gap, chamfer)

    assert found == pytest.approx(lip, abs=1e-3)
    assert 2 * gap / (found - chamfer) <= 0.75 * 0.2 + 1e-9


@pytest.mark.parametrize(("nozzle", "wall"), [(0.25, 1.2), (0.4, 1.2), (0.6, 1.8)])
def test_a_wall_that_carries_has_three_lines(nozzle, wall):
    """And 1.2 mm (print services)."""
    asked = request()
    printer = asked.printer.model_copy(update={"nozzle_mm": nozzle})

    assert _housing_plan.sound_mm(asked.model_copy(update={"printer": printer})) == pytest.approx(wall)


@pytest.mark.parametrize(("share", "name"), [(1.01, "wood-2.5"), (0.99, "wood-3.5")])
def test_the_first_screw_that_bears_twice_the_stall_is_taken(share, name):
    """Four of them, by what is in the board alone, length less the base under the head: wood that just holds the
    thinner one, and a hair softer."""
    thin, thick = (profile(Fixing, one) for one in ("wood-2.5", "wood-3.5"))
    asked = spec(16.0, "wood-2.5", fixing_stock=(thin, thick))
    base = _housing_screws.base_mm(asked, Options())
    deep = max(length for length in thin.lengths_mm if length - base <= 16.0 - 0.3 - 2.0 + 1e-9) - base
    pull = asked.servo.stall_torque_nmm / min(asked.servo.horn_radii_mm)
    just = 2.0 * pull / (4 * deep * thin.shank_mm)
    board = asked.board.model_copy(update={"withdrawal_n_per_mm2": share * just})

    found = _housing_screws.fixed(asked.model_copy(update={"board": board}), Options())
    assert (found.fixing.name, found.bonded) == (name, False)
