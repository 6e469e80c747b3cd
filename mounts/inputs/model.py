"""The base of every model and the annotated quantities they are made of."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, GetJsonSchemaHandler, model_validator
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from mounts.errors import Fault
from mounts.units import length_mm, number, text_mm


class Model(BaseModel):
    """Frozen, without unknown keys, without NaN or infinity."""

    model_config = ConfigDict(defer_build=True, frozen=True, extra="forbid", allow_inf_nan=False)


class OrText:
    """Tells in the JSON Schema of a file that a length may also be written as text."""

    def __get_pydantic_json_schema__(self, core_schema: Any, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        schema = handler(core_schema)
        return {"anyOf": [schema, {"type": "string"}]} if handler.mode == "validation" else schema


Mm = Annotated[float, BeforeValidator(length_mm), OrText()]
"""A length: a number is mm, a string may carry a unit (``mounts.units``)."""


@dataclass(frozen=True)
class Within:
    """Bounds of a length, however it is written: checked, named in faults and told in the JSON Schema.

    Attributes:
        low_mm: the least.
        high_mm: the most.
        or_name: text may be a profile's name: whoever looks it up asks ``mm`` whether it is a length.
    """

    low_mm: float
    high_mm: float
    or_name: bool = False

    def mm(self, written: object) -> float:
        """The length, in mm however it was written.

        Raises:
            ValueError: it is none, or out of bounds; begins as those of ``length_mm`` do.
        """
        size_mm = length_mm(written)
        if not self.low_mm <= size_mm <= self.high_mm:
            raise ValueError(f"must be {number(self.low_mm)} to {text_mm(self.high_mm)}")
        return size_mm

    def _checked(self, written: object) -> object:
        if written is not None and not (self.or_name and isinstance(written, str)):
            self.mm(written)
        return written

    def __get_pydantic_core_schema__(self, source: Any, handler: Callable[[Any], CoreSchema]) -> CoreSchema:
        return core_schema.no_info_after_validator_function(self._checked, handler(source))

    def __get_pydantic_json_schema__(self, schema: Any, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        return self._bounded(handler(schema))

    def _bounded(self, schema: JsonSchemaValue) -> JsonSchemaValue:
        if "anyOf" in schema:
            return {**schema, "anyOf": [self._bounded(each) for each in schema["anyOf"]]}
        if schema.get("type") == "number":
            return {**schema, "minimum": self.low_mm, "maximum": self.high_mm}
        return schema


Rule = tuple[bool, str, str]
"""Whether it holds, the field it speaks of, and what the field ``must``."""


class Disagreement(ValueError):
    """Values of a table that can't stand together, each fault with its place in the table."""

    def __init__(self, *faults: Fault) -> None:
        super().__init__("\n".join(str(fault.within(file="")) for fault in faults))
        self.faults = faults


def agree(model: Model, rules: Iterable[Rule]) -> None:
    """Refuses figures that are each in range but can't belong to one thing.

    Args:
        model: what the rules speak of.
        rules: every one is asked, so that all faults of a file come at once.

    Raises:
        Disagreement: a fault a broken rule.
    """
    broken = [
        Fault(f"must {must}", (field,), shown(getattr(model, field))) for holds, field, must in rules if not holds
    ]
    if broken:
        raise Disagreement(*broken)


def shown(value: object) -> str:
    """A value as an error line shows it, as it would be written in TOML and cut where it gets long."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    text = repr(value)
    if isinstance(value, tuple | list):
        text = f"[{', '.join(shown(item) for item in value)}]"
    return text if len(text) <= 80 else text[:77] + "…"


def shown_length(value: object) -> str:
    """A length as an error line shows it, in mm too where it is written as text.

    >>> shown_length("18 m"), shown_length(18.0), shown_length("plywood-18")
    ("'18 m' (18000 mm)", '18', "'plywood-18'")
    """
    if isinstance(value, str):
        try:
            return f"{shown(value)} ({text_mm(length_mm(value))})"
        except ValueError:
            pass
    return shown(value)


Mark = Literal["S", "C", "I", "M", "P", "V"]
"""How sure a figure is: S read in the source named, or measured as told there, C computed from S, I inferred,
M from memory, P common practice without a source, V invented, for a demonstration or a test."""


class Source(Model):
    """Where figures of a profile come from: one sentence with its mark, and the figures that it holds for."""

    text: str = Field(min_length=3, description="edition and clause, or 'common practice, no source'")
    mark: Mark
    figures: tuple[str, ...] = Field(
        default=(), description="keys it holds for; of a table 'key.inner', of one row 'stock[0.8].tensile_mpa'"
    )


class Profile(Model):
    """What every profile file has. ``name`` is the file's stem and is set by the loader."""

    name: str = Field(description="how it is called on the command line")
    title: str = Field(min_length=3, description="one line for a list")
    source: dict[str, Source] = Field(min_length=1, description="[source.<group>] tables")

    @model_validator(mode="after")
    def _sources_are_of_its_figures(self) -> Self:
        known = set(type(self).model_fields) - {"name", "title", "source"}
        seen: set[str] = set()
        faults = []
        for group, source in self.source.items():
            for figure in source.figures:
                place = ("source", group, "figures")
                if re.split(r"[.\[]", figure)[0] not in known:
                    faults.append(Fault("must be keys of this profile", place, repr(figure)))
                elif figure in seen:
                    faults.append(Fault("must not be claimed by two sources", place, repr(figure)))
                seen.add(figure)
        if faults:
            raise Disagreement(*faults)
        return self
