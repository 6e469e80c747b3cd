"""The plates of a layout: every part once, one colour a plate, what is tried first before the rest, none too long."""

from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rows import mount, part

from mounts.batch.bedloads import bedloads, object_name
from mounts.inputs.library import Library
from mounts.stl import write_stl

FDM = Library().printer("fdm-0.4")
PRINTERS = {
    "fdm-0.4": FDM,
    "small": FDM.model_copy(update={"name": "small", "bed_x_mm": 120.0, "bed_y_mm": 120.0}),
}
TETRAHEDRON = (
    np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]]),
    np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """With the one file that every part here is in."""
    there = tmp_path_factory.mktemp("parts")
    (there / "part.stl").write_bytes(write_stl(*TETRAHEDRON))
    return there


def loaded(folder, mounts, max_hours=None):
    """Plates and what is on none, for brims of 3 mm and 2 mm between."""
    return bedloads(folder, "yard", mounts, brim_mm=3.0, spacing_mm=2.0, max_hours=max_hours)


times = st.floats(1, 300).flatmap(lambda minutes: st.tuples(st.just(minutes), st.floats(0, minutes)))
parts = st.builds(
    lambda role, size, time: part("", role, size, *time),
    st.sampled_from(["frame", "scenery"]), st.tuples(st.floats(5, 130), st.floats(5, 130), st.floats(3, 80)), times,
)  # fmt: skip
rows = st.tuples(
    st.lists(parts, min_size=1, max_size=3), st.integers(1, 3), st.booleans(), st.sampled_from(["petg", "pla"]),
    st.sampled_from([*PRINTERS]), st.sampled_from(["pass", "warn", "fail"]),
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.lists(rows, min_size=1, max_size=6), st.none() | st.floats(0.25, 8))
def test_every_part_is_on_one_plate_of_its_own_colour(folder, drawn, max_hours):
    """Each copy of each part once, or told; no plate mixes; those to try first lead; none too long but single parts."""
    mounts = []
    for number, (those, copies, first, filament, printer, verdict) in enumerate(drawn):
        named = [each.model_copy(update={"name": f"part-{count}"}) for count, each in enumerate(those)]
        id_ = f"m{number}"
        tried_by = id_ if first else "another"
        row = mount(id_, *named, copies=copies, tried_by=tried_by, filament=filament, verdict=verdict)
        mounts.append((row, PRINTERS[printer]))

    plates, left_out = loaded(folder, mounts, max_hours)

    asked = {
        object_name(row.id, each.name, copy, row.copies): (
            each, (copy == 1 and row.tried_by == row.id, each.role, printer.name, row.filament)
        )
        for row, printer in mounts if row.verdict != "fail"
        for each in row.parts
        for copy in range(1, row.copies + 1)
    }  # fmt: skip
    assert Counter([*asked]) == Counter([*(name for plate in plates for name in plate.row.objects), *left_out])
    for plate in plates:
        row = plate.row
        assert {asked[name][1] for name in row.objects} == {(row.try_first, row.role, row.printer, row.filament)}
        on_it = [asked[name][0] for name in row.objects]
        least_h = sum(each.print_minutes - each.cooling_minutes for each in on_it) / 60
        assert row.hours >= max(least_h, *(each.print_minutes / 60 for each in on_it), 0) - 1e-9
        assert row.over_limit == (max_hours is not None and row.hours > max_hours)
        assert not row.over_limit or len(on_it) == 1
    order = [not plate.row.try_first for plate in plates]
    assert order == sorted(order)
    assert [plate.row.file for plate in plates] == [f"plates/plate-{n:02}.3mf" for n in range(1, len(plates) + 1)]
    again, _ = loaded(folder, mounts[::-1], max_hours)
    assert [(plate.row, plate.content) for plate in again] == [(plate.row, plate.content) for plate in plates]


def test_a_limit_is_just_kept_and_just_not(folder):
    """Four parts of 30 min: two hours take all, a minute less takes three and one; 25 min of each alone is told."""
    mounts = [(mount(f"m{number}", part()), FDM) for number in range(4)]

    def told(max_hours):
        return sorted((len(plate.row.objects), plate.row.over_limit) for plate in loaded(folder, mounts, max_hours)[0])

    assert told(2.0) == [(4, False)]
    assert told(119 / 60) == [(1, False), (3, False)]
    assert told(25 / 60) == [(1, True)] * 4


def test_what_cools_alone_costs_nothing_together(folder):
    """30 min of which 20 are waiting, three times: 30 min in all, so half an hour takes three and not four."""
    mounts = [(mount(f"m{number}", part(cooling=20.0)), FDM) for number in range(4)]

    plates, _ = loaded(folder, mounts, 0.5)

    assert sorted(len(plate.row.objects) for plate in plates) == [1, 3]
    assert max(plate.row.hours for plate in plates) == pytest.approx(0.5)


def test_plates_say_what_they_are_for(folder):
    """A hut twice: tried first by frame, then by shell and roof; then the other. The files' titles say the same."""
    hut = (part(), part("shell", "scenery"), part("roof", "scenery"))

    plates, _ = loaded(folder, [(mount("hut", *hut, copies=2, tried_by="hut"), FDM)])

    assert [(plate.row.what_for, plate.row.objects) for plate in plates] == [
        ("try first, brackets and frames", ("hut copy 1 of 2",)),
        ("try first, scenery", ("hut-roof copy 1 of 2", "hut-shell copy 1 of 2")),
        ("brackets and frames", ("hut copy 2 of 2",)),
        ("scenery", ("hut-roof copy 2 of 2", "hut-shell copy 2 of 2")),
    ]


@pytest.mark.parametrize("seed", range(3))
def test_a_limit_costs_few_plates_more_than_it_must(folder, seed):
    """Sixty parts of 20 to 90 min in plates of 6 h: at most a tenth more than their sum alone asks for, and one."""
    rng = np.random.default_rng(seed)
    minutes = rng.uniform(20, 90, 60)
    mounts = [(mount(f"m{number}", part(minutes=float(each))), FDM) for number, each in enumerate(minutes)]

    plates, _ = loaded(folder, mounts, 6.0)

    assert len(plates) <= 1.1 * minutes.sum() / 360 + 1
