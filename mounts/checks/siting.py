"""Does the housing leave the trains the room their standard asks for?"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from mounts import gauge, scene
from mounts.checks.model import Check, Verdict, at_most
from mounts.design import Design
from mounts.errors import NoDesign
from mounts.frames import Array
from mounts.inputs.scale import Scale
from mounts.inputs.spec import MountSpec
from mounts.mesh import PartMesh

if TYPE_CHECKING:
    from manifold3d import Manifold

TOUCH_MM = 0.01  # what touches the gauge does not intrude: float32 corners of an STL
_REFINE_MM = 1.0  # along a curve the nearest place of a long edge is between its ends


@dataclass(frozen=True)
class Intrusion:
    """How far something reaches into the gauge.

    Attributes:
        depth_mm: greatest, square to the track; 0 where it stays out.
        height_mm: where that is, above rail top.
        shift_mm: how far it must move away from the track (along y) to be clear.
        bend: on which side of a curve that is.
    """

    depth_mm: float
    height_mm: float
    shift_mm: float
    bend: gauge.Bend


CLEAR = Intrusion(0.0, 0.0, 0.0, "straight")


def check_siting(
    spec: MountSpec, meshes: Sequence[PartMesh], *, track_y: float, stands_mm: float,
    vehicles: gauge.Group = "auto", curve: str = "either",
) -> Iterator[Check]:
    """``structure-gauge`` of each part: its greatest intrusion, mm, measured on the mesh cut with the gauge.

    Args:
        spec: scale, roadbed, and the radius of the track beside the housing.
        meshes: the parts as exported.
        track_y: centre line of the track, mount frame; the housing stands on its +y side.
        stands_mm: its --track-distance, as given or as it came out.
        vehicles: NEM 103 group of the longest stock.
        curve: side of the curve the housing stands on, ``inside``, ``outside`` or ``either``.
    """
    scale = spec.scale
    if scale.structure_gauge is None:
        yield _row(None, 0.0, "warn", f"no published structure gauge for {scale.title}: measure your longest stock")
        return
    try:
        wider = gauge.widening(scale, spec.track_radius_mm, vehicles)
    except NoDesign as why:
        yield _row(None, 0.0, "fail", str(why))
        return
    bands = gauge.bands(scale.structure_gauge, wider.each_side_mm)
    found = []
    for mesh in meshes:
        body = scene.mount_body([mesh])
        sides = (intrusion(spec, body, bands, track_y=track_y, bend=bend) for bend in _bends(spec, curve))
        found.append(max(sides, key=lambda one: one.depth_mm))
    move = max(one.shift_mm for one in found)
    clear_mm = math.ceil((stands_mm + move) * 10 - 1e-6) / 10
    used = _figures(scale, bands, wider)
    for mesh, one in zip(meshes, found, strict=True):
        if one.depth_mm > 0:
            side = "" if one.bend == "straight" else f" with the track bending {_WAY[one.bend]}"
            yield _row(
                mesh.name, one.depth_mm, "fail",
                f"{one.depth_mm:.1f} mm inside the structure gauge at {one.height_mm:.1f} mm above rail top{side} "
                f"({used}); moved to --track-distance {clear_mm:.1f} it is clear; left out, a clear place is taken",
            )
        elif not wider.published:
            yield _row(mesh.name, 0.0, "warn", f"outside the gauge, but {wider.told}; try it with your longest stock")
        else:
            yield _row(mesh.name, 0.0, "pass", f"outside the structure gauge ({used})")


def check_rod_siting(
    design: Design, *, track_y: float, vehicles: gauge.Group = "auto", curve: str = "either"
) -> Iterator[Check]:
    """``rod-gauge``: how far rod, loop and arm reach above rail top inside the gauge over the swing, mm.

    Args as for ``check_siting``; nothing is said where there are no figures.
    """
    spec = design.spec
    if spec.scale.structure_gauge is None:
        return
    try:
        wider = gauge.widening(spec.scale, spec.track_radius_mm, vehicles)
    except NoDesign:  # told by structure-gauge
        return
    bands = gauge.bands(spec.scale.structure_gauge, wider.each_side_mm)
    moving = scene.union(
        piece for theta in scene.arm_angles_rad(design, 3) for piece in _rod_and_arm(design, float(theta))
    )
    sides = (intrusion(spec, moving, bands, track_y=track_y, bend=bend) for bend in _bends(spec, curve))
    worst = max(sides, key=lambda one: one.depth_mm)
    text = "rod, loop and arm stay below rail top or outside the structure gauge"
    if worst.depth_mm > 0:
        text = f"rod or arm reach {worst.height_mm:.1f} mm above rail top inside the structure gauge; " \
            "lower --pin-height or raise --track-distance"
    yield at_most("rod-gauge", worst.depth_mm, 0.0, "mm", text)


def _rod_and_arm(design: Design, theta_rad: float) -> list[Manifold]:
    """The arm, and the wire with its end in the tie bar cut flat where its body would be round."""
    wire_mm, path = design.drive.wire_mm, scene.wire_path(design, theta_rad)
    path[-1, 2] -= wire_mm / 2
    return [scene.arm_blade(design, theta_rad), *scene.wire_pieces(path, wire_mm)]


_WAY = {"inside": "towards it", "outside": "away from it"}


def intrusion(
    spec: MountSpec, body: Manifold, bands: Sequence[gauge.Band], *, track_y: float, bend: gauge.Bend
) -> Intrusion:
    """How far a body (mount frame) reaches into the gauge along the spec's track.

    The body is cut with each band of the gauge; on what is cut out the greatest of half width less distance
    from the centre line is taken, which lies on a corner where the track is straight.
    """
    rail_top_z = spec.roadbed.thickness_mm + spec.scale.rail_top_above_roadbed_mm
    left, _, _, right, _, _ = body.bounding_box()
    worst = CLEAR
    for band in bands:
        room = gauge.swept(
            band, rail_top_z=rail_top_z, track_y=track_y, bend=bend, radius_mm=spec.track_radius_mm,
            x_span=(left, right),
        )
        cut = body ^ room
        if cut.is_empty():
            continue
        if bend != "straight":
            cut = cut.refine_to_length(_REFINE_MM)
        points = np.asarray(cut.to_mesh64().vert_properties)[:, :3]
        away = gauge.away_mm(points, track_y, bend, spec.track_radius_mm)
        depth = band.half_mm(points[:, 2] - rail_top_z) - away
        deepest = int(np.argmax(depth))
        if depth[deepest] > max(TOUCH_MM, worst.depth_mm):
            worst = Intrusion(
                float(depth[deepest]), float(points[deepest, 2] - rail_top_z),
                float((depth / _outward(points, track_y, bend, spec.track_radius_mm)).max()), bend,
            )
    return worst


def _outward(points: Array, track_y: float, bend: gauge.Bend, radius_mm: float | None) -> Array:
    """Gain in distance per mm moved along +y at each point (n, 3)."""
    if bend == "straight" or radius_mm is None:
        return np.ones(len(points))
    across = np.abs(points[:, 1] - gauge.centre_y(track_y, bend, radius_mm))
    return np.asarray(across / np.hypot(points[:, 0], across))


def _bends(spec: MountSpec, curve: str) -> tuple[gauge.Bend, ...]:
    if spec.track_radius_mm is None:
        return ("straight",)
    if curve == "inside":
        return ("inside",)
    return ("outside",) if curve == "outside" else ("inside", "outside")


def _figures(scale: Scale, bands: Sequence[gauge.Band], wider: gauge.Widening) -> str:
    low, high = bands[:2]
    text = f"NEM 102 {scale.name}: {low.half_low:g} mm from the centre line up to {low.high:g}, {high.half_low:g} above"
    return f"{text}, {wider.each_side_mm:.1f} of it for the curve: {wider.told}" if wider.told else text


def _row(part: str | None, value: float, verdict: Verdict, message: str) -> Check:
    return Check(
        name="structure-gauge", part=part, verdict=verdict, value=value, limit=0.0, unit="mm", message=message
    )
