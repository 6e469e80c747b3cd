"""A request and the profiles it names, made into a mount with nothing left to look up."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TypeVar

from mounts.errors import InputError
from mounts.inputs.board import Board, Roadbed
from mounts.inputs.fixing import Fixing
from mounts.inputs.library import Library
from mounts.inputs.load import one_of
from mounts.inputs.model import Source, shown
from mounts.inputs.request import MountRequest
from mounts.inputs.scale import Scale
from mounts.inputs.servo import Servo
from mounts.inputs.spec import MountSpec
from mounts.inputs.wire import Wire
from mounts.units import length_mm, number, text_mm

T = TypeVar("T")

FREE_FIXINGS = ("wood-3", "wood-2.5", "wood-2", "bolt-m3")
"""Tried in this order where no screw was asked for."""

DEFAULT_WIRE = "spring-wire-sm"
DEFAULT_MAX_DEPTH_MM = 60.0
BOARD_MM = (3.0, 60.0)
ROADBED_MM = (0.0, 25.0)
PIN_ABOVE_ROADBED_MM = 20.0
DEPTH_MM = (5.0, 150.0)
OVERTRAVEL_MM = (0.05, 10.0)
MAX_DEPTH_MM = (10.0, 200.0)
ROD_OVER_GROUND_MM = 1.0
TIE_BAR_HOLE_MM = (0.3, 5.0)
TRACK_DISTANCE_MM = (5.0, 500.0)
TRACK_RADIUS_MM = (100.0, 50_000.0)
FARTHEST_TRACK_MM = 1000.0
"""Beyond these a figure is a slip of the pen or of the unit; common practice, no source."""

PLAIN_WITHDRAWAL_N_PER_MM2 = 2.43
"""Plywood's, as in profiles/board: 19.65·G²·0.7 with G 0.42."""

_SAME_MM = 0.005  # a diameter or radius written to two decimals means the listed one


def resolve(request: MountRequest, library: Library, *, where: str = "") -> MountSpec:
    """A mount with its profiles in place and every length in mm.

    Throw, force, roadbed and pin height come from the scale where they were not given.

    Args:
        request: as written.
        library: where profiles are looked up.
        where: file and table in front of each fault, such as ``yard.toml: mount[3]``; on the command
            line nothing, and fields are named as options.

    Raises:
        InputError: every fault at once: unknown profiles, faults in their files, lengths out of range.
    """
    reader = _Reader(request, where)
    servo = reader.profile("servo", library.servo)
    scale = reader.profile("scale", library.scale)
    board = reader.caught(lambda: board_of(request.board, library, where=where))
    roadbed = reader.caught(lambda: roadbed_of(request.roadbed, library, scale, where=where))
    wire, wire_mm = reader.caught(lambda: wire_of(request.wire, library, where=where)) or (None, None)
    pin_height_mm = reader.caught(lambda: _pin_height(request, scale, roadbed, where))
    values = {
        "id": request.id,
        "style": request.style,
        "mirror": request.mirror,
        "servo": servo,
        "board": board,
        "roadbed": roadbed,
        "scale": scale,
        "printer": reader.profile("printer", library.printer),
        "filament": reader.profile("filament", library.filament),
        "wire": wire,
        **reader.fixing(library),
        "throw_mm": reader.caught(lambda: throw_of(request.throw, scale, where=where)),
        "pin_height_mm": pin_height_mm,
        "ground_mm": reader.caught(lambda: _ground(request, pin_height_mm, where)),
        "force_n": _force_n(request, scale),
        "laid": request.laid,
        "tie_bar_hole_mm": reader.length("tie_bar_hole", *TIE_BAR_HOLE_MM) or (scale and scale.tie_bar_hole_mm),
        "own_spring_n": request.own_spring,
        "wire_held": request.held,
        "wire_mm": wire_mm,
        "arm_hole_mm": reader.caught(lambda: _arm_hole(request, servo, where)),
        "depth_mm": reader.length("depth", *DEPTH_MM),
        "swing_deg": request.swing,
        "overtravel_mm": reader.caught(lambda: _overtravel(request, where)),
        "max_depth_mm": reader.caught(lambda: max_depth_of(request.max_depth, where=where)),
        "track_distance_mm": reader.length("track_distance", *TRACK_DISTANCE_MM),
        "track_radius_mm": reader.length("track_radius", *TRACK_RADIUS_MM),
        "other_tracks_mm": reader.caught(lambda: _other_tracks(request, scale, where)),
        "options": request.set,
    }
    if reader.faults:
        raise InputError(*reader.faults)
    return MountSpec.model_validate(values)


