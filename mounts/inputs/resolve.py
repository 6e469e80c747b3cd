"""A request and the profiles it names, made into a mount with nothing left to look up."""

from __future__ import annotations

import re
from collections.abc import Callable

from mounts.errors import Fault, Gathered, InputError
from mounts.inputs.board import Board, Roadbed
from mounts.inputs.library import Library
from mounts.inputs.load import one_of
from mounts.inputs.model import Source, shown, shown_length
from mounts.inputs.moved import Moved, Position, evenly
from mounts.inputs.request import BOARD, ROADBED, MountRequest
from mounts.inputs.scale import Scale
from mounts.inputs.servo import Servo
from mounts.inputs.spec import MountSpec
from mounts.inputs.wire import Wire
from mounts.units import length_mm, number, text_mm

FREE_FIXINGS = ("wood-3", "wood-2.5", "wood-2", "bolt-m3")
"""Tried in this order where no screw was asked for."""

DEFAULT_WIRE = "spring-wire-sm"
DEFAULT_MAX_DEPTH_MM = 60.0  # usual room between a board and what is below it; common practice, no source
PIN_ABOVE_ROADBED_MM = 20.0  # sleepers and rails are lower in any scale
ROD_OVER_GROUND_MM = 1.0  # half a wire and air; a style may ask for more
FARTHEST_TRACK_MM = 1000.0
"""Of another track: beyond it a figure is a slip of the pen or of the unit; common practice, no source."""

PLAIN_WITHDRAWAL_N_PER_MM2 = 2.43
"""Plywood's, as in profiles/board: 19.65·G²·0.7 with G 0.42."""

DEFAULT_TRAVEL_MM = 4.0
"""Lift of a signal's wire where none is given; common practice, no source."""

CRANK_POSITIONS = (Position(name="danger", at=0.0), Position(name="clear", at=45.0))
"""A semaphore's, its crank in line with the arm (standards, 3: 45°, 30 to 60° by company)."""

THREE_CRANK_POSITIONS = evenly(3, -45.0, 45.0)
"""Of three aspects 45° apart (standards, 3), the crank level at the middle one."""

MOST_CRANK_DEG = 90.0  # beyond, a crank turns back on a rod that comes from below

_SAME_MM = 0.005  # a diameter or radius written to two decimals means the listed one


def resolve(request: MountRequest, library: Library) -> MountSpec:
    """A mount with its profiles in place and every length in mm.

    Throw, force, roadbed and pin height come from the scale where they were not given.

    Args:
        request: as written.
        library: where profiles are looked up.

    Raises:
        InputError: every fault at once, at the keys of the request: unknown profiles, lengths that profiles
            do not allow; and the faults of the profiles' files.
    """
    found = Gathered()
    servo = found.of(lambda: library.servo(request.servo), "servo")
    scale = found.of(lambda: library.scale(request.scale), "scale")
    board = found.of(lambda: board_of(request.board, library), "board")
    roadbed = found.of(lambda: roadbed_of(request.roadbed, library, scale), "roadbed")
    wire, wire_mm = found.of(lambda: wire_of(request.wire, library), "wire") or (None, None)
    pin_height_mm = found.of(lambda: _pin_height(request, scale, roadbed), "pin_height")
    screws = (request.screw,) if request.screw is not None else FREE_FIXINGS
    fixings = found.of(lambda: tuple(library.fixing(name) for name in screws), "screw") or (None,)
    moved = found.of(lambda: library.moved(str(request.moves)), "moves") if request.moves is not None else None
    values = {
        "id": request.id,
        "style": request.style,
        "mirror": request.mirror,
        "sturdy": request.sturdy,
        "servo": servo,
        "board": board,
        "roadbed": roadbed,
        "scale": scale,
        "printer": found.of(lambda: library.printer(request.printer), "printer"),
        "filament": found.of(lambda: library.filament(request.filament), "filament"),
        "wire": wire,
        "fixing": fixings[0],
        "fixing_stock": fixings if request.screw is None else (),
        "throw_mm": found.of(lambda: throw_of(request.throw, scale), "throw"),
        "pin_height_mm": pin_height_mm,
        "ground_mm": found.of(lambda: _ground(request, pin_height_mm), "ground"),
        "force_n": _force_n(request, scale),
        "laid": request.laid,
        "tie_bar_hole_mm": _mm(request.tie_bar_hole) or (scale and scale.tie_bar_hole_mm),
        "own_spring_n": request.own_spring,
        "travel_mm": _mm(request.travel),
        "moved": moved,
        **(found.of(lambda: _crank(request, moved, scale)) or {}),
        "positions": found.of(lambda: _positions(request, moved), "positions"),
        "wire_held": request.held,
        "wire_mm": wire_mm,
        "arm_hole_mm": found.of(lambda: _arm_hole(request, servo), "arm_hole"),
        "depth_mm": _mm(request.depth),
        "swing_deg": request.swing,
        "overtravel_mm": found.of(lambda: _overtravel(request), "overtravel"),
        "max_depth_mm": max_depth_of(request.max_depth),
        "track_distance_mm": _mm(request.track_distance),
        "track_radius_mm": _mm(request.track_radius),
        "other_tracks_mm": found.of(lambda: _other_tracks(request, scale), "other_track"),
        "options": request.set,
    }
    found.tell()
    return MountSpec.model_validate(values)


