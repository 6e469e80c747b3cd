"""Finds built-in profiles and the user's own, by name or by path, and knows the nearest name."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from mounts.errors import Fault, InputError, placed
from mounts.inputs.board import Board, Roadbed
from mounts.inputs.fixing import Fixing
from mounts.inputs.load import nearest, one_of, read_model, read_toml
from mounts.inputs.model import Profile
from mounts.inputs.moved import Moved
from mounts.inputs.printer import Filament, Printer
from mounts.inputs.scale import Scale
from mounts.inputs.servo import Servo
from mounts.inputs.wire import Wire

P = TypeVar("P", bound=Profile)

KINDS: Mapping[str, type[Profile]] = MappingProxyType(
    {
        "servo": Servo,
        "board": Board,
        "roadbed": Roadbed,
        "scale": Scale,
        "printer": Printer,
        "filament": Filament,
        "wire": Wire,
        "fixing": Fixing,
        "moved": Moved,
    }
)
"""Folder name and model of each kind of profile."""

SHORT_LIST = 12  # names beyond this are not listed in an error line


def built_in_folder() -> Path:
    """Where the built-in profiles are: inside an installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parents[1]
    installed = package / "_profiles"
    return installed if installed.is_dir() else package.parent / "profiles"


def own_folder() -> Path:
    """Where the user's own profiles are kept; MOUNTS_CONFIG_DIR takes its place where it is set."""
    configured = os.environ.get("MOUNTS_CONFIG_DIR")
    if configured:
        return Path(configured) / "profiles"
    import platformdirs

    return Path(platformdirs.user_config_dir("turnout-mounts", appauthor=False)) / "profiles"


