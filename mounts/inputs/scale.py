"""A scale: track, points and structure gauge, from the published standards."""

from __future__ import annotations

from pydantic import Field

from mounts.inputs.model import Mm, Model, Profile


class StructureGauge(Model):
    """Full widths and heights above rail top on straight track, keys as in NEM 102."""

    bl1_mm: Mm
    bl2_mm: Mm
    bl3_mm: Mm
    bl4_mm: Mm
    bl5_mm: Mm
    hl1_mm: Mm
    hl2_mm: Mm
    hl3_mm: Mm
    hl4_mm: Mm
    hl5_mm: Mm


class CurveWidening(Model):
    """NEM 103: widening each side at a radius, by vehicle group; None where the group can't run."""

    radius_mm: Mm
    group_a_mm: Mm | None
    group_b_mm: Mm | None
    group_c_mm: Mm | None


class Scale(Profile):
    """What the scale fixes. The gauge is None where no published figures were available."""

    ratio: float = Field(ge=10, le=300)
    track_gauge_mm: Mm = Field(ge=4, le=100)
    smallest_throw_mm: Mm = Field(gt=0, description="the published gap between open blade and stock rail")
    throw_mm: Mm = Field(gt=0, description="default tie-bar travel")
    largest_throw_mm: Mm = Field(gt=0)
    force_n: tuple[float, float] = Field(description="default force wanted at the blades, low and high")
    pin_above_roadbed_mm: Mm = Field(ge=0, le=20, description="tie bar's mid plane above the roadbed")
    tie_bar_hole_mm: Mm = Field(gt=0.3, le=4, description="hole in the tie bar the wire goes into")
    roadbed_mm: Mm = Field(ge=0, le=25, description="usual roadbed")
    rail_top_above_roadbed_mm: Mm = Field(ge=1, le=30)
    sleeper_gap_mm: Mm = Field(gt=0, description="free space between two sleepers along the track")
    structure_gauge: StructureGauge | None = None
    curve_widening: tuple[CurveWidening, ...] = ()