def board_of(written: float | str, library: Library) -> Board:
    """A board from a profile's name or file, or a plain sheet from a thickness (± 0.3 mm, as plywood).

    Raises:
        InputError: unknown name, faults in the file, or a thickness outside 3 to 60 mm.
    """
    if not means_length(written, library, "board"):
        return library.board(str(written))
    thickness_mm = _length(written, BOARD.mm, written)
    return Board(
        name=text_mm(thickness_mm),
        title=f"board, {text_mm(thickness_mm)}",
        thickness_mm=thickness_mm,
        screw_depth_mm=thickness_mm,
        withdrawal_n_per_mm2=PLAIN_WITHDRAWAL_N_PER_MM2,
        source={"all": Source(text="thickness as given; ± 0.3 mm and the hold of plywood assumed", mark="P")},
    )


def roadbed_of(written: float | str | None, library: Library, scale: Scale | None) -> Roadbed | None:
    """A roadbed from a profile's name or file or a thickness; the scale's usual one where none is given.

    Returns:
        None where neither a roadbed nor a scale is known.

    Raises:
        InputError: unknown name, faults in the file, or a thickness outside 0 to 25 mm.
    """
    if written is None and scale is None:
        return None
    if written is not None and not means_length(written, library, "roadbed"):
        return library.roadbed(str(written))
    if written is None and scale is not None:
        thickness_mm, text = scale.roadbed_mm, f"usual in {scale.name}"
    else:
        thickness_mm, text = _length(written, ROADBED.mm, written), "thickness as given"
    return Roadbed(
        name=text_mm(thickness_mm),
        title=f"roadbed, {text_mm(thickness_mm)}",
        thickness_mm=thickness_mm,
        source={"thickness": Source(text=text, mark="P")},
    )


def wire_of(written: float | str | None, library: Library) -> tuple[Wire, float | None]:
    """A wire and its pinned diameter in mm from ``music-wire``, ``0.8``, ``0.032 in`` or ``music-wire 0.8``.

    Raises:
        InputError: unknown name, faults in the file, or a diameter that is not in stock.
    """
    if written is None:
        return library.wire(DEFAULT_WIRE), None
    name: str = DEFAULT_WIRE
    size: float | str | None = written
    if isinstance(written, str) and not means_length(written, library, "wire"):
        parts = re.fullmatch(r"(.*\.toml|\S+)(?:\s+(.+))?", written.strip(), re.IGNORECASE | re.DOTALL)
        name, size = (parts[1], parts[2]) if parts else (written, None)
    wire = library.wire(name)
    if size is None:
        return wire, None
    wanted_mm = _length(size, length_mm, written)
    for stock in wire.stock:
        if abs(stock.diameter_mm - wanted_mm) <= _SAME_MM:
            return wire, stock.diameter_mm
    near = min(wire.stock, key=lambda stock: abs(stock.diameter_mm - wanted_mm))
    sizes = one_of([number(stock.diameter_mm) for stock in wire.stock])
    others = [other for other in library.names("wire") if other != wire.name and _stocks(library, other, wanted_mm)]
    advice = f"; or write '{others[0]} {size}'" if others else ""
    said = f"must be {sizes} mm, the stock of {wire.name}; nearest is {text_mm(near.diameter_mm)}{advice}"
    in_mm = f" ({text_mm(wanted_mm)})" if isinstance(written, str) else ""
    raise InputError(Fault(said, written=shown(written) + in_mm))


