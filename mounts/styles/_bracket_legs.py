"""How stiff and how strong the legs are on which a servo lies across the track: plain arithmetic, no kernel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from mounts.inputs.spec import MountSpec
from mounts.styles import _mounting
from mounts.styles._mounting import Point2

PLUG_UP_MM = 7.5  # above the shaft, where the plug's upper end may be and a little over; common practice, no source
SLICES = 24  # of a leg, to add up how it bends


@dataclass(frozen=True)
class Legs:
    """What bends between servo and plate, mm.

    Attributes:
        posts_mm: width of the two legs beside the notch.
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


class _Slice(NamedTuple):
    """A section of the legs.

    Attributes:
        x_mm: from the shaft.
        far_mm: of a leg's T, from its axis to the end of its rib or to the web's face, whichever is farther.
        tee_mm4: its second moment along the track.
        both_mm4: that of web and ribs together, across the track.
    """

    x_mm: float
    far_mm: float
    tee_mm4: float
    both_mm4: float


class _Couple(NamedTuple):
    """How a couple about the upright is borne that both legs' ends bear with none of them turning.

    Attributes:
        inflexion_mm: from the shaft, where the legs are not bent.
        bent_nmm: of the legs, for each radian.
        twisted_nmm: of the web.
    """

    inflexion_mm: float
    bent_nmm: float
    twisted_nmm: float


def seat_n_per_mm(spec: MountSpec, legs: Legs, before_mm: float, z: tuple[float, float, float]) -> float:
    """How stiff the seat is across the track at the arm's hole, N/mm.

    In their plane web and ribs are one cantilever, ∫ x²/(EI) dx + 1.2·h/(GA), and the posts beside the notch, whose
    ends the servo keeps upright, two of half their length each. As the wire is before them they turn besides: its pull
    F at a is a couple F·a (``_couple``). Domain: web and ribs fast in the plate, the servo stiff and its ears fast on
    the posts; 0.75 to 1.1 times as stiff as finite elements of the solid.

    Args:
        spec: the plastic.
        legs: between servo and plate.
        before_mm: a, from the wire to the seat.
        z: of the plate's lower face, of the notch's top, of the shaft, mm.

    Source: unit load, any handbook.
    """
    modulus, (plate_z, notch_z, shaft_z) = spec.filament.modulus_mpa, z
    slices, couple = _slices(legs, plate_z - shaft_z), _couple(spec, legs, z)
    posts = _mounting.posts_n_per_mm(spec, legs.web_mm, legs.posts_mm, (notch_z - shaft_z) / 2) / 2
    bends = sum(one.x_mm**2 / one.both_mm4 for one in slices) * (plate_z - shaft_z) / SLICES / modulus
    shears = 1.2 * (plate_z - notch_z) / (_mounting.shear_mpa(spec) * legs.web_mm * legs.foot_mm)
    return 1 / (bends + shears + 1 / posts + before_mm**2 / (couple.bent_nmm + couple.twisted_nmm))


def across_mpa_per_n(spec: MountSpec, legs: Legs, before_mm: float, z: tuple[float, float, float]) -> float:
    """Largest stress in the legs for each newton that pulls the arm's hole across the track, MPa/N.

    Above the notch web and ribs bent in their plane, F·x·s/(2·I), and the T of leg and rib by its share of the couple
    F·a/s (``_couple``); beside it the posts, whose ends the servo keeps upright. Domain: as ``seat_n_per_mm``; bosses
    make up for what the legs are bent beside the notch; 1 to 1.2 times what finite elements of the solid show without
    the peak in a sharp corner.

    Args:
        spec: the plastic.
        legs: between servo and plate.
        before_mm: a, from the wire to the seat.
        z: of the plate's lower face, of the notch's top, of the shaft, mm.

    Source: bending of beams, any handbook.
    """
    plate_z, notch_z, shaft_z = z
    couple = _couple(spec, legs, z)
    on_a_leg = before_mm / legs.apart_mm * couple.bent_nmm / (couple.bent_nmm + couple.twisted_nmm)
    most = _mounting.posts_mpa_per_n(legs.web_mm, legs.posts_mm, (notch_z - shaft_z) / 2)
    for x, far, tee, both in _slices(legs, plate_z - shaft_z):
        if x > notch_z - shaft_z:
            along = on_a_leg * abs(x - couple.inflexion_mm) * far / tee
            most = max(most, along + x * legs.apart_mm / 2 / both)
    return most


