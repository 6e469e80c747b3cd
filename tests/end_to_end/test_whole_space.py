"""Anything a request can resolve to: a mount that passes, or a reason; never anything else."""

import pytest
from hypothesis import Phase, given, seed, settings
from strategies import specs

from mounts import styles
from mounts.checks.mechanics import check_mechanics
from mounts.errors import NoDesign
from mounts.pipeline import design_mount, make_mount
from mounts.report.model import worst

DESIGNED = 8
MODELLED_AT_ONCE = 6  # tests/bench/sweep.py makes hundreds
PARTS = {"under-bracket": 6}
HOUSING_PARTS = 1
MODELLED = [(style, part) for style in styles.names() for part in range(PARTS.get(style, HOUSING_PARTS))]


@pytest.mark.parametrize("style", styles.names())
def test_every_input_is_designed_or_has_a_reason(style):
    """A drive inside every limit, or a NoDesign that names the mount and says what would bring one back."""
    reasons: list[str] = []
    designs: list[str] = []

    @settings(max_examples=DESIGNED)
    @given(specs(style))
    def holds(spec):
        try:
            designed = design_mount(spec)
        except NoDesign as fault:
            reasons.append(str(fault))
            return
        designs.append(spec.id)
        checks = check_mechanics(designed.design, designed.spread, designed.limits)
        assert not [check for check in checks if check.verdict == "fail"]

    holds()
    assert all(len(reason) > 20 for reason in reasons)
    assert len(designs) > 4  # of these fifteen, seeded (tests/conftest.py), seven to thirteen


@pytest.mark.solid
@pytest.mark.parametrize(("style", "part"), MODELLED)
def test_every_input_is_modelled_or_has_a_reason(style, part):
    """Every mount that is designed is built, is sound as a solid, and fails no check it could have foreseen.

    A check that fails is an answer too, but one that says what to change; a BuildError, an unsound body or
    any other exception is a fault of ours.
    """

    @seed(part)
    @settings(max_examples=MODELLED_AT_ONCE, phases=[Phase.generate])
    @given(specs(style))
    def holds(spec):
        try:
            made = make_mount(spec)
        except NoDesign:
            return
        report = made.report
        sound = {c.name: c for c in report.checks if c.name in ("closed", "one-body", "volume", "through-holes")}
        assert {check.verdict for check in sound.values()} == {"pass"}, sound
        assert report.verdict == worst(report.checks)
        failed = [check for check in report.checks if check.verdict == "fail"]
        assert all(len(check.message) > 20 for check in failed)
        assert bool(failed) != (f"{spec.id}.stl" in made.files)

    holds()
