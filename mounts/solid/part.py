"""A printed part: its solid and the pose it is printed in."""

from __future__ import annotations

from dataclasses import dataclass

import cadquery as cq

from mounts.frames import Matrix
from mounts.mesh import Role


@dataclass(frozen=True)
class Part:
    """One body to print.

    Attributes:
        name: "" for the main part, else what follows ``<id>-`` in the file name.
        solid: exactly one valid solid, mount frame, mm.
        print_to_mount: 4×4, print frame to mount frame.
        through_holes: the genus its mesh must have.
        role: what it is for; parts of one role are printed in one colour.
    """

    name: str
    solid: cq.Solid
    print_to_mount: Matrix
    through_holes: int
    role: Role = "frame"
