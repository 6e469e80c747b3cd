"""Holes against closed forms: areas, volumes and leans that can be worked out by hand."""

import math

import cadquery as cq
import numpy as np
import pytest
from shapely.geometry import Point, Polygon

from mounts.inputs.library import Library
from mounts.solid.holes import circle, countersink, lying_screw, pivot_slot, teardrop
from mounts.solid.plates import chamfered_plate, prism

pytestmark = pytest.mark.solid


@pytest.mark.parametrize("up", [(0, 1), (0, -1), (1, 0)])
@pytest.mark.parametrize("diameter", [1.0, 1.74, 3.7, 10.0])
def test_a_teardrop_holds_its_circle_and_has_a_45_degree_roof(diameter, up):
    """The circle lies inside (nowhere smaller), the ridge is √2 radii up and what its steeper tip adds."""
    drop = Polygon(teardrop((3.0, 4.0), diameter, point=up))
    round_hole = Point(3.0, 4.0).buffer(diameter / 2, quad_segs=64)

    assert drop.is_valid
    assert drop.buffer(1e-9).contains(round_hole)
    _, low, right, high = drop.bounds
    reach = {(0, 1): high - 4, (0, -1): 4 - low, (1, 0): right - 3}[up]
    drawn_round = diameter / 2 / math.cos(math.pi / 32)
    assert reach == pytest.approx(math.sqrt(2) * drawn_round + 0.6 * min(0.3, drawn_round / 2))
    assert drop.area < 1.16 * round_hole.area


def test_a_circle_is_drawn_round_the_true_one():
    """No point of the polygon is nearer than the radius: a screw that fits the number fits the hole."""
    ring = Polygon(circle((0, 0), 2.0))

    assert ring.exterior.distance(Point(0, 0)) == pytest.approx(1.0)
    assert ring.area == pytest.approx(math.pi, rel=0.01)


@pytest.mark.parametrize("name", ["wood-3", "no-4"])
def test_a_countersink_takes_the_head(name):
    """At the face it is the head and 0.2 mm a side; the cone's angle is the head's: volume of a frustum."""
    fixing = Library().fixing(name)
    cone = countersink((1.0, 2.0, -22.0), fixing)
    slope = math.tan(math.radians(fixing.head_angle_deg / 2))

    wide, narrow = fixing.head_mm / 2 + 0.2 + 0.1 * slope, 0.6
    height = (wide - narrow) / slope
    expected = math.pi * height / 3 * (wide**2 + wide * narrow + narrow**2)
    assert expected == pytest.approx(cone.Volume(), rel=1e-6)
    at_face = cone.intersect(cq.Solid.makeBox(20, 20, 0.001, cq.Vector(-10, -10, -22)))
    assert at_face.Volume() / 0.001 == pytest.approx(math.pi * (fixing.head_mm / 2 + 0.2) ** 2, rel=1e-3)


BELOW = cq.Plane(origin=(0, 0, 0), xDir=(1, 0, 0), normal=(0, 0, -1))


def test_a_lying_screw_s_hole_leans_no_more_than_it_prints():
    """No face points down more than 45° when +x is up; a plain cone for a 90° head would reach 45° and more."""
    fixing = Library().fixing("wood-3")
    body = lying_screw(BELOW, (0, 0), fixing, bore_mm=3.4, deep_mm=4.0, up=(1.0, 0.0)).tool("draw it")

    assert body.isValid()
    # the recess is cut out: its own outward normal up (+x) is the mount's surface looking down
    leans = [math.degrees(math.asin(max(face.normalAt().x, 0))) for face in body.Faces()]
    assert 25 < max(leans) <= 45


def test_a_lying_screw_s_head_sinks_in_and_its_shank_goes_through():
    """At the face a teardrop round the head and 0.2 mm a side, at the head's angle down to the bore's, 4 mm deep."""
    fixing = Library().fixing("wood-3")
    (face, at_face), (neck, head), (end, deep) = lying_screw(
        BELOW, (1.0, 2.0), fixing, bore_mm=3.4, deep_mm=4.0, up=(1.0, 0.0)
    ).rings

    assert (at_face, deep) == (0.0, 4.0)
    assert neck == end == teardrop((1.0, 2.0), 3.4, point=(1.0, 0.0))
    assert face == teardrop((1.0, 2.0), fixing.head_mm + 0.4, point=(1.0, 0.0))
    wide, narrow = fixing.head_mm / 2 + 0.2, 1.7
    assert 2 * math.degrees(math.atan((wide - narrow) / head)) == pytest.approx(fixing.head_angle_deg)


def test_a_head_may_be_deeper_than_its_plate():
    """It then leaves a hole that is wider than the bore: a millimetre down, a millimetre less in radius at 90°."""
    fixing = Library().fixing("wood-3")
    assert fixing.head_angle_deg == 90.0
    (_, _), (end, deep) = lying_screw(BELOW, (0, 0), fixing, bore_mm=3.4, deep_mm=1.0, up=(1.0, 0.0)).rings

    assert deep == 1.0
    assert np.array(end) == pytest.approx(np.array(teardrop((0, 0), fixing.head_mm + 0.4 - 2.0, point=(1.0, 0.0))))


@pytest.mark.parametrize("flare_deg", [15.0, 40.0])
def test_a_lying_pivot_slot_has_a_roof_all_the_way_through(flare_deg):
    """No face that looks down when +x is up leans more than 45°, in land and flares alike; the width stays."""
    slot = pivot_slot(
        BELOW, (0, 0), deep_mm=4.0, length_x_mm=2.0, width_y_mm=0.75, land_mm=0.9, flare_deg=flare_deg, roofed=True
    ).tool("draw it")

    leans = [math.degrees(math.asin(max(face.normalAt().x, 0))) for face in slot.Faces()]
    assert 30 < max(leans) <= 45 + 1e-6
    middle = slot.intersect(cq.Solid.makeBox(0.1, 20, 0.1, cq.Vector(0, -10, 1.95)))
    assert middle.Volume() == pytest.approx(0.1 * 0.1 * 0.75)


def test_a_plate_is_its_sketch_less_holes_and_chamfer():
    """Closed form to 0.1 %: rounded rectangle times thickness, less the holes and the triangle of the chamfer."""
    plate = chamfered_plate(
        (-20, 10), (-15, 25), top_z=-18, thickness_mm=4, corner_mm=3, chamfer_mm=0.3, holes=[(0, 0, 3.6)]
    )

    area = 30 * 40 - (4 - math.pi) * 9
    rim = 2 * (30 + 40) - (8 - 2 * math.pi) * 3
    expected = 4 * (area - math.pi * 1.8**2) - rim * 0.3**2 / 2
    assert plate.Volume() == pytest.approx(expected, rel=1e-3)
    box = plate.BoundingBox()
    assert (box.zmin, box.zmax) == pytest.approx((-22, -18), abs=1e-6)


def test_a_prism_goes_against_its_plane_for_a_negative_height():
    """A wall drawn on its face and extruded back: x from −5 to 0, hole left out."""
    wall = prism(
        cq.Plane(origin=(0, 0, 0), xDir=(0, 1, 0), normal=(1, 0, 0)),
        [(0, 0), (10, 0), (10, 8), (0, 8)],
        -5.0,
        holes=[[(2, 2), (4, 2), (4, 4), (2, 4)]],
    )

    assert wall.Volume() == pytest.approx(5 * (80 - 4))
    assert (wall.BoundingBox().xmin, wall.BoundingBox().xmax) == pytest.approx((-5, 0))
