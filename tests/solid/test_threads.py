"""Workers side by side have a core each."""

import subprocess
import sys

import pytest

from mounts.batch.crew import usual_workers

pytestmark = pytest.mark.solid

CUTS = """
import os, sys
from mounts.solid.threads import mesh_on_one_thread
cores = os.sched_getaffinity(0)
if sys.argv[1] == "one":
    mesh_on_one_thread()
assert os.sched_getaffinity(0) == cores
import manifold3d
ball = manifold3d.Manifold.sphere(10.0, 400)
(ball - ball.translate((1.0, 0.0, 0.0))).num_tri()
print(len(os.listdir("/proc/self/task")))
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="threads are counted in /proc")
@pytest.mark.skipif(usual_workers() < 2, reason="one core")
def test_meshes_are_cut_on_one_thread_where_that_is_asked() -> None:
    """Threads of a process after a large cut, as the system lists them: one, and several where nothing was asked; the
    process may use all cores again."""
    found = {
        asked: int(subprocess.run([sys.executable, "-c", CUTS, asked], check=True, capture_output=True).stdout)
        for asked in ("one", "any")
    }
    assert found["one"] < found["any"]
