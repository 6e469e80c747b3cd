"""The plates of a layout: for each printer, filament and role of parts, from the STL files that were written."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from operator import itemgetter
from pathlib import Path
from typing import NamedTuple

import numpy as np

from mounts.export.plates import Bed, Piece, Plate, pack, placed_object
from mounts.export.threemf import render_3mf
from mounts.frames import matrix
from mounts.inputs.printer import Printer
from mounts.mesh import PartMesh, Role
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
    folder: Path, title: str, mounts: Sequence[tuple[MountRow, Printer]], *, brim_mm: float, spacing_mm: float,
    max_hours: float | None,
) -> tuple[list[Bedload], list[str]]:  # fmt: skip
    """Every plate in order, and the names of what no bed takes with its brim.

    First come the mounts that are tried first, a copy of each, then the rest. A plate has one printer, one filament and
    parts of one role, which are printed in one colour.

    Args:
        folder: of the layout; the parts are read from it.
        title: of the 3MF files.
        mounts: rows with the printers they are for; failed ones are left out.
        brim_mm: kept free round each part.
        spacing_mm: kept free between brims.
        max_hours: that a plate may take; a part that takes longer by itself has one to itself. None: no limit.

    Raises:
        OSError: a part is gone.
    """
    good = [(row, printer) for row, printer in mounts if row.verdict in GOOD]
    printers = {printer.name: printer for _, printer in good}
    parts = {(row.id, part.name): part for row, _ in good for part in row.parts}

    def on(pieces: Iterable[Piece]) -> list[PartFile]:
        return [parts[piece.mount, piece.part] for piece in pieces]

    def soon_enough(pieces: Iterable[Piece]) -> bool:
        return max_hours is None or _hours(on(pieces)) <= max_hours

    found: list[Bedload] = []
    left_out: list[str] = []
    for group, pieces in sorted(_grouped(good).items(), key=itemgetter(0)):
        printer = printers[group.printer]
        bed = Bed(printer.bed_x_mm, printer.bed_y_mm, brim_mm, spacing_mm)
        plates, unplaced = pack(pieces, bed, None if max_hours is None else soon_enough)
        left_out += [piece.name for piece in unplaced]
        for plate in plates:
            row = _row(f"plates/plate-{len(found) + 1:02}.3mf", group, plate, on(place.piece for place in plate))
            row = row.model_copy(update={"over_limit": max_hours is not None and row.hours > max_hours})
            content = _render(folder, f"{title}, {row.file}: {row.what_for}", plate, parts)
            found.append(Bedload(row, content, bed, plate))
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


class _Group(NamedTuple):
    """What may share a plate, in the order to print it."""

    later: bool
    printer: str
    filament: str
    role: Role


def _grouped(mounts: Iterable[tuple[MountRow, Printer]]) -> Mapping[_Group, list[Piece]]:
    groups: dict[_Group, list[Piece]] = defaultdict(list)
    for row, printer in mounts:
        for copy, part in product(range(1, row.copies + 1), row.parts):
            name, minutes = object_name(row.id, part.name, copy, row.copies), part.print_minutes or 0.0
            group = _Group(copy > 1 or row.tried_by != row.id, printer.name, row.filament, part.role)
            groups[group].append(Piece(name, row.id, part.name, part.size_mm, minutes))
    return groups


def _hours(parts: Iterable[PartFile]) -> float:
    return plate_minutes((part.print_minutes or 0.0, part.cooling_minutes) for part in parts) / 60


def _row(name: str, group: _Group, plate: Plate, parts: Sequence[PartFile]) -> PlateRow:
    return PlateRow(
        file=name,
        try_first=not group.later,
        role=group.role,
        printer=group.printer,
        filament=group.filament,
        objects=tuple(place.piece.name for place in plate),
        height_mm=max(part.size_mm[2] for part in parts),
        mass_g=sum(part.mass_g for part in parts),
        hours=_hours(parts),
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
    return PartMesh(part.name, vertices, faces, nowhere, part.volume_mm3, part.size_mm, 0, part.role)
