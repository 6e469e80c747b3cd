"""Hypothesis strategies over the whole space of inputs: servos, boards and mounts, valid by construction."""

from __future__ import annotations

from functools import cache
from typing import Any

from hypothesis import strategies as st

from mounts.inputs.board import Board, Roadbed
from mounts.inputs.fixing import Fixing
from mounts.inputs.library import Library
from mounts.inputs.model import Source
from mounts.inputs.printer import Filament, Printer
from mounts.inputs.scale import Scale
from mounts.inputs.servo import BOSS_OVERHANG_MM, EDGE_MM, Servo
from mounts.inputs.spec import MountSpec
from mounts.inputs.wire import Wire

SPREAD = 0.08  # makers of one class differ by less; the strategies go a little beyond
SOURCE = {"all": Source(text="drawn by a test", mark="V")}
_UNSPREAD = {"spline_teeth", "degrees_per_us", "flange_hole_pitch_mm"}


@cache
def built_in(kind: str) -> tuple[Any, ...]:
    """Every built-in profile of a kind."""
    library = Library()
    return tuple(library.read(kind, name) for name in library.names(kind))


@st.composite
def raw_servos(draw: st.DrawFn) -> dict[str, Any]:
    """Figures of a class, each off by up to 8 % on its own: often not one possible servo."""
    values = draw(st.sampled_from(built_in("servo"))).model_dump()
    for field, value in values.items():
        if field.endswith("_mm") and isinstance(value, float):
            values[field] = _near(draw, value)
    return values


@st.composite
def servos(draw: st.DrawFn) -> Servo:
    """A possible servo of one of the classes, every dimension off by up to 8 %."""
    base = draw(st.sampled_from(built_in("servo")))
    values: dict[str, Any] = base.model_dump()
    for field, value in values.items():
        if field.endswith(("_mm", "_nmm", "_g")) and isinstance(value, float) and field not in _UNSPREAD:
            values[field] = _near(draw, value)
    length, width = values["case_length_mm"], values["case_width_mm"]
    ear = _near(draw, (base.flange_span_mm - base.case_length_mm) / 2)
    values["flange_hole_mm"] = hole = min(values["flange_hole_mm"], ear - 2 * EDGE_MM - 0.2)
    values["flange_span_mm"] = length + 2 * ear
    out = _near(draw, (base.flange_hole_spacing_mm - base.case_length_mm) / 2)
    edge = hole / 2 + EDGE_MM + 0.02
    values["flange_hole_spacing_mm"] = length + 2 * _between(edge, out, ear - edge)
    if base.flange_hole_pitch_mm:
        pitch = _near(draw, base.flange_hole_pitch_mm)
        values["flange_hole_pitch_mm"] = min(pitch, width - hole - 2 * EDGE_MM - 0.02)
    values["screw_mm"] = min(values["screw_mm"], hole)
    values["screw_head_mm"] = max(values["screw_head_mm"], hole + 0.2)
    values["flange_underside_height_mm"] = min(
        values["flange_underside_height_mm"], values["case_height_mm"] - values["flange_thickness_mm"] - 0.02
    )
    values["shaft_offset_mm"] = min(values["shaft_offset_mm"], length / 2 - 0.02)
    values["boss_mm"] = min(
        values["boss_mm"],
        width + BOSS_OVERHANG_MM - 0.02,
        2 * (values["shaft_offset_mm"] + BOSS_OVERHANG_MM) - 0.02,
    )
    values |= _arm(draw, base, values)
    for field, value in values.items():
        if isinstance(value, float):
            values[field] = round(value, 3)
    return Servo.model_validate(values | {"name": "drawn", "title": "a drawn servo", "source": SOURCE})


