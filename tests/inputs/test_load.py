"""Faults in a table that may be one of several kinds are told as they stand in the file."""

from __future__ import annotations

from typing import Any

import pytest

from mounts.drive.model import Drive, Limits
from mounts.drive.push_rod.model import PushRodLimits
from mounts.errors import InputError, placed
from mounts.inputs.load import read_model
from mounts.inputs.model import Model

SOUND: dict[str, Any] = {
    "kind": "push-rod",
    "rod_length_mm": [35.0, 70.0],
    "before_loop_mm": 6.0,
    "after_loop_mm": 12.0,
    "max_loop_width_mm": 22.0,
    "max_loop_height_mm": 18.0,
    "max_lean_deg": 10.0,
    "wire_tail_mm": 2.5,
    "pin_leg_mm": 6.0,
    "ccw_moves_pin_to_reverse": True,
}


class Either(Model):
    """A table of either kind, and a list of them."""

    limits: Limits
    more: tuple[Limits, ...] = ()


class Whole(Model):
    """A table with a drive in it."""

    drive: Drive


def faults(model: type[Model], data: dict[str, Any]) -> list[str]:
    """The lines that refuse what a file gave."""
    with pytest.raises(InputError) as refusal, placed(file="y.json"):
        read_model(data, model)
    return list(refusal.value.lines)


def without(key: str) -> dict[str, Any]:
    """The sound table without one of its keys."""
    return {name: value for name, value in SOUND.items() if name != key}


def test_the_sound_table_is_read() -> None:
    """What the other tests spoil is sound as it stands."""
    assert isinstance(read_model({"limits": SOUND, "more": [SOUND]}, Either).limits, PushRodLimits)


@pytest.mark.parametrize(
    ("limits", "told"),
    [
        (SOUND | {"pin_leg_mm": "0.5q"}, "y.json: limits.pin_leg_mm = '0.5q': must be a number"),
        (SOUND | {"pin_leg_mm": -1.0}, "y.json: limits.pin_leg_mm = -1: must be above 0 mm"),
        (SOUND | {"rod_length_mm": [35.0, "far"]}, "y.json: limits.rod_length_mm[1] = 'far': must be a number"),
        (without("pin_leg_mm"), "y.json: limits.pin_leg_mm: must be given, above 0 mm"),
        (
            without("pin_leg_mm") | {"pin_legs_mm": 6.0},
            "y.json: limits.pin_legs_mm = 6: unknown field; nearest is 'pin_leg_mm'",
        ),
        # a field of the other kind of table is none of this one's
        (SOUND | {"pivot_drop_mm": 2.0}, "y.json: limits.pivot_drop_mm = 2: unknown field; remove it"),
        (
            SOUND | {"kind": "pull-rod"},
            "y.json: limits.kind = 'pull-rod': must be 'lift', 'push-rod' or 'rocking-wire'",
        ),
        (without("kind"), "y.json: limits.kind: must be given"),
        (7, "y.json: limits = 7: must be a table"),
    ],
)
def test_a_fault_in_one_of_two_kinds_of_table_is_told_at_its_place(limits: object, told: str) -> None:
    """One line with the path as the file has it and the value that stands there, not the whole table."""
    assert faults(Either, {"limits": limits}) == [told]


def test_faults_in_a_list_of_such_tables_have_their_number() -> None:
    """Each is told where it stands, in the order of the file."""
    spoilt = {"limits": SOUND, "more": [SOUND, SOUND | {"max_lean_deg": "x", "before_loop_mm": -1.0}]}

    assert faults(Either, spoilt) == [
        "y.json: more[1].before_loop_mm = -1: must be at least 0 mm",
        "y.json: more[1].max_lean_deg = 'x': must be a number",
    ]


def test_a_drive_of_a_report_is_told_like_any_table() -> None:
    """The wire of a rocking wire's drive, as a report has it."""
    told = faults(Whole, {"drive": {"kind": "rocking-wire", "wire_mm": "0.5q"}})

    assert told[0] == "y.json: drive.wire_mm = '0.5q': must be a number"
    assert all(line.startswith("y.json: drive.") for line in told)
    assert not any("rocking-wire" in line for line in told)