def throw_of(written: float | str | None, scale: Scale | None) -> float | None:
    """A throw in mm from a length, the scale's where none is given; None where no scale is known.

    Raises:
        InputError: not what the scale allows.
    """
    if scale is None:
        return None
    if written is None:
        return scale.throw_mm
    throw_mm = length_mm(written)
    if scale.smallest_throw_mm <= throw_mm <= scale.largest_throw_mm:
        return throw_mm
    why = ""
    if throw_mm < scale.smallest_throw_mm:
        source = scale.source["points"].text if "points" in scale.source else scale.title
        why = f"; less leaves the open blade too near its stock rail ({source})"
    allowed = f"{number(scale.smallest_throw_mm)} to {text_mm(scale.largest_throw_mm)} in {scale.name}"
    raise _refused(written, f"must be {allowed}{why}")


def max_depth_of(written: float | str | None) -> float:
    """What may hang below the board, mm, or sink into it; the usual where nothing is given."""
    return DEFAULT_MAX_DEPTH_MM if written is None else length_mm(written)


def _force_n(request: MountRequest, scale: Scale | None) -> tuple[float, float] | None:
    """The band asked for at the blades; a spring of the turnout's own that stays in is to be overcome besides."""
    band = request.force or (scale.force_n if scale else None)
    if band is None or not request.own_spring:
        return band
    return band[0] + request.own_spring, band[1] + request.own_spring


def _mm(written: float | str | None) -> float | None:
    return None if written is None else length_mm(written)


def _crank(request: MountRequest, moved: Moved | None, scale: Scale | None) -> dict[str, object]:
    """Crank and spindle of what a lift moves, as asked or as the scale has it; nothing where a wire is lifted."""
    worked = [name for name in ("moves", "crank", "crank_pivot") if getattr(request, name) is not None]
    if request.travel is not None and worked:
        said = f"must not be given with --{worked[0].replace('_', '-')}: either a wire is lifted, or a crank is worked"
        raise InputError(Fault(said, ("travel",), shown_length(request.travel)))
    if not worked or scale is None:
        return {}
    if moved is None and request.moves is None:
        for name, other in (("crank", "crank_pivot"), ("crank_pivot", "crank")):
            if getattr(request, name) is None:
                said = f"must be given with --{other.replace('_', '-')}, or say what is moved, --moves semaphore"
                raise InputError(Fault(said, (name,)))
    sized = moved and (moved.crank_mm(scale.ratio), (None, moved.pivot_height_mm(scale.ratio)))
    crank_mm, pivot_mm = sized or (None, None)
    return {
        "crank_mm": _mm(request.crank) or crank_mm,
        "crank_pivot_mm": request.crank_pivot or pivot_mm,
        "crank_of_scale": request.crank is None and request.crank_pivot is None,
    }


def _positions(request: MountRequest, moved: Moved | None) -> tuple[Position, ...]:
    """The places of a lift; none where it is no lift that is asked for."""
    asked = request.positions
    worked = moved is not None or request.crank is not None
    if asked is None:
        if moved is not None:
            return moved.crank_positions()
        return CRANK_POSITIONS if worked else ()
    if worked:
        found = asked if isinstance(asked, tuple) else THREE_CRANK_POSITIONS if asked == 3 else CRANK_POSITIONS
        if any(abs(place.at) > MOST_CRANK_DEG for place in found):
            said = f"must be within {MOST_CRANK_DEG:g}° of level: beyond, rod and crank lie in one line; set the crank "
            raise InputError(Fault(said + "back on its spindle, such as '-45, 0, 45'"))
        return found
    travel_mm = _mm(request.travel) or DEFAULT_TRAVEL_MM
    found = evenly(asked, 0.0, travel_mm) if isinstance(asked, int) else asked
    lifts = [place.at for place in found]
    if min(lifts) != 0.0 or abs(max(lifts) - travel_mm) > _SAME_MM:
        raise InputError(Fault(f"must go from 0 to the travel, {text_mm(travel_mm)}"))
    return found


