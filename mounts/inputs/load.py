"""TOML to models, with every fault of a file collected and none raised singly."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, Literal, TypeVar, get_args, get_origin

from annotated_types import Ge, Gt, Le, Lt
from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from mounts.errors import Fault, InputError, dotted
from mounts.errors import Place as Loc
from mounts.inputs.kinds import OfAKind
from mounts.inputs.model import Disagreement, Profile, Within, shown, shown_length
from mounts.units import number

M = TypeVar("M", bound=BaseModel)

UNITS = {
    "degrees_per_us": "°/µs",
    "_per_mm2": "N/mm²",
    "_per_mm": "N/mm",
    "_per_cm3": "g/cm³",
    "_mm": "mm",
    "_deg": "°",
    "_nmm": "N·mm",
    "_n": "N",
    "_mpa": "MPa",
    "_us": "µs",
    "_g": "g",
    "_v": "V",
    "_c": "°C",
    "swing": "°",
}
"""Unit by the end of a field's name, longer ends first."""

_SHORT_LIST = 9  # names beyond this are not listed in an error line
_LISTED_FIELDS = 6  # more that are missing are told in one line
_NAMED_FIELDS = 4  # a line that lists more is not read
_KINDS_OF_VALUE = {
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "tuple_type": "a list",
    "list_type": "a list",
    "string_type": "text",
    "float_type": "a number",
    "float_parsing": "a number",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
    "finite_number": "a finite number",
}


def read_toml(path: Path) -> dict[str, Any]:
    """The tables of a TOML file.

    Raises:
        InputError: one line: no such file, not a file, not readable, not UTF-8, or the line and column
            where it stops being TOML.
    """
    try:
        if path.exists() and not path.is_file():
            raise InputError(Fault("must be a file", file=str(path)))
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise InputError(Fault("no such file", file=str(path))) from None
    except UnicodeDecodeError as error:
        raise InputError(Fault(f"must be UTF-8 text; byte {error.start} is not", file=str(path))) from None
    except (OSError, ValueError) as error:
        raise InputError(Fault(_not_toml(error), file=str(path))) from None
    return parse_toml(text, path)


def parse_toml(text: str, path: Path) -> dict[str, Any]:
    """The tables of a text that stands in a file, or is to be written there.

    Raises:
        InputError: one line: the line and column where it stops being TOML.
    """
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputError(Fault(_not_toml(error), file=str(path))) from None


def read_model(data: Mapping[str, Any], model: type[M]) -> M:
    """A model from what a file or the command line gave.

    Args:
        data: keys and values as written.
        model: what they should make.

    Raises:
        InputError: all faults, in the order of the data; the caller says where it was written (``placed``).
    """
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise InputError(*faults_of(error, model, data)) from None


def sound_part(data: Mapping[str, Any], model: type[BaseModel]) -> tuple[dict[str, Any], list[Fault]]:
    """What can be read on with: the keys that are not at fault, and the faults of the others."""
    try:
        model.model_validate(data)
    except ValidationError as error:
        faults = faults_of(error, model, data)
        return {key: value for key, value in data.items() if (key,) not in (it.place[:1] for it in faults)}, faults
    return dict(data), []


def faults_of(error: ValidationError, model: type[BaseModel], written: Mapping[str, Any]) -> list[Fault]:
    """What was found, in the order of the file; a misspelt key and the one it stands for are one fault."""
    found = [_plainly(item) for item in error.errors(include_url=False)]
    missing = [item for item in found if item["type"] == "missing"]
    faults: list[tuple[list[int], Fault]] = []
    for item in found:
        if item["type"] != "extra_forbidden":
            continue
        here = _fields(model, item["loc"][:-1])
        near = nearest(str(item["loc"][-1]), here)
        stands_for = [other for other in missing if other["loc"] == (*item["loc"][:-1], near)]
        if stands_for:
            missing.remove(stands_for[0])
        at = _as_written(model, item["loc"])
        said = f"unknown field; {_known(near, here)}"
        faults.append((_order(at, written), Fault(said, at, _value(at, written))))
    for item in found:
        if item["type"] == "extra_forbidden" or (item["type"] == "missing" and item not in missing):
            continue
        if item["type"] == "missing" and len(missing) > _LISTED_FIELDS:
            continue
        order = _order(_as_written(model, item["loc"]), written)
        faults.extend((order, fault) for fault in _faults(item, model, written))
    if len(missing) > _LISTED_FIELDS:
        faults.append(([10_000], _much_missing([dotted(_as_written(model, item["loc"])) for item in missing], model)))
    return [fault for _, fault in sorted(faults, key=lambda pair: pair[0])]


