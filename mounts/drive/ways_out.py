"""Where nothing is left: changes of the request that were tried and do give a drive."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from mounts.inputs.spec import MountSpec

Attempt = Callable[[MountSpec], bool]

_PINS = ("wire_mm", "arm_hole_mm", "depth_mm", "swing_deg")
_SHARES = (0.85, 1.2, 0.7, 1.5, 0.5, 2.0, 0.35, 3.0)  # nearest change first


def ways_out(spec: MountSpec, attempt: Attempt) -> tuple[str, ...]:
    """Single changes that bring a drive back: a pin left free, another throw, another force.

    Each is the nearest of its kind among the shares tried, and was solved. Throws stay within what the
    scale allows.

    Args:
        spec: a request that has no drive.
        attempt: whether a request has a drive.
    """
    return (*_free_pins(spec, attempt), *_other_throws(spec, attempt), *_other_forces(spec, attempt))


def _free_pins(spec: MountSpec, attempt: Attempt) -> Iterator[str]:
    for pin in _PINS:
        if getattr(spec, pin) is not None and attempt(spec.model_copy(update={pin: None})):
            yield f"leave {pin} free"


def _other_throws(spec: MountSpec, attempt: Attempt) -> Iterator[str]:
    tried = [round(spec.throw_mm * share, 1) for share in _SHARES]
    for throw_mm in (*tried, spec.scale.throw_mm):
        allowed = spec.scale.smallest_throw_mm <= throw_mm <= spec.scale.largest_throw_mm
        if allowed and attempt(spec.model_copy(update={"throw_mm": throw_mm})):
            yield f"throw {throw_mm:.1f} mm instead of {spec.throw_mm:.1f}"
            return


def _other_forces(spec: MountSpec, attempt: Attempt) -> Iterator[str]:
    low, high = spec.force_n
    for share in _SHARES:
        band = (round(low * share, 2), round(high * share, 2))
        if attempt(spec.model_copy(update={"force_n": band})):
            yield f"ask for {band[0]:.2f} to {band[1]:.2f} N instead of {low:.2f} to {high:.2f}"
            return
