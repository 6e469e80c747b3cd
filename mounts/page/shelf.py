"""Profiles and layouts that the page may read: those of the library, and those of the folder it was started for."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from mounts.errors import Fault, InputError
from mounts.inputs.library import KINDS, Library, is_path
from mounts.inputs.resolve import means_length
from mounts.page.fields import PROFILE_FIELDS

_NUMBERS_TOO = ("board", "roadbed", "wire")
_MOST_FILES = 500  # of a folder that are looked at; more is a slip of the folder


class Shelf:
    """What a browser may name. Nothing that it sends is taken for a path: files are found by listing the folder.

    Args:
        folder: where the page reads layouts and servos, and writes.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.library = Library(beside=folder)
        self._servos: tuple[str, ...] = ()
        self.reread()

    def reread(self) -> None:
        """Sees what was written to the folder meanwhile."""
        self.library = Library(beside=self.folder)
        self._servos = tuple(path.name for path in self._files() if _is_servo(path))

    def names(self, kind: str) -> tuple[str, ...]:
        """Names of a kind of profile; of servos those of the folder too, as files."""
        return (*self.library.names(kind), *(self._servos if kind == "servo" else ()))

    def layouts(self) -> tuple[str, ...]:
        """File names of the layouts in the folder."""
        return tuple(path.name for path in self._files() if _table_of(path).get("mount") is not None)

    def throws_mm(self, scale: str) -> tuple[float | None, float | None]:
        """Least and largest throw of a scale; None for one that there is not."""
        if scale and is_path(scale):
            return None, None
        try:
            found = self.library.scale(scale or "HO")
        except InputError:
            return None, None
        return found.smallest_throw_mm, found.largest_throw_mm

    def refuse_paths(self, options: Mapping[str, Any]) -> None:
        """Refuses values that would be read as files, but for servos of the folder.

        Raises:
            InputError: a fault for each.
        """
        faults = [
            Fault(f"must be a profile's name; files are read from {self.folder} only", (key,), repr(value[:80]))
            for key in PROFILE_FIELDS
            if isinstance(value := options.get(key), str) and _means_file(key, value, self.library)
            and not (key == "servo" and value in self._servos)
        ]  # fmt: skip
        if faults:
            raise InputError(*faults)

    def _files(self) -> list[Path]:
        if not self.folder.is_dir():
            return []
        return sorted(path for path in self.folder.glob("*.toml") if path.is_file())[:_MOST_FILES]


def _means_file(key: str, value: str, library: Library) -> bool:
    """Whether the library would look for a file: a fraction has a stroke too, alone or behind a wire's name."""
    if not is_path(value) and ".toml" not in value.casefold():
        return False
    if key not in _NUMBERS_TOO:
        return True
    first, _, rest = value.strip().partition(" ")
    size = rest if key == "wire" and not is_path(first) and rest else value
    return not means_length(size, library, key)


def _table_of(path: Path) -> Mapping[str, Any]:
    from mounts.inputs.load import read_toml

    try:
        return read_toml(path)
    except InputError:
        return {}


def _is_servo(path: Path) -> bool:
    """A profile that has figures of a servo and of nothing else."""
    keys = set(_table_of(path))
    return bool(keys & set(KINDS["servo"].model_fields) - {"name", "title", "source"}) and "title" in keys
