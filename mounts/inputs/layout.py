"""A layout file: boards, families and mounts, read with every fault of every table told at once.

    [layout]            name, scale, printer, filament; brim, spacing and max_hours of the bed-loads; outputs of
                        a controller; paper of the book
    [defaults]          any option of ``mounts make``, for every mount
    [boards.<name>]     board, roadbed, max_depth …: for every mount with ``board = "<name>"``;
                        outline and [[boards.<name>.framing]] to check positions against
    [families.<name>]   match: what the mounts with ``family = "<name>"`` share; force, throw … for all of them
    [[mount]]           id, options, copies, family, channel and together of the controller, and x, y, heading_deg
                        on its board

A mount's own option stands before its family's, that before its board's, then the defaults', then the layout's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Self

from annotated_types import MinLen
from pydantic import AfterValidator, BaseModel, Field, create_model, model_validator

from mounts.errors import Fault
from mounts.inputs.model import Disagreement, Mm, Model, Within
from mounts.inputs.request import LengthOrName, MountRequest, safe_name

LAYOUT_OPTIONS = ("scale", "printer", "filament")
BOARD_OPTIONS = ("roadbed", "max_depth", "pin_height", "screw")
FAMILY_OPTIONS = ("servo", "throw", "force", "overtravel", "wire", "held")
MOST_COPIES = 99  # more is a slip of the pen; common practice, no source
MOST_CHANNEL = 999  # likewise
LEAST_HOURS, MOST_HOURS = 0.25, 1000.0  # of a bed-load; less holds no part, more is a slip of the pen
FARTHEST_MM = 100_000.0  # on a layout; beyond is a slip of the unit

Shared = Literal["arm hole", "wire", "pulses", "screw pattern"]


Coordinate = Annotated[Mm, Within(-FARTHEST_MM, FARTHEST_MM)]
Point = tuple[Coordinate, Coordinate]


def _optional(*fields: str) -> Any:
    """Fields of a mount's request, none of which must be given."""
    fields_: dict[str, Any] = {}
    for name in fields:
        field = MountRequest.model_fields[name]
        kind: Any = field.annotation | None  # type: ignore[operator]
        if field.metadata:
            kind = Annotated[(kind, *field.metadata)]
        fields_[name] = (kind, Field(None, description=field.description))
    return fields_


Options = create_model(
    "Options",
    __base__=Model,
    __doc__="Any option of a mount but its id.",
    **_optional(*(name for name in MountRequest.model_fields if name != "id")),
)


class Header(create_model("HeaderOptions", __base__=Model, **_optional(*LAYOUT_OPTIONS))):  # type: ignore[misc]
    """What holds for the whole layout."""

    name: Annotated[str, AfterValidator(safe_name)] | None = Field(
        None, description="folder under --out; the file's name by default"
    )
    brim: Annotated[Mm, Within(0, 20)] = Field(3.0, description="kept round each part of a bed-load")
    spacing: Annotated[Mm, Within(0.5, 50)] = Field(2.0, description="kept between the brims of a bed-load")
    max_hours: float | None = Field(
        None,
        ge=LEAST_HOURS,
        le=MOST_HOURS,
        strict=True,
        description="that a bed-load may take; none: as full as the bed allows",
    )
    paper: Literal["a4", "letter"] = Field("a4", description="pages of the book")
    outputs: Literal[8, 12, 16] = Field(16, description="servos that one board of the controller drives")


class Framing(Model):
    """A straight piece of timber under a board."""

    name: str = Field("framing", min_length=1, max_length=60)
    start: Point = Field(description="middle of one end, on the board")
    end: Point = Field(description="middle of the other end")
    width: Annotated[Mm, Within(1, 500)]
    depth: Annotated[Mm, Within(1, 1000)] = Field(1000.0, description="how far it hangs below the board")

    @model_validator(mode="after")
    def _has_a_length(self) -> Self:
        if self.start == self.end:
            raise Disagreement(Fault("must not be where start is", ("end",)))
        return self


class BoardTable(create_model("BoardOptions", __base__=Model, **_optional(*BOARD_OPTIONS))):  # type: ignore[misc]
    """A baseboard of the layout; its own x and y, from wherever its owner measures."""

    board: LengthOrName = Field(description=MountRequest.model_fields["board"].description)
    outline: tuple[Point, ...] | None = Field(None, description="its corners in order")
    framing: tuple[Framing, ...] = ()

    @model_validator(mode="after")
    def _outline_is_plain(self) -> Self:
        if self.outline is not None:
            from shapely import Polygon

            if len(self.outline) < 3:
                raise Disagreement(Fault("must be at least 3 corners", ("outline",)))
            if not Polygon(self.outline).is_valid:
                raise Disagreement(Fault("must be corners in order, whose edges do not cross", ("outline",)))
        return self


class Family(create_model("FamilyOptions", __base__=Model, **_optional(*FAMILY_OPTIONS))):  # type: ignore[misc]
    """Mounts that are built and maintained alike."""

    match: tuple[Shared, ...] = Field(description="what its members share")

    @model_validator(mode="after")
    def _shares_something(self) -> Self:
        if not self.match:
            raise Disagreement(Fault("must name something that the members share", ("match",)))
        return self


class MountTable(Options):
    """One mount: options as of ``mounts make``, and where it goes."""

    id: Annotated[str, AfterValidator(safe_name)] = Field(description=MountRequest.model_fields["id"].description)
    copies: int = Field(1, ge=1, le=MOST_COPIES, strict=True, description="how many of it to print")
    family: str | None = Field(None, description="a [families] name")
    channel: int | None = Field(
        None,
        ge=0,
        le=MOST_CHANNEL,
        strict=True,
        description="output of the controller, from 0, of the first copy; or dealt",
    )
    together: Annotated[str, AfterValidator(safe_name)] | None = Field(
        None, description="name of what it moves at once with, such as a crossover"
    )
    x: Coordinate | None = Field(None, description="tie-bar pin at mid throw, on the board")
    y: Coordinate | None = Field(None, description="the same")
    heading_deg: float = Field(0.0, ge=-360, le=360, description="of the track, anticlockwise from the board's x")

    @model_validator(mode="after")
    def _stands_somewhere(self) -> Self:
        if (self.x is None) != (self.y is None):
            missing = "x" if self.x is None else "y"
            raise Disagreement(Fault("must be given too, x and y go together", (missing,)))
        if self.copies > 1 and self.x is not None:
            raise Disagreement(Fault("must be 1 for a mount that has x and y", ("copies",), str(self.copies)))
        return self


class LayoutFile(Model):
    """The whole file; its JSON Schema is ``mounts schema layout``."""

    layout: Header = Header()
    defaults: Options = Options()
    boards: dict[str, BoardTable] = Field(default_factory=dict)
    families: dict[str, Family] = Field(default_factory=dict)
    mount: Annotated[tuple[MountTable, ...], MinLen(1)]


PLACE = ("copies", "family", "channel", "together", "x", "y", "heading_deg")
"""Keys of a mount that are no options of ``mounts make``."""


@dataclass(frozen=True)
class Site:
    """Where a mount stands: the pin, mm, and the heading of the track, degrees, in the frame of its board."""

    board: str
    x_mm: float
    y_mm: float
    heading_deg: float


def table_models() -> Mapping[str, type[BaseModel]]:
    """The model of each table by the first part of its path."""
    return {"layout": Header, "defaults": Options, "boards": BoardTable, "families": Family, "mount": MountTable}
