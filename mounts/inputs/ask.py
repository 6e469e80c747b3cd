"""A mount as asked for by options: the one way from what was written to a mount with nothing left to look up."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from mounts.errors import Fault, Gathered, InputError
from mounts.inputs.library import Library
from mounts.inputs.load import sound_part
from mounts.inputs.request import MountRequest, read_request
from mounts.inputs.resolve import resolve
from mounts.inputs.spec import MountSpec

StyleCheck = Callable[[str, Mapping[str, Any], Mapping[str, Any], bool], None]
"""Raises InputError for a style's name, its own options and the mount's; the last: there are faults already."""

_STANDING_IN = {"id": "unnamed", "style": "unnamed", "board": 12.0}  # sound ones, while others are judged
_JUDGED_BY = {
    "throw": ("scale",),
    "pin_height": ("scale", "roadbed"),
    "ground": ("scale", "roadbed", "pin_height"),
    "arm_hole": ("servo",),
    "other_track": ("scale",),
}
"""Options whose bounds follow from others: not judged where those are at fault."""


def ask(
    written: Mapping[str, Any], library: Library, check_style: StyleCheck, own: Mapping[str, Any] | None = None
) -> MountSpec:
    """The mount that options ask for.

    Args:
        written: options of ``mounts make`` by name, as text or as values; None: not given.
        library: where profiles are looked up.
        check_style: refuses styles that do not exist and options that they do not take.
        own: of ``written`` what is asked of this mount and of no other; all of it by default.

    Raises:
        InputError: every fault at once, in the order of ``written``.
    """
    given = {key: value for key, value in written.items() if value is not None}
    sound, faults = sound_part(given, MountRequest)
    gathered = Gathered(*faults)
    spoilt = {fault.place[0] for fault in faults if fault.place}
    judged = {key: value for key, value in sound.items() if spoilt.isdisjoint(_JUDGED_BY.get(key, ()))}
    request = read_request({**_STANDING_IN, **judged})
    spec = gathered.of(lambda: resolve(request, library))
    if "style" in sound:
        at_fault = bool(gathered.faults)
        gathered.of(lambda: check_style(request.style, request.set, given if own is None else own, at_fault))
    if spec is None or gathered.faults:
        raise InputError(*_sorted(gathered.faults, list(given)))
    return spec


def _sorted(faults: list[Fault], keys: list[str]) -> list[Fault]:
    """In the order of the options, then what is missing or wrong in files."""
    order: dict[str | int | None, int] = {key: number for number, key in enumerate(keys)}
    place = [fault.place[0] if fault.place and fault.file is None else None for fault in faults]
    return [faults[i] for i in sorted(range(len(faults)), key=lambda i: order.get(place[i], len(keys)))]
