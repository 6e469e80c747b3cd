"""The steps from the paper alone: their order, their figures, and that none contradicts another."""

import math
import re

import numpy as np
import pytest

from mounts import scene
from mounts.design import CutOut, Design
from mounts.drive.trim import trim
from mounts.inputs.library import Library
from mounts.inputs.request import read_request
from mounts.inputs.resolve import resolve
from mounts.pipeline import design_mount
from mounts.report.cautions import cautions
from mounts.report.hardware import hardware
from mounts.report.kinds import telling
from mounts.report.sheet import render_sheet
from mounts.report.steps import steps
from mounts.scene_push_rod import held_rod_path
from mounts.scene_site import lane, near_rail, pin_between_rails
from mounts.scene_wire import wire_cut_mm
from mounts.units import number

LAID = {"style": "under-bracket", "scale": "N", "board": "18 mm", "laid": True}
HUT = {"style": "hut", "scale": "HO", "board": "18 mm", "set": ["pose=hang"]}
SIDE = {"style": "hut", "scale": "N", "board": "12", "roadbed": "0", "pin_height": "1", "set": ["pose=side"]}
CASES = {
    "laid": LAID,
    "bare board": LAID | {"laid": False},
    "hang": HUT,
    "side": SIDE,
    "laid hut": HUT | {"laid": True},
    "foam": HUT | {"style": "cabin", "board": "xps-30"},
    "own spring": LAID | {"own_spring": "0.2 N"},
    "mirrored": HUT | {"mirror": True},
}


def _designed(**options) -> Design:
    asked = {"id": "east-1", "servo": "micro-9g"}
    return design_mount(resolve(read_request(asked | options), Library())).design


def _text(design: Design) -> str:
    return "\n".join(steps(design))


def _in_order(text: str, *words: str) -> None:
    places = [text.index(part) for part in words]
    assert places == sorted(places)


def test_nothing_is_drilled_from_below_by_guess():
    """Laid track: blades blocked, a fine pilot from above with a depth stop, found below, and only then opened up."""
    design = _designed(**LAID)
    text = _text(design)

    _in_order(
        text,
        "Block the blades at mid throw",
        "Look underneath",
        "From above drill a 1 mm pilot",
        "depth stop",
        "On the underside draw a line",
        "From below open the tie bar's pilot",
        "Put the locator down",
        "mark its screw",
        "screw it on",
        "Put the servo in",
        "up through pivot and board",
        "Take the strips out",
        "Trim normal",
        "cut the wire 1.7 mm above",
    )
    # a strip of half the throw at either blade is mid throw
    assert f"strip {design.spec.throw_mm / 2:g} mm thick" in text


def test_the_depth_stops_let_the_drill_through_and_stop_it():
    """The pilot comes through board, roadbed and tie bar; what opens it up ends in the roadbed, below the sleepers."""
    design = _designed(**LAID)
    pilot, opened = (
        float(re.search(words, _text(design))[1])
        for words in (r"tape round the drill ([\d.]+) mm from its tip as a depth stop \(", r"tape ([\d.]+) mm from")
    )
    spec = design.spec
    assert spec.board.thickness_mm + spec.board.over_mm + spec.pin_height_mm < pilot
    assert pilot < spec.board.thickness_mm + spec.pin_height_mm + 5
    assert spec.board.thickness_mm < opened < spec.board.thickness_mm - spec.board.under_mm + spec.roadbed.thickness_mm


def test_a_bare_board_is_drilled_before_the_track_is_laid():
    """Not laid: the hole is drilled where two lines cross, then the turnout is laid over it, then the mount located."""
    design = _designed(**(LAID | {"laid": False}))
    text, hole = _text(design), f"drill {design.drive.board_hole_mm:g} mm straight down"

    _in_order(text, "Draw the track's centre line", hole, "Lay the turnout", "Put the locator down")
    assert "From below open" not in text


@pytest.mark.parametrize("case", CASES)
def test_power_is_on_where_a_step_sends_pulses_and_off_where_hands_are_in_it(case):
    """The steps switch by themselves: a pulse is sent with power on, and nothing is fitted or cut with it on."""
    on = False
    seen = 0
    for step in steps(_designed(**CASES[case])):
        for sentence in re.split(r"(?<=[.;:]) ", step):
            on = True if "ower on" in sentence else on
            on = False if "power off" in sentence.lower() or "switch off" in sentence else on
            if re.search(r"\b(send|from|go back|trimmed by itself).* µs", sentence, re.IGNORECASE):
                assert on, sentence
                seen += 1
            if re.search(r"Hook|Put the servo in|locator|Drill|drill|Cut|cut the wire|Lower the|Lay the rod", sentence):
                assert not on or "drive" in sentence or "Lower the shell" in sentence, sentence
    assert seen >= 3
    assert any("Where a step says power on" in line for line in cautions(_designed(**CASES[case]).spec))


