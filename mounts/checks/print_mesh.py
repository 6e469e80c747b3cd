"""Can the part be printed as it is? Everything is measured on the mesh that is exported."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.checks import bores, layers, overhang, soundness, stability, thickness
from mounts.checks.duty import NO_DUTY, Duty
from mounts.checks.facets import Facets
from mounts.checks.model import Check
from mounts.inputs.printer import Filament, Printer
from mounts.mesh import PartMesh


def check_print(mesh: PartMesh, printer: Printer, filament: Filament, duty: Duty = NO_DUTY) -> Iterator[Check]:
    """Every print check of one part, print frame.

    Args:
        mesh: the part as exported.
        printer: nozzle, layers, bed and limits.
        filament: its density.
        duty: what the part has to bear.

    Yields:
        ``on-bed bed closed one-body volume through-holes wall skin gap hole two-lines island
        overhang bridge contact-area balance knock elephant-foot``; ``skin``, ``gap`` and ``hole``
        only where there is such a thing. Of a mesh that is not closed, or is turned inside out, nothing
        more can be measured: only the first rows come.
    """
    facets = Facets.of(mesh)
    yield from stability.check_bed(mesh, facets, printer)
    closed = soundness.check_closed(mesh, facets)
    yield closed
    if closed.verdict == "fail":
        return
    yield from soundness.check_body(mesh, facets)
    if facets.solid.volume() <= 0:
        return

    yield from thickness.check_thickness(mesh, facets, printer, duty)
    cut = layers.cut(facets, printer)
    hole = bores.check_holes(mesh, cut, printer, duty)
    if hole:
        yield hole
    yield layers.check_two_lines(mesh, cut, printer)
    yield layers.check_islands(mesh, cut)
    yield from overhang.check_overhang(mesh, facets, printer)
    yield from stability.check_stability(mesh, facets, filament)
    foot = stability.check_foot(mesh, facets, printer)
    if foot:
        yield foot
