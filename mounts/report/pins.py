"""What a pinned choice costs: the mount as asked beside the one it would be with that choice left free."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from pydantic import Field

from mounts.design import Design
from mounts.drive.model import PointsDrive
from mounts.inputs.model import Model
from mounts.inputs.spec import MountSpec
from mounts.report.kinds import Figure, outcome, telling
from mounts.units import number

Redesign = Callable[[MountSpec], Design | None]

SPEC_PINS = {
    "wire_mm": "--wire", "arm_hole_mm": "--arm-hole", "depth_mm": "--depth", "swing_deg": "--swing",
    "overtravel_mm": "--overtravel", "track_distance_mm": "--track-distance",
}  # fmt: skip
OPTION_PINS = ("pose", "height_mm", "sunk_mm", "base_mm", "tie_bar_reach_mm", "lie")
LIGHT_SHARE = 0.8  # of the stress that is warned of: less does a wire no good; common practice, no source
WORSE = 1.25  # a figure that is worse by less is not worth a sentence; common practice, no source


class PinCost(Model):
    """One pinned choice that makes one figure, given in ``unit``, much worse."""

    pin: str = Field(description="as typed, such as '--wire 0.7'")
    what: str = Field(description="the figure that suffers")
    unit: str
    pinned: float = Field(description="with the pin")
    free: float = Field(description="with this pin left free and all else as asked")
    instead: str = Field(description="what is chosen then")
    sentence: str = Field(description="the same, to be read")


def costs_of_pins(design: Design, redesign: Redesign) -> tuple[PinCost, ...]:
    """Every pin with which a figure is a quarter worse, and by more than is seen, than without it.

    Args:
        design: as asked.
        redesign: the design of another request, None where there is none.
    """
    found = []
    for pin, typed, freed in _freed(design.spec):
        free = redesign(freed)
        if free is not None:
            found += [*_worse(pin, typed, design, free)]
    return tuple(found)


def _freed(spec: MountSpec) -> Iterator[tuple[str, str, MountSpec]]:
    """Each pin: its name, as typed, and the request without it."""
    for field, option in SPEC_PINS.items():
        value = getattr(spec, field)
        if value is not None:
            yield field, f"{option} {number(value)}", spec.model_copy(update={field: None})
    for name in OPTION_PINS:
        if spec.options.get(name, "auto") != "auto":
            left = {key: value for key, value in spec.options.items() if key != name}
            yield name, f"--set {name}={spec.options[name]}", spec.model_copy(update={"options": left})


def _worse(pin: str, typed: str, design: Design, free: Design) -> Iterator[PinCost]:
    own = {"track_distance_mm": "distance", "height_mm": "height", "depth_mm": "depth"}.get(pin)
    instead = _instead(pin, free)
    for now, then in zip(_figures(design), _figures(free), strict=True):
        if now.what == own or now.value < max(WORSE * then.value, then.value + now.step):
            continue
        yield PinCost(
            pin=typed, what=now.what, unit=now.unit, pinned=now.value, free=then.value, instead=instead,
            sentence=f"{typed} {now.pinned_words.format(number(now.value, 1))}; left free "
            f"{now.free_words.format(number(then.value, 1))} with {instead}",
        )  # fmt: skip


def _instead(pin: str, free: Design) -> str:
    """What the free design has in place of the pin."""
    drive, beside = free.drive, free.plan.beside
    if pin == "arm_hole_mm":
        return f"the arm hole at {number(drive.horn_radius_mm)} mm"
    if pin == "swing_deg":
        return f"a half swing of {number(drive.swing_deg, 1)}°"
    if pin == "overtravel_mm" and isinstance(drive, PointsDrive):
        return f"{number(drive.overtravel_mm, 2)} mm of over-travel"
    if own := telling(drive).instead(drive, pin):
        return own
    if pin in ("pose", "height_mm", "sunk_mm") and beside and (down := beside.let_down):
        return f"pose {down.pose}" + (f", let down {number(down.sunk_mm, 1)} mm" if down.sunk_mm else "")
    return f"the {number(drive.wire_mm)} mm wire"


def _figures(design: Design) -> Iterator[Figure]:
    drive, beside = design.drive, design.plan.beside
    if beside:
        yield Figure(
            "distance", beside.track_distance_mm, "mm", 3.0, "puts it {} mm from the track", "it stands at {} mm"
        )
    if beside and (scenery := beside.scenery):
        real_m = scenery.top_mm * design.spec.scale.ratio / 1000
        # lower than is usual is no gain
        yield Figure(
            "height", max(real_m, scenery.stature.high_m), "m", 0.5, "makes it {} m high in reality", "it is {} m"
        )
    yield from telling(drive).figures(drive)
    yield from outcome(drive).figures(design.spec, drive)
    stress = max(drive.stress_mpa / drive.wire_tensile_mpa, LIGHT_SHARE * design.spec.wire.stress_warn)
    yield Figure(
        "stress", 100 * stress, "% of tensile", 10.0,
        "stresses the wire to {} % of its strength", "it is {} %",
    )  # fmt: skip
