"""A report's seal: the SHA-256 of its own bytes with the seal left empty, so that any change of it is seen."""

from __future__ import annotations

import hashlib
import re

_EMPTY = b'\n  "seal": ""'
_SEALED = re.compile(rb'\n  "seal": "([0-9a-f]{64})"')


def seal(content: bytes) -> bytes:
    """A report's JSON, indented by 2, whose empty top-level ``seal`` is filled in."""
    return content.replace(_EMPTY, _EMPTY[:-1] + hashlib.sha256(content).hexdigest().encode() + b'"')


def is_sealed(content: bytes) -> bool:
    """Whether the bytes are those that were sealed."""
    found = _SEALED.search(content)
    return found is not None and seal(content.replace(found[0], _EMPTY)) == content
