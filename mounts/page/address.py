"""A design as the address of the page, and as the command line that makes the same."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Mapping
from typing import Any
from urllib.parse import quote, urlencode

from mounts.inputs.request import MountRequest
from mounts.page.fields import OWN

Values = Mapping[str, str]
"""What stands in the form, by field; empty: not given."""

FIRST: Values = {"id": "mount-1", "style": "under-bracket", "board": "12 mm", "scale": "HO", "servo": "micro-9g"}
"""What an empty address shows: the most usual mount. Common practice, no source."""

_MOST_FIELDS, _LONGEST = 64, 200  # of an address; no design needs more
YES_OR_NO = tuple(name for name, field in MountRequest.model_fields.items() if field.annotation is bool)
_PARTED_BY = ";"  # lengths of other tracks: a comma is a decimal sign too


def values_of(pairs: Iterable[tuple[str, str]]) -> dict[str, str]:
    """The form as an address has it; what is too long or too much is left out, what is unknown is told of later."""
    found: dict[str, str] = {}
    for key, value in pairs:
        if len(found) < _MOST_FIELDS and len(key) <= _LONGEST and len(value) <= _LONGEST and value.strip():
            found[key] = value.strip()
    return found


def address(values: Values, path: str = "/") -> str:
    """The address that shows what stands in the form."""
    given = [(key, value) for key, value in values.items() if value]
    return f"{path}?{urlencode(given, quote_via=quote)}" if given else path


def options_of(values: Values) -> dict[str, Any]:
    """Options of ``mounts make`` as text, from a form."""
    found: dict[str, Any] = {}
    own: list[str] = []
    for key, value in values.items():
        text = value.strip()
        if not text:
            continue
        if key.startswith(OWN):
            own.append(f"{key.removeprefix(OWN)}={text}")
        elif key in YES_OR_NO:
            found[key] = {"true": True, "false": False}.get(text.casefold(), text)
        elif key == "other_track":
            found[key] = [part.strip() for part in text.split(_PARTED_BY) if part.strip()]
        else:
            found[key] = text
    return found | ({"set": own} if own else {})


def command_line(values: Values, folder: str) -> str:
    """What makes the same mount on a terminal, whatever shell reads it.

    Args:
        values: of the form.
        folder: where servos that are files of their own lie.
    """
    words = ["mounts", "make"]
    for key, value in options_of(values).items():
        if value is False or (key not in YES_OR_NO and value == MountRequest.model_fields[key].default
                              if key in MountRequest.model_fields else False):  # fmt: skip
            continue
        flag = "--" + key.replace("_", "-")
        if value is True:
            words.append(flag)
        elif isinstance(value, list):
            for each in value:
                words += [f"{flag}={each}"] if each.startswith("-") else [flag, each]
        else:
            written = f"{folder}/{value}" if key == "servo" and value.endswith(".toml") else value
            words += [f"{flag}={written}"] if written.startswith("-") else [flag, written]
    return shlex.join(words)
