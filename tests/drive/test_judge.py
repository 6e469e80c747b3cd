"""What the solver counts with is what the report says: its quick worst case is that of the full tolerance study.

Both are the program's own; test_rocking_by_hand.py and test_rod_by_hand.py hold the solver's to
corners found otherwise.
"""

from __future__ import annotations

import numpy as np
import pytest
from requests_for_drives import bracket_limits, housing_limits, request

from mounts.drive.limits import survivors
from mounts.drive.push_rod.field import rod_field
from mounts.drive.push_rod.judge import judge_rods
from mounts.drive.rocking_wire.field import field
from mounts.drive.rocking_wire.judge import judge
from mounts.drive.solve import solve
from mounts.drive.spread import spread


@pytest.mark.parametrize("scale", ["N", "HO", "O"])
def test_worst_case_of_the_winner_is_that_of_the_study(scale):
    """One corner and two forces, taken while solving, are the ends the study of all corners finds."""
    spec = request(scale=scale)
    limits = bracket_limits(spec)
    drive = solve(spec, limits)
    study = spread(spec, limits, drive)
    pinned = request(scale=scale, wire_mm=drive.wire_mm, arm_hole_mm=drive.horn_radius_mm, swing_deg=drive.swing_deg)
    candidates = field(pinned, limits)
    judged = judge(candidates, pinned, limits)
    index = int(np.argmin(np.abs(candidates.arrays()[1] - drive.pivot_to_horn_mm)))

    assert study.overtravel_mm.low == pytest.approx(float(judged.trial.least_overtravel_mm[index]))
    assert study.force_n.low == pytest.approx(float(judged.trial.least_force_n[index]))
    assert study.force_n.high == pytest.approx(float(judged.trial.most_force_n[index]))


def test_worst_case_of_a_push_rod_is_that_of_the_study():
    """The same for a push rod, whose study goes by the exact line of its wire, within 5 % of the formula."""
    spec = request(style="hut")
    limits = housing_limits(spec)
    drive = solve(spec, limits)
    study = spread(spec, limits, drive)
    candidates = rod_field(spec, limits)
    judged = judge_rods(candidates, spec, limits)
    alike = (
        (np.asarray(candidates.rod.leg_mm) == drive.loop_leg_mm)
        & (np.asarray(candidates.rod.wire_mm) == drive.wire_mm)
        & (np.asarray(candidates.rod.horn_radius_mm) == drive.horn_radius_mm)
        & np.isclose(np.degrees(candidates.rod.theta_rad), drive.swing_deg)
        & np.isclose(candidates.rod.loop_radius_mm, drive.loop_radius_mm)
        & survivors(judged.limits)
    )

    assert alike.any()
    for index in np.flatnonzero(alike):
        assert study.overtravel_mm.low == pytest.approx(float(judged.trial.least_overtravel_mm[index]))
        assert study.force_n.low == pytest.approx(float(judged.trial.least_force_n[index]), rel=0.05)
        assert study.force_n.high == pytest.approx(float(judged.trial.most_force_n[index]), rel=0.05)
