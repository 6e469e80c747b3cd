"""How stiff the legs are on which a servo lies across the track: plain arithmetic, no kernel."""

from __future__ import annotations

from dataclasses import dataclass

from mounts.inputs.spec import MountSpec
from mounts.styles import _mounting
from mounts.styles._mounting import Point2

PLUG_UP_MM = 7.5  # above the shaft, where the plug's upper end may be and a little over; common practice, no source
TIED = 0.7  # of the moment along the track that the servo's ears leave to the legs; common practice, no source
SLICES = 24  # of a leg, to add up how it bends


@dataclass(frozen=True)
class Legs:
    """What bends between servo and plate, mm.

    Attributes:
        posts_mm: width of the two legs.
        apart_mm: between the middles of their ribs.
        foot_mm: width of the web at the plate.
        web_mm: its thickness.
        rib_mm: that of the ribs.
        deep_mm: web and rib along the track, at the bosses and at the plate.
    """

    posts_mm: Point2
    apart_mm: float
    foot_mm: float
    web_mm: float
    rib_mm: float
    deep_mm: Point2


def seat_n_per_mm(spec: MountSpec, legs: Legs, before_mm: float, z: tuple[float, float, float]) -> float:
    """How stiff the seat is across the track at the arm's hole, N/mm.

    Web and posts give way in their plane (``posts_n_per_mm``); as the wire is before them they twist: its pull F at a
    is a couple F·a/s on the two legs, s apart, which bend along the track, one forth and one back, k = s²·kₓ/(2·a²).
    kₓ is that of a cantilever by unit load, ∫ x²/(EI) dx from the shaft to the plate, its section a T of a post's width
    and half of the way to the other leg of web, and the rib, which deepens towards the plate. The web twists besides,
    k = G·b·t³/3/(h·a²). Domain: web and ribs fast in the plate, ends of the legs free; the servo that ties them makes
    it 1.5 to 4 times as stiff by finite elements of the solid, so it is a lower bound.

    Args:
        spec: the plastic.
        legs: between servo and plate.
        before_mm: a, from the wire to the seat.
        z: of the plate's lower face, of the notch's top, of the shaft, mm.

    Source: unit load, any handbook.
    """
    modulus, (plate_z, notch_z, shaft_z) = spec.filament.modulus_mpa, z
    long, high = plate_z - shaft_z, plate_z - notch_z
    across = _mounting.posts_n_per_mm(spec, legs.web_mm, legs.posts_mm, long - high, web=(legs.foot_mm, high))
    step, gives = long / SLICES, 0.0
    for at in range(SLICES):
        x = (at + 0.5) * step
        wide, deep = _section(legs, x, long)
        gives += x**2 * step / (modulus * _tee(wide, legs.web_mm, legs.rib_mm, deep)[1])
    bent = legs.apart_mm**2 / (2 * gives)
    twisted = modulus / (2 * (1 + _mounting.POISSON)) * legs.foot_mm * legs.web_mm**3 / 3 / high
    return 1 / (1 / across + before_mm**2 / (bent + twisted))


def seat_mpa_per_n(legs: Legs, before_mm: float, z: tuple[float, float, float]) -> float:
    """Largest stress in the legs for each newton at the arm's hole, MPa/N, across the track or upright.

    Section by section: in their plane posts and web as ``posts_mpa_per_n`` has them, and the T of leg and rib, bent by
    the couple F·a/s along the track, one forth and one back: the servo that ties their ends takes half of its moment if
    it lets no end turn, none if it lets them; ``TIED`` is between. A pull upright bends both T by F·a/2. Domain: as
    ``seat_n_per_mm``; 0.8 to 1.1 times the largest that finite elements of the solid show in bricks of a millimetre.

    Args:
        legs: between servo and plate.
        before_mm: a, from the wire to the seat.
        z: of the plate's lower face, of the notch's top, of the shaft, mm.

    Source: bending of beams, any handbook.
    """
    (plate_z, notch_z, shaft_z), posts = z, legs.posts_mm
    long, most = plate_z - shaft_z, 0.0
    for at in range(SLICES):
        x = (at + 1.0) / SLICES * long
        wide, deep = _section(legs, x, long)
        far, second = _tee(wide, legs.web_mm, legs.rib_mm, deep)
        across = 6 * x / (legs.web_mm * legs.foot_mm**2)
        if x <= notch_z - shaft_z:
            across = _mounting.posts_mpa_per_n(legs.web_mm, posts, x)
        along = TIED * before_mm / legs.apart_mm * x * far / second
        most = max(most, across + along, before_mm / 2 * far / second)
    return most


def _section(legs: Legs, x: float, long: float) -> Point2:
    """Width and depth of a leg's T so far from the shaft, mm."""
    least, most = legs.deep_mm
    deep = least + (most - least) * max(0.0, x - PLUG_UP_MM) / long
    return min(legs.posts_mm) + legs.apart_mm / 4, deep


def _tee(wide: float, thick: float, stem: float, deep: float) -> Point2:
    """A T, its flange wide × thick, under it a stem so thick to so deep in all: how far its axis is from the farther
    face, mm, and its second moment, mm⁴."""
    parts = ((wide * thick, thick / 2, wide * thick**3), (stem * (deep - thick), (deep + thick) / 2,
              stem * (deep - thick) ** 3))  # fmt: skip
    middle = sum(area * at for area, at, _ in parts) / sum(area for area, _, _ in parts)
    second = sum(cube / 12 + area * (at - middle) ** 2 for area, at, cube in parts)
    return max(middle, deep - middle), second
