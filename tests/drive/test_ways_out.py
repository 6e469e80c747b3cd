"""What is tried where there is no drive, and what of it is offered, with stand-ins that know when there would be."""

from __future__ import annotations

import numpy as np
import pytest
from requests_for_drives import request

from mounts.drive.ways_out import force_option, tried_changes, wider_force


class Asked(list):
    """Remembers every request that it was asked about, and says yes to some."""

    def __init__(self, says=lambda spec: False) -> None:
        self.says = says

    def __call__(self, spec) -> bool:
        self.append(spec)
        return bool(self.says(spec))

    def of(self, field: str, spec) -> list:
        """Values of a field that were tried with nothing else changed."""
        alone = spec.model_dump(exclude={field})
        return [getattr(one, field) for one in self if one.model_dump(exclude={field}) == alone]


PINS = {
    "wire_mm": (0.6, "--wire"), "arm_hole_mm": (9.0, "--arm-hole"), "depth_mm": (27.0, "--depth"),
    "swing_deg": (30.0, "--swing"), "overtravel_mm": (0.5, "--overtravel"),
    "track_distance_mm": (25.0, "--track-distance"),
}  # fmt: skip


@pytest.mark.parametrize("pin", PINS)
def test_a_pin_is_offered_where_it_alone_stands_against(pin):
    """As its option; and not where it is not pinned, or where it does not help."""
    value, option = PINS[pin]
    spec = request(**{pin: value})

    assert tried_changes(spec, lambda one: getattr(one, pin) is None, {}) == (f"leave {option} free",)
    assert not any("free" in told for told in tried_changes(spec, lambda one: one.throw_mm != spec.throw_mm, {}))
    assert not any("free" in told for told in tried_changes(request(), lambda one: True, {}))


def test_a_clamped_wire_may_turn():
    """Where that does, and only of one that is clamped."""
    assert tried_changes(request(wire_held="clamped"), lambda one: one.wire_held == "turning", {}) == (
        "--held turning",
    )
    assert "--held turning" not in tried_changes(request(), lambda one: True, {})


@pytest.mark.parametrize(
    ("field", "now", "option", "step", "most"),
    [
        ("max_depth_mm", 31.5, "--max-depth", 1.0, 200.0),
        ("track_distance_mm", 21.3, "--track-distance", 0.5, 500.0),
        ("track_radius_mm", 384.0, "--track-radius", 10.0, 50000.0),
    ],
)
@pytest.mark.parametrize("share", [1.005, 1.04, 1.09, 1.11, 1.3, 1.9, 2.5, 4.9])
def test_the_least_room_that_is_enough_is_named(field, now, option, step, most, share):
    """Of whole steps, the first that is not less than what it takes, up to five times what there is."""
    needed = now * share
    least = next(n * step for n in range(1, 10000) if n * step >= needed)
    spec = request(**{field: now, "throw_mm": 2.4})
    asked = Asked(lambda one: getattr(one, field) is not None and getattr(one, field) >= needed)

    told = tried_changes(spec, asked, {})

    assert told == (f"{option} {least:g}",) if least <= most else option not in " ".join(told)
    tried = [value for value in asked.of(field, spec) if value is not None]
    assert min(tried) > now - 1e-9
    assert max(tried) <= min(5 * now + step, most)


def test_room_is_asked_for_in_growing_steps_until_it_is_enough():
    """1.1, 1.25, 1.5, 2, 3 and 5 times 31.5 mm, in whole millimetres up."""
    spec, asked = request(max_depth_mm=31.5), Asked()

    tried_changes(spec, asked, {})
    tried = [depth_mm for depth_mm in asked.of("max_depth_mm", spec) if depth_mm != 31.5]
    assert tried[:6] == [35.0, 40.0, 48.0, 63.0, 95.0, 158.0]


