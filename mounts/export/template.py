"""The paper to drill through, at 1:1: the mount between rails, sleepers and tie bar.

A bracket's is held against the underside and seen from below, so it is the mirror image of the plan; a housing's
lies on the board and is seen from above.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from mounts.design import Design, IndexMark
from mounts.export.kinds import drawing
from mounts.export.paper import Paper, Point
from mounts.frames import Array, apply
from mounts.mesh import PartMesh
from mounts.scene_site import track_y
from mounts.units import number

_BAR_MM = 3.0  # widest tie bar drawn
_NOTCH_MM, _NOTCH_STEP_MM = 1.0, 2.5  # half a line, and from one to the next
_ARROW_MM = 14.0  # long enough to see which way it points; by eye
_FACE_MM = 1.0  # of height that counts as the face on the board, its chamfer included
INK, GREY, LIGHT = "black", "#a8a8a8", "#ececec"
AXIS, ROOM, CUT, ROD, BED = "4 1 1 1", "1.5 1.5", "2.5 1", "0.5 1", "6 2"
BEFORE_DRILLING = "Look for wires and framing on the other side before drilling."

Samples = list[tuple[Callable[[float, float], None], str]]


def template(design: Design, meshes: Sequence[PartMesh]) -> Paper:
    """Fixings, hole or cut-out, outlines and what lies round them.

    Args:
        design: where everything stands.
        meshes: the parts as exported.
    """
    paper = Paper()
    drawing(design).template(paper, design, meshes)
    return paper


def render_template(paper: Paper, design: Design) -> bytes:
    """The template as SVG."""
    return paper.svg(f"{design.spec.id}: drilling template")


def track(
    paper: Paper,
    design: Design,
    seen: Callable[[Sequence[float]], Point],
    ends: tuple[float, float],
    *,
    ink: str = INK,
) -> None:
    """Rails, sleepers and tie bar between two places along the track.

    Args:
        paper: to draw on.
        design: scale and place of the track.
        seen: mount frame, mm → the paper, mm.
        ends: along the track, mount frame, mm.
        ink: its colour.
    """
    spec, scale, middle = design.spec, design.spec.scale, track_y(design)
    pitch, half = scale.sleeper_gap_mm + scale.sleeper_width_mm, scale.sleeper_mm / 2
    first = scale.sleeper_gap_mm / 2
    starts = [first + k * pitch for k in range(int((max(-ends[0], ends[1]) - first) // pitch) + 1)]
    for x in (*starts, *(-x - scale.sleeper_width_mm for x in starts)):
        if ends[0] <= x and x + scale.sleeper_width_mm <= ends[1]:
            paper.box(seen((x, middle - half)), seen((x + scale.sleeper_width_mm, middle + half)), ink=ink)
    face, head = scale.track_gauge_mm / 2, scale.rail_head_mm
    for side in (-1.0, 1.0):
        near, far = sorted((middle + side * face, middle + side * (face + head)))
        paper.box(seen((ends[0], near)), seen((ends[1], far)), ink=ink, fill="white" if ink == GREY else GREY)
    bar = min(scale.sleeper_gap_mm / 2, _BAR_MM) / 2
    far = max(middle + face, spec.throw_mm / 2 + spec.tie_bar_hole_mm)
    paper.box(seen((-bar, middle - face)), seen((bar, far)), ink=ink)


def travel(paper: Paper, design: Design, seen: Callable[[Sequence[float]], Point]) -> None:
    """The pin at both ends of its way and at mid throw; ``seen`` takes mount frame to paper, mm."""
    half = design.spec.throw_mm / 2
    for y in (-half, half):
        paper.line([seen((-1.2, y)), seen((1.2, y))], wide_mm=0.3)
    paper.line([seen((0.0, -half)), seen((0.0, half))], wide_mm=0.3)


def fixings(paper: Paper, design: Design, seen: Callable[[Sequence[float]], Point]) -> Samples:
    """Crosses where screws go, none where the mount is bonded; what they are in words; ``seen`` as in ``travel``."""
    spec, fixings = design.spec, design.datums.fixings
    if spec.bonded:
        return []
    for at in fixings:
        paper.circle(seen(at), spec.fixing.pilot_mm)
        paper.cross(seen(at), 2.5)
    many = f"{len(fixings)} screws" if len(fixings) != 1 else "the screw"
    what = "right through," if spec.fixing.kind == "bolt" else "pilots of"
    return [(crossed(paper), f"{many}: {what} {number(spec.fixing.pilot_mm)} mm")]


def face(design: Design, meshes: Sequence[PartMesh], *, top: bool, level_z: float | None = None) -> list[Point]:
    """Outline of the face that lies against the board, convex, of the parts that are screwed on.

    Args:
        design: the mount.
        meshes: its parts as exported.
        top: whether it is their highest, otherwise their lowest.
        level_z: where it is if neither, mount frame, mm.
    """
    points = np.vstack(
        [apply(mesh.print_to_mount, mesh.vertices_mm) for mesh in meshes if mesh.name not in design.plan.lift_off]
    )
    level = points[:, 2].max() if top else points[:, 2].min()
    level = level if level_z is None else level_z
    return hull(points[np.abs(points[:, 2] - level) <= _FACE_MM][:, :2])


def pointed(
    paper: Paper, plate: Sequence[Point], words: str, up: str, seen: Callable[[Sequence[float]], Point]
) -> None:
    """An arrow beside the plate towards +y with its words, and above all which side is printed upwards.

    Args:
        paper: with everything else on it.
        plate: corners, mount frame, mm.
        words: at the arrow's tip.
        up: which side of the mount it is, and how it is held.
        seen: mount frame to paper.
    """
    tip, at = max(y for _, y in plate), min(x for x, _ in plate) - 4.0
    start, end = seen((at, tip - _ARROW_MM)), seen((at, tip))
    paper.arrow(start, end, wide_mm=0.6)
    paper.text((at, end[1] + (1.5 if end[1] > start[1] else -5.0)), words, middle=True)
    paper.text((0.0, paper.high[1] + 3.0), up, middle=True)


def notched(paper: Paper, mark: IndexMark, seen: Callable[[Sequence[float]], Point]) -> None:
    """Short lines where the notches in the plate's edge are: on an axis, three on the side of reverse."""
    (x, y, _), along_x = mark.at, mark.axis == "tie-bar"
    for place in range(mark.notches):
        aside = (place - (mark.notches - 1) / 2) * _NOTCH_STEP_MM
        ends = [(x + aside, y + d) if along_x else (x + d, y + aside) for d in (-_NOTCH_MM, _NOTCH_MM)]
        paper.line([seen(end) for end in ends], wide_mm=0.4)


