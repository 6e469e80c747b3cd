"""What a style may leave to a drive: lengths of nothing are refused, lengths of half a millimetre are not."""

from __future__ import annotations

import pytest
from lifts import bracket, lift
from pydantic import ValidationError
from requests_for_drives import bracket_limits, housing_limits, request

from mounts.drive.kinds import kinds
from mounts.drive.lift import KIND as LIFT
from mounts.drive.lift.model import LiftDrive, SecondRod
from mounts.drive.push_rod import KIND as PUSH_ROD
from mounts.drive.rocking_wire import KIND as ROCKING_WIRE
from mounts.drive.rocking_wire.model import RockingWireDrive

ROCKING = dict.fromkeys(("pivot_to_pin_mm", "pivot_drop_mm", "below_shaft_mm", "wire_tail_mm"), 0.0)
ROD = dict.fromkeys(("max_loop_width_mm", "max_loop_height_mm", "max_lean_deg", "pin_leg_mm", "wire_tail_mm"), 0.0)
EITHER = {"before_loop_mm": -0.5, "after_loop_mm": -0.5}  # these may be nothing
EACH = [
    *((lambda **more: bracket_limits(request(), **more), name, bad) for name, bad in ROCKING.items()),
    *((lambda **more: housing_limits(request(style="hut"), **more), name, bad) for name, bad in (ROD | EITHER).items()),
    (lambda **more: bracket(lift(travel_mm=4.0), **more), "wire_tail_mm", 0.0),
]


@pytest.mark.parametrize(("made", "name", "bad"), EACH, ids=[f"{name}{n}" for n, (_, name, _) in enumerate(EACH)])
def test_a_length_is_more_than_nothing(made, name, bad):
    """Straights beside a loop may be none, but not less. It is the kind of drive that says which limits it takes."""
    good = bad + 0.5

    limits = made(**{name: good})
    assert getattr(limits, name) == good
    assert kinds()[limits.kind].limits is type(limits)
    with pytest.raises(ValidationError, match=name):
        made(**{name: bad})


@pytest.mark.parametrize("second", [None, SecondRod.model_construct(y_mm=-17.0)])
def test_what_kinds_say_of_themselves(second):
    """A lift goes up, and its second rod passes the board where it stands; a push rod has neither a pivot nor a hole in
    the board; a wire that rocks goes the other way at its far end, and may be asked for an over-travel."""
    lift_, rod, wire = LIFT, PUSH_ROD, ROCKING_WIRE
    assert [kinds()[name] for name in ("lift", "push-rod", "rocking-wire")] == [lift_, rod, wire]
    for kind, facts in ((wire, (1, True, True)), (rod, (1, False, False)), (lift_, (2, False, False))):
        assert (kind.moves_along, kind.turns_round, kind.aims_at_overtravel) == facts
    drive = LiftDrive.model_construct(board_hole_mm=4.5, second=second)

    assert (lift_.board_hole_mm(drive), lift_.wires_y(drive)) == (4.5, (0.0, -17.0) if second else (0.0,))
    bent = RockingWireDrive.model_construct(board_hole_mm=5.0, horn_towards_pivot=False)
    assert (wire.board_hole_mm(bent), wire.arm_towards_pivot(bent), wire.wires_y(bent)) == (5.0, False, (0.0,))
    assert (rod.board_hole_mm(bent), rod.arm_towards_pivot(bent)) == (None, None)


def test_what_a_style_does_not_say_is_nothing():
    """No pad, no servo let down, no strip beside a lift's bore; an arm that is level, and one rod."""
    wire, rod = bracket_limits(request()), housing_limits(request(style="hut"))
    left = bracket(lift(travel_mm=4.0))

    assert (wire.pad_mm, rod.let_down_mm, rod.arm_hole_mm, rod.arm_sweep_mm) == (0.0, 0.0, None, None)
    assert (left.mids_deg, left.seat_beyond_shaft_mm, left.beside_bore_mm) == ((0.0,), 0.0, 0.0)
    assert (left.room_beyond_mm, left.between_rods_mm) == (None, None)
    spec = lift(travel_mm=4.0)
    limits = {key: value for key, value in bracket(spec).model_dump().items() if key != "depth_over_guide_mm"}
    assert type(bracket(spec)).model_validate(limits).depth_over_guide_mm == 0.0