def test_no_more_room_is_asked_for_than_may_be():
    """Neither depth above the board nor any beyond its end, nor what was never asked for."""
    spec = request(max_depth_mm=120.0)
    asked = Asked()

    tried_changes(spec, asked, {})
    assert max(asked.of("max_depth_mm", spec)) == 200.0
    assert {one.track_distance_mm for one in asked} == {one.track_radius_mm for one in asked} == {None}
    above = Asked()
    tried_changes(spec, above, {}, below=False)
    assert {one.max_depth_mm for one in above} == {120.0}
    assert not tried_changes(request(max_depth_mm=200.0), lambda one: one.max_depth_mm > 200.0, {})
    wide = Asked()
    tried_changes(request(track_radius_mm=15000.0, track_distance_mm=60.0), wide, {})
    assert max(one.track_radius_mm for one in wide) == 50000.0
    assert max(one.track_distance_mm or 0.0 for one in wide) == 300.0


def test_words_and_values_of_the_style_s_options():
    """The first word of each option that does, not the one that stands; an option left out; at most three in all."""
    spec = request(options={"lie": "across", "post_y_mm": 4.0})
    choices = {"lie": ("across", "down", "up"), "pose": ("side", "stand"), "deep": (1.5, 2.0)}

    said = tried_changes(spec, lambda one: one.options.get("lie") == "up", choices)
    assert said == ("--set lie=up",)
    assert tried_changes(spec, lambda one: "post_y_mm" not in one.options, choices) == ("leave --set post_y_mm out",)
    assert tried_changes(spec, lambda one: "deep" in one.options, choices) == ("--set deep=1.5",)
    assert tried_changes(spec, lambda one: one.options.get("pose") == "stand" and "lie" in one.options, choices) == (
        "--set pose=stand",
    )
    everything = tried_changes(spec, lambda one: True, choices)
    assert everything == ("leave --set lie out", "leave --set post_y_mm out", "--max-depth 61")


def test_a_lower_pin_stays_a_millimetre_over_the_roadbed():
    """Half, one, one and a half and two and a half lower; the first that does."""
    spec = request()
    road = spec.roadbed.thickness_mm
    high = request(pin_height_mm=road + 4.0)

    for off, told in ((0.5, 3.5), (0.9, 3.0), (1.5, 2.5), (1.6, 1.5)):
        found = tried_changes(high, lambda one, off=off: one.pin_height_mm <= road + 4.0 - off, {})
        assert found == (f"--pin-height {road + told:g}",)
    fine = tried_changes(request(pin_height_mm=9.8764), lambda one: one.pin_height_mm < 9.8, {})
    assert fine == ("--pin-height 9.38",)
    asked = Asked()
    tried_changes(high, asked, {})
    tried = [pin_mm for pin_mm in asked.of("pin_height_mm", high) if pin_mm != high.pin_height_mm]
    assert tried == pytest.approx([road + 3.5, road + 3.0, road + 2.5, road + 1.5])
    assert tried_changes(request(pin_height_mm=road + 1.5), lambda one: one.pin_height_mm <= road + 1.0, {})
    low = request(pin_height_mm=road + 1.2)
    assert not any("--pin" in told for told in tried_changes(low, lambda one: one.pin_height_mm < road + 1.2, {}))


def test_other_throws_and_forces_are_tried_the_nearest_first():
    """Shares 0.85, 1.2, 0.7 and 1.5 of the throw that the scale allows, then the scale's; of the force those and 0.5
    and 2.0 of both ends. What does is told with what was asked for."""
    spec = request(throw_mm=3.0, force_n=(0.4, 1.0))
    asked = Asked()

    tried_changes(spec, asked, {})

    scale = spec.scale
    throws = [t for t in (2.5, 3.6, 2.1, 4.5, scale.throw_mm) if scale.smallest_throw_mm <= t <= scale.largest_throw_mm]
    assert [t for t in asked.of("throw_mm", spec) if t != 3.0] == throws
    forces = [(0.34, 0.85), (0.48, 1.2), (0.28, 0.7), (0.6, 1.5), (0.2, 0.5), (0.8, 2.0)]
    tried = [band for band in asked.of("force_n", spec) if band != (0.4, 1.0)]
    assert np.array(tried) == pytest.approx(np.array(forces))
    least = tried_changes(request(throw_mm=2.3), lambda one: one.throw_mm == scale.smallest_throw_mm, {})
    assert least == ("--throw 1.6 instead of 2.3 mm",)
    wide = Asked()
    tried_changes(request(throw_mm=4.0), wide, {})
    assert [t for t in wide.of("throw_mm", request(throw_mm=4.0)) if t != 4.0] == [
        t for t in (3.4, 4.8, 2.8, 6.0, scale.throw_mm) if t <= scale.largest_throw_mm
    ]
    assert tried_changes(spec, lambda one: one.throw_mm == throws[1], {}) == (f"--throw {throws[1]:g} instead of 3 mm",)
    assert tried_changes(spec, lambda one: one.force_n == (0.28, 0.7), {}) == ("--force 0.28-0.7 instead of 0.4-1 N",)
    assert tried_changes(spec, lambda one: one.throw_mm != 3.0 or one.force_n != (0.4, 1.0), {}) == (
        f"--throw {throws[0]:g} instead of 3 mm", "--force 0.34-0.85 instead of 0.4-1 N",
    )  # fmt: skip


