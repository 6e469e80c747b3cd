"""A mount as numbers: what was asked, the drive chosen, where everything stands. No geometry yet."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, SerializeAsAny

from mounts.drive.model import Drive
from mounts.frames import Matrix, Vector
from mounts.gauge import Group, Side
from mounts.inputs.model import Model
from mounts.inputs.spec import MountSpec
from mounts.units import number

Span = tuple[float, float]
"""From and to, mm."""


class Screw(Model):
    """One fixing screw: its head's top in the mount, driven along ``direction``. Mount frame, mm."""

    head: Vector
    direction: Vector = Field(description="unit vector from the head to the point")
    length_mm: float


class IndexMark(Model):
    """Notches in the edge of a bracket's plate, to be seen while it is held against the board. Mount frame, mm."""

    axis: Literal["track", "tie-bar"] = Field(description="line through the pivot that the middle notch lies on")
    at: Vector = Field(description="where that notch meets the board, on the plate's edge")
    notches: int = Field(ge=1, description="side by side: one, or three on the side of 'reverse'")


class Datums(Model):
    """Where the mount puts things, mount frame, mm."""

    pin: Vector
    pivot: Vector | None
    servo: Matrix = Field(description="servo frame to mount frame")
    fixings: tuple[Vector, ...] = Field(description="where each fixing screw meets the mount's board face")
    horn_at_mid: Vector = Field(description="unit vector from the shaft to the arm hole at mid swing")


class Stature(Model):
    """How high such a thing stands in reality, m, at its highest point."""

    low_m: float = Field(description="usual, from")
    high_m: float = Field(description="usual, to")
    most_m: float = Field(description="what still looks like one of its kind beside a track; higher is a tower")

    def off(self, real_m: float) -> float:
        """How far outside what is usual, as a ratio less one; 0 inside."""
        return max(self.low_m / real_m, real_m / self.high_m, 1.0) - 1.0


class CutOut(Model):
    """What is cut from the board under a mount, mount frame, mm."""

    outline: tuple[tuple[float, float], ...] = Field(description="corners in order, x along the track, y across it")
    depth_mm: float = Field(description="from the top of the ground it stands on")
    through: bool = Field(description="it leaves no floor")

    def told(self) -> str:
        """How large and how deep: ``5 mm along the track and 19.2 mm across it, 4.5 mm deep``."""
        along, across = (number(max(side) - min(side), 1) for side in zip(*self.outline, strict=True))
        return f"{along} mm along the track and {across} mm across it, {self.depth_told()}"

    def depth_told(self) -> str:
        """How deep, in words."""
        return "through the board" if self.through else f"{number(self.depth_mm, 1)} mm deep"


class CableHole(Model):
    """What is drilled under a mount for its cable, straight through, mount frame, mm."""

    at: tuple[float, float]
    drill_mm: float


class Scenery(Model):
    """What a mount on the board shows."""

    stature: Stature = Field(description="how high such a thing is in reality")
    top_mm: float = Field(description="its highest point above the ground")
    lower: tuple[str, ...] = Field((), description="what would make it lower, in words and options of its style")
    left_out: tuple[str, ...] = Field((), description="relief that can't be printed in this scale, and why")


class LetDown(Model):
    """How the servo lies in a mount on the board."""

    pose: Literal["hang", "side"] = Field(description="hang: shaft down; side: shaft along the track")
    sunk_mm: float = Field(ge=0, description="how far it is let down from its highest place")
    least_mm: float = Field(description="how far it must be")
    most_mm: float = Field(description="how far it may be")


class Beside(Model):
    """What a mount that stands on the board tells of itself and its track. Mount frame, mm, mirrored where it is.

    It stands on the +y side. What of it is fixed to the board is its frame; the plan's ``lift_off`` stands over that.
    """

    track_y: float = Field(lt=0, description="centre line of the track it serves: −(reach of its tie bar)")
    sleeper_end_y: float = Field(description="where the sleepers of the track end")
    roadbed_edge_y: float = Field(description="where its roadbed, or the slope from the track to the ground, ends")
    vehicles: Group = Field("auto", description="NEM 103 group of the stock on a curve")
    curve: Side = Field("either", description="side of the curve it stands on")
    track_distance_mm: float = Field(description="centre line of the track to the nearest point of the mount")
    frame_x: Span = Field(description="ends of its frame along the track")
    frame_y: Span = Field(description="edges of its frame across the track, the one at the track first")
    let_down: LetDown | None = Field(None, description="how the servo lies; None: in the one way there is")
    scenery: Scenery | None = Field(None, description="what it shows; None: it is no scenery")


