"""Adapting, numbers only: what is kept, in which order, what is said of it, and when it is refused."""

import io
import math
import re

import pytest
from rich.console import Console
from shapely import LineString

from mounts.errors import InputError, NoDesign
from mounts.inputs.change import change
from mounts.inputs.library import Library
from mounts.inputs.request import read_request
from mounts.inputs.resolve import resolve
from mounts.pipeline import adapt_mount, design_mount
from mounts.report.adapt import Compared, compare
from mounts.report.summary import show_adapted


def made(**options):
    """The design of an HO mount under 12 mm."""
    asked = {"id": "east-1", "style": "under-bracket", "board": "12", "throw": "3", "scale": "HO"}
    asked = {key: value for key, value in (asked | options).items() if value is not None}
    return design_mount(resolve(read_request(asked), Library())).design


def adapted(before, **changes):
    """The adapted design and its comparison."""
    spec = change(before.spec, changes, Library())
    drive, comparison = adapt_mount(before, spec)
    return design_mount(spec, drive).design, comparison


def travel_by_lines_mm(design):
    """End to end at the pin: the line from arm hole through pivot, met by the pin's height; mount frame, y and z."""
    drive, datums = design.drive, design.datums
    pivot, shaft_z = datums.pivot, datums.servo[2][3]
    up = datums.horn_at_mid[2]
    ends = []
    for pulse_us in (drive.pulse_us.normal, drive.pulse_us.reverse):
        angle = math.radians((pulse_us - drive.pulse_us.centre) * design.spec.servo.degrees_per_us)
        hole = (drive.horn_radius_mm * math.sin(angle), shaft_z + up * drive.horn_radius_mm * math.cos(angle))
        far = (-20 * hole[0], pivot[2] + 20 * (pivot[2] - hole[1]))
        level = LineString([(-200, datums.pin[2]), (200, datums.pin[2])])
        ends.append(LineString([hole, far]).intersection(level).x)
    return abs(ends[1] - ends[0])


@pytest.mark.parametrize("board", ["12.6", "18", "3/4 in", "mdf-19"])
def test_thicker_board_keeps_arm_hole_wire_pulses_and_screw_holes(board):
    """From 12 mm up to 19: only board, depth, lengths, drill and what follows from them change."""
    before = made()

    after, comparison = adapted(before, board=board)

    assert after.drive.horn_radius_mm == before.drive.horn_radius_mm
    assert after.drive.wire_mm == before.drive.wire_mm
    assert after.drive.pulse_us.model_dump() == pytest.approx(before.drive.pulse_us.model_dump())
    assert after.datums.fixings != before.datums.fixings  # lower, under a thicker board
    assert [fixing[:2] for fixing in after.datums.fixings] == [fixing[:2] for fixing in before.datums.fixings]
    assert {"arm hole", "wire", "pulses", "screw pattern"} <= set(comparison.kept)
    assert {row.what for row in comparison.changes} <= {
        "board",
        "pivot to arm hole",
        "hole in the board",
        "wire to cut",
        "screws",
        "travel",
        "over-travel a side",
        "force at the blades",
    }
    assert travel_by_lines_mm(after) == pytest.approx(after.spec.throw_mm + 2 * after.drive.overtravel_mm, abs=1e-6)


def test_travel_stays_where_the_force_allows():
    """A little more board, or a band of force that is wide enough: the pin travels as before, to 0.05 mm."""
    before = made(force="0.2-3")

    after, comparison = adapted(before, board="18")

    assert "over-travel" in comparison.kept
    assert comparison.lost == ""
    assert travel_by_lines_mm(after) == pytest.approx(travel_by_lines_mm(before), abs=0.05)
    assert after.drive.pivot_to_horn_mm > before.drive.pivot_to_horn_mm