def test_the_turnout_s_own_spring_is_not_typed():
    """It is added to what is asked for, and taken off again before a force is told."""
    spec = request(force_n=(0.7, 1.3), own_spring_n=0.3)

    told = tried_changes(spec, lambda one: one.force_n == pytest.approx((0.78, 1.5)), {})

    assert told == ("--force 0.48-1.2 instead of 0.4-1 N",)
    fine = request(force_n=(0.7132, 1.3128), own_spring_n=0.3)
    told = tried_changes(fine, lambda one: one.force_n == pytest.approx((0.65, 1.16)), {})
    assert told == ("--force 0.35-0.86 instead of 0.413-1.013 N",)


def test_forces_are_typed_only_as_they_may_be():
    """From 0.05 to 20 N."""
    asked = Asked()
    weak, strong = request(force_n=(0.06, 0.1)), request(force_n=(5.0, 15.0))

    tried_changes(weak, asked, {})
    tried_changes(strong, asked, {})

    for band, told in (((0.1, 0.4), "--force 0.05-0.2 "), ((8.0, 10.0), "--force 16-20 ")):
        said = tried_changes(request(force_n=band), lambda one: one.force_n in ((0.05, 0.2), (16.0, 20.0)), {})
        assert said[0].startswith(told)
    assert all(one.force_n[0] >= 0.05 for one in asked)
    assert {one.force_n[1] for one in asked if one.force_n[0] >= 4.0} <= {15.0, 12.75, 18.0, 10.5, 7.5}


def test_all_together_where_nothing_does_alone():
    """All that was pinned left free; then the depth doubled, up to 200 mm; then throws and forces of the scale."""
    spec = request(
        wire_mm=0.6, swing_deg=30.0, options={"lie": "down"}, max_depth_mm=70.0, throw_mm=3.3, force_n=(0.9, 1.0)
    )
    free = "leave --wire free and leave --swing free and leave --set lie out"

    def bare(one):
        return one.wire_mm is None and one.swing_deg is None and not one.options

    assert tried_changes(spec, bare, {}) == (free,)
    deep = tried_changes(spec, lambda one: bare(one) and one.max_depth_mm == 140.0, {})
    assert deep == (f"{free.replace(' and ', ' with ')} with --max-depth 140",)
    throw = spec.scale.throw_mm
    thrown = tried_changes(spec, lambda one: bare(one) and one.throw_mm == throw and one.max_depth_mm == 140.0, {})
    assert thrown[0].endswith(f" with --max-depth 140 with --throw {throw:g}")
    low, high = spec.scale.force_n
    forced = tried_changes(spec, lambda one: bare(one) and one.force_n == (low, high) and one.max_depth_mm == 140.0, {})
    assert forced[0].endswith(f" with --max-depth 140 with --force {low:g}-{high:g}")
    wide = tried_changes(spec, lambda one: bare(one) and one.force_n[1] == 3 * high, {})
    assert wide[0].endswith(f" with --force 0.05-{3 * high:g}")
    above = tried_changes(spec, lambda one: bare(one) and one.throw_mm == throw, {}, below=False)
    assert above[0].endswith(f"leave --set lie out with --throw {throw:g}")
    assert tried_changes(request(max_depth_mm=150.0), lambda one: one.max_depth_mm == 200.0 and
        one.throw_mm == request().scale.smallest_throw_mm, {})  # fmt: skip
    assert tried_changes(spec, lambda one: False, {}) == ()
    two = request(wire_mm=0.6, options={"lie": "down"})
    assert tried_changes(two, lambda one: one.wire_mm is None and not one.options, {}) == (
        "leave --wire free and leave --set lie out",
    )


