"""One mount, resolved: nothing left to look up, everything in mm."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from mounts.inputs.board import Board, Roadbed
from mounts.inputs.fixing import Fixing
from mounts.inputs.model import Model
from mounts.inputs.moved import Moved, Position
from mounts.inputs.printer import Filament, Printer
from mounts.inputs.scale import Scale
from mounts.inputs.servo import Servo
from mounts.inputs.wire import Wire

WireHeld = Literal["turning", "clamped"]


STURDY_LINES = 2
"""More in every wall of a mount that was asked for sturdy: a line on each face. Common practice, no source."""


class MountSpec(Model):
    """A request with its profiles in place. Pinned choices are None where the solver is free."""

    id: str
    style: str
    mirror: bool
    sturdy: bool = False  # as every mount was before there was a choice
    servo: Servo
    board: Board
    roadbed: Roadbed
    scale: Scale
    printer: Printer
    filament: Filament
    wire: Wire
    fixing: Fixing
    fixing_stock: tuple[Fixing, ...] = Field(
        (), description="what fixes it where that was left free, the usual first; empty: fixing was asked for"
    )
    pad_mm: float = Field(0.0, description="plywood glued under the board, part of its thickness")
    frame_mm: float = Field(0.0, description="plywood frame let into foam from above, which the screws go into")
    bonded: bool = Field(False, description="the mount is glued to the board; its screws only hold it meanwhile")
    throw_mm: float
    pin_height_mm: float = Field(description="tie-bar pin above the top face of the board")
    ground_mm: float = Field(0.0, description="ground that a housing stands on, above the top face of the board")
    force_n: tuple[float, float]
    laid: bool = Field(False, description="the track is laid already")
    tie_bar_hole_mm: float = Field(description="hole in the tie bar that takes the wire")
    own_spring_n: float | None = Field(
        None,
        description="the turnout's own over-centre spring, left in and counted in force_n; 0: it has none; "
        "None: it is taken out",
    )
    travel_mm: float | None = Field(None, description="lift of a sliding wire, end to end")
    moved: Moved | None = Field(None, description="what a lift moves")
    crank_mm: float | None = Field(None, description="crank of what a lift moves; None: a sliding wire is moved")
    crank_pivot_mm: tuple[float | None, float] | None = Field(
        None, description="its spindle, across the track (None: free) and above the board"
    )
    crank_of_scale: bool = Field(
        False, description="nobody measured crank and spindle: a longer one, further up, may be taken"
    )
    positions: tuple[Position, ...] = Field((), description="places of a lift: degrees of its crank, or mm of lift")
    wire_held: WireHeld = Field("turning", description="how the arm's hole holds the wire")
    wire_mm: float | None = Field(None, description="pinned wire diameter")
    arm_hole_mm: float | None = Field(None, description="pinned arm hole, shaft to hole")
    depth_mm: float | None = Field(None, description="pinned pivot-to-horn-hole distance (rocking wire)")
    swing_deg: float | None = Field(None, description="pinned half swing")
    overtravel_mm: float | None = Field(None, description="pinned over-travel a side, slack not counted")
    max_depth_mm: float = Field(description="what may hang below the board, or sink into it")
    track_distance_mm: float | None = Field(None, description="track centre line to the nearest point of a housing")
    track_radius_mm: float | None = None
    other_tracks_mm: tuple[float, ...] = Field(
        (), description="centre lines of tracks beside its own, from its own; + on the housing's side"
    )
    options: dict[str, bool | int | float | str] = Field(
        default_factory=dict, description="the style's own parameters, from --set"
    )

    @property
    def sturdier_mm(self) -> float:
        """How much thicker webs, ribs and walls are than their loads ask, mm: whole lines, so no gap is filled."""
        return STURDY_LINES * self.printer.pitch_mm if self.sturdy else 0.0

    @property
    def rail_top_z(self) -> float:
        """Rail top above the board, mm."""
        return self.roadbed.thickness_mm + self.scale.rail_top_above_roadbed_mm

    def from_ground(self) -> MountSpec:
        """The mount as seen by who stands on the ground: heights from there, a board with a soft layer more on it.

        What is on the board holds no screw, so the part that does stays as thick. Where the ground is higher than
        the roadbed the roadbed's thickness is negative, the depth of the track below the ground.
        """
        up = self.ground_mm
        return self.model_copy(
            update={
                "ground_mm": 0.0,
                "pin_height_mm": self.pin_height_mm - up,
                "board": self.board.model_copy(update={"thickness_mm": self.board.thickness_mm + up}),
                "roadbed": self.roadbed.model_copy(update={"thickness_mm": self.roadbed.thickness_mm - up}),
            }
        )
