"""What a style allows (limits) and what was chosen (drives). Lengths mm, angles degrees in fields."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from mounts.inputs.model import Model


class PulseWidths(Model):
    """Controller settings, µs."""

    normal: float
    centre: float
    reverse: float


class RockingWireLimits(Model):
    """What the mount's shape leaves to the solver of a rocking wire."""

    kind: Literal["rocking-wire"] = "rocking-wire"
    pivot_to_pin_mm: float = Field(gt=0, description="h: fixed by board, roadbed and where the pivot sits")
    pad_mm: float = Field(0.0, description="glued under the board, counts as depth")
    pivot_drop_mm: float = Field(gt=0, description="underside of the board down to the pivot")
    below_shaft_mm: float = Field(gt=0, description="shaft axis to the lowest point of mount or servo")
    min_pivot_to_shaft_mm: float = Field(description="least d + s·r: room for case, ears and their screws")
    min_arm_tip_to_pivot_mm: float = Field(description="least pivot-to-arm-tip distance, any swing")
    max_depth_mm: float = Field(description="allowed below the board's underside")
    max_board_hole_mm: float = Field(description="largest hole to drill for the wire")
    board_hole_clearance_mm: float = Field(description="kept a side between wire and hole")
    pivot_slack_mm: float = Field(description="D − w of the pivot as printed")
    min_pivot_land_mm: float = Field(description="shortest land that prints")
    max_pivot_tilt_deg: float = Field(description="steepest lean the flared bore can be made for")
    wire_tail_mm: float = Field(description="Z-bend's tail beyond the arm hole, towards the hub")


class RockingWireDrive(Model):
    """A rocking wire, chosen. Keys are those of report/1."""

    kind: Literal["rocking-wire"] = "rocking-wire"
    horn_radius_mm: float
    pivot_to_horn_mm: float = Field(description="d, at mid swing")
    pivot_to_pin_mm: float = Field(description="h")
    horn_towards_pivot: bool
    wire_mm: float
    wire_held: Literal["turning", "clamped"]
    wire_tensile_mpa: float
    wire_modulus_mpa: float
    arm_hole_drill_mm: float = Field(description="what the arm's hole must measure, opened if need be")
    swing_deg: float = Field(description="half swing, mid to end")
    travel_mm: float = Field(description="pin travel end to end, wire free, no slack: 2·y(swing)")
    overtravel_mm: float = Field(description="per side, no slack: (travel − throw)/2")
    lost_motion_mm: float = Field(description="off the whole travel: slack of pivot, arm and tie-bar hole")
    rate_n_per_mm: float
    force_n: float = Field(description="at the blades, points closed, no slack: rate × over-travel")
    force_after_slack_n: float = Field(description="what is left of it once the lost motion is taken up")
    stress_mpa: float = Field(description="largest bending stress anywhere in the wire")
    stress_pivot_mpa: float
    stress_horn_mpa: float
    servo_torque_nmm: float
    torque_margin: float = Field(description="stall torque over torque asked")
    pulse_us: PulseWidths
    pin_mm_per_us: float = Field(description="at mid swing")
    deadband_mm: float = Field(description="dead band of the servo, at the pin")
    tilt_deg: float = Field(description="steepest lean of the wire at the pivot, over-travel included")
    pivot_bore_mm: float = Field(description="D, as printed: wire plus slack")
    pivot_land_mm: float
    board_hole_mm: float = Field(description="drill for the wire's hole in board and roadbed")
    explanation: str = Field(description="why this one won, two or three sentences")


class PushRodLimits(Model):
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
    wire_tail_mm: float = Field(gt=0, description="Z-bend's tail beyond the arm hole, towards the hub")
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


class PushRodDrive(Model):
    """A push rod with its spring loop, chosen. Keys are those of report/1.

    y(θ) = r·sin θ + sqrt(ℓ² − (r·cos θ − e)²) − y(0) is the pin's way away from the shaft; y(+swing) −
    y(−swing) is the travel. Its two halves differ by a hair: ``shaft_to_pin_mm`` puts mid throw in between.
    """

    kind: Literal["push-rod"] = "push-rod"
    horn_radius_mm: float
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
    wire_mm: float
    wire_tensile_mpa: float
    wire_modulus_mpa: float
    arm_hole_drill_mm: float = Field(description="what the arm's hole must measure, opened if need be")
    swing_deg: float = Field(description="half swing, mid to end")
    travel_mm: float = Field(description="pin travel end to end, loop unloaded, no slack")
    overtravel_mm: float = Field(description="per side, no slack: (travel − throw)/2")
    lost_motion_mm: float = Field(description="off the whole travel: slack of arm and tie-bar hole")
    rate_n_per_mm: float = Field(description="of the loop where it begins; pushed it grows softer, pulled stiffer")
    force_n: float = Field(description="at the blades, points closed, no slack: the stronger end, where the rod pulls")
    force_after_slack_n: float = Field(description="at the weaker end, where the rod pushes, the lost motion taken up")
    loop_gap_closed_mm: float = Field(description="left between the loop's legs where the rod pushes, no slack")
    loop_step_mm: tuple[float, float] = Field(
        description="how far the loop steps sideways, towards its crown, where the rod pulls (negative) and pushes"
    )
    stress_mpa: float = Field(description="largest bending stress at the crown, straight-beam theory")
    servo_torque_nmm: float
    torque_margin: float = Field(description="stall torque over torque asked")
    pulse_us: PulseWidths
    pin_mm_per_us: float = Field(description="at mid swing")
    deadband_mm: float = Field(description="dead band of the servo, at the pin")
    buckling_margin: float = Field(description="load that folds up rod and loop, over the load where it pushes")
    lean_deg: float = Field(description="steepest lean of the rod against the slide line")
    cut_length_mm: float = Field(description="straight wire to cut")
    bends: tuple[Bend, ...] = Field(description="in order from the arm's end")
    rod_path_mm: tuple[tuple[float, float], ...] = Field(
        description="centre line at rest in its own plane, arm hole to pin, x along the rod, y towards the crown"
    )
    explanation: str = Field(description="why this one won, two or three sentences")


Limits = Annotated[RockingWireLimits | PushRodLimits, Field(discriminator="kind")]
Drive = Annotated[RockingWireDrive | PushRodDrive, Field(discriminator="kind")]
