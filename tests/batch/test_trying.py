"""Which mounts are tried first: one of each kind, unless that is all there is."""

from types import SimpleNamespace

import pytest
from rows import mount

from mounts.batch.trying import tried_first
from mounts.inputs.library import Library
from mounts.inputs.request import read_request
from mounts.inputs.resolve import resolve

LIBRARY = Library()


def asked(id_, minutes=30.0, copies=1, wire_mm=0.8, pose=None, verdict="pass", **options):
    """Row, request and as much of the report as counts."""
    spec = resolve(
        read_request({"id": id_, "style": "under-bracket", "board": "12 mm", "scale": "HO"} | options), LIBRARY
    )
    row = mount(id_, copies=copies, verdict=verdict).model_copy(update={"print_minutes": minutes})
    report = SimpleNamespace(
        drive=SimpleNamespace(wire_mm=wire_mm), housing=pose and SimpleNamespace(pose=pose),
        mount=SimpleNamespace(fixing=spec.fixing.name),
    )  # fmt: skip
    return row, spec, report


def test_the_one_that_prints_soonest_is_tried_for_its_kind():
    """Of three alike the quickest, of equals the first by name, whatever the order of the file."""
    mounts = [asked("c", 30.0), asked("b", 30.0), asked("a", 40.0)]

    expected = dict.fromkeys("abc", "b")

    assert tried_first(mounts) == expected
    assert tried_first(mounts[::-1]) == expected


@pytest.mark.parametrize(
    "other",
    [
        {"style": "hut"},
        {"servo": "mini-20g"},
        {"board": "18 mm"},
        {"wire_mm": 1.0},
        {"options": {"lie": "across"}},
        {"screw": "wood-3.5"},
        {"pose": "side"},
        {"filament": "pla"},
        {"printer": "fdm-0.6"},
    ],
)
def test_what_fits_otherwise_is_a_kind_of_its_own(other):
    """Each of two kinds is tried by itself; the second of the first kind is not."""
    more = {"set" if key == "options" else key: value for key, value in other.items()}

    assert tried_first([asked("a"), asked("b"), asked("c", **more)]) == {"a": "a", "b": "a", "c": "c"}


@pytest.mark.parametrize("same", [{"mirror": True}, {"throw": "3 mm"}, {"roadbed": "5 mm"}])
def test_a_mirror_image_or_another_throw_fits_the_same(same):
    """They are no kind of their own."""
    assert tried_first([asked("a"), asked("b", **same)]) == {"a": "a", "b": "a"}


def test_nothing_is_tried_where_it_would_be_all():
    """One mount, or two of two kinds, or one left because its twin failed; a second copy makes it worth while."""
    assert tried_first([asked("a")]) == {}
    assert tried_first([asked("a"), asked("b", servo="mini-20g")]) == {}
    assert tried_first([asked("a"), asked("b", verdict="fail")]) == {}
    assert tried_first([]) == {}
    assert tried_first([asked("a", copies=2)]) == {"a": "a"}
