"""The room that trains need beside the track: structure gauge of NEM 102, widened on curves by NEM 103.

HL4 ──┬───────┬──        without overhead wire
     ╱    ¦    ╲
HL3 ┤     ¦     ├
    │     ¦     │  BL1
HL1 ┴┐    ¦    ┌┴        z ↑   → away from the track
     │    ¦    │  BL3, beside platforms
  0 ─┴────┴────┴─ rail top
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from mounts.errors import NoDesign
from mounts.frames import Array
from mounts.inputs.scale import Scale, StructureGauge

if TYPE_CHECKING:
    from manifold3d import Manifold

Group = Literal["auto", "A", "B", "C"]
Bend = Literal["straight", "inside", "outside"]
"""How the track bends, seen from what stands beside it on the +y side."""
Side = Literal["either", "inside", "outside"]
"""Of a curve, on which something stands; either: it must be clear on both."""

_CHORD_MM = 0.01  # an arc is drawn in chords that stray less
_LEAST_CHORDS = 3  # of an arc: the kernel takes fewer for none given, and chooses
_ROUNDED_MM = 0.5  # the table's figures are whole millimetres
_ALONG_MM = 20.0  # gauge drawn past both ends of what it is compared with


@dataclass(frozen=True)
class Widening:
    """What a curve adds on each side.

    Attributes:
        each_side_mm: added to the half width.
        told: where the figure is from, for a message; empty on straight track.
        published: False where the standard gives no figure for this radius.
    """

    each_side_mm: float
    told: str
    published: bool


def widening(scale: Scale, radius_mm: float | None, group: Group = "auto") -> Widening:
    """Widening of the gauge on a curve; between two radii of the table that of the smaller counts.

    Below the smallest radius the figure grows as 1/radius, as the overhang of a vehicle L²/8R does, from the
    most that was rounded to the table's; such a figure is not the standard's and says so.

    Args:
        scale: its table, rising radii.
        radius_mm: of the track's centre line; None on straight track.
        group: of the longest vehicles that run; auto is the longest that can.

    Raises:
        NoDesign: vehicles of that group can't run on this radius.

    Source:
        NEM 103 (2016).
    """
    if radius_mm is None:
        return Widening(0.0, "", True)
    if not scale.curve_widening:
        return Widening(0.0, f"NEM 103 as read has no widening for {scale.name}", False)
    rows = scale.curve_widening
    row = max((row for row in rows if row.radius_mm <= radius_mm), key=lambda row: row.radius_mm, default=rows[0])
    figures = {"A": row.group_a_mm, "B": row.group_b_mm, "C": row.group_c_mm}
    run = {name: figure for name, figure in figures.items() if figure is not None}
    chosen = max(run, key=lambda name: run[name]) if group == "auto" else group
    if chosen not in run:
        raise NoDesign(
            f"vehicles of NEM 103 group {chosen} can't run on R {radius_mm:g} mm in {scale.name}; "
            f"set vehicles to {max(run)} or widen --track-radius"
        )
    figure = run[chosen]
    if radius_mm >= row.radius_mm:
        return Widening(figure, f"NEM 103 group {chosen}, R {row.radius_mm:g}", True)
    grown = (figure + _ROUNDED_MM) * row.radius_mm / radius_mm
    told = f"NEM 103 as read begins at R {row.radius_mm:g}: group {chosen} from there by 1/R"
    return Widening(grown, told, False)


@dataclass(frozen=True)
class Band:
    """A stretch of height over which the gauge's half width changes evenly, above rail top, mm."""

    low: float
    high: float
    half_low: float
    half_high: float

    def half_mm(self, height: Array) -> Array:
        """Half width at heights (n,) of the band, mm."""
        share = (height - self.low) / (self.high - self.low)
        return np.asarray(self.half_low + share * (self.half_high - self.half_low))