def board_of(written: float | str, library: Library, *, where: str = "") -> Board:
    """A board from a profile's name or file, or a plain sheet from a thickness (± 0.3 mm, as plywood).

    Raises:
        InputError: unknown name, faults in the file, or a thickness outside 3 to 60 mm.
    """
    at = _at(where, "board")
    if not _means_length(written, library, "board"):
        return library.board(str(written), where=at)
    thickness_mm = _within(written, *BOARD_MM, at)
    return Board(
        name=text_mm(thickness_mm),
        title=f"board, {text_mm(thickness_mm)}",
        thickness_mm=thickness_mm,
        screw_depth_mm=thickness_mm,
        withdrawal_n_per_mm2=PLAIN_WITHDRAWAL_N_PER_MM2,
        source={"all": Source(text="thickness as given; ± 0.3 mm and the hold of plywood assumed", mark="P")},
    )


def roadbed_of(
    written: float | str | None, library: Library, scale: Scale | None, *, where: str = ""
) -> Roadbed | None:
    """A roadbed from a profile's name or file or a thickness; the scale's usual one where none is given.

    Returns:
        None where neither a roadbed nor a scale is known.

    Raises:
        InputError: unknown name, faults in the file, or a thickness outside 0 to 25 mm.
    """
    at = _at(where, "roadbed")
    if written is None and scale is None:
        return None
    if written is not None and not _means_length(written, library, "roadbed"):
        return library.roadbed(str(written), where=at)
    if written is None and scale is not None:
        thickness_mm, text = scale.roadbed_mm, f"usual in {scale.name}"
    else:
        thickness_mm, text = _within(written, *ROADBED_MM, at), "thickness as given"
    return Roadbed(
        name=text_mm(thickness_mm),
        title=f"roadbed, {text_mm(thickness_mm)}",
        thickness_mm=thickness_mm,
        source={"thickness": Source(text=text, mark="P")},
    )


def wire_of(written: float | str | None, library: Library, *, where: str = "") -> tuple[Wire, float | None]:
    """A wire and its pinned diameter in mm from ``music-wire``, ``0.8``, ``0.032 in`` or ``music-wire 0.8``.

    Raises:
        InputError: unknown name, faults in the file, or a diameter that is not in stock.
    """
    at = _at(where, "wire")
    if written is None:
        return library.wire(DEFAULT_WIRE), None
    name: str = DEFAULT_WIRE
    size: float | str | None = written
    if isinstance(written, str) and not _means_length(written, library, "wire"):
        parts = re.fullmatch(r"(.*\.toml|\S+)(?:\s+(.+))?", written.strip(), re.IGNORECASE | re.DOTALL)
        name, size = (parts[1], parts[2]) if parts else (written, None)
    wire = library.wire(name, where=at)
    if size is None:
        return wire, None
    wanted_mm = _length(size, f"{at} = {shown(written)}")
    for stock in wire.stock:
        if abs(stock.diameter_mm - wanted_mm) <= _SAME_MM:
            return wire, stock.diameter_mm
    near = min(wire.stock, key=lambda stock: abs(stock.diameter_mm - wanted_mm))
    sizes = one_of([number(stock.diameter_mm) for stock in wire.stock])
    others = [
        other for other in library.names("wire") if other != wire.name and _stocks(library, other, wanted_mm)
    ]
    advice = f"; or write '{others[0]} {size}'" if others else ""
    raise InputError(
        f"{_equation(at, written, wanted_mm)}: must be {sizes} mm, the stock of {wire.name};"
        f" nearest is {text_mm(near.diameter_mm)}{advice}"
    )


