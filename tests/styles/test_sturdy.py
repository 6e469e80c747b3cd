"""Mounts asked for sturdy: every wall a line thicker on each face."""

import math

import pytest

from mounts.asked import asked
from mounts.pipeline import design_mount
from mounts.styles import _shell

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


@pytest.mark.parametrize("style", ["hut", "cabin", "bank", "stack"])
def test_a_shell_s_walls(style):
    """The walls of scenery."""
    lean, sturdy = (_shell.walls(design.plan, design.spec) for design in _both(style=style))
    assert sturdy.wall_mm - lean.wall_mm == pytest.approx(TWO_LINES_MM)


def test_a_drop_in_s_skirt():
    """Skirt and ribs."""
    lean, sturdy = _both(style="drop-in", moves="semaphore")
    assert sturdy.plan.rib_mm - lean.plan.rib_mm == pytest.approx(TWO_LINES_MM)
