"""How many threads the kernel may use."""

from __future__ import annotations

from OCP.OSD import OSD_ThreadPool


def use_one_thread() -> None:
    """One thread for the kernel in this process: workers side by side have a core each."""
    OSD_ThreadPool.DefaultPool_s().Init(1)