def test_over_travel_that_is_given_up_is_explained():
    """At 3/4 in the wire is too soft for the old travel; the line names the limit that stood against it."""
    _, comparison = adapted(made(), board="3/4 in")

    assert "over-travel" not in comparison.kept
    assert comparison.lost.startswith("over-travel: no drive; the limit 'force'")


@pytest.mark.parametrize(
    ("options", "board"),
    [({"scale": "N", "mirror": True, "throw": None, "max_depth": "90"}, "18 mm"), ({}, "3/4 in")],
    ids=["N", "HO"],
)
def test_the_force_that_keeps_the_over_travel_is_offered_as_typed_and_does(options, board):
    """The line ends in an option; typed, it brings back over-travel, travel and the hole in the board."""
    before = made(**options)
    _, comparison = adapted(before, board=board)
    option = re.search(r"; --force ([\d.]+-[\d.]+) keeps it$", comparison.lost)
    assert option, comparison.lost

    after, again = adapted(before, board=board, force=option[1])

    assert "over-travel" not in comparison.kept
    assert again.lost == ""
    assert {"over-travel", "arm hole", "wire", "pulses"} <= set(again.kept)
    assert travel_by_lines_mm(after) == pytest.approx(travel_by_lines_mm(before), abs=0.05)


def test_the_force_that_keeps_the_wire_is_offered_and_does():
    """Under 60 mm the old wire is too soft for the force: a weaker one asked for, it stays."""
    before = made(throw="4.4")
    _, comparison = adapted(before, board="60")
    option = re.search(r"; --force ([\d.]+-[\d.]+) keeps it$", comparison.lost)
    assert option, comparison.lost

    after, again = adapted(before, board="60", force=option[1])

    assert "wire" not in comparison.kept
    assert {"arm hole", "wire", "pulses"} <= set(again.kept)
    assert after.drive.wire_mm == before.drive.wire_mm


def test_other_throw_moves_the_depth_only():
    """Half a millimetre more throw is met by the depth, with the same over-travel beyond it."""
    before = made()

    after, comparison = adapted(before, throw="3.5")

    assert after.drive.overtravel_mm == pytest.approx(before.drive.overtravel_mm, abs=0.01)
    assert travel_by_lines_mm(after) == pytest.approx(3.5 + 2 * after.drive.overtravel_mm, abs=1e-6)
    assert {"arm hole", "wire", "pulses", "over-travel", "screw pattern"} == set(comparison.kept)


def test_other_servo_keeps_what_its_arm_has():
    """A larger servo cannot take the wire so near its hub: wire and pulses stay, the arm hole does not, and why."""
    before = made()

    after, comparison = adapted(before, servo="standard-40g")

    changed = {row.what: row for row in comparison.changes}
    assert comparison.kept[:2] == ("wire", "pulses")
    assert after.drive.pulse_us == before.drive.pulse_us
    assert changed["servo"].after == "standard-40g"
    assert changed["arm hole"].after in after.spec.servo.horn_radii_mm
    assert "arm hole" in comparison.lost


def test_wire_changes_before_the_arm_hole_does():
    """Under 60 mm no depth of the old wire closes the points: arm hole and pulses stay, the wire gets thicker."""
    after, comparison = adapted(made(throw="4.4"), board="60")

    assert comparison.kept[:2] == ("arm hole", "pulses")
    assert comparison.lost.startswith("wire: no drive; the limit 'travel'")
    assert {row.what for row in comparison.changes} >= {"wire", "arm hole, drilled to", "wire to cut"}
    assert after.drive.wire_mm > made(throw="4.4").drive.wire_mm


def test_nothing_to_keep_is_refused_with_the_reasons():
    """60 mm of board and 25 of depth: one line with what stands against arm hole, wire and pulses, and all else."""
    with pytest.raises(NoDesign) as refusal:
        adapted(made(throw="4"), board="60", max_depth="25")

    text = str(refusal.value)
    assert text.startswith("east-1-60mm: nothing can be kept: with arm hole: no drive; the limit 'travel'")
    assert "; nor is there any other: no drive" in text
    assert "\n" not in text


