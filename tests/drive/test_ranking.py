"""What ranks the candidates of any drive: slack against throw, and warnings before all."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from requests_for_drives import bracket_limits, request

from mounts.drive.limits import Refusal, at_least, at_most
from mounts.drive.ranking import Candidates, Examined, Trial, ranking, shared_costs
from mounts.drive.solve import solve


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


@pytest.mark.parametrize(
    ("figures", "over"),
    [
        ({"force_after_slack_n": 0.205, "least_force_n": 0.205}, 1.0 - 0.94 * 0.205 / 0.2),
        ({"stronger_force_n": 0.49, "most_force_n": 0.49}, 1.06 * 0.49 / 0.5 - 1.0),
        ({"stress_share": 0.48}, 1.06 * 0.48 / 0.5 - 1.0),
    ],
)  # fmt: skip
def test_what_formulas_leave_out_is_kept_back_before_a_check_would_warn(figures, over):
    """Under 0.2 to 0.5 N and a stress warned of at half the strength: 6 % less force, 6 % more of force and stress."""
    spec = request(scale="N", throw_mm=2.0, force_n=(0.2, 0.5))
    assert spec.wire.stress_warn == 0.5
    two = trial(**{name: (value, value) for name, value in figures.items()})

    assert shared_costs(two, spec)["warnings"].tolist() == [0.0, 0.0]
    kept_back = shared_costs(replace(two, formula_share=0.06), spec)["warnings"]
    assert kept_back.tolist() == pytest.approx([10.0 * (1.0 + over)] * 2)


def test_the_force_s_distance_is_told_in_half_bands_of_five_per_cent_at_least():
    """0.32 N beside a band of 0.4 alone is ln 0.8 off: 4.46 twentieths; beside 0.2 to 0.8, 0.32 of half the band."""
    for band, halves in (((0.4, 0.4), np.log(0.8) / 0.05), ((0.2, 0.8), np.log(0.8) / np.log(2.0))):
        cost = shared_costs(trial(), request(scale="N", throw_mm=2.0, force_n=band))["force"]
        assert cost == pytest.approx([halves**2] * 2)


def test_opening_an_arm_hole_costs_a_tenth():
    """A hole as it is costs nothing, one to be opened 0.1."""
    spec = request()
    hole = spec.servo.horn_hole_mm

    assert shared_costs(trial(drill_mm=(hole, hole + 0.01)), spec)["drilling"].tolist() == [0.0, 0.1]


def examined(*, kept=(True,) * 5, objected=()) -> Examined:
    """Five arm holes of 5 to 9 mm at costs of 3 + 1, 1 + 1, 2 + 0.5, 0.5 + 0.5 and 1 + 1; the fourth too deep."""
    spec = request()
    drive = solve(spec, bracket_limits(spec))
    size, ones = np.arange(5.0, 10.0), np.ones(5)
    return Examined(
        spec=spec,
        trial=Candidates(radius_mm=size, theta_rad=0.5 * ones, wire_mm=0.8 * ones, drill_mm=ones),
        limits=(
            at_most("depth", np.array([30.0, 30.0, 30.0, 50.0, 30.0]), 40.0, "mm below the board", "allow {value}"),
            at_least("kept", np.array(kept, dtype=float), 1.0, "of them", "none"),
        ),
        cost={"swing": np.array([3.0, 1.0, 2.0, 0.5, 1.0]), "force": np.array([1.0, 1.0, 0.5, 0.5, 1.0])},
        aimed=ones,
        towards=np.array([True, True, False, True, True]),
        dimensions=lambda index: f"candidate {index}",
        drive=lambda index: drive.model_copy(update={"horn_radius_mm": 5.0 + index}),
        objection=lambda index: f"number {index} meets a sleeper" if index in objected else "",
    )


@pytest.mark.parametrize(
    ("kept", "objected", "towards", "wins", "second"),
    [
        ((1, 1, 1, 1, 1), (), None, 6.0, "the 0.8 mm wire in the 9 mm arm hole, behind in swing"),
        ((1, 1, 1, 1, 1), (1,), None, 9.0, "the 0.8 mm wire in the 7 mm arm hole, behind in swing"),
        ((1, 1, 1, 1, 1), (1, 4), None, 7.0, "the 0.8 mm wire in the 5 mm arm hole, behind in swing"),
        ((1, 1, 1, 1, 1), (), False, 7.0, None),
        ((1, 0, 1, 1, 0), (), True, 5.0, None),
        ((1, 0, 1, 1, 0), (), None, 7.0, "the 0.8 mm wire in the 5 mm arm hole, behind in swing"),
    ],
)  # fmt: skip
def test_the_cheapest_that_is_sound_wins(kept, objected, towards, wins, second):
    """Of those inside every limit the least sum, of equals the first, and of them the first that nothing speaks
    against; the arm one way only where that is asked. The one behind it is told, and by what it lost most."""
    found = examined(kept=kept, objected=objected).best(towards=towards)

    assert not isinstance(found, Refusal)
    assert found.horn_radius_mm == wins
    assert f"The 0.8 mm wire in the {wins:g} mm arm hole with candidate {wins - 5:g} presses the blades with" in (
        found.explanation
    )
    assert f"{found.force_after_slack_n:.2f} N at a half swing of {found.swing_deg:.1f}°" in found.explanation
    low, high = request().force_n
    assert f"of {low:g} to {high:g} N wanted." in found.explanation
    if second:
        assert found.explanation.endswith(f"Next best was {second}.")
    else:
        assert "Next best" not in found.explanation


@pytest.mark.parametrize(("sound", "wins"), [(39, True), (40, False)])
def test_objections_are_heard_of_the_forty_cheapest(sound, wins):
    """The fortieth may win, the one after it is not asked."""
    few, many = examined(), np.ones(42)
    found = replace(
        few,
        trial=Candidates(radius_mm=np.arange(42.0), theta_rad=many, wire_mm=many, drill_mm=many),
        limits=(at_most("depth", many, 2.0, "mm", "more"),),
        cost={"swing": np.arange(42.0)},
        towards=many > 0.0,
        objection=lambda index: "" if index == sound else "a sleeper",
    ).best()

    assert isinstance(found, Refusal) != wins


def test_where_nothing_is_sound_the_nearest_is_told_with_what_speaks_against_it():
    """Every one objected to: the cheapest, and why; none inside the limits the way asked: that."""
    refused = examined(objected=range(5)).best()
    assert refused == (
        "no drive; nearest: the 0.8 mm wire in the 6 mm arm hole, but number 1 meets a sleeper; "
        "use another --track-distance"
    )
    assert examined(kept=(1, 1, 0, 1, 1)).best(towards=False) == "no drive but with the arm pointing the other way"
    none = examined(kept=(0, 0, 0, 1, 0)).best()
    assert isinstance(none, Refusal)
    assert "the limit 'kept' removed most (4 of 5 candidates)" in none
