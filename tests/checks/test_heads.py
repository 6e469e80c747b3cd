"""What the heads of fixing screws do to the print at the servo's stall; the stress: styles/test_screw_heads.py."""

from __future__ import annotations

import math

import pytest
from plain import bracket, mesh, plate, with_plan, with_spec

from mounts.checks.heads import check_head

ON_EDGE = ((0.0, 0.0, 1.0, 0.0), (1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 0.0, 1.0))
CONE = 1 / (math.pi * (2.8**2 - 1.7**2))  # under the plain bracket's heads, 5.6 mm in holes of 3.4, per N square to it
RING = (4.0**2 + 2.25**2) / (4.0**2 - 2.25**2)  # from the middle of its cone to 1.2 mm beyond the head


@pytest.mark.parametrize("filament", [(44.0, 25.0), (20.0, 30.0)])
def test_what_a_head_may_load_is_the_plastics_across_its_layers_or_along(filament: tuple[float, float]) -> None:
    """Twice the pull that is told, in 3.5 mm of plate, over 0.85 of the strength: along the layers where the plate lies
    on the bed, across them where it stands; from both sides of the limit; the plate is the thinnest at any head."""
    design = with_spec(bracket(), "filament", tensile_mpa=filament[0], tensile_z_mpa=filament[1])
    for turned, strength in ((None, filament[0]), (ON_EDGE, filament[1])):
        for share in (0.98, 1.02):
            pull = share * 0.85 * strength / (2.0 * CONE * RING * 0.5)
            row = check_head(design, (mesh(plate(), print_to_mount=turned),), pull)
            assert row is not None
            assert row.value == pytest.approx(share * 0.85 * strength)
            assert row.limit == pytest.approx(0.85 * strength)
            assert row.verdict == ("pass" if share < 1 else "fail")
            assert ("across" if turned else "along") in row.message
    first, *others = design.plan.screws
    thin = with_plan(design, screws=(first.model_copy(update={"head": (*first.head[:2], -12.0 - 1.6)}), *others))
    row = check_head(thin, (mesh(plate()),), 10.0)
    assert row is not None
    assert row.value == pytest.approx(20.0 * CONE * RING * 1.1 / 1.6)
    assert check_head(with_spec(design, "filament", tensile_mpa=None), (mesh(plate()),), 10.0) is None
