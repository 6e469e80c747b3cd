"""What every style leaves to its drive (limits) and every drive has. Lengths mm, angles degrees in fields."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import Field

from mounts.drive.discovery import discovered
from mounts.inputs.kinds import OfAKind
from mounts.inputs.model import Model


class PulseWidths(Model):
    """Controller settings, µs."""

    normal: float
    centre: float
    reverse: float


class Limits(OfAKind):
    """What the mount's shape leaves to the solver, whatever the kind of drive."""

    kind: str
    wire_tail_mm: float = Field(gt=0, description="Z-bend's tail beyond the arm hole, towards the hub")

    @classmethod
    def kinds(cls) -> Mapping[str, type[OfAKind]]:
        """The limits of every kind of drive."""
        return {name: kind.limits for name, kind in discovered().items()}


class Drive(OfAKind):
    """A drive, chosen, whatever its kind: arm, wire, what the pin does and what the servo bears. Keys of report/1."""

    kind: str
    horn_radius_mm: float
    wire_mm: float
    wire_tensile_mpa: float
    wire_modulus_mpa: float
    arm_hole_drill_mm: float = Field(description="what the arm's hole must measure, opened if need be")
    swing_deg: float = Field(description="half swing, mid to end")
    travel_mm: float = Field(description="pin travel end to end, wire or loop unloaded, no slack")
    lost_motion_mm: float = Field(description="off the whole travel: slack of every hole that the wire turns in")
    rate_n_per_mm: float = Field(description="of wire or loop at the pin, where it begins to bend")
    stress_mpa: float = Field(description="largest bending stress anywhere in the wire, straight-beam theory")
    servo_torque_nmm: float
    torque_margin: float = Field(description="stall torque over torque asked")
    pulse_us: PulseWidths
    pin_mm_per_us: float = Field(description="at mid swing")
    deadband_mm: float = Field(description="dead band of the servo, at the pin")
    explanation: str = Field(description="why this one won, two or three sentences")

    @classmethod
    def kinds(cls) -> Mapping[str, type[OfAKind]]:
        """The drives of every kind."""
        return {name: kind.drive for name, kind in discovered().items()}


class PointsDrive(Drive):
    """A drive that throws points: its wire presses the blades home where they stop it."""

    overtravel_mm: float = Field(description="per side, no slack: (travel − throw)/2")
    force_n: float = Field(description="at the blades, points closed, no slack, at the stronger end")
    force_after_slack_n: float = Field(description="what is left of it at the weaker end, the lost motion taken up")
