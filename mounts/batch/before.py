"""What the runs before left: mounts that the layout no longer has, and what the members of families shared."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any

from mounts.stored import stored
from mounts.units import number

MOUNT = "report/"  # of whichever version


def former_mounts(folder: Path, ids: Collection[str]) -> list[str]:
    """Sub-folders of a layout's folder that hold a mount of ours which is none of ``ids``."""
    others = (path.parent for path in folder.glob("*/report.json") if path.parent.name not in ids)
    return sorted(path.name for path in others if stored(path, MOUNT).data)


def settings(drive: Mapping[str, Any]) -> dict[str, tuple[str, str]]:
    """What a family may share of a drive, by the name a layout gives it: value and unit as told.

    Args:
        drive: keys as in the report. The pulses are told in rising order: a mirrored member has them exchanged.
    """
    return {
        "arm hole": (number(drive["horn_radius_mm"]), "mm"),
        "wire": (number(drive["wire_mm"]), "mm"),
        "pulses": ("/".join(number(pulse, 0) for pulse in sorted(drive["pulse_us"].values())), "µs"),
    }


def settings_before(folder: Path) -> dict[str, tuple[str, str]]:
    """The settings of the mount that is in a folder, made by whichever version; empty if there is none."""
    try:
        return settings(stored(folder, MOUNT).data["drive"])
    except (KeyError, TypeError, AttributeError):
        return {}


def changed(before: Mapping[str, tuple[str, str]], now: Mapping[str, tuple[str, str]], shared: Collection[str]) -> str:
    """Which of the shared settings are others now, and from what to what; empty if none is."""
    return ", ".join(
        f"{name} {before[name][0]} → {value} {unit}"
        for name, (value, unit) in now.items()
        if name in shared and name in before and before[name][0] != value
    )
