"""The second models' fall on a floor, against the elastic bar of the handbooks."""

from __future__ import annotations

import numpy as np
import pytest
from cube_drop import GRAVITY_MM_PER_S2, dropped
from cube_elements import Bricks

MODULUS_MPA, DENSITY_T_PER_MM3 = 2500.0, 1.24e-9


def test_a_bar_that_falls_on_its_end_is_pressed_by_v_times_the_root_of_e_rho_and_leaves_after_two_lengths_of_sound():
    """Source: longitudinal impact of an elastic bar on a rigid wall, de Saint-Venant; Timoshenko and Goodier, Theory of
    Elasticity, from memory. Poisson's ratio is 0, as the theory of the bar has it; it leaves as fast as it came."""
    bar = Bricks(np.ones((60, 3, 3), dtype=bool), 1.0, (MODULUS_MPA, 0.0))
    masses = bar.masses_t(DENSITY_T_PER_MM3)
    down, sound = np.array([1.0, 0.0, 0.0]), np.sqrt(MODULUS_MPA / DENSITY_T_PER_MM3)
    fast = np.sqrt(2 * GRAVITY_MM_PER_S2 * 750.0)

    found = dropped(bar, masses, MODULUS_MPA * 1.0, down, 750.0, seconds=1.3 * 2 * 60.0 / sound, dented_mm=10.0)
    assert found.touched_s == pytest.approx(2 * 60.0 / sound, rel=0.05)
    by_hand = fast * np.sqrt(MODULUS_MPA * DENSITY_T_PER_MM3)
    assert by_hand < found.linear_mpa[0] < 1.25 * by_hand  # bricks overshoot where the front of the wave is steep
    assert found.leaves_mm_per_s == pytest.approx([-fast, 0.0, 0.0], rel=0.08, abs=1.0)
