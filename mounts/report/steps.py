"""How to put a mount up, in the order that works; each step that needs power begins by saying so."""

from __future__ import annotations

from mounts.design import Design
from mounts.report.kinds import telling


def steps(design: Design) -> tuple[str, ...]:
    """Sentences to follow one after the other, with the numbers of this mount in them."""
    return telling(design.drive).steps(design)
