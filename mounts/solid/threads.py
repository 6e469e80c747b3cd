"""How many threads the kernel and the mesh library may use: workers side by side have a core each."""

from __future__ import annotations

import os

from OCP.OSD import OSD_ThreadPool

_FACETS = 16  # of a sphere that is cut in parallel; a millisecond


def use_one_thread() -> None:
    """One thread for the kernel in this process."""
    OSD_ThreadPool.DefaultPool_s().Init(1)


def mesh_on_one_thread() -> None:
    """One thread for manifold3d in this process; where the system can't be told, it takes what it finds.

    The others wait busily: alone, a mount's checks are done in nine tenths of the time with two, for half as much work
    again. The library counts the cores it may use once, when it is first asked to do something in parallel.
    """
    from manifold3d import Manifold

    if not hasattr(os, "sched_setaffinity"):
        return
    cores = os.sched_getaffinity(0)
    os.sched_setaffinity(0, {min(cores)})
    try:
        ball = Manifold.sphere(1.0, _FACETS)
        (ball - ball.translate((0.5, 0.0, 0.0))).num_tri()
    finally:
        os.sched_setaffinity(0, cores)
