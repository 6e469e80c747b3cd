"""Rows of a layout's report, of mounts that nobody made."""

from mounts.report.layout import MountRow, PartFile


def part(name="", role="frame", size_mm=(40.0, 30.0, 20.0), minutes=30.0, cooling=0.0):
    """A part of that box and time."""
    return PartFile(
        name=name, file="part.stl", mass_g=2.0, print_minutes=minutes, cooling_minutes=cooling, size_mm=size_mm,
        volume_mm3=1.0, role=role,
    )  # fmt: skip


def mount(id_, *parts, copies=1, tried_by=None, filament="petg", verdict="pass"):
    """The row of a mount."""
    return MountRow(
        id=id_, verdict=verdict, style="hut", mirror=False, servo="micro-9g", scale="HO", printer="", filament=filament,
        board="12 mm", board_mm=12.0, copies=copies, family=None, x_mm=None, y_mm=None, heading_deg=None, parts=parts,
        tried_by=tried_by, made_from="",
    )  # fmt: skip