def upright_mpa_per_n(legs: Legs, before_mm: float) -> float:
    """Largest stress in the legs for each newton that pulls the arm's hole up or down, MPa/N.

    Both bear F/2 and are bent by F·a/2 all along, most where they are narrow, beside the notch. Domain: as
    ``seat_n_per_mm``; 0.9 to 1.1 times the largest in any section that finite elements of the solid show.

    Args:
        legs: between servo and plate.
        before_mm: a, from the wire to the seat.

    Source: bending of beams, any handbook.
    """
    wide, deep = min(legs.posts_mm), legs.deep_mm[0]
    far, second = _tee(wide, legs.web_mm, legs.rib_mm, deep)
    return before_mm / 2 * far / second + 0.5 / (wide * legs.web_mm + legs.rib_mm * (deep - legs.web_mm))


def _couple(spec: MountSpec, legs: Legs, z: tuple[float, float, float]) -> _Couple:
    """Of the legs, s apart, one bends forth and one back, and the web twists, k = G·b·t³/3/h.

    The servo lets neither end turn: a leg is not bent at x₀ = ∫ x/I dx ÷ ∫ 1/I dx and bends as k = s²·kₓ/2 with
    1/kₓ = ∫ (x − x₀)²/(EI) dx from the shaft to the plate.
    """
    modulus, (plate_z, notch_z, shaft_z) = spec.filament.modulus_mpa, z
    slices = _slices(legs, plate_z - shaft_z)
    inflexion = sum(one.x_mm / one.tee_mm4 for one in slices) / sum(1 / one.tee_mm4 for one in slices)
    gives = sum((one.x_mm - inflexion) ** 2 / one.tee_mm4 for one in slices) * (plate_z - shaft_z) / SLICES / modulus
    twisted = _mounting.shear_mpa(spec) * legs.foot_mm * legs.web_mm**3 / 3 / (plate_z - notch_z)
    return _Couple(inflexion, legs.apart_mm**2 / (2 * gives), twisted)


def _slices(legs: Legs, long_mm: float) -> tuple[_Slice, ...]:
    """From the shaft to the plate; the flange of a leg's T is a post's width and half of the way to the other leg."""
    (least, most), flange = legs.deep_mm, min(legs.posts_mm) + legs.apart_mm / 4
    found = []
    for at in range(SLICES):
        x = (at + 0.5) / SLICES * long_mm
        deep = least + (most - least) * max(0.0, x - PLUG_UP_MM) / long_mm
        ribs = 2 * legs.rib_mm * (deep - legs.web_mm) * (legs.apart_mm / 2) ** 2
        both = legs.web_mm * legs.foot_mm**3 / 12 + ribs
        found.append(_Slice(x, *_tee(flange, legs.web_mm, legs.rib_mm, deep), both))
    return tuple(found)


def _tee(wide: float, thick: float, stem: float, deep: float) -> Point2:
    """A T, its flange wide × thick, under it a stem so thick to so deep in all: how far its axis is from the farther
    face, mm, and its second moment, mm⁴."""
    parts = ((wide * thick, thick / 2, wide * thick**3), (stem * (deep - thick), (deep + thick) / 2,
              stem * (deep - thick) ** 3))  # fmt: skip
    middle = sum(area * at for area, at, _ in parts) / sum(area for area, _, _ in parts)
    second = sum(cube / 12 + area * (at - middle) ** 2 for area, at, cube in parts)
    return max(middle, deep - middle), second
