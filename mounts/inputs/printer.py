"""The printer and what it prints with."""

from __future__ import annotations

import math
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from mounts.inputs.model import Mm, Profile, agree
from mounts.units import number

LINE_PER_NOZZLE = 1.125
"""Width of a line put down over the nozzle: the slicer's 0.45 mm for 0.4."""

STRETCH = 1.05
"""By which lines are laid wider to fill a wall; prusa-slicer 2.5 does so without another line, measured."""

STEEP = 1.4
"""Rise over run of a flank that leans out: at 1.0 a slicer put support under the corners of some. Measured."""

FRICTION = 0.2
"""Plastic on plastic, low end; from memory, tables give 0.2 to 0.4."""

Pair = Literal[
    "pocket", "pocket-level", "pivot", "shell-on-frame", "roof-on-shell", "pilot-upright", "pilot-lying",
    "fixing-upright", "fixing-lying", "post",
]  # fmt: skip
"""Pairs of ``inputs.fits`` that may have a figure of their own."""


class Printer(Profile):
    """A printer with one nozzle: what it can draw, and how far off its fits come out."""

    bed_x_mm: Mm = Field(ge=50, le=1000)
    bed_y_mm: Mm = Field(ge=50, le=1000)
    bed_z_mm: Mm = Field(ge=30, le=1000)
    nozzle_mm: Mm = Field(ge=0.15, le=1.2)
    layer_mm: Mm = Field(ge=0.04, le=0.8)
    first_layer_mm: Mm = Field(ge=0.1, le=0.8)
    slip_fit_mm: Mm = Field(ge=0, le=1, description="gap a side of a part that slides in")
    moving_fit_mm: Mm = Field(ge=0, le=1, description="slack in width of a moving fit (wire in pivot)")
    hole_upright_mm: Mm = Field(ge=0, le=0.8, description="added to the diameter of a hole that prints upright")
    hole_lying_mm: Mm = Field(ge=0, le=0.8, description="added to the diameter of a hole that prints lying")
    fits_mm: dict[Pair, Annotated[Mm, Field(ge=0, le=1)]] = Field(
        default_factory=dict, description="own figure of a pair, as measured; the others take the shared one above"
    )
    smallest_hole_mm: Mm = Field(ge=0.3, le=4, description="smaller round holes close up")
    smallest_gap_mm: Mm = Field(ge=0.1, le=2, description="narrower gaps fuse")
    thinnest_wall_mm: Mm = Field(0.0, ge=0, le=3, description="thinner walls did not come out; 0: two lines do")
    overhang_deg: float = Field(ge=20, le=75, description="steepest lean from vertical printed without support")
    bridge_warn_mm: Mm = Field(ge=2, le=60)
    bridge_limit_mm: Mm = Field(ge=2, le=100)
    elephant_foot_mm: Mm = Field(ge=0, le=1, description="bulge of the first layers, a side")
    accuracy_mm: Mm = Field(ge=0.02, le=1, description="± of a printed dimension")
    wall_lines: int = Field(3, ge=1, le=8, description="lines side by side in a wall, for grams and minutes")
    skin_layers: int = Field(4, ge=1, le=12, description="solid layers at top and bottom, for grams and minutes")
    infill_percent: float = Field(15.0, ge=0, le=100, description="sparse fill inside, for grams and minutes")
    print_mm_per_s: float = Field(50.0, ge=5, le=500, description="speed of every line but those of the first layer")
    first_layer_mm_per_s: float = Field(25.0, ge=2, le=500, description="speed of the first layer")
    acceleration_mm_per_s2: float = Field(1000.0, ge=100, le=50000, description="while printing and on the way")
    least_layer_s: float = Field(5.0, ge=0, le=60, description="a layer done sooner is slowed down, to cool")

    @property
    def pitch_mm(self) -> float:
        """From one line to the next beside it: rounded ends overlap, w − h·(1 − π/4), as slicers reckon it."""
        return LINE_PER_NOZZLE * self.nozzle_mm - self.layer_mm * (1 - math.pi / 4)

    def lines_mm(self, least_mm: float) -> float:
        """Thickness of the fewest lines side by side that are so thick: a wall with no gap left to fill.

        Slicers lay a line a little wider than asked where that fills a wall; as far as ``STRETCH`` they are counted on.
        """
        line = LINE_PER_NOZZLE * self.nozzle_mm
        more = max(0, math.ceil((least_mm / STRETCH - line) / self.pitch_mm - 1e-9))
        return max(least_mm, line + more * self.pitch_mm)

    @property
    def clean_hole_mm(self) -> float:
        """Smaller holes come out, but not round (guides: 1.5 mm, warn under 2)."""
        return self.smallest_hole_mm + 0.5

    def bed_room_mm(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Room left on the bed by what is so long and so wide, as it lies and turned by 90°; negative: too large."""
        return min(self.bed_x_mm - x_mm, self.bed_y_mm - y_mm), min(self.bed_x_mm - y_mm, self.bed_y_mm - x_mm)

    @model_validator(mode="after")
    def _can_be_a_printer(self) -> Self:
        nozzle = f"nozzle_mm = {number(self.nozzle_mm)}"
        agree(
            self,
            (
                (self.layer_mm <= self.nozzle_mm, "layer_mm", f"not exceed {nozzle}"),
                (self.first_layer_mm <= self.nozzle_mm, "first_layer_mm", f"not exceed {nozzle}"),
                (
                    self.bridge_warn_mm <= self.bridge_limit_mm,
                    "bridge_warn_mm",
                    f"not exceed bridge_limit_mm = {number(self.bridge_limit_mm)}",
                ),
            ),
        )
        return self


class Filament(Profile):
    """A plastic: weight, stiffness and the heat it stands."""

    density_g_per_cm3: float = Field(ge=0.5, le=3)
    modulus_mpa: float = Field(ge=200, le=20000, description="lower end, along the layers")
    softens_c: float = Field(ge=40, le=250, description="heat deflection temperature")
    tensile_mpa: float | None = Field(None, ge=5, le=500, description="tensile strength along the layers, lower end")
    tensile_z_mpa: float | None = Field(None, ge=5, le=500, description="across the layers; neither: not asked")
