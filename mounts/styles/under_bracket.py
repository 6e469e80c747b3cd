"""Plate screwed under the board, with the wire's pivot in it and the servo's ears against one wall.

The servo's shaft lies along the track; its long side lies across the track or points down, whichever makes
the mount smaller (``_bracket_across`` and ``_bracket_down`` draw them).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from mounts.design import Datums, Design
from mounts.drive.model import Drive
from mounts.drive.rocking_wire.model import RockingWireLimits
from mounts.inputs.spec import MountSpec
from mounts.styles import Style, _bracket, _bracket_across, _bracket_down, _mounting
from mounts.styles._bracket import BracketPlan, Options
from mounts.styles._bracket_across import AcrossPlan
from mounts.styles._bracket_down import DownPlan

if TYPE_CHECKING:
    from mounts.solid.part import Part

# common practice, no source:
USUAL_SHAFT_DEPTH_MM = 30.0  # pivot to shaft of a middling drive; only compares the two ways to lie


def _lies_down(spec: MountSpec, options: Options) -> bool:
    """Whether the long side points down: asked for, or fits the depth and has the smaller y × z outline."""
    if options.lie != "auto":
        return options.lie == "down"
    across = _bracket_across.limits(spec, options)
    down = _bracket_down.limits(spec, options)
    shaft = max(USUAL_SHAFT_DEPTH_MM, down.min_pivot_to_shaft_mm) + down.pivot_drop_mm
    if spec.pad_mm + shaft + down.below_shaft_mm > spec.max_depth_mm:
        return False
    half_plate = _bracket.front_y_mm(spec) + _mounting.head_margin_mm(spec)
    wide = max(spec.servo.flange_span_mm + 2 * _mounting.EAR_MARGIN_MM, 2 * half_plate)
    narrow = half_plate + max(spec.servo.case_width_mm / 2 + _bracket_down.USUAL_POST_MM, half_plate)
    return narrow * (shaft + down.below_shaft_mm) < wide * (shaft + across.below_shaft_mm)


def limits(spec: MountSpec, options: Options) -> RockingWireLimits:
    """What the mount's shape leaves to the wire."""
    if _lies_down(spec, options):
        return _bracket_down.limits(spec, options)
    return _bracket_across.limits(spec, options)


def fixed(spec: MountSpec, options: Options) -> MountSpec:
    """The request with the screws, and the pad for them, that suit its board."""
    return _bracket.fixed(spec, options, lambda tried: 3 if _lies_down(tried, options) else 4)


def place(spec: MountSpec, drive: Drive, options: Options) -> tuple[Datums, BracketPlan]:
    """Where everything of the bracket stands.

    Raises:
        NoDesign: no stock screw suits the board.
    """
    if _lies_down(spec, options):
        return _bracket_down.place(spec, drive, options)
    return _bracket_across.place(spec, drive, options)


def build(design: Design, options: Options) -> tuple[Part, ...]:
    """The bracket, one body, mount frame."""
    if isinstance(design.plan, DownPlan):
        return (_bracket_down.build(design, design.plan),)
    if isinstance(design.plan, AcrossPlan):
        return (_bracket_across.build(design, design.plan),)
    raise TypeError("a bracket is built from a bracket's plan")


STYLE = Style(
    drive="rocking-wire",
    options=Options,
    limits=limits,
    place=place,
    fixed=fixed,
    build=build,
    cures=_bracket.CURES,
    examples=({}, {"lie": "down"}, {"plate_mm": 6.0}, {"lie": "across", "wall_mm": 7.0, "rib_mm": 3.0}),
)
