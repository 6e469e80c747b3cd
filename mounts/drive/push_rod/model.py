"""What a style leaves to a push rod, and one that was chosen. Lengths mm, angles degrees in fields."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from mounts.drive.model import Limits, PointsDrive
from mounts.inputs.model import Model


class PushRodLimits(Limits):
    """What a housing leaves to the solver of a push rod."""

    kind: Literal["push-rod"] = "push-rod"
    rod_length_mm: tuple[float, float] = Field(
        description="arm hole to pin in a straight line, shortest and longest; equal ends fix it"
    )
    let_down_mm: float = Field(
        0.0, description="arm hole at mid beyond the slide line, in the plane the arm turns in: e = r − that"
    )
    arm_hole_mm: tuple[float, float] | None = Field(
        None, description="shaft to arm hole, nearest and farthest that the housing has room for; None: any"
    )
    arm_hole_ways: tuple[str, str] = Field(
        ("a higher pin", "an arm with holes nearer the shaft"),
        description="what lets the style take a nearer arm hole, and a farther one, in options of its own",
    )
    before_loop_mm: float = Field(ge=0, description="straight rod from the arm hole to the loop's near foot")
    arm_sweep_mm: tuple[float, float] | None = Field(
        None,
        description="a, b: the shell stands a·sin θ + b from the shaft, or before_loop_mm where that is more, and the "
        "loop's near foot, which goes with the arm hole, stays outside it; None: before_loop_mm as it is",
    )
    after_loop_mm: float = Field(ge=0, description="straight rod from the loop's far foot to the pin")
    max_loop_width_mm: float = Field(gt=0, description="along the rod, rounded feet included")
    max_loop_height_mm: float = Field(gt=0, description="rod's centre line to the outside of the crown")
    max_lean_deg: float = Field(gt=0, description="steepest lean of the rod against the slide line")
    pin_leg_mm: float = Field(gt=0, description="rod's centre line to the end of the leg that the tie bar takes")
    ccw_moves_pin_to_reverse: bool = Field(
        description="an arm that turns counter-clockwise, looking at the shaft's end, moves the pin to +y"
    )


class Bend(Model):
    """One bend of a wire, where it is marked before bending."""

    what: str = Field(description="what it makes")
    at_mm: float = Field(description="where the bend begins, along the straight wire from the arm's end")
    angle_deg: float
    inside_radius_mm: float


class PushRodDrive(PointsDrive):
    """A push rod with its spring loop, chosen. Keys are those of report/1.

    y(θ) = r·sin θ + sqrt(ℓ² − (r·cos θ − e)²) − y(0) is the pin's way away from the shaft; y(+swing) −
    y(−swing) is the travel. Its two halves differ by a hair: ``shaft_to_pin_mm`` puts mid throw in between.

    The rate is that of the loop where it begins; pushed it grows softer, pulled stiffer: the stronger end is the one
    where the rod pulls. The stress is that of the loop's crown.
    """

    kind: Literal["push-rod"] = "push-rod"
    rod_length_mm: float = Field(description="ℓ: arm hole to pin, straight")
    offset_mm: float = Field(description="e: slide line from the shaft, towards the arm at mid")
    shaft_to_pin_mm: float = Field(description="along the slide line, pin at mid throw")
    loop_feet_mm: float = Field(description="corner to corner of the loop's feet, wire's centres")
    loop_leg_mm: float = Field(description="corner of a foot to where the crown's arc begins")
    loop_slant_deg: float = Field(description="of the legs against each other's middle; 0: parallel")
    loop_radius_mm: float = Field(description="of the crown, to the wire's centre")
    foot_radius_mm: float = Field(description="of the loop's feet, to the wire's centre")
    loop_width_mm: float = Field(description="along the rod, rounded feet and the crown's outside included")
    loop_height_mm: float = Field(description="rod's centre line to the outside of the crown")
    loop_at_mm: float = Field(description="arm hole to the middle of the loop")
    loop_gap_closed_mm: float = Field(description="left between the loop's legs where the rod pushes, no slack")
    loop_step_mm: tuple[float, float] = Field(
        description="how far the loop steps sideways, towards its crown, where the rod pulls (negative) and pushes"
    )
    buckling_margin: float = Field(description="load that folds up rod and loop, over the load where it pushes")
    lean_deg: float = Field(description="steepest lean of the rod against the slide line")
    cut_length_mm: float = Field(description="straight wire to cut")
    bends: tuple[Bend, ...] = Field(description="in order from the arm's end")
    rod_path_mm: tuple[tuple[float, float], ...] = Field(
        description="centre line at rest in its own plane, arm hole to pin, x along the rod, y towards the crown"
    )
