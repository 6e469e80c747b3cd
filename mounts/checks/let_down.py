"""A mount that is let down whole through its cut-out: does it go through, and does its flange carry?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from mounts import scene
from mounts.checks.clearance import SEARCH_MM
from mounts.checks.model import Check
from mounts.design import Design
from mounts.mesh import PartMesh
from mounts.styles import cure
from mounts.styles._fixings import stall_n

if TYPE_CHECKING:
    from manifold3d import Manifold

EDGE_AIR_MM = 0.5  # beside what goes through a hole sawn by hand; common practice, no source
STRIP_AIR_MM = 2.0  # with fingers round one end; common practice, no source
MOST_SAG_MM = 0.2  # of flange and post under the servo's stall; common practice, no source
_BELOW_TOP_MM = 1e-3  # the flange itself lies on the board
_BOARD_MM = 400.0  # of it round a cut-out, more than any is wide


def check_let_down(design: Design, meshes: tuple[PartMesh, ...]) -> Iterator[Check]:
    """``way-down``: least air between the cut-out's edge and the shadow of all that hangs, arm and rod over their
    swing, cable and plug with it; ``strips-in``: what the cut-out has over the strips for its screws, where there are
    some; ``flange-gives``: how far what spans the cut-out bends under the servo's stall.

    A board is upright walls: what comes straight down through it touches nothing if its shadow on the board does not.

    Args:
        design: the mount.
        meshes: its parts as exported.
    """
    from manifold3d import CrossSection, OpType

    plan = design.plan
    if plan.drop_in is None or plan.board_cut_out is None:
        return
    shadow = CrossSection.batch_boolean([body.project() for body in hanging(design, meshes)], OpType.Add).extrude(1.0)
    around = CrossSection.square((_BOARD_MM, _BOARD_MM), center=True).extrude(1.0)
    edge = around - scene.cut_out_body(design).project().extrude(1.0)
    yield Check.of(
        "way-down",
        float(edge.min_gap(shadow, SEARCH_MM)),
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


def hanging(design: Design, meshes: tuple[PartMesh, ...]) -> Iterator[Manifold]:
    """What of mount, servo, arm and rod over their swing, cable and plug is below the board's top, mount frame."""
    spec = design.spec
    stub = scene.moved(scene.cable_stub(spec.servo), design.datums.servo)
    yield from (
        _below(body)
        for body in (
            scene.mount_body(meshes), scene.servo_body(design), scene.hub_body(design), stub, scene.plug_sweep(design)
        )
    )  # fmt: skip
    yield from map(_below, scene.swung(design))


def _below(body: Manifold) -> Manifold:
    return body.trim_by_plane((0.0, 0.0, -1.0), _BELOW_TOP_MM)
