"""Limits over a field of candidates: who survives, who is nearest, what is said."""

from __future__ import annotations

import numpy as np
import pytest

from mounts.drive.limits import Limit, deadliest, explain, nearest, survivors


def limits(depth, force):
    """Two limits: depth at most 40 mm, force at least 0.5 N."""
    return (
        Limit("depth", np.array(depth), np.array(40.0), "at most", "mm below the board", "allow {value} mm"),
        Limit("force", np.array(force), np.array(0.5), "at least", "N at the blades", "ask for {value} N"),
    )


def test_survivors_keep_every_limit_its_edge_included():
    """A value on the bound is allowed."""
    assert survivors(limits([40.0, 40.1, 30.0], [0.5, 1.0, 0.4])).tolist() == [True, False, False]


def test_no_value_breaks_nothing_and_infinity_breaks():
    """NaN is another limit's matter; an infinite value is outside."""
    assert survivors(limits([np.nan, np.inf], [1.0, 1.0])).tolist() == [True, False]


def test_deadliest_counts_each_limit():
    """The limit with most broken candidates, and how many."""
    assert deadliest(limits([50.0, 60.0, 30.0], [0.4, 1.0, 0.6])) == ("depth", 2, 3)


def test_nearest_prefers_one_broken_limit_to_two_and_the_smaller_excess():
    """Fewest broken, then least beyond, and never one without a finite value."""
    assert nearest(limits([41.0, 50.0, 44.0, np.inf], [0.4, 1.0, 1.0, 1.0])) == 2


def test_nearest_is_one_limit_broken_by_far_before_two_by_a_hair():
    """Four times the depth allowed is one change; two by a hundredth are two."""
    assert nearest(limits([160.0, 40.4], [1.0, 0.495])) == 0


def test_the_farther_off_is_told_first_as_a_share_of_its_bound():
    """0.1 of 0.5 N is a fifth, 6 of 40 mm is 15 %."""
    text = explain(limits([46.0], [0.4]), lambda _: "it")

    assert text.index("has 0.4 N at the blades") < text.index("needs 46.0 mm below the board")
    assert text.endswith("; ask for 0.4 N and allow 46.0 mm")


def test_explanation_names_limit_candidate_value_and_change():
    """The line holds the deadliest limit, the nearest candidate and the value that lets it in."""
    text = explain(limits([46.12, 55.0], [1.0, 1.0]), lambda index: f"wire {index}")

    assert text == (
        "no drive; the limit 'depth' removed most (2 of 2 candidates); nearest: wire 0 needs 46.2 mm below the"
        " board, allowed 40.0; allow 46.2 mm"
    )


def test_explanation_joins_two_changes():
    """Where it takes two changes both are named."""
    text = explain(limits([46.0], [0.44]), lambda _: "it")

    assert text.endswith(
        "it needs 46.0 mm below the board, allowed 40.0 and has 0.4 N at the blades, at least 0.5;"
        " allow 46.0 mm and ask for 0.4 N"
    )


@pytest.mark.parametrize(
    ("count", "more"), [(3, "1 more limit is broken"), (4, "2 more limits are broken"), (6, "4 more limits are broken")]
)
def test_explanation_names_the_two_farthest_off_and_counts_the_rest(count, more):
    """Of many shortfalls the two that exceed their bounds by the largest share are told, with their changes."""
    shares = [1.02, 1.5, 1.01, 1.3, 1.05, 1.2][:count]
    names = ["a", "b", "c", "d", "e", "f"][:count]
    broken = [
        Limit(name, np.array([10.0 * share]), np.array(10.0), "at most", f"mm {name}", f"change {name} to {{value}}")
        for name, share in zip(names, shares, strict=True)
    ]
    second = "d" if count > 3 else "a"
    worth = {"d": "13.0", "a": "10.2"}[second]

    assert explain(broken, lambda _: "it").endswith(
        f"; nearest: it needs 15.0 mm b, allowed 10.0 and needs {worth} mm {second}, allowed 10.0, and {more}"
        f"; change b to 15.0 and change {second} to {worth}"
    )


def test_explanation_without_any_finite_way():
    """Where no candidate has values nothing is promised."""
    assert explain(limits([np.inf], [1.0]), lambda _: "it") == (
        "no drive; the limit 'depth' removed most (1 of 1 candidates)"
    )


@pytest.mark.parametrize(
    ("depth", "force", "said"),
    [
        (40.02, 1.0, "needs 40.1 mm below the board, allowed 40.0"),
        (30.0, 0.497, "has 0.4 N at the blades, at least 0.5"),
        (30.0, 0.09, "has 0.09 N at the blades, at least 0.50"),
        (30.0, 0.0, "has 0.0 N at the blades, at least 0.5"),
        (30.0, -0.3, "has -0.3 N at the blades, at least 0.5"),
        # of a millionth and less six places are told
        (30.0, 0.0000012, "has 0.000001 N at the blades, at least 0.500000"),
        (30.0, 0.00000012, "has 0.000000 N at the blades, at least 0.500000"),
    ],
)
def test_a_shortfall_is_borne_out_by_its_figures(depth, force, said):
    """What is asked differs from what is allowed as printed, and never reads as nothing."""
    broken = [limit for limit in limits([depth], [force]) if limit.broken()[0]]

    assert [limit.shortfall(0) for limit in broken] == [said]


def test_a_bound_between_tenths_gets_more_decimals():
    """A bend of 0.26 where 0.25 is allowed reads so, not as 0.3 of 0.2."""
    bend = Limit("bending", np.array([0.2512]), np.array(0.25), "at most", "of bend over length", "less")

    assert bend.shortfall(0) == "needs 0.26 of bend over length, allowed 0.25"


@pytest.mark.parametrize(("value", "asked"), [(46.11, "46.2"), (46.1, "46.1"), (46.100000001, "46.1")])
def test_asked_value_is_rounded_so_that_it_suffices(value, asked):
    """Up for a ceiling, to a tenth."""
    assert limits([value], [1.0])[0].asked(0) == asked