class _Reader:
    """Collects faults while a request's fields are looked up, so that all of them come at once."""

    def __init__(self, request: MountRequest, where: str) -> None:
        self.request = request
        self.where = where
        self.faults: list[str] = []

    def caught(self, find: Callable[[], T]) -> T | None:
        try:
            return find()
        except InputError as error:
            self.faults.extend(error.faults)
            return None

    def profile(self, field: str, find: Callable[..., T]) -> T | None:
        name = getattr(self.request, field)
        return self.caught(lambda: find(name, where=_at(self.where, field)))

    def fixing(self, library: Library) -> dict[str, Fixing | tuple[Fixing, ...] | None]:
        if self.request.screw is not None:
            return {"fixing": self.profile("screw", library.fixing)}
        stock = tuple(library.fixing(name) for name in FREE_FIXINGS)
        return {"fixing": stock[0], "fixing_stock": stock}

    def length(self, field: str, low_mm: float, high_mm: float) -> float | None:
        written = getattr(self.request, field)
        if written is None:
            return None
        return self.caught(lambda: _within(written, low_mm, high_mm, _at(self.where, field)))


def throw_of(written: float | str | None, scale: Scale | None, *, where: str = "") -> float | None:
    """A throw in mm from a length, the scale's where none is given; None where no scale is known.

    Raises:
        InputError: not a length, or not what the scale allows.
    """
    if scale is None:
        return None
    if written is None:
        return scale.throw_mm
    at = _at(where, "throw")
    throw_mm = _length(written, at)
    if scale.smallest_throw_mm <= throw_mm <= scale.largest_throw_mm:
        return throw_mm
    why = ""
    if throw_mm < scale.smallest_throw_mm:
        source = scale.source["points"].text if "points" in scale.source else scale.title
        why = f"; less leaves the open blade too near its stock rail ({source})"
    raise InputError(
        f"{_equation(at, written, throw_mm)}: must be {number(scale.smallest_throw_mm)}"
        f" to {text_mm(scale.largest_throw_mm)} in {scale.name}{why}"
    )


def max_depth_of(written: float | str | None, *, where: str = "") -> float:
    """What may hang below the board, mm, or sink into it; the usual where nothing is given.

    Raises:
        InputError: not a length, or out of range.
    """
    if written is None:
        return DEFAULT_MAX_DEPTH_MM
    return _within(written, *MAX_DEPTH_MM, _at(where, "max_depth"))


def _force_n(request: MountRequest, scale: Scale | None) -> tuple[float, float] | None:
    """The band asked for at the blades; a spring of the turnout's own that stays in is to be overcome besides."""
    band = request.force or (scale.force_n if scale else None)
    if band is None or not request.own_spring:
        return band
    return band[0] + request.own_spring, band[1] + request.own_spring


def _pin_height(
    request: MountRequest, scale: Scale | None, roadbed: Roadbed | None, where: str
) -> float | None:
    if scale is None or roadbed is None:
        return None
    if request.pin_height is None:
        return roadbed.thickness_mm + scale.pin_above_roadbed_mm
    low_mm, high_mm = roadbed.thickness_mm, roadbed.thickness_mm + PIN_ABOVE_ROADBED_MM
    at = _at(where, "pin_height")
    height_mm = _length(request.pin_height, at)
    if low_mm <= height_mm <= high_mm:
        return height_mm
    raise InputError(
        f"{_equation(at, request.pin_height, height_mm)}: must be {number(low_mm)} to {text_mm(high_mm)},"
        f" from the board's top past a roadbed of {text_mm(roadbed.thickness_mm)}"
    )


