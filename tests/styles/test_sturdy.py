"""Mounts asked for sturdy: every wall a line thicker on each face."""

import math
from types import SimpleNamespace

import pytest
from requests_for_drives import request

from mounts.asked import asked
from mounts.pipeline import design_mount
from mounts.styles import _housing_plan, _shell

TWO_LINES_MM = 2 * (1.125 * 0.4 - 0.2 * (1 - math.pi / 4))
"""Of a 0.4 mm nozzle at layers of 0.2: 0.45 wide, rounded ends overlapping (manual of the slicer, flow math)."""


def _both(**request):
    found = (design_mount(asked(id="s1", board="12 mm", sturdy=sturdy, **request)) for sturdy in (False, True))
    return [designed.design for designed in found]


def test_a_bracket_s_web_and_ribs():
    """Web and ribs are two lines thicker; the pivot, the screws in the board and the drive stay."""
    lean, sturdy = _both(style="under-bracket", set={"lie": "across"})
    assert sturdy.plan.rib_mm - lean.plan.rib_mm == pytest.approx(TWO_LINES_MM)
    assert sturdy.plan.web_mm - lean.plan.web_mm == pytest.approx(TWO_LINES_MM)
    assert sturdy.plan.seat_n_per_mm > 1.5 * lean.plan.seat_n_per_mm
    assert sturdy.drive.horn_radius_mm == lean.drive.horn_radius_mm


def test_a_bracket_that_points_down():
    """Its post is wider, and what was asked for by its own option stays."""
    lean, sturdy = _both(style="under-bracket", set={"lie": "down", "rib_mm": 2.0})
    assert (sturdy.plan.rib_mm, lean.plan.rib_mm) == (2.0, 2.0)
    assert sturdy.plan.case_side_y - sturdy.plan.wall_y[0] > lean.plan.case_side_y - lean.plan.wall_y[0] + 2


def test_a_shell_s_walls_and_a_frame_s_rim():
    """Whatever the scenery: all of it has the same walls."""
    plan = SimpleNamespace(base_x=(0.0, 40.0), base_y=(0.0, 30.0))
    lean, sturdy = (request(sturdy=sturdy) for sturdy in (False, True))
    assert _shell.walls(plan, sturdy).wall_mm - _shell.walls(plan, lean).wall_mm == pytest.approx(TWO_LINES_MM)
    assert _housing_plan.sound_mm(sturdy) - _housing_plan.sound_mm(lean) == pytest.approx(TWO_LINES_MM)


def test_a_drop_in_s_skirt():
    """Skirt and ribs."""
    lean, sturdy = _both(style="drop-in", moves="semaphore")
    assert sturdy.plan.rib_mm - lean.plan.rib_mm == pytest.approx(TWO_LINES_MM)