def _arm(draw: st.DrawFn, base: Servo, values: dict[str, Any]) -> dict[str, Any]:
    """Heights and lengths that hang on each other, from the boss upwards and the shaft outwards."""
    boss_top = values["case_height_mm"] - values["flange_underside_height_mm"] + values["boss_height_mm"]
    base_boss_top = base.case_height_mm - base.flange_underside_height_mm + base.boss_height_mm
    spline_top = boss_top + _near(draw, base.spline_top_height_mm - base_boss_top)
    plane = boss_top + _near(draw, base.horn_plane_height_mm - base_boss_top)
    factor = draw(_factors())
    radii = tuple(round(radius * factor, 2) for radius in base.horn_radii_mm)
    return {
        "spline_top_height_mm": spline_top,
        "horn_plane_height_mm": max(plane, spline_top, boss_top + values["horn_thickness_mm"]) + 0.02,
        "horn_radii_mm": radii,
        "horn_length_mm": radii[-1] + _near(draw, base.horn_length_mm - base.horn_radii_mm[-1]),
        "horn_screw_head_mm": min(values["horn_screw_head_mm"], values["horn_hub_mm"]),
    }


@st.composite
def boards(draw: st.DrawFn) -> Board:
    """A board of any thickness: sheet that holds a screw throughout, from below only, or not at all."""
    thickness_mm = draw(st.floats(3, 60).map(lambda size: round(size, 2)))
    part = draw(st.sampled_from([1.0, 0.5, 0.0]))
    return Board(
        name="drawn",
        title="a drawn board",
        source=SOURCE,
        thickness_mm=thickness_mm,
        over_mm=draw(st.sampled_from([0.0, 0.3, 0.8])),
        under_mm=draw(st.sampled_from([0.0, 0.3, 1.1])),
        screw_depth_mm=thickness_mm * part,
        withdrawal_n_per_mm2=2.43 if part else 0.0,
    )


@st.composite
def specs(draw: st.DrawFn, style: str, **fixed: object) -> MountSpec:
    """A valid mount of a style: every scale, servo, board and choice a request could resolve to.

    Args:
        draw: given by hypothesis.
        style: its name, not checked here.
        **fixed: fields of ``MountSpec`` to hold, such as ``servo=…`` or ``mirror=False``.
    """
    scale: Scale = draw(st.sampled_from(built_in("scale")))
    roadbed_mm = draw(st.one_of(st.just(scale.roadbed_mm), st.floats(0, 10).map(lambda size: round(size, 1))))
    wire: Wire = draw(st.sampled_from(built_in("wire")))
    fixing: Fixing = draw(st.sampled_from(built_in("fixing")))
    printer: Printer = draw(st.sampled_from(built_in("printer")))
    filament: Filament = draw(st.sampled_from(built_in("filament")))
    throws = st.floats(scale.smallest_throw_mm, scale.largest_throw_mm)
    values: dict[str, Any] = {
        "id": draw(st.from_regex(r"[a-z][a-z0-9-]{0,10}[a-z0-9]", fullmatch=True)),
        "style": style,
        "mirror": draw(st.booleans()),
        "servo": draw(st.one_of(st.sampled_from(built_in("servo")), servos())),
        "board": draw(st.one_of(st.sampled_from(built_in("board")), boards())),
        "roadbed": Roadbed(name="drawn", title="a drawn roadbed", source=SOURCE, thickness_mm=roadbed_mm),
        "scale": scale,
        "printer": printer,
        "filament": filament,
        "wire": wire,
        "fixing": fixing,
        "throw_mm": draw(st.one_of(st.just(scale.throw_mm), throws)),
        "pin_height_mm": roadbed_mm + draw(st.floats(0, 2)) + scale.pin_above_roadbed_mm,
        "force_n": scale.force_n,
        "tie_bar_hole_mm": scale.tie_bar_hole_mm,
        "wire_held": draw(st.sampled_from(["turning", "clamped"])),
        "max_depth_mm": draw(st.floats(40, 120)),
    }
    values["sturdy"] = len(values["id"]) % 2 == 0
    return MountSpec.model_validate(values | fixed)


def _factors() -> st.SearchStrategy[float]:
    return st.floats(1 - SPREAD, 1 + SPREAD)


def _near(draw: st.DrawFn, value: float) -> float:
    return round(value * draw(_factors()), 3)


def _between(low: float, value: float, high: float) -> float:
    return min(max(value, low), high)
