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
