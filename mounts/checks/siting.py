"""Does a mount on the board leave the trains the room their standard asks for?"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from mounts import gauge, scene
from mounts.checks.model import Check
from mounts.design import Design
from mounts.drive.model import PointsDrive
from mounts.errors import NoDesign
from mounts.frames import Array
from mounts.inputs.scale import Scale, StructureGauge
from mounts.inputs.spec import MountSpec
from mounts.mesh import PartMesh
from mounts.scene_kinds import wiring
from mounts.scene_site import pin_between_rails
from mounts.styles import cure

if TYPE_CHECKING:
    from manifold3d import Manifold

TOUCH_MM = 0.01  # what touches the gauge does not intrude: float32 corners of an STL
_MOVES = 12  # steps towards a clear place, each as far as is lacking there; so many end the search
_LEVEL = 0.2  # beside the middle of a curve no move along y gains anything: a step of five times the depth is enough
_REFINE_MM = 1.0  # along a curve the nearest place of a long edge is between its ends


@dataclass(frozen=True)
class Intrusion:
    """How far something reaches into the gauge.

    Attributes:
        depth_mm: greatest, square to the track; 0 where it stays out.
        height_mm: where that is, above rail top.
        above_mm: how far above rail top anything stands inside it.
        shift_mm: how far it must move away from the track (along y) to be clear, to begin with.
        bend: on which side of a curve that is.
    """

    depth_mm: float
    height_mm: float
    above_mm: float
    shift_mm: float
    bend: gauge.Bend


CLEAR = Intrusion(0.0, 0.0, 0.0, 0.0, "straight")  # reaches into nothing


def check_siting(design: Design, meshes: Sequence[PartMesh]) -> Iterator[Check]:
    """``structure-gauge``: the greatest intrusion, mm, of a mesh cut with the gauge swept along a track.

    A row for each part beside its own track, then one for the whole mount beside each other track; none for a mount
    under the board.

    Args:
        design: scale, roadbed, the radius of the track beside the mount and the tracks beside that one; what it tells
            of itself on the board.
        meshes: the parts as exported.
    """
    spec, beside = design.spec, design.plan.beside
    if beside is None:
        return
    scale, track_y, vehicles, curve = spec.scale, beside.track_y, beside.vehicles, beside.curve
    if scale.structure_gauge is None:
        said = f"no published structure gauge for {scale.title}: measure your longest stock"
        yield Check.unmeasured("structure-gauge", "warn", "mm", said)
        return
    bodies = [scene.mount_body([mesh]) for mesh in meshes]
    try:
        wider = gauge.widening(scale, spec.track_radius_mm, vehicles)
    except NoDesign as why:
        yield Check.unmeasured("structure-gauge", "fail", "mm", str(why))
        return
    found = [_worst(spec, body, _own(spec, track_y, curve), vehicles) for body in bodies]
    whole, own = scene.union(bodies), _own(spec, track_y, curve)
    mend = _moved(spec, whole, own, track_y, vehicles) if any(one.depth_mm for one in found) else ""
    for mesh, one in zip(meshes, found, strict=True):
        yield _judged(spec, mesh.name, one, wider, "the structure gauge", mend)
    middle = sum(whole.bounding_box()[at] - track_y for at in (1, 4)) / 2
    for distance in spec.other_tracks_mm:
        try:
            tracks = [track.beside(distance) for track in own]
            one = _worst(spec, whole, tracks, vehicles)
            wider = max((gauge.widening(scale, track.radius_mm, vehicles) for track in tracks), key=_each_side)
        except NoDesign as why:
            yield Check.unmeasured("structure-gauge", "fail", "mm", f"track at {distance:g} mm: {why}")
            continue
        mend = ""
        if one.depth_mm:
            beyond = distance >= middle
            mend = (
                _laid(spec, whole, own, distance, vehicles)
                if beyond
                else _moved(spec, whole, tracks, track_y, vehicles)
            )
        yield _judged(spec, None, one, wider, f"the structure gauge of the track at {distance:g} mm", mend)


def _moved(
    spec: MountSpec, body: Manifold, tracks: Sequence[gauge.Track], track_y: float, vehicles: gauge.Group
) -> str:
    """The nearest --track-distance at which the body as it is is clear of the tracks, found by moving it there."""
    shift, near_y = 0.0, body.bounding_box()[1]
    farthest_y = min((track.middle_y() for track in tracks if track.bend == "inside"), default=math.inf)
    for _ in range(_MOVES):
        if near_y + shift > farthest_y:
            break
        one = _worst(spec, body.translate([0.0, shift, 0.0]), tracks, vehicles)
        if one.depth_mm == 0:
            stands_mm = math.ceil((near_y + shift - track_y) * 10 - 1e-6) / 10
            return f"moved to --track-distance {stands_mm:.1f} it is clear"
        shift += one.shift_mm
    return "no place on that side of the curve is clear: use " + cure(
        spec.style, "structure-gauge", "a larger --track-radius"
    )


def _laid(
    spec: MountSpec, body: Manifold, own: Sequence[gauge.Track], distance_mm: float, vehicles: gauge.Group
) -> str:
    """The nearest distance of a track beyond the body, from its own, at which it is clear, found by laying it there."""
    try:
        for _ in range(_MOVES):
            one = _worst(spec, body, [track.beside(distance_mm) for track in own], vehicles)
            if one.depth_mm == 0:
                clear_mm = math.ceil(distance_mm * 10 - 1e-6) / 10
                return f"clear where that track is {clear_mm:.1f} mm or more from its own"
            distance_mm += one.depth_mm
    except NoDesign:  # inside a curve it has no radius there that they can run on
        pass
    return "no place for that track beyond it is clear: use a larger --track-radius"


def check_rod_siting(design: Design) -> Iterator[Check]:
    """``rod-gauge``: how far rod, loop and arm reach above rail top inside the gauge over the swing, mm.

    Of every track that ``check_siting`` asks; nothing is said where there are no figures.
    """
    spec, beside = design.spec, design.plan.beside
    if beside is None or spec.scale.structure_gauge is None:
        return
    above = spec.rail_top_z + TOUCH_MM  # the gauge begins there
    moving = scene.union(
        piece
        for theta in scene.arm_angles_rad(design, 3)
        for piece in _rod_and_arm(design, float(theta))
        if piece.bounding_box()[5] > above
    )
    own = _own(spec, beside.track_y, beside.curve)
    sites = [("the structure gauge", own)]
    try:
        for distance in spec.other_tracks_mm:
            name = f"the structure gauge of the track at {distance:g} mm"
            sites.append((name, [track.beside(distance) for track in own]))
        found = [(name, _worst(spec, moving, tracks, beside.vehicles)) for name, tracks in sites]
    except NoDesign:  # told by structure-gauge
        return
    for name, worst in found:
        yield Check.of(
            "rod-gauge",
            worst.depth_mm,
            "at most",
            0.0,
            "mm",
            f"rod, loop and arm stay below rail top or outside {name}",
            f"rod or arm reach {worst.above_mm:.1f} mm above rail top inside {name}; "
            + ("lower --pin-height" if name == sites[0][0] else "lower --pin-height or move one of both"),
        )


def check_wire_end(design: Design) -> Iterator[Check]:
    """``wire-end``: how far the wire in the tie bar stands above rail top with the points closed, mm.

    Asked where wheels pass over it, between the rails: a bracket's pin, and a housing's that lies so near.
    """
    spec = design.spec
    if not isinstance(design.drive, PointsDrive) or not pin_between_rails(design):
        return
    stands = spec.pin_height_mm + wiring(design).above_pin_mm(design)
    proud = stands - spec.rail_top_z
    yield Check.of(
        "wire-end",
        max(proud, 0.0),
        "at most",
        0.0,
        "mm",
        f"the wire ends {-proud:.1f} mm below rail top, between the rails",
        f"the wire stands {proud:.1f} mm above rail top where wheels pass over it; lower --pin-height by that",
    )


def _own(spec: MountSpec, track_y: float, curve: gauge.Side) -> list[gauge.Track]:
    """The track it serves, on either side of whose curve the mount may stand."""
    return [gauge.Track(track_y, bend, spec.track_radius_mm) for bend in _bends(spec, curve)]


def _worst(spec: MountSpec, body: Manifold, tracks: Sequence[gauge.Track], vehicles: gauge.Group) -> Intrusion:
    """The deepest intrusion into the gauge of any of the tracks, each widened for its own radius.

    Raises:
        NoDesign: such vehicles can't run there.
    """
    found = CLEAR
    for track in tracks:
        each_side_mm = gauge.widening(spec.scale, track.radius_mm, vehicles).each_side_mm
        bands = gauge.bands(_gauge_of(spec.scale), each_side_mm)
        found = max(found, intrusion(body, bands, spec.rail_top_z, track), key=lambda one: one.depth_mm)
    return found


def _judged(spec: MountSpec, part: str | None, one: Intrusion, wider: gauge.Widening, name: str, mend: str) -> Check:
    used = _figures(spec.scale, gauge.bands(_gauge_of(spec.scale), wider.each_side_mm), wider)
    if not one.depth_mm and not wider.published:
        said = f"outside {name}, but {wider.told}; try it with your longest stock"
        return Check.unmeasured("structure-gauge", "warn", "mm", said, part=part)
    side = "" if one.bend == "straight" else f" with the track bending {_WAY[one.bend]}"
    where = f"{one.depth_mm:.1f} mm inside {name} at {one.height_mm:.1f} mm above rail top{side}"
    return Check.of(
        "structure-gauge",
        one.depth_mm,
        "at most",
        0.0,
        "mm",
        f"outside {name} ({used})",
        f"{where} ({used}); {mend}",
        part=part,
    )


def _each_side(wider: gauge.Widening) -> float:
    return wider.each_side_mm


def _gauge_of(scale: Scale) -> StructureGauge:
    """The scale's, which the callers know it has."""
    if scale.structure_gauge is None:
        raise TypeError(f"{scale.name} has no structure gauge")
    return scale.structure_gauge