@pytest.mark.parametrize("case", CASES)
def test_no_line_is_wider_than_a_terminal(case):
    """80 columns, headings and lists included; no 'a 8.5 mm', no '1 holes'."""
    sheet = render_sheet(_designed(**CASES[case])).decode()

    assert max(len(line) for line in sheet.splitlines()) <= 80
    assert not re.search(r"\d\n +(mm|µs|N)\b", sheet)
    assert not re.search(r"\b[Aa] (8|11|18)[\d.]* mm|\b1 (holes|screws|pilots|crosses)", sheet)


@pytest.mark.parametrize("case", CASES)
def test_the_trimming_rule_has_the_figures_of_the_report(case):
    """Each end names where the sign shows, how far past it, which way, and µs a tenth, within the servo's range."""
    design = _designed(**CASES[case])
    rule, text = trim(design.spec, design.drive), _text(design)

    for end in (rule.normal, rule.reverse):
        (step,) = [step for step in steps(design) if step.startswith(f"Trim {end.position}")]
        near, past, about, tenth = (
            float(re.search(words, step)[1])
            for words in (r"near (\d+) µs", r"then (\d+) µs further", r"about (\d+) µs", r"Here (\d+) µs move")
        )
        assert (near, past, about, tenth) == pytest.approx(
            (end.touch_us, end.past_us, end.pulse_us, end.us_per_tenth_mm), abs=0.5
        )
        up = about > design.drive.pulse_us.centre
        assert f"further {'up' if up else 'down'}" in step
        assert rule.range_us[0] <= about <= rule.range_us[1]
    assert "stays open" in text
    assert "hums" in text
    assert f"{rule.range_us[0]:.0f} to {rule.range_us[1]:.0f} µs" in text


def test_a_spring_that_stays_gives_another_sign():
    """Taken out unless said otherwise; one that stays throws the blades over before they can touch softly."""
    assert "take that out" in _text(_designed(**LAID))
    kept = _text(_designed(**(LAID | {"own_spring": "0.2 N"})))
    assert "overcomes 0.2 N" in kept
    assert "own spring throws the blades over" in kept
    none = _text(_designed(**(LAID | {"own_spring": "none"})))
    assert "spring of its own" not in none
    assert "own spring" not in none


@pytest.mark.parametrize("mirror", [False, True])
def test_ends_are_named_by_what_moves(mirror):
    """At reverse the drawn rod's end is nearer to the hut than at normal; at normal it is farther."""
    design = _designed(**(HUT | {"mirror": mirror}))
    swing = math.radians(design.drive.swing_deg)
    shaft_y = design.datums.servo[1][3]
    normal, reverse = (abs(shaft_y - scene.wire_path(design, angle)[-1][1]) for angle in (-swing, swing))

    assert reverse < normal
    assert telling(design.drive).ends(design).reverse == "the rod pulls the tie bar towards the hut"
    assert telling(design.drive).ends(design).normal == "the rod pushes the tie bar away from the hut"
    laid = _designed(**LAID)
    assert "to the side where the plate has three notches" in telling(laid.drive).ends(laid).reverse


@pytest.mark.parametrize("case", ["hang", "side", "mirrored"])
def test_one_ruler_figure_places_the_frame(case):
    """Edge of the frame to the near rail: the gauge of NEM 010 halved, from the track's centre line, to 0.1 mm."""
    design = _designed(**CASES[case])
    words = r"its edge ([\d.]+) mm from the near rail's outer edge.*\(([\d.]+) mm from its gauge"
    told = re.search(words, _text(design))
    outer, face = float(told[1]), float(told[2])

    gauge_mm = {"HO": 16.5, "N": 9.0}[design.spec.scale.name]  # NEM 010
    edge_from_centre = design.plan.base_y[0] - design.beside_track().track_y
    assert face == pytest.approx(edge_from_centre - gauge_mm / 2, abs=0.06)
    assert 0.4 <= face - outer <= 1.2  # a rail's head


