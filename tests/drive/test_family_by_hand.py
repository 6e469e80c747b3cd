"""How a family is matched, on a handful of candidates written down here: no solver, the choice by trying all."""

from __future__ import annotations

import itertools
from types import SimpleNamespace

import numpy as np
import pytest
from requests_for_drives import profile, request

from mounts.drive import family
from mounts.drive.limits import Limit
from mounts.drive.model import PointsDrive, PulseWidths
from mounts.drive.ranking import Candidates, Examined
from mounts.errors import NoDesign
from mounts.inputs.servo import Servo

ALL = frozenset({"arm hole", "wire", "pulses"})
FAST = profile(Servo, "micro-9g").model_copy(update={"degrees_per_us": 0.0945})


class Mount:
    """A member: rows of arm hole, wire, half swing in µs, way of the arm, over-travel, cost, force (2 N at most)."""

    def __init__(self, name, rows, objections=(), reverse_longer=True, **asked):
        self.spec = request(id=name, **{"throw_mm": 2.0, **asked})
        self.rows, self.objections, self.reverse_longer = rows, objections, reverse_longer
        self.axes, self.hopeless = [], False

    def examined(self, axes):
        self.axes.append(axes)
        rows = self.rows
        radius, wire, us, towards, aimed, cost, force = (np.array(column, float) for column in zip(*rows, strict=True))
        if axes.overtravels_mm is not None:  # what the common over-travels leave
            force = np.where(np.isclose(aimed[:, None], axes.overtravels_mm, atol=1e-9).any(axis=1), force, np.inf)
        theta = np.radians(us * self.spec.servo.degrees_per_us)
        limit = Limit("force-high", force, np.array(2.0), "at most", "N at the blades", "allow {value} N")
        centre = self.spec.servo.pulse_centre_us
        side = 1 if self.reverse_longer else -1
        return Examined(
            self.spec,
            Candidates(radius, theta, wire, wire),
            (limit,),
            {"half": cost / 2, "rest": cost / 2},
            aimed,
            towards.astype(bool),
            dimensions=lambda at: f"row {rows[at][5]:g}",
            drive=lambda at: PointsDrive.model_construct(
                kind=f"{self.spec.id}: {rows[at][:6]}",
                pulse_us=PulseWidths(normal=centre - side * us[at], centre=centre, reverse=centre + side * us[at]),
                explanation="",
            ),
            objection=lambda at: "no" if rows[at][5] in self.objections else "",
            performance=lambda words, drive, spec, dimensions: f"{words} with {dimensions}.",
        )


@pytest.fixture
def match(monkeypatch):
    """``match`` of such members; what is left of the solver says that it was asked."""

    def matched(members, share=ALL, *, aims=True):
        by_id = {member.spec.id: member for member in members}
        monkeypatch.setattr(family, "examined", lambda spec, own, axes: by_id[spec.id].examined(axes))
        monkeypatch.setattr(family, "kind_of", lambda own: SimpleNamespace(aims_at_overtravel=aims))

        def solve(spec, own):
            if by_id[spec.id].hopeless:
                raise NoDesign(f"{spec.id}: alone")

        monkeypatch.setattr(family, "solve", solve)
        return family.match([member.spec for member in members], [None] * len(members), frozenset(share))

    return matched


def row(radius=8.0, wire=0.8, us=300.0, towards=True, aimed=0.5, cost=1.0, force=1.0):
    return radius, wire, us, towards, aimed, cost, force


def random_rows(dice, count):
    """Few values, so that many rows are alike in what is shared; costs that no two have in common."""
    return [
        row(
            radius=float(dice.choice([6.0, 8.0])),
            wire=float(dice.choice([0.6, 0.8])),
            us=float(dice.choice([290, 300, 310])),
            towards=bool(dice.integers(2)),
            aimed=float(dice.choice([0.3, 0.5])),
            cost=float(dice.uniform(0.1, 3.0)),
            force=float(dice.choice([1.0, 1.0, 3.0])),
        )
        for _ in range(count)
    ]


def cheapest_sum(members, keyed):
    """By trying every combination of rows: the least sum of costs of rows that are sound and alike, or None."""
    sound = [[each for each in member.rows if each[6] <= 2.0] for member in members]
    sums = [
        (sum(each[5] for each in rows), rows)
        for rows in itertools.product(*sound)
        if len({keyed(each) for each in rows}) == 1
    ]
    return min(sums, key=lambda one: one[0])[1] if sums else None


