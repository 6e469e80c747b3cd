"""What a lift moves, and the places it is asked for in."""

from __future__ import annotations

import pytest

from mounts.errors import InputError
from mounts.inputs.library import Library
from mounts.inputs.moved import positions_of
from mounts.inputs.request import crank_pivot_mm, read_request
from mounts.inputs.resolve import resolve

ASKED = {"id": "s", "style": "lift-bracket", "board": 12}


@pytest.mark.parametrize(
    ("written", "names", "figures"),
    [
        ("0, 45", ("rest", "raised"), (0.0, 45.0)),
        ("0/45/90", ("rest", "middle", "raised"), (0.0, 45.0, 90.0)),
        ("danger=0, clear=45°", ("danger", "clear"), (0.0, 45.0)),
        ({"down": -40, "up": 40.5}, ("down", "up"), (-40.0, 40.5)),
        ([0, 2, 4], ("rest", "middle", "raised"), (0.0, 2.0, 4.0)),
    ],
)
def test_places_are_read_as_people_write_them(written, names, figures):
    """With names and without, in one text, a list or a table."""
    found = positions_of(written)

    assert tuple(place.name for place in found) == names
    assert tuple(place.at for place in found) == figures


@pytest.mark.parametrize(
    "written", ["45", "0", "a, b", "0, 0", "a=1, a=2", [1], [1, 2, 3, 4], True, {"a": "b", "c": 1}, 5]
)
def test_what_is_no_row_of_places_is_refused(written):
    """One, four, the same twice, or words for figures."""
    with pytest.raises(ValueError, match="must be"):
        positions_of(written)


def test_their_number_is_enough():
    """Two or three, evenly over a travel."""
    assert positions_of("3") == 3
    spec = resolve(read_request({**ASKED, "travel": "5 mm", "positions": 3}), Library())
    assert [place.at for place in spec.positions] == [0.0, 2.5, 5.0]


@pytest.mark.parametrize(
    ("written", "found"),
    [("60", (None, 60.0)), ("-3, 60 mm", (-3.0, 60.0)), ([0, 2], (0.0, 2.0)), ("1/8 in; 2 in", (3.175, 50.8))],
)
def test_a_spindle_is_a_height_or_both(written, found):
    """Across the track from the rod, and above the board."""
    assert crank_pivot_mm(written) == pytest.approx(found)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"crank": 3}, "--crank-pivot: must be given with --crank"),
        ({"crank_pivot": 60}, "crank: must be given with --crank-pivot"),
        ({"travel": 4, "moves": "boom"}, "travel = 4: must not be given with --moves"),
        ({"moves": "windmill"}, "moves = 'windmill': no such"),
        ({"travel": 4, "positions": "0, 3"}, "positions: must go from 0 to the travel, 4 mm"),
        ({"crank": 3, "crank_pivot": 60, "positions": "0, 95"}, "positions: must be within 90°"),
    ],
)
def test_what_does_not_go_together_is_told(asked, told):
    """At its key."""
    with pytest.raises(InputError) as fault:
        resolve(read_request({**ASKED, **asked}), Library())

    assert told in str(fault.value)


@pytest.mark.parametrize("scale", ["Z", "N", "TT", "HO", "O", "I"])
def test_cranks_are_as_short_as_models_have_them(scale):
    """1.5 to 4 mm (brief, 3.3), and level half way, so that rod and crank stand at 45° or more for 90° of arm."""
    library = Library()
    for name in library.names("moved"):
        moved = library.moved(name)
        assert 1.5 <= moved.crank_mm(library.scale(scale).ratio) <= 4.0
        places = moved.crank_positions()
        assert places[0].at == -places[-1].at
        assert max(abs(place.at) for place in places) <= 45.0


def test_a_semaphore_goes_by_the_standard():
    """45°, 30 to 60 by company, three positions 0/45/90 (standards, 3, S); a boom 80 to 90° (M)."""
    library = Library()
    two, three, boom = (list(library.moved(name).positions.values()) for name in ("semaphore", "semaphore-3", "boom"))

    assert two == [0.0, 45.0]
    assert three == [0.0, 45.0, 90.0]
    assert 80.0 <= boom[1] - boom[0] <= 90.0