def test_the_lane_holds_rod_and_loop_over_the_whole_swing():
    """Nothing of the wire between tie bar and frame, held closed or not, leaves the lane, which is hardly wider."""
    design = _designed(**HUT)
    paths = [scene.wire_path(design, float(theta)) for theta in scene.arm_angles_rad(design)]
    points = np.vstack([*paths, held_rod_path(design, -1), held_rod_path(design, 1)])
    points = points[points[:, 1] < design.plan.base_y[0]]
    low, high = lane(design).x

    half = design.drive.wire_mm / 2
    assert low < points[:, 0].min() - half - 1
    assert high > points[:, 0].max() + half + 1
    assert high - low < np.ptp(points[:, 0]) + 5
    assert f"{high - low:g} mm wide" in _text(design)


@pytest.mark.parametrize(("reach", "between"), [("6", True), ("7", True), ("11.5", False)])
def test_the_rod_goes_under_the_rail_only_where_it_does(reach, between):
    """HO's gauge face is 8.25 mm from the centre line (NEM 010): a pin nearer than that lies between the rails."""
    design = _designed(**(HUT | {"set": [f"tie_bar_reach_mm={reach}"], "track_distance": "30"}))

    assert pin_between_rails(design) is between
    text = _text(design)
    assert ("under the near rail" in text) is between
    assert ("in the way of the trains" in text) is between
    assert near_rail(design).face_y == pytest.approx(8.25 - float(reach))


@pytest.mark.parametrize("scale", ["N", "TT", "HO", "O"])
def test_the_wire_is_cut_off_below_rail_top(scale):
    """'Cut it off' says how far above the tie bar's middle; with the pin's height that is below the rails."""
    design = _designed(**(LAID | {"scale": scale}))
    above = float(re.search(r"cut the wire ([\d.]+) mm above the middle of the tie bar", _text(design))[1])

    assert 0.8 <= above <= 3.0
    assert design.spec.pin_height_mm + above <= design.spec.rail_top_z - 0.25


@pytest.mark.parametrize("case", CASES)
def test_every_drill_and_aid_of_the_steps_is_at_hand(case):
    """Each size drilled with stands in the list; so do eye protection, the locator, strips and depth stop."""
    design = _designed(**CASES[case])
    text, found = _text(design), hardware(design)
    sizes = " ".join(item.size for item in found if item.item.startswith("drill"))

    before = "pilots of|drill a|(?<!round the )drill|pilot to|first, then|shank of a"
    drilled = re.findall(rf"(?:{before}) ([\d.]+) mm", text)
    drilled += re.findall(r"to ([\d.]+) mm with a hand drill", text)
    drilled += re.findall(r"° round ([\d.]+) mm", text)
    assert all(f"{size} mm" in sizes for size in drilled)
    names = " ".join(f"{item.item} {item.size}" for item in found)
    assert "eye protection" in names
    if design.spec.style == "under-bracket":
        assert "locator" in names
        assert f"{design.spec.throw_mm / 2:g} mm thick" in names
    if "depth stop" in text:
        assert "depth stop" in names


def test_steps_carry_the_wire_and_its_bends():
    """Cut length, both marks, the former and how each bend turns stand in the steps of a rocking wire."""
    design = _designed(**LAID)
    text = _text(design)

    wire_mm = design.drive.wire_mm
    assert f"Cut {wire_cut_mm(design):g} mm of {wire_mm:g} mm wire" in text
    assert f"shank of a {number(3 * wire_mm)} mm drill: up, then back" in text


@pytest.mark.parametrize(
    ("case", "order"),
    [
        (
            "hang",
            (
                "ush the arm on",
                "screw it on",
                "Lay the rod in its lane",
                "Hook the rod",
                "straight down into its seat",
                "Plug the servo in, ",
                "Trim normal",
                "Lower the shell",
            ),
        ),
        (
            "side",
            (
                "Cut the arm off",
                "Rout or chisel a pocket",
                "screw it on",
                "Lay the rod in its lane",
                "Put the servo in",
                "Hook the rod",
                "ush the arm on",
                "Plug the servo in, ",
                "Lower the shell",
            ),
        ),
    ],
)
def test_steps_of_a_housing_follow_what_the_checks_prove(case, order):
    """A hanging servo goes in with its arm on and the rod hooked in; one on its side gets its arm afterwards."""
    design = _designed(**CASES[case])

    assert (design.plan.arm_in_deg is None) is (case == "side")
    _in_order(_text(design), *order)


def test_the_spare_wire_of_a_rod_is_cut_off():
    """What is cut is longer than what is used; the steps say how much stays above the rod: it ends below rail top."""
    design = _designed(**HUT)

    assert wire_cut_mm(design) >= design.drive.cut_length_mm + 5
    stays = float(re.search(r"Cut the spare end off ([\d.]+) mm above the middle of the rod", _text(design))[1])
    assert design.spec.pin_height_mm + stays <= design.spec.rail_top_z + 0.05


