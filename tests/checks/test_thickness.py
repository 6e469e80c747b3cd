"""Wall, skin and gap on shapes whose thickness is known, and on what must give no alarm."""

from __future__ import annotations

from math import cos, radians, tan

import manifold3d as m3
import numpy as np
import pytest
from meshes import box, checks, filament, footed, lying, not_passed, part, printer, prism, teardrop

from mounts.checks.duty import Duty
from mounts.checks.facets import Facets
from mounts.checks.print_mesh import check_print
from mounts.checks.thickness import Chords, chords, without_relief


def test_plate_is_as_thick_as_drawn() -> None:
    """A 2 mm plate reads 2.000 everywhere across it; rays by the minimum, not the median."""
    found = chords(Facets.of(part(box(40, 30, 2))), inside=True)
    across = found.lengths_mm[np.abs(found.directions[:, 2]) > 0.5]

    assert 1200 <= len(across) <= 1300  # one to 2 mm² of either side, and the middle of each triangle
    assert across == pytest.approx(2.0, abs=1e-6)


@pytest.mark.parametrize("lean_deg", [0, 10, 30, 44])
def test_leaning_wall_is_measured_square_to_itself(lean_deg: float) -> None:
    """A wall 1.5 mm thick reads 1.500 whatever it leans; beside its acute edges too."""
    across, shift = 1.5 / cos(radians(lean_deg)), 20 * tan(radians(lean_deg))
    wall = prism([(0, 0), (across, 0), (across + shift, 20), (shift, 20)], 30)

    assert checks(part(wall))["wall"].value == pytest.approx(1.5, abs=1e-5)


def test_ball_shell_is_as_thick_as_its_radii_differ() -> None:
    """A shell between balls of 10 and 8 mm reads 2.0 at least, to the sag of its facets."""
    shell = m3.Manifold.sphere(10, 96) - m3.Manifold.sphere(8, 96)

    thinnest = chords(Facets.of(part(shell)), inside=True).lengths_mm.min()

    assert thinnest == pytest.approx(2.0, abs=10 * (1 - np.cos(np.pi / 96)) * 2)


def test_tube_with_its_bore_off_centre_shows_the_thin_side() -> None:
    """A bore 0.5 mm off centre in a tube of 6 and 4 mm radius leaves 1.5 mm, found at the right place."""
    tube = m3.Manifold.cylinder(10, 6, 6, 96) - m3.Manifold.cylinder(12, 4, 4, 96).translate((0.5, 0, -1))

    found = chords(Facets.of(part(tube)), inside=True)
    least = int(np.argmin(found.lengths_mm))

    assert found.lengths_mm[least] == pytest.approx(1.5, abs=0.02)
    assert found.middles_mm[least, :2] == pytest.approx([5.25, 0.0], abs=0.6)


def test_message_says_where_the_wall_is_thin() -> None:
    """The message gives the place in the print frame and the thickness to make it."""
    body = footed(30, 30, 4) + box(0.7, 10, 10).translate((8, 0, 3.9))

    check = checks(part(body))["wall"]

    assert check.verdict == "fail"
    assert check.value == pytest.approx(0.7, abs=1e-3)
    assert check.message.startswith("at (8.0,")
    assert check.at_mm[0] == pytest.approx(8.0)
    assert "0.8 mm (two lines) or more" in check.message


def test_message_says_how_thick_a_skin_is_made() -> None:
    """Two layers of 0.2 mm, better three."""
    message = checks(part(box(30, 20, 0.3)))["skin"].message

    assert "a 0.30 mm skin; make it 0.4 mm (2 layers) or more, better 0.6" in message


def test_of_two_walls_the_one_that_falls_shortest_is_told() -> None:
    """1.0 mm beside a screw, where 1.2 are wanted, before 1.5 mm under load, where 1.6 are."""
    body = footed(40, 20, 4) + box(1.0, 4, 6).translate((0, 0, 3.9)) + box(1.5, 4, 6).translate((15, 0, 3.9))
    duty = Duty(1.6, np.array([[[0.0, 0.0, 0.0], [0.0, 0.0, 1.0]]]), 2.0, drilled=False)

    (wall,) = (check for check in check_print(part(body), printer(), filament(), duty) if check.name == "wall")
    assert (wall.verdict, wall.value) == ("warn", pytest.approx(1.0, abs=1e-3))
    assert wall.limit == pytest.approx(1.2)


