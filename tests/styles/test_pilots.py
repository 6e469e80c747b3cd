"""The servo's own screws against the published rule: core 0.80 to 0.85 d, engagement 2.5 d, boss 2.0 d."""

import pytest

from mounts.inputs import fits
from mounts.inputs.library import Library
from mounts.styles import _pilots

LIBRARY = Library()
SERVOS = [LIBRARY.servo(name) for name in LIBRARY.names("servo")]
PRINTERS = [LIBRARY.printer(name) for name in LIBRARY.names("printer")]


@pytest.mark.parametrize("printer", PRINTERS, ids=lambda printer: printer.name)
@pytest.mark.parametrize("servo", SERVOS, ids=lambda servo: servo.name)
@pytest.mark.parametrize("hole", [fits.PILOT_UPRIGHT, fits.PILOT_LYING], ids=lambda hole: hole.name)
@pytest.mark.parametrize("side_mm", [1.6, 2.0, 2.4, 3.0])
def test_the_core_is_that_of_moulded_parts_printed_or_drilled(servo, printer, hole, side_mm):
    """Screws into plastic (standards, 7): as it comes out, or as it is drilled, the hole is 0.80 to 0.85 d; what is
    printed can be drawn and leaves three lines and the wall of a 2.0 d boss beside it; rough ones are drilled."""
    found = _pilots.pilots(servo, printer, hole, side_mm)
    closes_up_mm = printer.hole_upright_mm if hole is fits.PILOT_UPRIGHT else printer.hole_lying_mm

    d = servo.screw_mm
    if found.drill_mm is not None:
        assert 0.80 * d - 1e-9 <= found.drill_mm <= 0.85 * d + 1e-9
    if found.printed_mm is None:
        assert found.drill_mm is not None
        too_thin = side_mm - (0.8 * d + closes_up_mm) / 2 < max(0.6 * d, 3 * printer.nozzle_mm) + 0.03
        assert too_thin or 0.85 * d + closes_up_mm < printer.smallest_hole_mm
        return
    assert 0.80 * d - 1e-9 <= found.printed_mm - closes_up_mm <= 0.85 * d + 1e-9
    assert found.printed_mm >= printer.smallest_hole_mm
    assert side_mm - found.printed_mm / 2 >= max(0.6 * d, 3 * printer.nozzle_mm)
    assert (found.drill_mm is None) == (found.printed_mm >= printer.smallest_hole_mm + 0.5 - 1e-9)


@pytest.mark.parametrize("servo", SERVOS, ids=lambda servo: servo.name)
@pytest.mark.parametrize("own_mm", [4.0, 6.0, 8.0, 12.0])
def test_a_screw_engages_two_and_a_half_diameters(servo, own_mm):
    """The servo's own where they do, else the shortest sold; the wall is as thick."""
    short = servo.model_copy(update={"screw_length_mm": own_mm})

    length = _pilots.length_mm(short)
    deep = length - servo.flange_thickness_mm
    assert deep >= 2.5 * servo.screw_mm - 1e-9
    if own_mm - servo.flange_thickness_mm >= 2.5 * servo.screw_mm / 0.95:
        assert length == own_mm
    assert _pilots.wall_mm(short) >= 2.5 * servo.screw_mm


@pytest.mark.parametrize(
    ("screw", "own", "flange", "wanted"),
    # 2.5 d in what is 95 % round: 5.263 mm of 2.0, and the ear
    [(2.0, 9.0, 2.5, 9.0), (2.0, 6.0, 0.73, 6.0), (2.0, 6.0, 0.74, 8.0), (2.0, 6.0, 2.5, 8.0), (2.0, 6.0, 2.8, 10.0),
     (4.0, 6.0, 2.5, 16.0), (8.0, 6.0, 2.5, 6.0)],
)  # fmt: skip
def test_the_shortest_that_is_sold_is_taken_where_the_servo_s_own_is_too_short(screw, own, flange, wanted):
    """4, 5, 6, 8, 10, 12, 16 and 20 mm; where none is long enough the servo's own."""
    servo = SERVOS[0].model_copy(update={"screw_mm": screw, "screw_length_mm": own, "flange_thickness_mm": flange})
    enough = own >= flange + 2.5 / 0.95 * screw - 1e-9
    assert _pilots.length_mm(servo) == (own if enough else wanted)


