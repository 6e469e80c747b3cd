"""Which program this is: what its answers depend on besides the question."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.metadata import version
from pathlib import Path

import mounts

_GEOMETRY_LIBRARIES = ("cadquery", "cadquery-ocp", "manifold3d", "trimesh", "embreex", "scipy", "numpy", "shapely")


@cache
def digest() -> str:
    """SHA-256 over version and sources of this package, and the versions of what makes its geometry."""
    found = hashlib.sha256(mounts.__version__.encode())
    package = Path(mounts.__file__).parent
    for source in sorted(package.rglob("*.py")):
        found.update(source.relative_to(package).as_posix().encode() + b"\0" + source.read_bytes() + b"\0")
    for library in _GEOMETRY_LIBRARIES:
        found.update(f"{library} {version(library)}\n".encode())
    return found.hexdigest()
