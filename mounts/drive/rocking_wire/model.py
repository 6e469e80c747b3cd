"""What a style leaves to a rocking wire, and one that was chosen. Lengths mm, angles degrees in fields."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from mounts.drive.model import Limits, PointsDrive


class RockingWireLimits(Limits):
    """What the mount's shape leaves to the solver of a rocking wire."""

    kind: Literal["rocking-wire"] = "rocking-wire"
    pivot_to_pin_mm: float = Field(gt=0, description="h: fixed by board, roadbed and where the pivot sits")
    pad_mm: float = Field(0.0, description="glued under the board, counts as depth")
    pivot_drop_mm: float = Field(gt=0, description="underside of the board down to the pivot")
    below_shaft_mm: float = Field(gt=0, description="shaft axis to the lowest point of mount or servo")
    min_pivot_to_shaft_mm: float = Field(description="least d + s·r: room for case, ears and their screws")
    min_arm_tip_to_pivot_mm: float = Field(description="least pivot-to-arm-tip distance, any swing")
    max_depth_mm: float = Field(description="allowed below the board's underside")
    max_board_hole_mm: float = Field(description="largest hole to drill for the wire")
    board_hole_clearance_mm: float = Field(description="kept a side between wire and hole")
    pivot_slack_mm: float = Field(description="D − w of the pivot as printed")
    min_pivot_land_mm: float = Field(description="shortest land that prints")
    max_pivot_tilt_deg: float = Field(description="steepest lean the flared bore can be made for")


class RockingWireDrive(PointsDrive):
    """A rocking wire, chosen. Keys are those of report/1."""

    kind: Literal["rocking-wire"] = "rocking-wire"
    pivot_to_horn_mm: float = Field(description="d, at mid swing")
    pivot_to_pin_mm: float = Field(description="h")
    horn_towards_pivot: bool
    wire_held: Literal["turning", "clamped"]
    stress_pivot_mpa: float
    stress_horn_mpa: float
    tilt_deg: float = Field(description="steepest lean of the wire at the pivot, over-travel included")
    pivot_bore_mm: float = Field(description="D, as printed: wire plus slack")
    pivot_land_mm: float
    board_hole_mm: float = Field(description="drill for the wire's hole in board and roadbed")

    @property
    def lever(self) -> float:
        """h/d: what the pin goes over what the arm's hole does."""
        return self.pivot_to_pin_mm / self.pivot_to_horn_mm

    @property
    def felt_n_per_mm(self) -> float:
        """Stiffness of the wire at the arm's hole, the pin stopped, N/mm: k·(h/d)² by virtual work."""
        return self.rate_n_per_mm * self.lever**2
