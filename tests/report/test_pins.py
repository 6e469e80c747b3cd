"""What a pinned choice costs. Numbers only, no kernel."""

from __future__ import annotations

from requests_for_drives import board, request

from mounts.design import Design
from mounts.inputs.spec import MountSpec
from mounts.pipeline import _redesigned, design_mount
from mounts.report.pins import PinCost, costs_of_pins


def _costs(**asked: object) -> dict[str, PinCost]:
    design = design_mount(request(board=board(18.0), **asked)).design  # type: ignore[arg-type]
    return {cost.what: cost for cost in costs_of_pins(design, _redesigned)}


def test_a_wire_that_moves_a_cabin_off_the_track_is_said():
    """A cabin in N with 0.7 mm wire 42.6 mm off the track, free at 16.5 mm with 0.5: one sentence with both figures."""
    pinned, free = (
        design_mount(request(board=board(18.0), style="cabin", scale="N", wire_mm=wire)).design for wire in (0.7, 0.5)
    )

    def at(design: Design, distance_mm: float) -> Design:
        beside = design.beside_track().model_copy(update={"track_distance_mm": distance_mm})
        return design.model_copy(update={"plan": design.plan.model_copy(update={"beside": beside})})

    def redesign(spec: MountSpec) -> Design:
        assert spec.wire_mm is None
        return at(free, 16.5)

    costs = costs_of_pins(at(pinned, 42.6), redesign)
    assert [cost.sentence for cost in costs if cost.what == "distance"] == [
        "--wire 0.7 puts it 42.6 mm from the track; left free it stands at 16.5 mm with the 0.5 mm wire"
    ]
    assert not [cost for cost in costs_of_pins(at(pinned, 20.0), redesign) if cost.what == "distance"]


def test_a_pose_that_makes_a_tower_says_how_high_it_need_be():
    """Hanging in a cabin in N: metres in reality of both, and the pose taken then."""
    cost = _costs(style="cabin", scale="N", options={"pose": "hang"})["height"]

    assert cost.pin == "--set pose=hang"
    assert cost.pinned > cost.free + 1.0
    assert cost.sentence.endswith("with pose side")


def test_a_bracket_says_how_much_deeper_it_is():
    """32.3 mm from pivot to arm hole with 1.0 mm wire, 23.4 with the wire taken freely; 25 mm are no matter."""
    design = design_mount(request(board=board(18.0), scale="HO", wire_mm=1.0)).design

    def deep(depth_mm: float) -> Design:
        return design.model_copy(update={"drive": design.drive.model_copy(update={"pivot_to_horn_mm": depth_mm})})

    costs = costs_of_pins(deep(32.3), lambda spec: deep(23.4))
    assert [cost.sentence for cost in costs] == [
        "--wire 1 takes 32.3 mm from pivot to arm hole; left free it takes 23.4 mm with the 1 mm wire"
    ]
    assert not costs_of_pins(deep(25.0), lambda spec: deep(23.4))


def test_a_thin_wire_in_wide_holes_says_what_slack_it_leaves():
    """0.4 mm wire in N has more play in arm and tie bar than the wire taken freely, by the difference of diameters."""
    cost = _costs(style="cabin", scale="N", wire_mm=0.4)["slack"]

    assert cost.pinned > cost.free + 0.2


def test_nothing_is_said_of_what_costs_nothing():
    """No pin; the wire and the pose that would be taken anyway; a distance for its own sake."""
    free = design_mount(request(board=board(18.0), style="cabin", scale="N")).design

    assert not _costs(style="cabin", scale="N")
    assert not _costs(style="cabin", scale="N", wire_mm=free.drive.wire_mm)
    assert not _costs(style="cabin", scale="N", options={"pose": "side"})
    assert "distance" not in _costs(style="cabin", scale="N", track_distance_mm=32.0)


def test_a_request_that_has_no_free_design_costs_nothing():
    """Where the other request is refused there is nothing to compare with."""
    design = design_mount(request(board=board(18.0), style="cabin", scale="N", wire_mm=0.5)).design

    def refuses(spec: object) -> None:
        return None

    assert costs_of_pins(design, refuses) == ()
