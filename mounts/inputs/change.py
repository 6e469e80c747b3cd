"""A mount's resolved request with a few things asked differently."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field

from mounts.errors import Fault, Gathered, InputError
from mounts.inputs.model import Model
from mounts.inputs.request import (
    LONGEST_ID,
    BoardWritten,
    Length,
    MaxDepthWritten,
    MountRequest,
    RoadbedWritten,
    band_n,
    safe_name,
)
from mounts.units import number

if TYPE_CHECKING:
    from mounts.inputs.library import Library
    from mounts.inputs.spec import MountSpec


def _same(field: str) -> str | None:
    return MountRequest.model_fields[field].description


class Changes(Model):
    """What ``mounts adapt`` takes; None stays as it is."""

    id: Annotated[str, AfterValidator(safe_name)] | None = Field(
        None, description="name of the new mount; the old one's with what is changed behind it by default"
    )
    board: BoardWritten | None = Field(None, description=_same("board"))
    roadbed: RoadbedWritten = Field(None, description="thickness under the track, or a roadbed profile")
    servo: str | None = Field(None, description=_same("servo"))
    throw: Length | None = Field(None, description="tie-bar travel end to end")
    force: Annotated[tuple[float, float], BeforeValidator(band_n)] | None = Field(
        None, description="force wanted at the blades, N, low to high"
    )
    screw: str | None = Field(None, description=_same("screw"))
    max_depth: MaxDepthWritten = Field(None, description="allowed below the board")


def change(spec: MountSpec, written: Mapping[str, Any], library: Library) -> MountSpec:
    """The request with the changes in place.

    The tie-bar pin keeps its height above the roadbed. A pinned depth is set free, as are arm hole and
    swing where the servo is another: they were pinned for what is no longer there.

    Args:
        spec: as it is.
        written: keys of ``Changes``; None stays as it is.
        library: where profiles are looked up.

    Raises:
        InputError: every fault at once; nothing is changed at all; or a default id that would be too long.
    """
    # here, for the command line reads its help from Changes and is quicker without the profiles
    from mounts.inputs.load import read_model, sound_part
    from mounts.inputs.resolve import board_of, max_depth_of, roadbed_of, throw_of

    sound, faults = sound_part({key: value for key, value in written.items() if value is not None}, Changes)
    changes, gathered = read_model(sound, Changes), Gathered(*faults)
    finders: dict[str, tuple[str, Callable[[Any], object]]] = {
        "board": ("board", lambda board: board_of(board, library)),
        "roadbed": ("roadbed", lambda roadbed: roadbed_of(roadbed, library, spec.scale)),
        "servo": ("servo", library.servo),
        "throw": ("throw_mm", lambda throw: throw_of(throw, spec.scale)),
        "force": ("force_n", lambda force: force),
        "screw": ("fixing", library.fixing),
        "max_depth": ("max_depth_mm", max_depth_of),
    }
    asked = [(option, *finders[option], getattr(changes, option)) for option in finders if option in sound]
    found: dict[str, Any] = {key: gathered.of(partial(find, value), option) for option, key, find, value in asked}
    gathered.tell()
    if all(getattr(spec, key) == value for key, value in found.items()):
        said = "nothing to change: give another --board, --roadbed, --servo, --throw, --force or --screw"
        raise InputError(Fault(said))
    if "board" in found:
        found |= {"pad_mm": 0.0, "frame_mm": 0.0, "bonded": False}  # all were chosen for the other board
    if "fixing" in found:
        found |= {"fixing_stock": ()}
    if "roadbed" in found:
        found["pin_height_mm"] = spec.pin_height_mm + found["roadbed"].thickness_mm - spec.roadbed.thickness_mm
    if "servo" in found:
        found |= {"arm_hole_mm": None, "swing_deg": None}
    found |= {"depth_mm": None, "id": changes.id or _default_id(spec, found)}
    return spec.model_copy(update=found)


def _default_id(spec: MountSpec, found: dict[str, Any]) -> str:
    """The old id with what is another: ``east-1-18mm``, ``east-1-mini-20g``, ``east-1-throw3mm``."""
    tags: dict[str, Callable[[], str]] = {
        "board": lambda: f"{number(found['board'].thickness_mm)}mm",
        "roadbed": lambda: f"roadbed{number(found['roadbed'].thickness_mm)}mm",
        "servo": lambda: found["servo"].name,
        "throw_mm": lambda: f"throw{number(found['throw_mm'])}mm",
        "force_n": lambda: f"force{number(found['force_n'][0])}-{number(found['force_n'][1])}N",
        "fixing": lambda: found["fixing"].name,
    }
    parts = [tag() for key, tag in tags.items() if key in found and found[key] != getattr(spec, key)]
    name = "-".join([spec.id, *parts]) if parts else f"{spec.id}-adapted"
    if len(name) > LONGEST_ID:
        raise InputError(Fault(f"must be given, {name!r} is longer than {LONGEST_ID} characters", ("id",)))
    return name