def test_a_thin_board_gets_a_pad_and_a_thick_one_loses_it():
    """No screw grips 5 mm: a pad is glued under it; from there to 18 mm without one. The screws stand the same."""
    before = made()

    thin, _ = adapted(before, board="5")
    thick, _ = adapted(thin, board="18")

    assert [design.spec.pad_mm for design in (before, thin, thick)] == [0.0, 6.5, 0.0]
    assert [design.spec.board.thickness_mm for design in (before, thin, thick)] == [12.0, 11.5, 18.0]
    assert thin.spec.fixing == before.spec.fixing == thick.spec.fixing


def test_other_centre_gives_up_the_pulses():
    """A servo centred elsewhere needs other pulses; arm hole and wire stay."""
    before = made()
    other = before.spec.servo.model_copy(update={"pulse_centre_us": 1520.0, "name": "mine"})

    drive, comparison = adapt_mount(before, before.spec.model_copy(update={"servo": other, "id": "east-2"}))

    assert "pulses" not in comparison.kept
    assert {"arm hole", "wire"} <= set(comparison.kept)
    assert drive.pulse_us.centre == 1520.0
    assert comparison.lost == "pulses: mine has its centre at 1520 µs"


def test_back_again_is_the_same_mount():
    """From 12 mm to 18 and back, with the travel kept, gives the depth it had, to the hundredth it is rounded to."""
    before = made(force="0.2-3")
    there, _ = adapted(before, board="18")

    back, _ = adapted(there, board="12")

    assert back.drive.pivot_to_horn_mm == pytest.approx(before.drive.pivot_to_horn_mm, abs=0.02)


@pytest.mark.parametrize(
    ("changes", "options"),
    [
        ({"force": "0.1-0.5"}, {"scale": "N", "mirror": True, "throw": None, "max_depth": "90"}),
        ({}, {"force": "0.2-3"}),
    ],
    ids=["N", "HO"],
)
def test_what_is_kept_is_not_among_the_changes(changes, options):
    """Kept over-travel and travel stand under what stays, whatever the depth's rounding; no change reads as 0."""
    before = made(**options)
    _, comparison = adapted(before, board="18", **changes)
    out = io.StringIO()

    show_adapted(comparison, Console(file=out, width=400))

    assert "over-travel" in comparison.kept
    assert {"over-travel a side", "travel"} <= {row.what for row in comparison.stays}
    assert {"over-travel a side", "travel"}.isdisjoint(row.what for row in comparison.changes)
    assert not re.search(r"[+−]0( |°|$)", out.getvalue())


@pytest.mark.parametrize(("after", "stays"), [(2.4137, True), (2.4157, False)])
def test_less_than_is_shown_is_no_change(after, stays):
    """2.41 mm and what is 0.004 mm more is the same on a screen of hundredths; 0.006 mm more is +0.01."""
    assert Compared(what="over-travel a side", unit="mm", before=2.4097, after=after).stays() is stays


def test_other_throw_with_the_old_over_travel_changes_the_travel():
    """Where the throw is another, over-travel that stays does not hide the travel's change."""
    _, comparison = adapted(made(), throw="3.5")

    assert "over-travel" in comparison.kept
    assert {"throw", "travel"} <= {row.what for row in comparison.changes}


