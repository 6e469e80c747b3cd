"""Mounts that stand where they can't: parts and sheets are withheld, as of any mount that fails a check."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import PurePosixPath

from mounts.cache import FAILED
from mounts.checks.model import Check
from mounts.checks.neighbours import SITE_CHECKS
from mounts.report.model import Report, to_json, worst

STAYS = (".json", ".png")  # design and picture: what a failed mount keeps beside its report


def site_faults(checks: tuple[Check, ...]) -> tuple[Check, ...]:
    """Of a mount's checks those that its place on the board fails."""
    return tuple(check for check in checks if check.name in SITE_CHECKS and check.verdict == "fail")


def resited(
    report: Report, faults: tuple[Check, ...], files: Mapping[str, bytes], *, keep_failed: bool
) -> dict[str, bytes] | None:
    """A mount's files with other faults of its place in the report, and each where it then belongs.

    Args:
        report: as made, or as withheld before.
        faults: of its place now.
        files: those of the report.
        keep_failed: parts and sheets of a failed mount go to ``failed/`` and are not left out.

    Returns:
        None where the parts are wanted and ``files`` has them not: the mount has to be built.
    """
    checks = (*(check for check in report.checks if check.name not in SITE_CHECKS), *faults)
    verdict = worst(checks)
    if verdict != "fail" and any(part.file is None for part in report.parts):
        return None
    moved: dict[str, str | None] = {name: _place(name, failed=verdict == "fail", kept=keep_failed) for name in files}
    parts = tuple(
        part.model_copy(update={"file": moved.get(part.file) if part.file else None}) for part in report.parts
    )
    placed = {new: files[old] for old, new in moved.items() if new is not None}
    digests = {new: report.files[old] for old, new in moved.items() if new is not None}
    changed = report.model_copy(
        update={
            "checks": checks,
            "verdict": verdict,
            "parts": parts,
            "files": dict(sorted(digests.items())),
        }
    )
    return {**placed, "report.json": to_json(changed)}


def _place(name: str, *, failed: bool, kept: bool) -> str | None:
    """Where a file of a mount goes; None: it is left out."""
    path = PurePosixPath(name)
    bare = path.name if path.parts[0] == FAILED else name
    if path.suffix in STAYS or not failed:
        return bare
    return f"{FAILED}/{bare}" if kept else None
