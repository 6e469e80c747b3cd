"""The mesh of a part as it is exported: the thing that is printed, and so the thing that is checked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from mounts.frames import Matrix

Role = Literal["frame", "scenery"]
"""What a part is for: it carries the servo, as every bracket does, or it is what is seen of the mount, a shell or a
roof, and has another colour."""


@dataclass(frozen=True)
class PartMesh:
    """Triangles of one part, read back from its STL bytes.

    Attributes:
        name: "" for the main part, else what follows ``<id>-``.
        vertices_mm: (n, 3), print frame, merged (no vertex twice), the float32 values of the STL.
        faces: (m, 3) indices, outward by the right-hand rule.
        print_to_mount: 4×4, print frame to mount frame.
        solid_volume_mm3: the kernel's exact volume of the solid the mesh came from.
        size_mm: exact bounding box of the solid in the print frame, x, y, z.
        through_holes: expected genus.
        role: what the part is for.
    """

    name: str
    vertices_mm: NDArray[np.float64]
    faces: NDArray[np.int64]
    print_to_mount: Matrix
    solid_volume_mm3: float
    size_mm: tuple[float, float, float]
    through_holes: int
    role: Role = "frame"
