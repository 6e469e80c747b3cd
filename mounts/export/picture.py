"""A picture of coloured bodies with dark edges, drawn by the processor alone: no display, no graphics card."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from mounts.export.callouts import Label, draw_labels, margin_px
from mounts.export.raster import Camera, Faces, Meshes, Seen, seen, strokes
from mounts.frames import Array, Vector

if TYPE_CHECKING:
    from PIL.Image import Image

Rgb = tuple[int, int, int]

_FINER = 2  # lines are drawn so many times as large, each way
_MARGIN_PX = 40  # round what is drawn; by eye
_INK: Rgb = (38, 42, 48)  # as in callouts.py
_OUTLINE_PX, _CREASE_PX = 2.0, 1.0  # width of lines; by eye
_LINE_ROOM_PX = 4  # beside what is drawn, for half a line
_INK_STRENGTH = 0.85  # of the lines: full black hides thin parts; by eye
_CLOSE_PX, _CROWDED = 12, 0.36  # in squares of this size lines that cover more than this share are drawn paler
_LAMPS = ((-0.45, 0.62, 0.64, 0.40), (0.75, -0.10, 0.65, 0.14))  # direction in camera axes, brightness
_PACKED = 4  # of PNG, 0 to 9: what is smaller takes three times as long
_GLANCE_PX = 180  # longer side of the small picture that sides are compared in


@dataclass(frozen=True)
class Body:
    """One coloured body.

    Attributes:
        vertices: (n, 3), mm, any frame that all bodies of the picture share; none twice.
        faces: (m, 3) indices, outward by the right-hand rule.
        rgb: 0 to 255 each.
        opacity: 1 hides what is behind; less lets it shine through the nearest such surface.
    """

    vertices: Array
    faces: Faces
    rgb: Rgb
    opacity: float = 1.0


def render_picture(
    bodies: Sequence[Body],
    *,
    size: tuple[int, int] = (1200, 900),
    direction: Vector = (-0.55, 0.65, -0.5),
    up: Vector = (0.0, 0.0, 1.0),
    background: Rgb = (255, 255, 255),
    labels: Sequence[Label] = (),
) -> bytes:
    """A PNG of the bodies in parallel projection, framed so that all of them show.

    Args:
        bodies: at least one with a face.
        size: width and height in pixels.
        direction: the way the eye looks, from the eye to the scene; any length.
        up: what is upward in the picture; not along ``direction``.
        background: colour where nothing is.
        labels: names written in the margins, with a line to their points.

    Raises:
        ValueError: a label has a character that the font lacks.
    """
    from PIL import Image

    axes = _axes(direction, up)
    low, high = _room([*bodies], axes)
    middle = (low + high) / 2
    sides = [[label for label in labels if (axes[0] @ label.point < middle[0]) == left] for left in (True, False)]
    margins = [_MARGIN_PX + margin_px(side) for side in sides]
    room = np.array([size[0] - sum(margins), size[1] - 2 * _MARGIN_PX])
    mm_per_px = float(np.max((high - low)[:2] / room))
    middle[0] -= (margins[0] - margins[1]) / 2 * mm_per_px
    camera = Camera(axes, middle @ axes, mm_per_px, size)

    near, corner = _cropped(camera, (low + high) / 2 @ axes, (high - low)[:2])
    drawn = Image.new("RGB", near.size_px, background)
    nearest = np.full(near.size_px[::-1], np.inf)
    opaque = [body for body in bodies if body.opacity >= 1]
    clear = [body for body in bodies if body.opacity < 1]
    for layer in filter(None, (opaque, clear)):
        nearest = _paint(drawn, layer, near, nearest)
    picture = Image.new("RGB", size, background)
    picture.paste(drawn, corner)
    points = [camera.project(np.array([label.point for label in side]).reshape(-1, 3))[:, :2] for side in sides]
    draw_labels(picture, [*zip(sides, points, strict=True)])
    out = io.BytesIO()
    picture.save(out, "PNG", compress_level=_PACKED)
    return out.getvalue()


def shown_px(bodies: Sequence[Body], direction: Vector, *, up: Vector = (0.0, 0.0, 1.0)) -> Array:
    """How many pixels of each body show from a direction in a small picture, clear ones left out, (n,)."""
    glance = _Glance(bodies, direction, up)
    return np.asarray(np.bincount(glance.body[glance.body >= 0], minlength=len(bodies)), dtype=np.float64)


def points_shown(bodies: Sequence[Body], direction: Vector, *, up: Vector = (0.0, 0.0, 1.0)) -> list[Vector | None]:
    """For each body the place of it nearest to the middle of what shows of it, mm; None where nothing does."""
    from scipy.ndimage import binary_erosion

    glance = _Glance(bodies, direction, up)
    found: list[Vector | None] = []
    for at in range(len(bodies)):
        whole = glance.body == at
        if not whole.any():
            found.append(None)
            continue
        inner = binary_erosion(whole, iterations=2)
        rows, columns = np.nonzero(inner if inner.any() else whole)
        nearest = np.argmin((rows - rows.mean()) ** 2 + (columns - columns.mean()) ** 2)
        x, y, z = glance.point_mm(int(rows[nearest]), int(columns[nearest]))
        found.append((float(x), float(y), float(z)))
    return found


class _Glance:
    """A small picture of opaque bodies: which of them is at each pixel, −1 where none is."""

    def __init__(self, bodies: Sequence[Body], direction: Vector, up: Vector) -> None:
        axes = _axes(direction, up)
        low, high = _room(bodies, axes)
        mm_per_px = float((high - low)[:2].max()) / _GLANCE_PX
        wide, tall = (int(side) + 1 for side in (high - low)[:2] / mm_per_px)
        self.camera = Camera(axes, (low + high) / 2 @ axes, mm_per_px, (wide, tall))
        opaque = [at for at, body in enumerate(bodies) if body.opacity >= 1]
        meshes = Meshes.of([(bodies[at].vertices, bodies[at].faces) for at in opaque], self.camera)
        self._seen = seen(meshes, self.camera.size_px)
        face = self._seen.face
        self.body = np.where(face >= 0, np.array(opaque)[meshes.body[face]], -1)

    def point_mm(self, row: int, column: int) -> Array:
        """What is at a pixel."""
        (wide, tall), size = self.camera.size_px, self.camera.mm_per_px
        flat = ((column + 0.5 - wide / 2) * size, (tall / 2 - row - 0.5) * size, -self._seen.depth_mm[row, column])
        return np.asarray(np.array(flat) @ self.camera.axes + self.camera.centre)


def _room(bodies: Sequence[Body], axes: Array) -> tuple[Array, Array]:
    """Least and most along each of the axes that faces reach."""
    shown = np.concatenate([body.vertices[np.unique(body.faces)] for body in bodies]) @ axes.T
    return shown.min(axis=0), shown.max(axis=0)


def _cropped(camera: Camera, middle: Array, reach_mm: Array) -> tuple[Camera, tuple[int, int]]:
    """A camera that sees no more than bodies round a point (3,) and the lines about them, pixel for pixel as the given
    one does, and where its upper left corner is in that one's picture."""
    at, half = camera.project(middle[None])[0, :2], reach_mm / 2 / camera.mm_per_px + _LINE_ROOM_PX
    start = np.maximum(np.floor(at - half), 0).astype(int)
    end = np.minimum(np.ceil(at + half), camera.size_px).astype(int)
    off_mm = ((start + end) / 2 - np.array(camera.size_px) / 2) * [1, -1] * camera.mm_per_px
    wide, high = (end - start).tolist()
    centre = camera.centre + off_mm @ camera.axes[:2]
    return Camera(camera.axes, centre, camera.mm_per_px, (wide, high)), (int(start[0]), int(start[1]))


