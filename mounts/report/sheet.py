"""The sheet to take to the layout: what to have at hand, what to do, what to mind; plain text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from mounts.design import Design
from mounts.report.cautions import cautions
from mounts.report.hardware import hardware
from mounts.report.steps import steps
from mounts.units import wrapped

_WIDE = 80  # as in words.py


def render_sheet(design: Design) -> bytes:
    """Hardware, tools, numbered steps and cautions of a mount, UTF-8, lines of 80 columns."""
    spec = design.spec
    mirrored = ", mirrored" if spec.mirror else ""
    bought = [item for item in hardware(design) if not item.tool]
    tools = [item for item in hardware(design) if item.tool]
    lines = [
        f"{spec.id}: {spec.style}{mirrored}, {spec.servo.name}, {spec.scale.name}, board {spec.board.name}",
        "",
        "Have at hand",
        *_folded((f"{item.quantity} × " for item in bought), (f"{item.item}, {item.size}" for item in bought)),
        "",
        "Tools",
        *_folded(("- " for _ in tools), (f"{item.item}: {item.size}" for item in tools)),
        "",
        "Steps",
        *_folded((f"{count}. " for count in range(1, 100)), steps(design)),
        "",
        "Cautions",
        *_folded(("- " for _ in range(100)), cautions(spec)),
    ]
    return ("\n".join(lines) + "\n").encode()


def _folded(marks: Iterable[str], sentences: Iterable[str]) -> Iterator[str]:
    for mark, sentence in zip(marks, sentences, strict=False):
        yield from wrapped(sentence, _WIDE, first=f"  {mark}", others=" " * (2 + len(mark)))
