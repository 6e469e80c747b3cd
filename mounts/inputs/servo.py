"""A servo, measured with callipers. Lengths in mm in the servo frame (``mounts.frames``)."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from mounts.inputs.model import Mm, Profile


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
    pulse_centre_us: float = Field(ge=1300, le=1700)
    pulse_min_us: float = Field(ge=400, le=1400)
    pulse_max_us: float = Field(ge=1600, le=2700)
    degrees_per_us: float = Field(ge=0.05, le=0.2, description="arm angle per µs of pulse")
    pulse_turns: Literal["ccw", "cw"] = Field(
        default="ccw", description="sense of a longer pulse, looking at the shaft's end"
    )
    tolerance_mm: Mm = Field(default=0.2, ge=0, le=1, description="± of the dimensions above")
