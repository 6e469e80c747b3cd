"""One mount as asked for from Python: every fault at once, in the order that it was asked in."""

from __future__ import annotations

from typing import Any

import pytest

from mounts.asked import asked
from mounts.errors import InputError
from mounts.inputs.request import MountRequest

GOOD: dict[str, Any] = {"id": "east-1", "style": "under-bracket", "board": "12 mm"}


def _lines(**options: object) -> tuple[str, ...]:
    with pytest.raises(InputError) as caught:
        asked(**options)
    return caught.value.lines


def test_what_is_asked_is_resolved() -> None:
    """Lengths with or without units, and None for what is not given."""
    spec = asked(**GOOD, throw=3, max_depth="2 in", depth=None, set={"lie": "down"})

    # an inch is 25.4 mm
    assert (spec.board.thickness_mm, spec.throw_mm, spec.max_depth_mm, spec.depth_mm) == (12.0, 3.0, 50.8, None)
    assert spec.options == {"lie": "down"}


def test_faults_of_every_kind_come_at_once_in_the_order_asked() -> None:
    """Out of range, unknown profile, unknown key, no use for the style, option of the style, missing: six lines."""
    lines = _lines(
        swing=90, servo="mirco-9g", style="under-bracket", bord=3, track_distance=40, set={"wal_mm": 3}, id="a"
    )

    assert [line.split(" = ")[0].split(":")[0] for line in lines] == [
        "--swing", "--servo", "--bord", "--track-distance", "--set",
    ]  # fmt: skip
    assert _lines(id="a", style="hut") == ("--board: must be given",)


@pytest.mark.parametrize(
    "spoilt",
    [{"scale": 3, "throw": 99}, {"roadbed": 99, "pin_height": 26}, {"pin_height": "x", "ground": 50}, {"servo": 3,
     "arm_hole": 40}, {"scale": 3, "other_track": [1]}, {"roadbed": -1, "ground": 50, "style": "hut"}],
)  # fmt: skip
def test_what_follows_from_a_fault_is_not_told(spoilt: dict[str, object]) -> None:
    """The bounds of a throw are the scale's: where that is at fault, the throw is not judged by another's."""
    (line,) = _lines(**{**GOOD, "style": "hut", **spoilt})

    assert line.startswith(f"--{next(iter(spoilt)).replace('_', '-')} = ")


def test_every_key_that_another_is_judged_by_is_an_option() -> None:
    """The table of what follows from what names options only."""
    from mounts.inputs.ask import _JUDGED_BY

    named = {key for pair in _JUDGED_BY.items() for key in (pair[0], *pair[1])}
    assert named <= MountRequest.model_fields.keys()