class Backing(Model):
    """Plywood for the screws of a mount that is let down, where its board holds none. Mount frame, mm."""

    let_in: bool = Field(description="one frame round the cut-out, in the foam's top; false: strips under the board")
    thick_mm: float
    pieces: tuple[tuple[tuple[float, float], ...], ...] = Field(description="corners in order of each, as outlines")

    def sizes_mm(self) -> tuple[float, float]:
        """Of one piece along the track and across it."""
        along, across = (max(side) - min(side) for side in zip(*self.pieces[0], strict=True))
        return along, across

    def area_mm2(self, hole: CutOut) -> float:
        """Of its glued face: strips as they are, a frame without its opening, which is the cut-out."""
        along, across = self.sizes_mm()
        open_x, open_y = (max(side) - min(side) for side in zip(*hole.outline, strict=True))
        return len(self.pieces) * along * across - (open_x * open_y if self.let_in else 0.0)


class DropIn(Model):
    """What a mount that is fitted at the bench and let down whole through its cut-out tells of itself."""

    flange_mm: float = Field(description="what rests on the board is so thick")
    post: Literal["round", "square"] = Field(description="foot of the post that the flange seats")
    post_mm: float = Field(description="its diameter or side")
    rod_in_post: bool = Field(description="the rod goes up inside it, otherwise beside it")
    flange_n_per_mm: float = Field(gt=0, description="stiffness of what spans the cut-out, loaded at the rod")
    backing: Backing | None = Field(None, description="what its screws go into; None: the board itself")


class Plan(Model):
    """The style's own dimensions, worked out by ``place`` and drawn by ``build``; each style extends it."""

    screws: tuple[Screw, ...]
    way_out: Vector = Field(description="unit vector along which the servo leaves its seat in a straight line")
    plug_path: tuple[Vector, ...] = Field(description="line that the plug's middle follows out of the mount")
    plug_wide: Vector = Field(description="unit vector along the long side of the plug's face on that way")
    lift_off: tuple[str, ...] = Field((), description="parts that are off while servo and screws go in")
    wire_tail_mm: float = Field(description="tail of the Z-bend behind the arm")
    pin_leg_mm: float = Field(2.0, description="wire standing above the pin's height, in the tie bar")
    loop_towards: Vector | None = Field(None, description="unit vector, the way a push rod's loop stands out of it")
    arm_length_mm: float | None = Field(None, description="shaft to where the arm is cut off; None: left as it is")
    arm_in_deg: float | None = Field(
        None, description="arm angle at which the servo goes in with its arm on; None: the arm goes on afterwards"
    )
    ears_rest_on: Literal["underside", "upper"] = Field(
        "underside", description="face of the ears that lies on the seat; upper is the shaft's side"
    )
    index_marks: tuple[IndexMark, ...] = ()
    pad_xy: tuple[tuple[float, float], ...] = Field(
        (), description="corners in order of the plywood pad glued under the board; empty: there is none"
    )
    servo_screw_length_mm: float | None = Field(
        None, description="servo screws to use, under the head; None: the servo's own"
    )
    pilot_drill_mm: float | None = Field(
        None, description="drill for the servo screws' holes once printed; None: they are clean as printed"
    )
    pilots_marked: bool = Field(False, description="those holes are only marked in the print")
    load_wall_mm: float = Field(0.0, description="thinner walls are too weak for what they carry; 0: not asked")
    seat_n_per_mm: float = Field(gt=0, description="stiffness of the servo's seat across the track")
    seat_mpa_per_n: float | None = Field(
        None, description="most stress in what carries the servo for each newton at the arm's hole; None: not told"
    )
    name_mark: str = Field(description="what is written on the mount")
    board_cut_out: CutOut | None = Field(None, description="what is cut from the board for it; None: nothing is")
    cable_hole: CableHole | None = Field(
        None, description="drilled through ground and board for cable and plug; None: they need none"
    )
    drop_in: DropIn | None = Field(None, description="of a mount let down through its cut-out; None: it is not")
    beside: Beside | None = Field(None, description="of a mount on the board; None: it hangs under it")
    partner_mm: float | None = Field(
        None,
        description="rod to that of its mirror image, which stands against it past its arm's tip; None: there is none",
    )


class Design(Model):
    """Everything that determines the solid."""

    spec: MountSpec
    drive: Drive
    datums: Datums
    plan: SerializeAsAny[Plan]

    def beside_track(self) -> Beside:
        """What a mount beside its track tells of itself.

        Raises:
            TypeError: it tells nothing.
        """
        if self.plan.beside is None:
            raise TypeError("a mount beside its track is asked for")
        return self.plan.beside

    @property
    def on_board(self) -> bool:
        """Whether the mount stands on the board, not under it."""
        return self.datums.fixings[0][2] >= 0.0

    @property
    def servo_screw_length_mm(self) -> float:
        """The servo screws to use, under the head."""
        return self.plan.servo_screw_length_mm or self.spec.servo.screw_length_mm
