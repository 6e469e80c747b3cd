"""The base of every model and the annotated quantities they are made of."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from mounts.units import length_mm


class Model(BaseModel):
    """Frozen, without unknown keys, without NaN or infinity."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


Mm = Annotated[float, BeforeValidator(length_mm)]
"""A length: a number is mm, a string may carry a unit (``mounts.units``)."""

Mark = Literal["S", "C", "I", "M", "P"]
"""How sure a figure is: S read in the source named, C computed from S, I inferred, M from memory,
P common practice without a source."""


class Source(Model):
    """Where the figures of a profile come from: one sentence a group of keys, each with its mark."""

    text: str = Field(min_length=3, description="edition and clause, or 'common practice, no source'")
    mark: Mark


class Profile(Model):
    """What every profile file has. ``name`` is the file's stem and is set by the loader."""

    name: str = Field(description="how it is called on the command line")
    title: str = Field(min_length=3, description="one line for a list")
    source: dict[str, Source] = Field(min_length=1, description="[source.<group>] tables")
