"""A scale: track, points and structure gauge, from the published standards."""

from __future__ import annotations

from itertools import pairwise
from typing import Self

from pydantic import Field, model_validator

from mounts.inputs.model import Mm, Model, Profile, agree
from mounts.units import number


class StructureGauge(Model):
    """Full widths and heights above rail top on straight track, keys as in NEM 102."""

    bl1_mm: Mm = Field(gt=0, le=400, description="above the platforms, to hl3")
    bl2_mm: Mm = Field(gt=0, le=400, description="at hl4, without overhead wire")
    bl3_mm: Mm = Field(gt=0, le=400, description="up to hl1, beside platforms")
    bl4_mm: Mm = Field(gt=0, le=400, description="at hl4, with overhead wire")
    bl5_mm: Mm = Field(gt=0, le=400, description="at hl5, with overhead wire")
    hl1_mm: Mm = Field(gt=0, le=500)
    hl2_mm: Mm = Field(gt=0, le=500)
    hl3_mm: Mm = Field(gt=0, le=500)
    hl4_mm: Mm = Field(gt=0, le=500)
    hl5_mm: Mm = Field(gt=0, le=500)

    @model_validator(mode="after")
    def _can_be_a_gauge(self) -> Self:
        heights = (self.hl1_mm, self.hl2_mm, self.hl3_mm, self.hl4_mm, self.hl5_mm)
        widest = f"bl1_mm = {number(self.bl1_mm)}"
        agree(
            self,
            (
                *(
                    (low < high, f"hl{n}_mm", f"exceed hl{n - 1}_mm = {number(low)}")
                    for n, (low, high) in enumerate(pairwise(heights), start=2)
                ),
                *(
                    (getattr(self, name) <= self.bl1_mm, name, f"not exceed {widest}")
                    for name in ("bl2_mm", "bl3_mm", "bl4_mm", "bl5_mm")
                ),
            ),
        )
        return self


class CurveWidening(Model):
    """NEM 103: widening each side at a radius, by vehicle group; None where the group can't run."""

    radius_mm: Mm = Field(gt=0)
    group_a_mm: Mm | None = Field(default=None, ge=0)
    group_b_mm: Mm | None = Field(default=None, ge=0)
    group_c_mm: Mm | None = Field(default=None, ge=0)


class Scale(Profile):
    """What the scale fixes. The gauge is None where no published figures were available."""

    ratio: float = Field(ge=10, le=300)
    track_gauge_mm: Mm = Field(ge=4, le=100)
    smallest_throw_mm: Mm = Field(gt=0, description="gap between open blade and stock rail, from a standard's figures")
    throw_mm: Mm = Field(gt=0, description="default tie-bar travel")
    largest_throw_mm: Mm = Field(gt=0)
    force_n: tuple[float, float] = Field(description="default force wanted at the blades, low and high")
    pin_above_roadbed_mm: Mm = Field(ge=0, le=20, description="tie bar's mid plane above the roadbed")
    tie_bar_hole_mm: Mm = Field(gt=0.3, le=4, description="hole in the tie bar the wire goes into")
    roadbed_mm: Mm = Field(ge=0, le=25, description="usual roadbed")
    rail_top_above_roadbed_mm: Mm = Field(ge=1, le=30)
    sleeper_gap_mm: Mm = Field(gt=0, description="free space between two sleepers along the track")
    structure_gauge: StructureGauge | None = None
    curve_widening: tuple[CurveWidening, ...] = Field(default=(), description="rising radii")

    @property
    def sleeper_mm(self) -> float:
        """Length of a sleeper: 2.6 m under a 1.435 m gauge; common practice, no source."""
        return 1.81 * self.track_gauge_mm

    @property
    def sleeper_width_mm(self) -> float:
        """Along the track: 260 mm under a 1.435 m gauge; common practice, no source."""
        return 0.18 * self.track_gauge_mm

    @property
    def rail_head_mm(self) -> float:
        """Width of a rail's head: 0.9 mm in HO, from memory; prototypes have 67 to 75 mm on 1.435 m, models more."""
        return 0.055 * self.track_gauge_mm

    @model_validator(mode="after")
    def _can_be_a_scale(self) -> Self:
        low, high = self.force_n
        radii = [row.radius_mm for row in self.curve_widening]
        rail_top = number(self.rail_top_above_roadbed_mm)
        agree(
            self,
            (
                (
                    self.smallest_throw_mm <= self.throw_mm <= self.largest_throw_mm,
                    "throw_mm",
                    f"be smallest_throw_mm = {number(self.smallest_throw_mm)}"
                    f" to largest_throw_mm = {number(self.largest_throw_mm)}",
                ),
                (0 < low < high, "force_n", "be a low force above 0 N and a higher one"),
                (
                    self.pin_above_roadbed_mm < self.rail_top_above_roadbed_mm,
                    "pin_above_roadbed_mm",
                    f"be less than rail_top_above_roadbed_mm = {rail_top}",
                ),
                (radii == sorted(set(radii)), "curve_widening", "go from small to large radius_mm"),
            ),
        )
        return self
