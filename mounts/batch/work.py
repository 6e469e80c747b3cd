"""What a worker does: designs and builds one mount, or matches one family. Bytes come back, never solids."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from threading import Lock
from typing import Literal

from mounts.drive.model import Drive
from mounts.errors import BuildError, InputError, NoDesign
from mounts.inputs.spec import MountSpec

_KERNEL = Lock()  # a worker with several threads builds one mount at a time: the kernel is not made for more


@dataclass(frozen=True)
class MountTask:
    """A mount to build, with the drive its family chose, if it has one."""

    spec: MountSpec
    drive: Drive | None
    keep_failed: bool
    picture: bool


@dataclass(frozen=True)
class FamilyTask:
    """Mounts that share something."""

    specs: tuple[MountSpec, ...]
    share: frozenset[str]


@dataclass(frozen=True)
class Unmade:
    """Why there is nothing."""

    verdict: Literal["no design", "not built"]
    reason: str


def build_mount(task: MountTask) -> dict[str, bytes] | Unmade:
    """Every file of a mount by its path from the mount's folder.

    Raises:
        ImportError: a library is missing here.
    """
    from mounts.pipeline import make_mount

    _use_one_core()
    try:
        with _KERNEL:
            return make_mount(task.spec, task.drive, keep_failed=task.keep_failed, picture=task.picture).files
    except Exception as fault:
        return _unmade(fault)


def match_family(task: FamilyTask) -> tuple[Drive, ...] | Unmade:
    """A drive a member, in their order."""
    from mounts.drive.family import match
    from mounts.styles import settled, style_of, style_options

    try:
        specs = [settled(spec, style_options(spec)) for spec in task.specs]
        limits = [style_of(spec.style).limits(spec, style_options(spec)) for spec in specs]
        drives = match(specs, limits, task.share)
        if "screw pattern" in task.share:
            _compare_screws(specs, drives)
    except Exception as fault:
        return _unmade(fault)
    return drives


def _compare_screws(specs: Sequence[MountSpec], drives: Sequence[Drive]) -> None:
    """Refuses a family whose fixing screws stand otherwise in one member, its mirror image aside.

    Raises:
        NoDesign: names the member and how far its screws are off.
    """
    from mounts.pipeline import design_mount
    from mounts.report.adapt import other_screw_pattern

    first, *others = (design_mount(spec, drive).design for spec, drive in zip(specs, drives, strict=True))
    for other in others:
        if moved := other_screw_pattern(first, other):
            raise NoDesign(
                f"{other.spec.id}: its screws do not stand as those of {first.spec.id} do: {moved}; "
                "give both the same servo, screw and style, or take 'screw pattern' out of match"
            )


@cache
def _use_one_core() -> None:
    from mounts.solid.threads import mesh_on_one_thread, use_one_thread

    use_one_thread()
    mesh_on_one_thread()


def _unmade(fault: Exception) -> Unmade:
    """A fault as a line; raised again where it would be the same for every mount."""
    if isinstance(fault, ImportError):
        raise fault
    text = " ".join(str(fault).split())
    if isinstance(fault, NoDesign):
        return Unmade("no design", text)
    if isinstance(fault, BuildError | InputError):
        return Unmade("not built", text)
    return Unmade("not built", f"bug: {type(fault).__name__}: {text}; 'mounts make --debug' of it shows where")
