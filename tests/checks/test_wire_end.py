"""The wire's end in the tie bar against the wheels that pass over it."""

import pytest
from made import kept

from mounts.checks.siting import check_rod_siting, check_wire_end

pytestmark = pytest.mark.solid

E = 1e-3


def _at(design, room_mm):
    """The design with its pin so far below rail top."""
    spec = design.spec.model_copy(update={"pin_height_mm": design.spec.rail_top_z - room_mm})
    return design.model_copy(update={"spec": spec})


def test_a_brackets_wire_ends_between_the_rails_below_their_tops():
    """The least that holds is 0.8 mm above the pin's middle: a pin 0.8 mm below rail top is just good."""
    design = kept({}).design

    (usual,) = check_wire_end(design)
    (good,) = check_wire_end(_at(design, 0.8 + E))
    (bad,) = check_wire_end(_at(design, 0.8 - E))
    assert (usual.verdict, good.verdict, bad.verdict) == ("pass", "pass", "fail")
    assert "lower --pin-height" in bad.message


def test_a_leg_above_rail_top_is_a_fault_only_between_the_rails():
    """Beside the rails no wheel passes: neither row complains of a leg that stands up there, between them one does."""
    beside = kept({}, style="hut", scale="HO", board="12 mm").design
    between = kept({"tie_bar_reach_mm": 6.0}, style="hut", scale="HO", board="12 mm", track_distance=30.0).design

    proud = [_at(design, design.plan.pin_leg_mm - 0.5) for design in (beside, between)]
    assert not list(check_wire_end(proud[0]))
    (row,) = check_wire_end(proud[1])
    assert (row.verdict, row.value) == ("fail", pytest.approx(0.5))
    (leg,) = check_rod_siting(proud[0])
    assert leg.verdict == "pass"