@pytest.mark.parametrize(
    ("share", "keyed"),
    [
        ({"arm hole"}, lambda row: row[0]),
        ({"wire"}, lambda row: row[1]),
        ({"screw pattern"}, lambda row: row[1]),
        ({"arm hole", "wire"}, lambda row: row[:2]),
        ({"arm hole", "wire", "pulses"}, lambda row: row[:5]),
    ],
    ids=["hole", "wire", "screws", "hole and wire", "all"],
)
@pytest.mark.parametrize("seed", range(4))
def test_the_choice_is_the_cheapest_of_all_combinations(match, share, keyed, seed):
    """Two servos that turn by other angles a µs; with pulses the arm's way is alike too, and over-travel where it can
    be."""
    dice = np.random.default_rng(seed)
    members = [Mount("a", random_rows(dice, 14)), Mount("b", random_rows(dice, 14), servo=FAST)]
    wanted = cheapest_sum(members, keyed) or cheapest_sum(members, lambda row: keyed(row)[:4])

    drives = match(members, share)

    assert [drive.kind for drive in drives] == [f"{m.spec.id}: {r[:6]}" for m, r in zip(members, wanted, strict=True)]


def test_of_equal_sums_the_smallest_numbers_win_and_what_is_objected_to_does_not(match):
    """6 mm before 8; a row that a better model refuses gives way to a dearer one, and is taken where all are refused.
    Of one member's own that are alike and equally dear the first stands."""
    alike = [row(aimed=0.3), row(aimed=0.4)]
    assert match([Mount("a", alike), Mount("b", alike)], {"wire"})[0].kind.endswith("0.3, 1.0)")
    both = [row(radius=8.0), row(radius=6.0)]
    assert match([Mount("a", both), Mount("b", both)])[0].kind.startswith("a: (6.0,")

    rows = [row(radius=8.0, cost=1.0), row(radius=6.0, cost=2.0)]
    for refused, radius in (((1.0,), 6.0), ((2.0,), 8.0), ((1.0, 2.0), 8.0)):
        first, second = match([Mount("a", rows), Mount("b", rows, objections=refused)])
        assert (first.kind.split(",")[0], second.kind.split(",")[0]) == (f"a: ({radius}", f"b: ({radius}")


def test_what_is_told_of_a_family(match):
    """Each member: what it does, with whom it shares what, whose pulses are exchanged against the first's, and which
    has the fewest choices; counted by hand."""
    two = [row(radius=8.0), row(radius=6.0, cost=2.0)]
    members = [
        Mount("a", [*two, row(radius=5.0)]),
        Mount("b", two, reverse_longer=False),
        Mount("c", [*two, row(radius=4.0), row(radius=3.0)]),
    ]

    told = [drive.explanation for drive in match(members)]

    alike = "travel and over-travel are the same at every pin"
    count = "2 shared choices suit all 3; b is the hardest to please, with 2 sound choices of its own."
    begun = "the 0.8 mm wire in the 8 mm arm hole with row 1. It shares arm hole, wire and pulses with"
    assert told == [
        f"{begun} b and c; {alike}. {count}",
        f"{begun} a and c, normal and reverse exchanged against a; {alike}. {count}",
        f"{begun} a and b; {alike}. {count}",
    ]
    (one, _) = match([Mount("a", two), Mount("b", two[1:])], {"wire", "arm hole"})
    assert one.explanation.endswith(
        "It shares arm hole and wire with b; each has the over-travel its own wire asks for. One shared choice suits "
        "all 2; b is the hardest to please, with 1 sound choices of its own."
    )