def _rod_and_arm(design: Design, theta_rad: float) -> list[Manifold]:
    """The arm, and the wire without its end in the tie bar.

    What stands above rail top there is judged by ``wire-end``: beside the rails no wheel passes over it.
    """
    wire_mm, path = design.drive.wire_mm, scene.wire_path(design, theta_rad)
    at_end = np.hypot(*(path[:, :2] - path[-1, :2]).T) < wire_mm
    pieces = zip(scene.wire_pieces(path, wire_mm), pairwise(at_end), strict=True)
    return [scene.arm_blade(design, theta_rad), *(piece for piece, both in pieces if not all(both))]


_WAY = {"inside": "towards it", "outside": "away from it"}


def intrusion(body: Manifold, bands: Sequence[gauge.Band], rail_top_z: float, track: gauge.Track) -> Intrusion:
    """How far a body (mount frame) reaches into the gauge along a track.

    The body is cut with each band of the gauge; on what is cut out the greatest of half width less distance
    from the centre line is taken, which lies on a corner where the track is straight.

    Args:
        body: what may reach in; mount frame.
        bands: the gauge, one height after the other.
        rail_top_z: height of the rails' top, mm, mount frame.
        track: centre line that the gauge is swept along.
    """
    worst = CLEAR
    if body.is_empty():
        return worst
    left, _, _, right, _, _ = body.bounding_box()
    for band in bands:
        cut = body ^ gauge.swept(band, track, rail_top_z=rail_top_z, x_span=(left, right))
        if cut.is_empty():
            continue
        if track.radius_mm is not None:
            cut = cut.refine_to_length(_REFINE_MM)
        points = np.asarray(cut.to_mesh64().vert_properties)[:, :3]
        depth = band.half_mm(points[:, 2] - rail_top_z) - np.abs(track.away_mm(points))
        deepest = int(np.argmax(depth))
        if depth[deepest] > max(TOUCH_MM, worst.depth_mm):
            worst = Intrusion(
                float(depth[deepest]),
                float(points[deepest, 2] - rail_top_z),
                float((points[depth > TOUCH_MM, 2]).max() - rail_top_z),
                float((depth / _outward(points, track)).max()),
                track.bend,
            )
    return worst


def _outward(points: Array, track: gauge.Track) -> Array:
    """Gain in distance per mm moved along +y at each point (n, 3)."""
    if track.radius_mm is None:
        return np.ones(len(points))
    across = np.abs(points[:, 1] - track.middle_y())
    return np.asarray(np.maximum(across / np.maximum(np.hypot(points[:, 0], across), _LEVEL), _LEVEL))


def _bends(spec: MountSpec, curve: gauge.Side) -> tuple[gauge.Bend, ...]:
    if spec.track_radius_mm is None:
        return ("straight",)
    if curve == "inside":
        return ("inside",)
    return ("outside",) if curve == "outside" else ("inside", "outside")


def _figures(scale: Scale, bands: Sequence[gauge.Band], wider: gauge.Widening) -> str:
    low, high = bands[:2]
    sides = f"{low.half_low:g} mm from the centre line up to {low.high:g}, {high.half_low:g} above"
    text = f"{scale.name}, NEM 102 as read here (inferred): {sides}"
    return f"{text}, {wider.each_side_mm:.1f} of it for the curve: {wider.told}" if wider.told else text
