"""The bodies round a mount, against hand constructions."""

import math

import numpy as np
import pytest
from made import kept
from shapely.geometry import LineString

from mounts import scene
from mounts.drive.rocking_wire.kinematics import pin_offset_mm

pytestmark = pytest.mark.solid


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("lie", ["across", "down"])
def test_the_wire_of_the_scene_is_the_wire_of_the_linkage(lie, mirror):
    """At 13 arm angles the drawn wire passes the pivot and is at the pin's height where the formula says."""
    design = kept({"lie": lie}, mirror=mirror, max_depth=80).design
    drive = design.drive

    for theta in scene.arm_angles_rad(design):
        path = scene.wire_path(design, float(theta))
        line = LineString(path[-2:, 1:])
        pin = line.interpolate(0, normalized=True)
        level = LineString([(-50, design.datums.pin[2]), (50, design.datums.pin[2])])
        pin = line.intersection(level)
        expected = pin_offset_mm(
            float(theta),
            horn_radius_mm=drive.horn_radius_mm,
            pivot_to_horn_mm=drive.pivot_to_horn_mm,
            pivot_to_pin_mm=drive.pivot_to_pin_mm,
            horn_towards_pivot=drive.horn_towards_pivot,
        )
        assert pin.x == pytest.approx(float(expected), abs=1e-6)
        pivot = LineString([(0.0, design.datums.pivot[2]), (0.0, design.datums.pivot[2])])
        assert line.distance(pivot) == pytest.approx(0, abs=1e-9)
        assert path[:, 0] == pytest.approx(np.where(np.arange(len(path)) < 2, path[0, 0], 0.0), abs=1e-9)


@pytest.mark.parametrize("mirror", [False, True])
def test_the_arm_turns_the_way_the_pulses_say(mirror):
    """A longer pulse turns the 9 g class counter-clockwise at the shaft; the pin must go where the report says."""
    design = kept(mirror=mirror).design
    pulses = design.drive.pulse_us
    _, axis = scene.shaft_axis(design)
    turn = math.radians(design.drive.swing_deg) * (1 if pulses.reverse > pulses.centre else -1)

    mid = np.array(design.datums.horn_at_mid)
    turned = mid * math.cos(turn) + np.cross(axis, mid) * math.sin(turn)  # Rodrigues, ccw about the shaft
    assert design.spec.servo.pulse_turns == "ccw"
    assert turned[1] < 0  # a rocking wire takes its pin to +y when the arm's hole goes to −y


def test_the_servo_body_has_the_volume_of_its_pieces():
    """Case and ears as boxes, boss and spline as cylinders (48 sides drawn round, +0.3 %)."""
    design = kept().design
    servo = design.spec.servo

    case = servo.case_length_mm * servo.case_width_mm * servo.case_height_mm
    ears = (servo.flange_span_mm - servo.case_length_mm) * servo.case_width_mm * servo.flange_thickness_mm
    top = servo.case_height_mm - servo.flange_underside_height_mm
    boss = math.pi * servo.boss_mm**2 / 4 * servo.boss_height_mm
    spline = math.pi * servo.spline_mm**2 / 4 * (servo.spline_top_height_mm - top - servo.boss_height_mm)
    assert scene.servo_body(design).volume() == pytest.approx(case + ears + boss + spline, rel=3e-3)


def test_the_mesh_is_put_back_onto_the_solid():
    """print_to_mount takes the STL onto the STEP: the bodies' common part is all of either."""
    mount = kept()
    box = mount.parts[0].solid.BoundingBox()

    body = scene.mount_body(mount.meshes)
    assert body.bounding_box() == pytest.approx((box.xmin, box.ymin, box.zmin, box.xmax, box.ymax, box.zmax), abs=0.01)
    assert body.volume() == pytest.approx(mount.parts[0].solid.Volume(), rel=1e-3)
