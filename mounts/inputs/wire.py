"""Spring wire: stock diameters and a strength that falls with diameter."""

from __future__ import annotations

from itertools import pairwise
from typing import Self

from pydantic import Field, model_validator

from mounts.inputs.model import Mm, Model, Profile, agree
from mounts.units import number


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

    @model_validator(mode="after")
    def _can_be_a_wire(self) -> Self:
        pairs = tuple(pairwise(self.stock))
        agree(
            self,
            (
                (all(a.diameter_mm < b.diameter_mm for a, b in pairs), "stock", "go from thin to thick"),
                (
                    all(a.tensile_mpa >= b.tensile_mpa for a, b in pairs),
                    "stock",
                    "have a tensile_mpa that falls as the wire gets thicker",
                ),
                (
                    self.stress_warn <= self.stress_limit,
                    "stress_warn",
                    f"not exceed stress_limit = {number(self.stress_limit)}",
                ),
            ),
        )
        return self
