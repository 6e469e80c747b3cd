"""What the solver's limits and the report's rows have in common stands once."""

from __future__ import annotations

import ast
from pathlib import Path

import mounts
from mounts.drive.limits import Rule

ROOT = Path(mounts.__file__).parent
SLACK = Rule("lost motion", "lost-motion", "at most", 0.5, "%", "of the travel", "a thicker wire")
HELD = Rule("force", "force", "at least", 0.2, "N", "at the blades", "a --force that begins at {value} N")


def test_one_rule_makes_limit_and_row():
    """Bound, sense and unit of both are the rule's; a share is told per cent, or as what it is a share of."""
    import numpy as np

    limit = HELD.limit(np.array([0.1, 0.2]))

    assert limit.broken().tolist() == [True, False]
    assert limit.shortfall(0) == "has 0.1 N at the blades, at least 0.2"
    assert HELD.row(0.1) == ("force", 0.1, "at least", 0.2, "N")
    assert SLACK.limit(np.array([0.6])).shortfall(0) == "needs 60.0 % of the travel, allowed 50.0"
    assert SLACK.row(0.6) == ("lost-motion", 60.0, "at most", 50.0, "%")
    assert SLACK.row_of(1.8, 3.0, "mm") == ("lost-motion", 1.8, "at most", 1.5, "mm")


def test_a_check_names_no_row_that_a_rule_names():
    """A row that the solver holds too comes from its rule: no check writes that name, so that none repeats a limit."""
    ruled = {
        node.args[1].value
        for path in (ROOT / "drive").rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "Rule"
    }
    written = {
        node.value
        for path in (ROOT / "checks").glob("*.py")
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.Constant)
    }

    assert len(ruled) >= 10
    assert ruled & written == set()