@pytest.mark.parametrize("pen", [0.5, 0.8, 1.0])
def test_raised_strokes_are_no_walls(pen: float) -> None:
    """Ribs 0.6 mm high, as letters are, raise no alarm whatever their width."""
    body = footed(30, 20, 4)
    for x in (-8, 0, 8):
        body += box(pen, 8, 0.8).translate((x, 0, 3.8)) + box(4, pen, 0.8).translate((x, 2, 3.8))

    assert not_passed(checks(part(body))) == {}


@pytest.mark.parametrize(("high", "verdict"), [(0.97, "pass"), (1.1, "fail"), (3.0, "fail")])
def test_same_stroke_is_a_wall_when_it_is_high(high: float, verdict: str) -> None:
    """The rib that is a letter below 1 mm is a wall, too thin, above."""
    body = footed(30, 20, 4) + box(0.5, 8, high + 0.2).translate((0, 0, 3.8))

    assert checks(part(body))["wall"].verdict == verdict


def test_pin_is_no_relief() -> None:
    """A pin 0.7 mm square and 8 high is too thin, though it ends within 1 mm to all sides."""
    assert checks(part(footed(20, 20, 4) + box(0.7, 0.7, 8).translate((0, 0, 3.9))))["wall"].verdict == "fail"


def test_web_between_two_flanges_is_no_relief() -> None:
    """A thin web 2 mm high is a wall though it is nowhere 1 mm from its flanges."""
    web = prism([(-5, 0), (5, 0), (5, 3), (0.3, 3), (0.3, 5), (5, 10), (-5, 10), (-0.3, 5), (-0.3, 3), (-5, 3)], 20)

    assert checks(part(web))["wall"].verdict == "fail"


def test_narrow_slot_through_a_thin_plate_is_no_relief() -> None:
    """A slot fuses though the plate it goes through is only 1.5 mm thick."""
    assert checks(part(footed(20, 20, 1.5) - box(0.2, 8, 9).translate((0, 0, -1))))["gap"].verdict == "fail"


def test_groove_as_deep_as_a_letter_may_fuse() -> None:
    """An engraved line 0.2 mm wide and 0.4 deep is no gap anything depends on."""
    assert not_passed(checks(part(footed(20, 20, 4) - box(0.2, 8, 9).translate((0, 0, 3.6))))) == {}


@pytest.mark.parametrize("diameter", [2, 4, 6])
def test_teardrop_holes_raise_no_alarm(diameter: float) -> None:
    """Teardrops with plastic round them are neither thin walls, nor gaps, nor overhangs."""
    body = footed(20, 12, 20) - lying(teardrop(diameter), 30).translate((0, 0, 9))

    assert not_passed(checks(part(body))) == {}


def _rib(wide: float, high: float, *, base: float, aside: float = 0.0, turn_deg: float = 0.0) -> Chords:
    """Chords across a rib, 20 long, that stands on a base 5 mm high, and is so far off its middle."""
    left, right, half = aside - wide / 2, aside + wide / 2, base / 2
    outline = [(-half, 0), (half, 0), (half, 5), (right, 5), (right, 5 + high), (left, 5 + high), (left, 5), (-half, 5)]
    facets = Facets.of(part(prism(list(dict.fromkeys(outline)), 20).rotate((0, 0, turn_deg))))
    found = chords(facets, inside=True)
    in_rib = (found.middles_mm[:, 2] > 5.05) & (np.abs(found.directions[:, 2]) < 0.1)
    return without_relief(facets, found.where(in_rib & (np.abs(found.lengths_mm - wide) < 1e-3)), 1.2)


@pytest.mark.parametrize("turn_deg", [0, 45, 160])
@pytest.mark.parametrize(
    ("wide", "high", "base", "kept"),
    [
        # 1 mm high at most
        (0.5, 0.9, 10.0, False), (0.5, 2.5, 10.0, True),
        # on what is half as wide again, and 1.2 mm
        (1.2, 0.6, 1.85, False), (1.2, 0.6, 1.75, True), (0.5, 0.6, 1.25, False), (0.5, 0.6, 1.15, True),
        # up to twice the 1.2 mm that are asked for
        (2.35, 0.6, 10.0, False), (2.45, 0.6, 10.0, True),
    ],
)  # fmt: skip
def test_a_rib_is_relief_where_it_is_low_and_stands_on_something_wider(
    wide: float, high: float, base: float, kept: bool, turn_deg: float
) -> None:
    """Turned about z as well."""
    assert (len(_rib(wide, high, base=base, turn_deg=turn_deg).lengths_mm) > 0) == kept


