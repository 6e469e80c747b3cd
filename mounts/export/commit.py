"""The only module that writes output: the files of one folder appear together, whole, or not at all."""

from __future__ import annotations

import hashlib
import os
import shutil
import sys
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path, PurePosixPath

from mounts.errors import Fault, InputError
from mounts.stored import REPORT, stored

_STAGE = ".partial-"


def publish(folder: Path, files: Mapping[str, bytes]) -> None:
    """Puts the files of one run into a folder, in place of those of the run before.

    Everything is first written to a hidden folder inside ``folder`` (so on the same disk) and synced;
    then the old report and the files it lists are moved out, the new files are moved in, and the new
    report comes last. So, whenever the process is killed, each file is whole, old and new are never
    mixed, and a folder with a report has every file of that report. Files that no report of ours
    lists, or that were changed since, are left alone unless a new file takes their name.

    Args:
        folder: made if it is missing, parents too.
        files: content by name, '/' before at most one sub-folder. ``report.json`` gives their SHA-256
            by name under its key "files": so the next run knows which of them are no longer made.

    Raises:
        InputError: the disk is full or refuses; the folder is as it was.
        ValueError: a name leads out of the folder.
    """
    for name in files:
        if not _is_inside(name):
            raise ValueError(f"not a name for an output file: {name!r}")
    missing = [path for path in (folder, *folder.parents) if not path.exists()]
    try:
        with _alone_in(folder) as dead_stages:
            try:
                _replace_all(folder, files, dead_stages)
            except BaseException:
                with suppress(OSError):  # not empty: others use it
                    for path in missing:
                        path.rmdir()
                raise
    except OSError as fault:
        raise InputError(Fault(f"cannot write: {fault.strerror or fault}", file=str(folder))) from fault


def sweep(folder: Path) -> None:
    """Removes what killed runs left behind in a folder whose files are whole.

    Raises:
        InputError: the disk refuses.
    """
    if not any(folder.glob(f"{_STAGE}*")):
        return
    try:
        with _alone_in(folder) as dead_stages:
            for dead in dead_stages:
                shutil.rmtree(dead)
    except OSError as fault:
        raise InputError(Fault(f"cannot write: {fault.strerror or fault}", file=str(folder))) from fault


def refuse_unwritable(folder: Path) -> None:
    """Tells before any work is done that a folder cannot be written to, as far as its rights say so.

    Raises:
        InputError: it, or the nearest folder above that there is, does not allow it.
    """
    there = next(path for path in (folder, *folder.absolute().parents) if path.exists())
    if not there.is_dir():
        raise InputError(Fault("must be a folder", file=str(there)))
    if not os.access(there, os.W_OK | os.X_OK):
        raise InputError(Fault(f"cannot write: {there} does not allow it", file=str(folder)))


def files_made_before(folder: Path) -> dict[str, str]:
    """SHA-256 by name of the files that the report in the folder was written with; none without a report."""
    return {name: digest for name, digest in stored(folder).files.items() if _is_inside(name)}


def _is_inside(name: str) -> bool:
    path = PurePosixPath(name)
    plain = all(part not in ("", ".", "..") and not part.startswith(_STAGE) for part in name.split("/"))
    return plain and "\\" not in name and len(path.parts) <= 2 and not path.is_absolute()


def _replace_all(folder: Path, files: Mapping[str, bytes], dead_stages: Sequence[Path]) -> None:
    """Writes a stage and exchanges; then forgets the dead stages, whose reports tell what else is ours."""
    reported = [folder, *(dead / part for dead in dead_stages for part in ("old", "new"))]
    made = {pair for place in reported for pair in files_made_before(place).items()} if REPORT in files else ()
    stale = [name for name, digest in made if _digest(folder / name) == digest]
    stage = Path(tempfile.mkdtemp(prefix=_STAGE, dir=folder))
    try:
        for name, content in files.items():
            path = stage / "new" / name
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("wb") as out:
                out.write(content)
                out.flush()
                os.fsync(out.fileno())
        _exchange(folder, stage, files, stale)
    finally:
        shutil.rmtree(stage, ignore_errors=True)
    for dead in dead_stages:
        shutil.rmtree(dead)
    _sync_folder(folder)


def _digest(path: Path) -> str | None:
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else None


def _exchange(folder: Path, stage: Path, files: Iterable[str], stale: Iterable[str]) -> None:
    """Old files out, report first; new files in, report last; all back where a move fails."""
    names = sorted(files, key=lambda name: (name == REPORT, name))
    outgoing = sorted({*names, *stale}, key=lambda name: (name != REPORT, name))
    try:
        with ExitStack() as undo:
            for name in outgoing:
                if (folder / name).is_file():
                    _move(folder / name, stage / "old" / name)
                    undo.callback(_move, stage / "old" / name, folder / name)
            for name in names:
                _move(stage / "new" / name, folder / name)
                undo.callback(_move, folder / name, stage / "new" / name)
            undo.pop_all()
    finally:
        for emptied in {(folder / name).parent for name in outgoing} - {folder}:
            with suppress(OSError):  # not empty
                emptied.rmdir()


def _move(source: Path, target: Path) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    os.replace(source, target)  # noqa: PTH105  the one call whose atomicity everything here rests on


@contextmanager
def _alone_in(folder: Path) -> Iterator[list[Path]]:
    """Keeps other publishers of the folder out; gives the stages that killed ones left behind.

    The lock is on the folder itself, so nothing remains of it. Windows cannot lock a folder: there
    two publishers at once may mix their files, and stages of killed ones stay.
    """
    folder.mkdir(parents=True, exist_ok=True)
    if sys.platform == "win32":
        yield []
        return
    import fcntl

    while True:
        handle = os.open(folder, os.O_RDONLY)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX)
            if folder.exists() and os.path.samestat(os.fstat(handle), folder.stat()):
                yield sorted(folder.glob(f"{_STAGE}*"))
                return
        finally:
            os.close(handle)
        folder.mkdir(parents=True, exist_ok=True)  # whoever had the lock failed and took the folder away


def _sync_folder(folder: Path) -> None:
    if sys.platform != "win32":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
