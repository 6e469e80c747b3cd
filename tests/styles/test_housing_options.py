"""What both poses of a housing share, by hand: the lane beside the rod, gauge, slope, slots, cut-outs and sweeps."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest
from plain import designed
from pydantic import ValidationError
from requests_for_drives import request

from mounts.design import Stature
from mounts.errors import NoDesign
from mounts.inputs.printer import FRICTION
from mounts.styles import _housing_options as shared
from mounts.styles import _lifting
from mounts.styles._housing_options import Options, Shell
from mounts.styles._mounting import ON_ITS_SIDE


def n(**changes):
    return request(scale="N", **changes)


def with_scale(spec, **figures):
    return spec.model_copy(update={"scale": spec.scale.model_copy(update=figures)})


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [("height_mm", 8, 200), ("sunk_mm", 0, 20), ("tie_bar_reach_mm", 2, 80), ("base_mm", 2.4, 5)],
)
def test_an_option_is_taken_up_to_what_can_be_built(name: str, least: float, most: float) -> None:
    """At its ends and not 0.1 beyond them. Common practice, no source."""
    for good, beyond in ((least, least - 0.1), (most, most + 0.1)):
        assert shared.lane(n(), Options(**{name: good})).track_y < 0
        with pytest.raises(ValidationError):
            Options(**{name: beyond})


def test_a_lane_begins_at_the_middle_of_the_track() -> None:
    """The tie bar's reach from it, sleepers half their length, the roadbed's foot as far out as it is high, or deep."""
    spec = n()
    half = spec.scale.sleeper_mm / 2
    roadbed = spec.roadbed.model_copy(update={"thickness_mm": 3.0})

    lane = shared.lane(spec.model_copy(update={"roadbed": roadbed}), Options(tie_bar_reach_mm=7.0))
    assert (lane.track_y, lane.sleeper_end_y, lane.roadbed_edge_y) == pytest.approx((-7.0, half - 7.0, half - 4.0))
    sunk = spec.model_copy(update={"roadbed": roadbed.model_copy(update={"thickness_mm": -2.0})})
    assert shared.lane(sunk, Options(tie_bar_reach_mm=7.0)).roadbed_edge_y == pytest.approx(half - 5.0)
    assert shared.lane(spec, Options()).track_y == -shared.usual_reach_mm(spec)


@pytest.mark.parametrize(("throw", "hole"), [(0.5, 0.9), (2.0, 1.2), (2.0, 1.21), (2.0, 1.39), (4.0, 1.5)])
@pytest.mark.parametrize("gauge", [9.0, 16.5, 45.0])
def test_a_pin_stands_0_7_gauges_from_the_middle_or_outside_the_rail(gauge: float, throw: float, hole: float) -> None:
    """Half the gauge, the rail's head, half the throw and half the hole, to the next tenth."""
    spec = with_scale(n(throw_mm=throw, tie_bar_hole_mm=hole), track_gauge_mm=gauge)
    beside = gauge / 2 + spec.scale.rail_head_mm + throw / 2 + hole / 2

    tenth = next(n / 10 for n in range(1000) if n / 10 >= beside - 1e-9)
    assert shared.usual_reach_mm(spec) == pytest.approx(max(0.7 * gauge, tenth), abs=0.005)


def test_a_shell_stands_clear_of_the_gauge() -> None:
    """N (NEM 102): 12.5 mm to the sides low down, 13.5 above, a millimetre more; in a curve both ends are; where none
    is published one and a half gauges."""
    spec, options = n(), Options(tie_bar_reach_mm=6.0)
    top = spec.rail_top_z

    high = shared.gauge_front_y(spec, options, top + 40.0, 20.0)
    assert high == pytest.approx(13.5 + 1.0 - 6.0)
    assert shared.gauge_front_y(spec, options, top + 0.5, 20.0) == pytest.approx(12.5 + 1.0 - 6.0)
    bare = with_scale(spec, structure_gauge=None)
    assert shared.gauge_front_y(bare, options, top + 40.0, 20.0) == pytest.approx(1.5 * 9.0 + 1.0 - 6.0)
    curved = n(track_radius_mm=400.0)
    inside = shared.gauge_front_y(curved, options, top + 40.0, 20.0)
    away = 13.5 + 4.0 + 1.0  # NEM 103: 4 mm at R 400
    corner = math.hypot(20.0, 400.0 - (inside + 6.0))
    assert corner == pytest.approx(400.0 - away)
    assert inside < 40.0
    outside = Options(tie_bar_reach_mm=6.0, curve="outside")
    assert shared.gauge_front_y(curved, outside, top + 40.0, 20.0) == pytest.approx(away - 6.0)
    with pytest.raises(NoDesign, match="inside a curve of R 400 mm there is no place"):
        shared.gauge_front_y(curved, options, top + 40.0, 400.0 - away)


