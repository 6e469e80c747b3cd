"""How a value and its limit become a check: one condition for verdict, sentence and the limit that is given."""

from __future__ import annotations

import numpy as np
import pytest

from mounts.checks.model import Check


@pytest.mark.parametrize(
    ("sense", "well", "broken"),
    [("at least", (2.0, 2.1, 2.0 - 5e-7), (1.99, -3.0, 2.0 - 2e-6)),
     ("at most", (2.0, 1.9, 2.0 + 5e-7), (2.01, 30.0, 2.0 + 2e-6)),
     ("exactly", (2.0, 2.0 + 5e-7), (1.0, 3.0))],
)  # fmt: skip
def test_verdict_and_sentence_turn_at_the_same_figure(sense, well, broken) -> None:
    """A value at its limit, to the sixth decimal of a report, passes with the good sentence; beyond it the other."""
    for value in well:
        row = Check.of("wall", value, sense, 2.0, "mm", "thick", "thin")
        assert (row.verdict, row.message, row.sense, row.limit) == ("pass", "thick", sense, 2.0)
    for value in broken:
        row = Check.of("wall", value, sense, 2.0, "mm", "thick", "thin", otherwise="warn")
        assert (row.verdict, row.message, row.sense, row.limit) == ("warn", "thin", sense, 2.0)


@pytest.mark.parametrize(
    ("value", "verdict", "limit", "message"),
    [
        (1.21, "pass", 0.8, "good"),
        (1.19, "warn", 1.2, "rough"),
        (0.81, "warn", 1.2, "rough"),
        (0.79, "fail", 0.8, "bad"),
    ],
)
def test_of_two_limits_the_one_that_decided_is_given(value, verdict, limit, message) -> None:
    """Between both a check warns and gives the stricter one."""
    row = Check.of("wall", value, "at least", 0.8, "mm", "good", "bad", warn=1.2, warned="rough")

    assert (row.verdict, row.limit, row.message) == (verdict, limit, message)


def test_slack_of_the_measuring_widens_every_limit() -> None:
    """With 0.05 of slack 0.76 still passes at 0.8, and 0.74 does not."""
    rows = [Check.of("wall", value, "at least", 0.8, "mm", "", "thin", slack=0.05) for value in (0.76, 0.74)]

    assert [row.verdict for row in rows] == ["pass", "fail"]


def test_a_sentence_that_costs_is_made_only_where_it_is_said() -> None:
    """A function is asked with the limit that decided, and not at all where the other sentence is said."""
    asked = []

    def bad(limit: float) -> str:
        asked.append(limit)
        return f"make it {limit:g} mm"

    assert Check.of("wall", 3.0, "at least", 0.8, "mm", "good", bad, warn=1.2).message == "good"
    assert asked == []
    assert Check.of("wall", 1.0, "at least", 0.8, "mm", "good", bad, warn=1.2).message == "make it 1.2 mm"
    assert asked == [1.2]


def test_figures_that_look_alike_are_told_with_more_decimals() -> None:
    """The figure in the sentence shows that it is beyond the limit, and is fixed to its decimals where it passes."""
    close = Check.told("force", 0.1996, "at least", 0.2, "N", "held with {value} N", "more of it")
    well = Check.told("force", 0.2, "at least", 0.2, "N", "held with {value} N", "more of it")

    assert close.message == "held with 0.1996 N, less than 0.2000 N: more of it"
    assert well.message == "held with 0.20 N"


def test_what_could_not_be_measured_has_no_sense() -> None:
    """Such a row has a verdict of its own; its figures are zeros that stand for nothing."""
    row = Check.unmeasured("structure-gauge", "warn", "mm", "no published gauge")

    assert (row.sense, row.value, row.limit, row.verdict) == (None, 0.0, 0.0, "warn")


@pytest.mark.parametrize(
    ("sense", "unit", "said"),
    [
        ("at most", "°", "leans 50.04°, more than 45.00°: turn it"),
        ("exactly", "", "leans 50.04, not 45.00: turn it"),
        ("at most", "mm", "leans 50.04 mm, more than 45.00 mm: turn it"),
    ],
)
def test_a_broken_limit_is_told_in_the_words_of_its_sense(sense, unit, said) -> None:
    """A degree's sign stands at its figure, a unit's name behind a blank, a ratio has none."""
    spaced = unit if unit in ("", "°") else f" {unit}"

    assert Check.told("lean", 50.0449, sense, 45.0, unit, f"leans {{value}}{spaced}", "turn it").message == said


def test_a_place_is_given_to_a_micrometre() -> None:
    """And nothing is minus nothing."""
    row = Check.of("wall", 1.0, "at least", 0.8, "mm", "", "", at_mm=np.array([1.23456, -0.0001, 7.0]))

    assert row.at_mm == (1.235, 0.0, 7.0)
    assert str(row.at_mm) == "(1.235, 0.0, 7.0)"
