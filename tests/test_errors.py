"""A fault is data: where it is written is added on the way up, and one line is made of it at the end."""

from __future__ import annotations

import pickle

import pytest

from mounts.errors import Fault, Gathered, InputError, placed

FAULT = Fault("must be 3 to 60 mm", written="2")


def _raise(fault: Fault) -> None:
    raise InputError(fault)


@pytest.mark.parametrize(
    ("place", "file", "told"),
    [
        (("board",), None, "--board = 2: must be 3 to 60 mm"),
        (("max_depth",), None, "--max-depth = 2: must be 3 to 60 mm"),
        (("other_track", 1), None, "--other-track[1] = 2: must be 3 to 60 mm"),
        (("set", "wall_mm"), None, "--set: wall_mm = 2: must be 3 to 60 mm"),
        (("name",), "", "name = 2: must be 3 to 60 mm"),
        (("max_depth",), "yard.toml", "yard.toml: max_depth = 2: must be 3 to 60 mm"),
        (("mount", 3, "set", "wall_mm"), "yard.toml", "yard.toml: mount[3].set.wall_mm = 2: must be 3 to 60 mm"),
        ((), "yard.toml", "yard.toml: 2: must be 3 to 60 mm"),
        ((), None, "2: must be 3 to 60 mm"),
    ],
)
def test_a_fault_is_one_line(place: tuple[str | int, ...], file: str | None, told: str) -> None:
    """Options with their dashes, files with their path, a table as an option like a file of its own."""
    assert str(FAULT.within(*place, file=file)) == told


def test_the_place_grows_on_the_way_up() -> None:
    """Each reader adds what it knows; the file closes it, and who reads the reader's file adds nothing."""
    with pytest.raises(InputError) as caught, placed("servo"), placed(file="a.toml"), placed("source", 0), placed("x"):
        _raise(FAULT)

    assert caught.value.lines == ("a.toml: source[0].x = 2: must be 3 to 60 mm",)
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)  # noqa: S301  our own bytes


def test_faults_of_several_steps_come_at_once() -> None:
    """A step that is refused gives None and hides nothing; without faults nothing is raised."""
    found = Gathered()
    found.tell()

    assert found.of(lambda: _raise(FAULT), "board") is None
    assert found.of(lambda: 3.0, "throw") == 3.0
    assert found.of(lambda: _raise(Fault("no such file", file="a.toml")), "servo") is None
    with pytest.raises(InputError) as caught:
        found.tell()

    assert caught.value.lines == ("--board = 2: must be 3 to 60 mm", "a.toml: no such file")
