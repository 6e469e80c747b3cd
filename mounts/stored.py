"""What ``report.json`` of a folder says, read without believing it: a torn or foreign one is as none.

A report carries a seal, the SHA-256 of its own bytes with the seal left empty, so that any change of it is seen.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

REPORT = "report.json"
_EMPTY = b'\n  "seal": ""'
_SEALED = re.compile(rb'\n  "seal": "([0-9a-f]{64})"')


@dataclass(frozen=True)
class Stored:
    """A report as it lies in a folder, of whichever version; empty where there is none.

    Attributes:
        content: the file's bytes.
        data: its keys.
    """

    content: bytes
    data: Mapping[str, Any]

    @property
    def files(self) -> dict[str, str]:
        """SHA-256 by name of the files it was written with."""
        return files_of(self.data)

    @property
    def is_sealed(self) -> bool:
        """Whether the bytes are those that were sealed."""
        return is_sealed(self.content)


def stored(folder: Path, schema: str = "") -> Stored:
    """The report in a folder.

    Args:
        folder: a mount's or a layout's.
        schema: what its ``schema`` begins with; another's is as none.
    """
    try:
        content = (folder / REPORT).read_bytes()
        data = json.loads(content)
    except (OSError, ValueError, RecursionError):
        return Stored(b"", {})
    if not isinstance(data, dict) or not str(data.get("schema", "")).startswith(schema):
        return Stored(b"", {})
    return Stored(content, data)


def files_of(report: Mapping[str, Any]) -> dict[str, str]:
    """SHA-256 by name of the files that a report was written with."""
    listed = report.get("files")
    found = listed.items() if isinstance(listed, dict) else ()
    return {name: digest for name, digest in found if isinstance(digest, str)}


def seal(content: bytes) -> bytes:
    """A report's JSON, indented by 2, whose empty top-level ``seal`` is filled in."""
    return content.replace(_EMPTY, _EMPTY[:-1] + hashlib.sha256(content).hexdigest().encode() + b'"')


def is_sealed(content: bytes) -> bool:
    """Whether the bytes are those that were sealed."""
    found = _SEALED.search(content)
    return found is not None and seal(content.replace(found[0], _EMPTY)) == content
