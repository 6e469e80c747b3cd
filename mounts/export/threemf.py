"""3MF: a plate of parts, each under its own name, after the core specification."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

import numpy as np

from mounts.frames import Matrix
from mounts.mesh import PartMesh

_CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_MODEL_PATH = "3D/3dmodel.model"
_PROLOGUE = '<?xml version="1.0" encoding="UTF-8"?>\n'
_CONTENT_TYPES = (
    f'{_PROLOGUE}<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    "</Types>\n"
)
_RELATIONSHIPS = (
    f'{_PROLOGUE}<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    f'<Relationship Target="/{_MODEL_PATH}" Id="rel0"'
    ' Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>'
    "</Relationships>\n"
)


@dataclass(frozen=True)
class PlacedObject:
    """One body on a plate.

    Attributes:
        name: what the slicer lists; a copy has its own.
        mesh: in the print frame.
        print_to_plate: 4×4 rigid motion, print frame to plate (origin: front left corner of the bed).
    """

    name: str
    mesh: PartMesh
    print_to_plate: Matrix


def render_3mf(objects: Sequence[PlacedObject], title: str) -> bytes:
    """A 3MF package, unit millimetre, without dates.

    Copies of one mesh are written as objects of their own: a slicer shows the name of the object, so
    a shared object would show one name for all of them.

    Raises:
        ValueError: a placement is not a rigid motion (a mirror or a scale).

    Source:
        3MF Core Specification 1.3, sections 2 to 4 (from memory).
    """
    model = "".join(_model(objects, title))
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as package:
        for path, text in (
            ("[Content_Types].xml", _CONTENT_TYPES),
            ("_rels/.rels", _RELATIONSHIPS),
            (_MODEL_PATH, model),
        ):
            entry = zipfile.ZipInfo(path)  # dated 1980, so that the bytes stay the same
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 3
            entry.external_attr = 0o644 << 16
            package.writestr(entry, text)
    return packed.getvalue()


def _model(objects: Sequence[PlacedObject], title: str) -> Iterator[str]:
    yield f'{_PROLOGUE}<model unit="millimeter" xml:lang="en-US" xmlns="{_CORE}">\n'
    yield f'<metadata name="Title">{escape(title)}</metadata>\n'
    yield '<metadata name="Application">turnout-mounts</metadata>\n<resources>\n'
    for number, placed in enumerate(objects, start=1):
        yield f'<object id="{number}" type="model" name="{escape(placed.name)}"><mesh>\n<vertices>\n'
        for x, y, z in placed.mesh.vertices_mm.astype(np.float32):
            yield f'<vertex x="{x}" y="{y}" z="{z}"/>\n'
        yield "</vertices>\n<triangles>\n"
        for a, b, c in placed.mesh.faces.tolist():
            yield f'<triangle v1="{a}" v2="{b}" v3="{c}"/>\n'
        yield "</triangles>\n</mesh></object>\n"
    yield "</resources>\n<build>\n"
    for number, placed in enumerate(objects, start=1):
        yield f'<item objectid="{number}" transform="{_transform(placed)}"/>\n'
    yield "</build>\n</model>\n"


def _transform(placed: PlacedObject) -> str:
    """The 12 numbers of the format: it multiplies row vectors on the left, so columns become rows."""
    motion = np.array(placed.print_to_plate)
    turn = motion[:3, :3]
    if not np.allclose(turn @ turn.T, np.eye(3), atol=1e-6) or np.linalg.det(turn) < 0:
        raise ValueError(f"object '{placed.name}': print_to_plate is not a rigid motion")
    return " ".join(f"{value:.9g}" for value in motion[:3].T.ravel())