def test_over_travels_tried_in_common(match):
    """0.10 to 1.20 of the smallest throw in steps of 0.05, to a micrometre; or the one that was asked for."""
    members = [Mount("a", [row(aimed=0.2)], throw_mm=3.3), Mount("b", [row(aimed=0.2)])]
    match(members)
    wanted = [0.1 * step for step in range(2, 25)]  # mm, of 2 mm of throw
    assert members[0].axes[0].overtravels_mm == pytest.approx(wanted, abs=1e-12)
    assert members[1].axes[0] == members[0].axes[0]

    odd = [Mount("a", [row(aimed=0.233)], throw_mm=2.333), Mount("b", [row(aimed=0.233)], throw_mm=2.333)]
    match(odd)
    assert odd[0].axes[0].overtravels_mm[0] == 0.233

    asked = [Mount("a", [row(aimed=0.7)], overtravel_mm=0.7), Mount("b", [row(aimed=0.7)])]
    assert "the same at every pin" in match(asked)[0].explanation
    assert asked[1].axes[0].overtravels_mm == [0.7]


@pytest.mark.parametrize(
    ("first", "second", "aims"),
    [
        ({"overtravel_mm": 0.5}, {"overtravel_mm": 0.6}, True),
        ({}, {"depth_mm": 20.0}, True),
        ({}, {}, False),
    ],
    ids=["two over-travels", "a depth", "no over-travel of its own"],
)
def test_no_over_travel_is_laid_down_where_members_have_their_own(match, first, second, aims):
    """Two different ones, a pinned depth, or a kind that aims at none: each gets what its wire asks for."""
    members = [Mount("a", [row(aimed=0.3)], **first), Mount("b", [row(aimed=0.4)], **second)]

    drives = match(members, aims=aims)

    assert [axes.overtravels_mm for member in members for axes in member.axes] == [None, None]
    assert "each has the over-travel its own wire asks for; " not in drives[0].explanation
    assert "; each has the over-travel its own wire asks for. " in drives[0].explanation


def test_each_has_its_own_over_travel_where_none_suits_all(match):
    """A second look without a common one."""
    members = [Mount("a", [row(aimed=0.3)]), Mount("b", [row(aimed=0.5)])]

    assert "its own wire" in match(members)[0].explanation
    assert [axes.overtravels_mm is None for axes in members[0].axes] == [False, True]


def test_swings_in_common_are_round_or_the_pinned_one(match):
    """10° to 50° at 0.0925 and 0.0945 °/µs: 108.1 to 540.5 and 105.8 to 529.1 µs, so 110 to 520 in tens; a pinned swing
    is its own whole µs, 30.1° of 0.0925 325; where no pulses are shared each has its own."""
    members = [Mount("a", [row()]), Mount("b", [row()], servo=FAST)]
    match(members)
    assert list(members[0].axes[0].pulses_us) == [10.0 * step for step in range(11, 53)]

    pinned = [Mount("a", [row(us=325.0)], swing_deg=30.1), Mount("b", [row(us=325.0)])]
    match(pinned)
    assert list(pinned[1].axes[0].pulses_us) == [325.0]

    free = [Mount("a", [row()]), Mount("b", [row()])]
    match(free, {"wire"})
    assert free[0].axes[0].pulses_us is None


def test_a_swing_that_the_others_lack_is_told_with_theirs(match):
    """20° and 30° of 0.0925 °/µs are 216 and 324 µs; whoever stands before the breaker is named."""
    members = [Mount(name, [row()], swing_deg=swing) for name, swing in (("a", 30.0), ("b", 30.0), ("c", 20.0))]

    with pytest.raises(NoDesign) as refusal:
        match(members)

    assert str(refusal.value) == (
        "c: cannot share pulses with a and b: its half swing takes 216 to 216 µs, theirs 324 to 324 µs"
    )


def test_the_breaker_is_whom_the_others_match_best_without(match):
    """Without b two choices are left, without a or c one: b it is, told with what its nearest candidate lacks of those
    choices alone, and with what would mend it: leaving it out, or sharing no arm hole."""
    members = [
        Mount("a", [row(radius=8.0), row(radius=6.0), row(radius=5.0)]),
        Mount(
            "b", [row(radius=8.0, force=2.5), row(radius=6.0, force=2.25), row(radius=4.0), row(radius=3.0, force=9)]
        ),
        Mount("c", [row(radius=8.0), row(radius=6.0), row(radius=4.0)]),
    ]

    with pytest.raises(NoDesign) as refusal:
        match(members, {"arm hole"})

    assert str(refusal.value) == (
        "b: cannot share arm hole with a and c: of the choices that suit the others, no drive; the limit 'force-high' "
        "removed most (2 of 2 candidates); nearest: the 0.8 mm wire in the 6 mm arm hole needs 2.3 N at the blades, "
        "allowed 2.0; allow 2.3 N; or share no arm hole, or leave b out"
    )