@pytest.mark.parametrize(
    ("pin", "thick", "shaft", "most", "says"),
    [
        # tan 10° of 20 mm are 3.53; pin − 0.35 − 0.3; over the roadbed's foot by similar triangles
        (9.0, 0.0, 20.0, 20 * math.tan(math.radians(10)), "slopes by more than 10°"),
        (3.0, 0.0, 20.0, 3.0 - 0.35 - 0.3, "meets the ground"),
        (4.0, 3.0, 40.0, (4.0 - 3.0 - 0.65) * 40.0 / 5.0, "meets the roadbed"),
        (3.5, 3.0, 40.0, 0.0, "meets the roadbed"), (1.75, 1.0, 40.0, 0.1 * 8.0, "meets the roadbed"),
    ],
)  # fmt: skip
def test_a_rod_drops_until_it_is_steep_or_meets_something(pin, thick, shaft, most, says) -> None:
    """Of a wire of 0.7 mm with 0.3 mm of air; the roadbed's foot stands 5 mm from the pin."""
    spec = n(pin_height_mm=pin, wire_mm=0.7)
    half = spec.scale.sleeper_mm / 2
    spec = spec.model_copy(update={"roadbed": spec.roadbed.model_copy(update={"thickness_mm": thick})})

    found, words = shared.rod_drop(spec, Options(tie_bar_reach_mm=half + thick - 5.0), shaft_y=shaft, steepest_deg=10.0)
    assert found == pytest.approx(most, abs=1e-9)
    assert says in words
    inner = Options(tie_bar_reach_mm=half + thick + 1.0)  # its foot is not on the rod's way
    assert "roadbed" not in shared.rod_drop(spec, inner, shaft_y=shaft, steepest_deg=10.0)[1]


def test_the_thickest_wire_is_reckoned_with_until_one_is_pinned() -> None:
    """Of those in stock."""
    spec = n()
    assert shared.widest_wire_mm(spec) == max(wire.diameter_mm for wire in spec.wire.stock)
    assert shared.widest_wire_mm(n(wire_mm=0.5)) == 0.5


@pytest.mark.parametrize(("room", "leg"), [(5.0, 3.0), (2.0, 1.7), (1.1, 0.8), (-1.0, 0.8)])
def test_a_pins_leg_stays_below_rail_top(room: float, leg: float) -> None:
    """By 0.3 mm; 0.8 at least, 3 at most."""
    spec = n()
    assert shared.pin_leg_mm(spec.model_copy(update={"pin_height_mm": spec.rail_top_z - room})) == pytest.approx(leg)


def test_a_loop_may_stand_out_20_mm_or_0_8_gauges() -> None:
    """In the large scales more."""
    assert shared.largest_loop_mm(n()) == 20.0
    assert shared.largest_loop_mm(with_scale(n(), track_gauge_mm=45.0)) == pytest.approx(36.0)


@pytest.mark.parametrize(
    ("step", "at", "expected"),
    [
        ((0.0, 0.0), 10.0, (-1.35, 1.35)), ((0.0, 0.4), 99.0, (-1.75, 1.35)), ((-0.6, 0.0), 99.0, (-1.35, 1.95)),
        # 10 mm and 5·sin 30° of the 20 mm to the loop's foot
        ((-0.8, 0.4), 10.0, (-1.35 - 0.25, 1.35 + 0.5)), ((0.3, -0.2), 99.0, (-1.35, 1.35)),
    ],
)  # fmt: skip
def test_a_rods_slot_follows_its_loops_step(step, at, expected) -> None:
    """Half a wire of 0.7 and a millimetre; what of the step there is at the wall, by its share of the way; the hole's
    own wandering goes to −x."""
    drive = SimpleNamespace(
        loop_at_mm=23.0, loop_feet_mm=6.0, horn_radius_mm=5.0, swing_deg=30.0, loop_step_mm=step, wire_mm=0.7
    )
    assert shared.slot_x(drive, at) == pytest.approx(expected)
    assert shared.slot_x(drive, at, stray_mm=0.3) == pytest.approx((expected[0] - 0.3, expected[1]))


