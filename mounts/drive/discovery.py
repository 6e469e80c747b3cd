"""Which packages this folder has: each is a kind of drive. ``mounts.drive.kinds`` says what a kind provides."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Any

_ROOM = "mounts.drive"


def discovered() -> Mapping[str, Any]:
    """The ``KIND`` of every package by its name, '-' for '_'.

    Raises:
        TypeError: a package has no docstring, no KIND, or one whose models have another name.
    """
    return _in(tuple(importlib.import_module(_ROOM).__path__))


@cache
def _in(folders: tuple[str, ...]) -> Mapping[str, Any]:
    """The folders are read once."""
    found = {}
    for package in sorted(module.name for module in pkgutil.iter_modules(folders) if module.ispkg):
        module = importlib.import_module(f"{_ROOM}.{package}")
        name, kind = package.replace("_", "-"), getattr(module, "KIND", None)
        models = [getattr(kind, model, None) for model in ("limits", "drive")]
        if not module.__doc__ or any(model is None or model.model_fields["kind"].default != name for model in models):
            raise TypeError(f"{module.__name__}: a kind needs a docstring, and a KIND whose models are {name!r}")
        found[name] = kind
    return MappingProxyType(found)
