"""What a part bears where: distances from screws' axes by hand, and what a mount tells of itself."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, replace

import numpy as np
import pytest
from meshes import box, part

from mounts import scene
from mounts.checks.duty import NO_DUTY, Duty, duty_of
from mounts.frames import apply
from mounts.inputs.library import Library
from mounts.inputs.request import read_request
from mounts.inputs.resolve import resolve
from mounts.pipeline import design_mount

AXES = np.array([[[3.0, 4.0, 7.0], [0.0, 0.0, 1.0]], [[2.0, 10.0, 5.0], [0.6, 0.8, 0.0]]])


@pytest.mark.parametrize(
    ("point", "far"),
    [
        ((3.0, 4.0, -20.0), 0.0), ((6.0, 8.0, 1.0), 5.0), ((3.0, 2.8, 99.0), 1.2),
        # 10 along the lying one, then square to it: up by 2, or aside by 1.5
        ((8.0, 18.0, 7.0), 2.0), ((8.0 - 0.8 * 1.5, 18.0 + 0.6 * 1.5, 5.0), 1.5),
    ],
)  # fmt: skip
def test_a_point_is_as_far_from_a_screw_as_square_to_its_axis(point, far):
    """Wherever along it, of two the nearer; within 1.25 d of a 2 mm screw, 2.5 mm, it is in the boss, which leaves
    0.6 d beside its core (standards, 7)."""
    duty = Duty(0.0, AXES, 2.0, drilled=False)

    assert duty.off_axes_mm(np.array([point])) == pytest.approx([far], abs=1e-9)
    assert duty.in_boss(np.array([point])).tolist() == [far < 2.5]
    assert Duty(0.0, AXES, far / 1.25 + 0.01, drilled=False).in_boss(np.array([point])).all()
    assert not Duty(0.0, AXES, far / 1.25 - 0.01, drilled=False).in_boss(np.array([point])).any()
    assert duty.boss_wall_mm == pytest.approx(1.2)
    assert np.isinf(NO_DUTY.off_axes_mm(np.array([point]))).all()
    assert (NO_DUTY.wall_mm, NO_DUTY.screw_mm, NO_DUTY.drilled, NO_DUTY.axes.shape) == (0.0, 0.0, False, (0, 2, 3))
    with pytest.raises(FrozenInstanceError):  # it is everybody's
        NO_DUTY.wall_mm = 1.0


@pytest.mark.parametrize("drill", [None, 1.6])
def test_a_mounts_duty_is_told_in_the_frame_that_its_part_is_printed_in(drill):
    """A part that lies on its side and aside: back in the mount, the axes are the screws' own, heads and ways; what
    is lifted off bears nothing."""
    asked = {"id": "A1", "style": "hut", "servo": "micro-9g", "board": "12 mm", "scale": "N"}
    design = design_mount(resolve(read_request(asked), Library())).design
    design = design.model_copy(update={"plan": design.plan.model_copy(update={"pilot_drill_mm": drill})})
    way = ((0.0, 0.0, 1.0, 7.0), (1.0, 0.0, 0.0, -3.0), (0.0, 1.0, 0.0, 11.0), (0.0, 0.0, 0.0, 1.0))
    mesh = replace(part(box(5, 5, 5)), print_to_mount=way)

    found = duty_of(design, mesh)
    feet, ends = found.axes[:, 0], found.axes[:, 0] + found.axes[:, 1]
    heads = np.array(scene.servo_screw_heads(design))
    assert found.axes.shape == (len(heads), 2, 3)
    assert apply(way, feet) == pytest.approx(heads)
    assert apply(way, ends) == pytest.approx(heads + scene.into_seat(design))
    assert (found.wall_mm, found.screw_mm) == (design.plan.load_wall_mm, design.spec.servo.screw_mm)
    assert found.drilled == (drill is not None)
    assert duty_of(design, replace(mesh, name=design.plan.lift_off[0])) is NO_DUTY
