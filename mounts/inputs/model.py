"""The base of every model and the annotated quantities they are made of."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue

from mounts.units import length_mm


class Model(BaseModel):
    """Frozen, without unknown keys, without NaN or infinity."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class OrText:
    """Tells in the JSON Schema of a file that a length may also be written as text."""

    def __get_pydantic_json_schema__(self, core_schema: Any, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        schema = handler(core_schema)
        return {"anyOf": [schema, {"type": "string"}]} if handler.mode == "validation" else schema


Mm = Annotated[float, BeforeValidator(length_mm), OrText()]
"""A length: a number is mm, a string may carry a unit (``mounts.units``)."""

Rule = tuple[bool, str, str]
"""Whether it holds, the field it speaks of, and what the field ``must``."""


def agree(model: Model, rules: Iterable[Rule]) -> None:
    """Refuses figures that are each in range but can't belong to one thing.

    Args:
        model: what the rules speak of.
        rules: every one is asked, so that all faults of a file come at once.

    Raises:
        ValueError: one line a broken rule, ``<field> = <value>: must …``.
    """
    broken = [f"{field} = {shown(getattr(model, field))}: must {must}" for holds, field, must in rules if not holds]
    if broken:
        raise ValueError("\n".join(broken))


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