@pytest.mark.parametrize(
    ("edge", "found"), [(10.0, 10.0), (11.1, 11.1), (11.2, 11.8), (11.5, 11.8), (11.79, 11.8), (11.9, 11.9)]
)
def test_no_crack_is_left_between_rim_and_post(edge: float, found: float) -> None:
    """A post 10 mm off and a rim of 1.2: from where it just touches to 0.6 mm beyond it is moved out."""
    assert shared.off_a_post_mm(n(), edge, 10.0) == pytest.approx(found)


def test_margins_round_a_screw() -> None:
    """Head of 5.6 and 1.6 mm of rim, or a driver's 3 mm and the rim's 1.2; beside it a driver, or the head and 0.5."""
    spec = n()
    small = spec.model_copy(update={"fixing": spec.fixing.model_copy(update={"head_mm": 3.0})})
    assert (shared.head_margin_mm(spec), shared.beside_mm(spec)) == pytest.approx((4.4, 3.3))
    assert (shared.head_margin_mm(small), shared.beside_mm(small)) == pytest.approx((4.2, 3.0))
    assert shared.rim_mm(spec) == pytest.approx(1.2)
    assert shared.lip_mm(spec, 9.0) == pytest.approx(10.2)
    # play of both sides over a third less than the rim's height, less the chamfers of rim and shell: just not askew by
    # more than friction holds
    loose = spec.model_copy(update={
        "printer": spec.printer.model_copy(update={"slip_fit_mm": 0.6, "elephant_foot_mm": 0.35})
    })  # fmt: skip
    assert 2 * 0.6 / (0.75 * (shared.lip_mm(loose, 0.0) - 2 * 0.5)) == pytest.approx(FRICTION)
    tight = loose.model_copy(update={"printer": loose.printer.model_copy(update={"slip_fit_mm": 0.0})})
    assert shared.lip_mm(tight, 0.0) == 3.0  # and no less


@pytest.mark.parametrize(
    ("lowest", "depth"), [(1.0, 0.0), (0.99, 0.5), (0.5, 0.5), (0.49, 1.0), (-8.0, 9.0), (-8.01, 12.0), (-30.0, 12.0)]
)
def test_a_cut_out_gives_a_millimetre_of_air_or_goes_through(lowest: float, depth: float) -> None:
    """In half millimetres; 3 mm of a board of 12 are left, or none."""
    assert shared.cut_depth_mm(n(board_mm=12.0), lowest) == depth


@pytest.mark.parametrize("mirror", [False, True])
def test_a_cut_out_is_mirrored_with_its_mount(mirror: bool) -> None:
    """Its corners go round; one as deep as the board goes through."""
    spec, side = n(board_mm=12.0, mirror=mirror), -1.0 if mirror else 1.0

    assert shared.cut_out(spec, (-2.0, 5.0), (1.0, 9.0), 0.0) is None
    found = shared.cut_out(spec, (-2.0, 5.0), (1.0, 9.0), 3.0)
    assert found.outline == ((side * -2, 1.0), (side * 5, 1.0), (side * 5, 9.0), (side * -2, 9.0))
    assert (found.depth_mm, found.through) == (3.0, False)
    assert shared.cut_out(spec, (-2.0, 5.0), (1.0, 9.0), 12.0).through


@pytest.mark.parametrize("mirror", [False, True])
def test_a_housings_datums_stand_on_the_ground(mirror: bool) -> None:
    """No pivot; screws at its foot."""
    spec, side = n(mirror=mirror), -1.0 if mirror else 1.0
    found = shared.datums(spec, ON_ITS_SIDE, (1.0, 2.0, 3.0), ((4.0, 5.0),), (0.0, 0.0, -1.0))

    assert (found.pin, found.pivot) == ((0.0, 0.0, spec.pin_height_mm), None)
    assert np.array(found.servo)[:3, 3].tolist() == [side * 1.0, 2.0, 3.0]
    assert (found.fixings, found.horn_at_mid) == (((side * 4.0, 5.0, 0.0),), (0.0, 0.0, -1.0))