def bands(gauge: StructureGauge, each_side_mm: float = 0.0) -> tuple[Band, ...]:
    """The gauge from rail top up, without overhead wire.

    Source:
        NEM 102 (2017): BL3 to HL1, BL1 to HL3, narrowing to BL2 at HL4; that reading of the figure is inferred.
    """
    low, wide, top = (full / 2 + each_side_mm for full in (gauge.bl3_mm, gauge.bl1_mm, gauge.bl2_mm))
    return (
        Band(0.0, gauge.hl1_mm, low, low),
        Band(gauge.hl1_mm, gauge.hl3_mm, wide, wide),
        Band(gauge.hl3_mm, gauge.hl4_mm, wide, top),
    )


@dataclass(frozen=True)
class Track:
    """Where a track runs past a housing.

    Attributes:
        y: its centre line at x = 0, mm, mount frame.
        bend: straight, or the side of the curve that the housing is on.
        radius_mm: of the centre line; None where it is straight.
    """

    y: float
    bend: Bend = "straight"
    radius_mm: float | None = None

    def beside(self, distance_mm: float) -> Track:
        """The track on the same middle, so far towards +y.

        Raises:
            NoDesign: the middle of the curve lies nearer.
        """
        if self.radius_mm is None:
            return Track(self.y + distance_mm)
        radius_mm = self.radius_mm + (-distance_mm if self.bend == "inside" else distance_mm)
        if radius_mm <= 0:
            raise NoDesign(f"a track {distance_mm:g} mm beside a curve of R {self.radius_mm:g} mm has no radius left")
        return Track(self.y + distance_mm, self.bend, radius_mm)

    def middle_y(self) -> float:
        """y of the middle of the curve: what stands inside has it on its own side."""
        radius_mm = self.radius_mm or 0.0
        return self.y + radius_mm if self.bend == "inside" else self.y - radius_mm

    def away_mm(self, points: Array) -> Array:
        """Distance of points (n, 3) from the centre line, mm; negative beyond it, towards −y."""
        if self.radius_mm is None:
            return np.asarray(points[:, 1] - self.y)
        out = np.hypot(points[:, 0], points[:, 1] - self.middle_y())
        return np.asarray(self.radius_mm - out if self.bend == "inside" else out - self.radius_mm)


def swept(band: Band, track: Track, *, rail_top_z: float, x_span: tuple[float, float]) -> Manifold:
    """A band of the gauge swept along a track past a stretch of x, mount frame.

    Args:
        band: which.
        track: along which.
        rail_top_z: height of rail top above the board, mm.
        x_span: stretch to be covered, mm.
    """
    from manifold3d import CrossSection, Manifold

    corners = [
        (-band.half_low, band.low),
        (band.half_low, band.low),
        (band.half_high, band.high),
        (-band.half_high, band.high),
    ]
    reach = max(-x_span[0], x_span[1], 0.0) + _ALONG_MM
    if track.radius_mm is None:
        body = Manifold.extrude(CrossSection([corners]), 2 * reach)  # (away, height) along +z
        turned = np.array([[0.0, 0, 1, -reach], [1, 0, 0, track.y], [0, 1, 0, rail_top_z]])
        return body.transform(turned)
    radius_mm = track.radius_mm
    section = CrossSection([[(radius_mm + away, height) for away, height in corners]])
    outer = radius_mm + max(band.half_low, band.half_high)
    angle = 2 * math.asin(min(1.0, reach / (radius_mm - max(band.half_low, band.half_high))))
    steps = max(_LEAST_CHORDS, math.ceil(angle / (2 * math.acos(1 - _CHORD_MM / outer))))
    arc = section.revolve(steps, math.degrees(angle))
    towards = -math.pi / 2 if track.bend == "inside" else math.pi / 2
    turned_arc = arc.rotate((0.0, 0.0, math.degrees(towards - angle / 2)))
    return turned_arc.translate((0.0, track.middle_y(), rail_top_z))
