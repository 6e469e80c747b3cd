"""What any mount does for its servo and its screws, by hand: mirror, seat, bores, margins and screws."""

from __future__ import annotations

import sys

import light_kernel
import numpy as np
import pytest
from requests_for_drives import request
from shapely import MultiPolygon

from mounts.inputs import fits
from mounts.styles import _mounting
from mounts.styles._pilots import Pilots


def spec(**figures):
    """A request whose printer closes standing holes by 0.2, lying ones by 0.3, and bulges 0.25 on the bed."""
    asked = request(mirror=figures.pop("mirror", False))
    printer = asked.printer.model_copy(
        update={"hole_upright_mm": 0.2, "hole_lying_mm": 0.3, "elephant_foot_mm": 0.25, "fits_mm": {}} | figures
    )
    return asked.model_copy(update={"printer": printer})


@pytest.mark.parametrize(("foot", "chamfer"), [(0.0, 0.3), (0.14, 0.3), (0.16, 0.31), (0.4, 0.55)])
def test_an_edge_on_the_bed_is_chamfered_past_the_bulge(foot, chamfer):
    """0.15 mm more than it bulges, 0.3 mm at least."""
    assert _mounting.bed_chamfer_mm(spec(elephant_foot_mm=foot).printer) == pytest.approx(chamfer)


def test_a_fixing_screw_has_its_clearance_as_printed_and_a_rim_round_its_head():
    """The clearance and what closes up, standing or lying; half a head and 1.6 mm."""
    asked = spec()

    assert _mounting.bore_mm(asked, fits.FIXING_UPRIGHT) == pytest.approx(asked.fixing.clearance_mm + 0.2)
    assert _mounting.bore_mm(asked, fits.FIXING_LYING) == pytest.approx(asked.fixing.clearance_mm + 0.3)
    assert _mounting.head_margin_mm(asked) == pytest.approx(asked.fixing.head_mm / 2 + 1.6)


@pytest.mark.parametrize(("mirror", "side"), [(False, 1.0), (True, -1.0)])
@pytest.mark.parametrize(("up", "way"), [(True, 1.0), (False, -1.0)])
def test_screws_go_square_into_the_board_where_they_meet_the_mount(mirror, side, up, way):
    """Mirrored along the track alone; up from below, or down."""
    asked, heads = spec(mirror=mirror), ((4.0, 5.0), (-7.0, 9.0))

    found = _mounting.screws(asked, heads, -3.0, up=up, length_mm=12.0)
    assert [screw.head for screw in found] == [(side * 4.0, 5.0, -3.0), (side * -7.0, 9.0, -3.0)]
    assert {screw.direction for screw in found} == {(0.0, 0.0, way)}
    assert {screw.length_mm for screw in found} == {12.0}
    assert _mounting.fixings(asked, heads, 1.5) == ((side * 4.0, 5.0, 1.5), (side * -7.0, 9.0, 1.5))


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("rotation", [_mounting.ON_ITS_SIDE, _mounting.TURNED])
def test_a_mirrored_servo_is_the_same_servo_turned_over(mirror, rotation):
    """Never its mirror image: what is symmetric about its middle stands where the mirror of the mount puts it, along
    the case and along the shaft; the shaft lies along the track."""
    here = np.array(_mounting.servo_matrix(spec(mirror=mirror), rotation, (3.0, 4.0, 5.0)))
    plain = np.array(_mounting.servo_matrix(spec(), rotation, (3.0, 4.0, 5.0)))
    mirrored = np.diag([-1.0 if mirror else 1.0, 1.0, 1.0])

    assert plain[:3, :3].tolist() == rotation.tolist()
    assert plain[:3, 3].tolist() == [3.0, 4.0, 5.0]
    assert here[:3, 3].tolist() == [-3.0 if mirror else 3.0, 4.0, 5.0]
    assert np.linalg.det(here[:3, :3]) == pytest.approx(1.0)
    for along, across, up in ((7.0, 2.0, 1.0), (-3.0, 2.0, 9.0)):
        images = [mirrored @ (plain @ (along, side * across, up, 1.0))[:3] for side in (1.0, -1.0)]
        own = [(here @ (along, side * across, up, 1.0))[:3] for side in (1.0, -1.0)]
        assert sorted(map(tuple, np.round(own, 9))) == sorted(map(tuple, np.round(images, 9)))
    assert np.abs(plain[:3, 2]) == pytest.approx([1.0, 0.0, 0.0])


@pytest.mark.parametrize(("length", "span", "web"), [(22.0, 32.0, 2.8), (19.0, 32.0, 3.5), (22.0, 29.0, 2.0)])
def test_the_web_beside_a_screw_is_the_thinner_of_both_sides(length, span, web):
    """Holes 28 apart: to the case's opening, 0.2 mm off it a side, or 1.5 mm past the end of the ear."""
    asked = spec(slip_fit_mm=0.2)
    servo = asked.servo.model_copy(
        update={"flange_hole_spacing_mm": 28.0, "case_length_mm": length, "flange_span_mm": span}
    )
    assert fits.POCKET.air_mm(asked.printer) == pytest.approx(0.2)
    assert _mounting.web_mm(asked.model_copy(update={"servo": servo})) == pytest.approx(web)


@pytest.mark.parametrize(("printed", "drill"), [(1.9, None), (1.9, 1.6), (None, 1.6)])
def test_a_plan_tells_how_the_servos_holes_are_made(printed, drill):
    """Marked only where none is printed."""
    told = _mounting.servo_screws(spec(), Pilots(printed_mm=printed, drill_mm=drill))

    assert (told["pilot_drill_mm"], told["pilots_marked"]) == (drill, printed is None)


def test_a_lying_servo_has_its_case_across_the_track_and_its_shaft_along_it():
    """Its far end to +y, or, beside a partner, to -y; z to z or upside down, x along the shaft; nothing sheared."""
    assert (_mounting.ON_ITS_SIDE @ (1, 2, 3)).tolist() == [3, 1, 2]
    assert (_mounting.TURNED @ (1, 2, 3)).tolist() == [3, -1, -2]


@pytest.mark.parametrize(("nozzle", "pen"), [(0.4, 1.0), (0.5, 1.1), (0.8, 1.76)])
def test_a_name_is_written_in_strokes_of_two_lines(monkeypatch, nozzle, pen):
    """2.2 nozzles, a millimetre at least; capitals of 6 mm in the room there is."""
    told = {}
    light_kernel.install(monkeypatch)
    lettering = sys.modules["mounts.solid.lettering"]
    monkeypatch.setattr(lettering, "outline", lambda text, **asked: told.update(asked, text=text) or MultiPolygon())

    body = object()
    place = {"at": (0, 0, 0), "along": (1, 0, 0), "out": (0, 0, 1)}
    assert _mounting.named(body, spec(nozzle_mm=nozzle), "A1", **place, room_mm=(20.0, 8.0)) is body
    assert told == {"text": "A1", "capital_mm": 6.0, "pen_mm": pytest.approx(pen), "room_mm": (20.0, 8.0)}
