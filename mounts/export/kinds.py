"""What the drawings ask of a kind of drive: its wire, and the paper to drill through."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from mounts.design import Design
from mounts.drive.kinds import kind_of
from mounts.export.paper import Paper
from mounts.mesh import PartMesh


@dataclass(frozen=True)
class Drawing:
    """A kind on paper, at 1:1.

    Attributes:
        wire: draws the wire, bent and straight, and says what each bend is.
        template: draws the mount between what lies round it, and what is drilled and cut.
    """

    wire: Callable[[Paper, Design], list[str]]
    template: Callable[[Paper, Design, Sequence[PartMesh]], None]


def drawing(design: Design) -> Drawing:
    """How a design's kind of drive is drawn."""
    return kind_of(design.drive).part("export", Drawing)
