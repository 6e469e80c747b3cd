"""Meshes that browsers fetch, by the hash of their bytes: nothing but what is here is given out, and not for ever."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterable

from mounts.page.bodies import Shown

_MOST_BYTES = 48_000_000  # of all meshes kept: a mount has 1 to 3 MB, so that some fifteen tabs find theirs


class Store:
    """Bytes by name, the least lately put forgotten where they become too many."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, bytes] = OrderedDict()
        self._bytes = 0

    def put(self, shown: Iterable[Shown]) -> None:
        """Keeps the meshes of bodies."""
        for one in shown:
            before = self._kept.pop(one.name, b"")
            self._kept[one.name] = one.stl
            self._bytes += len(one.stl) - len(before)
        while self._bytes > _MOST_BYTES:
            _, gone = self._kept.popitem(last=False)
            self._bytes -= len(gone)

    def get(self, name: str) -> bytes | None:
        """The mesh of that name; None where there is none."""
        return self._kept.get(name)