def hull(points: Array) -> list[Point]:
    """Corners of the convex hull of points (n, 2), mm.

    Raises:
        TypeError: they lie on a line.
    """
    from shapely import MultiPoint, Polygon

    hull = MultiPoint(points).convex_hull
    if not isinstance(hull, Polygon):
        raise TypeError("an outline has an area")
    return [(float(x), float(y)) for x, y in hull.simplify(0.05).exterior.coords[:-1]]


def sample(paper: Paper, *, wide_mm: float = 0.2, dash: str = "", ink: str = INK) -> Callable[[float, float], None]:
    """A line for the legend, drawn from where it is told to.

    Args:
        paper: to draw on.
        wide_mm: its width.
        dash: its pattern.
        ink: its colour.
    """
    return lambda x, y: paper.line([(x, y), (x + 12.0, y)], wide_mm=wide_mm, dash=dash, ink=ink)


def ring(paper: Paper, size_mm: float) -> Callable[[float, float], None]:
    """A hole of a size for the legend."""
    return lambda x, y: paper.line(list(_circle((x + 6.0, y), size_mm)), closed=True)


def crossed(paper: Paper) -> Callable[[float, float], None]:
    """A hole with its cross for the legend."""

    def draw(x: float, y: float) -> None:
        paper.line(list(_circle((x + 6.0, y), 1.5)), closed=True)
        paper.cross((x + 6.0, y), 1.8)

    return draw


def travelled(paper: Paper) -> Callable[[float, float], None]:
    """The pin's way for the legend."""

    def draw(x: float, y: float) -> None:
        for end in (x + 4.0, x + 8.0):
            paper.line([(end, y - 1.0), (end, y + 1.0)], wide_mm=0.3)
        paper.line([(x + 4.0, y), (x + 8.0, y)], wide_mm=0.3)

    return draw


def _circle(at: Point, diameter_mm: float) -> Iterator[Point]:
    for angle in np.linspace(0.0, 2 * np.pi, 24, endpoint=False):
        yield (at[0] + diameter_mm / 2 * float(np.cos(angle)), at[1] + diameter_mm / 2 * float(np.sin(angle)))
