"""Mounts made in process, kept for the session so that several tests can look at one build."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from mounts.design import Design
from mounts.drive.model import Limits
from mounts.drive.solve import solve
from mounts.inputs.library import Library
from mounts.inputs.request import MountRequest
from mounts.inputs.resolve import resolve
from mounts.mesh import PartMesh
from mounts.solid.part import Part
from mounts.solid.tessellate import export_mesh
from mounts.styles import settled, styles


@dataclass(frozen=True)
class Mount:
    """A built mount: numbers, solids, meshes and the STL bytes they were read from."""

    design: Design
    limits: Limits
    parts: tuple[Part, ...]
    meshes: tuple[PartMesh, ...]
    stl: tuple[bytes, ...]


def build(options: dict[str, Any], **request: Any) -> Mount:
    """A mount of the under-board bracket (or ``style=``) for a 9 g servo under 18 mm in HO, or as asked."""
    asked = {"id": "A1", "style": "under-bracket", "servo": "micro-9g", "board": "18 mm", "scale": "HO"} | request
    spec = resolve(MountRequest.model_validate(asked), Library())
    style = styles()[spec.style]
    chosen = style.options.model_validate(options)
    spec = settled(spec, chosen)
    limits = style.limits(spec, chosen)
    drive = solve(spec, limits)
    datums, plan = style.place(spec, drive, chosen)
    design = Design(spec=spec, drive=drive, datums=datums, plan=plan)
    parts = style.build(design, chosen)
    exported = [export_mesh(part, spec.printer) for part in parts]
    return Mount(design, limits, parts, tuple(mesh for mesh, _ in exported), tuple(stl for _, stl in exported))


@cache
def _kept(options: tuple[tuple[str, Any], ...], request: tuple[tuple[str, Any], ...]) -> Mount:
    return build(dict(options), **dict(request))


def kept(options: dict[str, Any] | None = None, **request: Any) -> Mount:
    """``build``, once a session for the same arguments."""
    return _kept(tuple(sorted((options or {}).items())), tuple(sorted(request.items())))
