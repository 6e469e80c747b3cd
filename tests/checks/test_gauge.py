"""The structure gauge swept along a track, cut open and measured from the centre line."""

from __future__ import annotations

import math

import numpy as np
import pytest
from requests_for_drives import profile

from mounts import gauge
from mounts.errors import NoDesign
from mounts.inputs.scale import Scale

BAND = gauge.Band(2.0, 10.0, 12.0, 16.0)  # 14 wide half way up
MIDDLE_Y = {"straight": 0.0, "inside": -7.0 + 150.0, "outside": -7.0 - 150.0}


def away(points, bend):
    """From the centre line, towards +y."""
    if bend == "straight":
        return points[:, 1] + 7.0
    far = np.hypot(points[:, 0], points[:, 1] - MIDDLE_Y[bend])
    return 150.0 - far if bend == "inside" else far - 150.0


@pytest.mark.parametrize("bend", ["straight", "inside", "outside"])
@pytest.mark.parametrize("x_span", [(-20.0, 35.0), (-35.0, 20.0), (5.0, 30.0), (-0.5, -0.25)])
def test_a_cut_through_the_swept_gauge_is_as_wide_as_its_band(bend, x_span):
    """At each height both its long edges are the band's half width from the centre line, everywhere to a hundredth,
    over the stretch asked for and at least 15 mm more at either end."""
    track = gauge.Track(-7.0, bend, None if bend == "straight" else 150.0)
    body = gauge.swept(BAND, track, rail_top_z=5.0, x_span=x_span)
    low, high = np.array(body.bounding_box()).reshape(2, 3)
    assert (low[2], high[2]) == pytest.approx((7.0, 15.0), abs=1e-5)

    for up, half in ((0.001, 12.0), (4.0, 14.0), (7.999, 16.0)):
        (line,) = body.slice(7.0 + up).to_polygons()
        edges = np.concatenate([line, (line + np.roll(line, 1, axis=0)) / 2])
        off = away(edges, bend)
        assert off.max() == pytest.approx(half, abs=0.011)
        assert off.min() == pytest.approx(-half, abs=0.011)
        within = (edges[:, 0] > x_span[0]) & (edges[:, 0] < x_span[1])
        assert np.abs(off[within]) == pytest.approx(half, abs=0.011)
        for side in (off > 0, off < 0):
            assert edges[side, 0].min() <= min(x_span[0], 0.0) - 15.0
            assert edges[side, 0].max() >= max(x_span[1], 0.0) + 15.0
            assert np.ptp(edges[side, 0]) <= 2.0 * (max(np.abs(x_span)) + 20.0) * 166.0 / (150.0 - 16.0)


@pytest.mark.parametrize("bend", ["inside", "outside"])
@pytest.mark.parametrize("radius_mm", [60.0, 150.0, 600.0, 2000.0, 20000.0])
def test_an_arc_strays_by_the_hundredth_asked_for_and_is_no_finer_than_it_need_be(bend, radius_mm):
    """The middles of the outermost chords lie at most 0.01 mm inside the circle, and at least a quarter of that.

    A chord that turns by φ strays r·(1 − cos φ/2); corners of the body in single precision are 1e-4 mm off at most.
    """
    track = gauge.Track(0.0, bend, radius_mm)
    body = gauge.swept(gauge.Band(0.0, 5.0, 20.0, 20.0), track, rail_top_z=0.0, x_span=(-15.0, 15.0))
    points = np.asarray(body.to_mesh64().vert_properties)[:, :2] - (0.0, track.middle_y())
    outer = radius_mm + 20.0
    rim = points[np.abs(np.hypot(*points.T) - outer) < 1e-3]
    turned = np.unique(np.round(np.arctan2(rim[:, 0], np.abs(rim[:, 1])), 6))
    strays = outer * (1.0 - np.cos(np.diff(turned) / 2.0))

    assert turned.size >= 4
    assert strays.max() <= 0.0101
    assert strays.min() >= 0.0025


@pytest.mark.parametrize(("bend", "radius"), [("straight", None), ("inside", 120.0), ("outside", 180.0)])
def test_a_track_beside_has_the_same_middle(bend, radius):
    """30 mm towards +y: nearer to the middle inside a curve, farther outside; points keep 30 mm less from it."""
    own = gauge.Track(-7.0, bend, None if bend == "straight" else 150.0)
    other = own.beside(30.0)
    points = np.array([[0.0, 40.0, 0.0], [25.0, 3.0, 9.0], [-60.0, -20.0, 1.0]])

    assert (other.y, other.bend, other.radius_mm) == (23.0, bend, radius)
    if radius:
        assert own.middle_y() == other.middle_y() == MIDDLE_Y[bend]
    assert own.away_mm(points) == pytest.approx(away(points, bend))
    assert other.away_mm(points) == pytest.approx(away(points, bend) - 30.0)


def test_a_track_needs_a_radius():
    """On the middle of the curve and beyond it there is none."""
    own = gauge.Track(0.0, "inside", 100.0)

    assert own.beside(99.0).radius_mm == 1.0
    for distance in (100.0, 101.0):
        with pytest.raises(NoDesign, match=rf"a track {distance:g} mm beside a curve of R 100 mm"):
            own.beside(distance)


def test_the_bands_are_the_standards_steps():
    """H0, halves of NEM 102: 42 up to HL1, 48 to HL3 = 45, narrowing to 32 at HL4 = 59; widened on each side."""
    hl1 = profile(Scale, "HO").structure_gauge.hl1_mm
    bands = gauge.bands(profile(Scale, "HO").structure_gauge, 3.0)

    assert bands == (
        gauge.Band(0.0, hl1, 24.0, 24.0), gauge.Band(hl1, 45.0, 27.0, 27.0), gauge.Band(45.0, 59.0, 27.0, 19.0),
    )  # fmt: skip
    assert bands[2].half_mm(np.array([45.0, 52.0, 59.0])).tolist() == [27.0, 23.0, 19.0]
    assert gauge.bands(profile(Scale, "HO").structure_gauge)[1] == gauge.Band(hl1, 45.0, 24.0, 24.0)


def test_where_nothing_was_published_the_widening_says_so():
    """Straight track needs none; a scale without a table has none, unpublished; below the table it grows as 1/R."""
    rails = profile(Scale, "N")

    assert gauge.widening(rails, None) == gauge.Widening(0.0, "", True)
    bare = gauge.widening(rails.model_copy(update={"curve_widening": ()}), 400.0)
    assert (bare.each_side_mm, bare.published) == (0.0, False)
    row = min(rails.curve_widening, key=lambda row: row.radius_mm)
    assert gauge.widening(rails, row.radius_mm, "C").published
    tight = gauge.widening(rails, row.radius_mm / 3.0, "C")
    assert (tight.each_side_mm, tight.published) == (pytest.approx(3.0 * (row.group_c_mm + 0.5)), False)
    assert f"begins at R {row.radius_mm:g}: group C from there by 1/R" in tight.told
    assert math.isclose(gauge.widening(rails, row.radius_mm * 0.999, "A").each_side_mm, (row.group_a_mm + 0.5) / 0.999)