def _ground(request: MountRequest, pin_height_mm: float | None, where: str) -> float:
    if request.ground is None or pin_height_mm is None:
        return 0.0
    at = _at(where, "ground")
    height_mm, most_mm = _length(request.ground, at), max(0.0, pin_height_mm - ROD_OVER_GROUND_MM)
    if 0 <= height_mm <= most_mm:
        return height_mm
    raise InputError(
        f"{_equation(at, request.ground, height_mm)}: must be 0 to {text_mm(most_mm)}, the rod passes over it to the "
        f"tie bar at {text_mm(pin_height_mm)}"
    )


def _overtravel(request: MountRequest, where: str) -> float | None:
    if request.overtravel is None:
        return None
    at = _at(where, "overtravel")
    if request.depth is not None:
        other = _at(where, "depth")
        raise InputError(f"{at} = {shown(request.overtravel)}: must not be given with {other}, which settles it")
    return _within(request.overtravel, *OVERTRAVEL_MM, at)


def _other_tracks(request: MountRequest, scale: Scale | None, where: str) -> tuple[float, ...]:
    if scale is None:
        return ()
    at = _at(where, "other_track")
    low_mm, high_mm = round(scale.sleeper_mm, 1), FARTHEST_TRACK_MM  # nearer, they lie on each other's sleepers
    found = []
    for written in request.other_track:
        distance_mm = _length(written, at)
        if not low_mm <= abs(distance_mm) <= high_mm:
            allowed = f"must be {number(low_mm)} to {text_mm(high_mm)} on either side"
            raise InputError(f"{_equation(at, written, distance_mm)}: {allowed}")
        found.append(distance_mm)
    return tuple(found)


def _arm_hole(request: MountRequest, servo: Servo | None, where: str) -> float | None:
    if servo is None or request.arm_hole is None:
        return None
    at = _at(where, "arm_hole")
    wanted_mm = _length(request.arm_hole, at)
    for radius_mm in servo.horn_radii_mm:
        if abs(radius_mm - wanted_mm) <= _SAME_MM:
            return radius_mm
    holes = one_of([number(radius_mm) for radius_mm in servo.horn_radii_mm])
    raise InputError(
        f"{_equation(at, request.arm_hole, wanted_mm)}: must be {holes} mm on the arm of {servo.name}"
    )


def _means_length(written: float | str, library: Library, kind: str) -> bool:
    """A number, or a text that begins like one and is no profile's name or file."""
    if not isinstance(written, str):
        return True
    text = written.strip()
    begins_so = text[:1].isnumeric() or text[:1] in ".,-+−"
    known = text.casefold() in (name.casefold() for name in library.names(kind))
    return begins_so and not known and not re.search(r"\.toml\b", text, re.IGNORECASE)


def _within(written: float | str | None, low_mm: float, high_mm: float, at: str) -> float:
    size_mm = _length(written, at)
    if not low_mm <= size_mm <= high_mm:
        allowed = f"must be {number(low_mm)} to {text_mm(high_mm)}"
        raise InputError(f"{_equation(at, written, size_mm)}: {allowed}")
    return size_mm


def _length(written: float | str | None, at: str) -> float:
    try:
        return length_mm(written)
    except ValueError as error:
        equation = at if " = " in at else f"{at} = {shown(written)}"
        raise InputError(f"{equation}: {error}") from None


def _stocks(library: Library, name: str, diameter_mm: float) -> bool:
    try:
        stock = library.wire(name).stock
    except InputError:  # a user's faulty file is told of when it is asked for
        return False
    return any(abs(item.diameter_mm - diameter_mm) <= _SAME_MM for item in stock)


def _at(where: str, field: str) -> str:
    return f"{where}.{field}" if where else "--" + field.replace("_", "-")


def _equation(at: str, written: object, size_mm: float) -> str:
    """``--board = '18 m' (18000 mm)``."""
    return f"{at} = {shown(written)}" + (f" ({text_mm(size_mm)})" if isinstance(written, str) else "")
