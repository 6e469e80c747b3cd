"""A board of a layout from above: outline, framing, tracks, footprints, what is too near in red; mm to the picture."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from html import escape
from typing import TYPE_CHECKING

import numpy as np
from pydantic import ValidationError

from mounts.book.plan import beam, placed
from mounts.checks.model import Check
from mounts.checks.neighbours import Outline, Standing, check_sites, outlines
from mounts.design import Design
from mounts.errors import InputError, NoDesign
from mounts.inputs.read_layout import Layout, LayoutMount
from mounts.pipeline import design_mount
from mounts.report.model import Report

if TYPE_CHECKING:
    from pathlib import Path

Point = tuple[float, float]

_ROUND_MM = 40.0  # kept free round a board; by eye
_TRACK_MM = 60.0  # of track drawn on either side of a pin; by eye
_LETTERS = 55.0  # so many of them are as wide as the picture; by eye
_ROUND_A_SCREW_MM = 2.0  # of print there is at least; common practice, no source
_LETTER_WIDE = 0.6  # of its height, about; by eye
_MOST_KEPT = 500  # outlines of mounts: some kB each
_REACH_MM = 45.0  # from its pin within which a press means a mount; by eye


@dataclass(frozen=True)
class Seen:
    """A mount on a plan.

    Attributes:
        number: in the file.
        standing: where it stands, with its outlines.
        built: whether the outlines are those of the printed part, not what its numbers tell of it.
    """

    number: int
    standing: Standing
    built: bool


@dataclass(frozen=True)
class Plan:
    """One board.

    Attributes:
        name: of the board.
        mounts: on it.
        checks: of each mount's place, by its id.
        low: left front corner of what is drawn, mm.
        size: width and depth of it, mm.
    """

    name: str
    mounts: tuple[Seen, ...]
    checks: Mapping[str, tuple[Check, ...]]
    low: Point
    size: Point

    def at(self, image: Point) -> Point:
        """A place in the picture as one on the board."""
        return self.low[0] + image[0], self.low[1] + self.size[1] - image[1]

    def nearest(self, place: Point) -> Seen | None:
        """The mount that a press at a place of the board means."""

        def away(seen: Seen) -> float:
            return math.hypot(seen.standing.site.x_mm - place[0], seen.standing.site.y_mm - place[1])

        found = min(self.mounts, key=away, default=None)
        return found if found is not None and away(found) <= _REACH_MM else None

    def told(self) -> list[str]:
        """What is too near, a line each."""
        return [f"{mount_id}: {check.name}: {check.message}" for mount_id, rows in self.checks.items()
                for check in rows if check.verdict != "pass"]  # fmt: skip


class Footprints:
    """Outlines of mounts, kept: those of a report where the folder has one, else what its numbers tell.

    Args:
        folder: where batches are written.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._kept: dict[str, tuple[Outline, ...] | None] = {}

    def of(self, layout: Layout, mount: LayoutMount) -> tuple[tuple[Outline, ...] | None, bool]:
        """Outlines of a mount, None where it has no design; and whether they are those of what was built."""
        spec = mount.spec
        report = self._report(layout.name, spec.id)
        if report is not None and (
            report.mount.style, report.mount.servo, report.mount.mirror, report.inputs.throw_mm
        ) == (spec.style, spec.servo.name, spec.mirror, spec.throw_mm):  # fmt: skip
            return report.footprint, True
        key = spec.model_copy(update={"id": "any"}).model_dump_json()
        if key in self._kept:
            return self._kept[key], False
        try:
            found = planned(design_mount(spec).design)
        except (NoDesign, InputError):
            found = None
        while len(self._kept) >= _MOST_KEPT:
            self._kept.pop(next(iter(self._kept)), None)
        self._kept[key] = found
        return found, False

    def _report(self, layout: str, mount: str) -> Report | None:
        try:
            return Report.model_validate_json((self.folder / layout / mount / "report.json").read_bytes())
        except (OSError, ValidationError):
            return None


def planned(design: Design) -> tuple[Outline, ...]:
    """What a mount that is not made yet surely covers: servo with its arm's sweep, and what lies between its screws.

    The print is one piece from each screw's head to where that meets the board.
    """
    from shapely import MultiPoint

    found = outlines(design, ())
    points = np.array([*(screw.head for screw in design.plan.screws), *design.datums.fixings])
    if not len(points):
        return found
    hull = MultiPoint(points[:, :2]).buffer(_ROUND_A_SCREW_MM).convex_hull
    heights = (float(points[:, 2].min()), float(points[:, 2].max()))
    return (*found, Outline(body="between its screws", z_mm=heights, corners=tuple(hull.exterior.coords[:-1])))


