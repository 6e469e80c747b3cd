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

from mounts.errors import InputError
from mounts.inputs.load import nearest, one_of, read_model

if TYPE_CHECKING:
    from mounts.design import Datums, Design, Plan
    from mounts.drive.model import Drive, Limits
    from mounts.inputs.model import Model
    from mounts.inputs.spec import MountSpec
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
def _style(name: str) -> Style:
    """A style by name; a style file without docstring, STYLE or example is refused loudly."""
    module = importlib.import_module(f"{__name__}.{name.replace('-', '_')}")
    style = getattr(module, "STYLE", None)
    if not (module.__doc__ and isinstance(style, Style) and style.examples):
        raise TypeError(f"{module.__name__}: a style needs a docstring, STYLE and an example")
    return style


def styles() -> Mapping[str, Style]:
    """Every style by name."""
    return MappingProxyType({name: _style(name) for name in names()})


def check_name(name: str, *, where: str = "--style") -> None:
    """Whether there is such a style, without importing any.

    Raises:
        InputError: there is none; the line names the nearest, behind ``where``.
    """
    if name not in names():
        near = nearest(name, names())
        known = f"nearest is '{near}'" if near else f"must be {one_of(names())}"
        raise InputError(f"{where} = {name!r}: no such style; {known}")


def style_of(name: str, *, where: str = "--style") -> Style:
    """The style of that name.

    Raises:
        InputError: as ``check_name``.
    """
    check_name(name, where=where)
    return _style(name)


def style_options(spec: MountSpec, *, file: str = "--set", where: str = "") -> Model:
    """The options of ``--set``, validated against the style's own model, defaults filled in.

    Args:
        spec: names the style; its ``options`` are as written.
        file: named in front of each fault.
        where: dotted path of the options inside the file.

    Raises:
        InputError: a line for each unknown name and each value out of range.
    """
    return read_model(spec.options, style_of(spec.style).options, file, where)