def test_a_breaker_with_none_of_the_others_choices_is_told_what_they_are(match):
    """Arm holes and wires in order of size, each once; sharing less is offered only where it was tried and does."""
    others = [row(radius=8.0, wire=0.8), row(radius=6.5, wire=1.0), row(radius=6.5, wire=0.8)]
    members = [Mount("a", others), Mount("b", others), Mount("c", [row(radius=8.0, wire=0.6)])]

    with pytest.raises(NoDesign) as refusal:
        match(members, {"arm hole", "wire"})
    assert str(refusal.value) == (
        "c: cannot share arm hole and wire with a and b: it has none of the choices that suit the others "
        "(arm holes 6.5, 8 mm; wires 0.8, 1 mm); or share no wire, or leave c out"
    )
    with pytest.raises(NoDesign, match=r"suit the others \(wires 0.8, 1 mm\); or share no wire, or leave c out$"):
        match(members, {"wire"})
    far = [Mount("a", [row(us=300.0)]), Mount("b", [row(us=310.0)])]
    with pytest.raises(NoDesign, match=r"^b: .* \(swings out of its range\); or share no pulses, or leave b out$"):
        match(far, {"pulses"})


def test_where_no_single_member_is_to_blame_the_first_that_leaves_nothing_is_named(match):
    """Joined from the most choices to the fewest: a and b have 5 in common, d takes the last of them; c comes later,
    and nobody is to be left out, as more would have to be."""
    members = [
        Mount("d", [row(radius=r) for r in (4.0, 3.5)]),
        Mount("a", [row(radius=r) for r in (8.0, 7.0, 6.0, 5.0)]),
        Mount("c", [row(radius=9.0)]),
        Mount("b", [row(radius=r) for r in (5.0, 4.0, 3.0)]),
    ]

    with pytest.raises(NoDesign) as refusal:
        match(members, {"arm hole"})

    assert str(refusal.value) == (
        "d: cannot share arm hole with a and b: it has none of the choices that suit the others (arm holes 5 mm); "
        "or share no arm hole"
    )
    apart = [Mount(name, [row(radius=r)]) for name, r in (("a", 6.0), ("b", 7.0), ("c", 8.0))]
    with pytest.raises(
        NoDesign, match=r"^b: cannot share arm hole with a: .*\(arm holes 6 mm\); or share no arm hole$"
    ):
        match(apart, {"arm hole"})
    nothing = [Mount(name, [row(force=3.0)]) for name in "ab"]
    with pytest.raises(NoDesign, match=r"^b: cannot share arm hole with a: "):
        match(nothing, {"arm hole"})
    two = [Mount("a", [row(radius=6.0)]), Mount("b", [row(radius=8.0), row(radius=7.0)])]
    with pytest.raises(
        NoDesign, match=r"^a: cannot share arm hole with b: .*\(arm holes 7, 8 mm\); or share no arm hole"
    ):
        match(two, {"arm hole"})


def test_a_member_that_has_nothing_even_alone_is_left_to_the_solver(match):
    """Which tells its ways out; one that has something alone, but not with what is shared, is named here."""
    members = [Mount("a", [row()]), Mount("b", [row(force=3.0)])]
    with pytest.raises(NoDesign, match=r"^b: cannot share wire with a: .* needs 3.0 N"):
        match(members, {"wire"})
    members[1].hopeless = True
    with pytest.raises(NoDesign, match=r"^b: alone$"):
        match(members, {"wire"})


def test_one_alone_and_those_that_share_nothing_are_left_to_the_solver(match):
    """It gives each its drive, here nothing, and no candidate is looked at."""
    members = [Mount("a", [row()]), Mount("b", [row()])]

    assert match(members[:1], {"wire"}) == (None,)
    assert match(members, set()) == (None, None)
    assert not any(member.axes for member in members)


def test_each_member_has_limits_of_its_own():
    """As many as there are members."""
    specs = [request(id="a"), request(id="b")]
    with pytest.raises(ValueError, match="shorter"):
        family.match(specs, [None], ALL)