@pytest.mark.parametrize(
    ("screw", "drill"),
    # 0.80 to 0.85 d; a tenth where one lies between
    [(2.0, 1.6), (2.3, 1.9), (1.5, 1.2), (2.6, 2.1), (1.2, 1.0), (1.41, 1.16), (3.0, 2.4), (1.1, 0.9)],
)
def test_a_core_is_drilled_to_a_tenth_where_one_is_right(screw, drill):
    """Drills go by tenths; 1.41 mm has none between 1.128 and 1.1985, and gets the middle to a hundredth."""
    assert _pilots.core_drill_mm(SERVOS[0].model_copy(update={"screw_mm": screw})) == pytest.approx(drill)


@pytest.mark.parametrize(("screw", "pilot"), [(2.0, None), (2.0, 1.7), (2.0, 2.6), (2.0, 4.2), (3.5, 3.0), (1.2, 1.1)])
def test_a_boss_goes_round_the_hole_and_a_roof_s_point_higher(screw, pilot):
    """1.25 d from the axis at least; round the hole three lines of 0.4 mm or 0.6 d, whichever is more, and 0.02; the
    hole at least 0.85 d and the 0.4 mm that a test piece may add. A teardrop's point is √2 radii up, and 0.3 mm."""
    servo = SERVOS[0].model_copy(update={"screw_mm": screw})
    (printer,) = (printer for printer in PRINTERS if printer.name == "fdm-0.4")
    radius = max(pilot or 0.0, 0.85 * screw + 0.4) / 2
    web = max(3 * printer.nozzle_mm, 0.6 * screw) + 0.02

    beside, over = _pilots.boss_mm(servo, printer, pilot)
    assert beside == pytest.approx(max(1.25 * screw, radius + web))
    assert over == pytest.approx(max(1.25 * screw, radius * 2 / 2**0.5 + 0.3 + web))
    assert _pilots.wall_mm(servo) == pytest.approx(max(5.0, 2.5 * screw / 0.95 + 0.3))


@pytest.mark.parametrize(
    ("sold", "next_one"), [(4.0, 5.0), (5.0, 6.0), (6.0, 8.0), (8.0, 10.0), (10.0, 12.0), (12.0, 16.0), (16.0, 20.0)]
)
def test_every_length_that_is_sold_is_taken_as_far_as_it_reaches(sold, next_one):
    """A 1 mm screw needs 2.63 mm past the ear: a hair less than is there, and a hair more."""
    for more, length in ((-0.01, sold), (0.01, next_one)):
        ear = sold - 2.5 / 0.95 + more
        servo = SERVOS[0].model_copy(update={"screw_mm": 1.0, "screw_length_mm": 2.0, "flange_thickness_mm": ear})
        assert _pilots.length_mm(servo) == length


@pytest.mark.parametrize(
    ("tried", "side", "printed", "drill"),
    [
        # 0.80 d and what closes up, or clean from 2.0 mm on, 0.85 d and what closes up at most
        (None, 5.0, 1.9, 1.6), (None, 2.12, 1.8, 1.6), (None, 2.1, None, 1.6),
        # as it was tried: the widest
        (0.35, 5.0, 2.05, None), (0.25, 5.0, 1.95, 1.6),
    ],
)  # fmt: skip
def test_a_hole_is_as_wide_as_comes_out_clean_or_as_it_was_tried(tried, side, printed, drill):
    """For a 2 mm screw, where a hole closes up by 0.2 mm and prints clean from 2.0; beside it 1.2 mm and 0.02."""
    (printer,) = (printer for printer in PRINTERS if printer.name == "fdm-0.4")
    printer = printer.model_copy(update={
        "hole_upright_mm": 0.2, "smallest_hole_mm": 1.5,
        "fits_mm": {} if tried is None else {fits.PILOT_UPRIGHT.key: tried},
    })  # fmt: skip
    found = _pilots.pilots(SERVOS[0].model_copy(update={"screw_mm": 2.0}), printer, fits.PILOT_UPRIGHT, side)
    assert found.printed_mm == (None if printed is None else pytest.approx(printed))
    assert found.drill_mm == (None if drill is None else pytest.approx(drill))
