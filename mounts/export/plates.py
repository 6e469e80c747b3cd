"""Bed-loads: parts laid out on as few plates as the printer's bed and a limit of time allow, tallest together."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from typing import Any, Literal

import numpy as np

from mounts.export.threemf import PlacedObject
from mounts.frames import matrix
from mounts.mesh import PartMesh

BAND_MM = 10.0  # parts whose heights differ by less may share a plate as if they were alike
_TENTH_MM = 10  # rectangles are packed in whole tenths of a millimetre, so that sums are exact
_SLACK_MM = 1e-6  # rounding, far below the tenth that plates are laid out by


@dataclass(frozen=True)
class Piece:
    """One copy of one part.

    Attributes:
        name: as an object.
        mount: it is of.
        part: its name there.
        size_mm: in the printed pose.
        minutes: to print it alone.
    """

    name: str
    mount: str
    part: str
    size_mm: tuple[float, float, float]
    minutes: float = 0.0


@dataclass(frozen=True)
class Bed:
    """What a plate offers and what is kept free on it, mm."""

    x_mm: float
    y_mm: float
    brim_mm: float
    spacing_mm: float


@dataclass(frozen=True)
class Place:
    """A piece on a plate: the lower left corner of its box, mm from the bed's, and whether it is turned by 90°."""

    piece: Piece
    x_mm: float
    y_mm: float
    turned: bool

    @property
    def box_mm(self) -> tuple[float, float, float, float]:
        """Left, front, right, back."""
        x, y, _ = self.piece.size_mm
        wide, deep = (y, x) if self.turned else (x, y)
        return self.x_mm, self.y_mm, self.x_mm + wide, self.y_mm + deep


Plate = tuple[Place, ...]
MayShare = Callable[[Sequence[Piece]], bool]


def pack(pieces: Sequence[Piece], bed: Bed, may_share: MayShare | None = None) -> tuple[list[Plate], list[Piece]]:
    """Plates, and the pieces that no bed of this size takes with their brim.

    Several orders and ways to turn pieces are tried; the fewest plates win, then the least sum of the plates'
    heights, which is least where the tallest stand together.

    Args:
        pieces: in any order.
        bed: all plates are of it.
        may_share: whether pieces, two or more, are soon enough printed together; None: there is no limit.

    Raises:
        RuntimeError: the packing breaks its own rules (``broken_rules``): a bug.
    """
    fitting = [piece for piece in pieces if _fits(piece, bed)]
    best: list[Plate] = []
    orders = _ORDERS if may_share is None else (*_ORDERS, _longest_first)
    for order, turning in product(orders, _TURNINGS) if fitting else ():
        plates = _packed(sorted(fitting, key=order), bed, turning, may_share)
        if not best or _cost(plates) < _cost(best):
            best = plates
    for plate in best:
        for fault in broken_rules(plate, bed):
            raise RuntimeError(fault)
        if may_share and len(plate) > 1 and not may_share([place.piece for place in plate]):
            raise RuntimeError(f"{plate[0].piece.name} and others print too long together")
    if sum(map(len, best)) != len(fitting):
        raise RuntimeError(f"{len(fitting)} pieces to pack, {sum(map(len, best))} packed")
    return best, [piece for piece in pieces if not _fits(piece, bed)]


def broken_rules(plate: Plate, bed: Bed) -> Iterator[str]:
    """Pieces that reach past the bed with their brim, and pairs whose brims come too near."""
    for place in plate:
        left, front, right, back = place.box_mm
        low = min(left, front) - bed.brim_mm
        over = max(right + bed.brim_mm - bed.x_mm, back + bed.brim_mm - bed.y_mm)
        if low < -_SLACK_MM or over > _SLACK_MM:
            yield f"{place.piece.name} reaches past the bed"
    for a, b in combinations(plate, 2):
        apart = max(
            a.box_mm[0] - b.box_mm[2], b.box_mm[0] - a.box_mm[2], a.box_mm[1] - b.box_mm[3], b.box_mm[1] - a.box_mm[3]
        )
        if apart < 2 * bed.brim_mm + bed.spacing_mm - _SLACK_MM:
            yield f"{a.piece.name} and {b.piece.name} are {apart:.2f} mm apart"


def placed_object(place: Place, mesh: PartMesh) -> PlacedObject:
    """The piece as an object of the plate's 3MF.

    Args:
        place: where it stands.
        mesh: of its part, print frame.
    """
    turn = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]) if place.turned else np.eye(3)
    low = (mesh.vertices_mm @ turn.T).min(axis=0)
    return PlacedObject(place.piece.name, mesh, matrix(turn, np.array([place.x_mm, place.y_mm, 0.0]) - low))