@pytest.mark.parametrize("tilt_deg", range(0, 360, 45))
def test_a_low_rib_is_relief_whichever_way_its_face_looks(tilt_deg: int) -> None:
    """A stroke 0.5 mm wide and 0.98 high, on a block that leans by any multiple of 45°."""
    block = box(10, 90, 5) + box(0.5, 90, 5.98)
    facets = Facets.of(part(block.rotate((tilt_deg, 0, 0))))
    found = chords(facets, inside=True)
    narrow = found.where(np.abs(found.lengths_mm - 0.5) < 1e-3)

    assert len(narrow.lengths_mm) > 10
    assert not len(without_relief(facets, narrow, 1.2).lengths_mm)


def test_a_shallow_groove_in_the_narrowest_slot_is_none() -> None:
    """Where 0.3 mm stay open an engraved line 0.1 wide and 0.4 deep in the slot's floor fuses and hurts nothing; nor
    does one up the side of a slot that lies."""
    slot = box(0.3, 30, 9).translate((0, 0, 4)) + box(0.1, 30, 9).translate((0, 0, 3.6))

    assert checks(part(footed(20, 20, 8) - slot))["gap"].verdict == "pass"
    lying_slot = slot.rotate((0, 90, 0)).translate((0, 0, 6))
    assert checks(part(footed(20, 20, 12) - lying_slot))["gap"].verdict == "pass"


def test_a_letter_on_the_end_of_a_wall_that_is_just_thick_enough_carries_nothing() -> None:
    """1.18 mm, three lines less what chords take off, under a stroke 0.5 mm wide."""
    wall = footed(30, 20, 4) + box(1.18, 8, 6).translate((0, 0, 3.8)) + box(0.5, 8, 6.6).translate((0, 0, 3.8))

    assert checks(part(wall))["wall"].verdict == "pass"


@pytest.mark.parametrize("aside", [0.55, -0.55])
def test_a_rib_at_the_edge_is_relief_as_well(aside: float) -> None:
    """0.5 mm wide at either side of a base of 1.6 mm: what is below it is measured both ways."""
    assert not len(_rib(0.5, 0.6, base=1.6, aside=aside).lengths_mm)


@pytest.mark.parametrize(("wall", "verdict"), [(1.45, "warn"), (1.65, "pass")])
def test_a_letter_on_a_wall_under_load_carries_nothing(wall: float, verdict: str) -> None:
    """A stroke 1.4 mm wide and 0.6 high where walls are 1.6 mm at least; the wall that it stands on counts."""
    body = footed(30, 20, 4) + box(1.4, 8, 0.8).translate((0, 0, 3.8)) + box(wall, 8, 6).translate((10, 0, 3.8))

    (row,) = (one for one in check_print(part(body), printer(), filament(), LOADED) if one.name == "wall")
    assert (row.verdict, row.value) == (verdict, pytest.approx(wall, abs=1e-3))


LOADED = Duty(1.6, np.zeros((0, 2, 3)), 0.0, drilled=False)


@pytest.mark.parametrize(("least", "verdict"), [(0.9, "pass"), (1.3, "fail")])
def test_a_printer_may_have_a_thinnest_wall_of_its_own(least: float, verdict: str) -> None:
    """As read off the test piece, where it is more than two lines of 0.4 mm; a wall of 1.25 mm is short of 1.3."""
    body = footed(30, 20, 4) + box(1.25, 8, 6).translate((0, 0, 3.8))

    row = checks(part(body), thinnest_wall_mm=least)["wall"]
    assert (row.verdict, row.value) == (verdict, pytest.approx(1.25, abs=1e-3))
    assert ("make it 1.3 mm (two lines) or more, better 1.3" in row.message) == (verdict == "fail")


@pytest.mark.parametrize(("lean_deg", "name"), [(44, "wall"), (46, "skin")])
def test_what_leans_more_than_it_stands_is_a_skin(lean_deg: float, name: str) -> None:
    """45° between a wall's side and level."""
    across, shift = 0.5 / cos(radians(lean_deg)), 8 * tan(radians(lean_deg))
    blade = prism([(0, 0), (across, 0), (across + shift, 8), (shift, 8)], 20)

    row = checks(part(blade))[name]
    assert row.value == pytest.approx(0.5, abs=1e-3)
    assert f"least {name} at" in row.message or f"a 0.50 mm {name}" in row.message
