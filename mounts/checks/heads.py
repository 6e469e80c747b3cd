"""Does the print bear the heads of the screws that hold it?"""

from __future__ import annotations

import math

from mounts.checks.model import Check
from mounts.design import Design
from mounts.mesh import PartMesh
from mounts.styles import cure
from mounts.styles._fixings import HOLD_RATIO, bears_mpa, head_mpa_per_n


def check_head(design: Design, meshes: tuple[PartMesh, ...], pulled_n: float) -> Check | None:
    """``screw-head``: stress round the head of the screw that bears most at the servo's stall, twice over, MPa.

    The print is the weak part where a head pulls through before the thread gives: EN 1995-1-1, 8.7.2, from memory,
    asks for both. None where the filament tells no strength.

    Args:
        design: plan and fixing.
        meshes: the parts, for how their layers lie.
        pulled_n: what that screw bears at the stall.
    """
    spec = design.spec
    bears, layers = layers_bear(design, meshes, upright=False)
    if math.isinf(bears):
        return None
    screws = zip(design.plan.screws, design.datums.fixings, strict=True)
    plate = min(math.dist(screw.head, face) for screw, face in screws)
    pull = HOLD_RATIO * pulled_n
    return Check.of(
        "screw-head",
        head_mpa_per_n(spec.fixing, plate) * pull,
        "at most",
        bears,
        "MPa",
        f"stress {layers} round the head of a fixing screw that pulls {pull:.0f} N, twice its share of the stall",
        f"a fixing screw's head splits the plate when the servo stalls, {layers}; use "
        + cure(spec.style, "screw-head", "another --screw"),
    )


def layers_bear(design: Design, meshes: tuple[PartMesh, ...], *, upright: bool) -> tuple[float, str]:
    """What the plastic of the part that stays bears at the servo's stall, MPa, and which way of its layers, in words.

    Args:
        design: plan and plastic.
        meshes: the parts, for how their layers lie.
        upright: the stress goes up and down as the mount stands, else level.
    """
    frame = next(mesh for mesh in meshes if mesh.name not in design.plan.lift_off)
    across = (abs(frame.print_to_mount[2][2]) > 0.5) == upright
    layers = f"{'across' if across else 'along'} the layers of {design.spec.filament.name}"
    return bears_mpa(design.spec, across=across), layers
