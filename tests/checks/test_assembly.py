"""Assembly on mounts as they are exported; what each check measures is in test_assembly_by_hand.py."""

import numpy as np
import pytest
from made import kept

from mounts.checks.assembly import check_assembly
from mounts.design import Design

pytestmark = pytest.mark.solid


def _with_servo(design: Design, **measures: float) -> Design:
    servo = design.spec.servo.model_copy(update=measures)
    return design.model_copy(update={"spec": design.spec.model_copy(update={"servo": servo})})


def _with_plan(design: Design, **figures: object) -> Design:
    return design.model_copy(update={"plan": design.plan.model_copy(update=figures)})


def _checks(design, meshes=None):
    return {check.name: check for check in check_assembly(design, meshes or kept().meshes)}


def test_the_mount_as_designed_passes():
    """Servo in, plug through, screwdrivers at every screw, screws that hold."""
    assert {"pass"} == {check.verdict for check in _checks(kept().design).values()}


@pytest.mark.parametrize(("lie", "strength_mpa"), [("across", 25.0), ("down", 44.0)])
def test_the_seat_bears_the_servos_stall(lie, strength_mpa):
    """PETG of print-service guides, 44 MPa along its layers, 25 across them; a bracket that lies across the track is
    printed with its legs upright, the other with its post along the bed. 85 % pass, a hair more does not; where the
    plastic tells no strength nothing is asked."""
    mount = kept({"lie": lie}, max_depth=80)
    spec, hole_mm = mount.design.spec, mount.design.drive.horn_radius_mm
    pull = spec.servo.stall_torque_nmm / hole_mm

    for share, verdict in ((0.849, "pass"), (0.851, "fail")):
        design = _with_plan(mount.design, seat_mpa_per_n=share * strength_mpa / pull)
        check = _checks(design, mount.meshes)["seat-strength"]
        assert (check.verdict, check.value) == (verdict, pytest.approx(share * strength_mpa))
    plain = spec.filament.model_copy(update={"tensile_mpa": None, "tensile_z_mpa": None})
    unknown = mount.design.model_copy(update={"spec": spec.model_copy(update={"filament": plain})})
    assert "seat-strength" not in _checks(unknown, mount.meshes)


def test_an_arm_in_a_narrow_pocket_can_not_be_pushed_on():
    """On its side a whole arm reaches into the board: the pocket must leave room to push it on."""
    mount = kept({"pose": "side", "trim_arm": False}, style="stack", board="12 mm", scale="HO")
    design, servo = mount.design, mount.design.spec.servo
    (x0, y0), (x1, _), (_, y1), _ = design.plan.board_cut_out.outline
    boss_top = servo.case_height_mm - servo.flange_underside_height_mm + servo.boss_height_mm
    face_x = np.array(design.datums.servo)[0, 3] + servo.horn_plane_height_mm

    tight_x = face_x + servo.spline_top_height_mm - boss_top - 1.0
    assert x1 > tight_x + 1.0
    outline = ((x0, y0), (tight_x, y0), (tight_x, y1), (x0, y1))
    tight = _with_plan(design, board_cut_out=design.plan.board_cut_out.model_copy(update={"outline": outline}))
    assert _checks(design, mount.meshes)["arm-on"].verdict == "pass"
    assert _checks(tight, mount.meshes)["arm-on"].verdict == "fail"


HUT = {"style": "cabin", "scale": "N", "board": "12 mm", "roadbed": "0", "pin_height": "1"}


def test_a_plug_larger_than_its_hole_does_not_pass():
    """The hole is for the plug of the profile: one of 9.5 mm meets frame or board."""
    mount = kept({"pose": "side"}, **HUT)
    wide = _with_servo(mount.design, connector_width_mm=9.5)

    assert _checks(mount.design, mount.meshes)["plug-way"].verdict == "pass"
    assert _checks(wide, mount.meshes)["plug-way"].verdict == "fail"
