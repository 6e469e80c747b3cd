"""The test piece as files, with the print checks of a mount."""

from __future__ import annotations

import json
from dataclasses import dataclass

from mounts.checks.model import Check
from mounts.checks.print_mesh import check_print
from mounts.coupon.key import render_answers, render_key
from mounts.coupon.plan import Coupon, rises_deg
from mounts.inputs.printer import Filament
from mounts.mesh import PartMesh
from mounts.report.model import worst
from mounts.report.printing import printed

ANSWERS = "answers.toml"
STEM = "coupon"


@dataclass(frozen=True)
class MadeCoupon:
    """The test piece.

    Attributes:
        files: content by name; no STL where a check failed.
        checks: of every part.
        meshes: of every part, print frame.
        told: name, grams and minutes of every part.
    """

    files: dict[str, bytes]
    checks: tuple[Check, ...]
    meshes: tuple[PartMesh, ...]
    told: tuple[tuple[str, float, float], ...]


def make_coupon(coupon: Coupon, filament: Filament) -> MadeCoupon:
    """Draws, checks and renders it.

    Raises:
        BuildError: the kernel could not do a step.
    """
    from mounts.coupon.build import pieces
    from mounts.solid.tessellate import export_mesh

    exported = [(*export_mesh(part, coupon.printer), duty) for part, duty in pieces(coupon)]
    meshes = tuple(mesh for mesh, _, _ in exported)
    checks = tuple(
        check for mesh, _, duty in exported for check in check_print(mesh, coupon.printer, filament, duty)
    )  # fmt: skip
    told = []
    for mesh in meshes:
        found = printed(mesh, coupon.printer, filament)
        told.append((mesh.name, found.mass_g, found.minutes or 0.0))
    good = worst(checks) != "fail"
    files = {f"{STEM}-{mesh.name}.stl": stl for mesh, stl, _ in exported} if good else {}
    files |= {f"{STEM}.txt": render_key(coupon).encode(), ANSWERS: render_answers(coupon).encode()}
    return MadeCoupon(files | {f"{STEM}.json": _json(coupon, checks)}, checks, meshes, tuple(told))


def _json(coupon: Coupon, checks: tuple[Check, ...]) -> bytes:
    """Every step as it is marked and drawn, for programs."""
    content = {
        "schema": "coupon/1",
        "printer": coupon.printer.name,
        "servo": coupon.servo.name,
        "screw": coupon.fixing.name,
        "wire_mm": coupon.wire_mm,
        "protractor_deg": 2 * rises_deg(coupon.servo),
        "specimens": [
            {
                "letter": each.letter,
                "key": each.key,
                "title": each.title,
                "figures": list(each.figures),
                "drawn": [round(size, 6) for size in each.drawn],
            }
            for each in coupon.specimens
        ],
        "checks": [check.model_dump(mode="json") for check in checks],
    }
    return (json.dumps(content, ensure_ascii=False, indent=1) + "\n").encode()
