"""Whether a mount's folder already holds the answer: same request, same program, files untouched."""

from __future__ import annotations

import hashlib
from pathlib import Path, PurePosixPath

from pydantic import ValidationError

from mounts import program
from mounts.drive.model import Drive
from mounts.inputs.spec import MountSpec
from mounts.report.model import Report
from mounts.stored import stored

FAILED = "failed"  # folder for the parts of a mount that failed its checks


def key(spec: MountSpec, drive: Drive | None = None) -> str:
    """Content key of a mount: SHA-256 over the resolved request, this program and its geometry libraries.

    Args:
        spec: what was asked, resolved.
        drive: the one it has to be built with, if it was chosen elsewhere.
    """
    digest = hashlib.sha256(program.digest().encode())
    digest.update(spec.model_dump_json().encode())
    if drive is not None:
        digest.update(drive.model_dump_json().encode())
    return digest.hexdigest()


def find(
    folder: Path, made_from: str, *, keep_failed: bool, picture: bool = False, paper: str | None = None
) -> Report | None:
    """The report of ``folder``, if it answers the request; None if the mount has to be made.

    Args:
        folder: the mount's folder.
        made_from: key of the request.
        keep_failed: the caller wants the parts of a failed mount; a report without them is no answer.
        picture: the caller wants pictures; a folder without them is no answer.
        paper: pages of the chapter that the caller wants; None: no matter.
    """
    found = stored(folder, "report/1")
    try:
        report = Report.model_validate_json(found.content)
    except ValidationError:
        return None
    if not found.is_sealed:
        return None
    kept = any(PurePosixPath(name).parts[0] == FAILED for name in report.files)
    if report.made_from != made_from or (report.verdict == "fail" and kept != keep_failed):
        return None
    if picture and not any(name.endswith(".png") for name in report.files):
        return None
    if paper is not None and report.verdict != "fail" and report.paper != paper:
        return None
    whole = all(_sha256(folder / name) == recorded for name, recorded in report.files.items())
    return report if whole else None


def _sha256(path: Path) -> str | None:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return None
