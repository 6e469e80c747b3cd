"""What stays and what changes between a mount and the one adapted from it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

from pydantic import Field

from mounts.design import Design
from mounts.inputs.model import Model
from mounts.report.kinds import outcome, telling
from mounts.scene_wire import wire_cut_mm
from mounts.units import number

SHOWN_PLACES = 2  # decimals of a figure on the screen; figures that differ by less are the same
SAME_HOLE_MM = 0.05  # screw holes nearer than this are drilled through the same template


class Compared(Model):
    """One figure or thing of both mounts, figures in ``unit``."""

    what: str
    unit: str = Field(description="empty: a number without one, or words")
    before: float | str
    after: float | str

    def stays(self) -> bool:
        """Whether it is the same in both, as far as it is shown."""
        if isinstance(self.before, str) or isinstance(self.after, str):
            return self.before == self.after
        return number(self.after - self.before, SHOWN_PLACES) == "0"


class Adapted(Model):
    """How a mount differs from the one it was adapted from."""

    origin: str = Field(description="id of the mount before")
    kept: tuple[str, ...] = Field(description="what the new drive was asked to keep, and does")
    lost: str = Field(description="why no more could be kept; empty where all was")
    stays: tuple[Compared, ...]
    changes: tuple[Compared, ...]


def compare(before: Design, after: Design, *, kept: Sequence[str], lost: str) -> Adapted:
    """Every figure that someone who builds the second mount beside the first has to know.

    Args:
        before: the mount there is.
        after: the mount that fits the new request.
        kept: what was held fast, in words.
        lost: why no more could be kept; empty where all was.
    """
    rows = tuple(_rows(before, after))
    same = _kept_rows(kept, same_throw=before.spec.throw_mm == after.spec.throw_mm)
    pattern = ("screw pattern",) if not other_screw_pattern(before, after) else ()
    return Adapted(
        origin=before.spec.id,
        kept=(*kept, *pattern),
        lost=lost,
        stays=tuple(row for row in rows if row.stays() or row.what in same),
        changes=tuple(row for row in rows if not row.stays() and row.what not in same),
    )


def _kept_rows(kept: Sequence[str], *, same_throw: bool) -> set[str]:
    """Figures that are kept, though a depth rounded to 0.01 mm may move the last decimal that is shown."""
    rows = {
        "arm hole": ("arm hole",),
        "wire": ("wire",),
        "pulses": ("normal", "centre", "reverse"),
        "over-travel": ("over-travel a side", *(("travel",) if same_throw else ())),
    }
    return {row for name in kept for row in rows[name]}


def other_screw_pattern(one: Design, other: Design) -> str:
    """How far the fixing screws of the other mount are from serving the first one's drilling template.

    A mirrored mount has the mirror image: its template is turned over.

    Returns:
        Words; empty where the same template serves both.
    """
    side = -1.0 if one.spec.mirror != other.spec.mirror else 1.0
    here, there = ([fixing[:2] for fixing in design.datums.fixings] for design in (one, other))
    if len(here) != len(there):
        return f"{len(there)} screws instead of {len(here)}"
    apart = max((math.hypot(x - side * u, y - v) for (x, y), (u, v) in zip(here, there, strict=True)), default=0.0)
    return f"holes up to {number(max(apart, 0.1), 1)} mm elsewhere" if apart > SAME_HOLE_MM else ""


def _rows(before: Design, after: Design) -> Iterator[Compared]:
    ahead, behind = tuple(_figures(before)), tuple(_figures(after))
    found = {(what, unit): value for what, unit, value in behind}
    for what, unit, value in ahead:
        if (what, unit) in found:
            yield Compared(what=what, unit=unit, before=value, after=found[what, unit])
    yield _pattern(before, after)


def _pattern(before: Design, after: Design) -> Compared:
    count = len(before.datums.fixings)
    holes = f"{count} hole{'' if count == 1 else 's'}"
    moved = other_screw_pattern(before, after)
    return Compared(what="screw pattern", unit="", before=holes, after=moved or holes)


def _figures(design: Design) -> Iterator[tuple[str, str, float | str]]:
    """Name, unit and value, in the order that people ask for them."""
    spec, drive = design.spec, design.drive
    pulse = drive.pulse_us
    yield "board", "mm", spec.board.thickness_mm
    yield "roadbed", "mm", spec.roadbed.thickness_mm
    yield from outcome(drive).asked(spec)
    yield "servo", "", spec.servo.name
    yield "arm hole", "mm", drive.horn_radius_mm
    yield "arm hole, drilled to", "mm", drive.arm_hole_drill_mm
    yield "wire", "mm", drive.wire_mm
    yield "normal", "µs", pulse.normal
    yield "centre", "µs", pulse.centre
    yield "reverse", "µs", pulse.reverse
    yield "half swing", "°", drive.swing_deg
    yield from telling(drive).compared(drive)
    yield "wire to cut", "mm", wire_cut_mm(design)
    yield "screws", "", _screws(design)
    yield "pilot drill", "mm", spec.fixing.pilot_mm
    yield from outcome(drive).compared(drive)


def _screws(design: Design) -> str:
    counted = Counter(screw.length_mm for screw in design.plan.screws)
    shank = number(design.spec.fixing.shank_mm)
    sizes = [f"{count} of {shank} × {number(length)} mm" for length, count in sorted(counted.items())]
    return ", ".join(sizes) or "none"
