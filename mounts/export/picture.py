"""A picture of coloured bodies with dark edges, made by casting rays: no display, no graphics card."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mounts.export.callouts import Label, draw_labels, margin_px
from mounts.export.rays import Camera, Faces, Floats, Seen, edges, seen
from mounts.frames import Array, Vector

Rgb = tuple[int, int, int]

_FINER = 2  # rays a pixel, each way
_MARGIN_PX = 40  # round what is drawn; by eye
_INK: Rgb = (38, 42, 48)  # as in callouts.py
_INK_STRENGTH = 0.85  # of the outlines: full black hides thin parts; by eye
_LAMPS = ((-0.45, 0.62, 0.64, 0.40), (0.75, -0.10, 0.65, 0.14))  # direction in camera axes, brightness


@dataclass(frozen=True)
class Body:
    """One coloured body.

    Attributes:
        vertices: (n, 3), mm, any frame that all bodies of the picture share.
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

    axes = _axes(np.array(direction, dtype=np.float64), np.array(up, dtype=np.float64))
    shown = np.concatenate([body.vertices[np.unique(body.faces)] for body in bodies]) @ axes.T
    low, high = shown.min(axis=0), shown.max(axis=0)
    middle = (low + high) / 2
    sides = [[label for label in labels if (axes[0] @ label.point < middle[0]) == left] for left in (True, False)]
    margins = [_MARGIN_PX + margin_px(side) for side in sides]
    room = np.array([size[0] - sum(margins), size[1] - 2 * _MARGIN_PX])
    mm_per_px = float(np.max((high - low)[:2] / room))
    middle[0] -= (margins[0] - margins[1]) / 2 * mm_per_px
    camera = Camera(axes, middle @ axes, mm_per_px, size)

    drawn = np.empty((size[1] * _FINER, size[0] * _FINER, 3), dtype=np.float32)
    drawn[:] = background
    nearest = np.full(drawn.shape[:2], np.inf, dtype=np.float32)
    opaque = [body for body in bodies if body.opacity >= 1]
    clear = [body for body in bodies if body.opacity < 1]
    for layer in filter(None, (opaque, clear)):
        found = seen([(body.vertices, body.faces) for body in layer], camera, _FINER)
        _paint(drawn, found, layer, camera.mm_per_px / _FINER, nearest)
        nearest = found.depth_mm
    picture = Image.fromarray(np.rint(drawn).astype(np.uint8))
    for side, at_left in zip(sides, (True, False), strict=True):
        points = camera.project(np.array([label.point for label in side]).reshape(-1, 3)) * _FINER
        draw_labels(picture, side, points, at_left=at_left, scale=_FINER)
    out = io.BytesIO()
    picture.resize(size, Image.Resampling.BOX).save(out, "PNG", optimize=True)
    return out.getvalue()


def _axes(direction: Array, up: Array) -> Array:
    """Rows right, up and back of an eye that looks along the direction."""
    back = -direction / np.linalg.norm(direction)
    right = np.cross(up, back)
    right /= np.linalg.norm(right)
    return np.array([right, np.cross(back, right), back])


def _paint(drawn: Floats, layer: Seen, bodies: Sequence[Body], mm_per_px: float, behind_mm: Floats) -> None:
    """Lays one layer over the picture, in place, where it is nearer than what is drawn already."""
    from scipy.ndimage import binary_dilation

    visible = (layer.body >= 0) & (layer.depth_mm < behind_mm)
    which = layer.body[visible]
    opacity = np.array([[body.opacity] for body in bodies], dtype=np.float32)[which]
    colours = np.array([body.rgb for body in bodies], dtype=np.float32)[which]
    lit = np.minimum(colours * _light(layer.normal[visible])[:, None], 255)
    drawn[visible] = drawn[visible] * (1 - opacity) + lit * opacity

    outlines, creases = edges(layer, mm_per_px)
    lines = binary_dilation(outlines) | creases
    lines &= binary_dilation(visible, np.ones((3, 3)))
    ink = _INK_STRENGTH * max(body.opacity for body in bodies) ** 0.5
    drawn[lines] = drawn[lines] * (1 - ink) + np.array(_INK) * ink


def _light(normals: Floats) -> Floats:
    """Brightness of faces (n, 3) under a lamp at the upper left, a weaker one at the right, and the sky."""
    brightness = 0.56 + 0.06 * normals[:, 1]
    for x, y, z, strength in _LAMPS:
        brightness += strength * np.maximum(normals @ np.array([x, y, z], dtype=np.float32), 0)
    return np.asarray(brightness, dtype=np.float32)
