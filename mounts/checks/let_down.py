"""A mount that is let down whole through its cut-out: does it go through, and does its flange carry?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from mounts import scene
from mounts.checks.clearance import SEARCH_MM
from mounts.checks.model import Check
from mounts.design import Design
from mounts.mesh import PartMesh
from mounts.scene_near import least_gap_mm
from mounts.styles import cure
from mounts.styles._fixings import stall_n

if TYPE_CHECKING:
    from manifold3d import Manifold

EDGE_AIR_MM = 0.5  # beside what goes through a hole sawn by hand; common practice, no source
STRIP_AIR_MM = 2.0  # with fingers round one end; common practice, no source
MOST_SAG_MM = 0.2  # of flange and post under the servo's stall; common practice, no source
_BELOW_TOP_MM = 1e-3  # the flange itself lies on the board


def check_let_down(design: Design, meshes: tuple[PartMesh, ...]) -> Iterator[Check]:
    """``way-down``: least air between the cut-out's edge and the shadow of all that hangs, arm and rod over their
    swing, cable and plug with it; ``strips-in``: what the cut-out has over the strips for its screws, where there are
    some; ``flange-gives``: how far what spans the cut-out bends under the servo's stall.

    A board is upright walls: what comes straight down through it touches nothing if its shadow on the board does not.

    Args:
        design: the mount.
        meshes: its parts as exported.
    """
    plan = design.plan
    if plan.drop_in is None or plan.board_cut_out is None:
        return
    yield Check.of(
        "way-down",
        _way_down_mm(design, plan.board_cut_out.outline, meshes),
        "at least",
        EDGE_AIR_MM,
        "mm",
        "least air between the cut-out and servo, arm, rod, cable and print on their straight way down and out",
        "what hangs does not pass the cut-out; make the cut-out larger",
    )
    if (backing := plan.drop_in.backing) and not backing.let_in:
        room = min(max(side) - min(side) for side in zip(*plan.board_cut_out.outline, strict=True))
        wide = min(backing.sizes_mm())
        yield Check.of(
            "strips-in",
            room - wide,
            "at least",
            STRIP_AIR_MM,
            "mm",
            f"the {wide:.0f} mm strips go through the cut-out on end, with so much to spare",
            "the strips for its screws do not go through the cut-out; use a thinner --screw",
        )
    pull = stall_n(design.spec, design.drive.horn_radius_mm)
    yield Check.of(
        "flange-gives",
        pull / plan.drop_in.flange_n_per_mm,
        "at most",
        MOST_SAG_MM,
        "mm",
        f"bend of the {plan.drop_in.flange_mm:g} mm flange over the cut-out under the servo's stall, {pull:.0f} N",
        "the flange gives under the servo's stall; use "
        + cure(design.spec.style, "flange-gives", "a stiffer filament"),
    )


def _way_down_mm(design: Design, cut_out: Sequence[tuple[float, float]], meshes: tuple[PartMesh, ...]) -> float:
    """Least air between the edge of a cut-out and the shadows of what is below the board's top; of the wires only where
    they come nearer than all else does."""
    import shapely

    hole = shapely.Polygon(cut_out)
    shapely.prepare(hole)

    def air_mm(body: Manifold, most_mm: float = SEARCH_MM) -> float:
        shadow = [shapely.Polygon(contour) for contour in _below(body).project().to_polygons()]
        if not shapely.covers(hole, shadow).all():
            return 0.0
        return float(shapely.distance(hole.exterior, shadow).min(initial=most_mm))

    angles = [float(theta) for theta in scene.arm_angles_rad(design)]
    least = min(map(air_mm, (*_hanging(design, meshes), *(scene.arm_blade(design, theta) for theta in angles))))
    wires = zip(*(scene.wire_paths(design, theta) for theta in angles), strict=True)
    return least_gap_mm([path for wire in wires for path in wire], design.drive.wire_mm, air_mm, least)


def _hanging(design: Design, meshes: tuple[PartMesh, ...]) -> Iterator[Manifold]:
    """Mount, servo, its hub, cable and plug, mount frame."""
    yield scene.mount_body(meshes)
    yield scene.servo_body(design)
    yield scene.hub_body(design)
    yield scene.moved(scene.cable_stub(design.spec.servo), design.datums.servo)
    yield scene.plug_sweep(design)


def _below(body: Manifold) -> Manifold:
    return body.trim_by_plane((0.0, 0.0, -1.0), _BELOW_TOP_MM)