def test_the_screen_says_what_stays_and_what_changes_by_how_much():
    """Each change is a row with both figures and their difference; what stays is listed."""
    before = made()
    after, comparison = adapted(before, board="18")
    out = io.StringIO()

    show_adapted(comparison, Console(file=out, width=400))

    text = out.getvalue()
    more = after.drive.pivot_to_horn_mm - before.drive.pivot_to_horn_mm
    stays = next(line for line in text.splitlines() if line.startswith("stays"))
    (depth,) = (line for line in text.splitlines() if line.startswith("pivot to arm hole"))
    assert f"arm hole {before.drive.horn_radius_mm:g} mm" in stays
    assert "screw pattern 4 holes" in stays
    assert depth.split()[4:] == [
        f"{before.drive.pivot_to_horn_mm:g}",
        "mm",
        f"{after.drive.pivot_to_horn_mm:g}",
        "mm",
        f"{'+' if more > 0 else '−'}{abs(round(more, 2)):g}",
        "mm",
    ]
    assert "screws 4 of 3 × 12 mm" in stays


def test_a_mount_compared_with_itself_has_no_changes():
    """Everything stays; with a screw 0.2 mm elsewhere, the pattern alone changes."""
    design = made()
    fixings = ((design.datums.fixings[0][0] + 0.2, *design.datums.fixings[0][1:]), *design.datums.fixings[1:])
    moved = design.model_copy(update={"datums": design.datums.model_copy(update={"fixings": fixings})})

    assert compare(design, design, kept=(), lost="").changes == ()
    (row,) = compare(design, moved, kept=(), lost="").changes
    assert (row.what, row.after) == ("screw pattern", "holes up to 0.2 mm elsewhere")


def test_mirror_image_of_a_pattern_is_the_same_template():
    """The mirrored twin's screws are drilled through the same template, turned over."""
    assert "screw pattern" in compare(made(), made(mirror=True), kept=(), lost="").kept


@pytest.mark.parametrize(
    ("changes", "tag"),
    [
        ({"board": "3/4 in"}, "19.05mm"),
        ({"servo": "mini-20g"}, "mini-20g"),
        ({"throw": 3.5, "roadbed": "cork-3"}, "roadbed3mm-throw3.5mm"),
        ({"force": "0.4-1.5"}, "force0.4-1.5N"),
    ],
)
def test_default_id_says_what_is_another(changes, tag):
    """Without --id the new mount is called after the old one and what was changed."""
    spec = change(made().spec, changes, Library())

    assert spec.id == f"east-1-{tag}"


def test_pin_stays_where_the_tie_bar_is():
    """Three millimetres less roadbed lower the pin by three."""
    before = made(roadbed="6", pin_height="8")

    spec = change(before.spec, {"roadbed": "3"}, Library())

    assert spec.pin_height_mm == pytest.approx(5.0)


def test_pins_that_no_longer_apply_are_set_free():
    """A pinned depth is free on another board; a pinned arm hole and swing only with another servo."""
    spec = made(arm_hole="7", swing=30.0).spec.model_copy(update={"depth_mm": 20.0})

    board, servo = (change(spec, given, Library()) for given in ({"board": "18"}, {"servo": "mini-20g"}))

    assert (board.depth_mm, board.arm_hole_mm, board.swing_deg) == (None, 7.0, 30.0)
    assert (servo.depth_mm, servo.arm_hole_mm, servo.swing_deg) == (None, None, None)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({}, ["nothing to change", "--board"]),
        ({"throw": "3 mm"}, ["nothing to change"]),
        ({"board": "18 m", "servo": "mini-20", "throw": "40"}, ["--board", "nearest is 'mini-20g'", "--throw"]),
        ({"max_depth": "5"}, ["--max-depth", "10 to 200 mm"]),
    ],
)
def test_wrong_changes_are_told_all_at_once(changes, said):
    """A line a fault, each with its option; asking for what is already there is one too."""
    with pytest.raises(InputError) as fault:
        change(made().spec, changes, Library())

    assert all(word in str(fault.value) for word in said), fault.value


def test_too_long_a_default_id_asks_for_one():
    """An id of 60 characters leaves no room for what is changed."""
    spec = made().spec.model_copy(update={"id": "a" * 60})

    with pytest.raises(InputError, match=r"^--id: must be given, .* longer than 64 characters$"):
        change(spec, {"board": "18"}, Library())
