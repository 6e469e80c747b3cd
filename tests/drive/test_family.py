"""Families: what is shared is the same in every member, all limits hold, and a breaker is named."""

import math
import re

import pytest
from requests_for_drives import SERVOS, bracket_limits, housing_limits, profile, request
from shapely import LineString

from mounts.drive.choices import Axes
from mounts.drive.family import match
from mounts.drive.limits import survivors
from mounts.drive.rocking_wire.field import field
from mounts.drive.rocking_wire.judge import judge
from mounts.drive.solve import solve
from mounts.errors import NoDesign
from mounts.inputs.servo import Servo

BOARDS_MM = (9.0, 12.0, 18.0, 25.0)
SHARE = frozenset({"arm hole", "wire", "pulses"})
NARROW = (0.8, 1.0)  # N: no linkage for both 3 and 60 mm of board
WIDE = (0.2, 3.0)  # N: stiffness goes with 1/h³, and h nearly doubles from 9 to 25 mm


def family(boards=BOARDS_MM, **changes):
    """Requests that differ in their board, and in what is given as a list."""
    return [
        request(
            board_mm=board_mm,
            id=f"east-{number + 1}",
            **{key: value[number] if isinstance(value, list) else value for key, value in changes.items()},
        )
        for number, board_mm in enumerate(boards)
    ]


def matched(specs, share=SHARE):
    """Drives of a family of plain brackets."""
    return match(specs, [bracket_limits(spec) for spec in specs], share)


def travel_by_lines_mm(spec, drive):
    """End to end at the pin: where the line from the arm hole through the pivot meets the pin's height.

    The pivot is the origin, +y up; the pin's height is board, roadbed, tie bar and half the plate above it.
    """
    height = spec.board.thickness_mm + spec.pin_height_mm + 2.0
    shaft = -(drive.pivot_to_horn_mm + (drive.horn_radius_mm if drive.horn_towards_pivot else -drive.horn_radius_mm))
    arm = drive.horn_radius_mm if drive.horn_towards_pivot else -drive.horn_radius_mm
    ends = []
    for pulse_us in (drive.pulse_us.normal, drive.pulse_us.reverse):
        angle = math.radians((pulse_us - drive.pulse_us.centre) * spec.servo.degrees_per_us)
        hole = (arm * math.sin(angle), shaft + arm * math.cos(angle))
        far = (-hole[0] * 20.0, -hole[1] * 20.0)  # from the hole through the pivot and beyond
        ends.append(LineString([hole, far]).intersection(LineString([(-200, height), (200, height)])).x)
    return abs(ends[1] - ends[0])


def assert_sound(spec, drive):
    """The member alone, all its choices pinned, keeps every limit of a single mount and gives the same figures."""
    alone = spec.model_copy(
        update={
            "wire_mm": drive.wire_mm,
            "arm_hole_mm": drive.horn_radius_mm,
            "depth_mm": drive.pivot_to_horn_mm,
            "swing_deg": drive.swing_deg,
            "overtravel_mm": None,
        }
    )
    again = solve(alone, bracket_limits(alone))
    words = {"explanation", "pulse_us"}
    assert again.model_dump(exclude=words) == pytest.approx(drive.model_dump(exclude=words))
    assert again.pulse_us.model_dump() == pytest.approx(drive.pulse_us.model_dump())


@pytest.mark.parametrize("force_n", [(0.5, 1.5), WIDE], ids=["HO's own force", "wide band"])
def test_four_boards_share_arm_hole_wire_and_pulses_to_the_microsecond(force_n):
    """9, 12, 18 and 25 mm: one hole, one wire, one pair of whole pulses; travel by line intersection as promised."""
    specs = family(force_n=force_n)

    drives = matched(specs)

    assert len({(drive.horn_radius_mm, drive.wire_mm, drive.horn_towards_pivot) for drive in drives}) == 1
    for name in ("normal", "reverse"):
        pulses = {round(getattr(drive.pulse_us, name), 9) for drive in drives}
        assert len(pulses) == 1
        assert float(*pulses).is_integer()
    assert len({drive.pivot_to_horn_mm for drive in drives}) == 4
    for spec, drive in zip(specs, drives, strict=True):
        asked = spec.throw_mm + 2 * drive.overtravel_mm
        assert travel_by_lines_mm(spec, drive) == pytest.approx(asked, abs=1e-6)
        assert_sound(spec, drive)


def test_one_over_travel_for_all_where_the_force_allows_it():
    """In a wide band every pin travels alike, to 0.05 mm, and the force falls as the board gets thicker."""
    drives = matched(family(force_n=WIDE))
    forces = [drive.force_n for drive in drives]

    assert max(drive.travel_mm for drive in drives) - min(drive.travel_mm for drive in drives) < 0.05
    assert forces == sorted(forces, reverse=True)


def test_over_travel_asked_for_is_what_every_pin_has():
    """Throw plus twice the over-travel asked for, at each pin, to 0.05 mm, by line intersection."""
    specs = family(force_n=WIDE, overtravel_mm=2.0)

    for spec, drive in zip(specs, matched(specs), strict=True):
        assert travel_by_lines_mm(spec, drive) == pytest.approx(spec.throw_mm + 4.0, abs=0.05)


def test_no_common_over_travel_exists_before_each_gets_its_own():
    """Where members differ in over-travel, no common one, hole, wire and pulse kept every limit of 9 and 25 mm."""
    specs = family((9.0, 25.0))
    travels = {round(drive.travel_mm, 2) for drive in matched(specs)}
    sound = []
    for spec in specs:
        limits = bracket_limits(spec)
        axes = Axes(overtravels_mm=[0.1 * step for step in range(1, 60)])
        candidates = field(spec, limits, axes=axes)
        alive = survivors(judge(candidates, spec, limits).limits)
        radius, _, theta = candidates.arrays()
        columns = (radius, candidates.link.wire_mm, theta.round(6), candidates.aimed)
        sound.append({tuple(row) for row in zip(*(column[alive].tolist() for column in columns), strict=True)})

    assert len(travels) == 2
    assert sound[0] & sound[1] == set()


