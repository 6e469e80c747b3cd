"""Room 3: one file, one mount style. The file's name with '-' is its name on the command line.

A style module has a docstring (its first line is the summary) and a ``STYLE``. Nothing else is edited to
add one: modules of this folder without a leading underscore are discovered.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal

from mounts.design import Datums, Design, Plan
from mounts.drive.model import Drive, Limits
from mounts.inputs.model import Model
from mounts.inputs.spec import MountSpec

if TYPE_CHECKING:
    from mounts.solid.part import Part


@dataclass(frozen=True)
class Style:
    """What a style file provides: four plain functions and the model of its own options.

    Attributes:
        drive: the kind of drive it works with.
        options: model of what ``--set`` takes here; every field has bounds, a unit and a description.
        limits: numbers the drive solver must respect here.
        place: datums and the style's plan, numbers only.
        build: the solids, in the mount frame; loads the kernel inside.
        examples: options by which the style is tested and listed, the defaults among them.
    """

    drive: Literal["rocking-wire", "push-rod"]
    options: type[Model]
    limits: Callable[[MountSpec, Any], Limits]
    place: Callable[[MountSpec, Drive, Any], tuple[Datums, Plan]]
    build: Callable[[Design, Any], tuple[Part, ...]]
    examples: tuple[dict[str, Any], ...]


def names() -> tuple[str, ...]:
    """The styles there are, without importing any of them."""
    return tuple(
        sorted(found.name.replace("_", "-") for found in pkgutil.iter_modules(__path__) if found.name[0] != "_")
    )


@cache
def summary(name: str) -> str:
    """The first line of a style's docstring."""
    module = importlib.import_module(f"{__name__}.{name.replace('-', '_')}")
    return (module.__doc__ or "").strip().splitlines()[0]


@cache
def styles() -> Mapping[str, Style]:
    """Every style by name; a style file without docstring, STYLE or example is refused loudly."""
    found: dict[str, Style] = {}
    for name in names():
        module = importlib.import_module(f"{__name__}.{name.replace('-', '_')}")
        style = getattr(module, "STYLE", None)
        if not (module.__doc__ and isinstance(style, Style) and style.examples):
            raise TypeError(f"{module.__name__}: a style needs a docstring, STYLE and an example")
        found[name] = style
    return MappingProxyType(found)
