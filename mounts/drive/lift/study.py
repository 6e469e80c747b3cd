"""How sure a lift's positions are: worst case and Monte Carlo, in degrees of its crank or mm of a sliding wire."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from mounts.drive.lift import kinematics
from mounts.drive.lift.done import OFF_MM, SEEN_MM, done
from mounts.drive.lift.field import Field, as_field, columns
from mounts.drive.lift.model import LiftDrive, LiftLimits
from mounts.drive.lift.second import rods_as_fields
from mounts.drive.spread import SAMPLES, SEED, AngleSpread, Range
from mounts.drive.tolerances import gain_share
from mounts.inputs.spec import MountSpec

Array = NDArray[np.float64]

SEEN_DEG = 0.5
"""± to which the eye sees an arm's angle beside a line drawn on card. Common practice, no source."""

CRANK_OFF_MM = 0.05
"""± of a crank as measured. Common practice, no source."""


def places(spec: MountSpec, limits: LiftLimits, drive: LiftDrive) -> AngleSpread:
    """Each position against what was asked.

    As set: half a spline tooth, spread of the gain, half the dead band, arm hole, crank and the rod as it is bent, each
    at its worst, and half the play. Trimmed by the eye there remain the eye and half the dead band: what is moved
    weighs on the rod, and takes up the play the same way each time. The Monte Carlo draws each by itself from a
    triangle, seeded.
    """
    field, servo = as_field(spec, limits, drive), spec.servo
    slid = drive.crank_mm is None
    found = done(field)
    per_mm = 1.0 if slid else float(found.crank_deg_per_mm[0])
    dead = math.radians(servo.dead_band_us * servo.degrees_per_us) / 2.0
    ends = {
        "tooth": math.pi / servo.spline_teeth, "gain": gain_share(servo), "dead": dead,
        "radius": servo.tolerance_mm, "rod": OFF_MM, "crank": 0.0 if slid else CRANK_OFF_MM,
    }  # fmt: skip
    play = drive.lost_motion_mm / 2.0 * per_mm
    seen = SEEN_MM if slid else SEEN_DEG
    finest = dead * float(found.rate_mm_per_rad[0]) * per_mm
    worst = _signed(ends, np.array(list(itertools.product((-1.0, 0.0, 1.0), repeat=len(ends)))).T)
    drawn = np.random.default_rng(SEED).triangular(-1.0, 0.0, 1.0, size=(len(ends) + 2, SAMPLES))
    nominal = _off(field, _signed(ends, np.zeros((len(ends), 1))))[0]
    as_set = _off(field, worst)
    seen_set = _off(field, _signed(ends, drawn[: len(ends)])) + play * drawn[-1][:, None]
    left = nominal + (finest * drawn[2] + seen * drawn[-2])[:, None]
    unit: Literal["°", "mm"] = "mm" if slid else "°"
    return AngleSpread(
        positions=tuple(
            _range(nominal[n], finest + seen, left[:, n]) for n in range(nominal.size)
        ),
        untrimmed=tuple(
            Range(
                low=float(as_set[:, n].min() - play), nominal=float(nominal[n]), high=float(as_set[:, n].max() + play),
                percentile_5=float(np.percentile(seen_set[:, n], 5.0)),
                percentile_95=float(np.percentile(seen_set[:, n], 95.0)),
            )
            for n in range(nominal.size)
        ),
        unit=unit, backlash=2.0 * play, samples=SAMPLES, seed=SEED,
    )  # fmt: skip


def second_off_deg(spec: MountSpec, limits: LiftLimits, drive: LiftDrive) -> float:
    """How far a second rod's crank is off in the worst case at any place, degrees.

    The first is set by the eye at each place, the second on its spindle at the first place alone. Both cranks, and the
    hole in one end of the arm to that in the other, are off by ``CRANK_OFF_MM``, each its own way.

    Raises:
        TypeError: there is no second rod, or no crank.
    """
    first, *others = rods_as_fields(spec, limits, drive)
    if not others or drive.crank_mm is None:
        raise TypeError("a second rod and a crank are asked for")
    second, found = others[0], done(first)
    dead = math.radians(spec.servo.dead_band_us * spec.servo.degrees_per_us) / 2.0
    set_ = SEEN_DEG + dead * float(found.rate_mm_per_rad[0]) * float(found.crank_deg_per_mm[0])
    one, other, hole, start, rest, eye = np.array(list(itertools.product((-1.0, 1.0), repeat=6))).T[:, :, None]
    wanted = np.array([place.at for place in first.asked.places])
    stands = wanted + set_ * np.where(np.arange(wanted.size) == 0, start, rest)
    long = drive.crank_mm + CRANK_OFF_MM * one
    end = kinematics.crank_end(np.radians(stands), crank_mm=long, pivot=first.pivot, towards=first.towards)
    arm = kinematics.arm_rad(*end, **columns(first))
    linkage = {**columns(second), "radius_mm": second.radius[:, None] + CRANK_OFF_MM * hole}
    long = drive.crank_mm + CRANK_OFF_MM * other
    turned = kinematics.crank_rad(-arm, **linkage, crank_mm=long, pivot=second.pivot, towards=second.towards)
    off = np.degrees(turned) + wanted
    return float(np.abs(off - off[:, :1] + SEEN_DEG * eye).max())


def _range(nominal: float, off: float, seen: Array) -> Range:
    low, high = np.percentile(seen, [5.0, 95.0])
    return Range(
        low=float(nominal - off), nominal=float(nominal), high=float(nominal + off), percentile_5=float(low),
        percentile_95=float(high),
    )  # fmt: skip


def _signed(ends: dict[str, float], signs: Array) -> dict[str, Array]:
    return {name: signs[n] * end for n, (name, end) in enumerate(ends.items())}


def _off(field: Field, off: dict[str, Array]) -> Array:
    """(m, k) positions less what was asked, with things off by (m,)."""
    count = off["tooth"].size
    many: dict[str, Any] = {
        name: np.repeat(value, count, axis=0) for name, value in vars(field).items() if isinstance(value, np.ndarray)
    }
    wide = replace(field, **many)
    turned_by = (off["tooth"] + off["dead"])[:, None]
    arm = wide.mid[:, None] + (wide.set_arm() - wide.mid[:, None]) * (1.0 + off["gain"][:, None]) + turned_by
    wide = replace(wide, radius=wide.radius + off["radius"], rod=wide.rod + off["rod"])
    wanted = np.array([place.at for place in field.asked.places])
    if field.asked.crank_mm is None:
        level = field.limits.guide_z[0] - (wanted.max() + wanted.min()) / 2.0
        return np.asarray(wide.end(arm)[1] - level - wanted)
    crank = (field.asked.crank_mm or 1.0) + off["crank"]
    turned = kinematics.crank_rad(
        arm, radius_mm=wide.radius[:, None], rod_mm=wide.rod[:, None],
        shaft=(wide.shaft_y[:, None], wide.shaft_z[:, None]), crank_mm=crank[:, None], pivot=wide.pivot,
        towards=wide.towards,
    )  # fmt: skip
    # pushed or pulled until rod and crank lie in one line, it stays there
    locked = np.where(wide.hole(arm)[1] > wide.shaft_z[:, None], math.pi / 2, -math.pi / 2)
    return np.asarray(np.degrees(np.where(np.isnan(turned), locked, turned)) - wanted)
