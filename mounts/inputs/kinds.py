"""Tables of one of several kinds, told apart by their ``kind``; which kinds there are is asked when one is read."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationError
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, ErrorDetails, InitErrorDetails, PydanticKnownError, core_schema

from mounts.inputs.model import Model


class OfAKind(Model):
    """What every kind of such a table has.

    A direct subclass stands for all of them: read as one, a table becomes a model of the kind that it names. Its own
    subclasses are the kinds; each has a ``kind`` of a single value.
    """

    kind: str

    @classmethod
    def kinds(cls) -> Mapping[str, type[OfAKind]]:
        """Every kind there is, by the value of ``kind``."""
        raise NotImplementedError

    @classmethod
    def stands_for_all(cls) -> bool:
        """Whether this is no kind itself: next below this class."""
        return cls.__mro__.index(Model) == 2

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Kinds as any model; what stands for all reads and writes the kind that is there."""
        if not cls.stands_for_all():
            return handler(source)
        any_kind = core_schema.simple_ser_schema("any")
        return core_schema.no_info_plain_validator_function(cls._read, serialization=any_kind)

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """One of the kinds that there are."""
        if not cls.stands_for_all():
            return handler(schema)
        choices = {name: kind.__pydantic_core_schema__ for name, kind in cls.kinds().items()}
        return handler(core_schema.tagged_union_schema(choices, discriminator="kind"))

    @classmethod
    def _read(cls, written: Any) -> OfAKind:
        if isinstance(written, cls):
            return written
        if not isinstance(written, Mapping):
            raise PydanticKnownError("model_attributes_type")
        kinds = cls.kinds()
        if "kind" not in written:
            raise PydanticKnownError("union_tag_not_found", {"discriminator": "'kind'"})
        kind = written["kind"]
        if not isinstance(kind, str) or kind not in kinds:
            known = ", ".join(repr(name) for name in kinds)
            said = {"discriminator": "'kind'", "tag": str(kind), "expected_tags": known}
            raise PydanticKnownError("union_tag_invalid", said)
        try:
            return kinds[kind].model_validate(written)
        except ValidationError as fault:
            told = [_told(item, kind) for item in fault.errors(include_url=False)]
            raise ValidationError.from_exception_data(fault.title, told) from None


def _told(item: ErrorDetails, kind: str) -> InitErrorDetails:
    """A fault of a kind's table with the kind in its place, as in any union whose members have a tag."""
    return {"type": item["type"], "loc": (kind, *item["loc"]), "input": item["input"], "ctx": item.get("ctx", {})}
