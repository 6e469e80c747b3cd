"""Room 3: one file, one mount style. The file's name with '-' is its name on the command line.

A style module has a docstring (its first line is the summary) and a ``STYLE``. Nothing else is edited to
add one: modules of this folder without a leading underscore are discovered.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from mounts.errors import Fault, Gathered, InputError, placed
from mounts.inputs.load import nearest, one_of, read_model
from mounts.inputs.model import shown
from mounts.inputs.request import MountRequest

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
        drive: the kind of drive it works with, a name of ``mounts.drive.kinds``.
        options: model of what ``--set`` takes here; every field has bounds, a unit and a description.
        limits: numbers the drive solver must respect here.
        place: datums and the style's plan, numbers only.
        build: the solids, in the mount frame; loads the kernel inside.
        fixed: the request with what fixes the mount to its board, where that was left free; None: as asked.
        examples: options by which the style is tested and listed, the defaults among them.
        cures: check → what to change here where it warns or fails, in options of this style; a check has words of its
            own for styles that say nothing. ``tie-bar-reach``: what the steps name where the tie bar is elsewhere.
        others: what else the style may choose by itself where its first choice has no drive, best first.
    """

    drive: str
    options: type[Model]
    limits: Callable[[MountSpec, Any], Limits]
    place: Callable[[MountSpec, Drive, Any], tuple[Datums, Plan]]
    build: Callable[[Design, Any], tuple[Part, ...]]
    examples: tuple[dict[str, Any], ...]
    cures: Mapping[str, str] = field(default_factory=dict)
    others: Callable[[Any], tuple[Any, ...]] = lambda options: ()
    fixed: Callable[[MountSpec, Any], MountSpec] | None = None


def names() -> tuple[str, ...]:
    """The styles there are, without importing any of them."""
    return _names_in(tuple(__path__))


@cache
def _names_in(folders: tuple[str, ...]) -> tuple[str, ...]:
    """The folders are read once: a layout asks for every mount."""
    found = (module.name for module in pkgutil.iter_modules(folders))
    return tuple(sorted(name.replace("_", "-") for name in found if name[0] != "_"))


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


def check_name(name: str) -> None:
    """Whether there is such a style, without importing any.

    Raises:
        InputError: there is none; the fault names the nearest.
    """
    if name not in names():
        near = nearest(name, names())
        known = f"nearest is '{near}'" if near else f"must be {one_of(names())}"
        raise InputError(Fault(f"no such style; {known}", written=repr(name)))


def style_of(name: str) -> Style:
    """The style of that name.

    Raises:
        InputError: as ``check_name``.
    """
    check_name(name)
    return _style(name)


def cure(name: str, check: str, otherwise: str) -> str:
    """What to change where a check warns or fails of a style, to follow ``use``.

    Args:
        name: of the style.
        check: its name.
        otherwise: what can be changed in any style.
    """
    return style_of(name).cures.get(check, otherwise)


def check_used(name: str, given: Mapping[str, object], at_fault: bool = False) -> None:
    """Whether a style has a use for every option that was given for this mount.

    Args:
        name: of the style.
        given: options of the mount itself, as written; empty ones and defaults do not count.
        at_fault: other faults were found, so that no mount is made: the style is not imported for what nearly every
            kind of drive takes, and its refusal comes once they are mended.

    Raises:
        InputError: a fault for each that it has no use for.
    """
    from mounts.drive.kinds import Kind, kinds

    fields = MountRequest.model_fields
    every = kinds()

    def is_asked(key: str) -> bool:
        return bool(given.get(key)) and given[key] != fields[key].default

    def is_likely(kind: Kind) -> bool:
        return not (at_fault and kind.own_options) or any(map(is_asked, kind.own_options))

    likely = filter(is_likely, every.values())
    asked = {key for kind in likely for key in (*kind.unused[1], *kind.own_options) if is_asked(key)}
    if not asked:
        return  # no need to import the style
    drive = style_of(name).drive
    why, keys = every[drive].unused
    reasons = dict.fromkeys(keys, why)
    for other, kind in every.items():
        if other != drive:
            reasons |= dict.fromkeys(kind.own_options, f"it is for a {other.replace('-', ' ')}")
    faults = [
        Fault(f"does not apply to {name}: {why}; leave it out", (key,), shown(given[key]))
        for key, why in reasons.items() if key in asked
    ]  # fmt: skip
    if faults:
        raise InputError(*faults)


def check_asked(name: str, options: Mapping[str, object], given: Mapping[str, object], at_fault: bool = False) -> None:
    """All that can be said of a request by its style: the name, what it has no use for, the options of ``--set``.

    No style is imported where none of these was given.

    Args:
        name: of the style.
        options: of ``--set``.
        given: as for ``check_used``.
        at_fault: as for ``check_used``.

    Raises:
        InputError: every fault of the three, at the keys of the request.
    """
    with placed("style"):
        check_name(name)
    found = Gathered()
    found.of(lambda: check_used(name, given, at_fault))
    if options:
        found.of(lambda: _read(options, name), "set")
    found.tell()


def _read(options: Mapping[str, object], name: str) -> Model:
    """The options of a style; of one that only other styles have it is said which."""
    own = style_of(name).options
    try:
        return read_model(options, own)
    except InputError as error:
        strange = options.keys() - own.model_fields.keys()
        told = (_elsewhere(fault) if strange & set(fault.place) else fault for fault in error.faults)
        raise InputError(*told) from None


def _elsewhere(fault: Fault) -> Fault:
    having = [name for name, style in styles().items() if style.options.model_fields.keys() & set(fault.place)]
    return replace(fault, said=f"{fault.said}; it is for {one_of(having)}") if having else fault


def settled(spec: MountSpec, options: Model) -> MountSpec:
    """The request with every choice made that style and board decide before there is a drive: what fixes the mount.

    Args:
        spec: the request.
        options: of its style, validated.

    Raises:
        NoDesign: what was asked for can't fix it.
    """
    fixed = style_of(spec.style).fixed
    return spec if fixed is None else fixed(spec, options)


def style_options(spec: MountSpec) -> Model:
    """The options of ``--set``, validated against the style's own model, defaults filled in.

    Args:
        spec: names the style; its ``options`` are as written.

    Raises:
        InputError: a fault for each unknown name and each value out of range.
    """
    with placed("set"):
        return read_model(spec.options, style_of(spec.style).options)
