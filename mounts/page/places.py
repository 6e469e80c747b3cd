"""Where on a mount a check is about, and how near to its limit it is."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mounts import scene
from mounts.checks.model import ROUNDING, Check
from mounts.design import Design
from mounts.frames import Array, Vector, apply
from mounts.mesh import PartMesh

_PLACES = (
    ("servo", ("servo", "seat", "flange", "cable", "plug")),
    ("screw", ("screw", "bolt", "bond", "board-edge", "pilot", "fixing")),
    ("pivot", ("pivot", "guide", "board", "tilt", "strips")),
    ("arm", ("arm", "torque", "swing", "pulse", "resolution", "stall", "horn", "turn")),
    ("wire", ("wire", "stress", "loop", "rod", "buckling", "rate", "deflection", "lean", "bend")),
    ("pin", ("force", "travel", "throw", "tie-bar", "blade", "position", "rail", "closes", "motion")),
    ("pin", ("crank", "transmission", "backlash")),
)
"""Words of a check's name → the place; the first that fits."""


def place_of(check: Check, design: Design, meshes: Sequence[PartMesh]) -> Vector:
    """The place on the mount, mm, that a check is about: where it was measured, its part, or what its name says."""
    for mesh in meshes:
        if check.part is not None and mesh.name == check.part:
            if check.at_mm is not None:
                return _point(apply(mesh.print_to_mount, np.array(check.at_mm)))
            return _point(apply(mesh.print_to_mount, mesh.vertices_mm).mean(axis=0))
    place = next((place for place, words in _PLACES if any(word in check.name for word in words)), "servo")
    return _places(design)[place]


def closeness(check: Check) -> float:
    """Share of its limit that is left; below 0 where a check does not pass, the worse the less."""
    if check.verdict != "pass":
        return -2.0 if check.verdict == "fail" else -1.0
    if check.sense in (None, "exactly") or not check.limit or abs(check.value - check.limit) <= ROUNDING:
        return 9.0  # counted or not measured: or chosen to be on it: never close
    return abs(check.value - check.limit) / abs(check.limit)


def _places(design: Design) -> dict[str, Vector]:
    origin, axis = scene.shaft_axis(design)
    path = scene.wire_path(design, 0.0)
    pin = np.array(design.datums.pin)
    return {
        "servo": _point(origin - axis * design.spec.servo.flange_underside_height_mm / 2),
        "screw": _point(np.array(design.plan.screws[0].head)) if design.plan.screws else _point(origin),
        "pivot": _point(np.array(design.datums.pivot) if design.datums.pivot else pin),
        "arm": _point(scene.horn_hole(design, 0.0)),
        "wire": _point(path[len(path) // 2]),
        "pin": _point(pin),
    }


def _point(at: Array) -> Vector:
    return (float(at[0]), float(at[1]), float(at[2]))
