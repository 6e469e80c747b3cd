"""What the report says of a mount on the board beyond its drive: pose, sinking, cut-out, distance, relief."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import Field

from mounts.design import CableHole, CutOut, Design
from mounts.frames import apply
from mounts.inputs.model import Model
from mounts.mesh import PartMesh


class Housing(Model):
    """How the servo lies in a mount on the board and how that stands beside the track. Lengths mm."""

    pose: str | None = Field(description="hang: shaft down; side: shaft along the track; null: in the one way there is")
    height_mm: float = Field(description="highest point above the board")
    track_distance_mm: float = Field(description="centre line of the track to the nearest point of the housing")
    sunk_mm: float = Field(description="how far the servo is let down from its highest place")
    sunk_least_mm: float = Field(description="how far it must be, for the height the scene allows")
    sunk_most_mm: float = Field(description="how far it may be, for the rod")
    cut_out: CutOut | None = Field(description="what is cut from the board; null where nothing is")
    cable_hole: CableHole | None = Field(
        None, description="drilled through ground and board for cable and plug; null: they go out at the far side"
    )
    arm_length_mm: float | None = Field(description="shaft to where the arm is cut off; null: left as it is")
    arm_in_deg: float | None = Field(
        description="arm angle from mid at which the servo goes in; null: the arm goes on afterwards"
    )
    left_out: tuple[str, ...] = Field(description="relief that can't be printed in this scale, and why")


def housing(design: Design, meshes: Sequence[PartMesh]) -> Housing | None:
    """That part of the report; None for a mount under the board."""
    plan, beside = design.plan, design.plan.beside
    if beside is None:
        return None
    down = beside.let_down
    points = [apply(mesh.print_to_mount, mesh.vertices_mm) for mesh in meshes]
    return Housing(
        pose=down.pose if down else None,
        height_mm=max(float(corners[:, 2].max()) for corners in points),
        track_distance_mm=min(float(corners[:, 1].min()) for corners in points) - beside.track_y,
        sunk_mm=down.sunk_mm if down else 0.0,
        sunk_least_mm=down.least_mm if down else 0.0,
        sunk_most_mm=down.most_mm if down else 0.0,
        cut_out=plan.board_cut_out,
        cable_hole=plan.cable_hole,
        arm_length_mm=plan.arm_length_mm,
        arm_in_deg=plan.arm_in_deg,
        left_out=beside.scenery.left_out if beside.scenery else (),
    )
