"""What ranks the candidates of any drive: slack against throw, and warnings before all."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest
from requests_for_drives import request

from mounts.drive.ranking import Trial, ranking, shared_costs


def trial(**figures: tuple[float, float]) -> Trial:
    """Two candidates, alike but for what is given."""
    usual = {
        "radius_mm": 7.0, "theta_rad": 0.5, "wire_mm": 0.6, "drill_mm": 1.0, "stress_share": 0.25,
        "untrimmed_stress_share": 0.4,
        "force_n": 0.42, "force_after_slack_n": 0.32, "travel_mm": 4.0,
        "lost_motion_mm": 0.5, "torque_nmm": 5.0, "dead_band_mm": 0.05, "end_dead_band_mm": 0.05, "trim_us": 100.0,
        "least_overtravel_mm": 0.4, "least_force_n": 0.22, "most_force_n": 0.45, "beyond_theory": -0.5,
        "stronger_force_n": 0.32,
    }  # fmt: skip
    pairs = {name: figures.get(name, (value, value)) for name, value in usual.items()}
    return Trial(**{f.name: np.array(pairs[f.name]) for f in fields(Trial) if f.name in pairs})


def winner(spec, two: Trial) -> int:
    """The cheaper of both."""
    return int(ranking(shared_costs(two, spec), np.array([0, 1]))[0])


def test_slack_bought_back_with_over_travel_loses_against_a_wire_near_its_hole():
    """0.5 mm wire in holes of 1.0, 1.0 mm lost of 2.0 and 2.3 mm of over-travel, against 0.8 in an arm hole drilled
    to 1.0, whose force is a third off the middle of the band and whose swing is 10° off the comfortable."""
    spec = request(scale="N", throw_mm=2.0)
    two = trial(
        wire_mm=(0.5, 0.8), lost_motion_mm=(1.0, 0.4), travel_mm=(6.6, 5.0), stress_share=(0.2, 0.3),
        force_after_slack_n=(0.316, 0.40), theta_rad=(np.radians(32.0), np.radians(24.0)), drill_mm=(1.0, 1.1),
        most_force_n=(0.45, 0.49), least_force_n=(0.22, 0.3),
    )  # fmt: skip

    assert winner(spec, two) == 1


def test_a_wire_two_tenths_under_its_holes_is_as_good_as_one_without_slack():
    """A fifth of the throw costs a fifth: what speaks otherwise for the wire decides."""
    spec = request(scale="N", throw_mm=2.0)
    two = trial(lost_motion_mm=(0.4, 0.0), theta_rad=(np.radians(32.0), np.radians(22.0)))

    assert winner(spec, two) == 0


@pytest.mark.parametrize(
    ("name", "warns", "fine"),
    [
        # 0.7 of the way from 0.32 N to them is 0.2 and 0.5 N
        ("least_force_n", 0.14, 0.15), ("most_force_n", 0.58, 0.57), ("stress_share", 0.51, 0.49),
        ("lost_motion_mm", 1.42, 1.38), ("beyond_theory", 0.01, -0.01),
    ],
)  # fmt: skip
def test_what_a_check_would_warn_of_is_chosen_last(name, warns, fine):
    """However well the rest suits."""
    spec = request(scale="N", throw_mm=2.0)
    two = trial(**{name: (warns, fine)}, theta_rad=(np.radians(32.0), np.radians(14.0)))

    assert winner(spec, two) == 1
