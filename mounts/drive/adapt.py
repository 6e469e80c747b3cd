"""Another drive for a mount that exists: as much as can be kept of arm hole, wire and pulses."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from mounts.drive.kinds import kind_of
from mounts.drive.model import Drive, Limits, PointsDrive
from mounts.drive.solve import attempt, examined
from mounts.drive.ways_out import wider_force
from mounts.errors import NoDesign
from mounts.inputs.servo import Servo
from mounts.inputs.spec import MountSpec

Kept = tuple[str, ...]

PREFERENCE: tuple[Kept, ...] = (
    ("arm hole", "wire", "pulses", "over-travel"),
    ("arm hole", "wire", "pulses"),
    ("arm hole", "wire", "over-travel"),
    ("arm hole", "wire"),
    ("arm hole", "pulses"),
    ("arm hole",),
    ("wire", "pulses"),
    ("wire",),
    ("pulses",),
)
"""What is tried, in this order: the arm stays on its servo, the wire comes off the same coil, the controller
is left alone; the over-travel, and with it the travel at the pin, only where the force stays in its band."""


SAME_US = 0.01  # pulses nearer than this are the same: no controller sets finer


@dataclass(frozen=True)
class AdaptedDrive:
    """A drive and what it has in common with the one before.

    Attributes:
        drive: keeps every limit that a drive for the new request has.
        kept: the entry of ``PREFERENCE`` that it was found by.
        lost: why no more could be kept, and the force that would keep it; empty where all is.
    """

    drive: Drive
    kept: Kept
    lost: str


def adapt(spec: MountSpec, before: Drive, servo: Servo, limits: Limits) -> AdaptedDrive:
    """The drive for ``spec`` that keeps most of one that exists.

    Args:
        spec: the new request; what it pins itself stays pinned.
        before: the drive that exists.
        servo: the one it was made for.
        limits: what the style leaves to the new drive.

    Raises:
        NoDesign: nothing can be kept; the line says what stands against it, and whether any drive is left.
    """
    spec = kind_of(before).as_taken(spec, before)
    reasons: dict[Kept, str] = {}
    for kept in PREFERENCE:
        if kept[-1] == "over-travel" and not kind_of(before).aims_at_overtravel:
            continue  # its travel comes of arm hole and pulses alone
        obstacle = next(_obstacles(kept, spec, before, servo), None)
        pinned = _pinned(kept, spec, before)
        found = obstacle or _attempt(pinned, limits, before if "pulses" in kept else None)
        if not isinstance(found, str):
            lost = _lost(kept, reasons, lambda more: _other_force(more, spec, before, servo, limits))
            return AdaptedDrive(found, kept, lost)
        reasons[kept] = found
    anew = attempt(spec, limits)
    told = "; ".join(f"with {' and '.join(kept)}: {reasons[kept]}" for kept in (("arm hole",), ("wire",), ("pulses",)))
    end = f"nor is there any other: {anew}" if isinstance(anew, str) else "'mounts make' finds one that keeps nothing"
    raise NoDesign(f"{spec.id}: nothing can be kept: {told}; {end}")


def _lost(kept: Kept, reasons: Mapping[Kept, str], way_out: Callable[[Kept], str | None]) -> str:
    """Why the most that could not be kept, beside what is, could not; of all of it the over-travel counts least.

    Args:
        kept: what is kept.
        reasons: what could not be kept, and why.
        way_out: the option that keeps so much, tried; None where none does.
    """
    missed = [more for more in reasons if more[-1] != "over-travel"] or list(reasons)
    if not missed:
        return ""
    lost = [name for name in missed[0] if name not in kept]
    option = way_out(missed[0])
    end = f"; {option} keeps {'it' if len(lost) == 1 and lost != ['pulses'] else 'them'}" if option else ""
    return f"{' and '.join(lost)}: {reasons[missed[0]]}{end}"


def _other_force(kept: Kept, spec: MountSpec, before: Drive, servo: Servo, limits: Limits) -> str | None:
    """The force that would have to be asked for to keep so much, as an option; None where no force would do."""
    if next(_obstacles(kept, spec, before, servo), None):
        return None
    alike = before if "pulses" in kept else None
    return wider_force(_pinned(kept, spec, before), lambda asked: not isinstance(_attempt(asked, limits, alike), str))


def half_swing_us(drive: Drive) -> float:
    """The half swing as pulse from the centre, µs."""
    return abs(drive.pulse_us.reverse - drive.pulse_us.normal) / 2.0


def _attempt(spec: MountSpec, limits: Limits, alike: Drive | None) -> Drive | str:
    """A drive, with the pulses of ``alike`` where that is given, normal and reverse not exchanged."""
    towards = kind_of(alike).arm_towards_pivot(alike) if alike is not None else None
    found = examined(spec, limits).best(towards=towards)
    if alike is None or isinstance(found, str):
        return found
    same = math.isclose(found.pulse_us.reverse, alike.pulse_us.reverse, abs_tol=SAME_US)
    return found if same else "no drive but with normal and reverse exchanged"


def _obstacles(kept: Kept, spec: MountSpec, before: Drive, servo: Servo) -> Iterator[str]:
    """Why something can't be kept whatever the linkage."""
    holes = spec.servo.horn_radii_mm
    if "arm hole" in kept and not any(math.isclose(before.horn_radius_mm, hole, abs_tol=1e-6) for hole in holes):
        yield f"the arm of {spec.servo.name} has no hole {before.horn_radius_mm:g} mm from the shaft"
    stock = [wire.diameter_mm for wire in spec.wire.stock]
    if "wire" in kept and not any(math.isclose(before.wire_mm, size, abs_tol=1e-6) for size in stock):
        yield f"{spec.wire.name} has no {before.wire_mm:g} mm wire"
    if "pulses" in kept and spec.servo.pulse_centre_us != servo.pulse_centre_us:
        yield f"{spec.servo.name} has its centre at {spec.servo.pulse_centre_us:g} µs"


def _pinned(kept: Kept, spec: MountSpec, before: Drive) -> MountSpec:
    pins: dict[str, float] = {}
    if "arm hole" in kept:
        pins["arm_hole_mm"] = before.horn_radius_mm
    if "wire" in kept:
        pins["wire_mm"] = before.wire_mm
    if "pulses" in kept:
        pins["swing_deg"] = half_swing_us(before) * spec.servo.degrees_per_us
    if "over-travel" in kept and isinstance(before, PointsDrive):
        pins["overtravel_mm"] = before.overtravel_mm
    return spec.model_copy(update=pins)
