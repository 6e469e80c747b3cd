"""A second rod, at the other end of a double arm: it goes down as the first goes up.

Its crank points the way the first's does, and turns as far below level as that is above it. Of two booms one lies on
its crank's side of the spindle and the other across it: both open together, and face each other or part.

Seen in a mirror that stands on the shaft it is a rod like the first: on y = 0, its arm pointing to +y and its crank the
other way, each at the negative of its angle. So all that is said of one rod is said of it there:

    y' = 2·y_S − y,    α' = −α,    φ' = −φ,    the pulse as far on the other side of the centre

Source: plane geometry; tests/drive/test_lift_second.py cuts circles where it stands instead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from mounts.drive.lift import kinematics
from mounts.drive.lift.asked import Asked
from mounts.drive.lift.done import Done, done
from mounts.drive.lift.field import Field, as_field
from mounts.drive.lift.model import LiftDrive, LiftLimits
from mounts.drive.limits import Limit
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]


def rods_of(field: Field) -> tuple[Field, ...]:
    """Each candidate's rods: the first, and the second as the mirror shows it where there is one."""
    return (field,) if field.limits.between_rods_mm is None else (field, _mirrored(field))


def rods_as_fields(spec: MountSpec, limits: LiftLimits, drive: LiftDrive) -> tuple[Field, ...]:
    """The rods of a drive that exists, worked out anew from its dimensions."""
    first = as_field(spec, limits, drive)
    if drive.second is None:
        return (first,)
    second = as_field(spec, limits, mirrored(drive))
    return first, replace(second, asked=_turned_down(first.asked), follows=True)


def each_done(rods: Sequence[Field]) -> tuple[Done, ...]:
    """What each rod does, all with the legs of the spring bend that the one that needs the longest has."""
    found = tuple(done(rod) for rod in rods)
    if len(rods) == 1:
        return found
    leg = np.maximum.reduce([does.leg for does in found])
    return tuple(done(replace(rod, leg=leg)) for rod in rods)


def worse(first: Limit, second: Limit) -> Limit:
    """A limit that two rods are held to."""
    worst = np.fmax if first.sense == "at most" else np.fmin
    return replace(first, value=worst(first.value, second.value))


def mirrored(drive: LiftDrive) -> LiftDrive:
    """A drive of the second rod alone, as the mirror shows it.

    Raises:
        TypeError: there is none.
    """
    second = drive.second
    if second is None:
        raise TypeError("a second rod is asked for")
    centre = drive.pulse_us.centre
    return drive.model_copy(update={
        "second": None,
        "rod_length_mm": second.rod_length_mm,
        "mid_deg": -drive.mid_deg,
        "crank_pivot": second.crank_pivot and (2.0 * drive.shaft[0] - second.crank_pivot[0], second.crank_pivot[1]),
        "crank_towards": drive.crank_towards and -drive.crank_towards,
        "positions": tuple(
            place.model_copy(update={"pulse_us": 2.0 * centre - place.pulse_us}) for place in second.positions
        ),
    })  # fmt: skip


def _mirrored(field: Field) -> Field:
    """Its spindle so far across that the second rod leans no more to one side than the first.

    It is as long as suits its places best, for it has no pulses of its own: between the longest and the shortest that
    one of them asks for.
    """
    seen = replace(
        field,
        asked=_turned_down(field.asked),
        arm=-field.arm,
        mid=-field.mid,
        pulses=2.0 * field.spec.servo.pulse_centre_us - field.pulses,
        towards=-field.towards,
        follows=True,
    )
    places = np.array([place.at for place in seen.asked.places])
    if field.asked.crank_mm is None:
        y, z = np.zeros_like(places), field.limits.guide_z[0] + places - (places.max() + places.min()) / 2.0
    else:
        turned = np.cos(np.radians(places))
        aside = field.asked.crank_mm * (turned.max() + turned.min()) / 2.0
        seen = replace(seen, pivot_y=field.pivot_y + 2.0 * field.towards * aside)
        y, z = kinematics.crank_end(
            np.radians(places), crank_mm=field.asked.crank_mm, pivot=seen.pivot, towards=seen.towards
        )
    hole_y, hole_z = seen.hole(seen.arm)
    long = np.hypot(y - hole_y, z - hole_z)
    return replace(seen, rod=(long.max(axis=1) + long.min(axis=1)) / 2.0)


def _turned_down(asked: Asked) -> Asked:
    return replace(asked, places=tuple(place.model_copy(update={"at": -place.at}) for place in asked.places))
