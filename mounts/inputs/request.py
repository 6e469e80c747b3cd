"""What was asked for, as written: the options of ``mounts make`` and the keys of a layout's mount."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, StrictBool

from mounts.inputs.load import read_model
from mounts.inputs.model import Model, Within
from mounts.inputs.moved import Position, positions_of
from mounts.units import length_mm

LONGEST_ID = 64  # part and suffix come behind it, and a file name has 255 bytes
_RESERVED = {"CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"} | {
    f"{port}{digit}" for port in ("COM", "LPT") for digit in "0123456789¹²³"
}
# beyond these a figure is a slip of the pen or of the unit; common practice, no source
FORCE_N = (0.05, 20.0)
OWN_SPRING_N = (0.02, 5.0)
BOARD = Within(3.0, 60.0, or_name=True)
ROADBED = Within(0.0, 25.0, or_name=True)
TIE_BAR_HOLE = Within(0.3, 5.0)
DEPTH = Within(5.0, 150.0)
OVERTRAVEL = Within(0.05, 10.0)
MAX_DEPTH = Within(10.0, 200.0)
TRACK_DISTANCE = Within(5.0, 500.0)
TRACK_RADIUS = Within(100.0, 50_000.0)
TRAVEL = Within(0.5, 20.0)
CRANK = Within(1.0, 15.0)
CRANK_PIVOT_Y, CRANK_PIVOT_Z = Within(-20.0, 20.0), Within(1.0, 300.0)


def safe_name(text: str) -> str:
    """An id that is a good file name on every system, unchanged.

    Raises:
        ValueError: one line that begins with ``must``.
    """
    if not 1 <= len(text) <= LONGEST_ID or len(text.encode("utf-8", "replace")) > 3 * LONGEST_ID:
        raise ValueError(f"must be 1 to {LONGEST_ID} characters")
    bad = next((sign for sign in text if sign in '<>:"/\\|?*' or not (sign.isprintable())), None)
    if bad is not None:
        raise ValueError(f"must be a file name, without {bad!r}")
    if text != unicodedata.normalize("NFC", text):
        raise ValueError("must have its accents composed (Unicode NFC)")
    if text[0] in " .-" or text[-1] in " .":
        raise ValueError("must not begin with '-', '.' or a space, nor end with '.' or a space")
    if text.split(".")[0].rstrip().upper() in _RESERVED:
        raise ValueError("must not be a name Windows keeps for itself, such as CON, NUL or COM1")
    return text


def band_n(value: object) -> tuple[float, float]:
    """A band of forces in N from ``0.5-1.5``, ``0.5 to 1.5 N`` or [0.5, 1.5].

    Raises:
        ValueError: not a band, or out of range; begins with ``must``.
    """
    low_n, high_n = FORCE_N
    allowed = f"must be a low and a higher force, {low_n:g} to {high_n:g} N, such as '0.5-1.5'"
    if isinstance(value, str):
        found = re.fullmatch(
            r"\s*(\d+(?:[.,]\d+)?)\s*(?:N\s*)?(?:-|–|to)\s*(\d+(?:[.,]\d+)?)\s*N?\s*", value, re.IGNORECASE
        )
        if found is None or not re.sub("–", "-", value).isascii():
            raise ValueError(allowed)
        ends: tuple[Any, ...] = tuple(float(end.replace(",", ".")) for end in found.groups())
    elif isinstance(value, list | tuple):
        ends = tuple(value)
    else:
        raise ValueError(allowed)
    if len(ends) != 2 or any(isinstance(end, bool) or not isinstance(end, int | float) for end in ends):
        raise ValueError(allowed)
    if not low_n <= ends[0] < ends[1] <= high_n:
        raise ValueError(allowed)
    return float(ends[0]), float(ends[1])


def crank_pivot_mm(value: object) -> tuple[float | None, float]:
    """Spindle of a crank from ``'-3, 60'``, ``'60 mm'`` or [-3, 60]: across the track from the rod, above the board.

    Raises:
        ValueError: nothing of that, or out of range; begins with ``must``.
    """
    allowed = (
        f"must be the spindle's height above the board, {CRANK_PIVOT_Z.low_mm:g} to {CRANK_PIVOT_Z.high_mm:g} mm, or "
        f"'ACROSS, HEIGHT', across the track from the rod, {CRANK_PIVOT_Y.low_mm:g} to {CRANK_PIVOT_Y.high_mm:g} mm"
    )
    parts = re.split(r"\s*[,;]\s*", value.strip()) if isinstance(value, str) else value
    parts = list(parts) if isinstance(parts, list | tuple) else [parts]
    try:
        across = CRANK_PIVOT_Y.mm(parts[0]) if len(parts) == 2 and parts[0] is not None else None
        height = CRANK_PIVOT_Z.mm(parts[-1])
    except ValueError:
        raise ValueError(allowed) from None
    if not 1 <= len(parts) <= 2:
        raise ValueError(allowed)
    return across, height


def spring_n(value: object) -> float | None:
    """The force of a turnout's own spring, N, from ``0.4 N``, ``0.4`` or ``none``, which is 0.

    Raises:
        ValueError: neither a force nor ``none``, or out of range; begins with ``must``.
    """
    low_n, high_n = OWN_SPRING_N
    allowed = f"must be a force of {low_n:g} to {high_n:g} N, such as '0.4 N', or 'none'"
    if value is None:
        return None
    if isinstance(value, str):
        if value.strip().casefold() == "none":
            return 0.0
        found = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)\s*N?\s*", value, re.IGNORECASE | re.ASCII)
        value = float(found[1].replace(",", ".")) if found else None
    if isinstance(value, bool) or not isinstance(value, int | float) or not low_n <= value <= high_n:
        raise ValueError(allowed)
    return float(value)


def settings(value: object) -> object:
    """A table of a style's own options from a table or from a list of ``name=value``.

    Raises:
        ValueError: an item without ``=`` or a name given twice; begins with ``must``.
    """
    if not isinstance(value, list | tuple):
        return value
    table: dict[str, bool | int | float | str] = {}
    for item in value:
        name, sign, text = str(item).partition("=")
        name = name.strip().replace("-", "_")
        if not sign or not name.isidentifier():
            raise ValueError(f"must be name=value, not {item!r}")
        if name in table:
            raise ValueError(f"must not give {name} twice")
        table[name] = _plain(text.strip())
    return table


def _plain(text: str) -> bool | int | float | str:
    """``true``, ``3`` and ``2.5`` as what they look like, all else as text."""
    if text in ("true", "false"):
        return text == "true"
    if re.fullmatch(r"-?[0-9]{1,9}", text):
        return int(text)
    if re.fullmatch(r"-?[0-9]{1,9}\.[0-9]{1,9}", text):
        return float(text)
    return text


def _readable(value: object) -> object:
    length_mm(value)
    return value


def _text_or_number(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError("must be a length or a profile's name")
    return value


Length = Annotated[float | str, BeforeValidator(_readable)]
"""A length as written: known to be one, converted only when it is used."""

LengthOrName = Annotated[float | str, BeforeValidator(_text_or_number)]
"""A length as written or the name of a profile."""

BoardWritten = Annotated[LengthOrName, BOARD]
RoadbedWritten = Annotated[LengthOrName | None, ROADBED]
MaxDepthWritten = Annotated[Length | None, MAX_DEPTH]


def _one_or_several(value: object) -> object:
    return tuple(value) if isinstance(value, list | tuple) else (value,)


Lengths = Annotated[
    tuple[Length, ...],
    BeforeValidator(_one_or_several, json_schema_input_type=float | str | list[float | str]),
]
"""One length as written, or several."""

Force = Annotated[float, Field(ge=FORCE_N[0], le=FORCE_N[1])]
Band = tuple[Force, Force] | str
Pivot = Length | tuple[Length | None, Length]
Places = str | int | list[float] | dict[str, float]
Spring = Annotated[float, Field(ge=OWN_SPRING_N[0], le=OWN_SPRING_N[1])]
Settings = dict[str, bool | int | float | str] | list[str]


class MountRequest(Model):
    """One mount as asked for; None where the scale, the style or the solver decides."""

    id: Annotated[str, AfterValidator(safe_name)] = Field(description="name of the mount, its folder and files")
    style: str = Field(description="mount style")
    servo: str = Field(default="micro-9g", description="servo profile, by name or .toml file")
    board: BoardWritten = Field(description="thickness of the baseboard, or a board profile")
    roadbed: RoadbedWritten = Field(
        default=None, description="thickness under the track, or a roadbed profile; the scale's by default"
    )
    throw: Length | None = Field(default=None, description="tie-bar travel end to end; the scale's by default")
    scale: str = Field(default="HO", description="scale profile")
    printer: str = Field(default="fdm-0.4", description="printer profile")
    filament: str = Field(default="petg", description="filament profile")
    wire: LengthOrName | None = Field(default=None, description="wire profile, a diameter, or both: 'music-wire 0.8'")
    force: Annotated[tuple[float, float], BeforeValidator(band_n, json_schema_input_type=Band)] | None = Field(
        default=None, description="force wanted at the blades, N, low to high; the scale's by default"
    )
    mirror: StrictBool = Field(default=False, description="the mirror image across the track")
    sturdy: StrictBool = Field(default=False, description="webs, ribs and walls two lines thicker than their loads ask")
    screw: str | None = Field(default=None, description="fixing screw profile; one that suits the board by default")
    pin_height: Length | None = Field(
        default=None, description="tie-bar pin above the board; roadbed plus the scale's by default"
    )
    ground: Length | None = Field(
        default=None, description="height of the ground that a housing stands on, above the board; 0 by default"
    )
    laid: StrictBool = Field(default=False, description="the track is laid already")
    tie_bar_hole: Annotated[Length | None, TIE_BAR_HOLE] = Field(
        default=None, description="hole in the tie bar that takes the wire; the scale's by default"
    )
    own_spring: Annotated[float | None, BeforeValidator(spring_n, json_schema_input_type=Spring | str | None)] = Field(
        default=None,
        description="force of the turnout's own over-centre spring where it stays in, N; 'none' where it has none; "
        "taken out by default",
    )
    travel: Annotated[Length | None, TRAVEL] = Field(
        default=None, description="lift of the wire that works a signal, end to end; 4 mm by default"
    )
    moves: str | None = Field(default=None, description="what a lift moves: a moved profile, sized by the scale")
    crank: Annotated[Length | None, CRANK] = Field(
        default=None, description="spindle of the signal's arm or boom to the hole of its crank"
    )
    crank_pivot: Annotated[
        tuple[float | None, float] | None,
        BeforeValidator(
            lambda value: None if value is None else crank_pivot_mm(value), json_schema_input_type=Pivot | None
        ),
    ] = Field(default=None, description="that spindle: [across the track from the rod,] height above the board")
    positions: Annotated[
        tuple[Position, ...] | int | None,
        BeforeValidator(
            lambda value: None if value is None else positions_of(value), json_schema_input_type=Places | None
        ),
    ] = Field(
        default=None,
        description="two or three places, such as 'danger=0, clear=45': degrees of the crank above level, or mm of "
        "travel; or their number",
    )
    arm_hole: Length | None = Field(default=None, description="use this arm hole, shaft to hole")
    depth: Annotated[Length | None, DEPTH] = Field(default=None, description="use this pivot-to-arm-hole distance")
    swing: float | None = Field(default=None, ge=5, le=60, description="use this half swing of the arm, degrees")
    overtravel: Annotated[Length | None, OVERTRAVEL] = Field(
        default=None, description="pin travel past the closed points a side, slack not counted; the force's by default"
    )
    held: Literal["turning", "clamped"] = Field(default="turning", description="whether the wire turns in the arm hole")
    max_depth: MaxDepthWritten = Field(default=None, description="allowed below the board; 60 mm by default")
    track_distance: Annotated[Length | None, TRACK_DISTANCE] = Field(
        default=None, description="track centre line to the nearest point of a housing; as near as may be by default"
    )
    track_radius: Annotated[Length | None, TRACK_RADIUS] = Field(
        default=None, description="radius of the track beside it; straight if not"
    )
    other_track: Lengths = Field(
        default=(), description="centre line of its own track to that of another; negative: away from the housing"
    )
    set: Annotated[
        dict[str, StrictBool | int | float | str], BeforeValidator(settings, json_schema_input_type=Settings)
    ] = Field(default_factory=dict, description="the style's own options, name=value")


def read_request(options: Mapping[str, Any]) -> MountRequest:
    """A request from options; those that were not given are left out or None.

    Raises:
        InputError: all faults that can be known without profiles, at their keys.
    """
    return read_model({key: value for key, value in options.items() if value is not None}, MountRequest)
