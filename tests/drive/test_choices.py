"""What there is to choose from, and how a figure is written that must not look like its limit."""

from __future__ import annotations

import numpy as np
import pytest
from requests_for_drives import request

from mounts.drive.choices import Axes, drill_mm, radii_of, round_pulses_us, stock_of, swings_rad
from mounts.drive.figures import fixed, told_apart
from mounts.errors import InputError


def test_wires_and_arm_holes_are_those_in_stock_or_the_pinned_one():
    """To a micrometre; one that there is not is a fault that names what there is."""
    spec = request()
    sizes, holes = [wire.diameter_mm for wire in spec.wire.stock], spec.servo.horn_radii_mm
    assert (stock_of(spec), radii_of(spec)) == (spec.wire.stock, holes)
    for off, found in ((0.0, True), (5e-7, True), (-5e-7, True), (2e-6, False), (-2e-6, False)):
        near = request(wire_mm=sizes[1] + off, arm_hole_mm=holes[2] + off)
        if found:
            assert [wire.diameter_mm for wire in stock_of(near)] == [sizes[1]]
            assert radii_of(near) == (holes[2],)
        else:
            for choose in (stock_of, radii_of):
                with pytest.raises(InputError):
                    choose(near)
    with pytest.raises(
        InputError, match=f"must be one of {' '.join(f'{size:g}' for size in sizes)} mm .stock.*0.55|0.55"
    ):
        stock_of(request(wire_mm=0.55))
    with pytest.raises(InputError, match=f"must be one of {' '.join(f'{hole:g}' for hole in holes)} mm"):
        radii_of(request(arm_hole_mm=8.5))


def test_swings_are_round_pulses_from_10_to_50_degrees_both_ends_among_them():
    """0.1° a µs: 100 to 500 µs in tens; 0.0925: 108.1 to 540.5, so 110 to 540; a pinned one, or a family's."""
    spec = request()
    even = spec.model_copy(update={"servo": spec.servo.model_copy(update={"degrees_per_us": 0.1})})

    assert round_pulses_us(even).tolist() == [10.0 * n for n in range(10, 51)]
    assert round_pulses_us(spec).tolist() == [10.0 * n for n in range(11, 55)]
    assert round_pulses_us(spec, step_us=1.0)[[0, -1]].tolist() == [109.0, 540.0]
    assert np.degrees(swings_rad(even)) == pytest.approx(np.arange(10.0, 51.0))
    assert np.degrees(swings_rad(request(swing_deg=31.5))) == pytest.approx([31.5])
    assert np.degrees(swings_rad(even, Axes(pulses_us=(123.0, 321.0)))) == pytest.approx([12.3, 32.1])


def test_an_arm_s_hole_is_opened_for_a_wire_that_has_no_play_in_it():
    """As bought, or the wire and 0.2 mm."""
    spec = request()
    assert drill_mm(np.array([0.5, 0.8, 0.81, 1.2]), spec) == pytest.approx([1.0, 1.0, 1.01, 1.4])


@pytest.mark.parametrize(
    ("value", "limit", "places", "told"),
    [
        (0.1996, 0.2, 2, ("0.1996", "0.2000")), (61.0, 60.0, 0, ("61", "60")),
        (0.20001, 0.2, 2, ("0.20001", "0.20000")),
        (0.200001, 0.2, 2, ("0.20", "0.20")), (-0.004, 0.0, 2, ("-0.004", "0.000")),
    ],
)  # fmt: skip
def test_a_figure_is_told_apart_from_its_limit(value, limit, places, told):
    """By as many decimals as it takes, five at most; the sixth is within the rounding of a check."""
    assert told_apart(value, limit, places) == told
    assert fixed(-0.004, 2) == "0.00"
