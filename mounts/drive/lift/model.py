"""What a style leaves to a lift, and one that was chosen. Lengths mm, angles degrees in fields; mount frame."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from mounts.drive.model import Drive, Limits
from mounts.inputs.model import Model


class LiftLimits(Limits):
    """What a mount leaves to the solver of a lift. The arm points to +y at mid, the rod stands on x = y = 0."""

    kind: Literal["lift"] = "lift"
    guide_z: tuple[float, float] = Field(description="lower and upper end of the bore that guides the rod")
    shaft_below_guide_mm: float = Field(description="least, for the servo and its seat")
    below_shaft_mm: float = Field(description="how far the mount reaches below the shaft")
    max_depth_mm: float = Field(description="allowed below the board's underside, or below where the guide begins")
    depth_over_guide_mm: float = Field(0.0, description="what of it is above the guide's lower end")
    arm_air_mm: float = Field(description="between the arm's tip at its highest and the guide's lower end")
    max_board_hole_mm: float | None = Field(description="widest hole for the rod; null: it passes a cut-out")
    max_guide_mm: float = Field(description="widest bore across the track")
    max_bend_out_mm: float = Field(description="room for the spring bend, from the rod's axis along the shaft")
    mids_deg: tuple[float, ...] = Field((0.0,), description="arm's angles above level at the centre pulse, to be tried")
    room_beyond_mm: float | None = Field(
        None, description="from the rod, the way the arm points: arm, tail, bore and seat keep to it; null: to nothing"
    )
    seat_beyond_shaft_mm: float = Field(0.0, description="how far the servo's seat reaches that way, from the shaft")
    between_rods_mm: float | None = Field(
        None, description="board left between the holes of two rods, one at each end of the arm; null: there is one rod"
    )
    beside_bore_mm: float = Field(0.0, description="of the mount that way, from the side of the rod's bore")
    ccw_lifts: bool = Field(
        description="an arm that turns counter-clockwise, looking at the shaft's end, lifts the rod"
    )


class Place(Model):
    """A position that is held."""

    name: str
    arm_deg: float = Field(description="servo's arm above level")
    lift_mm: float = Field(description="of the rod's upper end, from its lowest")
    angle_deg: float | None = Field(description="of the crank above level; null where a sliding wire is moved")
    asked_deg: float | None = Field(description="what was asked of it")
    asked_mm: float | None = Field(description="lift that was asked for; null where a crank is moved")
    pulse_us: float


class SecondRod(Model):
    """A rod at the arm's other end, bent as the first is but for its tail, which lies to the other side."""

    y_mm: float = Field(description="where it stands across the track, from the first")
    rod_length_mm: float = Field(description="as the first's")
    crank_pivot: tuple[float, float] | None = Field(
        description="y and z of its crank's spindle, mount frame; the crank is like the first's and points its way"
    )
    positions: tuple[Place, ...] = Field(
        description="at the first's pulses; arm_deg is that of its own end of the arm, lifts are from its own lowest"
    )
    stop_force_n: float = Field(description="as the first's, with what it is off where the first is set")
    transmission_deg: float | None
    lean_deg: float


class LiftDrive(Drive):
    """A lift, chosen. Keys of report/1.

    ``pulse_us`` has the first position as normal and the last as reverse. The rate is that of the spring bend, the
    stress that of its crown with the stop pressed.
    """

    kind: Literal["lift"] = "lift"
    rod_length_mm: float = Field(description="arm hole to the crank's hole; to where the guide begins, of a slid wire")
    shaft: tuple[float, float] = Field(description="y and z, mount frame")
    crank_mm: float | None
    crank_pivot: tuple[float, float] | None = Field(description="y and z of its spindle, mount frame")
    crank_towards: Literal[-1, 1] | None = Field(description="way the crank points across the track, from its spindle")
    mid_deg: float = Field(description="arm's angle above level at the centre pulse")
    positions: tuple[Place, ...]
    curve: tuple[tuple[float, float], ...] = Field(
        description="pulse, µs, and the crank's angle above level, or the lift in mm, from end to end"
    )
    stop_force_n: float = Field(description="most that the linkage puts into the moved part's stop, its ends found")
    overrun_mm: float = Field(description="how far the rod may go past the stop then")
    fault_force_n: float = Field(description="what reaches the rod when a wrong pulse sends the servo to its own end")
    weight_n: float = Field(description="what is moved weighs on the rod")
    loop_leg_mm: float = Field(description="rod's centre line to where the crown's arc begins")
    loop_radius_mm: float = Field(description="of the crown, to the wire's centre")
    loop_at_mm: float = Field(description="arm hole to the middle of the spring bend")
    foot_radius_mm: float = Field(description="of all other bends, to the wire's centre")
    transmission_deg: float | None = Field(description="least angle between rod and crank; null without one")
    arm_transmission_deg: float = Field(description="least angle between rod and arm")
    backlash_deg: float | None = Field(description="play of all holes as the crank's angle, where it is most")
    lean_deg: float = Field(description="steepest lean of the rod across the track")
    guide_mm: float = Field(description="width of the bore across the track, as it must come out")
    board_hole_mm: float | None = Field(description="drilled for the rod; null where it passes a cut-out")
    crank_hole_mm: float = Field(description="what the crank's hole must measure; of a slid wire, its coupling")
    guide_apart_mm: float = Field(description="farthest from one guide of the rod above the board to the next")
    buckling_at_stall: float = Field(description="load that buckles the rod below its guide, over fault_force_n")
    buckling_at_stop: float = Field(description="the same over stop_force_n and the weight")
    seconds: float = Field(description="from one end to the other, for the controller")
    second: SecondRod | None = Field(None, description="a rod at the arm's other end; null: there is none")
    deadband_deg: float | None = Field(description="dead band of the servo as the crank's angle, where it is most")
