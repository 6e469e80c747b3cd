"""The STEP file is the solid, in mm and in the mount frame, with names, and the same bytes each time."""

import hashlib
import subprocess
import sys

import cadquery as cq
import numpy as np
import pytest

from mounts.export.step import render_step
from mounts.frames import matrix
from mounts.solid.part import Part

pytestmark = pytest.mark.solid

POSE = matrix(np.eye(3), np.zeros(3))


def body() -> Part:
    """A rounded plate with a hole, away from the origin."""
    plate = cq.Workplane().box(30, 20, 4).edges("|Z").fillet(2).faces(">Z").workplane().hole(3)
    return Part("", plate.translate((7, -3, -12)).val().Solids()[0], POSE, 1)


def lid() -> Part:
    """A cone that stands where a location puts it, not where its geometry is."""
    return Part("lid", cq.Solid.makeCone(5, 2, 6).moved(cq.Location(cq.Vector(0, 0, 9))), POSE, 0)


def read_back(step: bytes, folder) -> list[cq.Solid]:
    path = folder / "mount.step"
    path.write_bytes(step)
    return sorted(cq.importers.importStep(str(path)).val().Solids(), key=lambda solid: solid.Center().z)


def test_step_gives_the_solids_back(tmp_path):
    """Volume, validity and place in the mount frame survive the way through the file."""
    parts = (body(), lid())

    solids = read_back(render_step(parts, "east-1"), tmp_path)

    for solid, part in zip(solids, parts, strict=True):
        assert solid.isValid()
        assert solid.Volume() == pytest.approx(part.solid.Volume(), rel=1e-9)
        assert solid.Center().toTuple() == pytest.approx(part.solid.Center().toTuple(), abs=1e-6)


def test_step_of_one_part_is_a_part(tmp_path):
    """A mount of one body is no assembly."""
    step = render_step([body()], "east-1")

    assert b"NEXT_ASSEMBLY_USAGE_OCCURRENCE" not in step
    assert len(read_back(step, tmp_path)) == 1


def test_step_says_millimetres_and_names_the_products(tmp_path):
    """The unit is the milli-metre of SI, and the products are called as the STL files are."""
    step = render_step((body(), lid()), "east-1")
    path = tmp_path / "mount.step"
    path.write_bytes(step)

    assert b"SI_UNIT(.MILLI.,.METRE.)" in step
    assert b"CONVERSION_BASED_UNIT" not in step
    read = cq.Assembly.importStep(str(path))
    assert read.name == "east-1-assembly"
    assert {child.name for child in read.children} == {"east-1", "east-1-lid"}


_OTHER_PROCESS = """
import hashlib, sys
from test_step import body, lid
from mounts.export.step import render_step
for busy in range(int(sys.argv[1])):
    render_step((lid(), body(), lid()), f"west-{busy}")
print(hashlib.sha256(render_step((body(), lid()), "east-1")).hexdigest())
"""


@pytest.mark.parametrize("files_before", [0, 12])
def test_step_bytes_are_the_same_in_another_process_and_order(files_before, request):
    """Date and counters do not show: a fresh process, and one that wrote twelve files, give these bytes."""
    here = hashlib.sha256(render_step((body(), lid()), "east-1")).hexdigest()

    told = subprocess.run(
        [sys.executable, "-c", _OTHER_PROCESS, str(files_before)],
        capture_output=True,
        text=True,
        check=True,
        cwd=request.path.parent,
        env={"PYTHONPATH": f"{request.config.rootpath}:{request.path.parent}"},
    )

    assert told.stdout == here + "\n"


def test_step_writes_nothing_to_the_terminal(capfd):
    """The kernel's own chatter would spoil the report on stdout."""
    render_step((body(), lid()), "east-1")

    assert capfd.readouterr() == ("", "")
