"""The wire's end in the tie bar against the wheels that pass over it."""

import math
from functools import cache

import pytest
from plain import bracket, designed, with_plan, with_spec

from mounts.checks.siting import check_rod_siting, check_wire_end
from mounts.design import Design

E = 1e-3


def _at(design, room_mm):
    """The design with its pin so far below rail top."""
    spec = design.spec.model_copy(update={"pin_height_mm": design.spec.rail_top_z - room_mm})
    return design.model_copy(update={"spec": spec})


def test_a_brackets_wire_ends_between_the_rails_below_their_tops():
    """The least that holds is 0.8 mm above the pin's middle: a pin 0.8 mm below rail top is just good."""
    design = bracket()

    (usual,) = check_wire_end(design)
    (good,) = check_wire_end(_at(design, 0.8 + E))
    (bad,) = check_wire_end(_at(design, 0.8 - E))
    assert (usual.verdict, good.verdict, bad.verdict) == ("pass", "pass", "fail")
    assert "lower --pin-height" in bad.message


def test_a_leg_above_rail_top_is_a_fault_only_between_the_rails():
    """Beside the rails no wheel passes: neither row complains of a leg that stands up there, between them one does."""
    beside = designed(style="hut", scale="HO").design
    between = designed(style="hut", scale="HO", track_distance="30 mm", set={"tie_bar_reach_mm": 6.0}).design

    proud = [_at(design, design.plan.pin_leg_mm - 0.5) for design in (beside, between)]
    assert not list(check_wire_end(proud[0]))
    (row,) = check_wire_end(proud[1])
    assert (row.verdict, row.value) == ("fail", pytest.approx(0.5))
    (leg,) = check_rod_siting(proud[0])
    assert leg.verdict == "pass"


def test_a_wire_end_below_rail_top_is_told_by_how_much() -> None:
    """With 0.1 mm to spare nothing is proud; a mount that throws no points has no wire between wheels."""
    (row,) = check_wire_end(_at(bracket(), 0.8 + 0.1))

    assert (row.value, row.verdict) == (0.0, "pass")
    assert "the wire ends 0.1 mm below rail top, between the rails" in row.message
    assert not list(check_wire_end(designed(style="lift-bracket", travel="4 mm").design))


def _sunk(design, below_mm):
    """The design with rail top so far under its pin, roadbed and all."""
    rails = {"rail_top_above_roadbed_mm": design.spec.pin_height_mm - below_mm - design.spec.roadbed.thickness_mm}
    return with_spec(design, "scale", **rails)


@cache
def _hut() -> Design:
    return designed(style="hut", track_distance="32 mm").design


def test_a_rod_is_in_the_trains_way_by_what_it_reaches_into_the_gauge() -> None:
    """N: 12.5 mm from the middle of the track (NEM 102), the tie bar's end 6.4 mm from it, and half the travel nearer
    at the end of the swing; as far inside is a rod whose top is over rail top, but for the leg, which no wheel passes:
    what is above rail top is the rod's foot."""
    design = _hut()
    end = design.drive.travel_mm / 2
    half = design.drive.wire_mm / 2

    (row,) = check_rod_siting(_sunk(design, 1.0))
    reach = 12.5 - 6.4 + end + half
    assert reach - 2 * half - 0.1 < row.value < reach - 0.1
    assert row.verdict == "fail"
    assert "inside the structure gauge; lower --pin-height" in row.message
    assert 1.0 + half < float(row.message.split("reach ")[1].split()[0]) < 1.0 + design.plan.pin_leg_mm


@pytest.mark.parametrize(("more", "verdict"), [(0.3, "pass"), (-0.05, "fail")])
def test_a_rod_counts_up_to_where_its_leg_begins(more: float, verdict: str) -> None:
    """A wire's width from the leg its foot, bent to a radius of 1.4 mm, has risen by 1.4 − √(1.4² − 0.7²); its own half
    width more is its top, which rail top must be over, give or take a chord of the foot. The leg above is no matter."""
    design = _hut()
    radius, wire = design.drive.foot_radius_mm, design.drive.wire_mm
    top = radius - math.sqrt(radius**2 - (radius - wire) ** 2) + wire / 2

    (row,) = check_rod_siting(_sunk(design, -top - more))
    assert row.verdict == verdict
    assert top < design.plan.pin_leg_mm


@pytest.mark.parametrize(("inside", "verdict"), [(0.3, "fail"), (-0.3, "pass")])
def test_a_rod_may_not_reach_into_the_gauge_at_all(inside: float, verdict: str) -> None:
    """The track farther off by all that the rod reaches into its gauge but 0.3 mm, and by 0.3 mm more."""
    design = _sunk(_hut(), 1.0)
    (row,) = check_rod_siting(design)
    beside = design.plan.beside
    farther = beside.model_copy(update={"track_y": beside.track_y - row.value + inside})

    (row,) = check_rod_siting(with_plan(design, beside=farther))
    assert (row.value, row.verdict) == (pytest.approx(max(inside, 0.0), abs=0.02), verdict)


def test_a_rod_is_held_against_every_track() -> None:
    """One more 45 mm off, on the arm's line; each row names its track."""
    design = with_spec(_hut(), other_tracks_mm=(45.0, 400.0))

    own, near, far = check_rod_siting(_sunk(design, 1.0))
    assert (own.verdict, near.verdict, far.verdict) == ("fail", "fail", "pass")
    assert own.message.endswith("inside the structure gauge; lower --pin-height")
    assert "inside the structure gauge of the track at 45 mm; lower --pin-height or move one of both" in near.message
    assert far.message.endswith("the structure gauge of the track at 400 mm")
    assert [row.verdict for row in check_rod_siting(design)] == ["pass", "fail", "pass"]


def test_nothing_is_said_of_a_rod_without_a_gauge_or_a_track() -> None:
    """No figures, no track beside it, or another inside a curve where it has no radius left."""
    sunk = _sunk(_hut(), 1.0)

    assert not list(check_rod_siting(with_spec(sunk, "scale", structure_gauge=None)))
    assert not list(check_rod_siting(with_plan(sunk, beside=None)))
    assert not list(check_rod_siting(with_spec(sunk, track_radius_mm=300.0, other_tracks_mm=(305.0,))))
