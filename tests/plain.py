"""Mounts of a plate and a wall, drawn by hand round a design, and bodies put in the way: no CAD kernel."""

from __future__ import annotations

import json
import math
from functools import cache
from typing import Any

import manifold3d as m3
import numpy as np
from meshes import arrays, part_mesh

from mounts import scene
from mounts.asked import asked
from mounts.design import Design
from mounts.mesh import PartMesh
from mounts.pipeline import Designed, design_mount

FACE_X, SHAFT_Z = -15.8, -63.53
"""Of the bracket: its seat's face, and its servo's shaft over the board."""


def designed(**request: Any) -> Designed:
    """Numbers only, once a session for the same request; ``set``: options of the style."""
    return _designed(json.dumps({"id": "A1", "servo": "micro-9g", "board": "12 mm", "scale": "N", **request}))


WIRE = {
    "horn_radius_mm": 9.0, "wire_mm": 0.8, "wire_tensile_mpa": 2050.0, "swing_deg": 24.05, "pivot_to_horn_mm": 40.78,
    "travel_mm": 3.133, "overtravel_mm": 0.716, "lost_motion_mm": 0.574, "rate_n_per_mm": 0.6738, "force_n": 0.4828,
    "force_after_slack_n": 0.2819, "stress_mpa": 170.5, "stress_pivot_mpa": 170.5, "servo_torque_nmm": 1.5787,
    "torque_margin": 99.387, "tilt_deg": 5.043, "pivot_bore_mm": 1.0, "pivot_land_mm": 1.6188,
}  # fmt: skip
"""Of the bracket: a drive as the solver gives it where depth costs half as much."""


@cache
def _designed(request: str) -> Designed:
    return design_mount(asked(**json.loads(request)))


def bracket() -> Design:
    """Under 12 mm of board; its servo is on its side, the shaft along +x, its far end at +y, out downwards.

    Its wire, its seat and its height are held here, so that what is drawn stays where it is drawn.
    """
    design = with_drive(designed(style="under-bracket").design, **WIRE)
    placed = ((0.0, 0.0, 1.0, FACE_X), (1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, SHAFT_Z), (0.0, 0.0, 0.0, 1.0))
    design = with_datums(design, servo=placed)
    screws = tuple(
        screw.model_copy(update={"head": (x, y, -15.5), "length_mm": 12.0})
        for screw, (x, y) in zip(design.plan.screws, HEADS, strict=True)
    )
    design = with_datums(design, fixings=tuple((x, y, -12.0) for x, y in HEADS))
    return with_plan(design, screws=screws, plug_path=((-28.0, -8.0, -64.0), (-28.0, -8.0, -96.0)))


HEADS = ((0.0, -10.5), (0.0, 10.5), (-24.5, -3.0), (-24.5, 13.5))


def plate() -> m3.Manifold:
    """3.5 mm under the board, bored for its screws."""
    body = box((-31, -20, -15.5), (8, 24, -12))
    return body - scene.union(m3.Manifold.cylinder(9, 1.7, 1.7, 32).translate((x, y, -18)) for x, y in HEADS)


def wall(thick: float = 5.0) -> m3.Manifold:
    """Behind the ears, open below for the case with 0.2 mm round it."""
    body = box((FACE_X - thick, -16, -72), (FACE_X, 27, -15.5))
    return body - box((-40, -6.25, -80), (0, 16.75, SHAFT_Z + 6.3))


def box(low: Any, high: Any) -> m3.Manifold:
    return m3.Manifold.cube(np.subtract(high, low)).translate(low)


def mesh(*bodies: m3.Manifold, name: str = "", print_to_mount: Any = None) -> PartMesh:
    """Bodies as one part; it is printed as it stands in the mount unless told otherwise."""
    made = part_mesh(*arrays(scene.union(bodies)))
    told = {"name": name} | ({} if print_to_mount is None else {"print_to_mount": print_to_mount})
    return PartMesh(**{**made.__dict__, **told})


def with_plan(design: Design, **figures: Any) -> Design:
    return design.model_copy(update={"plan": design.plan.model_copy(update=figures)})


def with_datums(design: Design, **figures: Any) -> Design:
    return design.model_copy(update={"datums": design.datums.model_copy(update=figures)})


def with_drive(design: Design, **figures: Any) -> Design:
    return design.model_copy(update={"drive": design.drive.model_copy(update=figures)})


def with_servo(design: Design, **figures: Any) -> Design:
    return with_spec(design, "servo", **figures)


def with_spec(design: Design, part: str | None = None, **figures: Any) -> Design:
    """Figures of the request, or of one of its profiles."""
    told = figures if part is None else {part: getattr(design.spec, part).model_copy(update=figures)}
    return design.model_copy(update={"spec": design.spec.model_copy(update=told)})


def round_mm2(diameter: float) -> float:
    """Of the polygon of 48 sides that is drawn round a circle."""
    return 48 * math.tan(math.pi / 48) * diameter**2 / 4