def _much_missing(fields: Sequence[str], model: type[BaseModel]) -> Fault:
    """One fault for all that is missing, where listing each would bury what is wrong."""
    few = ", ".join(fields[:_NAMED_FIELDS])
    text = f"{few} and {len(fields) - _NAMED_FIELDS} more must be given"
    if issubclass(model, Profile):
        text += "; begin with extends = '…', a profile like it, and give what differs ('mounts profiles list')"
    return Fault(text)


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name most like this one, or None where none is like it."""
    folded = {item.casefold(): item for item in known}
    close = difflib.get_close_matches(name.casefold(), folded, n=1, cutoff=0.6)
    return folded[close[0]] if close else None


def one_of(names: Sequence[str]) -> str:
    """``a, b or c``."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


def _known(near: str | None, names: Sequence[str]) -> str:
    if near:
        return f"nearest is '{near}'"
    return f"must be {one_of(names)}" if 0 < len(names) <= _SHORT_LIST else "remove it"


def _not_toml(error: Exception) -> str:
    if isinstance(error, OSError):
        return f"can't be read: {(error.strerror or 'input or output error').lower()}"
    if isinstance(error, RecursionError):
        return "must not nest so deep"
    at = re.search(r"^(?P<what>.*) \(at (?P<at>.*)\)$", str(error), re.DOTALL)
    what, position = (at["what"], at["at"]) if at else (str(error), "")
    what = " ".join(what.split())
    return f"{position}: not TOML: {what[:1].lower()}{what[1:]}".removeprefix(": ")


def _faults(item: ErrorDetails, model: type[BaseModel], written: Mapping[str, Any]) -> list[Fault]:
    loc, kind = _as_written(model, item["loc"]), item["type"]
    field = _field(model, item["loc"])
    if kind == "missing":
        allowed = _allowed(loc, field)
        return [Fault("must be given" + (f", {allowed}" if allowed else ""), loc)]
    error = item["ctx"]["error"] if kind == "value_error" else None
    if isinstance(error, Disagreement):
        return [fault.within(*loc) for fault in error.faults]
    said = str(error) if error else f"must be {_demand(item, field)}"
    return [Fault(said, loc, _value(loc, written, field))]


def _demand(item: ErrorDetails, field: FieldInfo | None) -> str:
    loc, kind, context = item["loc"], item["type"], item.get("ctx", {})
    if kind == "literal_error":
        return str(context["expected"])
    if kind in ("greater_than", "greater_than_equal", "less_than", "less_than_equal"):
        return _allowed(loc, field) or item["msg"].removeprefix("Input should be ")
    if kind in ("too_short", "too_long"):
        bound = context.get("min_length", context.get("max_length"))
        return f"a list of at {'least' if kind == 'too_short' else 'most'} {bound}"
    if kind in ("string_too_short", "string_too_long"):
        bound = context.get("min_length", context.get("max_length"))
        return f"text of at {'least' if kind == 'string_too_short' else 'most'} {bound} characters"
    if kind in _KINDS_OF_VALUE:
        return _KINDS_OF_VALUE[kind]
    return item["msg"].removeprefix("Input should be ")


def _allowed(loc: Loc, field: FieldInfo | None) -> str:
    """The permitted range with both ends and the unit, '' where the field has none."""
    low, high, ends = "", "", ""
    for bound in field.metadata if field else ():
        if isinstance(bound, Ge):
            low = number(float(bound.ge))  # type: ignore[arg-type]
        elif isinstance(bound, Gt):
            low, ends = f"{number(float(bound.gt))}", "above "  # type: ignore[arg-type]
        elif isinstance(bound, Le):
            high = number(float(bound.le))  # type: ignore[arg-type]
        elif isinstance(bound, Lt):
            high = f"less than {number(float(bound.lt))}"  # type: ignore[arg-type]
    unit = unit_of(str(next((part for part in reversed(loc) if isinstance(part, str)), "")))
    unit = f" {unit}" if unit else ""
    if low and high:
        return f"{ends}{low} {'and up ' if ends else ''}to {high}{unit}"
    if low:
        return f"{ends or 'at least '}{low}{unit}"
    return f"at most {high}{unit}" if high else ""


