"""Where on a mount a check is about."""

import re

import numpy as np
import pytest
from made import kept

from mounts.checks.model import Check
from mounts.checks.print_mesh import check_print
from mounts.frames import apply, inverse
from mounts.page.places import place_of


@pytest.mark.solid
def test_a_place_that_was_measured_is_shown_where_the_print_has_it():
    """The least wall of a hut's shell and the longest bridge: the figures of their sentences, turned to the mount."""
    mount = kept(style="hut", board="12 mm")
    for mesh in mount.meshes:
        for check in check_print(mesh, mount.design.spec.printer, mount.design.spec.filament):
            told = re.search(r"at \((.*?)\)", check.message)
            if told is None:
                continue
            place = apply(inverse(mesh.print_to_mount), np.array(place_of(check, mount.design, mount.meshes)))
            assert place == pytest.approx([float(figure) for figure in told[1].split(", ")], abs=0.051), check


@pytest.mark.solid
def test_a_check_of_no_one_place_points_at_its_part_or_at_what_it_names():
    """The middle of the part, and else what the words say: the pin for travel."""
    mount = kept(style="hut", board="12 mm")
    mesh = mount.meshes[1]
    closed = Check.unmeasured("closed", "pass", "edges", "all is well", part=mesh.name)
    middle = apply(mesh.print_to_mount, mesh.vertices_mm).mean(axis=0)
    assert place_of(closed, mount.design, mount.meshes) == pytest.approx(middle)
    travel = Check.unmeasured("travel", "pass", "mm", "as far as asked")
    assert place_of(travel, mount.design, mount.meshes) == pytest.approx(mount.design.datums.pin)