def _pin_height(request: MountRequest, scale: Scale | None, roadbed: Roadbed | None) -> float | None:
    if scale is None or roadbed is None:
        return None
    if request.pin_height is None:
        return roadbed.thickness_mm + scale.pin_above_roadbed_mm
    low_mm, high_mm = roadbed.thickness_mm, roadbed.thickness_mm + PIN_ABOVE_ROADBED_MM
    height_mm = length_mm(request.pin_height)
    if low_mm <= height_mm <= high_mm:
        return height_mm
    past = f"from the board's top past a roadbed of {text_mm(roadbed.thickness_mm)}"
    raise _refused(request.pin_height, f"must be {number(low_mm)} to {text_mm(high_mm)}, {past}")


def _ground(request: MountRequest, pin_height_mm: float | None) -> float:
    if request.ground is None or pin_height_mm is None:
        return 0.0
    height_mm, most_mm = length_mm(request.ground), max(0.0, pin_height_mm - ROD_OVER_GROUND_MM)
    if 0 <= height_mm <= most_mm:
        return height_mm
    over = f"the rod passes over it to the tie bar at {text_mm(pin_height_mm)}"
    raise _refused(request.ground, f"must be 0 to {text_mm(most_mm)}, {over}")


def _overtravel(request: MountRequest) -> float | None:
    if request.overtravel is not None and request.depth is not None:
        said = "must not be given with --depth, which settles it"
        raise InputError(Fault(said, written=shown(request.overtravel)))
    return _mm(request.overtravel)


def _other_tracks(request: MountRequest, scale: Scale | None) -> tuple[float, ...]:
    if scale is None:
        return ()
    low_mm, high_mm = round(scale.sleeper_mm, 1), FARTHEST_TRACK_MM  # nearer, they lie on each other's sleepers
    found = []
    for written in request.other_track:
        distance_mm = length_mm(written)
        if not low_mm <= abs(distance_mm) <= high_mm:
            raise _refused(written, f"must be {number(low_mm)} to {text_mm(high_mm)} on either side")
        found.append(distance_mm)
    return tuple(found)


def _arm_hole(request: MountRequest, servo: Servo | None) -> float | None:
    if servo is None or request.arm_hole is None:
        return None
    wanted_mm = length_mm(request.arm_hole)
    for radius_mm in servo.horn_radii_mm:
        if abs(radius_mm - wanted_mm) <= _SAME_MM:
            return radius_mm
    holes = one_of([number(radius_mm) for radius_mm in servo.horn_radii_mm])
    raise _refused(request.arm_hole, f"must be {holes} mm on the arm of {servo.name}")


def means_length(written: float | str, library: Library, kind: str) -> bool:
    """A number, or a text that begins like one and is no profile's name or file."""
    if not isinstance(written, str):
        return True
    text = written.strip()
    begins_so = text[:1].isnumeric() or text[:1] in ".,-+−"
    known = text.casefold() in (name.casefold() for name in library.names(kind))
    return begins_so and not known and not re.search(r"\.toml\b", text, re.IGNORECASE)


def _length(size: object, mm: Callable[[object], float], written: object) -> float:
    try:
        return mm(size)
    except ValueError as error:
        raise _refused(written, str(error)) from None


def _refused(written: object, said: str) -> InputError:
    return InputError(Fault(said, written=shown_length(written)))


def _stocks(library: Library, name: str, diameter_mm: float) -> bool:
    try:
        stock = library.wire(name).stock
    except InputError:  # a user's faulty file is told of when it is asked for
        return False
    return any(abs(item.diameter_mm - diameter_mm) <= _SAME_MM for item in stock)
