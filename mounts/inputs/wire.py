"""Spring wire: stock diameters and a strength that falls with diameter."""

from __future__ import annotations

from pydantic import Field

from mounts.inputs.model import Mm, Model, Profile


class StockWire(Model):
    """One diameter as sold."""

    diameter_mm: Mm = Field(ge=0.2, le=3)
    tensile_mpa: float = Field(ge=300, le=4000, description="the standard's minimum")
    modulus_mpa: float = Field(ge=50_000, le=250_000)


class Wire(Profile):
    """A wire material and the diameters it is stocked in, thin to thick."""

    stock: tuple[StockWire, ...] = Field(min_length=1)
    stress_limit: float = Field(default=0.65, gt=0, le=1, description="share of tensile never exceeded")
    stress_warn: float = Field(default=0.50, gt=0, le=1, description="share of tensile warned above")
