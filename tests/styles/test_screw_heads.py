"""How a screw's head loads the print round it, against finite elements of the plate that know nothing of rings."""

from __future__ import annotations

import math

import numpy as np
import pytest
from cube_elements import Bricks, solved
from plain import bracket, with_spec

from mounts.inputs.fixing import Fixing
from mounts.styles._fixings import gentle_mm, head_mpa_per_n, hold_n

BRICK_MM, WIDE_MM, POISSON = 0.25, 6.5, 0.36
CONE = 1 / (math.pi * (2.8**2 - 1.7**2))  # under the plain bracket's heads, 5.6 mm in holes of 3.4, per N square to it
RING = (4.0**2 + 2.25**2) / (4.0**2 - 2.25**2)  # from the middle of its cone to 1.2 mm beyond the head


def quarter(fixing: Fixing, thick_mm: float, edge_mm: float) -> float:
    """Tension per N, in bricks, round a head that presses on its cone without friction; on a rigid board.

    Args:
        fixing: its head, of 90°.
        thick_mm: of the plate.
        edge_mm: from the screw's axis to its edges on two sides; the others are far.
    """
    head, hole = fixing.head_mm / 2, fixing.clearance_mm / 2
    ends = np.array([WIDE_MM, edge_mm, thick_mm])
    axes = [(np.arange(round(end / BRICK_MM)) + 0.5) * BRICK_MM for end in ends]
    x, y, z = np.meshgrid(*axes, indexing="ij")
    body = Bricks(np.hypot(x, y) > np.maximum(hole, head - (thick_mm - z)), BRICK_MM, (2300.0, POISSON))
    places = body.places_mm
    away, ring = np.hypot(places[:, 0], places[:, 1]), head - (thick_mm - places[:, 2])
    mirrored = (places[:, :2] < 1e-9).sum(axis=1)
    ends_z = (places[:, 2] < 1e-9) | (places[:, 2] > thick_mm - 1e-9)
    inside = np.bincount(body.nodes.ravel()) >= 8 / 2.0 ** (mirrored + ends_z)
    pressed = (ring > hole - 1e-9) & (np.abs(away - ring) < 0.75 * BRICK_MM) & ~inside
    share = pressed * away / 2.0 ** (mirrored + ends_z)
    forces = np.column_stack([places[:, :2] / np.maximum(away, 1e-9)[:, None], -np.ones(len(places))])
    forces = (forces * share[:, None] / share.sum() / 4.0).ravel()
    stays = np.concatenate([3 * np.flatnonzero(places[:, axis] < 1e-9) + axis for axis in range(3)])
    free = np.setdiff1d(np.arange(len(forces)), stays)
    shifts = np.zeros(len(forces))
    shifts[free] = solved(body.stiffness[free][:, free], forces[free])
    means = body.strained(shifts, np.ones(len(body.nodes), dtype=bool)).tensors_mpa.mean(axis=1)
    return float(np.linalg.eigvalsh(means).max())


@pytest.mark.parametrize("thick_mm", [2.5, 3.5])
def test_a_ring_as_wide_as_the_rim_tells_what_finite_elements_do_with_an_edge_so_near(thick_mm: float) -> None:
    """Within a fifth, the mean of each brick of 0.25 mm."""
    fixing = bracket().spec.fixing
    assert (fixing.head_mm, fixing.clearance_mm, fixing.head_angle_deg) == (5.6, 3.4, 90.0)

    assert head_mpa_per_n(fixing, thick_mm) == pytest.approx(quarter(fixing, thick_mm, 2.8 + 1.2), rel=0.2)


@pytest.mark.parametrize(
    ("angle", "plate", "share"), [(90.0, 1.6, 1.1 / 1.6), (90.0, 2.2, 0.5), (90.0, 9.0, 0.5), (90.0, 0.8, 1.0),
                                  (82.0, 1.6, 1.1 / math.tan(math.radians(41)) / 1.6)],
)  # fmt: skip
def test_a_head_presses_on_its_cone_and_opens_a_ring(angle: float, plate: float, share: float) -> None:
    """By hand: F/A on the cone, Lamé's ring, times the cone's height over the plate's, or over twice its own."""
    fixing = bracket().spec.fixing.model_copy(update={"head_angle_deg": angle})
    assert head_mpa_per_n(fixing, plate) == pytest.approx(CONE * RING * share)


@pytest.mark.parametrize(("across", "strength"), [(True, 25.0), (False, 44.0)])
def test_a_screw_driven_on_strips_its_thread_before_its_head_splits_the_plate(across: bool, strength: float) -> None:
    """By hand: 5.5 × 3.0 mm × 2.43 N/mm² a millimetre of thread beyond 3.5 mm of plate, against 0.85 of the strength;
    a filament that tells none bears all, and where none is short enough the shortest is left.

    15,700 over 2,850 G²·D lbf/in is 5.5: Wood Handbook (ultimate; from memory) and standards, 7 (allowable)."""
    spec = with_spec(bracket(), "board", thickness_mm=40.0, screw_depth_mm=40.0).spec
    assert hold_n(spec, 1.0, from_above=False) == pytest.approx(3.0 * 2.43)
    longest = 3.5 + 0.85 * strength / (CONE * RING * 0.5) / (5.5 * 3.0 * 2.43)

    def kept(lengths: list[float]) -> list[float]:
        return gentle_mm(spec, lengths, 3.5, from_above=False, across=across)

    assert kept([10.0, longest - 0.01, longest + 0.01, 40.0]) == [10.0, longest - 0.01]
    assert kept([longest + 1, 40.0]) == [longest + 1]
    assert kept([]) == []
    plastic = spec.filament.model_copy(update={"tensile_mpa": None, "tensile_z_mpa": None})
    untold = spec.model_copy(update={"filament": plastic})
    assert gentle_mm(untold, [10.0, 40.0], 3.5, from_above=False, across=across) == [10.0, 40.0]