def _area(piece: Piece) -> float:
    return piece.size_mm[0] * piece.size_mm[1]


_ORDERS: tuple[Callable[[Piece], tuple[float | str, ...]], ...] = (
    lambda piece: (-piece.size_mm[2], -_area(piece), piece.name),
    lambda piece: (-math.floor(piece.size_mm[2] / BAND_MM), -_area(piece), piece.name),
    lambda piece: (-_area(piece), -piece.size_mm[2], piece.name),
    lambda piece: (-max(piece.size_mm[:2]), -_area(piece), piece.name),
)


def _longest_first(piece: Piece) -> tuple[float | str, ...]:
    return -piece.minutes, -_area(piece), piece.name


Turning = Literal["either", "long side along x", "long side along y"]
_TURNINGS: tuple[Turning, ...] = ("either", "long side along x", "long side along y")


def _cost(plates: Sequence[Plate]) -> tuple[int, float]:
    return len(plates), round(sum(max(place.piece.size_mm[2] for place in plate) for plate in plates), 3)


def _tenths(piece: Piece, bed: Bed) -> tuple[int, int]:
    """The rectangle a piece takes: its box, its brim, and the spacing on one side."""
    margin = 2 * bed.brim_mm + bed.spacing_mm
    x, y, _ = piece.size_mm
    return math.ceil((x + margin) * _TENTH_MM - _SLACK_MM), math.ceil((y + margin) * _TENTH_MM - _SLACK_MM)


def _bed_tenths(bed: Bed) -> tuple[int, int]:
    """The bed, with the spacing that the last piece of a row has no need of."""
    return (
        math.floor((bed.x_mm + bed.spacing_mm) * _TENTH_MM + _SLACK_MM),
        math.floor((bed.y_mm + bed.spacing_mm) * _TENTH_MM + _SLACK_MM),
    )


def _fits(piece: Piece, bed: Bed) -> bool:
    wide, deep = _tenths(piece, bed)
    bed_x, bed_y = _bed_tenths(bed)
    return (wide <= bed_x and deep <= bed_y) or (deep <= bed_x and wide <= bed_y)


def _packed(pieces: Sequence[Piece], bed: Bed, turning: Turning, may_share: MayShare | None) -> list[Plate]:
    """Each piece in turn on the first plate that takes it (maximal rectangles, best short side)."""
    from rectpack import MaxRectsBssf

    packers: list[MaxRectsBssf] = []
    plates: list[list[Place]] = []
    for piece in pieces:
        wide, deep = _rectangle(piece, bed, turning)
        soon = (
            number for number, places in enumerate(plates)
            if may_share is None or may_share([*(place.piece for place in places), piece])
        )  # fmt: skip
        taken = _first_that_takes(packers, soon, wide, deep)
        if taken is None:
            packers.append(MaxRectsBssf(*_bed_tenths(bed), rot=turning == "either"))
            plates.append([])
            taken = len(packers) - 1, packers[-1].add_rect(wide, deep)
        number, rectangle = taken
        turned = rectangle.width != _tenths(piece, bed)[0]
        x_mm, y_mm = rectangle.x / _TENTH_MM + bed.brim_mm, rectangle.y / _TENTH_MM + bed.brim_mm
        plates[number].append(Place(piece, x_mm, y_mm, turned))
    return [tuple(places) for places in plates]


def _rectangle(piece: Piece, bed: Bed, turning: Turning) -> tuple[int, int]:
    """Width and depth to ask for, tenths: the long side along the axis wanted, unless only the other way fits."""
    wide, deep = _tenths(piece, bed)
    bed_x, bed_y = _bed_tenths(bed)
    if turning == "either":
        return wide, deep
    ways = [(max(wide, deep), min(wide, deep)), (min(wide, deep), max(wide, deep))]
    if turning == "long side along y":
        ways.reverse()
    return next(way for way in ways if way[0] <= bed_x and way[1] <= bed_y)


def _first_that_takes(packers: Sequence[Any], among: Iterable[int], wide: int, deep: int) -> tuple[int, Any] | None:
    """Number of the first plate of those with room, and the rectangle it gives."""
    for number in among:
        if rectangle := packers[number].add_rect(wide, deep):
            return number, rectangle
    return None