def allowed(name: str, field: FieldInfo) -> str:
    """What a field of a flat model takes: its range with the unit, its choices, '' where anything goes."""
    if get_origin(field.annotation) is Literal:
        return one_of([str(choice) for choice in get_args(field.annotation)])
    return "true or false" if field.annotation is bool else _allowed((name,), field)


def unit_of(field: str) -> str:
    """The unit a field's name ends in, '' for a plain number.

    >>> unit_of("stall_torque_nmm"), unit_of("spline_teeth"), unit_of("withdrawal_n_per_mm2")
    ('N·mm', '', 'N/mm²')
    """
    return next((unit for end, unit in UNITS.items() if field.endswith(end)), "")


def _value(loc: Loc, written: Mapping[str, Any], field: FieldInfo | None = None) -> str:
    """What stands at a place, a length written as text in mm too."""
    value = _written(loc, written)
    bounded = field is not None and any(isinstance(bound, Within) for bound in field.metadata)
    return shown_length(value) if bounded or str(loc[-1]).endswith("_mm") else shown(value)


def _written(loc: Loc, written: Any) -> Any:
    """What stands at a place of the file; the nearest table above where the place is not in it."""
    value = written
    for part in loc:
        try:
            value = value[part]
        except (KeyError, IndexError, TypeError):
            return value
    return value


def _order(loc: Loc, written: Any) -> list[int]:
    """Position in the file, by which faults are sorted; what is missing comes after what is there."""
    order: list[int] = []
    value = written
    for part in loc:
        if isinstance(value, Mapping) and part in value:
            order.append(list(value).index(part))
            value = value[part]
        elif isinstance(value, Sequence) and isinstance(part, int) and part < len(value):
            order.append(part)
            value = value[part]
        else:
            order.append(10_000)
            break
    return order


def _plainly(item: ErrorDetails) -> ErrorDetails:
    """A fault of the key that tells the tables of a union apart, as one of that key; any other as it is."""
    if not item["type"].startswith("union_tag_"):
        return item
    key = item["ctx"]["discriminator"].strip("'")
    if item["type"] == "union_tag_not_found":
        return {**item, "type": "missing", "loc": (*item["loc"], key)}
    expected = " or ".join(item["ctx"]["expected_tags"].rsplit(", ", 1))
    return {**item, "type": "literal_error", "loc": (*item["loc"], key), "ctx": {"expected": expected}}


def _as_written(model: type[BaseModel], loc: Loc) -> Loc:
    """A place as the file has it: without the tags that say which table of a union was meant."""
    return tuple(part for index, part in enumerate(loc) if not _tagged(_models(model, loc[:index]), part))


def _models(model: type[BaseModel], loc: Loc) -> list[type[BaseModel]]:
    """The models that may stand at a place, [] where it is a plain value."""
    found = _inside(model)
    for part in loc:
        if isinstance(part, int):
            continue
        if tagged := _tagged(found, part):
            found = tagged
            continue
        fields = [item.model_fields[part] for item in found if part in item.model_fields]
        found = [inner for field in fields for inner in _inside(field.annotation)]
    return found


def _tagged(models: Sequence[type[BaseModel]], part: int | str) -> list[type[BaseModel]]:
    """Of the models of a union those that a part of a place names by their tag."""
    if len(models) < 2:
        return []
    return [item for item in models if any(_only(field) == part for field in item.model_fields.values())]


def _only(field: FieldInfo) -> object:
    """The one value that a field takes, None where it takes several."""
    choices = get_args(field.annotation) if get_origin(field.annotation) is Literal else ()
    return choices[0] if len(choices) == 1 else None


def _inside(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, OfAKind) and annotation.stands_for_all():
        return list(annotation.kinds().values())
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [inner for item in get_args(annotation) for inner in _inside(item)]


def _fields(model: type[BaseModel], loc: Loc) -> list[str]:
    return [name for item in _models(model, loc) for name in item.model_fields]


def _field(model: type[BaseModel], loc: Loc) -> FieldInfo | None:
    names = [part for part in loc if isinstance(part, str)]
    if not names:
        return None
    above = loc[: max(index for index, part in enumerate(loc) if isinstance(part, str))]
    owners = [item for item in _models(model, above) if names[-1] in item.model_fields]
    return owners[0].model_fields[names[-1]] if owners else None
