"""What a fall from a table does to the prints, by finite elements, beside what their plastic bears.

``python tests/bench/bench_drop.py [--sturdy] [SERVO ...]``: two lines a mount. Its printed solid in the bricks of
``bench_stiffness.py``, as it is and with the servo's mass on its seat, falls on a floor that does not give, on each of
its six sides and eight corners, a little askew so that no face lands flat. A line tells the worst of them along the
layers and across them: stress without the peak in a sharp corner (``Strained.linear_mpa``), what the plastic bears when
pulled slowly, the ratio, and which way was down. An elastic body without damping: the worst that may be.
"""

from __future__ import annotations

import sys
from itertools import product

import numpy as np
from bench_stiffness import POISSON, Bricked, bricked, mounts
from cube_drop import dropped
from cube_elements import Bricks

HEIGHT_MM = 750.0  # about a table's; one of the heights of free fall in IEC 60068-2-31, from memory
ASKEW = np.array([0.03, 0.05, 0.02])
FOLLOWED_S = 2.5e-3  # a print that rings has rung by then
DENTED_MM = 4.0  # as deep as the web is thick


def worst(body: Bricked, fitted_g: float) -> list[tuple[float, np.ndarray]]:
    """Stress along the layers and across them, MPa, and which way was down, (3,), each of the worst fall."""
    filament = body.design.spec.filament
    bricks = Bricks(body.there, body.edge_mm, (filament.modulus_mpa, POISSON))
    masses = bricks.masses_t(filament.density_g_per_cm3 * 1e-9)
    seat = body.seat(bricks.places_mm)
    masses[seat] += fitted_g * 1e-6 / seat.sum()
    found = [(0.0, np.zeros(3))] * 2
    for way in (np.array(way, dtype=float) for way in product((-1, 0, 1), repeat=3) if np.count_nonzero(way) in (1, 3)):
        down = (way + ASKEW) / np.linalg.norm(way + ASKEW)
        floor = filament.modulus_mpa * body.edge_mm.max()
        fall = dropped(bricks, masses, floor, down, HEIGHT_MM, seconds=FOLLOWED_S, dented_mm=DENTED_MM)
        layers = int(np.abs(body.across).argmax())
        for at, stress in enumerate((np.delete(fall.linear_mpa, layers).max(), fall.linear_mpa[layers])):
            if stress > found[at][0]:
                found[at] = float(stress), way
    return found


def main() -> None:
    """Prints the table."""
    servos = [arg for arg in sys.argv[1:] if arg != "--sturdy"] or ["micro-9g"]
    print(f"{'':48}{'along the layers, MPa':>40}{'across them, MPa':>40}")
    print(f"{'mount':48}" + f"{'found':>10}{'bears':>8}{'ratio':>8}{'down':>14}" * 2)
    for name, designed in mounts(servos, sturdy="--sturdy" in sys.argv[1:]):
        body, filament = bricked(designed), designed.design.spec.filament
        for what, fitted_g in (("bare", 0.0), ("with its servo", designed.design.spec.servo.mass_g)):
            print(f"{f'{name}, {what}':48}", end="")
            strengths = filament.tensile_mpa, filament.tensile_z_mpa
            for (stress, way), bears in zip(worst(body, fitted_g), strengths, strict=True):
                down = " ".join(f"{one:+.0f}" for one in way)
                print(f"{stress:10.1f}{bears:8.0f}{stress / bears:8.2f}{down:>14}", end="")
            print(flush=True)


if __name__ == "__main__":
    main()
