"""A mount that keeps to its half, so that its mirror image stands against it: do the two meet?"""

from __future__ import annotations

from collections.abc import Iterator

from mounts import scene
from mounts.checks.clearance import SEARCH_MM
from mounts.checks.drivers import drivers
from mounts.checks.model import Check
from mounts.design import Design
from mounts.mesh import PartMesh
from mounts.styles import cure

APART_MM = 1.5  # between mounts that are drilled for one by one, each 0.5 mm off; common practice, no source


def check_partner(design: Design, meshes: tuple[PartMesh, ...]) -> Iterator[Check]:
    """``partner``: least gap between both mounts, each with servo, arm and rod over its whole swing, screws and cable;
    the ways of the screwdrivers of either against the other.

    Args:
        design: the mount.
        meshes: its parts as exported.
    """
    apart = design.plan.partner_mm
    if apart is None:
        return
    stands = scene.mount_body(meshes) + scene.union([
        scene.servo_body(design), scene.hub_body(design), scene.plug_sweep(design), *scene.screw_bodies(design),
        scene.moved(scene.cable_stub(design.spec.servo), design.datums.servo), *scene.swung(design),
    ])  # fmt: skip
    partner = stands.mirror((0.0, 1.0, 0.0)).translate((0.0, apart, 0.0))
    reached = stands + scene.union(drivers(design))
    yield Check.of(
        "partner",
        float(reached.min_gap(partner, SEARCH_MM)),
        "at least",
        APART_MM,
        "mm",
        f"least gap to its mirror image {apart:g} mm away: print, servo, arm, rod and screws over both swings, drivers",
        "the two mounts would meet; use " + cure(design.spec.style, "partner", "more room between both rods"),
    )