@pytest.mark.parametrize("swing", [0.0, 15.0, 45.0])
def test_an_arm_sweeps_as_far_as_its_corner_or_its_hub(swing: float) -> None:
    """Whole: its round tip, 15 mm out and 2 in radius; cut to 10 mm: the middle of its end and half the hub's width
    there, turned with it; never less than the hub, 3.5."""
    s, c = math.sin(math.radians(swing)), math.cos(math.radians(swing))

    assert shared.arm_sweep_mm(n(), swing, 17.0) == pytest.approx(max(3.5, 15.0 * s + 2.0))
    cut = max(3.5, min(15.0 * s + 2.0, 10.0 * s + 3.5 * c))
    assert shared.arm_sweep_mm(n(), swing, 10.0) == pytest.approx(cut)
    slim = n().model_copy(update={"servo": n().servo.model_copy(update={"horn_hub_mm": 3.0})})
    assert shared.arm_sweep_mm(slim, swing, 17.0) == pytest.approx(15.0 * s + 2.0)  # however slim its hub
    assert shared.arm_sweep_mm(n(), swing, 16.99) == pytest.approx(max(3.5, min(15 * s + 2, 16.99 * s + 3.5 * c)))


def test_a_shell_stands_out_where_it_does() -> None:
    """All round alike unless it says otherwise at its foot, at the trains, at its ends, which may lean."""
    plain = Shell(front_mm=2.5, over_mm=3.0)
    told = Shell(
        front_mm=2.5, foot_mm=9.0, gauge_mm=4.0, end_mm=6.0, end_share=0.5, rise=lambda top, short: top + short
    )

    assert (plain.at_rod_mm(), plain.at_gauge_mm(), plain.at_ends_mm(20.0)) == (2.5, 2.5, 2.5)
    assert (told.at_rod_mm(), told.at_gauge_mm(), told.at_ends_mm(20.0)) == (9.0, 4.0, 16.0)
    assert (plain.top_mm(20.0, 7.0), told.top_mm(20.0, 7.0)) == (23.0, 27.0)
    roomy = Shell(least_room_mm=15.0)
    assert [roomy.room_top_mm(10.0, allowed) for allowed in (None, 12.0, 8.0)] == [15.0, 12.0, 10.0]
    assert roomy.room_top_mm(18.0, None) == 18.0
    assert (plain.room_top_mm(10.0, None), plain.stature) == (10.0, Stature(low_m=2.0, high_m=3.5, most_m=7.0))


@pytest.mark.parametrize("style", ["lift-bracket", "drop-in"])
def test_a_lifts_pin_is_drawn_over_what_it_slides_in(style: str) -> None:
    """Without a crank the rod ends above the pin's height, or so far over the board that its travel is seen; with one
    in the crank's end at mid swing, a crank from its spindle."""
    slides = designed(style=style, travel="4 mm").design
    assert slides.datums.pin[:2] == (0.0, 0.0)
    assert slides.datums.pin[2] >= slides.spec.pin_height_mm
    asked = {"crank": 3.0, "crank_pivot": "60", "positions": "0, 45", "board": "18 mm", "scale": "HO"}
    turns = designed(style=style, **asked).design
    drive, (_, y, z) = turns.drive, turns.datums.pin
    assert math.dist((y, z), drive.crank_pivot) == pytest.approx(drive.crank_mm)
    middle = sum(place.angle_deg for place in drive.positions) / 2
    assert math.degrees(math.atan2(z - drive.crank_pivot[1], drive.crank_towards * (y - drive.crank_pivot[0]))) == (
        pytest.approx(middle, abs=2.0)
    )
    assert _lifting.end_at_mid(drive, 0.0, 0.0) == pytest.approx((y, z))
    # 3 mm over what it stands on at its lowest, and its travel up
    rod = slides.drive
    assert _lifting.end_at_mid(rod, 0.0, 2.0) == pytest.approx((0.0, 2.0 + 3.0 + rod.travel_mm))
    assert _lifting.end_at_mid(rod, 40.0, 2.0) == (0.0, 40.0)
    for part in ("crank_mm", "crank_pivot", "crank_towards"):
        assert _lifting.end_at_mid(drive.model_copy(update={part: None}), 40.0, 2.0) == (0.0, 40.0)
