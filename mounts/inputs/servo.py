"""A servo, measured with callipers. Lengths in mm in the servo frame (``mounts.frames``)."""

from __future__ import annotations

from itertools import pairwise
from typing import Literal, Self

from pydantic import Field, model_validator

from mounts.inputs.model import Mm, Profile, Rule, agree
from mounts.units import number

HUB_AIR_MM = 0.2  # between hub and boss; common practice, no source
EDGE_MM = 0.3
"""Least plastic left beside an ear hole; common practice, no source."""

BOSS_OVERHANG_MM = 1.5
"""How far the gear boss may stand out of the case; measured clones reach 0.4 (standards of the class)."""


class Servo(Profile):
    """A servo's outside, its arm and its signals.

    The case spans x from −shaft_offset to case_length − shaft_offset, y ± case_width/2, z from
    −flange_underside_height to case_height − flange_underside_height. The flange is centred on the case.
    """

    case_length_mm: Mm = Field(ge=10, le=70, description="case without flange, along the flange")
    case_width_mm: Mm = Field(ge=5, le=40, description="case across")
    case_height_mm: Mm = Field(ge=8, le=60, description="case bottom to the top face, without boss")
    flange_span_mm: Mm = Field(ge=15, le=100, description="end to end of the two ears")
    flange_thickness_mm: Mm = Field(ge=0.8, le=6)
    flange_underside_height_mm: Mm = Field(ge=3, le=50, description="case bottom to the underside of the ears")
    flange_hole_spacing_mm: Mm = Field(ge=12, le=90, description="ear hole to ear hole, along the case")
    flange_hole_pitch_mm: Mm = Field(
        default=0.0, ge=0, le=20, description="between the two holes of one ear, across; 0: one hole an ear"
    )
    flange_hole_mm: Mm = Field(ge=1, le=6, description="diameter of the ear holes")
    shaft_offset_mm: Mm = Field(ge=2, le=30, description="near case end to the shaft axis")
    boss_mm: Mm = Field(ge=3, le=30, description="diameter of the gear boss round the shaft")
    boss_height_mm: Mm = Field(ge=0, le=12, description="boss above the case top")
    spline_mm: Mm = Field(ge=2, le=8, description="diameter of the spline")
    spline_top_height_mm: Mm = Field(ge=3, le=40, description="tip of the spline above the flange underside")
    spline_teeth: int = Field(ge=10, le=40)
    horn_plane_height_mm: Mm = Field(
        ge=3, le=45, description="flange underside to the arm's outer face, arm pushed home"
    )
    horn_thickness_mm: Mm = Field(ge=0.8, le=5)
    horn_length_mm: Mm = Field(ge=5, le=50, description="shaft axis to the tip of the arm")
    horn_tip_width_mm: Mm = Field(ge=2, le=12, description="width of the arm at its tip")
    horn_hub_mm: Mm = Field(ge=3, le=20, description="diameter of the arm's hub")
    horn_radii_mm: tuple[Mm, ...] = Field(min_length=1, description="shaft axis to each arm hole, rising")
    horn_hole_mm: Mm = Field(ge=0.5, le=4, description="diameter of the arm holes as bought")
    horn_screw_head_mm: Mm = Field(ge=1.5, le=10, description="head diameter of the screw that holds the arm")
    horn_screw_proud_mm: Mm = Field(ge=0, le=6, description="its head above the arm's outer face")
    cable_end: Literal["near", "far"] = Field(description="case end the cable leaves; near: the shaft's end")
    cable_height_mm: Mm = Field(ge=0, le=40, description="centre of the cable above the case bottom")
    cable_width_mm: Mm = Field(ge=1, le=12, description="flat of the three wires, across the case")
    cable_thickness_mm: Mm = Field(ge=0.5, le=6)
    connector_width_mm: Mm = Field(ge=3, le=15, description="plug, the long side of its face")
    connector_thickness_mm: Mm = Field(ge=1.5, le=8)
    screw_mm: Mm = Field(ge=1, le=4, description="thread diameter of the servo's own screws")
    screw_length_mm: Mm = Field(ge=3, le=20, description="their length under the head")
    screw_head_mm: Mm = Field(ge=2, le=9, description="their head diameter")
    mass_g: float = Field(gt=0, le=200)
    stall_torque_nmm: float = Field(gt=5, le=3000, description="N·mm at stall_voltage_v")
    stall_voltage_v: float = Field(ge=3, le=8.4)
    dead_band_us: float = Field(gt=0, le=30)
    idle_ma: float | None = Field(default=None, gt=0, le=500, description="current at rest under pulses; or assumed")
    moving_ma: float | None = Field(default=None, gt=0, le=5000, description="current while it moves; or assumed")
    stall_ma: float | None = Field(default=None, gt=0, le=10000, description="current held fast; or assumed")
    pulse_centre_us: float = Field(ge=1300, le=1700)
    pulse_min_us: float = Field(ge=400, le=1400)
    pulse_max_us: float = Field(ge=1600, le=2700)
    degrees_per_us: float = Field(ge=0.05, le=0.2, description="arm angle per µs of pulse")
    degrees_per_us_spread: float = Field(
        default=0.0, ge=0, le=0.03, description="± of degrees_per_us; 0 where it was measured with two pulses"
    )
    pulse_turns: Literal["ccw", "cw"] = Field(
        default="ccw", description="sense of a longer pulse, looking at the shaft's end"
    )
    tolerance_mm: Mm = Field(default=0.2, ge=0, le=1, description="± of the dimensions above")

    @property
    def case_top_height_mm(self) -> float:
        """The case's top face above the flange underside."""
        return self.case_height_mm - self.flange_underside_height_mm

    @property
    def boss_top_height_mm(self) -> float:
        """The gear boss's top above the flange underside."""
        return self.case_top_height_mm + self.boss_height_mm

    @property
    def arm_inner_height_mm(self) -> float:
        """The arm's face towards the case above the flange underside."""
        return self.horn_plane_height_mm - self.horn_thickness_mm

    @property
    def hub_bottom_height_mm(self) -> float:
        """Lower face of the arm's hub above the flange underside: just over the boss, or the arm's own."""
        return min(self.boss_top_height_mm + HUB_AIR_MM, self.arm_inner_height_mm)

    @property
    def arm_slide_mm(self) -> float:
        """How far the arm goes along the shaft while it is pushed on, from where its hub just clears the spline."""
        return max(0.0, self.spline_top_height_mm - self.hub_bottom_height_mm)

    @property
    def arm_tip_mm(self) -> float:
        """Shaft axis to the centre of the arm's round tip."""
        return self.horn_length_mm - self.horn_tip_width_mm / 2

    @property
    def ear_mm(self) -> float:
        """How far either ear stands out past the case."""
        return (self.flange_span_mm - self.case_length_mm) / 2

    @property
    def ear_screws_mm(self) -> tuple[tuple[float, float], ...]:
        """The servo's screws from the middle of case and flange, near ear first: along the case, across it."""
        along, across = self.flange_hole_spacing_mm / 2, self.flange_hole_pitch_mm / 2
        rows = (-across, across) if across else (0.0,)
        return tuple((side * along, row) for side in (-1, 1) for row in rows)

    def case_ends_mm(self, shaft_mm: float = 0.0, *, towards: Literal[-1, 1] = 1) -> tuple[float, float]:
        """Near and far end of the case on a line along it.

        Args:
            shaft_mm: where the shaft is on that line; 0 in the servo frame.
            towards: 1 where the line goes from the near end to the far one, −1 where it comes back.
        """
        near = shaft_mm - towards * self.shaft_offset_mm
        return near, near + towards * self.case_length_mm

    @model_validator(mode="after")
    def _can_be_a_servo(self) -> Self:
        agree(
            self,
            (*self._case_rules(), *self._ear_rules(), *self._arm_rules(), *self._cable_and_pulse_rules()),
        )
        return self

    def _case_rules(self) -> tuple[Rule, ...]:
        length, width = self._named("case_length_mm"), self._named("case_width_mm")
        return (
            (self.flange_span_mm > self.case_length_mm, "flange_span_mm", f"exceed {length}"),
            (
                self.flange_underside_height_mm + self.flange_thickness_mm <= self.case_height_mm,
                "flange_underside_height_mm",
                f"be at most {number(self.case_height_mm - self.flange_thickness_mm)} mm,"
                f" {self._named('case_height_mm')} less {self._named('flange_thickness_mm')}",
            ),
            (
                self.shaft_offset_mm <= self.case_length_mm / 2,
                "shaft_offset_mm",
                f"be at most half of {length}; measure from the case end nearer the shaft",
            ),
            (
                self.boss_mm <= self.case_width_mm + BOSS_OVERHANG_MM,
                "boss_mm",
                f"not exceed {width} by more than {number(BOSS_OVERHANG_MM)} mm",
            ),
            (
                self.shaft_offset_mm >= self.boss_mm / 2 - BOSS_OVERHANG_MM,
                "shaft_offset_mm",
                f"be at least {number(self.boss_mm / 2 - BOSS_OVERHANG_MM)} mm,"
                f" or the boss ({self._named('boss_mm')}) stands out of the case",
            ),
            (self.spline_mm < self.boss_mm, "spline_mm", f"be less than {self._named('boss_mm')}"),
        )

    def _ear_rules(self) -> tuple[Rule, ...]:
        nearest = self.case_length_mm + self.flange_hole_mm + 2 * EDGE_MM
        farthest = self.flange_span_mm - self.flange_hole_mm - 2 * EDGE_MM
        closest = self.flange_hole_mm + EDGE_MM
        widest = self.case_width_mm - self.flange_hole_mm - 2 * EDGE_MM
        hole = self._named("flange_hole_mm")
        return (
            (
                nearest <= self.flange_hole_spacing_mm <= farthest,
                "flange_hole_spacing_mm",
                f"be {number(nearest)} to {number(farthest)} mm, so that {hole} lies on the ears"
                if nearest <= farthest
                else f"leave room on the ears, which are too short for {hole}",
            ),
            (
                self.flange_hole_pitch_mm == 0 or closest <= self.flange_hole_pitch_mm <= widest,
                "flange_hole_pitch_mm",
                f"be {number(closest)} to {number(widest)} mm, or 0 for one hole an ear"
                if closest <= widest
                else f"be 0, as {self._named('case_width_mm')} has no room for two holes",
            ),
            (self.screw_mm <= self.flange_hole_mm, "screw_mm", f"not exceed {hole}"),
            (self.screw_head_mm > self.flange_hole_mm, "screw_head_mm", f"exceed {hole}"),
            (
                self.screw_length_mm > self.flange_thickness_mm + self.screw_mm,
                "screw_length_mm",
                f"exceed {number(self.flange_thickness_mm + self.screw_mm)} mm,"
                f" {self._named('flange_thickness_mm')} and one diameter to hold",
            ),
        )

    def _arm_rules(self) -> tuple[Rule, ...]:
        boss_top = self.boss_top_height_mm
        innermost = (self.spline_mm + self.horn_hole_mm) / 2
        outermost = self.horn_length_mm - self.horn_hole_mm / 2
        arm_least = boss_top + self.horn_thickness_mm
        return (
            (
                boss_top < self.spline_top_height_mm <= self.horn_plane_height_mm,
                "spline_top_height_mm",
                f"be above the boss ({number(boss_top)} mm), up to {self._named('horn_plane_height_mm')}"
                " (all from the flange underside)",
            ),
            (
                self.horn_plane_height_mm >= arm_least,
                "horn_plane_height_mm",
                f"be at least {number(arm_least)} mm, the boss and {self._named('horn_thickness_mm')}"
                " above the flange underside",
            ),
            (
                all(a < b for a, b in pairwise(self.horn_radii_mm)),
                "horn_radii_mm",
                "rise from the shaft outwards",
            ),
            (
                self.horn_radii_mm[0] > innermost and self.horn_radii_mm[-1] < outermost,
                "horn_radii_mm",
                f"lie between {number(innermost)} and {number(outermost)} mm,"
                f" clear of {self._named('spline_mm')} and inside {self._named('horn_length_mm')}",
            ),
            (
                self.horn_hole_mm < self.horn_tip_width_mm,
                "horn_hole_mm",
                f"be less than {self._named('horn_tip_width_mm')}",
            ),
            (self.horn_hub_mm > self.spline_mm, "horn_hub_mm", f"exceed {self._named('spline_mm')}"),
            (
                self.horn_screw_head_mm <= self.horn_hub_mm,
                "horn_screw_head_mm",
                f"not exceed {self._named('horn_hub_mm')}",
            ),
        )

    def _cable_and_pulse_rules(self) -> tuple[Rule, ...]:
        half = self.cable_thickness_mm / 2
        return (
            (
                half <= self.cable_height_mm <= self.case_height_mm - half,
                "cable_height_mm",
                f"be {number(half)} to {number(self.case_height_mm - half)} mm, inside {self._named('case_height_mm')}",
            ),
            (
                self.cable_width_mm <= self.case_width_mm,
                "cable_width_mm",
                f"not exceed {self._named('case_width_mm')}",
            ),
            (
                self.connector_thickness_mm <= self.connector_width_mm,
                "connector_thickness_mm",
                f"not exceed {self._named('connector_width_mm')}",
            ),
            (
                self.pulse_min_us < self.pulse_centre_us < self.pulse_max_us,
                "pulse_centre_us",
                f"lie between {self._named('pulse_min_us')} and {self._named('pulse_max_us')}",
            ),
        )

    def _named(self, field: str) -> str:
        return f"{field} = {number(getattr(self, field))}"
