"""Whether a layout's folder already holds everything: known from hashes alone, without reading the layout."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from mounts import program
from mounts.stored import stored

if TYPE_CHECKING:
    from mounts.inputs.library import Library


@dataclass(frozen=True)
class Wanted:
    """What a batch writes beside what its layout says.

    Attributes:
        keep_failed: parts of failed mounts go to ``failed/``.
        picture: pictures are drawn.
        paper: pages of the book; None: there is none.
        max_hours: that a plate may take; None: as the layout says.
    """

    keep_failed: bool
    picture: bool
    paper: Literal["a4", "letter"] | None
    max_hours: float | None


def layout_key(layout: Path, profile_folders: Iterable[Path], wanted: Wanted) -> str:
    """SHA-256 over all that a batch's output follows from, but profiles that the layout names by path.

    Args:
        layout: the layout file.
        profile_folders: where profiles are found by name; every file in them counts.
        wanted: what is written.

    Raises:
        OSError: the layout file can't be read.
    """
    found = hashlib.sha256(f"{program.digest()} {wanted}\0".encode())
    found.update(layout.read_bytes())
    for folder in profile_folders:
        for path in sorted(folder.glob("*/*.toml")):
            found.update(f"\0{path.relative_to(folder).as_posix()}\0".encode() + path.read_bytes())
    return found.hexdigest()


def layout_name(path: Path, data: Mapping[str, Any]) -> str:
    """The name in the file's header, or the file's own; not checked."""
    header = data.get("layout")
    name = header.get("name") if isinstance(header, Mapping) else None
    return name if isinstance(name, str) else path.stem


def layout_paper(data: Mapping[str, Any]) -> Literal["a4", "letter"]:
    """What the file's header says; not checked, another value is told when the file is read."""
    header = data.get("layout")
    return "letter" if isinstance(header, Mapping) and header.get("paper") == "letter" else "a4"


def unchanged_report(folder: Path, made_from: str, beside: Path) -> bytes | None:
    """The report of a folder that holds every file of the layout, whole; None if anything has to be done.

    Args:
        folder: of the layout's output.
        made_from: key of the layout now.
        beside: folder of the layout file, from which profiles are named.
    """
    found = stored(folder, "layout-report/1")
    report = found.data
    if not found.is_sealed or report["made_from"] != made_from:
        return None
    if any(row["verdict"] == "not built" for row in report["mounts"]):  # a crash may not come again
        return None
    recorded = dict(_recorded(report, folder, beside))
    with ThreadPoolExecutor() as pool:
        whole = all(pool.map(_is, recorded.keys(), recorded.values()))
    return found.content if whole else None


def named_profiles(library: Library) -> dict[str, str]:
    """SHA-256 of each profile that was named as a file so far, by its path from the layout's folder."""
    return {_from(path, library.beside): sha256_of(path) for path in library.files_by_path}


def _from(path: Path, folder: Path) -> str:
    return (path.relative_to(folder) if path.is_relative_to(folder) else path.absolute()).as_posix()


def sha256_of(path: Path) -> str:
    """SHA-256 of a file's bytes."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _recorded(report: Mapping[str, Any], folder: Path, beside: Path) -> Iterable[tuple[Path, str]]:
    yield from ((folder / name, digest) for name, digest in report["files"].items())
    for row in report["mounts"]:
        yield from ((folder / name, digest) for name, digest in row["files"].items())
    yield from ((beside / name, digest) for name, digest in report["profiles"].items())


def _is(path: Path, digest: str) -> bool:
    try:
        return sha256_of(path) == digest
    except OSError:
        return False