def _axes(direction: Vector, up: Vector) -> Array:
    """Rows right, up and back of an eye that looks along the direction."""
    back = -np.array(direction, dtype=np.float64) / np.linalg.norm(direction)
    right = np.cross(np.array(up, dtype=np.float64), back)
    right /= np.linalg.norm(right)
    return np.array([right, np.cross(back, right), back])


def _paint(picture: Image, layer: Sequence[Body], camera: Camera, behind_mm: Array) -> Array:
    """Lays one layer over the picture, in place, where it is nearer than what is drawn already; its depths."""
    from PIL import Image

    meshes = Meshes.of([(body.vertices, body.faces) for body in layer], camera)
    found = seen(meshes, camera.size_px)
    colours = np.array([(*body.rgb, 255 * body.opacity) for body in layer])[meshes.body]
    colours[:, :3] *= _light(meshes.normals)[:, None]
    packed = np.append(np.minimum(np.rint(colours), 255).astype(np.uint8), np.zeros((1, 4), np.uint8), axis=0)
    drawn = packed.view(np.uint32).ravel()[np.where(found.depth_mm < behind_mm, found.face, -1)]
    fill = Image.frombuffer("RGBA", camera.size_px, drawn.view(np.uint8), "raw", "RGBA", 0, 1)
    picture.paste(fill, (0, 0), fill)
    both = Seen(found.face, np.minimum(found.depth_mm, behind_mm))
    ink = _INK_STRENGTH * max(body.opacity for body in layer) ** 0.5
    picture.paste(_INK, (0, 0, *picture.size), _drawn(meshes, both, camera, ink))
    return both.depth_mm


def _drawn(meshes: Meshes, found: Seen, camera: Camera, ink: float) -> Image:
    """The lines of a layer as a mask of their strength: paler where they stand so close that they would be a blot."""
    from PIL import Image, ImageChops, ImageDraw

    wide, high = camera.size_px
    mask = Image.new("L", (wide * _FINER, high * _FINER))
    draw = ImageDraw.Draw(mask)
    found_strokes = strokes(meshes, found, camera.mm_per_px)
    ends = (found_strokes.ends.reshape(-1, 4) * _FINER - 0.5).tolist()
    for points, outline in zip(ends, found_strokes.outline.tolist(), strict=True):
        draw.line(points, fill=255, width=round((_OUTLINE_PX if outline else _CREASE_PX) * _FINER))
    lines = mask.reduce(_FINER)
    share = np.asarray(lines.reduce(_CLOSE_PX), dtype=np.float64) / 255
    strength = ink * np.minimum(1.0, _CROWDED / np.maximum(share, 1e-3)) ** 2
    pale = Image.fromarray(np.rint(255 * strength).astype(np.uint8)).resize(lines.size, Image.Resampling.BILINEAR)
    return ImageChops.multiply(lines, pale)


def _light(normals: NDArray[np.float64]) -> Array:
    """Brightness of faces (n, 3) under a lamp at the upper left, a weaker one at the right, and the sky."""
    brightness = 0.56 + 0.06 * normals[:, 1]
    for x, y, z, strength in _LAMPS:
        brightness = brightness + strength * np.maximum(normals @ np.array([x, y, z]), 0)
    return np.asarray(brightness)