class Library:
    """Profiles by kind and name. Names are matched without regard to case; H0, 00 and 0 are HO, OO and O.

    Args:
        built_in: folder with a folder a kind; the package's own by default.
        own: the same of the user.
        beside: paths are taken from here, the folder of a layout file; the working directory by default.

    A file is read once: a profile written meanwhile is seen by the next library.

    Attributes:
        files_by_path: profiles read so far that were not named but given as files.
    """

    def __init__(self, built_in: Path | None = None, own: Path | None = None, beside: Path | None = None) -> None:
        self.built_in = built_in or built_in_folder()
        self.own = own or own_folder()
        self.beside = beside or Path()
        self.files_by_path: set[Path] = set()
        self._files_of: dict[str, list[Path]] = {}
        self._read: dict[tuple[str, Path], Profile] = {}

    def names(self, kind: str) -> tuple[str, ...]:
        """Names of a kind, built-in and the user's own, in the order of their numbers."""
        return tuple(sorted({path.stem for path in self._files(kind)}, key=_by_number))

    def origin(self, kind: str, name: str) -> Path:
        """The file a name stands for.

        Raises:
            InputError: one fault: unknown name with the nearest, or two files that claim it.
        """
        return self._find(kind, name)

    def read(self, kind: str, name: str) -> Profile:
        """A profile by name, or by path where ``name`` ends in .toml or has a folder in it.

        Args:
            kind: one of ``KINDS``.
            name: as the user wrote it.

        Raises:
            InputError: the name is unknown, which is a fault of where it is written; or every fault of the file.
        """
        path = self._find(kind, name)
        if (kind, path) not in self._read:
            data = self._merged(kind, path, ())
            with placed(file=str(path)):
                self._read[kind, path] = read_model({**data, "name": path.stem}, KINDS[kind])
        return self._read[kind, path]

    def servo(self, name: str) -> Servo:
        """A servo by name or path; raises as ``read`` does."""
        return self._typed(Servo, "servo", name)

    def board(self, name: str) -> Board:
        """A board by name or path; raises as ``read`` does."""
        return self._typed(Board, "board", name)

    def roadbed(self, name: str) -> Roadbed:
        """A roadbed by name or path; raises as ``read`` does."""
        return self._typed(Roadbed, "roadbed", name)

    def moved(self, name: str) -> Moved:
        """What a lift moves, by name or path; raises as ``read`` does."""
        return self._typed(Moved, "moved", name)

    def scale(self, name: str) -> Scale:
        """A scale by name or path; raises as ``read`` does."""
        return self._typed(Scale, "scale", name)

    def printer(self, name: str) -> Printer:
        """A printer by name or path; raises as ``read`` does."""
        return self._typed(Printer, "printer", name)

    def filament(self, name: str) -> Filament:
        """A filament by name or path; raises as ``read`` does."""
        return self._typed(Filament, "filament", name)

    def wire(self, name: str) -> Wire:
        """A wire by name or path; raises as ``read`` does."""
        return self._typed(Wire, "wire", name)

    def fixing(self, name: str) -> Fixing:
        """A fixing screw by name or path; raises as ``read`` does."""
        return self._typed(Fixing, "fixing", name)

    def _typed(self, model: type[P], kind: str, name: str) -> P:
        found = self.read(kind, name)
        if not isinstance(found, model):
            raise TypeError(f"{kind} profiles are {type(found).__name__}")
        return found

    def _files(self, kind: str) -> list[Path]:
        if kind not in self._files_of:
            folders = (self.built_in / kind, self.own / kind)
            self._files_of[kind] = [path for folder in folders for path in sorted(folder.glob("*.toml"))]
        return self._files_of[kind]

    def _find(self, kind: str, name: str) -> Path:
        if is_path(name):
            try:
                path = self.beside / Path(name).expanduser()
                if path.exists():
                    self.files_by_path.add(path)
                    return path
            except (OSError, RuntimeError):  # too long a name, no such user's home
                pass
            raise InputError(Fault("no such file; give a path to a .toml file or a profile's name", written=repr(name)))
        files = self._files(kind)
        found = [path for path in files if _key(kind, path.stem) == _key(kind, name)]
        if len(found) > 1:
            said = (
                f"must not have the name of {found[0]}; rename it, and begin it with"
                f' extends = "{found[0].stem}" to change only some figures'
            )
            raise InputError(Fault(said, file=str(found[-1])))
        if found:
            return found[0]
        known = self.names(kind)
        near = nearest(name, known)
        if near:
            advice = f"nearest is '{near}'"
        elif len(known) <= SHORT_LIST:
            advice = f"there are {one_of(known).replace(' or ', ' and ')}" if known else "there are none"
        else:
            advice = f"'mounts profiles list' names all {len(known)}"
        raise InputError(Fault(f"no such {kind} profile; {advice}", written=repr(name)))

    def _merged(self, kind: str, path: Path, extended: tuple[Path, ...]) -> dict[str, Any]:
        """A file's keys over those it extends; ``[source]`` tables are joined."""
        data = read_toml(path)
        with placed(file=str(path)):
            if "name" in data:
                raise InputError(Fault("must not be given, it is the file's name", ("name",), repr(data["name"])))
            base_name = data.pop("extends", None)
            if base_name is None:
                return data
            with placed("extends"):
                if not isinstance(base_name, str):
                    raise InputError(Fault(f"must be the name of a {kind} profile", written=repr(base_name)))
                base_path = self._find(kind, base_name)
                chain = (*extended, path)
                if base_path.resolve() in [link.resolve() for link in chain]:
                    circle = ", ".join(link.stem for link in (*chain, base_path))
                    raise InputError(Fault(f"must not go in a circle ({circle})", written=repr(base_name)))
        base = self._merged(kind, base_path, chain)
        with placed(file=str(base_path)):  # its faults are told as its own
            read_model({**base, "name": base_path.stem}, KINDS[kind])
        merged = data | {key: value for key, value in base.items() if key not in data}  # in the file's order
        if isinstance(base.get("source"), dict) and isinstance(data.get("source", {}), dict):
            merged["source"] = sources_without(base["source"], data) | data.get("source", {})
        return merged


def sources_without(sources: Mapping[str, Any], keys: Iterable[str]) -> dict[str, Any]:
    """``[source]`` tables, no longer of figures that are given anew; one that is left without any goes."""
    kept, anew = {}, set(keys)
    for group, source in sources.items():
        figures = source.get("figures", ())
        still = [figure for figure in figures if re.split(r"[.\[]", figure)[0] not in anew]
        if still or not figures:
            kept[group] = source | ({"figures": still} if figures else {})
    return kept


def is_path(name: str) -> bool:
    """Whether a value means a file and not a name: it ends in .toml or has a folder in it."""
    return name.casefold().endswith(".toml") or "/" in name or "\\" in name


def _key(kind: str, name: str) -> str:
    folded = name.strip().casefold()
    # NEM writes the scales 0 and H0 with a nought
    return folded.replace("0", "o") if kind == "scale" else folded


def _by_number(name: str) -> list[tuple[int, float, str]]:
    """plywood-9 before plywood-12."""
    return [(0, float(part), "") if _is_number(part) else (1, 0.0, part) for part in name.split("-")]


def _is_number(text: str) -> bool:
    return text.replace(".", "", 1).isdecimal()
