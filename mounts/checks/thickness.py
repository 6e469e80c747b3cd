"""Walls, skins and gaps: rays from one face to the face that looks back at it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.checks.duty import NO_DUTY, Duty
from mounts.checks.facets import MISS, SAG_MM, Facets, Floats, place_text
from mounts.checks.model import Check
from mounts.inputs.printer import Printer
from mounts.mesh import PartMesh

WALL_LINES, STRUCTURAL_LINES = 2, 3  # ≥ 0.8 and ≥ 1.2 mm at a 0.4 mm nozzle: print-service guides
SKIN_LAYERS, SOUND_SKIN_LAYERS = 2, 3  # common practice, no source
RELIEF_MM = 1.0
"""A rib lower, or a groove shallower, than this is a letter or an edge: it carries nothing. Common practice, no
source."""

_GRADES = ("pass", "warn", "fail")
_PER_MM2 = 0.5  # samples: one to 2 mm², the end of a thin wall gets some; common practice, no source
_STEP_MM = 1e-3  # off the face the ray starts from
_FACING = 0.95  # cosine: two faces within 18° of parallel are the two sides of a wall
_LEVEL = 0.7071  # |n_z| from which a wall is a skin, lying rather than standing


@dataclass(frozen=True)
class Chords:
    """Straight ways between two faces that look at each other, or away from each other.

    Attributes:
        middles_mm: (k, 3).
        directions: (k, 3) unit vectors along them.
        lengths_mm: (k,).
    """

    middles_mm: Floats
    directions: Floats
    lengths_mm: Floats

    def where(self, chosen: NDArray[np.bool_]) -> Chords:
        """Those of them that are chosen, (k,)."""
        return Chords(self.middles_mm[chosen], self.directions[chosen], self.lengths_mm[chosen])


def chords(facets: Facets, *, inside: bool) -> Chords:
    """Chords through the material (inside) or through the air between two faces.

    From each sample of the surface a ray leaves at right angles; the chord counts where the face it
    meets first is within 18° of parallel to the one it left. An unfiltered ray reads next to nothing
    beside every corner.
    """
    face, points = facets.samples(_PER_MM2)
    normals = facets.normals[face]
    directions = -normals if inside else normals
    met, lengths = facets.first_hits(points + _STEP_MM * directions, directions)
    facing = (met != MISS) & (np.einsum("ij,ij->i", normals, facets.normals[met]) < -_FACING)
    lengths = lengths[facing] + _STEP_MM
    points, directions = points[facing], directions[facing]
    return Chords(points + directions * lengths[:, None] / 2, directions, lengths)


def without_relief(facets: Facets, found: Chords, limit_mm: float) -> Chords:
    """The chords that do not lie in a rib lower than RELIEF_MM, or a groove shallower than it.

    Only short ones are looked at, up to twice the limit or RELIEF_MM. Somewhere square to such a chord the rib ends
    within RELIEF_MM one way, while RELIEF_MM the other way the part (or the air) is half as wide again,
    and ``limit_mm`` at least.
    """
    short = np.flatnonzero(found.lengths_mm < 2 * max(limit_mm, RELIEF_MM))
    if not len(short):
        return found
    middles, d = found.middles_mm[short], found.directions[short]
    enough = np.maximum(limit_mm, 1.5 * found.lengths_mm[short])
    u = np.cross(d, np.eye(3)[np.where(np.abs(d[:, 2]) < 0.9, 2, 0)])
    u /= np.linalg.norm(u, axis=1, keepdims=True)
    v = np.cross(d, u)
    relief = np.zeros(len(short), dtype=bool)
    for angle in np.linspace(0, 2 * np.pi, 8, endpoint=False):
        sideways = np.cos(angle) * u + np.sin(angle) * v
        ends = facets.first_hits(middles, -sideways)[1] <= RELIEF_MM
        goes_on = facets.first_hits(middles, sideways)[1] > RELIEF_MM
        deeper = middles + RELIEF_MM * sideways
        width = facets.first_hits(deeper, d)[1] + facets.first_hits(deeper, -d)[1]
        relief |= ends & goes_on & (width >= enough)
    kept = np.ones(len(found.lengths_mm), dtype=bool)
    kept[short] = ~relief
    return found.where(kept)


def check_thickness(mesh: PartMesh, facets: Facets, printer: Printer, duty: Duty = NO_DUTY) -> Iterator[Check]:
    """``wall``, ``skin`` and ``gap`` of a closed mesh; a row is missing where there is none.

    wall: least thickness of what stands, at least two lines and better three, or what its load wants; beside a servo
    screw's hole what its boss wants. Of several, the one that falls shortest. skin: least thickness of
    what lies, in whole layers. gap: least air between two faces. Letters and the like are neither wall
    nor gap: a line missing from them, or two that fuse, hurts nothing.

    Args:
        mesh: of the part, for its name.
        facets: the same part's faces and edges, print frame.
        printer: its line, layer and least gap.
        duty: what its walls and bosses have to carry.
    """
    solid = chords(facets, inside=True)
    lying = np.abs(solid.directions[:, 2]) > _LEVEL
    least_wall = max(WALL_LINES * printer.nozzle_mm, printer.thinnest_wall_mm)
    sound_wall = max(STRUCTURAL_LINES * printer.nozzle_mm, printer.thinnest_wall_mm)
    layer, gap = printer.layer_mm, printer.smallest_gap_mm
    standing = without_relief(facets, solid.where(~lying), sound_wall - SAG_MM)
    air = without_relief(facets, chords(facets, inside=False), gap - SAG_MM)
    beside_screw = duty.in_boss(standing.middles_mm)
    walls = [
        check
        for chosen, sound in (
            (beside_screw, max(sound_wall, duty.boss_wall_mm)),
            (~beside_screw, max(sound_wall, duty.wall_mm)),
        )
        for check in _least(
            mesh,
            "wall",
            standing.where(chosen),
            least_wall,
            sound,
            f"wall; make it {least_wall:.3g} mm (two lines) or more, better {sound:.3g}",
        )
    ]
    if walls:
        yield max(walls, key=lambda check: (_GRADES.index(check.verdict), check.limit - check.value))
    yield from _least(
        mesh,
        "skin",
        solid.where(lying),
        SKIN_LAYERS * layer,
        SOUND_SKIN_LAYERS * layer,
        f"skin; make it {SKIN_LAYERS * layer:.3g} mm ({SKIN_LAYERS} layers) or more, "
        f"better {SOUND_SKIN_LAYERS * layer:.3g}",
    )
    yield from _least(mesh, "gap", air, gap, gap, f"gap fuses; make it {gap:g} mm or more, or close it")


def _least(mesh: PartMesh, name: str, found: Chords, fail_mm: float, warn_mm: float, advice: str) -> Iterator[Check]:
    """The shortest of the chords against the limit under which it fails and the one under which it warns."""
    if not len(found.lengths_mm):
        return
    least = int(np.argmin(found.lengths_mm))
    value = float(found.lengths_mm[least])
    where = place_text(found.middles_mm[least])
    yield Check.of(
        name,
        value,
        "at least",
        fail_mm,
        "mm",
        f"least {name} at {where}",
        f"at {where} a {value:.2f} mm {advice}",
        warn=warn_mm,
        slack=SAG_MM,
        part=mesh.name,
        at_mm=found.middles_mm[least],
    )