def test_mirrored_member_has_the_two_pulses_exchanged():
    """A mirrored twin is built alike; only normal and reverse change places."""
    plain, mirrored = matched(family((12.0, 12.0), mirror=[False, True]))

    assert (plain.pulse_us.normal, plain.pulse_us.reverse) == pytest.approx(
        (mirrored.pulse_us.reverse, mirrored.pulse_us.normal)
    )
    assert plain.pivot_to_horn_mm == mirrored.pivot_to_horn_mm


def test_a_housing_that_turns_the_other_way_says_that_its_pulses_are_exchanged():
    """Push rods of other lengths share arm hole, wire and pulses; their travel then differs by less than 0.05 mm. The
    one whose arm moves the pin the other way is told."""
    specs = family((9.0, 18.0), style="hut")
    limits = [
        housing_limits(specs[0]),
        housing_limits(specs[1], ccw_moves_pin_to_reverse=False, rod_length_mm=(50.0, 90.0)),
    ]

    first, second = match(specs, limits, SHARE)

    assert (first.horn_radius_mm, first.wire_mm) == (second.horn_radius_mm, second.wire_mm)
    assert (first.pulse_us.normal, first.pulse_us.reverse) == (second.pulse_us.reverse, second.pulse_us.normal)
    assert first.rod_length_mm != second.rod_length_mm
    assert first.travel_mm == pytest.approx(second.travel_mm, abs=0.05)
    assert "exchanged" not in first.explanation
    assert "pulses with east-1, normal and reverse exchanged against east-1; " in second.explanation


def test_servos_of_other_gain_share_pulses_not_angles():
    """Two servos that turn 0.0925 and 0.0945 °/µs get the same µs, and each its own swing."""
    fast = profile(Servo, "micro-9g").model_copy(update={"degrees_per_us": 0.0945})
    specs = family((12.0, 12.0), servo=["micro-9g", fast])

    first, second = matched(specs)

    assert first.pulse_us == second.pulse_us
    assert second.swing_deg == pytest.approx(0.0945 / 0.0925 * first.swing_deg)
    for spec, drive in zip(specs, (first, second), strict=True):
        assert_sound(spec, drive)


def test_nothing_shared_is_each_for_itself():
    """Without anything to share, or alone, a member gets what `solve` gives it."""
    specs = family((9.0, 18.0))
    alone = tuple(solve(spec, bracket_limits(spec)) for spec in specs)

    assert matched(specs, frozenset()) == alone
    assert matched(specs[:1]) == alone[:1]


def test_member_without_a_drive_of_its_own_is_named_with_its_limit():
    """20 mm of depth is too little for one member: it, the limit and the depth that would do are named, and do."""
    specs = family((12.0, 18.0, 25.0), max_depth_mm=[60.0, 60.0, 20.0])
    with pytest.raises(NoDesign, match=r"^east-3: no drive; the limit 'depth'") as refusal:
        matched(specs)
    asked = float(re.search(r"--max-depth ([\d.]+)", str(refusal.value))[1])

    alone = family((12.0, 18.0, 25.0), max_depth_mm=[60.0, 60.0, asked])[2]

    assert solve(alone, bracket_limits(alone))


@pytest.mark.parametrize(
    ("boards", "changes", "breaker", "said"),
    [
        ((3.0, 12.0, 60.0), {"force_n": NARROW}, 2, "the limit 'travel' removed most"),
        ((12.0, 12.0, 12.0), {"swing_deg": [30.0, 20.0, 30.0]}, 1, "takes 216 to 216 µs, theirs 324 to 324 µs"),
    ],
    ids=["thin to thick", "other swing"],
)
def test_breaker_is_named_and_the_rest_matches_without_it(boards, changes, breaker, said):
    """One line names the member and what it breaks; left out, as the line offers, the others match, and so do all where
    it offers to share less."""
    specs = family(boards, **changes)

    with pytest.raises(NoDesign) as refusal:
        matched(specs)

    text = str(refusal.value)
    assert text.startswith(f"east-{breaker + 1}: cannot share ")
    assert said in text
    assert "\n" not in text
    assert matched([spec for number, spec in enumerate(specs) if number != breaker])
    if "; or share no wire" in text:
        assert len(matched(specs, SHARE - {"wire"})) == len(specs)


def test_centres_must_agree():
    """A servo with another centre cannot share pulses, and is named with both centres."""
    other = profile(Servo, "micro-9g").model_copy(update={"pulse_centre_us": 1520.0})

    with pytest.raises(NoDesign, match=r"^east-2: cannot share pulses with east-1: .*1520 µs.*1500 µs"):
        matched(family((12.0, 12.0), servo=["micro-9g", other]))


def test_unknown_thing_to_share_is_a_programmers_mistake():
    """Only the four names are known."""
    with pytest.raises(ValueError, match="colour"):
        matched(family((12.0, 18.0)), frozenset({"colour"}))


@pytest.mark.parametrize("servo", SERVOS)
@pytest.mark.parametrize("scale", ["N", "HO", "O"])
def test_pairs_of_usual_boards_match_in_every_class(servo, scale):
    """12 and 18 mm share hole, wire and pulses in each servo class and scale, and keep every limit."""
    specs = family((12.0, 18.0), servo=servo, scale=scale)

    for spec, drive in zip(specs, matched(specs), strict=True):
        assert_sound(spec, drive)