def plans_of(layout: Layout, footprints: Footprints) -> tuple[Plan, ...]:
    """Every board that has an outline or a mount with a place."""
    seen: dict[str, list[Seen]] = {name: [] for name in layout.boards}
    for number, mount in enumerate(layout.mounts):
        if mount.site is None:
            continue
        found, built = footprints.of(layout, mount)
        if found is not None:
            thick = mount.spec.board.thickness_mm
            seen[mount.site.board].append(Seen(number, Standing(mount.spec.id, mount.site, found, thick), built))
    checks = check_sites([one.standing for of in seen.values() for one in of], layout.boards)
    plans = []
    for name, board in layout.boards.items():
        points = [(float(x), float(y)) for x, y in board.outline or ()]
        points += [(one.standing.site.x_mm, one.standing.site.y_mm) for one in seen[name]]
        if not points:
            continue
        low, high = np.min(points, axis=0) - _ROUND_MM, np.max(points, axis=0) + _ROUND_MM
        size = (float(high[0] - low[0]), float(high[1] - low[1]))
        rows = {one.standing.id: checks[one.standing.id] for one in seen[name]}
        plans.append(Plan(name, tuple(seen[name]), rows, (float(low[0]), float(low[1])), size))
    return tuple(plans)


def plan_svg(plan: Plan, layout: Layout, picked: int | None, moved_to: Point | None = None) -> str:
    """What lies over the empty picture of a board.

    Args:
        plan: of the board.
        layout: it is of.
        picked: number of the mount that is in hand.
        moved_to: where that is being dragged to, on the board.
    """
    board = layout.boards[plan.name]
    letters = plan.size[0] / _LETTERS

    def at(point: Sequence[float]) -> str:
        return f"{point[0] - plan.low[0]:.1f},{plan.low[1] + plan.size[1] - point[1]:.1f}"

    drawn = []
    names_at: list[tuple[float, float, int]] = []
    if board.outline:
        drawn.append(f'<polygon class="board" points="{" ".join(map(at, board.outline))}"/>')
    for timber in board.framing:
        drawn.append(
            f'<polygon class="framing" points="{" ".join(map(at, beam(timber.start, timber.end, timber.width)))}"/>'
        )
    for one in plan.mounts:
        site = one.standing.site
        x, y = moved_to if moved_to is not None and one.number == picked else (site.x_mm, site.y_mm)
        turn = math.radians(site.heading_deg)
        along = (math.cos(turn) * _TRACK_MM, math.sin(turn) * _TRACK_MM)
        ends = (at((x - along[0], y - along[1])), at((x + along[0], y + along[1])))
        drawn.append(f'<polyline class="track" points="{ends[0]} {ends[1]}"/>')
        bad = any(check.verdict != "pass" for check in plan.checks[one.standing.id])
        states = {"bad": bad, "picked": one.number == picked, "planned": not one.built}
        names = " ".join(["print", *(state for state, holds in states.items() if holds)])
        for outline in one.standing.outlines:
            corners = placed(replace(site, x_mm=x, y_mm=y), outline.corners)
            drawn.append(f'<polygon class="{names}" points="{" ".join(map(at, corners))}"/>')
        place = at((x, y)).split(",")
        drawn.append(f'<circle cx="{place[0]}" cy="{place[1]}" r="3" fill="currentColor"/>')
        name_at = _free(float(place[0]), float(place[1]), one.standing.id, letters, names_at)
        names_at.append((name_at[0], name_at[1], len(one.standing.id)))
        drawn.append(f'<text class="name" x="{name_at[0]:.1f}" y="{name_at[1]:.1f}" style="--size:{letters:.1f}px" '
                     f'text-anchor="middle" fill="currentColor">{escape(one.standing.id)}</text>')  # fmt: skip
    return "".join(drawn)


def _free(x: float, y: float, name: str, letters: float, taken: Sequence[tuple[float, float, int]]) -> Point:
    """Where the name of a mount goes, in the picture: above its pin, or below where another's is in the way."""
    for below in (-0.5, 1.3, -1.6, 2.4):
        at = y + below * letters
        wide = _LETTER_WIDE * letters
        if all(abs(at - other[1]) >= letters or abs(x - other[0]) >= wide * (len(name) + other[2]) / 2
               for other in taken):  # fmt: skip
            break
    return x, at
