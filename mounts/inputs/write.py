"""A profile as TOML text, which ``load`` reads back to the same values."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any


def write_toml(data: Mapping[str, Any], comments: Mapping[str, str] | None = None) -> str:
    """Plain values first, then tables, each under its dotted head; keys keep their order.

    Args:
        data: str, bool, int, float, lists of these or of flat tables, and tables to any depth; None is
            left out everywhere.
        comments: text put behind a top-level plain value.

    >>> print(write_toml({"title": "mine", "radii": [5.0, 7.0], "source": {"all": {"mark": "M"}}}))
    title = "mine"
    radii = [5.0, 7.0]
    <BLANKLINE>
    [source.all]
    mark = "M"
    <BLANKLINE>
    """
    lines = []
    for key, value in data.items():
        if not isinstance(value, Mapping) and value is not None:
            comment = (comments or {}).get(key)
            lines.append(f"{key} = {_value(value)}" + (f"  # {comment}" if comment else ""))
    for key, value in data.items():
        if isinstance(value, Mapping):
            lines += _table(key, value)
    return "\n".join(lines) + "\n"


def _table(head: str, table: Mapping[str, Any]) -> list[str]:
    plain = {key: value for key, value in table.items() if not isinstance(value, Mapping | None)}
    lines = ["", f"[{head}]", *(f"{key} = {_value(value)}" for key, value in plain.items())] if plain else []
    for key, value in table.items():
        if isinstance(value, Mapping):
            lines += _table(f"{head}.{key}", value)
    return lines


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {_value(item)}" for key, item in value.items() if item is not None) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_value(item) for item in value) + "]"
    return json.dumps(value, ensure_ascii=False)
