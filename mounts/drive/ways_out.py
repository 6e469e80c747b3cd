"""Where nothing is left: changes of the request that were tried and do give a drive."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from mounts.inputs.request import FORCE_N
from mounts.inputs.spec import MountSpec
from mounts.units import number

Attempt = Callable[[MountSpec], bool]

_PINS = {"wire_mm": "--wire", "arm_hole_mm": "--arm-hole", "depth_mm": "--depth", "swing_deg": "--swing"}
_SHARES = (0.85, 1.2, 0.7, 1.5, 0.5, 2.0, 0.35, 3.0)  # nearest change first
_WEAKER = tuple(share for share in _SHARES if share < 1.0)
_STRONGER = tuple(share for share in _SHARES if share > 1.0)


def ways_out(spec: MountSpec, attempt: Attempt) -> tuple[str, ...]:
    """Single changes that bring a drive back: a pin left free, another throw, another force.

    Each is the nearest of its kind among the shares tried, and was solved. Throws stay within what the
    scale allows.

    Args:
        spec: a request that has no drive.
        attempt: whether a request has a drive.
    """
    return (*_free_pins(spec, attempt), *_other_throws(spec, attempt), *_other_forces(spec, attempt))


def wider_force(spec: MountSpec, attempt: Attempt) -> str | None:
    """The force asked for with one end moved, or both, as the option to type; None where that gives no drive.

    The nearest of those tried, in steps of one figure, weaker before stronger.

    Args:
        spec: a request that has no drive.
        attempt: whether a request has a drive.
    """
    low, high = spec.force_n
    weaker = list(dict.fromkeys(max(_one_figure(low * share, math.floor), FORCE_N[0]) for share in _WEAKER))
    stronger = list(dict.fromkeys(min(_one_figure(high * share, math.ceil), FORCE_N[1]) for share in _STRONGER))
    both = zip(weaker, stronger, strict=False)
    for band in (*((end, high) for end in weaker), *((low, end) for end in stronger), *both):
        if attempt(spec.model_copy(update={"force_n": band})):
            return force_option(band)
    return None


def force_option(band_n: tuple[float, float]) -> str:
    """A band of forces as typed.

    >>> force_option((0.1, 0.5))
    '--force 0.1-0.5'
    """
    return f"--force {number(band_n[0])}-{number(band_n[1])}"


def _one_figure(value: float, whole: Callable[[float], int]) -> float:
    """Rounded one way to one significant figure: 0.17 down is 0.1, 0.6 up is 0.6."""
    place = math.floor(math.log10(value))
    return round(whole(round(value / 10.0**place, 6)) * 10.0**place, 6)


def _free_pins(spec: MountSpec, attempt: Attempt) -> Iterator[str]:
    for pin, option in _PINS.items():
        if getattr(spec, pin) is not None and attempt(spec.model_copy(update={pin: None})):
            yield f"leave {option} free"
    if spec.wire_held == "clamped" and attempt(spec.model_copy(update={"wire_held": "turning"})):
        yield "--held turning"


def _other_throws(spec: MountSpec, attempt: Attempt) -> Iterator[str]:
    tried = [round(spec.throw_mm * share, 1) for share in _SHARES]
    for throw_mm in (*tried, spec.scale.throw_mm):
        allowed = spec.scale.smallest_throw_mm <= throw_mm <= spec.scale.largest_throw_mm
        if allowed and attempt(spec.model_copy(update={"throw_mm": throw_mm})):
            yield f"--throw {number(throw_mm)} instead of {number(spec.throw_mm)} mm"
            return


def _other_forces(spec: MountSpec, attempt: Attempt) -> Iterator[str]:
    low, high = spec.force_n
    for share in _SHARES:
        band = (round(low * share, 2), round(high * share, 2))
        typed = FORCE_N[0] <= band[0] and band[1] <= FORCE_N[1]
        if typed and attempt(spec.model_copy(update={"force_n": band})):
            yield f"{force_option(band)} instead of {number(low)}-{number(high)} N"
            return
