"""The plates of a layout: for each printer and filament, from the STL files that were written."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from mounts.export.plates import Bed, Piece, Plate, pack, placed_object
from mounts.export.threemf import render_3mf
from mounts.frames import matrix
from mounts.inputs.printer import Printer
from mounts.mesh import PartMesh
from mounts.report.layout import GOOD, MountRow, PartFile, PlateRow
from mounts.report.printing import plate_minutes
from mounts.stl import read_stl


@dataclass(frozen=True)
class Bedload:
    """One plate: its row, its file, the bed, and what lies where on it."""

    row: PlateRow
    content: bytes
    bed: Bed
    plate: Plate


def bedloads(
    folder: Path, title: str, mounts: Sequence[tuple[MountRow, Printer]], *, brim_mm: float, spacing_mm: float
) -> tuple[list[Bedload], list[str]]:
    """Every plate in order, and the names of what no bed takes with its brim.

    Args:
        folder: of the layout; the parts are read from it.
        title: of the 3MF files.
        mounts: rows with the printers they are for; failed ones are left out.
        brim_mm: kept free round each part.
        spacing_mm: kept free between brims.

    Raises:
        OSError: a part is gone.
    """
    found: list[Bedload] = []
    left_out: list[str] = []
    groups = {(printer.name, row.filament): printer for row, printer in mounts if row.verdict in GOOD}
    for (printer_name, filament), printer in sorted(groups.items()):
        rows = [
            row for row, own in mounts
            if row.verdict in GOOD and (own.name, row.filament) == (printer_name, filament)
        ]  # fmt: skip
        bed = Bed(printer.bed_x_mm, printer.bed_y_mm, brim_mm, spacing_mm)
        plates, unplaced = pack([piece for row in rows for piece in _pieces(row)], bed)
        left_out += [piece.name for piece in unplaced]
        parts = {(row.id, part.name): part for row in rows for part in row.parts}
        for plate in plates:
            name = f"plates/plate-{len(found) + 1:02}.3mf"
            row = _row(name, plate, [parts[place.piece.mount, place.piece.part] for place in plate], printer, filament)
            found.append(Bedload(row, _render(folder, f"{title}, {name}", plate, parts), bed, plate))
    return found, left_out


def object_name(mount_id: str, part: str, copy: int, copies: int) -> str:
    """What a slicer lists: the mount, its part, and which copy where there are several.

    Args:
        mount_id: of the mount.
        part: name of the part; empty where a mount has only one.
        copy: which copy, from 1.
        copies: how many there are.
    """
    name = f"{mount_id}-{part}" if part else mount_id
    return f"{name} copy {copy} of {copies}" if copies > 1 else name


def _pieces(row: MountRow) -> Iterator[Piece]:
    for copy in range(1, row.copies + 1):
        for part in row.parts:
            yield Piece(object_name(row.id, part.name, copy, row.copies), row.id, part.name, part.size_mm)


def _row(name: str, plate: Plate, parts: Iterable[PartFile], printer: Printer, filament: str) -> PlateRow:
    on_it = list(parts)
    height_mm = max(part.size_mm[2] for part in on_it)
    minutes = plate_minutes((part.print_minutes or 0.0, part.cooling_minutes) for part in on_it)
    return PlateRow(
        file=name,
        printer=printer.name,
        filament=filament,
        objects=tuple(place.piece.name for place in plate),
        height_mm=height_mm,
        mass_g=sum(part.mass_g for part in on_it),
        hours=minutes / 60,
    )


def _render(folder: Path, title: str, plate: Plate, parts: dict[tuple[str, str], PartFile]) -> bytes:
    meshes: dict[tuple[str, str], PartMesh] = {}
    for place in plate:
        key = place.piece.mount, place.piece.part
        if key not in meshes:
            meshes[key] = _mesh(folder, parts[key])
    return render_3mf([placed_object(place, meshes[place.piece.mount, place.piece.part]) for place in plate], title)


def _mesh(folder: Path, part: PartFile) -> PartMesh:
    vertices, faces = read_stl((folder / part.file).read_bytes())
    nowhere = matrix(np.eye(3), np.zeros(3))  # a plate has no need to know where in the mount it goes
    return PartMesh(part.name, vertices, faces, nowhere, part.volume_mm3, part.size_mm, 0)
