"""What the form asks: one field an option of ``make``, with its range from the JSON Schema of what is asked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Literal

from mounts.drive.kinds import kinds
from mounts.inputs.load import unit_of
from mounts.inputs.request import MountRequest
from mounts.styles import names, style_of, summary
from mounts.units import number

if TYPE_CHECKING:
    from mounts.page.shelf import Shelf

Sort = Literal["text", "length", "number", "choice", "yes or no"]

OWN = "set."
"""In front of a style's own option in the name of its field."""

GROUPS: Mapping[str, tuple[str, ...]] = {
    "What it is": ("id", "style", "scale", "servo", "mirror"),
    "Where it goes": (
        "board", "roadbed", "ground", "max_depth", "pin_height", "laid", "track_distance", "track_radius",
        "other_track",
    ),
    "What it moves": (
        "throw", "force", "tie_bar_hole", "own_spring", "travel", "moves", "crank", "crank_pivot", "positions",
    ),
    "Chosen for you unless you say": ("wire", "arm_hole", "depth", "swing", "overtravel", "held", "screw"),
    "How it is printed": ("printer", "filament", "sturdy"),
}  # fmt: skip
"""Options by what they are about, in the order in which people think of them; one that is not named comes last."""

OTHERS, STYLES_OWN = "Others", "This style's own"
OPEN = ("What it is", "Where it goes", "What it moves")
_PROFILES = {"servo": "servo", "scale": "scale", "printer": "printer", "filament": "filament", "screw": "fixing",
             "moves": "moved"}  # fmt: skip
_NAMED_TOO = {"board": "board", "roadbed": "roadbed", "wire": "wire"}
PROFILE_FIELDS = (*_PROFILES, *_NAMED_TOO)
_NO_LENGTHS = ("own_spring", "force", "positions", "crank_pivot")  # numbers and text as well, but no lengths


@dataclass(frozen=True)
class Field:
    """One thing that is asked.

    Attributes:
        key: name of the option, of a style's own with ``OWN`` in front.
        label: in words.
        about: one line that says what it is.
        sort: how it is answered.
        group: heading that it stands under.
        choices: what may be chosen, or is known and may be typed.
        low: least that is allowed, in mm or the field's unit; None: no bound is known.
        high: likewise, most.
        unit: of a number.
        default: what is taken where nothing is given, if the schema tells.
    """

    key: str
    label: str
    about: str
    sort: Sort
    group: str
    choices: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    unit: str = ""
    default: str = ""

    @property
    def bounded(self) -> bool:
        """Whether both bounds are known."""
        return self.low is not None and self.high is not None


def fields(style: str, shelf: Shelf, scale: str = "") -> tuple[Field, ...]:
    """The fields of a style, those that its drive has no use for left out.

    Args:
        style: its name; one that does not exist has all that any mount has.
        shelf: where profiles are.
        scale: whose limits the throw has; none are told where it is unknown.
    """
    unused = _unused(style)
    found = [_asked(key, shelf, scale) for key in _ordered() if key not in unused and key != "set"]
    return (*found, *(own_fields(style) if style in names() else ()))


def group_of(key: str) -> str:
    """The heading that an option stands under."""
    return next((group for group, keys in GROUPS.items() if key in keys), OTHERS)


@cache
def own_fields(style: str) -> tuple[Field, ...]:
    """The fields of a style's own options."""
    schema = style_of(style).options.model_json_schema()
    return tuple(_own(key, about) for key, about in schema["properties"].items())


def summaries() -> Mapping[str, str]:
    """Each style by name, with the line that says what it is."""
    return {name: summary(name) for name in names()}


def _ordered() -> list[str]:
    grouped = [key for keys in GROUPS.values() for key in keys]
    return [*grouped, *(key for key in MountRequest.model_fields if key not in grouped)]


@cache
def _schema() -> Mapping[str, Any]:
    properties: Mapping[str, Any] = MountRequest.model_json_schema()["properties"]
    return properties


def _unused(style: str) -> set[str]:
    """Options that a style's drive has no use for."""
    if style not in names():
        return set()
    drive = style_of(style).drive
    others = {key for name, kind in kinds().items() if name != drive for key in kind.own_options}
    return {*kinds()[drive].unused[1], *(others - set(kinds()[drive].own_options))}


def _asked(key: str, shelf: Shelf, scale: str) -> Field:
    about = _schema()[key]
    low, high = _bounds(about)
    if key == "throw":
        low, high = shelf.throws_mm(scale)
    sort = sort_of(key, about)
    choices = tuple(about.get("enum", ()))
    if key == "style":
        sort, choices = "choice", names()
    elif key in _PROFILES:
        sort, choices = "choice", shelf.names(_PROFILES[key])
    elif key in _NAMED_TOO:
        choices = shelf.names(_NAMED_TOO[key])
    default = about.get("default")
    return Field(
        key, key.replace("_", " "), str(about.get("description", "")), sort, group_of(key), choices, low, high,
        unit="mm" if sort == "length" else unit_of(key), default="" if default in (None, [], False) else str(default),
    )  # fmt: skip


def _own(key: str, about: Mapping[str, Any]) -> Field:
    low, high = _bounds(about)
    unit = unit_of(key)
    label = (key.rpartition("_")[0] if unit or key.endswith("_m") else key).replace("_", " ")
    sort = "length" if unit == "mm" else sort_of(key, about)
    default = about.get("default")
    shown = "" if default is None else number(default) if isinstance(default, float) else str(default)
    return Field(
        OWN + key, label, str(about.get("description", "")), sort, STYLES_OWN, tuple(map(str, about.get("enum", ()))),
        low, high, unit, shown.lower() if isinstance(default, bool) else shown,
    )  # fmt: skip


def sort_of(key: str, about: Mapping[str, Any]) -> Sort:
    """How an option is answered, by what the JSON Schema says of it."""
    if about.get("type") == "boolean":
        return "yes or no"
    if "enum" in about:
        return "choice"
    kinds_of = {str(each.get("type")) for each in _leaves(about)}
    if kinds_of >= {"number", "string"} and key not in _NO_LENGTHS:
        return "length"
    return "number" if kinds_of - {"null"} <= {"number", "integer"} and kinds_of - {"null"} else "text"


def _leaves(about: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    each: Sequence[Mapping[str, Any]] = about.get("anyOf", ())
    for inner in each:
        yield from _leaves({**{key: inner[key] for key in inner if key != "anyOf"}, "anyOf": inner.get("anyOf", ())})
    if not each:
        yield about


def _bounds(about: Mapping[str, Any]) -> tuple[float | None, float | None]:
    """Bounds of whatever in a schema has some."""
    low = high = None
    for each in (about, *about.get("anyOf", ()), *(inner for one in about.get("anyOf", ())
                 for inner in one.get("anyOf", ()))):  # fmt: skip
        if each.get("type") == "array":
            continue
        low = each.get("minimum", each.get("ge", low))
        high = each.get("maximum", each.get("le", high))
    return low, high