def test_the_arm_of_a_hanging_servo_is_turned_by_a_pulse():
    """The pulse in the step puts the arm at the angle of which the way in was proved (servo's own µs per degree)."""
    design = _designed(**HUT)
    turned_deg = design.plan.arm_in_deg
    assert turned_deg

    told = re.search(r"Send (\d+) µs, which turns its arm (\d+)° away", _text(design))
    assert float(told[2]) == turned_deg
    off_deg = abs(float(told[1]) - design.drive.pulse_us.centre) * design.spec.servo.degrees_per_us
    assert off_deg == pytest.approx(turned_deg, abs=0.5)
    towards = float(told[1]) - design.drive.pulse_us.centre
    assert towards * (design.drive.pulse_us.reverse - design.drive.pulse_us.centre) > 0


def test_a_thin_board_gets_its_pad_in_steps_and_hardware():
    """Under 5 mm of plywood: a pad that is cut, drilled where the wire goes and glued before the hole is opened; wood
    glue and the pad are on the list. On bare foam the glue is one that foam stands."""
    thin = _designed(**(LAID | {"board": "5"}))
    told = steps(thin)
    glued = next(number for number, step in enumerate(told) if "Cut a pad of 6.5 mm plywood" in step)
    opened = next(number for number, step in enumerate(told) if "open the tie bar's pilot" in step)

    assert glued < opened
    (left, front), (right, back) = np.min(thin.plan.pad_xy, axis=0), np.max(thin.plan.pad_xy, axis=0)
    assert f"{right - left:.0f} mm along the track and {back - front:.0f} mm across it" in told[glued]
    assert f"{back:.1f} mm from the side of reverse" in told[glued]
    assert "glue it under the board with wood glue" in told[glued]
    items = {item.item for item in hardware(thin)}
    assert {"plywood pad, glued under the board", "wood glue"} <= items
    foam = {item.item for item in hardware(_designed(**(LAID | {"board": "xps-25"})))}
    assert {"plywood pad, glued under the board", "adhesive that the foam stands"} <= foam


def test_bolts_go_through_and_get_washers_and_nuts():
    """A housing on 4 mm: 3.4 mm right through (ISO 273 medium), and as many washers and nuts as screws."""
    design = _designed(**(HUT | {"board": "4"}))
    text = " ".join(steps(design))
    items = {item.item: item for item in hardware(design)}

    assert "drill 3.4 mm right through" in text
    assert "washer and a nut on each from below" in text
    assert "pilots" not in text
    assert items["nut"].quantity == items["washer"].quantity == items["machine screw, countersunk"].quantity == 4


@pytest.mark.parametrize("case", CASES)
def test_the_cable_has_a_way_is_held_and_its_wires_are_named(case):
    """Its hole is drilled before the frame is screwed on; clip and lead are at hand; wires in words; no live plug."""
    design = _designed(**CASES[case])
    text, bought = _text(design), {item.item for item in hardware(design)}

    for word in ("ground", "red is +", "signal", "never plug or unplug it under power", "Fix its cable"):
        assert word in text
    assert "cable clip or tape" in bought
    assert any("extension lead" in item for item in bought)
    if design.spec.style != "under-bracket":
        _in_order(text, "drill the cable's hole, 9 mm", "Stand the frame", "plug down through the frame's slot")
        assert "drill, cable's hole in the board" in bought


def test_a_cable_at_the_back_is_not_drilled_for():
    """--set cable=back: through the gap in the rim, no hole, no drill."""
    design = _designed(**HUT | {"set": ["cable=back"]})

    assert "gap in the frame's rim" in _text(design)
    assert "cable's hole" not in _text(design) + str([item.item for item in hardware(design)])


@pytest.mark.parametrize("at", [(0.0, 0.0), (-13.0, 40.0), (70.0, -21.0)])
@pytest.mark.parametrize(("through", "deep"), [(True, "through the board"), (False, "4.5 mm deep")])
def test_a_cut_out_is_told_as_large_as_it_is_wherever_it_is(at, through, deep):
    """5 mm along the track and 19.2 across it, each a difference of corners, and how deep."""
    (x, y), wide, across = at, 5.0, 19.2
    outline = ((x, y), (x + wide, y), (x + wide, y + across), (x, y + across))

    told = CutOut(outline=outline, depth_mm=4.5, through=through).told()

    assert told == f"5 mm along the track and 19.2 mm across it, {deep}"