def test_a_wider_force_moves_the_weak_end_first_then_the_strong_one_then_both():
    """One figure each: 0.85, 0.7, 0.5 and 0.35 of 0.43 down, 1.2, 1.5, 2 and 3 times 1.1 up."""
    spec, asked = request(force_n=(0.43, 1.1)), Asked()

    assert wider_force(spec, asked) is None

    weak, strong = [0.3, 0.2, 0.1], [2.0, 3.0, 4.0]
    bands = [(end, 1.1) for end in weak] + [(0.43, end) for end in strong] + list(zip(weak, strong, strict=True))
    assert np.array([one.force_n for one in asked]) == pytest.approx(np.array(bands))
    for band in ((0.2, 1.1), (0.43, 3.0), (0.2, 3.0)):
        found = wider_force(spec, lambda one, band=band: one.force_n == pytest.approx(band))
        assert found == force_option(band)
    half = Asked()
    wider_force(request(force_n=(0.6, 1.1)), half)
    assert [one.force_n[0] for one in half][:4] == pytest.approx([0.5, 0.4, 0.3, 0.2])
    ends = Asked()
    wider_force(request(force_n=(0.07, 18.0)), ends)
    assert {one.force_n[0] for one in ends} == {0.07, 0.05}
    assert {one.force_n[1] for one in ends} == {18.0, 20.0}


def test_what_else_may_be_asked_for_comes_before_both_together():
    """Pins and room first; then others, the first of each set of options and nothing that changes more; then the least
    word of an option with which an other works."""
    spec = request(wire_mm=0.6, options={"beside_mm": 1.0})
    others = [
        ("--travel 3", spec.model_copy(update={"throw_mm": 2.0})),
        ("--travel 4", spec.model_copy(update={"throw_mm": 3.0})),
        ("--crank 2", spec.model_copy(update={"throw_mm": 4.0})),
        ("--travel 5 --crank 3", spec.model_copy(update={"throw_mm": 5.0})),
    ]

    assert tried_changes(spec, lambda one: one.wire_mm is None, {}, others=others) == ("leave --wire free",)
    for works, told in (((3.0, 4.0, 5.0), "--travel 4"), ((2.0, 3.0, 4.0, 5.0), "--travel 3")):
        said = tried_changes(spec, lambda one, works=works: one.throw_mm in works, {}, others=others)
        assert said == (told, "--crank 2")
    assert tried_changes(spec, lambda one: one.throw_mm == 5.0, {}, others=others) == ("--travel 5 --crank 3",)
    words = {"beside_mm": (1.5, 2.0, 2.5, 3.0, 4.0), "pose": ("side",)}

    def wide(one):
        return one.options.get("beside_mm", 0.0) >= 2.5 and one.throw_mm in (3.0, 4.0)

    assert tried_changes(spec, wide, words, others=others) == ("--set beside_mm=2.5 with --travel 4",)
    assert tried_changes(spec, lambda one: one.options.get("beside_mm") == 4.0 and one.throw_mm == 5.0, words,
                         others=others) == ("--set beside_mm=4 with --travel 5 --crank 3",)  # fmt: skip
    assert tried_changes(spec, lambda one: one.options.get("beside_mm", 0.0) >= 1.5 and one.throw_mm == 3.0, words,
                         others=others) == ("--set beside_mm=1.5 with --travel 4",)  # fmt: skip
    assert tried_changes(spec, lambda one: one.options.get("pose") == "side", words, others=others) == ()
    assert tried_changes(spec, lambda one: one.options.get("beside_mm") == 2.0, words, others=others) == (
        "--set beside_mm=2",
    )
